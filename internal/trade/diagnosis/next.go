package diagnosis

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/trade/wiring"
)

// hash is FNV-1a of 64 bits: what is alike gets the same number.
type hash struct{ v uint64 }

func newHash() *hash { return &hash{14695981039346656037} }

func (h *hash) byte(b byte) { h.v = (h.v ^ uint64(b)) * 1099511628211 }

func (h *hash) number(n int) {
	for i := range 4 {
		h.byte(byte(n >> (8 * i)))
	}
}

func (h *hash) text(s string) {
	for i := range len(s) {
		h.byte(s[i])
	}
	h.byte(0)
}

func (h *hash) flag(b bool) {
	if b {
		h.byte(1)
	} else {
		h.byte(2)
	}
}

func (h *hash) sum() uint64 { return h.v }

// Ask is what to do next, and what it is good for.
type Ask struct {
	Act  Act     `json:"act"`
	Bits float64 `json:"bits"` // how much it is expected to tell, bits of information
	Cost float64 `json:"cost"` // effort, a press is 1
}

// Effort of acts, a press is 1: a meter wants a second hand, the right place, and for ohms the plug pulled. Common practice.
var effort = map[Do]float64{Rest: 0.5, Press: 1, Hold: 1.8, Put: 1, Turn: 1, Slide: 1.2, Light: 1.2, Dark: 1.2, Measure: 7, MeasureV: 6, Trace: 8}

// enough is how much an act must be expected to tell to be worth doing, bits.
const enough = 0.008

// allActs lists the acts of the test sheet.
func (m *Model) allActs() []Act {
	acts := []Act{{Do: Rest}}
	c := m.c
	for i := range c.in.Wiring.Devices {
		acts = append(acts, c.actsOf(int32(i))...)
	}
	return append(acts, c.together()...)
}

// actsOf lists the acts that try a device, those that leave it in its first position last.
func (c *circuit) actsOf(i int32) []Act {
	d := &c.in.Wiring.Devices[i]
	k := &d.Control.Part.Circuit
	var out []Act
	switch d.Kind {
	case wiring.DevSwitch:
		wired := false
		for _, n := range d.Contact {
			t := c.find(wiring.Terminal{Of: d.Control.Name, Lug: k.Contacts[n].Lugs[1]})
			wired = wired || t >= 0 && len(c.jointsAt[t]) > 0
		}
		if !wired || len(k.Positions) < 2 {
			return nil
		}
		switch {
		case d.Holds:
			for n := 1; n < len(k.Positions); n++ {
				out = append(out, Act{Do: Put, Device: d.ID, Position: k.Positions[n]})
			}
			out = append(out, Act{Do: Put, Device: d.ID, Position: k.Positions[0]})
		default:
			for n := 1; n < len(k.Positions); n++ {
				if !slices.ContainsFunc(d.Contact, func(x int) bool { return slices.Contains(k.Contacts[x].Closed, k.Positions[n]) }) {
					continue
				}
				a := Act{Do: Press, Device: d.ID}
				if len(d.Contact) > 1 {
					a.Position = k.Positions[n]
				}
				out = append(out, a)
			}
		}
	case wiring.DevEncoder:
		out = append(out, Act{Do: Turn, Device: d.ID, Clicks: 1}, Act{Do: Turn, Device: d.ID, Clicks: -1})
	case wiring.DevTrack:
		out = append(out, Act{Do: Slide, Device: d.ID, Part: 0}, Act{Do: Slide, Device: d.ID, Part: 1}, Act{Do: Slide, Device: d.ID, Part: 0.5})
	case wiring.DevLamp:
		if !c.driven(i) {
			return nil
		}
		out = append(out, Act{Do: Light, Device: d.ID}, Act{Do: Dark, Device: d.ID})
	case wiring.DevPowered:
		if c.driven(i) {
			out = append(out, Act{Do: Light, Device: d.ID}, Act{Do: Dark, Device: d.ID})
		}
	}
	return out
}

// driven reports whether a pin lights a device.
func (c *circuit) driven(i int32) bool {
	for k := range c.elements {
		if c.elements[k].kind == elDrive && c.elements[k].device == i {
			return true
		}
	}
	return false
}

