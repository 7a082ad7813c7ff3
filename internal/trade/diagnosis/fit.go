package diagnosis

import (
	"math"
	"slices"

	"knobwright/internal/trade/wiring"
)

// What a deviation costs, as the logarithm of a likelihood. They say how sure the prediction of a circuit is against what a person does:
// a bit that moves though it should not is next to never the person's doing; a lamp called dim that was lit often is.
const (
	costFirst   = 6.0  // a bit stands otherwise before the act
	costMove    = 9.0  // it moved, or did not
	costLast    = 3.0  // it stands otherwise afterwards
	costTurns   = 5.0  // it moved more often, or less
	costOrder   = 8.0  // bits moved in another order
	costChatter = 6.0  // it chatters longer than it may
	costCalm    = 3.0  // it should chatter and does not
	costAxis    = 8.0  // an axis reads otherwise
	costRough   = 6.0  // it jumps
	costSmooth  = 4.0  // it should jump and does not
	costLamp    = 10.0 // dark in place of lit, or the other way round
	costDim     = 1.0  // dim in place of lit
	costVague   = 2.5  // it may read anything, and reads something
	costMeter   = 6.0  // the meter reads otherwise
	worstAct    = 28.0 // more than that no act counts against anything: the person may have done something else
)

const (
	axisTol  = 0.04 // how far off a track is put, part of its way
	taperTol = 0.15 // the same of a bent one, where its bend is not known
	roughTol = 0.05
)

// passingTime is how long a lever or a shaft is between two contacts, ms. From memory.
const passingTime = 6

// fitBit says how well a bit's way fits what is predicted, step by step; 0 is perfect.
func (c *circuit) fitBit(o int32, want []int8, steps []step, k *look, do Do, bouncy bool, value float64) float64 {
	if !k.filled {
		return 0
	}
	allWild, anyWild, allBetween := true, false, true
	for i, v := range want {
		if !steps[i].passing && v != between {
			allBetween = false
		}
	}
	for i, v := range want {
		if v == between {
			want[i], v = wild, wild
		}
		if steps[i].passing {
			continue
		}
		switch {
		case v == burnt && k.raw > 0:
			return -3
		case v == burnt:
			return -0.5
		case v == vague && steps[0].s.acts > 0 && k.raw == 0: // whichever it reads, it reads again
			return -0.02
		case v == vague:
			return -0.25
		}
		if v == wild {
			anyWild = true
		} else {
			allWild = false
		}
	}
	switch {
	case allWild && allBetween && k.raw == 0 && steps[0].s.acts > 0: // whichever it reads, it reads again
		return -0.05
	case allWild && allBetween && k.raw == 0:
		return -0.7
	case allWild:
		return fitWild(k, true)
	}
	cost := 0.0
	if want[0] != wild && k.first != float64(want[0]) {
		// A lever that nobody has put anywhere yet may have been left somewhere else; that is told once.
		if from := steps[0].s; c.lever[o] >= 0 && !from.sure[c.lever[o]] && k.turns == 0 && !anyWild {
			last := float64(want[len(want)-1])
			still := !slices.ContainsFunc(want, func(v int8) bool { return v != want[0] })
			switch {
			case still && from.acts == 0:
				return -2
			case still:
				return -0.1
			case do == Put && k.last == last:
				return -2
			}
		}
		cost -= costFirst
	}
	if anyWild {
		last := want[len(want)-1]
		if last != wild && do != Hold && k.last != float64(last) {
			cost -= costLast
		}
		return cost + fitWild(k, want[0] == wild)
	}
	moves, turns, passing := false, 0, false
	was := want[0]
	for i, v := range want {
		if steps[i].passing {
			passing = passing || v != want[0]
			if do != Turn {
				continue
			}
		}
		if v != was {
			turns++
			was = v
		}
		moves = moves || v != want[0]
	}
	if do == Turn {
		if d := abs(k.turns - turns); d > 0 {
			cost -= costTurns + min(3, float64(d)-1)
			if turns == 0 || k.turns == 0 {
				cost -= costMove - costTurns
			}
		}
		return cost
	}
	moved := k.turns > 0
	switch {
	case moved == moves:
	case moved && passing, moves && !moved && k.raw > 0:
		cost -= 0.5
	default:
		cost -= costMove
	}
	if moved && moves && k.turns > turns+2 && !bouncy {
		cost -= costTurns
	}
	if last := want[len(want)-1]; do != Hold && k.last != float64(last) && k.first == float64(want[0]) {
		if moved == moves {
			cost -= costLast
		}
	}
	limit := c.debounce[o] + 1.5
	if passing { // it opens on the way and closes again, with chatter at both ends
		limit += c.debounce[o] + passingTime
	}
	switch {
	case bouncy && moves:
		if k.long <= limit && k.turns <= turns+2 {
			cost -= costCalm
		}
	case k.long > limit: // the longer, the less is it a hand's doing
		cost -= costChatter + min(3, (k.long-limit)/10)
	}
	return cost
}

