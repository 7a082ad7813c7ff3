package wiring

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/yamlfile"
)

// want is what the plan needs to know of a signal beside what it says of itself.
type want struct {
	control *panel.Control // nil for lines that serve many
	contact int            // index into its contacts, -1 = none
	common  string         // lug of the contact that goes to ground, or to the column
	pools   bool           // may share: go through a matrix, an expander, a shift-in board
	own     bool           // its lugs serve no other device of the body
	matrix  bool           // may cross in a matrix
	via     Way            // the way that the person settled for it; "" = free
	bus     string         // what line of a bus it is
	busLine string         // of an I2C bus: sda or scl
	busNo   int            // of which
	cross   [2]int         // row and column of the matrix that the person settled, from 1; zero = free
	shared  bool           // serves many, so it must be on the module itself
	ends    []Terminal     // where the lead may be soldered; the nearest counts
	heavy   bool           // needs more than its pin: it counts double when pins run short
}

// feed is a lug that is joined to ground or to a supply.
type feed struct {
	to   string // netGround, netAGround, or the name of a rail
	term Terminal
}

const (
	netGround  = "ground"
	netAGround = "analog ground"
)

// devices finds what is wired in the controls, and what wants a pin.
func (w *worker) devices() {
	for _, c := range w.controls {
		w.control(c)
	}
	for _, c := range w.p.Waiting {
		if c.Part.ID != "" && (len(c.Part.Circuit.Contacts) > 0 || len(c.Part.Circuit.Tracks) > 0 || len(c.Part.Circuit.Lamps) > 0) {
			w.idle(c.Name, "", "it has no place yet")
		}
	}
}

func (w *worker) idle(of, lug, why string) {
	w.r.Idle = append(w.r.Idle, Idle{Of: of, Lug: lug, Why: why})
}

// control adds the devices of one control.
func (w *worker) control(c *panel.Control) {
	k := &c.Part.Circuit
	known := len(k.Contacts) > 0 || len(k.Tracks) > 0 || len(k.Lamps) > 0 || k.Powered != nil
	switch {
	case c.Part.Class == catalog.Plug:
		return
	case k.Elsewhere != "":
		w.idle(c.Name, "", k.Elsewhere)
		return
	case !known && len(c.Part.Lugs) == 0:
		return
	case !known:
		w.idle(c.Name, "", "nothing is known of what it does to its lugs")
		w.found(ruleUnknownCircuit, finding.Finding{
			Head: "Nothing is known of what " + c.Label + " does to its lugs.", Body: "It is not wired here. Lay a circuit: over its part, or mark it via: none.",
			Ends: []finding.End{c.Origin.End()}, Fixes: w.controlFix(c, "via", "none", "Leave it out of the wiring"),
		})
		return
	}
	used := map[string]bool{}
	switch {
	case c.Via == "none" && (c.Lit == "none" || len(k.Lamps) == 0):
		w.idle(c.Name, "", "left out of the wiring in the file")
		return
	case c.Via == "none":
		w.idle(c.Name, "", "its contacts are left out of the wiring in the file")
		for _, x := range k.Contacts {
			used[x.Lugs[0]], used[x.Lugs[1]] = true, true
		}
		for _, x := range k.Tracks {
			used[x.Ends[0]], used[x.Ends[1]], used[x.Wiper] = true, true, true
		}
		if k.Powered != nil {
			w.markPowered(k.Powered, used)
		}
	default:
		w.wanted(c)
		several := w.several(c)
		w.encoder(c, several, used)
		w.contacts(c, several, used)
		w.tracks(c, several, used)
		w.powered(c, used)
	}
	w.lamps(c, used)
	for _, l := range c.Part.Lugs {
		if used[l.Name] {
			continue
		}
		why := "nothing in the panel wants it"
		if l.Does != "" {
			why = "spare: " + l.Does
		}
		w.idle(c.Name, l.Name, why)
	}
}

// controlFix is the fix that writes a value into the record of a control, where it has one of its own.
func (w *worker) controlFix(c *panel.Control, key, value, say string) []finding.Fix {
	if !ownRecord(c) {
		return nil
	}
	return []finding.Fix{{Say: say, Short: key + ": " + value, Edits: []finding.Edit{{Op: finding.Set, Path: c.Origin.Path + "." + key, Value: value}}}}
}

