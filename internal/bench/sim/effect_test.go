package sim

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"
	"testing"

	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

func lug(of, name string) wiring.Terminal { return wiring.Terminal{Of: of, Lug: name} }

// rawOf is the raw bit of a row of the mapping.
func rawOf(t *testing.T, name, row string) int {
	t.Helper()
	for _, x := range jobOf(t, name).Firmware.Rows {
		if x.Name == row && len(x.Raw) > 0 {
			return x.Raw[0]
		}
	}
	t.Fatalf("%s has no row %s", name, row)
	return 0
}

// shows gives the raw bits that change during an act, and those that are closed at its beginning.
func shows(t *testing.T, p *Panel, a diagnosis.Act) (changed, rest []int) {
	t.Helper()
	s := do(t, p, a)
	if len(s.Moments) == 0 {
		return nil, nil
	}
	rest = on(s.Moments[0])
	for _, m := range s.Moments[1:] {
		for i := range 8 * len(m.Raw) {
			if (m.Raw[i/8]^s.Moments[0].Raw[i/8])>>(i%8)&1 != 0 && !slices.Contains(changed, i) {
				changed = append(changed, i)
			}
		}
	}
	slices.Sort(changed)
	return changed, rest
}

// What faults do, as somebody at the bench would say it.
func TestFaultsShow(t *testing.T) {
	press := func(d string) diagnosis.Act { return diagnosis.Act{Do: diagnosis.Press, Device: d} }
	bit := func(row string) int { return rawOf(t, "cue-desk", row) }
	for _, c := range []struct {
		f       diagnosis.Fault
		do      diagnosis.Act
		changed []int // in the act
		rest    []int // closed before it
	}{
		{diagnosis.Fault{Kind: diagnosis.OpenLead, A: lug("bell", "no"), B: lug("module", "25")}, press("bell"), nil, nil},
		{diagnosis.Fault{Kind: diagnosis.OpenLead, A: lug("bell", "no"), B: lug("module", "25")}, press("rain"), []int{bit("rain")}, nil},
		{diagnosis.Fault{Kind: diagnosis.Swapped, A: lug("bell", "no"), B: lug("rain", "no")}, press("bell"), []int{bit("rain")}, nil},
		{diagnosis.Fault{Kind: diagnosis.ToGround, A: lug("bell", "no")}, press("bell"), nil, []int{bit("bell")}},
		{diagnosis.Fault{Kind: diagnosis.ToSupply, A: lug("bell", "no"), B: lug("house", "3")}, press("bell"), nil, nil},
		{diagnosis.Fault{Kind: diagnosis.Bridged, A: lug("bell", "no"), B: lug("rain", "no")}, press("bell"), []int{bit("rain"), bit("bell")}, nil},
		{diagnosis.Fault{Kind: diagnosis.ChainBroken, A: lug("thunder", "c")}, press("thunder"), nil, nil},
		{diagnosis.Fault{Kind: diagnosis.ChainBroken, A: lug("thunder", "c")}, press("bell"), nil, nil},
		{diagnosis.Fault{Kind: diagnosis.ChainBroken, A: lug("thunder", "c")}, press("rain"), []int{bit("rain")}, nil},
		{diagnosis.Fault{Kind: diagnosis.ClosedLug, A: lug("gauze", "3"), B: lug("gauze", "1")}, press("gauze"), []int{bit("gauze")}, []int{bit("gauze")}},
		{diagnosis.Fault{Kind: diagnosis.Stuck, Device: "bell"}, press("bell"), nil, []int{bit("bell")}},
		{diagnosis.Fault{Kind: diagnosis.Dead, Device: "bell"}, press("bell"), nil, nil},
		{diagnosis.Fault{Kind: diagnosis.SupplyOff, A: lug("expander", "VCC"), B: lug("pots", "VCC")}, press("go"), nil, nil},
		{diagnosis.Fault{Kind: diagnosis.OpenLead, A: lug("expander", "SDA"), B: lug("module", "16")}, press("go"), nil, nil},
	} {
		changed, rest := shows(t, panelOf(t, "cue-desk", c.f), c.do)
		slices.Sort(c.changed)
		if !slices.Equal(changed, c.changed) && len(changed)+len(c.changed) > 0 || c.f.Kind != diagnosis.SupplyOff && c.f.A.Of != "expander" && !slices.Equal(rest, withMood(t, c.rest)) {
			t.Errorf("%s %v: %s %s changes %v of %v; want %v of %v", c.f.Kind, c.f.A, c.do.Do, c.do.Device, changed, rest, c.changed, withMood(t, c.rest))
		}
	}
}

