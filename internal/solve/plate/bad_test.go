package plate

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"

	"knobwright/internal/geom"
)

// plain is a sound sheet to spoil.
func plain() Model {
	return Model{Outline: box(200, 100), Thickness: 3, Material: Even(3200, 0.37, 1190), Lines: sides(200, 100, 0, 0, 0, 0),
		Spots: []Spot{{At: at(100, 50), Outer: 8}, {At: at(30, 20)}}, Cases: []Case{{Forces: []Force{{0, 10}}}}}
}

// Motions that nothing holds are named.
func TestMechanisms(t *testing.T) {
	four := []Point{{"screw 1", at(10, 10), 6, 0}, {"screw 2", at(190, 10), 6, 0}, {"screw 3", at(190, 90), 6, 0}, {"screw 4", at(10, 90), 6, 0}}
	for _, c := range []struct {
		name string
		set  func(m *Model)
		say  string // "" = held
	}{
		{"nothing", func(m *Model) { m.Lines = nil }, "the sheet is held by nothing"},
		{"left edge", func(m *Model) { m.Lines = m.Lines[:1] }, "the sheet can tip about the left edge"},
		{"top edge", func(m *Model) { m.Lines = m.Lines[3:] }, "the sheet can tip about the top edge"},
		{"left edge clamped", func(m *Model) { m.Lines = m.Lines[:1]; m.Lines[0].Spring = Clamped }, ""},
		{"left edge on a spring", func(m *Model) { m.Lines = m.Lines[:1]; m.Lines[0].Spring = 1 }, ""},
		{"left edge and a screw on it", func(m *Model) { m.Lines = m.Lines[:1]; m.Points = []Point{{"screw 5", at(0, 50), 6, 0}} }, "the sheet can tip about the left edge"},
		{"left edge and a screw", func(m *Model) { m.Lines = m.Lines[:1]; m.Points = four[1:2] }, ""},
		{"two edges", func(m *Model) { m.Lines = m.Lines[:2] }, ""},
		{"one screw", func(m *Model) { m.Lines, m.Points = nil, four[:1] }, "tip about screw 1; the sheet can tip about screw 1"},
		{"two screws", func(m *Model) { m.Lines, m.Points = nil, four[:2] }, "the sheet can tip about screw 1 and screw 2"},
		{"three screws in a row", func(m *Model) {
			m.Lines, m.Points = nil, append([]Point{{"screw 0", at(100, 10), 6, 0}}, four[:2]...)
		}, "can tip about screw 0 and screw 2"},
		{"three screws", func(m *Model) { m.Lines, m.Points = nil, four[:3] }, ""},
		{"four screws", func(m *Model) { m.Lines, m.Points = nil, four }, ""},
		{"island", func(m *Model) {
			m.Openings = []Opening{{"left part", geom.Rect(at(88, 50), 6, 30, 0)}, {"right part", geom.Rect(at(112, 50), 6, 30, 0)},
				{"lower part", geom.Rect(at(100, 32), 30, 6, 0)}, {"upper part", geom.Rect(at(100, 68), 30, 6, 0)}}
		}, "the piece at (100, 50) is held by nothing"},
		{"cut in two, one half loose", func(m *Model) {
			m.Lines = m.Lines[:1]
			m.Lines[0].Spring = Clamped
			m.Openings = []Opening{{"saw cut", geom.Rect(at(100, 50), 2, 120, 0)}}
		}, "the piece at (150.5, 50) is held by nothing"},
		{"cut in two, one half tips", func(m *Model) {
			m.Lines = m.Lines[:2]
			m.Lines[0].Spring = Clamped
			m.Openings = []Opening{{"saw cut", geom.Rect(at(100, 50), 2, 120, 0)}}
		}, "the piece at (150.5, 50) can tip about the right edge"},
	} {
		m := plain()
		c.set(&m)
		p, err := New(m)
		var me *MechanismError
		switch {
		case c.say == "" && err != nil:
			t.Errorf("%s: %v", c.name, err)
		case c.say == "":
			r, err := p.Solve()
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			if q := r.Checks; !(q.Balance < 1e-8 && q.Tip < 1e-8 && q.Energy < 1e-7) {
				t.Errorf("%s: %+v", c.name, q)
			}
			for _, w := range r.Cases[0].Give {
				if math.IsNaN(w) || w < 0 && c.name != "four screws" {
					t.Errorf("%s: gives %v", c.name, r.Cases[0].Give)
				}
			}
		case !errors.As(err, &me):
			t.Errorf("%s: %v, wanted: %s", c.name, err, c.say)
		case !strings.Contains(err.Error(), c.say):
			t.Errorf("%s: %q, wanted %q", c.name, err, c.say)
		}
	}
}

