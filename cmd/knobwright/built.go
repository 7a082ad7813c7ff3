package main

import (
	"fmt"
	"path/filepath"

	"knobwright/internal/record"
	"knobwright/internal/record/built"
	"knobwright/internal/record/shelf"
	"knobwright/internal/terminal"
)

// loadBuilt is load, with the as-built facts of the record laid over the file: the panel as it stands on the bench. A line says so, and
// says which facts could not be laid over. --as-designed leaves them out. Commands that write into the file do not come here: they
// work on what is written.
func (w *world) loadBuilt(named string, a *app, run runner) (*loaded, error) {
	path, err := w.panelFile(named)
	if err != nil {
		return nil, err
	}
	src, err := readLimited(path)
	if err != nil {
		return nil, err
	}
	if a.AsDesigned {
		return judge(path, src, run)
	}
	r, err := shelf.Load(path)
	if err != nil {
		return nil, usage{say: fmt.Sprintf("%s cannot be read: %s.", filepath.Base(record.Beside(path)), err), hint: "knobwright --as-designed ...    works without it"}
	}
	text, laid, lost := built.Lay(filepath.Base(path), src, r)
	if !a.JSON {
		name := terminal.Clean(filepath.Base(record.Beside(path)))
		if laid > 0 {
			fmt.Fprintf(w.out, "As built: %s of %s %s laid over the file.\n", plural(laid, "fact", "facts"), name, isAre(laid))
		}
		for _, l := range lost {
			fmt.Fprintf(w.out, "Left out: %s\n", terminal.Clean(l))
		}
	}
	return judge(path, text, run)
}

func isAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
