package firmware

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

// pieceKind is what a piece is by its wires.
type pieceKind int

const (
	contact pieceKind = iota
	turn              // an encoder
	track             // a wiper
	choose            // a switch whose positions are the values of one axis
	lamp
)

// piece is one thing that sends, or one lamp.
type piece struct {
	kind   pieceKind
	key    string // under numbers:
	label  string
	c      *panel.Control
	asked  *project.Asked
	dev    int
	sig    []int // signals: of a contact and a track one, of an encoder A and B, of a choice all, of a lamp one or none
	invert bool  // it sends while the contact is open
	pulse  bool  // a pulse at every change instead of the state
	stick  bool  // a track of a stick: it has a middle
	none   bool  // a contact that is on while none of sig is closed
	coded  bool  // a choice whose contacts are the bits of its number, the lowest first

	does    project.Deed
	left    project.Deed // of an encoder, of a click to the left
	release project.Deed // of a pulse at the opening, when it is another one
	second  project.Deed // while a shift is held
	long    project.Deed
	twice   project.Deed

	inherited bool // what it sends was written for the control that a mirror or copy made it from
}

// read reads what every control sends, and says what cannot be understood, once for all copies of a control.
func (w *worker) read() {
	seen := map[any]*project.Asked{}
	for _, s := range w.p.Sheets() {
		for _, c := range slices.Concat(s.Controls, s.Waiting) {
			if n := c.Sent.Node; n != nil {
				if a, ok := seen[n]; ok {
					w.asked[c], w.copied[c] = a, true
					continue
				}
			}
			path := c.Origin.Path + ".sends"
			a, problems := project.ReadSends(c.Sent, c.Origin.Pos.File, path)
			w.asked[c] = &a
			if c.Sent.Node != nil {
				seen[c.Sent.Node] = &a
			}
			for _, p := range problems {
				f := p.Finding(c.Label)
				if w.p.Pos(path).Line == 0 { // the record stands elsewhere: no fix can find it
					f.Fixes = nil
				}
				w.r.Findings = append(w.r.Findings, f)
			}
		}
	}
}

// pieces finds everything that sends, and every lamp, in file order.
func (w *worker) pieces() {
	worked := map[*panel.Control]bool{}
	for d := range w.w.Devices {
		dev := &w.w.Devices[d]
		a := w.asked[dev.Control]
		if a == nil {
			continue
		}
		worked[dev.Control] = true
		var sig []int
		for i, s := range w.w.Signals {
			if s.Device == d && (s.Kind == wiring.SigContact || s.Kind == wiring.SigPhase || s.Kind == wiring.SigWiper || s.Kind == wiring.SigLamp || s.Kind == wiring.SigDrive) {
				sig = append(sig, i)
			}
		}
		switch dev.Kind {
		case wiring.DevSwitch:
			w.contacts(d, sig)
		case wiring.DevEncoder:
			w.encoder(d, sig)
		case wiring.DevTrack:
			w.track(d, sig)
		case wiring.DevLamp:
			w.lamp(d, sig)
		case wiring.DevPowered:
			w.powered(d, sig)
		}
	}
	for _, s := range w.p.Sheets() {
		for _, c := range s.Controls {
			if a := w.asked[c]; a != nil && !worked[c] && a.Written && !w.copied[c] && (a.Main.Kind != project.None || len(a.Places) > 0) {
				w.found(ruleCannot, finding.Finding{
					Head: c.Label + " is not wired to the module, so it sends nothing.", Body: "What stands under sends: changes nothing.", Ends: []finding.End{w.end(c, a.Pos(""))},
				})
			}
		}
	}
	w.names()
}

// end is one end of a finding: a control, at a place in its record.
func (w *worker) end(c *panel.Control, pos finding.Pos) finding.End {
	e := c.Origin.End()
	if pos.Line > 0 {
		e.Pos = pos
	}
	return e
}

// add adds a piece. A contact of which the file says nothing is a button; one of which it says something that cannot be understood
// sends nothing until that is mended.
func (w *worker) add(x piece) {
	if x.kind == contact && x.does.Zero() {
		if x.does.Kind = project.Button; x.does.Text != "" {
			x.does.Kind = project.None
		}
	}
	x.inherited = w.copied[x.c]
	w.fitting(&x)
	w.list = append(w.list, x)
}

