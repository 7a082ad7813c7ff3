package wiring

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/solve/circuit"
)

// A silver button on the pull-up inside, 50 to 80 kohm: closed, the strongest pull-up and 1 uA of leak meet 0.2 ohm; open, 1 uA of leak
// through 80 kohm; current in the middle, the geometric mean of 63.2 kohm.
func TestInputByHand(t *testing.T) {
	_, _, r := work(t, desk+"controls: {go: {part: push-22mm, at: [50, 50]}}\n")
	in := inputOf(t, r, "go")
	near(t, "low", in.Low, 0.2*(3.3/50000+1e-6), 1e-3)
	near(t, "high", in.High, 3.3-80000*1e-6, 1e-3)
	near(t, "current", in.Current, 3.3/math.Sqrt(50e3*80e3)*1000, 1e-3)
	f := one(t, r, "amp.contact")
	near(t, "least current", f.Measure.Have, (3.3-80000*1e-6)/80000*1000, 1e-2)
	if f.Severity != finding.Note || f.Measure.Want != 0.5 || !strings.Contains(f.Body, "5.6 kΩ") { // 3.3 V / 0.5 mA = 6.6 kohm
		t.Errorf("%+v", f)
	}
	_, _, r = work(t, desk+"controls: {go: {part: push-16mm, at: [50, 50]}}\n") // gold
	if fs := of(r, "amp.contact"); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
}

// A diode in a matrix: 3.3 V fall on the pull-up of 50 kohm, the contact, the diode 1N4148 and the pin that pulls the row low, 50 ohm.
func TestMatrixInputByHand(t *testing.T) {
	src := desk + "wiring: {by: matrix, matrix: {rows: 2, columns: 2}}\ngroups:\n" + row("b", "push-16mm", 4, 50)
	_, _, r := work(t, src)
	if r.Plan.Matrix == nil {
		t.Fatal(dump(r))
	}
	lo, hi := 0.0, 1.0 // V at the pin
	for range 60 {
		v := (lo + hi) / 2
		i := (3.3-v)/50000 + 2e-6 - v/1e9 // the leak of the column, and of the row that waits, which goes nowhere: its diode blocks
		i -= 1e-6
		drop := 1.752*circuit.Vt*math.Log1p(i/2.52e-9) + i*(0.568+50+contactOhm)
		if drop > v {
			lo = v
		} else {
			hi = v
		}
	}
	in := inputOf(t, r, "b-1")
	near(t, "low", in.Low, lo, 5e-3)
	if in.Low < 0.4 || in.Low > 0.55 {
		t.Errorf("a silicon diode at 60 uA drops %.3f V", in.Low)
	}
	// Open, everything else on the column is closed: the column and the row that waits leak 1 uA each through 80 kohm.
	near(t, "high", in.High, 3.3-80000*2e-6, 5e-3)
}

const lcd = "controls: {text: {part: display-16x2, at: [120, 150]}}\n"

