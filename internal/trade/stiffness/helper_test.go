package stiffness

import (
	"math"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// place reads and places a panel file.
func place(t testing.TB, text string) *panel.Panel {
	t.Helper()
	p, _ := panel.Place(project.Read("test.yaml", []byte(text)), catalog.Builtin())
	return p
}

// first gives the face of a panel file, reckoned.
func first(t testing.TB, text string) *Face {
	t.Helper()
	fs := faces(place(t, text))
	if len(fs) == 0 {
		t.Fatal("no face")
	}
	fs[0].reckon()
	return fs[0]
}

// sound reports a number that is none, or a result that hangs together badly.
func sound(t testing.TB, what string, r Result) {
	t.Helper()
	fine := func(vs ...float64) {
		for _, v := range vs {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Errorf("%s: %v", what, v)
			}
		}
	}
	for _, f := range r.Faces {
		fine(f.Hertz)
		for _, p := range f.Presses {
			fine(p.Each, p.Own, p.Thumb, p.Slip, p.Along, p.Stress, p.Factor())
			if p.Stress > 0 && p.Beside == "" {
				t.Errorf("%s: stress beside nothing", what)
			}
		}
		if pr := f.Proposal; pr != nil {
			fine(pr.Before, pr.After, pr.Bound)
			fine(pr.Gives...)
			if pr.After > pr.Before+1e-9 || len(pr.Gives) != len(f.Presses) || len(pr.Edits) != len(pr.Ribs) {
				t.Errorf("%s: %+v", what, pr)
			}
		}
	}
	for _, x := range r.Findings {
		if x.Head == "" || len(x.Ends) == 0 || x.Ends[0].Name == "" {
			t.Errorf("%s: %+v", what, x)
		}
		if m := x.Measure; m != nil {
			fine(m.Have, m.Want)
		}
	}
}

func withRule(fs []finding.Finding, rule string) (out []finding.Finding) {
	for _, f := range fs {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

const plainBox = `knobwright: 1
title: Plain
face: {width: 300, height: 200, sheet: {use: acrylic-3mm, actual: 3}, fixings: {screw: M3, inset: 5}}
box: {form: flat, depth: 70, walls: {use: birch-ply-9mm, actual: 9}}
controls:
  a: {part: push-16mm, at: [150, 100]}
  b: {part: push-16mm, at: [80, 60]}
  c: {part: push-16mm, at: [220, 60]}
  d: {part: lamp-5mm-holder, at: [150, 160]}
`
