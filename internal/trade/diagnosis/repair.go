package diagnosis

import (
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// Symptom is something that a person says of a panel that worked once.
type Symptom struct {
	ID   string     `json:"id"` // "go/nothing", "go/with/birds", "scene/turn/way"
	Say  words.Text `json:"say"`
	Seen []Seen     `json:"-"` // what the bench would have seen
}

// Symptoms lists what can be said of a panel, in file order. SymptomWith makes those that are about two devices.
func (m *Model) Symptoms() []Symptom {
	m.mu.Lock()
	defer m.mu.Unlock()
	c := m.c
	var out []Symptom
	for i := range c.in.Wiring.Devices {
		d := &c.in.Wiring.Devices[i]
		acts := c.actsOf(int32(i))
		if len(acts) == 0 {
			continue
		}
		put := func(key string, seen ...Seen) {
			out = append(out, Symptom{ID: d.ID + "/" + key, Say: words.T("repair.says."+key, "what", d.Label), Seen: seen})
		}
		switch d.Kind {
		case wiring.DevSwitch:
			put("nothing", m.imagine(acts, "nothing", -1)...)
			put("stays", m.imagine(acts, "stays", -1)...)
			put("twice", m.imagine(acts[:1], "twice", -1)...)
		case wiring.DevEncoder:
			put("nothing", m.imagine(acts, "nothing", -1)...)
			put("way", m.imagine(acts, "way", -1)...)
		case wiring.DevTrack:
			put("jumps", m.imagine(acts[:2], "jumps", -1)...)
			put("low", m.imagine(acts, "low", -1)...)
			put("high", m.imagine(acts, "high", -1)...)
			put("wild", m.imagine(acts, "wild", -1)...)
			put("turned", m.imagine(acts, "turned", -1)...)
		case wiring.DevLamp, wiring.DevPowered:
			put("dark", Seen{Act: acts[0], Lamp: "dark"})
			put("lit", Seen{Act: acts[1], Lamp: "lit"})
		}
	}
	out = append(out, m.chainSymptoms()...)
	return out
}

// SymptomWith makes "other comes with what": both IDs of devices; instead is true where what itself does not come.
func (m *Model) SymptomWith(what, other string, instead bool) (Symptom, bool) {
	m.mu.Lock()
	defer m.mu.Unlock()
	c := m.c
	a, b := c.deviceNamed(what), c.deviceNamed(other)
	if a < 0 || b < 0 || a == b {
		return Symptom{}, false
	}
	key := "with"
	if instead {
		key = "instead"
	}
	acts := c.actsOf(a)
	if len(acts) == 0 {
		return Symptom{}, false
	}
	seen := m.imagine(acts, key, b)
	if len(seen) == 0 {
		return Symptom{}, false
	}
	return Symptom{ID: what + "/" + key + "/" + other, Say: words.T("repair.says."+key, "what", c.labelOf(what), "other", c.labelOf(other)), Seen: seen}, true
}

// chainSymptoms: everything after a lug of a chain is dead.
func (m *Model) chainSymptoms() []Symptom {
	c := m.c
	var out []Symptom
	for _, ch := range c.in.Harness.Chains {
		for i, l := range ch.Lugs {
			k, ok := c.ctrlOf[l.Of]
			if !ok || i >= len(ch.Behind) || ch.Behind[i] < 2 {
				continue
			}
			var seen []Seen
			for _, t := range ch.Lugs[i:] {
				for d := range c.in.Wiring.Devices {
					x := &c.in.Wiring.Devices[d]
					if x.Control.Name != t.Of || !slices.Contains(c.lugsOf(int32(d)), t.Lug) {
						continue
					}
					acts := c.actsOf(int32(d))
					switch {
					case len(acts) == 0:
					case x.Kind == wiring.DevLamp || x.Kind == wiring.DevPowered:
						seen = append(seen, Seen{Act: acts[0], Lamp: "dark"})
					case x.Kind == wiring.DevTrack:
						key := "high"
						if c.in.Wiring.Nets[ch.Net].Kind == wiring.NetSupply {
							key = "low"
						}
						seen = append(seen, m.imagine(acts[:2], key, -1)...)
					default:
						seen = append(seen, m.imagine(acts[:1], "nothing", -1)...)
					}
				}
			}
			id := c.controls[k].Name + "/behind"
			if len(seen) == 0 || slices.ContainsFunc(out, func(s Symptom) bool { return s.ID == id }) {
				continue
			}
			out = append(out, Symptom{ID: id, Say: words.T("repair.says.behind", "what", c.controls[k].Label), Seen: seen[:min(len(seen), 40)]})
		}
	}
	return out
}

// imagine makes what the bench would have seen of acts with a symptom.
func (m *Model) imagine(acts []Act, key string, other int32) []Seen {
	c := m.c
	var out []Seen
	now := c.rest()
	raw := make([]byte, (c.bits+7)/8)
	for i := range c.in.Firmware.Bits { // as things stand at rest
		if !m.openAtRest(i) {
			raw[i/8] |= 1 << (i % 8)
		}
	}
	axes := make([]uint16, c.axes) // they stay where they were put
	for i := range axes {
		axes[i] = 26000
	}
	for _, a := range acts {
		l := m.line(a)
		steps := c.stepsOfAct(a, now, func(k int32) int { return c.steps[k] })
		s := Seen{Act: a}
		at := 0.0
		put := func(raw []byte, axes []uint16) {
			s.Moments = append(s.Moments, Moment{At: at, Raw: slices.Clone(raw), Axes: slices.Clone(axes)})
			at += 60
		}
		own := func(i int) bool { return slices.Contains(l.Raw, i) }
		before := slices.Clone(raw)
		bitsAt := func(k int) []byte {
			b := slices.Clone(raw)
			for _, i := range l.Raw {
				z := m.baseOf(int32(i))
				if n, ok := slices.BinarySearch(z.obs, int32(i)); ok {
					b[i/8] &^= 1 << (i % 8)
					if c.read(z, steps[k].s).bits[n] == closed {
						b[i/8] |= 1 << (i % 8)
					}
				}
			}
			return b
		}
		switch key {
		case "nothing":
			for _, i := range l.Raw {
				before[i/8] &^= 1 << (i % 8)
			}
			put(before, axes)
		case "stays":
			for i := range c.bits {
				if own(i) {
					before[i/8] |= 1 << (i % 8)
				}
			}
			put(before, axes)
		case "twice":
			b := slices.Clone(before)
			put(before, axes)
			for range 4 {
				for _, i := range l.Raw {
					b[i/8] ^= 1 << (i % 8)
				}
				s.Moments = append(s.Moments, Moment{At: 60 + 8*float64(len(s.Moments)), Raw: slices.Clone(b), Axes: axes})
			}
			for _, i := range l.Raw {
				b[i/8] ^= 1 << (i % 8)
			}
			s.Moments = append(s.Moments, Moment{At: 60 + 8*float64(len(s.Moments)), Raw: slices.Clone(b), Axes: axes})
			at = 200
			put(before, axes)
		case "way":
			turned := a
			turned.Clicks = -a.Clicks
			back := c.stepsOfAct(turned, now, func(k int32) int { return c.steps[k] })
			keep := steps
			steps = back
			for k := range back {
				put(bitsAt(k), axes)
			}
			steps = keep
		case "with", "instead":
			var also []int
			for i, b := range c.in.Firmware.Bits {
				if b.Signal >= 0 && int32(c.in.Wiring.Signals[b.Signal].Device) == other {
					also = append(also, i)
					break
				}
			}
			if len(also) == 0 || len(l.Raw) == 0 {
				return nil
			}
			put(before, axes)
			for k := 1; k < len(steps); k++ {
				b := bitsAt(k)
				on := false
				for _, i := range l.Raw {
					if b[i/8]>>(i%8)&1 == 1 {
						on = true
					}
					if key == "instead" {
						b[i/8] &^= 1 << (i % 8)
					}
				}
				if on {
					for _, i := range also {
						b[i/8] |= 1 << (i % 8)
					}
				}
				put(b, axes)
			}
		case "low", "high", "turned", "jumps", "wild":
			put(before, axes)
			to := uint16(65535 * min(1, max(0, a.Part)))
			for _, i := range l.Axes {
				switch key {
				case "low":
					axes[i], s.Moments[0].Axes[i] = 0, 0
				case "high":
					axes[i], s.Moments[0].Axes[i] = 65535, 65535
				case "turned":
					axes[i] = 65535 - to
				default:
					for k := range 6 {
						axes[i] = 26000
						if k%2 == 0 {
							axes[i] = 42000
						}
						put(before, axes)
					}
					axes[i] = to
					if key == "wild" {
						axes[i] = 30000
					}
				}
			}
			put(before, axes)
		}
		now = c.settle(a, steps)
		raw = slices.Clone(raw)
		if a.Do == Put {
			raw = bitsAt(len(steps) - 1)
		}
		out = append(out, s)
	}
	return out
}

// Mend is one cause, with what to do about it.
type Mend struct {
	Cause   Cause         `json:"cause"`
	Explain []Explanation `json:"explain"` // of each of its faults
	InWay   []InWay       `json:"in_way"`  // bundles over the places
	Open    words.Text    `json:"open"`    // which screws come out
	Screws  []geom.Vec2   `json:"screws"`  // where they are, face frame, mm
	Opening string        `json:"opening"` // how far it opens, as the harness is laid
}

// InWay is a bundle that lies over a place.
type InWay struct {
	Say    words.Text `json:"say"`
	Bundle int        `json:"bundle"` // index into harness.Result.Bundles
	Wires  []string   `json:"wires"`  // IDs
	Off    float64    `json:"off"`    // mm from the place, as seen from behind
}

// Repaired is the answer to symptoms.
type Repaired struct {
	Mends []Mend `json:"mends"`          // the likeliest cause first
	Next  *Ask   `json:"next,omitempty"` // what to try or measure before anything is opened; nil where one cause is far ahead
	Right bool   `json:"right"`          // what was told is as the design has it
}

// BeginWorn opens a session for a panel that worked once: what wears and breaks comes before what is built wrong.
func (m *Model) BeginWorn() *Session {
	s := m.Begin()
	s.worn = true
	return s
}

// Repair weighs symptoms and live reports, for a panel as it was built (make the model from the design with the facts of its record laid
// over it). At most n causes are given.
func (m *Model) Repair(symptoms []Symptom, live []Seen, n int) Repaired {
	s := m.BeginWorn()
	for _, x := range symptoms {
		for _, y := range x.Seen {
			s.Add(y)
		}
	}
	for _, y := range live {
		s.Add(y)
	}
	v := s.Verdict()
	out := Repaired{Right: v.Right && len(v.Groups) == 0}
	for _, g := range v.Groups {
		for _, c := range g.Causes {
			if len(out.Mends) < n && c.P > 1e-4 {
				out.Mends = append(out.Mends, m.mend(c))
			}
		}
	}
	if a, ok := s.Next(); ok {
		out.Next = &a
	}
	return out
}