// A display for 5 V pulls its lines up to 5 V; a pin of 3.3 V bears 3.6 V.
func TestTooHigh(t *testing.T) {
	for _, c := range []struct{ name, src, say string }{
		{"display", desk + lcd, "its pull-ups"}, {"wheel", desk + "controls: {wheel: {part: encoder-wheel-60mm, at: [120, 150]}}\n", "its outputs"},
	} {
		doc, _, r := work(t, c.src)
		fs := of(r, "volt.too-high")
		if len(fs) != 1 {
			t.Fatalf("%s: %d findings", c.name, len(fs))
		}
		f := fs[0]
		solid(t, f)
		if f.Severity != finding.Stop || f.Measure.Have != 5 || f.Measure.Want != 3.6 || !strings.Contains(f.Head, c.say) || len(f.Fixes) != 1 {
			t.Errorf("%s: %+v %+v", c.name, f, f.Measure)
		}
		if s := mend(t, doc, f.Fixes[0]); len(of(s, "volt.too-high")) != 0 {
			t.Errorf("%s: the fix does not help", c.name)
		}
		// A module of 5 V takes it.
		_, _, r = work(t, strings.Replace(c.src, "rp2040-40pin", "atmega32u4-24pin", 1))
		if fs := of(r, "volt.too-high"); len(fs) != 0 || len(of(r, "volt.supply")) != 0 {
			t.Errorf("%s on 5 V: %+v", c.name, fs)
		}
	}
	// A display for 3 to 5.5 V is fed with 3.3 V.
	_, _, r := work(t, desk+"controls: {text: {part: display-oled-0.96, at: [120, 150]}}\n")
	if fs := of(r, "volt.too-high"); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
	// 5 V get through a lamp that its own contact lights, less what it drops at next to no current: a red one is too little of a wall.
	_, _, r = work(t, desk+"wiring: {lamps: {by: contact, supply: 5 V}}\ncontrols: {a: {part: push-16mm-lit, at: [50, 50]}}\n")
	if fs := of(r, "volt.too-high"); len(fs) != 0 { // white, 3.2 V
		t.Errorf("%+v", fs)
	}
	r = workWith(t, "parts: {red-button: {like: push-16mm-lit, lamp: {colour: red, drop: 1.8, current: 10, rated: 5}}}\n",
		desk+"wiring: {lamps: {by: contact, supply: 5 V}}\ncontrols: {a: {part: red-button, at: [50, 50]}}\n")
	f := one(t, r, "volt.too-high")
	solid(t, f)
	near(t, "behind the lamp", f.Measure.Have, 5-0.7*1.8, 1e-6)
}

// Supplies mixed up by hand: the lead of a display on the other supply.
func TestMixedSupplies(t *testing.T) {
	src := desk + "controls: {text: {part: display-16x2, at: [120, 150]}, small: {part: display-oled-0.96, at: [220, 150], lug: {}}}\n"
	src = strings.Replace(src, ", lug: {}", "", 1)
	r := spoilt(t, src, func(r *Result) { move(r, Terminal{"text", "VCC"}, "3.3 V") })
	f := one(t, r, "volt.supply")
	solid(t, f)
	if f.Measure.Have != 3.3 || f.Measure.Want != 4.5 || !strings.Contains(f.Body, "5 V") {
		t.Errorf("%+v", f)
	}
	own := "parts: {weak-display: {like: display-oled-0.96, circuit: {powered: {plus: VCC, minus: GND, volts: [3, 3.6], current: 20, bus: i2c, data: [{lug: SDA, does: sda}, {lug: SCL, does: scl}]}}}}\n"
	cat, problems := catalog.Builtin().With("own.yaml", []byte(own))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	w := plannedWith(t, cat, desk+"controls: {text: {part: weak-display, at: [120, 150]}, other: {part: display-16x2, at: [220, 150]}}\n")
	move(&w.r, Terminal{"text", "VCC"}, "5 V")
	w.check()
	f = one(t, w.r, "volt.supply")
	solid(t, f)
	if f.Measure.Have != 5 || !strings.Contains(f.Body, "destroys") {
		t.Errorf("%+v", f)
	}
}

// One terminal in two nets that have voltages of their own.
func TestShorted(t *testing.T) {
	src := desk + "controls: {a: {part: pot-16mm, at: [50, 50]}, b: {part: display-16x2, at: [120, 150]}}\n"
	r := spoilt(t, src, func(r *Result) {
		for i := range r.Nets {
			if r.Nets[i].Name == "5 V" {
				r.Nets[i].Terms = append(r.Nets[i].Terms, Terminal{"a", "1"}) // the low end of the pot
			}
		}
	})
	f := one(t, r, "volt.short")
	solid(t, f)
	if f.Measure.Have != 5 {
		t.Errorf("%+v", f)
	}
}

func TestFloating(t *testing.T) {
	w := plannedWith(t, catalog.Builtin(), desk+"wiring: {boards: {chain: {part: shift-in-8, at: [100, 100]}}}\ncontrols: {a: {part: push-16mm, at: [50, 50], via: shift-in}}\n")
	for i := range w.r.Boards {
		if w.r.Boards[i].Name == "chain" {
			d := *w.r.Boards[i].Part.Board
			d.PullUp = nil
			w.r.Boards[i].Part.Board = &d
		}
	}
	w.check()
	f := one(t, w.r, "volt.floating")
	solid(t, f)
	if !strings.Contains(f.Head, "Nothing pulls") {
		t.Errorf("%+v", f)
	}
	// The way back to ground left off.
	r := spoilt(t, desk+"controls: {a: {part: push-16mm, at: [50, 50]}}\n", func(r *Result) { move(r, Terminal{"a", "c"}, "") })
	f = one(t, r, "volt.floating")
	solid(t, f)
	if !strings.Contains(f.Head, "leads nowhere") {
		t.Errorf("%+v", f)
	}
}