// contacts makes the pieces of a switch.
func (w *worker) contacts(d int, sig []int) {
	dev := &w.w.Devices[d]
	c, a := dev.Control, w.asked[dev.Control]
	k := &c.Part.Circuit
	isEncoder := slices.ContainsFunc(k.Contacts, func(x catalog.Contact) bool { return x.Phase != "" })
	base := piece{kind: contact, c: c, asked: a, dev: d, pulse: a.As == "pulse"}
	main := a.Main
	if (main.Kind == project.AxisDeed || main.Kind == project.MIDIControl) && (isEncoder && len(a.Turns) == 0 || len(k.Tracks) > 0) { // of the turning or the track
		main = project.Deed{}
	}
	if len(sig) == 1 {
		x := base
		x.key, x.label, x.sig = dev.ID, dev.Label, sig
		x.does, x.long, x.twice = main, a.Longer, a.Twice
		w.one(x, dev)
		return
	}
	if w.choice(base, main, sig) {
		return
	}
	if !a.Longer.Zero() || !a.Twice.Zero() {
		w.cannot(c, a.Pos("long"), c.Label+" has several contacts; long and double presses are for one.", "")
	}
	if main.Kind != "" && main.Number > 0 && main.Kind == project.Button && a.As != "one" || main.Kind == project.HatDeed && main.Name != "" || main.Kind == project.AxisDeed || main.MIDI() && a.As != "one" {
		body := "Name its positions: {" + partOf(w.w.Signals[sig[0]].Name) + ": " + main.String() + ", ...}; or write as: one, if all are to send the same."
		if main.Kind == project.AxisDeed {
			body = "An axis wants a contact for each position, and here they are not one each. Let its positions send buttons: {" + partOf(w.w.Signals[sig[0]].Name) + ": button, ...}."
		}
		w.cannot(c, main.Pos, c.Label+" has "+count(len(sig), "contact", "contacts")+", and "+main.String()+" is for one.", body)
		main = project.Deed{}
	}
	for _, i := range sig {
		part := partOf(w.w.Signals[i].Name)
		x := base
		x.key, x.label, x.sig, x.does = w.w.Signals[i].Name, w.w.Signals[i].Label, []int{i}, main
		if a.As == "one" {
			x.key = c.Name
		}
		if main.Kind == project.HatDeed {
			x.does.Name = part
			if !slices.Contains([]string{"up", "right", "down", "left"}, part) {
				w.cannot(c, main.Pos, c.Label+" has a contact called "+part+", which is no direction of a hat.", "Name its positions: {"+part+": hat up, ...}.")
				x.does = project.Deed{Kind: project.None}
			}
		}
		for _, p := range a.Places {
			if p.Name == part || w.closes(i, dev, p.Name) {
				x.does = p.Deed
			}
		}
		for _, p := range a.Second {
			if p.Name == part || w.closes(i, dev, p.Name) {
				x.second = p.Deed
			}
		}
		w.add(x)
	}
	w.middle(base, sig)
}

// partOf is the last part of a signal's name.
func partOf(name string) string { return name[strings.LastIndexByte(name, '/')+1:] }

// closes reports whether a contact is closed in a position, and in no other.
func (w *worker) closes(signal int, dev *wiring.Device, position string) bool {
	n := 0
	for i := range signal {
		if w.w.Signals[i].Device == w.w.Signals[signal].Device && w.w.Signals[i].Kind == w.w.Signals[signal].Kind {
			n++
		}
	}
	if n >= len(dev.Contact) {
		return false
	}
	x := dev.Control.Part.Circuit.Contacts[dev.Contact[n]]
	return len(x.Closed) == 1 && x.Closed[0] == position
}

// one makes the pieces of a switch of one contact: what it sends closed, and perhaps what it sends open.
func (w *worker) one(x piece, dev *wiring.Device) {
	a, c := x.asked, x.c
	k := &c.Part.Circuit
	on := k.Contacts[dev.Contact[0]]
	var open project.Deed
	for _, p := range a.Places {
		switch {
		case slices.Contains(on.Closed, p.Name) || p.Name == on.Sends && on.Sends != "":
			x.does = p.Deed
		case slices.Contains(k.Positions, p.Name) && len(k.Positions) == 2:
			open = p.Deed
		case slices.Contains(k.Positions, p.Name):
			w.lack(c, p.Pos, "sends something in position "+p.Name+", in which its contact is as in another", "Wire another contact too: use: [...].")
		}
	}
	for _, p := range a.Second {
		if p.Name == "" || slices.Contains(on.Closed, p.Name) {
			x.second = p.Deed
		}
	}
	if x.does.Zero() && (!open.Zero() || !x.long.Zero() || !x.twice.Zero()) && len(a.Places) > 0 {
		x.does = project.Deed{Kind: project.None}
	}
	switch a.As {
	case "two":
		if open.Zero() {
			open = project.Deed{Kind: project.Button}
		}
	case "three", "axis":
		w.cannot(c, a.Pos("as"), c.Label+" has one contact; as: "+a.As+" is for more.", "")
	}
	if x.pulse && !open.Zero() {
		x.release = open
		open = project.Deed{}
	}
	w.add(x)
	if !open.Zero() && open.Kind != project.None {
		y := x
		y.key += "/off"
		y.label += " off"
		y.does, y.second, y.long, y.twice, y.invert = open, project.Deed{}, project.Deed{}, project.Deed{}, true
		w.add(y)
	}
}

