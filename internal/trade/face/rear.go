package face

import (
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// bodies checks what two controls have behind the face.
func (k *checker) bodies(out []hit, a *item, d geom.Vec2, b *item) []hit {
	want := k.v.bodyGap
	if !near(a.rearBox, d, b.rearBox, want) {
		return out
	}
	h := hit{rule: &ruleBodyBody, sev: finding.Warn, code: cBodies, a: a.n, b: b.n, have: want, want: want}
	if worst(&h, a.hard, d, b.hard) {
		if h.have < -slack {
			h.sev = finding.Stop
		}
		return append(out, h)
	}
	h.have, h.want, h.code = 0, 0, cWires
	w := h
	found := worst(&h, a.bend, d, b.hard)
	if worst(&w, a.hard, d, b.bend) && (!found || w.have < h.have) {
		h, found = w, true
	}
	if found {
		return append(out, h)
	}
	return out
}

// nuts checks the seats of two controls' nuts against each other and against bodies.
func (k *checker) nuts(out []hit, a *item, d geom.Vec2, b *item) []hit {
	want := k.v.nutGap
	if len(a.nut) == 0 && len(b.nut) == 0 || !near(a.rearBox, d, b.rearBox, want) {
		return out
	}
	h := hit{rule: &ruleNut, sev: finding.Warn, code: cNut, a: a.n, b: b.n, have: want, want: want}
	found := worst(&h, a.nut, d, b.nut)
	found = worst(&h, a.nut, d, b.hard) || found
	found = worst(&h, a.hard, d, b.nut) || found
	if !found {
		return out
	}
	if h.have < -slack {
		h.sev = finding.Stop
	}
	return append(out, h)
}

// tools checks whether each control's nut can be turned once the other control is in.
func (k *checker) tools(out []hit, a *item, d geom.Vec2, b *item) []hit {
	if a.tool == nil && b.tool == nil {
		return out
	}
	ga := k.blocked(a, d, b)
	gb := k.blocked(b, d.Mul(-1), a)
	h := hit{rule: &ruleTool, sev: finding.Warn, a: a.n, b: b.n}
	switch {
	case ga.have < -slack && gb.have < -slack:
		h.code, h.have, h.dir, h.at, h.ra, h.rb = cToolBoth, ga.have, ga.dir, ga.at, ga.ra, ga.rb
		if gb.have < ga.have {
			h.have, h.dir, h.at, h.ra, h.rb = gb.have, gb.dir.Mul(-1), gb.at, gb.rb, gb.ra
		}
		h.need = max(ga.need, gb.need)
		if !byHand(a) && !byHand(b) {
			h.sev = finding.Stop
		}
	case ga.have < -slack:
		h.code, h.have, h.dir, h.at, h.need, h.ra, h.rb = cToolOrder, ga.have, ga.dir, ga.at, ga.need, ga.ra, ga.rb
	case gb.have < -slack:
		h.code, h.have, h.dir, h.at, h.need, h.ra, h.rb = cToolOrder, gb.have, gb.dir.Mul(-1), gb.at, gb.need, gb.rb, gb.ra
	default:
		return out
	}
	return append(out, h)
}

// byHand reports whether a control's nut is turned with fingertips, which give way.
func byHand(x *item) bool { return strings.Contains(x.ctl.Part.Nut.Tool, "finger") }

// blocked measures the room of a's tool against the solids and nuts of b on the same side of the face. Knobs come off, and
// levers and their sweep give way to a tool.
func (k *checker) blocked(a *item, d geom.Vec2, b *item) hit {
	h := hit{}
	if a.tool == nil {
		return h
	}
	if !a.toolIn {
		worstOf(&h, a.tool, d, b.hard)
		worstOf(&h, a.tool, d, b.nut)
		return h
	}
	for i := range b.front {
		switch b.front[i].role {
		case panel.RoleKnob, panel.RoleLever, panel.RolePlug, panel.RoleSweep:
		default:
			worstOf(&h, a.tool, d, b.front[i:i+1])
		}
	}
	return h
}

// insides checks a control against a wall, ledge, block, rib or module.
func (k *checker) insides(out []hit, a *item, d geom.Vec2, b *item, flip bool) []hit {
	rule, want := &ruleBodyWall, k.v.ribGap
	switch b.role {
	case panel.RoleRib:
		rule = &ruleBodyRib
	case panel.RoleBlock:
		rule = &ruleBodyBlock
	case panel.RoleLedge:
		rule = &ruleBodyLedge
	case panel.RoleModule:
		rule, want = &ruleBodyModule, k.v.moduleGap
	}
	if !near(a.rearBox, d, b.rearBox, want) {
		return out
	}
	h := hit{rule: rule, sev: finding.Warn, code: cBodies, a: a.n, b: b.n, have: want, want: want}
	switch {
	case worst(&h, a.hard, d, b.hard):
		if h.have < -slack {
			h.sev = finding.Stop
		}
		out = add(out, h, flip)
	default:
		h.have, h.want, h.code = 0, 0, cWires
		if worst(&h, a.bend, d, b.hard) {
			out = add(out, h, flip)
		}
	}
	if len(a.nut) > 0 {
		h := hit{rule: &ruleNut, sev: finding.Warn, code: cNut, a: a.n, b: b.n, have: k.v.nutGap, want: k.v.nutGap}
		if worst(&h, a.nut, d, b.hard) {
			if h.have < -slack {
				h.sev = finding.Stop
			}
			out = add(out, h, flip)
		}
	}
	if a.tool != nil && !a.toolIn && rule != &ruleBodyModule {
		h := hit{rule: &ruleTool, sev: finding.Warn, code: cToolInside, a: a.n, b: b.n}
		if worstOf(&h, a.tool, d, b.hard) {
			out = add(out, h, flip)
		}
	}
	return out
}

// openings checks an opening without a part against what lies close behind it and what stands over it at rest.
func (k *checker) openings(out []hit, a *item, d geom.Vec2, b *item, flip bool) []hit {
	if a.behind == nil {
		return out
	}
	h := hit{rule: &ruleOpening, sev: finding.Warn, code: cOpenBehind, a: a.n, b: b.n}
	if near(a.cutBox, d, b.rearBox, 0) && (worstOf(&h, a.behind, d, b.hard) || worstOf(&h, a.behind, d, b.nut)) {
		return add(out, h, flip)
	}
	h.code = cOpenBefore
	if near(a.cutBox, d, b.frontBox, 0) && worstOf(&h, a.before, d, b.rims) {
		return add(out, h, flip)
	}
	return out
}
