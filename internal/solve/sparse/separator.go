package sparse

import "slices"

// walk lists the set (stamped with in) in order of distance from a block, and notes the distances.
func (d *dissector) walk(from, in int32) []int32 {
	d.stamp++
	seen := d.stamp
	d.side[from], d.level[from] = seen, 0
	list := []int32{from}
	for i := 0; i < len(list); i++ {
		b := list[i]
		for _, c := range d.adj[d.ptr[b]:d.ptr[b+1]] {
			if d.side[c] == in {
				d.side[c], d.level[c] = seen, d.level[b]+1
				list = append(list, c)
			}
		}
	}
	return list
}

// levels cuts a connected set between two distances from one of its outermost blocks, then lets single blocks change
// sides as long as fewer links are cut.
func (d *dissector) levels(set []int32) (left, right []int32) {
	mark := func() int32 {
		d.stamp++
		for _, b := range set {
			d.side[b] = d.stamp
		}
		return d.stamp
	}
	list := d.walk(set[0], mark())
	for far := int32(-1); ; { // walk to the far end until it gets no farther
		end := list[len(list)-1]
		if d.level[end] <= far {
			break
		}
		far = d.level[end]
		for i := len(list) - 1; i >= 0 && d.level[list[i]] == far; i-- { // of the farthest, the one with the fewest neighbours
			if d.ptr[list[i]+1]-d.ptr[list[i]] < d.ptr[end+1]-d.ptr[end] {
				end = list[i]
			}
		}
		list = d.walk(end, mark())
	}
	total := 0
	for _, b := range list {
		total += d.p.Size(int(b))
	}
	cut, sum := 0, 0
	for cut < len(list)-1 && sum < total/2 {
		sum += d.p.Size(int(list[cut]))
		cut++
	}
	left, right = slices.Clone(list[:cut]), slices.Clone(list[cut:])
	return d.mend(left, right)
}

// mend moves blocks across a cut while that lowers the number of links across it and keeps the sides within 60:40.
func (d *dissector) mend(left, right []int32) ([]int32, []int32) {
	d.stamp += 2
	l, r := d.stamp-1, d.stamp
	for _, b := range left {
		d.side[b] = l
	}
	for _, b := range right {
		d.side[b] = r
	}
	nl, nr := len(left), len(right)
	least := (nl + nr) * 2 / 5
	for range 6 {
		moved := false
		for _, b := range slices.Concat(left, right) {
			from, to, n := l, r, nl
			if d.side[b] == r {
				from, to, n = r, l, nr
			}
			if n <= least {
				continue
			}
			gain := 0
			for _, c := range d.adj[d.ptr[b]:d.ptr[b+1]] {
				switch d.side[c] {
				case from:
					gain--
				case to:
					gain++
				}
			}
			if gain > 0 {
				d.side[b] = to
				moved = true
				if from == l {
					nl, nr = nl-1, nr+1
				} else {
					nl, nr = nl+1, nr-1
				}
			}
		}
		if !moved {
			break
		}
	}
	var a, c []int32
	for _, b := range slices.Concat(left, right) {
		if d.side[b] == l {
			a = append(a, b)
		} else {
			c = append(c, b)
		}
	}
	return a, c
}

// separate takes out of the two sides the blocks that part them. By coordinates it is the smaller of the two fringes; by the
// graph it is a smallest set that covers every link across the cut (König: as many blocks as the largest matching).
func (d *dissector) separate(left, right []int32) (sep, l, r []int32) {
	d.stamp += 2
	sl, sr := d.stamp-1, d.stamp
	for _, b := range left {
		d.side[b] = sl
	}
	for _, b := range right {
		d.side[b] = sr
	}
	fringe := func(set []int32, other int32) (edge []int32, size int) {
		for _, b := range set {
			for _, c := range d.adj[d.ptr[b]:d.ptr[b+1]] {
				if d.side[c] == other {
					edge, size = append(edge, b), size+d.p.Size(int(b))
					break
				}
			}
		}
		return
	}
	fl, nl := fringe(left, sr)
	fr, nr := fringe(right, sl)
	switch {
	case d.at == nil:
		sep = d.cover(fl, fr, sr)
	case nl <= nr:
		sep = fl
	default:
		sep = fr
	}
	d.stamp++
	for _, b := range sep {
		d.side[b] = d.stamp
	}
	keep := func(set []int32, s int32) (out []int32) {
		for _, b := range set {
			if d.side[b] == s {
				out = append(out, b)
			}
		}
		return
	}
	return sep, keep(left, sl), keep(right, sr)
}

// cover gives a smallest set of blocks that touches every link between the fringes of the left and the right side, the
// blocks of the right side being stamped sr.
func (d *dissector) cover(fl, fr []int32, sr int32) []int32 {
	mate := make(map[int32]int32, len(fl)+len(fr))
	seen := make(map[int32]bool, len(fr))
	var try func(b int32) bool
	try = func(b int32) bool {
		for _, c := range d.adj[d.ptr[b]:d.ptr[b+1]] {
			if d.side[c] != sr || seen[c] {
				continue
			}
			seen[c] = true
			if m, ok := mate[c]; !ok || try(m) {
				mate[c], mate[b] = b, c
				return true
			}
		}
		return false
	}
	for _, b := range fl {
		clear(seen)
		try(b)
	}
	// what alternating paths from the unmatched left blocks reach: the cover is the left not reached and the right reached
	clear(seen)
	reached := make(map[int32]bool, len(fl))
	var queue []int32
	for _, b := range fl {
		if _, ok := mate[b]; !ok {
			reached[b] = true
			queue = append(queue, b)
		}
	}
	for i := 0; i < len(queue); i++ {
		b := queue[i]
		for _, c := range d.adj[d.ptr[b]:d.ptr[b+1]] {
			if d.side[c] == sr && !seen[c] {
				seen[c] = true
				if m, ok := mate[c]; ok && !reached[m] {
					reached[m] = true
					queue = append(queue, m)
				}
			}
		}
	}
	var sep []int32
	for _, b := range fl {
		if !reached[b] {
			sep = append(sep, b)
		}
	}
	for _, c := range fr {
		if seen[c] {
			sep = append(sep, c)
		}
	}
	return sep
}
