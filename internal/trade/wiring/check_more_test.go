package wiring

import (
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/solve/circuit"
)

func TestAmount(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 0.0661: "0.066", 0.59: "0.59", 3.94: "3.9", 9.99: "10", 12.4: "12", 152.3: "152", -0.05: "-0.05", 0.00123: "0.0012"} {
		if got := amount(v); got != want {
			t.Errorf("%g is written %s, want %s", v, got, want)
		}
	}
	if volt(0.4567) != "0.46 V" || volt(3) != "3 V" || span(1.01, 1.02) != "1" || span(1, 2) != "1 to 2" || against(100.4, 100) != "100.4" || against(102, 100) != "102" {
		t.Error(volt(0.4567), span(1.01, 1.02), against(100.4, 100))
	}
}

// At rest a rotary switch stands in its first position; in another state in that.
func TestCircuitStates(t *testing.T) {
	src := desk + "controls: {mood: {part: rotary-6way, at: [50, 50]}, go: {part: push-16mm, at: [120, 50]}, scene: {part: encoder-m7, at: [180, 50]}}\n"
	_, _, r := work(t, src)
	at := func(s State, label string) float64 {
		a, err := Circuit(r, s, nil).Solve()
		if err != nil {
			t.Fatal(err)
		}
		return a.V(label)
	}
	for _, c := range []struct {
		s     State
		label string
		low   bool
	}{
		{State{}, "MOOD 1", true}, {State{}, "MOOD 2", false}, {State{}, "GO", false}, {State{}, "SCENE a", false},
		{State{At: map[string]string{"mood": "2"}}, "MOOD 1", false}, {State{At: map[string]string{"mood": "2"}}, "MOOD 2", true},
		{State{At: map[string]string{"go": "pressed"}}, "GO", true}, {State{Phase: map[string]string{"scene": "A"}}, "SCENE a", true},
		{State{Phase: map[string]string{"scene": "A"}}, "SCENE b", false}, {State{Phase: map[string]string{"scene": "AB"}}, "SCENE b", true},
	} {
		if v := at(c.s, c.label); (v < 0.1) != c.low || !c.low && v < 3 {
			t.Errorf("%+v: %s has %g V", c.s, c.label, v)
		}
	}
	// A wire of 1000 ohm lies between the pin and the lug, and another on the way to ground.
	n := Circuit(r, State{At: map[string]string{"go": "pressed"}}, func(net string) float64 {
		return map[string]float64{"GO": 1000, "ground": 500}[net]
	})
	a, err := n.Solve()
	if err != nil {
		t.Fatal(err)
	}
	i := 3.3 / (63245.55 + 1500)
	near(t, "at the pin", a.V("GO at the pin"), a.V("ground at the lugs")+i*1000, 1e-2)
	if a.V("ground at the lugs") < i*500*0.99 {
		t.Errorf("ground rises by %g V", a.V("ground at the lugs"))
	}
}

// Every pin that a lead ends at is in the circuit, and every pull-up of a board on a bus.
func TestPartsAreComplete(t *testing.T) {
	for _, name := range examples.Names() {
		_, p := place(t, name, examples.File(name))
		if p.Module == nil {
			continue
		}
		r := Work(p, catalog.Builtin())
		q := partsOf(&r, catalog.Builtin())
		have := map[elementKind]int{}
		for _, e := range q.list {
			have[e.kind]++
		}
		pins, pulls, lamps, tracks := 0, 0, 0, 0
		for _, n := range r.Nets {
			for _, x := range n.Terms {
				for i := range r.Boards {
					d := r.Boards[i].Part.Board
					if r.Boards[i].Name != x.Of {
						continue
					}
					if pin := pinOf(d, x.Lug); pin.Kind == catalog.PinIO {
						pins++
						if d.Resistors > 0 && (pin.Bus == "sda" || pin.Bus == "scl") {
							pulls++
						}
					}
				}
			}
		}
		for _, d := range r.Devices {
			switch d.Kind {
			case DevLamp:
				lamps++
			case DevTrack:
				tracks++
			case DevPowered:
				if pw := d.Control.Part.Circuit.Powered; pw.Bus == "i2c" && pw.PullUp > 0 {
					pulls += 2
				}
			}
		}
		if have[elPin] != pins || have[elPull] != pulls || have[elLamp] != lamps || have[elTrack] != tracks {
			t.Errorf("%s: %d pins of %d, %d pull-ups of %d, %d lamps of %d, %d tracks of %d", name, have[elPin], pins, have[elPull], pulls, have[elLamp], lamps, have[elTrack], tracks)
		}
	}
}

