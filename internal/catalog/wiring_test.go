package catalog

import (
	"math"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/length"
	"knobwright/internal/trust"
	"knobwright/internal/witness"
)

// No wire and no small part contradicts itself, each has a price, and there are the kinds that a panel wants.
func TestWiresAndSmalls(t *testing.T) {
	c := Builtin()
	readAll(t, &c.wires)
	readAll(t, &c.smalls)
	titles := map[string]string{}
	known := func(id, title string, m map[string]trust.Source, p Price) {
		t.Helper()
		if was, ok := titles[title]; ok || title == "" {
			t.Errorf("%s and %s are both called %q", was, id, title)
		}
		titles[title] = id
		for f, s := range m {
			if s.Text == "" || s.Provenance == "" || s.Confidence == "" || s.Provenance == trust.Measured || s.Provenance == trust.Yours {
				t.Errorf("%s: trust of %s: %+v", id, f, s)
			}
		}
		if p.From <= 0 || p.To <= p.From || p.Currency != "EUR" {
			t.Errorf("%s: price %+v", id, p)
		}
	}
	gauges := map[string]int{}
	for _, id := range c.WireIDs() {
		w, ok := c.Wire(id)
		if !ok || w.ID != id {
			t.Fatal(id)
		}
		known(id, w.Title, w.Trust, w.Price)
		for _, s := range w.Validate() {
			t.Errorf("%s: %s", id, s)
		}
		if w.Strands == 0 || w.Stays != (w.Strands == 1) {
			t.Errorf("%s: %d strands, keeps its shape: %v", id, w.Strands, w.Stays)
		}
		if !strings.Contains(w.Title, "AWG") && id != "jumper-leads" {
			t.Errorf("%s: %s", id, w.Title)
		}
		gauges[strings.Split(id, "-")[0]]++
	}
	if gauges["hookup"] != 10 || gauges["silicone"] != 2 || gauges["ribbon"] != 5 || gauges["bus"] != 2 {
		t.Error(gauges)
	}
	kinds := map[string]int{}
	for _, id := range c.SmallIDs() {
		s, ok := c.Small(id)
		if !ok || s.ID != id {
			t.Fatal(id)
		}
		known(id, s.Title, s.Trust, s.Price)
		for _, say := range s.Validate() {
			t.Errorf("%s: %s", id, say)
		}
		kinds[s.Kind]++
		if s.Price.Pack == 0 {
			t.Errorf("%s: how many are in a pack", id)
		}
	}
	for _, k := range []string{"resistor", "diode", "capacitor", "housing", "terminal", "tie", "sleeve", "solder", "strip"} {
		if kinds[k] == 0 {
			t.Errorf("there is no %s", k)
		}
	}
	for n := 1; n <= 20; n++ {
		if s, ok := c.Small("housing-" + length.Plain(float64(n))); !ok || s.Ways != n || s.Pitch != 2.54 {
			t.Errorf("housing of %d ways: %+v", n, s)
		}
	}
	if s, _ := c.Small("resistor-eighth-e24"); s.Series != "E24" || s.Power != 0.125 || s.Size != 3.3 {
		t.Errorf("%+v", s)
	}
	if s, _ := c.Small("capacitor-100n"); math.Abs(s.Farad-1e-7) > 1e-15 {
		t.Errorf("%+v", s)
	}
}

// Sections by gauge against the table of ASTM B258.
func TestCopperAgainstTable(t *testing.T) {
	n := 0
	for _, r := range witness.Table(t, "testdata/awg.csv") {
		if r["confidence"] != "high" {
			continue
		}
		n++
		w := Wire{Gauge: int(witness.Number(t, r["awg"]))}
		if got, want := w.Copper(), witness.Number(t, r["area_mm2"]); math.Abs(got-want) > 1e-4*want+5e-6 {
			t.Errorf("AWG %d: %v mm2, the table has %v", w.Gauge, got, want)
		}
	}
	if n < 15 {
		t.Errorf("only %d gauges were compared", n)
	}
	if got := (Wire{Gauge: 22, Area: 0.34}).Copper(); got != 0.34 {
		t.Errorf("a given area does not count: %v", got)
	}
}

// The curves of the diodes against the drops that their data sheets promise or draw (from memory: 1N4148 at most 1 V at
// 10 mA and about 0.7 V; 1N5817 at most 0.45 V at 1 A; BAT85 at most 0.24, 0.32, 0.4, 0.5 and 0.8 V at 0.1, 1, 10, 30, 100 mA).
func TestDiodeCurves(t *testing.T) {
	for _, x := range []struct {
		id         string
		mA, lo, hi float64
	}{
		{"diode-1n4148", 10, 0.65, 0.8}, {"diode-1n4148", 0.1, 0.42, 0.56},
		{"diode-1n5817", 1000, 0.37, 0.45},
		{"diode-bat85", 0.1, 0.225, 0.24}, {"diode-bat85", 1, 0.305, 0.325}, {"diode-bat85", 10, 0.385, 0.425}, {"diode-bat85", 30, 0.485, 0.51}, {"diode-bat85", 100, 0.5, 0.8},
	} {
		s, ok := Builtin().Small(x.id)
		if !ok {
			t.Fatal(x.id)
		}
		const vt = 0.025693 // k T / q at 25 degrees Celsius
		a := x.mA / 1000
		if v := s.Ideal*vt*math.Log1p(a/s.Sat) + a*s.Rs; v < x.lo || v > x.hi {
			t.Errorf("%s drops %.3f V at %v mA, between %v and %v is right", x.id, v, x.mA, x.lo, x.hi)
		}
		if s.Most < x.mA {
			t.Errorf("%s bears %v mA", x.id, s.Most)
		}
	}
}

