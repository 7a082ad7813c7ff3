package diagnosis_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// The meter: a lead that is on rings, one that is off does not; a pot's track reads its ohms.
func TestMeter(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	pin, lug := pinOf(t, in, "go"), wiring.Terminal{Of: "go", Lug: "no"}
	s := m.Begin()
	d := newDesk(in)
	s.Add(d.press(t, "go"))
	s.Add(diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Measure, Probe: [2]wiring.Terminal{pin, lug}}, Meter: 0.3})
	for _, c := range s.Causes(1) {
		if c.Faults[0].Kind == diagnosis.OpenLead {
			t.Errorf("the lead rings: %+v", c)
		}
	}
	s = m.Begin()
	s.Add(d.press(t, "go"))
	s.Add(diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Measure, Probe: [2]wiring.Terminal{pin, lug}}, Meter: 2e7})
	if c := s.Causes(1); len(c) == 0 || c[0].Faults[0].Kind != diagnosis.OpenLead {
		t.Errorf("the lead does not ring: %+v", c)
	}
	s = m.Begin()
	track := [2]wiring.Terminal{{Of: "house", Lug: "1"}, {Of: "house", Lug: "3"}}
	s.Add(diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Measure, Probe: track}, Meter: 10e3})
	if v := s.Verdict(); !v.Right {
		t.Errorf("a track of 10 kohm is right: %+v", v.Groups[0])
	}
}

// Another table in the module is said at once.
func TestTable(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	x := newDesk(in).note().seen(diagnosis.Act{Do: diagnosis.Rest})
	x.Table = m.Table() + 1
	s.Add(x)
	has(t, s.Verdict(), diagnosis.WrongTable, "")
	x.Table = m.Table()
	s = m.Begin()
	s.Add(x)
	if v := s.Verdict(); !v.Right {
		t.Errorf("%+v", v)
	}
}

// Whatever is free pressed ticks its own line, and only that.
func TestRecognise(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	lines := m.Sheet()
	var got []string
	r := m.Recognise(lines)
	at := 0.0
	d := newDesk(in)
	d.ax[0] = 32768
	for _, x := range append(right(t, in), d.slide("house", 0, 0)) {
		for _, mo := range x.Moments {
			mo.At += at
			got = append(got, r.Feed(mo)...)
		}
		at += 2000
		got = append(got, r.Tick(at)...)
	}
	slices.Sort(got)
	got = slices.Compact(got)
	for _, l := range lines {
		if l.ID == "table" || l.ID == "rest" || strings.HasPrefix(l.ID, "ready") {
			continue
		}
		if !slices.Contains(got, l.ID) {
			t.Errorf("%s was not recognised", l.ID)
		}
	}
	// A press that brings a second bit ticks nothing.
	d = newDesk(in)
	x := d.press(t, "go", "go", "birds")
	r = m.Recognise(lines)
	for _, mo := range x.Moments {
		if ids := r.Feed(mo); len(ids) > 0 {
			t.Errorf("%v", ids)
		}
	}
	if ids := r.Tick(1000); slices.Contains(ids, "go/press") || slices.Contains(ids, "birds/press") {
		t.Errorf("%v", ids)
	}
}

// Symptoms told from a list lead to their causes, with screws and bundles.
func TestRepair(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	pick := func(id string) diagnosis.Symptom {
		for _, s := range m.Symptoms() {
			if s.ID == id {
				return s
			}
		}
		t.Fatalf("no symptom %s", id)
		return diagnosis.Symptom{}
	}
	with := func(a, b string) diagnosis.Symptom {
		s, ok := m.SymptomWith(a, b, false)
		if !ok {
			t.Fatal("none")
		}
		return s
	}
	for _, x := range []struct {
		s    diagnosis.Symptom
		want []diagnosis.Kind
	}{
		{pick("go/nothing"), []diagnosis.Kind{diagnosis.OpenLead}},
		{pick("scene/turn/way"), []diagnosis.Kind{diagnosis.PhasesSwap}},
		{pick("house/jumps"), []diagnosis.Kind{diagnosis.Noisy, diagnosis.WiperOpen, diagnosis.OpenLead}},
		{pick("house/turned"), []diagnosis.Kind{diagnosis.EndsSwapped}},
		{pick("ready/dark"), []diagnosis.Kind{diagnosis.LampTurned, diagnosis.LampDead, diagnosis.OpenLead}},
		{with(beside(t, in)), []diagnosis.Kind{diagnosis.Bridged}},
	} {
		r := m.Repair([]diagnosis.Symptom{x.s}, nil, 12)
		if len(r.Mends) == 0 || !slices.ContainsFunc(r.Mends, func(m diagnosis.Mend) bool { return slices.Contains(x.want, m.Cause.Faults[0].Kind) }) {
			t.Errorf("%s: %+v", x.s.ID, r.Mends)
			continue
		}
		first := r.Mends[0]
		for _, l := range []words.Lang{"en", "de"} {
			all := l.Say(x.s.Say) + l.Say(first.Open)
			for _, e := range first.Explain {
				all += l.Say(e.Say) + l.Say(e.Iron)
			}
			for _, w := range first.InWay {
				all += l.Say(w.Say)
			}
			if strings.ContainsAny(all, "<>{}") {
				t.Errorf("%s: %s", x.s.ID, all)
			}
		}
		if len(first.Screws) == 0 || len(first.Explain[0].Spots) == 0 {
			t.Errorf("%s: %+v", x.s.ID, first)
		}
	}
}

