package wiring

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// sound holds for what is computed of any panel.
func sound(t tester, r *Result) {
	t.Helper()
	for _, f := range r.Findings {
		solid(t, f)
	}
	p := &r.Power
	numbers := []float64{p.Before, p.After, p.Rest}
	for _, x := range p.Rails {
		numbers = append(numbers, x.Load, x.Gives, x.Volts)
	}
	for _, l := range p.Lamps {
		numbers = append(numbers, l.Least, l.Nominal, l.Most)
		if l.Least > l.Nominal*(1+1e-6) || l.Nominal > l.Most*(1+1e-6) {
			t.Errorf("%s: %+v", r.Devices[l.Device].Label, l)
		}
		if l.Fitting == "" && r.Devices[l.Device].Control.Part.Lamp.Rated <= 0 {
			t.Errorf("%s has no resistor", r.Devices[l.Device].Label)
		}
	}
	for _, in := range p.Inputs {
		numbers = append(numbers, in.Low, in.High, in.Current)
	}
	for i, v := range numbers {
		if !(v >= -1e-9) || math.IsInf(v, 0) {
			t.Errorf("number %d is %g", i, v)
		}
	}
	if p.After < p.Rest-1e-9 || p.Before < p.Rest-1e-9 {
		t.Errorf("%g, %g, %g mA", p.Rest, p.Before, p.After)
	}
	for _, s := range p.Checked {
		if !strings.HasSuffix(s, ".") || strings.Contains(s, "%!") || strings.Contains(s, "NaN") || strings.Contains(s, "Inf") {
			t.Errorf("%q", s)
		}
	}
	loads := r.Loads()
	for k, v := range loads {
		if !(v > 0) || math.IsInf(v, 0) {
			t.Errorf("%v takes %g mA", k, v)
		}
	}
}

// Any panel: numbers are numbers, stops have both ends and a number, fixes can be applied, the same twice.
func TestRandomChecks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		src := draw(t)
		doc := project.Read("random.yaml", []byte(src))
		p, _ := panel.Place(doc, catalog.Builtin())
		r := Work(p, catalog.Builtin())
		sound(t, &r)
		if s := Work(p, catalog.Builtin()); !reflect.DeepEqual(r.Power, s.Power) || len(r.Findings) != len(s.Findings) {
			t.Errorf("worked twice, two results")
		}
		for _, f := range r.Findings {
			for _, x := range f.Fixes {
				if _, err := doc.Apply(x.Edits); err != nil {
					t.Errorf("%s: %s: %v", f.Rule, x.Say, err)
				}
			}
		}
		for _, b := range r.Buses() {
			if len(b.Chips) < 2 || b.Volts <= 0 {
				t.Errorf("%+v", b)
			}
		}
		if n := Circuit(r, State{Lit: true}, func(string) float64 { return 0.1 }); len(n.Elements()) > 0 {
			if _, err := n.Solve(); err != nil {
				t.Errorf("the circuit of the panel: %v", err)
			}
		}
	})
}

// One lamp more never means less current, from the supply, from the port, or for any other lamp.
func TestMoreLampsMoreCurrent(t *testing.T) {
	parts := []string{"lamp-5mm", "lamp-3mm-holder-blue", "lamp-pilot-12mm", "push-16mm-lit", "lamp-5mm-holder-green"}
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "lamps")
		lines := []string{}
		for i := range n + 1 {
			lit := rapid.SampledFrom([]string{"", ", lit: always"}).Draw(t, "lit")
			lines = append(lines, fmt.Sprintf("  l%d: {part: %s, at: [%d, %d]%s}\n", i, rapid.SampledFrom(parts).Draw(t, "part"), 30+40*(i%8), 40+40*(i/8), lit))
		}
		plan := func(n int) Result {
			doc := project.Read("lamps.yaml", []byte(desk+"wiring: {by: direct}\ncontrols:\n"+strings.Join(lines[:n], "")))
			p, _ := panel.Place(doc, catalog.Builtin())
			return Work(p, catalog.Builtin())
		}
		few, more := plan(n), plan(n+1)
		if few.Plan.Partial || more.Plan.Partial {
			return
		}
		if more.Power.After < few.Power.After+1e-6 || more.Power.Rest < few.Power.Rest-1e-9 {
			t.Errorf("%+v became %+v", few.Power, more.Power)
		}
		for _, a := range few.Power.Rails {
			for _, b := range more.Power.Rails {
				if a.Name == b.Name && b.Load < a.Load-1e-9 {
					t.Errorf("%s: %g mA became %g", a.Name, a.Load, b.Load)
				}
			}
		}
		for i, l := range few.Power.Lamps {
			if math.Abs(l.Nominal-more.Power.Lamps[i].Nominal) > 1e-6 {
				t.Errorf("lamp %d: %+v became %+v", i, l, more.Power.Lamps[i])
			}
		}
	})
}

