package electric

import (
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/internal/solve/circuit"
)

// Worked by hand: red on 5 V, 10 mA: (5 - 1.7) / 0.01 = 330 ohm, which E24 has. Corners at 5 %: (5.25 - 1.6) / 313.5 and (4.75 - 2.1) / 346.5.
func TestLampByHand(t *testing.T) {
	red, _ := DropOf("red")
	a, err := LampResistor(LampQuestion{Supply: PlusMinus(5, 5), Drop: red.Volt, Want: 10e-3})
	if err != nil {
		t.Fatal(err)
	}
	if a.Ohm != 330 || a.Light != Lights {
		t.Errorf("%+v", a)
	}
	near(t, "nominal", a.Current.Nom, 10e-3, 1e-9)
	near(t, "most", a.Current.Max, 3.65/313.5, 1e-9)
	near(t, "least", a.Current.Min, 2.65/346.5, 1e-9)
	near(t, "heat", a.Watt, 3.65*3.65/313.5, 1e-9) // 42 mW: a sixteenth of a watt would be too little, an eighth is enough
	if a.Rating != 0.125 {
		t.Errorf("rating %g W", a.Rating)
	}
	// The limit of a pin of 12 mA is kept in the corners: 3.65 / 0.008 / 0.95 = 480.3 ohm, so 510.
	a, err = LampResistor(LampQuestion{Supply: PlusMinus(5, 5), Drop: red.Volt, Want: 10e-3, Most: 8e-3})
	if err != nil || a.Ohm != 510 || a.Current.Max > 8e-3 {
		t.Errorf("%+v %v", a, err)
	}
}

// A lamp of 2 V straight on a pin of 5 V with 25 ohm inside: (5 - 2) / 25 = 120 mA, far above the 40 mA that the pin bears.
func TestLampWith(t *testing.T) {
	q := LampQuestion{Supply: Exactly(5), Drop: Exactly(2), Want: 10e-3, Most: 40e-3, Inner: Exactly(25)}
	for ohm, want := range map[float64]Light{0: TooMuchLight, 47: TooMuchLight, 68: Lights, 270: Lights, 1000: DimLight} {
		a, err := LampWith(q, ohm)
		if err != nil || a.Light != want || a.Ohm != ohm {
			t.Errorf("%g ohm: %+v %v", ohm, a, err)
		}
		near(t, "current", a.Current.Nom, 3/(25+ohm), 1e-12)
	}
	chosen, err := LampResistor(q)
	if err != nil {
		t.Fatal(err)
	}
	again, err := LampWith(q, chosen.Ohm)
	if err != nil || again != chosen {
		t.Errorf("chosen %+v, judged %+v, %v", chosen, again, err)
	}
	q.Inner = Range{}
	if a, err := LampWith(q, 0); err == nil {
		t.Errorf("a short circuit is %+v", a)
	}
	if _, err := LampWith(q, math.NaN()); err == nil {
		t.Error("NaN")
	}
	if a, err := LampWith(LampQuestion{Supply: Exactly(3), Drop: Exactly(3.2)}, 100); err != nil || a.Light != NoRoom {
		t.Errorf("%+v %v", a, err)
	}
}

func TestLampWithoutRoom(t *testing.T) {
	blue, _ := DropOf("blue")
	red, _ := DropOf("red")
	for _, c := range []struct {
		supply Range
		drop   Range
		want   Light
	}{
		{PlusMinus(3.3, 3), blue.Volt, LittleRoom}, {Exactly(3.0), blue.Volt, NoRoom}, {PlusMinus(3.3, 3), red.Volt, Lights}, {PlusMinus(5, 5), blue.Volt, Lights},
	} {
		a, err := LampResistor(LampQuestion{Supply: c.supply, Drop: c.drop, Want: 5e-3})
		if err != nil || a.Light != c.want {
			t.Errorf("%v on %v: %+v %v", c.drop, c.supply, a, err)
		}
		if c.want == LittleRoom && (a.Current.Min != 0 || a.Current.Max < 3*a.Current.Nom) {
			t.Errorf("a blue lamp on 3.3 V should be anything from dark to too bright: %+v", a.Current)
		}
		if c.want == NoRoom && (a.Ohm != 0 || a.Current != Range{}) {
			t.Errorf("%+v", a)
		}
	}
}

