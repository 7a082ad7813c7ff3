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
	path := "face.fixings"
	if p.Board != "" {
		path = "box.upper.fixings"
	}
	screw, head := p.Fixings[0].Screw, max(p.Fixings[0].Head, 4)
	clear := func(at geom.Vec2) bool {
		c := geom.Circle(at, head)
		if m, _ := p.Face.Outline.Margin(c); m < 1 {
			return false
		}
		for _, o := range f.model.Openings {
			if g, _, _ := o.Outline.Gap(c); g < 2 {
				return false
			}
		}
		for _, k := range p.Controls {
			for _, b := range append(append([]panel.Body{}, k.Front...), k.Rear...) {
				if g, _, _ := b.Outline.Gap(c); g < 1 {
					return false
				}
			}
		}
		return true
	}
	for inset := math.Ceil(head/2) + 2; inset <= min(p.Face.Width, p.Face.Height)/4; inset++ {
		g := f.copied()
		g.model.Points = nil
		all := true
		for _, at := range panel.Rim(p.Face.Width, p.Face.Height, inset, 2, 2) {
			all = all && clear(at)
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
	}
	if x, ok := f.glueIt(); ok {
		out = append(out, x)
	}
	return out
}

// thicker looks for the thinnest sheet of the same kind with which the face is stiff enough and that every part can still hold.
func (f *Face) thicker(cat *catalog.Catalog, enough func(worst float64) bool) (finding.Fix, bool) {
	st := f.Panel.Stack
	path := "face.sheet"
	if f.Panel.Board != "" {
		path = "box.upper.sheet"
	}
	if cat == nil || f.Panel.Board != "" && st.SheetOrigin.Path != path {
		return finding.Fix{}, false
	}
	var best catalog.Sheet
	for _, id := range cat.SheetIDs() {
		s, ok := cat.Sheet(id)
		if !ok || s.Kind != st.Sheet.Kind || s.Thickness() <= f.Thickness+0.2 || best.ID != "" && s.Thickness() >= best.Thickness() || !f.grips(s.Thickness()) {
			continue
		}
		m, ok := MaterialOf(s, s.Thickness())
		if !ok {
			continue
		}
		if _, worst, ok := f.with(nil, s.Thickness(), m); ok && enough(worst) {
			best = s
		}
	}
	if best.ID == "" {
		return finding.Fix{}, false
	}
	return finding.Fix{
		Say: "Take a sheet of " + size(best.Thickness(), f.inches()), Short: "sheet: " + best.ID,
		Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: best.ID}},
	}, true
}

// grips reports whether every part can hold a sheet of another thickness.
func (f *Face) grips(t float64) bool {
	stack := f.Panel.Stack.Total - f.Thickness + t
	for _, c := range f.Panel.Controls {
		if g := c.Part.Grip[1].MM(); g > 0 && stack > g {
			return false
		}
	}
	return true
}

// glueIt tries the face glued down in place of its screws.
func (f *Face) glueIt() (finding.Fix, bool) {
	if len(f.model.Lines) < 3 || f.glued() || f.Panel.Box == nil || f.Panel.Box.Written.Held == "hinged" || f.Panel.Board != "" {
		return finding.Fix{}, false
	}
	g := *f
	g.model.Points = nil
	g.model.Lines = append(g.model.Lines[:0:0], g.model.Lines...)
	for i := range g.model.Lines {
		l := &g.model.Lines[i]
		l.Spring = f.wallSpring(l.A.Add(l.B).Mul(0.5), sideOf(l.Name))
	}
	_, worst, ok := g.with(nil, f.Thickness, f.Material)
	if !ok || worst > f.Springy {
		return finding.Fix{}, false
	}
	return finding.Fix{
		Say: "Glue the face down: " + f.give(worst) + "; the base must then come off", Short: "held: glued",
		Edits: []finding.Edit{{Op: finding.Set, Path: "box.held", Value: "glued"}},
	}, true
}

func sideOf(name string) int {
	for k, s := range sides {
		if strings.Contains(name, s) {
			return k
		}
	}
	return 0
}

// bearsWith tries further ribs: whether the pull stays below the strength by the wanted factor.
func (f *Face) bearsWith(ribs []Rib, want float64) bool {
	g := f.copied()
	for _, r := range ribs {
		g.model.Ribs = append(g.model.Ribs, r.model())
		g.Ribs = append(g.Ribs, r)
	}
	return g.bearsAll(want)
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

// bearsAll reckons a face and tells whether no press comes too near to its strength.
func (f *Face) bearsAll(want float64) bool {
	f.reckon()
	if f.Failed != "" || len(f.Loose) > 0 {
		return false
	}
	for _, p := range f.Presses {
		if p.Stress > 0 && p.Factor() < want {
			return false
		}
	}
	return true
}

// bears tries a fix that changes the sheet: whether the pull stays below its strength by the wanted factor.
func (f *Face) bears(fix finding.Fix, cat *catalog.Catalog, want float64) bool {
	s, ok := cat.Sheet(fix.Edits[0].Value)
	if !ok {
		return false
	}
	m, ok := MaterialOf(s, s.Thickness())
	if !ok {
		return false
	}
	g := f.copied()
	g.Material, g.Thickness = m, s.Thickness()
	g.model.Material, g.model.Thickness = m.Elastic, s.Thickness()
	return g.bearsAll(want)
}
