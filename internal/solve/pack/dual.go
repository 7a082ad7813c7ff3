package pack

import "slices"

// weighing gives every item the weight of its width and of its height along one side of a sheet, as shares of whole.
// Lengths that fit beside each other along that side never weigh more than whole together ("dual feasible function").
type weighing struct {
	width, height []int
	whole         int
}

// dualBound is a bound on the number of equal sheets of w by h, for cutting of any kind: with weights for widths and
// for heights, the products weigh at most 1 on a sheet. A piece that may be turned counts with the lower of its two
// products. The functions are those of Fekete & Schepers (2001) and Carlier, Clautiaux & Moukrim (2007), which
// contain the area bound and those of Martello & Vigo (1998).
//
// It returns the weights of the items too, under which no sheet holds more than 1.
func dualBound(items []item, w, h int) (sheets int, weight []float64) {
	weight = make([]float64, len(items))
	best := -1.0
	for _, f := range weighings(items, w) {
		for _, g := range weighings(items, h) {
			sum, full := 0, f.whole*g.whole
			for i, it := range items {
				if it.count > 0 {
					sum += it.count * lighter(it, i, f, g, w, h)
				}
			}
			if v := float64(sum) / float64(full); v > best {
				best, sheets = v, (sum+full-1)/full
				for i, it := range items {
					weight[i] = float64(lighter(it, i, f, g, w, h)) / float64(full)
				}
			}
		}
	}
	return sheets, weight
}

// lighter is the product of the weights of an item, as it lies or turned, whichever is less of those that fit.
func lighter(it item, i int, f, g weighing, w, h int) int {
	p := f.width[i] * g.height[i]
	if !it.turn || it.h > w || it.w > h {
		return p
	}
	q := f.height[i] * g.width[i]
	if it.w > w || it.h > h {
		return q
	}
	return min(p, q)
}

// weighings makes the functions that the sides of the items suggest.
func weighings(items []item, size int) []weighing {
	var list []weighing
	add := func(whole int, at func(s int) int) {
		f := weighing{make([]int, len(items)), make([]int, len(items)), whole}
		for i, it := range items {
			if it.w <= size {
				f.width[i] = at(it.w)
			}
			if it.h <= size {
				f.height[i] = at(it.h)
			}
		}
		if !slices.ContainsFunc(list, func(g weighing) bool {
			return g.whole == whole && slices.Equal(f.width, g.width) && slices.Equal(f.height, g.height)
		}) {
			list = append(list, f)
		}
	}
	add(size, func(s int) int { return s })
	for k := 1; k <= 8; k++ { // steps of 1/k
		add(k, func(s int) int { return ((k+1)*s+size-1)/size - 1 })
	}
	for _, k := range thresholds(items, size) {
		// What is shorter than k counts nothing, and so what leaves less than k counts as the whole.
		add(size, func(s int) int {
			switch {
			case s < k:
				return 0
			case s > size-k:
				return size
			}
			return s
		})
		// Steps of k; a length above half counts what it leaves away, so that both ends profit.
		if n := size / k; k >= 2 {
			add(2*n, func(s int) int {
				switch {
				case 2*s > size:
					return 2 * (n - (size-s)/k)
				case 2*s == size:
					return n
				}
				return 2 * (s / k)
			})
		}
	}
	return list
}

// thresholds are lengths up to half of the size at which weights may usefully change: sides, and what they leave.
func thresholds(items []item, size int) []int {
	var list []int
	for _, it := range items {
		if it.count <= 0 {
			continue
		}
		for _, s := range []int{it.w, it.h} {
			for _, k := range []int{s, size - s, size - s + 1} {
				if k >= 1 && 2*k <= size {
					list = append(list, k)
				}
			}
		}
	}
	slices.Sort(list)
	list = slices.Compact(list)
	for len(list) > mostThresholds {
		half := list[:0]
		for i := 0; i < len(list); i += 2 {
			half = append(half, list[i])
		}
		list = half
	}
	return list
}

const mostThresholds = 60