// Three screws carry a force by the lever rule, whatever the sheet.
func TestThreeScrews(t *testing.T) {
	m := plain()
	m.Lines = nil
	m.Points = []Point{{"", at(20, 20), 6, 0}, {"", at(180, 20), 6, 0}, {"", at(100, 85), 6, 0.01}}
	m.Spots[0].At = at(90, 40)
	m.Spots = append(m.Spots, Spot{At: at(100, 85), Outer: 6})
	_, r := solve(t, m)
	if a, b := r.Cases[0].Give[2], 0.01*r.Cases[0].Points[2]; math.Abs(a-b) > 1e-9 {
		t.Errorf("the third screw gives %g mm, its force and softness say %g", a, b)
	}
	c := 10 * (40. - 20) / (85 - 20)
	b := (10*(90.-20) - c*80) / 160
	want := []float64{10 - b - c, b, c}
	for i, f := range r.Cases[0].Points {
		if math.Abs(f-want[i]) > 1e-7 {
			t.Errorf("screw %d carries %.9g, the lever says %.9g", i+1, f, want[i])
		}
	}
}

// What cannot be built or computed gives an error that says what and where, never a number that is none, never a hang.
func TestBadInput(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name string
		set  func(m *Model)
		want any // pointer to the kind of error
	}{
		{"no thickness", func(m *Model) { m.Thickness = 0 }, new(*InputError)},
		{"negative thickness", func(m *Model) { m.Thickness = -3 }, new(*InputError)},
		{"thickness no number", func(m *Model) { m.Thickness = nan }, new(*InputError)},
		{"endless thickness", func(m *Model) { m.Thickness = inf }, new(*InputError)},
		{"no modulus", func(m *Model) { m.Material.Along = 0 }, new(*InputError)},
		{"modulus in pascals", func(m *Model) { m.Material.Along = 3.2e9 }, new(*InputError)},
		{"modulus no number", func(m *Model) { m.Material.Along = nan }, new(*InputError)},
		{"half", func(m *Model) { m.Material.Poisson = 0.5 }, new(*InputError)},
		{"grain and contraction at odds", func(m *Model) { m.Material.Across, m.Material.Poisson = 30*3200, 0.3 }, new(*InputError)},
		{"rolling modulus of nothing", func(m *Model) { m.Material.Rolling = 1e-9 }, new(*InputError)},
		{"no outline", func(m *Model) { m.Outline = nil }, new(*InputError)},
		{"outline without area", func(m *Model) { m.Outline = geom.Outline{{P: at(0, 0)}, {P: at(5, 0)}, {P: at(9, 0)}} }, new(*InputError)},
		{"clockwise outline", func(m *Model) { m.Outline = geom.Outline{{P: at(0, 0)}, {P: at(0, 5)}, {P: at(5, 0)}} }, new(*InputError)},
		{"outline with a number that is none", func(m *Model) { m.Outline[0].P.X = nan }, new(*InputError)},
		{"opening over all", func(m *Model) { m.Openings = []Opening{{"pit", geom.Rect(at(100, 50), 300, 300, 0)}} }, new(*EmptyError)},
		{"opening without end", func(m *Model) { m.Openings = []Opening{{"pit", geom.Circle(at(0, inf), 5)}} }, new(*InputError)},
		{"rib of no width", func(m *Model) { m.Ribs = []Rib{{A: at(20, 20), B: at(90, 20), Height: 9, Young: 3000}} }, new(*InputError)},
		{"rib of no length", func(m *Model) { m.Ribs = []Rib{{A: at(20, 20), B: at(20, 20), Width: 3, Height: 9, Young: 3000}} }, new(*InputError)},
		{"rib outside", func(m *Model) { m.Ribs = []Rib{{A: at(20, 220), B: at(90, 220), Width: 3, Height: 9, Young: 3000}} }, new(*InputError)},
		{"line of no length", func(m *Model) { m.Lines[0].B = m.Lines[0].A }, new(*InputError)},
		{"line outside", func(m *Model) { m.Lines[0].A.X, m.Lines[0].B.X = -30, -30 }, new(*InputError)},
		{"negative spring", func(m *Model) { m.Lines[0].Spring = -1 }, new(*InputError)},
		{"screw outside", func(m *Model) { m.Points = []Point{{"", at(300, 50), 6, 0}} }, new(*InputError)},
		{"screw in a hole", func(m *Model) {
			m.Openings = []Opening{{"", geom.Circle(at(100, 50), 60)}}
			m.Points = []Point{{"", at(100, 50), 6, 0}}
		}, new(*InputError)},
		{"force on no spot", func(m *Model) { m.Cases[0].Forces[0].Spot = 7 }, new(*InputError)},
		{"force no number", func(m *Model) { m.Cases[0].Forces[0].Newton = nan }, new(*InputError)},
		{"ring turned inside out", func(m *Model) { m.Spots[0].Inner = 9 }, new(*InputError)},
		{"cell no number", func(m *Model) { m.Options.Cell = nan }, new(*InputError)},
		{"far too many grid lines", func(m *Model) {
			for i := range 400 {
				m.Openings = append(m.Openings, Opening{"", geom.Rect(at(5+0.4*float64(i%20)+9*float64(i/20), 3+4.6*float64(i%20)), 3, 2.1, 0)})
			}
			m.Options.Cell = 0.05
		}, nil},
		{"the tiniest cells", func(m *Model) { m.Options.Cell = 1e-9 }, nil},
		{"a needle", func(m *Model) { m.Outline, m.Lines = box(9000, 0.5), sides(9000, 0.5, 0, 0, 0, 0) }, nil},
		{"a cliff of stiffness", func(m *Model) {
			m.Ribs = []Rib{{A: at(20, 20), B: at(90, 60), Width: 3, Height: 900, Young: 2e6}}
			m.Material.Along = 1
		}, nil},
		{"a block", func(m *Model) { m.Thickness = 400 }, nil},
		{"a foil", func(m *Model) { m.Thickness = 0.001 }, nil},
		{"a sliver beside a hole", func(m *Model) { m.Openings = []Opening{{"", geom.Circle(at(100, 50), 99.99)}} }, nil},
		{"a hole on the edge", func(m *Model) { m.Openings = []Opening{{"", geom.Circle(at(200, 50), 30)}} }, nil},
		{"a hole that touches the edge", func(m *Model) { m.Openings = []Opening{{"", geom.Circle(at(185, 50), 30)}} }, nil},
		{"holes that touch", func(m *Model) {
			m.Openings = []Opening{{"", geom.Circle(at(80, 50), 30)}, {"", geom.Circle(at(110, 50), 30)}}
		}, nil},
		{"holes that overlap", func(m *Model) {
			m.Openings = []Opening{{"", geom.Circle(at(80, 50), 30)}, {"", geom.Circle(at(100, 50), 30)}, {"", geom.Rect(at(90, 50), 30, 8, 0)}}
		}, nil},
		{"a hole twice", func(m *Model) {
			m.Openings = []Opening{{"", geom.Circle(at(80, 50), 30)}, {"", geom.Circle(at(80, 50), 30)}}
		}, nil},
		{"a force in a hole", func(m *Model) { m.Openings = []Opening{{"", geom.Circle(at(100, 50), 30)}} }, nil},
		{"a comb of slits", func(m *Model) {
			for i := range 30 {
				m.Openings = append(m.Openings, Opening{"", geom.Rect(at(20+5*float64(i), 50), 1.5, 80, 0)})
			}
		}, nil},
	} {
		m := plain()
		c.set(&m)
		start := time.Now()
		p, err := New(m)
		if c.want != nil {
			if err == nil || !errors.As(err, c.want) {
				t.Errorf("%s: %v, wanted %T", c.name, err, c.want)
			} else if s := err.Error(); len(s) < 10 {
				t.Errorf("%s: says only %q", c.name, s)
			}
			continue
		}
		if err != nil {
			t.Logf("%s: %v", c.name, err)
			var se *SizeError
			var st *StiffnessError
			if !errors.As(err, &se) && !errors.As(err, &st) {
				t.Errorf("%s: %v", c.name, err)
			}
			continue
		}
		r, err := p.Solve()
		var st *StiffnessError
		if errors.As(err, &st) && c.name == "a cliff of stiffness" {
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		for _, w := range append(r.Cases[0].Give, r.Cases[0].Lines...) {
			if math.IsNaN(w) || math.IsInf(w, 0) {
				t.Errorf("%s: gives %v, carries %v", c.name, r.Cases[0].Give, r.Cases[0].Lines)
				break
			}
		}
		t.Logf("%-30s %7.0f ms  gives %.4g  balance %.1g  %v", c.name, time.Since(start).Seconds()*1e3, r.Cases[0].Give[0], r.Checks.Balance, r.Notices)
	}
}