// What is added up by hand for the port is what the solved circuit of the whole panel draws: supplies at rest with nothing pressed.
func TestSumsAgainstCircuit(t *testing.T) {
	panels := map[string]string{
		"ladders": desk + "wiring: {by: ladder}\ncontrols: {mood: {part: rotary-6way, at: [50, 50], via: ladder}, tone: {part: rotary-12way, at: [120, 50], via: ladder}}\n",
	}
	for _, name := range examples.Names() {
		panels[name] = string(examples.File(name))
	}
	for _, name := range sortedKeysOf(panels) {
		src := panels[name]
		for _, lamps := range []string{"", "always"} {
			if lamps != "" && !strings.Contains(src, "\nwiring:") {
				src += "\nwiring: {lamps: {by: always}}\n"
			}
			_, _, r := work(t, src)
			if len(r.Boards) == 0 {
				continue
			}
			n := Circuit(r, State{}, nil)
			s, err := n.Solve()
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			drawn := 0.0
			for _, e := range n.Elements() {
				if strings.HasPrefix(e, "supply ") {
					drawn -= s.I(e) * 1000
				}
			}
			own := 0.0
			for i := range r.Boards {
				own += r.Boards[i].Part.Board.Own
			}
			pulled := 0.0 // contacts that are closed at rest
			for _, in := range r.Power.Inputs {
				pulled += in.Current
			}
			if have := r.Power.Rest - own; drawn < have-0.01*have-0.01 || drawn > have*1.01+pulled+0.01 {
				t.Errorf("%s: %g mA are added up, the circuit draws %g", name, have, drawn)
			}
			lit := Circuit(r, State{Lit: true}, nil)
			if s, err = lit.Solve(); err != nil {
				t.Fatal(err)
			}
			for _, l := range r.Power.Lamps {
				have := s.I("lamp "+r.Devices[l.Device].ID) * 1000
				if math.Abs(have-l.Nominal) > 1e-3*l.Nominal+1e-6 {
					t.Errorf("%s: %s has %g mA by itself and %g in the panel", name, r.Devices[l.Device].ID, l.Nominal, have)
				}
			}
		}
	}
}

// The examples can be built, and what is said of them can be mended.
func TestExamplesChecked(t *testing.T) {
	for _, name := range examples.Names() {
		doc, p := place(t, name, examples.File(name))
		r := Work(p, catalog.Builtin())
		sound(t, &r)
		if p.Module != nil && len(r.Power.Checked) < 4 {
			t.Errorf("%s: %v", name, r.Power.Checked)
		}
		for _, f := range r.Findings {
			if !slices.ContainsFunc(checkRules, func(x finding.Rule) bool { return x.Name == f.Rule }) {
				continue
			}
			for _, x := range f.Fixes {
				s := mend(t, doc, x)
				for _, g := range s.Findings {
					if g.Rule == f.Rule && g.Head == f.Head {
						t.Errorf("%s: %s does not cure: %s", name, x.Say, f.Head)
					}
					if g.Severity == finding.Stop {
						t.Errorf("%s: %s brings %s", name, x.Say, g.Head)
					}
				}
			}
		}
	}
}