// The corners of the formula against the corners of the network, the lamp being a source of its drop.
func TestLampAgainstCircuit(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 60 {
		q := LampQuestion{
			Supply: PlusMinus(4+4*rng.Float64(), 5), Drop: PlusMinus(1.5+2*rng.Float64(), 8), Want: 1e-3 + 15e-3*rng.Float64(),
			Inner: PlusMinus(60*rng.Float64(), 30), Tol: 5,
		}
		a, err := LampResistor(q)
		if err != nil {
			t.Fatal(err)
		}
		if a.Room.Min < 0.1 || a.Ohm == 0 {
			continue
		}
		n := circuit.New()
		n.Voltage("supply", "a", circuit.Ground, q.Supply.Nom)
		n.Resistor("inner", "a", "b", max(q.Inner.Nom, 1e-3))
		n.Resistor("R", "b", "c", a.Ohm)
		n.Voltage("lamp", "c", circuit.Ground, q.Drop.Nom)
		got, err := circuit.Corners(n, []circuit.Tolerance{
			{Name: "supply", Low: q.Supply.Min, High: q.Supply.Max}, {Name: "inner", Low: max(q.Inner.Min, 1e-3), High: max(q.Inner.Max, 1e-3)},
			circuit.PlusMinus("R", a.Ohm, q.Tol), {Name: "lamp", Low: q.Drop.Min, High: q.Drop.Max},
		}, func(s *circuit.Solution) []float64 { return []float64{s.I("R"), s.P("R")} })
		if err != nil {
			t.Fatal(err)
		}
		near(t, "least", a.Current.Min, got[0].Min, 1e-4)
		near(t, "nominal", a.Current.Nom, got[0].Nominal, 1e-4)
		near(t, "most", a.Current.Max, got[0].Max, 1e-4)
		if a.Watt < got[1].Max*(1-1e-4) || a.Watt > got[1].Max*1.03 {
			t.Errorf("heat %g, in the corners %g", a.Watt, got[1].Max)
		}
		if a.Current.Nom > q.Want*(1+1e-9) {
			t.Error("more than wanted")
		}
	}
}

