package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/length"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
	"knobwright/internal/view"
	"knobwright/internal/yamlfile"
)

type partsCmd struct {
	Catalogue string          `help:"A catalogue file of your own, laid over the built-in one." placeholder:"FILE"`
	List      partsListCmd    `cmd:"" default:"withargs" help:"List parts; words narrow the list: parts list push 16."`
	Show      partsShowCmd    `cmd:"" help:"Show every number of a part, and where it comes from."`
	Draw      partsDrawCmd    `cmd:"" help:"Draw a part true to size: front, side, rear (SVG)."`
	Measure   partsMeasureCmd `cmd:"" help:"Ask for the caliper readings one at a time and write the record."`
}

func (c *partsCmd) catalogue(w *world) (*catalog.Catalog, error) {
	cat := catalog.Builtin()
	if c.Catalogue == "" {
		return cat, nil
	}
	path := c.Catalogue
	if !filepath.IsAbs(path) {
		path = filepath.Join(w.dir, path)
	}
	src, err := readLimited(path)
	if err != nil {
		return nil, err
	}
	cat, problems := cat.With(path, src)
	if len(problems) > 0 {
		p := problems[0]
		return nil, usage{say: fmt.Sprintf("%s, line %d: %s", c.Catalogue, p.Pos.Line, p.Say), hint: p.Hint}
	}
	return cat, nil
}

type partsListCmd struct {
	Words []string `arg:"" optional:"" help:"Words to look for in name, title and class."`
}

func (c *partsListCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	var found []catalog.Part
	for _, id := range cat.PartIDs() {
		if p, ok := cat.Part(id); ok && matches(p, c.Words) {
			found = append(found, p)
		}
	}
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		return enc.Encode(found)
	}
	if len(found) == 0 {
		return usage{say: fmt.Sprintf("No part fits %q.", strings.Join(c.Words, " ")), hint: "knobwright parts    lists them all"}
	}
	s := w.style()
	class := catalog.Class("")
	for _, p := range found {
		if p.Class != class {
			class = p.Class
			fmt.Fprintln(w.out, s.Bold(string(class)))
		}
		fmt.Fprintf(w.out, "  %-26s %-9s %s\n", p.ID, hole(p), s.Quiet(p.Title))
	}
	fmt.Fprintln(w.out, s.Quiet(plural(len(found), "part", "parts")+". Second column: the hole. More: knobwright parts show NAME"))
	return nil
}

func matches(p catalog.Part, words []string) bool {
	text := strings.ToLower(p.ID + " " + p.Title + " " + string(p.Class))
	for _, x := range words {
		if !strings.Contains(text, strings.ToLower(x)) {
			return false
		}
	}
	return true
}

// hole is a part's main cut-out in a few characters.
func hole(p catalog.Part) string {
	size := func(v [2]length.Length) string {
		return length.Plain(v[0].MM()) + "x" + length.Plain(v[1].MM())
	}
	switch c := p.Hole; {
	case c.Round > 0:
		return length.Plain(c.Round.MM())
	case c.Rect != nil:
		return size(*c.Rect)
	case c.Slot != nil:
		return size(*c.Slot)
	case c.DoubleD != nil:
		return length.Plain(c.DoubleD[0].MM()) + " DD"
	case c.SingleD != nil:
		return length.Plain(c.SingleD[0].MM()) + " D"
	}
	return "-"
}

// find gives a part by name, or says which one may be meant.
func find(cat *catalog.Catalog, id string) (catalog.Part, error) {
	p, ok := cat.Part(id)
	if ok {
		return p, nil
	}
	u := usage{say: fmt.Sprintf("There is no part %q.", id), hint: "knobwright parts    lists them all"}
	if n := yamlfile.Nearest(id, cat.PartIDs()); n != "" {
		u.hint = "did you mean " + n + "?\n" + u.hint
	}
	return p, u
}

type partsShowCmd struct {
	Part string `arg:"" help:"Name of the part."`
}

