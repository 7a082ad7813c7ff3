package catalog

import (
	"maps"
	"slices"
	"strings"

	"knobwright/internal/length"
)

// None reports whether nothing is known of what the part does to its wires.
func (c Circuit) None() bool {
	return len(c.Positions) == 0 && len(c.Springs) == 0 && len(c.Contacts) == 0 && len(c.Tracks) == 0 && len(c.Lamps) == 0 &&
		c.Powered == nil && c.Elsewhere == "" && c.Rating == (Rating{}) && c.Bounce == 0
}

// Rest is the position at rest: the first one; "" when the part has none, as an encoder that is not pressed.
func (c Circuit) Rest() string {
	if len(c.Positions) == 0 {
		return ""
	}
	return c.Positions[0]
}

// Uses lists the lugs that the circuit speaks of, each once, in order.
func (c Circuit) Uses() []string {
	var names []string
	add := func(lugs ...string) {
		for _, l := range lugs {
			if l != "" && !slices.Contains(names, l) {
				names = append(names, l)
			}
		}
	}
	for _, x := range c.Contacts {
		add(x.Lugs[:]...)
	}
	for _, x := range c.Tracks {
		add(x.Ends[0], x.Wiper, x.Ends[1])
	}
	for _, x := range c.Lamps {
		add(x.Plus, x.Minus)
	}
	if p := c.Powered; p != nil {
		add(p.Plus, p.Minus)
		for _, x := range p.Data {
			add(x.Lug)
		}
	}
	return names
}

// checkCircuit says what the circuit contradicts: the lugs, the class, itself.
func (p Part) checkCircuit(f *faults) {
	c := p.Circuit
	if c.None() {
		return
	}
	f.when(p.Board != nil, "A circuit board has a board, with its pins, and no circuit.")
	f.when(c.Elsewhere != "" && (len(c.Contacts) > 0 || len(c.Tracks) > 0 || c.Powered != nil), "Its leads go elsewhere, but its circuit has contacts, tracks or a supply for the module as well.")
	var lugs, unknown []string
	for _, l := range p.Lugs {
		lugs = append(lugs, l.Name)
	}
	for _, l := range c.Uses() {
		if !slices.Contains(lugs, l) {
			unknown = append(unknown, l)
		}
	}
	f.when(len(unknown) > 0 && len(lugs) > 0, "Its circuit names %s, but its lugs are called %s.", orLugs(unknown), strings.Join(lugs, ", "))
	f.when(len(unknown) > 0 && len(lugs) == 0, "Its circuit names %s, but it has no lugs.", orLugs(unknown))
	c.checkPositions(f)
	c.checkContacts(f)
	c.checkPhases(f)
	c.checkCode(f)
	c.checkTracks(f)
	for _, l := range c.Lamps {
		f.when(l.Plus == "" || l.Minus == "", "A lamp wants both of its lugs, plus and minus.")
		f.when(l.Plus != "" && l.Plus == l.Minus, "Plus and minus of its lamp are the same lug, %s.", l.Plus)
	}
	if c.Powered != nil {
		c.Powered.check(f)
	}
	r := c.Rating
	f.when(r.Least < 0 || r.Most < 0 || r.Volts < 0, "Its contacts are made for less than nothing.")
	f.when(r.Most > 0 && r.Least > r.Most, "Its contacts want at least %s mA, but bear only %s mA.", length.Plain(r.Least), length.Plain(r.Most))
	f.when(c.Bounce < 0 || c.Bounce > 1000, "Contacts bounce for less than 1000 ms; this one for %s ms.", length.Plain(c.Bounce))
	p.checkDoes(f)
}

