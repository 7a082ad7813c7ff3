package pack

import (
	"math/bits"
	"slices"
)

// axis holds the sizes that panels need to have in one direction: sums of sides of pieces ("normal patterns",
// Christofides & Whitlock 1977). A panel of any other size is worth no more than the next smaller one.
type axis struct {
	size  int   // of the sheet
	pts   []int // rising, from 0
	shift uint
	start []int32 // start[s>>shift] is an index to begin the search for s at
	subs  [][]int32
	sums  [][]int32
}

// side is a length that may be added up to count times.
type side struct{ size, count int }

// sides gathers the lengths of items in one direction, equal ones as one.
func sides(items []item, size int, across func(item) (int, int)) []side {
	var list []side
	add := func(s, count int) {
		if s <= 0 || s > size || count == 0 {
			return
		}
		if count == Unlimited || count > size/s {
			count = size / s
		}
		for i := range list {
			if list[i].size == s {
				list[i].count = min(list[i].count+count, size/s)
				return
			}
		}
		list = append(list, side{s, count})
	}
	for _, it := range items {
		a, b := across(it)
		add(a, it.count)
		if it.turn {
			add(b, it.count)
		}
	}
	return list
}

func axes(items []item, w, h int, limit int) (x, y *axis) {
	x = newAxis(sides(items, w, func(it item) (int, int) { return it.w, it.h }), w, limit)
	y = newAxis(sides(items, h, func(it item) (int, int) { return it.h, it.w }), h, limit)
	return x, y
}

// newAxis returns nil if there would be more than limit points.
func newAxis(list []side, size, limit int) *axis {
	sums := map[int]int{0: 0} // sum -> how many of the present side it needs at least
	all := []int{0}
	for _, s := range list {
		for k := range sums {
			sums[k] = 0
		}
		for i := 0; i < len(all); i++ {
			at, used := all[i]+s.size, sums[all[i]]+1
			if at > size || used > s.count {
				continue
			}
			if _, seen := sums[at]; !seen {
				sums[at] = used
				if all = append(all, at); len(all) > limit {
					return nil
				}
			}
		}
	}
	slices.Sort(all)
	return indexed(all, size)
}

// indexed prepares the search for points.
func indexed(pts []int, size int) *axis {
	a := &axis{size: size, pts: pts}
	a.shift = uint(max(0, bits.Len(uint(size))-13))
	a.start = make([]int32, size>>a.shift+1)
	k := int32(0)
	for i := range a.start {
		for int(k)+1 < len(pts) && pts[k+1] <= i<<a.shift {
			k++
		}
		a.start[i] = k
	}
	return a
}

// floor is the index of the largest point not above s, which must be 0 to the size.
func (a *axis) floor(s int) int {
	k := int(a.start[s>>a.shift])
	for k+1 < len(a.pts) && a.pts[k+1] <= s {
		k++
	}
	return k
}

// ceil is the index of the smallest point not below s, or the number of points.
func (a *axis) ceil(s int) int {
	if s > a.size {
		return len(a.pts)
	}
	k := a.floor(s)
	if a.pts[k] < s {
		k++
	}
	return k
}

// less tabulates floor(pts[i] - pts[b]) for pts[b] at most half of pts[i].
func (a *axis) less() [][]int32 {
	if a.subs == nil {
		a.subs = make([][]int32, len(a.pts))
		for i, p := range a.pts {
			k := i
			for b := 0; b <= i && 2*a.pts[b] <= p; b++ {
				for a.pts[k] > p-a.pts[b] {
					k--
				}
				a.subs[i] = append(a.subs[i], int32(k))
			}
		}
	}
	return a.subs
}

// plus tabulates floor(pts[i] + pts[b]) as far as that is within the size.
func (a *axis) plus() [][]int32 {
	if a.sums == nil {
		a.sums = make([][]int32, len(a.pts))
		for i, p := range a.pts {
			k := i
			for b := 0; b < len(a.pts) && p+a.pts[b] <= a.size; b++ {
				for k+1 < len(a.pts) && a.pts[k+1] <= p+a.pts[b] {
					k++
				}
				a.sums[i] = append(a.sums[i], int32(k))
			}
		}
	}
	return a.sums
}

// needed drops the points that the recursion from the whole sheet never asks for: those that are not what is left
// of the sheet when parts of at most half a panel are cut off again and again. (The idea of the reduced
// raster points of Terno, Lindemann & Scheithauer 1987, carried out by trying.)
func (a *axis) needed() *axis {
	keep := make([]bool, len(a.pts))
	keep[len(a.pts)-1] = true
	for i := len(a.pts) - 1; i >= 0; i-- {
		if !keep[i] {
			continue
		}
		k := i
		for b := 0; b <= i && 2*a.pts[b] <= a.pts[i]; b++ {
			for a.pts[k] > a.pts[i]-a.pts[b] {
				k--
			}
			keep[b], keep[k] = true, true
		}
	}
	var pts []int
	for i, p := range a.pts {
		if keep[i] {
			pts = append(pts, p)
		}
	}
	return indexed(pts, a.size)
}
