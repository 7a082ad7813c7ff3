package intake

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/geom"
)

// pair is a group of a DXF file: its code and its value.
type pair struct {
	code  int
	value string
}

// dxfUnits are the lengths of $INSUNITS in mm.
var dxfUnits = map[int]struct {
	mm  float64
	say string
}{1: {25.4, "inches"}, 2: {304.8, "feet"}, 4: {1, "millimetres"}, 5: {10, "centimetres"}, 6: {1000, "metres"}, 8: {25.4e-6, "microinches"}, 9: {0.0254, "thousandths of an inch"}, 13: {1e-3, "micrometres"}, 14: {100, "decimetres"}}

// DXF reads a drawing exchange file in its text form: lines, arcs, circles, ellipses, polylines, splines, texts, and blocks put in.
// Other things are left out and counted. An error is a sentence.
func DXF(src []byte) (*Drawing, error) {
	if bytes.HasPrefix(src, []byte("AC10")) || bytes.IndexByte(src, 0) >= 0 {
		return nil, errors.New("this is no text file: a DWG, or a DXF in its binary form. Save it as a text (ASCII) DXF")
	}
	ps, err := pairs(src)
	if err != nil {
		return nil, err
	}
	r := dxf{d: &Drawing{From: "the drawing"}, blocks: map[string][]entity{}, base: map[string]geom.Vec2{}, off: map[string]bool{}}
	section := ""
	var es []entity
	for i := 0; i < len(ps); {
		p := ps[i]
		switch {
		case p.code == 0 && p.value == "SECTION" && i+1 < len(ps) && ps[i+1].code == 2:
			section = ps[i+1].value
			i += 2
		case p.code == 0 && p.value == "ENDSEC":
			section = ""
			i++
		case section == "HEADER" && p.code == 9 && p.value == "$INSUNITS" && i+1 < len(ps):
			n, _ := strconv.Atoi(strings.TrimSpace(ps[i+1].value))
			if u, ok := dxfUnits[n]; ok {
				r.d.Unit, r.d.UnitSay, r.d.Inch = u.mm, u.say+", by $INSUNITS", u.mm == inch
			}
			i += 2
		case section == "TABLES" && p.code == 0 && p.value == "LAYER":
			j := i + 1
			for j < len(ps) && ps[j].code != 0 {
				j++
			}
			l := entity{p.value, ps[i+1 : j]}
			if l.num(62, 0) < 0 || int(l.num(70, 0))&1 != 0 { // off, or frozen
				r.off[l.text(2)] = true
			}
			i = j
		case (section == "ENTITIES" || section == "BLOCKS") && p.code == 0:
			j := i + 1
			for j < len(ps) && ps[j].code != 0 {
				j++
			}
			e := entity{p.value, ps[i+1 : j]}
			if section == "ENTITIES" {
				es = append(es, e)
			} else {
				r.block(e)
			}
			i = j
		default:
			i++
		}
	}
	if err := r.draw(es, same, 0); err != nil {
		return nil, err
	}
	r.finish()
	return r.d, nil
}

// pairs splits a file into its groups.
func pairs(src []byte) ([]pair, error) {
	lines := strings.Split(strings.ReplaceAll(string(src), "\r\n", "\n"), "\n")
	for len(lines) > 0 && strings.TrimSpace(lines[len(lines)-1]) == "" {
		lines = lines[:len(lines)-1]
	}
	var out []pair
	for i := 0; i+1 < len(lines); i += 2 {
		code, err := strconv.Atoi(strings.TrimSpace(lines[i]))
		if err != nil {
			return nil, fmt.Errorf("line %d of the DXF file is no group code; the file is damaged, or it is no DXF file", i+1)
		}
		v := strings.TrimRight(lines[i+1], "\r")
		if code < 1 || code > 4 {
			v = strings.TrimSpace(v)
		}
		out = append(out, pair{code, v})
	}
	if len(out) == 0 {
		return nil, errors.New("the DXF file is empty")
	}
	return out, nil
}

// entity is a thing drawn, with its groups.
type entity struct {
	kind string
	g    []pair
}

func (e entity) text(code int) string {
	for _, p := range e.g {
		if p.code == code {
			return p.value
		}
	}
	return ""
}

func (e entity) num(code int, or float64) float64 {
	if s := e.text(code); s != "" {
		if v, err := strconv.ParseFloat(s, 64); err == nil && !math.IsNaN(v) && !math.IsInf(v, 0) {
			return v
		}
	}
	return or
}

