package wiring

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// length gives the way of a lead from its lug to a pin, reckoned here anew.
func way(t testing.TB, p *panel.Panel, control, lug, pin string) float64 {
	t.Helper()
	to, ok := p.Module.Pin(pin)
	if !ok {
		t.Fatalf("no pin %s", pin)
	}
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			for _, l := range c.Lugs {
				if c.Name == control && l.Name == lug {
					return s.ToBox.Apply(l.At.At(l.Z)).Sub(to).Len()
				}
			}
		}
	}
	t.Fatalf("no lug %s of %s", lug, control)
	return 0
}

// The plan of a few buttons is as short as the best of all ways to give them pins, all of which are tried. Pins are kept to the first
// eight that are no analog ones, so that nothing but length counts.
func TestDirectAgainstAllWays(t *testing.T) {
	keep := []string{"1", "2", "4", "5", "6", "7"}
	var free []string
	part, _ := catalog.Builtin().Part("rp2040-40pin")
	for _, x := range part.Board.Pins {
		if x.Line() && !slices.Contains(keep, x.Lug) {
			free = append(free, x.Name)
		}
	}
	rapid.Check(t, func(rt *rapid.T) {
		n := rapid.IntRange(1, 4).Draw(rt, "buttons")
		src := desk + "wiring: {free: [" + strings.Join(free, ", ") + "]}\ncontrols:\n"
		for i := range n {
			src += fmt.Sprintf("  c%d: {part: push-12mm, at: [%d, %d]}\n", i, rapid.IntRange(20, 380).Draw(rt, "x"), rapid.IntRange(20, 220).Draw(rt, "y"))
		}
		_, p, r := work(t, src)
		best := math.Inf(1)
		var try func(i int, used int, sum float64)
		try = func(i, used int, sum float64) {
			if i == n {
				best = min(best, sum)
				return
			}
			for k, pin := range keep {
				if used>>k&1 == 0 {
					try(i+1, used|1<<k, sum+way(t, p, fmt.Sprintf("c%d", i), "no", pin))
				}
			}
		}
		try(0, 0, 0)
		sum := 0.0
		for i := range n {
			s := seat(t, r, fmt.Sprintf("c%d", i))
			if s.Way != Direct {
				rt.Fatalf("button %d goes %q", i, s.Way)
			}
			sum += way(t, p, fmt.Sprintf("c%d", i), "no", s.Pin.Lug)
		}
		if math.Abs(r.Plan.Bound-best) > 1e-6 || r.Plan.Cost < best-1e-6 || sum > r.Plan.Cost+1e-6 {
			rt.Fatalf("cost %v, bound %v, length %v; the shortest of all ways is %v", r.Plan.Cost, r.Plan.Bound, sum, best)
		}
	})
}

// Pins that the person settled stay when a control is moved, and the plan is made anew round them.
func TestSettledPinsStay(t *testing.T) {
	src := desk + "wiring: {pins: {go: GP14, scene/a: \"31\", i2c/data: GP20, house: GP28}}\ncontrols:\n" +
		"  go: {part: push-16mm, at: [%d, 150]}\n  scene: {part: encoder-m7-push, at: [100, 100]}\n  house: {part: pot-16mm, at: [200, 160]}\n  clock: {part: display-oled-0.96, at: [300, 160]}\n"
	for x := 30; x < 380; x += 25 {
		_, p, r := work(t, fmt.Sprintf(src, x))
		check(t, p, &r)
		for name, pin := range map[string]string{"go": "19", "scene/a": "31", "i2c/data": "26", "house": "34"} {
			if s := seat(t, r, name); s.Pin != (Terminal{"module", pin}) || !s.Fixed || s.Why != "settled in the file" {
				t.Errorf("go at %d: %s is %+v, settled was pin %s", x, name, s, pin)
			}
		}
		if s := seat(t, r, "i2c/clock"); s.Pin.Lug != "27" && s.Pin.Lug != "22" && s.Pin.Lug != "2" && s.Pin.Lug != "7" && s.Pin.Lug != "12" && s.Pin.Lug != "17" {
			t.Errorf("the clock is on %v, which is not on the bus of pin 26", s.Pin)
		}
	}
}

