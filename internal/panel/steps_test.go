package panel_test

import (
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// What a step says must agree with where the controls stand: one more step leads Along by Size.
func TestStepsAgreeWithPlaces(t *testing.T) {
	src := []byte(`knobwright: 1
face: {width: 300, height: 200}
groups:
  a: {part: push-16mm, row: {from: [30, 30], step: 30}, turn: 30, controls: {a1: {}, a2: {}, a3: {}}}
  b: {part: push-16mm, column: {from: [200, 180], step: 25}, names: "b{n}"}
  c: {part: push-16mm, grid: {from: [150, 100], step: [26, 28], columns: 2}, controls: {c1: {}, c2: {}, c3: {}, c4: {}}}
  d: {part: push-16mm, row: {from: [30, 180], to: 100}, controls: {d1: {}, d2: {}}}
  e: {part: push-16mm, mirror: {of: [a]}}
`)
	p, _ := panel.Place(project.Read("t.yaml", src), catalog.Builtin())
	at := map[string]geom.Vec2{}
	from := map[string]string{}
	for _, c := range p.Controls {
		at[c.Name], from[c.Name] = c.At.Vec2, c.From
	}
	seen := map[string]int{}
	for _, s := range p.Steps {
		seen[s.Group]++
		for n, i := range s.Members {
			for m, j := range s.Members {
				if s.Pair == nil && j == i+1 {
					if d := at[m].Sub(at[n]).Sub(s.Along.Mul(s.Size)).Len(); d > 1e-9 {
						t.Errorf("%s: from %s to %s is off the step by %g", s.Group, n, m, d)
					}
				}
				if s.Pair != nil && j == i+1 {
					if d := at[m].Sub(at[n]).Dot(s.Along) - s.Size; d > 1e-9 || d < -1e-9 {
						t.Errorf("%s: from %s to %s is off the step by %g", s.Group, n, m, d)
					}
				}
			}
		}
	}
	if seen["a"] != 1 || seen["c"] != 2 || seen["d"] != 0 || seen["e"] != 0 {
		t.Errorf("steps by group: %v", seen)
	}
	if from["a1-m"] != "a1" || from["a1"] != "" {
		t.Errorf("sources: %q, %q", from["a1-m"], from["a1"])
	}
}
