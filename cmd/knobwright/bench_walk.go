package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"knobwright/internal/bench"
	"knobwright/internal/bench/device"
	"knobwright/internal/record"
	"knobwright/internal/record/shelf"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/diagnosis"
)

// stopped says that the person wants no more.
var errStopped = errors.New("stopped")

// walk goes through the sheet, says what is likely wrong, and keeps it.
func (b *sitting) walk() error {
	src := b.walk1.Source()
	b.heading()
	other := bench.Belongs(b.l.result, src.Table(), b.name)
	if other != "" && src.ByHand() {
		return usage{say: terminal.Clean(other)}
	}
	var err error
	switch {
	case other != "":
		err = b.strange(other)
	case b.c.Free && b.live != nil:
		err = b.free()
	case src.ByHand() || b.c.Simulate && !b.c.All:
		err = b.ask()
	default:
		err = b.walk1.All(context.Background(), func(l diagnosis.Line, j diagnosis.Judged) { b.tell(l, j, true) })
	}
	gone := errors.Is(err, device.ErrGone)
	if gone {
		fmt.Fprintln(b.talk(), "\nThe panel was unplugged. What was tested until then is kept; plug it in and go on with the lines that are open.")
	}
	if err == nil && other == "" { // whoever stops wants no more questions
		if e := b.narrow(); e != nil && !errors.Is(e, errStopped) && !errors.Is(e, device.ErrGone) {
			err = e
		}
	}
	if e := b.keepAll(); e != nil {
		return e
	}
	if err != nil && !errors.Is(err, errStopped) && !gone {
		return usage{say: sentence(err)}
	}
	return b.result(err == nil && !gone)
}

// heading says what is tested.
func (b *sitting) heading() {
	src, s := b.walk1.Source(), b.w.style()
	if b.a.JSON && !src.ByHand() {
		return
	}
	fmt.Fprintf(b.talk(), "\n%s\n%s\n", s.Bold(terminal.Clean(b.l.result.File.Title)), s.Quiet(fmt.Sprintf("%s; %s on the sheet", terminal.Clean(src.Name()), plural(len(b.walk1.Lines), "line", "lines"))))
	if b.live == nil {
		return
	}
	say, rule := b.live.Coarse()
	for _, t := range terminal.Wrap(say, 72) {
		fmt.Fprintln(b.talk(), terminal.Clean(t))
	}
	if rule {
		fmt.Fprintf(b.talk(), "These lines in a file as root change that, once the panel is plugged in anew. Nothing was installed.\n\n%s\n", terminal.Clean(b.live.Rule()))
	}
}

// strange says that a panel has another table; what its contacts do says nothing then, and nothing else is looked at.
func (b *sitting) strange(other string) error {
	for _, t := range terminal.Wrap(other+" Nothing else is looked at until then.", 72) {
		fmt.Fprintln(b.talk(), terminal.Clean(t))
	}
	for _, l := range b.walk1.Lines {
		if l.Act.Do == diagnosis.Rest {
			_, err := b.walk1.Try(context.Background(), l, "")
			return err
		}
	}
	return nil
}

// tell tells of one line.
func (b *sitting) tell(l diagnosis.Line, j diagnosis.Judged, quiet bool) {
	b.done++
	if b.a.JSON || quiet && j.Said == diagnosis.Right {
		return
	}
	var said []string
	for _, t := range j.Say {
		said = append(said, say(t))
	}
	if quiet {
		fmt.Fprintf(b.w.out, "  [%s] %s: %s\n", mark(j.Said), say(l.Say), strings.Join(said, "; "))
		return
	}
	fmt.Fprintf(b.w.out, "      [%s] %s\n", mark(j.Said), strings.Join(said, "; "))
}

// line waits for what the person types; false when there is nothing more to come.
func (b *sitting) line() (string, bool) {
	s, ok := <-b.lines
	return strings.ToLower(s), ok
}

