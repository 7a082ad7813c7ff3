package pack

// plank is one sheet cut into panels, as the search handles it: nodes in one slice, parents before children. Lines of
// panels alternate between side by side and stacked; each keeps all its waste in one panel. Planks are copied, not
// changed, when pieces are taken out; pieces are put in where they are.
type plank struct {
	kind   int // of sheet
	nodes  []slab
	placed int // area of its pieces, kerf included

	lumps   float64 // sum of squares of the areas of waste
	largest float64 // area of the largest waste
	wastes  int     // panels of waste
}

// slab is a panel of a plank.
type slab struct {
	w, h        int
	what        int32 // index of the single piece, or waste, or line
	child, next int32 // first panel of a line; next panel of the same line; or None
	holder      int32 // the line that holds it, or None
	stack       bool  // the line is stacked
	turned      bool
}

const (
	waste  = -1
	line   = -2
	unused = -3 // a place in the slice that belongs to no panel
)

func newSlab(w, h int, what int32) slab {
	return slab{w: w, h: h, what: what, child: None, next: None, holder: None}
}

func emptyPlank(kind, w, h int) *plank {
	return &plank{kind: kind, nodes: []slab{newSlab(w, h, waste)}}
}

// without copies a plank, leaving out the pieces that are gone.
func (p *plank) without(gone []bool, pieces []loose) *plank {
	q := &plank{kind: p.kind, nodes: make([]slab, 0, len(p.nodes)+8)}
	q.copy(p, 0, gone)
	for i := range q.nodes {
		if k := q.nodes[i].what; k >= 0 {
			q.placed += pieces[k].w * pieces[k].h
		}
	}
	return q
}

// copy appends a copy of a panel and all in it, and returns its index. What has become waste is joined: a line of
// nothing but waste is waste, a line of one panel is that panel, a line in a line of the same direction is part of it.
func (q *plank) copy(p *plank, at int32, gone []bool) int32 {
	n := p.nodes[at]
	n.next, n.holder = None, None
	me := int32(len(q.nodes))
	if n.what != line {
		if n.what >= 0 && gone != nil && gone[n.what] {
			n.what = waste
		}
		q.nodes = append(q.nodes, n)
		return me
	}
	child := n.child
	n.child = None
	q.nodes = append(q.nodes, n)
	last, spare, count := int32(None), 0, 0
	link := func(c int32) {
		if last == None {
			q.nodes[me].child = c
		} else {
			q.nodes[last].next = c
		}
		q.nodes[c].next, q.nodes[c].holder = None, me
		last = c
		count++
	}
	for ; child != None; child = p.nodes[child].next {
		mark := len(q.nodes)
		c := q.copy(p, child, gone)
		switch s := &q.nodes[c]; {
		case s.what == waste:
			spare += along(s, n.stack)
			q.nodes = q.nodes[:mark]
		case s.what == line && s.stack == n.stack:
			s.what = unused
			for g := s.child; g != None; {
				next := q.nodes[g].next
				if q.nodes[g].what == waste {
					spare += along(&q.nodes[g], n.stack)
					q.nodes[g].what = unused
				} else {
					link(g)
				}
				g = next
			}
		default:
			link(c)
		}
	}
	if count == 0 {
		q.nodes = q.nodes[:me+1]
		q.nodes[me] = newSlab(n.w, n.h, waste)
		return me
	}
	if spare > 0 {
		s := newSlab(spare, n.h, waste)
		if n.stack {
			s.w, s.h = n.w, spare
		}
		q.nodes = append(q.nodes, s)
		link(int32(len(q.nodes) - 1))
	}
	if count == 1 {
		only := q.nodes[me].child
		q.nodes[me] = q.nodes[only]
		q.nodes[me].next, q.nodes[me].holder = None, None
		for c := q.nodes[me].child; c != None; c = q.nodes[c].next {
			q.nodes[c].holder = me
		}
		q.nodes[only].what = unused
	}
	return me
}

func along(s *slab, stack bool) int {
	if stack {
		return s.h
	}
	return s.w
}

