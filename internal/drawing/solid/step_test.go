package solid

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"knobwright/internal/geom"
	"pgregory.net/rapid"
)

// stepFile is a file as a small reader of the test sees it: simple entities by number. Complex ones keep their text only.
type stepFile struct {
	head string
	ents map[int]stepEnt
}

type stepEnt struct {
	kind string
	args []any // string, float64, ref, keyword, []any
	raw  string
}

type (
	ref     int
	keyword string
)

// readSTEP reads the exchange structure strictly.
func readSTEP(t interface{ Fatalf(string, ...any) }, b []byte) stepFile {
	f := stepFile{ents: map[int]stepEnt{}}
	s := string(b)
	if !strings.HasPrefix(s, "ISO-10303-21;\nHEADER;\n") || !strings.HasSuffix(s, "ENDSEC;\nEND-ISO-10303-21;\n") {
		t.Fatalf("no exchange structure")
	}
	head, data, ok := strings.Cut(s, "ENDSEC;\nDATA;\n")
	if !ok {
		t.Fatalf("no data section")
	}
	f.head = head
	for _, c := range b {
		if c != '\n' && (c < ' ' || c > '~') {
			t.Fatalf("byte %#x in the file", c)
		}
	}
	for _, line := range strings.Split(strings.TrimSuffix(data, "ENDSEC;\nEND-ISO-10303-21;\n"), "\n") {
		if line == "" {
			continue
		}
		num, rest, ok := strings.Cut(line, "=")
		n, err := strconv.Atoi(strings.TrimPrefix(num, "#"))
		if !ok || err != nil || !strings.HasPrefix(num, "#") || !strings.HasSuffix(rest, ";") {
			t.Fatalf("no entity: %s", line)
		}
		if _, twice := f.ents[n]; twice {
			t.Fatalf("#%d stands twice", n)
		}
		e := stepEnt{raw: rest}
		if !strings.HasPrefix(rest, "(") {
			p := &stepParser{s: rest}
			e.kind = p.word()
			e.args = p.list()
			if p.bad || p.s != ";" {
				t.Fatalf("no entity: %s (at %q)", line, p.s)
			}
		}
		f.ents[n] = e
	}
	return f
}

type stepParser struct {
	s   string
	bad bool
}

func (p *stepParser) word() string {
	i := 0
	for i < len(p.s) && (p.s[i] == '_' || p.s[i] >= 'A' && p.s[i] <= 'Z' || p.s[i] >= '0' && p.s[i] <= '9') {
		i++
	}
	w := p.s[:i]
	p.s = p.s[i:]
	p.bad = p.bad || w == ""
	return w
}

func (p *stepParser) eat(c byte) bool {
	if p.s != "" && p.s[0] == c {
		p.s = p.s[1:]
		return true
	}
	return false
}

func (p *stepParser) list() (out []any) {
	if !p.eat('(') {
		p.bad = true
		return nil
	}
	if p.eat(')') {
		return out
	}
	for !p.bad {
		out = append(out, p.value())
		if p.eat(')') {
			return out
		}
		if !p.eat(',') {
			p.bad = true
		}
	}
	return out
}

var (
	realForm = regexp.MustCompile(`^-?[0-9]+\.[0-9]*(E[+-][0-9]+)?`)
	intForm  = regexp.MustCompile(`^[0-9]+`)
)

