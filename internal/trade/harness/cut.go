package harness

import (
	"cmp"
	"slices"
)

// sort is wire of one kind and colour.
type sort struct{ wire, colour string }

// cut sorts the wires for cutting, longest first within wire and colour, and adds up what is needed against what is on hand. Ribbons are
// cut before single wires of their kind.
func (w *worker) cut() {
	lines := map[sort]map[float64]*Cut{}
	add := func(k sort, length float64, id string) {
		if lines[k] == nil {
			lines[k] = map[float64]*Cut{}
		}
		c := lines[k][length]
		if c == nil {
			c = &Cut{Wire: k.wire, Colour: k.colour, Length: length}
			lines[k][length] = c
		}
		c.Count++
		c.IDs = append(c.IDs, id)
	}
	for _, x := range w.r.Wires {
		if x.Ribbon < 0 {
			add(sort{x.Wire, x.Colour}, x.Length, x.ID)
		}
	}
	for _, r := range w.r.Ribbons {
		colour := ""
		if c, ok := w.cat.Wire(r.Wire); ok && len(c.Colours) == 1 {
			colour = c.Colours[0]
		}
		add(sort{r.Wire, colour}, r.Length, r.Name)
	}
	keys := make([]sort, 0, len(lines))
	for k := range lines {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b sort) int { return cmp.Or(cmp.Compare(a.wire, b.wire), cmp.Compare(a.colour, b.colour)) })
	have := map[sort][]float64{}
	for _, s := range w.p.Wiring.Stock {
		if l := s.Length.MM(); l > 0 {
			for _, c := range append(letters(s.Colour), "")[:1] {
				have[sort{s.Wire, c}] = append(have[sort{s.Wire, c}], l)
			}
		}
	}
	for _, k := range keys {
		u := Use{Wire: k.wire, Colour: k.colour, Known: len(w.p.Wiring.Stock) > 0}
		left := slices.Clone(have[k]) // what is left of each piece on hand
		for _, l := range left {
			u.Have += l
		}
		ls := sortedKeys(lines[k])
		slices.Reverse(ls)
		for _, l := range ls {
			c := *lines[k][l]
			u.Need += c.Length * float64(c.Count)
			for range c.Count { // from the shortest piece that still gives it
				best := -1
				for i, rest := range left {
					if rest >= c.Length && (best < 0 || rest < left[best]) {
						best = i
					}
				}
				if best < 0 {
					u.Lacks += c.Length
					continue
				}
				left[best] -= c.Length
			}
			w.r.Cut = append(w.r.Cut, c)
		}
		for _, l := range left {
			u.Left = max(u.Left, l)
		}
		w.r.Use = append(w.r.Use, u)
	}
}
