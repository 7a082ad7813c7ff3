package box

import (
	"math"
	"testing"

	"knobwright/internal/finding"

	"pgregory.net/rapid"
)

// TestPlans: over random boxes every board of the shell lies on exactly one sheet, whole, apart by the kerf, its grain as asked; a saw's
// cuts reach every piece; and no plan uses less new sheet than its bound.
func TestPlans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := order(drawBox(t))
		o.Saw = Saw{Kind: []string{"table", "hand", "laser", ""}[rapid.IntRange(0, 3).Draw(t, "saw")], Trim: rapid.Float64Range(0, 10).Draw(t, "trim")}
		for range rapid.IntRange(0, 3).Draw(t, "stock") {
			o.Stock = append(o.Stock, Stock{Sheet: ply12.ID, Name: "offcut", Width: rapid.Float64Range(50, 900).Draw(t, "w"), Height: rapid.Float64Range(50, 600).Draw(t, "h"), Count: 1})
		}
		r := Work(o)
		boards := 0
		for _, l := range r.Boards {
			if l.Board.Role.Shell() {
				boards++
			}
		}
		placed := 0
		for _, p := range r.Plans {
			seen := map[int]bool{}
			for _, s := range p.Sheets {
				for i, a := range s.Layout.Placed {
					placed++
					if seen[a.Piece] {
						t.Fatalf("%s is cut twice", p.Pieces[a.Piece].Name)
					}
					seen[a.Piece] = true
					q := p.Pieces[a.Piece]
					if math.Abs(a.Width*a.Height-q.Width*q.Height) > 0.01 || p.Material.Grain() && (a.Turned || math.Abs(a.Width-q.Width) > 1e-3) {
						t.Fatalf("%s lies as %g x %g, turned %v", q.Name, a.Width, a.Height, a.Turned)
					}
					if a.X < s.Layout.Trim.Left-1e-3 || a.Y < s.Layout.Trim.Bottom-1e-3 || a.X+a.Width > s.Layout.Width-s.Layout.Trim.Right+1e-3 || a.Y+a.Height > s.Layout.Height-s.Layout.Trim.Top+1e-3 {
						t.Fatalf("%s reaches over its sheet", q.Name)
					}
					for _, b := range s.Layout.Placed[:i] {
						k := s.Layout.Kerf - 1e-3
						if a.X < b.X+b.Width+k && b.X < a.X+a.Width+k && a.Y < b.Y+b.Height+k && b.Y < a.Y+a.Height+k {
							t.Fatalf("%s meets %s on the sheet", q.Name, p.Pieces[b.Piece].Name)
						}
					}
				}
				if !p.Free {
					got := map[int]bool{}
					for _, c := range s.Cuts {
						got[c.KeepsIs], got[c.LeavesIs] = true, true
					}
					if len(s.Cuts) > 0 {
						for _, a := range s.Layout.Placed {
							if !got[a.Piece] {
								t.Fatalf("no cut gives %s", p.Pieces[a.Piece].Name)
							}
						}
					}
				}
			}
			if p.New < p.Bound-1e-6 {
				t.Fatalf("%g new, bound %g", p.New, p.Bound)
			}
		}
		if placed != boards && len(of(r.Findings, "box.board-too-big")) == 0 {
			t.Fatalf("%d of %d boards are laid out: %v", placed, boards, r.Findings)
		}
	})
}

// TestOffcuts: a box that comes out of the offcut on hand buys nothing; from a smaller one it buys, and says so.
func TestOffcuts(t *testing.T) {
	o := order(made(t, flat(300, 200, 80, 12)))
	o.Saw = Saw{Kind: "table", Kerf: 3}
	o.Stock = []Stock{{Sheet: ply12.ID, Name: "offcut of the shelf", Width: 700, Height: 400, Count: 1}}
	r := Work(o)
	for _, p := range r.Plans {
		if p.Material.ID == ply12.ID && (len(p.Buy) > 0 || p.Sheets[0].Name != "offcut of the shelf" || p.Bound != 0) {
			t.Errorf("buys %v", p.Buy)
		}
	}
	o.Stock[0].Width = 310
	o.Stock[0].Height = 100
	r = Work(o)
	if fs := of(r.Findings, "box.stock-short"); len(fs) != 2 || fs[0].Severity != finding.Warn || fs[1].Severity != finding.Note {
		t.Errorf("a small offcut: %v", fs)
	}
	o.Saw.Kerf = -1
	if r = Work(o); len(of(r.Findings, "box.saw")) != 1 || len(r.Plans) != 0 {
		t.Errorf("a kerf below nothing: %v", r.Findings)
	}
	big := order(made(t, flat(3200, 200, 80, 12)))
	if fs := of(Judge(big).Findings, "box.board-too-big"); len(fs) == 0 || fs[0].Measure.Have != 3200 {
		t.Errorf("3.2 m of plywood: %v", fs)
	}
}

func TestSmallPieces(t *testing.T) {
	r := Judge(order(made(t, flat(300, 150, 50, 12))))
	if fs := of(r.Findings, "box.small-piece"); len(fs) != 1 {
		t.Errorf("walls 38 mm high: %v", fs)
	}
	last := r.Order[len(r.Order)-1]
	if !last.Small {
		t.Errorf("the last cut is %v", last)
	}
}
