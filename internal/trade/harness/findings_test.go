package harness

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

const buttons = "controls:\n  a: {part: push-16mm, at: [120, 60]}\n  b: {part: push-16mm, at: [180, 60]}\n  c: {part: push-16mm, at: [240, 60]}\n"

// Bad settings are told with a place in the file, and wires are laid all the same.
func TestFindings(t *testing.T) {
	long := "controls:\n"
	for i := range 14 {
		long += fmt.Sprintf("  s%d: {part: pot-16mm, at: [%d, %d]}\n", i, 100+i%5*40, 60+i/5*45)
	}
	for _, c := range []struct{ rule, src, head string }{
		{"harness.unknown-wire", spare + "wiring: {wire: {signal: hookup-42}}\n" + buttons, "hookup-42"},
		{"harness.unknown-wire", spare + "wiring: {stock: [{wire: string, colour: BK, length: 2 m}]}\n" + buttons, "string"},
		{"harness.unknown-colour", spare + "wiring: {wire: {colours: {signal: MAUVE}}}\n" + buttons, "MAUVE"},
		{"harness.unknown-colour", spare + "wiring: {stock: [{wire: hookup-24, colour: plaid, length: 2 m}]}\n" + buttons, "plaid"},
		{"harness.stock-short", spare + "wiring: {stock: [{wire: hookup-24, colour: BK, length: 0}]}\n" + buttons, "no length"},
		{"harness.no-place", strings.Replace(spare, ", at: [60, 60]", "", 1) + buttons, "no place"},
		{"harness.opens", spare + "wiring: {opens: {by: hinge}}\n" + buttons, "not held by one"},
		{"harness.opens", strings.Replace(spare, "birch-ply-9mm}", "birch-ply-9mm, held: glued}", 1) + "wiring: {opens: {by: lift}}\n" + buttons, "glued"},
		{"harness.opens", strings.Replace(spare, "birch-ply-9mm}", "birch-ply-9mm, held: hinged}", 1) + "wiring: {opens: {by: lift, room: 50}}\n" + buttons, "hangs on a hinge"},
		{"harness.opens", strings.Replace(spare, "birch-ply-9mm}", "birch-ply-9mm, held: hinged}", 1) + "wiring: {opens: {angle: 300 deg}}\n" + buttons, "300"},
		{"harness.opens", spare + "wiring: {opens: {room: 9 m, by: lift}}\n" + buttons, "lifted"},
		{"harness.opens", strings.Replace(spare, "box: {form: flat, depth: 60, walls: birch-ply-9mm}\n", "", 1) + "wiring: {opens: {by: lift}}\n" + buttons, "no box"},
		{"harness.ribbon", spare + "wiring: {wire: {ribbon: hookup-24}}\n" + buttons, "no ribbon"},
		{"harness.long", spare + "limits: {harness.longest: 200}\n" + buttons, "is"},
		{"harness.chain", spare + long, "cuts off"},
		{"harness.solid-moves", spare + "wiring: {wire: {signal: hookup-24-solid}}\n" + buttons, "solid"},
		{"harness.no-way", strings.Replace(spare, "depth: 60", "depth: 20", 1) + buttons, "No wire gets"},
	} {
		w := laid("panel.yaml", []byte(c.src))
		fs := of(w.r.Findings, c.rule)
		if len(fs) == 0 {
			t.Errorf("%s is not told of:\n%s\n%v", c.rule, c.src, w.r.Findings)
			continue
		}
		f := fs[0]
		if !strings.Contains(f.Head+f.Body, c.head) {
			t.Errorf("%s: %q %q, want %q", c.rule, f.Head, f.Body, c.head)
		}
		for _, e := range f.Ends {
			if e.Path == "" || e.Name == "" {
				t.Errorf("%s: end %+v", c.rule, e)
			}
		}
		if len(f.Ends) == 0 || len(w.r.Wires) == 0 {
			t.Errorf("%s: %d ends, %d wires", c.rule, len(f.Ends), len(w.r.Wires))
		}
	}
}

// A panel without faults has no finding of this trade.
func TestNoFindings(t *testing.T) {
	if w := laid("panel.yaml", []byte(spare+buttons)); len(w.r.Findings) != 0 {
		t.Errorf("%v", w.r.Findings)
	}
}

// One finding for all chains, with both ends of the worst.
func TestOneFindingForChains(t *testing.T) {
	w := example(t, "signal-desk")
	fs := of(w.r.Findings, "harness.chain")
	if len(fs) != 1 || len(fs[0].Ends) < 3 || len(fs[0].Fixes) != 1 || !strings.Contains(fs[0].Body, "more chain") {
		t.Errorf("%+v", fs)
	}
}

// Every rule that is said is in the list, and every rule has words.
func TestRules(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range Rules {
		if seen[r.Name] || r.Title == "" || len(r.Explain) < 80 || !strings.HasPrefix(r.Name, "harness.") {
			t.Errorf("%+v", r)
		}
		seen[r.Name] = true
	}
}