// withMood adds the contacts of the cue desk that are closed while nobody touches it: its rotary switch stands on 1, DESK on what it
// rests on.
func withMood(t *testing.T, rest []int) []int {
	all := on(do(t, panelOf(t, "cue-desk"), diagnosis.Act{Do: diagnosis.Rest}).Moments[0])
	for _, r := range rest {
		if !slices.Contains(all, r) {
			all = append(all, r)
		}
	}
	slices.Sort(all)
	return all
}

// Three corners of a rectangle of a matrix that are held show the fourth where there are no diodes, and where one is bridged, and not
// where all are sound: the reason for diodes.
func TestGhosts(t *testing.T) {
	hold := diagnosis.Act{Do: diagnosis.Hold, Device: "a", With: []diagnosis.Act{{Device: "b"}, {Device: "e"}}}
	for name, want := range map[string]int{"matrix": 3, "bare": 4} {
		p := panelOf(t, name)
		r := jobOf(t, name)
		row := map[string][2]int{}
		for i, s := range r.Wiring.Signals {
			if s.Kind == wiring.SigContact {
				seat := r.Wiring.Plan.Seats[i]
				row[s.Name] = [2]int{seat.Row, seat.Column}
			}
		}
		// three contacts on two rows and two columns
		var three []string
		for a, pa := range row {
			for b, pb := range row {
				for e, pe := range row {
					if len(three) == 0 && pa[0] == pb[0] && pa[1] != pb[1] && pe[1] == pa[1] && pe[0] != pa[0] && a < b && !stays(r.Wiring.Devices, a, b, e) {
						three = []string{a, b, e}
					}
				}
			}
		}
		hold.Device, hold.With[0].Device, hold.With[1].Device = three[0], three[1], three[2]
		s := do(t, p, hold)
		most := 0
		for _, m := range s.Moments {
			most = max(most, len(on(m))-len(on(s.Moments[0])))
		}
		if most != want {
			t.Errorf("%s: holding %v shows %d contacts, want %d", name, three, most, want)
		}
	}
}

func stays(all []wiring.Device, names ...string) bool {
	return slices.ContainsFunc(all, func(d wiring.Device) bool { return d.Holds && slices.Contains(names, d.ID) })
}

// A click of an encoder, and what its faults make of it.
func TestEncoder(t *testing.T) {
	const name = "cue-desk"
	right := func(p *Panel, clicks int) (a, b int, order string) {
		ra, rb := rawOf(t, name, "scene/turn/right"), rawOf(t, name, "scene/turn/right")+1
		was := [2]bool{}
		for _, m := range do(t, p, diagnosis.Act{Do: diagnosis.Turn, Device: "scene/turn", Clicks: clicks}).Moments {
			now := [2]bool{m.Raw[ra/8]>>(ra%8)&1 != 0, m.Raw[rb/8]>>(rb%8)&1 != 0}
			if now[0] != was[0] {
				a++
				order += "a"
			}
			if now[1] != was[1] {
				b++
				order += "b"
			}
			was = now
		}
		return
	}
	for _, c := range []struct {
		f      diagnosis.Fault
		clicks int
		want   string
	}{
		{diagnosis.Fault{}, 1, "abab"},
		{diagnosis.Fault{}, -1, "baba"},
		{diagnosis.Fault{}, 2, "abababab"},
		{diagnosis.Fault{Kind: diagnosis.PhasesSwap, Device: "scene/turn"}, 1, "baba"},
		{diagnosis.Fault{Kind: diagnosis.Detents, Device: "scene/turn", Value: 2}, 1, "ab"},
		{diagnosis.Fault{Kind: diagnosis.EncoderOpen, Device: "scene/turn"}, 1, ""},
	} {
		var f []diagnosis.Fault
		if c.f.Kind != "" {
			f = []diagnosis.Fault{c.f}
		}
		if _, _, got := right(panelOf(t, name, f...), c.clicks); got != c.want {
			t.Errorf("%s, %d clicks: %q, want %q", c.f.Kind, c.clicks, got, c.want)
		}
	}
}

