package diagnosis

import (
	"math"
	"slices"
)

// look is what an act showed of one bit or axis.
type look struct {
	first  float64 // of a bit 0 or 1
	last   float64
	least  float64
	most   float64
	turns  int     // of a bit: how often it changed, chatter left out
	raw    int     // and with chatter
	long   float64 // ms, the longest chatter
	rough  float64 // of an axis: way beyond the straight one
	start  float64 // of a bit: ms until it moved first
	filled bool
}

// looks are all of them, by observable.
type looks struct {
	of    []look
	order []change // of bits, in order of time, chatter left out
	lamp  string
}

type change struct {
	bit int32
	to  int8
	at  float64
}

// chatterGap is how far apart two changes may be to belong to one chatter, ms. Common practice: contacts chatter in bursts whose pieces
// last up to a few ms; where the table waits longer, most of that is allowed for.
const chatterGap = 9

// turnGap is the same of an encoder's contacts, ms: turned quickly, the next change comes sooner than that of a button.
const turnGap = 4

// lookAt reads what was seen. Moments that make no sense (not numbers, other lengths) are taken as far as they go.
func (c *circuit) lookAt(seen Seen) *looks {
	l := &looks{of: make([]look, c.bits+c.axes), lamp: seen.Lamp}
	if len(seen.Moments) == 0 {
		return l
	}
	bit := func(m *Moment, i int) (int8, bool) {
		if i/8 >= len(m.Raw) {
			return 0, false
		}
		return int8(m.Raw[i/8] >> (i % 8) & 1), true
	}
	for i := 0; i < c.bits; i++ {
		x := &l.of[i]
		var times []float64
		was := int8(-1)
		for k := range seen.Moments {
			v, ok := bit(&seen.Moments[k], i)
			if !ok {
				continue
			}
			if was < 0 {
				x.first, x.least, x.most, x.filled = float64(v), float64(v), float64(v), true
			} else if v != was {
				times = append(times, seen.Moments[k].At)
			}
			x.last = float64(v)
			x.least, x.most = min(x.least, x.last), max(x.most, x.last)
			was = v
		}
		x.raw = len(times)
		if len(times) > 0 {
			x.start = times[0] - seen.Moments[0].At
		}
		gap := max(chatterGap, 0.6*c.debounce[i])
		if seen.Act.Do == Turn {
			gap = turnGap
		}
		// Changes that follow one another quickly are one change with chatter, or none.
		v := int8(x.first)
		for a := 0; a < len(times); {
			b := a
			for b+1 < len(times) && times[b+1]-times[b] <= gap {
				b++
			}
			x.long = max(x.long, times[b]-times[a])
			if (b-a+1)%2 == 1 {
				v = 1 - v
				x.turns++
				l.order = append(l.order, change{int32(i), v, times[a]})
			}
			a = b + 1
		}
	}
	slices.SortStableFunc(l.order, func(a, b change) int {
		switch {
		case a.at < b.at:
			return -1
		case a.at > b.at:
			return 1
		}
		return 0
	})
	for i := 0; i < c.axes; i++ {
		x := &l.of[c.bits+i]
		way := 0.0
		for k := range seen.Moments {
			m := &seen.Moments[k]
			if i >= len(m.Axes) {
				continue
			}
			v := float64(m.Axes[i]) / 65535
			if !x.filled {
				x.first, x.last, x.least, x.most, x.filled = v, v, v, v, true
				continue
			}
			if d := math.Abs(v - x.last); d > 0.004 {
				way += d
			}
			x.last = v
			x.least, x.most = min(x.least, v), max(x.most, v)
		}
		x.rough = max(0, way-math.Abs(x.last-x.first))
	}
	return l
}