// A pin that leaks 100 uA through 80 kohm would read 3.3 - 8 V: far below what is high. A diode of 0.6 V and more on a line that reads
// low up to 0.3 V is too much.
func TestLevels(t *testing.T) {
	src := desk + "wiring: {by: matrix, matrix: {rows: 2, columns: 2}}\ngroups:\n" + row("b", "push-16mm", 4, 50)
	spoil := func(change func(d *catalog.Board)) Result {
		return spoilt(t, src, func(r *Result) {
			d := *r.Boards[0].Part.Board
			change(&d)
			r.Boards[0].Part.Board = &d
		})
	}
	for name, r := range map[string]Result{"leak": spoil(func(d *catalog.Board) { d.Leak = 30 }), "low": spoil(func(d *catalog.Board) { d.Low = 0.3 })} {
		fs := of(r, "volt.level")
		if len(fs) == 0 {
			t.Errorf("%s: nothing is said", name)
		}
		for _, f := range fs {
			solid(t, f)
		}
	}
	if r := spoil(func(*catalog.Board) {}); len(of(r, "volt.level")) != 0 {
		t.Errorf("%+v", of(r, "volt.level"))
	}
}

// Of three contacts that lead round a fourth, the line of the fourth reads low although it is open: its voltage is solved. With diodes it
// stays high.
func TestGhostReadsLow(t *testing.T) {
	src := desk + "wiring: {by: matrix, matrix: {rows: 2, columns: 2, diodes: none}}\ngroups:\n" + row("s", "toggle-mini-2", 4, 50)
	_, _, r := work(t, src)
	f := one(t, r, "wire.matrix-held")
	if f.Measure == nil || f.Measure.Have > 0.1 || f.Measure.Want != 0.8 {
		t.Errorf("%+v", f.Measure)
	}
	w := plannedWith(t, catalog.Builtin(), src)
	c := &checker{w: w, r: &w.r, p: partsOf(&w.r, w.cat)}
	for _, g := range Ghosts(w.r.Crossings()) {
		v, low, ok := c.ghostVolts(g)
		if !ok || v > low {
			t.Errorf("%+v reads %g V", g, v)
		}
		for k := range g.Closed { // one of them open: it reads high
			fewer := g
			fewer.Closed = append(append([]int{}, g.Closed[:k]...), g.Closed[k+1:]...)
			if v, _, ok := c.ghostVolts(fewer); !ok || v < 2 {
				t.Errorf("%+v without one reads %g V", g, v)
			}
		}
	}
	w = plannedWith(t, catalog.Builtin(), strings.Replace(src, "diodes: none", "diodes: to-row", 1))
	c = &checker{w: w, r: &w.r, p: partsOf(&w.r, w.cat)}
	all := w.r.Crossings()
	for _, x := range all {
		g := Ghost{Shows: x.Signal}
		for _, y := range all {
			if y.Signal != x.Signal {
				g.Closed = append(g.Closed, y.Signal)
			}
		}
		if v, _, ok := c.ghostVolts(g); !ok || v < 2 {
			t.Errorf("with diodes and all others closed, %s reads %g V", w.r.Signals[x.Signal].Name, v)
		}
	}
}

