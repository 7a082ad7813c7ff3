package diagnosis

import (
	"slices"

	"knobwright/internal/trade/wiring"
)

// isMeter reports whether an act wants a meter.
func isMeter(do Do) bool { return do == Measure || do == MeasureV || do == Trace }

// traced lists the pins of a board that a meter finds joined to a lug: those on one node with it.
func (c *circuit) traced(w *network, a Act) []string {
	x := c.find(a.Probe[0])
	if x < 0 {
		return nil
	}
	var out []string
	pins, _ := c.pinsOf(a.Probe[1].Of)
	for _, t := range pins {
		if w.node[t] == w.node[x] {
			out = append(out, c.terms[t].Lug)
		}
	}
	return out
}

// fitTrace says how well the pins fit that a person found: of pins that are all on one rail, one stands for all.
func (m *Model) fitTrace(p *patch, e *event) float64 {
	want := m.c.traced(m.c.off(p, e.from), e.seen.Act)
	if len(want) == 0 != (len(e.seen.Rings) == 0) {
		return -costMeter
	}
	for _, r := range e.seen.Rings {
		if !slices.Contains(want, r) {
			return -costMeter
		}
	}
	return 0
}

// traces lists along which board the lead of an explanation could be followed: from its lug to the board that it should come from.
func (m *Model) traces(all []Cause) []Act {
	c := m.c
	var out []Act
	seen := map[strand]bool{}
	put := func(lug int32) {
		if lug < 0 || c.isBoard(lug) || c.rail[lug] >= 0 {
			return
		}
		for _, j := range c.jointsAt[lug] {
			if w := c.joints[j].wire; w >= 0 {
				far := c.terms[c.joints[j].a+c.joints[j].b-lug]
				k := strand{c.terms[lug], far.Of}
				if c.isBoard(c.find(far)) && !seen[k] {
					seen[k] = true
					out = append(out, Act{Do: Trace, Probe: [2]wiring.Terminal{k.lug, {Of: k.board}}})
				}
			}
		}
	}
	for _, x := range all {
		for _, id := range x.ids {
			switch f := &m.list[id].Fault; f.Kind {
			case OpenLead, WrongPin, Swapped, WiperOpen, Dead, LinesSwapped:
				for _, t := range []wiring.Terminal{f.A, f.B} {
					i := c.find(t)
					if i < 0 {
						continue
					}
					put(i)
					for _, j := range c.jointsAt[i] { // a pin: the lug that its lead goes to
						put(c.joints[j].a + c.joints[j].b - i)
					}
				}
			}
		}
	}
	return out
}

// strand is a lug and the board that its lead is followed to.
type strand struct {
	lug   wiring.Terminal
	board string
}

// boardLabel gives what people call a board.
func (c *circuit) boardLabel(name string) string {
	for i := range c.in.Wiring.Boards {
		if b := &c.in.Wiring.Boards[i]; b.Name == name && b.Label != "" {
			return b.Label
		}
	}
	return name
}