func TestWiringSlips(t *testing.T) {
	for _, x := range []struct {
		id   string
		slip func(w *Wire)
		want string
	}{
		{"hookup-24", func(w *Wire) { w.Gauge = 0 }, "has no thickness"},
		{"hookup-24", func(w *Wire) { w.Gauge = 60 }, "no wire for a panel"},
		{"hookup-24", func(w *Wire) { w.Area = 1 }, "AWG 24 has 0.2 mm2, but its area is given as 1 mm2."},
		{"hookup-24", func(w *Wire) { w.Outside = 0.4 }, "thinner than its copper"},
		{"hookup-24", func(w *Wire) { w.Outside = 0 }, "no outside diameter"},
		{"hookup-24", func(w *Wire) { w.Pitch = 1.27 }, "but only one core"},
		{"hookup-24", func(w *Wire) { w.Colours = []string{"BL"} }, "is none of BK"},
		{"hookup-24", func(w *Wire) { w.Colours = []string{"BU", "BU"} }, "stands twice"},
		{"hookup-24", func(w *Wire) { w.Price.To = 0 }, "The price goes from"},
		{"ribbon-10", func(w *Wire) { w.Pitch = 0 }, "wants the pitch"},
		{"ribbon-10", func(w *Wire) { w.Pitch = 0.5 }, "but only 0.5 mm apart"},
		{"ribbon-10", func(w *Wire) { w.Cores = -1 }, "at least one"},
	} {
		w, ok := Builtin().Wire(x.id)
		if !ok {
			t.Fatal(x.id)
		}
		w.Colours = slices.Clone(w.Colours)
		x.slip(&w)
		wantSentence(t, x.id, w.Validate(), x.want)
	}
	for _, x := range []struct {
		id   string
		slip func(s *Small)
		want string
	}{
		{"resistor-metal-e24", func(s *Small) { s.Series = "E25" }, "is none of E6"},
		{"resistor-metal-e24", func(s *Small) { s.Range = [2]float64{100, 10} }, "write the least first"},
		{"resistor-metal-e24", func(s *Small) { s.Tol = 100 }, "is none"},
		{"resistor-metal-e24", func(s *Small) { s.Kind = "diode" }, "Only a resistor"},
		{"resistor-metal-e24", func(s *Small) { s.Size = -1 }, "less than nothing"},
		{"diode-1n4148", func(s *Small) { s.Kind = "tie" }, "Only a diode"},
		{"diode-1n4148", func(s *Small) { s.Sat = 0 }, "both sat and ideal"},
		{"diode-1n4148", func(s *Small) { s.Ideal = 0.5 }, "no diode's"},
		{"capacitor-100n", func(s *Small) { s.Farad = 100 }, "100 nF is written"},
		{"capacitor-100n", func(s *Small) { s.Kind = "tie" }, "Only a capacitor"},
		{"housing-4", func(s *Small) { s.Gauge = [2]int{28, 22} }, "the thick one first"},
		{"housing-4", func(s *Small) { s.Pitch = 0 }, "wants the pitch"},
	} {
		s, ok := Builtin().Small(x.id)
		if !ok {
			t.Fatal(x.id)
		}
		x.slip(&s)
		wantSentence(t, x.id, s.Validate(), x.want)
	}
}

// A person's own wire and small part.
func TestOwnWiring(t *testing.T) {
	c, problems := Builtin().With("own.yaml", []byte(`
wires:
  from-the-drawer: {like: hookup-24, title: The green reel, colours: [GN]}
  bell: {title: Bell wire, area: 0.5 , strands: 1, outside: 1.9, stays: true}
smalls:
  odd: {title: Resistors from a radio, kind: resistor, tol: 10, power: 0.5, range: [100, 1000000]}
  bad: {like: resistor-carbon-e12, range: [5, 1]}
`))
	if w, ok := c.Wire("from-the-drawer"); !ok || w.Gauge != 24 || !slices.Equal(w.Colours, []string{"GN"}) || w.Source("colours").Text != "your file" {
		t.Errorf("%+v", w)
	}
	if w, ok := c.Wire("bell"); !ok || w.Copper() != 0.5 {
		t.Errorf("%+v", w)
	}
	if s, ok := c.Small("odd"); !ok || s.Power != 0.5 {
		t.Errorf("%+v", s)
	}
	if len(problems) != 1 || problems[0].Path != "smalls.bad" || problems[0].Pos.Line != 7 || !strings.Contains(problems[0].Say, "bad: its range goes from 5 to 1 ohm") {
		t.Errorf("%+v", problems)
	}
	if ids := c.WireIDs(); !slices.Contains(ids, "bell") || !slices.Contains(ids, "hookup-22") || slices.Contains(Builtin().WireIDs(), "bell") {
		t.Error(ids)
	}
	if ColourName("BU") != "blue" || ColourName("??") != "" {
		t.Error("colours")
	}
}