func TestBuzzer(t *testing.T) {
	doc, _, r := work(t, desk+"controls: {beep: {part: buzzer-12mm, at: [50, 50]}}\n")
	f := one(t, r, "amp.pin")
	solid(t, f)
	if f.Severity != finding.Stop || f.Measure.Have != 30 || f.Measure.Want != 12 || len(f.Fixes) != 1 {
		t.Errorf("%+v", f)
	}
	if s := mend(t, doc, f.Fixes[0]); len(of(s, "amp.pin")) != 0 {
		t.Error("the fix does not help")
	}
	_, _, r = work(t, strings.Replace(desk, "rp2040-40pin", "atmega32u4-24pin", 1)+"controls: {beep: {part: buzzer-12mm, at: [50, 50]}}\n")
	if f = one(t, r, "amp.pin"); f.Severity != finding.Warn || f.Measure.Want != 10 {
		t.Errorf("%+v", f)
	}
}

// Twenty lamps of 4 mA are more than the 50 mA of all pins of the chip.
func TestAllPins(t *testing.T) {
	src := desk + "groups:\n" + row("l", "lamp-5mm", 20, 50)
	doc, _, r := work(t, src)
	f := one(t, r, "amp.pins")
	solid(t, f)
	if f.Severity != finding.Stop || f.Measure.Want != 50 || f.Measure.Have < 70 || f.Measure.Have > 90 || len(f.Fixes) != 1 {
		t.Fatalf("%+v %+v", f, f.Measure)
	}
	s := mend(t, doc, f.Fixes[0])
	for _, f := range of(s, "amp.pins") {
		if f.Severity == finding.Stop {
			t.Errorf("after the fix: %+v", f.Measure)
		}
	}
}

// The port: 100 mA before, 500 mA after, by USB 2.0.
func TestPort(t *testing.T) {
	_, _, r := work(t, strings.Replace(desk, "rp2040-40pin", "atmega32u4-24pin", 1)+"controls: {text: {part: display-20x4, at: [120, 150]}}\n")
	f := one(t, r, "amp.port")
	if f.Severity != finding.Warn || f.Measure.Have != 160 || f.Measure.Want != 100 { // 40 of the board, 120 of the display
		t.Errorf("%+v %+v", f, f.Measure)
	}
	_, _, r = work(t, desk+"wiring: {lamps: {by: always, supply: 5 V, current: 20}}\ngroups:\n"+row("l", "lamp-5mm", 26, 50))
	stop := false
	for _, f := range of(r, "amp.port") {
		solid(t, f)
		stop = stop || f.Severity == finding.Stop && f.Measure.Want == 500
	}
	if !stop {
		t.Errorf("26 lamps of 20 mA: %+v", r.Power)
	}
	f = one(t, r, "amp.rail")
	solid(t, f)
	if f.Measure.Want != 450 {
		t.Errorf("%+v", f.Measure)
	}
	var sum float64
	for _, l := range r.Power.Lamps {
		sum += l.Nominal
	}
	near(t, "rest", r.Power.Rest, 50+sum, 1e-9)
	near(t, "after", r.Power.After, r.Power.Rest, 1e-9)
}

func TestLampsByHand(t *testing.T) {
	// Red, 2.0 V at 10 mA, on a pin of 3.3 V and 60 ohm inside: (3.3 - 2) / 4 mA - 60 = 265, so 270 ohm. At 4 mA it drops a little
	// less than at 10: n Vt ln(10/4) + 3 ohm x 6 mA less.
	_, _, r := work(t, desk+"controls: {a: {part: lamp-5mm, at: [50, 50]}}\n")
	l := r.Power.Lamps[0]
	i := 4.0
	for range 50 {
		drop := 2 - 2*circuit.Vt*math.Log(10/i) - 3*(10-i)/1000
		i = (3.3 - drop) / 330 * 1000
	}
	near(t, "current", l.Nominal, i, 1e-3)
	if l.Fitting != "R1" || r.Fittings[0].Ohms != 270 || l.Volts != 3.3 || math.Abs(l.Headroom-1.3) > 1e-9 || l.Least >= l.Nominal || l.Most <= l.Nominal {
		t.Errorf("%+v", l)
	}
	for _, rule := range []string{"lamp.dim", "lamp.headroom", "lamp.bright", "lamp.heat", "lamp.no-resistor"} {
		if fs := of(r, rule); len(fs) != 0 {
			t.Errorf("%+v", fs)
		}
	}
	// Always lit from 5 V by request: (5 - 2) / 5 mA = 600, so 680 ohm.
	_, _, r = work(t, desk+"wiring: {lamps: {by: always, supply: 5 V}}\ncontrols: {a: {part: lamp-5mm, at: [50, 50]}}\n")
	if r.Fittings[0].Ohms != 680 || r.Power.Lamps[0].Supply != "5 V" {
		t.Errorf("%+v %+v", r.Fittings, r.Power.Lamps)
	}
}

