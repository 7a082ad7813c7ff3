package costing

import (
	"math"
	"math/bits"
)

// shops prices the list in every shop, and finds how to share it out.
func (r *Result) shops(s Stock) {
	for _, in := range s.Shops {
		shop := Shop{Name: in.Name, Shipping: in.Shipping, Each: make([]float64, len(r.Lines)), Sums: make([]float64, len(r.Lines))}
		some := false
		for i, l := range r.Lines {
			p := in.Price[priceName(l)]
			if p <= 0 {
				if l.Packs > 0 {
					shop.Lacks++
				}
				continue
			}
			pack := in.Pack[priceName(l)]
			if l.Section == Sheets {
				p, pack = p*areaOf(l.Size), 1
			}
			shop.Each[i] = round(p*pack, 100)
			shop.Sums[i] = round(shop.Each[i]*math.Ceil(l.Buy/pack-1e-9), 100)
			shop.Total += shop.Sums[i]
			some = some || shop.Sums[i] > 0
		}
		if some {
			shop.Total += shop.Shipping
		}
		r.Shops = append(r.Shops, shop)
	}
	if len(r.Shops) > 0 {
		r.Split = split(r.Lines, r.Shops)
	}
}

// mostShops is up to how many shops every choice of shops is looked at.
const mostShops = 12

// split shares the list out so that as much as can be is bought, and that for the least, shipping counted: every set of shops is looked at,
// each line goes to the cheapest of the set. Beyond mostShops only the first of them are looked at, and Exact is false.
func split(lines []Line, shops []Shop) *Split {
	n := min(len(shops), mostShops)
	best := &Split{Total: math.Inf(1), Lacks: math.MaxInt, Exact: n == len(shops)}
	for set := range uint(1) << n {
		s := Split{Shop: make([]int, len(lines)), Exact: best.Exact}
		used := uint(0)
		for i, l := range lines {
			s.Shop[i] = -1
			if l.Packs == 0 {
				continue
			}
			for k := range n {
				if set>>k&1 == 1 && shops[k].Sums[i] > 0 && (s.Shop[i] < 0 || shops[k].Sums[i] < shops[s.Shop[i]].Sums[i]) {
					s.Shop[i] = k
				}
			}
			if s.Shop[i] < 0 {
				s.Lacks++
				continue
			}
			s.Total += shops[s.Shop[i]].Sums[i]
			used |= 1 << s.Shop[i]
		}
		if bits.OnesCount(used) < bits.OnesCount(set) {
			continue // the smaller set says the same
		}
		for k := range n {
			if used>>k&1 == 1 {
				s.Total += shops[k].Shipping
			}
		}
		s.Total = round(s.Total, 100)
		if s.Lacks < best.Lacks || s.Lacks == best.Lacks && s.Total < best.Total-1e-9 {
			*best = s
		}
	}
	return best
}
