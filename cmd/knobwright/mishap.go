package main

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/mishap"
	"knobwright/internal/project"
	"knobwright/internal/record"
	"knobwright/internal/record/shelf"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/steps"
)

type mishapCmd struct {
	What string `arg:"" help:"What went wrong: off, large, stray, corner, board, wire or part." enum:"off,large,stray,corner,board,wire,part"`
	Of   string `arg:"" optional:"" help:"What it happened to: a control, a corner (upper-left), a board (left side), a wire (W12)."`

	File    string `help:"The panel file; default: the one in this folder." short:"f"`
	By      string `help:"off: how far right and up the hole is: \"1.5,0\", \"-1 mm, 0.5 mm\"." placeholder:"X,Y"`
	At      string `help:"stray: where the hole is, from the lower left corner: \"120,40\"." placeholder:"X,Y"`
	Size    string `help:"large, stray: diameter of the hole; corner: how far the break reaches." placeholder:"LENGTH"`
	Short   string `help:"board, wire: by how much it is too short." placeholder:"LENGTH"`
	Came    string `help:"part: how it came, as fields of a part: \"hole: {round: 24 mm}\" or \"deeper: 4 mm\"." placeholder:"FIELDS"`
	Drilled bool   `help:"The other holes are drilled already: nothing that moves them is proposed."`
	Record  bool   `help:"Write what happened into the record beside the file."`
	Take    int    `help:"Write what happened and take rescue N: the panel as built has both." placeholder:"N"`
}

// Help is shown below the flags.
func (c *mishapCmd) Help() string {
	return `Something went wrong at the bench: what follows from it, and the ways out with what each costs, every one checked by all trades, best first. Your panel file stays as designed; what happened goes into the record beside it.

  knobwright mishap off go --by 1.5,0             the hole of GO is 1.5 mm too far right
  knobwright mishap large house --size 8.5        it has become too large
  knobwright mishap stray --at 120,40 --size 12   a hole where none should be
  knobwright mishap corner upper-left --size 6    a corner broke away
  knobwright mishap board "left side" --short 3   a board is cut too short
  knobwright mishap wire W12 --short 30           a wire is cut too short
  knobwright mishap part go --came "deeper: 4 mm" a part came in another size`
}

func (c *mishapCmd) Run(w *world, a *app) error {
	l, err := w.loadBuilt(c.File, a, job.Run)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	m, err := c.mishap(length.Unit(l.result.Panel.Units))
	if err != nil {
		return err
	}
	b := mishap.Bench{Doc: l.doc, Cat: l.cat, Result: l.result, Run: func(src []byte) *job.Result {
		x := &loaded{path: l.path, doc: project.Read(l.doc.Name, src), cat: l.cat}
		r := job.Run(x.doc, l.cat)
		r.Version = version
		return r
	}}
	x, err := mishap.Look(b, m)
	if err != nil {
		return usage{say: finding.Capital(strings.TrimSuffix(err.Error(), ".")) + "."}
	}
	if c.Take < 0 || c.Take > len(x.Rescues) {
		return usage{say: fmt.Sprintf("There is no rescue %d; there are %d.", c.Take, len(x.Rescues)), hint: "Run it without --take to see them."}
	}
	if c.Record || c.Take > 0 {
		if err := c.keep(l.path, x); err != nil {
			return err
		}
	}
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return enc.Encode(x)
	}
	w.printMishap(x)
	switch {
	case c.Take > 0:
		fmt.Fprintf(w.out, "\nWritten into %s: what happened, and rescue %d.\n", terminal.Clean(shown(w, record.Beside(l.path))), c.Take)
	case c.Record:
		fmt.Fprintf(w.out, "\nWritten into %s.\n", terminal.Clean(shown(w, record.Beside(l.path))))
	default:
		fmt.Fprintln(w.out, "\nNothing is written yet. --record keeps what happened; --take 1 keeps it and takes the first way out.")
	}
	return nil
}