func (c *partsShowCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	p, err := find(cat, c.Part)
	if err != nil {
		return err
	}
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		return enc.Encode(p)
	}
	s := w.style()
	fmt.Fprintf(w.out, "%s  %s\n\n", s.Bold(p.ID), p.Title)
	for _, row := range p.Facts() {
		for i, t := range terminal.Wrap(row.Says, 56) {
			key := ""
			if i == 0 {
				key = row.Name
			}
			fmt.Fprintf(w.out, "  %-14s %s\n", key, t)
		}
		if row.Source.OnTrust() {
			for _, t := range terminal.Wrap(row.Source.String(), 56) {
				fmt.Fprintf(w.out, "  %-14s %s\n", "", s.Quiet(t))
			}
		}
	}
	return nil
}

type partsDrawCmd struct {
	Part string `arg:"" help:"Name of the part."`
	Out  string `short:"o" help:"File to write; default: standard output." placeholder:"FILE.svg"`
}

func (c *partsDrawCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	p, err := find(cat, c.Part)
	if err != nil {
		return err
	}
	svg, err := drawing.SVG(view.PartSheet(p))
	if err != nil {
		return usage{say: "The part cannot be drawn: " + err.Error() + "."}
	}
	if c.Out == "" {
		_, err = w.out.Write(svg)
		return err
	}
	path := c.Out
	if !filepath.IsAbs(path) {
		path = filepath.Join(w.dir, path)
	}
	if err := safefile.Write(path, svg, 0o644); err != nil {
		return usage{say: fmt.Sprintf("%s cannot be written: %s.", c.Out, reason(err))}
	}
	fmt.Fprintf(w.out, "%s drawn true to size in %s\n", p.ID, terminal.Clean(c.Out))
	return nil
}

type partsMeasureCmd struct {
	Class string `arg:"" help:"Trade class (push, toggle, pot ...), or a part like yours to start from."`
	Name  string `help:"Name for the record; default: my- and the class."`
	Out   string `short:"o" help:"Catalogue file to write; default: standard output." placeholder:"FILE.yaml"`
}

func (c *partsMeasureCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	card, err := catalog.NewCard(cat, c.Class, c.Name)
	if err != nil {
		return usage{say: err.Error(), hint: "classes: push, toggle, rocker, slide, key, rotary, encoder, pot, slide-pot, joystick, lamp, display, socket, buzzer, plug"}
	}
	in := bufio.NewScanner(w.in)
	s := w.style()
	ask := w.out
	if c.Out == "" {
		ask = w.err // the record goes to standard output
	}
	fmt.Fprintln(ask, s.Bold("Caliper card: "+card.Title()))
	fmt.Fprintln(ask, "Measure three times; take the largest body, the smallest thread. Enter alone skips a reading; ? shows where.")
	for {
		q, ok := card.Next()
		if !ok {
			break
		}
		fmt.Fprintf(ask, "\n%s\n%s\n%s (%s): ", q.Picture, q.Ask, s.Bold(q.Name), q.Unit)
		if !in.Scan() {
			fmt.Fprintln(ask)
			break
		}
		answer := strings.TrimSpace(in.Text())
		if say := card.Answer(answer); say != "" {
			fmt.Fprintln(ask, terminal.Clean(say))
		}
	}
	for _, say := range card.Doubts() {
		for _, t := range terminal.Wrap("Look again: "+say, 72) {
			fmt.Fprintln(ask, t)
		}
	}
	record := card.Record()
	if c.Out == "" {
		_, err := w.out.Write(record)
		return err
	}
	path := c.Out
	if !filepath.IsAbs(path) {
		path = filepath.Join(w.dir, path)
	}
	if _, err := os.Lstat(path); err == nil {
		return usage{say: fmt.Sprintf("%s is there already; nothing was written.", c.Out), hint: "Without -o the record is printed, for you to paste."}
	}
	if err := safefile.Write(path, record, 0o644); err != nil {
		return usage{say: fmt.Sprintf("%s cannot be written: %s.", c.Out, reason(err))}
	}
	fmt.Fprintf(ask, "\nWritten into %s. Name it in your panel file:  catalogue: %s\n", terminal.Clean(c.Out), terminal.Clean(filepath.Base(c.Out)))
	return nil
}