// ask goes through the sheet line by line.
func (b *sitting) ask() error {
	how := "Enter: done, and nothing happened.   s: pass over   q: stop"
	if !b.walk1.Source().ByHand() {
		how = "Enter: the simulated panel does it.   s: pass over   q: stop"
	}
	fmt.Fprintln(b.talk(), b.w.style().Quiet(how))
	for i, l := range b.walk1.Lines {
		fmt.Fprintf(b.talk(), "%3d/%d  %s\n", i+1, len(b.walk1.Lines), say(l.Say))
		j, err := b.one(l)
		if errors.Is(err, errSkipped) {
			continue
		}
		if err != nil {
			return err
		}
		b.tell(l, j, false)
		b.keep(l, j)
	}
	return nil
}

// free lets the person press what they like.
func (b *sitting) free() error {
	fmt.Fprintln(b.talk(), b.w.style().Quiet("Press what you like; what comes as it should is ticked. Enter ends it."))
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	go func() {
		<-b.lines
		cancel()
	}()
	return b.live.Free(ctx, b.walk1, func(l diagnosis.Line) {
		fmt.Fprintf(b.talk(), "  [x] %s\n", say(l.Say))
		b.keep(l, b.walk1.Judged[l.ID])
	})
}

var errSkipped = errors.New("passed over")

// one does one line with the person. What is passed over counts for nothing.
func (b *sitting) one(l diagnosis.Line) (diagnosis.Judged, error) {
	if !b.walk1.Source().ByHand() { // the simulated panel does it when Enter is pressed
		s, ok := b.line()
		switch {
		case !ok || s == "q":
			return diagnosis.Judged{}, errStopped
		case s == "s":
			return diagnosis.Judged{}, errSkipped
		}
		return b.walk1.Try(context.Background(), l, "")
	}
	if l.Act.Do == diagnosis.Light || l.Act.Do == diagnosis.Dark {
		if err := b.light(l.Act); err != nil {
			return diagnosis.Judged{}, err
		}
		lamp, err := b.lamp()
		if err != nil {
			return diagnosis.Judged{}, err
		}
		return b.walk1.Try(context.Background(), l, lamp)
	}
	seen, err := b.watch(context.Background(), l.Act)
	if err != nil {
		return diagnosis.Judged{}, err
	}
	return b.walk1.Given(l, seen), nil
}

// light gets a lamp to do what is asked, or says how a person does. A panel that does not take it is no reason to stop.
func (b *sitting) light(a diagnosis.Act) error {
	if b.live != nil {
		switch _, err := b.live.Light(b.l.result, a.Device, a.Do == diagnosis.Light); {
		case errors.Is(err, device.ErrGone):
			return err
		case err != nil:
			fmt.Fprintf(b.talk(), "      %s\n", b.w.style().Quiet("It cannot be told so from here; let the program that lights it do it, or pass this line over."))
		}
	}
	if hint := bench.LampHint(b.l.result, a); hint != "" {
		fmt.Fprintf(b.talk(), "      %s\n", b.w.style().Quiet(hint))
	}
	return nil
}

// watch looks at the panel while the person does an act. Enter says that it is done and nothing happened.
func (b *sitting) watch(ctx context.Context, a diagnosis.Act) (diagnosis.Seen, error) {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	typed := make(chan string, 1)
	over := make(chan struct{})
	go func() {
		select {
		case s, ok := <-b.lines:
			if !ok {
				s = "q"
			}
			typed <- strings.ToLower(s)
			cancel()
		case <-over:
		}
	}()
	seen, err := b.walk1.Source().Do(ctx, a)
	close(over)
	if seen.Table == 0 {
		seen.Table = b.walk1.Source().Table()
	}
	select {
	case s := <-typed:
		switch s {
		case "q":
			return seen, errStopped
		case "s":
			return seen, errSkipped
		}
	default:
	}
	return seen, err
}

