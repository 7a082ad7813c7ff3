package firmware

import (
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/project"
)

// action makes a pulse or a macro of a deed. The same pulse is made once.
func (w *worker) action(d *project.Deed, x *piece) action {
	length, gap := uint16(w.ticks(w.pulseMS(x), 65535)), uint16(w.ticks(w.gapMS(x), 65535))
	steps := []*project.Deed{d}
	if d.Kind == project.Macro {
		steps = steps[:0]
		for k := range d.Steps {
			steps = append(steps, &d.Steps[k])
		}
	} else if set := w.layout.bitsOf(d); len(set) == 1 {
		return action{n: w.pulse(set[0], length, gap) + 1}
	} else if len(set) == 0 {
		if d.Kind == project.HatDeed || d.Kind == project.Shift {
			w.cannot(x.c, d.Pos, x.label+" cannot send "+d.String()+" as a pulse.", "Pulses are of buttons, keys, media keys and system keys.")
		}
		return action{}
	}
	var m core.Macro
	for _, s := range steps {
		if s.Kind == project.Wait {
			if n := len(m); n > 0 {
				m[n-1].Wait = uint16(min(65535, int(m[n-1].Wait)+w.ticks(s.MS, 65535)))
			}
			continue
		}
		set := w.layout.bitsOf(s)
		for k, b := range set {
			st := core.Step{Bit: b, Press: true, Wait: 1}
			if k == len(set)-1 {
				st.Wait = length
			}
			m = append(m, st)
		}
		for k := range set {
			st := core.Step{Bit: set[len(set)-1-k], Wait: 1}
			if k == len(set)-1 {
				st.Wait = gap
			}
			m = append(m, st)
		}
	}
	if len(m) == 0 {
		return action{}
	}
	w.macros = append(w.macros, m)
	return action{macro: true, n: len(w.macros)}
}

// pulse gives the number of a pulse.
func (w *worker) pulse(bit, length, gap uint16) int {
	p := core.Pulse{Bit: bit, Length: length, Gap: gap}
	if i := slices.Index(w.pulses, p); i >= 0 {
		return i
	}
	w.pulses = append(w.pulses, p)
	return len(w.pulses) - 1
}
