package carcass

import (
	"math"
	"testing"
)

// FuzzMake: whatever the numbers, there is a box that holds together, or a reason.
func FuzzMake(f *testing.F) {
	f.Add(uint8(2), uint8(0), uint16(0), 340.0, 0.0, 45.0, 0.0, 200.0, 14.0, 0.0, 9.0, 6.0, 3.0, 12.0)
	f.Add(uint8(1), uint8(2), uint16(0x421), 340.0, 200.0, 45.0, 90.0, 0.0, 0.0, 0.0, 9.0, 6.0, 3.0, 0.0)
	f.Add(uint8(2), uint8(3), uint16(0x3333), 340.0, 0.0, 60.0, 0.0, 200.0, 20.0, 70.0, 9.0, 6.0, 3.0, 9.0)
	f.Add(uint8(3), uint8(1), uint16(0x8001), 340.0, 0.0, 60.0, 0.0, 200.0, 20.0, 55.0, 9.0, 6.0, 3.0, 150.0)
	f.Add(uint8(4), uint8(0), uint16(0x10), 0.0, 250.0, 0.0, 0.0, 0.0, 60.0, 4.0, 9.0, 6.0, 3.0, 5.0)
	f.Fuzz(func(t *testing.T, form, corner uint8, fits uint16, width, depth, front, back, high, slope, more, wall, base, face, other float64) {
		bits := func(at, n uint) int { return int(fits>>at) & (1<<n - 1) }
		s := Spec{Form: Form(form % 6)}
		s.Sizes = Sizes{Width: width, Depth: depth, FrontHeight: front, BackHeight: back, FaceHeight: high, Slope: slope}
		s.Build = Build{
			Wall: wall, Base: base, Face: face, Corner: Joint(corner % 5), Through: Through(bits(0, 1)), FaceFit: Fit(bits(1, 1)), RestFit: Fit(bits(2, 1)),
			BaseFit: BaseFit(bits(3, 2)), FaceEdges: EdgeStyle(bits(5, 2)), BaseEdges: EdgeStyle(bits(7, 2)), Meeting: Meeting(bits(9, 2)),
			HandRest: other, Top: other, RebateDepth: other, RebateWidth: other / 2, Fingers: Fingers{Width: other, Clearance: other / 40},
		}
		if bits(11, 1) == 1 {
			s.Build.Ledge, s.Build.Cleat, s.Build.Blocks.Size = Batten{other, other}, Batten{other, other}, other
		}
		if bits(12, 1) == 1 {
			s.Build.Play, s.Build.BasePlay, s.Build.Overhang = other/10, other/10, 0
		}
		if bits(13, 1) == 1 {
			s.Build.Ribs = []Rib{{From: v2(width/3, 0), To: v2(width/2, high), Width: other, Height: other}}
		}
		switch s.Form {
		case Desk:
			s.Sizes.HandRest = more
		case TwoSlope:
			s.Sizes.UpperSlope, s.Sizes.UpperHeight, s.Sizes.MiddleHeight = more, other, other/2
		case Rack:
			s.Sizes.Units = int(math.Mod(more, 80))
		}
		c, ps := Make(s)
		if (c == nil) == (len(ps) == 0) {
			t.Fatalf("box %v, problems %v", c != nil, ps)
		}
		for _, p := range ps {
			if p.Text == "" || math.IsNaN(p.Have+p.Want) {
				t.Fatalf("%+v", p)
			}
		}
		if c == nil {
			return
		}
		size := c.Bounds.Max.Sub(c.Bounds.Min).Len()
		for i := range c.Boards {
			b := &c.Boards[i]
			if !(b.Volume > 0) || !(b.Thickness > 0) || !(b.Blank.X > 0) || !(b.Blank.Y > 0) {
				t.Fatalf("%s is nothing: %+v", b.Name, b.Blank)
			}
			for j := range i {
				if v := shared(b, &c.Boards[j]); v > 1e-12*size*size*size {
					t.Fatalf("%s and %s share %g mm³", b.Name, c.Boards[j].Name, v)
				}
			}
			if b.OuterOutline == nil && b.InnerOutline == nil {
				t.Fatalf("%s has no outline", b.Name)
			}
		}
		for _, f := range c.Faces {
			if !(f.Width > 0 && f.Height > 0) {
				t.Fatalf("%+v", f)
			}
		}
		c.Order()
	})
}