func TestDiodeOf(t *testing.T) {
	cat := catalog.Builtin()
	if d := diodeOf(&Fitting{Part: "diode-bat85"}, cat); d != (circuit.Diode{Sat: 1e-7, Ideal: 1.344, Rs: 2}) {
		t.Errorf("%+v", d)
	}
	if d := diodeOf(&Fitting{Part: "none"}, cat); d != small1N4148 {
		t.Errorf("%+v", d)
	}
	odd, problems := cat.With("own.yaml", []byte("smalls:\n  leaky: {title: odd, kind: diode, sat: 0.5, ideal: 1, rs: 1}\n  flat: {title: odd, kind: diode, sat: 1.0e-9, ideal: 40, rs: 1}\n"))
	if len(problems) > 0 {
		t.Skip(problems[0].Say) // the catalogue refuses them itself
	}
	for _, id := range []string{"leaky", "flat"} {
		if d := diodeOf(&Fitting{Part: id}, odd); d != small1N4148 {
			t.Errorf("%s: %+v", id, d)
		}
	}
}

// A shift-in board on 5 V drives 5 V into the module.
func TestShiftInOn5Volt(t *testing.T) {
	own := "parts: {five: {like: shift-in-8, board: {supplies: [{lug: VCC, volts: 5, gives: 0, takes: true, range: [4.5, 5.5]}]}}}\n"
	r := workWith(t, own, desk+"wiring: {boards: {chain: {part: five, at: [100, 100]}}}\ncontrols: {a: {part: push-16mm, at: [50, 50], via: shift-in}}\n")
	f := one(t, r, "volt.too-high")
	solid(t, f)
	if f.Measure.Have != 5 || !strings.Contains(f.Head, "its output") {
		t.Errorf("%+v", f)
	}
	one(t, r, "volt.level") // and does not hear the module's clock
}

// A resistor of one's own to the supply holds an input that the chip does not.
func TestPullUpOfOnesOwn(t *testing.T) {
	src := desk + "wiring: {boards: {chain: {part: shift-in-8, at: [100, 100]}}}\ncontrols: {a: {part: push-22mm, at: [50, 50], via: shift-in}}\n"
	for _, to := range []string{"3.3 V", "ground"} {
		r := spoilt(t, src, func(r *Result) {
			d := *r.Boards[1].Part.Board
			d.PullUp = nil
			r.Boards[1].Part.Board = &d
			r.Fittings = append(r.Fittings, Fitting{Name: "R9", Kind: "resistor", Ohms: 4700, Tol: 5, For: 0})
			for i := range r.Nets {
				switch r.Nets[i].Name {
				case "A":
					r.Nets[i].Terms = append(r.Nets[i].Terms, Terminal{"R9", "1"})
				case to:
					r.Nets[i].Terms = append(r.Nets[i].Terms, Terminal{"R9", "2"})
				}
			}
		})
		if to == "ground" { // that way it holds nothing
			one(t, r, "volt.floating")
			continue
		}
		if fs := of(r, "volt.floating"); len(fs) != 0 {
			t.Errorf("%+v", fs)
		}
		near(t, "current", inputOf(t, r, "a").Current, 3.3/4700*1000, 1e-3)
		if fs := of(r, "amp.contact"); len(fs) != 0 { // 0.7 mA
			t.Errorf("%+v", fs)
		}
	}
}

// Contacts that are read in different ways are told apart; a copy of a control is mended where its original stands.
func TestGroupsOfFindings(t *testing.T) {
	src := desk + "wiring: {by: matrix, matrix: {rows: 2, columns: 2}}\ncontrols: {x: {part: push-22mm, at: [300, 50], via: direct}}\ngroups:\n" + row("b", "push-22mm", 4, 50)
	_, _, r := work(t, src)
	fs := of(r, "amp.contact")
	if len(fs) != 2 || strings.Contains(fs[0].Body, "line that is read") == strings.Contains(fs[1].Body, "line that is read") {
		t.Errorf("%+v", fs)
	}
	src = desk + "groups:\n  a: {part: push-16mm-lit, names: \"a-{n}\", row: {from: [20, 50], step: 30, count: 2}}\n  b: {mirror: {of: [a], line: upright, at: 200, suffix: -e}}\n"
	doc, _, r := work(t, src)
	f := one(t, r, "lamp.dim")
	if len(f.Fixes) == 0 || len(f.Fixes[0].Edits) != 2 {
		t.Fatalf("%+v", f)
	}
	if s := mend(t, doc, f.Fixes[0]); len(of(s, "lamp.dim")) != 0 || len(s.Power.Lamps) != 4 {
		t.Errorf("%+v", s.Findings)
	}
}

// A lamp that nothing feeds does not keep the others from being looked at.
func TestLooseLamp(t *testing.T) {
	r := spoilt(t, desk+"wiring: {lamps: {by: always, supply: 5 V}}\ncontrols: {a: {part: lamp-5mm, at: [50, 50]}, b: {part: lamp-5mm, at: [90, 50]}}\n", func(r *Result) {
		move(r, Terminal{"R1", "1"}, "")
	})
	if len(r.Power.Lamps) != 1 || r.Devices[r.Power.Lamps[0].Device].ID != "b" {
		t.Errorf("%+v", r.Power.Lamps)
	}
}