// Pins with another duty come last, pins that read a voltage are kept for wipers.
func TestPinsKeptForLast(t *testing.T) {
	for n, want := range map[int]int{16: 0, 17: 1, 18: 2} {
		src := strings.Replace(desk, "rp2040-40pin", "atmega32u4-24pin", 1) + "wiring: {by: direct}\ngroups:\n" + row("b", "push-12mm", n, 150)
		_, p, r := work(t, src)
		check(t, p, &r)
		got := 0
		for _, s := range r.Plan.Seats {
			if s.Pin.Lug == "1" || s.Pin.Lug == "2" {
				got++
				if !strings.Contains(s.Why, "kept for last") {
					t.Errorf("%+v", s)
				}
			}
		}
		if got != want {
			t.Errorf("%d buttons: %d on the serial pins, want %d", n, got, want)
		}
	}
	_, _, r := work(t, desk+"controls:\n  a: {part: push-12mm, at: [210, 70]}\n  b: {part: push-12mm, at: [210, 80]}\n  house: {part: pot-16mm, at: [60, 60]}\n")
	for _, name := range []string{"a", "b"} {
		if s := seat(t, r, name); slices.Contains([]string{"31", "32", "34"}, s.Pin.Lug) {
			t.Errorf("%s is on the analog pin %s", name, s.Pin.Lug)
		}
	}
}

// The leads of one body come to pins side by side, in the order of its lugs.
func TestRibbonOrder(t *testing.T) {
	_, p, r := work(t, desk+"controls:\n  mood: {part: rotary-6way, at: [100, 70]}\n  go: {part: push-16mm, at: [60, 40]}\n  stop: {part: push-16mm, at: [60, 160]}\n")
	check(t, p, &r)
	part, _ := catalog.Builtin().Part("rp2040-40pin")
	var order []string
	for _, x := range part.Board.Pins {
		if x.Line() {
			order = append(order, x.Lug)
		}
	}
	var at []int
	for i := 1; i <= 6; i++ {
		at = append(at, slices.Index(order, seat(t, r, fmt.Sprintf("mood/%d", i)).Pin.Lug))
	}
	step := at[1] - at[0]
	for i := 1; i < 6; i++ {
		if at[i]-at[i-1] != step || step != 1 && step != -1 {
			t.Fatalf("MOOD lies on %v of the pins", at)
		}
	}
}

// What is joined to what for one control of each kind.
func TestNets(t *testing.T) {
	src := desk + "wiring: {lamps: {by: pin}}\ncontrols:\n" +
		"  go: {part: push-16mm, at: [40, 200]}\n  curtain: {part: toggle-mini-3, at: [80, 200]}\n  light: {part: toggle-mini-2, at: [120, 200], use: [\"1\"]}\n" +
		"  scene: {part: encoder-m7-push, at: [160, 200]}\n  house: {part: pot-16mm, at: [200, 200]}\n  ready: {part: lamp-5mm, at: [240, 200]}\n  power: {part: lamp-5mm, at: [280, 200], lit: always}\n" +
		"  ask: {part: push-16mm-lit, at: [320, 200], lit: contact}\n  clock: {part: display-oled-0.96, at: [60, 120]}\n  bell: {part: buzzer-12mm, at: [120, 120]}\n  phones: {part: jack-6.35mm, at: [160, 120]}\n" +
		"  stick: {part: joystick-thumb, at: [260, 120]}\n  off: {part: push-16mm, at: [330, 120], via: none}\n"
	_, p, r := work(t, src)
	check(t, p, &r)
	in := func(name string) []string {
		for _, n := range r.Nets {
			if n.Name == name {
				var out []string
				for _, x := range n.Terms {
					if x.Of != "module" {
						out = append(out, x.Of+"."+x.Lug)
					}
				}
				return out
			}
		}
		return nil
	}
	for name, want := range map[string]string{
		"GO":                "go.no",
		"CURTAIN up":        "curtain.3",
		"CURTAIN down":      "curtain.1",
		"LIGHT down":        "light.1",
		"SCENE a":           "scene.A",
		"the push of SCENE": "scene.E",
		"HOUSE":             "house.2",
		"READY":             "R1.1",
		"ASK":               "ask.no ask.-",
		"data (i2c)":        "clock.SDA",
		"BELL":              "bell.+",
		"STICK x":           "stick.X",
		"analog ground":     "house.1 stick.GND",
		"3.3 V":             "clock.VCC R2.1",
		"reference":         "house.3 stick.+",
		"5 V":               "ask.+",
	} {
		if got := strings.Join(in(name), " "); got != want {
			t.Errorf("%s joins %q, want %q", name, got, want)
		}
	}
	ground := strings.Join(in("ground"), " ")
	for _, x := range []string{"go.c", "curtain.2", "light.2", "scene.C", "scene.D", "ready.-", "power.-", "ask.c", "clock.GND", "bell.-"} {
		if strings.Count(" "+ground+" ", " "+x+" ") != 1 {
			t.Errorf("%s is not in ground once: %s", x, ground)
		}
	}
	for _, x := range r.Idle {
		if x.Of == "phones" && x.Why != "goes to the sound that is plugged in" || x.Of == "off" && !strings.Contains(x.Why, "left out") {
			t.Errorf("%+v", x)
		}
	}
	for _, f := range r.Fittings { // 3.3 V less 2 V over 4 mA is 325 ohm; the pin itself has 60
		if f.Name == "R1" && (f.Ohms != 270 || f.At != Terminal{"ready", "+"}) || f.Name == "R2" && f.Ohms != 270 {
			t.Errorf("%+v", f)
		}
	}
}

