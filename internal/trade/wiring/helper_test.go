package wiring

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// desk is a file with a box and a module; controls are added below it.
const desk = `knobwright: 1
face: {width: 400, height: 240, sheet: acrylic-3mm}
box: {form: flat, depth: 62, walls: birch-ply-9mm}
module: {part: rp2040-40pin, at: [200, 70]}
`

// work plans a file.
func work(t testing.TB, src string) (*project.Doc, *panel.Panel, Result) {
	t.Helper()
	doc, p := place(t, "panel.yaml", []byte(src))
	for _, f := range doc.Findings {
		t.Fatalf("the file is not read: %s %s", f.Rule, f.Head)
	}
	return doc, p, Work(p, catalog.Builtin())
}

// row makes a group of controls of one part, spread so that they do not matter to each other.
func row(group, part string, n int, y float64) string {
	return fmt.Sprintf("  %s: {part: %s, names: \"%s-{n}\", row: {from: [20, %g], step: 12, count: %d}}\n", group, part, group, y, n)
}

func of(r Result, rule string) []finding.Finding {
	var out []finding.Finding
	for _, f := range r.Findings {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

// one gives the only finding of a rule.
func one(t testing.TB, r Result, rule string) finding.Finding {
	t.Helper()
	fs := of(r, rule)
	if len(fs) != 1 {
		t.Fatalf("%d findings of %s, want one:\n%s", len(fs), rule, dump(r))
	}
	return fs[0]
}

func seat(t testing.TB, r Result, name string) Seat {
	t.Helper()
	for i, s := range r.Signals {
		if s.Name == name {
			return r.Plan.Seats[i]
		}
	}
	t.Fatalf("no signal %s:\n%s", name, dump(r))
	return Seat{}
}

// mend applies a fix and plans again.
func mend(t testing.TB, doc *project.Doc, f finding.Fix) Result {
	t.Helper()
	src, err := doc.Apply(f.Edits)
	if err != nil {
		t.Fatalf("%s: %v", f.Say, err)
	}
	_, _, r := work(t, string(src))
	return r
}

// tester is what checks need of a test.
type tester interface {
	Helper()
	Errorf(format string, args ...any)
}

// check holds for every result.
func check(t tester, p *panel.Panel, r *Result) {
	t.Helper()
	if len(r.Plan.Seats) != len(r.Signals) {
		t.Errorf("%d seats for %d signals", len(r.Plan.Seats), len(r.Signals))
		return
	}
	boards := map[string]*Board{}
	for i := range r.Boards {
		b := &r.Boards[i]
		if boards[b.Name] != nil {
			t.Errorf("two boards are called %s", b.Name)
		}
		boards[b.Name] = b
	}
	names := map[string]bool{}
	used := map[Terminal]int{}
	crossing := map[[2]int]int{}
	partial := false
	for i, s := range r.Signals {
		if names[s.Name] {
			t.Errorf("two signals are called %s", s.Name)
		}
		names[s.Name] = true
		seat := r.Plan.Seats[i]
		switch seat.Way {
		case Waits:
			partial = true
			if !seat.Pin.Zero() {
				t.Errorf("%s waits on %v", s.Name, seat.Pin)
			}
		case Matrix:
			k := [2]int{seat.Row, seat.Column}
			if j, ok := crossing[k]; ok {
				t.Errorf("%s and %s cross at the same place", s.Name, r.Signals[j].Name)
			}
			crossing[k] = i
			if s.Kind != SigContact || r.Signals[seat.Row].Kind != SigRow || r.Signals[seat.Column].Kind != SigColumn {
				t.Errorf("%s is no contact, or crosses no lines: %+v", s.Name, seat)
			}
		case Ladder:
			if r.Signals[slices.IndexFunc(r.Signals, func(x Signal) bool { return x.Kind == SigLadder })].Kind != SigLadder {
				t.Errorf("%s has no ladder", s.Name)
			}
		default:
			if j, ok := used[seat.Pin]; ok {
				t.Errorf("%s and %s are on pin %v", s.Name, r.Signals[j].Name, seat.Pin)
			}
			used[seat.Pin] = i
			b := boards[seat.Pin.Of]
			if b == nil || b.Part.Board == nil {
				t.Errorf("%s is on no board: %v", s.Name, seat.Pin)
				continue
			}
			pin, ok := b.Part.Board.Pin(seat.Pin.Lug)
			if !ok || !pin.Line() {
				t.Errorf("%s is on %v, which is no pin for leads", s.Name, seat.Pin)
			}
			for _, n := range s.Needs {
				if !slices.Contains(pin.Can, n) {
					t.Errorf("%s wants %s, pin %v cannot", s.Name, n, seat.Pin)
				}
			}
			if pin.Avoid == 2 && s.Asked.Zero() {
				t.Errorf("%s is on pin %v, which is only for the person to give", s.Name, seat.Pin)
			}
			if b.Part.Board.Role == roleShiftIn && s.Kind != SigContact || b.Part.Board.Role == roleExpander && (s.Kind == SigPhase || s.Kind == SigWiper) {
				t.Errorf("%s, a %s, is on a line of %s", s.Name, s.Kind, b.Name)
			}
			if !s.Asked.Zero() && (s.Asked != seat.Pin || !seat.Fixed) {
				t.Errorf("%s is on %v, asked was %v", s.Name, seat.Pin, s.Asked)
			}
		}
	}
	if partial != r.Plan.Partial {
		t.Errorf("partial is %v, and leads wait: %v", r.Plan.Partial, partial)
	}
	if r.Plan.Cost < r.Plan.Bound-1e-6 {
		t.Errorf("cost %v is below the bound %v", r.Plan.Cost, r.Plan.Bound)
	}
	for _, f := range r.Plan.Free {
		if _, ok := used[f]; ok {
			t.Errorf("%v is free and taken", f)
		}
	}
	if n := slices.IndexFunc(r.Plan.Options, func(o Option) bool { return o.Chosen }); len(r.Boards) > 0 && r.Boards[0].Name == "module" && r.Boards[0].Part.Board != nil && n != 0 {
		t.Errorf("the chosen way is number %d of the list", n)
	}
	checkNets(t, p, r)
	for _, f := range r.Findings {
		if f.Head == "" || !strings.HasSuffix(f.Head, ".") || f.Rule == "" || len(f.Ends) == 0 {
			t.Errorf("finding %+v", f)
		}
	}
}

// checkNets: no terminal in two nets, each in one that exists; every lug of a control is in a net or idle, never both.
func checkNets(t tester, p *panel.Panel, r *Result) {
	t.Helper()
	in := map[Terminal]string{}
	nets := map[string]bool{}
	for _, n := range r.Nets {
		if nets[n.Name] {
			t.Errorf("two nets are called %s", n.Name)
		}
		nets[n.Name] = true
		for _, x := range n.Terms {
			if other, ok := in[x]; ok {
				t.Errorf("%v is in the nets %s and %s", x, other, n.Name)
			}
			in[x] = n.Name
		}
	}
	idle := map[Terminal]bool{}
	all := map[string]bool{}
	for _, x := range r.Idle {
		if x.Why == "" {
			t.Errorf("%s.%s is idle without a reason", x.Of, x.Lug)
		}
		if x.Lug == "" {
			all[x.Of] = true
		}
		idle[Terminal{x.Of, x.Lug}] = true
	}
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			for _, l := range c.Part.Lugs {
				x := Terminal{c.Name, l.Name}
				_, wired := in[x]
				if wired && idle[x] || !wired && !idle[x] && !all[c.Name] && c.Part.Class != catalog.Plug {
					t.Errorf("lug %v: wired %v, idle %v", x, wired, idle[x])
				}
			}
		}
	}
	ends := map[string][]string{"resistor": {"1", "2"}, "diode": {"a", "k"}}
	for _, f := range r.Fittings {
		for _, e := range ends[f.Kind] {
			if _, ok := in[Terminal{f.Name, e}]; !ok {
				t.Errorf("end %s of %s hangs in the air", e, f.Name)
			}
		}
		if f.At.Zero() || f.Way == "" || f.Value == "" {
			t.Errorf("fitting %+v", f)
		}
	}
}
