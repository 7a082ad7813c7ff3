package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
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
	Sheets    sheetsCmd       `cmd:"" help:"List sheets for faces and boards."`
	Coverings coveringsCmd    `cmd:"" help:"List coverings: film, paint, laminate, card."`
	Bits      bitsCmd         `cmd:"" help:"List sets of bits."`
	Wires     wiresCmd        `cmd:"" help:"List wire by the metre."`
	Smalls    smallsCmd       `cmd:"" help:"List the small parts of the wiring: resistors, diodes, housings, ties."`
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
	fs := facts(p)
	for n, f := range fs {
		for i, t := range terminal.Wrap(f.says, 56) {
			key := ""
			if i == 0 {
				key = f.name
			}
			fmt.Fprintf(w.out, "  %-12s %s\n", key, t)
		}
		if n+1 < len(fs) && fs[n+1].field == f.field {
			continue // where it comes from is said once, below the last
		}
		if src := p.Source(f.field); f.field != "" && src.OnTrust() {
			for _, t := range terminal.Wrap(src.String(), 56) {
				fmt.Fprintf(w.out, "  %-12s %s\n", "", s.Quiet(t))
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
	Class string `arg:"" help:"Trade class of the part (push, toggle, pot, encoder, lamp ...), or a catalogue part like it."`
	Name  string `help:"Name for the record; default: my- and the class."`
	Units string `help:"Unit of bare numbers: mm or in." enum:"mm,in" default:"mm"`
	Out   string `short:"o" help:"Catalogue file to write; default: standard output." placeholder:"FILE.yaml"`
}

func (c *partsMeasureCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	class := catalog.Class(c.Class)
	if p, ok := cat.Part(c.Class); ok { // a part like it: its class has the same card
		class = p.Class
	}
	questions := catalog.Questions(class)
	if len(questions) == 0 || !slices.Contains(catalog.Classes, class) {
		return usage{say: fmt.Sprintf("%q is not a class of part.", c.Class), hint: "There are: " + joinClasses()}
	}
	path := c.Out
	if path != "" {
		if !filepath.IsAbs(path) {
			path = filepath.Join(w.dir, path)
		}
		if _, err := os.Lstat(path); err == nil {
			return usage{say: fmt.Sprintf("%s is there already; nothing was asked and nothing written.", c.Out), hint: "Without -o the record is printed, for you to paste."}
		}
	}
	ask := w.out
	if path == "" {
		ask = w.err // the record goes to standard output
	}
	card := catalog.Answers{ID: c.Name, Class: class, Unit: length.Unit(c.Units), Readings: map[string][]string{}}
	if card.ID == "" {
		card.ID = "my-" + c.Class
	}
	s := w.style()
	fmt.Fprintln(ask, s.Bold("Caliper card: "+string(class)))
	fmt.Fprintln(ask, "One reading at a time. Where three are asked, take three: the largest body counts, the smallest thread. Enter alone skips.")
	c.takeReadings(w, ask, questions, &card)
	if len(card.Readings) == 0 {
		return usage{say: "Nothing was measured; nothing is written."}
	}
	fs := catalog.Check(card)
	for _, f := range fs {
		s.Finding(ask, f)
	}
	record := catalog.Record(card)
	if _, ok := cat.Part(c.Class); ok { // what was skipped stays as the catalogue has it
		record = strings.Replace(record, "\n    title:", "\n    like: "+c.Class+"\n    title:", 1)
	}
	if path == "" {
		if _, err := io.WriteString(w.out, record); err != nil {
			return err
		}
		return contradiction(fs)
	}
	if err := safefile.Write(path, []byte(record), 0o644); err != nil {
		return usage{say: fmt.Sprintf("%s cannot be written: %s.", c.Out, reason(err))}
	}
	fmt.Fprintf(ask, "\nWritten into %s. Name it in your panel file:  catalogue: %s\n", terminal.Clean(c.Out), terminal.Clean(filepath.Base(c.Out)))
	return contradiction(fs)
}

// contradiction gives the exit code of a card: readings that cannot both be right are a stop.
func contradiction(fs []finding.Finding) error {
	if stops, _, _ := finding.Count(fs); stops > 0 {
		return code(exitStops)
	}
	return nil
}

// takeReadings asks one question at a time until the card is full or the input ends.
func (c *partsMeasureCmd) takeReadings(w *world, ask io.Writer, questions []catalog.Question, a *catalog.Answers) {
	in := bufio.NewScanner(w.in)
	s := w.style()
	for _, q := range questions {
		if !q.Asked(*a) {
			continue
		}
		fmt.Fprintln(ask)
		if pic := cardPicture(q.Spot); pic != "" {
			fmt.Fprintln(ask, s.Quiet(pic))
		}
		fmt.Fprintln(ask, s.Bold(q.Ask))
		if q.How != "" {
			for _, t := range terminal.Wrap(q.How, 72) {
				fmt.Fprintln(ask, t)
			}
		}
		for n := 0; n < max(q.Times, 1); {
			prompt := q.Key
			switch {
			case q.Kind == catalog.AskChoice:
				prompt += " (" + strings.Join(q.Choices, ", ") + ")"
			case q.Kind == catalog.AskLength:
				prompt += " (" + c.Units + ")"
			}
			if q.Times > 1 {
				prompt += fmt.Sprintf(" %d of %d", n+1, q.Times)
			}
			fmt.Fprintf(ask, "  %s: ", prompt)
			if !in.Scan() {
				fmt.Fprintln(ask)
				return
			}
			text := strings.TrimSpace(in.Text())
			if text == "" {
				break
			}
			if err := q.Judge(text, a.Unit); err != nil {
				fmt.Fprintf(ask, "  %s. Again, or Enter to skip.\n", terminal.Clean(err.Error()))
				continue
			}
			a.Readings[q.Key] = append(a.Readings[q.Key], text)
			n++
		}
	}
}

func joinClasses() string {
	var names []string
	for _, c := range catalog.Classes {
		names = append(names, string(c))
	}
	return strings.Join(names, ", ")
}
