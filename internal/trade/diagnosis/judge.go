package diagnosis

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// What is said of a line of the test sheet.
const (
	Right  = "right"
	Partly = "partly"
	Wrong  = "wrong"
	Unseen = "unseen" // nothing was reported
)

// Judged is what a line showed.
type Judged struct {
	Line string       `json:"line"`
	Said string       `json:"said"` // right, partly, wrong, unseen
	Say  []words.Text `json:"say"`  // in words, the most telling first
}

// Judge holds what was seen against a line of the test sheet. The first moment tells how things stood before: a lever that was left
// somewhere else counts for nothing, as long as it stays there.
func (m *Model) Judge(l Line, seen Seen) Judged {
	m.mu.Lock()
	defer m.mu.Unlock()
	c := m.c
	j := Judged{Line: l.ID, Said: Right}
	wrong := func(said, key string, args ...any) {
		if j.Said == Right || said == Wrong {
			j.Said = said
		}
		j.Say = append(j.Say, words.T("walk.judged."+key, args...))
	}
	if l.ID == "table" || seen.Table != 0 && m.table != 0 && seen.Table != m.table {
		switch {
		case seen.Table == 0:
			j.Said, j.Say = Unseen, []words.Text{words.T("walk.judged.unseen")}
			return j
		case seen.Table != m.table:
			wrong(Wrong, "table", "other", hex(seen.Table), "what", hex(m.table))
			return j
		case l.ID == "table":
			j.Say = []words.Text{words.T("walk.judged.right")}
			return j
		}
	}
	name := c.labelOf(l.Device)
	if l.Act.Do == Light || l.Act.Do == Dark {
		want := "lit"
		if l.Act.Do == Dark {
			want = "dark"
		}
		switch {
		case seen.Lamp == "":
			j.Said = Unseen
			j.Say = append(j.Say, words.T("walk.judged.unseen"))
			return j
		case seen.Lamp == want:
		case seen.Lamp == "dim" && want == "lit":
			wrong(Partly, "dim", "what", name)
		case want == "lit":
			wrong(Wrong, "dark", "what", name)
		default:
			wrong(Wrong, seen.Lamp, "what", name)
		}
	}
	if len(seen.Moments) == 0 {
		if len(j.Say) == 0 {
			if l.Act.Do == Light || l.Act.Do == Dark {
				j.Say = append(j.Say, words.T("walk.judged.right"))
			} else {
				j.Said = Unseen
				j.Say = append(j.Say, words.T("walk.judged.unseen"))
			}
		}
		return j
	}
	k := c.lookAt(seen)
	m.judgeBits(l, k, name, wrong)
	m.judgeAxes(l, k, wrong)
	if j.Said == Right {
		j.Say = append(j.Say, words.T("walk.judged.right"))
	}
	return j
}

func (m *Model) judgeBits(l Line, k *looks, name string, wrong func(said, key string, args ...any)) {
	c := m.c
	var came, missing, other, stays, was []string
	put := func(to *[]string, i int) {
		if n := m.bitName(i); !slices.Contains(*to, n) {
			*to = append(*to, n)
		}
	}
	back := l.Act.Do == Press
	for i := 0; i < c.bits; i++ {
		x := &k.of[i]
		if !x.filled {
			continue
		}
		mine := slices.Contains(l.Raw, i)
		moved := x.turns > 0 || x.raw > 2
		switch {
		case mine && l.Act.Do == Put:
			want := 0.0
			for _, q := range m.closedAt(&c.in.Wiring.Devices[c.deviceNamed(l.Device)], l.Act.Position) {
				if q == i {
					want = 1
				}
			}
			switch {
			case x.last == want && want == 1:
				put(&came, i)
			case x.last == want:
			case want == 1:
				put(&missing, i)
			default:
				put(&stays, i)
			}
		case mine && l.Act.Do == Turn:
		case mine && x.first == 1 && back && x.last == 1 && !moved:
			put(&was, i)
		case mine && moved:
			put(&came, i)
			if back && x.last != x.first {
				put(&stays, i)
			}
		case mine:
			put(&missing, i)
		case moved && !m.sameDevice(i, l.Device):
			put(&other, i)
		case moved && l.Act.Do != Put && l.Act.Do != Turn:
			put(&other, i)
		case l.ID == "rest" && x.first == 1 && m.openAtRest(i):
			put(&was, i)
		}
		if limit := c.debounce[i] + 1.5; x.long > limit && l.Act.Do != Turn {
			wrong(Partly, "chatter", "what", m.bitName(i), "ms", int(x.long), "want", int(limit))
		}
	}
	join := func(s []string) string { return strings.Join(s, ", ") }
	switch {
	case l.Act.Do == Turn:
		m.judgeTurn(l, k, name, other, wrong)
	case len(missing) > 0 && len(other) > 0 && len(came) == 0:
		wrong(Wrong, "instead", "other", join(other), "what", join(missing))
	case len(missing) > 0 && len(came) > 0:
		wrong(Partly, "partly", "what", join(came), "other", join(missing))
		if len(other) > 0 {
			wrong(Wrong, "too", "what", join(came), "other", join(other))
		}
	case len(missing) > 0:
		wrong(Wrong, "nothing")
	case len(other) > 0 && len(came) > 0:
		wrong(Partly, "too", "what", join(came), "other", join(other))
	case len(other) > 0:
		wrong(Wrong, "other", "other", join(other))
	}
	if len(stays) > 0 {
		wrong(Wrong, "stays", "what", join(stays))
	}
	if len(was) > 0 {
		wrong(Wrong, "was", "what", join(was))
	}
}

