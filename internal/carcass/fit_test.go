package carcass

import (
	"math"
	"testing"

	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// TestLetIn: boards let in touch the walls with the whole of their edges, and lie on the whole of their ledges and cleats.
func TestLetIn(t *testing.T) {
	change := func(t *rapid.T, s *Spec) {
		plainShell(t, s)
		s.Build.FaceFit, s.Build.RestFit, s.Build.BaseFit = In, In, Between
		if s.Sizes.FrontHeight > 0 {
			s.Sizes.FrontHeight += 30
		}
	}
	eachBox(t, change, func(t *rapid.T, c *Carcass) {
		z, b := c.Spec.Sizes, c.Spec.Build
		inner := z.Width - 2*b.Wall
		cos := func(d float64) float64 { return math.Cos(d * math.Pi / 180) }
		sides := func(k string) float64 {
			return contactArea(c, k, sideName(c.Spec.Form, false)) + contactArea(c, k, sideName(c.Spec.Form, true))
		}
		base := c.Board("base")
		tilt := 0.0
		if c.Spec.Form == Wedge {
			tilt = z.Slope
		}
		long := base.OuterSize.Y
		near(t, "base with sides", sides("base"), 2*long*b.Base, 1e-6*long*b.Base)
		if c.Spec.Form != Rack {
			near(t, "base with front", contactArea(c, "base", "front"), inner*b.Base/cos(tilt), 1e-6*inner)
		}
		near(t, "base with back", contactArea(c, "base", "back"), inner*b.Base/cos(tilt), 1e-6*inner)
		// cleats: a ring 12 wide, measured square to leaning walls, and as long as the base
		var on float64
		for i := range c.Boards {
			if k := &c.Boards[i]; k.Role == RoleCleat {
				on += contactArea(c, "base", k.Name)
			}
		}
		ring := 2*12*(long) + (inner-24)*2*12/cos(tilt)
		if c.Spec.Form == Rack { // no cleat at the panel, and the ledges of the panel stand before the side ones
			ring = 2*12*(long-12) + (inner-24)*12
		}
		near(t, "base on cleats", on, ring, 1e-6*ring)
		switch c.Spec.Form {
		case Flat, Wedge, Desk:
			if z.HandRest > 0 {
				break
			}
			slope := z.Slope
			if c.Spec.Form == Wedge {
				slope = 0
			}
			f := c.Board("face")
			near(t, "face with sides", sides("face"), 2*f.OuterSize.Y*b.Face, 1e-6*f.OuterSize.Y)
			near(t, "face with front", contactArea(c, "face", "front"), inner*b.Face/cos(slope), 1e-6*inner)
			near(t, "face with back", contactArea(c, "face", "back"), inner*b.Face/cos(slope), 1e-6*inner)
			var on float64
			for i := range c.Boards {
				if k := &c.Boards[i]; k.Role == RoleLedge {
					on += contactArea(c, "face", k.Name)
				}
			}
			ring := 2*12*f.OuterSize.Y + (inner-24)*2*12/cos(slope)
			near(t, "face on ledges", on, ring, 1e-6*ring)
		}
	})
}

// withPlay adds play and overhang where they belong.
func withPlay(t *rapid.T, s *Spec) {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	if s.Build.FaceFit == In {
		s.Build.Play = num("play", 0, 2)
	} else if s.Form != Rack {
		s.Build.Overhang = num("overhang", 0, 20)
	}
	if s.Build.BaseFit == Between {
		s.Build.BasePlay = num("base play", 0, 2)
	}
	withBattens(t, s)
}

// TestPlayClosed: with play round a face or a base let in, the only ways out are the gaps declared.
func TestPlayClosed(t *testing.T) {
	eachBox(t, withPlay, func(t *rapid.T, c *Carcass) {
		closed(t, c, 120)
		near(t, "face width", c.Faces[0].Width, c.Spec.Sizes.FaceWidth, 1e-6)
		near(t, "face height", c.Faces[0].Height, c.Spec.Sizes.FaceHeight, 1e-6)
	})
}

// TestFingerPlay: play between fingers takes its volume off, and leaves the seats of the fingers touching.
func TestFingerPlay(t *testing.T) {
	change := func(t *rapid.T, s *Spec) {
		plainShell(t, s)
		s.Build.Corner, s.Build.Fingers = Fingered, Fingers{Width: rapid.Float64Range(5, 14).Draw(t, "finger")}
	}
	for _, form := range forms {
		made, tried := 0, 0
		rapid.Check(t, func(t *rapid.T) {
			s := drawSpec(t, form, Fingered)
			change(t, &s)
			tried++
			tight, ps := Make(s)
			if len(ps) > 0 {
				return
			}
			made++
			play := rapid.Float64Range(0.05, 0.5).Draw(t, "play")
			s.Build.Fingers.Clearance = play
			loose, ps := Make(s)
			if len(ps) > 0 {
				t.Fatal(ps)
			}
			var have, want float64
			for i := range tight.Boards {
				have += tight.Boards[i].Volume - loose.Boards[i].Volume
			}
			for _, b := range loose.Boards {
				for _, e := range b.Edges {
					if e.Comb != nil && b.Role == RoleSide {
						want += float64(e.Comb.Count-1) * s.Build.Wall * s.Build.Wall * play / 2
						near(t, "slot less finger", e.Comb.Slot()-e.Comb.Finger(), play, 1e-9)
						seats := contactArea(tight, b.Name, e.Neighbour) - float64(e.Comb.Count-1)*s.Build.Wall*s.Build.Wall
						lost := seats - contactArea(loose, b.Name, e.Neighbour)
						near(t, "seats lost to play", lost, float64(e.Comb.Count-1)*s.Build.Wall*play/2, 1e-6*seats)
					}
				}
			}
			near(t, "volume of the play", have, want, 1e-6*want)
			s.Build.Fingers.Clearance = -play
			press, ps := Make(s)
			if len(ps) > 0 {
				t.Fatal(ps)
			}
			for i := range press.Boards {
				near(t, "press fit", press.Boards[i].Volume, tight.Boards[i].Volume, 1e-9*tight.Boards[i].Volume)
			}
		})
		enough(t, made, tried, 4)
	}
}

// TestPlayByHand: play is measured along the face and along the base.
func TestPlayByHand(t *testing.T) {
	s := cueDesk()
	s.Sizes = Sizes{Width: 340, Depth: 200, FrontHeight: 60, Slope: 20}
	s.Build.FaceFit, s.Build.BaseFit, s.Build.Play, s.Build.BasePlay = In, Between, 0.75, 0.5
	c, ps := Make(s)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	cos := math.Cos(20 * math.Pi / 180)
	if f := c.Faces[0]; math.Abs(f.Height-((200-18)/cos-1.5)) > 1e-9 || math.Abs(f.Width-(340-18-1.5)) > 1e-9 {
		t.Errorf("face %g x %g", f.Width, f.Height)
	}
	if b := c.Board("base"); math.Abs(b.OuterSize.X-(340-18-1)) > 1e-9 || math.Abs(b.OuterSize.Y-(200-18-1)) > 1e-9 {
		t.Errorf("base %v", b.OuterSize)
	}
}

// TestFrontBevelled: the base of a wedge, bevelled in front to meet the leaning wall and square behind: the front edge tilts by the
// slope, and the base is shorter by what the lean of the back takes over its thickness.
func TestFrontBevelled(t *testing.T) {
	s := cueDesk()
	s.Form, s.Build.BaseFit, s.Build.BaseEdges = Wedge, Between, FrontBevelled
	c, ps := Make(s)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	sn, cs := math.Sincos(14 * math.Pi / 180)
	front, back := edgeOf(t, c, "base", "front edge"), edgeOf(t, c, "base", "back edge")
	if math.Abs(front.Bevel-14) > 1e-9 || back.Bevel != 0 || front.Longer != Inner {
		t.Errorf("front %+v, back %+v", front, back)
	}
	b := c.Board("base")
	level := (200.0 - 18) / cs // between the walls
	if math.Abs(b.InnerSize.Y-level) > 1e-9 || math.Abs(b.OuterSize.Y-(level-6*sn/cs)) > 1e-9 {
		t.Errorf("base %v above, %v below, want %g", b.InnerSize.Y, b.OuterSize.Y, level)
	}
}

// TestDepth: behind a sloping face over upright walls the depth is the height over the base by the cosine of the slope, or the way to
// the back by its sine, whichever is less. Common practice.
func TestDepth(t *testing.T) {
	made, tried := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		tried++
		s := drawSpec(t, Desk, Butt)
		s.Build.BaseFit, s.Build.FaceFit, s.Build.RestFit = Under, On, On
		c, ps := Make(s)
		if len(ps) > 0 {
			return
		}
		f, z, b := c.Faces[0], c.Spec.Sizes, c.Spec.Build
		sn, cs := math.Sincos(z.Slope * math.Pi / 180)
		y := f.Height * rapid.Float64Range(0.2, 0.9).Draw(t, "up")
		p := f.Frame.ToWorld(v3(f.Width/2, y, -f.Thickness))
		want := min((p.Z-b.Base)/cs, (z.Depth-b.Wall-p.Y)/sn)
		if p.Y > z.Depth-b.Wall || p.Y < b.Wall {
			return
		}
		made++
		have, _ := c.Depth(0, v2(f.Width/2, y))
		near(t, "depth", have, want, 1e-6)
	})
	enough(t, made, tried, 3)
	c, ps := Make(cueDesk())
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	if _, what := c.Depth(0, v2(170, 100)); what != "base" {
		t.Errorf("behind the middle lies %q, not the base", what)
	}
	if _, what := c.Depth(0, v2(4, 100)); what != "left side" {
		t.Errorf("behind the left rim lies %q", what)
	}
	if d, what := c.Depth(3, v2(4, 100)); what != "" || !math.IsInf(d, 1) {
		t.Errorf("behind no face: %g, %q", d, what)
	}
}