// A 12 V lit button with 10 mA and a red lamp: 1 kohm inside; on 5 V it gets (5 - 2) / 1000 = 3 mA, three tenths.
func TestBuiltIn(t *testing.T) {
	b := BuiltIn{Volt: 12, Current: 10e-3, Drop: Exactly(2)}
	for _, c := range []struct {
		volt, amp float64
		want      Light
	}{{5, 3e-3, DimLight}, {12, 10e-3, Lights}, {3.3, 1.3e-3, DimLight}, {2.4, 0.4e-3, DarkLight}, {1, 0, DarkLight}, {24, 22e-3, TooMuchLight}} {
		a, err := b.At(Exactly(c.volt))
		if err != nil || a.Light != c.want {
			t.Errorf("%g V: %+v %v", c.volt, a, err)
		}
		near(t, "current", a.Current.Nom, c.amp, 1e-9)
		near(t, "share", a.Share, c.amp/10e-3, 1e-9)
	}
	for _, bad := range []BuiltIn{{}, {Volt: 2, Current: 1e-3, Drop: Exactly(3)}, {Volt: math.NaN(), Current: 1, Drop: Exactly(1)}, {Volt: 12, Current: -1, Drop: Exactly(1)}} {
		if _, err := bad.At(Exactly(5)); err == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
}

func TestBadLamps(t *testing.T) {
	for _, q := range []LampQuestion{
		{}, {Supply: Exactly(5), Drop: Exactly(2)}, {Supply: Exactly(math.NaN()), Drop: Exactly(2), Want: 0.01}, {Supply: Exactly(230), Drop: Exactly(2), Want: 0.01},
		{Supply: Range{5, 4, 3}, Drop: Exactly(2), Want: 0.01}, {Supply: Exactly(5), Drop: Exactly(2), Want: 0.01, Series: 5}, {Supply: Exactly(5), Drop: Exactly(2), Want: math.Inf(1)},
		{Supply: Exactly(5), Drop: Exactly(2), Want: 0.01, Tol: -1},
	} {
		if a, err := LampResistor(q); err == nil {
			t.Errorf("%+v gives %+v", q, a)
		}
	}
	if Rating(0.05) != 0.125 || Rating(0.0626) != 0.25 || !math.IsNaN(Rating(9)) || !math.IsNaN(Rating(math.NaN())) {
		t.Error("ratings")
	}
}

func TestI2CVerdicts(t *testing.T) {
	for _, c := range []struct {
		name string
		q    I2CQuestion
		want BusVerdict
	}{
		{"short bus, nothing there", I2CQuestion{Mode: I2CFast, Supply: 3.3, Metres: 0.5, Chips: []float64{10e-12, 10e-12}}, BusWants},
		{"a board brings 4k7", I2CQuestion{Mode: I2CStandard, Supply: 3.3, Metres: 0.5, Chips: []float64{10e-12}, PullUps: []float64{4700}}, BusWorks},
		{"a board brings 10k, fast and long", I2CQuestion{Mode: I2CFast, Supply: 3.3, Metres: 1, Chips: []float64{10e-12}, PullUps: []float64{10e3}}, BusWants},
		{"six boards bring 4k7", I2CQuestion{Mode: I2CFast, Supply: 3.3, Metres: 0.2, Chips: []float64{10e-12}, PullUps: []float64{4700, 4700, 4700, 4700, 4700, 4700}}, BusTooStrong},
		{"five metres", I2CQuestion{Mode: I2CStandard, Supply: 3.3, Metres: 5, Chips: []float64{10e-12}}, BusTooLoaded},
		{"full load, fast", I2CQuestion{Mode: I2CFast, Supply: 3.3, Metres: 3.9}, BusNarrow},
	} {
		a, err := I2C(c.q)
		if err != nil || a.Verdict != c.want {
			t.Errorf("%s: %+v %v", c.name, a, err)
		}
		if a.Add > 0 {
			for _, tol := range []float64{0.95, 1.05} {
				total := 1 / (1/(a.Add*tol) + 1/a.Present)
				if total < a.Min*(1-1e-9) || total > a.Max*(1+1e-9) {
					t.Errorf("%s: %g ohm with %g of its value make %g, wanted %g to %g", c.name, a.Add, tol, total, a.Min, a.Max)
				}
			}
		}
		// At the longest length it works with the best resistor, beyond it with none.
		if a.Longest > 0 && len(c.q.PullUps) == 0 {
			q := c.q
			q.Series = E192
			q.Metres = a.Longest * 0.98
			if b, err := I2C(q); err != nil || b.Verdict != BusWants {
				t.Errorf("%s at %g m: %+v %v", c.name, q.Metres, b, err)
			}
			q.Metres = a.Longest * 1.01
			if b, err := I2C(q); err != nil || b.Verdict == BusWants || b.Verdict == BusWorks {
				t.Errorf("%s at %g m: %+v %v", c.name, q.Metres, b, err)
			}
		}
	}
	for _, q := range []I2CQuestion{{}, {Mode: I2CFast}, {Mode: I2CFast, Supply: math.NaN()}, {Mode: I2CFast, Supply: 3.3, Metres: -1}, {Mode: I2CFast, Supply: 3.3, PullUps: []float64{0}}, {Mode: I2CFast, Supply: 3.3, Chips: []float64{math.NaN()}}, {Mode: I2CFast, Supply: 3.3, Series: 9}} {
		if a, err := I2C(q); err == nil {
			t.Errorf("%+v gives %+v", q, a)
		}
	}
}

// Which of the tabled chips understand each other: a 3.3 V output does not reach HC at 5 V, and 5 V do not belong on a 3.3 V pin.
func TestLevels(t *testing.T) {
	f := map[string]Family{}
	for _, x := range Families() {
		f[x.Name] = x
	}
	for _, c := range []struct {
		from, to string
		want     LevelVerdict
	}{
		{"RP2040 at 3.3 V", "3.3 V logic", LevelsAgree}, {"RP2040 at 3.3 V", "HCT at 5 V", LevelsAgree}, {"RP2040 at 3.3 V", "HC at 5 V", HighUnsure},
		{"ATmega32U4 at 5 V", "RP2040 at 3.3 V", TooHighForPin}, {"RP2040 at 3.3 V", "ATmega32U4 at 5 V", LevelsAgree}, {"3.3 V logic", "RP2040 at 3.3 V", LevelsAgree},
	} {
		a, err := Levels(f[c.from].Driver, f[c.to].Receiver)
		if err != nil || a.Verdict != c.want {
			t.Errorf("%s to %s: %+v %v", c.from, c.to, a, err)
		}
	}
	if _, err := Levels(Driver{LowMax: math.NaN()}, Receiver{}); err == nil {
		t.Error("NaN")
	}
	if _, err := Levels(Driver{}, Receiver{LowMax: 2, HighMin: 1}); err == nil {
		t.Error("thresholds the wrong way round")
	}
}

// A pin with its own pull-up, contact, wire and diode, against the network with the real curve of the diode.
func TestPullUpAgainstCircuit(t *testing.T) {
	pin := Families()[0].Receiver
	d := circuit.Diode{Sat: 2.52e-9, Ideal: 1.752, Rs: 0.568}
	for _, c := range []struct {
		ohm    Range
		series float64
		diode  bool
		want   LevelVerdict
	}{
		{Range{50e3, 65e3, 80e3}, 1, false, LevelsAgree}, {Range{50e3, 65e3, 80e3}, 50, true, LevelsAgree}, {Range{1e3, 1e3, 1e3}, 2000, false, LowUnsure}, {Range{900, 1000, 1100}, 100, true, LowUnsure},
	} {
		p := PullUp{Supply: 3.3, Ohm: c.ohm, Series: c.series}
		n := circuit.New()
		n.Voltage("V", "vcc", circuit.Ground, 3.3)
		n.Resistor("pull", "vcc", "pin", c.ohm.Min)
		n.Resistor("way", "pin", "k", c.series)
		if c.diode {
			n.Diode("D", "k", circuit.Ground, d)
			p.Drop = d.Drop(3.3 / c.ohm.Min)
		} else {
			n.Resistor("wire", "k", circuit.Ground, 1e-3)
		}
		s, err := n.Solve()
		if err != nil {
			t.Fatal(err)
		}
		a, err := p.At(pin)
		if err != nil || a.Verdict != c.want {
			t.Errorf("%+v: %+v %v", p, a, err)
		}
		// The drop was taken at the current without the series resistance: a little too much, never too little.
		if v := s.V("pin"); a.Low < v-1e-4 || a.Low > v+0.02 {
			t.Errorf("low level %g, in the network %g", a.Low, s.V("pin"))
		}
	}
	for _, p := range []PullUp{{}, {Supply: 3.3}, {Supply: 3.3, Ohm: Exactly(math.NaN())}, {Supply: 3.3, Ohm: Exactly(1e4), Series: -1}} {
		if _, err := p.At(pin); err == nil {
			t.Errorf("%+v was taken", p)
		}
	}
	leaky, err := PullUp{Supply: 3.3, Ohm: Exactly(1e6), Leak: 2e-6}.At(pin) // 2 V lost
	if err != nil || leaky.Verdict != HighUnsure || math.Abs(leaky.High-1.3) > 1e-9 {
		t.Errorf("%+v %v", leaky, err)
	}
}

// Loading of a pot: largest bend near two thirds of the turn, 4/27 of the track over the load for light loads (calculus), and against
// the network.
func TestPot(t *testing.T) {
	adc := ADC{Bits: 10, Volt: 3.3}
	a, err := Pot{Ohm: 10e3, Load: 10e6}.On(adc)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "bend", a.Bend, 4.0/27*10e3/10e6, 2e-3)
	near(t, "where", a.BendAt, 2.0/3, 2e-3)
	near(t, "source", a.Source, 10e3*1.2/4, 1e-12)
	if a.Low != 0 || a.High != 1023 { // at the upper end the wiper is on the reference
		t.Errorf("ends %d and %d", a.Low, a.High)
	}
	rng := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		p := Pot{Ohm: 1e3 * math.Pow(100, rng.Float64()), End: 50 * rng.Float64(), Load: 1e4 * math.Pow(100, rng.Float64())}
		at := 0.01 + 0.98*rng.Float64()
		n := circuit.New()
		n.Voltage("V", "top", circuit.Ground, 1)
		n.Resistor("end1", "top", "t", p.End+1e-6)
		n.Resistor("upper", "t", "w", p.Ohm*(1-at))
		n.Resistor("lower", "w", "b", p.Ohm*at)
		n.Resistor("end2", "b", circuit.Ground, p.End+1e-6)
		n.Resistor("load", "w", circuit.Ground, p.Load)
		s, err := n.Solve()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "wiper", p.Turn(at), s.V("w"), 1e-7)
	}
	// Ends of 1 % each: 1/102 of the readings lost at each end.
	a, err = Pot{Ohm: 10e3, End: 100}.On(adc)
	if err != nil || a.Low != 10 || a.High != 1013 {
		t.Errorf("%+v %v", a, err)
	}
	for _, p := range []Pot{{}, {Ohm: math.NaN()}, {Ohm: 1e4, End: -1}, {Ohm: 1e4, Tol: 99}, {Ohm: 1e4, Load: math.Inf(1)}} {
		if _, err := p.On(adc); err == nil {
			t.Errorf("%+v was taken", p)
		}
	}
}