// sameDevice reports whether a raw bit belongs to a device.
func (m *Model) sameDevice(i int, id string) bool {
	d := m.deviceOfBit(i)
	return d >= 0 && m.c.in.Wiring.Devices[d].ID == id
}

// deviceOfBit gives the device that a raw bit belongs to; -1 for a bit of none. What a ladder reads between two positions of its switch is
// no signal, and belongs to the switch all the same.
func (m *Model) deviceOfBit(i int) int {
	bits := m.c.in.Firmware.Bits
	s := bits[i].Signal
	if s < 0 && bits[i].Way == wiring.Ladder {
		for _, b := range bits {
			if b.Way == wiring.Ladder && b.Pin == bits[i].Pin && b.Signal >= 0 {
				s = b.Signal
				break
			}
		}
	}
	if s < 0 {
		return -1
	}
	return m.c.in.Wiring.Signals[s].Device
}

// openAtRest reports whether a bit is clear with everything in its first position.
func (m *Model) openAtRest(i int) bool {
	if m.c.in.Firmware.Bits[i].Pin.Zero() {
		return true
	}
	z := m.baseOf(int32(i))
	k, ok := slices.BinarySearch(z.obs, int32(i))
	return ok && m.c.read(z, m.resting).bits[k] == open
}

func (m *Model) judgeTurn(l Line, k *looks, name string, other []string, wrong func(said, key string, args ...any)) {
	c := m.c
	z := m.turnZone(c.deviceNamed(l.Device))
	if z == nil {
		return
	}
	w := m.ways(z, l.Act, m.resting)
	var want, got []change
	for s := 1; s < len(w.reads); s++ {
		for i, o := range z.obs {
			if int(o) < c.bits && w.reads[s].bits[i] != w.reads[s-1].bits[i] && slices.Contains(l.Raw, int(o)) {
				want = append(want, change{bit: o, to: w.reads[s].bits[i]})
			}
		}
	}
	for _, x := range k.order {
		if slices.Contains(l.Raw, int(x.bit)) {
			got = append(got, x)
		}
	}
	switch {
	case len(got) == 0 && len(other) > 0:
		wrong(Wrong, "instead", "other", strings.Join(other, ", "), "what", name)
	case len(got) == 0:
		wrong(Wrong, "nothing")
	case len(got) != len(want):
		wrong(Wrong, "more", "what", name, "n", len(got), "want", len(want))
	case got[0].bit != want[0].bit:
		wrong(Wrong, "way", "what", name)
	case len(other) > 0:
		wrong(Partly, "too", "what", name, "other", strings.Join(other, ", "))
	}
}

func (m *Model) judgeAxes(l Line, k *looks, wrong func(said, key string, args ...any)) {
	c := m.c
	percent := func(v float64) string { return strconv.Itoa(int(math.Round(100 * v))) }
	var also []string
	defer func() {
		if len(also) > 0 {
			wrong(Partly, "other", "other", strings.Join(also, ", "))
		}
	}()
	for i := 0; i < c.axes; i++ {
		x := &k.of[c.bits+i]
		if !x.filled {
			continue
		}
		if !slices.Contains(l.Axes, i) {
			if x.most-x.least > 2*axisTol {
				also = append(also, m.axisName(i))
			}
			continue
		}
		want := l.Act.Part
		tol := axisTol
		if want > 0.1 && want < 0.9 {
			tol = 3 * axisTol
		}
		switch {
		case x.rough > roughTol:
			wrong(Partly, "jumps", "what", m.axisName(i))
		case math.Abs(x.last-want) > tol && x.most-x.least < 0.02:
			wrong(Wrong, "stuck", "what", m.axisName(i), "part", percent(x.last))
		case math.Abs(x.last-want) > tol:
			wrong(Wrong, "reads", "what", m.axisName(i), "part", percent(x.last), "want", percent(want))
		}
	}
}
