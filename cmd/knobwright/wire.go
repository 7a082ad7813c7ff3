package main

import (
	"encoding/json"
	"fmt"
	"strings"
	"unicode/utf8"

	"knobwright/internal/job"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/wiring"
)

type wireCmd struct {
	File    string `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	Options bool   `help:"Only the ways that were weighed, side by side."`
	Settle  bool   `help:"Write every pin of the plan into the file, so that later changes leave alone what is soldered."`
	Dry     bool   `name:"dry-run" help:"With --settle: show what would change; write nothing."`
}

// Help is shown below the flags.
func (c *wireCmd) Help() string {
	return "Which lead goes to which pin and why, what else could be done, and how much wire it takes. The papers for the iron are made by knobwright make."
}

// planData is the answer in JSON.
type planData struct {
	Plan     string          `json:"plan"`
	Partial  bool            `json:"partial"`
	Cost     float64         `json:"cost_mm"`
	Bound    float64         `json:"bound_mm"`
	Pins     []pinData       `json:"pins"`
	Options  []wiring.Option `json:"options"`
	Short    []string        `json:"short,omitempty"`
	Wires    int             `json:"wires"`
	WireMM   float64         `json:"wire_mm"`
	Joints   int             `json:"joints"`
	Minutes  float64         `json:"minutes"`
	Checked  []string        `json:"checked,omitempty"`
	BeforeMA float64         `json:"before_ma"`
	AfterMA  float64         `json:"after_ma"`
}

type pinData struct {
	Signal string `json:"signal"`
	Way    string `json:"way"`
	Board  string `json:"board,omitempty"`
	Pin    string `json:"pin,omitempty"`
	Name   string `json:"printed,omitempty"`
	Row    string `json:"row,omitempty"`
	Column string `json:"column,omitempty"`
	Fixed  bool   `json:"fixed,omitempty"`
	Why    string `json:"why,omitempty"`
}

func (c *wireCmd) Run(w *world, a *app) error {
	load := w.loadBuilt // as it stands on the bench, unless something is to be written into the file
	if c.Settle {
		load = func(named string, _ *app, run runner) (*loaded, error) { return w.load(named, run) }
	}
	l, err := load(c.File, a, job.Check)
	if err != nil {
		return err
	}
	r := l.result
	if r.Panel == nil || len(r.Wiring.Boards) == 0 {
		return usage{"Nothing can be wired yet: the file names no module.", "Write module: rp2040-40pin, or another board of knobwright parts list module."}
	}
	if c.Settle {
		return settle(w, l, c.Dry, a.Strict)
	}
	d := planOf(r)
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return enc.Encode(d)
	}
	if !c.Options {
		w.printPlan(r, d)
	}
	w.printOptions(d)
	if d.Partial {
		return code(exitStops)
	}
	return nil
}

// planOf gathers what the command tells.
func planOf(r *job.Result) planData {
	p := r.Wiring.Plan
	d := planData{
		Plan: p.Title, Partial: p.Partial, Cost: p.Cost, Bound: p.Bound, Options: p.Options, Wires: len(r.Harness.Wires), Joints: len(r.Harness.Joints), Minutes: r.Harness.Minutes,
		Checked: r.Wiring.Power.Checked, BeforeMA: r.Wiring.Power.Before, AfterMA: r.Wiring.Power.After,
	}
	for _, s := range p.Short {
		d.Short = append(d.Short, s.Say)
	}
	for _, x := range r.Harness.Wires {
		d.WireMM += x.Length
	}
	for i, seat := range p.Seats {
		x := pinData{Signal: r.Wiring.Signals[i].Name, Way: string(seat.Way), Board: seat.Pin.Of, Pin: seat.Pin.Lug, Fixed: seat.Fixed, Why: seat.Why}
		if seat.Way == wiring.Waits {
			x.Way = "waits"
		}
		for _, b := range r.Wiring.Boards {
			if b.Name == seat.Pin.Of && b.Part.Board != nil {
				if pin, ok := b.Part.Board.Pin(seat.Pin.Lug); ok {
					x.Name = pin.Name
				}
			}
		}
		if seat.Way == wiring.Matrix {
			x.Row, x.Column = r.Wiring.Signals[seat.Row].Name, r.Wiring.Signals[seat.Column].Name
		}
		d.Pins = append(d.Pins, x)
	}
	return d
}

// printPlan tells the plan pin by pin.
func (w world) printPlan(r *job.Result, d planData) {
	s := w.style()
	clean := terminal.Clean
	fmt.Fprintln(w.out, s.Bold(clean(r.Panel.Title)))
	fmt.Fprintf(w.out, "%s: %s, %.1f m of wire, %s, about %.1f hours.\n", clean(orPlan(d.Plan)), plural(d.Wires, "wire", "wires"), d.WireMM/1000, plural(d.Joints, "joint", "joints"), d.Minutes/60)
	if d.Partial {
		fmt.Fprintln(w.out, s.Bold("The plan is partial."))
		for _, x := range d.Short {
			for _, t := range terminal.Wrap(clean(x), 76) {
				fmt.Fprintln(w.out, "  "+t)
			}
		}
	}
	if m := r.Wiring.Plan.Matrix; m != nil && m.Say != "" {
		fmt.Fprintln(w.out, clean(m.Say))
	}
	fmt.Fprintln(w.out)
	for _, x := range pinLines(d.Pins) {
		fmt.Fprintln(w.out, strings.TrimRight(x.text+s.Quiet(x.why), " "))
	}
	fmt.Fprintln(w.out)
	for _, x := range d.Checked {
		for i, t := range terminal.Wrap(clean(x), 76) {
			fmt.Fprintln(w.out, []string{"- ", "  "}[min(i, 1)]+t)
		}
	}
	if len(d.Checked) > 0 {
		fmt.Fprintln(w.out)
	}
}

// pinLine is a line of the plan: what stands in columns, and why.
type pinLine struct{ text, why string }

// pinLines sets the plan in columns as wide as what stands in them. A name that would push all others aside gets a line to itself; the
// reason runs on below where the line is full.
func pinLines(pins []pinData) []pinLine {
	const most, room = 30, 80
	var rows [][3]string
	wide := [3]int{}
	for _, x := range pins {
		at := x.Pin
		if x.Name != "" && x.Name != x.Pin {
			at += " " + x.Name
		}
		switch {
		case x.Way == "waits":
			at = "no pin"
		case x.Way == string(wiring.Matrix):
			at = strings.TrimPrefix(x.Row, "matrix/") + " x " + strings.TrimPrefix(x.Column, "matrix/")
		case x.Board != "module":
			at = x.Board + " " + at
		}
		row := [3]string{terminal.Clean(x.Signal), terminal.Clean(at)}
		if x.Fixed {
			row[2] = "by you"
		}
		for k, t := range row {
			if n := utf8.RuneCountInString(t); k > 0 || n <= most {
				wide[k] = max(wide[k], n)
			}
		}
		rows = append(rows, row)
	}
	var out []pinLine
	for i, row := range rows {
		name := row[0]
		if utf8.RuneCountInString(name) > wide[0] {
			out = append(out, pinLine{text: "  " + name})
			name = ""
		}
		text := fmt.Sprintf("  %-*s  %-*s  ", wide[0], name, wide[1], row[1])
		if wide[2] > 0 {
			text += fmt.Sprintf("%-*s  ", wide[2], row[2])
		}
		used := utf8.RuneCountInString(text)
		why := terminal.Wrap(terminal.Clean(pins[i].Why), max(room-used, 24))
		if len(why) == 0 {
			why = []string{""}
		}
		out = append(out, pinLine{text, why[0]})
		for _, t := range why[1:] {
			out = append(out, pinLine{strings.Repeat(" ", used), t})
		}
	}
	return out
}

func orPlan(s string) string {
	if s == "" {
		return "No plan yet"
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// printOptions tells the ways that were weighed, side by side.
func (w world) printOptions(d planData) {
	if len(d.Options) == 0 {
		return
	}
	s := w.style()
	fmt.Fprintln(w.out, s.Bold("Ways that were weighed"))
	fmt.Fprintln(w.out, s.Quiet("Joints and wires are reckoned alike for each, before any wire is laid."))
	for _, o := range d.Options {
		mark := " "
		if o.Chosen {
			mark = ">"
		}
		fits := "fits"
		if !o.Fits {
			fits = "does not fit"
		}
		fmt.Fprintf(w.out, "%s %s: %s\n", mark, s.Bold(terminal.Clean(o.Title)), fits)
		line := fmt.Sprintf("%s taken, %d left; %s, %s, %s", plural(o.Pins, "pin", "pins"), o.Left, plural(o.Joints, "joint", "joints"), plural(o.Wires, "wire", "wires"), plural(o.Parts, "part", "parts"))
		if o.Money[1] > 0 {
			line += fmt.Sprintf(", %.2f to %.2f EUR", o.Money[0], o.Money[1])
		}
		if o.Scan > 0 {
			line += fmt.Sprintf("; all inputs seen every %.2g ms", o.Scan)
		}
		ghosts := ""
		if o.Ghosts != "" {
			ghosts = "ghosts: " + o.Ghosts
		}
		for _, t := range []string{line, ghosts, o.Why} {
			if t == "" {
				continue
			}
			for _, u := range terminal.Wrap(terminal.Clean(t), 74) {
				fmt.Fprintln(w.out, "    "+s.Quiet(u))
			}
		}
	}
}
