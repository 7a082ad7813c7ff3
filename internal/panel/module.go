package panel

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// usualLift is the stand-off under a board, mm. Common practice.
const usualLift = 5

// module places the microcontroller board. Its record has x and y as seen on the side with the parts, and z = 0 on the side
// of the stand-offs with the parts at negative z: as it hangs under the face. On the base it lies with its parts up.
func (pl *placer) module() {
	m := pl.f.Module
	if m.Part == "" {
		return
	}
	o := Origin{Name: "the module", Path: "module", Pos: pl.pos("module")}
	p, ok := pl.cat.Part(m.Part)
	if !ok {
		pl.unknown(ruleUnknownPart, "part", m.Part, pl.firstPath("module.part", "module"), "the module", pl.modules())
		return
	}
	mod := &Module{Part: p, Turn: norm(float64(m.Turn)), Origin: o}
	pl.p.Module = mod
	pl.lines.module(p)
	if m.At == nil {
		return // it takes no room yet
	}
	mod.At = Pt{vec(*m.At)}
	mod.Origin.MovePath, mod.Origin.MoveBase = "module.at", mod.At.Vec2
	lift := float64(usualLift)
	if pl.sizeOr0("module.lift", m.Lift, 0, 200, "The stand-off under the module") {
		lift = m.Lift.MM()
	}
	place := geom.Place{At: mod.At.Vec2, Turn: mod.Turn}
	back := -pl.p.Stack.Total
	z := func(v float64) float64 { return back - pl.p.BoxDepth + lift - v }
	if m.On == "face" {
		place.Flip = true
		z = func(v float64) float64 { return back - lift + v }
	} else if pl.p.BoxDepth == 0 {
		pl.say(ruleUnfinished, finding.Finding{
			Head: "The module lies on the base, but the box has no depth yet.", Body: "Until it has, the module takes no room.",
			Ends: []finding.End{o.End()},
		})
		return
	}
	mod.Placed = true
	for _, s := range p.Rear {
		role := RoleModule
		if s.Role == string(RolePlug) {
			role = RolePlug
		}
		if b, ok := body(role, "the module", s.Outline().Move(place), z(s.Z[0].MM()), z(s.Z[1].MM()), mod.Origin); ok {
			pl.p.Behind = append(pl.p.Behind, b)
		}
	}
}

// modules lists the boards of the catalogue.
func (pl *placer) modules() []string {
	var ids []string
	for _, id := range pl.cat.PartIDs() {
		if p, ok := pl.cat.Part(id); ok && p.Class == catalog.ModuleBrd {
			ids = append(ids, id)
		}
	}
	return ids
}