func TestBlueLamp(t *testing.T) {
	doc, _, r := work(t, desk+"controls: {a: {part: lamp-5mm-holder-blue, at: [50, 50]}}\n")
	f := one(t, r, "lamp.headroom")
	solid(t, f)
	near(t, "room", f.Measure.Have, 0.1, 1e-6)
	if f.Severity != finding.Warn || len(f.Fixes) != 2 {
		t.Fatalf("%+v", f)
	}
	for _, x := range f.Fixes {
		s := mend(t, doc, x)
		if n := len(of(s, "lamp.headroom")) + len(of(s, "lamp.dim")) + len(of(s, "volt.too-high")); n != 0 || len(s.Power.Lamps) != 1 || s.Power.Lamps[0].Nominal < 2 {
			t.Errorf("%s: %+v", x.Say, s.Power.Lamps)
		}
	}
}

func TestBuiltInResistor(t *testing.T) {
	doc, _, r := work(t, desk+"controls: {a: {part: push-16mm-lit, at: [50, 50]}, b: {part: push-16mm-lit, at: [90, 50]}}\n")
	f := one(t, r, "lamp.dim")
	if !strings.HasPrefix(f.Head, "The lamps of A and B get ") || f.Measure.Have > f.Measure.Want || len(f.Fixes) != 2 {
		t.Errorf("%+v", f)
	}
	for _, x := range f.Fixes {
		s := mend(t, doc, x)
		if len(of(s, "lamp.dim"))+len(of(s, "volt.too-high"))+len(of(s, "volt.level")) != 0 {
			t.Errorf("%s: %v", x.Say, s.Findings)
		}
		for _, l := range s.Power.Lamps { // on the voltage that it is made for it gets the current of its record
			near(t, x.Short, l.Nominal, 12, 0.01)
		}
	}
	// The large resistor in the drawer.
	_, _, r = work(t, desk+"wiring: {resistors: [10k]}\ncontrols: {a: {part: lamp-5mm, at: [50, 50]}}\n")
	if f = one(t, r, "lamp.dim"); !strings.Contains(f.Body, "330 Ω") {
		t.Errorf("%+v", f)
	}
	// A lamp that is made for 3 V on 5 V.
	r = workWith(t, "parts: {low: {like: lamp-pilot-6mm, lamp: {colour: red, drop: 2, current: 10, rated: 3}}}\n", desk+"wiring: {lamps: {by: always, supply: 5 V}}\ncontrols: {a: {part: low, at: [50, 50]}}\n")
	if f = one(t, r, "lamp.bright"); f.Measure.Have < 20 {
		t.Errorf("%+v", f)
	}
	// Without a resistor.
	r = spoilt(t, desk+"controls: {a: {part: lamp-5mm, at: [50, 50]}}\n", func(r *Result) { move(r, Terminal{"a", "+"}, "A") })
	f = one(t, r, "lamp.no-resistor")
	solid(t, f)
}

func TestHotResistor(t *testing.T) {
	// 20 mA through (5 - 2) / 20 mA = 150 ohm are 60 mW, within a quarter of a watt; an eighth of a watt kept to half is 62.5 mW, and the
	// bright corner turns more into heat.
	own := "smalls: {resistor-carbon-e12: {like: resistor-carbon-e12, power: 0.0625}}\n"
	cat, problems := catalog.Builtin().With("own.yaml", []byte(own))
	if len(problems) > 0 {
		t.Fatal(problems[0].Say)
	}
	w := plannedWith(t, cat, desk+"wiring: {lamps: {by: always, supply: 5 V, current: 20}}\ncontrols: {a: {part: lamp-5mm, at: [50, 50]}}\n")
	w.check()
	f := one(t, w.r, "lamp.heat")
	if f.Measure.Have < 60 {
		t.Errorf("%+v", f.Measure)
	}
}

