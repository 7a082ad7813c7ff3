package pack

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// sound is a question and a good answer to it, with all kinds of nodes.
func sound(t *testing.T) ([]Piece, []Sheet, Options, []Layout) {
	t.Helper()
	pieces := []Piece{
		{Width: 300, Height: 200, Count: 2},
		{Width: 150, Height: 90, Count: 3, Turn: true},
		{Width: 60, Height: 410, Count: 1},
	}
	sheets := []Sheet{{Width: 800, Height: 500, Count: 2, Cost: 1}}
	o := Options{Kerf: 3, Trim: Margins{5, 5, 5, 5}, Effort: Quick}
	plan, err := Stock(pieces, sheets, o)
	if err != nil || plan.Missing != nil || len(plan.Layouts) != 1 {
		t.Fatal(plan, err)
	}
	if err := Check(pieces, sheets, o, plan.Layouts); err != nil {
		t.Fatal(err)
	}
	return pieces, sheets, o, plan.Layouts
}

// inner finds a panel that is cut and has waste or pieces on both sides.
func inner(n *Node) *Node {
	var found *Node
	n.Walk(func(n *Node) {
		if found == nil && n.First != nil && n.Second != nil {
			found = n
		}
	})
	return found
}

func TestCheckFindsWhatIsWrong(t *testing.T) {
	for _, c := range []struct {
		rule  string
		spoil func(pieces []Piece, sheets []Sheet, o *Options, l *Layout)
	}{
		{"no sheet", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { l.Sheet = 1 }},
		{"another size", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { l.Width++ }},
		{"not as asked", func(_ []Piece, _ []Sheet, o *Options, _ *Layout) { o.Kerf = 2 }},
		{"used more than", func(_ []Piece, s []Sheet, _ *Options, _ *Layout) { s[0].Count = 0 }},
		{"placed more than", func(p []Piece, _ []Sheet, _ *Options, _ *Layout) { p[0].Count = 1 }},
		{"no such piece", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { l.Placed[0].Piece = 7 }},
		{"wanted", func(p []Piece, _ []Sheet, _ *Options, _ *Layout) { p[0].Width += 0.01 }},
		{"against its grain", func(p []Piece, _ []Sheet, _ *Options, l *Layout) {
			for i := range l.Placed {
				if q := &l.Placed[i]; q.Piece == 0 {
					q.Turned, q.Width, q.Height = true, q.Height, q.Width
				}
			}
		}},
		{"outside", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { l.Placed[0].X = 4.9 }},
		{"outside", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { l.Placed[0].Y = math.NaN() }},
		{"less than a kerf", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) {
			l.Placed[1].X, l.Placed[1].Y = l.Placed[0].X, l.Placed[0].Y
		}},
		{"less than a kerf", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) {
			// Two neighbours come a little nearer than the kerf.
			for i := range l.Placed {
				for k := range l.Placed {
					p, q := l.Placed[i], &l.Placed[k]
					if i != k && near(p.Y, q.Y) && near(p.X+p.Width+l.Kerf, q.X) {
						q.X -= 0.01
						return
					}
					if i != k && near(p.X, q.X) && near(p.Y+p.Height+l.Kerf, q.Y) {
						q.Y -= 0.01
						return
					}
				}
			}
		}},
		{"first panel", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { l.Root.Width++ }},
		{"kerf", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) {
			n := inner(l.Root)
			n.Second.X, n.Second.Y = n.Second.X+1, n.Second.Y+1
		}},
		{"edge to edge", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) {
			n := inner(l.Root)
			if n.Upright {
				n.First.Height -= 1
			} else {
				n.First.Width -= 1
			}
		}},
		{"are lost", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) {
			l.Root.Walk(func(n *Node) {
				if n.Second != nil && n.Second.Waste() {
					n.Second = nil
				}
			})
		}},
		{"cut further", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { inner(l.Root).Piece = 0 }},
		{"into one", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { inner(l.Root).First = nil }},
		{"are placed", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) { l.Placed = l.Placed[1:] }},
		{"is placed at", func(_ []Piece, _ []Sheet, _ *Options, l *Layout) {
			l.Root.Walk(func(n *Node) {
				if n.Piece == 0 {
					n.Piece = 2
				}
			})
		}},
	} {
		pieces, sheets, o, layouts := sound(t)
		c.spoil(pieces, sheets, &o, &layouts[0])
		err := Check(pieces, sheets, o, layouts)
		var broken *CheckError
		if !errors.As(err, &broken) || !strings.Contains(broken.Rule, c.rule) {
			t.Errorf("wanted %q, got %v", c.rule, err)
		}
	}
}

