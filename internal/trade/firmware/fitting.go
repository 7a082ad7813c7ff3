package firmware

import (
	"math"
	"slices"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// contactKinds is what a contact can send while it is held, and what a moment can send: a pulse, a long press, a click. Of a moment a hat and
// a shift are judged where its pulse is made.
var contactKinds = []project.DeedKind{
	project.Button, project.Key, project.Consumer, project.System, project.HatDeed, project.Note, project.MIDIControl, project.Program, project.Shift, project.Macro, project.None,
}

// fitting takes out what no contact can send, and says so: left in, it would be a control that does nothing.
func (w *worker) fitting(x *piece) {
	switch {
	case x.kind == contact:
		w.fits(x, &x.does)
		w.fits(x, &x.release)
		w.fits(x, &x.second)
		w.fits(x, &x.long)
		w.fits(x, &x.twice)
		if x.does.Kind == project.Shift && !x.second.Zero() {
			w.cannot(x.c, x.second.Pos, x.label+" brings the second layer itself, so what it has there, "+x.second.String()+", would never be sent.", "Take shifted: out here; it belongs to the others.")
			x.second = project.Deed{}
		}
	case x.kind == turn && !x.whole():
		w.fits(x, &x.does)
		w.fits(x, &x.left)
	}
}

// fits takes one thing out if no contact and no moment can send it.
func (w *worker) fits(x *piece, d *project.Deed) {
	if d.Zero() || slices.Contains(contactKinds, d.Kind) && (d.Kind != project.HatDeed || d.Name != "") {
		return
	}
	body := "Write button, a key, or something of MIDI: button 5, key ctrl+s, note 60."
	head := x.label + " cannot send " + d.String() + ": "
	switch d.Kind {
	case project.AxisDeed:
		head += "a contact is on or off, and an axis has many values."
		body = "An axis wants a pot, an encoder, or a switch with a contact for each position. Here write button, or a key: button 5, key ctrl+s."
	case project.HatDeed:
		head += "it does not say which way."
		body = "Write hat up, hat right, hat down or hat left."
	default:
		head += "that is what a lamp goes by."
		if len(x.c.Part.Circuit.Lamps) > 0 {
			body = "For the lamp in it write lamp: " + d.String() + ". " + body
		}
	}
	w.cannot(x.c, d.Pos, head, body)
	*d = project.Deed{Kind: project.None}
}

// times says which times are longer than the firmware can count: it counts ticks, up to 255 of them for contacts and 65535 for pulses.
func (w *worker) times(x *piece) {
	if w.chip == nil {
		return
	}
	a := x.asked
	tooLong := func(word string, pos finding.Pos, ms float64, most int) {
		can := float64(most) * w.tick
		if ms <= can || w.copied[x.c] {
			return
		}
		body := "It counts how often it has looked at the contacts, to " + itoa(most) + " at most, and it looks every " + plainMS(w.tick) + ". Write " + plainMS(math.Floor(can)) + " or less"
		if need := int(math.Ceil(ms*1000/float64(most)/50)) * 50; need <= 10000 {
			body += ", or let it look less often: usb: {tick: " + itoa(need) + "}, in thousandths of a millisecond"
		}
		f := finding.Finding{
			Head: x.c.Label + " asks for " + word + " " + plainMS(ms) + "; the firmware counts to " + plainMS(can) + " here.", Body: body + ".", Ends: []finding.End{w.end(x.c, pos)},
			Measure: &finding.Measure{Have: ms, Want: can, Unit: "ms", Sense: finding.AtMost},
		}
		if !slices.ContainsFunc(w.r.Findings, func(g finding.Finding) bool { return g.Head == f.Head }) {
			w.found(ruleCore, f)
		}
	}
	if x.kind == contact || x.kind == choose {
		tooLong("debounce:", a.Pos("debounce"), w.debounceMS(x), mostDebounce)
	}
	tooLong("pulse:", a.Pos("pulse"), a.PulseMS, mostTicks)
	tooLong("gap:", a.Pos("gap"), a.GapMS, mostTicks)
	tooLong("after:", a.Pos("after"), a.AfterMS, mostTicks)
	tooLong("within:", a.Pos("within"), a.WithinMS, mostTicks)
	for _, d := range []*project.Deed{&x.does, &x.left, &x.release, &x.long, &x.twice} {
		wait := 0.0
		for _, s := range d.Steps {
			if s.Kind != project.Wait {
				wait = w.gapMS(x)
				continue
			}
			wait += s.MS
			tooLong("a wait of", d.Pos, wait, mostTicks)
		}
	}
}

// What the firmware's counters hold: firmware/core/input.c and pulse.c.
const (
	mostDebounce = 255
	mostTicks    = 65535
)
