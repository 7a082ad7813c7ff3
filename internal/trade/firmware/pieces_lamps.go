package firmware

import (
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// lamp makes the piece of a lamp.
func (w *worker) lamp(d int, sig []int) {
	dev := &w.w.Devices[d]
	c, a := dev.Control, w.asked[dev.Control]
	x := piece{kind: lamp, key: dev.ID, label: dev.Label, c: c, asked: a, dev: d, sig: sig, does: a.Light}
	k := &c.Part.Circuit
	lit := len(k.Contacts) > 0 || len(k.Tracks) > 0
	switch {
	case x.does.Zero() && lit:
		x.does = project.Deed{Kind: project.Follows}
	case x.does.Zero():
		x.does = a.Main
		if x.does.Zero() {
			x.does = project.Deed{Kind: project.Steady}
			if len(sig) > 0 {
				w.steady = append(w.steady, c)
			}
		}
	}
	if !forLamp(x.does) {
		w.cannot(c, x.does.Pos, "A lamp sends nothing, so "+x.does.String()+" cannot be.", "A lamp is steady, follows a control, flips at each press of one, or is lit by the host: host, host 3, or by a note or a control of MIDI: note C4.")
		x.does = project.Deed{Kind: project.Steady}
	}
	if len(sig) == 0 && a.Written && (!a.Light.Zero() || !lit) && x.does.Kind != project.None && x.does.Kind != project.Steady {
		w.cannot(c, x.does.Pos, x.label+" is not fed by a pin, so it cannot be "+x.does.String()+".", "Take lit: out of its record, or write lit: pin.")
	}
	w.add(x)
}

func forLamp(d project.Deed) bool {
	switch d.Kind {
	case project.Steady, project.Follows, project.Flips, project.HostDeed, project.None, project.Note, project.MIDIControl:
		return true
	}
	return false
}

// powered makes the piece of a buzzer that a pin feeds; of a display there is only something to say.
func (w *worker) powered(d int, sig []int) {
	dev := &w.w.Devices[d]
	c, a := dev.Control, w.asked[dev.Control]
	pw := c.Part.Circuit.Powered
	if pw == nil || !pw.Switch {
		w.found(ruleNotDriven, finding.Finding{
			Head: c.Label + " is wired, but the firmware does not drive it.", Body: "The core reads contacts and voltages and lights lamps; displays are beyond it. Leave it dark, or drive it from a board of its own.",
			Ends: []finding.End{c.Origin.End()},
		})
		return
	}
	x := piece{kind: lamp, key: dev.ID, label: dev.Label, c: c, asked: a, dev: d, sig: sig, does: a.Main}
	switch {
	case x.does.Zero():
		x.does = project.Deed{Kind: project.HostDeed}
	case !forLamp(x.does):
		w.cannot(c, x.does.Pos, c.Label+" sends nothing, so "+x.does.String()+" cannot be.", "It follows a control, flips at each press of one, or is driven by the host: host, host 3, or by a note or a control of MIDI: note C4.")
		x.does = project.Deed{Kind: project.HostDeed}
	}
	w.add(x)
}