// put lays a piece into the lower left corner of a panel of waste. The first cut is upright or level.
func (p *plank) put(at int32, piece int32, s stand) {
	n := p.nodes[at]
	leaf := newSlab(s.w, s.h, piece)
	leaf.turned, leaf.next, leaf.holder = s.turned, n.next, n.holder
	upright := s.upright
	switch {
	case n.w == s.w && n.h == s.h:
		p.nodes[at] = leaf
		return
	case n.w == s.w:
		upright = false
	case n.h == s.h:
		upright = true
	}
	part, rest := n, n // the panel cut off first, which holds the piece, and what remains
	if upright {
		part.w, rest.w = s.w, n.w-s.w
	} else {
		part.h, rest.h = s.h, n.h-s.h
	}
	if n.holder != None && p.nodes[n.holder].stack != upright {
		// The holder is a line in the direction of the cut: the part takes the place of the panel, the rest follows.
		p.nodes = append(p.nodes, rest)
		part.next = int32(len(p.nodes) - 1)
		p.nodes[at] = part
		p.fill(at, leaf, upright)
		return
	}
	first := int32(len(p.nodes))
	n.what, n.child, n.stack = line, first, !upright
	p.nodes[at] = n
	part.next, part.holder = first+1, at
	rest.next, rest.holder = None, at
	p.nodes = append(p.nodes, part, rest)
	p.fill(first, leaf, upright)
}

// fill makes a panel that is as wide or as high as the piece in it that piece, or a line of piece and waste.
func (p *plank) fill(at int32, leaf slab, stack bool) {
	n := &p.nodes[at]
	spare := newSlab(n.w, n.h-leaf.h, waste)
	if !stack {
		spare.w, spare.h = n.w-leaf.w, n.h
	}
	if spare.w == 0 || spare.h == 0 {
		n.what, n.turned = leaf.what, leaf.turned
		return
	}
	first := int32(len(p.nodes))
	n.what, n.child, n.stack = line, first, stack
	leaf.next, leaf.holder = first+1, at
	spare.next, spare.holder = None, at
	p.nodes = append(p.nodes, leaf, spare)
}

// block is the arrangement of the pieces of a panel, drawn together.
func (p *plank) block(at int32, pieces []loose, items []item) *block {
	n := &p.nodes[at]
	switch n.what {
	case waste:
		return nil
	case line:
		var parts []*block
		for c := n.child; c != None; c = p.nodes[c].next {
			parts = append(parts, p.block(c, pieces, items))
		}
		return join(n.stack, parts...)
	}
	k := pieces[n.what].item
	return single(items[k], k, n.turned)
}

// plankOf cuts a block out of a sheet; name gives the single piece to use for an item, or a negative number to
// leave it out.
func plankOf(kind, w, h int, b *block, pieces []loose, name func(item int) int32) *plank {
	p := emptyPlank(kind, w, h)
	if b != nil {
		p.lay(0, b, name)
	}
	return p.without(nil, pieces)
}

// lay cuts a block out of the lower left corner of a panel of waste. Lines may come to lie in lines of the same
// direction; copying mends that.
func (p *plank) lay(at int32, b *block, name func(item int) int32) {
	n := p.nodes[at]
	split := func(stack bool, sizes []int) int32 {
		first := int32(len(p.nodes))
		for i, s := range sizes {
			c := newSlab(s, n.h, waste)
			if stack {
				c.w, c.h = n.w, s
			}
			c.holder = at
			if i+1 < len(sizes) {
				c.next = first + int32(i) + 1
			}
			p.nodes = append(p.nodes, c)
		}
		p.nodes[at].what, p.nodes[at].stack, p.nodes[at].child = line, stack, first
		return first
	}
	switch {
	case b.w < n.w:
		p.lay(split(false, []int{b.w, n.w - b.w}), b, name)
	case b.h < n.h:
		p.lay(split(true, []int{b.h, n.h - b.h}), b, name)
	case b.parts == nil:
		if k := name(b.item); k >= 0 {
			p.nodes[at].what, p.nodes[at].turned = k, b.turned
		}
	default:
		sizes := make([]int, len(b.parts))
		for i, q := range b.parts {
			sizes[i] = b.along(q)
		}
		first := split(b.stack, sizes)
		for i, q := range b.parts {
			p.lay(first+int32(i), q, name)
		}
	}
}
