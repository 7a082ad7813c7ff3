package drilling

import (
	"math"
	"slices"
	"sync"

	"knobwright/internal/catalog"
)

// nearestOwned is the bit nearest to a size among those that may make such a hole in this sheet.
func (w *work) nearestOwned(aim float64, blind bool) (best catalog.Bit, found bool) {
	for _, k := range w.order(aim) {
		b, ok := w.bits.nearest(k, smallest, largest, aim)
		if fits, _ := w.stepFits(b); !ok || k == catalog.Step && !fits || blind && !blindKind(k) {
			continue
		}
		if !found || math.Abs(b.Diameter-aim) < math.Abs(best.Diameter-aim)-near {
			best, found = b, true
		}
	}
	return best, found
}

// tooThick says so when a step drill has the size but its steps are too low for this sheet.
func (w *work) tooThick(lo, hi, aim float64) string {
	b, ok := w.bits.nearest(catalog.Step, lo, hi, aim)
	if !ok {
		return ""
	}
	if fits, _ := w.stepFits(b); fits {
		return ""
	}
	return "Your step drill has that size, but the sheet is " + w.words.long(w.thick) + " and its steps are " + w.words.long(w.stepHeight(b)) + " high. "
}

// buy names the bit to buy for a window of sizes, of the kind that this sheet likes best among those that are sold in such a
// size; ok is false when none is.
func (w *work) buy(lo, hi, aim float64) (name string, ok bool) {
	name, _, ok = w.buySize(lo, hi, aim)
	return name, ok
}

// buyUnder names the bit to buy that stays below a window and leaves no more to file than is sensible.
func (w *work) buyUnder(lo, aim float64) (name string, left float64, ok bool) {
	most := w.lim(limFileMost, 0, 20)
	name, d, ok := w.buySize(aim-2*most, lo, lo)
	return name, (aim - d) / 2, ok && most > 0
}

func (w *work) buySize(lo, hi, aim float64) (name string, size float64, ok bool) {
	for _, k := range w.order(aim) {
		if k == catalog.Step && w.thick > w.lim(limStepHeight, 0.1, 50) {
			continue
		}
		if d, ok := sold(k, lo, hi, aim, w.words.inch); ok {
			b := catalog.Bit{Kind: k, Diameter: d}
			if w.words.inch {
				b.Name = w.words.size(d)
			}
			if k == catalog.Step {
				return "step drill with a " + marked(b) + " step", d, true
			}
			return called(b), d, true
		}
	}
	return w.special(lo, hi, aim)
}

// catalogueBits are the bits of all sets of the catalogue, set by set.
var catalogueBits = sync.OnceValue(func() []catalog.Bit {
	var all []catalog.Bit
	cat := catalog.Builtin()
	for _, id := range cat.BitSetIDs() {
		if set, ok := cat.BitSet(id); ok {
			all = append(all, set.Bits()...)
		}
	}
	return all
})

// special looks for a size among the sets of the catalogue: some bits are sold for one purpose, in sizes that no shop has
// otherwise, such as hole saws for control holes.
func (w *work) special(lo, hi, aim float64) (name string, size float64, ok bool) {
	kinds := w.order(aim)
	low := w.thick > w.lim(limStepHeight, 0.1, 50)
	for _, b := range catalogueBits() {
		if b.Diameter < lo-near || b.Diameter > hi+near || ok && math.Abs(b.Diameter-aim) >= math.Abs(size-aim)-near {
			continue
		}
		if b.Kind == catalog.Step && low || !slices.Contains(kinds, b.Kind) {
			continue
		}
		if name, size, ok = called(b), b.Diameter, true; b.Kind == catalog.Step {
			name = "step drill with a " + marked(b) + " step"
		}
	}
	return name, size, ok
}

// grid is the step of sizes in which a kind of bit is sold, up to a size.
type grid struct{ to, by float64 }

// Common practice of the trade: what a well-kept tool shop has.
var (
	soldMM = map[catalog.BitKind][]grid{
		catalog.Twist: {{13, 0.1}, {20, 0.5}}, catalog.BradPoint: {{12, 1}}, catalog.Step: {{12, 1}, {38, 2}}, catalog.HoleSaw: {{16, 1}, {105, 0.5}},
		catalog.Forstner: {{60, 1}}, catalog.Spade: {{40, 1}},
	}
	soldInch = map[catalog.BitKind][]grid{
		catalog.Twist: {{12.7, 25.4 / 64}, {25.4, 25.4 / 32}}, catalog.BradPoint: {{12.7, 25.4 / 16}}, catalog.Step: {{35, 25.4 / 16}},
		catalog.HoleSaw: {{105, 25.4 / 16}}, catalog.Forstner: {{60, 25.4 / 8}}, catalog.Spade: {{40, 25.4 / 16}},
	}
)

// sold is the size inside lo..hi nearest to aim in which a kind of bit is sold.
func sold(k catalog.BitKind, lo, hi, aim float64, inch bool) (best float64, ok bool) {
	grids := soldMM[k]
	if inch {
		grids = soldInch[k]
	}
	from := 0.9
	if k == catalog.HoleSaw || k == catalog.Forstner {
		from = 12
	}
	for _, g := range grids {
		for _, n := range [...]float64{math.Round(aim / g.by), math.Ceil(lo/g.by - 1e-9), math.Floor(hi/g.by + 1e-9)} {
			v := n * g.by
			if v < lo-near || v > hi+near || v > g.to+near || v < from {
				continue
			}
			if !ok || math.Abs(v-aim) < math.Abs(best-aim)-near {
				best, ok = v, true
			}
		}
		from = g.to
	}
	return best, ok
}

func (w *work) buyPilot() string {
	d := w.lim(limPilot, 0.5, 10)
	b := catalog.Bit{Kind: catalog.Twist, Diameter: d}
	if v, ok := sold(catalog.Twist, d-0.3, d+0.3, d, w.words.inch); ok {
		b.Diameter = v
	}
	if w.words.inch {
		b.Name = w.words.size(b.Diameter)
	}
	return called(b)
}
