package bench

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/bench/sim"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

func walk(t *testing.T, faults ...diagnosis.Fault) *Walk {
	t.Helper()
	src, err := Simulate(context.Background(), cue(), false, faults...)
	if err != nil {
		t.Fatal(err)
	}
	return Begin(cue(), src)
}

// A sound panel passes every line of its own sheet.
func TestSoundWalk(t *testing.T) {
	w := walk(t)
	n := 0
	err := w.All(context.Background(), func(l diagnosis.Line, j diagnosis.Judged) {
		n++
		if j.Said != diagnosis.Right {
			t.Errorf("%s: %s %v", l.ID, j.Said, j.Say)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	if v := w.Verdict(); !v.Right || n < 40 {
		t.Errorf("%d lines, verdict %+v", n, v)
	}
}

// Faults are found by words in any order; what is not understood is said, with what there is.
func TestFindFault(t *testing.T) {
	all := sim.Faults(cue())
	for text, want := range map[string]diagnosis.Fault{
		"bell open-lead":                 {Kind: diagnosis.OpenLead, A: wiring.Terminal{Of: "bell", Lug: "no"}},
		"open lead at bell.no":           {Kind: diagnosis.OpenLead, A: wiring.Terminal{Of: "bell", Lug: "no"}},
		"swapped bell.no and thunder.no": {Kind: diagnosis.Swapped, A: wiring.Terminal{Of: "thunder", Lug: "no"}},
		"Lamp-turned STANDBY/lamp":       {Kind: diagnosis.LampTurned},
		"to-ground rain.no":              {Kind: diagnosis.ToGround, A: wiring.Terminal{Of: "rain", Lug: "no"}},
		"wrong table":                    {Kind: diagnosis.WrongTable},
		"no-pull-up module.25":           {Kind: diagnosis.NoPullUp, A: wiring.Terminal{Of: "module", Lug: "25"}},
	} {
		f, err := FindFault(all, text)
		if err != nil || f.Kind != want.Kind || f.A != want.A {
			t.Errorf("%q: %+v %v", text, f, err)
		}
	}
	for _, bad := range []string{"bell explodes", "open-lead nowhere", ""} {
		if _, err := FindFault(all, bad); err == nil {
			t.Errorf("%q is taken for a fault", bad)
		}
	}
}

// shown tells what a panel shows to the whole sheet, in a form that can be compared: of each contact how it ends and how often it moved,
// of each pot where it was before and after, in eighths.
func shown(t *testing.T, p *sim.Panel, lines []diagnosis.Line) string {
	t.Helper()
	var b strings.Builder
	for _, l := range lines {
		s, err := p.Do(l.Act)
		if err != nil {
			t.Fatal(err)
		}
		b.WriteString(s.Lamp)
		n := len(s.Moments)
		if n == 0 {
			b.WriteString("nothing\n")
			continue
		}
		bit := func(k, i int) byte { return s.Moments[k].Raw[i/8] >> (i % 8) & 1 }
		for i := range 8 * len(s.Moments[0].Raw) {
			moves, last := 0, -100.0
			for k := 1; k < n; k++ {
				if bit(k, i) != bit(k-1, i) {
					if s.Moments[k].At-last > 12 {
						moves++
					}
					last = s.Moments[k].At
				}
			}
			fmt.Fprint(&b, bit(n-1, i), min(moves, 3))
		}
		for i, a := range s.Moments[n-1].Axes {
			fmt.Fprint(&b, " ", s.Moments[0].Axes[i]/8192, a/8192)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// A sample of faults, each walked through the whole sheet and the questions after it: the first explanation is the fault, or one that
// shows the very same to the whole sheet, in at least 97 of 100 that show at all.
func TestWalkFindsFaults(t *testing.T) {
	r := job.Check(project.Read("lantern-desk", examples.File("lantern-desk")), catalog.Builtin())
	visible, first, asked := 0, 0, 0
	for i, f := range sim.Faults(r) {
		if i%4 != 0 {
			continue
		}
		src, err := Simulate(context.Background(), r, false, f)
		if err != nil {
			t.Fatal(err)
		}
		w := Begin(r, src)
		wrong := 0
		if err := w.All(context.Background(), func(_ diagnosis.Line, j diagnosis.Judged) {
			if j.Said != diagnosis.Right {
				wrong++
			}
		}); err != nil {
			t.Fatal(err)
		}
		if wrong == 0 {
			continue
		}
		visible++
		if err := w.Narrow(context.Background(), 12, func(diagnosis.Ask, diagnosis.Seen) {}); err != nil {
			t.Fatal(err)
		}
		asked += w.Asked
		v := w.Verdict()
		if len(v.Groups) == 0 || len(v.Groups[0].Causes) == 0 {
			t.Logf("%+v: no explanation", f)
			continue
		}
		c := v.Groups[0].Causes[0]
		g := c.Faults[0]
		if len(c.Faults) == 1 && g.Kind == f.Kind && g.Device == f.Device && g.A == f.A {
			first++
			continue
		}
		truth, err := sim.New(r, f)
		if err != nil {
			t.Fatal(err)
		}
		taken, err := sim.New(r, c.Faults...)
		if err == nil && shown(t, truth, w.Lines) == shown(t, taken, w.Lines) {
			first++
			continue
		}
		t.Logf("%+v: taken for %+v", f, c.Faults)
	}
	t.Logf("%d faults show, %d found first, %.1f questions beyond the sheet", visible, first, float64(asked)/float64(visible))
	if visible < 25 || 100*first < 97*visible {
		t.Errorf("%d of %d are found first", first, visible)
	}
}
