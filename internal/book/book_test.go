package book

import (
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

const small = `knobwright: 1
title: A very long name of a desk without any small linking word whatsoever in it
units: mm
face: {width: 200, height: 120, sheet: {use: acrylic-3mm, actual: 3}, legend: {cap: 3}}
controls:
  go: {part: push-22mm, at: [40, 60], legend: GO}
  dim: {part: pot-16mm, at: [150, 60], legend: DIM}
`

func made(t *testing.T, src string) *Book {
	t.Helper()
	return Make(job.Run(project.Read("x.yaml", []byte(src)), catalog.Builtin()), Options{File: "x.yaml"})
}

// A drawing without a scale stands with its heading, a little smaller if need be, not alone on the next page.
func TestHeadingKeepsItsDrawing(t *testing.T) {
	tall := &drawing.Scene{Bounds: geom.Box2{Max: geom.Vec2{X: 100, Y: 230}}, Items: []drawing.Item{drawing.Ln(v(0, 0), v(100, 230), drawing.Dim)}}
	for free, pages := range map[bool]int{true: 2, false: 3} {
		s := newSetter(&Book{})
		s.chapter(&Chapter{ID: "x", Title: "X", Blocks: []Block{Para{Text: "First."}, Heading{Text: "Schematic"}, Para{Text: "What is joined to what."}, Figure{Scene: tall, Free: free}}})
		if len(s.pages) != pages {
			t.Errorf("free %v: %d pages", free, len(s.pages))
		}
	}
}

// The index leads to findings that name a control, and only to pages that do.
func TestIndexOfFindings(t *testing.T) {
	r := job.Run(project.Read("x.yaml", []byte(small)), catalog.Builtin())
	var dim *panel.Control
	for _, c := range r.Panel.Controls {
		if c.Name == "dim" {
			dim = c
		}
	}
	r.Findings = []finding.Finding{{Severity: finding.Warn, Head: "DIM feels springy.", Ends: []finding.End{{Name: "DIM", Path: dim.Origin.Path}, {Name: "GO", Path: "controls.go"}}}}
	b := Make(r, Options{File: "x.yaml", Steps: &r.Steps})
	s := newSetter(b)
	for i := range b.Chapters {
		s.chapter(&b.Chapters[i])
	}
	if at := s.on["dim"]; len(at) == 0 || at[0] != s.first["findings"] {
		t.Errorf("DIM is told of on %v; findings on %d", at, s.first["findings"])
	}
	if slices.Contains(s.on["go"], s.first["findings"]) {
		t.Error("GO is not named there")
	}
	for _, n := range []string{"go", "dim"} {
		if slices.Contains(s.on[n], s.first["order"]) {
			t.Errorf("the order of work does not name %s", n)
		}
	}
}

// A long title is set on two lines; the number of the sheet stands over the rule.
func TestLongTitle(t *testing.T) {
	doc := made(t, small).PDF()
	var set []string
	rule, number := 1e9, 0.0
	for _, it := range doc.Pages[0].Items {
		switch x := it.(type) {
		case *drawing.Text:
			set = append(set, x.S)
			if strings.HasPrefix(x.S, "sheet 1 of") {
				number = x.At.Y
			}
		case *drawing.Path:
			if x.Style.Line == drawing.CutEnds {
				rule = x.Outlines[0][0].P.Y
			}
		}
	}
	if all := strings.Join(set, " "); !strings.Contains(all, "A very long name") || !strings.Contains(all, "whatsoever in it") {
		t.Errorf("the title is cut: %q", set[:3])
	}
	if rule > number-1 {
		t.Errorf("the rule at %.1f runs through the number of the sheet at %.1f", rule, number)
	}
}

// A word is not broken over lines while its column can be wider.
func TestWordsStayWhole(t *testing.T) {
	s := newSetter(&Book{})
	long := "16.2 (~41/64) to 16.4 (~41/64)"
	tb := Table{Cols: []Col{{Tick: true}, {Head: "no.", Never: true}, {Head: "hole", Bold: true}, {Head: "bit"}, {Head: "across", Never: true}, {Head: "up", Never: true}, {Head: "as cut"}, {Head: "finished"}}}
	for range 3 {
		tb.Rows = append(tb.Rows, Row{Cells: []string{"x", "12", "STAGE LIGHTS's anti-turn hole", "saw 16.3 + file", "252.0 (~9 59/64)", "132.0 (~5 13/64)", long, long}})
	}
	ws := s.widths(tb)
	if w := drawing.TextWidth(drawing.ReadBold, pt(bodyPt), "anti-turn"); ws[2] < w {
		t.Errorf("the column of holes has %.1f mm, a word of it takes %.1f", ws[2], w)
	}
	sum := 0.0
	for _, w := range ws {
		sum += w
	}
	if sum > s.wide()+0.01 {
		t.Errorf("the columns take %.1f of %.1f mm", sum, s.wide())
	}
}
