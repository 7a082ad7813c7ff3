package pack

// Node is a panel on its way from sheet to pieces. A panel is cut in two from edge to edge, or is a piece, or is
// left over. Lengths are mm in the frame of the sheet.
type Node struct {
	X, Y          float64 // lower left corner
	Width, Height float64
	Piece         int   // index of the piece this is, or [None]
	Turned        bool  // the piece is turned by a quarter
	Upright       bool  // the cut runs upwards, at one x; otherwise level, at one y
	First         *Node // left or lower part; its far edge is where the kerf begins
	Second        *Node // right or upper part; nil if the kerf takes all that is left, or more
}

// Leaf tells whether the panel is cut no further.
func (n *Node) Leaf() bool { return n.First == nil }

// Waste tells whether the panel is left over.
func (n *Node) Waste() bool { return n.Leaf() && n.Piece == None }

// Walk visits the panel and all it is cut into, parents first, left or lower part first.
func (n *Node) Walk(visit func(*Node)) {
	if n == nil {
		return
	}
	visit(n)
	n.First.Walk(visit)
	n.Second.Walk(visit)
}

// layer turns blocks into layouts.
type layer struct {
	*job
	pieces []Piece
	out    *Layout
}

// layout lays a block into the lower left corner of a sheet and writes the cuts. A nil block leaves the sheet whole.
func (j *job) layout(b *block, sheet int, pieces []Piece, sheets []Sheet) Layout {
	s := sheets[sheet]
	out := Layout{Sheet: sheet, Width: s.Width, Height: s.Height, Kerf: j.opt.Kerf, Trim: j.opt.Trim}
	l := layer{j, pieces, &out}
	out.Root = l.panel(b.tidy(), 0, 0, j.bins[sheet].uw, j.bins[sheet].uh)
	return out
}

// node is the panel at x, y of a size with the kerf added, all in micrometres within the trims.
func (l layer) node(x, y, w, h int) *Node {
	mm := func(um int) float64 { return float64(um) / perMM }
	t := l.out.Trim
	return &Node{X: t.Left + mm(x), Y: t.Bottom + mm(y), Width: mm(w - l.kerf), Height: mm(h - l.kerf), Piece: None}
}

// hair is what a panel may be larger than its piece without another cut, in micrometres: it comes of rounding.
const hair = 10

// panel cuts block b out of the lower left corner of a panel.
func (l layer) panel(b *block, x, y, w, h int) *Node {
	if w <= l.kerf || h <= l.kerf {
		return nil
	}
	n := l.node(x, y, w, h)
	if b == nil {
		return n
	}
	bw, bh := b.w*l.unit, b.h*l.unit
	if w-bw <= hair {
		bw = w
	}
	if h-bh <= hair {
		bh = h
	}
	switch {
	case bw < w && (bh == h || (w-bw)*h >= (h-bh)*w):
		n.Upright = true
		n.First = l.panel(b, x, y, bw, h)
		n.Second = l.panel(nil, x+bw, y, w-bw, h)
	case bh < h:
		n.First = l.panel(b, x, y, w, bh)
		n.Second = l.panel(nil, x, y+bh, w, h-bh)
	case b.parts == nil:
		n.Piece, n.Turned = b.item, b.turned
		p := Placement{Piece: b.item, X: n.X, Y: n.Y, Turned: b.turned}
		p.Width, p.Height = l.pieces[b.item].Width, l.pieces[b.item].Height
		if p.Turned {
			p.Width, p.Height = p.Height, p.Width
		}
		l.out.Placed = append(l.out.Placed, p)
	case b.stack:
		at := b.parts[0].h * l.unit
		n.First = l.panel(b.parts[0], x, y, w, at)
		n.Second = l.panel(b.rest(), x, y+at, w, h-at)
	default:
		at := b.parts[0].w * l.unit
		n.Upright = true
		n.First = l.panel(b.parts[0], x, y, at, h)
		n.Second = l.panel(b.rest(), x+at, y, w-at, h)
	}
	return n
}

// rest is the block without its first part. Its size across is kept, for the panel it lies in has that size.
func (b *block) rest() *block {
	if len(b.parts) == 2 {
		return b.parts[1]
	}
	r := &block{item: None, stack: b.stack, parts: b.parts[1:]}
	r.measure()
	return r
}
