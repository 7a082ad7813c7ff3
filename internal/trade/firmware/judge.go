package firmware

import (
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// judge says what hosts will not show, and what shift controls lack.
func (w *worker) judge() {
	buttons, axes, shifts, layers := 0, 0, 0, 0
	var over, relative, second, first *piece
	w.every(func(d *project.Deed, x *piece) {
		switch d.Kind {
		case project.Button:
			if d.Number > buttons {
				buttons, over = d.Number, x
			}
		case project.AxisDeed:
			axes++
			if x.kind == turn && x.asked.Mode == "relative" {
				relative = x
			}
		case project.Shift:
			shifts++
			if first == nil {
				first = x
			}
		}
	})
	var nine *piece
	n := 0
	for i := range w.list {
		x := &w.list[i]
		if x.does.Kind == project.AxisDeed {
			if n++; n == 9 {
				nine = x
			}
		}
		if !x.second.Zero() {
			layers++
			if second == nil {
				second = x
			}
		}
	}
	if most := int(w.p.Limits.Value(limitButtons)); buttons > most {
		w.found(ruleManyButtons, finding.Finding{
			Head: "The panel has buttons up to number " + itoa(buttons) + "; older programs show " + itoa(most) + ".", Body: "Newer ones take 128. Look whether yours does before you give the last numbers to what matters.",
			Ends: []finding.End{over.c.Origin.End()}, Measure: &finding.Measure{Have: float64(buttons), Want: float64(most), Sense: finding.AtMost}, Source: w.p.Limits.Source(limitButtons),
		})
	}
	if most := int(w.p.Limits.Value(limitAxes)); axes > most && nine != nil {
		w.found(ruleManyAxes, finding.Finding{
			Head: "The panel has " + itoa(axes) + " axes; many programs show " + itoa(most) + ".", Body: "What is beyond is sent, and may be seen by nobody.",
			Ends: []finding.End{nine.c.Origin.End()}, Measure: &finding.Measure{Have: float64(axes), Want: float64(most), Sense: finding.AtMost}, Source: w.p.Limits.Source(limitAxes),
		})
	}
	if relative != nil {
		w.found(ruleRelative, finding.Finding{
			Head: relative.label + " is a relative axis; many programs pass such axes of a joystick over.", Body: "An absolute axis that goes round (wrap: yes), or two buttons, are understood everywhere.",
			Ends: []finding.End{w.end(relative.c, relative.asked.Pos("mode"))},
		})
	}
	if layers > 0 && shifts == 0 {
		w.found(ruleShift, finding.Finding{
			Head: second.label + " has a second layer, but no control is a shift.", Body: "Write sends: shift at the control that is to bring the second layer.", Ends: []finding.End{w.end(second.c, second.second.Pos)},
		})
	}
	if shifts > 0 && layers == 0 {
		w.found(ruleShift, finding.Finding{
			Head: first.label + " is a shift, but no control has a second layer.", Body: "Write shifted: at those that are to send something else while it is held: sends: {press: button 1, shifted: button 21}.",
			Ends: []finding.End{w.end(first.c, first.does.Pos)},
		})
	}
	for i := range w.list {
		w.judgeTurn(&w.list[i])
		w.times(&w.list[i])
	}
}

// judgeTurn checks the numbers of an encoder that is an axis, and of what else has a range.
func (w *worker) judgeTurn(x *piece) {
	if x.kind != turn && x.kind != choose && (x.kind != track || !x.does.MIDI()) {
		return
	}
	a := x.asked
	lo, hi := x.span()
	switch {
	case a.Range != nil && x.coded && (lo != a.Range[0] || hi != a.Range[1]):
		w.cannot(x.c, a.Pos("range"), x.label+" cannot go from "+itoa(a.Range[0])+" to "+itoa(a.Range[1])+".", "Its contacts are the bits of the value, so that it goes from 0 to "+itoa(hi)+", or to a higher power of two less one: "+itoa(2*hi+1)+".")
	case a.Range != nil && x.does.MIDI() && (a.Range[0] >= a.Range[1] || a.Range[0] < 0 || a.Range[1] > 127):
		w.cannot(x.c, a.Pos("range"), x.label+" cannot go from "+itoa(a.Range[0])+" to "+itoa(a.Range[1])+".", "A control of MIDI goes from 0 to 127, the first less than the second.")
	case a.Range != nil && (a.Range[0] >= a.Range[1] || a.Range[0] < -32768 || a.Range[1] > 32767):
		w.cannot(x.c, a.Pos("range"), x.label+" cannot go from "+itoa(a.Range[0])+" to "+itoa(a.Range[1])+".", "The first is less than the second, both between -32768 and 32767. "+itoa(lo)+" to "+itoa(hi)+" is taken.")
	case a.Start != nil && (*a.Start < lo || *a.Start > hi):
		w.cannot(x.c, a.Pos("start"), x.label+" cannot start at "+itoa(*a.Start)+": it goes from "+itoa(lo)+" to "+itoa(hi)+".", "")
	case a.Step > hi-lo || a.Step < lo-hi:
		w.cannot(x.c, a.Pos("step"), "One click of "+x.label+" cannot be "+itoa(a.Step)+": it goes from "+itoa(lo)+" to "+itoa(hi)+".", "A step of 1 is taken.")
		x.asked.Step = 1
	}
	if x.kind == turn && !x.whole() && (a.Mode != "" || a.Range != nil || a.Wrap || a.Step != 0) {
		w.cannot(x.c, a.Pos("turn"), x.label+" sends two things, so mode, range, step and wrap change nothing.", "They are for turn: axis, or turn: control.")
	}
}

// mostMIDI is the length of a report of the core.
const mostMIDI = 63

// limitsOf says what the core has no room for.
func (w *worker) limitsOf() {
	t, c := &w.r.Table, w.chip
	steps := 0
	for _, m := range t.Macros {
		steps += len(m)
	}
	state := 0
	for _, r := range t.Reports {
		state = max(state, int(r.Start)+int(r.Length))
	}
	b := &w.scan.board
	lines, rungs := 0, 0
	if b.Matrix != nil {
		lines = max(len(b.Matrix.Rows), len(b.Matrix.Columns))
	}
	for _, l := range b.Ladders {
		rungs += len(l.Limits)
	}
	for _, l := range []struct {
		have, most int
		what       string
	}{
		{w.scan.next, c.Raw, "places for contacts (an expander takes 16, a matrix its rows times its columns)"}, {len(t.Inputs), c.Inputs, "inputs (a shortcut of two modifiers and a key takes three)"}, {len(t.Pulses), c.Pulses, "pulses"},
		{len(t.Toggles), c.Toggles, "controls that send pulses or steps"}, {len(t.Encoders), c.Encoders, "encoders"}, {len(t.Axes), c.Axes, "axes"}, {len(t.Hats), c.Hats, "hats"},
		{len(t.Lamps), c.Lamps, "lamps"}, {len(t.Reports), c.Reports, "reports"}, {state, c.State, "bytes of reports"}, {len(t.Gestures), c.Gestures, "controls with long or double presses"},
		{len(t.Macros), c.Macros, "shortcuts and sequences that are sent as pulses"}, {steps, c.Steps, "steps of all sequences"}, {len(b.Direct), c.Direct, "contacts on pins of the module"},
		{len(b.Analog), c.Voltages, "voltages"}, {lines, c.Lines, "rows or columns of a matrix"}, {len(b.Expanders), c.Expanders, "expanders"}, {len(b.Muxes), c.Muxes, "analog multiplexers"},
		{rungs, c.LadderSteps, "steps of voltage ladders"}, {len(t.Events), c.Events, "notes, controls and programs"}, {w.layout.midi.bytes, mostMIDI, "bytes of notes and controls"},
		{len(t.Choices), c.Choices, "positions of switches that are axes"}, {len(t.Neithers), c.Neithers, "positions in which no contact is closed"},
	} {
		if l.have <= l.most {
			continue
		}
		w.refused = true
		w.found(ruleCapacity, finding.Finding{
			Head: "The panel wants " + itoa(l.have) + " " + l.what + "; the firmware of the " + c.name + " has room for " + itoa(l.most) + ".", Body: "No image is made. Let some send nothing, or something simpler, or take a module with more room.",
			Ends: []finding.End{{Name: "module", Path: "module", Pos: w.p.Pos("module")}}, Measure: &finding.Measure{Have: float64(l.have), Want: float64(l.most), Sense: finding.AtMost},
		})
	}
}