func (p *stepParser) value() any {
	switch {
	case p.s == "":
		p.bad = true
	case p.s[0] == '(':
		return p.list()
	case p.s[0] == '#':
		d := intForm.FindString(p.s[1:])
		p.s = p.s[1+len(d):]
		n, err := strconv.Atoi(d)
		p.bad = p.bad || err != nil
		return ref(n)
	case p.s[0] == '\'':
		var b strings.Builder
		for i := 1; i < len(p.s); i++ {
			if p.s[i] == '\'' {
				if i+1 < len(p.s) && p.s[i+1] == '\'' {
					i++
				} else {
					p.s = p.s[i+1:]
					return decodeSTEP(b.String())
				}
			}
			b.WriteByte(p.s[i])
		}
		p.bad = true
	case p.s[0] == '.':
		end := strings.IndexByte(p.s[1:], '.')
		if end < 0 {
			p.bad = true
			return nil
		}
		w := p.s[:end+2]
		p.s = p.s[end+2:]
		return keyword(w)
	case p.eat('*'), p.eat('$'):
		return nil
	default:
		if d := realForm.FindString(p.s); d != "" {
			p.s = p.s[len(d):]
			x, err := strconv.ParseFloat(d, 64)
			p.bad = p.bad || err != nil
			return x
		}
		if d := intForm.FindString(p.s); d != "" {
			p.s = p.s[len(d):]
			return d
		}
		w := p.word()
		return []any{keyword(w), p.list()}
	}
	return nil
}

var wide = regexp.MustCompile(`\\X([24])\\((?:[0-9A-F]{4})+)\\X0\\`)