// A matrix: each contact at a crossing of its own, contacts with one common on one line, the direction said once and at every diode.
func TestMatrix(t *testing.T) {
	for _, diodes := range []string{"to-row", "to-column"} {
		src := desk + "wiring: {by: matrix, matrix: {diodes: " + diodes + ", not: [alone]}}\ngroups:\n" + row("b", "push-12mm", 13, 200) + row("s", "toggle-mini-3", 4, 160) +
			"controls:\n  mood: {part: rotary-6way, at: [300, 100]}\n  scene: {part: encoder-m7-push, at: [60, 100]}\n  alone: {part: push-16mm, at: [120, 100]}\n"
		_, p, r := work(t, src)
		check(t, p, &r)
		m := r.Plan.Matrix
		if m == nil || m.ToRow != (diodes == "to-row") || !m.Diodes || r.Plan.Partial {
			t.Fatalf("%s: %+v\n%s", diodes, m, dump(r))
		}
		count := 0
		line := map[Terminal]int{}
		for i, s := range r.Plan.Seats {
			if s.Way != Matrix {
				continue
			}
			count++
			sig := r.Signals[i]
			common, take := Terminal{r.Devices[sig.Device].Control.Name, sig.Return}, s.Column
			if diodes == "to-column" {
				take = s.Row
			}
			if was, ok := line[common]; ok && was != take {
				t.Errorf("%s: the common of %s is on two lines", diodes, sig.Name)
			}
			line[common] = take
		}
		if count != 13+8+6+1 {
			t.Errorf("%s: %d contacts cross", diodes, count)
		}
		if s := seat(t, r, "alone"); s.Way != Direct {
			t.Errorf("ALONE goes %q", s.Way)
		}
		if s := seat(t, r, "scene/a"); s.Way != Direct {
			t.Errorf("the encoder goes %q", s.Way)
		}
		want := "stripe to the row"
		if diodes == "to-column" {
			want = "stripe to the column"
		}
		n := 0
		for _, f := range r.Fittings {
			if f.Kind == "diode" {
				n++
				if f.Way != want {
					t.Errorf("%+v", f)
				}
			}
		}
		if n != count || !strings.Contains(m.Say, want) {
			t.Errorf("%d diodes for %d contacts; %s", n, count, m.Say)
		}
		if gs := Ghosts(r.Crossings()); len(gs) != 0 {
			t.Errorf("%s: ghosts in spite of diodes: %+v", diodes, gs)
		}
		checkCurrent(t, &r)
	}
}

// checkCurrent follows the current of every crossing through the nets: from the line that is read over contact and diode into the line that
// is pulled low, the stripe last.
func checkCurrent(t *testing.T, r *Result) {
	net := map[Terminal]string{}
	for _, n := range r.Nets {
		for _, x := range n.Terms {
			net[x] = n.Name
		}
	}
	for i, s := range r.Plan.Seats {
		if s.Way != Matrix {
			continue
		}
		sig := r.Signals[i]
		c := r.Devices[sig.Device].Control
		from, to := r.Signals[s.Column].Label, r.Signals[s.Row].Label
		if !r.Plan.Matrix.ToRow {
			from, to = to, from
		}
		if net[Terminal{c.Name, sig.Return}] != from {
			t.Errorf("the common of %s is on %s, not on %s", sig.Name, net[Terminal{c.Name, sig.Return}], from)
		}
		k := slices.IndexFunc(r.Fittings, func(f Fitting) bool { return f.At == Terminal{c.Name, sig.Lug} })
		d := r.Fittings[k]
		if net[Terminal{d.Name, "a"}] != net[Terminal{c.Name, sig.Lug}] || net[Terminal{d.Name, "k"}] != to {
			t.Errorf("%s of %s does not lead from the lug into %s", d.Name, sig.Name, to)
		}
	}
}

