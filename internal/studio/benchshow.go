package studio

import (
	"errors"
	"strings"

	"knobwright/internal/bench"
	"knobwright/internal/hid"
	notes "knobwright/internal/record"
	"knobwright/internal/record/shelf"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/words"
)

// data is the room as the page sees it.
func (b *benchRoom) data(v *Server) BenchData {
	f := b.result.Firmware
	d := BenchData{
		Rev: b.rev, Note: b.note, Table: int(b.mapping.Table()), Vendor: int(f.Device.Vendor), Product: int(f.Device.Product),
		Lines: []BenchLine{}, Rows: []BenchRow{}, Causes: []BenchCause{}, Moments: b.last, Faults: b.faults, Kept: b.kept, Right: true,
	}
	if d.Moments == nil {
		d.Moments = []BenchMoment{}
	}
	if d.Kept == nil {
		d.Kept = []string{}
	}
	if len(f.Bytes) == 0 {
		d.Why = "There is nothing to test yet: the file names no module that firmware is known for, or not every lead has a pin. The Behind sheet says which leads wait."
	}
	switch {
	case b.begin.Simulate:
		d.Source = "the simulated panel"
	case b.begin.Source != "":
		d.Source = b.begin.Source
	}
	last := map[string]notes.Test{}
	if rec, err := shelf.Load(v.session.path); err == nil {
		for _, t := range rec.Tests {
			last[t.Line] = t
		}
	}
	for _, l := range b.walk.Lines {
		x := BenchLine{ID: l.ID, Say: words.English.Say(l.Say), Expect: words.English.Say(l.Expect), Do: string(l.Act.Do), Control: l.Spot.Control, Controls: []string{}}
		for _, w := range l.Act.With {
			x.Controls = append(x.Controls, strings.Split(w.Device, "/")[0])
		}
		x.Hint = bench.LampHint(b.result, l.Act)
		if l.Act.Do == diagnosis.Light || l.Act.Do == diagnosis.Dark {
			x.Lamp = l.Device
		}
		if j, ok := b.walk.Judged[l.ID]; ok {
			x.Said, x.Saw = j.Said, saying(j.Say)
		}
		if t, ok := last[l.ID]; ok {
			x.Before = t.Said + " on " + t.On[:min(10, len(t.On))]
		}
		d.Lines = append(d.Lines, x)
	}
	for i, r := range f.Rows {
		if r.Control == nil {
			continue
		}
		x := BenchRow{Name: r.Name, Label: r.Label, Control: r.Control.Name, Usage: int(r.Place.Usage), Raw: r.Raw, Axis: b.axial(i), Lamp: r.Lamp, Hat: -1}
		if x.Raw == nil {
			x.Raw = []int{}
		}
		if r.Lamp && r.Place.Width > 0 {
			x.Report, x.Bit = r.Place.Report, r.Place.Bit
		}
		if r.Place.Usage == hid.Usage(0x00010039) {
			for k, word := range []string{"up", "right", "down", "left"} {
				if strings.HasSuffix(r.Sends, word) {
					x.Hat = 2 * k
				}
			}
		}
		d.Rows = append(d.Rows, x)
	}
	b.judge(&d)
	return d
}

// mostShown is how many explanations the page shows.
const mostShown = 5

func (b *benchRoom) judge(d *BenchData) {
	b.causes = nil
	if len(b.walk.Judged) == 0 {
		return
	}
	verdict := b.walk.Verdict()
	d.Right = verdict.Right
	if verdict.Right {
		return
	}
	for g, group := range verdict.Groups {
		for _, c := range group.Causes {
			if len(b.causes) == mostShown || len(b.causes) > 0 && c.P < 0.01*b.causes[0].P {
				break
			}
			if g == 0 && c.P > 0.05*group.Causes[0].P {
				d.Alike++
			}
			b.causes = append(b.causes, c)
			d.Causes = append(d.Causes, b.cause(c, len(b.causes)))
		}
	}
	if ask, ok := b.next(); ok {
		wants := map[diagnosis.Do]string{diagnosis.Light: "lamp", diagnosis.Dark: "lamp", diagnosis.Measure: "ohms", diagnosis.MeasureV: "volts", diagnosis.Trace: "pins"}[ask.Act.Do]
		if wants == "" {
			wants = "panel"
		}
		d.Next = &BenchAsk{Say: words.English.Say(b.walk.Model.AskSay(ask.Act)), Wants: wants, Do: string(ask.Act.Do)}
		if wants == "lamp" {
			d.Next.Lamp, d.Next.On = ask.Act.Device, ask.Act.Do == diagnosis.Light
		}
	}
}

func (b *benchRoom) cause(c diagnosis.Cause, n int) BenchCause {
	x := BenchCause{N: n, Part: int(100*c.P + 0.5), Fix: true, Spots: []BenchSpot{}, Wires: []string{}}
	var says, iron, table []string
	for _, f := range c.Faults {
		e := b.walk.Model.Explain(f)
		says = append(says, benchSentence(errors.New(words.English.Say(e.Say))))
		if !e.Iron.Zero() {
			iron = append(iron, words.English.Say(e.Iron))
		}
		for _, t := range e.Table {
			table = append(table, words.English.Say(t))
		}
		if !e.Only.Zero() {
			iron = append(iron, words.English.Say(e.Only))
		}
		if e.Check != nil && x.Check == "" {
			x.Check = words.English.Say(b.walk.Model.AskSay(*e.Check)) + ": " + words.English.Say(e.Tells)
		}
		for _, s := range e.Spots {
			x.Spots = append(x.Spots, BenchSpot{s.Control, s.Board, s.Label, s.X, s.Y, s.Known})
		}
		x.Wires = append(x.Wires, e.Wires...)
	}
	for _, also := range c.Also {
		says = append(says, "It comes to the same:")
		for _, f := range also {
			e := b.walk.Model.Explain(f)
			says = append(says, words.English.Say(e.Say))
			for _, s := range e.Spots {
				x.Spots = append(x.Spots, BenchSpot{s.Control, s.Board, s.Label, s.X, s.Y, s.Known})
			}
		}
	}
	if _, ok := b.walk.Model.Remedies(c.Faults); !ok { // one of two alone would leave the other
		x.Fix, table = false, nil
	}
	x.Say, x.Iron, x.Table = strings.Join(says, " "), strings.Join(iron, " "), strings.Join(table, " ")
	return x
}
