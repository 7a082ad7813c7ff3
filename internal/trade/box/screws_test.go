package box

import (
	"math"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"

	"pgregory.net/rapid"
)

// inWood reports whether a point lies in a board, plane by plane.
func inWood(b *carcass.Board, p geom.Vec3, slack float64) bool {
	for _, h := range b.Parts {
		ok := true
		for i := range h.Faces {
			pl := h.Plane(i)
			if p.Dot(pl.N)-pl.D > slack {
				ok = false
			}
		}
		if ok {
			return true
		}
	}
	return false
}

// bar samples points of a round bar: from a along d, between the lengths from and to, on radius r.
func bar(a, d geom.Vec3, from, to, r float64, each func(geom.Vec3)) {
	u := d.Cross(geom.Vec3{X: 0.3, Y: 0.5, Z: 0.81}).Unit()
	v := d.Cross(u)
	for i := range 12 {
		s := from + (to-from)*float64(i)/11
		for k := range 14 {
			w := float64(k) * 2 * math.Pi / 14
			each(a.Add(d.Mul(s)).Add(u.Mul(r * math.Cos(w))).Add(v.Mul(r * math.Sin(w))))
		}
	}
}

// TestScrewsStayInside: every screw of random boxes lies in the two boards that it joins, with its cover, and nowhere else; its head is
// reached by the driver; no two screws meet.
func TestScrewsStayInside(t *testing.T) {
	placed := 0
	rapid.Check(t, func(t *rapid.T) {
		c := drawBox(t)
		r := Judge(order(c))
		for _, s := range r.Screws {
			placed++
			from, into := c.Board(s.Through), c.Board(s.Into)
			if !into.Role.Shell() { // a screw into a batten may run on into what the batten is glued to
				both := *into
				both.Parts = slices.Clone(into.Parts)
				for _, ct := range c.Contacts {
					a, b := &c.Boards[ct.A], &c.Boards[ct.B]
					if ct.Joint == carcass.Glued && (a == into || b == into) {
						both.Parts = append(append(both.Parts, a.Parts...), b.Parts...)
					}
				}
				into = &both
			}
			thick := s.Length - s.Deep
			bar(s.At, s.Dir, 0.001, thick-0.001, s.Size.Major*1.15, func(p geom.Vec3) {
				if !inWood(from, p, 1e-3) {
					t.Fatalf("screw %d %s>%s leaves the first board at %v", s.N, s.Through, s.Into, p)
				}
			})
			bar(s.At, s.Dir, thick+0.01, s.Length, s.Size.Major/2, func(p geom.Vec3) {
				if !inWood(into, p, 1e-3) {
					t.Fatalf("screw %d %s>%s comes out of the second board at %v", s.N, s.Through, s.Into, p)
				}
			})
			keep := limCover.Default
			if s.Cover < keep-1e-6 {
				t.Fatalf("screw %d has a cover of %g", s.N, s.Cover)
			}
			bar(s.At, s.Dir, s.Length, s.Length+keep*0.98, 0.01, func(p geom.Vec3) {
				if !inWood(into, p, 1e-3) {
					t.Fatalf("screw %d %s>%s has too little wood before its tip", s.N, s.Through, s.Into)
				}
			})
			// The cover is kept square to every flat; past the mouth, where the wood begins, all round.
			if math.Abs(s.Dir.Dot(into.Frame.N)) < 1e-9 && thick+keep*3 < s.Length {
				bar(s.At, s.Dir, thick+keep*3, s.Length, s.Size.Major/2+keep*0.85, func(p geom.Vec3) {
					if !inWood(into, p, 1e-3) {
						t.Fatalf("screw %d %s>%s has too little wood beside it at %v, cover %g", s.N, s.Through, s.Into, p, s.Cover)
					}
				})
			}
			for k := range 30 {
				p := s.At.Sub(s.Dir.Mul(0.5 + float64(k)*5))
				for i := range c.Boards {
					if b := &c.Boards[i]; b != from && inWood(b, p, -0.2) {
						t.Fatalf("the driver of screw %d %s>%s meets the %s", s.N, s.Through, s.Into, b.Name)
					}
				}
				if inWood(from, p, -0.2) {
					t.Fatalf("the head of screw %d %s>%s lies in its board", s.N, s.Through, s.Into)
				}
			}
		}
		for i, a := range r.Screws {
			for _, b := range r.Screws[:i] {
				least := math.Inf(1)
				for p := 0.0; p <= 1; p += 0.05 {
					for q := 0.0; q <= 1; q += 0.05 {
						least = min(least, a.At.Add(a.Dir.Mul(a.Length*p)).Sub(b.At.Add(b.Dir.Mul(b.Length*q))).Len())
					}
				}
				if least < (a.Size.Major+b.Size.Major)/2+limBetween.Default-1e-6 {
					t.Fatalf("screws %d and %d come within %g", a.N, b.N, least)
				}
			}
		}
	})
	if placed == 0 {
		t.Error("no screw was placed in any box")
	}
}

