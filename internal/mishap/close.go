package mishap

import (
	"fmt"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// turnOver looks whether the spoilt hole vanishes in another one, or under a front, when the sheet is turned round or over.
func (w *work) turnOver(at geom.Vec2, d float64, own *panel.Control) {
	p := w.b.Result.Panel
	if w.m.Drilled || !p.Face.HasSize() || own != nil && !slices.Contains(p.Controls, own) {
		return
	}
	hole := geom.Circle(geom.Vec2{}, d)
	for _, t := range []struct {
		say string
		to  func(geom.Vec2) geom.Vec2
	}{
		{"Turn the sheet half round", func(v geom.Vec2) geom.Vec2 { return geom.Vec2{X: p.Face.Width - v.X, Y: p.Face.Height - v.Y} }},
		{"Turn the sheet over, left for right", func(v geom.Vec2) geom.Vec2 { return geom.Vec2{X: p.Face.Width - v.X, Y: v.Y} }},
		{"Turn the sheet over, top for bottom", func(v geom.Vec2) geom.Vec2 { return geom.Vec2{X: v.X, Y: p.Face.Height - v.Y} }},
	} {
		h := hole.Move(geom.Place{At: t.to(at)})
		for _, c := range p.Controls {
			for _, k := range c.Cuts {
				if m, _ := k.Outline.Margin(h); m >= -0.05 {
					w.hand(Rescue{Say: fmt.Sprintf("%s: the hole then falls into that of %s.", t.say, c.Label), Only: notDrilled, Minutes: 15, Checked: true, How: []string{"Mark which side is the front now. The lettering must not be made yet."}})
					return
				}
			}
			for _, b := range c.Front {
				if b.Role != panel.RoleBezel || b.Z0 > 0.3 {
					continue
				}
				clear := true
				for _, k := range c.Cuts {
					if g, _, _ := k.Outline.Gap(h); g < 1 && g > -d {
						if m, _ := k.Outline.Margin(h); m < 0 && g < 0 {
							continue // it joins the hole under the front
						}
						clear = clear && g < 0
					}
				}
				if m, _ := b.Outline.Margin(h); m >= 0.5 && clear {
					w.hand(Rescue{Say: fmt.Sprintf("%s: the front of %s then lies over the hole.", t.say, c.Label), Only: notDrilled, Minutes: 15, Checked: true, How: []string{"Mark which side is the front now. The lettering must not be made yet."}})
					return
				}
			}
		}
	}
}

// mostOpened is how much a hole is opened at most for a plug of the next size, mm: more is another hole.
const mostOpened = 8

// plugAt closes a hole with a blank plug, as a part of the design that is checked with the rest: one of its size, or the next larger one.
func (w *work) plugAt(at geom.Vec2, d float64, more []finding.Edit, say string) {
	var best catalog.Part
	for _, id := range w.b.Cat.PartIDs() {
		p, ok := w.b.Cat.Part(id)
		if !ok || p.Class != catalog.Plug || p.Hole.Round <= 0 || d > p.Hole.Nominal()+p.Hole.Tol[1].MM()+0.1 {
			continue
		}
		if best.ID == "" || p.Hole.Nominal() < best.Hole.Nominal() {
			best = p
		}
	}
	hole := best.Hole.Nominal()
	if best.ID == "" || hole > d+mostOpened {
		return
	}
	minutes := float64(fitPlug)
	if w.m.Kind == Off { // the right hole too
		minutes += drillHole
	}
	say += fmt.Sprintf(" with a blank plug (%s).", best.ID)
	if d < hole+best.Hole.Tol[0].MM()-0.1 {
		minutes += drillHole
		say = strings.TrimSuffix(say, ".") + fmt.Sprintf(": open it to %s for that.", w.mm(hole))
	}
	name := "plug"
	for n := 2; w.has(name); n++ {
		name = fmt.Sprintf("plug-%d", n)
	}
	w.try(Rescue{Say: say, Minutes: minutes, Edits: append(slices.Clone(more), finding.Edit{
		Op: finding.Set, Path: "controls." + name, Value: fmt.Sprintf(`{part: %s, at: [%.3f mm, %.3f mm], legend: ""}`, best.ID, at.X, at.Y),
	})})
}

func (w *work) has(name string) bool {
	for _, s := range w.b.Result.Panel.Sheets() {
		for _, c := range s.Controls {
			if c.Name == name {
				return true
			}
		}
	}
	return false
}

// patch glues a disc into a hole, where a covering hides it; edits take the hole out of the file.
func (w *work) patch(p *panel.Panel, say string, edits []finding.Edit) {
	switch p.Stack.Covering.Kind {
	case "film", "laminate", "card", "paint":
		w.try(Rescue{Say: say, Edits: edits, Minutes: gluePatch, Only: "only before covering", How: []string{"Bevel hole and disc a little, so that the glue has a wedge to hold on. Let it dry through: fillers shrink."}})
	}
}