// wanted checks the lugs that the file wants wired.
func (w *worker) wanted(c *panel.Control) {
	var lugs []string
	for _, x := range c.Part.Circuit.Contacts {
		for _, l := range x.Lugs {
			if !slices.Contains(lugs, l) {
				lugs = append(lugs, l)
			}
		}
	}
	for i, u := range c.Use {
		if slices.Contains(lugs, u) {
			continue
		}
		path := c.Origin.Path + ".use"
		f := finding.Finding{
			Head: c.Label + " has no contact at a lug " + u + ".", Body: "Its contacts end at " + several(lugs) + ".",
			Ends: []finding.End{{Name: c.Label, Path: path, Pos: w.p.Pos(path)}},
		}
		if len(lugs) == 0 {
			f.Body = "It has no contacts."
		}
		if near := yamlfile.Nearest(u, lugs); near != "" && w.p.Pos(path).Line > 0 {
			f.Body = "Did you mean " + near + "?"
			f.Fixes = []finding.Fix{{Say: "Write " + near, Short: "use: [" + near + "]", Edits: []finding.Edit{{Op: finding.Set, Path: path + "." + itoa(i), Value: quote(near)}}}}
		}
		w.found(ruleUnknownLug, f)
	}
}

// takes reports whether a contact is to be wired.
func takes(c *panel.Control, x catalog.Contact) bool {
	return x.Phase == "" && (!x.Spare || slices.Contains(c.Use, x.Lugs[1]) || slices.Contains(c.Use, x.Lugs[0]))
}

// several reports whether a control has more than one device, so that each needs a name of its own.
func (w *worker) several(c *panel.Control) bool {
	k := &c.Part.Circuit
	phases, contacts := 0, 0
	for _, x := range k.Contacts {
		switch {
		case x.Phase != "":
			phases = 1
		case takes(c, x):
			contacts = 1
		}
	}
	return phases+contacts+len(k.Tracks) > 1
}

// encoder adds the encoder of a control.
func (w *worker) encoder(c *panel.Control, several bool, used map[string]bool) {
	k := &c.Part.Circuit
	var at []int
	for i, x := range k.Contacts {
		if x.Phase != "" {
			at = append(at, i)
		}
	}
	if len(at) == 0 {
		return
	}
	id := c.Name
	if several {
		id += "/turn"
	}
	dev := w.device(Device{ID: id, Label: c.Label, Kind: DevEncoder, Control: c, Contact: at})
	driven := k.Powered != nil
	for _, i := range at {
		x := k.Contacts[i]
		phase := strings.ToLower(x.Phase)
		used[x.Lugs[0]], used[x.Lugs[1]] = true, true
		w.signal(Signal{
			Name: c.Name + "/" + phase, Label: c.Label + " " + phase, Kind: SigPhase, Device: dev, Lug: x.Lugs[1], Return: x.Lugs[0],
			Needs: []string{"digital"}, Origin: c.Origin,
		}, want{control: c, contact: i, common: x.Lugs[0]})
		if !driven {
			w.join(netGround, Terminal{c.Name, x.Lugs[0]})
		}
	}
}

// contacts adds the switch of a control.
func (w *worker) contacts(c *panel.Control, several bool, used map[string]bool) {
	k := &c.Part.Circuit
	var at []int
	ends := map[string]int{} // how many contacts end at a lug
	for i, x := range k.Contacts {
		if takes(c, x) {
			at = append(at, i)
			ends[x.Lugs[0]]++
			ends[x.Lugs[1]]++
		}
	}
	if len(at) == 0 {
		return
	}
	id := c.Name
	if several {
		id += "/push"
		if len(at) > 1 {
			id = c.Name + "/switch"
		}
	}
	label := c.Label
	if several && len(at) == 1 {
		label = "the push of " + c.Label
	}
	d := Device{ID: id, Label: label, Kind: DevSwitch, Control: c, Contact: at}
	for _, i := range at {
		for _, pos := range k.Contacts[i].Closed {
			if !slices.Contains(k.Springs, pos) {
				d.Holds = true
			}
		}
	}
	dev := w.device(d)
	busy := map[string]bool{} // lugs of other devices of the same control
	for _, t := range k.Tracks {
		busy[t.Ends[0]], busy[t.Ends[1]], busy[t.Wiper] = true, true, true
	}
	for _, x := range k.Contacts {
		if x.Phase != "" {
			busy[x.Lugs[0]], busy[x.Lugs[1]] = true, true
		}
	}
	names := map[string]bool{}
	if or(c.Lit, w.p.Wiring.Lamps.By) != "none" {
		for _, l := range k.Lamps {
			busy[l.Minus] = true // at ground for the lamp, so it cannot lie on a line of a matrix
		}
	}
	for _, i := range at {
		x := k.Contacts[i]
		common, lug := x.Lugs[0], x.Lugs[1]
		if ends[lug] > 1 && ends[common] == 1 {
			common, lug = lug, common
		}
		used[common], used[lug] = true, true
		name, say := id, label
		if len(at) > 1 {
			part := contactName(x, lug)
			if names[part] {
				part = lug
			}
			names[part] = true
			name, say = c.Name+"/"+part, c.Label+" "+part
		}
		w.signal(Signal{
			Name: name, Label: say, Kind: SigContact, Device: dev, Lug: lug, Return: common, Needs: []string{"digital"}, Origin: c.Origin,
		}, want{control: c, contact: i, common: common, pools: true, own: !busy[common] && !busy[lug], matrix: !busy[common] && !busy[lug], via: Way(c.Via)})
	}
}