// together lists presses of three contacts of a matrix at once that would show a fourth where the diode in the middle is not there. A lever
// counts where it has to be brought to: a contact that is closed with everything in its first position shows its ghosts without a hand.
// Buttons are taken before levers: they are easier to hold.
func (c *circuit) together() []Act {
	type crossing struct {
		dev        int32
		drive, pin wiring.Terminal
		pos        string
		holds      bool
		done       bool
	}
	var all []crossing
	for _, b := range c.in.Firmware.Bits {
		if b.Way != wiring.Matrix || b.Signal < 0 {
			continue
		}
		s := &c.in.Wiring.Signals[b.Signal]
		if s.Device < 0 || c.in.Wiring.Devices[s.Device].Kind != wiring.DevSwitch {
			continue
		}
		d := &c.in.Wiring.Devices[s.Device]
		k := &d.Control.Part.Circuit
		pos := ""
		for _, n := range d.Contact {
			if x := k.Contacts[n]; x.Lugs[1] == s.Lug && len(x.Closed) > 0 {
				pos = x.Closed[0]
			}
		}
		if d.Holds && (pos == "" || pos == k.Positions[0]) {
			continue
		}
		all = append(all, crossing{int32(s.Device), b.Drive, b.Pin, pos, d.Holds, false})
	}
	act := func(x crossing) Act {
		a := Act{Do: Hold, Device: c.in.Wiring.Devices[x.dev].ID}
		if len(c.in.Wiring.Devices[x.dev].Contact) > 1 || x.holds {
			a.Position = x.pos
		}
		return a
	}
	easy := slices.Clone(all)
	slices.SortStableFunc(easy, func(a, b crossing) int {
		switch {
		case a.holds == b.holds:
			return 0
		case b.holds:
			return -1
		}
		return 1
	})
	var out []Act
	for i := range all {
		x := &all[i] // in the middle
		if x.done {
			continue
		}
	search:
		for _, a := range easy { // shares the driven line
			if a.drive != x.drive || a.pin == x.pin || a.dev == x.dev {
				continue
			}
			for _, b := range easy { // shares the line that is read
				if b.pin != x.pin || b.drive == x.drive || b.dev == x.dev || b.dev == a.dev {
					continue
				}
				h := act(a)
				h.With = []Act{act(*x), act(b)}
				out = append(out, h)
				x.done = true
				break search
			}
		}
	}
	return out
}

// actsFor lists the acts of the sheet whose devices lie in a zone.
func (m *Model) actsFor(z *zone) []Act {
	c := m.c
	in := func(id string) bool {
		d := c.deviceNamed(id)
		if d < 0 {
			return false
		}
		if slices.Contains(z.lamps, d) || slices.Contains(z.drives, d) || slices.Contains(z.tracks, d) {
			return true
		}
		switch c.in.Wiring.Devices[d].Kind {
		case wiring.DevSwitch, wiring.DevEncoder:
			return slices.Contains(z.controls, c.ctrlOf[c.in.Wiring.Devices[d].Control.Name])
		case wiring.DevTrack: // behind a multiplexer that is in the zone
			for i, r := range c.in.Firmware.Readings {
				if r.Signal >= 0 && int32(c.in.Wiring.Signals[r.Signal].Device) == d {
					_, ok := slices.BinarySearch(z.obs, int32(c.bits+i))
					return ok
				}
			}
		}
		return false
	}
	// A contact that has lost its line lies beside the zone: what reads it does not.
	reads := map[string]bool{}
	for _, o := range z.obs {
		sig := -1
		if int(o) < c.bits {
			sig = c.in.Firmware.Bits[o].Signal
		} else {
			sig = c.in.Firmware.Readings[int(o)-c.bits].Signal
		}
		if sig >= 0 && c.in.Wiring.Signals[sig].Device >= 0 {
			reads[c.in.Wiring.Devices[c.in.Wiring.Signals[sig].Device].ID] = true
		}
	}
	var out []Act
	for _, a := range m.acts {
		ok := a.Do == Rest || in(a.Device) || reads[a.Device]
		for _, x := range a.With {
			ok = ok || in(x.Device)
		}
		if ok {
			out = append(out, a)
		}
	}
	return out
}

// Next gives the act or the reading that parts the explanations best for its effort; false where nothing that can be asked would.
func (s *Session) Next() (Ask, bool) {
	s.m.mu.Lock()
	defer s.m.mu.Unlock()
	all, _ := s.causes()
	right := 1.0 // that nothing is wrong, and a hand did what was odd
	for _, c := range all {
		right -= c.P
	}
	all = slices.Clone(all[:min(len(all), 60)])
	if len(all) > 0 && right > 0.02 {
		all = append(all, Cause{P: right})
		slices.SortStableFunc(all, func(a, b Cause) int { return cmp.Compare(b.P, a.P) })
	}
	if len(all) < 2 {
		return Ask{}, false
	}
	return s.best(all, false)
}

