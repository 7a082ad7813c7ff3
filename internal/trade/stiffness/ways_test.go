package stiffness

import (
	"math"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// Every way that is an edit, written into the file, leaves what was said of it.
func TestWaysDoWhatTheySay(t *testing.T) {
	bare := plainBox[:strings.Index(plainBox, "box:")] + plainBox[strings.Index(plainBox, "controls:"):]
	soft := strings.Replace(plainBox, "{use: acrylic-3mm, actual: 3}", "abs-2mm", 1) + "limits: {press.ribs: 1}\n"
	want := map[string]int{"sheet": 0, "ribs": 0, "glued": 0, "ledge": 0, "screws": 0, "box": 0}
	for name, text := range map[string]string{"on walls": plainBox, "on screws": bare, "soft": soft} {
		doc := project.Read("test.yaml", []byte(text))
		p, _ := panel.Place(doc, catalog.Builtin())
		f := Work(p, catalog.Builtin()).Faces[0]
		for _, w := range f.Ways(catalog.Builtin(), f.Springy) {
			t.Logf("%s: %s, %d ribs: %.3f mm", name, w.Say, len(w.Ribs), w.Worst)
			for key, part := range map[string]string{"glued": "glued", "ledge": "ledge", "screws": "screws along", "box": "a box with walls"} {
				if strings.Contains(w.Say, part) {
					want[key]++
				}
			}
			if len(w.Ribs) > 0 {
				want["ribs"]++
			}
			if len(w.Edits) == 0 {
				continue
			}
			if w.Edits[0].Path == "face.sheet" {
				want["sheet"]++
			}
			src, err := doc.Apply(w.Edits)
			if err != nil {
				t.Errorf("%s: %s: %v", name, w.Say, err)
				continue
			}
			g := first(t, string(src))
			if got := g.Springiest(); math.Abs(got/w.Worst-1) > 0.02 {
				t.Errorf("%s: %s was said to leave %.3f mm, read again %.3f", name, w.Say, w.Worst, got)
			}
		}
	}
	for key, n := range want {
		if n == 0 {
			t.Errorf("no way of the kind %q", key)
		}
	}
}

// Which part keeps a thicker sheet out is told; a stiff face wants no other way.
func TestWaysOfFacesThatCannot(t *testing.T) {
	f := first(t, slanted())
	if ws := f.Ways(catalog.Builtin(), 100); len(ws) > 0 {
		t.Errorf("%+v", ws)
	}
	for _, w := range f.Ways(catalog.Builtin(), f.Springy) {
		if strings.HasPrefix(w.Say, "acrylic") {
			t.Errorf("%s, and the buttons grip less", w.Say)
		}
	}
	if s := f.SayGrip(catalog.Builtin()); s != "A thicker sheet does not go: B1 grips 3.2 mm at most." {
		t.Errorf("%q", s)
	}
}

// A screw that an opening has taken the sheet from is told, not left out in silence.
func TestScrewInAnOpening(t *testing.T) {
	f := first(t, `knobwright: 1
title: Hole
face: {width: 300, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, at: [[8, 8], [292, 8], [150, 100], [8, 192]]}}
controls:
  go: {part: push-16mm, at: [150, 100]}
`)
	if s := strings.Join(f.Notices, "; "); !strings.Contains(s, "fixing 3 lies in the opening of GO and holds nothing") {
		t.Errorf("%q", s)
	}
}

// Plywood with its grain up the face is the same face turned by a quarter, ribs and all; and of a sheet without a grain it is told that it has
// none.
func TestGrainUp(t *testing.T) {
	wide := strings.NewReplacer("{use: acrylic-3mm, actual: 3}", "birch-ply-4mm").Replace(plainBox)
	tall := strings.NewReplacer("width: 300, height: 200", "width: 200, height: 300, grain: up", "[150, 100]", "[100, 150]", "[80, 60]", "[60, 80]", "[220, 60]", "[60, 220]", "[150, 160]", "[160, 150]").Replace(wide)
	other := strings.Replace(tall, ", grain: up", "", 1)
	a, b, c := first(t, wide), first(t, tall), first(t, other)
	for i := range a.Presses {
		p, q := a.Presses[i], b.Presses[i]
		if math.Abs(p.Thumb/q.Thumb-1) > 0.005 || math.Abs(p.Factor()/q.Factor()-1) > 0.08 {
			t.Errorf("%s: %.4f mm and %.2f times, turned %.4f and %.2f", p.Control.Label, p.Thumb, p.Factor(), q.Thumb, q.Factor())
		}
	}
	if !(c.Springiest() < 0.8*b.Springiest()) {
		t.Errorf("grain across the short side %.3f mm, along the long one %.3f", c.Springiest(), b.Springiest())
	}
	a.Propose(a.Springy)
	b.Propose(b.Springy)
	if p, q := a.Proposal, b.Proposal; len(p.Ribs) != len(q.Ribs) || math.Abs(p.After/q.After-1) > 0.1 {
		t.Errorf("%d ribs to %.3f mm, turned %d to %.3f", len(p.Ribs), p.After, len(q.Ribs), q.After)
	}
	_, fs := panel.Place(project.Read("test.yaml", []byte(strings.Replace(plainBox, "height: 200", "height: 200, grain: up", 1))), catalog.Builtin())
	said := ""
	for _, x := range fs {
		said += x.Head
	}
	if !strings.Contains(said, "The grain of the face has no effect: acrylic has none.") {
		t.Errorf("%q", said)
	}
}

// A slip that the sheet does not bear is never left without a word of what helps: a fix, or what the ribs and the parts leave.
func TestStressNeverLeftAlone(t *testing.T) {
	for _, text := range []string{slanted(), strings.Replace(plainBox, "300", "520", 1)} {
		r := Work(place(t, text+"limits: {press.factor: 9}\n"), catalog.Builtin())
		xs := withRule(r.Findings, "press.stress")
		if len(xs) != 1 {
			t.Fatalf("%d findings", len(xs))
		}
		if x := xs[0]; len(x.Fixes) == 0 && !strings.Contains(x.Body, "times the pull") && !strings.Contains(x.Body, "A thicker sheet does not go") {
			t.Errorf("%s %s", x.Head, x.Body)
		}
	}
}