// lamp asks what a lamp does.
func (b *sitting) lamp() (string, error) {
	for {
		fmt.Fprintln(b.talk(), "      Is it lit (l), dim (d) or out (o)?")
		s, ok := b.line()
		if !ok {
			return "", errStopped
		}
		switch s {
		case "l", "lit":
			return "lit", nil
		case "d", "dim":
			return "dim", nil
		case "o", "out", "dark":
			return "dark", nil
		case "s":
			return "", errSkipped
		case "q":
			return "", errStopped
		}
	}
}

// most questions beyond the sheet.
const mostQuestions = 12

// narrow asks for what tells the explanations apart.
func (b *sitting) narrow() error {
	src := b.walk1.Source()
	if !src.ByHand() {
		first := true
		return b.walk1.Narrow(context.Background(), mostQuestions, func(a diagnosis.Ask, seen diagnosis.Seen) {
			if b.a.JSON {
				return
			}
			if first {
				fmt.Fprintln(b.w.out, "\nTo tell the explanations apart:")
				first = false
			}
			fmt.Fprintf(b.w.out, "  %s%s\n", say(b.walk1.Model.AskSay(a.Act)), reading(seen))
		})
	}
	for range mostQuestions {
		v := b.walk1.Verdict()
		if bench.Enough(v) {
			return nil
		}
		ask, ok := b.walk1.Next()
		if !ok && len(v.Groups) > 0 {
			ask, ok = b.walk1.Apart(v.Groups[0])
		}
		if !ok {
			return nil
		}
		fmt.Fprintf(b.talk(), "\nTo tell the explanations apart: %s\n", say(b.walk1.Model.AskSay(ask.Act)))
		seen, err := b.answer(ask.Act)
		if errors.Is(err, errSkipped) {
			return nil
		}
		if err != nil {
			return err
		}
		b.walk1.Take(seen)
	}
	return nil
}

func reading(s diagnosis.Seen) string {
	switch {
	case s.Act.Do == diagnosis.Trace && len(s.Rings) == 0:
		return " None."
	case s.Act.Do == diagnosis.Trace:
		return " " + strings.Join(s.Rings, ", ") + "."
	case s.Act.Do == diagnosis.Measure && s.Meter > 1e7:
		return ": open"
	case s.Act.Do == diagnosis.Measure && s.Meter >= 1000:
		return fmt.Sprintf(": %.1f kΩ", s.Meter/1000)
	case s.Act.Do == diagnosis.Measure:
		return fmt.Sprintf(": %.1f Ω", s.Meter)
	case s.Act.Do == diagnosis.MeasureV:
		return fmt.Sprintf(": %.2f V", math.Round(100*s.Meter)/100+0)
	case s.Lamp != "":
		return ": " + s.Lamp
	}
	return ""
}

// answer gets what an act beyond the sheet shows.
func (b *sitting) answer(a diagnosis.Act) (diagnosis.Seen, error) {
	switch a.Do {
	case diagnosis.Measure, diagnosis.MeasureV:
		for {
			ask := "What does the meter show? (ohms: 0.3, 4.7k, or o for open; s: pass over, q: stop)"
			if a.Do == diagnosis.MeasureV {
				ask = "What does the meter show? (volts: 3.28; s: pass over, q: stop)"
			}
			fmt.Fprintln(b.talk(), "      "+ask)
			s, ok := b.line()
			switch {
			case !ok || s == "q":
				return diagnosis.Seen{}, errStopped
			case s == "s":
				return diagnosis.Seen{}, errSkipped
			}
			if v, ok := meterValue(a.Do, s); ok {
				return diagnosis.Seen{Act: a, Meter: v, Table: b.walk1.Source().Table()}, nil
			}
		}
	case diagnosis.Trace:
		for {
			fmt.Fprintln(b.talk(), "      Which pins ring? (their numbers or names: 20, GP15; o for none; s: pass over, q: stop)")
			s, ok := b.line()
			switch {
			case !ok || s == "q":
				return diagnosis.Seen{}, errStopped
			case s == "s":
				return diagnosis.Seen{}, errSkipped
			}
			if pins, ok := bench.Pins(b.l.result, a.Probe[1].Of, s); ok {
				return diagnosis.Seen{Act: a, Rings: pins, Table: b.walk1.Source().Table()}, nil
			}
		}
	case diagnosis.Light, diagnosis.Dark:
		if err := b.light(a); err != nil {
			return diagnosis.Seen{}, err
		}
		lamp, err := b.lamp()
		return diagnosis.Seen{Act: a, Lamp: lamp, Table: b.walk1.Source().Table()}, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), 60*time.Second)
	defer cancel()
	return b.watch(ctx, a)
}

