package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"knobwright/internal/packet"
	"knobwright/internal/record/shelf"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
)

// print writes the commissioning sheet beside the file: what the record says of every line of the test sheet.
func (c *benchCmd) print(w *world, l *loaded) error {
	rec, err := shelf.Load(l.path)
	if err != nil {
		return usage{say: sentence(err)}
	}
	data, err := packet.Commissioning(l.result, l.doc.Src, rec)
	if err != nil {
		return usage{say: sentence(err)}
	}
	path := filepath.Join(filepath.Dir(l.path), "commissioning.pdf")
	if len(c.Only) > 0 || c.Replay != "" {
		return usage{say: "The commissioning sheet is printed whole, of what the record says; take --only and --replay out."}
	}
	old, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		err = safefile.Write(path, data, 0o644)
	case err == nil:
		err = safefile.Replace(path, old, data)
	}
	if err != nil {
		return usage{say: "commissioning.pdf was not written: " + reason(err) + "."}
	}
	fmt.Fprintf(w.out, "%s: the test sheet with what the record says\n", terminal.Clean(shown(w, path)))
	return nil
}
