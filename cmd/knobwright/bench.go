package main

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"knobwright/internal/bench"
	"knobwright/internal/bench/decode"
	"knobwright/internal/bench/device"
	"knobwright/internal/bench/session"
	"knobwright/internal/bench/sim"
	"knobwright/internal/job"
	"knobwright/internal/record"
	"knobwright/internal/record/shelf"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/words"
)

type benchCmd struct {
	File     string   `arg:"" optional:"" help:"The panel file; default: the one in this folder."`
	List     bool     `help:"List the devices that are plugged in, and stop."`
	Sheet    bool     `help:"Print the test sheet, and stop."`
	Simulate bool     `help:"Take a simulated panel; nothing needs to be plugged in."`
	Firmware bool     `help:"With --simulate: run the module's own firmware behind its wires."`
	Fault    []string `help:"With --simulate: a fault in it, by its kind and place: \"go open-lead\". Several make several." sep:"none" placeholder:"WORDS"`
	Faults   bool     `help:"List the faults that --fault can put in, and stop."`
	All      bool     `help:"With --simulate: the whole sheet at once, without questions."`
	Only     []string `help:"Only lines of these controls." placeholder:"CONTROL"`
	Replay   string   `help:"Look at a recorded sitting again." placeholder:"FILE"`
	Record   string   `help:"Record the sitting into a file." placeholder:"FILE"`
	Device   string   `help:"Which device: hidraw3." placeholder:"NODE"`
	Serial   string   `help:"Which of several panels, by its serial." placeholder:"SERIAL"`
	Free     bool     `help:"Press what you like, in any order; what comes as it should is ticked. Enter ends it."`
	Repair   bool     `help:"Something broke later: from what it does to what to reheat."`
	Symptom  []string `help:"With --repair: what it does, as --symptoms lists it: go/nothing." placeholder:"NAME"`
	Symptoms bool     `help:"With --repair: list what can be said, and stop."`
	Accept   int      `help:"Leave explanation number N as it is: the record keeps it, and table and papers follow." placeholder:"N"`
	Keep     bool     `help:"Keep the results of a simulated or replayed sitting in the record too."`
	Print    bool     `help:"Write commissioning.pdf beside the file: the sheet with what the record says."`
}

// Help is shown below the flags.
func (c *benchCmd) Help() string {
	return "Press what you are asked to press. Enter means: done, and nothing happened. s passes a line over, q stops; what was tested so far is kept in the record beside the file. " +
		"At the end it says what is most likely wrong, where, and what to do, with the iron or without."
}

func (c *benchCmd) Run(w *world, a *app) error {
	if c.List {
		return c.list(w)
	}
	l, err := w.loadBuilt(c.File, a, job.Check)
	if err != nil {
		return err
	}
	if l.unreadable() {
		l.print(w, false)
		return code(exitCannot)
	}
	if err := c.check(); err != nil {
		return err
	}
	if c.Print {
		return c.print(w, l)
	}
	b := &sitting{c: c, w: w, a: a, l: l, name: filepath.Base(l.path), lines: make(chan string)}
	switch {
	case c.Sheet:
		return b.sheet()
	case c.Faults:
		return b.faults()
	case c.Symptoms:
		return b.symptoms()
	}
	if c.Repair && len(c.Symptom) > 0 { // what is told needs no panel
		return b.repair()
	}
	if err := b.open(); err != nil {
		return err
	}
	do := b.walk
	if c.Repair {
		do = b.repair
	}
	return b.close(do())
}

func (c *benchCmd) check() error {
	switch {
	case len(c.Fault) > 0 && !c.Simulate:
		return usage{say: "A fault can only be put into a simulated panel.", hint: "knobwright bench --simulate --fault \"go open-lead\""}
	case c.Simulate && c.Replay != "":
		return usage{say: "Take either a simulated panel or a recorded sitting."}
	case c.Free && (c.Simulate || c.Replay != ""):
		return usage{say: "Free pressing wants a panel that is plugged in: a simulated or recorded one does only what it is asked."}
	case c.Free && c.Repair:
		return usage{say: "Take either --free or --repair."}
	case c.Accept < 0:
		return usage{say: "--accept wants the number of an explanation, from 1 up."}
	case len(c.Symptom) > 0 && !c.Repair:
		return usage{say: "--symptom belongs to --repair."}
	}
	return nil
}

func (c *benchCmd) list(w *world) error {
	tree, err := device.System()
	if err != nil {
		return usage{say: sentence(err)}
	}
	all, err := tree.List()
	if err != nil {
		return usage{say: "The list of devices cannot be read: " + reason(err) + "."}
	}
	for _, i := range all {
		fmt.Fprintf(w.out, "%-10s %s\n", i.Node(), terminal.Clean(i.String()))
	}
	if len(all) == 0 {
		fmt.Fprintln(w.out, "Nothing is plugged in that sends reports.")
	}
	return nil
}