func (e entity) all(code int) (out []float64) {
	for _, p := range e.g {
		if p.code == code {
			v, _ := strconv.ParseFloat(p.value, 64)
			out = append(out, v)
		}
	}
	return out
}

// broken reports whether a number that says where or how large it is cannot be read.
func (e entity) broken() bool {
	for _, p := range e.g {
		if p.code >= 10 && p.code < 60 {
			if v, err := strconv.ParseFloat(strings.TrimSpace(p.value), 64); err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
				return true
			}
		}
	}
	return false
}

func (e entity) at(code int) geom.Vec2 { return geom.Vec2{X: e.num(code, 0), Y: e.num(code+10, 0)} }

// flips reports whether the thing is drawn in a plane that is looked at from behind.
func (e entity) flips() bool { return e.num(230, 1) < 0 }

type dxf struct {
	d      *Drawing
	blocks map[string][]entity
	base   map[string]geom.Vec2 // the point of a block that is put in place
	off    map[string]bool      // layers that are off or frozen
	open   string               // block being read
	loose  []piece
	note   note
	poly   []geom.Vertex // polyline being read
	inPoly bool
	closed bool
	head   entity
	drawn  int
}

func (r *dxf) block(e entity) {
	switch e.kind {
	case "BLOCK":
		r.open = e.text(2)
		r.base[r.open] = e.at(10)
	case "ENDBLK":
		r.open = ""
	default:
		if r.open != "" {
			r.blocks[r.open] = append(r.blocks[r.open], e)
		}
	}
}

var errDeep = errors.New("blocks of the DXF file hold each other")

// draw takes entities in, moved by m.
func (r *dxf) draw(es []entity, m affine, deep int) error {
	if deep > 8 {
		return errDeep
	}
	for _, e := range es {
		if r.drawn++; r.drawn > partsMost {
			return fmt.Errorf("the drawing has more than %d parts; that is no panel", partsMost)
		}
		mm := m
		if e.flips() {
			mm = m.then(affine{A: -1, D: 1}) // seen from behind: x is turned round
		}
		layer := e.text(8)
		if e.num(60, 0) == 1 {
			r.note.add("hidden things")
			continue
		}
		if r.off[layer] {
			r.note.add("things on layers that are off")
			continue
		}
		if e.broken() {
			r.note.add("things whose numbers cannot be read")
			continue
		}
		if e.num(67, 0) == 1 {
			r.note.add("things on a paper sheet")
			continue
		}
		switch e.kind {
		case "CIRCLE":
			r.round(mm, e.at(10), e.num(40, 0), layer)
		case "LINE":
			r.loose = append(r.loose, piece{m.apply(e.at(10)), m.apply(e.at(11)), 0, layer})
		case "ARC":
			a, b := e.num(50, 0), e.num(51, 0)
			for b <= a {
				b += 360
			}
			if b-a >= 359.999 {
				r.round(mm, e.at(10), e.num(40, 0), layer)
				break
			}
			r.arc(mm, e.at(10), e.num(40, 0), a*math.Pi/180, b*math.Pi/180, layer)
		case "ELLIPSE":
			r.ellipse(mm, e, layer)
		case "LWPOLYLINE":
			xs, n := e.lightly()
			r.polyline(mm, xs, n&1 != 0, layer)
		case "POLYLINE":
			r.inPoly, r.poly, r.closed, r.head = true, nil, int(e.num(70, 0))&1 != 0, e
		case "VERTEX":
			if r.inPoly {
				r.poly = append(r.poly, geom.Vertex{P: e.at(10), Bulge: e.num(42, 0)})
			}
		case "SEQEND":
			if r.inPoly {
				r.polyline(mm, r.poly, r.closed, r.head.text(8))
				r.inPoly = false
			}
		case "SPLINE":
			r.spline(mm, e, layer)
		case "TEXT", "MTEXT", "ATTRIB":
			r.label(mm, e, layer)
		case "INSERT":
			if err := r.insert(mm, e, deep); err != nil {
				return err
			}
		case "POINT", "VIEWPORT", "ATTDEF":
		default:
			r.note.add(strings.ToLower(strings.TrimPrefix(e.kind, "ACAD_")) + " things")
		}
	}
	return nil
}