func decodeSTEP(s string) string {
	s = wide.ReplaceAllStringFunc(s, func(m string) string {
		g := wide.FindStringSubmatch(m)
		n := 4
		if g[1] == "4" {
			n = 8
		}
		var u []uint16
		var out strings.Builder
		for h := g[2]; len(h) >= n; h = h[n:] {
			v, _ := strconv.ParseUint(h[:n], 16, 32)
			if n == 4 {
				u = append(u, uint16(v))
			} else {
				out.WriteRune(rune(v))
			}
		}
		return out.String() + string(utf16.Decode(u))
	})
	return strings.ReplaceAll(s, `\\`, `\`)
}

func (f stepFile) count(kind string) (n int) {
	for _, e := range f.ents {
		if e.kind == kind {
			n++
		}
	}
	return n
}

func (f stepFile) vec(r any) geom.Vec3 {
	e := f.ents[int(r.(ref))]
	if e.kind == "VERTEX_POINT" {
		return f.vec(e.args[1])
	}
	c := e.args[1].([]any)
	return v3(c[0].(float64), c[1].(float64), c[2].(float64))
}

// axes gives a placement as a pose.
func (f stepFile) axes(r any) geom.Pose {
	e := f.ents[int(r.(ref))]
	p := geom.Pose{At: f.vec(e.args[1]), Z: f.vec(e.args[2]), X: f.vec(e.args[3])}
	p.Y = p.Z.Cross(p.X)
	return p
}

var refForm = regexp.MustCompile(`#([0-9]+)`)

// quoted strips strings, which may hold anything.
var quoted = regexp.MustCompile(`'(?:[^']|'')*'`)

// check holds the file against the rules of a boundary: all references resolve; each solid is closed; corners lie on their edges' curves
// and these on their faces' surfaces; loops run counter-clockwise about the outward normal.
func (f stepFile) check(t interface{ Errorf(string, ...any) }) {
	nums := make([]int, 0, len(f.ents))
	for n := range f.ents {
		nums = append(nums, n)
	}
	sort.Ints(nums)
	used := map[int]bool{}
	for _, n := range nums {
		for _, m := range refForm.FindAllStringSubmatch(quoted.ReplaceAllString(f.ents[n].raw, "''"), -1) {
			to, _ := strconv.Atoi(m[1])
			if _, ok := f.ents[to]; !ok {
				t.Errorf("#%d refers to #%d, which is not there", n, to)
				return
			}
			used[to] = true
		}
	}
	seen := map[string]int{}
	for _, n := range nums {
		e := f.ents[n]
		switch e.kind {
		case "CARTESIAN_POINT", "DIRECTION", "AXIS2_PLACEMENT_3D", "LINE", "CIRCLE", "PLANE", "COLOUR_RGB":
			if o, twice := seen[e.raw]; twice {
				t.Errorf("#%d is the same as #%d", n, o)
			}
			seen[e.raw] = n
			if !used[n] {
				t.Errorf("#%d is not used", n)
			}
		case "MANIFOLD_SOLID_BREP":
			f.checkSolid(t, e)
		}
	}
}

func (f stepFile) checkSolid(t interface{ Errorf(string, ...any) }, solid stepEnt) {
	shell := f.ents[int(solid.args[1].(ref))]
	ways := map[ref][2]int{}
	for _, fr := range shell.args[1].([]any) {
		face := f.ents[int(fr.(ref))]
		surf := f.ents[int(face.args[2].(ref))]
		at := f.axes(surf.args[1])
		same := 1.0
		if face.args[3].(keyword) == ".F." {
			same = -1
		}
		// off gives the distance of a point from the surface and the outward normal there
		off := func(p geom.Vec3) (float64, geom.Vec3) {
			d := p.Sub(at.At)
			h := d.Dot(at.Z)
			radial := d.Sub(at.Z.Mul(h))
			switch surf.kind {
			case "PLANE":
				return h, at.Z.Mul(same)
			case "CYLINDRICAL_SURFACE":
				return radial.Len() - surf.args[2].(float64), radial.Unit().Mul(same)
			case "CONICAL_SURFACE":
				slope := math.Tan(surf.args[3].(float64))
				return radial.Len() - surf.args[2].(float64) - h*slope, radial.Unit().Sub(at.Z.Mul(slope)).Unit().Mul(same)
			}
			t.Errorf("surface %s", surf.kind)
			return 0, at.Z
		}
		for k, br := range face.args[1].([]any) {
			bound := f.ents[int(br.(ref))]
			if (bound.kind == "FACE_OUTER_BOUND") != (k == 0) {
				t.Errorf("bound %d is a %s", k, bound.kind)
			}
			loop := f.ents[int(bound.args[1].(ref))].args[1].([]any)
			var pts []geom.Vec3
			for _, or := range loop {
				o := f.ents[int(or.(ref))]
				er := o.args[3].(ref)
				w := ways[er]
				if o.args[4].(keyword) == ".T." {
					w[0]++
				} else {
					w[1]++
				}
				ways[er] = w
				ps := f.along(t, int(er))
				for _, p := range ps {
					if d, _ := off(p); math.Abs(d) > 1e-7 {
						t.Errorf("an edge lies %g off its %s", d, surf.kind)
					}
				}
				if o.args[4].(keyword) == ".F." {
					for i, j := 0, len(ps)-1; i < j; i, j = i+1, j-1 {
						ps[i], ps[j] = ps[j], ps[i]
					}
				}
				if len(pts) > 0 && pts[len(pts)-1].Sub(ps[0]).Len() > 1e-8 {
					t.Errorf("a loop is broken")
				}
				pts = append(pts, ps...)
			}
			if pts[len(pts)-1].Sub(pts[0]).Len() > 1e-8 {
				t.Errorf("a loop does not close")
			}
			if surf.kind == "PLANE" {
				_, n := off(pts[0])
				var area geom.Vec3
				for i := range pts {
					area = area.Add(pts[i].Sub(pts[0]).Cross(pts[(i+1)%len(pts)].Sub(pts[0])))
				}
				if (area.Dot(n) > 0) != (k == 0) {
					t.Errorf("loop %d of a plane runs the wrong way round", k)
				}
				continue
			}
			// the second side leaves the end of the first to the left of the way along it
			n := len(pts) / 4
			_, normal := off(pts[n/2])
			if way := pts[n/2+1].Sub(pts[n/2-1]); normal.Cross(way).Dot(pts[2*n-1].Sub(pts[n])) <= 0 {
				t.Errorf("the loop of a %s runs the wrong way round", surf.kind)
			}
		}
	}
	for e, w := range ways {
		if w != [2]int{1, 1} {
			t.Errorf("edge #%d is used %d times forwards and %d times backwards", e, w[0], w[1])
		}
	}
}

// along gives points of an edge from its first corner to its last: nine of them, whatever the curve.
func (f stepFile) along(t interface{ Errorf(string, ...any) }, n int) (ps []geom.Vec3) {
	e := f.ents[n]
	a, b := f.vec(e.args[1]), f.vec(e.args[2])
	if e.args[4].(keyword) != ".T." {
		t.Errorf("edge #%d runs against its curve", n)
	}
	c := f.ents[int(e.args[3].(ref))]
	const steps = 8
	if c.kind == "LINE" {
		at := f.vec(c.args[1])
		dir := f.vec(f.ents[int(c.args[2].(ref))].args[1])
		for i := range steps + 1 {
			p := a.Add(b.Sub(a).Mul(float64(i) / steps))
			ps = append(ps, p)
			if off := p.Sub(at).Cross(dir).Len(); off > 1e-7 {
				t.Errorf("a line misses its edge by %g", off)
			}
		}
		if b.Sub(a).Dot(dir) <= 0 {
			t.Errorf("a line runs backwards")
		}
		return ps
	}
	at := f.axes(c.args[1])
	rx, ry := c.args[2].(float64), c.args[2].(float64)
	if c.kind == "ELLIPSE" {
		if ry = c.args[3].(float64); ry > rx {
			t.Errorf("half axes %g and %g in the wrong order", rx, ry)
		}
	}
	angle := func(p geom.Vec3) float64 {
		d := p.Sub(at.At)
		return math.Atan2(d.Dot(at.Y)/ry, d.Dot(at.X)/rx)
	}
	t0, t1 := angle(a), angle(b)
	for t1 < t0+1e-9 {
		t1 += 2 * math.Pi
	}
	for i := range steps + 1 {
		s, k := math.Sincos(t0 + (t1-t0)*float64(i)/steps)
		ps = append(ps, at.At.Add(at.X.Mul(rx*k)).Add(at.Y.Mul(ry*s)))
	}
	if off := ps[0].Sub(a).Len() + ps[steps].Sub(b).Len(); off > 1e-7 {
		t.Errorf("a %s misses its corners by %g", c.kind, off)
	}
	if t1-t0 > math.Pi+1e-6 {
		t.Errorf("a %s runs the long way, %g", c.kind, t1-t0)
	}
	ps[0], ps[steps] = a, b
	return ps
}

func TestSTEPOfTheDesk(t *testing.T) {
	m := build(t, cueDesk(t)...)
	b := m.STEP(STEPOptions{Title: "Cue desk", Time: time.Date(2031, 5, 3, 9, 30, 0, 0, time.UTC)})
	f := readSTEP(t, b)
	f.check(t)
	if !strings.Contains(f.head, "FILE_NAME('Cue desk','2031-05-03T09:30:00',") || !strings.Contains(f.head, "AUTOMOTIVE_DESIGN") {
		t.Errorf("head %s", f.head)
	}
	pieces := 0
	for i := range m.bodies {
		pieces += len(m.bodies[i].pieces)
	}
	for kind, want := range map[string]int{
		"MANIFOLD_SOLID_BREP": pieces, "STYLED_ITEM": pieces, "PRODUCT": m.Bodies() + 1, "NEXT_ASSEMBLY_USAGE_OCCURRENCE": m.Bodies(),
		"ADVANCED_BREP_SHAPE_REPRESENTATION": m.Bodies(), "COLOUR_RGB": 3,
	} {
		if n := f.count(kind); n != want {
			t.Errorf("%d of %s, want %d", n, kind, want)
		}
	}
}

func TestSTEPOfRandomBoards(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := randomBoard(t)
		m := build(t, one(b.piece(t)))
		f := readSTEP(t, m.STEP(STEPOptions{}))
		f.check(t)
		cylinders, cones := 0, 0
		for _, o := range b.openings {
			arcs := 0
			for _, v := range o.outline {
				if v.Bulge != 0 {
					arcs++
				}
			}
			cylinders += arcs
			if o.sink.Angle > 0 {
				cones += 2
			} else if o.sink.D > 0 {
				cylinders += 2
			}
		}
		if b.cuts == nil {
			for _, v := range b.outline {
				if v.Bulge != 0 {
					cylinders++
				}
				if math.Abs(v.Bulge) > 1 {
					cylinders++ // more than a half turn is cut in two
				}
			}
		}
		got, gotCones := 0, 0
		for _, e := range f.ents {
			if e.kind == "ADVANCED_FACE" {
				switch f.ents[int(e.args[2].(ref))].kind {
				case "CYLINDRICAL_SURFACE":
					got++
				case "CONICAL_SURFACE":
					gotCones++
				}
			}
		}
		if got != cylinders || gotCones != cones {
			t.Errorf("%d cylindrical and %d conical faces, want %d and %d", got, gotCones, cylinders, cones)
		}
	})
}

