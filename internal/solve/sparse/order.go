package sparse

import (
	"cmp"
	"slices"
)

// Point is where a block lies in the plane; only differences matter.
type Point struct{ X, Y float64 }

// Tree is an order of elimination: parts of blocks that go together, children before parents. Blocks of two parts touch
// only when one part is an ancestor of the other.
type Tree struct {
	parts  [][]int32
	parent []int32 // -1 for a root
}

// Parts gives the number of parts.
func (t *Tree) Parts() int { return len(t.parts) }

// Part gives the blocks of part i and the number of its parent, or -1.
func (t *Tree) Part(i int) (blocks []int32, parent int) { return t.parts[i], int(t.parent[i]) }

// leafUnknowns is how many unknowns a part may have that is cut no further: below it, cutting costs more than it saves.
const leafUnknowns = 32

type dissector struct {
	p        *Pattern
	ptr, adj []int32
	at       []Point // nil: by the graph alone
	leaf     int
	side     []int32 // stamp of the set a block belongs to at present
	stamp    int32
	level    []int32
	tree     Tree
}

// Dissect orders the blocks by cutting the cloud of their points in two, again and again, along the axis in which it is
// wider; the blocks beside a cut on its shorter side go last. Parts of at most leaf unknowns are left whole (0: a usual
// number). at holds one point for each block.
func Dissect(p *Pattern, at []Point, leaf int) (*Tree, error) {
	if len(at) != p.Blocks() {
		return nil, ErrShape
	}
	return dissect(p, at, leaf), nil
}

// DissectGraph orders the blocks by their neighbourhood alone: it cuts between two levels of the distance from a block
// that lies as far out as possible, mends the cut, and takes the fewest blocks that cover it.
func DissectGraph(p *Pattern, leaf int) *Tree { return dissect(p, nil, leaf) }

func dissect(p *Pattern, at []Point, leaf int) *Tree {
	if leaf <= 0 {
		leaf = leafUnknowns
	}
	d := &dissector{p: p, at: at, leaf: leaf, side: make([]int32, p.Blocks()), level: make([]int32, p.Blocks())}
	d.ptr, d.adj = p.neighbours()
	all := make([]int32, p.Blocks())
	for i := range all {
		all[i] = int32(i)
	}
	if len(all) > 0 {
		d.split(all)
	}
	return &d.tree
}

func (d *dissector) add(blocks, children []int32) int32 {
	id := int32(len(d.tree.parts))
	d.tree.parts = append(d.tree.parts, blocks)
	d.tree.parent = append(d.tree.parent, -1)
	for _, c := range children {
		d.tree.parent[c] = id
	}
	return id
}

// split orders the blocks of set, which it may shuffle, and gives the topmost parts it made.
func (d *dissector) split(set []int32) []int32 {
	unknowns := 0
	for _, b := range set {
		unknowns += d.p.Size(int(b))
	}
	if unknowns <= d.leaf || len(set) == 1 {
		return []int32{d.add(slices.Clone(set), nil)}
	}
	var left, right []int32
	ok := false
	if d.at != nil {
		left, right, ok = d.halve(set)
	}
	if !ok {
		if pieces := d.pieces(set); len(pieces) > 1 {
			var tops []int32
			for _, s := range pieces {
				tops = append(tops, d.split(s)...)
			}
			return tops
		}
		left, right = d.levels(set)
	}
	if len(left) == 0 || len(right) == 0 {
		return []int32{d.add(slices.Clone(set), nil)} // all touch all
	}
	sep, left, right := d.separate(left, right)
	var children []int32
	if len(left) > 0 {
		children = d.split(left)
	}
	if len(right) > 0 {
		children = append(children, d.split(right)...)
	}
	if len(sep) == 0 {
		return children
	}
	return []int32{d.add(sep, children)}
}

// halve cuts the set by coordinate, at a step between two coordinates near the median, along the wider axis.
func (d *dissector) halve(set []int32) (left, right []int32, ok bool) {
	lo, hi := d.at[set[0]], d.at[set[0]]
	for _, b := range set {
		q := d.at[b]
		lo.X, hi.X = min(lo.X, q.X), max(hi.X, q.X)
		lo.Y, hi.Y = min(lo.Y, q.Y), max(hi.Y, q.Y)
	}
	along := func(b int32) float64 { return d.at[b].X }
	if hi.Y-lo.Y > hi.X-lo.X {
		along = func(b int32) float64 { return d.at[b].Y }
	}
	slices.SortFunc(set, func(a, b int32) int { return cmp.Or(cmp.Compare(along(a), along(b)), cmp.Compare(a, b)) })
	n := len(set)
	for k := range n / 2 { // nearest step to the middle
		for _, c := range [2]int{n/2 - k, n/2 + k} {
			if c > 0 && c < n && along(set[c]) > along(set[c-1]) {
				return set[:c], set[c:], true
			}
		}
	}
	return nil, nil, false
}

// pieces splits the set into parts that do not touch each other.
func (d *dissector) pieces(set []int32) [][]int32 {
	d.stamp++
	in := d.stamp
	for _, b := range set {
		d.side[b] = in
	}
	d.stamp++
	var pieces [][]int32
	for _, b := range set {
		if d.side[b] != in {
			continue
		}
		d.side[b] = d.stamp
		piece := []int32{b}
		for i := 0; i < len(piece); i++ {
			for _, c := range d.adj[d.ptr[piece[i]]:d.ptr[piece[i]+1]] {
				if d.side[c] == in {
					d.side[c] = d.stamp
					piece = append(piece, c)
				}
			}
		}
		pieces = append(pieces, piece)
	}
	return pieces
}
