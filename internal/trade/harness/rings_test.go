package harness

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"knobwright/internal/electric"
	"knobwright/internal/solve/circuit"
	"knobwright/internal/trade/wiring"
)

func rings(w *worker, kind string) []Ring {
	var out []Ring
	for _, r := range w.r.Rings {
		if r.Kind == kind {
			out = append(out, r)
		}
	}
	return out
}

func TestRingOrder(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  a: {part: push-16mm, at: [120, 60]}\n  b: {part: pot-16mm, at: [190, 60]}\n  d: {part: lamp-5mm-holder, at: [250, 150]}\n"))
	last := 0
	for _, r := range w.r.Rings {
		if ringOrder(r) < last {
			t.Errorf("%s comes late", r.Kind)
		}
		last = ringOrder(r)
		if last < 0 {
			t.Errorf("%+v is of no kind", r)
		}
	}
	if w.r.Rings[0].Kind != RingShort || w.r.Rings[0].Rings {
		t.Errorf("the first line is %+v", w.r.Rings[0])
	}
}

// Every lug that a wire goes to is tried by some line; every control has one.
func TestRingsTryAll(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  a: {part: push-16mm, at: [120, 60]}\n  b: {part: pot-16mm, at: [190, 60]}\n  c: {part: toggle-mini-3, at: [250, 60]}\n  d: {part: lamp-5mm-holder, at: [250, 150]}\n  e: {part: encoder-m7-push, at: [150, 150]}\n  f: {part: key-16mm, at: [200, 150]}\n"))
	tried := map[string]int{}
	for _, r := range w.r.Rings {
		tried[r.Control]++
	}
	for _, c := range w.p.Controls {
		if tried[c.Name] == 0 {
			t.Errorf("nothing tries %s", c.Name)
		}
	}
	for _, r := range rings(w, RingContact) {
		if r.A.Of != "module" || r.B.Of != "module" {
			t.Errorf("a contact is tried from %v to %v", r.A, r.B)
		}
		if r.Rings != (r.Ohms[1] > 0) {
			t.Errorf("%+v", r)
		}
	}
	for _, c := range []struct {
		control, do string
	}{{"a", "Hold A down"}, {"c", "Put C up"}, {"c", ""}, {"e", "Turn E slowly"}, {"e", "Hold E down"}, {"f", "Turn the key of F"}} {
		ok := false
		for _, r := range rings(w, RingContact) {
			ok = ok || r.Control == c.control && r.Do == c.do && r.Rings
		}
		if !ok {
			t.Errorf("%s: no line says %q", c.control, c.do)
		}
	}
	lamp := rings(w, RingLamp)
	if len(lamp) != 1 || !strings.Contains(lamp[0].Do, "red probe on the first") || lamp[0].Volts[0] < 1 || lamp[0].Volts[1] > 4 || lamp[0].A.Of != "module" {
		t.Errorf("%+v", lamp)
	}
}

// The resistance of the wire: ASTM B258 and IEC 60028 by package electric, over the lengths of the chain.
func TestRingOhms(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"controls:\n  a: {part: push-16mm, at: [120, 60]}\n  b: {part: push-16mm, at: [190, 60]}\n  c: {part: push-16mm, at: [250, 150]}\n"))
	c := w.r.Chains[0]
	sum := 0.0
	for k, i := range c.Wires {
		sum += electric.AWG(24).OhmPerKm(warm) * w.r.Wires[i].Length / 1e6
		r := rings(w, RingChain)[k]
		if r.A != c.Root || r.B != c.Lugs[k] || r.Ohms[1] < sum || r.Ohms[1] > sum+1.1 || r.Ohms[0] > sum {
			t.Errorf("%d: %+v for %g ohm", k, r, sum)
		}
	}
}

// Tracks on one supply lie beside each other: what the meter shows is less than each of them. Against the circuit solver, with the wiper
// moved in small steps.
func TestTracksBeside(t *testing.T) {
	for _, n := range []int{1, 2, 3} {
		lines := "controls:\n"
		for i := range n {
			lines += fmt.Sprintf("  p%d: {part: pot-16mm, at: [%d, 60]}\n", i, 120+50*i)
		}
		w := laid("panel.yaml", []byte(spare+lines))
		tracks := rings(w, RingTrack)
		if len(tracks) != n+1 {
			t.Fatalf("%d pots: %d lines", n, len(tracks))
		}
		whole := 10000 / float64(n)
		if lo, hi := tracks[0].Ohms[0], tracks[0].Ohms[1]; lo > whole*0.81 || hi < whole*1.19 || lo < whole*0.7 || hi > whole*1.3 {
			t.Errorf("%d pots: the whole shows %v, want about %g", n, tracks[0].Ohms, whole)
		}
		short := rings(w, RingShort)
		ok := false
		for _, s := range short {
			ok = ok || !s.Rings && math.Abs(s.Ohms[0]-whole*0.8) < 0.05*whole
		}
		if !ok {
			t.Errorf("%d pots: shorts are told from %v", n, short)
		}
		most := 0.0
		for s := range 201 {
			x := float64(s) / 200
			net := circuit.New()
			net.Resistor("low", "wiper", circuit.Ground, max(x*10000, 1e-3))
			net.Resistor("high", "top", "wiper", max((1-x)*10000, 1e-3))
			for i := 1; i < n; i++ {
				net.Resistor("other "+itoa(i), "top", circuit.Ground, 10000)
			}
			net.Current("meter", circuit.Ground, "wiper", 1e-3)
			sol, err := net.Solve()
			if err != nil {
				t.Fatal(err)
			}
			most = max(most, sol.V("wiper")/1e-3)
		}
		beside := math.Inf(1)
		if n > 1 {
			beside = 10000 / float64(n-1)
		}
		if got := trackPeak(10000, beside); math.Abs(got-most) > most*0.001 {
			t.Errorf("%d pots: the wiper shows at most %g, the circuit %g", n, got, most)
		}
		if got := tracks[1].Ohms[1]; got < most*1.15 || got > most*1.25 {
			t.Errorf("%d pots: the list says up to %g, the circuit %g", n, got, most)
		}
	}
}

