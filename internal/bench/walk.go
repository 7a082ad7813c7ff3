package bench

import (
	"context"
	"errors"
	"slices"
	"strings"

	"knobwright/internal/bench/session"
	"knobwright/internal/job"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
)

// Inputs are what package diagnosis wants of a job.
func Inputs(r *job.Result) diagnosis.Inputs {
	return diagnosis.Inputs{Panel: r.Panel, Wiring: r.Wiring, Harness: r.Harness, Firmware: r.Firmware}
}

// Walk is one walk through the test sheet with one panel. It is not for concurrent use.
type Walk struct {
	Job    *job.Result
	Model  *diagnosis.Model
	Lines  []diagnosis.Line
	Judged map[string]diagnosis.Judged // by line, the last try
	Asked  int                         // acts and readings beyond the sheet
	Log    *session.Writer             // nil = nothing is recorded
	src    Source
	sit    *diagnosis.Session
	shown  []diagnosis.Seen
}

// Begin sits down before a panel.
func Begin(r *job.Result, src Source) *Walk {
	m := diagnosis.New(Inputs(r))
	return &Walk{Job: r, Model: m, Lines: m.Sheet(), Judged: map[string]diagnosis.Judged{}, src: src, sit: m.Begin()}
}

// Source is the panel.
func (w *Walk) Source() Source { return w.src }

// Try does what a line asks, and judges it. The answer of a person to what no report tells may be given in lamp.
func (w *Walk) Try(ctx context.Context, l diagnosis.Line, lamp string) (diagnosis.Judged, error) {
	var seen diagnosis.Seen
	var err error
	if lamp != "" {
		seen = diagnosis.Seen{Act: l.Act, Lamp: lamp}
	} else {
		seen, err = w.src.Do(ctx, l.Act)
	}
	if seen.Table == 0 {
		seen.Table = w.src.Table()
	}
	if err != nil {
		return diagnosis.Judged{}, err
	}
	return w.Given(l, seen), nil
}

// Given judges what a line showed, whoever saw it.
func (w *Walk) Given(l diagnosis.Line, seen diagnosis.Seen) diagnosis.Judged {
	j := w.Model.Judge(l, seen)
	w.take(seen)
	w.Judged[l.ID] = j
	if w.Log != nil {
		w.Log.Add(session.Line{Mark: &session.Mark{Line: l.ID, Said: j.Said}})
	}
	return j
}

// Shown is all that was seen so far, in order.
func (w *Walk) Shown() []diagnosis.Seen { return w.shown }

// Satisfied counts lines that free pressing has satisfied, and gives those that were not right before.
func (w *Walk) Satisfied(ids []string) []diagnosis.Line {
	var out []diagnosis.Line
	for _, l := range w.Lines {
		for _, id := range ids {
			if l.ID == id && w.Judged[id].Said != diagnosis.Right {
				w.Judged[id] = diagnosis.Judged{Line: id, Said: diagnosis.Right}
				out = append(out, l)
				if w.Log != nil {
					w.Log.Add(session.Line{Mark: &session.Mark{Line: id, Said: diagnosis.Right}})
				}
			}
		}
	}
	return out
}

// Take takes what somebody else saw: an answer to a question, a reading of the meter.
func (w *Walk) Take(seen diagnosis.Seen) {
	w.Asked++
	w.take(seen)
}

func (w *Walk) take(seen diagnosis.Seen) {
	w.sit.Add(seen)
	w.shown = append(w.shown, seen)
	if w.Log != nil {
		w.Log.Add(session.Line{Seen: &seen})
	}
}

// All walks through the whole sheet with a panel that answers by itself, and tells of each line.
func (w *Walk) All(ctx context.Context, tell func(diagnosis.Line, diagnosis.Judged)) error {
	for _, l := range w.Lines {
		if err := ctx.Err(); err != nil {
			return err
		}
		j, err := w.Try(ctx, l, "")
		if errors.Is(err, ErrNotRecorded) {
			continue
		}
		if err != nil {
			return err
		}
		tell(l, j)
	}
	if r, ok := w.src.(*replayed); ok {
		w.rest(r, tell)
	}
	return nil
}

// rest takes what a recorded sitting holds beside the lines of the sheet: questions and readings of the meter, and lines that were
// satisfied by free pressing.
func (w *Walk) rest(r *replayed, tell func(diagnosis.Line, diagnosis.Judged)) {
	var ids []string
	for i, l := range r.s.Lines {
		switch {
		case l.Seen != nil && !r.used[i]:
			r.used[i] = true
			if d := l.Seen.Act.Device; d != "" && !slices.ContainsFunc(w.Job.Wiring.Devices, func(x wiring.Device) bool { return x.ID == d }) {
				continue // of a control that the file has no more
			}
			w.Take(*l.Seen)
		case l.Mark != nil && l.Mark.Said == diagnosis.Right:
			if _, tried := w.Judged[l.Mark.Line]; !tried {
				ids = append(ids, l.Mark.Line)
			}
		}
	}
	for _, l := range w.Satisfied(ids) {
		tell(l, w.Judged[l.ID])
	}
}

