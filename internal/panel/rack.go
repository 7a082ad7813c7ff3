package panel

import (
	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// rackSource is where the numbers of the 19-inch grid come from.
var rackSource = trust.Source{Text: "EIA-310-D, IEC 60297-3-100", Provenance: trust.Seen, Confidence: trust.High}

// railInner is how far in from the ends of a rack panel the rails may reach: half of what the least opening between them
// leaves.
func railInner() float64 { return (catalog.RackWidth - catalog.RackClear) / 2 }

// rackSlots places the slots by which a rack panel is screwed to the rails. The screws are M6, as caged nuts usually are;
// the rack decides.
func (pl *placer) rackSlots() {
	if pl.p.Face.Rack == 0 {
		return
	}
	spec := catalog.Cut{What: "fixing", Slot: &[2]length.Length{catalog.RackSlotWidth, catalog.RackSlotHeight}, Screw: "M6"}
	o := Origin{Path: "face.rack", Pos: pl.pos("face.rack")}
	slots := catalog.RackSlots(pl.p.Face.Rack)
	for i, at := range slots {
		row := "middle"
		switch { // they come in pairs from the bottom up
		case i < 2:
			row = "lower"
		case i >= len(slots)-2:
			row = "upper"
		}
		o.Name = "rack slot, " + row + [...]string{" left", " right"}[i%2]
		pl.addFixing("M6", Pt{at}, catalog.ScrewHead("M6"), spec, o)
	}
	pl.lines.add("the rack: slots "+length.Plain(catalog.RackSlotWidth)+" x "+length.Plain(catalog.RackSlotHeight)+" mm", "the rack panel",
		trust.Source{Text: "IEC 60297-3-100", Provenance: trust.Memory, Confidence: trust.Medium}, "hold the drawing against a panel that fits your rack")
}

// rails places the rails of the rack behind the ends of the panel: nothing behind may be wider than the opening between
// them.
func (pl *placer) rails() {
	f := pl.p.Face
	if f.Rack == 0 || pl.p.Box != nil && pl.p.Box.Form == carcass.Rack {
		return // its own cheeks carry it
	}
	o := Origin{Name: "the rack rail", Path: "face.rack", Pos: pl.pos("face.rack")}
	in := railInner()
	pl.add(RoleWall, "rack rail", rectangle(0, 0, in, f.Height), 0, pl.depth(), o)
	pl.add(RoleWall, "rack rail", rectangle(f.Width-in, 0, f.Width, f.Height), 0, pl.depth(), o)
}

// railsMeet looks for walls that stand where the rails are.
func (pl *placer) railsMeet() {
	p := pl.p
	if p.Face.Rack == 0 || p.Box.Form == carcass.Rack {
		return
	}
	inset, rail := pl.spec.Build.Overhang, railInner()
	if inset >= rail {
		return
	}
	pl.say(ruleBadSize, finding.Finding{
		Head: "The walls stand in the rails of the rack by " + p.mm(rail-inset) + ".", Body: "Give the box an inset of " + p.mm(rail) + " at least.",
		Ends:    []finding.End{pl.end("the walls", pl.firstPath("box.inset", "box")), pl.end("the rack", "face.rack")},
		Measure: &finding.Measure{Have: inset, Want: rail, Unit: "mm", Sense: finding.AtLeast},
		Why:     "Nothing behind a rack panel may be wider than the opening between the rails.", Source: rackSource,
		Fixes: []finding.Fix{setTo("Set the walls in", "box.inset", p.num(rail))},
	})
}