// Pins side by side must not ring, but such as a closed contact joins at rest.
func TestNeighbours(t *testing.T) {
	w := laid("panel.yaml", []byte(spare+"wiring: {pins: {a: GP2, m/1: GP3, m/2: GP4}}\ncontrols:\n  a: {part: push-16mm, at: [120, 60]}\n  m: {part: rotary-6way, at: [200, 120]}\n"))
	m := w.newMeter()
	pairs := rings(w, RingNeighbour)
	if len(pairs) < 3 {
		t.Fatalf("%d pairs", len(pairs))
	}
	for _, r := range pairs {
		d := w.spot[r.A].at.Sub(w.spot[r.B].at).Len()
		if d > 4 || r.Rings {
			t.Errorf("%+v, %g apart", r, d)
		}
		if _, ok := m.between(m.net[r.A], m.net[r.B], "", ""); ok {
			t.Errorf("%v and %v ring although nothing is wrong", r.A, r.B)
		}
	}
}

// Whatever is said to ring does in the network, and whatever is said to be silent does not.
func TestRingsAgainstNetwork(t *testing.T) {
	for _, name := range []string{"cue-desk", "tide-clock", "lantern-desk", "signal-desk"} {
		w := example(t, name)
		m := w.newMeter()
		checked := 0
		for _, r := range w.r.Rings {
			a, okA := m.net[r.A]
			b, okB := m.net[r.B]
			if !okA || !okB {
				t.Errorf("%s: %v or %v is in no net", name, r.A, r.B)
				continue
			}
			switch r.Kind {
			case RingChain, RingLead:
				if a != b {
					t.Errorf("%s: %v and %v are in two nets", name, r.A, r.B)
				}
			case RingNeighbour:
				if v, ok := m.between(a, b, "", ""); ok && v < 200 {
					t.Errorf("%s: %v and %v ring", name, r.A, r.B)
				}
			case RingContact:
				if strings.Contains(r.Do, "slowly") || r.Ohms[1] > 20 {
					continue
				}
				pos := ""
				c := w.control(r.Control)
				for _, p := range c.Part.Circuit.Positions {
					if doWords(c, p) == r.Do {
						pos = p
					}
				}
				if r.Do == "" {
					pos = c.Part.Circuit.Positions[0]
				}
				v, ok := m.between(a, b, r.Control, pos)
				if rings := ok && v < 1; rings != r.Rings {
					t.Errorf("%s: %v to %v, %q: said %v, the network says %v (%g ohm)", name, r.A, r.B, r.Do, r.Rings, rings, v)
				}
			default:
				continue
			}
			checked++
		}
		t.Logf("%s: %d lines checked", name, checked)
		if checked == 0 {
			t.Errorf("%s: no line was checked", name)
		}
	}
}

func TestMatrixRings(t *testing.T) {
	lines := "controls:\n"
	for i := range 9 {
		lines += fmt.Sprintf("  s%d: {part: push-12mm, at: [%d, %d]}\n", i, 110+i%3*60, 60+i/3*50)
	}
	w := laid("panel.yaml", []byte(spare+"wiring: {by: matrix}\n"+lines))
	sound(t, w)
	m := rings(w, RingMatrix)
	if len(m) != 9 {
		t.Fatalf("%d crossings are tried:\n%s", len(m), dump(w.w, w.r))
	}
	for _, r := range m {
		var seat wiring.Seat
		for i, s := range w.w.Signals {
			if s.Device >= 0 && w.w.Devices[s.Device].Control.Name == r.Control {
				seat = w.w.Plan.Seats[i]
			}
		}
		row, column := w.w.Plan.Seats[seat.Row].Pin, w.w.Plan.Seats[seat.Column].Pin
		from, to := column, row
		if !w.w.Plan.Matrix.ToRow {
			from, to = row, column
		}
		if r.A != from || r.B != to || r.Volts != [2]float64{0.4, 0.8} || !strings.Contains(r.Do, "diode test") {
			t.Errorf("%+v, row %v, column %v", r, row, column)
		}
	}
}
