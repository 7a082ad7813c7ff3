package electric

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestOhms(t *testing.T) {
	for text, want := range map[string]float64{
		"330": 330, "330 ohm": 330, "330 Ohms": 330, "330Ω": 330, "330 \u2126": 330, "4k7": 4700, "4K7": 4700, "4.7k": 4700, "4,7 kΩ": 4700, "4.7 kohm": 4700,
		"10k": 10e3, "1M": 1e6, "1M5": 1.5e6, "2.2 MΩ": 2.2e6, "0R47": 0.47, "R47": 0.47, "470R": 470, "4E7": 4.7, "100 mohm": 0.1, "1G": 1e9, "0": 0, " 8k2 ": 8200, ".5": 0.5,
	} {
		if v, err := ParseOhms(text); err != nil || v != want {
			t.Errorf("%q is %g (%v), want %g", text, v, err, want)
		}
	}
	for _, text := range []string{"", "k", "ohm", "1m", "4k7k", "4.5k7", "-5", "1e3", "10 volts", "4 k 7 x", "Ω", "..", "1.2.3", "9999999G", "NaN", "4R7 ohm", "4k 7"} {
		if v, err := ParseOhms(text); err == nil {
			t.Errorf("%q is read as %g", text, v)
		}
	}
	for v, want := range map[float64][2]string{
		330: {"330 Ω", "330R"}, 4700: {"4.7 kΩ", "4k7"}, 1e6: {"1 MΩ", "1M"}, 0.47: {"0.47 Ω", "0R47"}, 10e3: {"10 kΩ", "10k"}, 1.5e6: {"1.5 MΩ", "1M5"},
		999.9: {"1 kΩ", "1k"}, 12.4e3: {"12.4 kΩ", "12k4"}, 0: {"0 Ω", "0R"}, 2.2e9: {"2.2 GΩ", "2G2"},
	} {
		if FormatOhms(v) != want[0] || ShortOhms(v) != want[1] {
			t.Errorf("%g is written %q and %q", v, FormatOhms(v), ShortOhms(v))
		}
	}
	for _, s := range []Series{E24, E96} { // what is written is read again
		for _, v := range s.Values(0.1, 9e9) {
			for _, text := range []string{FormatOhms(v), ShortOhms(v)} {
				if have, err := ParseOhms(text); err != nil || math.Abs(have-v) > 1e-12*v {
					t.Errorf("%g is written %q and read %g (%v)", v, text, have, err)
				}
			}
		}
	}
}

// Up, down and nearest against a search through all values.
func TestSteps(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 3000 {
		s := []Series{E6, E12, E24, E48, E96, E192}[rng.IntN(6)]
		v := math.Pow(10, 8*rng.Float64()-1)
		up, down, nearest := math.Inf(1), 0.0, 0.0
		for _, x := range s.Values(v/20, v*20) {
			if x >= v {
				up = min(up, x)
			}
			if x <= v {
				down = x
			}
			if nearest == 0 || math.Abs(math.Log(x/v)) < math.Abs(math.Log(nearest/v)) {
				nearest = x
			}
		}
		if s.Up(v) != up || s.Down(v) != down || s.Nearest(v) != nearest {
			t.Errorf("E%d %g: %g %g %g, want %g %g %g", s, v, s.Up(v), s.Down(v), s.Nearest(v), up, down, nearest)
		}
	}
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1), 1e300} {
		if !math.IsNaN(E24.Up(bad)) || !math.IsNaN(E24.Down(bad)) || !math.IsNaN(E24.Nearest(bad)) {
			t.Errorf("%g has a preferred value", bad)
		}
	}
	if Series(7).Values(1, 10) != nil || !math.IsNaN(Series(7).Tolerance()) {
		t.Error("E7")
	}
	if E24.Up(1500.0000000001) != 1500 || E24.Up(1501) != 1600 {
		t.Error("rounding dirt")
	}
}