// sentence makes a sentence of an error.
func sentence(err error) string {
	s := upper(terminal.Clean(err.Error()))
	if strings.HasSuffix(s, "?") || strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}

func upper(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// sitting is one run of the command.
type sitting struct {
	c     *benchCmd
	w     *world
	a     *app
	l     *loaded
	name  string
	walk1 *bench.Walk
	live  *bench.Live
	loss  error // why results are not kept
	log   *os.File
	lines chan string // what the person types
	on    time.Time
	done  int
}

func say(t words.Text) string { return terminal.Clean(words.English.Say(t)) }

// chosen are the lines of the sheet that are wanted.
func (b *sitting) chosen(all []diagnosis.Line) []diagnosis.Line {
	if len(b.c.Only) == 0 {
		return all
	}
	var out []diagnosis.Line
	for _, l := range all {
		for _, o := range b.c.Only {
			if l.Spot.Control == o || strings.EqualFold(l.Spot.Label, o) || l.Device == o || l.ID == o {
				out = append(out, l)
				break
			}
		}
	}
	return out
}

func (b *sitting) sheet() error {
	every := diagnosis.Sheet(bench.Inputs(b.l.result))
	all := b.chosen(every)
	if len(all) == 0 && len(b.c.Only) > 0 {
		return b.nothing(every)
	}
	if b.a.JSON {
		return b.json(all)
	}
	rec, err := shelf.Load(b.l.path)
	if err != nil {
		return usage{say: sentence(err)}
	}
	last := lastTests(rec)
	for i, l := range all {
		was := ""
		if t, ok := last[l.ID]; ok {
			was = "   " + t.Said + " " + day(t.On)
		}
		fmt.Fprintf(b.w.out, "%3d  [%s] %s\n         %s%s\n", i+1, mark(last[l.ID].Said), say(l.Say), b.w.style().Quiet("then "+say(l.Expect)), was)
	}
	if len(all) == 0 {
		fmt.Fprintln(b.w.out, "There is nothing to test yet: no control has a lead with a pin.")
	}
	return nil
}

func mark(said string) string {
	switch said {
	case diagnosis.Right:
		return "x"
	case diagnosis.Partly, diagnosis.Wrong:
		return "!"
	}
	return " "
}

func day(on string) string {
	if len(on) >= 10 {
		return on[:10]
	}
	return on
}

// lastTests gives the last result of each line.
func lastTests(r *record.Record) map[string]record.Test {
	out := map[string]record.Test{}
	for _, t := range r.Tests {
		out[t.Line] = t
	}
	return out
}

func (b *sitting) json(v any) error {
	e := json.NewEncoder(b.w.out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}

func (b *sitting) faults() error {
	for _, f := range sim.Faults(b.l.result) {
		fmt.Fprintln(b.w.out, terminal.Clean(faultWords(f)))
	}
	return nil
}

// faultWords are the words by which --fault finds a fault again.
func faultWords(f diagnosis.Fault) string {
	s := string(f.Kind)
	for _, x := range []string{f.Device, f.Fitting} {
		if x != "" {
			s += " " + x
		}
	}
	for _, t := range [][2]string{{f.A.Of, f.A.Lug}, {f.B.Of, f.B.Lug}} {
		if t[0] != "" {
			s += " " + t[0] + "." + t[1]
		}
	}
	return s
}

// open sits down before the panel that is meant.
func (b *sitting) open() error {
	b.on = time.Now()
	src, err := b.source()
	if err != nil {
		return err
	}
	b.walk1 = bench.Begin(b.l.result, src)
	all := b.walk1.Lines
	if b.walk1.Lines = b.chosen(all); len(b.walk1.Lines) == 0 {
		_ = src.Close()
		return b.nothing(all)
	}
	if b.c.Record != "" {
		path := b.c.Record
		if !filepath.IsAbs(path) {
			path = filepath.Join(b.w.dir, path)
		}
		f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err != nil {
			_ = src.Close()
			if errors.Is(err, os.ErrExist) {
				return usage{say: b.c.Record + " is there already; a sitting is recorded into a new file."}
			}
			return usage{say: fmt.Sprintf("%s cannot be written: %s.", b.c.Record, reason(err))}
		}
		b.log = f
		b.walk1.Log = session.NewWriter(f, session.Head{
			File: b.name, Title: b.l.result.File.Title, Panel: src.Name(), Serial: src.Serial(), Table: src.Table(), On: b.on.Format(time.RFC3339),
		})
		if b.live != nil {
			b.live.Record(b.walk1.Log)
		}
	}
	go func() {
		in := bufio.NewScanner(b.w.in)
		for in.Scan() {
			b.lines <- strings.TrimSpace(in.Text())
		}
		close(b.lines)
	}()
	return nil
}

// close ends the sitting with the outcome that it had. A recording that did not reach the disk whole is told.
func (b *sitting) close(outcome error) error {
	_ = b.walk1.Stop()
	if b.log != nil {
		err := b.walk1.Log.Err()
		if e := b.log.Close(); err == nil {
			err = e
		}
		if err != nil {
			fmt.Fprintf(b.w.err, "knobwright: %s is not whole: %s.\n", terminal.Clean(b.c.Record), strings.TrimSuffix(reason(err), "."))
		}
	}
	return outcome
}

// nothing says why there is no line to test.
func (b *sitting) nothing(all []diagnosis.Line) error {
	if len(b.c.Only) == 0 {
		return usage{say: "There is nothing to test yet: no control has a lead with a pin."}
	}
	var names []string
	for _, l := range all {
		if n := l.Spot.Control; n != "" && !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return usage{
		say:  "The test sheet has no line of " + strings.Join(b.c.Only, ", ") + ".",
		hint: strings.Join(terminal.Wrap("It has lines of "+strings.Join(names, ", "), 70), "\n"),
	}
}

// talk is where the sitting talks to the person: beside the data, when data is asked for.
func (b *sitting) talk() io.Writer {
	if b.a.JSON {
		return b.w.err
	}
	return b.w.out
}

func (b *sitting) source() (bench.Source, error) {
	r := b.l.result
	if len(r.Firmware.Bytes) == 0 && b.c.Replay == "" {
		return nil, usage{
			say:  "There is nothing to test yet: " + b.name + " names no module that firmware is known for, or not every lead has a pin.",
			hint: "knobwright wire     says which leads wait",
		}
	}
	switch {
	case b.c.Simulate:
		var faults []diagnosis.Fault
		for _, text := range b.c.Fault {
			f, err := bench.FindFault(sim.Faults(r), text)
			if err != nil {
				return nil, usage{say: sentence(err), hint: "knobwright bench --faults    lists them all"}
			}
			faults = append(faults, f)
		}
		src, err := bench.Simulate(context.Background(), r, b.c.Firmware, faults...)
		if err != nil {
			return nil, usage{say: sentence(err)}
		}
		return src, nil
	case b.c.Replay != "":
		return b.replay()
	}
	return b.plugged()
}

func (b *sitting) replay() (bench.Source, error) {
	path := b.c.Replay
	if !filepath.IsAbs(path) {
		path = filepath.Join(b.w.dir, path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, usage{say: fmt.Sprintf("%s cannot be read: %s.", b.c.Replay, reason(err))}
	}
	defer f.Close()
	s, err := session.Read(f)
	if err != nil {
		return nil, usage{say: fmt.Sprintf("%s: %s.", b.c.Replay, terminal.Clean(err.Error()))}
	}
	if s.File != "" && s.File != b.name {
		fmt.Fprintf(b.talk(), "This sitting was recorded with %s, not with %s.\n", terminal.Clean(s.File), b.name)
	}
	if s.Torn {
		fmt.Fprintln(b.talk(), "Its end is missing; it is taken up to there.")
	}
	if on, err := time.Parse(time.RFC3339, s.On); err == nil {
		b.on = on
	}
	return bench.Replay(s), nil
}

func (b *sitting) plugged() (bench.Source, error) {
	tree, err := device.System()
	if err != nil {
		return nil, usage{say: sentence(err), hint: "knobwright bench --simulate    tries everything without a panel"}
	}
	all, err := tree.List()
	if err != nil {
		return nil, usage{say: "The list of devices cannot be read: " + reason(err) + "."}
	}
	m := decode.New(b.l.result.Firmware)
	info, err := device.Choose(all, m, device.Want{Serial: b.c.Serial, Node: b.c.Device, Vendor: b.l.result.Firmware.Device.Vendor, Product: b.l.result.Firmware.Device.Product}, b.name)
	if err != nil {
		return nil, usage{say: sentence(err), hint: "knobwright bench --simulate    tries everything without a panel"}
	}
	link, err := tree.Connect(info)
	var denied *device.DeniedError
	if errors.As(err, &denied) {
		return nil, usage{
			say:  upper(terminal.Clean(denied.Error())) + ".",
			hint: "Put these lines into a file as root, then plug the panel in anew. Nothing was installed.\n\n" + denied.Rule(),
		}
	}
	if err != nil {
		return nil, usage{say: sentence(err)}
	}
	live, err := bench.Attach(info, link, m)
	if err != nil {
		_ = link.Close()
		return nil, usage{say: sentence(err)}
	}
	b.live = live
	return live, nil
}