// humGap is how long a pin that nothing holds stands still at most while it picks up hum, ms: a good period of the mains.
const humGap = 25

// fitWild says how well a bit fits one that nothing holds: that picks up hum and flips many times, or it stands still; that it moves just
// once or twice, as if it were pressed, or only after a while, is rare. before: nothing holds it before the act either.
func fitWild(k *look, before bool) float64 {
	switch {
	case before && k.raw > 0 && k.start > humGap:
		return -4
	case k.raw >= 4:
		return -0.4
	case k.raw > 0:
		return -2.5
	}
	return -1.6
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}

// fitAxis says how well an axis fits.
func (c *circuit) fitAxis(o int32, want []float64, k *look, do Do, own, noisy bool, value float64) float64 {
	if !k.filled {
		return 0
	}
	first, last := want[0], want[len(want)-1]
	if first == flipsAxis || last == flipsAxis {
		if k.rough > 0.01 {
			return -0.4
		}
		if own {
			return -costVague
		}
		return -1
	}
	if excursion(want) { // while something is held
		if k.most-k.least > 0.02 || k.rough > 0.01 {
			return -0.3
		}
		return -1.5
	}
	if math.IsNaN(first) || math.IsNaN(last) {
		switch {
		case k.rough > 0.01:
			return -0.4
		case own:
			return -costVague - 0.5
		}
		return -2.2
	}
	tol := axisTol
	if r := c.in.Firmware.Readings[int(o)-c.bits]; r.Signal >= 0 {
		if d := c.in.Wiring.Signals[r.Signal].Device; d >= 0 {
			x := &c.in.Wiring.Devices[d]
			if t := x.Control.Part.Circuit.Tracks; x.Index < len(t) && t[x.Index].Taper != "" && t[x.Index].Taper != "linear" {
				tol = taperTol
			}
		}
	}
	cost := 0.0
	if last < 0 && own { // a reading that may be anything says less than one that was foretold
		cost -= costVague
	}
	slack := 0.0
	if noisy {
		slack = value
	}
	if first >= 0 && math.Abs(k.first-first) > tol+slack {
		cost -= costAxis - 1
	}
	switch {
	case last >= 0 && math.Abs(k.last-last) > tol+slack:
		cost -= costAxis
	case last < 0 && first < 0 && do != Slide && math.Abs(k.last-k.first) > tol+slack:
		cost -= costAxis
	}
	still := first == last
	switch {
	case noisy && k.rough < max(0.02, 0.3*value):
		if !still {
			cost -= costSmooth
		} else {
			cost -= 0.02 // a dirty track crackles while it is moved
		}
	case !noisy && k.rough > roughTol && !strays(want):
		cost -= costRough
	}
	return cost
}

// excursion reports whether a reading goes somewhere else in the middle of an act, and comes back.
func excursion(want []float64) bool {
	first, last := want[0], want[len(want)-1]
	if math.IsNaN(first) || math.IsNaN(last) || first != last {
		return false
	}
	for _, v := range want {
		if math.IsNaN(v) || math.Abs(v-first) > axisTol {
			return true
		}
	}
	return false
}

// strays reports whether a reading goes beyond its ends on the way.
func strays(want []float64) bool {
	lo, hi := min(want[0], want[len(want)-1]), max(want[0], want[len(want)-1])
	for _, v := range want {
		if math.IsNaN(v) || v < lo-axisTol || v > hi+axisTol {
			return true
		}
	}
	return false
}

// way is what a zone shows over the steps of an act.
type way struct {
	dev   int32 // of the act
	steps []step
	reads []*reading
}

// ways works out an act for a zone.
func (m *Model) ways(z *zone, a Act, from *state) *way {
	c := m.c
	w := &way{dev: c.deviceNamed(a.Device), steps: m.stepsFor(z, a, from)}
	w.read(c, z)
	return w
}

