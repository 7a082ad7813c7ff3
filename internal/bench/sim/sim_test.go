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
	src := examples.File(name)
	if own, ok := own[name]; ok {
		src = []byte("knobwright: 1\ntitle: Test desk\nface: {width: 900, height: 500, sheet: acrylic-3mm}\n" + own)
	}
	r := job.Check(project.Read(name, src), catalog.Builtin())
	jobs.Store(name, r)
	return r
}

const twelve = `controls:
  a: {part: push-16mm, at: [60, 60]}
  b: {part: push-16mm, at: [120, 60]}
  c: {part: push-16mm, at: [180, 60]}
  d: {part: push-16mm, at: [240, 60]}
  e: {part: push-16mm, at: [60, 120]}
  f: {part: push-16mm, at: [120, 120]}
  g: {part: toggle-mini-2, at: [180, 120]}
  h: {part: toggle-mini-2, at: [240, 120]}
  i: {part: push-16mm, at: [60, 180]}
  j: {part: push-16mm, at: [120, 180]}
  k: {part: push-16mm, at: [180, 180]}
  l: {part: push-16mm, at: [240, 180]}
`

// own are panels that bring what the examples have not.
var own = map[string]string{
	"matrix":   "module: {part: rp2040-40pin, at: [600, 300]}\nwiring: {by: matrix, matrix: {rows: 3, columns: 4}}\n" + twelve,
	"bare":     "module: {part: rp2040-40pin, at: [600, 300]}\nwiring: {by: matrix, matrix: {rows: 3, columns: 4, diodes: none}}\n" + twelve,
	"shift-in": "module: {part: rp2040-40pin, at: [600, 300]}\nwiring: {by: shift-in}\n" + twelve,
	"ladder":   "module: {part: rp2040-40pin, at: [600, 300]}\ncontrols:\n  mood: {part: rotary-6way, at: [150, 100], via: ladder}\n  go: {part: push-16mm, at: [250, 100]}\n",
	"avr":      "module: {part: atmega32u4-24pin, at: [600, 300]}\ncontrols:\n  go: {part: push-16mm, at: [60, 60]}\n  dial: {part: encoder-m7-push, at: [120, 60], sends: {turn: [button 5, button 6], press: button 7}}\n  house: {part: pot-16mm, at: [200, 60]}\n",
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

var withTables = []string{"cue-desk", "lantern-desk", "signal-desk", "tide-clock", "matrix", "shift-in", "ladder", "avr"}

// Without a fault every contact shows on the raw bit that the mapping gives it, and nothing else moves.
func TestSound(t *testing.T) {
	for _, name := range withTables {
		r := jobOf(t, name)
		if len(r.Firmware.Bytes) == 0 {
			t.Fatalf("%s has no table: %v", name, r.Findings)
		}
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