// TestDeskScrews is worked out by hand: 12 mm walls take 3 mm screws (a quarter), in the middle of their edge, 6 mm from the outside; with
// 19 mm of bite wanted, a base of 9 mm wants 28 mm: 30 of the lengths sold; a wall of 12 mm wants 31: 35.
func TestDeskScrews(t *testing.T) {
	r := Judge(order(made(t, desk())))
	n := 0
	for _, s := range r.Screws {
		n++
		if s.Size.Major != 3 {
			t.Errorf("screw %d is %g thick", s.N, s.Size.Major)
		}
		want := 35.0
		if s.Through == "base" {
			want = 30
		}
		if s.Length != want {
			t.Errorf("screw %d of the %s is %g long, want %g", s.N, s.Through, s.Length, want)
		}
		if s.Into == "left side" && math.Abs(s.At.X-6) > 1e-6 || s.Into == "front" && math.Abs(s.At.Y-6) > 1e-6 {
			t.Errorf("screw %d stands at %v", s.N, s.At)
		}
		if math.Abs(s.Cover-4.5) > 1e-3 { // half of 12 less half of 3
			t.Errorf("screw %d has a cover of %g", s.N, s.Cover)
		}
		if math.Abs(s.Pilot.Want-1.8) > 1e-9 || s.Pilot.Bit.Diameter != 2 && s.Pilot.Bit.Diameter != 1.5 {
			t.Errorf("pilot %v", s.Pilot)
		}
	}
	if n < 16 {
		t.Errorf("only %d screws", n)
	}
	if fs := of(r.Findings, "box.screw-out"); len(fs) > 0 {
		t.Error(fs)
	}
}

// TestLeaningWall: a base screwed from below into a wall that leans. At 25 degrees over 12 mm of ply the screw is out long before its
// 19 mm; at 4 degrees it stays in.
func TestLeaningWall(t *testing.T) {
	steep := Judge(order(made(t, wedge(25))))
	if fs := of(steep.Findings, "box.screw-out"); len(fs) != 2 || !strings.Contains(fs[0].Body, "leans 25 degrees") {
		t.Errorf("leaning 25: %v", fs)
	}
	for _, s := range steep.Screws {
		if s.Through == "base" && (s.Into == "front" || s.Into == "back") {
			t.Errorf("screw %d goes into the leaning %s", s.N, s.Into)
		}
	}
	if fs := of(Judge(order(made(t, wedge(4)))).Findings, "box.screw-out"); len(fs) != 0 {
		t.Errorf("leaning 4: %v", fs)
	}
	s := wedge(12) // what the finding proposes helps, while the walls do not lean too much
	if fs := of(Judge(order(made(t, s))).Findings, "box.screw-out"); len(fs) == 0 {
		t.Errorf("leaning 12: %v", fs)
	}
	s.Build.BaseFit, s.Build.BasePlay = carcass.Between, 0.5
	r := Judge(order(made(t, s)))
	if fs := of(r.Findings, "box.screw-out"); len(fs) != 0 {
		t.Errorf("on cleats: %v", fs)
	}
	held := map[string]int{}
	for _, x := range r.Screws {
		held[x.Into]++
	}
	if held["cleat, front"] < 2 || held["cleat, back"] < 2 || held["cleat, left"] < 2 || held["cleat, right"] < 2 {
		t.Errorf("on cleats: %v", held)
	}
}

// TestThinWall: 9.2 mm takes no screws in its edge; with blocks in the corners nobody needs to be told.
func TestThinWall(t *testing.T) {
	s := flat(300, 200, 80, 9.2)
	r := Judge(order(made(t, s)))
	fs := of(r.Findings, "box.thin-wall")
	if len(fs) == 0 || fs[0].Measure.Have != 9.2 || fs[0].Measure.Want != 10 || len(fs[0].Fixes) == 0 {
		t.Errorf("%+v", fs)
	}
	if len(r.Screws) != 0 {
		t.Errorf("%d screws", len(r.Screws))
	}
	s.Build.Blocks = carcass.Blocks{Size: 15}
	r = Judge(order(made(t, s)))
	for _, f := range of(r.Findings, "box.thin-wall") {
		t.Errorf("with blocks: %v", f.Head)
	}
}

// TestOwnScrews: a wished size and length are taken, and judged.
func TestOwnScrews(t *testing.T) {
	o := order(made(t, desk()))
	o.Screws = Screws{Diameter: 3, Length: 60}
	for _, s := range Judge(o).Screws {
		if s.Length != 60 {
			t.Errorf("screw %d is %g long", s.N, s.Length)
		}
		if s.Through == "base" && s.Into == "front" { // it is 49 mm high above the base
			t.Errorf("screw %d goes through the top of the front", s.N)
		}
	}
	if fs := of(Judge(o).Findings, "box.screw-out"); len(fs) == 0 || !strings.Contains(fs[0].Head, "front") {
		t.Errorf("60 mm in a wall of 49: %v", fs)
	}
	for in, want := range map[string][2]float64{"3x20": {3, 20}, "3.5 x 25 mm": {3.5, 25}, "#4 x 3/4 in": {2.8448, 19.05}, "#6": {3.5052, 0}, "": {}, "M3": {}, "3": {3, 0}, "-3x5": {0, 5}} {
		if d, l := ScrewSize(in); math.Abs(d-want[0]) > 1e-9 || math.Abs(l-want[1]) > 1e-9 {
			t.Errorf("%q is %g x %g, want %v", in, d, l, want)
		}
	}
}