func (r *dxf) insert(m affine, e entity, deep int) error {
	b, ok := r.blocks[e.text(2)]
	if !ok {
		return nil
	}
	nx, ny := max(1, min(200, int(e.num(70, 1)))), max(1, min(200, int(e.num(71, 1))))
	for i := range nx {
		for j := range ny {
			turn := turnedBy(e.num(50, 0) * math.Pi / 180)
			t := turn.then(scaled(e.num(41, 1), e.num(42, 1)))
			off := turn.apply(geom.Vec2{X: float64(i) * e.num(44, 0), Y: float64(j) * e.num(45, 0)})
			t.E, t.F = e.at(10).X+off.X, e.at(10).Y+off.Y
			zero := r.base[e.text(2)]
			t = t.then(affine{1, 0, 0, 1, -zero.X, -zero.Y})
			if err := r.draw(b, m.then(t), deep+1); err != nil {
				return err
			}
		}
	}
	return nil
}

// lightly gives the corners of a light polyline and its flags.
func (e entity) lightly() (out []geom.Vertex, flags int) {
	for _, p := range e.g {
		v, _ := strconv.ParseFloat(p.value, 64)
		switch p.code {
		case 70:
			flags = int(v)
		case 10:
			out = append(out, geom.Vertex{P: geom.Vec2{X: v}})
		case 20:
			if len(out) > 0 {
				out[len(out)-1].P.Y = v
			}
		case 42:
			if len(out) > 0 {
				out[len(out)-1].Bulge = v
			}
		}
	}
	return out, flags
}

func (r *dxf) round(m affine, c geom.Vec2, rad float64, layer string) {
	if rad <= 0 {
		return
	}
	if k, ok := m.even(); ok {
		r.d.Curves = append(r.d.Curves, Curve{Outline: geom.Circle(m.apply(c), 2*rad*k), Layer: layer})
		return
	}
	r.oval(m, c, geom.Vec2{X: rad}, 1, 0, 2*math.Pi, layer)
}

func (r *dxf) arc(m affine, c geom.Vec2, rad, a, b float64, layer string) {
	if rad <= 0 {
		return
	}
	if _, ok := m.even(); !ok {
		r.oval(m, c, geom.Vec2{X: rad}, 1, a, b, layer)
		return
	}
	bulge := math.Tan((b - a) / 4)
	if m.flips() {
		bulge = -bulge
	}
	on := func(t float64) geom.Vec2 {
		s, k := math.Sincos(t)
		return m.apply(geom.Vec2{X: c.X + rad*k, Y: c.Y + rad*s})
	}
	r.loose = append(r.loose, piece{on(a), on(b), bulge, layer})
}

func (r *dxf) ellipse(m affine, e entity, layer string) {
	a, b := e.num(41, 0), e.num(42, 2*math.Pi)
	for b <= a {
		b += 2 * math.Pi
	}
	major, ratio := e.at(11), e.num(40, 1)
	if math.Abs(ratio-1) < 1e-9 && b-a > 2*math.Pi-1e-6 {
		r.round(m, e.at(10), major.Len(), layer)
		return
	}
	r.oval(m, e.at(10), major, ratio, a, b, layer)
}

// oval takes an ellipse, or a part of one, in as chords.
func (r *dxf) oval(m affine, c, major geom.Vec2, ratio, a, b float64, layer string) {
	const n = 72
	minor := geom.Vec2{X: -major.Y * ratio, Y: major.X * ratio}
	on := func(t float64) geom.Vec2 {
		s, k := math.Sincos(t)
		return m.apply(c.Add(major.Mul(k)).Add(minor.Mul(s)))
	}
	if b-a > 2*math.Pi-1e-6 {
		var o geom.Outline
		for i := range n {
			o = append(o, geom.Vertex{P: on(a + 2*math.Pi*float64(i)/n)})
		}
		if o = upright(o); o != nil {
			r.d.Curves = append(r.d.Curves, Curve{Outline: o, Layer: layer})
		}
		return
	}
	last := on(a)
	for i := 1; i <= n; i++ {
		p := on(a + (b-a)*float64(i)/n)
		r.loose = append(r.loose, piece{last, p, 0, layer})
		last = p
	}
}

func (r *dxf) polyline(m affine, vs []geom.Vertex, closed bool, layer string) {
	if len(vs) < 2 {
		return
	}
	sign := 1.0
	if m.flips() {
		sign = -1
	}
	_, even := m.even()
	var o geom.Outline
	for _, v := range vs {
		b := sign * v.Bulge
		if !even {
			b = 0
		}
		o = append(o, geom.Vertex{P: m.apply(v.P), Bulge: b})
	}
	if !even {
		r.note.add("arcs in stretched blocks, taken as straight")
	}
	if n := len(o) - 1; !closed && o[0].P.Sub(o[n].P).Len() < 1e-6 {
		o, closed = o[:n], true
	}
	if closed {
		if o = upright(o); o != nil {
			r.d.Curves = append(r.d.Curves, Curve{Outline: o, Layer: layer})
		}
		return
	}
	for i := 0; i+1 < len(o); i++ {
		r.loose = append(r.loose, piece{o[i].P, o[i+1].P, o[i].Bulge, layer})
	}
}

