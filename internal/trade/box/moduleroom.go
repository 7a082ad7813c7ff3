package box

import (
	"fmt"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/trust"
)

var ruleModuleRoom = finding.Rule{
	Name: "box.module-room", Severity: finding.Stop, Title: "the module against the boards of the box",
	Explain: "The module stands in a wall, a glue block, a ledge or a rib, or outside the box altogether. It is placed by its middle, seen from the " +
		"front of the face; in a box that leans that place is carried down to what it lies on. Move it, or turn it.",
}

// moduleRoom looks whether the module stands free inside the box.
func (w *worker) moduleRoom() {
	m := w.Module
	if m == nil || len(m.Board) == 0 {
		return
	}
	inside := false
	for _, s := range m.Board {
		for _, h := range w.c.Interior {
			inside = inside || geom.Gap(s, h).Gap < 0
		}
	}
	if !inside {
		w.say(ruleModuleRoom, finding.Finding{
			Head: "The module lies outside the box.", Body: "Give it a place behind the face, between the walls.",
			Ends: []finding.End{w.end("module")}, Source: trust.Source{Provenance: trust.Derived},
		})
		return
	}
	hit, depth := "", -0.05
	for i := range w.c.Boards {
		b := &w.c.Boards[i]
		for _, h := range b.Parts {
			for _, s := range m.Board {
				if !h.Bounds().Overlaps(s.Bounds()) {
					continue
				}
				if g := geom.Gap(s, h).Gap; g < depth {
					hit, depth = b.Name, g
				}
			}
		}
	}
	if hit == "" {
		return
	}
	w.say(ruleModuleRoom, finding.Finding{
		Head: fmt.Sprintf("The module meets the %s.", hit), Body: fmt.Sprintf("It runs %s into it; it does not go in. Move it, or turn it.", w.mm(-depth)),
		Ends: []finding.End{w.end("module"), w.end(hit)}, Source: trust.Source{Provenance: trust.Derived},
		Measure: &finding.Measure{Have: depth, Want: 0, Unit: "mm", Sense: finding.AtLeast},
	})
}
