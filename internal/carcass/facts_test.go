package carcass

import (
	"math"
	"testing"

	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

func near(t *rapid.T, what string, have, want, tol float64) {
	t.Helper()
	if !(math.Abs(have-want) <= tol) {
		t.Fatalf("%s: have %.9g, want %.9g", what, have, want)
	}
}

// shape is the profile of a box, reckoned here from its sizes alone: corners of the outside and of the room in the carcass frame,
// counter-clockwise, and the heights of the walls.
type shape struct {
	out, in   []geom.Vec2
	top, foot func(v float64) float64
	depth     float64 // between the outsides of front and back, along the carcass frame
}

func shapeOf(c *Carcass) shape {
	z, b := c.Spec.Sizes, c.Spec.Build
	tan := func(d float64) float64 { return math.Tan(d * math.Pi / 180) }
	cos := func(d float64) float64 { return math.Cos(d * math.Pi / 180) }
	base := b.Base
	floor := base
	switch b.BaseFit {
	case Between:
		floor, base = b.Base+b.BaseUp, 0
	case NoBase:
		floor, base = 0, 0
	}
	s := shape{depth: z.Depth}
	lid := func(f Fit, t, slope float64) float64 { // vertical thickness that the walls lose
		if f == In {
			return 0
		}
		return t / cos(slope)
	}
	foot, fl := func(float64) float64 { return base }, func(float64) float64 { return floor }
	roof := func(float64) float64 { return z.FrontHeight }
	under := func(float64) float64 { return z.FrontHeight - b.Face }
	s.top = func(float64) float64 { return z.FrontHeight - lid(b.FaceFit, b.Face, 0) }
	var mid []float64 // runs at which the outside and the underside bend
	switch c.Spec.Form {
	case Wedge:
		cs, tn := cos(z.Slope), tan(z.Slope)
		s.depth = (z.BackHeight - z.FrontHeight) / math.Sin(z.Slope*math.Pi/180)
		roof = func(float64) float64 { return 0 }
		under = func(float64) float64 { return -b.Face }
		s.top = func(float64) float64 { return -lid(b.FaceFit, b.Face, 0) }
		foot = func(v float64) float64 { return (base-z.FrontHeight)/cs - v*tn }
		fl = func(v float64) float64 { return (floor-z.FrontHeight)/cs - v*tn }
	case Desk:
		r, tn := z.HandRest, tan(z.Slope)
		t := b.HandRest
		fit := b.RestFit
		if r == 0 {
			t, fit = b.Face, b.FaceFit
		}
		roof = func(v float64) float64 { return z.FrontHeight + max(0, v-r)*tn }
		face := func(v float64) float64 { return z.FrontHeight + (v-r)*tn - b.Face/cos(z.Slope) }
		under = func(v float64) float64 { return max(face(v), z.FrontHeight-t) }
		if r == 0 {
			under = face
		} else {
			mid = []float64{r, r + (b.Face/cos(z.Slope)-t)/tn}
		}
		s.top = func(v float64) float64 {
			if v < r {
				return z.FrontHeight - lid(fit, t, 0)
			}
			return roof(v) - lid(b.FaceFit, b.Face, z.Slope)
		}
	case TwoSlope:
		t1, t2 := tan(z.Slope), tan(z.UpperSlope)
		ym := (z.MiddleHeight - z.FrontHeight) / t1
		line := func(a, b float64) float64 {
			if t1 > t2 {
				return min(a, b)
			}
			return max(a, b)
		}
		roof = func(v float64) float64 { return line(z.FrontHeight+v*t1, z.MiddleHeight+(v-ym)*t2) }
		under = func(v float64) float64 {
			return line(z.FrontHeight+v*t1-b.Face/cos(z.Slope), z.MiddleHeight+(v-ym)*t2-b.Face/cos(z.UpperSlope))
		}
		mid = []float64{ym, ym + b.Face*(1/cos(z.UpperSlope)-1/cos(z.Slope))/(t2-t1)}
		s.top = func(v float64) float64 {
			if v < ym {
				return roof(v) - lid(b.FaceFit, b.Face, z.Slope)
			}
			upper := b.Upper
			if upper == 0 {
				upper = b.Face
			}
			return roof(v) - lid(b.FaceFit, upper, z.UpperSlope)
		}
	case Rack:
		roof = func(float64) float64 { return z.BackHeight }
		s.top = func(float64) float64 { return z.BackHeight - lid(b.RestFit, b.Top, 0) }
		if c.Board("top") == nil { // the panel covers the back
			s.top = func(v float64) float64 {
				return base + (float64(z.Units)*44.45-0.79)*math.Sin(z.Slope*math.Pi/180) + (v-z.Depth)*tan(z.Slope)
			}
		}
	}
	s.foot = foot
	bottom := func(v float64) float64 { // lowest of the box: the base laid under, or the walls
		if c.Spec.Form == Wedge {
			return -z.FrontHeight/cos(z.Slope) - v*tan(z.Slope)
		}
		return 0
	}
	s.out = []geom.Vec2{v2(0, bottom(0)), v2(s.depth, bottom(s.depth)), v2(s.depth, roof(s.depth))}
	a, e := b.Wall, s.depth-b.Wall
	s.in = []geom.Vec2{v2(a, fl(a)), v2(e, fl(e)), v2(e, under(e))}
	if len(mid) > 0 {
		s.out = append(s.out, v2(mid[0], roof(mid[0])))
		s.in = append(s.in, v2(mid[1], under(mid[1])))
	}
	s.out = append(s.out, v2(0, roof(0)))
	s.in = append(s.in, v2(a, under(a)))
	return s
}

func ring(ps []geom.Vec2) (area, round float64) {
	for i, p := range ps {
		q := ps[(i+1)%len(ps)]
		area += p.Cross(q) / 2
		round += q.Sub(p).Len()
	}
	return
}

// plainShell settles what the reckoning by profile takes for granted: bevelled edges, equal thickness of faces that meet.
func plainShell(t *rapid.T, s *Spec) {
	s.Build.FaceEdges, s.Build.BaseEdges, s.Build.WallEdges, s.Build.BaseUp, s.Build.Meeting, s.Build.Upper = Bevelled, Bevelled, Usual, 0, HalfEach, 0
	if s.Build.BaseFit == NoBase {
		s.Build.BaseFit = Under
	}
	if s.Form == TwoSlope && math.Abs(s.Sizes.Slope-s.Sizes.UpperSlope) < 2 {
		s.Sizes.UpperSlope = s.Sizes.Slope + 2
	}
	if s.Form == Desk && s.Sizes.HandRest > 0 { // one thickness, and laid on or let in together
		s.Build.HandRest, s.Build.RestFit = s.Build.Face, s.Build.FaceFit
		s.Sizes.Slope = max(s.Sizes.Slope, 3)
	}
	if s.Form == Rack {
		s.Sizes.Slope, s.Sizes.Depth = 90, max(s.Sizes.Depth, 120)
	}
}

// TestVolumeAndSurface: all boards of the shell together are the outside less the room inside, and their surfaces, less where they
// touch, are the surfaces of both.
func TestVolumeAndSurface(t *testing.T) {
	eachBox(t, plainShell, func(t *rapid.T, c *Carcass) {
		s, z, b := shapeOf(c), c.Spec.Sizes, c.Spec.Build
		if c.Spec.Form == Rack {
			lo := b.Base
			s.in = []geom.Vec2{v2(b.Face, lo), v2(z.Depth-b.Wall, lo), v2(z.Depth-b.Wall, z.BackHeight-b.Top), v2(b.Face, z.BackHeight-b.Top)}
			s.out = []geom.Vec2{{}, v2(z.Depth, 0), v2(z.Depth, z.BackHeight), v2(0, z.BackHeight)}
		}
		aOut, rOut := ring(s.out)
		aIn, rIn := ring(s.in)
		inner := z.Width - 2*b.Wall
		var have, surface float64
		for i := range c.Boards {
			if !c.Boards[i].Role.Shell() {
				continue
			}
			have += c.Boards[i].Volume
			surface += skin(&c.Boards[i])
		}
		want := z.Width*aOut - inner*aIn
		near(t, "volume", have, want, 1e-6*want)
		for _, k := range c.Contacts {
			if c.Boards[k.A].Role.Shell() && c.Boards[k.B].Role.Shell() {
				surface -= 2 * k.Area
			}
		}
		all := 2*aOut + z.Width*rOut + 2*aIn + inner*rIn
		near(t, "surface", surface, all, 1e-6*all)
		var room float64
		for _, h := range c.Interior {
			room += h.Volume()
		}
		near(t, "room", room, inner*aIn, 1e-6*inner*aIn)
	})
}

// skin is the surface of a board: of its parts, less twice where they touch each other.
func skin(b *Board) (a float64) {
	for i, h := range b.Parts {
		for f := range h.Faces {
			a += h.FaceArea(f)
		}
		for _, g := range b.Parts[:i] {
			for _, p := range touching(g, h) {
				a -= 2 * p.Area
			}
		}
	}
	return a
}

// TestCorners: where walls meet they touch over the whole of the joint.
func TestCorners(t *testing.T) {
	eachBox(t, nil, func(t *rapid.T, c *Carcass) {
		s, b := shapeOf(c), c.Spec.Build
		w := b.Wall
		for _, end := range []string{"front", "back"} {
			if c.Board(end) == nil {
				continue
			}
			at := func(d float64) float64 { // place d in from the outside of the end wall
				if end == "back" {
					return s.depth - d
				}
				return d
			}
			h := func(d float64) float64 { return s.top(at(d)) - s.foot(at(d)) }
			var want float64
			switch b.Corner {
			case Butt:
				want = w * h(w)
				if b.Through == Sides {
					want = w * h(w/2)
				}
			case Mitred:
				want = math.Sqrt2 * w * h(w/2)
			case Rebated:
				d, r := c.Spec.rebate()
				if b.Through == FrontBack { // steps inwards: across at w-d, along, across at w
					want = r*h(w-d) + d*h(w-d/2) + (w-r)*h(w)
				} else {
					want = r*h(r/2) + d*h(r) + (w-r)*h(r+(w-r)/2)
				}
			case Fingered:
				lo, hi := max(s.foot(at(0)), s.foot(at(w))), min(s.top(at(0)), s.top(at(w)))
				n := fingerCount(hi-lo, b.Fingers.Width)
				pitch := (hi - lo) / float64(n)
				odd := float64(n/2) * pitch // together, of the fingers that are never at an end
				even := func(d float64) float64 { return h(d) - odd }
				want = float64(n-1) * w * w
				if b.Through == FrontBack {
					want += w*even(w) + w*odd
				} else {
					want += w*odd + w*even(w/2)
				}
			}
			for _, side := range []string{sideName(c.Spec.Form, false), sideName(c.Spec.Form, true)} {
				near(t, end+" with "+side, contactArea(c, end, side), want, 1e-6*want)
			}
		}
	})
}

func contactArea(c *Carcass, a, b string) float64 {
	for _, k := range c.Contacts {
		x, y := c.Boards[k.A].Name, c.Boards[k.B].Name
		if x == a && y == b || x == b && y == a {
			return k.Area
		}
	}
	return 0
}

// TestLaid: a face laid on rests on the whole edges of all walls, and so does a base laid under.
func TestLaid(t *testing.T) {
	change := func(t *rapid.T, s *Spec) {
		plainShell(t, s)
		s.Build.FaceFit, s.Build.RestFit, s.Build.BaseFit = On, On, Under
		s.Build.FaceEdges = EdgeStyle(rapid.IntRange(0, 3).Draw(t, "edges"))
	}
	eachBox(t, change, func(t *rapid.T, c *Carcass) {
		s, z, b := shapeOf(c), c.Spec.Sizes, c.Spec.Build
		sum := func(board string) (a float64) {
			for _, w := range []string{"front", "back", sideName(c.Spec.Form, false), sideName(c.Spec.Form, true)} {
				a += contactArea(c, board, w)
			}
			return a
		}
		w, inner := b.Wall, z.Width-2*b.Wall
		cos := func(d float64) float64 { return math.Cos(d * math.Pi / 180) }
		tan := func(d float64) float64 { return math.Tan(d * math.Pi / 180) }
		frame := func(d float64) float64 { return z.Width*d - inner*(d-2*w) }
		// from the front, or the joint, to the joint, or the back: two sides and one end wall
		horse := func(along, slope float64) float64 { return 2*w*along + inner*w/cos(slope) }
		fl := frame(s.depth)
		switch c.Spec.Form {
		case Flat:
			near(t, "face", sum("face"), frame(s.depth), 1e-6*fl)
		case Wedge:
			near(t, "face", sum("face"), frame(s.depth), 1e-6*fl)
			fl /= cos(z.Slope)
		case Desk:
			if z.HandRest == 0 {
				near(t, "face", sum("face"), frame(s.depth)/cos(z.Slope), 1e-6*fl)
				break
			}
			half := b.Face * tan(z.Slope/2)
			near(t, "hand rest", sum("hand rest"), horse(z.HandRest+half, 0), 1e-6*fl)
			near(t, "face", sum("face"), horse((s.depth-z.HandRest)/cos(z.Slope)-b.Face*tan(z.Slope)+half, z.Slope), 1e-6*fl)
		case TwoSlope:
			half := b.Face * tan((z.UpperSlope-z.Slope)/2)
			ym := (z.MiddleHeight - z.FrontHeight) / tan(z.Slope)
			near(t, "lower face", sum("lower face"), horse(ym/cos(z.Slope)+b.Face*tan(z.Slope)+half, z.Slope), 1e-6*fl)
			near(t, "upper face", sum("upper face"), horse((s.depth-ym)/cos(z.UpperSlope)-b.Face*tan(z.UpperSlope)+half, z.UpperSlope), 1e-6*fl)
		case Rack:
			near(t, "face", sum("face"), 2*w*(z.BackHeight-b.Base-b.Top), 1e-6*fl)
			near(t, "top", sum("top"), 2*w*(z.Depth-b.Face)+inner*w, 1e-6*fl)
			fl = 2*w*(z.Depth-b.Face) + inner*w
		}
		near(t, "base", sum("base"), fl, 1e-6*fl)
	})
}

// TestSidesBetween: in a butt-jointed box whose front and back run through, the sides are as long as the side of the face less twice
// the wall. Common practice.
func TestSidesBetween(t *testing.T) {
	change := func(t *rapid.T, s *Spec) {
		plainShell(t, s)
		s.Build.Corner, s.Build.Through, s.Build.FaceFit = Butt, FrontBack, On
	}
	for _, form := range []Form{Flat, Wedge} {
		made, tried := 0, 0
		rapid.Check(t, func(t *rapid.T) {
			s := drawSpec(t, form, Butt)
			change(t, &s)
			tried++
			c, ps := Make(s)
			if len(ps) > 0 {
				return
			}
			made++
			for _, side := range []string{"left side", "right side"} {
				near(t, side, c.Board(side).Blank.X, c.Faces[0].Height-2*s.Build.Wall, 1e-6)
			}
			near(t, "front", c.Board("front").Blank.X, c.Faces[0].Width, 1e-6)
		})
		enough(t, made, tried, 2)
	}
}

// TestWedgePlane: when a side is cut from one bottom corner to the height of the front piece on the opposite edge, front, sides and
// back meet the table in one plane, and the face leans by the angle of that cut. Common practice.
func TestWedgePlane(t *testing.T) {
	made, tried := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := drawSpec(t, Wedge, Butt)
		s.Build.Through, s.Build.BaseFit = FrontBack, Between
		tried++
		c, ps := Make(s)
		if len(ps) > 0 {
			return
		}
		made++
		for _, name := range []string{"front", "back", "left side", "right side"} {
			b := c.Board(name)
			low := 0
			for _, h := range b.Parts {
				for _, p := range h.Points {
					if p.Z < -1e-9 {
						t.Fatalf("%s reaches %g below the table", name, -p.Z)
					}
					if p.Z < 1e-9 {
						low++
					}
				}
			}
			if low != 4 {
				t.Fatalf("%s stands on %d corners, not 4", name, low)
			}
		}
		// the recipe, in the side's own plane: blank as long as the side and as high as the back where they meet
		side, front, back := c.Board("right side"), c.Board("front"), c.Board("back")
		length, high, low := side.Blank.X, back.InnerSize.Y, front.InnerSize.Y
		want := geom.Polygon(v2(length, 0), v2(length, high), v2(0, high), v2(0, high-low))
		near(t, "area of the side", side.OuterOutline.Area(), want.Area(), 1e-6*want.Area())
		if m, _ := want.Grow(1e-6).Margin(side.OuterOutline); m < 0 {
			t.Fatalf("the side sticks out of the recipe by %g", -m)
		}
		near(t, "slope", c.Faces[0].Slope, math.Atan2(high-low, length)*180/math.Pi, 1e-6)
	})
	enough(t, made, tried, 2)
}