func orLugs(names []string) string {
	if len(names) < 2 {
		return "lug " + strings.Join(names, "")
	}
	return "lugs " + strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

func (c Circuit) checkPositions(f *faults) {
	f.when(len(c.Positions) == 1, "Its circuit has one position only, %s; a switch has at least two.", c.Positions)
	for i, s := range c.Positions {
		f.when(s == "", "A position has no name.")
		f.when(s != "" && slices.Contains(c.Positions[:i], s), "The position %s stands twice.", s)
	}
	for _, s := range c.Springs {
		f.when(!slices.Contains(c.Positions, s), "It springs back from %s, which is none of its positions.", s)
		f.when(s == c.Rest() && s != "", "It springs back from %s, but the position named first is where it rests.", s)
	}
}

func (c Circuit) checkContacts(f *faults) {
	seen := map[[2]string]bool{}
	sends := map[string]bool{}
	for _, x := range c.Contacts {
		a, b := x.Lugs[0], x.Lugs[1]
		name := a + "-" + b
		f.when(a == "" || b == "", "A contact joins two lugs; name both.")
		f.when(a != "" && a == b, "A contact joins lug %s with itself.", a)
		key := [2]string{min(a, b), max(a, b)}
		f.when(seen[key], "The contact %s stands twice.", name)
		seen[key] = true
		if x.Phase != "" {
			f.when(len(x.Closed) > 0, "The contact %s has a phase and positions too; an encoder's outputs have only the phase.", name)
			continue
		}
		f.when(len(x.Closed) == 0, "The contact %s is never closed; say in which positions.", name)
		for i, s := range x.Closed {
			f.when(!slices.Contains(c.Positions, s), "The contact %s closes in %s, which is none of its positions.", name, s)
			f.when(slices.Contains(x.Closed[:i], s), "The contact %s closes in %s twice.", name, s)
		}
		f.when(len(c.Positions) > 1 && len(x.Closed) >= len(c.Positions), "The contact %s is closed in every position; that is a wire, not a contact.", name)
		f.when(x.Sends != "" && !x.Spare && sends[x.Sends], "Two of its contacts are called %s.", x.Sends)
		sends[x.Sends] = sends[x.Sends] || !x.Spare
	}
}

func (c Circuit) checkPhases(f *faults) {
	n := map[string]int{}
	for _, x := range c.Contacts {
		if x.Phase == "" {
			continue
		}
		f.when(x.Phase != "A" && x.Phase != "B", "An encoder has the phases A and B; there is none called %s.", x.Phase)
		n[x.Phase]++
	}
	if len(n) == 0 {
		return
	}
	for _, s := range []string{"A", "B"} {
		f.when(n[s] == 0, "The encoder has no phase %s; both are needed to tell which way it turns.", s)
		f.when(n[s] > 1, "The phase %s stands %d times.", s, n[s])
	}
}

// checkCode holds the weights of a coded switch against its positions.
func (c Circuit) checkCode(f *faults) {
	coded, worth := false, map[int]bool{}
	codes := map[string]int{}
	for _, x := range c.Contacts {
		f.when(x.Weight < 0, "A contact of a coded switch is worth 1, 2, 4 or 8; this one %d.", x.Weight)
		if x.Weight <= 0 {
			continue
		}
		f.when(worth[x.Weight], "Two contacts are worth %d in its code.", x.Weight)
		coded, worth[x.Weight] = true, true
		for _, s := range x.Closed {
			codes[s] += x.Weight
		}
	}
	if !coded {
		return
	}
	by := map[int]string{}
	for _, s := range c.Positions {
		k := codes[s]
		was, dup := by[k]
		f.when(dup, "In the positions %s and %s its code is the same, %d.", was, s, k)
		by[k] = s
	}
}

func (c Circuit) checkTracks(f *faults) {
	for _, t := range c.Tracks {
		name := t.Ends[0] + "-" + t.Ends[1]
		f.when(t.Ends[0] == "" || t.Ends[1] == "" || t.Wiper == "", "A track has two ends and a wiper; name all three lugs.")
		f.when(t.Ends[0] != "" && t.Ends[0] == t.Ends[1], "Both ends of a track are lug %s.", t.Ends[0])
		f.when(t.Wiper != "" && slices.Contains(t.Ends[:], t.Wiper), "Lug %s is an end of a track and its wiper too.", t.Wiper)
		f.when(t.Ohms <= 0, "The track %s has no resistance; say ohms.", name)
		f.when(t.Tol < 0 || t.Tol >= 100, "The track %s is good to %s per cent; 5 to 30 is usual.", name, length.Plain(t.Tol))
	}
}

// busWants are the lugs that each bus cannot do without.
var busWants = map[string][]string{"i2c": {"sda", "scl"}, "two-wire": {"clock", "data"}, "spi": {"clock"}}

var busDoes = []string{"sda", "scl", "in", "out", "data", "clock", "select"}

// least and most address of a device on I2C; the rest is kept for other uses. Source: I2C bus specification UM10204, table
// of kept addresses, from memory.
const leastAddress, mostAddress = 8, 119

func (w *Powered) check(f *faults) {
	f.when(w.Plus == "" || w.Minus == "", "What is fed wants both lugs of its supply, plus and minus.")
	f.when(w.Plus != "" && w.Plus == w.Minus, "Plus and minus of its supply are the same lug, %s.", w.Plus)
	f.when(w.Volts[0] <= 0 || w.Volts[1] < w.Volts[0], "Its supply goes from %s V to %s V; write the least first, then the most.", length.Plain(w.Volts[0]), length.Plain(w.Volts[1]))
	f.when(w.Volts[0] > 60, "Nothing above 60 V belongs in such a panel.")
	f.when(w.Current < 0 || w.PullUp < 0 || w.PinLoad < 0, "Its current, pull-ups or pin load are less than nothing.")
	f.when(w.Address != 0 && w.Bus != "i2c", "It has an address, but does not speak on an I2C bus.")
	f.when(w.Address != 0 && (w.Address < leastAddress || w.Address > mostAddress), "The address %d is none on an I2C bus; they go from %d to %d.", w.Address, leastAddress, mostAddress)
	does := map[string]bool{}
	lugs := map[string]bool{w.Plus: true, w.Minus: true}
	for _, x := range w.Data {
		f.when(!slices.Contains(busDoes, x.Does), "Lug %s does %q, which is none of %s.", x.Lug, x.Does, strings.Join(busDoes, ", "))
		f.when(lugs[x.Lug], "Lug %s is wanted for two things.", x.Lug)
		does[x.Does], lugs[x.Lug] = true, true
	}
	for _, s := range busWants[w.Bus] {
		f.when(!does[s], "It speaks %s, but no lug is called its %s.", w.Bus, s)
	}
	f.when(w.Switch && w.Bus != "", "A pin feeds it and it speaks on a bus; it does only one of them.")
}

// checkDoes holds the circuit against what the part's record says of it in other words.
func (p Part) checkDoes(f *faults) {
	c := p.Circuit
	if len(c.Positions) > 0 && p.Class != Encoder {
		f.when(p.Action == "momentary" && len(c.Springs) == 0, "It springs back (action: momentary), but its circuit does not say from which positions (springs).")
	}
	f.when((p.Action == "latching" || p.Action == "maintained") && len(c.Springs) > 0, "It stays where it is put (action: %s), but its circuit springs back from %s.", p.Action, strings.Join(c.Springs, " and "))
	f.when(p.Positions > 0 && len(c.Positions) > 0 && p.Positions != len(c.Positions), "It has %d positions, but its circuit has %d.", p.Positions, len(c.Positions))
	phase := slices.ContainsFunc(c.Contacts, func(x Contact) bool { return x.Phase != "" })
	plain := slices.ContainsFunc(c.Contacts, func(x Contact) bool { return x.Phase == "" })
	f.when(phase && p.Class != Encoder, "Only an encoder has contacts with a phase.")
	f.when(p.Class == Encoder && len(c.Contacts) > 0 && !phase, "None of this encoder's contacts has a phase, A or B.")
	f.when(p.Push && len(c.Contacts) > 0 && !plain, "It is pressed too (push: true), but no contact closes when it is.")
	f.when(p.Class == Encoder && !p.Push && plain, "It has a contact that is pressed, but does not say so (push: true).")
}

// settle brings what a record takes over from another one in line with what it says anew: with another action, it no longer
// springs back as before; with other lugs or positions, nothing is known of its circuit or its pins any more.
func (p *Part) settle(said []string) {
	has := func(field string) bool { return slices.Contains(said, field) }
	if !has("circuit") && !p.Circuit.None() {
		if has("action") && p.Class != Encoder {
			switch {
			case p.Action != "momentary":
				p.Circuit.Springs = nil
			case len(p.Circuit.Springs) == 0 && len(p.Circuit.Positions) == 2: // of more, nobody knows where it rests
				p.Circuit.Springs = slices.Clone(p.Circuit.Positions[1:])
			}
		}
		var f faults
		if p.checkCircuit(&f); len(f) > 0 {
			p.Circuit = Circuit{}
			p.Trust = withoutField(p.Trust, "circuit")
		}
	}
	if !has("board") && p.Board != nil {
		var f faults
		if p.checkBoard(&f); len(f) > 0 {
			p.Board = nil
			p.Trust = withoutField(p.Trust, "board")
		}
	}
}

// withoutField gives the sources without those of a field and of its parts.
func withoutField[V any](m map[string]V, field string) map[string]V {
	m = maps.Clone(m)
	maps.DeleteFunc(m, func(k string, _ V) bool { return k == field || strings.HasPrefix(k, field+".") })
	return m
}
