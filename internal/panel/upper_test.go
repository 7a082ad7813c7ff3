package panel_test

import (
	"math"
	"strings"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

const twoSlopes = `knobwright: 1
title: Star desk for a planetarium
face: {width: 320, height: 150, sheet: acrylic-3mm, fixings: {screw: M3, inset: 20, across: 3}}
box:
  form: two-slope
  front: 60
  slope: 12 deg
  held: inserts
  screws: {insert: M3}
  walls: birch-ply-12mm
  ledge: {width: 18, height: 20}
  upper:
    slope: 55 deg
    height: 140
    UPPER
module: {part: rp2040-40pin, at: [160, 90], on: base}
controls:
  go: {part: push-22mm, at: [160, 70], legend: GO}
  lamp: {part: lamp-5mm-holder, at: [160, 90], on: upper, legend: LIT}
`

func slopes(t *testing.T, upper string) *job.Result {
	t.Helper()
	doc := project.Read("stars.yaml", []byte(strings.Replace(twoSlopes, "    UPPER\n", upper, 1)))
	for _, f := range doc.Findings {
		t.Fatalf("%s %s", f.Head, f.Body)
	}
	return job.Run(doc, catalog.Builtin())
}

func rules(r *job.Result, rule string) (out []finding.Finding) {
	for _, f := range r.Findings {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

// TestUpperFixings: the upper face takes screws of its own: holes in its board, inserts under it, and no finding that nothing holds it.
func TestUpperFixings(t *testing.T) {
	r := slopes(t, "")
	if fs := rules(r, "box.no-face-screws"); len(fs) != 1 || !strings.Contains(fs[0].Head, "upper face") || len(fs[0].Fixes) == 1 && fs[0].Fixes[0].Edits[0].Path != "box.upper.fixings" {
		t.Errorf("without screws: %+v", fs)
	}
	r = slopes(t, "    fixings: {screw: M3, inset: 20, across: 3}\n")
	if fs := rules(r, "box.no-face-screws"); len(fs) != 0 {
		t.Errorf("with screws: %v", fs)
	}
	under := 0
	for _, x := range r.Box.Inserts {
		if strings.HasPrefix(x.Fixing, "upper fixing") {
			under++
		}
	}
	holes := 0
	for _, c := range r.Panel.Carcass.Board("upper face").Cutouts {
		if strings.HasPrefix(c.Name, "fixing-") {
			holes++
		}
	}
	if holes != 6 || under != 5 { // in the middle of the valley lies no wood, and that is said
		t.Errorf("%d holes, %d inserts: %v", holes, under, rules(r, "box.fixing"))
	}
	said := false
	for _, f := range rules(r, "box.fixing") {
		said = said || strings.HasPrefix(f.Head, "Under upper fixing")
	}
	if !said {
		t.Errorf("%v", rules(r, "box.fixing"))
	}
	if len(r.Panel.Fixings) != 6 || len(r.Sides) != 1 || len(r.Sides[0].Panel.Fixings) != 6 {
		t.Error("the screws are not on their own sheets")
	}
	if x := r.Sides[0].Panel.Fixings[0]; math.Abs(x.At.X-20) > 1e-9 || math.Abs(x.At.Y-20) > 1e-9 || x.Origin.Pos.Line == 0 {
		t.Errorf("the first one at %v, %+v", x.At, x.Origin)
	}
}

// TestUpperRibs: a rib of the upper face is a board under it, and known by its place in the file.
func TestUpperRibs(t *testing.T) {
	r := slopes(t, "    ribs: {m: {from: [80, 40], to: [240, 40], width: 10, height: 20}}\n")
	b := r.Panel.Carcass.Board("rib M of the upper face")
	if b == nil {
		for i := range r.Panel.Carcass.Boards {
			t.Log(r.Panel.Carcass.Boards[i].Name)
		}
		t.Fatal("no rib")
	}
	if b.Role != carcass.RoleRib || math.Abs(b.Blank.X-160) > 1e-6 {
		t.Errorf("%+v", b)
	}
	f := r.Panel.Carcass.Faces[1]
	for _, p := range b.Parts[0].Points {
		if q := f.Frame.ToLocal(p); q.Z > -f.Thickness+1e-6 || math.Abs(q.Y-40) > 5+1e-6 {
			t.Errorf("a corner at %v", q)
		}
	}
	out := slopes(t, "    ribs: {m: {from: [80, 40], to: [400, 40], width: 10, height: 20}}\n")
	if fs := rules(out, "place.bad-size"); len(fs) != 1 || fs[0].Ends[0].Path != "box.upper.ribs.m" {
		t.Errorf("beside the face: %+v", fs)
	}
}

// TestUpperSheet: the upper face may be of another sheet and bare; board, sheet and cut list say so.
func TestUpperSheet(t *testing.T) {
	r := slopes(t, "    sheet: aluminium-2mm\n    covering: none\n    fixings: {screw: M3, inset: 20}\n")
	b := r.Panel.Carcass.Board("upper face")
	if math.Abs(b.Thickness-2) > 1e-9 || math.Abs(r.Panel.Carcass.Board("lower face").Thickness-3) > 1e-9 {
		t.Errorf("%g mm thick, the lower one %g", b.Thickness, r.Panel.Carcass.Board("lower face").Thickness)
	}
	if s := r.Sides[0].Panel.Stack; s.Sheet.ID != "aluminium-2mm" || s.Total != 2 {
		t.Errorf("%+v", s)
	}
	for _, l := range r.Box.Boards {
		if l.Name == "upper face" && l.Material.ID != "aluminium-2mm" || l.Name == "lower face" && l.Material.ID != "acrylic-3mm" {
			t.Errorf("the %s is of %s", l.Name, l.Material.ID)
		}
	}
}
