package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/record"
	"knobwright/internal/record/shelf"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/steps"
	"knobwright/internal/words"
	"knobwright/internal/yamlfile"
)

type stepsCmd struct {
	File   string   `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Tick   []string `help:"Tick a step off, or a line of it: drill-face, drill-face/12. May be given several times." placeholder:"ID"`
	Untick []string `help:"Take a tick back." placeholder:"ID"`
	Note   string   `help:"With --tick: what you want to remember of it." placeholder:"TEXT"`
	Show   string   `help:"Show one step with all that belongs to it." placeholder:"ID"`
	Lang   string   `help:"Language: en or de." default:"en" placeholder:"LANG"`
}

// Help is shown below the flags.
func (c *stepsCmd) Help() string {
	return "The order of work, from what is to be checked before the first cut to the closed box: what comes when, how long it takes, what dries meanwhile, and which steps cannot be undone. Ticks are kept beside the panel file. When there is time, how warm the room is and how long things take stands under work: in the panel file."
}

func (c *stepsCmd) Run(w *world, a *app) error {
	lang, err := language(c.Lang, "The order of work is not there")
	if err != nil {
		return err
	}
	l, err := w.loadBuilt(c.File, a, job.Check)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	r := job.Order(l.result)
	if len(r.Steps) == 0 {
		return usage{"There is no order of work yet: the face has no size.", "Write face: {width: , height: }."}
	}
	if len(c.Tick)+len(c.Untick) > 0 {
		if err := c.tick(l.path, &r); err != nil {
			return err
		}
	}
	rec, err := shelf.Load(l.path)
	if err != nil {
		return usage{say: "The record cannot be read: " + strings.TrimSuffix(err.Error(), ".") + ".", hint: "Mend it, or lay it aside."}
	}
	said := r.Say(lang, func(id string) (string, string, bool) {
		t, ok := rec.Ticks[id]
		return t.On, t.Note, ok
	})
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return enc.Encode(said)
	}
	s := w.style()
	word := func(key string, args ...any) string { return lang.Say(words.T("steps.page."+key, args...)) }
	for _, id := range c.Tick {
		fmt.Fprintln(w.out, word("ticked", "id", id))
	}
	for _, id := range c.Untick {
		fmt.Fprintln(w.out, word("unticked", "id", id))
	}
	show := c.Show
	if show != "" && r.Step(show) == nil {
		return unknownStep(&r, show)
	}
	if show == "" && len(c.Tick)+len(c.Untick) == 0 {
		printSteps(w, &said, word)
		fmt.Fprintln(w.out)
	}
	for _, x := range said.Steps {
		if x.ID != or(show, said.Next) {
			continue
		}
		if show == "" {
			fmt.Fprintln(w.out, s.Bold(word("next")))
		}
		printStep(w, &x, &said)
	}
	if said.Next == "" && show == "" {
		fmt.Fprintln(w.out, word("all-done"))
	}
	if stops, _, _ := finding.Count(l.result.Findings); stops > 0 {
		fmt.Fprintf(w.out, "\nDo not cut yet: %s. knobwright check shows them.\n", plural(stops, "stop", "stops"))
	}
	return nil
}

// tick writes ticks into the record.
func (c *stepsCmd) tick(path string, r *steps.Result) error {
	for _, id := range append(append([]string{}, c.Tick...), c.Untick...) {
		if !r.Knows(id) {
			return unknownStep(r, id)
		}
	}
	err := shelf.Change(path, func(rec *record.Record) error {
		today := time.Now().Format("2006-01-02")
		for _, id := range c.Tick {
			rec.SetTick(id, &record.Tick{On: today, Note: c.Note})
		}
		for _, id := range c.Untick {
			rec.SetTick(id, nil)
		}
		return nil
	})
	if err != nil {
		return usage{say: "Nothing is ticked off: " + strings.TrimSuffix(reason(err), ".") + "."}
	}
	return nil
}

func unknownStep(r *steps.Result, id string) error {
	var ids []string
	step, item, _ := strings.Cut(id, "/")
	for _, s := range r.Steps {
		ids = append(ids, s.ID)
	}
	if s := r.Step(step); s != nil && item != "" {
		return usage{fmt.Sprintf("%s has no line %q.", step, terminal.Clean(item)), "knobwright steps --show " + step + "    lists its lines"}
	}
	hint := "knobwright steps    lists all steps with their names"
	if w := yamlfile.Nearest(step, ids); w != "" {
		hint = "Did you mean " + w + "?"
	}
	return usage{fmt.Sprintf("There is no step %q in this order of work.", terminal.Clean(id)), hint}
}

// printSteps prints the steps as one list.
func printSteps(w *world, d *steps.Said, word func(string, ...any) string) {
	s := w.style()
	wide := 0
	for _, x := range d.Steps {
		wide = max(wide, len(x.ID))
	}
	day := 0
	for _, x := range d.Steps {
		if x.Day != day {
			day = x.Day
			fmt.Fprintln(w.out, s.Bold(finding.Capital(fmt.Sprintf("%s %d, %s", word("day"), day, x.When))))
		}
		box := "[ ]"
		if x.Done {
			box = "[x]"
		}
		line := fmt.Sprintf("  %s %2d  %-*s  %9s  %s", box, x.N, wide, x.ID, x.Time, terminal.Clean(x.Title))
		if x.NoReturn {
			line += "  *"
		}
		fmt.Fprintln(w.out, line)
		if x.Wait != "" {
			fmt.Fprintln(w.out, s.Quiet(strings.Repeat(" ", wide+23)+terminal.Clean(strings.TrimSpace(x.Wait+" "+x.Warm))))
		}
	}
	fmt.Fprintln(w.out)
	fmt.Fprintln(w.out, "* "+word("mark-means"))
	fmt.Fprintln(w.out, d.Sum+" "+d.Bound)
}

// printStep prints one step with all that belongs to it.
func printStep(w *world, x *steps.SaidStep, d *steps.Said) {
	s := w.style()
	fmt.Fprintf(w.out, "%d  %s\n", x.N, s.Bold(terminal.Clean(x.Title))+"  "+s.Quiet(x.ID+", "+x.Time+", "+x.When))
	for _, b := range x.After {
		if !b.Done {
			fmt.Fprintf(w.out, "   %s %d %s (%s)\n", d.Words["not-yet"], b.N, b.ID, b.Why)
		}
	}
	para := func(lead, text string) {
		pad := strings.Repeat(" ", len(lead))
		for i, t := range wrapped(terminal.Clean(text), max(w.width, 80)-len(lead)) {
			if i > 0 {
				lead = pad
			}
			fmt.Fprintln(w.out, lead+t)
		}
	}
	if x.NoReturn {
		para("   ", d.Words["noreturn"])
	}
	if x.Check != "" {
		para("   "+d.Words["just-before"]+": ", x.Check)
	}
	for _, t := range x.Do {
		para("   - ", t)
	}
	for _, c := range x.Cautions {
		para("   ! ", c.Text)
	}
	wide := 0
	for _, i := range x.Items {
		wide = max(wide, len(i.ID))
	}
	for _, i := range x.Items {
		box := "[ ]"
		if i.Done {
			box = "[x]"
		}
		para(fmt.Sprintf("   %s %-*s  ", box, wide, i.ID), i.Text)
	}
	if x.Wait != "" {
		para("   ", strings.TrimSpace(x.Wait+" "+x.Warm))
	}
	if len(x.Papers) > 0 {
		para("   "+d.Words["papers-of"]+": ", strings.Join(x.Papers, ", "))
	}
	if x.Note != "" {
		para("   "+x.On+": ", x.Note)
	}
}

// wrapped breaks a text into lines of so many characters.
func wrapped(s string, width int) (out []string) {
	line := ""
	for _, f := range strings.Fields(s) {
		if line != "" && len([]rune(line))+1+len([]rune(f)) > max(width, 20) {
			out, line = append(out, line), ""
		}
		if line != "" {
			line += " "
		}
		line += f
	}
	return append(out, line)
}