// Neighbours share lines: the lines of a laid out matrix are shorter than those of contacts thrown in at random.
func TestMatrixGroupsNeighbours(t *testing.T) {
	src := desk + "wiring: {by: matrix, matrix: {rows: 4, columns: 5}}\ngroups:\n  g: {part: push-12mm, names: \"g-{n}\", grid: {from: [40, 210], step: [60, 40], columns: 5, rows: 4}}\n"
	_, p, r := work(t, src)
	check(t, p, &r)
	at := map[int]geom.Vec3{}
	for i, s := range r.Signals {
		if s.Kind == SigContact {
			c := r.Devices[s.Device].Control
			at[i] = p.ToBox.Apply(c.Lugs[1].At.At(c.Lugs[1].Z))
		}
	}
	total := 0.0
	for _, lines := range [][]int{r.Plan.Matrix.Rows, r.Plan.Matrix.Columns} {
		for _, l := range lines {
			var pts []geom.Vec3
			for i, s := range r.Plan.Seats {
				if s.Way == Matrix && (s.Row == l || s.Column == l) {
					pts = append(pts, at[i])
				}
			}
			total += treeLength(pts)
		}
	}
	best := 4*4*60.0 + 5*3*40 // rows along rows, columns along columns
	if total > best*1.02 {
		t.Errorf("lines of %.0f mm in all; %.0f can be had", total, best)
	}
}

// A rotary switch over a ladder: equal steps, zero when between two positions.
func TestLadder(t *testing.T) {
	_, p, r := work(t, desk+"controls:\n  mood: {part: rotary-6way, at: [300, 100], via: ladder}\n  a: {part: push-12mm, at: [40, 100], via: ladder}\n  b: {part: push-12mm, at: [80, 100], via: ladder}\n")
	check(t, p, &r)
	for k := range 6 {
		s := seat(t, r, fmt.Sprintf("mood/%d", k+1))
		if s.Way != Ladder || s.Step != k || s.Pin != seat(t, r, "mood/ladder").Pin {
			t.Errorf("%+v", s)
		}
	}
	if s := seat(t, r, "mood/ladder"); !slices.Contains([]string{"31", "32", "34"}, s.Pin.Lug) {
		t.Errorf("the ladder is on pin %s", s.Pin.Lug)
	}
	n := 0
	for _, f := range r.Fittings {
		if f.Ohms == 1000 {
			n++
		}
	}
	if n != 6 || seat(t, r, "b").Step != 1 || seat(t, r, "a").Way != Ladder {
		t.Errorf("%d equal resistors:\n%s", n, dump(r))
	}
	// The chain from ground to supply: R.1 of the first in ground, then lug by lug.
	net := map[Terminal]string{}
	for _, x := range r.Nets {
		for _, y := range x.Terms {
			net[y] = x.Name
		}
	}
	if net[Terminal{"R1", "1"}] != "analog ground" {
		t.Errorf("the ladder begins in %s", net[Terminal{"R1", "1"}])
	}
	for k := 1; k < 6; k++ {
		a, b, lug := net[Terminal{fmt.Sprintf("R%d", k), "2"}], net[Terminal{fmt.Sprintf("R%d", k+1), "1"}], net[Terminal{"mood", fmt.Sprint(k)}]
		if a != b || a != lug || a == "" {
			t.Errorf("step %d: %q, %q, %q", k, a, b, lug)
		}
	}
	if net[Terminal{"R6", "2"}] != net[Terminal{"mood", "6"}] || !strings.Contains(net[Terminal{"mood", "6"}], "reference") {
		t.Errorf("the ladder ends in %s", net[Terminal{"mood", "6"}])
	}
}

// A stick with switches can close two at once, so it is no switch for a ladder.
func TestStickIsNoLadder(t *testing.T) {
	_, p, r := work(t, desk+"wiring: {by: ladder}\ncontrols:\n  stick: {part: joystick-switches, at: [200, 150]}\n  mood: {part: rotary-6way, at: [80, 150]}\n")
	check(t, p, &r)
	if seat(t, r, "stick/up").Way != Direct || seat(t, r, "mood/1").Way != Ladder {
		t.Error(dump(r))
	}
}

