package carcass

import (
	"fmt"
	"math"
	"testing"

	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// drawSpec draws a box that a person might build.
func drawSpec(t *rapid.T, form Form, corner Joint) Spec {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	pick := func(name string, n int) int { return rapid.IntRange(0, n-1).Draw(t, name) }
	b := Build{
		Wall: num("wall", 4, 20), Base: num("base", 3, 18), Face: num("face", 1, 12),
		Corner: corner, Through: Through(pick("through", 2)), FaceFit: Fit(pick("face fit", 2)), BaseFit: BaseFit(pick("base fit", 3)),
		FaceEdges: EdgeStyle(pick("face edges", 4)), BaseEdges: EdgeStyle(pick("base edges", 4)), RestFit: Fit(pick("rest fit", 2)), Meeting: Meeting(pick("meeting", 3)),
		HandRest: num("rest thick", 1, 12), Top: num("top thick", 3, 18),
	}
	if form == TwoSlope && pick("other upper", 2) == 1 {
		b.Upper = num("upper thick", 1, 12)
	}
	if form == Rack {
		b.Wall = num("cheek", 4, 16)
	}
	switch corner {
	case Rebated:
		b.RebateDepth = b.Wall * num("rebate depth", 0.2, 0.8)
		if pick("tongue", 2) == 1 {
			b.RebateWidth = b.Wall * num("rebate width", 0.2, 1)
		}
	case Fingered:
		b.Fingers = Fingers{Width: num("finger", 5, 14), Kerf: 0.2}
	}
	if b.BaseFit == Between {
		b.BaseUp = num("base up", 0, 6)
	}
	z := Sizes{Width: num("width", 150, 500)}
	switch form {
	case Flat:
		z.Depth, z.FrontHeight = num("depth", 100, 400), num("height", 50, 150)
	case Wedge:
		z.FaceHeight, z.FrontHeight, z.Slope = num("along", 100, 400), num("front", 45, 120), num("slope", 1, 40)
	case Desk:
		z.Depth, z.FrontHeight, z.Slope = num("depth", 120, 400), num("front", 45, 120), num("slope", 1, 60)
		if pick("with rest", 2) == 1 {
			z.HandRest = num("rest", 45, 80)
			z.Depth += z.HandRest
		}
	case TwoSlope:
		z.FrontHeight, z.Slope, z.UpperSlope = num("front", 45, 100), num("slope", 1, 60), num("upper", 1, 70)
		z.FaceHeight, z.UpperHeight = num("lower", 130, 250), num("upper along", 130, 250)
	case Rack:
		z.Width = 0
		z.Units, z.Slope = 1+pick("units", 6), num("slope", 20, 90)
		if pick("upright", 2) == 1 {
			z.Slope = 90
		}
		if z.Slope > 70 || pick("top", 2) == 1 {
			z.Depth = PanelHeight(z.Units) + num("depth", 60, 250)
		}
	}
	return Spec{form, z, b}
}

var (
	forms   = []Form{Flat, Wedge, Desk, TwoSlope, Rack}
	corners = []Joint{Butt, Rebated, Mitred, Fingered}
)

// eachBox runs a property over random boxes of every form and corner joint; boxes with problems are left out, but not many may be.
func eachBox(t *testing.T, change func(*rapid.T, *Spec), prop func(t *rapid.T, c *Carcass)) {
	for _, form := range forms {
		for _, corner := range corners {
			t.Run(fmt.Sprintf("%v/%v", form, corner), func(t *testing.T) {
				made, tried := 0, 0
				rapid.Check(t, func(t *rapid.T) {
					s := drawSpec(t, form, corner)
					if change != nil {
						change(t, &s)
					}
					tried++
					c, ps := Make(s)
					if len(ps) > 0 {
						t.Logf("%v", ps)
						return
					}
					made++
					prop(t, c)
				})
				enough(t, made, tried, 4)
			})
		}
	}
}

// enough fails a test whose random boxes were mostly refused, so that it proved little: less than one of share. A few draws say nothing:
// rapid begins with small numbers.
func enough(t *testing.T, made, tried, share int) {
	t.Helper()
	if tried >= 20 && made*share < tried {
		t.Errorf("only %d of %d random boxes counted", made, tried)
	}
}

// squared takes walls with square edges now and then.
func squared(t *rapid.T, s *Spec) {
	if rapid.IntRange(0, 1).Draw(t, "wall edges") == 1 {
		s.Build.WallEdges = Squared
	}
}

// TestNoOverlap: no two boards share room, and the parts of a board do not.
func TestNoOverlap(t *testing.T) {
	eachBox(t, squared, func(t *rapid.T, c *Carcass) {
		for i := range c.Boards {
			for j := range i {
				if v := shared(&c.Boards[i], &c.Boards[j]); v > 1e-6 {
					t.Fatalf("%s and %s share %g mm³", c.Boards[i].Name, c.Boards[j].Name, v)
				}
			}
			ps := c.Boards[i].Parts
			for a := range ps {
				for b := range a {
					if h := common(ps[a], ps[b]); h != nil && h.Volume() > 1e-6 {
						t.Fatalf("parts %d and %d of the %s share %g mm³", a, b, c.Boards[i].Name, h.Volume())
					}
				}
				for k, in := range c.Interior {
					if h := common(ps[a], in); c.Boards[i].Role.Shell() && h != nil && h.Volume() > 1e-6 {
						t.Fatalf("%s reaches into the room %d by %g mm³", c.Boards[i].Name, k, h.Volume())
					}
				}
			}
		}
	})
}

// hits reports whether the ray from p along d meets the hull.
func hits(h *geom.Hull, p, d geom.Vec3) bool {
	from, to := 0.0, math.Inf(1)
	for i := range h.Faces {
		pl := h.Plane(i)
		out, run := p.Dot(pl.N)-pl.D, d.Dot(pl.N)
		switch {
		case run > 0:
			to = min(to, -out/run)
		case run < 0:
			from = max(from, -out/run)
		case out > 0:
			return false
		}
	}
	return from <= to+1e-9
}

// TestClosed: from inside, every way leads into wood, or through a declared opening.
func TestClosed(t *testing.T) {
	eachBox(t, nil, func(t *rapid.T, c *Carcass) { closed(t, c, 60) })
}

// closed sends rays from some point of the room inside.
func closed(t *rapid.T, c *Carcass, rays int) {
	for _, room := range c.Interior {
		var p geom.Vec3
		var sum float64
		for _, q := range room.Points { // some inner point
			w := rapid.Float64Range(0.05, 1).Draw(t, "weight")
			p, sum = p.Add(q.Mul(w)), sum+w
		}
		p = p.Mul(1 / sum)
	ray:
		for range rays {
			z := rapid.Float64Range(-1, 1).Draw(t, "z")
			a := rapid.Float64Range(0, 2*math.Pi).Draw(t, "turn")
			r := math.Sqrt(1 - z*z)
			d := v3(r*math.Cos(a), r*math.Sin(a), z)
			for i := range c.Boards {
				for _, h := range c.Boards[i].Parts {
					if c.Boards[i].Role.Shell() && hits(h, p, d) {
						continue ray
					}
				}
			}
			for _, o := range c.Openings {
				run := d.Dot(o.Frame.N)
				k := o.Frame.O.Sub(p).Dot(o.Frame.N) / run
				q := o.Frame.ToLocal(p.Add(d.Mul(k))).XY()
				if run != 0 && k > 0 && o.Outline.Contains(q) && !o.Around.Contains(q) {
					continue ray
				}
			}
			t.Fatalf("from %v along %v the way is open", p, d)
		}
	}
}
