package main

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/compare"
	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/record"
	"knobwright/internal/record/shelf"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
)

type compareCmd struct {
	Old   string `arg:"" help:"The panel file as it was built."`
	New   string `arg:"" help:"The panel file as it is to become."`
	Merge bool   `help:"Write the as-built facts that hold for the new panel too into its record."`
	Svg   string `name:"svg" help:"Draw the new face over the old one into this file." placeholder:"FILE"`
}

// Help is shown below the flags.
func (c *compareCmd) Help() string {
	return "What a rebuild means: which parts go into which holes, which holes are left over and what covers them, what to drill, which wires stay, what to buy and what is left."
}

// placed only puts everything in its place.
func placed(doc *project.Doc, cat *catalog.Catalog) *job.Result {
	p, _ := panel.Place(doc, cat)
	return &job.Result{Panel: p}
}

func (c *compareCmd) Run(w *world, a *app) error {
	asDesigned := func(named string, _ *app, run runner) (*loaded, error) { return w.load(named, run) }
	side := func(name string, load func(string, *app, runner) (*loaded, error)) (compare.Side, *loaded, error) {
		l, err := load(name, a, job.Run)
		if err != nil {
			return compare.Side{}, nil, err
		}
		if l.unreadable() {
			l.print(w, false)
			return compare.Side{}, nil, code(exitCannot)
		}
		rec, err := recordBeside(l.path)
		if err != nil {
			return compare.Side{}, nil, err
		}
		return compare.Side{Doc: l.doc, Cat: l.cat, Result: l.result, Record: rec}, l, nil
	}
	old, _, err := side(c.Old, w.loadBuilt)
	if err != nil {
		return err
	}
	now, nl, err := side(c.New, asDesigned)
	if err != nil {
		return err
	}
	if !a.AsDesigned {
		design, err := w.load(c.Old, placed)
		if err != nil {
			return err
		}
		old.Design = design.result.Panel
		now.Run = func(src []byte) *job.Result {
			if l, err := judge(nl.path, src, job.Run); err == nil {
				return l.result
			}
			return now.Result
		}
	}
	r := compare.Work(old, now, func(src []byte) *job.Result {
		l, err := judge(nl.path, src, job.Check)
		if err != nil {
			return now.Result
		}
		return l.result
	})
	if c.Svg != "" {
		data, err := drawing.SVG(r.Overlay(old.Result.Panel, r.Becomes.Panel))
		if err != nil {
			return err
		}
		path := c.Svg
		if !filepath.IsAbs(path) {
			path = filepath.Join(w.dir, path)
		}
		if err := safefile.Write(path, data, 0o644); err != nil {
			return usage{say: fmt.Sprintf("%s cannot be written: %s.", c.Svg, reason(err))}
		}
	}
	if c.Merge {
		if err := shelf.Change(nl.path, func(rec *record.Record) error {
			*rec = r.Merged(*rec)
			return nil
		}); err != nil {
			return usage{say: fmt.Sprintf("The record of %s cannot be written: %s.", c.New, reason(err))}
		}
	}
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return enc.Encode(r)
	}
	w.printCompare(r, length.Unit(now.Result.Panel.Units))
	if c.Svg != "" {
		fmt.Fprintf(w.out, "\nThe new face over the old one: %s\n", terminal.Clean(c.Svg))
	}
	return nil
}

