package geom

import (
	"cmp"
	"iter"
	"slices"
)

// Pairs is a broad phase: it yields the index pairs i < j whose boxes come within margin of each other on both axes, i
// ascending and j ascending within i, each once. Boxes are sorted into a tree of boxes by their middles, alternately along x and y, so that
// spread-out input costs n·log n whichever way it is spread; when every box meets every other there are that many pairs
// to tell. Boxes that hold nothing (EmptyBox2) or no numbers meet nobody.
func Pairs(boxes []Box2, margin float64) iter.Seq2[int, int] {
	return func(yield func(int, int) bool) {
		t := newBoxTree(boxes)
		var hits []int
		for i, b := range boxes {
			if !sound(b) {
				continue
			}
			hits = t.find(0, len(t.order), b.Grow(margin), i, hits[:0])
			slices.Sort(hits)
			for _, j := range hits {
				if !yield(i, j) {
					return
				}
			}
		}
	}
}

func sound(b Box2) bool { return b.Min.X <= b.Max.X && b.Min.Y <= b.Max.Y }

// boxTree is a balanced tree laid out in an array: a run of order is a node, split in its middle. Node data sits at the
// middle's index, so that no pointers are needed.
type boxTree struct {
	boxes []Box2
	order []int
	bound []Box2 // round the run whose middle this is
	last  []int  // greatest index in that run
	looks *int   // counts boxes looked at, for tests; nil = do not count
}

const leafSize = 6

func newBoxTree(boxes []Box2) *boxTree {
	t := &boxTree{boxes: boxes, order: make([]int, 0, len(boxes))}
	for i, b := range boxes {
		if sound(b) {
			t.order = append(t.order, i)
		}
	}
	t.bound = make([]Box2, len(t.order))
	t.last = make([]int, len(t.order))
	t.build(0, len(t.order))
	return t
}

func (t *boxTree) build(lo, hi int) {
	if lo >= hi {
		return
	}
	b, last := EmptyBox2(), -1
	mids := EmptyBox2()
	for _, i := range t.order[lo:hi] {
		b, last = b.Union(t.boxes[i]), max(last, i)
		mids = mids.Extend(t.boxes[i].Centre())
	}
	mid := (lo + hi) / 2
	t.bound[mid], t.last[mid] = b, last
	if hi-lo <= leafSize {
		return
	}
	key := func(i int) float64 { return t.boxes[i].Centre().X }
	if s := mids.Size(); s.Y > s.X {
		key = func(i int) float64 { return t.boxes[i].Centre().Y }
	}
	slices.SortFunc(t.order[lo:hi], func(i, j int) int {
		return cmp.Or(cmp.Compare(key(i), key(j)), cmp.Compare(i, j))
	})
	t.build(lo, mid)
	t.build(mid, hi)
}

// find gathers the boxes after index i that overlap b.
func (t *boxTree) find(lo, hi int, b Box2, i int, hits []int) []int {
	if lo >= hi {
		return hits
	}
	if t.looks != nil {
		*t.looks++
	}
	mid := (lo + hi) / 2
	// a run of two halves shares no middle with either: [lo,mid) has its own below, [mid,hi) above
	if t.last[mid] <= i || !t.bound[mid].Overlaps(b) {
		return hits
	}
	if hi-lo <= leafSize {
		for _, j := range t.order[lo:hi] {
			if t.looks != nil {
				*t.looks++
			}
			if j > i && t.boxes[j].Overlaps(b) {
				hits = append(hits, j)
			}
		}
		return hits
	}
	return t.find(mid, hi, b, i, t.find(lo, mid, b, i, hits))
}