// encoder makes the piece of an encoder.
func (w *worker) encoder(d int, sig []int) {
	dev := &w.w.Devices[d]
	c, a := dev.Control, w.asked[dev.Control]
	x := piece{kind: turn, key: dev.ID, label: dev.Label, c: c, asked: a, dev: d, sig: sig}
	turns := a.Turns
	push := slices.ContainsFunc(c.Part.Circuit.Contacts, func(k catalog.Contact) bool { return k.Phase == "" && !k.Spare })
	if len(turns) == 0 && (a.Main.Kind == project.AxisDeed || a.Main.Kind == project.MIDIControl || a.Main.Kind == project.None) {
		turns = []project.Deed{a.Main}
	} else if len(turns) == 0 && !push && !a.Main.Zero() {
		w.cannot(c, a.Main.Pos, c.Label+" is an encoder without a push switch, so "+a.Main.String()+" would never be sent.", "Say what turning sends: {turn: ["+a.Main.String()+", ...]}, right first; or {turn: axis x}.")
	}
	switch len(turns) {
	case 0:
		x.does, x.left = project.Deed{Kind: project.Button}, project.Deed{Kind: project.Button}
	case 1:
		x.does = turns[0]
		if k := x.does.Kind; k != project.AxisDeed && k != project.MIDIControl && k != project.None && k != "" {
			w.cannot(c, x.does.Pos, c.Label+" turns two ways; "+x.does.String()+" is for one.", "Write two: turn: ["+x.does.String()+", ...], right first; or one axis or control.")
			x.does = project.Deed{Kind: project.None}
		}
	default:
		x.does, x.left = turns[0], turns[1]
		for i, t := range turns {
			if t.Kind == project.AxisDeed || t.Kind == project.HatDeed || t.Kind == project.Shift {
				w.cannot(c, t.Pos, "A click of "+c.Label+" cannot send "+t.String()+".", map[bool]string{true: "One axis serves both ways: turn: " + t.String() + "."}[t.Kind == project.AxisDeed])
				*[]*project.Deed{&x.does, &x.left}[i] = project.Deed{Kind: project.None}
			}
		}
	}
	w.add(x)
}

// track makes the piece of a pot or of one way of a stick.
func (w *worker) track(d int, sig []int) {
	dev := &w.w.Devices[d]
	c, a := dev.Control, w.asked[dev.Control]
	tracks := c.Part.Circuit.Tracks
	x := piece{kind: track, key: dev.ID, label: dev.Label, c: c, asked: a, dev: d, sig: sig, stick: c.Part.Class == catalog.Joystick}
	t := tracks[dev.Index]
	x.does = a.Main
	if len(tracks) > 1 {
		if (x.does.Kind == project.AxisDeed && x.does.Name != "" || x.does.Kind == project.MIDIControl) && dev.Index == 0 {
			w.cannot(c, a.Main.Pos, c.Label+" has "+itoa(len(tracks))+" ways, and "+a.Main.String()+" is for one.", "Name them: {"+t.Sends+": "+a.Main.String()+", ...}.")
		}
		x.does = project.Deed{}
		if slices.Contains(project.AxisNames, t.Sends) {
			x.does = project.Deed{Kind: project.AxisDeed, Name: t.Sends}
		}
	}
	for _, p := range a.Places {
		if p.Name == t.Sends && t.Sends != "" {
			x.does = p.Deed
		}
	}
	switch {
	case x.does.Zero():
		x.does = project.Deed{Kind: project.AxisDeed}
	case x.does.Kind == project.MIDIControl || x.does.Kind == project.AxisDeed || x.does.Kind == project.None:
	default:
		w.cannot(c, x.does.Pos, c.Label+" gives a voltage; "+x.does.String()+" wants a contact.", "Write axis, or axis and its name: axis slider; of MIDI a control: control 7.")
		x.does = project.Deed{Kind: project.AxisDeed}
	}
	w.add(x)
}