// What each lug of a chain passes on, by hand.
func TestLoads(t *testing.T) {
	src := desk + "controls: {go: {part: push-22mm, at: [50, 50]}, a: {part: lamp-5mm, at: [90, 50]}, p: {part: pot-16mm, at: [150, 50]}, text: {part: display-oled-0.96, at: [220, 150]}}\n"
	_, _, r := work(t, src)
	loads := r.Loads()
	near(t, "contact", loads[Terminal{"go", "c"}], inputOf(t, r, "go").Current, 1e-9)
	near(t, "lamp", loads[Terminal{"a", "-"}], r.Power.Lamps[0].Most, 1e-9)
	near(t, "pot, low end", loads[Terminal{"p", "1"}], 3.3/(10e3*0.8)*1000, 1e-9)
	near(t, "pot, high end", loads[Terminal{"p", "3"}], 3.3/(10e3*0.8)*1000, 1e-9)
	near(t, "display", loads[Terminal{"text", "VCC"}], 25, 1e-9)
	near(t, "display", loads[Terminal{"text", "GND"}], 25, 1e-9)
	if len(loads) != 6 {
		t.Errorf("%+v", loads)
	}
	// A board passes what its pins give to lamps, and what it takes itself.
	src = desk + "wiring: {boards: {one: {part: io-expander-16, at: [100, 100]}}, pins: {a: {pin: A0, on: one}}}\ncontrols: {a: {part: lamp-5mm, at: [90, 50]}}\n"
	_, _, r = work(t, src)
	near(t, "board", r.Loads()[Terminal{"one", "VCC"}], 1+r.Power.Lamps[0].Most, 1e-9)
}

// The bounds in a finding about pull-ups are those of UM10204 for the capacitance of that bus.
func TestBusBounds(t *testing.T) {
	cat, problems := catalog.Builtin().With("own.yaml", []byte("parts: {bare-expander: {like: io-expander-16, board: {resistors: 0}}}\n"))
	if len(problems) > 0 {
		t.Fatal(problems[0].Say)
	}
	w := plannedWith(t, cat, desk+"wiring: {boards: {one: {part: bare-expander, at: [100, 100]}}}\ncontrols: {a: {part: push-16mm, at: [50, 50], via: expander}}\n")
	w.check()
	c := &checker{w: w, r: &w.r}
	b := w.r.Buses()[0]
	farad := 15e-12 + 100e-12*c.metres(b.Terms)
	f := one(t, w.r, "bus.pull-ups")
	near(t, "least conductance", f.Measure.Want, 1000/(300e-9/(0.8473*farad)), 1e-6)
	if f.Measure.Sense != finding.AtLeast {
		t.Errorf("%+v", f.Measure)
	}
}

// What was computed is told with the numbers that it gave.
func TestCheckedSentences(t *testing.T) {
	src := desk + "controls: {a: {part: lamp-5mm, at: [50, 50]}, b: {part: lamp-5mm-holder-green, at: [90, 50]}, p: {part: pot-16mm, at: [150, 50]}, q: {part: pot-16mm, at: [200, 50]}, s: {part: encoder-m7, at: [250, 50]}}\n"
	_, _, r := work(t, src)
	x, y := r.Power.Lamps[0], r.Power.Lamps[1]
	want := []string{
		"2 lamps: " + span(min(x.Nominal, y.Nominal), max(x.Nominal, y.Nominal)) + " mA each; with every tolerance against them or for them " + span(min(x.Least, y.Least), max(x.Most, y.Most)) + " mA.",
		"2 tracks: 0.66 mA in all; the pin sees 3 kΩ at most, which its leak turns into 0.091 % of the way at most.", // 2 x 3.3 V / 10 k; 12 k / 4; 1 uA x 3 k / 3.3 V
		"1 encoder: up to 288 changes a second at 3 turns a second; the shortest is looked at 6.9 times or more.",    // 24 x 4 x 3; 1 / 576 s / 0.25 ms
	}
	all := strings.Join(r.Power.Checked, "\n")
	for _, w := range want {
		if !strings.Contains(all, w) {
			t.Errorf("%q is not said:\n%s", w, all)
		}
	}
	_, _, r = work(t, desk+"wiring: {by: ladder}\ncontrols: {go: {part: push-16mm, at: [20, 50]}, mood: {part: rotary-6way, at: [50, 50], via: ladder}, tone: {part: rotary-12way, at: [120, 50], via: ladder}}\n")
	n := 0
	for _, s := range r.Power.Checked {
		if strings.Contains(s, "steps apart at least") {
			n++
		}
	}
	if n != 2 {
		t.Errorf("%d ladders are told of:\n%s", n, strings.Join(r.Power.Checked, "\n"))
	}
}
