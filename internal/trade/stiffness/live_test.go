package stiffness

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// While a hand moves a control or a rib, what is told at once is what the whole reckoning tells.
func TestLiveTellsWhatTheWholeReckoningTells(t *testing.T) {
	text := string(examples.File("cue-desk"))
	var l Live
	for i, edit := range [][2]string{
		{"", ""},
		{"key-16mm, at: [46, 214]", "key-16mm, at: [47.5, 214]"},
		{"key-16mm, at: [46, 214]", "key-16mm, at: [48.5, 213]"},
		{"from: [266, 9.2], to: [266, 262.8]", "from: [262, 9.2], to: [262, 240]"},
		{"actual: 2.9", "actual: 2.5"},
		{"sheet: {use: acrylic-3mm, actual: 2.9}", "sheet: birch-ply-4mm"},
		{"at: [308, 68]", "at: [308, 680]"}, // far off the sheet
		{"fixings: {screw: M3, inset: 15, across: 3}", ""},
		{"", ""},
	} {
		p := place(t, strings.Replace(text, edit[0], edit[1], 1))
		fast, whole := l.See(p), See(p)
		if len(fast) != len(whole) {
			t.Fatalf("step %d: %d faces, want %d", i, len(fast), len(whole))
		}
		for k, f := range fast {
			w := whole[k]
			if f.Failed != w.Failed || len(f.Loose) != len(w.Loose) || f.Worst != w.Worst {
				t.Errorf("step %d: %q %v %d, want %q %v %d", i, f.Failed, f.Loose, f.Worst, w.Failed, w.Loose, w.Worst)
			}
			for j := range f.Presses {
				if a, b := f.Presses[j].Thumb, w.Presses[j].Thumb; math.Abs(a-b) > 1e-6*(1+b) {
					t.Errorf("step %d: %s gives %g, want %g", i, f.Presses[j].Control.Label, a, b)
				}
			}
		}
	}
}

const twoRibs = `knobwright: 1
title: Two ribs
face: {width: 300, height: 200, sheet: {use: acrylic-3mm, actual: 3}, fixings: {screw: M3, inset: 5}}
box:
  form: flat
  depth: 70
  walls: {use: birch-ply-9mm, actual: 9}
  ribs:
    poor: {from: [20, 175], to: [90, 175], width: 9, height: 20}
    mine: {from: [40, 25], to: [260, 25], width: 9, height: 20%s}
controls:
  a: {part: push-16mm, at: [150, 100]}
  b: {part: push-16mm, at: [80, 60]}
`

// A proposal afresh takes out ribs that are not pinned, and keeps those that are; its edits give what it promises.
func TestProposeAfresh(t *testing.T) {
	for _, x := range []struct {
		pin  string
		gone []string
	}{{"", []string{"poor", "mine"}}, {", pinned: true", []string{"poor"}}} {
		text := fmt.Sprintf(twoRibs, x.pin)
		f := first(t, text)
		if len(f.Ribs) != 2 {
			t.Fatalf("%d ribs", len(f.Ribs))
		}
		f.ProposeAfresh(0.3)
		pr := f.Proposal
		if pr == nil || !pr.Reached || len(pr.Without) != len(x.gone) || pr.Before != f.Springiest() {
			t.Fatalf("%+v", pr)
		}
		doc := project.Read("test.yaml", []byte(text))
		out, err := doc.Apply(pr.Edits)
		if err != nil {
			t.Fatal(err)
		}
		for _, g := range x.gone {
			if strings.Contains(string(out), g+":") {
				t.Errorf("%s is still there:\n%s", g, out)
			}
		}
		if x.pin != "" && !strings.Contains(string(out), "mine:") {
			t.Errorf("the pinned rib has gone:\n%s", out)
		}
		g := first(t, string(out))
		if got := g.Springiest(); math.Abs(got-pr.After) > 0.02*pr.After {
			t.Errorf("written, it gives %.3f, promised %.3f", got, pr.After)
		}
		m, ok := f.MapOf(pr, 30)
		if most, _ := m.Most(); !ok || most > 2*pr.After+0.2 {
			t.Errorf("the map with the proposal goes to %.2f mm", most)
		}
	}
}

