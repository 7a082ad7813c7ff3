package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"knobwright/internal/bench"
	"knobwright/internal/bench/device"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/diagnosis"
)

// symptoms lists what can be said of a panel.
func (b *sitting) symptoms() error {
	all := diagnosis.New(bench.Inputs(b.l.result)).Symptoms()
	if b.a.JSON {
		return b.json(all)
	}
	for _, s := range all {
		fmt.Fprintf(b.w.out, "%-32s %s\n", terminal.Clean(s.ID), say(s.Say))
	}
	if len(all) == 0 {
		fmt.Fprintln(b.w.out, "There is nothing to say yet: no control has a lead with a pin.")
	}
	return nil
}

// repair weighs symptoms, and what the panel shows, for the panel as it was built.
func (b *sitting) repair() error {
	m := diagnosis.New(bench.Inputs(b.l.result))
	told, err := b.told(m)
	if err != nil {
		return err
	}
	var live []diagnosis.Seen
	if len(told) == 0 { // the panel itself shows what it does
		m = b.walk1.Model
		if err := b.show(); err != nil {
			return err
		}
		live = b.walk1.Shown()
	}
	r := m.Repair(told, live, mostCauses)
	if b.a.JSON {
		return b.json(r)
	}
	out, s := b.w.out, b.w.style()
	switch {
	case len(r.Mends) > 0 && !r.Right:
	case r.Right:
		fmt.Fprintln(out, "What was told is as the design has it; nothing is wrong with it.")
		return nil
	default:
		fmt.Fprintln(out, "No single fault and no pair of faults does all that. Look whether one of them is another matter, and leave it out.")
		return nil
	}
	if r.Next != nil {
		when := "Before anything is opened: "
		switch r.Next.Act.Do {
		case diagnosis.Measure, diagnosis.MeasureV, diagnosis.Trace:
			when = "Once it is open: "
		}
		fmt.Fprintln(out)
		b.wrapped(when + strings.TrimSuffix(say(m.AskSay(r.Next.Act)), ".") + ".")
	}
	for i, x := range r.Mends {
		if i > 0 && x.Cause.P < 0.02*r.Mends[0].Cause.P {
			break
		}
		var what []string
		for _, e := range x.Explain {
			what = append(what, upper(say(e.Say)))
		}
		fmt.Fprintf(out, "\n%2d  %s  %s\n", i+1, s.Bold(strings.Join(what, " ")), s.Quiet(chance(x.Cause.P)))
		for _, also := range x.Cause.Also {
			var says []string
			for _, f := range also {
				says = append(says, say(m.Explain(f).Say))
			}
			b.more("It comes to the same: ", []string{strings.Join(says, " ")})
		}
		if !x.Open.Zero() {
			b.more("", []string{say(x.Open)})
		}
		if x.Opening != "" {
			b.more("", []string{x.Opening})
		}
		for _, w := range x.InWay {
			b.more("", []string{say(w.Say)})
		}
		for _, e := range x.Explain {
			if !e.Iron.Zero() {
				b.more("", []string{say(e.Iron)})
			}
			if len(e.Wires) > 0 {
				b.more("", []string{"Wires: " + b.wires(e.Wires)})
			}
			if e.Check != nil {
				b.more("To be sure: ", []string{say(m.AskSay(*e.Check)) + ": " + say(e.Tells)})
			}
		}
	}
	return nil
}

// told finds the symptoms that were given by their names.
func (b *sitting) told(m *diagnosis.Model) ([]diagnosis.Symptom, error) {
	all := m.Symptoms()
	var out []diagnosis.Symptom
	for _, name := range b.c.Symptom {
		i := slices.IndexFunc(all, func(s diagnosis.Symptom) bool { return s.ID == name })
		if i >= 0 {
			out = append(out, all[i])
			continue
		}
		if p := strings.Split(name, "/with/"); len(p) == 2 {
			if s, ok := m.SymptomWith(p[0], p[1], false); ok {
				out = append(out, s)
				continue
			}
		}
		return nil, usage{say: fmt.Sprintf("%q is nothing that can be said of this panel.", terminal.Clean(name)), hint: "knobwright bench --repair --symptoms    lists what can be said"}
	}
	return out, nil
}

// show lets the panel show what it does, line by line.
func (b *sitting) show() error {
	src := b.walk1.Source()
	b.heading()
	if other := bench.Belongs(b.l.result, src.Table(), b.name); other != "" {
		return usage{say: terminal.Clean(other)}
	}
	if !src.ByHand() {
		return b.walk1.All(context.Background(), func(diagnosis.Line, diagnosis.Judged) {})
	}
	err := b.ask()
	if errors.Is(err, device.ErrGone) {
		fmt.Fprintln(b.talk(), "\nThe panel was unplugged. This is what it showed until then says:")
	} else if err != nil && !errors.Is(err, errStopped) {
		return usage{say: sentence(err)}
	}
	return b.keepAll()
}

// wires names wires with their colours and ends.
func (b *sitting) wires(ids []string) string {
	var out []string
	for _, id := range ids {
		for _, w := range b.l.result.Harness.Wires {
			if w.ID == id {
				out = append(out, fmt.Sprintf("%s (%s, %s %s to %s %s)", id, w.Colour, w.From.Of, w.From.Lug, w.To.Of, w.To.Lug))
			}
		}
	}
	return strings.Join(out, ", ")
}
