package diagnosis

import (
	"math"
	"slices"
)

// commonDevices is how many devices that all explanations touch are tried when they are sorted into groups.
const commonDevices = 4

// writeOutcome hashes what an act shows with a patch, where it differs from what it would show without. With moves only what changes during
// the act counts: how things stand before it is known.
func (m *Model) writeOutcome(h *hash, z *zone, a Act, from *state, moves bool) {
	c := m.c
	if a.Do == Measure || a.Do == MeasureV {
		h.number(meterClass(a.Do, m.meterPrediction(z.p, a, from)))
		return
	}
	w := m.ways(z, a, from)
	h.text(actKey(a))
	plain := w.steps
	if z.p.steps >= 0 {
		plain = m.stepsFor(m.none, a, from)
	}
	var hz *zone
	var hw *way
	for i, o := range z.obs {
		hi := -1
		switch next := m.healthyZone(o); {
		case next == nil:
			hz, hw = nil, nil
		case next != hz:
			hz, hw = next, &way{dev: w.dev, steps: plain}
			hw.read(c, hz)
			fallthrough
		default:
			hi, _ = slices.BinarySearch(hz.obs, o)
		}
		if int(o) < c.bits {
			seq := compressed(w, i)
			var was []int8
			if hw != nil {
				was = compressed(hw, hi)
			}
			b := m.bouncyBit(z.p, o) && len(seq) > 1
			if moves && len(seq) == 1 && len(was) <= 1 {
				continue
			}
			if !slices.Equal(seq, was) || b {
				h.number(int(o))
				h.number(len(seq))
				for _, v := range seq {
					h.number(int(v))
				}
				h.flag(b)
			}
			continue
		}
		end := func(w *way, i int) [2]int {
			q := func(v float64) int {
				if math.IsNaN(v) {
					return -99
				}
				return int(math.Round(v * 12))
			}
			return [2]int{q(w.reads[0].axes[i]), q(w.reads[len(w.reads)-1].axes[i])}
		}
		values := func(w *way, i int) []float64 {
			out := make([]float64, len(w.reads))
			for s, r := range w.reads {
				out[s] = r.axes[i]
			}
			return out
		}
		if excursion(values(w, i)) && (hw == nil || !excursion(values(hw, hi))) {
			h.number(int(o))
			h.text("there and back")
		}
		x := end(w, i)
		noisy := m.noisyAxis(z.p, o) && a.Do == Slide
		if moves && x[0] == x[1] {
			if hw == nil {
				continue
			}
			if y := end(hw, hi); y[0] == y[1] {
				continue
			}
		}
		if hw == nil || x != end(hw, hi) || noisy {
			h.number(int(o))
			h.number(x[0])
			h.number(x[1])
			h.flag(noisy)
		}
	}
	if a.Do == Turn && m.nearAct(z, a) {
		got := m.movesOf(z, w)
		hz := m.turnZone(c.deviceNamed(a.Device))
		if hz == nil || !slices.Equal(got, m.movesOf(hz, m.ways(hz, a, from))) {
			for _, o := range got {
				h.number(int(o))
			}
		}
	}
	if a.Do == Light || a.Do == Dark {
		d := c.deviceNamed(a.Device)
		if k := slices.Index(z.lamps, d); k >= 0 {
			got := m.classOf(d, w.reads[len(w.reads)-1].lamps[k])
			hz := m.baseLamp(d)
			was := ""
			if j := slices.Index(hz.lamps, d); j >= 0 {
				hw := m.ways(hz, a, from)
				was = m.classOf(d, hw.reads[len(hw.reads)-1].lamps[j])
			}
			if got == "dim" {
				got = "lit"
			}
			if was == "dim" {
				was = "lit"
			}
			if got != was {
				h.text(got)
			}
		}
	}
}

func (m *Model) healthyZone(o int32) *zone {
	if int(o) < m.c.bits && m.c.in.Firmware.Bits[o].Pin.Zero() {
		return nil
	}
	z := m.baseOf(o)
	if _, ok := slices.BinarySearch(z.obs, o); !ok {
		return nil
	}
	return z
}

func actKey(a Act) string {
	k := string(a.Do) + a.Device + a.Position
	k += string(rune(a.Clicks+1000)) + string(rune(int(a.Part*100)+10))
	for _, x := range a.With {
		k += "+" + x.Device + x.Position
	}
	return k + a.Probe[0].Of + a.Probe[0].Lug + a.Probe[1].Of + a.Probe[1].Lug
}

// compressed is a bit's way without repeats and without what is only passed.
func compressed(w *way, i int) []int8 {
	if i < 0 {
		return nil
	}
	var out []int8
	for s, r := range w.reads {
		if w.steps[s].passing {
			continue
		}
		if v := r.bits[i]; len(out) == 0 || out[len(out)-1] != v {
			out = append(out, v)
		}
	}
	return out
}

// movesOf lists the bits of a zone in the order in which they move.
func (m *Model) movesOf(z *zone, w *way) []int32 {
	var out []int32
	for s := 1; s < len(w.reads); s++ {
		for i, o := range z.obs {
			if int(o) < m.c.bits && w.reads[s].bits[i] != w.reads[s-1].bits[i] {
				out = append(out, o)
			}
		}
	}
	return out
}

// turnZone is the healthy surroundings of an encoder.
func (m *Model) turnZone(d int32) *zone {
	if d < 0 {
		return nil
	}
	if z, ok := m.turns[d]; ok {
		return z
	}
	p := healthy()
	m.c.touchContacts(p, d)
	m.turns[d] = m.c.zoneOf(p)
	return m.turns[d]
}

// Shows reports whether any act of the test sheet would show a fault. One that does not, as the two lugs of a plain button exchanged, is
// no fault to anybody.
func (m *Model) Shows(f Fault) bool {
	m.mu.Lock()
	defer m.mu.Unlock()
	p := m.c.patchOf(f)
	if p.table {
		return true
	}
	if p.nothing {
		return false
	}
	z := m.c.zoneOf(p)
	for _, a := range m.actsFor(z) {
		h, plain := newHash(), newHash()
		plain.text(actKey(a))
		m.writeOutcome(h, z, a, m.resting, false)
		if h.sum() != plain.sum() {
			return true
		}
	}
	return false
}