// spline takes a spline in as chords, by de Boor's rule.
func (r *dxf) spline(m affine, e entity, layer string) {
	deg := int(e.num(71, 3))
	knots, xs, ys, ws := e.all(40), e.all(10), e.all(20), e.all(41)
	if len(xs) != len(ys) || deg < 1 || deg > 9 || len(xs) <= deg || len(knots) != len(xs)+deg+1 || len(xs) > 2000 {
		r.note.add("splines without control points")
		return
	}
	n := min(16*len(xs), 2000)
	a, b := knots[deg], knots[len(xs)]
	var last geom.Vec2
	for i := 0; i <= n; i++ {
		p := m.apply(boor(deg, knots, xs, ys, ws, a+(b-a)*float64(i)/float64(n)))
		if i > 0 && p.Sub(last).Len() > 0 {
			r.loose = append(r.loose, piece{last, p, 0, layer})
		}
		last = p
	}
}

func boor(deg int, knots, xs, ys, ws []float64, t float64) geom.Vec2 {
	k := deg
	for k < len(xs)-1 && t >= knots[k+1] {
		k++
	}
	var d [10][3]float64
	for j := 0; j <= deg; j++ {
		i, w := j+k-deg, 1.0
		if len(ws) == len(xs) {
			w = ws[i]
		}
		d[j] = [3]float64{xs[i] * w, ys[i] * w, w}
	}
	for q := 1; q <= deg; q++ {
		for j := deg; j >= q; j-- {
			i := j + k - deg
			f := 0.0
			if s := knots[i+deg-q+1] - knots[i]; s > 0 {
				f = (t - knots[i]) / s
			}
			for c := range 3 {
				d[j][c] = (1-f)*d[j-1][c] + f*d[j][c]
			}
		}
	}
	if d[deg][2] == 0 {
		return geom.Vec2{}
	}
	return geom.Vec2{X: d[deg][0] / d[deg][2], Y: d[deg][1] / d[deg][2]}
}

func (r *dxf) label(m affine, e entity, layer string) {
	s := ""
	for _, p := range e.g {
		if p.code == 3 || p.code == 1 {
			s += p.value
		}
	}
	h := e.num(40, 1)
	at := e.at(10)
	if e.kind == "MTEXT" {
		s = plainText(s)
		switch int(e.num(71, 1)) % 3 { // 1 left, 2 middle, 0 right
		case 1:
			at.X += 0.3 * h * float64(len([]rune(s)))
		case 0:
			at.X -= 0.3 * h * float64(len([]rune(s)))
		}
	} else if e.text(11) != "" && e.num(72, 0) != 0 {
		at = e.at(11)
	} else {
		at = at.Add(geom.Vec2{X: 0.3 * h * float64(len([]rune(s))), Y: h / 2})
	}
	s = strings.NewReplacer("%%d", "°", "%%c", "⌀", "%%p", "±", "%%D", "°", "%%C", "⌀", "%%P", "±").Replace(strings.TrimSpace(s))
	if s != "" {
		r.d.Labels = append(r.d.Labels, Label{m.apply(at), s, layer})
	}
}

// plainText takes the marks of letters and lines out of a text of several lines.
func plainText(s string) string {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c == '{' || c == '}':
		case c == '\\' && i+1 < len(s):
			i++
			switch s[i] {
			case 'P', '~':
				b.WriteByte(' ')
			case '\\', '{', '}':
				b.WriteByte(s[i])
			case 'L', 'l', 'O', 'o', 'K', 'k':
			default:
				if j := strings.IndexByte(s[i:], ';'); j >= 0 {
					i += j
				}
			}
		default:
			b.WriteByte(c)
		}
	}
	return strings.TrimSpace(b.String())
}

// finish joins what is loose.
func (r *dxf) finish() {
	cs, left := joined(r.loose, tolerance(r.loose))
	r.d.Curves = append(r.d.Curves, cs...)
	r.d.Left = append(r.note.say(), looseEnds(left)...)
}

// tolerance is how far ends may lie apart: a ten-thousandth of the drawing.
func tolerance(ps []piece) float64 {
	b := geom.EmptyBox2()
	for _, p := range ps {
		b = b.Extend(p.a).Extend(p.b)
	}
	if b.Max.X < b.Min.X {
		return 1e-6
	}
	return max(1e-9, 1e-4*max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y))
}
