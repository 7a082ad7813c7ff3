package wiring

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// dump writes a result as text, for the eye.
func dump(r Result) string {
	var b strings.Builder
	p := r.Plan
	fmt.Fprintf(&b, "plan %q by %q, cost %.1f, bound %.1f, partial %v\n", p.Title, p.By, p.Cost, p.Bound, p.Partial)
	for _, x := range r.Boards {
		fmt.Fprintf(&b, "  board %s: %s added=%v address=%d chain=%d\n", x.Name, x.Part.ID, x.Added, x.Address, x.Chain)
	}
	for i, s := range r.Signals {
		t := p.Seats[i]
		fmt.Fprintf(&b, "  %-16s %-22q %-8s %s.%s way=%q pin=%s.%s cross=%d/%d step=%d fixed=%v (%s)\n", s.Name, s.Label, s.Kind, s.Lug, s.Return, t.Way, t.Pin.Of, t.Pin.Lug, t.Row, t.Column, t.Step, t.Fixed, t.Why)
	}
	fmt.Fprintf(&b, "  free %v\n", p.Free)
	for _, s := range p.Short {
		fmt.Fprintf(&b, "  short: %s\n", s.Say)
	}
	for _, o := range p.Options {
		fmt.Fprintf(&b, "  option %+v\n", o)
	}
	for _, f := range r.Fittings {
		fmt.Fprintf(&b, "  %s %s %s at %s.%s, %s (%s)\n", f.Name, f.Kind, f.Value, f.At.Of, f.At.Lug, f.Way, f.Why)
	}
	for _, n := range r.Nets {
		fmt.Fprintf(&b, "  net %-18s %-10s %v\n", n.Name, n.Kind, n.Terms)
	}
	for _, x := range r.Idle {
		fmt.Fprintf(&b, "  idle %s.%s: %s\n", x.Of, x.Lug, x.Why)
	}
	for _, f := range r.Findings {
		fmt.Fprintf(&b, "  %s %s: %s %s\n", f.Severity, f.Rule, f.Head, f.Body)
		for _, x := range f.Fixes {
			fmt.Fprintf(&b, "      fix: %s: %v\n", x.Say, x.Edits)
		}
	}
	return b.String()
}

// place reads a file and places it.
func place(t testing.TB, name string, src []byte) (*project.Doc, *panel.Panel) {
	t.Helper()
	doc := project.Read(name, src)
	p, _ := panel.Place(doc, catalog.Builtin())
	return doc, p
}

func TestDumpExamples(t *testing.T) {
	if !testing.Verbose() {
		t.Skip("for the eye: run with -v")
	}
	for _, name := range examples.Names() {
		_, p := place(t, name, examples.File(name))
		t.Log(name + "\n" + dump(Work(p, catalog.Builtin())))
	}
}
