package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/terminal"
)

type checkCmd struct {
	File string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	All  bool   `help:"Show findings that you keep on purpose too."`
}

func (c *checkCmd) Run(w *world, a *app) error {
	l, err := w.loadBuilt(c.File, a, job.Check)
	if err != nil {
		return err
	}
	if a.JSON {
		l.printJSON(w.out)
		return l.exit(a.Strict)
	}
	l.print(w, c.All)
	return l.exit(a.Strict)
}

// print tells the findings and the verdict.
func (l *loaded) print(w *world, all bool) {
	s := w.style()
	p := l.result.Panel
	title := terminal.Clean(l.result.File.Title)
	if title == "" {
		title = "A panel without a title"
	}
	fmt.Fprintln(w.out)
	for _, t := range terminal.Wrap(title, 72) {
		fmt.Fprintln(w.out, s.Bold(t))
	}
	if p != nil && !l.unreadable() {
		fmt.Fprintln(w.out, s.Quiet(summary(l)))
	}
	fmt.Fprintln(w.out)
	kept := 0
	nothing := l.unreadable()
	for _, f := range l.result.Findings {
		if nothing && !strings.HasPrefix(f.Rule, "file.") {
			continue // a file that cannot be read says nothing about a face
		}
		if f.Kept != "" && !all {
			kept++
			continue
		}
		s.Finding(w.out, f)
	}
	if nothing {
		fmt.Fprintln(w.out, s.Bold("The file cannot be read as it stands; nothing was checked."))
		return
	}
	fmt.Fprintln(w.out, s.Bold(terminal.Verdict(l.result.Findings)))
	if kept > 0 {
		fmt.Fprintln(w.out, s.Quiet("Those kept on purpose: knobwright check --all"))
	}
	if p != nil && p.Face.HasSize() && len(p.Controls) > 0 && len(l.result.Press.Faces) == 0 {
		fmt.Fprintln(w.out, s.Quiet("How far the face gives under a thumb is not looked at here: knobwright press"))
	}
	if p != nil && len(p.Assumed) > 0 {
		fmt.Fprintln(w.out, s.Quiet(fmt.Sprintf("Assumed: %s on trust. List them: knobwright assumed", plural(len(p.Assumed), "number", "numbers"))))
	}
}

// summary is the panel in one line: "31 controls, acrylic 3 mm with film, box 62 mm deep".
func summary(l *loaded) string {
	p := l.result.Panel
	n := 0
	for _, s := range p.Sheets() {
		n += len(s.Controls)
	}
	parts := []string{plural(n, "control", "controls")}
	if t := p.Stack.Sheet.Title; t != "" {
		parts = append(parts, strings.ToLower(t[:1])+t[1:])
	}
	if t := p.Stack.Covering.Title; t != "" && p.Stack.CoverThickness > 0 {
		parts = append(parts, strings.ToLower(t[:1])+t[1:])
	}
	if p.HasBox {
		depth, where := p.BoxDepth, ""
		switch {
		case p.Leaning() && p.Box != nil && p.Box.Form == carcass.Rack: // at its lower end a leaning panel stands on the base
			where = " at the upper end"
			if p.Carcass != nil && p.Carcass.Board("top") == nil { // and at its upper end it leans on the back
				where = " where it is deepest"
			}
		case p.Leaning():
			where = " where it is least"
		}
		deep := "box " + length.Format(length.Length(depth), length.Unit(p.Units)) + " deep inside" + where
		parts = append(parts, deep)
	}
	return strings.Join(parts, ", ")
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// printJSON writes the findings as data.
func (l *loaded) printJSON(out io.Writer) {
	stops, warns, notes := finding.Count(l.result.Findings)
	fs := l.result.Findings
	if fs == nil {
		fs = []finding.Finding{}
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	enc.SetEscapeHTML(false)
	_ = enc.Encode(map[string]any{
		"tool": "knobwright", "version": version, "file": l.path, "title": l.result.File.Title,
		"verdict": terminal.Verdict(fs), "stops": stops, "warnings": warns, "notes": notes, "findings": fs,
	})
}