// TestCutOut: openings go through both sides of a board, or not at all.
func TestCutOut(t *testing.T) {
	c, ps := Make(cueDesk())
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	back := c.Board("back")
	hole := geom.Circle(v2(60, 30), 12)
	if !c.CutOut("back", "cable", hole) || len(back.Cutouts) != 1 || len(c.Openings) != 1 {
		t.Error("the cable hole is not in")
	}
	if at := c.Openings[0].Frame.ToWorld(v3(60, 30, 0)); math.Abs(at.X-280) > 1e-9 || math.Abs(at.Y-c.Spec.Sizes.Depth) > 1e-9 || math.Abs(at.Z-36) > 1e-9 {
		t.Errorf("the cable hole is at %v", at)
	}
	for _, o := range []geom.Outline{geom.Circle(v2(60, 3), 12), geom.Circle(v2(-60, 30), 12), nil, back.OuterOutline.Grow(1)} {
		if c.CutOut("back", "no", o) {
			t.Errorf("%v went in", o)
		}
	}
	if c.CutOut("lid", "no", hole) {
		t.Error("a hole in no board")
	}
}

// TestBoardByHand: the cue desk, board by board, worked out by trigonometry: heights outside and inside, bevels, names.
func TestBoardByHand(t *testing.T) {
	c, ps := Make(cueDesk())
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	s, k := math.Sincos(14 * math.Pi / 180)
	tan := s / k
	outside := 45 - 3/k - 6 // front, at its outside: below the face, on the base
	rise := 200*s - 9*tan
	for _, w := range []struct {
		board         string
		long, out, in float64
	}{
		{"front", 340, outside, outside + 9*tan},
		{"back", 340, outside + 200*s, outside + rise},
		{"face", 340, 200, 200},
		{"base", 340, 200 * k, 200 * k},
		{"left side", 200*k - 18, outside + rise, outside + rise},
	} {
		b := c.Board(w.board)
		if math.Abs(b.OuterSize.X-w.long) > 1e-6 || math.Abs(b.OuterSize.Y-w.out) > 1e-6 || math.Abs(b.InnerSize.Y-w.in) > 1e-6 {
			t.Errorf("%s: %v outside, %v inside, want %g x %g, %g", w.board, b.OuterSize, b.InnerSize, w.long, w.out, w.in)
		}
	}
	top := edgeOf(t, c, "front", "top")
	if math.Abs(top.Bevel-14) > 1e-9 || math.Abs(top.Over-9*tan) > 1e-9 || top.Longer != Inner || top.Neighbour != "face" || top.Joint != LaidOn || top.When != Rip {
		t.Errorf("top of the front: %+v", top)
	}
	if got := c.Board("front").Slant(top); got != "9.0 thick, 2.2 over" {
		t.Errorf("slant %q", got)
	}
	if e := edgeOf(t, c, "back", "top"); math.Abs(e.Bevel-14) > 1e-9 || e.Longer != Outer {
		t.Errorf("top of the back: %+v", e)
	}
	if e := edgeOf(t, c, "left side", "top"); e.Bevel != 0 || e.When != Taper || math.Abs(e.Turn-166) > 1e-9 {
		t.Errorf("top of the left side: %+v", e)
	}
	if e := edgeOf(t, c, "right side", "top"); math.Abs(e.Turn-14) > 1e-9 {
		t.Errorf("top of the right side: %+v", e)
	}
	if e := edgeOf(t, c, "left side", "front end"); e.Joint != Butt || e.Neighbour != "front" || e.When != CrossCut || math.Abs(e.Length-(outside+9*tan)) > 1e-6 {
		t.Errorf("front end of the left side: %+v", e)
	}
	if f := c.Faces[0]; math.Abs(f.Frame.O.Y+3*s) > 1e-9 || math.Abs(f.Frame.O.Z-(45-3*s*tan)) > 1e-9 {
		t.Errorf("square face starts at %v", f.Frame.O)
	}
}

func edgeOf(t *testing.T, c *Carcass, board, name string) Edge {
	t.Helper()
	for _, e := range c.Board(board).Edges {
		if e.Name == name {
			return e
		}
	}
	t.Fatalf("the %s has no %s", board, name)
	return Edge{}
}
