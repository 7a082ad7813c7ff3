package sim

import (
	"sync"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

var jobs sync.Map

func jobOf(t testing.TB, name string) *job.Result {
	t.Helper()
	if r, ok := jobs.Load(name); ok {
		return r.(*job.Result)
	}
	r := job.Check(project.Read(name, examples.File(name)), catalog.Builtin())
	jobs.Store(name, r)
	return r
}

func panelOf(t testing.TB, name string, faults ...diagnosis.Fault) *Panel {
	t.Helper()
	p, err := New(jobOf(t, name), faults...)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func do(t testing.TB, p *Panel, a diagnosis.Act) diagnosis.Seen {
	t.Helper()
	s, err := p.Do(a)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// on lists the raw bits that are closed.
func on(m diagnosis.Moment) (out []int) {
	for i := range 8 * len(m.Raw) {
		if m.Raw[i/8]>>(i%8)&1 != 0 {
			out = append(out, i)
		}
	}
	return
}

var withTables = []string{"cue-desk", "lantern-desk", "signal-desk", "tide-clock"}

// Without a fault every contact shows on the raw bit that the mapping gives it, and nothing else moves.
func TestSound(t *testing.T) {
	for _, name := range withTables {
		r := jobOf(t, name)
		p := panelOf(t, name)
		raws := map[string][]int{}
		for _, row := range r.Firmware.Rows {
			raws[row.Name] = row.Raw
		}
		for _, d := range r.Wiring.Devices {
			if d.Kind != wiring.DevSwitch || d.Holds || len(d.Contact) != 1 || len(raws[d.ID]) != 1 {
				continue
			}
			s := do(t, p, diagnosis.Act{Do: diagnosis.Press, Device: d.ID})
			seen := map[int]bool{}
			rest := on(s.Moments[0])
			for _, m := range s.Moments[1:] {
				for _, b := range on(m) {
					seen[b] = true
				}
			}
			for _, b := range rest {
				delete(seen, b)
			}
			if len(seen) != 1 || !seen[raws[d.ID][0]] {
				t.Errorf("%s: %s shows %v, want %v", name, d.ID, seen, raws[d.ID])
			}
			if got := on(s.Moments[len(s.Moments)-1]); len(got) != len(rest) {
				t.Errorf("%s: %s leaves %v, was %v", name, d.ID, got, rest)
			}
		}
		for _, d := range r.Wiring.Devices {
			if d.Kind == wiring.DevLamp {
				for do1, want := range map[diagnosis.Do]string{diagnosis.Light: "lit", diagnosis.Dark: "dark"} {
					if s := do(t, p, diagnosis.Act{Do: do1, Device: d.ID}); s.Lamp != want {
						t.Errorf("%s: %s %s: %s", name, do1, d.ID, s.Lamp)
					}
				}
			}
			if d.Kind == wiring.DevTrack {
				for _, part := range []float64{0, 1, 0.5} {
					s := do(t, p, diagnosis.Act{Do: diagnosis.Slide, Device: d.ID, Part: part})
					last := s.Moments[len(s.Moments)-1].Axes
					moved := 0
					for i, v := range last {
						if max(v, s.Moments[0].Axes[i])-min(v, s.Moments[0].Axes[i]) > 1000 {
							moved++
							if d.Control.Part.Circuit.Tracks[d.Index].Taper != "log" && (float64(v)/65535 > part+0.02 || float64(v)/65535 < part-0.02) {
								t.Errorf("%s: %s at %v reads %v", name, d.ID, part, float64(v)/65535)
							}
						}
					}
					if moved != 1 {
						t.Errorf("%s: %s moves %d axes", name, d.ID, moved)
					}
				}
			}
		}
	}
}
