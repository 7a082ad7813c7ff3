package harness

import (
	"fmt"
	"math"
)

// power lists the first power-up in order, with the current to expect at each step.
func (w *worker) power() {
	p := w.w.Power
	own := 0.0
	for _, b := range w.w.Boards {
		if b.Part.Board != nil && own == 0 {
			own = b.Part.Board.Own
		}
	}
	add := func(do string, lo, hi float64, otherwise string) {
		s := Step{Do: do, MA: [2]float64{math.Floor(lo), math.Ceil(hi)}, Else: otherwise}
		if hi > 0 {
			s.Expect = fmt.Sprintf("%.0f to %.0f mA", s.MA[0], s.MA[1])
		}
		w.r.Power = append(w.r.Power, s)
	}
	add("Go through the continuity list. Nothing that must be silent may ring.", 0, 0, "Find the bridge before you plug anything in.")
	add("Plug the module alone into a USB meter, before its leads are on.", own*0.6, own*1.5, "The module or its lead is bad: change it before you wire it.")
	if p.Rest > 0 {
		add("Solder or plug the leads on, and plug it in again. Touch nothing on the panel.", p.Rest*0.6, p.Rest*1.4, "Much more: pull the plug and feel what is warm; a supply is shorted or a part sits the wrong way round. Much less: a supply lead is open.")
	}
	if p.After > p.Rest {
		add("Switch all lamps on.", p.After*0.6, p.After*1.2, "Less: a lamp is the wrong way round or open. More: a resistor is too small.")
	}
	add("Press, turn and flip every control and watch the test page.", 0, 0, "The continuity list tells which lead to look at.")
}