// What is left over is left over: no offcut comes nearer than a kerf to a piece, or meets another.
func TestOffcutsAreEmpty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := Options{Kerf: float64(rapid.IntRange(0, 3).Draw(t, "kerf")), Effort: Quick}
		sheets := []Sheet{{Width: 60, Height: 40, Count: Unlimited, Cost: 1}}
		pieces := fitting(drawPieces(t, 6, 30), sheets...)
		for _, solve := range []func([]Piece, []Sheet, Options) (Plan, error){Stock, Free} {
			plan, err := solve(pieces, sheets, o)
			if err != nil {
				t.Fatal(err)
			}
			for _, l := range plan.Layouts {
				all := l.Placed
				for _, c := range l.Offcuts(4, 9) {
					if min(c.Width, c.Height) < 4 || max(c.Width, c.Height) < 9 {
						t.Fatalf("%v is too small", c)
					}
					all = append(all, Placement{X: c.X, Y: c.Y, Width: c.Width, Height: c.Height})
				}
				if err := checkApart(0, Layout{Placed: all, Kerf: o.Kerf}, nil); err != nil {
					t.Fatal(err)
				}
			}
		}
	})
}

// One sheet holds all easily: what is left is one large panel, not scattered.
func TestOneLargeOffcut(t *testing.T) {
	pieces := []Piece{{Width: 200, Height: 300, Count: 4}, {Width: 120, Height: 100, Count: 2}}
	sheets := []Sheet{{Width: 1200, Height: 620, Count: Unlimited, Cost: 1}}
	for name, solve := range map[string]func([]Piece, []Sheet, Options) (Plan, error){"Stock": Stock, "Free": Free} {
		plan, err := solve(pieces, sheets, Options{Kerf: 4})
		if err != nil || len(plan.Layouts) != 1 {
			t.Fatal(plan, err)
		}
		// Two columns of two, and one of the small ones above each other: 528 mm and their kerfs are used.
		o := plan.Layouts[0].Offcuts(0, 0)
		if len(o) == 0 || o[0].Area() < 600*620 {
			t.Errorf("%s leaves %v", name, o)
		}
	}
}

// Offcuts at hand are used before new sheets are bought.
func TestOffcutsFirst(t *testing.T) {
	pieces := []Piece{{Width: 300, Height: 200, Count: 3}}
	sheets := []Sheet{
		{Name: "new", Width: 1000, Height: 800, Count: Unlimited, Cost: 30},
		{Name: "left", Width: 320, Height: 410, Count: 1},
		{Name: "shelf", Width: 310, Height: 210, Count: 2},
	}
	plan, err := Stock(pieces, sheets, Options{Kerf: 3})
	if err != nil || plan.Cost != 0 || !plan.Exact || len(plan.Layouts) != 2 {
		t.Fatalf("%+v %v", plan, err)
	}
	pieces[0].Count = 5 // one too many for the offcuts
	plan, err = Stock(pieces, sheets, Options{Kerf: 3})
	if err != nil || plan.Cost != 30 || !plan.Exact {
		t.Fatalf("%+v %v", plan, err)
	}
	sheets[0].Count = 0
	plan, err = Stock(pieces, sheets, Options{Kerf: 3})
	if err != nil || plan.Missing == nil || plan.Missing[0] != 1 || plan.Exact {
		t.Fatalf("%+v %v", plan, err)
	}
}

// Thirds of a sheet make a sheet, though a third is no whole number of micrometres.
func TestThirds(t *testing.T) {
	pieces := []Piece{{Width: 1000.0 / 3, Height: 25.4 / 3, Count: 9}}
	plan, err := Stock(pieces, []Sheet{{Width: 1000, Height: 25.4, Count: Unlimited, Cost: 1}}, Options{})
	if err != nil || len(plan.Layouts) != 1 {
		t.Fatalf("%d sheets, %v", len(plan.Layouts), err)
	}
	if n := len(plan.Layouts[0].Cuts()); n != 8 {
		t.Errorf("%d cuts for nine pieces", n)
	}
}

// A blade that takes more than what is left skims the edge; the list says so.
func TestSkimmingCut(t *testing.T) {
	pieces := []Piece{{Width: 98.5, Height: 50, Count: 1}}
	sheets := []Sheet{{Width: 100, Height: 50, Count: 1}}
	r, err := Guillotine(pieces, sheets[0], Options{Kerf: 3})
	if err != nil {
		t.Fatal(err)
	}
	cuts := r.Cuts()
	if len(cuts) != 1 || cuts[0].Leaves != 0 || math.Abs(cuts[0].Kerf-1.5) > 1e-9 || cuts[0].Distance != 98.5 || !cuts[0].Upright || cuts[0].Rip {
		t.Errorf("%+v", cuts)
	}
	if r.Settings() != 1 {
		t.Errorf("%d settings", r.Settings())
	}
}
