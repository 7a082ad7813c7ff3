package box

import (
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
)

var ply12 = Material{ID: "birch-ply-12mm", Title: "birch plywood, 12 mm", Kind: Plywood, Density: 700}

func bits() []catalog.Bit {
	return catalog.BitSet{ID: "twist", Kind: catalog.Twist, Series: &catalog.Series{From: 1, To: 10, By: 0.5}}.Bits()
}

// made makes a box or fails.
func made(t testing.TB, s carcass.Spec) *carcass.Carcass {
	t.Helper()
	c, ps := carcass.Make(s)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	return c
}

// order is a plain order for a box of plywood.
func order(c *carcass.Carcass) Order {
	return Order{Carcass: c, Walls: ply12, Base: ply12, Face: Material{ID: "acrylic-3mm", Title: "acrylic, 3 mm", Kind: "acrylic", Density: 1190}, Bits: bits()}
}

func desk() carcass.Spec {
	return carcass.Spec{
		Form: carcass.Desk, Sizes: carcass.Sizes{Width: 440, Depth: 280, FrontHeight: 60, Slope: 12},
		Build: carcass.Build{Wall: 12, Base: 9, Face: 3},
	}
}

func flat(width, depth, height, wall float64) carcass.Spec {
	return carcass.Spec{
		Form: carcass.Flat, Sizes: carcass.Sizes{Width: width, Depth: depth, FrontHeight: height},
		Build: carcass.Build{Wall: wall, Base: wall, Face: 3},
	}
}

func wedge(slope float64) carcass.Spec {
	return carcass.Spec{
		Form: carcass.Wedge, Sizes: carcass.Sizes{Width: 440, FaceHeight: 280, FrontHeight: 60, Slope: slope},
		Build: carcass.Build{Wall: 12, Base: 9, Face: 3},
	}
}

// of gives the findings of a rule.
func of(fs []finding.Finding, rule string) (out []finding.Finding) {
	for _, f := range fs {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

// drawSpec draws a box that a person might build.
func drawSpec(t *rapid.T) carcass.Spec {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	pick := func(name string, n int) int { return rapid.IntRange(0, n-1).Draw(t, name) }
	form := carcass.Form(pick("form", 5))
	b := carcass.Build{
		Wall: num("wall", 6, 20), Base: num("base", 6, 18), Face: num("face", 1.5, 12),
		Corner: carcass.Joint(pick("corner", 4)), Through: carcass.Through(pick("through", 2)), FaceFit: carcass.Fit(pick("face fit", 2)),
		BaseFit: carcass.BaseFit(pick("base fit", 3)), RestFit: carcass.Fit(pick("rest fit", 2)), Meeting: carcass.Meeting(pick("meeting", 3)),
		FaceHeld: carcass.Held(pick("held", 3)), HandRest: num("rest thick", 3, 12), Top: num("top thick", 6, 18),
	}
	if pick("square", 4) == 0 {
		b.WallEdges, b.BaseEdges, b.FaceEdges = carcass.Squared, carcass.Squared, carcass.Squared
	}
	if form == carcass.TwoSlope && pick("other upper", 3) == 0 {
		b.Upper = num("upper thick", 1.5, 6)
	}
	if b.Corner == carcass.Fingered {
		b.Fingers = carcass.Fingers{Width: num("finger", 5, 12), Kerf: 0.2}
	}
	if pick("blocks", 3) == 0 {
		b.Blocks.Size = num("block", 10, 20)
	}
	if b.FaceFit == carcass.In && form != carcass.Rack {
		b.Play = num("play", 0, 1)
	}
	z := carcass.Sizes{Width: num("width", 150, 500)}
	switch form {
	case carcass.Flat:
		z.Depth, z.FrontHeight = num("depth", 100, 400), num("height", 50, 150)
	case carcass.Wedge:
		z.FaceHeight, z.FrontHeight, z.Slope = num("along", 100, 400), num("front", 45, 120), num("slope", 1, 40)
	case carcass.Desk:
		z.Depth, z.FrontHeight, z.Slope = num("depth", 120, 400), num("front", 45, 120), num("slope", 1, 60)
		if pick("with rest", 2) == 1 {
			z.HandRest = num("rest", 45, 80)
			z.Depth += z.HandRest
		}
	case carcass.TwoSlope:
		z.FrontHeight, z.Slope, z.UpperSlope = num("front", 45, 100), num("slope", 1, 60), num("upper", 1, 70)
		z.FaceHeight, z.UpperHeight = num("lower", 130, 250), num("upper along", 130, 250)
	case carcass.Rack:
		z.Width = 0
		z.Units, z.Slope = 1+pick("units", 6), num("slope", 20, 90)
		b.Wall = num("cheek", 8, 16)
		if z.Slope > 70 || pick("top", 2) == 1 {
			z.Depth = carcass.PanelHeight(z.Units) + num("depth", 60, 250)
		}
	}
	return carcass.Spec{Form: form, Sizes: z, Build: b}
}

// drawBox draws a box that can be built.
func drawBox(t *rapid.T) *carcass.Carcass {
	for range 20 {
		if c, ps := carcass.Make(drawSpec(t)); len(ps) == 0 {
			return c
		}
	}
	t.Skip("no box")
	return nil
}
