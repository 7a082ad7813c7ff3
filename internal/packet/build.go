package packet

import (
	"errors"
	"fmt"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/terminal"
	"knobwright/internal/view"
)

// ErrNoFace says that there is nothing to draw yet.
var ErrNoFace = errors.New("the face has no size yet; give face: width and height")

// Build makes the papers of a job. src is the text of the panel file, for the mark that every sheet carries. The same job
// gives the same bytes.
func Build(r *job.Result, src []byte) ([]Doc, error) { return BuildWith(r, src, With{}) }

// BuildWith is Build with what there is beside the job. Papers are made at the same time as far as there are processors, and stand in one order.
func BuildWith(r *job.Result, src []byte, with With) ([]Doc, error) {
	if r.Panel == nil || r.Panel.Face.Outline.Empty() {
		return nil, ErrNoFace
	}
	if err := settable(r); err != nil {
		return nil, err
	}
	d, n := newDesk(r, src), newNamer(r)
	s := newShared(r, d, n, src, with)
	sheets := sheetsOf(r, d)
	docs, err := atOnce([]func(*tray){
		func(t *tray) { stepsPapers(r, d, with.Lang, t) },
		func(t *tray) { bookPapers(s, t) },
		func(t *tray) { bookPage(s, t.add) },
		func(t *tray) { shoppingPapers(r, s, with, t) },
		func(t *tray) { facePapers(r, sheets, t) },
		func(t *tray) { boxPapers(r, d, s.model, s.whole, t.pdf, t.add) },
		func(t *tray) { wiringPapers(r, d, n, s.groups, t.pdf, t.add) },
		func(t *tray) { firmwarePapers(r, d, t.pdf, t.add) },
		func(t *tray) { pressPapers(r, d, t.pdf, t.add) },
		func(t *tray) { benchPapers(r, d, n, with.Record, t) },
		func(t *tray) {
			js, err := findingsJSON(r)
			t.add("findings.json", "the findings as data", js, err)
			t.add("findings.txt", "what was found", findingsText(r), nil)
			t.add("assumed.txt", "numbers taken on trust", assumedText(r), nil)
		},
	})
	if err != nil {
		return nil, err
	}
	return withManifest(Manifest{
		Tool: "knobwright", Version: r.Version, Title: r.Panel.Title, Source: hash(src), Verdict: terminal.Verdict(r.Findings),
	}, docs)
}

// facePapers are the papers of what is drilled.
func facePapers(r *job.Result, sheets []sheetOf, t *tray) {
	every := func(make func(*job.Result, desk) *drawing.Document) *drawing.Document {
		return onEverySheet(sheets, make)
	}
	t.pdf("template.pdf", "drill through it: true size, every hole with its bit", every(template))
	t.pdf("drilling.pdf", "the drilling schedule to tick off", every(schedule))
	csv, err := scheduleCSV(sheets)
	t.add("drilling.csv", "the same for a spreadsheet", csv, err)
	t.pdf("legends.pdf", "the lettering at true size", every(legendSheet))
	t.pdf("covering.pdf", "the covering, cut to size", every(coveringSheet))
	t.pdf("front.pdf", "the finished face on one page", every(finishedFace))
	t.pdf("rear.pdf", "seen from behind, for the iron", every(rearView))
	for _, s := range sheets {
		cutting := view.Cutting(s.r.Panel)
		svg, err := drawing.SVG(cutting)
		t.add(s.file+".svg", "for a laser or a drawing program, layers by process", svg, err)
		dxf, err := drawing.DXF(cutting)
		t.add(s.file+".dxf", "the same for a router or a workshop", dxf, err)
	}
	svg, err := drawing.SVG(view.Front(r.Panel))
	t.add("front.svg", "the finished face as a picture", svg, err)
	csv, err = partsCSV(sheets)
	t.add("parts.csv", "what goes into the face", csv, err)
}

// settable says which of the panel's words, if any, hold a character that no font here has: a paper with a gap or a box in
// place of a letter is worse than none.
func settable(r *job.Result) error {
	check := func(of, s string) error {
		for _, c := range drawing.Missing(s) {
			return fmt.Errorf("%s: %w", of, &drawing.GlyphError{Rune: c, Text: s})
		}
		return nil
	}
	errs := []error{check("the title", r.Panel.Title), check("the notes", strings.TrimSpace(r.Panel.Notes))}
	for _, p := range r.Panel.Sheets() {
		for _, c := range p.Controls {
			errs = append(errs, check("the legend of "+c.Name, c.Legend.Text), check("the name of "+c.Name, c.Label))
		}
		for _, t := range p.Texts {
			errs = append(errs, check("the text "+t.Name, t.Text))
		}
	}
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
