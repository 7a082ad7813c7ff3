package harness

import (
	"fmt"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

// work reads a file, places it, plans its pins and lays its harness.
func work(t testing.TB, name string, src []byte) (*panel.Panel, wiring.Result, Result) {
	t.Helper()
	p, _ := panel.Place(project.Read(name, src), catalog.Builtin())
	w := wiring.Work(p, catalog.Builtin())
	return p, w, Work(p, w, catalog.Builtin())
}

// dump writes a harness as text, for the eye.
func dump(w wiring.Result, r Result) string {
	var b strings.Builder
	out := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	tt := func(t wiring.Terminal) string { return t.Of + "." + t.Lug }
	out("%s, %.0f minutes, partial %v", r.Opening.Say, r.Minutes, r.Partial)
	for _, c := range r.Chains {
		s := tt(c.Root)
		for _, l := range c.Lugs {
			s += " " + tt(l)
		}
		out("chain %s: %s wires %v closed %v tree %v load %.1f drop %.2f", c.Name, s, c.Wires, c.Closed, c.Tree, c.Load, c.Drop)
	}
	for _, x := range r.Wires {
		s := ""
		for _, q := range x.Path {
			s += fmt.Sprintf(" (%.0f %.0f %.0f)", q.X, q.Y, q.Z)
		}
		out("%s %s %s %s -> %s run %.0f slack %.0f cut %.0f moves %v %s label %q tracer %q ribbon %d/%d strip %v\n      %s", x.ID, w.Nets[x.Net].Name, x.Colour, tt(x.From), tt(x.To), x.Run, x.Slack, x.Length, x.Moves, x.Wire, x.Label, x.Tracer, x.Ribbon, x.Core, x.Strip, s)
	}
	for i, x := range r.Bundles {
		s := ""
		for _, q := range x.Path {
			s += fmt.Sprintf(" (%.0f %.0f %.0f)", q.X, q.Y, q.Z)
		}
		out("bundle %d of %d, %.1f thick, moves %v: %s", i, len(x.Wires), x.Diameter, x.Moves, s)
	}
	for _, x := range r.Ribbons {
		out("ribbon %+v", x)
	}
	for _, x := range r.Ties {
		out("tie %s bundle %d at %.0f %.0f %.0f", x.Kind, x.Bundle, x.At.X, x.At.Y, x.At.Z)
	}
	for _, x := range r.Joints {
		out("joint %d %s wires %v fits %v %s %d %s %.0f s %q crimped %v %s", x.N, tt(x.At), x.Wires, x.Fits, x.Heat, x.Iron, x.Tip, x.Dwell, x.Rest, x.Crimped, x.Group)
	}
	for _, x := range r.Cut {
		out("cut %s %s %.0f x %d %v", x.Wire, x.Colour, x.Length, x.Count, x.IDs)
	}
	for _, x := range r.Use {
		out("use %+v", x)
	}
	for _, x := range r.Rings {
		out("ring %s %s %s do %q rings %v ohms %v volts %v %q %s", x.Kind, tt(x.A), tt(x.B), x.Do, x.Rings, x.Ohms, x.Volts, x.Why, x.Control)
	}
	for _, x := range r.Power {
		out("power %+v", x)
	}
	for _, f := range r.Findings {
		out("%s %s: %s %s", f.Severity, f.Rule, f.Head, f.Body)
	}
	return b.String()
}

func TestDumpExamples(t *testing.T) {
	if !testing.Verbose() {
		t.Skip("for the eye: run with -v")
	}
	for _, name := range examples.Names() {
		_, w, r := work(t, name, examples.File(name))
		t.Log(name + "\n" + dump(w, r))
	}
}
