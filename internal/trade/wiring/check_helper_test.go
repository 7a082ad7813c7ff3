package wiring

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// workWith plans a file with parts of one's own.
func workWith(t testing.TB, own, src string) Result {
	t.Helper()
	cat, problems := catalog.Builtin().With("own.yaml", []byte(own))
	for _, p := range problems {
		t.Fatalf("own parts: %s", p.Say)
	}
	w := plannedWith(t, cat, src)
	w.check()
	return w.r
}

// plannedWith plans a file without the checks, so that a test can spoil the plan first.
func plannedWith(t testing.TB, cat *catalog.Catalog, src string) *worker {
	t.Helper()
	p := placed(t, cat, src)
	w := newWorker(p, cat)
	w.boards()
	w.devices()
	w.asked()
	w.scheme()
	w.say()
	return w
}

// placed reads and places a file with a catalogue.
func placed(t testing.TB, cat *catalog.Catalog, src string) *panel.Panel {
	t.Helper()
	doc := project.Read("panel.yaml", []byte(src))
	for _, f := range doc.Findings {
		t.Fatalf("the file is not read: %s %s", f.Rule, f.Head)
	}
	p, _ := panel.Place(doc, cat)
	return p
}

// spoilt plans a file, changes what is joined, and checks that.
func spoilt(t testing.TB, src string, change func(r *Result)) Result {
	t.Helper()
	w := plannedWith(t, catalog.Builtin(), src)
	change(&w.r)
	w.check()
	return w.r
}

// move puts a terminal into the first net of which the name begins so, and takes it out of the others.
func move(r *Result, term Terminal, to string) {
	for i := range r.Nets {
		r.Nets[i].Terms = slices.DeleteFunc(slices.Clone(r.Nets[i].Terms), func(x Terminal) bool { return x == term })
	}
	for i := range r.Nets {
		if strings.HasPrefix(r.Nets[i].Name, to) && to != "" {
			r.Nets[i].Terms = append(r.Nets[i].Terms, term)
			return
		}
	}
}

// near asks for a number within a share.
func near(t testing.TB, what string, have, want, share float64) {
	t.Helper()
	if !(math.Abs(have-want) <= share*math.Abs(want)+1e-12) {
		t.Errorf("%s is %.6g, want %.6g", what, have, want)
	}
}

// solid asks that a stop names two ends and a number.
func solid(t tester, f finding.Finding) {
	t.Helper()
	if !slices.ContainsFunc(checkRules, func(r finding.Rule) bool { return r.Name == f.Rule }) {
		return
	}
	if len(f.Ends) == 0 || f.Head == "" || !strings.HasSuffix(f.Head, ".") || f.Body != "" && !strings.HasSuffix(f.Body, ".") {
		t.Errorf("%s is no sentence or of nothing: %+v", f.Rule, f)
	}
	if m := f.Measure; m != nil && (math.IsNaN(m.Have+m.Want) || math.IsInf(m.Have+m.Want, 0)) {
		t.Errorf("%s: %+v", f.Rule, m)
	}
	if f.Severity == finding.Stop && (len(f.Ends) < 2 || f.Measure == nil) {
		t.Errorf("%s stops without two ends and a number: %+v", f.Rule, f)
	}
	for _, bad := range []string{"NaN", "Inf", "%!", "  "} {
		if strings.Contains(f.Head+f.Body, bad) {
			t.Errorf("%s: %s %s", f.Rule, f.Head, f.Body)
		}
	}
}

// inputOf gives what is known of a signal's input.
func inputOf(t testing.TB, r Result, name string) Input {
	t.Helper()
	for _, in := range r.Power.Inputs {
		if r.Signals[in.Signal].Name == name {
			return in
		}
	}
	t.Fatalf("no input %s:\n%s", name, dump(r))
	return Input{}
}

func number(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// sortedKeysOf gives the keys of a map in order.
func sortedKeysOf[V any](m map[string]V) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}
