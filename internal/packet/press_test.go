package packet

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/view"
)

const softPanel = `knobwright: 1
title: Soft
face: {width: 300, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, inset: 5, across: 3}}
box: {form: flat, depth: 70, walls: birch-ply-9mm}
controls:
  go: {part: push-16mm, at: [150, 100]}
  halt: {part: push-16mm, at: [60, 60]}
  lit: {part: lamp-5mm-holder, at: [240, 150]}
`

// lettered gathers all that is lettered, with its place.
func lettered(items []drawing.Item) (out []*drawing.Text) {
	for _, it := range items {
		switch x := it.(type) {
		case *drawing.Text:
			out = append(out, x)
		case *drawing.Group:
			out = append(out, lettered(x.Items)...)
		}
	}
	return out
}

// The papers say the numbers of the job: every control in the list and the table, map before and after.
func TestPressPapers(t *testing.T) {
	src := []byte(softPanel)
	r := work("soft", softPanel).r
	f := r.Press.Faces[0]
	if f.Proposal == nil || len(f.Proposal.Ribs) == 0 {
		t.Fatal("no ribs are proposed")
	}
	doc := pressBook(r, newDesk(r, src))
	if len(doc.Pages) < 3 || doc.Pages[0].Name != "Under the thumb" || doc.Pages[1].Name != "With ribs" {
		t.Fatalf("%d pages", len(doc.Pages))
	}
	var said []string
	for _, p := range doc.Pages[2:] {
		for _, x := range lettered(p.Items) {
			said = append(said, x.S)
		}
	}
	rows := pressRows(r)
	if len(rows) != 1+len(f.Presses) {
		t.Fatalf("%d rows", len(rows))
	}
	thumb, ribs := slices.Index(rows[0], "thumb_mm"), slices.Index(rows[0], "with_ribs_mm")
	for i, p := range f.Presses {
		if !slices.Contains(said, p.Control.Label) || !slices.Contains(said, hundredths(p.Thumb)) || !slices.Contains(said, hundredths(f.Proposal.Gives[i])) {
			t.Errorf("%s, %.2f, %.2f are not all in the list", p.Control.Label, p.Thumb, f.Proposal.Gives[i])
		}
		a, _ := strconv.ParseFloat(rows[i+1][thumb], 64)
		b, _ := strconv.ParseFloat(rows[i+1][ribs], 64)
		if math.Abs(a-p.Thumb) > 6e-4 || math.Abs(b-f.Proposal.Gives[i]) > 6e-4 || len(rows[i+1]) != len(rows[0]) {
			t.Errorf("%v: %.4f, %.4f", rows[i+1], p.Thumb, f.Proposal.Gives[i])
		}
	}
	for _, w := range []string{"stiff-1", "epoxy", "creep"} {
		if !slices.ContainsFunc(said, func(s string) bool { return strings.Contains(s, w) }) {
			t.Errorf("nothing says %q", w)
		}
	}
}

// The map letters its contours, the limit among them, on the face; with the ribs the limit is gone.
func TestPressMapHasItsNumbers(t *testing.T) {
	r := work("soft", softPanel).r
	f := r.Press.Faces[0]
	before, ok := f.Map(nil, mapPlaces)
	after, ok2 := f.Map(f.Proposal.Ribs, mapPlaces)
	if !ok || !ok2 {
		t.Fatal("no map")
	}
	a, _ := before.Most()
	b, _ := after.Most()
	if !(b < a) {
		t.Errorf("%.3f without ribs, %.3f with them", a, b)
	}
	s := view.PressMap(f, before, 0.6)
	numbers := 0
	for _, x := range lettered(s.Items) {
		if _, err := strconv.ParseFloat(x.S, 64); err == nil {
			numbers++
		}
		if !s.Bounds.Overlaps(geom.Box2{Min: x.At, Max: x.At}) {
			t.Errorf("%q stands off the sheet", x.S)
		}
	}
	if numbers < 3 || !slices.ContainsFunc(lettered(s.Items), func(x *drawing.Text) bool { return x.S == "0.5" }) {
		t.Errorf("%d contours are lettered", numbers)
	}
}