// Every change of an encoder's contacts is one that the published table of the two-bit Gray sequence allows, and none skips a state.
func TestQuadratureAgainstTheTable(t *testing.T) {
	rows, err := read("../../../firmware/testdata/quadrature.csv")
	if err != nil {
		t.Fatal(err)
	}
	step := map[string]string{}
	for _, r := range rows[1:] {
		step[r[0]+" "+r[1]] = r[2] + r[3]
	}
	p := panelOf(t, "cue-desk")
	a := rawOf(t, "cue-desk", "scene/turn/right")
	for _, clicks := range []int{1, 3, -2, 5, -7} {
		was, sum := "", 0
		for _, m := range do(t, p, diagnosis.Act{Do: diagnosis.Turn, Device: "scene/turn", Clicks: clicks}).Moments {
			now := fmt.Sprintf("%d%d", m.Raw[a/8]>>(a%8)&1, m.Raw[(a+1)/8]>>((a+1)%8)&1)
			if was != "" && was != now {
				n, err := strconv.Atoi(step[was+" "+now][:len(step[was+" "+now])-len("valid")])
				if err != nil || n == 0 {
					t.Fatalf("%s to %s is %q in the table", was, now, step[was+" "+now])
				}
				sum += n
			}
			was = now
		}
		if sum != -4*clicks { // to the right A closes first: 00 10 11 01, the table's sequence backwards
			t.Errorf("%d clicks come to %d steps of the table, want %d", clicks, sum, -4*clicks)
		}
	}
}

func read(name string) ([][]string, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return csv.NewReader(f).ReadAll()
}

// Bounces end within the longest that was measured for each kind of contact, and over many presses come near it: the published
// figures are the longest of 32 operations.
func TestBounceAgainstMeasurements(t *testing.T) {
	rows, err := read("../../../firmware/testdata/bounce.csv")
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		long, err := strconv.ParseFloat(r[2], 64)
		if err != nil {
			continue
		}
		longest := 0.0
		for op := range 32 {
			last := 0.0
			for _, b := range Bounces(long, fmt.Sprint(r[0], op)) {
				if b[0] < last || b[1] <= b[0] {
					t.Fatalf("bounce %v after %v", b, last)
				}
				last = b[1]
			}
			longest = max(longest, last)
		}
		if longest > long || longest < 0.8*long {
			t.Errorf("%s: the longest of 32 is %.2f ms, measured %.2f ms", r[0], longest, long)
		}
	}
}

// What a meter shows, by hand.
func TestMeter(t *testing.T) {
	ohms := func(p *Panel, a, b wiring.Terminal) float64 {
		return do(t, p, diagnosis.Act{Do: diagnosis.Measure, Probe: [2]wiring.Terminal{a, b}}).Meter
	}
	p := panelOf(t, "cue-desk")
	if v := ohms(p, lug("module", "25"), lug("bell", "no")); v > 1 {
		t.Errorf("a sound lead measures %.1f ohm", v)
	}
	if v := ohms(p, lug("bell", "no"), lug("bell", "c")); v < 1e7 {
		t.Errorf("an open contact measures %.0f ohm", v)
	}
	broken := panelOf(t, "cue-desk", diagnosis.Fault{Kind: diagnosis.OpenLead, A: lug("bell", "no"), B: lug("module", "25")})
	if v := ohms(broken, lug("module", "25"), lug("bell", "no")); v < 1e7 {
		t.Errorf("a lead that is off measures %.0f ohm", v)
	}
	// a track in the middle: 5 kohm, and beside it 5 kohm in series with six tracks of 10 kohm
	if v, want := ohms(p, lug("warm", "2"), lug("warm", "1")), 1/(1/5e3+1/(5e3+10e3/6)); v < 0.99*want || v > 1.01*want {
		t.Errorf("half a track measures %.0f ohm", v)
	}
	m := panelOf(t, "matrix")
	for _, f := range jobOf(t, "matrix").Wiring.Fittings[:1] {
		fwd, back := ohms(m, lug(f.Name, "a"), lug(f.Name, "k")), ohms(m, lug(f.Name, "k"), lug(f.Name, "a"))
		if fwd > 50e3 || back < 1e7 {
			t.Errorf("a diode measures %.0f ohm one way and %.0f ohm the other", fwd, back)
		}
	}
	volts := do(t, p, diagnosis.Act{Do: diagnosis.MeasureV, Probe: [2]wiring.Terminal{lug("bell", "no"), lug("bell", "c")}}).Meter
	if volts < 3.2 || volts > 3.3 { // 3.3 V through the pull-up, 10 megohm of the meter
		t.Errorf("an input at rest measures %.2f V", volts)
	}
}

// The same panel does the same twice.
func TestSameTwice(t *testing.T) {
	f := diagnosis.Fault{Kind: diagnosis.NoPullUp, A: lug("module", "25")}
	one, two := panelOf(t, "cue-desk", f), panelOf(t, "cue-desk", f)
	for range 3 {
		a := do(t, one, diagnosis.Act{Do: diagnosis.Press, Device: "bell"})
		b := do(t, two, diagnosis.Act{Do: diagnosis.Press, Device: "bell"})
		if fmt.Sprint(a) != fmt.Sprint(b) {
			t.Fatal("two panels with the same fault differ")
		}
		if len(a.Moments) < 5 {
			t.Error("an input without a pull-up picks up no hum")
		}
	}
}