// Settling: at the resistance that MostSource gives, what is missing is half an LSB: 2^n exp(-(n+1) ln 2) = 1/2.
func TestADC(t *testing.T) {
	adc := ADC{Bits: 12, Volt: 3.3, Ohm: 1e3, Farad: 10e-12, Time: 2e-6}
	e, err := adc.SourceError(adc.MostSource())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "half an LSB", e, 0.5, 1e-9)
	// Leakage of 1 uA in 10 kohm: 10 mV of 3.3 V are 12.4 LSB of 12 bits.
	e, _ = ADC{Bits: 12, Volt: 3.3, Leak: 1e-6}.SourceError(10e3)
	near(t, "leakage", e, 0.01/3.3*4096, 1e-12)
	if adc.Reading(-1) != 0 || adc.Reading(99) != 4095 || adc.Reading(1.65) != 2048 || !math.IsInf(ADC{Bits: 8, Volt: 1}.MostSource(), 1) {
		t.Error("readings")
	}
	for _, bad := range []ADC{{}, {Bits: 12}, {Bits: 12, Volt: math.NaN()}, {Bits: 12, Volt: 1, Leak: -1}} {
		if _, err := bad.SourceError(1); err == nil {
			t.Errorf("%+v was taken", bad)
		}
	}
}
