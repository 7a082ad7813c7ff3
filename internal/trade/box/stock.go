package box

import (
	"fmt"
	"slices"

	"knobwright/internal/finding"
)

// stockTooSmall names the boards that do not come out of any sheet on hand, whatever else is cut from it. A material of which none is on hand is not
// told: it may not have been bought yet.
func (w *worker) stockTooSmall(r *Result) {
	type tooLarge struct {
		names []string
		worst BoardLine
	}
	found := map[string]*tooLarge{}
	var order []string
	for _, l := range r.Boards {
		have := w.onHand(l.Material)
		if !l.Board.Role.Shell() || len(have) == 0 || slices.ContainsFunc(have, func(s Stock) bool {
			t := 2 * w.trim()
			if s.Name != "" && !w.laser() { // an offcut has been trimmed
				t = 0
			}
			in := func(x, y float64) bool { return x <= s.Width-t+1e-6 && y <= s.Height-t+1e-6 }
			return in(l.Blank.X, l.Blank.Y) || !l.Material.Grain() && in(l.Blank.Y, l.Blank.X)
		}) {
			continue
		}
		c := found[l.Material.ID]
		if c == nil {
			c = &tooLarge{}
			found[l.Material.ID] = c
			order = append(order, l.Material.ID)
		}
		c.names = append(c.names, "the "+l.Name)
		if l.Blank.X*l.Blank.Y > c.worst.Blank.X*c.worst.Blank.Y {
			c.worst = l
		}
	}
	for _, id := range order {
		c := found[id]
		large, at := Stock{}, 0
		for i, s := range w.Stock {
			if s.Sheet == id && s.Width*s.Height > large.Width*large.Height {
				large, at = s, i
			}
		}
		grain := ""
		if c.worst.Material.Grain() {
			grain = " along and across the grain"
		}
		w.say(ruleStock, finding.Finding{
			Head: fmt.Sprintf("No sheet of %s on hand is large enough for %s.", c.worst.Material.Title, list(c.names)),
			Body: fmt.Sprintf("The largest is %s x %s%s; the %s wants %s x %s. Get a larger one.", w.num(large.Width), w.mm(large.Height), grain, c.worst.Name, w.num(c.worst.Blank.X), w.mm(c.worst.Blank.Y)),
			Ends: []finding.End{w.end(fmt.Sprintf("stock %d", at)), w.end(c.worst.Name)},
		})
	}
}
