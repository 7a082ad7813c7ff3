package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/packet"
	"knobwright/internal/project"
	"knobwright/internal/safefile"
	"knobwright/internal/share"
	"knobwright/internal/terminal"
	"knobwright/web"
)

type shareCmd struct {
	File   string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Out    string `short:"o" help:"A folder, or a name that ends in .html for a single page; default: the file's name with -share, beside it." placeholder:"PATH"`
	Lang   string `help:"Language of the book: en or de." default:"en" placeholder:"LANG"`
	Units  string `help:"Lengths in mm, in or both; default: as the file." placeholder:"UNITS"`
	Prices bool   `help:"Let prices, stock and budget go along."`
}

// Help is shown below the flags.
func (c *shareCmd) Help() string {
	return "One page to put on any static host or to send: the build book, the box to turn, and the panel file. It asks nothing of any other place. Your prices, stock and budget stay at home unless you say --prices; comments and notes of the file go along, so read them first."
}

func (c *shareCmd) Run(w *world) error {
	lang, err := language(c.Lang, "There is no book")
	if err != nil {
		return err
	}
	if err := bookUnits(c.Units); err != nil {
		return err
	}
	l, err := w.load(c.File, job.Run)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	src, gone := l.doc.Src, []string(nil)
	if !c.Prices {
		if src, gone, err = share.Bare(l.doc); err != nil {
			return err
		}
	}
	bare := &loaded{path: l.path, doc: project.Read(l.doc.Name, src), cat: l.cat}
	bare.result = job.Run(bare.doc, bare.cat)
	bare.result.Version = version
	with := packet.With{File: filepath.Base(l.path), Lang: lang, Units: c.Units, NoPrices: !c.Prices}
	b, err := packet.Book(bare.result, src, with)
	if err != nil {
		return usage{say: "It cannot be made: " + strings.TrimSuffix(err.Error(), ".") + "."}
	}
	text, err := b.HTML()
	if err != nil {
		return usage{say: "It cannot be made: " + strings.TrimSuffix(err.Error(), ".") + "."}
	}
	solids, err := packet.Solids(bare.result)
	if err != nil {
		solids = nil // the drawings of the box are in the book all the same
	}
	page, err := share.Page{Book: text, Solids: solids, Name: filepath.Base(l.path), Text: src, Script: web.Box3D()}.HTML()
	if err != nil {
		return err
	}
	out := c.Out
	if out == "" {
		out = strings.TrimSuffix(l.path, filepath.Ext(l.path)) + "-share"
	} else if !filepath.IsAbs(out) {
		out = filepath.Join(w.dir, out)
	}
	files := map[string][]byte{out: page}
	if !strings.EqualFold(filepath.Ext(out), ".html") {
		if err := os.MkdirAll(out, 0o755); err != nil {
			return usage{say: "The folder cannot be made: " + reason(err) + "."}
		}
		pdf, err := drawing.PDF(b.PDF())
		if err != nil {
			return err
		}
		files = map[string][]byte{filepath.Join(out, "index.html"): page, filepath.Join(out, filepath.Base(l.path)): src, filepath.Join(out, "book.pdf"): pdf}
	}
	for name, data := range files {
		if err := safefile.Write(name, data, 0o644); err != nil {
			return usage{say: fmt.Sprintf("%s was not written: %s.", terminal.Clean(shown(w, name)), reason(err))}
		}
	}
	fmt.Fprintf(w.out, "%s: the book, the box to turn and the panel file, %d kB.\n", terminal.Clean(shown(w, out)), (len(page)+999)/1000)
	if len(gone) > 0 {
		fmt.Fprintf(w.out, "Left at home: %s, and all prices. --prices lets them go along.\n", strings.Join(gone, ", "))
	} else if !c.Prices {
		fmt.Fprintln(w.out, "Prices are left at home. --prices lets them go along.")
	}
	fmt.Fprintln(w.out, "Comments and notes of the file go along: read them first.")
	return nil
}
