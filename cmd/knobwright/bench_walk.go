package main

import (
	"context"
	"errors"
	"fmt"
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
	out, s := b.w.out, b.w.style()
	if !b.a.JSON {
		fmt.Fprintf(out, "\n%s\n%s\n", s.Bold(terminal.Clean(b.l.result.File.Title)), s.Quiet(fmt.Sprintf("%s; %s on the sheet", terminal.Clean(src.Name()), plural(len(b.walk1.Lines), "line", "lines"))))
	}
	if other := bench.Belongs(b.l.result, src.Table(), b.name); other != "" {
		if src.ByHand() {
			return usage{say: terminal.Clean(other)}
		}
		if !b.a.JSON {
			for _, t := range terminal.Wrap(other, 72) {
				fmt.Fprintln(out, terminal.Clean(t))
			}
		}
	}
	var err error
	if b.c.Free && b.live != nil {
		err = b.free()
	} else if src.ByHand() || b.c.Simulate && !b.c.All {
		err = b.ask()
	} else {
		err = b.walk1.All(context.Background(), func(l diagnosis.Line, j diagnosis.Judged) { b.tell(l, j, true) })
	}
	gone := errors.Is(err, device.ErrGone)
	if err != nil && !errors.Is(err, errStopped) && !gone {
		return usage{say: sentence(err)}
	}
	if gone {
		fmt.Fprintln(out, "\nThe panel was unplugged. What was tested until then is kept; plug it in and go on with the lines that are open.")
	}
	if err == nil { // whoever stops wants no more questions
		if err := b.narrow(); err != nil && !errors.Is(err, errStopped) && !errors.Is(err, device.ErrGone) {
			return usage{say: sentence(err)}
		}
	}
	if err := b.keep(); err != nil {
		return err
	}
	return b.result()
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
	fmt.Fprintln(b.w.out, b.w.style().Quiet("Enter: done, and nothing happened.   s: pass over   q: stop"))
	for i, l := range b.walk1.Lines {
		fmt.Fprintf(b.w.out, "%3d/%d  %s\n", i+1, len(b.walk1.Lines), say(l.Say))
		j, err := b.one(l)
		if errors.Is(err, errSkipped) {
			continue
		}
		if err != nil {
			return err
		}
		b.tell(l, j, false)
	}
	return nil
}

// free lets the person press what they like.
func (b *sitting) free() error {
	fmt.Fprintln(b.w.out, b.w.style().Quiet("Press what you like; what comes as it should is ticked. Enter ends it."))
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	go func() {
		<-b.lines
		cancel()
	}()
	return b.live.Free(ctx, b.walk1, func(l diagnosis.Line) {
		fmt.Fprintf(b.w.out, "  [x] %s\n", say(l.Say))
	})
}

var errSkipped = errors.New("passed over")

// one does one line with the person.
func (b *sitting) one(l diagnosis.Line) (diagnosis.Judged, error) {
	byHand := b.walk1.Source().ByHand()
	if byHand && (l.Act.Do == diagnosis.Light || l.Act.Do == diagnosis.Dark) {
		if b.live != nil {
			if _, err := b.live.Light(b.l.result, l.Act.Device, l.Act.Do == diagnosis.Light); err != nil {
				return diagnosis.Judged{}, err
			}
		}
		if hint := bench.LampHint(b.l.result, l.Act); hint != "" {
			fmt.Fprintf(b.w.out, "      %s\n", b.w.style().Quiet(hint))
		}
		lamp, err := b.lamp()
		if err != nil {
			return diagnosis.Judged{}, err
		}
		return b.walk1.Try(context.Background(), l, lamp)
	}
	if !byHand { // the simulated panel does it when Enter is pressed
		s, ok := b.line()
		switch {
		case !ok || s == "q":
			return diagnosis.Judged{}, errStopped
		case s == "s":
			return diagnosis.Judged{}, errSkipped
		}
		return b.walk1.Try(context.Background(), l, "")
	}
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	typed := make(chan string, 1)
	watch := make(chan struct{})
	go func() {
		select {
		case s, ok := <-b.lines:
			if !ok {
				s = "q"
			}
			typed <- strings.ToLower(s)
			cancel()
		case <-watch:
		}
	}()
	j, err := b.walk1.Try(ctx, l, "")
	close(watch)
	select {
	case s := <-typed:
		if s == "q" {
			return j, errStopped
		}
		if s == "s" {
			delete(b.walk1.Judged, l.ID)
			return j, errSkipped
		}
	default:
	}
	return j, err
}