// What auto takes: a pin each while they suffice, then what costs least; what the file asks for comes first; everything is listed.
func TestAutoAndAsked(t *testing.T) {
	few := desk + "wiring: {by: %s}\ngroups:\n" + row("b", "push-12mm", 20, 200)
	many := desk + "wiring: {by: %s}\ngroups:\n" + row("b", "push-12mm", 30, 200) + row("c", "push-12mm", 30, 160)
	for _, c := range []struct {
		src, by string
		way     Way
		partial bool
	}{
		{few, "auto", Direct, false},
		{few, "matrix", Matrix, false},
		{few, "expander", Expander, false},
		{few, "shift-in", ShiftIn, false},
		{many, "matrix", Matrix, false},
		{many, "expander", Expander, false},
		{many, "shift-in", ShiftIn, false},
		{many, "direct", Direct, true},
	} {
		_, p, r := work(t, fmt.Sprintf(c.src, c.by))
		check(t, p, &r)
		if r.Plan.By != c.way || r.Plan.Partial != c.partial {
			t.Errorf("%s: %q by %q, partial %v\n%s", c.by, r.Plan.Title, r.Plan.By, r.Plan.Partial, dump(r))
		}
		if len(r.Plan.Options) < 4 {
			t.Errorf("%s: only %d ways are listed", c.by, len(r.Plan.Options))
		}
	}
	_, _, r := work(t, fmt.Sprintf(many, "auto"))
	for i, o := range r.Plan.Options {
		if !o.Fits || o.Module != "" || o.Chosen {
			continue
		}
		if a, b := price(r.Plan.Options[0]), price(o); a > b+1e-6 {
			t.Errorf("%q at %.2f was taken, number %d %q costs %.2f", r.Plan.Options[0].Title, a, i, o.Title, b)
		}
	}
}

// price reckons anew what a way costs by the rule that is stated.
func price(o Option) float64 {
	kinds := 0.0
	for _, w := range []string{"matrix of", "expander", "shift-in", "ladder", "multiplexer"} {
		if strings.Contains(o.Title, w) {
			kinds++
		}
	}
	boards := 0
	for k, w := range []string{"one ", "two ", "three ", "four ", "five ", "six ", "seven ", "eight ", "nine "} {
		for _, b := range []string{"expander", "shift-in", "analog multi"} {
			if strings.Contains(o.Title, w+b) {
				boards += k + 1
			}
		}
	}
	return (o.Money[0]+o.Money[1])/2 + 0.1*float64(o.Joints) + 0.2*float64(o.Parts-boards) + 3*kinds
}

// A control moved by an edit changes nothing but what is nearer now; a plan of the same file is the same.
func TestSameFileSamePlan(t *testing.T) {
	src := desk + "groups:\n" + row("b", "push-12mm", 30, 200) + row("s", "toggle-mini-3", 8, 160)
	doc := project.Read("x.yaml", []byte(src))
	p, _ := panel.Place(doc, catalog.Builtin())
	a, b := dump(Work(p, catalog.Builtin())), dump(Work(p, catalog.Builtin()))
	if a != b {
		t.Error("two plans of one panel differ")
	}
}

// More expanders than one bus can tell apart go to a second one, where addresses begin anew; what a display has is left out.
func TestAddresses(t *testing.T) {
	src := desk + "wiring:\n  boards:\n"
	for i := range 10 {
		src += fmt.Sprintf("    e%d: {part: io-expander-16}\n", i)
	}
	src += "controls:\n  text: {part: display-16x2, at: [100, 150]}\n  go: {part: push-16mm, at: [200, 150]}\n"
	_, p, r := work(t, src)
	check(t, p, &r)
	seen := map[[2]int]string{{0, 39}: "the display"}
	for _, b := range r.Boards[1:] {
		k := [2]int{b.bus, b.Address}
		if seen[k] != "" || b.Address < 32 || b.Address > 39 {
			t.Errorf("%s: bus %d, address %d, which %s has", b.Name, b.bus, b.Address, seen[k])
		}
		seen[k] = b.Name
	}
	a, b := seat(t, r, "i2c/data").Pin, seat(t, r, "i2c-2/data").Pin
	if a == b || a.Zero() || b.Zero() || len(of(r, "wire.same-address")) > 0 {
		t.Errorf("buses on %v and %v", a, b)
	}
}
