package main

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/signal"
	"path/filepath"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/safefile"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/arrange"
	"knobwright/internal/view"
)

type arrangeCmd struct {
	File string   `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	On   string   `help:"The board to arrange: face, upper, back, left, right, rest, top, front or base." default:"face" placeholder:"BOARD"`
	Keep []string `help:"Controls and groups that stay where they are, besides the pinned ones." placeholder:"NAME,..."`
	Take int      `help:"Write proposal N into the file." placeholder:"N"`
	Dry  bool     `name:"dry-run" help:"With --take: show what would change; write nothing."`
	Seed uint64   `help:"Another number looks in another way and may find other proposals." default:"1"`
	Out  string   `short:"o" help:"Draw each proposal into this folder, as SVG." placeholder:"FOLDER" type:"path"`
}

// Help is shown below the flags.
func (c *arrangeCmd) Help() string {
	return "Proposes better places for the controls of the face, or of another board with --on: groups stay together, order is kept, fingers and bodies have their room. Rows and grids move as wholes; what is pinned stays. Every proposal is checked as a whole before it is shown, and its score is explained term by term: lower is better."
}

func (c *arrangeCmd) Run(w *world, a *app) error {
	l, err := w.load(c.File, job.Check)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	if no := arrange.Unknown(l.result.Panel, c.Keep); len(no) > 0 {
		return usage{say: fmt.Sprintf("No control and no group is called %q.", no[0]), hint: "knobwright arrange --keep go,sounds    names as they stand in the file"}
	}
	if no := arrange.NoBoard(l.doc, l.result.Panel, c.On); no != "" {
		return usage{say: no, hint: "knobwright arrange --on back"}
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	order := arrangeOrder(l.path, l, c.On, c.Keep, c.Seed)
	if w.terminal && !a.JSON {
		order.Progress = func(part float64, say string) {
			fmt.Fprintf(w.err, "\r%-60s %3.0f %%", say, 100*part)
		}
	}
	r := arrange.Work(ctx, order)
	if order.Progress != nil {
		fmt.Fprintf(w.err, "\r%66s\r", "")
	}
	if c.Out != "" {
		if err := c.draw(w, r); err != nil {
			return err
		}
	}
	switch {
	case c.Take != 0:
		return c.take(w, l, r, a.Strict)
	case a.JSON:
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		if err := enc.Encode(r); err != nil {
			return err
		}
	default:
		w.printArranged(l, r)
	}
	if r.Hopeless {
		return code(exitStops)
	}
	return nil
}

// arrangeOrder asks for arrangements of a loaded file.
func arrangeOrder(path string, l *loaded, on string, keep []string, seed uint64) arrange.Order {
	by := func(run runner) arrange.Check {
		return func(d *project.Doc) (*panel.Panel, []finding.Finding) {
			x, _ := judge(path, d.Src, run)
			return x.result.Panel, x.result.Findings
		}
	}
	return arrange.Order{Doc: l.doc, Cat: l.cat, Quick: by(job.Touch), Full: by(job.Check), On: on, Keep: keep, Seed: seed}
}

// take writes a proposal into the file.
func (c *arrangeCmd) take(w *world, l *loaded, r *arrange.Result, strict bool) error {
	if c.Take < 1 || c.Take > len(r.Proposals) {
		if len(r.Proposals) == 0 {
			return usage{say: r.Say}
		}
		return usage{say: fmt.Sprintf("There is no proposal %d; they are numbered 1 to %d.", c.Take, len(r.Proposals)), hint: "knobwright arrange    lists them"}
	}
	p := &r.Proposals[c.Take-1]
	fmt.Fprintf(w.out, "%s  %s\n", w.style().Bold(terminal.Clean(p.Name)+"."), terminal.Clean(p.Say))
	printChange(w, l.doc.Src, p.Text)
	after, err := judge(l.path, p.Text, job.Check)
	if err != nil {
		return err
	}
	if c.Dry {
		fmt.Fprintln(w.out, "Nothing written. Then it would say: "+terminal.Verdict(after.result.Findings))
		return nil
	}
	if err := safefile.Replace(l.path, l.doc.Src, p.Text); err != nil {
		return usage{say: "The file was not written: " + strings.TrimSuffix(reason(err), ".") + ".", hint: "It is as it was."}
	}
	fmt.Fprintln(w.out, "In the file. Now: "+terminal.Verdict(after.result.Findings))
	return after.exit(strict)
}

// draw writes a drawing of each proposal into a folder.
func (c *arrangeCmd) draw(w *world, r *arrange.Result) error {
	dir := c.Out
	if !filepath.IsAbs(dir) {
		dir = filepath.Join(w.dir, dir)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return usage{say: fmt.Sprintf("The folder %s cannot be made: %s.", c.Out, reason(err))}
	}
	for i := range r.Proposals {
		svg, err := drawing.SVG(view.Front(r.Proposals[i].Panel))
		if err != nil {
			return err
		}
		path := filepath.Join(dir, fmt.Sprintf("arrangement-%d.svg", i+1))
		if err := safefile.Write(path, svg, 0o644); err != nil {
			return usage{say: fmt.Sprintf("%s cannot be written: %s.", path, reason(err))}
		}
	}
	return nil
}

// printArranged tells the proposals.
func (w world) printArranged(l *loaded, r *arrange.Result) {
	s := w.style()
	clean := terminal.Clean
	fmt.Fprintln(w.out, s.Bold(clean(l.result.Panel.Title)))
	for _, t := range terminal.Wrap(clean(r.Say), 90) {
		fmt.Fprintln(w.out, t)
	}
	if len(r.Stays) > 0 {
		fmt.Fprintln(w.out)
		for _, x := range r.Stays {
			fmt.Fprintln(w.out, s.Quiet("Stays: "+clean(x.Name)+", because "+clean(x.Why)+"."))
		}
	}
	for i := range r.Proposals {
		p := &r.Proposals[i]
		fmt.Fprintf(w.out, "\n%s\n", s.Bold(fmt.Sprintf("%d  %s", i+1, clean(p.Name))))
		for _, t := range terminal.Wrap(clean(p.Say)+" Then "+counted(p.Counts)+"; now "+counted(p.Was)+".", 86) {
			fmt.Fprintln(w.out, "   "+t)
		}
		if len(p.Terms) == 0 {
			continue
		}
		fmt.Fprintf(w.out, "   %s\n", s.Quiet("points    have     now"))
		for _, t := range p.Terms {
			was := "-"
			if t.Was != nil {
				was = fmt.Sprintf("%.4g", *t.Was)
			}
			fmt.Fprintf(w.out, "   %6.1f  %6s  %6s  %s\n", t.Points, fmt.Sprintf("%.4g", t.Have), was, clean(t.Say))
		}
		now := ""
		if r.Now != nil {
			now = fmt.Sprintf("; as it stands now %.1f", r.Now.Total)
		}
		fmt.Fprintf(w.out, "   %6.1f  in all, lower is better%s\n", p.Score, now)
	}
	if len(r.Proposals) > 0 {
		on := ""
		if r.On != "" {
			on = " --on " + r.On
		}
		fmt.Fprintln(w.out, "\n"+s.Quiet("Into the file: knobwright arrange"+on+" --take 1     to look first: --out FOLDER draws them"))
	}
}

// counted says stops, warnings and notes.
func counted(n [3]int) string {
	return plural(n[0], "stop", "stops") + ", " + plural(n[1], "warning", "warnings") + ", " + plural(n[2], "note", "notes")
}
