package diagnosis

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"knobwright/internal/catalog"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// Explanation is what a fault means at the bench.
type Explanation struct {
	Say   words.Text   `json:"say"`             // what is wrong, one sentence
	Spots []Spot       `json:"spots"`           // where, the place to look at first
	Wires []string     `json:"wires,omitempty"` // IDs of the wires it is about
	Iron  words.Text   `json:"iron"`            // what to do with the iron, or by hand
	Table []words.Text `json:"table,omitempty"` // what can be done without solder instead; with Remedy
	Only  words.Text   `json:"only,omitzero"`   // why nothing but the iron helps, where one might hope
	Check *Act         `json:"check,omitempty"` // a reading that shows it
	Tells words.Text   `json:"tells,omitzero"`  // what that reading is, when this is so and when it is not
}

// Explain says what a fault is, where, and what can be done.
func (m *Model) Explain(f Fault) Explanation {
	m.mu.Lock()
	defer m.mu.Unlock()
	return m.explain(f)
}

func (m *Model) explain(f Fault) Explanation {
	c := m.c
	p := c.patchOf(f)
	x := Explanation{}
	for _, j := range p.cut {
		if w := c.joints[j].wire; w >= 0 {
			id := c.in.Harness.Wires[w].ID
			if !slices.Contains(x.Wires, id) {
				x.Wires = append(x.Wires, id)
			}
		}
	}
	if f.Wire != "" && !slices.Contains(x.Wires, f.Wire) {
		x.Wires = append(x.Wires, f.Wire)
	}
	wire, colour, other := "", "", ""
	if len(x.Wires) > 0 {
		if k := c.wireNamed(x.Wires[0]); k >= 0 {
			w := &c.in.Harness.Wires[k]
			wire, colour = w.ID, w.Colour
			other = c.name(w.From)
			if w.From == f.A {
				other = c.name(w.To)
			}
		}
	}
	what := c.labelOf(f.Device)
	if f.Device == "" {
		what = c.owner(f.A)
	}
	a, b := c.name(f.A), c.name(f.B)
	if f.B.Zero() {
		b = other
	}
	if f.Kind == WrongPin && other != "" {
		other = c.pinOf(f, other)
	}
	behind := ""
	if n := m.cutOff(f); n > 1 {
		behind = strconv.Itoa(n)
	}
	key := string(f.Kind)
	switch {
	case (f.Kind == ChainBroken || f.Kind == SupplyOff) && behind == "":
		key += "-one"
	case f.Kind == EndOpen && f.A.Zero():
		a = what
	}
	x.Say = words.T("fault.say."+key, "what", what, "a", a, "b", b, "wire", wire, "colour", colour, "other", other, "behind", behind, "part", f.Fitting, "ms", trim(f.Value), "steps", trim(f.Value), "n", trim(f.Value), "want", strconv.Itoa(c.wantSteps(f.Device)))
	x.Iron = words.T("fault.iron."+string(f.Kind), "what", what, "a", a, "b", b, "wire", wire, "other", other, "part", f.Fitting)
	put := func(t wiring.Terminal) {
		if !t.Zero() && (len(x.Spots) == 0 || x.Spots[len(x.Spots)-1].Label != c.name(t)) {
			s := c.spotAt(t)
			s.Wire, s.Colour = wire, colour
			x.Spots = append(x.Spots, s)
		}
	}
	put(f.A)
	if f.B != f.A {
		put(f.B)
	}
	if d := c.deviceNamed(f.Device); d >= 0 && len(x.Spots) == 0 {
		x.Spots = append(x.Spots, c.spotOf(c.in.Wiring.Devices[d].Control, ""))
		for _, l := range c.lugsOf(d) {
			put(wiring.Terminal{Of: c.in.Wiring.Devices[d].Control.Name, Lug: l})
		}
	}
	if f.Fitting != "" {
		put(wiring.Terminal{Of: f.Fitting})
	}
	if r, ok := m.remedy(f); ok {
		x.Table = []words.Text{r.Say}
	} else {
		switch f.Kind {
		case ClosedLug, LampTurned, DiodeTurned:
			x.Only = words.T("fault.only." + string(f.Kind))
		case Swapped, WrongPin, LinesSwapped:
			x.Only = words.T("fault.only.pins")
		}
	}
	for _, j := range p.cut {
		if c.joints[j].wire >= 0 {
			x.Check = &Act{Do: Measure, Probe: [2]wiring.Terminal{c.terms[c.joints[j].a], c.terms[c.joints[j].b]}}
			break
		}
	}
	if x.Check == nil && !f.A.Zero() && !f.B.Zero() {
		x.Check = &Act{Do: Measure, Probe: [2]wiring.Terminal{f.A, f.B}}
	}
	if x.Check != nil {
		x.Tells = m.tells(p, *x.Check)
		if x.Tells.Zero() {
			x.Check = nil
		}
	}
	return x
}

