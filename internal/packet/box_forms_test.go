package packet

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

// boxForms are boxes of every form, with every joint, face and base laid on and let in.
var boxForms = map[string]string{
	"flat": `
  form: flat
  depth: 62
  walls: birch-ply-9mm
  ledge: {width: 12, height: 14}
  corners: {joint: finger, finger: 8}`,
	"wedge": `
  form: wedge
  front: 60
  slope: 12
  walls: birch-ply-12mm
  corners: {joint: rebate, through: sides}
  face: let-in
  held: inserts
  base-fit: let-in
  play: 0.4
  ledge: {width: 14, height: 20}
  cleat: {width: 18, height: 18}`,
	"wedge of fingers": `
  form: wedge
  front: 45
  back: 110
  walls: birch-ply-6.5mm
  corners: {joint: finger, finger: 8, fit: 0.1}
  saw: {kind: laser, kerf: 0.15}`,
	"desk": `
  form: desk
  front: 70
  slope: 14
  walls: birch-ply-12mm
  base: birch-ply-9mm
  corners: {joint: mitre}
  ledge: {width: 16, height: 14}
  cable: {on: back, plug: [12, 8, 30], relief: clip, notch: true}`,
	"desk with rest": `
  form: desk
  front: 60
  slope: 18
  rest: 66
  walls: birch-ply-9mm
  corners: {joint: finger, finger: 9}
  ledge: {width: 14, height: 16}`,
	"two-slope": `
  form: two-slope
  front: 60
  slope: 8
  upper: {slope: 40, height: 120}
  walls: birch-ply-9mm
  corners: {joint: finger, finger: 10}`,
	"rack": `
  form: rack
  slope: 70
  outside: [482.6, 220]
  walls: birch-ply-12mm
  corners: {joint: rebate}`,
}

// formNames are all of these names where this run is to look at everything, else a few.
func formNames(few ...string) []string {
	return thorough.Of(slices.Sorted(maps.Keys(boxForms)), few)
}

// judgedBoxes are the panels of boxOf so far, by their text. Tests only read them.
var judgedBoxes = map[string]*job.Result{}

// judged works a panel out without what takes long and no printed box and no solid needs: presses, cutting plans, order of work.
func judged(src string) *job.Result {
	if judgedBoxes[src] == nil {
		judgedBoxes[src] = job.Check(project.Read("box.yaml", []byte(src)), catalog.Builtin())
	}
	return judgedBoxes[src]
}

// boxOf works out a panel with the box of this name; more is added to the box.
func boxOf(t testing.TB, name, more string) *job.Result {
	t.Helper()
	face := "face: {width: 300, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, inset: 20, across: 3, up: 2}}\n"
	go1 := "{part: push-30mm, at: [240, 60], legend: GO}"
	if name == "rack" {
		face, go1 = "face: {rack: 4, sheet: aluminium-2mm}\n", "{part: push-30mm, at: [300, 60], legend: GO}"
	}
	src := "knobwright: 1\ntitle: A box for a puppet theatre\n" + face + "box:" + boxForms[name] + more + "\ncontrols:\n  go: " + go1 + "\n"
	r := judged(src)
	if r.Panel.Carcass == nil {
		var s []string
		for _, f := range r.Findings {
			s = append(s, f.Head)
		}
		t.Fatalf("%s: no box: %s", name, strings.Join(s, "\n"))
	}
	return r
}
