package carcass

import (
	"math"
	"testing"

	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// withBattens adds ledges, cleats, blocks and a rib.
func withBattens(t *rapid.T, s *Spec) {
	num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	if rapid.Bool().Draw(t, "ledge") {
		s.Build.Ledge = Batten{num("ledge width", 4, 14), num("ledge height", 4, 12)}
	}
	if rapid.Bool().Draw(t, "cleat") {
		s.Build.Cleat = Batten{num("cleat width", 4, 14), num("cleat height", 4, 12)}
	}
	if rapid.Bool().Draw(t, "blocks") {
		s.Build.Blocks = Blocks{Size: num("block", 5, 20), Triangular: rapid.Bool().Draw(t, "triangular")}
		if rapid.Bool().Draw(t, "short blocks") {
			s.Build.Blocks.Height = num("block height", 5, 60)
		}
	}
	if s.Sizes.FrontHeight > 0 {
		s.Sizes.FrontHeight += 30
	}
	if rapid.Bool().Draw(t, "rib") {
		x := num("rib at", 50, 100)
		s.Build.Ribs = []Rib{{From: v2(x, -10), To: v2(x+num("rib runs", 0, 30), 500), Width: num("rib width", 4, 12), Height: num("rib height", 5, 20)}}
	}
}

// TestBattens: battens share no room with anything, lie inside the box, and touch what they are glued to over their whole length.
func TestBattens(t *testing.T) {
	eachBox(t, withBattens, func(t *rapid.T, c *Carcass) {
		for i := range c.Boards {
			b := &c.Boards[i]
			if b.Role.Shell() {
				continue
			}
			for j := range c.Boards {
				if i != j && shared(b, &c.Boards[j]) > 1e-6 {
					t.Fatalf("%s and %s share room", b.Name, c.Boards[j].Name)
				}
			}
			var in float64
			for _, room := range c.Interior {
				for _, h := range b.Parts {
					if g := common(h, room); g != nil {
						in += g.Volume()
					}
				}
			}
			near(t, b.Name+" inside", in, b.Volume, 1e-6*b.Volume)
			// the back of a strip is its inner side; all of it is glued to walls
			if b.Role == RoleLedge || b.Role == RoleCleat {
				var glued float64
				for _, k := range c.Contacts {
					if k.A != i && k.B != i {
						continue
					}
					for _, p := range k.Patches {
						if n := p.N.Dot(b.Frame.N); k.A == i && n < -1+1e-9 || k.B == i && n > 1-1e-9 {
							glued += p.Area
						}
					}
				}
				near(t, b.Name+" glued", glued, b.InnerOutline.Area(), 1e-6*glued)
			}
		}
	})
}

// TestEdges: every straight piece of both outlines belongs to an edge, the bevel of an edge is what both sides say, and a board
// with straight edges has the volume that its two sides and the section half way give.
func TestEdges(t *testing.T) {
	eachBox(t, withBattens, func(t *rapid.T, c *Carcass) {
		for i := range c.Boards {
			b := &c.Boards[i]
			plain := len(b.Parts) == 1
			for _, e := range b.Edges {
				plain = plain && e.Rebate == nil && e.Comb == nil
				if d := math.Atan2(e.Over, b.Thickness) * 180 / math.Pi; math.Abs(d-e.Bevel) > 1e-6 {
					t.Fatalf("%s, %s: %g over is not %g°", b.Name, e.Name, e.Over, e.Bevel)
				}
				for _, s := range []struct {
					span Span
					z    float64
				}{{e.Outer, 0}, {e.Inner, -b.Thickness}} {
					if s.span.Len() == 0 {
						continue
					}
					for _, p := range []geom.Vec2{s.span.A, s.span.B} {
						if d := b.Frame.ToWorld(p.At(s.z)).Dot(e.Plane.N) - e.Plane.D; math.Abs(d) > 1e-4 {
							t.Fatalf("%s, %s: end off its plane by %g", b.Name, e.Name, d)
						}
					}
				}
				if o, in := e.Outer.Len(), e.Inner.Len(); e.When != Taper && plain && o > 0 && in > 0 && e.Bevel > 0 {
					// the inner side ends Over farther in when the outer is longer: Left() points into the board
					low := func(o geom.Outline) float64 {
						n := e.Outer.B.Sub(e.Outer.A).Unit().Left()
						lo := math.Inf(1)
						for _, v := range o {
							lo = min(lo, v.P.Dot(n))
						}
						return lo
					}
					step := low(b.InnerOutline) - low(b.OuterOutline)
					if want := e.Over; e.Longer == Outer && math.Abs(step-want) > 1e-4 || e.Longer == Inner && math.Abs(step+want) > 1e-4 {
						t.Fatalf("%s, %s: %s side longer by %g, sides differ by %g", b.Name, e.Name, e.Longer, want, step)
					}
				}
			}
			covered(t, b, b.OuterOutline, 0)
			covered(t, b, b.InnerOutline, -b.Thickness)
			if b.Role == RoleBlock && c.Spec.Build.Blocks.Triangular {
				continue
			}
			if b.OuterOutline == nil || b.InnerOutline == nil {
				t.Fatalf("%s has a side without outline", b.Name)
			}
			if plain && len(b.OuterOutline) == len(b.InnerOutline) && sameTurn(b) {
				mid := section(b)
				want := b.Thickness / 6 * (b.OuterOutline.Area() + b.InnerOutline.Area() + 4*mid)
				near(t, b.Name+" by its sides", b.Volume, want, 1e-6*want)
			}
		}
	})
}

// TestNeighbours: what an edge says it is joined to touches the board there; and boards of the shell that touch say so.
func TestNeighbours(t *testing.T) {
	eachBox(t, plainShell, func(t *rapid.T, c *Carcass) {
		for _, k := range c.Contacts {
			a, b := &c.Boards[k.A], &c.Boards[k.B]
			if !a.Role.Shell() || !b.Role.Shell() {
				continue
			}
			joint, said := Free, false
			for _, e := range a.Edges {
				if e.Neighbour == b.Name {
					joint, said = e.Joint, true
				}
			}
			for _, e := range b.Edges {
				if e.Neighbour == a.Name {
					joint, said = e.Joint, true
				}
			}
			if c.Spec.Form == Rack && (a.Role == RoleFace || b.Role == RoleFace) && !said {
				continue // the panel covers the front edge of a base or a top
			}
			if !said || joint != k.Joint && joint != Meets {
				t.Fatalf("%s and %s touch (%s, %.1f mm²), their edges say %v %s", a.Name, b.Name, k.Joint, k.Area, said, joint)
			}
		}
		for i := range c.Boards {
			b := &c.Boards[i]
			for _, e := range b.Edges {
				if b.Role.Shell() && e.Neighbour != "" && e.Joint != Meets && contactArea(c, b.Name, e.Neighbour) == 0 {
					t.Fatalf("%s, %s: joined (%s) to the %s, but does not touch it", b.Name, e.Name, e.Joint, e.Neighbour)
				}
			}
		}
	})
}

// section is the area half way through a convex board.
func section(b *Board) float64 {
	h, ok := geom.CutHull(b.Parts[0], geom.HalfSpace{N: b.Frame.N, D: b.Frame.N.Dot(b.Frame.O) - b.Thickness/2})
	if !ok {
		return 0
	}
	return h.FaceArea(len(h.Faces) - 1)
}

// sameTurn reports whether no edge ends within the thickness, so that the section changes evenly.
func sameTurn(b *Board) bool {
	for _, e := range b.Edges {
		if (e.Outer.Len() == 0) != (e.Inner.Len() == 0) {
			return false
		}
	}
	return true
}

// covered checks that every straight piece of an outline lies on an edge's plane, or within the depth of a rebate or finger.
func covered(t *rapid.T, b *Board, o geom.Outline, z float64) {
	for i, v := range o {
		mid := b.Frame.ToWorld(v.P.Add(o[(i+1)%len(o)].P).Mul(0.5).At(z))
		found := false
		for _, e := range b.Edges {
			d := e.Plane.D - mid.Dot(e.Plane.N) // how far in from the edge
			within := 1e-5
			if e.Rebate != nil {
				within += e.Rebate.Width
			}
			if e.Comb != nil {
				within += e.Comb.Length
			}
			found = found || d > -1e-5 && d < within
		}
		if !found {
			t.Fatalf("%s: no edge at %v of %v", b.Name, b.Frame.ToLocal(mid), o)
		}
	}
}

// TestPairs: left and right boards are mirror images.
func TestPairs(t *testing.T) {
	eachBox(t, withBattens, func(t *rapid.T, c *Carcass) {
		w := c.Spec.Sizes.Width
		for i := range c.Boards {
			b := &c.Boards[i]
			if b.Hand != "left" {
				continue
			}
			r := c.Board(b.Pair)
			if r == nil || r.Pair != b.Name || r.Hand != "right" {
				t.Fatalf("%s has no fellow", b.Name)
			}
			near(t, b.Name+" volume", r.Volume, b.Volume, 1e-9*b.Volume)
			for _, h := range b.Parts {
				for _, p := range h.Points {
					p.X = w - p.X
					best := math.Inf(1)
					for _, g := range r.Parts {
						for _, q := range g.Points {
							best = min(best, q.Sub(p).Len())
						}
					}
					if best > 1e-6 {
						t.Fatalf("corner of %s is off its mirror image by %g", b.Name, best)
					}
				}
			}
		}
	})
}

// TestFaceFrames: the face frame takes the finished face where the sizes say.
func TestFaceFrames(t *testing.T) {
	eachBox(t, nil, func(t *rapid.T, c *Carcass) {
		z := c.Spec.Sizes
		f := c.Faces[0]
		near(t, "width", f.Width, z.FaceWidth, 1e-6)
		near(t, "height", f.Height, z.FaceHeight, 1e-6)
		if c.Spec.Form != Flat {
			near(t, "slope", f.Slope, z.Slope, 1e-6)
		}
		for _, f := range c.Faces {
			b := &c.Boards[f.Board]
			if got := f.Frame.U.Cross(f.Frame.V).Sub(f.Frame.N).Len(); got > 1e-12 {
				t.Fatalf("frame is not square: %g", got)
			}
			p := f.Frame.ToWorld(v3(3, 5, -1))
			if q := f.Frame.ToLocal(p); q.Sub(v3(3, 5, -1)).Len() > 1e-9 {
				t.Fatalf("there and back: %v", q)
			}
			if q := f.Frame.Pose().Inverse().Apply(p); q.Sub(v3(3, 5, -1)).Len() > 1e-9 {
				t.Fatalf("there and back by pose: %v", q)
			}
			far := f.Frame.ToWorld(v3(f.Width, f.Height, 0))
			for _, q := range []geom.Vec3{f.Frame.O, far} {
				least := math.Inf(1)
				for _, k := range b.Parts[0].Points {
					least = min(least, k.Sub(q).Len())
				}
				if least > 1e-6 {
					t.Fatalf("%s: a corner of the frame is off the board by %g", f.Name, least)
				}
			}
			if f.Frame.U != v3(1, 0, 0) || f.Frame.N.Z < -1e-12 || f.Frame.N.Y > 1e-12 || f.Frame.V.Z < -1e-12 {
				t.Fatalf("%s looks the wrong way: %+v", f.Name, f.Frame)
			}
		}
	})
}

// TestStands: no board lies below the table, something stands on it, and outside measures are what the sizes say.
func TestStands(t *testing.T) {
	eachBox(t, nil, func(t *rapid.T, c *Carcass) {
		z, b := c.Spec.Sizes, c.Spec.Build
		near(t, "lowest", c.Bounds.Min.Z, 0, 2*b.Base) // a squared base of a wedge may stand off by its bevel
		if c.Spec.Form != Wedge || b.BaseFit != Under {
			near(t, "lowest", c.Bounds.Min.Z, 0, 1e-6)
		}
		box := geom.EmptyBox3()
		for i := range c.Boards {
			if r := c.Boards[i].Role; r == RoleSide || r == RoleBack || r == RoleFront {
				for _, h := range c.Boards[i].Parts {
					box = box.Union(h.Bounds())
				}
			}
		}
		near(t, "left", box.Min.X, 0, 1e-9)
		near(t, "width", box.Max.X, z.Width, 1e-6)
		if c.Spec.Form != Wedge {
			near(t, "depth", box.Max.Y, z.Depth, 1e-6)
		}
		if c.Spec.Form == Wedge && b.BaseFit != Under {
			near(t, "depth", box.Max.Y, z.Depth, 1e-6)
		}
		if c.Spec.Form != Rack {
			f := c.Boards[c.Faces[0].Board]
			if z.HandRest > 0 {
				f = *c.Board("hand rest")
			}
			y := 0.0 // height of its front plane at the foremost line
			near(t, "front height", f.Frame.O.Z+(f.Frame.O.Y-y)*f.Frame.N.Y/f.Frame.N.Z, z.FrontHeight, 1e-6)
		}
		near(t, "clear depth", clearBehind(c), z.Clear, 1e-6)
	})
}

// clearBehind measures the clear depth on the solid of the room.
func clearBehind(c *Carcass) float64 {
	f := c.Faces[0]
	way := f.Frame.N.Mul(-1)
	// the lowest point of the room's face that lies against the back of the face
	at, low := geom.Vec3{}, math.Inf(1)
	room := c.Interior[0]
	for _, h := range c.Interior {
		for _, p := range h.Points {
			q := f.Frame.ToLocal(p)
			if math.Abs(q.Z+f.Thickness) > 1e-6 {
				continue
			}
			if q.Y < low-1e-9 {
				at, low, room = p, q.Y, h
			}
		}
	}
	if c.Spec.Form == Rack { // under the top to the back; without one the farthest corner from the panel
		high, far := math.Inf(-1), 0.0
		for _, p := range room.Points {
			q := f.Frame.ToLocal(p)
			if far = max(far, -f.Thickness-q.Z); math.Abs(q.Z+f.Thickness) < 1e-6 && q.Y > high {
				at, high = p, q.Y
			}
		}
		if c.Board("top") == nil {
			return far
		}
		back := c.Board("back")
		return (back.Frame.O.Y - back.Thickness - at.Y) / way.Y
	}
	fl := math.Inf(1) // down to the floor's plane
	for _, h := range c.Interior {
		for i := range h.Faces {
			pl := h.Plane(i)
			if pl.N.Z < -1+1e-9 {
				fl = min(fl, (pl.D-at.Dot(pl.N))/way.Dot(pl.N))
			}
		}
	}
	return fl
}

// TestStepMeets: where the sides of a desk step at the hand rest, the step lies against the bevelled edge of the rest. Both are
// mitred, 10 degrees each at a slope of 20: a rest of 12 mm reaches 9 mm further down than a face of 3, 9.14 mm along the mitre.
func TestStepMeets(t *testing.T) {
	c, ps := Make(Spec{
		Form: Desk, Sizes: Sizes{Width: 320, FaceHeight: 180, FrontHeight: 60, Slope: 20, HandRest: 70},
		Build: Build{Wall: 12, Base: 12, Face: 3, HandRest: 12},
	})
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	side := c.Board("left side")
	for _, e := range side.Edges {
		if e.Name != "step at the face" {
			continue
		}
		if e.Neighbour != "hand rest" {
			t.Errorf("the step meets the %s", e.Neighbour)
		}
		if math.Abs(e.Length-9/math.Cos(10*math.Pi/180)) > 1e-6 {
			t.Errorf("the step is %.3f mm", e.Length)
		}
		return
	}
	t.Error("no step")
}
