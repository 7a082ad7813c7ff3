package wiring

import (
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// Settle gives the edits that write every pin and crossing of the plan into the file, so that later changes leave alone what is soldered
// already. Boards that the plan adds are written too.
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
		name := r.Signals[i].Name
		switch {
		case s.Way == Ladder:
			if d := r.Signals[i].Device; s.Step == 0 && !s.Fixed && ownRecord(r.Devices[d].Control) {
				out = append(out, finding.Edit{Op: finding.Set, Path: r.Devices[d].Control.Origin.Path + ".via", Value: "ladder"})
			}
			continue
		case s.Way == Matrix:
			if s.Why != settledWhy {
				at := "{row: " + lineNumber(r.Signals[s.Row].Name) + ", column: " + lineNumber(r.Signals[s.Column].Name) + "}"
				out = append(out, finding.Edit{Op: finding.Set, Path: "wiring.pins." + name, Value: at})
			}
			continue
		}
		b := label[s.Pin.Of]
		if s.Fixed || s.Pin.Zero() || b == nil || b.Part.Board == nil {
			continue
		}
		if d := r.Signals[i].Device; r.Signals[i].Kind == SigLadder && d >= 0 && !r.ladderStays(d) {
			continue // nothing in the file would make the ladder again
		}
		value := quote(printed(b, s.Pin.Lug))
		if b.Name != r.Boards[0].Name { // the module comes first
			value = "{pin: " + value + ", on: " + b.Name + "}"
		}
		out = append(out, finding.Edit{Op: finding.Set, Path: "wiring.pins." + name, Value: value})
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

// settledWhy is why a lead is where the file puts it.
const settledWhy = "settled in the file"

// lineNumber is the number of a row or column in its name.
func lineNumber(name string) string { return name[strings.LastIndexByte(name, '-')+1:] }

// ownRecord reports whether a control has a record of its own in the file, that can be written into.
func ownRecord(c *panel.Control) bool {
	return c.From == "" && strings.HasSuffix(c.Origin.Path, "."+c.Name)
}

// ladderStays reports whether the ladder of a device would be made again: the file asks for it, or can.
func (r *Result) ladderStays(d int) bool {
	for i, s := range r.Plan.Seats {
		if r.Signals[i].Device == d && s.Way == Ladder {
			return s.Fixed || ownRecord(r.Devices[d].Control)
		}
	}
	return false
}
