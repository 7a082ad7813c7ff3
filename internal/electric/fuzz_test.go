package electric

import (
	"math"
	"strings"
	"testing"
)

// What is read is a resistance that can be written and read again; the rest is refused with a sentence.
func FuzzParseOhms(f *testing.F) {
	for _, s := range []string{"4k7", "330 ohm", "1M", "0R47", "4,7 kΩ", "Ⱥohm", "1 \u2126"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, err := ParseOhms(s)
		if err != nil {
			return
		}
		if !(v >= 0 && v <= most) {
			t.Fatalf("%q is %g", s, v)
		}
		back, err := ParseOhms(FormatOhms(v))
		if err != nil || math.Abs(back-v) > 0.006*v+5e-10 && v > 1e-6 {
			t.Errorf("%q is %g, written %q, read %g: %v", s, v, FormatOhms(v), back, err)
		}
	})
}

// No question makes anything panic, and no answer without an error holds a number that is none.
func FuzzQuestions(f *testing.F) {
	f.Add(5.0, 2.0, 0.01, 330.0, 3, 24)
	f.Add(math.NaN(), math.Inf(1), -1.0, 0.0, 0, 7)
	f.Add(1e300, 1e-300, 1e-12, 1e12, 40, 192)
	f.Fuzz(func(t *testing.T, a, b, c, d float64, k, e int) {
		sane := func(what string, err error, v ...float64) {
			if err != nil {
				if strings.TrimSpace(err.Error()) == "" {
					t.Errorf("%s: an error without a sentence", what)
				}
				return
			}
			for _, x := range v {
				if math.IsNaN(x) {
					t.Errorf("%s(%g, %g, %g, %g, %d, %d) gives %v", what, a, b, c, d, k, e, v)
				}
			}
		}
		lamp, err := LampResistor(LampQuestion{Supply: Exactly(a), Drop: Exactly(b), Want: c, Inner: Exactly(d), Series: Series(e), Tol: math.Abs(c)})
		sane("LampResistor", err, lamp.Ohm, lamp.Current.Min, lamp.Current.Nom, lamp.Current.Max, lamp.Watt)
		with, err := LampWith(LampQuestion{Supply: Exactly(a), Drop: Exactly(b), Want: c, Inner: Exactly(d)}, d)
		sane("LampWith", err, with.Ohm, with.Current.Max, with.Watt)
		built, err := BuiltIn{a, c, Exactly(b)}.At(Exactly(d))
		sane("BuiltIn", err, built.Ohm, built.Current.Max, built.Share)
		bus, err := I2C(I2CQuestion{Mode: I2CFast, Supply: a, Metres: b, Chips: []float64{c}, PullUps: []float64{d}, Series: Series(e)})
		sane("I2C", err, bus.Farad, bus.Min, bus.Max, bus.Total, bus.Longest)
		pull, err := PullUp{Supply: a, Ohm: Exactly(d), Series: b, Leak: c}.At(Families()[0].Receiver)
		sane("PullUp", err, pull.Low, pull.High, pull.Amp.Max)
		pot, err := Pot{Ohm: d, End: b, Load: a}.On(ADC{Bits: k, Volt: a, Leak: c})
		sane("Pot", err, pot.Bend, pot.Source, pot.Error, pot.Watt)
		contact, err := Contact(Exactly(c), ContactBounds{Least: b, Most: d}, a)
		sane("Contact", err, contact.PullUp)
		enc, err := Encoder{Clicks: a, Edges: b, Seconds: c, Bounce: d}.Read()
		sane("Encoder", err, enc.Edges, enc.Shortest, enc.Looks)
		chain, err := Ring([]float64{a, b, c}, []float64{d, c})
		sane("Ring", err, chain.Volt...)
		_, _ = Bands(d, c, k)
		_ = AWG(k).OhmPerKm(a)
		_, _ = NearestAWG(b)
		if k > 0 && k < 6 {
			ladder, err := Ladder(LadderQuestion{Kind: OneAtATime, Contacts: k, Series: Series(e), Tol: math.Abs(c), PullUp: d, Contact: b})
			sane("Ladder", err, ladder.Gap, ladder.PullUp)
			_, _ = JudgeLadder(LadderQuestion{Kind: AnyCombination}, d, []float64{a, b})
		}
	})
}
