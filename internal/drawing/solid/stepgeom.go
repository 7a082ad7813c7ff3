package solid

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/geom"
)

// stepWriter numbers entities as they come.
type stepWriter struct {
	data []byte
	n    int
	seen map[string]int
}

// add writes an entity and gives its number.
func (w *stepWriter) add(format string, args ...any) int {
	w.n++
	w.data = fmt.Appendf(w.data, "#%d=", w.n)
	w.data = fmt.Appendf(w.data, format, args...)
	w.data = append(w.data, ";\n"...)
	return w.n
}

// share is add for geometry and styles: what has been written once is not written again.
func (w *stepWriter) share(format string, args ...any) int {
	s := fmt.Sprintf(format, args...)
	if n, ok := w.seen[s]; ok {
		return n
	}
	n := w.add("%s", s)
	w.seen[s] = n
	return n
}

// list writes references in brackets.
func list(ns []int) string {
	var s strings.Builder
	for i, n := range ns {
		if i > 0 {
			s.WriteByte(',')
		}
		s.WriteString("#" + strconv.Itoa(n))
	}
	return "(" + s.String() + ")"
}

// text writes a string after ISO 10303-21: the apostrophe and the backslash twice, what is not printable ASCII as UTF-16 or UCS-4
// numbers. Control characters become spaces.
func (w *stepWriter) text(s string) string {
	var b strings.Builder
	b.WriteByte('\'')
	for _, r := range s {
		switch {
		case r == '\'' || r == '\\':
			b.WriteRune(r)
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			b.WriteByte(' ')
		case r < 0x7f:
			b.WriteRune(r)
		case r <= 0xffff:
			fmt.Fprintf(&b, `\X2\%04X\X0\`, r)
		default:
			fmt.Fprintf(&b, `\X4\%08X\X0\`, r)
		}
	}
	b.WriteByte('\'')
	return b.String()
}

// real writes a number as ISO 10303-21 wants it: always with a point, exponent with E.
func real(x float64) string {
	s := strconv.FormatFloat(x, 'G', -1, 64)
	mantissa, exp, has := strings.Cut(s, "E")
	if !strings.Contains(mantissa, ".") {
		mantissa += "."
	}
	if has {
		return mantissa + "E" + exp
	}
	return mantissa
}

// length writes a length rounded to a millionth of a micrometre, unit a direction's part rounded to fourteen places.
func length(x float64) string { return real(tidy(x, 1e9)) }
func unit(x float64) string   { return real(tidy(x, 1e14)) }

func (w *stepWriter) point(p geom.Vec3) int {
	return w.share("CARTESIAN_POINT('',(%s,%s,%s))", length(p.X), length(p.Y), length(p.Z))
}

func (w *stepWriter) direction(d geom.Vec3) int {
	d = d.Unit()
	return w.share("DIRECTION('',(%s,%s,%s))", unit(d.X), unit(d.Y), unit(d.Z))
}

func (w *stepWriter) placement(o, z, x geom.Vec3) int {
	return w.share("AXIS2_PLACEMENT_3D('',#%d,#%d,#%d)", w.point(o), w.direction(z), w.direction(x))
}

// curve writes the line, circle or ellipse under an edge, and reports nothing else: the corners trim it.
func (w *stepWriter) curve(b *brep, e *edge) int {
	if e.sweep == 0 {
		p := b.verts[e.v[0]]
		v := w.share("VECTOR('',#%d,1.)", w.direction(b.verts[e.v[1]].Sub(p)))
		return w.share("LINE('',#%d,#%d)", w.point(p), v)
	}
	n := e.a.Cross(e.b)
	la, lb, ab := e.a.Len(), e.b.Len(), e.a.Dot(e.b)
	if math.Abs(la-lb) < 1e-9 && math.Abs(ab) < 1e-9*la {
		return w.share("CIRCLE('',#%d,%s)", w.placement(e.c, n, e.a), length(la))
	}
	// a·cos t + b·sin t is longest where its change is square to it
	t := math.Atan2(2*ab, la*la-lb*lb) / 2
	s, c := math.Sincos(t)
	major, minor := e.a.Mul(c).Add(e.b.Mul(s)), e.b.Mul(c).Sub(e.a.Mul(s))
	return w.share("ELLIPSE('',#%d,%s,%s)", w.placement(e.c, n, major), length(major.Len()), length(minor.Len()))
}

// surface writes the plane, cylinder or cone under a face; same tells whether its own normal points out of the solid.
func (w *stepWriter) surface(f *face) (n int, same string) {
	at := w.placement(f.o, f.n, f.x)
	if f.kind == planar {
		return w.share("PLANE('',#%d)", at), ".T."
	}
	same = ".T."
	if f.bore {
		same = ".F."
	}
	if f.slope == 0 {
		return w.share("CYLINDRICAL_SURFACE('',#%d,%s)", at, length(f.r)), same
	}
	return w.share("CONICAL_SURFACE('',#%d,%s,%s)", at, length(f.r), unit(math.Atan(f.slope))), same
}

// brep writes one piece.
func (w *stepWriter) brep(name string, b *brep) int {
	verts := make([]int, len(b.verts))
	for i, p := range b.verts {
		verts[i] = w.add("VERTEX_POINT('',#%d)", w.point(p))
	}
	edges := make([]int, len(b.edges))
	for i := range b.edges {
		e := &b.edges[i]
		edges[i] = w.add("EDGE_CURVE('',#%d,#%d,#%d,.T.)", verts[e.v[0]], verts[e.v[1]], w.curve(b, e))
	}
	var faces []int
	for i := range b.faces {
		f := &b.faces[i]
		var bounds []int
		for k, l := range f.loops {
			var sides []int
			for _, u := range l {
				way := ".T."
				if u.rev {
					way = ".F."
				}
				sides = append(sides, w.add("ORIENTED_EDGE('',*,*,#%d,%s)", edges[u.e], way))
			}
			loop := w.add("EDGE_LOOP('',%s)", list(sides))
			word := "FACE_BOUND"
			if k == 0 {
				word = "FACE_OUTER_BOUND"
			}
			bounds = append(bounds, w.add("%s('',#%d,.T.)", word, loop))
		}
		s, same := w.surface(f)
		faces = append(faces, w.add("ADVANCED_FACE('',%s,#%d,%s)", list(bounds), s, same))
	}
	shell := w.add("CLOSED_SHELL('',%s)", list(faces))
	return w.add("MANIFOLD_SOLID_BREP(%s,#%d)", w.text(name), shell)
}
