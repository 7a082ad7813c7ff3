package drilling

import (
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

func mm(v float64) length.Length { return length.Length(v) }

func pair(a, b float64) *[2]length.Length { return &[2]length.Length{mm(a), mm(b)} }

// series is a set of metric bits.
func series(kind catalog.BitKind, from, to, by float64) []catalog.Bit {
	s := catalog.BitSet{ID: "set-" + string(kind), Kind: kind, Series: &catalog.Series{From: mm(from), To: mm(to), By: mm(by)}}
	if kind == catalog.Step {
		s.StepHeight = 4
	}
	return s.Bits()
}

func sizes(kind catalog.BitKind, ds ...float64) []catalog.Bit {
	s := catalog.BitSet{ID: "own-" + string(kind), Kind: kind}
	if kind == catalog.Step {
		s.StepHeight = 4
	}
	for _, d := range ds {
		s.Sizes = append(s.Sizes, mm(d))
	}
	return s.Bits()
}

func join(sets ...[]catalog.Bit) []catalog.Bit { return slices.Concat(sets...) }

// sheet is an empty panel of one kind of sheet, with a press and files.
func sheet(kind string, thick float64, bits ...catalog.Bit) *panel.Panel {
	p := &panel.Panel{Units: "mm", Press: true, Files: true, Wander: 0.2, Bits: bits}
	p.Face = panel.Face{Width: 400, Height: 250}
	p.Stack = panel.Stack{Sheet: catalog.Sheet{Kind: kind}, SheetThickness: thick, Total: thick, Covering: catalog.Covering{Kind: "none"}}
	return p
}

// cutAt is an opening placed as the panel package places it; cover is what a covering takes across.
func cutAt(spec catalog.Cut, x, y, turn, cover float64) *panel.Cut {
	c := &panel.Cut{
		ID: "cut", What: spec.What, Spec: spec, At: panel.P(x, y), Turn: turn, Nominal: spec.Nominal(),
		Outline: spec.Outline().Move(geom.Place{At: geom.Vec2{X: x, Y: y}, Turn: turn}),
	}
	c.Origin.Name = "opening"
	c.FinishedMin, c.FinishedMax = c.Nominal+spec.Tol[0].MM(), c.Nominal+spec.Tol[1].MM()
	c.CutMin, c.CutMax = c.FinishedMin+cover, c.FinishedMax+cover
	c.Blind = spec.Depth.MM()
	return c
}

func roundCut(d, plus float64) catalog.Cut {
	return catalog.Cut{Round: mm(d), Tol: [2]length.Length{0, mm(plus)}}
}

// add puts openings on a panel as controls of one hole.
func add(p *panel.Panel, cuts ...*panel.Cut) *panel.Panel {
	for _, c := range cuts {
		o := &panel.Control{Name: "c" + itoa(len(p.Controls)), At: c.At, Cuts: []*panel.Cut{c}}
		o.Label = strings.ToUpper(o.Name)
		c.Owner, c.ID = o, o.Name
		p.Controls = append(p.Controls, o)
	}
	return p
}

// steps tells the jobs of a plan in short: "pilot 3, step 12, file".
func steps(r Result) string {
	var s []string
	for _, j := range r.Jobs {
		t := j.Do
		if j.Bit.Kind != "" {
			t += " " + inSet(j.Bit)
		}
		if j.Do == "chain" {
			t += " x" + itoa(len(j.Points))
		}
		s = append(s, t)
	}
	return strings.Join(s, ", ")
}

// rules lists the rules of findings, sorted, once each.
func rules(fs []finding.Finding) []string {
	var s []string
	for _, f := range fs {
		s = append(s, strings.TrimPrefix(f.Rule, "drill."))
	}
	slices.Sort(s)
	return slices.Compact(s)
}

func find(t *testing.T, r Result, rule string) finding.Finding {
	t.Helper()
	for _, f := range r.Findings {
		if f.Rule == rule {
			return f
		}
	}
	t.Fatalf("no %s among %v", rule, rules(r.Findings))
	return finding.Finding{}
}
