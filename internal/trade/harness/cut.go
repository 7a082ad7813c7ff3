package harness

import (
	"cmp"
	"slices"
)

// cut sorts the wires for cutting, longest first within wire and colour, and adds up what is needed.
func (w *worker) cut() {
	type kind struct{ wire, colour string }
	lines := map[kind]map[float64]*Cut{}
	for _, x := range w.r.Wires {
		if x.Ribbon >= 0 {
			continue
		}
		k := kind{x.Wire, x.Colour}
		if lines[k] == nil {
			lines[k] = map[float64]*Cut{}
		}
		c := lines[k][x.Length]
		if c == nil {
			c = &Cut{Wire: x.Wire, Colour: x.Colour, Length: x.Length}
			lines[k][x.Length] = c
		}
		c.Count++
		c.IDs = append(c.IDs, x.ID)
	}
	keys := make([]kind, 0, len(lines))
	for k := range lines {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b kind) int { return cmp.Or(cmp.Compare(a.wire, b.wire), cmp.Compare(a.colour, b.colour)) })
	have := map[kind]float64{}
	for _, s := range w.p.Wiring.Stock {
		have[kind{s.Wire, s.Colour}] += s.Length.MM()
	}
	for _, k := range keys {
		u := Use{Wire: k.wire, Colour: k.colour, Have: have[k], Known: len(w.p.Wiring.Stock) > 0}
		ls := sortedKeys(lines[k])
		slices.Reverse(ls)
		for _, l := range ls {
			c := *lines[k][l]
			u.Need += c.Length * float64(c.Count)
			w.r.Cut = append(w.r.Cut, c)
		}
		w.r.Use = append(w.r.Use, u)
	}
}