// Where nothing has to be put in, ribs that do nothing may go.
func TestProposeAfreshMayTakeOut(t *testing.T) {
	f := first(t, fmt.Sprintf(twoRibs, ""))
	f.ProposeAfresh(5)
	if pr := f.Proposal; pr == nil || len(pr.Ribs) != 0 || len(pr.Edits) != 2 || pr.Edits[0].Op != finding.Delete || !pr.Reached {
		t.Errorf("%+v", f.Proposal)
	}
}

// The shape under a push is the reckoned give where it is pushed, nothing over the walls, and whole where openings are.
func TestBentShape(t *testing.T) {
	f := first(t, plainBox)
	s, ok := f.Bent(0, 30, 61)
	if !ok {
		t.Fatal("no shape")
	}
	at := f.Presses[0].Control.At.Vec2
	if got := s.At(at); math.Abs(got-f.Presses[0].Thumb) > 0.06*f.Presses[0].Thumb {
		t.Errorf("the shape moves %.3f under the press, the press %.3f", got, f.Presses[0].Thumb)
	}
	if got := s.At(geom.Vec2{X: 9, Y: 100}); math.Abs(got) > 0.02*s.Most {
		t.Errorf("over the wall's edge it moves %.3f", got)
	}
	for j := range s.Ys {
		for i := range s.Xs {
			if !s.On[j][i] || math.IsNaN(s.Move[j][i]) {
				t.Fatalf("no number at %g, %g", s.Xs[i], s.Ys[j])
			}
		}
	}
	if _, ok := f.Bent(99, 30, 61); ok {
		t.Error("a press that is not there bends it")
	}
}

// A fenced map has only closed lines.
func TestFencedContoursClose(t *testing.T) {
	f := first(t, strings.Replace(plainBox, ", fixings: {screw: M3, inset: 5}}\nbox: {form: flat, depth: 70, walls: {use: birch-ply-9mm, actual: 9}}", ", fixings: {screw: M3, at: [[20, 20], [280, 20], [20, 180], [280, 180]]}}", 1))
	m, ok := f.Map(nil, 40)
	if !ok {
		t.Fatal(f.Loose, f.Failed)
	}
	most, _ := m.Most()
	for _, c := range m.Fenced().Contours(most/5, most/2) {
		for _, r := range c.Runs {
			if r[0] != r[len(r)-1] {
				t.Errorf("a line at %g mm does not close", c.Level)
			}
		}
	}
}

// Openings that cut a face in two, and slits that are hardly there, are told with their places.
func TestDoubtsHavePlaces(t *testing.T) {
	for hole, rule := range map[string]string{"rect: [20, 240], at: [110, 100]": "cut the face in two", "slot: [100, 0.6], at: [150, 60], turn: 30 deg": "too thin"} {
		text := strings.Replace(plainBox, "fixings: {screw: M3, inset: 5}}", "fixings: {screw: M3, inset: 5}, holes: {slit: {"+hole+"}}}", 1)
		r := Work(place(t, text), nil)
		sound(t, hole, r)
		fs := withRule(r.Findings, "press.unsure")
		if len(fs) != 1 || !strings.Contains(fs[0].Head, rule) || fs[0].Place == nil || (fs[0].Severity == finding.Warn) != strings.Contains(rule, "two") {
			t.Errorf("%s: %+v", hole, fs)
		}
	}
}

func BenchmarkLive(b *testing.B) {
	text := string(examples.File("cue-desk"))
	at := func(from, to string) *panel.Panel {
		p, _ := panel.Place(project.Read("x", []byte(strings.Replace(text, from, to, 1))), catalog.Builtin())
		return p
	}
	for _, x := range []struct{ name, from, one, other string }{
		{"control", "key-16mm, at: [46, 214]", "key-16mm, at: [47.5, 214]", "key-16mm, at: [48.5, 213]"},
		{"rib", "from: [266, 9.2], to: [266, 262.8]", "from: [262, 9.2], to: [262, 240]", "from: [264, 9.2], to: [264, 240]"},
	} {
		ps := [2]*panel.Panel{at(x.from, x.one), at(x.from, x.other)}
		b.Run(x.name, func(b *testing.B) {
			var l Live
			l.See(ps[0])
			n := 0
			timed(b, func() {
				n++
				l.See(ps[n%2])
			})
		})
	}
}