// Every value of E24 with four bands and of E96 with five comes back from its bands.
func TestBandsBack(t *testing.T) {
	for _, c := range []struct {
		s     Series
		tol   float64
		count int
		low   float64
	}{{E24, 5, 4, 0.1}, {E24, 20, 4, 1}, {E12, 10, 4, 0.01}, {E96, 1, 5, 1}, {E24, 1, 5, 1}, {E192, 0.5, 5, 1}} {
		for _, v := range c.s.Values(c.low, 91e6) {
			b, err := Bands(v, c.tol, c.count)
			if err != nil {
				t.Fatalf("%g: %v", v, err)
			}
			ohm, tol, err := ReadBands(b)
			if err != nil || math.Abs(ohm-v) > 1e-9*v || tol != c.tol {
				t.Errorf("%g %g %% is %v, read as %g %g %%: %v", v, c.tol, b, ohm, tol, err)
			}
		}
	}
	for _, c := range []struct {
		ohm, tol float64
		count    int
	}{{102, 5, 4}, {0, 5, 4}, {math.NaN(), 5, 4}, {330, 3, 4}, {330, 5, 6}, {330, 20, 5}, {1e12, 5, 4}, {330, math.NaN(), 4}} {
		if b, err := Bands(c.ohm, c.tol, c.count); err == nil {
			t.Errorf("%v has the bands %v", c, b)
		}
	}
	for _, c := range []string{"", "brown", "brown black", "brown black mauve", "brown black red white", "gold black red"} {
		var list []Colour
		for _, w := range strings.Fields(c) {
			list = append(list, Colour(w))
		}
		if _, _, err := ReadBands(list); err == nil {
			t.Errorf("%q was read", c)
		}
	}
	if Colour("turquoise").Letters() != "TQ" || Colour("mauve").Letters() != "" || ColourOf("GNYE") != "green-yellow" {
		t.Error("IEC 60757")
	}
}

func TestWire(t *testing.T) {
	// AWG 36 is 0.005 in and AWG 4/0 0.46 in by definition (ASTM B258).
	near(t, "AWG 36", AWG(36).Diameter(), 0.127, 1e-12)
	near(t, "AWG 4/0", AWG(-3).Diameter(), 0.46*25.4, 1e-12)
	// 0.5 mm2 at 20 °C: 1000/58/0.5 = 34.48 ohm/km; 50 K more: 19.65 % more.
	near(t, "0.5 mm2", OhmPerKm(0.5, 20), 34.4828, 1e-5)
	near(t, "0.5 mm2, hot", OhmPerKm(0.5, 70)/OhmPerKm(0.5, 20), 1.1965, 1e-9)
	for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, ok := NearestAWG(bad); ok {
			t.Errorf("%g mm2 has a gauge", bad)
		}
	}
	if g, _ := NearestAWG(0.22); g != 24 {
		t.Errorf("0.22 mm2 is AWG %d", g)
	}
	if !math.IsNaN(AWG(41).Area()) || !math.IsNaN(AWG(-4).Diameter()) || !math.IsNaN(OhmPerKm(0, 20)) || !math.IsNaN(OhmPerKm(1, math.NaN())) {
		t.Error("wire that does not exist has properties")
	}
	if a, ok := ChassisAmp(23); !ok || a != 3.5 {
		t.Error("AWG 23 takes the value of 24", a)
	}
	if _, ok := ChassisAmp(31); ok {
		t.Error("AWG 31 has a rating")
	}
}

// Hand-worked: V = sum of (current behind) times (resistance).
func TestChain(t *testing.T) {
	a, err := Chain([]float64{1, 2, 3}, []float64{0.1, 0.2, 0.3})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []float64{0.6, 0.6 + 1.0, 0.6 + 1.0 + 0.9} {
		near(t, "drop", a.Volt[i], want, 1e-12)
	}
	if a.Worst != 2 {
		t.Error(a)
	}
	// A ring of equal segments with one load in the middle: half from each side, a quarter of the drop of the far end alone.
	r, err := Ring([]float64{1, 1, 1, 1}, []float64{0, 1, 0})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ring", r.Volt[1], 1, 1e-12)
	near(t, "from the far end", r.Amp[3], -0.5, 1e-12)
	rng := rand.New(rand.NewPCG(3, 3))
	for range 200 { // currents balance, both ways round meet, and closing a chain never makes the worst drop larger
		n := 1 + rng.IntN(9)
		ohm, amp := make([]float64, n+1), make([]float64, n)
		total := 0.0
		for i := range amp {
			ohm[i], amp[i] = rng.Float64(), rng.Float64()
			total += amp[i]
		}
		ohm[n] = rng.Float64()
		open, err := Chain(ohm[:n], amp)
		if err != nil {
			t.Fatal(err)
		}
		ring, err := Ring(ohm, amp)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "fed from both ends", ring.Amp[0]-ring.Amp[n], total, 1e-9)
		near(t, "the far end", ring.Volt[n-1]+ring.Amp[n]*ohm[n], 0, 1e-9)
		if ring.Volt[ring.Worst] > open.Volt[open.Worst]+1e-12 {
			t.Error("a ring drops more than its chain")
		}
	}
	for _, c := range [][2][]float64{{{1}, {1, 2}}, {{-1}, {1}}, {{math.NaN()}, {1}}, {{1}, {math.NaN()}}} {
		if _, err := Chain(c[0], c[1]); err == nil {
			t.Errorf("%v was taken", c)
		}
	}
	if _, err := Ring([]float64{1}, []float64{1}); err == nil {
		t.Error("a ring without its last segment was taken")
	}
	if a, err := Chain(nil, nil); err != nil || a.Worst != -1 {
		t.Error(a, err)
	}
}

