package stiffness

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"knobwright/internal/geom"
	"knobwright/internal/solve/plate"
)

// slanted is a face with a slanted row of six buttons.
func slanted() string {
	var b strings.Builder
	b.WriteString("knobwright: 1\ntitle: Slanted\nface: {width: 300, height: 200, sheet: {use: acrylic-3mm, actual: 3}, fixings: {screw: M3, inset: 5}}\n" +
		"box: {form: flat, depth: 70, walls: {use: birch-ply-9mm, actual: 9}}\ncontrols:\n")
	for i := range 6 {
		fmt.Fprintf(&b, "  b%d: {part: push-16mm, at: [%d, %d]}\n", i+1, 45+42*i, 35+26*i)
	}
	return b.String()
}

// Beside a slanted row one slanted rib does what takes three ribs that run across and up, and it is clear of everything.
func TestSlantedRowGetsASlantedRib(t *testing.T) {
	f := first(t, slanted())
	f.Propose(f.Springy)
	pr := f.Proposal
	if pr == nil || !pr.Reached || len(pr.Ribs) != 1 {
		t.Fatalf("%+v", pr)
	}
	r := pr.Ribs[0]
	d := r.B.Sub(r.A).Unit()
	if off := math.Abs(d.Cross(geom.Vec2{X: 42, Y: 26}.Unit())); off > 0.01 {
		t.Errorf("the rib runs %v, %.1f degrees off the row", d, math.Asin(off)*180/math.Pi)
	}
	s := f.stockOf()
	foot := r.outline(0)
	for _, o := range f.model.Openings {
		if gap, _, _ := foot.Gap(o.Outline); gap < s.air-0.1 {
			t.Errorf("%.2f mm from the opening of %s", gap, o.Name)
		}
	}
	for _, c := range f.Panel.Controls {
		for _, b := range c.Rear {
			if gap, _, _ := foot.Gap(b.Outline); b.Z1 > -f.Panel.Stack.Total-s.height && gap < s.air-0.1 {
				t.Errorf("%.2f mm from a body of %s", gap, c.Label)
			}
		}
	}
	for _, b := range f.Panel.Behind {
		if strings.Contains(b.Origin.Path, "wall") {
			if gap, _, _ := foot.Gap(b.Outline); gap < s.ends-0.1 {
				t.Errorf("%.2f mm from %s", gap, b.Origin.Name)
			}
		}
	}
	// on a grid twice as fine it gives the same to a few per cent
	m := f.model
	m.Cases = nil
	m.Ribs = append(m.Ribs, r.model())
	m.Options.Cell = 5
	p, err := plate.New(m)
	if err != nil {
		t.Fatal(err)
	}
	for i, row := range p.Compliance() {
		if got := row[i] * f.Thumb; math.Abs(pr.Gives[i]/got-1) > 0.06 {
			t.Errorf("%s gives %.3f mm, on a grid twice as fine %.3f", f.Presses[i].Control.Label, pr.Gives[i], got)
		}
	}
}

// Buttons in a square grid, in one row across, or only two aslant make no slanted row; a staggered field makes two.
func TestSlants(t *testing.T) {
	at := func(places ...geom.Vec2) *Face {
		var b strings.Builder
		b.WriteString("knobwright: 1\ntitle: Rows\nface: {width: 300, height: 200, sheet: acrylic-3mm, fixings: {screw: M3, inset: 5}}\ncontrols:\n")
		for i, q := range places {
			fmt.Fprintf(&b, "  b%d: {part: push-12mm, at: [%g, %g]}\n", i+1, q.X, q.Y)
		}
		return first(t, b.String())
	}
	var grid, row, field []geom.Vec2
	for i := range 4 {
		row = append(row, geom.Vec2{X: 40 + 40*float64(i), Y: 100})
		for j := range 3 {
			grid = append(grid, geom.Vec2{X: 40 + 40*float64(i), Y: 50 + 40*float64(j)})
			field = append(field, geom.Vec2{X: 40 + 40*float64(i) + 20*float64(j%2), Y: 50 + 30*float64(j)})
		}
	}
	for _, x := range []struct {
		name string
		at   []geom.Vec2
		n    int
	}{{"grid", grid, 0}, {"row", row, 0}, {"pair", []geom.Vec2{{X: 50, Y: 50}, {X: 90, Y: 80}}, 0}, {"staggered", field, 2}} {
		if got := at(x.at...).slants(); len(got) != x.n {
			t.Errorf("%s: %v", x.name, got)
		}
	}
}