// meterValue reads what a person types off a meter: "4.7k", "0,3", "open", "1M"; of volts "3.28", "-0.6 V", "20 mV".
func meterValue(do diagnosis.Do, s string) (float64, bool) {
	s = strings.TrimSpace(strings.ToLower(strings.ReplaceAll(s, ",", ".")))
	times, units := 1.0, []struct {
		word  string
		times float64
	}{{"mv", 1e-3}, {"v", 1}}
	if do == diagnosis.Measure {
		if s == "o" || s == "ol" || s == "open" || s == "o.l" || s == "inf" || s == "∞" {
			return 1e9, true
		}
		for _, u := range []string{"ohms", "ohm", "ω", "Ω"} {
			s = strings.TrimSpace(strings.TrimSuffix(s, u))
		}
		units = units[:0]
		units = append(units, struct {
			word  string
			times float64
		}{"k", 1e3}, struct {
			word  string
			times float64
		}{"m", 1e6})
	}
	for _, u := range units {
		if rest, ok := strings.CutSuffix(s, u.word); ok {
			s, times = strings.TrimSpace(rest), u.times
			break
		}
	}
	v, err := strconv.ParseFloat(s, 64)
	v *= times
	if err != nil || math.IsNaN(v) || do == diagnosis.Measure && (v < 0 || v > 1e9) || do == diagnosis.MeasureV && math.Abs(v) > 100 {
		return 0, false
	}
	return v, true
}

// keep writes a line's result into the record at once, so that nothing that happens later can lose it. A simulated or replayed sitting
// leaves no ticks here.
func (b *sitting) keep(l diagnosis.Line, j diagnosis.Judged) {
	if !b.walk1.Source().ByHand() {
		return
	}
	err := shelf.Change(b.l.path, func(r *record.Record) error {
		r.Tests = append(r.Tests, b.test(l, j))
		return nil
	})
	if err != nil && b.loss == nil {
		b.loss = err
		fmt.Fprintf(b.talk(), "      The results are not kept: %s.\n", strings.TrimSuffix(reason(err), "."))
	}
}

func (b *sitting) test(l diagnosis.Line, j diagnosis.Judged) record.Test {
	var note []string
	if j.Said != diagnosis.Right {
		for _, t := range j.Say {
			note = append(note, say(t))
		}
	}
	on := b.on
	if b.walk1.Source().ByHand() {
		on = time.Now()
	}
	unit := b.walk1.Source().Serial()
	if unit == "" && strings.Contains(b.walk1.Source().Name(), "the simulated panel") {
		unit = "simulated" // nobody is to take it for a panel that was tested
	}
	return record.Test{Line: l.ID, Said: j.Said, On: on.Format(time.RFC3339), Note: strings.Join(note, "; "), Unit: unit}
}

// keepAll keeps the results of a simulated or replayed sitting, when that is asked for, and says what was lost of another.
func (b *sitting) keepAll() error {
	err := b.loss
	if !b.walk1.Source().ByHand() && b.c.Keep && len(b.walk1.Judged) > 0 {
		err = shelf.Change(b.l.path, func(r *record.Record) error {
			for _, l := range b.walk1.Lines {
				if j, ok := b.walk1.Judged[l.ID]; ok {
					r.Tests = append(r.Tests, b.test(l, j))
				}
			}
			return nil
		})
	}
	if err != nil {
		return usage{say: "The results were not kept: " + strings.TrimSuffix(reason(err), ".") + "."}
	}
	return nil
}