// mishap reads the flags.
func (c *mishapCmd) mishap(u length.Unit) (mishap.Mishap, error) {
	m := mishap.Mishap{Kind: mishap.Kind(c.What), Of: c.Of, Drilled: c.Drilled}
	pair := func(flag, s string, to *geom.Vec2) error {
		parts := strings.Split(strings.Trim(s, "[] "), ",")
		if len(parts) == 2 {
			x, e1 := length.Parse(strings.TrimSpace(parts[0]), u)
			y, e2 := length.Parse(strings.TrimSpace(parts[1]), u)
			if e1 == nil && e2 == nil {
				*to = geom.Vec2{X: x.MM(), Y: y.MM()}
				return nil
			}
		}
		return usage{say: fmt.Sprintf("--%s wants two lengths, right and up: it has %q.", flag, s), hint: fmt.Sprintf("--%s 1.5,0    or with minus: --%s=-1.5,0", flag, flag)}
	}
	one := func(flag, s string, to *float64) error {
		l, err := length.Parse(s, u)
		if err != nil || l <= 0 {
			return usage{say: fmt.Sprintf("--%s wants a length above 0: it has %q.", flag, s)}
		}
		*to = l.MM()
		return nil
	}
	needs := map[string][]string{"off": {"of", "by"}, "large": {"of", "size"}, "stray": {"at", "size"}, "corner": {"of", "size"}, "board": {"of", "short"}, "wire": {"of", "short"}, "part": {"of", "came"}}
	given := map[string]string{"of": c.Of, "by": c.By, "at": c.At, "size": c.Size, "short": c.Short, "came": c.Came}
	for _, n := range needs[c.What] {
		if given[n] == "" {
			if n == "of" {
				return m, usage{say: fmt.Sprintf("Say what it happened to: knobwright mishap %s NAME.", c.What), hint: "knobwright mishap --help    has an example for each"}
			}
			return m, usage{say: fmt.Sprintf("A mishap of the kind %q wants --%s.", c.What, n), hint: "knobwright mishap --help    has an example for each"}
		}
	}
	var err error
	for flag, to := range map[string]*geom.Vec2{"by": &m.By, "at": &m.At} {
		if given[flag] != "" && err == nil {
			err = pair(flag, given[flag], to)
		}
	}
	for flag, to := range map[string]*float64{"size": &m.Size, "short": &m.Short} {
		if given[flag] != "" && err == nil {
			err = one(flag, given[flag], to)
		}
	}
	if c.Came != "" {
		m.Adjust = "{" + strings.TrimSuffix(strings.TrimPrefix(strings.TrimSpace(c.Came), "{"), "}") + "}"
		if strings.Count(c.Came, "{") > strings.Count(c.Came, "}") || strings.HasPrefix(strings.TrimSpace(c.Came), "{") != strings.HasSuffix(strings.TrimSpace(c.Came), "}") {
			m.Adjust = "{" + strings.TrimSpace(c.Came) + "}"
		}
	}
	return m, err
}

// keep writes the fact, and the rescue that was taken, into the record.
func (c *mishapCmd) keep(path string, x mishap.Case) error {
	today := time.Now().Format("2006-01-02")
	err := shelf.Change(path, func(r *record.Record) error {
		f := x.Fact
		f.On = today
		r.Add(f)
		if c.Take > 0 {
			res := x.Rescues[c.Take-1]
			r.Add(record.Fact{On: today, Kind: "rescue", What: res.Say, Of: f.Of, Edits: res.Edits})
		}
		return nil
	})
	if err != nil {
		return usage{say: "The record cannot be written: " + reason(err) + "."}
	}
	return nil
}

// printMishap tells a case.
func (w *world) printMishap(x mishap.Case) {
	s := w.style()
	para := func(in, text string) {
		for i, l := range terminal.Wrap(text, 76-len(in)) {
			if i > 0 {
				in = strings.Repeat(" ", len(in))
			}
			fmt.Fprintln(w.out, in+terminal.Clean(l))
		}
	}
	para("", x.Say)
	if len(x.New) == 0 {
		fmt.Fprintln(w.out, "Checked again with it: nothing that was good is bad now.")
	} else {
		fmt.Fprintf(w.out, "Checked again with it: %s.\n", plural(len(x.New), "thing is worse than before", "things are worse than before"))
		for i, f := range x.New {
			if i == 6 {
				fmt.Fprintf(w.out, "  and %d more\n", len(x.New)-6)
				break
			}
			para(fmt.Sprintf("  %-5s", strings.ToUpper(f.Severity.String())), f.Head)
		}
	}
	fmt.Fprintln(w.out, "\n"+s.Bold("Ways out, best first"))
	for i, r := range x.Rescues {
		para(fmt.Sprintf("%2d  ", i+1), r.Say)
		para("    ", leaves(r)+". "+price(r)+".")
		if r.Only != "" {
			para("    ", finding.Capital(r.Only)+".")
		}
		for i, f := range r.New {
			if i < 3 {
				para("    ", strings.ToUpper(f.Severity.String())+" "+f.Head)
			}
		}
		for _, h := range r.How {
			para("    ", h)
		}
	}
}

func leaves(r mishap.Rescue) string {
	switch {
	case !r.Checked:
		return "A matter of the hand: no check says how well it holds"
	case r.Stops > 0:
		return fmt.Sprintf("It leaves %s", plural(r.Stops, "stop", "stops"))
	case r.Warns > 0:
		return fmt.Sprintf("It leaves %s that the design had not", plural(r.Warns, "warning", "warnings"))
	}
	if r.Seen {
		return "No check objects, but it stays to be seen"
	}
	return "It leaves the panel as good as designed"
}

func price(r mishap.Rescue) string {
	t := "About " + steps.Hours(max(1, r.Minutes))
	from, to := r.Cost.From, r.Cost.To
	switch {
	case math.Abs(from) < 0.5 && math.Abs(to) < 0.5: // a hand of wire more or less
		return t + ", nothing to buy"
	case from <= 0.005 && to <= 0.005: // what is dearest before may be cheapest after
		return fmt.Sprintf("%s, and %.2f to %.2f %s less", t, max(0, min(-to, -from)), max(-to, -from), r.Currency)
	case from < 0:
		return fmt.Sprintf("%s, and from %.2f %s less to %.2f more", t, -from, r.Currency, to)
	}
	return fmt.Sprintf("%s, and %.2f to %.2f %s", t, max(0, from), max(0, to), r.Currency)
}
