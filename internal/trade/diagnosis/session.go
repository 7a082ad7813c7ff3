package diagnosis

import (
	"math"
	"slices"
)

// Session is one sitting before a panel: what was done and seen so far, and what it means. It is not for use by several goroutines.
type Session struct {
	m    *Model
	worn bool   // the panel worked once
	now  *state // as everything stands, if the person does what is asked
	seen []*event
	like map[int32][]float64 // by fault: the fit of every act
	pair map[[2]int32]float64
	cand []int32 // faults that could explain something odd
	is   []bool  // by fault: in cand
}

// event is an act with what it showed.
type event struct {
	seen  Seen
	looks *looks
	from  *state
	fits  []float64 // healthy, by observable
	lamp  float64
	meter float64
	order float64
	total float64 // healthy
	odd   []int32 // observables that do not fit
	table float64 // of all faults but the wrong table
}

// Begin opens a session with everything left alone.
func (m *Model) Begin() *Session {
	return &Session{m: m, now: m.c.rest(), like: map[int32][]float64{}, pair: map[[2]int32]float64{}, is: make([]bool, len(m.list))}
}

// Add takes what an act showed. What makes no sense is passed over.
func (s *Session) Add(seen Seen) {
	m, c := s.m, s.m.c
	m.mu.Lock()
	defer m.mu.Unlock()
	clear(s.pair)
	e := &event{seen: seen, looks: c.lookAt(seen), from: s.now, fits: make([]float64, c.bits+c.axes)}
	s.seen = append(s.seen, e)
	steps := c.stepsOfAct(seen.Act, s.now, func(k int32) int { return c.steps[k] })
	s.now = c.settle(seen.Act, steps)
	if len(seen.Moments) > 0 {
		for o := range e.fits {
			if c.bits > o && !e.looks.of[o].filled {
				continue
			}
			e.fits[o] = m.healthyFit(int32(o), e)
			e.total += e.fits[o]
			if e.fits[o] < -0.8 {
				e.odd = append(e.odd, int32(o))
			}
		}
		e.order = m.healthyOrder(e)
		e.total += e.order
		if e.order < 0 {
			if d := c.deviceNamed(seen.Act.Device); d >= 0 {
				for o, b := range c.in.Firmware.Bits {
					if b.Signal >= 0 && int32(c.in.Wiring.Signals[b.Signal].Device) == d {
						e.odd = append(e.odd, int32(o))
					}
				}
			}
		}
	}
	dev := c.deviceNamed(seen.Act.Device)
	lampOdd := false
	if dev >= 0 && seen.Lamp != "" && (seen.Act.Do == Light || seen.Act.Do == Dark) {
		e.lamp = fitLamp(m.lampOf(m.baseLamp(dev), dev, e), seen.Lamp)
		e.total += e.lamp
		lampOdd = e.lamp <= -costDim
	}
	meterOdd := false
	if isMeter(seen.Act.Do) {
		e.meter = m.fitMeter(healthy(), e)
		e.total += e.meter
		meterOdd = e.meter < -1
	}
	if seen.Table != 0 && m.table != 0 && seen.Table != m.table {
		e.table = -30
	}
	add := func(list []int32) {
		for _, f := range list {
			if !s.is[f] {
				s.is[f] = true
				s.cand = append(s.cand, f)
			}
		}
	}
	for _, o := range e.odd {
		add(m.byObs[o])
	}
	if lampOdd {
		add(m.byLamp[dev])
	}
	if meterOdd {
		add(m.nearMeter(seen.Act))
	}
	if e.table < 0 || len(e.odd) > 0 {
		for i := range m.list {
			if m.list[i].Fault.Kind == WrongTable {
				add([]int32{int32(i)})
			}
		}
	}
}

func (m *Model) healthyFit(o int32, e *event) float64 {
	b := m.c
	if int(o) < b.bits && b.in.Firmware.Bits[o].Pin.Zero() {
		k := &e.looks.of[o]
		if k.turns > 0 || k.first != 0 {
			return -costMove
		}
		return 0
	}
	z := m.baseOf(o)
	i, ok := slices.BinarySearch(z.obs, o)
	if !ok {
		return 0
	}
	return m.fitOne(z, m.ways(z, e.seen.Act, e.from), i, &e.looks.of[o], e.seen.Act.Do)
}

