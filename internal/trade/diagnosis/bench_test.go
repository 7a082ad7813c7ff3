package diagnosis_test

import (
	"slices"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/firmware"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

func inputs(t testing.TB, name string, src []byte) diagnosis.Inputs {
	t.Helper()
	cat := catalog.Builtin()
	p, _ := panel.Place(project.Read(name, src), cat)
	w := wiring.Work(p, cat)
	in := diagnosis.Inputs{Panel: p, Wiring: w, Harness: harness.Work(p, w, cat), Firmware: firmware.Work(p, w)}
	if in.Firmware.Bytes == nil {
		t.Fatalf("%s has no table: %v", name, in.Firmware.Findings)
	}
	return in
}

// silent is a press that brings nothing, with everything else at rest.
func silent(in diagnosis.Inputs, dev string) diagnosis.Seen {
	n := (len(in.Firmware.Bits) + 7) / 8
	return diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Press, Device: dev}, Moments: []diagnosis.Moment{{Raw: make([]byte, n), Axes: make([]uint16, len(in.Firmware.Readings))}}}
}

// fine is a press that brings what it should.
func fine(in diagnosis.Inputs, dev string) diagnosis.Seen {
	s := silent(in, dev)
	rest := s.Moments[0]
	down := diagnosis.Moment{At: 50, Raw: slices.Clone(rest.Raw), Axes: rest.Axes}
	for i, b := range in.Firmware.Bits {
		if b.Signal >= 0 && in.Wiring.Signals[b.Signal].Name == dev {
			down.Raw[i/8] |= 1 << (i % 8)
		}
	}
	up := rest
	up.At = 150
	s.Moments = append(s.Moments, down, up)
	return s
}

// One symptom on the largest example: asked is less than 100 ms.
func BenchmarkSymptom(b *testing.B) {
	in := inputs(b, "signal-desk", examples.File("signal-desk"))
	for b.Loop() {
		b.StopTimer()
		m := diagnosis.New(in)
		b.StartTimer()
		s := m.Begin()
		s.Add(silent(in, "w11"))
		if v := s.Verdict(); len(v.Groups) == 0 {
			b.Fatal("nothing found")
		}
	}
}

// The model of the largest example, made anew.
func BenchmarkModel(b *testing.B) {
	in := inputs(b, "signal-desk", examples.File("signal-desk"))
	for b.Loop() {
		diagnosis.New(in)
	}
}

// What to ask next after one symptom.
func BenchmarkNext(b *testing.B) {
	in := inputs(b, "signal-desk", examples.File("signal-desk"))
	for b.Loop() {
		b.StopTimer()
		m := diagnosis.New(in)
		s := m.Begin()
		s.Add(silent(in, "w11"))
		b.StartTimer()
		s.Next()
	}
}

// Two symptoms that no single fault explains: all pairs of what explains one of them. Asked is less than 2 s.
func BenchmarkPairs(b *testing.B) {
	in := inputs(b, "signal-desk", examples.File("signal-desk"))
	for b.Loop() {
		b.StopTimer()
		m := diagnosis.New(in)
		b.StartTimer()
		s := m.Begin()
		s.Add(silent(in, "w11"))
		s.Add(silent(in, "w34-e"))
		s.Add(fine(in, "w12"))
		s.Add(fine(in, "w35-e"))
		if v := s.Verdict(); !v.Pairs {
			b.Fatal("no pairs")
		}
	}
}
