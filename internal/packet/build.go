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
func Build(r *job.Result, src []byte) ([]Doc, error) {
	if r.Panel == nil || r.Panel.Face.Outline.Empty() {
		return nil, ErrNoFace
	}
	if err := settable(r); err != nil {
		return nil, err
	}
	d := newDesk(r, src)
	var docs []Doc
	var failed error
	add := func(name, about string, data []byte, err error) {
		if err != nil && failed == nil {
			failed = fmt.Errorf("%s: %w", name, err)
		}
		docs = append(docs, Doc{name, about, data})
	}
	pdf := func(name, about string, doc *drawing.Document) {
		if doc == nil || failed != nil {
			return
		}
		data, err := drawing.PDF(doc)
		add(name, about, data, err)
	}
	sheets := sheetsOf(r, d)
	every := func(make func(*job.Result, desk) *drawing.Document) *drawing.Document {
		return onEverySheet(sheets, make)
	}
	pdf("template.pdf", "drill through it: true size, every hole with its bit", every(template))
	pdf("drilling.pdf", "the drilling schedule to tick off", every(schedule))
	csv, err := scheduleCSV(sheets)
	add("drilling.csv", "the same for a spreadsheet", csv, err)
	pdf("legends.pdf", "the lettering at true size", every(legendSheet))
	pdf("covering.pdf", "the covering, cut to size", every(coveringSheet))
	pdf("front.pdf", "the finished face on one page", every(finishedFace))
	pdf("rear.pdf", "seen from behind, for the iron", every(rearView))
	for _, s := range sheets {
		cutting := view.Cutting(s.r.Panel)
		svg, err := drawing.SVG(cutting)
		add(s.file+".svg", "for a laser or a drawing program, layers by process", svg, err)
		dxf, err := drawing.DXF(cutting)
		add(s.file+".dxf", "the same for a router or a workshop", dxf, err)
	}
	svg, err := drawing.SVG(view.Front(r.Panel))
	add("front.svg", "the finished face as a picture", svg, err)
	csv, err = partsCSV(sheets)
	add("parts.csv", "what goes into the face", csv, err)
	boxPapers(r, d, pdf, add)
	wiringPapers(r, d, pdf, add)
	firmwarePapers(r, d, pdf, add)
	pressPapers(r, d, pdf, add)
	js, err := findingsJSON(r)
	add("findings.json", "the findings as data", js, err)
	add("findings.txt", "what was found", findingsText(r), nil)
	add("assumed.txt", "numbers taken on trust", assumedText(r), nil)
	if failed != nil {
		return nil, failed
	}
	return withManifest(Manifest{
		Tool: "knobwright", Version: r.Version, Title: r.Panel.Title, Source: hash(src), Verdict: terminal.Verdict(r.Findings),
	}, docs)
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