func (m *Model) healthyOrder(e *event) float64 {
	if e.seen.Act.Do != Turn {
		return 0
	}
	z := m.turnZone(m.c.deviceNamed(e.seen.Act.Device))
	if z == nil {
		return 0
	}
	return m.fitOrder(z, m.ways(z, e.seen.Act, e.from), e.looks)
}

// lampOf predicts the lamp of an act.
func (m *Model) lampOf(z *zone, dev int32, e *event) string {
	k := slices.Index(z.lamps, dev)
	if k < 0 {
		z = m.baseLamp(dev)
		if k = slices.Index(z.lamps, dev); k < 0 {
			return ""
		}
	}
	w := m.ways(z, e.seen.Act, e.from)
	return m.classOf(dev, w.reads[len(w.reads)-1].lamps[k])
}

// fitZone gives how well a patch with its zone explains an act.
func (m *Model) fitZone(z *zone, e *event) float64 {
	p := z.p
	if p.table {
		if e.seen.Table != 0 && m.table != 0 {
			if e.seen.Table != m.table {
				return max(e.total, -4)
			}
			return e.total - 30
		}
		if len(e.odd) > 0 {
			return max(e.total, -9)
		}
		return e.total - 1
	}
	total := e.total + e.table
	if p.short {
		if len(e.seen.Moments) > 0 { // a shorted supply shows nothing at all
			return total - 30
		}
		return total - 3
	}
	if len(e.seen.Moments) > 0 {
		w := m.ways(z, e.seen.Act, e.from)
		for i, o := range z.obs {
			total += m.fitOne(z, w, i, &e.looks.of[o], e.seen.Act.Do) - e.fits[o]
		}
		if e.seen.Act.Do == Turn {
			if near := m.nearAct(z, e.seen.Act); near {
				total += m.fitOrder(z, w, e.looks) - e.order
			}
		}
	}
	if d := m.c.deviceNamed(e.seen.Act.Device); d >= 0 && e.seen.Lamp != "" && (e.seen.Act.Do == Light || e.seen.Act.Do == Dark) {
		if slices.Contains(z.lamps, d) {
			total += fitLamp(m.lampOf(z, d, e), e.seen.Lamp) - e.lamp
		}
	}
	if isMeter(e.seen.Act.Do) {
		total += m.fitMeter(p, e) - e.meter
	}
	return soften(total)
}

// nearAct reports whether the device of an act lies in a zone.
func (m *Model) nearAct(z *zone, a Act) bool {
	d := m.c.deviceNamed(a.Device)
	return d >= 0 && slices.Contains(z.controls, m.c.ctrlOf[m.c.in.Wiring.Devices[d].Control.Name])
}

// soften keeps one act from deciding all.
func soften(total float64) float64 {
	if total < -worstAct {
		return -worstAct - math.Log1p(-total-worstAct)
	}
	return total
}

// fit gives how well a fault explains all acts; what was worked out before is kept.
func (s *Session) fit(f int32) float64 {
	sum := 0.0
	for k := range s.seen {
		sum += s.fitAct(f, k)
	}
	return sum
}

// fitAct gives how well a fault explains one act.
func (s *Session) fitAct(f int32, k int) float64 {
	l := s.like[f]
	for len(l) < len(s.seen) {
		l = append(l, math.NaN())
	}
	s.like[f] = l
	if math.IsNaN(l[k]) {
		if s.m.patch(f).nothing {
			l[k] = soften(s.seen[k].total + s.seen[k].table)
		} else {
			l[k] = s.m.fitZone(s.m.zone(f), s.seen[k])
		}
	}
	return l[k]
}

// healthy gives how well no fault explains all acts.
func (s *Session) healthy() float64 {
	sum := 0.0
	for _, e := range s.seen {
		sum += soften(e.total + e.table)
	}
	return sum
}