func TestBuses(t *testing.T) {
	bare := "parts: {bare-expander: {like: io-expander-16, board: {resistors: 0}}}\n"
	src := desk + "wiring: {boards: {one: {part: bare-expander, at: [100, 100]}}}\ncontrols: {a: {part: push-16mm, at: [50, 50], via: expander}}\n"
	f := one(t, workWith(t, bare, src), "bus.pull-ups")
	if !strings.Contains(f.Head, "Nothing on the bus") || len(f.Ends) < 2 {
		t.Errorf("%+v", f)
	}
	// Four displays with 4.7 kohm each and two boards with 1 kohm: 3.3 V - 0.4 V at 3 mA want 967 ohm at least.
	strong := "parts: {strong-expander: {like: io-expander-16, board: {resistors: 1000}}}\n"
	src = desk + "wiring: {boards: {one: {part: strong-expander, at: [100, 100]}, two: {part: strong-expander, at: [140, 100]}}}\ncontrols: {a: {part: push-16mm, at: [50, 50], via: expander}}\n"
	f = one(t, workWith(t, strong, src), "bus.pull-ups")
	near(t, "have", f.Measure.Have, 0.5, 1e-9)
	near(t, "want", f.Measure.Want, 2.9/3, 1e-9)
	// 10 kohm alone are too slow for 400 kHz: 300 ns / 0.8473 / 10 kohm = 35 pF.
	_, _, r := work(t, desk+"wiring: {boards: {one: {part: io-expander-16, at: [100, 100]}}}\ncontrols: {a: {part: push-16mm, at: [50, 50], via: expander}}\n")
	b := r.Buses()
	if len(b) != 1 || len(b[0].PullUps) != 1 || b[0].Volts != 3.3 || len(b[0].Chips) != 2 {
		t.Fatalf("%+v", b)
	}
	near(t, "chips", b[0].Chips[0]+b[0].Chips[1], 15e-12, 1e-9)
	// A display on a desk as long as a table.
	src = "knobwright: 1\nface: {width: 3000, height: 240, sheet: acrylic-3mm}\nbox: {form: flat, depth: 62, walls: birch-ply-9mm}\nmodule: {part: rp2040-40pin, at: [100, 70]}\n"
	_, _, r = work(t, src+"controls: {text: {part: display-oled-0.96, at: [1500, 150]}}\n")
	if f = one(t, r, "bus.slow"); f.Severity != finding.Note {
		t.Errorf("%+v", f)
	}
	_, _, r = work(t, src+"wiring: {boards: {one: {part: io-expander-16, at: [1500, 100]}}}\ncontrols: {text: {part: display-oled-0.96, at: [2900, 150]}, far: {part: display-oled-1.3, at: [60, 150]}}\n")
	if len(of(r, "bus.long"))+len(of(r, "bus.slow")) != 1 {
		t.Errorf("%v", r.Power.Checked)
	}
}

func TestTracks(t *testing.T) {
	own := "parts: {huge: {like: pot-16mm, circuit: {tracks: [{ends: [\"1\", \"3\"], wiper: \"2\", ohms: 1000000}]}}, loud: {like: pot-16mm, circuit: {tracks: [{ends: [\"1\", \"3\"], wiper: \"2\", ohms: 10000, taper: log}]}}}\n"
	r := workWith(t, own, desk+"controls: {a: {part: huge, at: [50, 50]}, b: {part: loud, at: [100, 50]}}\n")
	f := one(t, r, "analog.track")
	near(t, "error", f.Measure.Have, 1.2e6/4*1e-6/3.3*100, 1e-6) // 1 uA through a quarter of the track at its high corner
	one(t, r, "analog.taper")
	// One end loose.
	r = spoilt(t, desk+"controls: {a: {part: pot-16mm, at: [50, 50]}}\n", func(r *Result) { move(r, Terminal{"a", "3"}, "") })
	f = one(t, r, "analog.ends")
	solid(t, f)
	// Fed with 3.3 V, read against 5 V.
	src := strings.Replace(desk, "rp2040-40pin", "atmega32u4-34pin", 1)
	r = spoilt(t, src+"controls: {a: {part: pot-16mm, at: [50, 50]}, b: {part: display-oled-0.96, at: [120, 150]}}\n", func(r *Result) {
		for i := range r.Nets {
			if r.Nets[i].Kind == NetSupply {
				r.Nets[i].Volts = 3.3
			}
		}
	})
	if f = one(t, r, "analog.range"); f.Measure.Want != 5 || f.Measure.Have != 3.3 {
		t.Errorf("%+v", f.Measure)
	}
}

