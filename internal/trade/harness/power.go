package harness

import (
	"fmt"
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/trade/wiring"
)

// power lists the first power-up in order, with the current to expect at each step.
func (w *worker) power() {
	p := w.w.Power
	own := 0.0
	if b := w.w.Boards[0]; b.Part.Board != nil {
		own = b.Part.Board.Own
	}
	add := func(do string, lo, hi float64, otherwise string) {
		s := Step{Do: do, MA: [2]float64{math.Floor(lo), math.Ceil(hi)}, Else: otherwise}
		if hi > 0 {
			s.Expect = fmt.Sprintf("%.0f to %.0f mA", s.MA[0], s.MA[1])
		}
		w.r.Power = append(w.r.Power, s)
	}
	add("Go through the continuity list while the leads are off the boards. Nothing that must be silent may ring.", 0, 0, "Find the bridge before you plug anything in.")
	alone := "Plug the module alone into a USB meter, before its leads are on."
	if w.p.Wiring.Ends == "crimped" {
		alone = "Pull all housings off the module and plug it into a USB meter."
	}
	add(alone, own*0.6, own*1.5, "The module or its lead is bad: change it before you wire it.")
	on := "Pull the plug, solder the leads on, look for bridges with a glass and with the last part of the continuity list, and plug it in again. Touch nothing on the panel."
	if w.p.Wiring.Ends == "crimped" {
		on = "Pull the plug, put the housings on one by one, each by its tag, and plug it in again. Touch nothing on the panel."
	}
	more := "Much more: pull the plug and feel what is warm; a supply is shorted or a part sits the wrong way round. Much less: a supply lead is open."
	if p.Rest > 0 {
		add(on, p.Rest*0.6, p.Rest*1.4, more)
	} else {
		add(on, 0, 0, more)
	}
	w.powerRails()
	if p.After > p.Rest*1.02+0.5 {
		add("Switch all lamps on.", p.After*0.6, p.After*1.2, "Less: a lamp is the wrong way round or open. More: a resistor is too small.")
	}
	add("Press, turn and flip every control and watch the test page.", 0, 0, "The continuity list tells which lead to look at.")
}

// powerRails measures every supply at the far end of its longest chain.
func (w *worker) powerRails() {
	back, ok := wiring.Terminal{}, false
	for i, n := range w.w.Nets {
		if t, has := w.rootOf(i); has && !ok && n.Kind == wiring.NetGround {
			back, ok = t, true
		}
	}
	if !ok {
		return
	}
	for i, n := range w.w.Nets {
		if n.Kind != wiring.NetSupply || !(n.Volts > 0) {
			continue
		}
		far := wiring.Terminal{}
		most := -1.0
		for _, c := range w.r.Chains {
			if k := len(c.Lugs); c.Net == i && k > 0 && c.Drop > most {
				far, most = c.Lugs[k-1], c.Drop
			}
		}
		if far.Zero() {
			continue
		}
		w.r.Power = append(w.r.Power, Step{
			Do:     fmt.Sprintf("Measure %s at %s against %s.", n.Name, w.label(far), w.label(back)),
			Expect: fmt.Sprintf("%.2f to %.2f V", n.Volts*0.95-most/1000, n.Volts*1.05),
			Else:   finding.Capital("much less: too much hangs on it, or a joint of the chain is dry. Nothing: it is open, or lies on another pin."),
		})
	}
}