// Apart gives the meter reading that tells the explanations of one group from each other; false where there is none.
func (s *Session) Apart(g Group) (Ask, bool) {
	s.m.mu.Lock()
	defer s.m.mu.Unlock()
	if len(g.Causes) < 2 {
		return Ask{}, false
	}
	return s.best(g.Causes[:min(len(g.Causes), 12)], true)
}

func (s *Session) best(all []Cause, meterOnly bool) (Ask, bool) {
	m := s.m
	sum := 0.0
	for _, c := range all {
		sum += c.P
	}
	if sum <= 0 {
		return Ask{}, false
	}
	zones := make([]*zone, len(all))
	for i, c := range all {
		if len(c.ids) == 0 {
			zones[i] = m.none
			continue
		}
		if m.patch(c.ids[0]).table {
			continue
		}
		if len(c.ids) == 1 {
			zones[i] = m.zone(c.ids[0])
			continue
		}
		p := m.patch(c.ids[0])
		for _, f := range c.ids[1:] {
			p = merge(p, m.patch(f))
		}
		zones[i] = m.c.zoneOf(p)
	}
	var acts []Act
	seen := map[string]bool{}
	covers := make([]map[string]bool, len(all))
	if !meterOnly {
		for i, z := range zones {
			if z == nil || z == m.none {
				continue
			}
			covers[i] = map[string]bool{}
			for _, a := range m.actsFor(z) {
				k := actKey(a)
				covers[i][k] = true
				if !seen[k] && !s.idle(a) {
					seen[k] = true
					acts = append(acts, a)
				}
			}
		}
	}
	done := map[string]int{}
	for _, e := range s.seen {
		done[actKey(e.seen.Act)]++
	}
	var best Ask
	found := false
	weigh := func(a Act, split map[uint64]float64, part float64) {
		bits := 0.0
		for _, k := range sortedFloats(split) {
			if k > 0 {
				bits -= k / part * math.Log2(k/part)
			}
		}
		if n := done[actKey(a)]; n > 0 && (isMeter(a.Do) || a.Do == Light || a.Do == Dark) {
			return // it shows the same again
		} else if n == 1 {
			bits /= 2 // once more tells a slip of the hand
		} else {
			bits /= float64(1 + 6*n) // what was asked already tells little more
		}
		cost := effort[a.Do]
		if bits < enough*cost {
			return
		}
		if !found || bits/cost > best.Bits/best.Cost+1e-9 {
			best, found = Ask{a, bits, cost}, true
		}
	}
	for _, a := range acts {
		key := actKey(a)
		split := map[uint64]float64{}
		for i, c := range all {
			h := newHash()
			switch z := zones[i]; {
			case z == nil:
				h.text("table")
			case covers[i][key]:
				m.writeOutcome(h, z, a, s.now, len(s.seen) > 0)
			default:
				h.text(key)
			}
			split[h.sum()] += c.P
		}
		weigh(a, split, sum)
	}
	if found && best.Bits/best.Cost > meterWorth {
		return best, true
	}
	few := all[:min(len(all), 24)]
	part := 0.0
	nets := make([]*network, len(few))
	for i, c := range few {
		part += c.P
		if zones[i] != nil {
			nets[i] = m.c.off(zones[i].p, s.now)
		}
	}
	asks := m.readings(few[:min(len(few), 8)])
	for _, a := range append(asks, m.traces(few[:min(len(few), 8)])...) {
		x, y := m.c.find(a.Probe[0]), m.c.find(a.Probe[1])
		split := map[uint64]float64{}
		for i, c := range few {
			h := newHash()
			switch {
			case zones[i] == nil:
				h.text("table")
			case a.Do == Measure:
				h.number(meterClass(a.Do, nets[i].ohms(x, y)))
			case a.Do == Trace:
				for _, t := range m.c.traced(nets[i], a) {
					h.text(t)
				}
			default:
				h.number(meterClass(a.Do, m.meterPrediction(zones[i].p, a, s.now)))
			}
			split[h.sum()] += c.P
		}
		weigh(a, split, part)
	}
	return best, found
}

// meterWorth is what a press must tell for its effort that no meter is thought of, bits: a reading costs seven presses and seldom tells
// more than two bits.
const meterWorth = 0.3

// idle reports whether an act would do nothing: a lever that stands there already.
func (s *Session) idle(a Act) bool {
	c := s.m.c
	d := c.deviceNamed(a.Device)
	if d < 0 || a.Do != Put {
		return false
	}
	x := c.in.Wiring.Devices[d].Control
	return position(x, a.Position) == int(s.now.pos[c.ctrlOf[x.Name]])
}

func sortedFloats(m map[uint64]float64) []float64 {
	out := make([]float64, 0, len(m))
	for _, v := range m {
		out = append(out, v)
	}
	slices.Sort(out)
	return out
}
