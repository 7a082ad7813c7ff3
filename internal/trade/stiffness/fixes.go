package stiffness

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/solve/plate"
)

// corners tries four screws near the corners in place of those that there are, clear of all openings.
func (f *Face) corners() (finding.Fix, bool) {
	p := f.Panel
	if len(p.Fixings) == 0 || p.Face.Rack > 0 {
		return finding.Fix{}, false
	}
	path := f.fixingsPath()
	if path == "" {
		return finding.Fix{}, false
	}
	screw, head := p.Fixings[0].Screw, max(p.Fixings[0].Head, 4)
	for inset := math.Ceil(head/2) + 2; inset <= min(p.Face.Width, p.Face.Height)/4; inset++ {
		g := f.copied()
		g.model.Points = nil
		all := true
		for _, at := range panel.Rim(p.Face.Width, p.Face.Height, inset, 2, 2) {
			all = all && f.roomForScrew(at, head)
			g.model.Points = append(g.model.Points, plate.Point{At: at, Diameter: head, Give: screwGive})
		}
		if !all {
			continue
		}
		if _, _, ok := g.with(nil, g.Thickness, g.Material); !ok {
			return finding.Fix{}, false
		}
		value := "{screw: " + strconv.Quote(screw) + ", inset: " + p.Num(inset) + "}"
		return finding.Fix{Say: "Hold it by four screws near its corners", Short: "fixings: " + value, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: value}}}, true
	}
	return finding.Fix{}, false
}

// roomForScrew reports whether the head of a screw and the screw behind it have room at a place.
func (f *Face) roomForScrew(at geom.Vec2, head float64) bool {
	c := geom.Circle(at, head)
	if m, _ := f.Panel.Face.Outline.Margin(c); m < 1 {
		return false
	}
	for _, o := range f.model.Openings {
		if g, _, _ := o.Outline.Gap(c); g < 2 {
			return false
		}
	}
	for _, k := range f.Panel.Controls {
		for _, b := range append(append([]panel.Body{}, k.Front...), k.Rear...) {
			if g, _, _ := b.Outline.Gap(c); g < 1 {
				return false
			}
		}
	}
	return true
}

// fixes proposes ribs, then a thicker sheet, then glue; each was tried out by the full model.
func (f *Face) fixes(cat *catalog.Catalog) (out []finding.Fix) {
	if pr := f.Proposal; pr != nil && len(pr.Ribs) > 0 && pr.After < 0.9*pr.Before {
		say := "Glue " + plural(len(pr.Ribs), "rib") + " under it: " + f.give(pr.After)
		if !pr.Reached {
			say += ", better but not enough"
		}
		out = append(out, finding.Fix{Say: say, Short: "ribs: " + f.flow(pr.Ribs[0]), Edits: pr.Edits})
	}
	if x, ok := f.thicker(cat, func(worst float64) bool { return worst <= f.Springy }); ok {
		out = append(out, x)
	} else if w, ok := f.joined(cat, f.Springy); ok {
		out = append(out, finding.Fix{Say: "Take a sheet of " + w.Say[strings.LastIndex(w.Say, ", ")+2:] + " and glue " + plural(len(w.Ribs), "rib") + " under it: " + f.give(w.Worst), Short: "sheet: " + w.Edits[0].Value, Edits: w.Edits})
	}
	if w, ok := f.glueWay(); ok && w.Worst <= f.Springy {
		out = append(out, finding.Fix{Say: "Glue the face down: " + f.give(w.Worst) + "; the base must then come off", Short: "held: glued", Edits: w.Edits})
	}
	if ws := f.screwWays(f.Springy); len(ws) > 0 {
		w := ws[len(ws)-1]
		say := "Hold it by " + w.Say + ": " + f.give(w.Worst)
		if w.Worst > f.Springy {
			say += ", better but not enough"
		}
		out = append(out, finding.Fix{Say: say, Short: "fixings: " + w.Edits[0].Value, Edits: w.Edits})
	}
	return out
}

// thicker looks for the thinnest sheet of the same kind with which the face is stiff enough and that every part can still hold.
func (f *Face) thicker(cat *catalog.Catalog, enough func(worst float64) bool) (finding.Fix, bool) {
	for _, s := range f.thickers(cat) {
		if w, ok := f.sheetWay(s); ok && enough(w.Worst) {
			return finding.Fix{Say: "Take a sheet of " + size(s.Thickness(), f.inches()), Short: "sheet: " + s.ID, Edits: w.Edits}, true
		}
	}
	return finding.Fix{}, false
}

// grips reports whether every part can hold a sheet of another thickness.
func (f *Face) grips(t float64) bool {
	stack := f.Panel.Stack.Total - f.Thickness + t
	for _, c := range f.Panel.Controls {
		if g := c.Part.Grip; g[1] > 0 && stack > g[1].MM() || stack < g[0].MM() {
			return false
		}
	}
	return true
}

func sideOf(name string) int {
	for k, s := range sides {
		if strings.Contains(name, s) {
			return k
		}
	}
	return 0
}

// bearsWith tries further ribs: how many times the sheet then bears the worst slip; 0 when it cannot be reckoned.
func (f *Face) bearsWith(ribs []Rib) float64 {
	g := f.copied()
	for _, r := range ribs {
		g.model.Ribs = append(g.model.Ribs, r.model())
		g.Ribs = append(g.Ribs, r)
	}
	return g.bearsAll()
}

// copied is a face with presses and ribs of its own, to be reckoned again.
func (f *Face) copied() *Face {
	g := *f
	g.Presses = slices.Clone(f.Presses)
	for i := range g.Presses {
		p := &g.Presses[i]
		*p = Press{Control: p.Control, Judged: p.Judged, OnWood: p.OnWood}
	}
	g.model.Ribs, g.Ribs = slices.Clone(f.model.Ribs), slices.Clone(f.Ribs)
	g.Loose, g.Notices, g.Doubts, g.Proposal, g.Worst = nil, nil, nil, nil, -1
	return &g
}

// bearsAll reckons a face and tells how many times it bears the worst slip; 0 when that cannot be told.
func (f *Face) bearsAll() float64 {
	f.reckon()
	if f.Failed != "" || len(f.Loose) > 0 {
		return 0
	}
	least := math.Inf(1)
	for _, p := range f.Presses {
		if p.Stress > 0 {
			least = min(least, p.Factor())
		}
	}
	return least
}

// bears tries a fix that changes the sheet: how many times it bears the worst slip; 0 when that cannot be told.
func (f *Face) bears(fix finding.Fix, cat *catalog.Catalog) float64 {
	s, ok := cat.Sheet(fix.Edits[0].Value)
	if !ok {
		return 0
	}
	m, ok := f.materialOf(s, s.Thickness())
	if !ok {
		return 0
	}
	g := f.copied()
	g.Material, g.Thickness = m, s.Thickness()
	g.model.Material, g.model.Thickness = m.Elastic, s.Thickness()
	return g.bearsAll()
}
