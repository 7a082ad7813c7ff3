package packet

import (
	"bytes"
	"encoding/csv"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

// slopingDesk is a desk of 12 mm plywood whose face slopes 14 degrees.
const slopingDesk = `knobwright: 1
title: Signal desk for a planetarium
face:
  width: 420
  sheet: acrylic-3mm
  fixings: {screw: M3, inset: 20, across: 3}
box:
  form: desk
  front: 70
  slope: 14
  outside: [420, 290]
  walls: birch-ply-12mm
  base: birch-ply-9mm
  ledge: {width: 16, height: 14}
  screws: {insert: M3}
  cable: {on: back, plug: [12, 8, 30], relief: clip}
  saw: {kind: table, trim: 5}
module: {part: rp2040-40pin, at: [210, 200], on: base}
controls:
  go: {part: push-30mm, at: [350, 60], legend: GO}
  moon: {part: pot-16mm, at: [80, 200], legend: MOON}
`

func desked(t testing.TB) (*job.Result, []Doc) {
	t.Helper()
	return papered(t, "desk", slopingDesk)
}

func docOf(docs []Doc, name string) []byte {
	for _, d := range docs {
		if d.Name == name {
			return d.Data
		}
	}
	return nil
}

// TestBoxPapers: a panel with a box gets all papers of the box, one without gets none.
func TestBoxPapers(t *testing.T) {
	_, docs := desked(t)
	for _, name := range []string{"box.pdf", "patterns.pdf", "cutlist.csv", "box.step", "box.stl", "box.3mf"} {
		if len(docOf(docs, name)) == 0 {
			t.Errorf("no %s", name)
		}
	}
	src := []byte(strings.Replace(strings.ReplaceAll(slopingDesk, "form: desk", "form: none"), "width: 420\n", "width: 420\n  height: 290\n", 1))
	r := job.Run(project.Read("desk.yaml", src), catalog.Builtin())
	docs, err := Build(r, src)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range docs {
		if strings.HasPrefix(d.Name, "box") || d.Name == "cutlist.csv" || d.Name == "patterns.pdf" {
			t.Errorf("%s without a box", d.Name)
		}
	}
}

// TestCutlist holds the cut list against the angles of the desk: the upper edges of front and back are sawn at 14 degrees, which over
// 12 mm comes to 12·tan 14 = 2.99; the sides are 290 - 2·12 long.
func TestCutlist(t *testing.T) {
	_, docs := desked(t)
	rows, err := csv.NewReader(bytes.NewReader(docOf(docs, "cutlist.csv"))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	at := func(r []string, name string) string { return r[slices.Index(rows[0], name)] }
	seen := 0
	for _, r := range rows[1:] {
		switch at(r, "board") {
		case "front", "back":
			seen++
			if at(r, "tilt_deg") != "14.00" || at(r, "over_mm") != "2.99" || at(r, "in_100_mm") != "24.9" {
				t.Errorf("%v", r)
			}
		case "left side":
			seen++
			if at(r, "along_grain_mm") != "266.00" || at(r, "pair") != "right side" {
				t.Errorf("%v", r)
			}
		}
	}
	if seen != 3 {
		t.Errorf("%d of three boards", seen)
	}
}

// TestBoxSolids: every board is a solid of its own volume less that of its openings and screw holes, reckoned here from their sizes, and
// every mesh is closed.
func TestBoxSolids(t *testing.T) {
	r, docs := desked(t)
	m, err := boxModel(r)
	if err != nil {
		t.Fatal(err)
	}
	volumes := map[string]float64{}
	for i := range m.Bodies() {
		volumes[m.Name(i)] = m.Volume(i)
		mesh, err := m.Mesh(i, 0)
		if err != nil {
			t.Fatalf("%s: %v", m.Name(i), err)
		}
		if err := mesh.Check(); err != nil {
			t.Errorf("%s: %v", m.Name(i), err)
		}
	}
	round := func(d float64) float64 { return math.Pi / 4 * d * d }
	for _, l := range r.Box.Boards {
		b := l.Board
		want := b.Volume
		for _, c := range b.Cutouts {
			want -= c.Outline.Area() * b.Thickness
		}
		if x := r.Box.Exit; x.Board == b.Name {
			want -= round(x.Round) * b.Thickness
		}
		for _, s := range r.Box.Screws {
			if s.Through == b.Name {
				want -= round(s.Shank.Bit.Diameter) * b.Thickness
			}
			if s.Into == b.Name {
				want -= round(s.Pilot.Bit.Diameter) * s.Deep
			}
		}
		if got, ok := volumes[b.Name]; !ok || math.Abs(got-want) > 1e-4*want {
			t.Errorf("%s: %.1f mm³, want %.1f", b.Name, got, want)
		}
	}
	if n := bytes.Count(docOf(docs, "box.step"), []byte("MANIFOLD_SOLID_BREP")); n < len(r.Box.Boards) {
		t.Errorf("%d solids in the STEP file", n)
	}
	if h := docOf(docs, "box.stl"); len(h) > 84 {
		n := int(h[80]) | int(h[81])<<8 | int(h[82])<<16
		if len(h) != 84+50*n {
			t.Errorf("%s facets, %d bytes", strconv.Itoa(n), len(h))
		}
	}
}

// TestPatternsAreTrueSize: the patterns are moved, never scaled.
func TestPatternsAreTrueSize(t *testing.T) {
	r, _ := desked(t)
	d := newDesk(r, nil)
	n := 0
	for _, b := range r.Box.Boards {
		if b.Name != "left side" {
			continue
		}
		tl := newTiling(d, b.Board.OuterOutline.Bounds().Grow(1), nil)
		box := geom.EmptyBox2()
		for _, x := range tl.tiles() {
			n++
			box = box.Union(x.own)
		}
		if s := box.Size(); s.X < b.Blank.X || s.Y < b.Blank.Y {
			t.Errorf("the sheets cover %v of %v", s, b.Blank)
		}
	}
	if n != 2 {
		t.Errorf("a side of 266 mm on %d sheets of A4", n)
	}
}