// contactName is what people call one of several contacts.
func contactName(x catalog.Contact, lug string) string {
	switch {
	case x.Sends != "":
		return x.Sends
	case x.Weight > 0:
		return itoa(x.Weight)
	case len(x.Closed) == 1:
		return x.Closed[0]
	}
	return lug
}

// tracks adds the tracks of a control.
func (w *worker) tracks(c *panel.Control, several bool, used map[string]bool) {
	k := &c.Part.Circuit
	for i, t := range k.Tracks {
		id, label := c.Name, c.Label
		if several || len(k.Tracks) > 1 {
			part := or(t.Sends, itoa(i+1))
			id, label = c.Name+"/"+part, c.Label+" "+part
		}
		used[t.Ends[0]], used[t.Ends[1]], used[t.Wiper] = true, true, true
		dev := w.device(Device{ID: id, Label: label, Kind: DevTrack, Control: c, Index: i})
		w.signal(Signal{
			Name: id, Label: label, Kind: SigWiper, Device: dev, Lug: t.Wiper, Return: t.Ends[0], Needs: []string{"analog"}, Origin: c.Origin,
		}, want{control: c, contact: -1})
		w.join(netAGround, Terminal{c.Name, t.Ends[0]})
		w.join(w.trackRail(), Terminal{c.Name, t.Ends[1]})
	}
}

// trackRail gives the supply for the upper ends of tracks: the reference of the analog inputs if it can give as much as all tracks
// take, else the supply of the pins.
func (w *worker) trackRail() string {
	if w.pots == "" {
		w.pots = "supply"
		if i := w.logicRail(); i >= 0 {
			w.pots = w.rails[i].name
		}
		need := w.tracksTake()
		for _, r := range w.rails {
			if r.reference && r.gives >= need {
				w.pots = r.name
			}
		}
	}
	return w.pots
}

// tracksTake is the most that all tracks together take from their supply, mA.
func (w *worker) tracksTake() float64 {
	need := 0.0
	for _, c := range w.controls {
		for _, t := range c.Part.Circuit.Tracks {
			if d := w.moduleBoard(); d != nil && t.Ohms > 0 && c.Via != "none" {
				need += d.Volts / (t.Ohms * (1 - orTol(t.Tol)/100)) * 1000
			}
		}
	}
	return need
}

func (w *worker) device(d Device) int {
	w.r.Devices = append(w.r.Devices, d)
	return len(w.r.Devices) - 1
}

func (w *worker) signal(s Signal, x want) int {
	if x.ends == nil && x.control != nil {
		x.ends = []Terminal{{x.control.Name, s.Lug}}
	}
	w.r.Signals = append(w.r.Signals, s)
	w.wants = append(w.wants, x)
	return len(w.r.Signals) - 1
}

// join notes that a lug is joined to ground or to a supply. A lug that is asked for twice keeps the first, but ground of the analog
// inputs wins over ground: a stick on a board has one lug for both.
func (w *worker) join(to string, t Terminal) {
	for i := range w.feeds {
		if f := &w.feeds[i]; f.term == t {
			if f.to == netGround {
				f.to = to
			}
			return
		}
	}
	w.feeds = append(w.feeds, feed{to, t})
}

// quote writes a name as YAML, in quotes where it would be read as a number or a word of its own.
func quote(s string) string {
	if yamlfile.GoodName(s) && strings.IndexFunc(s, func(r rune) bool { return r < '0' || r > '9' }) >= 0 && s != "no" && s != "yes" && s != "on" && s != "off" && s != "n" && s != "y" {
		return s
	}
	return `"` + s + `"`
}
