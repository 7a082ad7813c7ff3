package harness

import (
	"math"

	"knobwright/internal/catalog"
)

// sleeveLong is how long a piece of sleeve over a free lead is, mm. Common practice.
const sleeveLong = 20

// smalls counts what is to be bought beside wire.
func (w *worker) smalls() {
	count := map[string]*Small{}
	add := func(part string, n int, long float64) {
		if part == "" || n == 0 {
			return
		}
		if count[part] == nil {
			count[part] = &Small{Part: part}
		}
		count[part].Count += n
		count[part].Long += long
	}
	ends := 0
	for _, h := range w.r.Housings {
		add(h.Part, 1, 0)
		for _, i := range h.Of {
			if i >= 0 {
				ends++
			}
		}
	}
	add(w.smallOf("terminal", 0), ends, 0)
	for _, t := range w.r.Ties {
		if t.Kind == "tie" && t.Bundle < len(w.r.Bundles) {
			add(w.smallOf("tie", math.Pi*w.r.Bundles[t.Bundle].Diameter+30), 1, 0)
		}
	}
	free := 0
	for _, j := range w.r.Joints {
		if j.Heat == "free lead" {
			free++
		}
	}
	add(w.smallOf("sleeve", 2.2), free, float64(free)*sleeveLong)
	for _, id := range sortedKeys(count) {
		w.r.Smalls = append(w.r.Smalls, *count[id])
	}
}

// smallOf finds the smallest part of a kind that is at least so big; the first one when size does not matter.
func (w *worker) smallOf(kind string, least float64) string {
	best := catalog.Small{}
	for _, id := range w.cat.SmallIDs() {
		s, ok := w.cat.Small(id)
		if !ok || s.Kind != kind || s.Size.MM() < least {
			continue
		}
		if best.ID == "" || s.Size < best.Size {
			best = s
		}
	}
	return best.ID
}
