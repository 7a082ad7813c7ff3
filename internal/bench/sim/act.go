package sim

import (
	"bytes"
	"fmt"
	"hash/fnv"
	"slices"
	"sort"

	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

// Times of what a hand does, ms. From memory: a press lasts about a fifth of a second, a click of an encoder some hundredths.
const (
	before  = 40  // of rest before anything is done
	holds   = 160 // a press lasts
	after   = 60
	quarter = 6   // between two changes of an encoder's contacts
	travel  = 4   // a toggle is between two contacts
	glides  = 240 // a pot is on its way
)

// event is something that happens at a time.
type event struct {
	at float64
	do func(*state)
}

// play is an act while it is being laid out in time.
type play struct {
	p      *Panel
	events []event
	last   float64
	after  func() // when all is over
}

func (y *play) add(at float64, do func(*state)) {
	y.events = append(y.events, event{at, do})
	y.last = max(y.last, at)
}

// Do does an act and tells what is seen. An act that the panel cannot do is an error: the sentence says why.
func (p *Panel) Do(a diagnosis.Act) (diagnosis.Seen, error) {
	p.calls++
	seen := diagnosis.Seen{Act: a, Table: p.crc}
	if p.dead && a.Do != diagnosis.Measure && a.Do != diagnosis.Trace {
		seen.Table = 0
		if a.Do == diagnosis.Light || a.Do == diagnosis.Dark {
			seen.Lamp = "dark"
		}
		return seen, nil
	}
	switch a.Do {
	case diagnosis.Light, diagnosis.Dark:
		lamp, err := p.lamp(a)
		seen.Lamp = lamp
		return seen, err
	case diagnosis.Trace:
		rings, err := p.trace(a)
		seen.Rings = rings
		return seen, err
	case diagnosis.Measure, diagnosis.MeasureV:
		m, err := p.meter(a)
		seen.Meter = m
		return seen, err
	}
	y := &play{p: p}
	if err := y.lay(a, before); err != nil {
		return seen, err
	}
	seen.Moments = p.run(y)
	if y.after != nil {
		y.after()
	}
	return seen, nil
}

// lay lays an act out in time.
func (y *play) lay(a diagnosis.Act, from float64) error {
	if a.Do == diagnosis.Rest {
		y.last = max(y.last, from+60)
		return nil
	}
	d := device(y.p.job, a.Device)
	if d == nil {
		return fmt.Errorf("the panel has no %q", a.Device)
	}
	switch a.Do {
	case diagnosis.Press:
		return y.press(d, a.Position, from, from+holds)
	case diagnosis.Hold:
		for i, w := range a.With {
			w.Do = diagnosis.Hold
			if err := y.lay(w, from+float64(20*i)); err != nil {
				return err
			}
		}
		return y.press(d, a.Position, from+float64(20*len(a.With)), 0)
	case diagnosis.Put:
		return y.put(d, a.Position, from)
	case diagnosis.Turn:
		if d.Kind != wiring.DevEncoder {
			return fmt.Errorf("%s is no encoder: it cannot be turned by clicks", d.Label)
		}
		per := 4.0
		if part := d.Control.Part; part.Pulses > 0 && part.Detents > 0 {
			per = 4 * float64(part.Pulses) / float64(part.Detents)
		}
		if v := y.p.clicks[d.ID]; v > 0 {
			per = v
		}
		n, step := int(per)*a.Clicks, 1
		if n < 0 {
			n, step = -n, 3
		}
		for i := range n {
			at := from + float64(quarter*i)
			old := y.p.where.phase[d.ID] + i*step
			y.edge(d, phaseContact(d, old&3, (old+step)&3), at, func(s *state) { s.phase[d.ID] = (s.phase[d.ID] + step) & 3 })
		}
		y.last = max(y.last, from+float64(quarter*n))
	case diagnosis.Slide:
		if d.Kind != wiring.DevTrack {
			return fmt.Errorf("%s is no pot: it cannot be slid", d.Label)
		}
		y.slide(d, min(max(a.Part, 0), 1), from)
	default:
		return fmt.Errorf("%q is not something to do", a.Do)
	}
	return nil
}

// phaseContact is the contact of an encoder that changes between two states.
func phaseContact(d *wiring.Device, from, to int) int {
	which := "A"
	if (from == 1 || from == 2) == (to == 1 || to == 2) {
		which = "B"
	}
	for _, i := range d.Contact {
		if circuitOf(d.Control).Contacts[i].Phase == which {
			return i
		}
	}
	return -1
}

// down is the position that a press brings a control into.
func down(d *wiring.Device, asked string) (string, bool) {
	k := circuitOf(d.Control)
	if asked != "" {
		return asked, slices.Contains(k.Positions, asked)
	}
	for _, i := range d.Contact {
		if c := k.Contacts[i]; len(c.Closed) > 0 && !slices.Contains(c.Closed, k.Positions[0]) {
			return c.Closed[0], true
		}
	}
	if len(k.Springs) > 0 {
		return k.Springs[0], true
	}
	if len(k.Positions) > 1 {
		return k.Positions[1], true
	}
	return "", false
}

// press brings a control down, and up again at the time up; with up = 0 it is held till the end of the act.
func (y *play) press(d *wiring.Device, position string, from, up float64) error {
	to, ok := down(d, position)
	if !ok {
		return fmt.Errorf("%s cannot be pressed", d.Label)
	}
	name := d.Control.Name
	was := y.p.where.at[name]
	y.change(d, to, from)
	if up > 0 {
		y.change(d, was, up)
		return nil
	}
	y.last = max(y.last, from+holds)
	over := y.after
	y.after = func() {
		y.p.where.at[name] = was
		if over != nil {
			over()
		}
	}
	return nil
}

// put brings a control into a position through those that lie between.
func (y *play) put(d *wiring.Device, position string, from float64) error {
	k := circuitOf(d.Control)
	if !slices.Contains(k.Positions, position) {
		return fmt.Errorf("%s has no position %q", d.Label, position)
	}
	is := slices.Index(order(k.Positions), y.p.where.at[d.Control.Name])
	all := order(k.Positions)
	end := slices.Index(all, position)
	at := from
	for is != end {
		if is < end {
			is++
		} else {
			is--
		}
		y.change(d, all[is], at)
		at += 30
	}
	y.last = max(y.last, at)
	return nil
}

// order gives positions as they lie beside each other: of a toggle with a middle that rests there, the middle stands between.
func order(positions []string) []string {
	if i := slices.Index(positions, "middle"); i == 0 && len(positions) == 3 {
		return []string{positions[1], positions[0], positions[2]}
	}
	return positions
}

// change moves a control to another position: first its closed contacts open, then others close.
func (y *play) change(d *wiring.Device, to string, at float64) {
	name := d.Control.Name
	k := circuitOf(d.Control)
	for i, c := range k.Contacts {
		if c.Phase == "" && slices.Contains(c.Closed, to) {
			y.chatter(d, i, at+travel)
		}
	}
	y.add(at, func(s *state) { s.dark[name] = true })
	y.add(at+travel, func(s *state) {
		delete(s.dark, name)
		s.at[name] = to
	})
}

// edge is one change of a single contact.
func (y *play) edge(d *wiring.Device, contact int, at float64, do func(*state)) {
	y.add(at, do)
	if v := y.p.bounce[d.ID]; v > 0 && contact >= 0 {
		y.chatter(d, contact, at)
	}
}

// Bounces gives the times within which a contact that was closed opens again for a moment: pairs of from and to, ms from its first
// touch. They end within long. Contacts fall together as a ball on a table does, each leap shorter than the one before; measurements
// show that the last leap ends anywhere up to the longest. The same seed gives the same bounce.
func Bounces(long float64, seed string) [][2]float64 {
	if long <= 0 {
		return nil
	}
	h := fnv.New32a()
	_, _ = h.Write([]byte(seed))
	x := h.Sum32()
	share := func() float64 { // 0 to 1
		x = x*1664525 + 1013904223
		return float64(x>>8) / (1 << 24)
	}
	total := long * (0.35 + 0.6*share())
	var out [][2]float64
	leap := total * (0.35 + 0.15*share())
	for at := total * 0.05; at < total && len(out) < 12; {
		end := min(at+leap, total)
		out = append(out, [2]float64{at, end})
		at = end + leap*(0.1+0.2*share())
		leap *= 0.45 + 0.3*share()
		if leap < 0.02*total {
			break
		}
	}
	return out
}

// chatter lets a contact bounce.
func (y *play) chatter(d *wiring.Device, contact int, at float64) {
	name := d.Control.Name
	long := circuitOf(d.Control).Bounce
	wrong := y.p.bounce[d.ID]
	if wrong > 0 {
		long = wrong
	} else if long > 2 { // a look a millisecond makes bounces seem longer, by that much at most
		long--
	}
	id := contactID{name, contact}
	leaps := Bounces(long, fmt.Sprintf("%s %d %d", name, contact, y.p.calls))
	if wrong > 0 { // a worn contact never rests long, up to the end
		leaps = leaps[:0]
		for t := 2.0; t < wrong-1; t += 5 {
			leaps = append(leaps, [2]float64{t, t + 2})
		}
		leaps = append(leaps, [2]float64{wrong - 1.2, wrong - 0.1})
	}
	for _, l := range leaps {
		y.add(at+l[0], func(s *state) { s.open[id] = true })
		y.add(at+l[1], func(s *state) { delete(s.open, id) })
	}
}

// slide moves a pot.
func (y *play) slide(d *wiring.Device, to, from float64) {
	const steps = 24
	was := y.p.where.turn[d.ID]
	dirt := y.p.jitter[d.ID]
	for i := 1; i <= steps; i++ {
		at := from + float64(glides*i)/steps
		y.add(at, func(s *state) { s.turn[d.ID] = was + (to-was)*float64(i)/steps })
		if dirt > 0 && i%3 == 1 && i < steps {
			sign := 1.0
			if i%2 == 0 {
				sign = -1
			}
			y.add(at+1, func(s *state) { s.jump[d.ID] = sign * dirt })
			y.add(at+9, func(s *state) { delete(s.jump, d.ID) })
		}
	}
}

// run plays the events and looks once a millisecond.
func (p *Panel) run(y *play) []diagnosis.Moment {
	sort.SliceStable(y.events, func(i, j int) bool { return y.events[i].at < y.events[j].at })
	first := p.look(p.calls * 1000)
	moments := []diagnosis.Moment{{Raw: first.raw, Axes: first.axes}}
	last, loose := first, first.loose
	i := 0
	for ms := 1; ms <= int(y.last)+after; ms++ {
		moved := false
		for i < len(y.events) && y.events[i].at <= float64(ms) {
			y.events[i].do(&p.where)
			moved = true
			i++
		}
		if !moved && (!loose || ms%5 != 0) {
			continue
		}
		now := p.look(p.calls*1000 + ms)
		loose = now.loose
		if bytes.Equal(now.raw, last.raw) && !differs(now.axes, last.axes) {
			continue
		}
		last = now
		moments = append(moments, diagnosis.Moment{At: float64(ms), Raw: now.raw, Axes: now.axes})
	}
	return moments
}

// differs tells whether readings have moved by more than a thousandth.
func differs(a, b []uint16) bool {
	for i := range a {
		if i < len(b) && max(a[i], b[i])-min(a[i], b[i]) > 65 {
			return true
		}
	}
	return false
}

// lamp tells what a lamp does when it is told to light, or to be dark.
func (p *Panel) lamp(a diagnosis.Act) (string, error) {
	d := device(p.job, a.Device)
	if d == nil || d.Kind != wiring.DevLamp && d.Kind != wiring.DevPowered {
		return "", fmt.Errorf("the panel has no lamp %q", a.Device)
	}
	for i, x := range p.job.Wiring.Signals {
		if x.Device >= 0 && p.job.Wiring.Devices[x.Device].ID == a.Device && (x.Kind == wiring.SigLamp || x.Kind == wiring.SigDrive) {
			p.where.lit[i] = a.Do == diagnosis.Light
			defer delete(p.where.lit, i)
		}
	}
	is := p.glow(p.net, d)
	should := p.glow(p.sound, d)
	if a.Do == diagnosis.Dark {
		for i, x := range p.job.Wiring.Signals {
			if x.Device >= 0 && p.job.Wiring.Devices[x.Device].ID == a.Device && (x.Kind == wiring.SigLamp || x.Kind == wiring.SigDrive) {
				p.where.lit[i] = true
				should = p.glow(p.sound, d)
				p.where.lit[i] = false
			}
		}
	}
	switch {
	case should <= 0 && is <= 1e-5, is < 0.04*should:
		return "dark", nil
	case is < 0.4*should:
		return "dim", nil
	}
	return "lit", nil
}

// glow is the current through a lamp, A.
func (p *Panel) glow(n *network, d *wiring.Device) float64 {
	c := scan{n: n, t: p.table, s: &p.where}
	c.out.raw = make([]byte, p.table.raw)
	c.base = c.standing()
	ph := &phase{drives: slices.Clone(c.base)}
	for _, x := range c.t.expand {
		for _, b := range n.job.Wiring.Boards {
			if b.Part.Board == nil || b.Part.Board.Role != "expander" || b.Address != int(x.Address) || !c.answers(b, x.Data, x.Clock) {
				continue
			}
			v := c.supply(b)
			for i, at := range linesOf(b) {
				switch {
				case x.Inputs>>i&1 != 0:
				case n.lights(at, c.s):
					ph.drives = append(ph.drives, drive{n.at(at), v, orOhm(b.Part.Board.OutHigh, 50)})
				default:
					ph.drives = append(ph.drives, drive{n.at(at), 0, orOhm(b.Part.Board.OutLow, 50)})
				}
			}
			break
		}
	}
	for j := range n.list {
		e := &n.list[j]
		if e.device == nil || e.device.ID != d.ID || e.kind != lamp && e.kind != resistor {
			continue
		}
		if e.kind == resistor { // what is fed, and not lit: by the voltage that it gets
			volt := func(k int) float64 {
				if v, fixed := n.hold(k, ph); fixed {
					return v
				}
				got := n.around(k, c.s, ph)
				if got.loose[k] {
					return 0
				}
				return got.volts[k]
			}
			return max(volt(e.a)-volt(e.b), 0) / e.ohm
		}
		for _, k := range []int{e.a, e.b} {
			if _, fixed := n.hold(k, ph); !fixed {
				return max(n.around(k, c.s, ph).amps[j], 0)
			}
		}
		va, _ := n.hold(e.a, ph)
		vb, _ := n.hold(e.b, ph)
		if va-vb > 1.5 {
			return 0.01
		}
	}
	return 0
}

// meter measures between two places.
func (p *Panel) meter(a diagnosis.Act) (float64, error) {
	x, y := p.net.at(a.Probe[0]), p.net.at(a.Probe[1])
	if x < 0 || y < 0 {
		return 0, fmt.Errorf("there is no place to measure at: %s %s, %s %s", a.Probe[0].Of, a.Probe[0].Lug, a.Probe[1].Of, a.Probe[1].Lug)
	}
	if a.Do == diagnosis.Measure {
		return p.ohms(x, y), nil
	}
	c := scan{n: p.net, t: p.table, s: &p.where}
	c.out.raw = make([]byte, p.table.raw)
	ph := &phase{drives: c.standing(), links: []link{{x, y, 10e6}}}
	for _, e := range c.t.expand {
		for _, b := range p.job.Wiring.Boards {
			if k := b.Part.Board; k != nil && k.Role == "expander" && b.Address == int(e.Address) && c.answers(b, e.Data, e.Clock) {
				for i, at := range linesOf(b) {
					if e.Inputs>>i&1 != 0 && !p.net.noUp[at] {
						ph.drives = append(ph.drives, drive{p.net.at(at), c.supply(b), middle(k.PullUp, 100e3)})
					}
				}
				break
			}
		}
	}
	volt := func(k int) float64 {
		if v, ok := p.net.hold(k, ph); ok {
			return v
		}
		return p.net.around(k, &p.where, ph).volts[k]
	}
	return volt(x) - volt(y), nil
}

// trace slides a probe along the pins of a board, the other held on a lug: those that ring, by their lugs.
func (p *Panel) trace(a diagnosis.Act) ([]string, error) {
	x, b := p.net.at(a.Probe[0]), boardOf(p.job, a.Probe[1].Of)
	if x < 0 || b == nil {
		return nil, fmt.Errorf("there is no lead to follow from %s %s to %s", a.Probe[0].Of, a.Probe[0].Lug, a.Probe[1].Of)
	}
	var out []string
	for _, pin := range b.Pins {
		if y := p.net.at(wiring.Terminal{Of: a.Probe[1].Of, Lug: pin.Lug}); y >= 0 && p.ohms(x, y) < 25 {
			out = append(out, pin.Lug)
		}
	}
	return out, nil
}

// ohms is what a meter shows between two nodes without power.
func (p *Panel) ohms(x, y int) float64 {
	if x == y {
		return 0.1
	}
	const inner, volts = 10e3, 1.0
	got := p.net.around(x, &p.where, &phase{away: true, ref: y, drives: []drive{{x, volts, inner}}})
	v := got.volts[x]
	if v >= volts*0.999 {
		return 1e9
	}
	return v * inner / (volts - v)
}
