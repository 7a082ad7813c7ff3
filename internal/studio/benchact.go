package studio

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"time"

	"knobwright/internal/bench"
	"knobwright/internal/bench/decode"
	"knobwright/internal/project"
	notes "knobwright/internal/record"
	"knobwright/internal/record/built"
	"knobwright/internal/record/shelf"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/words"
)

func (b *benchRoom) seen(v *Server, q BenchSeen) error {
	if b.strange != "" { // its contacts would be judged by the wrong names
		return errors.New(b.strange)
	}
	act, line := diagnosis.Act{}, diagnosis.Line{}
	if q.Line == "" {
		ask, ok := b.next()
		if !ok {
			return errors.New("nothing is asked just now")
		}
		act = ask.Act
	} else {
		found := false
		for _, l := range b.walk.Lines {
			if l.ID == q.Line {
				line, act, found = l, l.Act, true
			}
		}
		if !found {
			return errors.New("the test sheet has no such line any more")
		}
	}
	seen := diagnosis.Seen{Act: act, Lamp: q.Lamp, Table: uint32(b.begin.Table)}
	switch {
	case q.Itself:
		if !b.begin.Simulate {
			return errors.New("only a simulated panel does it by itself")
		}
		s, err := b.walk.Source().Do(context.Background(), act)
		if err != nil {
			return err
		}
		seen = s
	case act.Do == diagnosis.Trace:
		if q.Pins == nil {
			return errAsked
		}
		pins, ok := bench.Pins(b.result, act.Probe[1].Of, *q.Pins)
		if !ok {
			return errors.New("write the pins that ring, by their numbers or names: 20, GP15; or none")
		}
		seen.Rings = pins
	case q.Meter != nil:
		seen.Meter = *q.Meter
	default:
		seen.Moments = b.moments(q.Moments)
	}
	b.last = b.show(seen)
	if q.Line == "" {
		b.walk.Take(seen)
		return nil
	}
	j := b.walk.Given(line, seen)
	if b.walk.Source().ByHand() {
		return b.keep(v, line, j)
	}
	return nil
}

// pressFreely takes what was pressed in no order; lines that it satisfies are right. Without moments it begins, or ends.
func (b *benchRoom) pressFreely(v *Server, q BenchSeen) error {
	if len(q.Moments) == 0 {
		b.freely = nil
		return nil
	}
	if b.strange != "" {
		return errors.New(b.strange)
	}
	if b.freely == nil {
		b.freely = b.walk.Model.Recognise(b.walk.Lines)
	}
	var ids []string
	for _, m := range b.moments(q.Moments) {
		ids = append(ids, b.freely.Feed(m)...)
	}
	for _, l := range b.walk.Satisfied(ids) {
		if b.walk.Source().ByHand() {
			if err := b.keep(v, l, b.walk.Judged[l.ID]); err != nil {
				return err
			}
		}
	}
	return nil
}

// moments turns what the browser saw into moments.
func (b *benchRoom) moments(in []BenchReport) []diagnosis.Moment {
	var out []diagnosis.Moment
	for _, x := range in {
		m := b.mapping.Blank()
		m.At = x.At
		for _, r := range x.Rows {
			if r.Row >= 0 && r.Row < len(b.result.Firmware.Rows) {
				b.mapping.Apply(&m, decode.Change{Row: r.Row, On: r.On, Part: min(max(r.Part, 0), 1), Axis: b.axial(r.Row)})
			}
		}
		if len(x.Raw) > 0 {
			m.Raw = make([]byte, len(x.Raw))
			for i, v := range x.Raw {
				m.Raw[i] = byte(v)
			}
		}
		out = append(out, m)
	}
	return out
}

func (b *benchRoom) axial(row int) bool { return b.mapping.Axial(row) }

// show is what an act showed, for the drawing.
func (b *benchRoom) show(s diagnosis.Seen) []BenchMoment {
	out := []BenchMoment{}
	for _, m := range s.Moments {
		x := BenchMoment{At: m.At, On: []string{}, Axes: []float64{}}
		seen := map[string]bool{}
		for _, r := range b.result.Firmware.Rows {
			if r.Control == nil || seen[r.Control.Name] {
				continue
			}
			for _, raw := range r.Raw {
				if raw/8 < len(m.Raw) && m.Raw[raw/8]>>(raw%8)&1 != 0 {
					seen[r.Control.Name] = true
				}
			}
			if seen[r.Control.Name] {
				x.On = append(x.On, r.Control.Name)
			}
		}
		for _, a := range m.Axes {
			x.Axes = append(x.Axes, float64(a)/65535)
		}
		out = append(out, x)
	}
	return out
}

// keep writes the result of a line into the record beside the file.
func (b *benchRoom) keep(v *Server, l diagnosis.Line, j diagnosis.Judged) error {
	return shelf.Change(v.session.path, func(r *notes.Record) error {
		t := notes.Test{Line: l.ID, Said: j.Said, On: time.Now().Format(time.RFC3339), Unit: b.begin.Serial}
		if j.Said != diagnosis.Right {
			t.Note = saying(j.Say)
		}
		r.Tests = append(r.Tests, t)
		return nil
	})
}

func saying(ts []words.Text) string {
	var out []string
	for _, t := range ts {
		out = append(out, words.English.Say(t))
	}
	return strings.Join(out, "; ")
}

// accept leaves an explanation as it is: its facts go into the record.
func (b *benchRoom) accept(v *Server, n int) error {
	if n < 1 || n > len(b.causes) {
		return errors.New("there is no such explanation any more")
	}
	fixes, ok := b.walk.Model.Remedies(b.causes[n-1].Faults)
	if !ok {
		return errors.New("this cannot be left as it is: it needs the iron")
	}
	_, now, _ := v.session.Now()
	name := filepath.Base(v.session.path)
	err := shelf.Change(v.session.path, func(r *notes.Record) error {
		text, _, _ := built.Lay(name, now.Text, r)
		for _, x := range fixes {
			f := x.Fact
			f.On = time.Now().Format("2006-01-02")
			var err error
			if text, err = project.Read(name, text).Apply(f.Edits); err != nil {
				return err
			}
			r.Add(f)
		}
		return nil
	})
	if err != nil {
		return err
	}
	_, good, _ := v.session.Now()
	if err := b.furnish(v, good); err != nil {
		return err
	}
	b.note = "Kept in " + filepath.Base(notes.Beside(v.session.path)) + ". The papers and the image follow it: put the new image on the module, then test again."
	return nil
}

func (b *benchRoom) next() (diagnosis.Ask, bool) {
	verdict := b.walk.Verdict()
	if len(b.walk.Judged) == 0 || bench.Enough(verdict) {
		return diagnosis.Ask{}, false
	}
	ask, ok := b.walk.Next()
	if !ok && len(verdict.Groups) > 0 {
		ask, ok = b.walk.Apart(verdict.Groups[0])
	}
	return ask, ok
}
