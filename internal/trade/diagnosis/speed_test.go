package diagnosis_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/thorough"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/words"
)

// spent is the time used so far; on Linux that of the processor alone.
var spent = func() time.Duration { return time.Duration(time.Now().UnixNano()) }

// One symptom on the largest example is asked for in 100 ms, all pairs in 2 s. Twice as much is allowed for here: the machine that tests
// is busy, and its caches are not ours alone. BenchmarkSymptom and BenchmarkPairs measure on a quiet one.
func TestSpeed(t *testing.T) {
	thorough.Only(t)
	in := inputs(t, "signal-desk", examples.File("signal-desk"))
	least := func(n int, do func()) time.Duration {
		best := time.Hour
		for range n {
			from := spent()
			do()
			best = min(best, spent()-from)
		}
		return best
	}
	var models []*diagnosis.Model
	for range 6 {
		models = append(models, diagnosis.New(in))
	}
	next := func() *diagnosis.Model { m := models[0]; models = models[1:]; return m }
	one := least(4, func() {
		s := next().Begin()
		s.Add(silent(in, "w11"))
		if v := s.Verdict(); len(v.Groups) == 0 {
			t.Fatal("nothing found")
		}
	})
	two := least(2, func() {
		s := next().Begin()
		for _, x := range []diagnosis.Seen{silent(in, "w11"), silent(in, "w34-e"), fine(in, "w12"), fine(in, "w35-e")} {
			s.Add(x)
		}
		if v := s.Verdict(); !v.Pairs {
			t.Fatal("no pairs")
		}
	})
	models = append(models, diagnosis.New(in))
	s := next().Begin()
	s.Add(silent(in, "w11"))
	s.Verdict()
	ask := least(1, func() { s.Next() })
	t.Logf("one symptom %v, pairs %v, what to ask next %v", one, two, ask)
	if one > 200*time.Millisecond || two > 4*time.Second {
		t.Errorf("one symptom %v, pairs %v", one, two)
	}
}

// The sentences of a verdict.
func TestSay(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	say := func() []string {
		var out []string
		for _, x := range s.Say(s.Verdict(), words.English) {
			out = append(out, x.Key)
		}
		return out
	}
	if got := say(); !slices.Equal(got, []string{"verdict.right"}) {
		t.Error(got)
	}
	d := newDesk(in)
	s.Add(diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Light, Device: "ready"}, Lamp: "dark"})
	for _, n := range []string{"go", "birds", "rain"} {
		s.Add(d.press(t, n, n))
	}
	got := say()
	if !slices.Contains(got, "verdict.apart") { // turned, dead, lead off: all dark
		t.Error(got)
	}
	// Two buttons dead that share nothing but what all share.
	s = m.Begin()
	s.Add(d.press(t, "go"))
	s.Add(d.press(t, "rain"))
	for _, x := range right(t, in) {
		if x.Act.Device != "go" && x.Act.Device != "rain" && x.Act.Do != diagnosis.Rest {
			s.Add(x)
		}
	}
	if v := s.Verdict(); len(v.Groups) == 0 || v.Right {
		t.Errorf("%+v", v)
	}
}

// Anything may come over the cable.
func FuzzMoments(f *testing.F) {
	_, in := build(f, small)
	m := diagnosis.New(in)
	lines, acts := m.Sheet(), m.Acts()
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9})
	f.Add([]byte{0, 255, 255, 255, 0, 0, 128})
	f.Fuzz(func(t *testing.T, b []byte) {
		at := func(i int) byte {
			if i < len(b) {
				return b[i]
			}
			return 0
		}
		x := diagnosis.Seen{Act: acts[int(at(0))%len(acts)], Lamp: []string{"", "lit", "dim", "dark", "odd"}[at(1)%5], Table: uint32(at(2)), Meter: float64(at(3)) * 1000}
		r := m.Recognise(lines)
		for i := 4; i+3 < len(b) && i < 200; i += 4 {
			mo := diagnosis.Moment{At: float64(int8(b[i])) * 7, Raw: b[i+1 : min(len(b), i+1+int(b[i+2]%6))], Axes: []uint16{uint16(b[i+3]) << 8}}
			if b[i] == 77 {
				mo.At = math.NaN()
			}
			x.Moments = append(x.Moments, mo)
			r.Feed(mo)
		}
		s := m.Begin()
		s.Add(x)
		for _, g := range s.Verdict().Groups {
			if math.IsNaN(g.P) {
				t.Fatal("a probability that is no number")
			}
		}
		s.Next()
		for _, l := range lines {
			m.Judge(l, x)
		}
	})
}