// Slanted ends cut cylinders in ellipses.
func TestSTEPOfSlantedEnds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := Prism{Pose: randomPose(t), Outline: randomOutline(t, 20), From: 0, To: 30}
		for i := range p.Ends {
			f := rapid.Float64Range(-0.6, 0.6)
			n := v3(f.Draw(t, "nx"), f.Draw(t, "ny"), float64(2*i-1))
			p.Ends[i] = geom.HalfSpace{N: p.Pose.Turn(n), D: p.Pose.Turn(n).Dot(p.Pose.Apply(v3(0, 0, 30*float64(i))))}
		}
		m := build(t, one(p))
		f := readSTEP(t, m.STEP(STEPOptions{}))
		f.check(t)
		checkMesh(t, m, 0.01, 2, curvedOf(t, m))
	})
}

func TestSTEPText(t *testing.T) {
	names := []string{"plain", "it's", `back\slash`, `\X2\00E9\X0\`, "Tür für Ø 22,5", "面板", "🎭 mask", "a);\n#1=EVIL('", "", "\x00\x1b[0m", "\xff\xfe"}
	var bodies []Body
	for i, n := range names {
		bodies = append(bodies, Body{Name: n, Pieces: []Piece{Round(v3(float64(10*i), 0, 0), v3(0, 0, 1), 5, 1)}})
	}
	f := readSTEP(t, build(t, bodies...).STEP(STEPOptions{Title: "it's \\ ø"}))
	f.check(t)
	var got []string
	for n := range len(f.ents) {
		if e := f.ents[n+1]; e.kind == "PRODUCT" {
			got = append(got, e.args[1].(string))
		}
	}
	want := []string{"it's \\ ø", "plain", "it's", `back\slash`, `\X2\00E9\X0\`, "Tür für Ø 22,5", "面板", "🎭 mask", "a); #1=EVIL('", "body 9", "  [0m", "\ufffd\ufffd"}
	// the fourth name is written with every backslash twice; a plain decoder must see it unchanged
	if fmt.Sprintf("%q", got) != fmt.Sprintf("%q", want) {
		t.Errorf("names\n%q, want\n%q", got, want)
	}
}

func TestSTEPNumbers(t *testing.T) {
	for x, want := range map[float64]string{0: "0.", math.Copysign(0, -1): "0.", 12: "12.", -0.5: "-0.5", 1e-10: "0.", 1234567.25: "1.23456725E+06", 1e-8: "1.E-08", 100000: "100000.", 1. / 3: "0.333333333"} {
		if got := length(x); got != want {
			t.Errorf("%v is written %s, want %s", x, got, want)
		}
	}
}

func TestFilesAreTheSameTwice(t *testing.T) {
	write := func() [][]byte {
		m := build(t, cueDesk(t)...)
		stl, err1 := m.STL("desk", 0.1)
		txt, err2 := m.STLText("desk", 0.1)
		mf, err3 := m.ThreeMF("desk", 0.1)
		if err1 != nil || err2 != nil || err3 != nil {
			t.Fatal(err1, err2, err3)
		}
		return [][]byte{m.STEP(STEPOptions{Title: "desk"}), stl, txt, mf}
	}
	a, b := write(), write()
	for i := range a {
		if !bytes.Equal(a[i], b[i]) {
			t.Errorf("file %d has other bytes the second time", i)
		}
	}
}