// Slits narrower than a cell are told, wherever they lie; those with grid lines of their own are not.
func TestSlits(t *testing.T) {
	slit := func(turn float64) Opening {
		o := geom.Rect(at(0, 0), 40, 0.5, 0)
		s, c := math.Sincos(turn * deg)
		for i, v := range o {
			o[i].P = at(100+c*v.P.X-s*v.P.Y, 50+s*v.P.X+c*v.P.Y)
		}
		return Opening{"slit", o}
	}
	for _, turn := range []float64{0, 30, 90} {
		m := plain()
		m.Openings = []Opening{slit(turn)}
		p, err := New(m)
		if err != nil {
			t.Fatal(err)
		}
		ns := p.Notices()
		if len(ns) != 1 || ns[0].Kind != ThinSlit || math.Abs(ns[0].Size-0.5) > 0.02 || ns[0].At.Sub(at(100, 50)).Len() > 1e-6 {
			t.Errorf("slit at %g degrees: %v", turn, ns)
		}
	}
	m := plain()
	m.Openings = []Opening{{"slot", geom.Slot(at(100, 50), 60, 3)}}
	p, err := New(m)
	if err != nil {
		t.Fatal(err)
	}
	if ns := p.Notices(); len(ns) != 0 {
		t.Errorf("a slot along the grid: %v", ns)
	}
}
