package harness

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
)

// judgeBundles looks for the place where a bundle wants most more than the gap that it runs through.
func (w *worker) judgeBundles() {
	worst, lack, room := -1, 0.5, 0.0
	var at geom.Vec3
	var sheet int
	for i, b := range w.r.Bundles {
		s := 0
		for _, t := range []wiring.Terminal{w.r.Wires[b.Wires[0]].From, w.r.Wires[b.Wires[0]].To} {
			if v := w.sheetOf(w.spot[t]); v >= 0 {
				s = v
			}
		}
		g := w.grids[s]
		for k, p := range b.Path {
			next := p
			if k+1 < len(b.Path) {
				next = b.Path[k+1]
			}
			n := max(1, int(next.Sub(p).Len()/g.step))
			for j := range n {
				q := p.Add(next.Sub(p).Mul(float64(j) / float64(n)))
				c := g.cell(w.back[s].Apply(q).XY())
				if !g.open(c) {
					continue
				}
				if r := g.high[c] - g.low[c] + 2*clearance; b.Diameter-r > lack {
					worst, lack, room, at, sheet = i, b.Diameter-r, r, q, s
				}
			}
		}
	}
	if worst < 0 {
		return
	}
	b := w.r.Bundles[worst]
	what := w.standsAt(sheet, at, nil)
	w.say(ruleTight, finding.Finding{
		Head: fmt.Sprintf("A bundle of %d wires, about %s thick, has %s to get past %s.", len(b.Wires), w.mm(math.Ceil(b.Diameter*2)/2), w.mm(math.Floor(room*2)/2), what.Name),
		Body: "Spread it flat there, lead some of its wires another way, or make the box deeper.", Ends: []finding.End{what, w.end("the box", "box")},
		Measure: &finding.Measure{Have: room, Want: b.Diameter, Unit: "mm", Sense: finding.AtLeast},
	})
}

// standsAt names what stands at a sheet, or on the base, at a place, other than what is not asked for.
func (w *worker) standsAt(sheet int, at geom.Vec3, not []finding.End) finding.End {
	g := w.grids[sheet]
	p := w.back[sheet].Apply(at).XY()
	best, least := finding.End{Name: "the base", Path: "box", Pos: w.p.Pos("box")}, 2*g.step
	look := func(o geom.Outline, e finding.End) {
		if slices.ContainsFunc(not, func(x finding.End) bool { return x.Name == e.Name }) {
			return
		}
		b := o.Bounds()
		d := math.Hypot(max(b.Min.X-p.X, p.X-b.Max.X, 0), max(b.Min.Y-p.Y, p.Y-b.Max.Y, 0))
		if d < least-1e-9 {
			best, least = e, d
		}
	}
	for _, b := range g.sheet.Behind {
		if b.Role != panel.RoleBase && b.Role != panel.RoleWall {
			look(b.Outline, b.Origin.End())
		}
	}
	for _, c := range g.sheet.Controls {
		for _, b := range c.Rear {
			if b.Role == panel.RoleBody || b.Role == panel.RoleLugs {
				look(b.Outline, c.Origin.End())
			}
		}
	}
	return best
}
