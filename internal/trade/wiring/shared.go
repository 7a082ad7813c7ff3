package wiring

import (
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// sharing is how the two leads of a lamp meet those of the other devices in the same body.
type sharing int

const (
	apart     sharing = iota // lugs of its own, or a minus that is at ground with the rest
	onLead                   // its minus is the lug that a contact's lead goes to: that contact can light it, nothing else can
	onReturn                 // its minus is the common lug of contacts: it can be fed while that lug is at ground
	plusTaken                // its plus is a lug that another device needs at ground or on a pin: it cannot be fed
)

// shares says how a lamp meets what is wired of its body. The leads must have been found before.
func (w *worker) shares(c *panel.Control, l catalog.LampLugs) (sharing, int) {
	out := apart
	for i, s := range w.r.Signals {
		if w.wants[i].control != c {
			continue
		}
		switch {
		case l.Plus == s.Lug || l.Plus == s.Return:
			return plusTaken, i
		case l.Minus == s.Lug:
			return onLead, i
		case l.Minus == s.Return:
			out = onReturn
		}
	}
	for _, t := range c.Part.Circuit.Tracks {
		if c.Via != "none" && (slices.Contains(t.Ends[:], l.Plus) || l.Minus == t.Ends[1]) {
			return plusTaken, -1
		}
	}
	return out, -1
}

// sharedLug tells of a lamp that stays dark because its plus is a lug of something else in the body.
func (w *worker) sharedLug(c *panel.Control, l catalog.LampLugs) {
	w.idle(c.Name, l.Minus, "its lamp cannot be fed: lug "+l.Plus+" serves the contact too")
	w.found(ruleLampShares, finding.Finding{
		Head:  "The lamp of " + c.Label + " stays dark: its plus is lug " + l.Plus + ", which its contact needs.",
		Body:  "What feeds the lamp would be joined to ground there. Leave lug " + l.Minus + " without a lead, or take a part whose lamp has two lugs of its own.",
		Ends:  []finding.End{c.Origin.End(), w.moduleEnd()},
		Fixes: w.controlFix(c, "lit", "none", "Leave its lamp dark"),
	})
}

// shorted tells of lugs that came into two nets: whatever the reason, they would be joined there.
func (w *worker) shorted() {
	first := map[Terminal]int{}
	told := map[[2]int]bool{}
	for i, n := range w.r.Nets {
		for _, t := range n.Terms {
			j, seen := first[t]
			if !seen {
				first[t] = i
				continue
			}
			if j == i || told[[2]int{j, i}] {
				continue
			}
			told[[2]int{j, i}] = true
			f := finding.Finding{
				Head: finding.Capital(w.r.Nets[j].Name) + " and " + n.Name + " meet at lug " + t.Lug + " of " + w.bodyName(t.Of) + ".",
				Body: "They would be joined there. Do not solder this lug; lay a circuit over the part that tells its lugs apart, or leave out one of the two.",
			}
			if c := w.named[t.Of]; c != nil {
				f.Ends = append(f.Ends, c.Origin.End())
			}
			for _, k := range []int{j, i} {
				if s := w.r.Nets[k].Signal; s >= 0 {
					if e := w.r.Signals[s].Origin.End(); len(f.Ends) == 0 || f.Ends[0].Path != e.Path {
						f.Ends = append(f.Ends, e)
					}
				}
			}
			if len(f.Ends) < 2 {
				f.Ends = append(f.Ends, w.moduleEnd())
			}
			w.found(ruleShorted, f)
		}
	}
}

// bodyName is what people call a control or a board.
func (w *worker) bodyName(of string) string {
	if c := w.named[of]; c != nil {
		return c.Label
	}
	for i := range w.r.Boards {
		if w.r.Boards[i].Name == of {
			return w.r.Boards[i].Label
		}
	}
	return of
}