// 100 pulses at 3 turns a second are 1200 changes; the shortest phase, half of the even one, lasts 0.417 ms.
func TestEncoder(t *testing.T) {
	src := strings.Replace(desk, "rp2040-40pin", "atmega32u4-24pin", 1) + "controls: {wheel: {part: encoder-wheel-60mm, at: [120, 150]}}\n"
	_, _, r := work(t, src)
	if fs := of(r, "encoder.fast"); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
	_, _, r = work(t, src+"limits: {encoder.look: 1}\n")
	f := one(t, r, "encoder.fast")
	near(t, "shortest", f.Measure.Want, 0.5/1200*1000, 1e-9)
	if f.Measure.Have != 1 {
		t.Errorf("%+v", f.Measure)
	}
}

// Three lugs of 10 mA, 0.1 ohm between: 0.1 x 30 + 0.1 x 20 + 0.1 x 10 = 6 mV.
func TestFallByHand(t *testing.T) {
	r := Result{}
	lugs := []Terminal{{"a", "-"}, {"b", "-"}, {"c", "-"}}
	loads := map[Terminal]float64{lugs[0]: 10, lugs[1]: 10, lugs[2]: 10}
	run := Run{Name: "ground 1", Lugs: lugs, Ohms: []float64{0.1, 0.1, 0.1}}
	f, err := r.Falls(run, loads)
	if err != nil || f.At != 2 || f.Cut != 3 || f.Load != 30 {
		t.Fatalf("%+v %v", f, err)
	}
	near(t, "chain", f.Most, 6, 1e-9)
	run.From = []int{-1, 0, 1} // the same, said as a tree
	g, err := r.Falls(run, loads)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "tree", g.Most, 6, 1e-9)
	run.From = []int{-1, 0, 0} // b and c both from a: 0.1 x 30 + 0.1 x 10
	g, _ = r.Falls(run, loads)
	near(t, "branches", g.Most, 4, 1e-9)
	if here, worst := run.Broken(1); here != 1 || worst != 3 {
		t.Errorf("%d %d", here, worst)
	}
	// A ring of four like pieces: the middle lug is fed from both sides, 15 mA each: 0.1 x 15 + 0.1 x 5 = 2 mV.
	ring := Run{Name: "ground 1", Lugs: lugs, Ohms: []float64{0.1, 0.1, 0.1, 0.1}, Closed: true}
	g, err = r.Falls(ring, loads)
	if err != nil || g.At != 1 || g.Cut != 1 {
		t.Fatalf("%+v %v", g, err)
	}
	near(t, "ring", g.Most, 2, 1e-9)
	for _, bad := range []Run{{Lugs: lugs}, {Lugs: lugs, Ohms: []float64{1, 1, math.NaN()}}, {Lugs: lugs, Ohms: []float64{1, 1, 1}, From: []int{-1, 5, 0}}, {Lugs: lugs, Ohms: []float64{1, -1, 1}, From: []int{-1, 0, 1}}} {
		if _, err := r.Falls(bad, loads); err == nil {
			t.Errorf("%+v is no wire", bad)
		}
	}
}

