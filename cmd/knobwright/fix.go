package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
)

type fixCmd struct {
	What string `arg:"" optional:"" help:"What to mend: the name of a control, group or rib, or a rule; without it, what can be mended is listed."`
	File string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Dry  bool   `name:"dry-run" help:"Show what would change; write nothing."`
}

func (c *fixCmd) Run(w *world, a *app) error {
	what, file, err := c.split(w)
	if err != nil {
		return err
	}
	l, err := w.load(file, job.Check)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	if what == "" {
		return listFixes(w, l)
	}
	best, err := l.bestFix(what, job.Check)
	if err != nil { // it may be about what only the whole job finds
		if full, wrong := w.load(file, job.Run); wrong == nil {
			if b, wrong := full.bestFix(what, job.Run); wrong == nil {
				l, best, err = full, b, nil
			}
		}
	}
	if err != nil {
		return err
	}
	f, fx, out, after := best.finding, best.fix, best.text, best.after
	s := w.style()
	fmt.Fprintf(w.out, "%s  %s.\n", s.Bold(terminal.Clean(f.Head)), terminal.Clean(fx.Say))
	printChange(w, l.doc.Src, out)
	if c.Dry {
		fmt.Fprintln(w.out, "Nothing written. Then it would say: "+terminal.Verdict(after.result.Findings))
		return nil
	}
	if err := safefile.Replace(l.path, l.doc.Src, out); err != nil {
		return usage{say: "The file was not written: " + strings.TrimSuffix(reason(err), ".") + ".", hint: "It is as it was."}
	}
	fmt.Fprintln(w.out, "In the file. Now: "+terminal.Verdict(after.result.Findings))
	return after.exit(a.Strict)
}

// split tells what is to be mended from the file, in either order.
func (c *fixCmd) split(w *world) (what, file string, err error) {
	for _, x := range []string{c.What, c.File} {
		ext := strings.ToLower(filepath.Ext(x))
		switch {
		case x == "":
		case ext == ".yaml" || ext == ".yml" || strings.ContainsRune(x, os.PathSeparator):
			if file != "" {
				return "", "", usage{say: "Two files are named; one at a time."}
			}
			file = x
		case what != "":
			return "", "", usage{say: fmt.Sprintf("One thing at a time: %s or %s?", what, x)}
		default:
			what = x
		}
	}
	return what, file, nil
}

// candidate is a fix tried out: the text it gives and what is found in that.
type candidate struct {
	finding finding.Finding
	fix     finding.Fix
	text    []byte
	after   *loaded
}

// bestFix tries every proposal that is about a name, or of a rule, and gives the one that leaves least to mend: fewest stops,
// then fewest warnings, then the gravest finding's first proposal.
func (l *loaded) bestFix(what string, run runner) (candidate, error) {
	var best candidate
	bestScore, found := 0, false
	var refused error
	for _, f := range l.result.Findings {
		if f.Kept != "" {
			continue
		}
		about := f.Rule == what || slices.ContainsFunc(f.Ends, func(e finding.End) bool { return named(e, what) })
		for _, fx := range f.Fixes {
			if !about && fx.Target() != what {
				continue
			}
			text, err := l.doc.Apply(fx.Edits)
			if err != nil {
				refused = usage{say: "This cannot be written into the file by itself: " + strings.TrimSuffix(err.Error(), ".") + ".", hint: "By hand: " + fx.Say + " (" + fx.Short + ")."}
				continue
			}
			after, err := judge(l.path, text, run)
			if err != nil {
				return best, err
			}
			stops, warns, _ := finding.Count(after.result.Findings)
			if score := stops*10000 + warns; !found || score < bestScore {
				best, bestScore, found = candidate{f, fx, text, after}, score, true
			}
		}
	}
	switch {
	case found:
		return best, nil
	case refused != nil:
		return best, refused
	}
	return best, noFix(l.result.Findings, what)
}

// named reports whether an end of a finding is what the person calls by this name.
func named(e finding.End, what string) bool {
	return strings.EqualFold(e.Name, what) || e.Path == what || strings.HasSuffix(e.Path, "."+what)
}

func noFix(fs []finding.Finding, what string) error {
	for _, f := range fs {
		if f.Rule == what || slices.ContainsFunc(f.Ends, func(e finding.End) bool { return named(e, what) }) {
			return usage{say: fmt.Sprintf("%s There is no ready answer to it; it needs your hand.", f.Head), hint: "knobwright explain " + f.Rule}
		}
	}
	return usage{say: fmt.Sprintf("Nothing is found about %q that could be mended.", what), hint: "knobwright fix    lists what can"}
}

func listFixes(w *world, l *loaded) error {
	s, n := w.style(), 0
	listed := map[string]bool{}
	for _, f := range l.result.Findings {
		if len(f.Fixes) == 0 || f.Kept != "" {
			continue
		}
		n++
		run := "knobwright fix " + terminal.Clean(f.Fixes[0].Target())
		if listed[run] {
			run = "" // the same command looks after this one too, or it is next
		}
		listed[run] = true
		fmt.Fprintf(w.out, "  %-28s %s %s\n", run, terminal.Clean(f.Head), s.Quiet(terminal.Clean(f.Fixes[0].Say)+"."))
	}
	if n == 0 {
		fmt.Fprintln(w.out, "Nothing that has a ready answer. "+terminal.Verdict(l.result.Findings))
	}
	return nil
}

// printChange shows the lines that differ, old above new.
func printChange(w *world, before, after []byte) {
	a, b := bytes.Split(before, []byte("\n")), bytes.Split(after, []byte("\n"))
	from := 0
	for from < len(a) && from < len(b) && bytes.Equal(a[from], b[from]) {
		from++
	}
	ea, eb := len(a), len(b)
	for ea > from && eb > from && bytes.Equal(a[ea-1], b[eb-1]) {
		ea--
		eb--
	}
	s := w.style()
	for i := from; i < ea; i++ {
		fmt.Fprintf(w.out, "  %4d - %s\n", i+1, s.Quiet(terminal.Clean(string(a[i]))))
	}
	for i := from; i < eb; i++ {
		fmt.Fprintf(w.out, "  %4d + %s\n", i+1, terminal.Clean(string(b[i])))
	}
}