func (w *way) read(c *circuit, z *zone) {
	w.reads = make([]*reading, len(w.steps))
	for i, s := range w.steps {
		w.reads[i] = c.read(z, s.s)
	}
}

// stepsFor lists the states of an act. Those of the act that was asked for last are kept: many zones ask for the same.
func (m *Model) stepsFor(z *zone, a Act, from *state) []step {
	c := m.c
	if z.p.steps >= 0 {
		return c.stepsOfAct(a, from, func(ctrl int32) int {
			if z.p.steps == ctrl {
				return z.p.step
			}
			return c.steps[ctrl]
		})
	}
	key := actKey(a)
	if m.lastFrom != from || m.lastAct != key {
		m.lastFrom, m.lastAct = from, key
		m.lastSteps = c.stepsOfAct(a, from, func(ctrl int32) int { return c.steps[ctrl] })
	}
	return m.lastSteps
}

// bouncyBit reports whether the contact of a bit is one that chatters.
func (m *Model) bouncyBit(p *patch, o int32) bool {
	if len(p.bouncy) == 0 || int(o) >= m.c.bits {
		return false
	}
	s := m.c.in.Firmware.Bits[o].Signal
	if s < 0 {
		return false
	}
	sig := &m.c.in.Wiring.Signals[s]
	if sig.Device < 0 {
		return false
	}
	t := m.c.find(wiring.Terminal{Of: m.c.in.Wiring.Devices[sig.Device].Control.Name, Lug: sig.Lug})
	for _, e := range p.bouncy {
		if m.c.elements[e].a == t || m.c.elements[e].b == t {
			return true
		}
	}
	return false
}

func (m *Model) noisyAxis(p *patch, o int32) bool {
	if p.noisy < 0 || int(o) < m.c.bits {
		return false
	}
	s := m.c.in.Firmware.Readings[int(o)-m.c.bits].Signal
	return s >= 0 && int32(m.c.in.Wiring.Signals[s].Device) == p.noisy
}

// fitOne gives the fit of one observable of a zone.
func (m *Model) fitOne(z *zone, w *way, i int, k *look, do Do) float64 {
	o := z.obs[i]
	c := m.c
	if int(o) < c.bits {
		want := make([]int8, len(w.reads))
		for s, r := range w.reads {
			want[s] = r.bits[i]
		}
		return c.fitBit(o, want, w.steps, k, do, m.bouncyBit(z.p, o), z.p.value)
	}
	want := make([]float64, len(w.reads))
	for s, r := range w.reads {
		want[s] = r.axes[i]
	}
	own := false
	if s := c.in.Firmware.Readings[int(o)-c.bits].Signal; s >= 0 && do == Slide {
		own = int32(c.in.Wiring.Signals[s].Device) == w.dev
	}
	return c.fitAxis(o, want, k, do, own, m.noisyAxis(z.p, o), z.p.value)
}

// fitOrder compares the order in which bits of a zone moved, where the order tells something: while an encoder turns.
func (m *Model) fitOrder(z *zone, w *way, l *looks) float64 {
	var want []change
	for s := 1; s < len(w.reads); s++ {
		for i, o := range z.obs {
			if int(o) >= m.c.bits {
				continue
			}
			a, b := w.reads[s-1].bits[i], w.reads[s].bits[i]
			if a >= wild || b >= wild {
				return 0
			}
			if a != b {
				want = append(want, change{o, b, 0})
			}
		}
	}
	var got []change
	for _, x := range l.order {
		if _, ok := slices.BinarySearch(z.obs, x.bit); ok {
			got = append(got, x)
		}
	}
	if len(want) != len(got) {
		return 0 // told bit by bit
	}
	for i := range want {
		if want[i].bit != got[i].bit || want[i].to != got[i].to {
			return -costOrder
		}
	}
	return 0
}

// classOf turns a lamp's current into what a person sees.
func (m *Model) classOf(d int32, mA float64) string {
	m.baseLamp(d)
	full := m.bright[d]
	if full <= 0 {
		full = 1
	}
	switch {
	case mA > 0.35*full && mA > 0.05:
		return "lit"
	case mA > 0.02*full && mA > 0.01:
		return "dim"
	}
	return "dark"
}

func fitLamp(want, got string) float64 {
	switch {
	case got == "" || want == "" || want == got:
		return 0
	case want != "dark" && got != "dark":
		return -costDim
	case want == "dim": // what little current a pull-up gives is not seen by everybody
		return -2 * costDim
	}
	return -costLamp
}
