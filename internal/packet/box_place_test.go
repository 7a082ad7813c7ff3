package packet

import (
	"strings"
	"testing"

	"knobwright/internal/job"
)

const wedgeFile = `knobwright: 1
title: Tide table
face: {width: 300, height: 190, sheet: acrylic-3mm, fixings: {screw: M3, inset: 15, across: 3}}
box:
  form: wedge
  front: 60
  slope: 12 deg
  walls: birch-ply-12mm
  held: inserts
  screws: {insert: M3}
  ledge: {width: 18, height: 20}
  CABLE
module: {part: rp2040-40pin, at: [150, 110], on: base}
controls:
  go: {part: push-22mm, at: [150, 60], legend: GO}
`

func wedged(t *testing.T, cable string) *job.Result {
	t.Helper()
	return work("wedge", strings.Replace(wedgeFile, "CABLE", cable, 1)).r
}

// TestPlacesRunIntoTheBoard: every hole of every board of several boxes is measured from its heavy corner with no number below nothing.
func TestPlacesRunIntoTheBoard(t *testing.T) {
	n := 0
	for _, cable := range []string{"cable: {on: left, relief: clip}", "corners: finger", "corners: {joint: finger, through: sides}"} {
		r := wedged(t, cable)
		for _, l := range r.Box.Boards {
			for _, s := range spots(r, l.Board) {
				n++
				if p := fromCorner(l.Board, s.at); p.X < 0 || p.Y < 0 || p.X > l.Blank.X || p.Y > l.Blank.Y {
					t.Errorf("%s: a hole at %v", l.Name, p)
				}
			}
		}
	}
	if n < 30 {
		t.Errorf("only %d holes", n)
	}
	r := wedged(t, "corners: butt")
	if c := cornerOf(r.Panel.Carcass.Board("left side")); !c.top { // its lower edge is cut on the slant
		t.Errorf("the side of a wedge is measured from %s", c.name())
	}
}

// TestPatternsOfAPair: sides that are alike share one pattern, to be turned over; a side with a hole of its own has one of its own, and neither
// is to be turned over.
func TestPatternsOfAPair(t *testing.T) {
	wheres := func(r *job.Result) (names, all string) {
		doc := boxPatterns(r, newDesk(r, nil))
		for _, p := range doc.Pages {
			names += p.Name + "; "
			all += strings.Join(texts(p.Items), " ")
		}
		return names, all
	}
	names, text := wheres(wedged(t, "cable: {on: back, relief: clip}"))
	if strings.Contains(names, "right side") || !strings.Contains(names, "left side") || !strings.Contains(text, "turn it over for the right side") {
		t.Errorf("alike: %s", names)
	}
	names, text = wheres(wedged(t, "cable: {on: left, relief: clip}"))
	if !strings.Contains(names, "right side") || !strings.Contains(names, "left side") || strings.Contains(text, "turn it over") || !strings.Contains(text, "for this board only") {
		t.Errorf("a hole in the left side: %s", names)
	}
}