// lamp asks what a lamp does.
func (b *sitting) lamp() (string, error) {
	for {
		fmt.Fprintln(b.w.out, "      Is it lit (l), dim (d) or out (o)?")
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
		fmt.Fprintf(b.w.out, "\nTo tell the explanations apart: %s\n", say(b.walk1.Model.AskSay(ask.Act)))
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
	case s.Act.Do == diagnosis.Measure && s.Meter > 1e7:
		return ": open"
	case s.Act.Do == diagnosis.Measure && s.Meter >= 1000:
		return fmt.Sprintf(": %.1f kΩ", s.Meter/1000)
	case s.Act.Do == diagnosis.Measure:
		return fmt.Sprintf(": %.1f Ω", s.Meter)
	case s.Act.Do == diagnosis.MeasureV:
		return fmt.Sprintf(": %.2f V", s.Meter)
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
			fmt.Fprintln(b.w.out, "      What does the meter show? (a number, 4.7k, or o for open; s: pass over)")
			s, ok := b.line()
			switch {
			case !ok || s == "q":
				return diagnosis.Seen{}, errStopped
			case s == "s":
				return diagnosis.Seen{}, errSkipped
			}
			if v, ok := meterValue(s); ok {
				return diagnosis.Seen{Act: a, Meter: v, Table: b.walk1.Source().Table()}, nil
			}
		}
	case diagnosis.Light, diagnosis.Dark:
		lamp, err := b.lamp()
		return diagnosis.Seen{Act: a, Lamp: lamp}, err
	}
	ctx, cancel := context.WithTimeout(context.Background(), 60*time.Second)
	defer cancel()
	watch := make(chan struct{})
	go func() {
		select {
		case <-b.lines:
			cancel()
		case <-watch:
		}
	}()
	seen, err := b.walk1.Source().Do(ctx, a)
	close(watch)
	return seen, err
}

// meterValue reads what a person types off a meter: "4.7k", "0,3", "open", "1M".
func meterValue(s string) (float64, bool) {
	s = strings.TrimSpace(strings.ToLower(strings.ReplaceAll(s, ",", ".")))
	s = strings.TrimSpace(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(strings.TrimSuffix(s, "ohm"), "ω"), "Ω"), "v"))
	if s == "o" || s == "ol" || s == "open" || s == "o.l" {
		return 1e9, true
	}
	times := 1.0
	switch {
	case strings.HasSuffix(s, "k"):
		times, s = 1e3, strings.TrimSuffix(s, "k")
	case strings.HasSuffix(s, "m"):
		times, s = 1e6, strings.TrimSuffix(s, "m")
	}
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	return v * times, err == nil && v >= -100 && v <= 1e9
}

// keep writes what was tested into the record. A simulated or replayed sitting leaves no ticks unless it is asked to.
func (b *sitting) keep() error {
	if !b.walk1.Source().ByHand() && !b.c.Keep || len(b.walk1.Judged) == 0 {
		return nil
	}
	err := shelf.Change(b.l.path, func(r *record.Record) error {
		for _, l := range b.walk1.Lines {
			j, ok := b.walk1.Judged[l.ID]
			if !ok {
				continue
			}
			var note []string
			if j.Said != diagnosis.Right {
				for _, t := range j.Say {
					note = append(note, say(t))
				}
			}
			r.Tests = append(r.Tests, record.Test{Line: l.ID, Said: j.Said, On: b.on.Format(time.RFC3339), Note: strings.Join(note, "; "), Unit: b.walk1.Source().Serial()})
		}
		return nil
	})
	if err != nil {
		return usage{say: "The results were not kept: " + strings.TrimSuffix(reason(err), ".") + "."}
	}
	return nil
}
