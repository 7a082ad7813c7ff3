package pack

import (
	"cmp"
	"slices"
)

// block is a tight arrangement of pieces that can be cut apart from edge to edge: one piece, or blocks side by side
// or stacked, lower left corners in line. Sizes are in units with the kerf added. Blocks do not change once made.
type block struct {
	w, h   int
	item   int // index of the item of a single piece
	turned bool
	stack  bool // parts lie on top of each other, not side by side
	parts  []*block
}

func single(it item, index int, turned bool) *block {
	b := &block{w: it.w, h: it.h, item: index, turned: turned}
	if turned {
		b.w, b.h = it.h, it.w
	}
	return b
}

// join puts blocks side by side or stacks them; nil stands for nothing.
func join(stack bool, parts ...*block) *block {
	b := &block{stack: stack, item: None}
	for _, p := range parts {
		switch {
		case p == nil:
		case p.parts != nil && p.stack == stack:
			b.parts = append(b.parts, p.parts...)
		default:
			b.parts = append(b.parts, p)
		}
	}
	switch len(b.parts) {
	case 0:
		return nil
	case 1:
		return b.parts[0]
	}
	b.measure()
	return b
}

func (b *block) measure() {
	b.w, b.h = 0, 0
	for _, p := range b.parts {
		if b.stack {
			b.w, b.h = max(b.w, p.w), b.h+p.h
		} else {
			b.w, b.h = b.w+p.w, max(b.h, p.h)
		}
	}
}

// across is the size of a part at right angles to the line of parts, along the size in it.
func (b *block) across(p *block) int {
	if b.stack {
		return p.w
	}
	return p.h
}

func (b *block) along(p *block) int {
	if b.stack {
		return p.h
	}
	return p.w
}

// tidy orders the parts of every line from the largest across to the smallest and lays equals together, so that one
// cut frees all of those that fall short by the same amount, and the fence is moved seldom.
func (b *block) tidy() *block {
	if b == nil || b.parts == nil {
		return b
	}
	parts := make([]*block, len(b.parts))
	for i, p := range b.parts {
		parts[i] = p.tidy()
	}
	slices.SortStableFunc(parts, func(p, q *block) int {
		return cmp.Or(cmp.Compare(b.across(q), b.across(p)), cmp.Compare(b.along(q), b.along(p)), p.compare(q))
	})
	return &block{w: b.w, h: b.h, item: None, stack: b.stack, parts: parts}
}

// compare orders blocks by what they hold, so that equal ones come to lie together.
func (b *block) compare(c *block) int {
	if d := cmp.Or(cmp.Compare(len(b.parts), len(c.parts)), cmp.Compare(b.item, c.item)); d != 0 {
		return d
	}
	for i := range b.parts {
		if d := b.parts[i].compare(c.parts[i]); d != 0 {
			return d
		}
	}
	return 0
}

// count adds the pieces of the block to counts, per item.
func (b *block) count(counts []int) {
	if b == nil {
		return
	}
	if b.parts == nil {
		counts[b.item]++
	}
	for _, p := range b.parts {
		p.count(counts)
	}
}

// value is the sum of the values of the pieces in the block.
func (b *block) value(items []item) float64 {
	if b == nil {
		return 0
	}
	if b.parts == nil {
		return items[b.item].value
	}
	sum := 0.0
	for _, p := range b.parts {
		sum += p.value(items)
	}
	return sum
}

// crop leaves out parts until the block is no larger than w by h: the smallest parts of lines that are too long.
func (b *block) crop(w, h int) *block {
	if b == nil || b.w <= w && b.h <= h {
		return b
	}
	if b.parts == nil {
		return nil
	}
	parts := make([]*block, 0, len(b.parts))
	for _, p := range b.parts {
		if p = p.crop(w, h); p != nil {
			parts = append(parts, p)
		}
	}
	room := w
	if b.stack {
		room = h
	}
	for {
		sum, least := 0, -1
		for i, p := range parts {
			sum += b.along(p)
			if least < 0 || b.along(p) <= b.along(parts[least]) {
				least = i
			}
		}
		if sum <= room {
			return join(b.stack, parts...)
		}
		parts = slices.Delete(parts, least, least+1)
	}
}
