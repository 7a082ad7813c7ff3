package view

import (
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

const twoFaces = `knobwright: 1
title: Desk of two faces
face: {width: 300, height: 160, sheet: acrylic-3mm, fixings: {screw: M3, inset: 10}}
box: {form: two-slope, front: 60, slope: 8 deg, upper: {slope: 40 deg, height: 90, fixings: {screw: M3, inset: 12}}, walls: birch-ply-9mm}
module: {part: rp2040-40pin, at: [150, 60]}
controls:
  up: {part: push-22mm, at: [60, 60], legend: UP}
  fog: {part: toggle-mini-2, at: [240, 45], on: upper, legend: FOG}
`

// A wire to another board of the box ends at the edge of the drawing, with the name of where it goes.
func TestWiresStayOnTheSheet(t *testing.T) {
	r := job.Run(project.Read("x.yaml", []byte(twoFaces)), catalog.Builtin())
	if len(r.Harness.Wires) < 3 {
		t.Fatal("no wires")
	}
	var hops []Hop
	far := false
	for i, x := range r.Harness.Wires {
		hops = append(hops, Hop{i, i + 1})
		for _, q := range flat(r.Panel, x.Path) {
			far = far || !holds(sheetBox(r.Panel).Grow(5), q)
		}
	}
	if !far {
		t.Fatal("no wire leaves the face, the panel shows nothing")
	}
	for _, hs := range [][]Hop{nil, hops} {
		names := false
		walk(t, Wired(r.Panel, r.Wiring, r.Harness, hs, 0.6).Items, r.Panel, &names)
		if !names {
			t.Error("where the wire goes is not said")
		}
	}
}

func walk(t *testing.T, items []drawing.Item, p *panel.Panel, names *bool) {
	t.Helper()
	for _, it := range items {
		switch x := it.(type) {
		case *drawing.Group:
			walk(t, x.Items, p, names)
		case *drawing.Text:
			*names = *names || strings.Contains(x.S, "FOG")
		case *drawing.Path:
			if !x.Open {
				continue
			}
			for _, o := range x.Outlines {
				for _, v := range o {
					if b := sheetBox(p).Grow(1); !holds(b, v.P) {
						t.Fatalf("a line runs to %v, off the sheet", v.P)
					}
				}
			}
		}
	}
}

// A run is cut where it crosses the edge, in as many parts as lie inside.
func TestOnSheet(t *testing.T) {
	b := geom.Box2{Max: geom.Vec2{X: 10, Y: 10}}
	parts, cut := onSheet(b, []geom.Vec2{{X: 5, Y: 5}, {X: 15, Y: 5}, {X: 15, Y: 8}, {X: 2, Y: 8}})
	if len(parts) != 2 || cut[0] != [2]bool{false, true} || cut[1] != [2]bool{true, false} || parts[0][1] != (geom.Vec2{X: 10, Y: 5}) || parts[1][0] != (geom.Vec2{X: 10, Y: 8}) {
		t.Errorf("%v %v", parts, cut)
	}
	if parts, _ = onSheet(b, []geom.Vec2{{X: 20, Y: 20}, {X: 30, Y: 5}}); len(parts) != 0 {
		t.Error(parts)
	}
	if parts, cut = onSheet(b, []geom.Vec2{{X: 1, Y: 1}, {X: 9, Y: 9}}); len(parts) != 1 || cut[0] != [2]bool{} {
		t.Error(parts, cut)
	}
}