// A pot at the end of a ground chain with lamps on it: what the lamps take moves it, what its own track takes does not.
func TestFallMovesReadings(t *testing.T) {
	src := desk + "wiring: {lamps: {by: always, supply: 5 V, current: 20}}\ngroups:\n" + row("l", "lamp-5mm", 10, 50) + "controls: {p: {part: pot-16mm, at: [200, 150]}}\n"
	_, p, r := work(t, src)
	loads := r.Loads()
	var lugs []Terminal
	var ohms []float64
	for i := range 10 {
		lugs, ohms = append(lugs, Terminal{fmt.Sprintf("l-%d", i+1), "-"}), append(ohms, 0.05)
	}
	lugs, ohms = append(lugs, Terminal{"p", "1"}), append(ohms, 0.05)
	run := Run{Name: "ground 1", Lugs: lugs, Ohms: ohms}
	f, err := r.Falls(run, loads)
	if err != nil {
		t.Fatal(err)
	}
	want := 0.0
	for i := range 10 {
		want += 0.05 * loads[lugs[0]] * float64(10-i)
	}
	near(t, "LSB", f.LSB, want/3300*4096, 1e-6)
	fs := r.FallFindings(run, f, p.Limits)
	if len(fs) != 1 || len(fs[0].Ends) != 2 || len(fs[0].Fixes) != 1 {
		t.Fatalf("%+v", fs)
	}
	solid(t, fs[0])
	near(t, "a hundredth of 4096", fs[0].Measure.Want, 40.96, 1e-9)
	run.Ohms = make([]float64, len(lugs)) // wire as thick as a thumb
	if f, _ = r.Falls(run, loads); len(r.FallFindings(run, f, p.Limits)) != 0 {
		t.Errorf("%+v", f)
	}
}

// A board that runs on 5 V only reads high from 0.7 x 5 V on: a module of 3.3 V does not reach that.
func TestBoardOn5Volt(t *testing.T) {
	own := "parts: {five: {like: analog-in-8, board: {supplies: [{lug: VCC, volts: 5, gives: 0, takes: true, range: [4.5, 5.5]}]}}}\n"
	r := workWith(t, own, desk+"wiring: {boards: {look: {part: five, at: [100, 100]}}}\ngroups:\n"+row("p", "pot-16mm", 5, 50))
	f := one(t, r, "volt.level")
	solid(t, f)
	near(t, "wanted", f.Measure.Want, 3.5, 1e-9)
	near(t, "had", f.Measure.Have, 3.3, 1e-9)
}

// Six like resistors make steps of a sixth of the supply, less what the resistor of 100 kohm at the pin takes; with 5 % each, all below
// the step large and all above it small, or the reverse, are the corners.
func TestLadderReadings(t *testing.T) {
	src := desk + "wiring: {by: ladder}\ncontrols: {mood: {part: rotary-6way, at: [50, 50], via: ladder}}\n"
	w := plannedWith(t, catalog.Builtin(), src)
	c := &checker{w: w, r: &w.r, p: partsOf(&w.r, w.cat)}
	for i, s := range w.r.Signals {
		if s.Kind != SigLadder {
			continue
		}
		rungs, _, tol := c.rungs(i, c.p.nodeOf(i))
		if len(rungs) < 6 || tol != 5 {
			t.Fatalf("%+v %g", rungs, tol)
		}
		n := len(rungs)
		for k := 1; k < n; k++ {
			if rungs[k].low <= rungs[k-1].high {
				t.Errorf("%+v overlap", rungs)
			}
		}
		top := rungs[n-1]
		near(t, "uppermost", top.high, 3.3, 1e-5)
		near(t, "uppermost", top.low, 3.3, 1e-5)
		divide := func(below, above, open float64) float64 {
			below = below * open / (below + open)
			return 3.3 * below / (below + above)
		}
		middle := rungs[n-4] // the third of six steps
		near(t, "middle, least", middle.low, divide(3*950, 3*1050, 95e3), 1e-4)
		near(t, "middle, most", middle.high, divide(3*1050, 3*950, 105e3), 1e-4)
	}
	w.check()
	if fs := of(w.r, "analog.ladder"); len(fs) != 0 {
		t.Errorf("%+v", fs)
	}
	// With resistors that may be off by half, steps overlap.
	r := spoilt(t, src, func(r *Result) {
		for i := range r.Fittings {
			r.Fittings[i].Tol = 50
		}
	})
	f := one(t, r, "analog.ladder")
	solid(t, f)
	if f.Severity != finding.Stop || f.Measure.Have > 0 || f.Measure.Want != 32 { // 4 x 2 steps of 10 bits, 4 times that at 12
		t.Errorf("%+v %+v", f, f.Measure)
	}
}