// tells says what a reading is with a fault and without; zero where both are alike.
func (m *Model) tells(p *patch, a Act) words.Text {
	so, not := m.meterPrediction(p, a, m.resting), m.meterPrediction(healthy(), a, m.resting)
	if meterClass(a.Do, so) == meterClass(a.Do, not) {
		return words.Text{}
	}
	kind := func(v float64) (string, string) {
		switch {
		case math.IsNaN(v), v > 2e6:
			return "open", ""
		case v < 25:
			return "rings", ""
		case v >= 1000:
			return "value", trim(math.Round(v/100)/10) + " kΩ"
		}
		return "value", trim(math.Round(v)) + " Ω"
	}
	k, u := kind(so)
	l, v := kind(not)
	return words.T("walk.tells."+k+"-"+l, "so", u, "not", v)
}

// pinOf gives the pin that a lead belongs to, of a fault that puts it on another.
func (c *circuit) pinOf(f Fault, otherwise string) string {
	if k := c.wireNamed(f.Wire); k >= 0 {
		w := &c.in.Harness.Wires[k]
		if w.From == f.A {
			return c.name(w.To)
		}
		return c.name(w.From)
	}
	return otherwise
}

func trim(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "?"
	}
	return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
}

// owner gives what people call the control that a terminal belongs to, or the terminal itself.
func (c *circuit) owner(t wiring.Terminal) string {
	for i := range c.in.Wiring.Fittings {
		if f := &c.in.Wiring.Fittings[i]; f.Name == t.Of {
			t = f.At
		}
	}
	if k, ok := c.ctrlOf[t.Of]; ok {
		return c.controls[k].Label
	}
	return c.name(t)
}

func (c *circuit) wantSteps(id string) int {
	if d := c.deviceNamed(id); d >= 0 {
		return c.steps[c.ctrlOf[c.in.Wiring.Devices[d].Control.Name]]
	}
	return 4
}

// lugsOf lists the lugs of a device.
func (c *circuit) lugsOf(d int32) []string {
	x := &c.in.Wiring.Devices[d]
	k := &x.Control.Part.Circuit
	var out []string
	add := func(ls ...string) {
		for _, l := range ls {
			if !slices.Contains(out, l) {
				out = append(out, l)
			}
		}
	}
	switch x.Kind {
	case wiring.DevSwitch, wiring.DevEncoder:
		for _, n := range x.Contact {
			add(k.Contacts[n].Lugs[1], k.Contacts[n].Lugs[0])
		}
	case wiring.DevTrack:
		if x.Index < len(k.Tracks) {
			add(k.Tracks[x.Index].Wiper, k.Tracks[x.Index].Ends[0], k.Tracks[x.Index].Ends[1])
		}
	case wiring.DevLamp:
		if x.Index < len(k.Lamps) {
			add(k.Lamps[x.Index].Plus, k.Lamps[x.Index].Minus)
		}
	}
	return out
}

// cutOff counts the controls and boards that a broken chain cuts off.
func (m *Model) cutOff(f Fault) int {
	for _, ch := range m.c.in.Harness.Chains {
		for i, l := range ch.Lugs {
			id := ""
			if i < len(ch.Wires) {
				id = m.c.in.Harness.Wires[ch.Wires[i]].ID
			}
			if (f.Wire != "" && id == f.Wire || f.Wire == "" && l == f.A) && i < len(ch.Behind) {
				return ch.Behind[i]
			}
		}
	}
	return 0
}

