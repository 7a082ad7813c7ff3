package diagnosis

import (
	"math"
	"slices"
)

// Recogniser watches a panel that is pressed freely and tells which lines of the test sheet that satisfies. A line counts only when what
// moved is exactly what it says: a press that brings a second bit with it satisfies nothing.
type Recogniser struct {
	m      *Model
	lines  []Line
	begun  bool
	now    []int8 // raw bits as last seen
	calm   []int8 // as they stand after chatter
	since  []float64
	wait   []bool
	last   float64
	open   map[int]*press
	turns  []turning
	axes   []axisWatch
	bitDev []int32
	done   []string
}

type press struct {
	at    float64
	other bool
}

type turning struct {
	dev   int32
	a, b  int
	steps int
	state int
	per   int
	spoil bool
}

type axisWatch struct {
	filled bool
	from   float64
	moved  bool
	at     float64
	value  float64
}

// calmTime is how long a contact must keep still to be believed, ms; chatter is shorter. Common practice.
const calmTime = 12

// Recognise begins to watch, for the lines of a sheet.
func (m *Model) Recognise(lines []Line) *Recogniser {
	c := m.c
	r := &Recogniser{m: m, lines: lines, open: map[int]*press{}, axes: make([]axisWatch, c.axes)}
	r.now, r.calm = make([]int8, c.bits), make([]int8, c.bits)
	r.since, r.wait = make([]float64, c.bits), make([]bool, c.bits)
	r.bitDev = make([]int32, c.bits)
	for i := range c.in.Firmware.Bits {
		r.bitDev[i] = int32(m.deviceOfBit(i))
	}
	for d := range c.in.Wiring.Devices {
		x := &c.in.Wiring.Devices[d]
		t := turning{dev: int32(d), a: -1, b: -1, per: c.steps[c.ctrlOf[x.Control.Name]]}
		for i, b := range c.in.Firmware.Bits {
			if b.Signal < 0 || c.in.Wiring.Signals[b.Signal].Device != d || x.Kind != "encoder" {
				continue
			}
			for _, n := range x.Contact {
				k := x.Control.Part.Circuit.Contacts[n]
				if k.Lugs[1] != c.in.Wiring.Signals[b.Signal].Lug {
					continue
				}
				switch phaseOf(k) {
				case 'A':
					t.a = i
				case 'B':
					t.b = i
				}
			}
		}
		if t.a >= 0 && t.b >= 0 {
			r.turns = append(r.turns, t)
		}
	}
	return r
}

// quarter orders the states of an encoder's contacts as they come when it is turned to the right: open, A, both, B.
func quarter(a, b int8) int {
	switch {
	case a == 0 && b == 0:
		return 0
	case a == 1 && b == 0:
		return 1
	case a == 1:
		return 2
	}
	return 3
}

// Feed takes a moment and gives the IDs of the lines that are satisfied by now. The first one is how things stand.
func (r *Recogniser) Feed(mo Moment) []string {
	r.done = nil
	if math.IsNaN(mo.At) || math.IsInf(mo.At, 0) {
		mo.At = r.last
	}
	mo.At = max(mo.At, r.last)
	r.Tick(mo.At)
	first := !r.begun
	r.begun = true
	for i := range r.now {
		if i/8 >= len(mo.Raw) {
			break
		}
		v := int8(mo.Raw[i/8] >> (i % 8) & 1)
		if first {
			r.now[i], r.calm[i] = v, v
			continue
		}
		if v != r.now[i] {
			r.now[i], r.since[i], r.wait[i] = v, mo.At, true
		}
	}
	for k := range r.turns {
		t := &r.turns[k]
		q := quarter(r.now[t.a], r.now[t.b])
		if first {
			t.state = q
			continue
		}
		switch (q - t.state) & 3 {
		case 1:
			t.steps++
		case 3:
			t.steps--
		case 2:
			t.spoil = true
		}
		t.state = q
		if q%t.per == 0 && t.steps != 0 {
			if !t.spoil && (t.steps == t.per || t.steps == -t.per) && r.quiet(int(t.dev)) {
				r.satisfy(func(l *Line) bool {
					return l.Act.Do == Turn && r.m.c.deviceNamed(l.Device) == t.dev && (l.Act.Clicks > 0) == (t.steps > 0)
				})
			}
			if t.steps%t.per == 0 || q == 0 {
				t.steps, t.spoil = 0, false
			}
		}
	}
	for i := range r.axes {
		if i >= len(mo.Axes) {
			break
		}
		a, v := &r.axes[i], float64(mo.Axes[i])/65535
		if !a.filled {
			a.filled, a.from, a.value, a.at = true, v, v, mo.At
			continue
		}
		if math.Abs(v-a.value) > 0.01 {
			a.at = mo.At
		}
		a.value = v
		a.moved = a.moved || math.Abs(v-a.from) > 0.05
		if a.moved {
			r.axis(i, v, false)
		}
	}
	r.last = mo.At
	return r.done
}

