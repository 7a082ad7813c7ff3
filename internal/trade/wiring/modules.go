package wiring

import (
	"cmp"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// otherModules works out which other modules of the catalogue would give every lead a pin of its own, cheapest first.
func (w *worker) otherModules() []Option {
	var out []Option
	for _, m := range w.modules {
		if w.module >= 0 && w.r.Boards[w.module].Part.ID == m.ID {
			continue
		}
		v := w.with(m)
		t := v.count()
		if s := (shape{ladders: v.forced()}); !v.fits(&t, &s) {
			continue
		}
		x := weighed{by: Direct, w: v.try(shape{ladders: v.forced()})}
		o := v.option(&x)
		if !o.Fits {
			continue
		}
		o.Title, o.Module, o.Why = "a pin each on another module: "+m.Title, m.ID, "it has pins enough"
		o.Parts++
		o.Money[0], o.Money[1] = cents(o.Money[0]+m.Price.From), cents(o.Money[1]+m.Price.To)
		out = append(out, o)
	}
	slices.SortStableFunc(out, func(a, b Option) int {
		return cmp.Or(cmp.Compare(a.Money[0]+a.Money[1], b.Money[0]+b.Money[1]), cmp.Compare(a.Module, b.Module))
	})
	return out
}

// with gives a worker for the same panel with another module in the place of its own. Pins that the person settled are those of the
// other board, so they are left out.
func (w *worker) with(m catalog.Part) *worker {
	p := *w.p
	mod := panel.Module{Name: "module"}
	if p.Module != nil {
		mod = *p.Module
	}
	mod.Part = m
	p.Module = &mod
	p.Wiring.Pins, p.Wiring.Free, p.Wiring.By = yamlfile.Ordered[project.PinRef]{}, nil, "auto"
	v := newWorker(&p, w.cat)
	v.boards()
	v.devices()
	v.asked()
	v.settle(nil, false)
	v.kit, v.modules, v.diode, v.resistor = w.kit, w.modules, w.diode, w.resistor
	v.way = "auto"
	v.ways()
	return v
}

// largest gives the module of the catalogue with most pins; nil without.
func (w *worker) largest() *catalog.Part {
	var best *catalog.Part
	most := 0
	for i := range w.modules {
		if _, n := linesOf(w.modules[i]); n > most {
			best, most = &w.modules[i], n
		}
	}
	return best
}
