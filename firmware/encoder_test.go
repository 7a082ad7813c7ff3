package firmware

import (
	"encoding/csv"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/thorough"
)

// gray is the published table of transitions: by old and new state as "00", "01", ...
func gray(t *testing.T) map[string]int {
	t.Helper()
	f, err := os.Open("testdata/quadrature.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]int{}
	for _, r := range rows[1:] {
		n := 0
		if _, err := fmt.Sscan(r[2], &n); err != nil {
			t.Fatal(err)
		}
		out[r[0]+r[1]] = n
	}
	if len(out) != 16 {
		t.Fatalf("%d transitions", len(out))
	}
	return out
}

// counter is a table with one encoder as an absolute axis of 16 bits that starts at 0, so that every detent can be read.
func counter(rest, steps uint8) Table {
	table := bare(2)
	table.Encoders = []Encoder{{A: 0, B: 1, Rest: rest, Steps: steps, Kind: Stops, Width: 16, Min: -30000, Max: 30000, Step: 1}}
	return table
}

// count reads that axis.
func (w *twin) count(t fataler) int {
	got := w.say(t, "now 0")
	var lo, hi uint8
	if _, err := fmt.Sscanf(got[0], "now %02X%02X", &lo, &hi); err != nil {
		t.Fatalf("%v", got)
	}
	return int(int16(uint16(hi)<<8 | uint16(lo)))
}

// contacts gives the lines for a state, 2A + B, and a sample.
func contacts(state int) []string {
	return append(raws(0, state>>1, state&1), "sample")
}

var order = [4]int{0, 1, 3, 2} // the states in the order of turning up

// TestGrayTable: all sixteen transitions count what the published table says, with a detent at every state.
func TestGrayTable(t *testing.T) {
	w := start(t)
	for key, want := range gray(t) {
		from, to := int(key[0]-'0')<<1|int(key[1]-'0'), int(key[2]-'0')<<1|int(key[3]-'0')
		w.load(t, counter(15, 1), append(quiet(), raws(0, from>>1, from&1)...)...)
		w.say(t, contacts(to)...)
		if got := w.count(t); got != want {
			t.Errorf("%s to %s counts %d, want %d", key[:2], key[2:], got, want)
		}
	}
}

// TestLegalWalks: every walk of single steps up to length 12 from every resting state, for all three kinds of detents: wherever the
// shaft rests, the count is the way turned, in detents.
func TestLegalWalks(t *testing.T) {
	w := start(t)
	walks := 0
	for _, c := range []struct{ rest, steps uint8 }{{15, 1}, {9, 2}, {6, 2}, {1, 4}, {2, 4}, {4, 4}, {8, 4}} {
		for from := range 4 {
			if c.rest>>order[from]&1 == 0 {
				continue
			}
			// A walk of 12 steps holds all shorter ones: the count is compared at each rest on the way. So that it can be compared
			// without asking after each step, the expected counts are gathered and the answers read at the end of the walk.
			for bits := range 1 << 12 {
				if !thorough.Is() && bits%17 != 0 {
					continue
				}
				lines := contacts(order[from])
				var want []string
				at := 0
				for i := range 12 {
					at += 1 - 2*(bits>>i&1)
					state := order[((from+at)%4+4)%4]
					lines = append(lines, contacts(state)...)
					if c.rest>>state&1 == 1 {
						v := uint16(at / int(c.steps))
						lines = append(lines, "now 0")
						want = append(want, fmt.Sprintf("now %02X%02X", v&0xFF, v>>8))
					}
				}
				raw, err := counter(c.rest, c.steps).Bytes()
				if err != nil {
					t.Fatal(err)
				}
				first := append(raws(0, order[from]>>1, order[from]&1), fmt.Sprintf("table %X", raw))
				got := w.say(t, append(first, lines...)...)
				if strings.Join(got[1:], " ") != strings.Join(want, " ") {
					t.Fatalf("rest %04b, %d steps, from %d, walk %012b: %v, want %v", c.rest, c.steps, from, bits, got[1:], want)
				}
				walks++
			}
		}
	}
	t.Logf("%d walks of 12 steps", walks)
}

// TestBouncyWalk: random turning with contacts that chatter between neighbouring states, sampled at random times but never with two
// steps between two samples: no detent too many or too few.
func TestBouncyWalk(t *testing.T) {
	w := start(t)
	rapid.Check(t, func(rt *rapid.T) {
		c := rapid.SampledFrom([]struct{ rest, steps uint8 }{{15, 1}, {9, 2}, {1, 4}, {8, 4}}).Draw(rt, "kind")
		from := 0
		for c.rest>>order[from]&1 == 0 {
			from++
		}
		w.load(rt, counter(c.rest, c.steps), append(quiet(), raws(0, order[from]>>1, order[from]&1)...)...)
		var lines []string
		at := 0
		show := func() { lines = append(lines, contacts(order[((from+at)%4+4)%4])...) }
		for range rapid.IntRange(1, 20).Draw(rt, "turns") {
			by := rapid.SampledFrom([]int{-1, 1}).Draw(rt, "way")
			for range rapid.IntRange(1, 12).Draw(rt, "steps") {
				at += by
				show()
				for range rapid.IntRange(0, 4).Draw(rt, "chatter") {
					at -= by
					show()
					at += by
					show()
				}
			}
		}
		for at%int(c.steps) != 0 { // to a rest
			at++
			show()
		}
		w.say(rt, lines...)
		if got, want := w.count(rt), at/int(c.steps); got != want {
			rt.Fatalf("counts %d, want %d", got, want)
		}
	})
}

// TestMissedStep: one state in two detents that was not seen, whichever it is, costs nothing: the rounding at rest makes up for it. And
// the detents after it are counted where they are; without the rounding, the steps that are missing would stay missing for good.
func TestMissedStep(t *testing.T) {
	w := start(t)
	for skip := range 8 {
		w.load(t, counter(1, 4), quiet()...)
		var lines []string
		for i := 1; i <= 8; i++ {
			if i != skip {
				lines = append(lines, contacts(order[i%4])...)
			}
		}
		w.say(t, lines...)
		before := w.count(t)
		if before != 2 {
			t.Errorf("without step %d: %d detents of 2", skip, before)
		}
		for turn := 1; turn <= 3; turn++ {
			lines = nil
			for i := 1; i <= 4; i++ {
				lines = append(lines, contacts(order[i%4])...)
			}
			w.say(t, lines...)
			if got := w.count(t); got != before+turn {
				t.Errorf("without step %d: detent %d counts %d", skip, turn, got-before)
			}
		}
		// Half a detent and back is nothing.
		w.say(t, append(append(contacts(1), contacts(3)...), append(contacts(1), contacts(0)...)...)...)
		if got := w.count(t); got != before+3 {
			t.Errorf("half a detent and back counts %d", got-before-3)
		}
	}
}

// TestSpeed measures at what rate of steps the count begins to fail, with contacts whose steps come at uneven times (each up to a
// quarter of the mean early or late). Below half the sampling rate nothing may be lost.
func TestSpeed(t *testing.T) {
	w := start(t)
	rng := rand.New(rand.NewPCG(5, 7))
	lost := func(rate float64) int { // steps in a sample
		w.load(t, counter(1, 4), quiet()...)
		const steps = 4000
		times := make([]float64, steps)
		for i := range times {
			times[i] = (float64(i) + 0.5*rng.Float64() - 0.25) / rate
		}
		var lines []string
		done := 0
		for now := 0; done < steps; now++ {
			for done < steps && times[done] <= float64(now) {
				done++
			}
			lines = append(lines, contacts(order[done%4])...)
		}
		w.say(t, lines...)
		return steps/4 - w.count(t)
	}
	first := 0.0
	for pct := 10; pct <= 120; pct += 5 {
		n := lost(float64(pct) / 100)
		if n != 0 && pct < 50 {
			t.Errorf("%d of 1000 detents are lost at %d %% of the sampling rate", n, pct)
		}
		if n != 0 && first == 0 {
			first = float64(pct) / 100
		}
	}
	if first == 0 {
		t.Error("nothing is lost at any rate; the test tests nothing")
	}
	t.Logf("detents begin to be lost at %.0f %% of the sampling rate", first*100)
}

// TestEncoderKinds: what detents become.
func TestEncoderKinds(t *testing.T) {
	w := start(t)
	turn := func(n int) {
		var lines []string
		at, by := 0, 1
		if n < 0 {
			by, n = -1, -n
		}
		for range 4 * n {
			at += by
			lines = append(lines, contacts(order[(at%4+4)%4])...)
		}
		w.say(t, lines...)
	}
	e := Encoder{A: 0, B: 1, Rest: 1, Steps: 4, Width: 8, Min: 0, Max: 9, Step: 2, Start: 3}
	for _, c := range []struct {
		name  string
		kind  EncoderKind
		turns []int
		want  []int
	}{
		{"stops", Stops, []int{1, 2, 1, -1, -9, 1}, []int{5, 9, 9, 7, 0, 2}},
		{"wraps", Wraps, []int{1, 3, -1, -4, 6}, []int{5, 1, 9, 1, 3}},
	} {
		e.Kind = c.kind
		table := bare(1)
		table.Encoders = []Encoder{e}
		w.load(t, table, quiet()...)
		if got := w.say(t, "now 0"); got[0] != "now 03" {
			t.Errorf("%s starts at %s", c.name, got[0])
		}
		for i, n := range c.turns {
			turn(n)
			if got := w.say(t, "now 0"); got[0] != fmt.Sprintf("now %02X", c.want[i]) {
				t.Errorf("%s, turn %d: %s, want %d", c.name, i, got[0], c.want[i])
			}
		}
	}

	// Relative: all steps arrive, no report carries more than its range, and then there is silence.
	e.Kind, e.Min, e.Max, e.Step = Relative, -7, 7, 3
	table := bare(1)
	table.Encoders = []Encoder{e}
	for _, n := range []int{5, -5, 1, -40} {
		w.load(t, table, quiet()...)
		turn(n)
		sum := 0
		all := reports(t, w.say(t, "tick 100"))
		for _, s := range all {
			v := int(int8(s.data[0]))
			if v < -7 || v > 7 || v == 0 {
				t.Errorf("%d detents: a report of %d", n, v)
			}
			sum += v
		}
		if sum != 3*n {
			t.Errorf("%d detents arrive as %d steps, want %d", n, sum, 3*n)
		}
		if got := w.say(t, "tick 10", "now 0"); len(got) != 1 || got[0] != "now 00" {
			t.Errorf("after all is sent: %v", got)
		}
	}

	// Pulses: as many as detents, of their length, gaps kept; turning back takes away what still waits.
	e.Kind, e.Up, e.Down = Pulses, 0, 1
	table = bare(1)
	table.Encoders = []Encoder{e}
	table.Pulses = []Pulse{{Bit: 0, Length: 4, Gap: 3}, {Bit: 1, Length: 4, Gap: 3}}
	for _, c := range []struct {
		turns    []int
		up, down int
	}{{[]int{6}, 6, 0}, {[]int{-6}, 0, 6}, {[]int{6, -4}, 2, 0}, {[]int{1, -1}, 0, 0}, {[]int{3, -5}, 0, 2}} {
		w.load(t, table, quiet()...)
		for _, n := range c.turns {
			turn(n)
		}
		all := reports(t, w.say(t, "tick 300"))
		for bit, want := range []int{c.up, c.down} {
			up, down := presses(all, bit)
			if len(up) != want || len(down) != want {
				t.Errorf("turns %v: %d presses and %d releases of pulse %d, want %d", c.turns, len(up), len(down), bit, want)
				continue
			}
			for i := range up {
				if n := down[i] - up[i]; n != 4 {
					t.Errorf("turns %v: press %d lasts %d ticks", c.turns, i, n)
				}
				if i > 0 && up[i]-down[i-1] != 3 {
					t.Errorf("turns %v: gap of %d ticks", c.turns, up[i]-down[i-1])
				}
			}
		}
	}

	// The other way round.
	table = counter(1, 4)
	table.Encoders[0].Reverse = true
	w.load(t, table, quiet()...)
	turn(3)
	if got := w.count(t); got != -3 {
		t.Errorf("reversed: %d", got)
	}
}
