package diagnosis_test

import (
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/bench/sim"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
)

func TestSmoke(t *testing.T) {
	for _, n := range examples.Names() {
		r := job.Run(project.Read(n, examples.File(n)), catalog.Builtin())
		if r.Firmware.Bytes == nil {
			t.Log(n, "no table")
			continue
		}
		t0 := time.Now()
		m := diagnosis.New(diagnosis.Inputs{Panel: r.Panel, Wiring: r.Wiring, Harness: r.Harness, Firmware: r.Firmware})
		t.Log(n, "faults", len(m.Faults()), time.Since(t0))
		p, err := sim.New(r)
		if err != nil {
			t.Fatal(err)
		}
		s := m.Begin()
		for _, a := range m.Acts() {
			seen, err := p.Do(a)
			if err != nil {
				t.Log(a, err)
				continue
			}
			if a.Do == diagnosis.Turn || a.Do == diagnosis.Press && n == "first-panel" {
				for _, x := range seen.Moments {
					t.Log(x.At, x.Raw, x.Axes)
				}
			}
			s.Add(seen)
		}
		v := s.Verdict()
		t.Log(v.Right, v.P, len(v.Groups), time.Since(t0))
		for i, g := range v.Groups {
			if i < 3 {
				t.Log(g.P, len(g.Causes), g.Causes[0])
			}
		}
		s.Debug(t.Log)
	}
}
