package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// panelFile finds the file to work on: the one named, or the one panel file of the current folder.
func (w *world) panelFile(named string) (string, error) {
	if named != "" {
		p := named
		if !filepath.IsAbs(p) {
			p = filepath.Join(w.dir, named)
		}
		return p, nil
	}
	entries, err := os.ReadDir(w.dir)
	if err != nil {
		return "", usage{say: "This folder cannot be read: " + reason(err) + "."}
	}
	var found []string
	for _, e := range entries {
		ext := strings.ToLower(filepath.Ext(e.Name()))
		if e.Type().IsRegular() && (ext == ".yaml" || ext == ".yml") && looksLikePanel(filepath.Join(w.dir, e.Name())) {
			found = append(found, e.Name())
		}
	}
	switch len(found) {
	case 1:
		return filepath.Join(w.dir, found[0]), nil
	case 0:
		return "", usage{say: "There is no panel file in this folder.", hint: "knobwright new my-desk --from cue-desk    starts one from an example\nknobwright check path/to/file.yaml        works on one elsewhere"}
	}
	return "", usage{say: "This folder has several panel files; say which: " + strings.Join(found, ", ") + "."}
}

// looksLikePanel reports whether a file's first part has the line that every panel file has.
func looksLikePanel(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	head, _ := io.ReadAll(io.LimitReader(f, 64<<10))
	for _, l := range strings.Split(string(head), "\n") {
		if strings.HasPrefix(strings.TrimPrefix(l, "\uFEFF"), "knobwright:") {
			return true
		}
	}
	return false
}

// readLimited reads a text file within the size limit; what is wrong is said in a sentence.
func readLimited(path string) ([]byte, error) {
	st, err := os.Stat(path)
	if err != nil {
		return nil, usage{say: fmt.Sprintf("%s cannot be read: %s.", path, reason(err))}
	}
	if st.IsDir() {
		return nil, usage{say: path + " is a folder, not a panel file.", hint: "Go into it and run the command without a file, or name the file."}
	}
	if !st.Mode().IsRegular() {
		return nil, usage{say: path + " is not an ordinary file."}
	}
	if st.Size() > yamlfile.MaxBytes {
		return nil, usage{say: fmt.Sprintf("%s has %d bytes; a panel file has at most %d.", path, st.Size(), yamlfile.MaxBytes)}
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, usage{say: fmt.Sprintf("%s cannot be read: %s.", path, reason(err))}
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, yamlfile.MaxBytes+1))
	if err != nil {
		return nil, usage{say: fmt.Sprintf("%s cannot be read: %s.", path, reason(err))}
	}
	return src, nil
}

// reason strips an error of its machinery.
func reason(err error) string {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "there is no such file"
	case errors.Is(err, fs.ErrPermission):
		return "it is not permitted"
	}
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}

// loaded is a panel file with all that was found about it.
type loaded struct {
	path   string
	doc    *project.Doc
	cat    *catalog.Catalog
	result *job.Result
}

// runner is how much of the job is wanted: job.Check for findings, job.Run for the order of work too.
type runner func(*project.Doc, *catalog.Catalog) *job.Result

// load reads a panel file, the person's own catalogue beside it if it names one, and runs the job.
func (w *world) load(named string, run runner) (*loaded, error) {
	path, err := w.panelFile(named)
	if err != nil {
		return nil, err
	}
	src, err := readLimited(path)
	if err != nil {
		return nil, err
	}
	return judge(path, src, run)
}

// judge runs the job on text that belongs at path.
func judge(path string, src []byte, run runner) (*loaded, error) {
	l := &loaded{path: path, doc: project.Read(filepath.Base(path), src), cat: catalog.Builtin()}
	if own := l.doc.File.Catalogue; own != "" {
		if err := l.ownCatalogue(own); err != nil { // the rest of the file is judged all the same
			l.doc.Findings = append(l.doc.Findings, finding.Finding{
				Rule: "file.no-catalogue", Severity: finding.Stop, Head: err.Error(), Body: "Its parts are unknown until it can be read.",
				Ends: []finding.End{{Name: own, Path: "catalogue", Pos: l.doc.Pos("catalogue")}},
			})
		}
	}
	l.stockFile()
	l.result = run(l.doc, l.cat)
	l.result.Version = version
	return l, nil
}

// ownCatalogue lays the person's catalogue over the built-in one. It must lie in the panel's folder or below it.
func (l *loaded) ownCatalogue(own string) error {
	if !filepath.IsLocal(own) {
		return usage{say: fmt.Sprintf("The catalogue %q must lie in the folder of the panel file.", own)}
	}
	path := filepath.Join(filepath.Dir(l.path), own)
	src, err := readLimited(path)
	if err != nil {
		return err
	}
	var problems []yamlfile.Problem
	l.cat, problems = l.cat.With(filepath.ToSlash(own), src)
	for _, p := range problems {
		f := p.Finding(filepath.Base(own))
		f.Fixes = nil // they are for that file, and fix writes the panel's
		l.doc.Findings = append(l.doc.Findings, f)
	}
	return nil
}

// unreadable reports whether the file gave nothing at all to work on.
func (l *loaded) unreadable() bool {
	for _, f := range l.result.Findings {
		switch f.Rule {
		case "file.syntax", "file.too-large", "file.not-text", "file.too-deep":
			return true
		case "file.version":
			if f.Severity == finding.Stop {
				return true
			}
		}
	}
	return false
}

// exit gives the exit code that the findings ask for.
func (l *loaded) exit(strict bool) error {
	stops, warns, _ := finding.Count(l.result.Findings)
	switch {
	case l.unreadable():
		return code(exitCannot)
	case stops > 0:
		return code(exitStops)
	case warns > 0 && strict:
		return code(exitWarnings)
	}
	return nil
}