// Verdict is what all that was seen means.
func (w *Walk) Verdict() diagnosis.Verdict { return w.sit.Verdict() }

// Next is what parts the explanations best; false where nothing does.
func (w *Walk) Next() (diagnosis.Ask, bool) { return w.sit.Next() }

// Apart is the reading that tells the explanations of one group from each other.
func (w *Walk) Apart(g diagnosis.Group) (diagnosis.Ask, bool) { return w.sit.Apart(g) }

// Enough tells whether a verdict needs no more questions: all is surely right, or one explanation is nearly
// sure.
func Enough(v diagnosis.Verdict) bool {
	return v.Right && (v.P > 0.95 || len(v.Groups) == 0) || len(v.Groups) > 0 && len(v.Groups[0].Causes) > 0 && (v.Groups[0].Causes[0].P > 0.95 || v.Sure && len(v.Groups[0].Causes) < 2)
}

// Narrow asks the panel itself until the verdict is sure, nothing is left to ask, or most questions were asked; it tells each.
func (w *Walk) Narrow(ctx context.Context, most int, tell func(diagnosis.Ask, diagnosis.Seen)) error {
	for range most {
		v := w.Verdict()
		if Enough(v) {
			return nil
		}
		ask, ok := w.Next()
		if !ok && len(v.Groups) > 0 {
			ask, ok = w.Apart(v.Groups[0])
		}
		if !ok {
			return nil
		}
		seen, err := w.src.Do(ctx, ask.Act)
		if errors.Is(err, ErrNotRecorded) {
			return nil
		}
		if err != nil {
			return err
		}
		w.Take(seen)
		tell(ask, seen)
	}
	return nil
}

// Counts counts the lines by what was said of them, and those that were not tried.
func (w *Walk) Counts() (right, wrong, open int) {
	for _, l := range w.Lines {
		switch j, ok := w.Judged[l.ID]; {
		case !ok || j.Said == diagnosis.Unseen && len(j.Say) == 0:
			open++
		case j.Said == diagnosis.Right:
			right++
		default:
			wrong++
		}
	}
	return
}

// Stop ends the sitting with the panel.
func (w *Walk) Stop() error { return w.src.Close() }

// places lists the words by which a fault's places are called: "go", "go.no", "scene/turn", "R3", "W12".
func places(f diagnosis.Fault) []string {
	out := []string{f.Device, f.Fitting, f.Wire}
	if c, _, ok := strings.Cut(f.Device, "/"); ok { // "moon" is enough for the lamp of MOON
		out = append(out, c)
	}
	for _, t := range [][2]string{{f.A.Of, f.A.Lug}, {f.B.Of, f.B.Lug}} {
		if t[0] != "" {
			out = append(out, t[0], t[0]+"."+t[1], t[0]+"/"+t[1])
		}
	}
	return out
}

// FindFault finds a fault by words: its kind and the places that it is about, in any order: "go open-lead", "bridged bell.no". The
// error says what is not understood, and what there is instead.
func FindFault(all []diagnosis.Fault, text string) (diagnosis.Fault, error) {
	kinds := map[diagnosis.Kind]bool{}
	var names []string
	for _, f := range all {
		if !kinds[f.Kind] {
			kinds[f.Kind] = true
			names = append(names, string(f.Kind))
		}
	}
	var kind diagnosis.Kind
	var at []string
	list := strings.Fields(strings.NewReplacer(",", " ", ":", " ").Replace(text))
	for i := 0; i < len(list); i++ {
		found := false
		for n := min(3, len(list)-i); n > 0 && kind == "" && !found; n-- { // "open-lead", or "open lead"
			if k := diagnosis.Kind(strings.ToLower(strings.Join(list[i:i+n], "-"))); kinds[k] {
				kind, found = k, true
				i += n - 1
			}
		}
		switch strings.ToLower(list[i]) {
		case "at", "of", "on", "and", "with", "to", "from":
		default:
			if !found {
				at = append(at, list[i])
			}
		}
	}
	if kind == "" {
		return diagnosis.Fault{}, errors.New("no fault that this panel can have is named in \"" + text + "\"; there are: " + strings.Join(names, ", "))
	}
	var could []string
	for _, f := range all {
		if f.Kind != kind {
			continue
		}
		have := places(f)
		fits := true
		for _, word := range at {
			found := false
			for _, h := range have {
				found = found || strings.EqualFold(h, word)
			}
			fits = fits && found
		}
		if fits {
			return f, nil
		}
		if len(could) < 8 {
			could = append(could, firstPlace(f))
		}
	}
	return diagnosis.Fault{}, errors.New("no " + string(kind) + " is possible at " + strings.Join(at, " ") + "; it is at, for instance: " + strings.Join(could, ", "))
}

func firstPlace(f diagnosis.Fault) string {
	switch {
	case f.A.Of != "":
		return f.A.Of + "." + f.A.Lug
	case f.Device != "":
		return f.Device
	}
	return f.Fitting
}