// What wears comes before what is built wrong, in a panel that worked once; in a new one it is the other way round.
func TestWorn(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	x := diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Light, Device: "ready"}, Lamp: "dark"}
	place := func(s *diagnosis.Session, k diagnosis.Kind) int {
		s.Add(x)
		return slices.IndexFunc(s.Causes(30), func(c diagnosis.Cause) bool { return c.Faults[0].Kind == k })
	}
	if a, b := place(m.Begin(), diagnosis.LampTurned), place(m.Begin(), diagnosis.LampDead); a < 0 || b < 0 || a > b {
		t.Errorf("new: turned %d, dead %d", a, b)
	}
	if a, b := place(m.BeginWorn(), diagnosis.LampTurned), place(m.BeginWorn(), diagnosis.LampDead); a < 0 || b < 0 || a < b {
		t.Errorf("worn: turned %d, dead %d", a, b)
	}
}

// beside finds two switches whose leads are on pins next to each other.
func beside(t *testing.T, in diagnosis.Inputs) (a, b string) {
	t.Helper()
	names := []string{"go", "birds", "rain", "scene/push"}
	for _, a := range names {
		for _, b := range names {
			p, _ := strconv.Atoi(pinOf(t, in, a).Lug)
			q, _ := strconv.Atoi(pinOf(t, in, b).Lug)
			if q == p+1 {
				return a, b
			}
		}
	}
	t.Skip("no two switches side by side")
	return "", ""
}

// Every fault of the list has a sentence, a place and something to do, in every language.
func TestExplainAll(t *testing.T) {
	for _, src := range []string{small, grid} {
		_, in := build(t, src)
		m := diagnosis.New(in)
		for _, c := range m.Faults() {
			e := m.Explain(c.Fault)
			for _, l := range words.Langs() {
				if say := l.Say(e.Say) + l.Say(e.Iron); strings.ContainsAny(say, "<>{}") || strings.Contains(say, "  ") || strings.Contains(say, "()") {
					t.Fatalf("%+v: %s", c.Fault, say)
				}
			}
			if len(e.Spots) == 0 && c.Fault.Kind != diagnosis.WrongTable {
				t.Fatalf("%+v has no place", c.Fault)
			}
			if !(c.Weight > 0) {
				t.Fatalf("%+v is never met", c.Fault)
			}
		}
	}
}

// What makes no sense is passed over.
func TestGarbage(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	lines := m.Sheet()
	rnd := rand.New(rand.NewPCG(1, 2))
	acts := append(m.Acts(), diagnosis.Act{}, diagnosis.Act{Do: "dance", Device: "nobody"}, diagnosis.Act{Do: diagnosis.Turn, Device: "go", Clicks: 1 << 30},
		diagnosis.Act{Do: diagnosis.Slide, Device: "house", Part: math.NaN()}, diagnosis.Act{Do: diagnosis.Put, Device: "fog", Position: "sideways"}, diagnosis.Act{Do: diagnosis.Measure},
		diagnosis.Act{Do: diagnosis.Hold, Device: "go", With: []diagnosis.Act{{Do: "x", Device: "y"}}}, diagnosis.Act{Do: diagnosis.Light, Device: "go"}, diagnosis.Act{Do: diagnosis.Slide, Device: "go", Part: 7})
	r := m.Recognise(lines)
	for range 40 {
		s := m.Begin()
		for range 4 {
			x := diagnosis.Seen{Act: acts[rnd.IntN(len(acts))], Lamp: []string{"", "lit", "pink"}[rnd.IntN(3)], Meter: []float64{0, math.NaN(), math.Inf(1), -5}[rnd.IntN(4)], Table: uint32(rnd.IntN(3))}
			for range rnd.IntN(12) {
				mo := diagnosis.Moment{At: []float64{rnd.Float64() * 300, math.NaN(), math.Inf(-1), -7}[rnd.IntN(4)], Raw: make([]byte, rnd.IntN(5)), Axes: make([]uint16, rnd.IntN(3))}
				for i := range mo.Raw {
					mo.Raw[i] = byte(rnd.IntN(256))
				}
				for i := range mo.Axes {
					mo.Axes[i] = uint16(rnd.IntN(65536))
				}
				x.Moments = append(x.Moments, mo)
				r.Feed(mo)
			}
			s.Add(x)
			for _, l := range lines {
				m.Judge(l, x)
			}
		}
		v := s.Verdict()
		for _, g := range v.Groups {
			if math.IsNaN(g.P) || g.P < 0 || g.P > 1+1e-9 {
				t.Fatalf("%v", g.P)
			}
		}
		s.Next()
	}
	empty := diagnosis.New(diagnosis.Inputs{})
	e := empty.Begin()
	e.Add(diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Press, Device: "go"}, Moments: []diagnosis.Moment{{Raw: []byte{1}}}})
	e.Verdict()
	e.Next()
	empty.Sheet()
	empty.Symptoms()
}
