package face

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
)

// looseClip is what a clip that holds too thick a sheet may miss before it rattles, mm.
const looseClip = 0.1

// grip checks whether the part can hold the stack. It reports whether the stack is too thick for it.
func (k *checker) grip(rs *remarks, x *item) (tooThick bool) {
	p := &x.ctl.Part
	lo, hi := p.Grip[0].MM(), p.Grip[1].MM()
	if hi <= 0 || k.p.Stack.Total <= 0 {
		return false
	}
	total := k.p.Stack.Total
	least, most := k.stackRange()
	r := remark{
		rule: &ruleGrip, key: p.ID, who: []*item{x}, at: &x.ctl.At.Vec2,
		measure: &finding.Measure{Have: total, Want: lo, WantMax: hi, Unit: "mm", Sense: finding.Between},
		why:     finding.Capital(k.layers()) + " must be " + k.mm(lo) + " to " + k.mm(hi) + " for this part.", source: p.Source("grip"),
	}
	held := heldBy(p)
	if held == byScrews || held == byNothing {
		k.loose(rs, &r, p, held)
		return false
	}
	clip := held == byClip
	switch {
	case total > hi+slack:
		r.sev = finding.Stop
		r.say = func(n names) (string, string) {
			cure := "take a part with a longer thread."
			if clip {
				cure = "take a part with a nut."
			}
			return n.text + " cannot hold this sheet.",
				finding.Capital(k.layers()) + k.be() + k.mm(total) + " thick, " + k.mm(total-hi) + " too much. Thin the sheet from behind round the hole, or " + cure
		}
		tooThick = true
	case total < lo-slack && clip:
		r.sev = finding.Stop
		if lo-total <= looseClip {
			r.sev = finding.Warn
		}
		r.say = func(n names) (string, string) {
			return n.text + n.or(" rattles", " rattle") + " in this sheet.", "The clip wants " + k.mm(lo-total) + " more to hold on to. Glue a ring of sheet behind the hole, or take another part."
		}
	case total < lo-slack:
		r.sev = finding.Warn
		r.say = func(n names) (string, string) {
			return n.text + n.or(" needs", " need") + " a washer behind the sheet.", "The nut runs out of thread " + k.mm(lo-total) + " before it is tight; a washer of that thickness or more cures it."
		}
	case most > hi+petty:
		r.sev, r.key = finding.Warn, p.ID+"/most"
		r.measure.Have = most
		r.say = func(n names) (string, string) {
			return n.text + " may not hold this sheet.", "The sheet is sold up to " + k.mm(most-total) + " thicker than it is called, " + k.mm(most-hi) + " too much. Measure yours and write it as actual:."
		}
	case least < lo-looseClip-slack && clip:
		r.sev, r.key = finding.Warn, p.ID+"/least"
		r.measure.Have = least
		r.say = func(n names) (string, string) {
			return n.text + " may rattle in this sheet.", "The sheet is sold up to " + k.mm(total-least) + " thinner than it is called. Measure yours and write it as actual:."
		}
	default:
		return false
	}
	rs.add(r)
	return tooThick
}

// held says what keeps a part in the face.
type held uint8

const (
	byNut held = iota
	byClip
	byScrews  // two or more of its own
	byNothing // put in from behind and glued
)

// heldBy works out from a record what keeps the part in the face.
func heldBy(p *catalog.Part) held {
	switch {
	case p.Nut.Flats > 0 || p.Thread.Length > 0:
		return byNut
	case hasScrews(p):
		return byScrews
	case p.Seat == "rear":
		return byNothing
	}
	return byClip
}

func hasScrews(p *catalog.Part) bool {
	for _, c := range p.Cuts {
		if c.What == "screw" {
			return true
		}
	}
	return false
}

// loose judges a part that nothing grips: it can be mounted in any sheet, but in a thick one what works in front comes out too
// little. Nothing is said of a thin sheet: it comes out more.
func (k *checker) loose(rs *remarks, r *remark, p *catalog.Part, by held) {
	over := r.measure.Have - r.measure.WantMax
	if over <= slack {
		return
	}
	r.sev, r.measure.Sense, r.measure.Want, r.measure.WantMax = finding.Warn, finding.AtMost, r.measure.WantMax, 0
	r.why = "This part is made for " + k.layers() + " of up to " + k.mm(r.measure.Want) + "."
	thin := " Thin the sheet from behind round it."
	if by == byScrews {
		thin = " Thin the sheet from behind round it; else its screws must be longer too."
	}
	what := "Its front comes out " + k.mm(over) + " less than it should."
	many := "Their fronts come out " + k.mm(over) + " less than they should."
	switch p.Class {
	case catalog.Lamp:
		what = "Its head ends " + k.mm(over) + " too far back: it shines straight ahead only."
		many = "Their heads end " + k.mm(over) + " too far back: they shine straight ahead only."
		thin = " Thin the sheet from behind round the hole, or widen the hole to a cone in front."
	case catalog.Socket:
		what = "It sits " + k.mm(over) + " too far back: a plug may not reach in."
		many = "They sit " + k.mm(over) + " too far back: a plug may not reach in."
	case catalog.Slide, catalog.SlidePot, catalog.Joystick:
		what = "Its lever comes out " + k.mm(over) + " less than it should."
		many = "Their levers come out " + k.mm(over) + " less than they should."
	case catalog.Display:
		what = "It sits " + k.mm(over) + " too far back: from the side part of it is hidden."
		many = "They sit " + k.mm(over) + " too far back: from the side part of them is hidden."
	}
	head := func(n names) string { return n.text + n.or(" sits", " sit") + " deep in this sheet." }
	if p.Seat != "rear" { // its flange lies in front
		what, many, thin = "Take screws "+k.mm(over)+" longer than usual.", "Take screws "+k.mm(over)+" longer than usual.", ""
		head = func(n names) string { return "The usual screws of " + n.text + " are short for this sheet." }
	}
	r.say = func(n names) (string, string) { return head(n), n.or(what, many) + thin }
	rs.add(*r)
}