// AskSay puts an ask into words.
func (m *Model) AskSay(a Act) words.Text {
	c := m.c
	switch a.Do {
	case Measure, MeasureV:
		key := "ohms"
		if a.Do == MeasureV {
			key = "volts"
		}
		return words.T("walk.say."+key, "a", c.name(a.Probe[0]), "b", c.name(a.Probe[1]))
	case Trace:
		return words.T("walk.say.trace", "a", c.name(a.Probe[0]), "board", c.boardLabel(a.Probe[1].Of))
	case Rest:
		return c.restSay()
	case Hold:
		if len(a.With) == 0 {
			return words.T("walk.say.hold", "what", c.labelOf(a.Device))
		}
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	l := m.line(a)
	if l.Say.Zero() {
		return words.T("walk.say.rest")
	}
	return l.Say
}

// newPins gives the pin that each signal of a changed lead comes to with a fault laid over. It is false unless every one of them has a pin
// of its own that can do what the signal wants.
func (m *Model) newPins(p *patch) (map[int]wiring.Terminal, bool) {
	c := m.c
	added := map[int32][]int32{}
	for _, a := range p.add {
		added[a[0]] = append(added[a[0]], a[1])
		added[a[1]] = append(added[a[1]], a[0])
	}
	out := map[int]wiring.Terminal{}
	taken := map[wiring.Terminal]bool{}
	for i, s := range c.in.Wiring.Signals {
		if i >= len(c.in.Wiring.Plan.Seats) {
			break
		}
		seat := c.in.Wiring.Plan.Seats[i]
		if seat.Pin.Zero() {
			continue
		}
		pin := c.find(seat.Pin)
		ends := []int32{}
		for _, n := range c.in.Wiring.Nets {
			if n.Signal == i {
				for _, t := range n.Terms {
					if k := c.find(t); k >= 0 && k != pin {
						ends = append(ends, k)
					}
				}
			}
		}
		if len(ends) == 0 {
			continue
		}
		here := wiring.Terminal{}
		for _, e := range ends {
			pins := c.reach(p, added, e)
			if len(pins) != 1 {
				if slices.Contains(p.touched, e) || slices.Contains(p.touched, pin) {
					return nil, false
				}
				pins = []int32{pin}
			}
			if t := c.terms[pins[0]]; here.Zero() {
				here = t
			} else if here != t {
				return nil, false
			}
		}
		if taken[here] {
			return nil, false
		}
		taken[here] = true
		if here != seat.Pin {
			if !c.can(here, s.Needs) || here.Of != seat.Pin.Of && s.Kind == wiring.SigPhase {
				return nil, false
			}
			out[i] = here
		}
	}
	return out, len(out) > 0
}

// reach lists the signal pins of boards that a terminal is joined to with a patch laid over.
func (c *circuit) reach(p *patch, added map[int32][]int32, from int32) []int32 {
	seen := map[int32]bool{from: true}
	queue := []int32{from}
	var pins []int32
	for len(queue) > 0 {
		t := queue[len(queue)-1]
		queue = queue[:len(queue)-1]
		if c.isBoard(t) {
			pins = append(pins, t)
		}
		next := func(o int32) {
			if !seen[o] {
				seen[o] = true
				queue = append(queue, o)
			}
		}
		for _, j := range c.jointsAt[t] {
			if !p.isCut(j) {
				next(c.joints[j].a + c.joints[j].b - t)
			}
		}
		for _, o := range added[t] {
			next(o)
		}
	}
	return pins
}

// can reports whether a pin can do what a signal needs.
func (c *circuit) can(t wiring.Terminal, needs []string) bool {
	for i := range c.in.Wiring.Boards {
		b := &c.in.Wiring.Boards[i]
		if b.Name != t.Of || b.Part.Board == nil {
			continue
		}
		p, ok := b.Part.Board.Pin(t.Lug)
		if !ok || p.Kind != catalog.PinIO || p.Bus != "" || p.Avoid > 1 {
			return false
		}
		for _, n := range needs {
			if !slices.Contains(p.Can, n) {
				return false
			}
		}
		return true
	}
	return false
}

// printedPin is how the file names a pin.
func (c *circuit) printedPin(t wiring.Terminal) string {
	for i := range c.in.Wiring.Boards {
		b := &c.in.Wiring.Boards[i]
		if b.Name != t.Of || b.Part.Board == nil {
			continue
		}
		p, _ := b.Part.Board.Pin(t.Lug)
		name := cmp.Or(p.Name, t.Lug)
		for _, q := range b.Part.Board.Pins {
			if q.Lug != t.Lug && q.Name == p.Name {
				name = t.Lug
			}
		}
		name = strconv.Quote(name)
		if i == 0 {
			return name
		}
		return "{pin: " + name + ", on: " + b.Name + "}"
	}
	return strconv.Quote(t.Lug)
}
