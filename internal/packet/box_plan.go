package packet

import (
	"fmt"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/solve/pack"
	"knobwright/internal/trade/box"
	"knobwright/internal/view"
)

// planPage is one sheet as it is cut up: a picture, then the cuts in order.
func planPage(r *job.Result, d desk, p box.Plan, i int) []drawing.Page {
	ps := p.Sheets[i]
	lay := ps.Layout
	name := ps.Name
	if name == "" {
		name = "sheet"
	}
	way := "Saw from edge to edge, in this order. Every blade takes its kerf."
	if p.Free {
		way = fmt.Sprintf("For a laser: the boards lie as in the cutting file, %s apart.", d.size(lay.Kerf))
	}
	apart := "kerf " + d.size(lay.Kerf)
	if p.Free {
		apart = "kerf " + d.size(r.Box.Kerf)
	}
	l := d.list(sheet{
		name: "Cutting plan", use: way, where: fmt.Sprintf("%s, %s", p.Material.Title, name),
		cells: []cell{d.panelCell(), {d.by(lay.Width, lay.Height), "sheet, along the grain first"}, {fmt.Sprintf("%.0f %% used", 100*lay.Area()/(lay.Width*lay.Height)), apart}},
	})
	s := view.PlanScene(p, ps)
	size := s.Bounds.Size()
	area := geom.Box2{Min: v(marginX+22, 0), Max: v(d.paper.w-marginX-8, d.paper.h-topY-6)}
	k := min(area.Size().X/size.X, 105/size.Y)
	org := v(area.Min.X+(area.Size().X-k*size.X)/2, area.Max.Y-k*size.Y)
	l.items = append(l.items, &drawing.Group{Scale: k, Place: geom.Place{At: org}, Items: s.Items})
	for _, q := range lay.Placed {
		c := org.Add(v(q.X+q.Width/2, q.Y+q.Height/2).Mul(k))
		w, h := q.Width*k, q.Height*k
		text, turn := p.Pieces[q.Piece].Name, 0.0
		if h > w {
			turn, w, h = 90, h, w
		}
		fit, sz := drawing.Fit(drawing.Lettering, drawing.CapSize(drawing.Lettering, min(3.0, h*0.5)), text, w-2)
		l.items = append(l.items, &drawing.Text{At: c, S: fit, Face: drawing.Lettering, Size: sz, Anchor: drawing.Centre, Middle: true, Turn: turn})
	}
	l.items = append(l.items, drawing.DimX(org, org.Add(v(k*size.X, 0)), org.Y-7, d.size(lay.Width)).Items()...)
	l.items = append(l.items, drawing.DimY(org, org.Add(v(0, k*size.Y)), org.X-7, d.size(lay.Height)).Items()...)
	l.y = org.Y - 12
	l.para(planWords(d, p, ps), false)
	if len(ps.Cuts) > 0 && !p.Free {
		l.heading("Cuts, " + d.unit())
		cols := []column{{head: "", w: 6, tick: true}, {head: "no.", w: 11, right: true}, {head: "piece", w: 34, bold: true}, {head: "fence to", w: 22, right: true}, {head: "cut", w: 30}, {head: "gives", w: 0}}
		var rows []row
		for n, c := range ps.Cuts {
			rows = append(rows, row{"x", fmt.Sprint(n + 1), panelName(c), d.coord(round1(c.Distance)) + ", " + c.From.String(), cutWay(c), cutGives(p, c)})
		}
		l.table(cols, rows)
	}
	if len(ps.Rests) > 0 {
		l.heading("Left over, worth keeping")
		for _, o := range ps.Rests {
			l.bullet(d.by(round1(o.Width), round1(o.Height)), false)
		}
	}
	return l.done()
}

func planWords(d desk, p box.Plan, s box.PlanSheet) string {
	say := "From what is on hand."
	if s.Buy {
		say = "To be bought."
	}
	if p.New > 0 && p.Bound > 0 {
		say += fmt.Sprintf(" All plans for this material use %s m² of new sheet; no plan can do with less than %s m².", area(p.New), area(p.Bound))
	}
	return say
}

func area(mm2 float64) string { return fmt.Sprintf("%.3f", mm2/1e6) }

// panelName is what lies on the saw: the sheet, or the number chalked on a part of it.
func panelName(c pack.Cut) string {
	if c.Panel == 1 {
		return "the sheet"
	}
	return "part " + fmt.Sprint(c.Panel)
}

func cutWay(c pack.Cut) string {
	way := "across"
	if c.Rip {
		way = "along"
	}
	if c.Trim {
		return "trim, " + way
	}
	return way
}

// cutGives says what a cut makes.
func cutGives(p box.Plan, c pack.Cut) string {
	one := func(n, is int, off bool) string {
		switch {
		case n == 0:
			return ""
		case is >= 0 && is < len(p.Pieces):
			return p.Pieces[is].Name
		case off:
			return "rest"
		}
		return "part " + fmt.Sprint(n)
	}
	a, b := one(c.Keeps, c.KeepsIs, c.KeepsOff), one(c.Leaves, c.LeavesIs, c.LeaveOff)
	switch {
	case a == "":
		return b
	case b == "":
		return a
	}
	return a + ", " + b
}

// cutlistCSV is the cut list for a spreadsheet; lengths in millimetres.
func cutlistCSV(r *job.Result) ([]byte, error) {
	rows := [][]string{{"board", "role", "material", "thickness_mm", "along_grain_mm", "across_mm", "outer_along_mm", "outer_across_mm", "inner_along_mm", "inner_across_mm", "pair", "hand", "edge", "tilt_deg", "over_mm", "in_100_mm", "longer_side", "when", "small"}}
	for _, b := range r.Box.Boards {
		small := ""
		if b.Small {
			small = "yes"
		}
		base := []string{
			b.Name, string(b.Board.Role), b.Material.Title, length.Plain(b.Thickness), decimals(b.Blank.X, 2), decimals(b.Blank.Y, 2), decimals(b.Outer.X, 2), decimals(b.Outer.Y, 2),
			decimals(b.Inner.X, 2), decimals(b.Inner.Y, 2), b.Pair, b.Board.Hand,
		}
		if len(b.Bevels) == 0 {
			rows = append(rows, append(base, "", "", "", "", "", "", small))
		}
		for _, x := range b.Bevels {
			rows = append(rows, append(append([]string{}, base...), x.Edge, decimals(x.Tilt, 2), decimals(x.Over, 2), decimals(x.Rise, 1), string(x.Longer), string(x.When), small))
		}
	}
	return table(rows)
}
