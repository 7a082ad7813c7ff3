package packet

import (
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

// TestOrderIsShort: lists and order of cuts of the larger examples stay on a few pages, and every board is in the order.
func TestOrderIsShort(t *testing.T) {
	for name, most := range thorough.Of(map[string]int{"cue-desk": 2, "signal-desk": 3}, map[string]int{"cue-desk": 2}) {
		r := result(t, name)
		pages := boxLists(r, newDesk(r, examples.File(name)))
		if len(pages) > most {
			t.Errorf("%s: %d pages, at most %d", name, len(pages), most)
		}
		var all []string
		for _, p := range pages {
			all = append(all, texts(p.Items)...)
		}
		text := strings.Join(all, " ")
		at := strings.Index(text, "Order of cuts")
		for _, l := range r.Box.Boards {
			if at < 0 || !strings.Contains(text[at:], strings.Split(l.Name, ", ")[0]) {
				t.Errorf("%s: the %s is not in the order of cuts", name, l.Name)
			}
		}
	}
}

// TestSideScheduleSaysWhereFrom: the schedule of another board counts from outside; where a wedge's side has no wood at its lower left, it says from
// what to measure. The left side has its lower left corner at the back, the right one has not: its front end is short.
func TestSideScheduleSaysWhereFrom(t *testing.T) {
	src := []byte(`knobwright: 1
title: Rain machine
face: {width: 300, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, inset: 14, across: 3}}
box: {form: wedge, front: 60, slope: 15 deg, walls: birch-ply-6.5mm, ledge: {width: 18, height: 16}}
controls:
  go: {part: push-16mm, at: [60, 50], legend: GO}
  rain: {part: key-16mm, on: right, at: [120, 70], legend: RAIN}
  wind: {part: key-16mm, on: left, at: [60, 70], legend: WIND}
`)
	r := job.Run(project.Read("rain.yaml", src), catalog.Builtin())
	found := map[string]bool{}
	for _, s := range sheetsOf(r, newDesk(r, src)) {
		var all []string
		for _, p := range schedule(s.r, s.d).Pages {
			all = append(all, texts(p.Items)...)
		}
		text := strings.Join(all, " ")
		found[s.file] = true
		for want, in := range map[string]bool{"seen from the FRONT": s.file == "face", "seen from outside": s.file != "face", "has no wood at its lower left": s.file == "right-side"} {
			if strings.Contains(text, want) != in {
				t.Errorf("%s: %q is in it: %t", s.file, want, !in)
			}
		}
	}
	if !found["left-side"] || !found["right-side"] {
		t.Errorf("%v", found)
	}
}