func TestEncoder(t *testing.T) {
	for _, c := range []struct {
		e    Encoder
		want EncoderVerdict
	}{
		{Encoder{Clicks: 72, Edges: 4, Seconds: 1e-3}, EncoderTight},                    // 288 edges/s, shortest phase 1.74 ms
		{Encoder{Clicks: 72, Edges: 4, Seconds: 0.25e-3}, EncoderSure},                  //
		{Encoder{Clicks: 72, Edges: 4, Seconds: 5e-3}, EncoderSkips},                    //
		{Encoder{Clicks: 72, Edges: 4, Seconds: 0.25e-3, Bounce: 5e-3}, EncoderBounces}, //
		{Encoder{Clicks: 20, Edges: 2, Seconds: 1e-3, Bounce: 5e-3}, EncoderSure},
	} {
		a, err := c.e.Read()
		if err != nil || a.Verdict != c.want {
			t.Errorf("%+v: %+v %v", c.e, a, err)
		}
	}
	a, _ := Encoder{Clicks: 72, Edges: 4, Seconds: 1e-3}.Read()
	near(t, "edges", a.Edges, 288, 1e-12)
	near(t, "looks", a.Looks, 0.5/288/1e-3, 1e-12)
	for _, e := range []Encoder{{}, {Clicks: math.NaN(), Edges: 4, Seconds: 1}, {Clicks: 1, Edges: 1}, {Clicks: 1, Edges: 1, Seconds: 1, Uneven: 1}} {
		if _, err := e.Read(); err == nil {
			t.Errorf("%+v was taken", e)
		}
	}
}

func TestContact(t *testing.T) {
	silver, _ := Silver.Bounds()
	gold, _ := Gold.Bounds()
	pull := Range{3.3 / 80e3, 3.3 / 65e3, 3.3 / 50e3} // pull-ups inside a module: 50 to 80 kohm
	for _, c := range []struct {
		amp  Range
		b    ContactBounds
		want ContactVerdict
	}{
		{pull, gold, ContactFine}, {pull, silver, ContactThin}, {Range{0.4e-3, 0.6e-3, 0.8e-3}, silver, ContactUnsure}, {Exactly(0.1), gold, ContactHeavy},
	} {
		a, err := Contact(c.amp, c.b, 3.3)
		if err != nil || a.Verdict != c.want {
			t.Errorf("%+v: %+v %v", c.amp, a, err)
		}
		if a.PullUp > 0 && 3.3/a.PullUp < c.b.Least {
			t.Errorf("%g ohm give %g A", a.PullUp, 3.3/a.PullUp)
		}
		if (a.Verdict == ContactThin) != (a.PullUp == 5600) && a.Verdict == ContactThin {
			t.Errorf("3.3 V and 0.5 mA want 6.6 kohm at most, 5.6 in E12; have %g", a.PullUp)
		}
	}
	for _, bad := range []Range{{1, 0, 0}, {math.NaN(), 0, 0}, {-1, 0, 1}} {
		if _, err := Contact(bad, gold, 3.3); err == nil {
			t.Errorf("%v was taken", bad)
		}
	}
	if _, ok := ContactClass("wood").Bounds(); ok {
		t.Error("wood conducts")
	}
}