// Plans that are unfinished, or of no sense, do no harm.
func TestNoSense(t *testing.T) {
	cat := catalog.Builtin()
	p, _ := panel.Place(project.Read("panel.yaml", []byte(spare+buttons)), cat)
	w := wiring.Work(p, cat)
	for name, change := range map[string]func(r *wiring.Result){
		"nothing":    func(r *wiring.Result) { *r = wiring.Result{} },
		"no boards":  func(r *wiring.Result) { r.Boards = nil },
		"no nets":    func(r *wiring.Result) { r.Nets = nil },
		"no seats":   func(r *wiring.Result) { r.Plan.Seats = nil },
		"no signals": func(r *wiring.Result) { r.Signals = nil },
		"unknown lugs": func(r *wiring.Result) {
			r.Nets = append(r.Nets, wiring.Net{Name: "x", Terms: []wiring.Terminal{{Of: "nobody", Lug: "9"}, {Of: "a", Lug: "q"}}, Signal: -1})
		},
		"one lug twice": func(r *wiring.Result) {
			r.Nets = append(r.Nets, wiring.Net{Name: "x", Terms: []wiring.Terminal{{Of: "a", Lug: "no"}, {Of: "a", Lug: "no"}}, Signal: -1})
		},
		"lugs alone": func(r *wiring.Result) {
			r.Nets = append(r.Nets, wiring.Net{Name: "x", Terms: []wiring.Terminal{{Of: "a", Lug: "no"}, {Of: "b", Lug: "no"}, {Of: "c", Lug: "no"}}, Signal: -1})
		},
		"pins alone": func(r *wiring.Result) {
			r.Nets = append(r.Nets, wiring.Net{Name: "x", Terms: []wiring.Terminal{{Of: "module", Lug: "1"}, {Of: "module", Lug: "2"}}, Signal: 99})
		},
		"odd power": func(r *wiring.Result) {
			r.Power.Lamps = []wiring.LampWork{{Device: 77}}
			r.Power.Inputs = []wiring.Input{{Signal: -4}}
		},
		"odd fitting": func(r *wiring.Result) {
			r.Fittings = []wiring.Fitting{{Name: "R1", At: wiring.Terminal{Of: "nobody", Lug: "1"}}}
		},
		"odd device":  func(r *wiring.Result) { r.Signals[0].Device = 1234 },
		"other board": func(r *wiring.Result) { r.Boards = append(r.Boards, wiring.Board{Name: "ghost", Label: "ghost"}) },
	} {
		r := w
		r.Nets = append([]wiring.Net{}, w.Nets...)
		r.Signals = append([]wiring.Signal{}, w.Signals...)
		change(&r)
		got := Work(p, r, cat)
		for _, x := range got.Wires {
			if x.Length <= 0 || x.Length > 5000 {
				t.Errorf("%s: %+v", name, x)
			}
		}
	}
	Work(&panel.Panel{}, w, cat)
}

// A partial plan gives the wires that are settled.
func TestPartial(t *testing.T) {
	cat := catalog.Builtin()
	p, _ := panel.Place(project.Read("panel.yaml", []byte(spare+buttons)), cat)
	plan := wiring.Work(p, cat)
	whole := Work(p, plan, cat)
	pin := plan.Plan.Seats[1].Pin
	plan.Plan.Partial = true
	plan.Plan.Seats[1] = wiring.Seat{}
	for i, n := range plan.Nets {
		plan.Nets[i].Terms = slices.DeleteFunc(slices.Clone(n.Terms), func(t wiring.Terminal) bool { return t == pin })
	}
	w := &worker{p: p, w: plan, cat: cat}
	w.r.Partial = plan.Plan.Partial
	w.work()
	if !w.r.Partial || len(w.r.Wires) != len(whole.Wires)-1 {
		t.Errorf("partial %v, %d wires; with all pins %d", w.r.Partial, len(w.r.Wires), len(whole.Wires))
	}
	sound(t, w)
	for _, f := range w.r.Findings {
		if f.Severity == finding.Stop {
			t.Errorf("%v", f)
		}
	}
}

// A thin wire for a heavy load, and one that bears it. Check value: AWG 30 bears 0.86 A in the open, AWG 24 3.5 A: Handbook of
// Electronic Tables and Formulas, chassis wiring.
func TestThin(t *testing.T) {
	for _, c := range []struct {
		wire string
		mA   float64
		want int
	}{{"hookup-30", 500, 0}, {"hookup-30", 1200, 1}, {"hookup-24", 1200, 0}} {
		p, _ := panel.Place(project.Read("panel.yaml", []byte(spare+"wiring: {wire: {ground: "+c.wire+"}}\n"+buttons)), catalog.Builtin())
		plan := wiring.Work(p, catalog.Builtin())
		plan.Power.Inputs = nil
		for i := range plan.Signals {
			plan.Power.Inputs = append(plan.Power.Inputs, wiring.Input{Signal: i, Current: c.mA / float64(len(plan.Signals))})
		}
		r := Work(p, plan, catalog.Builtin())
		if got := len(of(r.Findings, "harness.thin")); got != c.want {
			t.Errorf("%s with %g mA: %d findings, load %g", c.wire, c.mA, got, r.Chains[0].Load)
		}
	}
}
