package compare

import (
	"math"

	"knobwright/internal/panel"
	"knobwright/internal/solve/assign"
)

// pair says which old part goes where: a control that keeps name and part keeps its own; the rest are given out so that the parts are
// moved as little as possible all in all.
func (w *worker) pair() {
	w.olds, w.news = all(w.old.Result.Panel), all(w.new.Result.Panel)
	w.was, w.becomes = map[*panel.Control]*panel.Control{}, map[*panel.Control]*panel.Control{}
	join := func(o, n held) { w.was[n.c], w.becomes[o.c] = o.c, n.c }
	byName := map[string]held{}
	for _, o := range w.olds {
		byName[o.c.Name] = o
	}
	for _, n := range w.news {
		if o, ok := byName[n.c.Name]; ok && alike(o.c, n.c) {
			join(o, n)
		}
	}
	var os, ns []held
	for _, o := range w.olds {
		if w.becomes[o.c] == nil {
			os = append(os, o)
		}
	}
	for _, n := range w.news {
		if w.was[n.c] == nil {
			ns = append(ns, n)
		}
	}
	if len(os) == 0 || len(ns) == 0 {
		return
	}
	cost := make([][]float64, len(ns))
	for i, n := range ns {
		cost[i] = make([]float64, len(os))
		for j, o := range os {
			cost[i][j] = math.Inf(1)
			if alike(o.c, n.c) {
				cost[i][j] = o.c.At.Sub(n.c.At.Vec2).Len()
				if o.on != n.on {
					cost[i][j] += 1000
				}
				if o.c.Legend.Text != n.c.Legend.Text {
					cost[i][j] += 5 // of two that are near, the one with the same lettering
				}
			}
		}
	}
	a, err := assign.Solve(cost)
	if err != nil {
		return
	}
	for i, j := range a.Column {
		if j != assign.None {
			join(os[j], ns[i])
		}
	}
}
