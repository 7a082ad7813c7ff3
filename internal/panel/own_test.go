package panel

import (
	"math"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/project"
)

// own are records with numbers of our own, so that what is computed by hand stays true when the catalogue grows.
const own = `
parts:
  knob: # seats behind, nut in front
    title: Test pot
    class: pot
    seat: rear
    hole: {what: hole, round: 8, tol: [0, 0.2]}
    cuts:
      - {what: anti-turn, round: 3, at: [0, 9], depth: 1.5}
    grip: [1, 5]
    nut: {side: front, shape: hex, flats: 10, thickness: 2, washers: 1, washer: 12, tool: socket, tool-room: 16}
    front:
      - {role: knob, round: 20, z: [9, 24]}
    rear:
      - {role: body, rect: [16, 20], at: [0, -2], z: [-9, 0]}
      - {role: lugs, rect: [12, 4], at: [0, -14], z: [-9, -2]}
    lugs:
      - {name: "1", does: track end, at: [-5, -14], size: [2, 1]}
      - {name: w, does: wiper, at: [0, -14], size: [2, 1]}
  button: # seats in front, ring nut behind
    title: Test button
    class: push
    hole: {what: hole, round: 16}
    grip: [0.5, 6]
    nut: {side: rear, shape: ring, flats: 20, thickness: 2, washers: 1, tool: fingers, tool-room: 26}
    front:
      - {role: bezel, round: 18, z: [0, 2]}
    rear:
      - {role: body, round: 15, z: [-25, 0]}
sheets:
  test-3mm: {title: Test sheet, kind: acrylic, nominal: 3}
  test-9mm: {title: Test board, kind: plywood, nominal: 9}
coverings:
  test-film: {title: Test film, kind: film, thickness: 0.1, holes: trimmed, wrap: 20}
`

func testCatalog(t tester) *catalog.Catalog {
	t.Helper()
	c, problems := catalog.Builtin().With("own.yaml", []byte(own))
	for _, p := range problems {
		t.Fatalf("own.yaml:%d: %s %s", p.Pos.Line, p.Rule, p.Say)
	}
	return c
}

const head = `knobwright: 1
title: Test
face: {width: 200, height: 100, sheet: test-3mm, covering: test-film}
`

// placeText places the text after the usual head and fails on findings of the reader.
func placeText(t tester, body string) (*Panel, []finding.Finding) {
	t.Helper()
	return placeWhole(t, head+body)
}

func placeWhole(t tester, text string) (*Panel, []finding.Finding) {
	t.Helper()
	doc := project.Read("test.yaml", []byte(text))
	for _, f := range doc.Findings {
		t.Errorf("line %d: %s: %s", f.Pos().Line, f.Rule, f.Head)
	}
	return Place(doc, testCatalog(t))
}

func wantClean(t tester, fs []finding.Finding) {
	t.Helper()
	for _, f := range fs {
		t.Errorf("line %d: %s: %s %s", f.Pos().Line, f.Rule, f.Head, f.Body)
	}
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

func nearVec(a, b geom.Vec2) bool { return near(a.X, b.X) && near(a.Y, b.Y) }

func named(t tester, p *Panel, name string) *Control {
	t.Helper()
	for _, c := range p.Controls {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no control %s", name)
	return nil
}

func rules(fs []finding.Finding) string {
	var s []string
	for _, f := range fs {
		s = append(s, f.Rule)
	}
	return strings.Join(s, " ")
}

// tester is a test, a benchmark, a fuzz target or a property.
type tester interface {
	Helper()
	Errorf(format string, a ...any)
	Fatalf(format string, a ...any)
}