// printCompare tells the rebuild section by section; what is as it was is only counted.
func (w *world) printCompare(r compare.Result, u length.Unit) {
	s := w.style()
	mm := func(v float64) string { return length.Format(length.Length(v), u) }
	if r.Same {
		fmt.Fprintln(w.out, "The two panels are the same at the bench.")
		return
	}
	head := func(t string) { fmt.Fprintln(w.out, "\n"+s.Bold(t)) }
	line := func(f string, a ...any) {
		for i, l := range terminal.Wrap(fmt.Sprintf(f, a...), 74) {
			in := "  "
			if i > 0 {
				in = "    "
			}
			fmt.Fprintln(w.out, in+terminal.Clean(l))
		}
	}
	for _, l := range terminal.Wrap(r.Sheet.Say, 76) {
		fmt.Fprintln(w.out, terminal.Clean(l))
	}
	stays := 0
	head("Parts")
	for _, p := range r.Parts {
		name := p.Label
		if p.Was != "" {
			name = fmt.Sprintf("%s, which was %s,", p.Label, p.Was)
		}
		on := inBoard(p.On)
		switch p.What {
		case "stays":
			if p.Was != "" {
				line("stays  %s keeps its hole (%s)", name, p.ID)
				continue
			}
			stays++
		case "moves":
			line("moves  %s %s, from %s across and %s up to %s and %s%s (%s)", name, mm(p.Far), mm(p.From.X), mm(p.From.Y), mm(p.To.X), mm(p.To.Y), on, p.ID)
		case "comes":
			line("comes  %s at %s across and %s up%s: a new %s", name, mm(p.To.X), mm(p.To.Y), on, p.ID)
		case "goes":
			line("goes   %s (%s) is not needed any more", name, p.ID)
		}
	}
	line("%s.", plural(stays, "part stays where it is", "parts stay where they are"))
	used, other := 0, 0
	for _, h := range r.Holes {
		if h.What == "used" {
			used++
		} else {
			other++
		}
	}
	if other > 0 {
		head("Holes that the old sheet has")
		for _, h := range r.Holes {
			if h.What != "used" && (r.Sheet.Again || h.On != "" || h.What == "spoiled") {
				line("%s: the hole of %s%s, %s at %s across and %s up. %s", h.What, h.Of, inBoard(h.On), h.Is, mm(h.At.X), mm(h.At.Y), h.Say)
			}
		}
		if r.Sheet.Again {
			line("%s.", plural(used, "hole is used as it is", "holes are used as they are"))
		}
	}
	if len(r.Drill) > 0 {
		head("To drill")
	}
	anew := 0
	for _, d := range r.Drill {
		switch {
		case d.On == "" && !r.Sheet.Again:
			anew++
		case d.Open:
			line("%s for %s%s at %s across and %s up: the old hole is opened", d.Is, d.Of, inBoard(d.On), mm(d.At.X), mm(d.At.Y))
		default:
			line("%s for %s%s at %s across and %s up", d.Is, d.Of, inBoard(d.On), mm(d.At.X), mm(d.At.Y))
		}
	}
	if anew > 0 {
		line("%s of the new face, into a new sheet: the packet of the new panel has the template.", plural(anew, "hole", "holes"))
	}
	for _, f := range r.Findings {
		line("%s  %s %s", strings.ToUpper(f.Severity.String()), f.Head, f.Body)
	}
	if len(r.Legends) > 0 {
		head("Lettering that changes")
		for _, l := range r.Legends {
			line("%s: it was %q", l.Of, l.Old)
		}
	}
	w.printRewiring(r, head, line, mm)
	list := func(title string, cs []compare.Count) {
		if len(cs) == 0 {
			return
		}
		head(title)
		for _, c := range cs {
			if c.Long > 0 {
				line("%s  %s", mm(c.Long), c.Title)
				continue
			}
			if c.ID == "" {
				line("%d  %s", c.N, c.Title)
				continue
			}
			line("%d  %s  (%s)", c.N, c.Title, c.ID)
		}
	}
	list("To buy", r.Buy)
	list("Left over, to keep", r.Keep)
	if len(r.Settings) > 0 {
		head("What else differs")
		for _, x := range r.Settings {
			line("%s: %s before, %s now", x.What, x.Old, x.New)
		}
	}
	if len(r.Carried) > 0 {
		head("As-built facts of the old panel")
		for _, c := range r.Carried {
			if c.Kept {
				line("holds for the new one too: %s", c.Fact.What)
			} else {
				line("does not: %s (%s)", c.Fact.What, c.Why)
			}
		}
	}
}

// inBoard says in which board of the box something is, "" when it is in the face.
func inBoard(on string) string {
	if on == "" {
		return ""
	}
	return " in the " + on
}

// printRewiring tells which wires stay, come and come off.
func (w *world) printRewiring(r compare.Result, head func(string), line func(string, ...any), mm func(float64) string) {
	n := map[string]int{}
	for _, x := range r.Wires {
		n[x.What]++
	}
	if len(r.Pins) > 0 {
		head("Leads that move to another pin")
		for _, p := range r.Pins {
			line("%s: from %s to %s", p.Of, p.From, p.To)
		}
		line("To leave them where they are: settle the plan of the old file (knobwright wire --settle) and take its wiring: pins: over.")
	}
	if n["comes"]+n["off"] == 0 {
		return
	}
	head("Wires")
	line("%d stay, %d are new, %d come off.", n["stays"], n["comes"], n["off"])
	short := 0
	for _, x := range r.Wires {
		if x.What == "stays" && strings.Contains(x.Say, "reserve") {
			short++
		}
	}
	if short > 0 {
		line("%s a little shorter than drawn: what is missing comes out of the reserve.", plural(short, "of those that stay is", "of those that stay are"))
	}
	for _, x := range r.Wires {
		tail := ""
		if x.Say != "" {
			tail = " (" + x.Say + ")"
		}
		switch x.What {
		case "comes":
			line("new  %s  %s %s from %s to %s%s", x.ID, mm(x.Length), x.Colour, x.From, x.To, tail)
		case "off":
			line("off  %s  %s %s from %s to %s", x.ID, mm(x.Length), x.Colour, x.From, x.To)
		}
	}
}

// recordBeside reads the record of a panel file; an empty one when there is none.
func recordBeside(panel string) (*record.Record, error) {
	r, err := shelf.Load(panel)
	if err != nil {
		return nil, usage{say: err.Error() + ".", hint: "Mend it by hand, or move it away: then nothing is known of what happened at the bench."}
	}
	return r, nil
}
