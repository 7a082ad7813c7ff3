package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/intake"
	"knobwright/internal/length"
	"knobwright/internal/project"
	"knobwright/internal/terminal"
)

// drawings are the readers by the ending of the file.
var drawings = map[string]func([]byte) (*intake.Drawing, error){".dxf": intake.DXF, ".svg": intake.SVG, ".csv": intake.Table, ".tsv": intake.Table}

// isDrawing reports whether a name is that of a drawing or a list of holes.
func isDrawing(name string) bool { return drawings[strings.ToLower(filepath.Ext(name))] != nil }

// startFrom makes a panel file from a drawing.
func (c *newCmd) startFrom(w *world) (name string, src []byte, err error) {
	path := c.From
	if !filepath.IsAbs(path) {
		path = filepath.Join(w.dir, path)
	}
	data, err := readLimited(path)
	if err != nil {
		return "", nil, err
	}
	base := filepath.Base(path)
	cannot := func(err error) error {
		return usage{say: fmt.Sprintf("%s cannot be taken as a panel: %s.", terminal.Clean(base), err)}
	}
	known, err := readKnown(c.Known)
	if err != nil {
		return "", nil, err
	}
	d, err := drawings[strings.ToLower(filepath.Ext(base))](data)
	if err != nil {
		return "", nil, cannot(err)
	}
	p, err := intake.Read(d, known)
	var raw *intake.Sized
	if errors.As(err, &raw) {
		u := cannot(raw.Err).(usage)
		u.hint = fmt.Sprintf("In its own units the face is %.6g by %.6g", raw.Width, raw.Height)
		if raw.Largest > 0 {
			u.hint += fmt.Sprintf(" and the largest round hole %.6g across", raw.Largest)
		}
		u.hint += ".\nMeasure one of them and say it:\n  --known \"width 340 mm\"    or --known \"hole 22 mm\""
		return "", nil, u
	}
	if err != nil {
		return "", nil, cannot(err)
	}
	gs := p.Guesses(catalog.Builtin())
	title := c.Title
	stem := strings.TrimSuffix(base, filepath.Ext(base))
	if title == "" {
		title = strings.ToUpper(stem[:1]) + stem[1:]
	}
	parts := 0
	for _, g := range gs {
		if g != nil {
			parts++
		}
	}
	in := mm
	if p.Inch {
		in = func(v float64) string { return length.Format(length.Length(v), length.Inch) }
	}
	fmt.Fprintf(w.out, "%s: a face of %s by %s, %s", terminal.Clean(base), in(p.Width), in(p.Height), plural(len(p.Holes), "hole", "holes"))
	fmt.Fprintf(w.out, ", %d with a part that likely goes in; %s.\n", parts, plural(len(p.Screws), "screw", "screws"))
	if p.Sure {
		fmt.Fprintf(w.out, "Scale: by the %s that you gave.\n", known.What)
	} else {
		measure := `measure the face, or a hole, and if it is otherwise start again with --known "width 340 mm"`
		if d.Corner { // a list has no face
			measure = `measure the largest hole, and if it is otherwise start again with --known "hole 22 mm"`
		}
		for _, l := range terminal.Wrap(fmt.Sprintf("Scale: %s. Nobody has proved it: %s.", d.UnitSay, measure), 78) {
			fmt.Fprintln(w.out, terminal.Clean(l))
		}
	}
	for _, n := range p.Notes {
		for _, l := range terminal.Wrap(n, 76) {
			fmt.Fprintln(w.out, "  "+terminal.Clean(l))
		}
	}
	src = p.File(title, base, gs)
	if doc := project.Read(stem+".yaml", src); hasSyntax(doc) {
		return "", nil, fmt.Errorf("the file made from %s cannot be read back; please report it with the drawing", base)
	}
	return stem + ".yaml", src, nil
}

func hasSyntax(doc *project.Doc) bool {
	for _, f := range doc.Findings {
		if f.Rule == "file.syntax" {
			return true
		}
	}
	return false
}

func mm(v float64) string { return length.Format(length.Length(v), length.MM) }

// readKnown reads the length that the person knows: "width 340 mm", "340 mm" (the width), "hole 7/8 in".
func readKnown(s string) (*intake.Known, error) {
	s = strings.TrimSpace(strings.ReplaceAll(s, "=", " "))
	if s == "" {
		return nil, nil
	}
	what := "width"
	for _, w := range []string{"width", "height", "hole"} {
		if r, ok := strings.CutPrefix(s, w); ok {
			what, s = w, strings.TrimSpace(strings.TrimLeft(r, ": "))
		}
	}
	l, err := length.Parse(s, length.MM)
	if err != nil || l <= 0 {
		return nil, usage{say: fmt.Sprintf("%q is no length that proves the scale.", s), hint: "--known \"width 340 mm\", \"height 8 in\" or \"hole 22 mm\" (the largest round hole)"}
	}
	return &intake.Known{What: what, MM: l.MM()}, nil
}
