package harness

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"knobwright/internal/trade/wiring"
)

var update = flag.Bool("update", false, "write the golden files anew, after reading what changed")

// sheet writes a harness as a person would note it on one sheet.
func sheet(w *worker) string {
	var b strings.Builder
	out := func(format string, a ...any) {
		b.WriteString(strings.TrimRight(fmt.Sprintf(format, a...), " ") + "\n")
	}
	name := func(t wiring.Terminal) string { return w.label(t) }
	out("%s", w.r.Opening.Say)
	for _, l := range w.r.Opening.Loops {
		out("Between %s and %s %g mm of free wire, %d wires, %.1f mm thick.", l.Board, l.To, l.Long, l.Wires, l.Diameter)
	}
	out("\nCHAINS")
	for _, c := range w.r.Chains {
		s := name(c.Root)
		for _, l := range c.Lugs {
			s += " > " + name(l)
		}
		out("%s: %s (%.1f mA, %.1f mV)", c.Name, s, c.Load, c.Drop)
	}
	out("\nWIRES")
	for _, x := range w.r.Wires {
		moves := ""
		if x.Moves {
			moves = ", bends"
		}
		out("%-4s %-2s %-7s %-14s > %-14s cut to %g (runs %.0f, slack %.0f%s)", x.ID, x.Colour, x.Tracer, x.Label[0], x.Label[1], x.Length, x.Run, x.Slack, moves)
	}
	out("\nCUT")
	for _, c := range w.r.Cut {
		out("%s %s %g mm x %d: %s", c.Wire, c.Colour, c.Length, c.Count, strings.Join(c.IDs, " "))
	}
	for _, u := range w.r.Use {
		out("%s %s: %g mm needed, %g on hand, %g lacking", u.Wire, u.Colour, u.Need, u.Have, u.Lacks)
	}
	out("\nJOINTS")
	for _, j := range w.r.Joints {
		var with []string
		for _, k := range j.Wires {
			with = append(with, w.r.Wires[k].ID)
		}
		out("%2d %-14s %-14s %d °C, %g s, %s. %s", j.N, name(j.At), strings.Join(append(with, j.Fits...), " "), j.Iron, j.Dwell, j.Heat, j.Rest)
	}
	for _, k := range w.r.Tasks {
		out("%d x %s: %.0f min", k.Count, k.What, k.Minutes)
	}
	out("\nCONTINUITY")
	for _, r := range w.r.Rings {
		says := "silent"
		switch {
		case r.Volts[1] > 0:
			says = fmt.Sprintf("%.1f to %.1f V", r.Volts[0], r.Volts[1])
		case r.Rings && r.Ohms[1] > 0:
			says = fmt.Sprintf("%g to %g ohm", r.Ohms[0], r.Ohms[1])
		case !r.Rings && r.Ohms[0] > 0:
			says = fmt.Sprintf("over %g ohm", r.Ohms[0])
		}
		out("%-9s %-14s %-14s %s: %s. %s", r.Kind, name(r.A), name(r.B), r.Do, says, r.Why)
	}
	out("\nFIRST POWER")
	for i, s := range w.r.Power {
		out("%d. %s %s", i+1, s.Do, s.Expect)
	}
	for _, f := range w.r.Findings {
		out("\n%s %s: %s %s", f.Severity, f.Rule, f.Head, f.Body)
	}
	return b.String()
}

// One small desk, read by a person.
func TestDome(t *testing.T) {
	src, err := os.ReadFile("testdata/dome.yaml")
	if err != nil {
		t.Fatal(err)
	}
	w := laid("dome.yaml", src)
	sound(t, w)
	got := sheet(w)
	if *update {
		if err := os.WriteFile("testdata/dome.txt", []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("testdata/dome.txt")
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		a, b := strings.Split(got, "\n"), strings.Split(string(want), "\n")
		for i := range max(len(a), len(b)) {
			if i >= len(a) || i >= len(b) || a[i] != b[i] {
				t.Fatalf("from line %d on it differs:\n%s\nwas\n%s", i+1, strings.Join(a[i:min(i+4, len(a))], "\n"), strings.Join(b[i:min(i+4, len(b))], "\n"))
			}
		}
	}
}
