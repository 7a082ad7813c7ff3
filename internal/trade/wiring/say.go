package wiring

import (
	"knobwright/internal/finding"
)

// say tells what the plan as a whole has to say.
func (w *worker) say() {
	for _, x := range w.wrong {
		f := x.finding
		if got := w.r.Plan.Seats[x.signal].Pin; !got.Zero() && w.module >= 0 && got.Of == w.r.Boards[w.module].Name {
			name := w.pinName(got)
			f.Fixes = append([]finding.Fix{{
				Say: "Put it on " + w.sayPin(got), Short: name, Edits: []finding.Edit{{Op: finding.Set, Path: x.path, Value: quote(name)}},
			}}, f.Fixes...)
		}
		w.found(x.rule, f)
	}
	if w.module < 0 {
		w.noModule()
	}
}

// pinName is how the file calls a pin: as printed, or its number where several are called so.
func (w *worker) pinName(t Terminal) string {
	on := t.Of
	if w.module >= 0 && on == w.r.Boards[w.module].Name {
		on = ""
	}
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if b.Name != t.Of || b.Part.Board == nil {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			if p.Lug == t.Lug && p.Name != "" {
				if _, q := w.findPin(on, p.Name); q != nil && q.Lug == t.Lug {
					return p.Name
				}
			}
		}
	}
	return t.Lug
}

// noModule says that there is no module to wire to.
func (w *worker) noModule() {
	if len(w.r.Signals) == 0 {
		return
	}
	if m := w.p.Module; m != nil {
		w.found(ruleNoPins, finding.Finding{
			Head: "Nothing is known of the pins of " + or(m.Part.Title, m.Part.ID) + ".", Body: plural(len(w.r.Signals), "lead") + " wait for a pin.", Ends: []finding.End{m.Origin.End()},
		})
		return
	}
	w.found(ruleNoModule, finding.Finding{
		Head: "There is no module for the " + plural(len(w.r.Signals), "lead") + " of this panel.", Body: "Pins are given when the file names one.",
		Ends: []finding.End{{Name: "the panel", Path: "module"}},
	})
}
