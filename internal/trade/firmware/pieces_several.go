package firmware

import (
	"slices"
	"strings"

	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

// whole reports whether a piece moves one field by itself, as an axis or a control of MIDI.
func (x *piece) whole() bool {
	switch x.kind {
	case track, choose:
		return true
	case turn:
		return x.does.Kind == project.AxisDeed || x.does.Kind == project.MIDIControl && x.left.Zero()
	}
	return false
}

// choice makes one piece of a switch whose positions are the values of one axis or control, if that is asked for. It says so where that
// cannot be.
func (w *worker) choice(x piece, main project.Deed, sig []int) bool {
	a, c, dev := x.asked, x.c, &w.w.Devices[x.dev]
	asks := a.As == "axis" || main.Kind == project.AxisDeed || main.Kind == project.MIDIControl && a.As == ""
	if !asks {
		return false
	}
	order, ok := w.inOrder(dev, sig)
	if !ok {
		order, x.invert, ok = w.byWeight(dev, sig)
		x.coded = ok
	}
	if !ok {
		if a.As == "axis" {
			body := "Leave as: out; its contacts are buttons then."
			if len(sig) == 2 {
				body = "Leave as: out, or write as: three; its positions are buttons then."
			}
			w.lack(c, a.Pos("as"), "asks for an axis, and its positions are not one contact each", body)
		}
		return a.As == "axis"
	}
	x.kind, x.key, x.label, x.sig, x.does = choose, dev.ID, dev.Label, order, main
	switch main.Kind {
	case "":
		x.does = project.Deed{Kind: project.AxisDeed}
	case project.AxisDeed, project.MIDIControl, project.None:
	default:
		w.cannot(c, main.Pos, c.Label+" is to be an axis, and "+main.String()+" is none.", "Write axis, axis and its name, or a control of MIDI: control 7.")
		x.does = project.Deed{Kind: project.AxisDeed}
	}
	if len(a.Places)+len(a.Second) > 0 || !a.Longer.Zero() || !a.Twice.Zero() {
		w.cannot(c, a.Pos("as"), c.Label+" is one axis, so its positions send nothing of their own.", "Take them out, or leave as: axis out.")
	}
	w.add(x)
	return true
}

// inOrder gives the contacts of a switch in the order of its positions. False where they are not one for each.
func (w *worker) inOrder(dev *wiring.Device, sig []int) ([]int, bool) {
	positions := dev.Control.Part.Circuit.Positions
	if len(sig) != len(positions) {
		return nil, false
	}
	var out []int
	for _, p := range positions {
		i := slices.IndexFunc(sig, func(i int) bool { return w.closes(i, dev, p) })
		if i < 0 {
			return nil, false
		}
		out = append(out, sig[i])
	}
	return out, true
}

// byWeight gives the contacts of a coded switch by their weights, the lowest first, and whether they are open where a bit of the number of
// its position is set. False where they are no such code.
func (w *worker) byWeight(dev *wiring.Device, sig []int) (order []int, open, ok bool) {
	k := &dev.Control.Part.Circuit
	n := len(sig)
	if n < 2 || n > 7 || len(k.Positions) != 1<<n || len(dev.Contact) != n {
		return nil, false, false
	}
	order = make([]int, n)
	for i, c := range dev.Contact {
		x := &k.Contacts[c]
		bit := 0
		for bit < n && x.Weight != 1<<bit {
			bit++
		}
		if bit == n || order[bit] != 0 {
			return nil, false, false
		}
		order[bit] = sig[i] + 1
		for at, p := range k.Positions {
			closed := slices.Contains(x.Closed, p)
			if i == 0 && at == 0 {
				open = closed
			}
			if closed == (at>>bit&1 != 0) == open {
				return nil, false, false
			}
		}
	}
	for i := range order {
		order[i]--
	}
	return order, open, true
}

// middle makes a piece of the position in which no contact is closed, if it is to send something.
func (w *worker) middle(x piece, sig []int) {
	a, c, dev := x.asked, x.c, &w.w.Devices[x.dev]
	var open []string
	for _, p := range c.Part.Circuit.Positions {
		closed := slices.ContainsFunc(dev.Contact, func(k int) bool { return slices.Contains(c.Part.Circuit.Contacts[k].Closed, p) })
		if !closed {
			open = append(open, p)
		}
	}
	for _, p := range a.Second {
		if slices.Contains(open, p.Name) && p.Deed.Kind != project.None {
			w.lack(c, p.Pos, "sends something on the second layer in position "+p.Name+", in which no contact is closed", "Take it out; the other positions have a second layer.")
		}
	}
	pos := a.Pos("as")
	for _, p := range a.Places {
		switch named := func(i int) bool { return partOf(w.w.Signals[i].Name) == p.Name || w.closes(i, dev, p.Name) }; {
		case !slices.Contains(c.Part.Circuit.Positions, p.Name) || slices.ContainsFunc(sig, named) || p.Deed.Zero():
		case slices.Contains(open, p.Name) && len(open) == 1:
			x.does, pos = p.Deed, p.Pos
		case p.Deed.Kind != project.None:
			w.lack(c, p.Pos, "sends something in position "+p.Name+", which its contacts do not tell from another", "Wire another contact too: use: [...].")
		}
	}
	if a.As == "three" && x.does.Zero() {
		x.does = project.Deed{Kind: project.Button}
	}
	if x.does.Zero() || x.does.Kind == project.None {
		return
	}
	if len(open) != 1 || len(sig) > mostNeither {
		w.lack(c, pos, "asks for a button of its own for the position in which no contact is closed, and there is not one such of at most "+itoa(mostNeither)+" contacts", "Leave it out: the computer sees it by the others being off.")
		return
	}
	switch x.does.Kind {
	case project.HatDeed, project.Shift, project.Macro, project.AxisDeed:
		w.cannot(c, x.does.Pos, c.Label+" cannot send "+x.does.String()+" in position "+open[0]+", in which no contact is closed.", "There it sends a button, a key, or something of MIDI.")
		return
	}
	base := strings.TrimSuffix(w.w.Signals[sig[0]].Name, partOf(w.w.Signals[sig[0]].Name))
	x.key, x.label, x.sig, x.none = base+open[0], dev.Label+" "+open[0], sig, true
	if x.pulse {
		w.lack(c, pos, "sends "+x.does.String()+" in position "+open[0]+" as a pulse, and no contact closes there", "Leave "+open[0]+" out, or as: pulse; without that it is held.")
	}
	x.pulse = false
	w.add(x)
}

// mostNeither is how many contacts a record of the core's neithers has.
const mostNeither = 4
