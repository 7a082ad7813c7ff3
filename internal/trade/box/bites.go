package box

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
)

// shortBite is a row of screws that hold by less than they should.
type shortBite struct {
	from, into string
	have, want float64
	lim        finding.Limit
}

// biting notes a row of screws that bite too little.
func (w *worker) biting(from, into *carcass.Board, have, want float64) {
	lim := limBite
	if !into.Role.Shell() {
		lim = limBiteBatten
	}
	if b := (shortBite{from.Name, into.Name, have, want, lim}); !slices.ContainsFunc(w.bites, func(o shortBite) bool { return o.from == b.from && o.into == b.into }) {
		w.bites = append(w.bites, b)
	}
}

// sayBites tells of screws that bite too little: boards of one thickness at once, as the remedy is one.
func (w *worker) sayBites() {
	done := make([]bool, len(w.bites))
	for i, b := range w.bites {
		if done[i] {
			continue
		}
		var from, into []string
		for k := i; k < len(w.bites); k++ {
			if o := w.bites[k]; o.lim.Name == b.lim.Name && math.Abs(o.have-b.have) < 0.05 && math.Abs(o.want-b.want) < 0.05 {
				done[k] = true
				if !slices.Contains(from, o.from) {
					from = append(from, o.from)
				}
				if !slices.Contains(into, o.into) {
					into = append(into, o.into)
				}
			}
		}
		head := fmt.Sprintf("The screws through %s bite only %s into %s.", list(the(from)), w.mm(b.have), list(the(into)))
		if len(from) > 1 {
			head = fmt.Sprintf("The screws through %s bite only %s.", list(the(from)), w.mm(b.have))
			into = nil
		}
		f := finding.Finding{
			Rule: ruleBite.Name, Severity: ruleBite.Severity, Head: head, Body: "Longer ones would come out, or are not sold. Glue as well.",
			Measure: &finding.Measure{Have: b.have, Want: b.want, Unit: "mm", Sense: finding.AtLeast}, Source: w.Limits.Source(b.lim),
		}
		for _, name := range append(into, from...) {
			f.Ends = append(f.Ends, w.end(name))
		}
		w.found = append(w.found, f)
	}
	w.bites = nil
}

// the puts the article before names of boards.
func the(names []string) []string {
	out := make([]string, len(names))
	for i, n := range names {
		out[i] = "the " + n
	}
	return out
}
