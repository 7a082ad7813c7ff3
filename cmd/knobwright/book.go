package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/packet"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
)

type bookCmd struct {
	File     string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Out      string `short:"o" help:"Where it goes: a name that ends in .pdf or .html; default: both, the file's name with -book, beside it." placeholder:"FILE"`
	Lang     string `help:"Language of the book: en or de." default:"en" placeholder:"LANG"`
	Units    string `help:"Lengths in mm, in or both; default: as the file." placeholder:"UNITS"`
	NoPrices bool   `help:"Leave prices, stock and shops out."`
}

// Help is shown below the flags.
func (c *bookCmd) Help() string {
	return "The build book carries all of it in the order of work: shopping, cutting, drilling, covering, legends, box, wiring page by page, firmware, first power, test sheet, repair sheet. The PDF is for the bench, the HTML is one file for a phone. knobwright make writes both into the packet."
}

func (c *bookCmd) Run(w *world, a *app) error {
	lang, err := language(c.Lang, "There is no book")
	if err != nil {
		return err
	}
	if err := bookUnits(c.Units); err != nil {
		return err
	}
	ext := strings.ToLower(filepath.Ext(c.Out))
	if c.Out != "" && ext != ".pdf" && ext != ".html" {
		return usage{fmt.Sprintf("%s ends in neither .pdf nor .html.", terminal.Clean(c.Out)), "-o book.pdf or -o book.html"}
	}
	l, err := w.loadBuilt(c.File, a, job.Run)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	with, err := l.with()
	if err != nil {
		return err
	}
	with.Lang, with.Units, with.NoPrices = lang, c.Units, c.NoPrices
	b, err := packet.Book(l.result, l.doc.Src, with)
	if err != nil {
		return usage{say: "The book cannot be made: " + strings.TrimSuffix(err.Error(), ".") + "."}
	}
	base := strings.TrimSuffix(l.path, filepath.Ext(l.path)) + "-book"
	out := c.Out
	if out != "" && !filepath.IsAbs(out) {
		out = filepath.Join(w.dir, out)
	}
	if ext != ".html" {
		doc := b.PDF()
		data, err := drawing.PDF(doc)
		if err != nil {
			return usage{say: "The book cannot be made: " + strings.TrimSuffix(err.Error(), ".") + "."}
		}
		name := out
		if name == "" {
			name = base + ".pdf"
		}
		if err := writeBook(w, name, data, plural(len(doc.Pages), "page", "pages")); err != nil {
			return err
		}
	}
	if ext != ".pdf" {
		data, err := b.HTML()
		if err != nil {
			return usage{say: "The book cannot be made: " + strings.TrimSuffix(err.Error(), ".") + "."}
		}
		name := out
		if name == "" {
			name = base + ".html"
		}
		if err := writeBook(w, name, data, fmt.Sprintf("%d kB", (len(data)+999)/1000)); err != nil {
			return err
		}
	}
	if b.Stop {
		stops, _, _ := finding.Count(l.result.Findings)
		fmt.Fprintf(w.out, "Do not cut yet: %s.\n", plural(stops, "stop", "stops"))
	}
	return l.exit(a.Strict)
}

func writeBook(w *world, name string, data []byte, size string) error {
	if st, err := os.Stat(name); err == nil && st.IsDir() {
		return usage{say: terminal.Clean(name) + " is a folder."}
	}
	if err := safefile.Write(name, data, 0o644); err != nil {
		return usage{say: terminal.Clean(name) + " was not written: " + reason(err) + "."}
	}
	fmt.Fprintf(w.out, "%s, %s\n", terminal.Clean(shown(w, name)), size)
	return nil
}

// with is what a packet and a book are made with beside the job.
func (l *loaded) with() (packet.With, error) {
	rec, err := recordBeside(l.path)
	if err != nil {
		return packet.With{}, err
	}
	return packet.With{File: filepath.Base(l.path), Record: rec}, nil
}
