package wiring

import (
	"knobwright/internal/finding"
)

// Settle gives the edits that write every pin of the plan into the file, so that later changes leave alone what is soldered already. What
// crosses in a matrix or lies on a ladder follows from its lines, which are written; boards that the plan adds are written too.
func (r *Result) Settle() []finding.Edit {
	var out []finding.Edit
	label := map[string]*Board{}
	for i := range r.Boards {
		b := &r.Boards[i]
		label[b.Name] = b
		if b.Added {
			out = append(out, finding.Edit{Op: finding.Set, Path: "wiring.boards." + b.Name, Value: "{part: " + b.Part.ID + "}"})
		}
	}
	for i, s := range r.Plan.Seats {
		b := label[s.Pin.Of]
		if s.Fixed || s.Pin.Zero() || s.Way == Ladder || b == nil || b.Part.Board == nil {
			continue
		}
		value := quote(printed(b, s.Pin.Lug))
		if b.Name != r.Boards[0].Name { // the module comes first

			value = "{pin: " + value + ", on: " + b.Name + "}"
		}
		out = append(out, finding.Edit{Op: finding.Set, Path: "wiring.pins." + r.Signals[i].Name, Value: value})
	}
	return out
}

// printed is what stands on the board beside a pin, or its number where several are called so.
func printed(b *Board, lug string) string {
	p, _ := b.Part.Board.Pin(lug)
	if p.Name == "" {
		return lug
	}
	for _, q := range b.Part.Board.Pins {
		if q.Lug != lug && q.Name == p.Name {
			return lug
		}
	}
	return p.Name
}