// Tick tells that time has passed without news, ms; it gives the lines satisfied thereby.
func (r *Recogniser) Tick(at float64) []string {
	if math.IsNaN(at) || at < r.last {
		return r.done
	}
	for {
		next, when := -1, math.Inf(1)
		for i := range r.wait {
			if r.wait[i] && r.since[i] < when {
				next, when = i, r.since[i]
			}
		}
		if next < 0 || at-when < calmTime {
			break
		}
		r.wait[next] = false
		if r.now[next] != r.calm[next] {
			r.calm[next] = r.now[next]
			r.settled(next, when)
		}
	}
	for i := range r.axes {
		if a := &r.axes[i]; a.moved && at-a.at > 400 {
			r.axis(i, a.value, true)
		}
	}
	return r.done
}

func (r *Recogniser) axis(i int, v float64, still bool) {
	r.satisfy(func(l *Line) bool {
		return l.Act.Do == Slide && slices.Contains(l.Axes, i) &&
			(l.Act.Part == 0 && v <= axisTol || l.Act.Part == 1 && v >= 1-axisTol || still && l.Act.Part == 0.5 && math.Abs(v-0.5) < 0.12)
	})
}

// quiet reports whether no contact of another device has just moved.
func (r *Recogniser) quiet(dev int) bool {
	for i, w := range r.wait {
		if w && r.bitDev[i] != int32(dev) {
			return false
		}
	}
	return true
}

// settled is told that a bit has changed for good.
func (r *Recogniser) settled(i int, at float64) {
	c := r.m.c
	dev := r.bitDev[i]
	for k, p := range r.open {
		if k != i {
			p.other = true
		}
	}
	if dev < 0 {
		return
	}
	d := &c.in.Wiring.Devices[dev]
	if d.Kind == "encoder" {
		return
	}
	if d.Holds {
		r.satisfy(func(l *Line) bool {
			if l.Act.Do != Put || l.Device != d.ID {
				return false
			}
			want := r.m.closedAt(d, l.Act.Position)
			for b, x := range r.bitDev {
				if x == dev && (r.calm[b] == 1) != slices.Contains(want, b) {
					return false
				}
			}
			return len(want) > 0 || r.calm[i] == 0
		})
		return
	}
	if r.calm[i] == 1 {
		r.open[i] = &press{at: at, other: len(r.open) > 0}
		r.satisfy(func(l *Line) bool {
			if l.Act.Do != Hold || len(l.Raw) < 2 {
				return false
			}
			on := 0
			for b := range r.calm {
				if r.calm[b] != 1 || r.bitDev[b] >= 0 && c.in.Wiring.Devices[r.bitDev[b]].Holds {
					continue
				}
				if !slices.Contains(l.Raw, b) {
					return false
				}
				on++
			}
			return on == len(l.Raw)
		})
		return
	}
	if p := r.open[i]; p != nil {
		delete(r.open, i)
		if !p.other {
			r.satisfy(func(l *Line) bool { return l.Act.Do == Press && len(l.Raw) == 1 && l.Raw[0] == i })
		}
	}
}

func (r *Recogniser) satisfy(is func(*Line) bool) {
	for i := range r.lines {
		if l := &r.lines[i]; is(l) && !slices.Contains(r.done, l.ID) {
			r.done = append(r.done, l.ID)
		}
	}
}
