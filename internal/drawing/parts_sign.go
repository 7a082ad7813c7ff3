package drawing

import "knobwright/internal/geom"

// Sign is a safety sign, redrawn plainly from what the standard says it means. Signs keep their own colours and stand only beside a
// caution in words.
type Sign string

// The signs, by their numbers in ISO 7010 (from memory).
const (
	SignCaution  Sign = "W001" // general warning
	SignGoggles  Sign = "M004" // wear eye protection
	SignMask     Sign = "M016" // wear a mask
	SignNoGloves Sign = "P028" // do not wear gloves
)

// SafetySign draws a sign d mm across, centred at at. The group carries its meaning in words.
func SafetySign(at geom.Vec2, d float64, s Sign) []Item {
	g := &Group{Place: geom.Place{At: at}, Scale: d / 100}
	switch s {
	case SignCaution:
		g.Note, g.Items = "Warning", signCaution()
	case SignGoggles:
		g.Note, g.Items = "Wear eye protection", signGoggles()
	case SignMask:
		g.Note, g.Items = "Wear a mask", signMask()
	case SignNoGloves:
		g.Note, g.Items = "Do not wear gloves", signNoGloves()
	}
	return []Item{g}
}

func pt(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} }

// signTriangle has rounded corners; r is the radius of the circle through the unrounded ones.
func signTriangle(r, round float64) geom.Outline {
	k := geom.Outline{}
	for _, turn := range [3]float64{90, 210, 330} {
		// The corner's circle sits on the bisector, 2·round in from the point; it turns by 120 degrees.
		c := geom.Place{Turn: turn}.Apply(pt(r-2*round, 0))
		a := c.Add(geom.Place{Turn: turn - 60}.Apply(pt(round, 0)))
		b := c.Add(geom.Place{Turn: turn + 60}.Apply(pt(round, 0)))
		k = append(k, geom.Vertex{P: a, Bulge: 0.5773502691896257}, geom.Vertex{P: b}) // tan 30°
	}
	return k
}

func lowered(o geom.Outline, dy float64) geom.Outline {
	return move{c: 1, t: pt(0, dy)}.outline(o)
}

func signCaution() []Item {
	black, yellow := Style{Fill: SignBlack}, Style{Fill: SignYellow}
	bar := geom.Outline{{P: pt(-3, -10)}, {P: pt(3, -10)}, {P: pt(5.5, 18), Bulge: 1}, {P: pt(-5.5, 18)}}
	return []Item{
		Outl(black, lowered(signTriangle(57, 5), -10)),
		Outl(yellow, lowered(signTriangle(46, 2), -10)),
		Outl(black, bar, geom.Circle(pt(0, -19), 11)),
	}
}

// head is a face from the front with shoulders left out: a plain oval and a neck.
func signHead() geom.Outline { return ellipse(pt(0, 2), 27, 34) }

func signGoggles() []Item {
	blue, white := Style{Fill: SignBlue}, Style{Fill: SignWhite}
	// One pane of goggles with a bridge for the nose, and the strap to the edges of the head.
	pane := geom.Outline{
		{P: pt(-23, 4)},
		{P: pt(-20, -6), Bulge: 0.35},
		{P: pt(-7, -7)},
		{P: pt(-3, 0), Bulge: -0.5},
		{P: pt(3, 0)},
		{P: pt(7, -7), Bulge: 0.35},
		{P: pt(20, -6)},
		{P: pt(23, 4), Bulge: 0.3},
		{P: pt(20, 13)},
		{P: pt(-20, 13), Bulge: 0.3},
	}
	shine := geom.Outline{{P: pt(-17, 5)}, {P: pt(-12, 10)}, {P: pt(-9, 10)}, {P: pt(-17, 2)}}
	mouth := roundBox(pt(-9, -21), pt(9, -17.5), 1.7)
	return []Item{
		Dot(pt(0, 0), 100, SignBlue), Outl(white, signHead()),
		Box(blue, pt(-28, 2), pt(28, 9)), Outl(blue, pane), Outl(white, shine), Outl(blue, mouth),
	}
}

func signMask() []Item {
	blue, white := Style{Fill: SignBlue}, Style{Fill: SignWhite}
	mask := geom.Outline{
		{P: pt(-19, -4), Bulge: -0.22}, {P: pt(19, -4)}, {P: pt(17, -20), Bulge: -0.18}, {P: pt(9, -30), Bulge: -0.2}, {P: pt(-9, -30), Bulge: -0.18}, {P: pt(-17, -20)},
	}
	strap := func(x float64) geom.Outline {
		return geom.Outline{{P: pt(x*18, -4)}, {P: pt(x*27, 4)}, {P: pt(x*27, 0)}, {P: pt(x*18, -9)}}
	}
	fold := func(y float64) *Path { return Outl(white, roundBox(pt(-11, y-0.9), pt(11, y+0.9), 0.8)) }
	return []Item{
		Dot(pt(0, 0), 100, SignBlue), Outl(white, signHead()),
		Dot(pt(-10, 12), 6, SignBlue), Dot(pt(10, 12), 6, SignBlue),
		Outl(blue, mask), Outl(blue, strap(1)), Outl(blue, strap(-1)), fold(-12), fold(-19),
	}
}

func signNoGloves() []Item {
	white, black, red := Style{Fill: SignWhite}, Style{Fill: SignBlack}, Style{Fill: SignRed}
	finger := func(x, lo, hi float64) geom.Outline { return roundBox(pt(x-3.6, lo), pt(x+3.6, hi), 3.5) }
	out := []Item{
		Dot(pt(0, 0), 100, SignRed), Outl(white, geom.Circle(pt(0, 0), 80)),
		Outl(black, finger(-9.6, -6, 21)), Outl(black, finger(-1.4, -6, 26)), Outl(black, finger(6.8, -6, 23)), Outl(black, finger(14.4, -6, 16)),
		Outl(black, roundBox(pt(-13.2, -16), pt(18, 4), 4)),
		&Group{Place: geom.Place{At: pt(-13, -8), Turn: 38}, Items: []Item{Outl(black, roundBox(pt(-4, -4), pt(4, 16), 3.9))}},
		Outl(black, geom.Outline{{P: pt(-11, -18.5)}, {P: pt(16, -18.5)}, {P: pt(19, -29)}, {P: pt(-14, -29)}}),
	}
	// The bar runs from upper left to lower right.
	return append(out, &Group{Place: geom.Place{Turn: -45}, Items: []Item{Box(red, pt(-42, -4), pt(42, 4))}})
}
