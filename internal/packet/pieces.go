package packet

import (
	"math"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// piece is what a tiled drawing keeps together: a path, a line of text, or a group that has a name.
type piece struct {
	box   geom.Box2
	item  drawing.Item
	words bool // nothing but text
	unit  *unit
}

// unit is a hole with its number and its words: a sheet on which the hole does not lie shows all of it or nothing.
type unit struct {
	core geom.Box2 // the hole itself
	all  geom.Box2
}

// unitOf makes one unit of groups of items round a core.
func unitOf(core geom.Box2, groups ...drawing.Item) []piece {
	u := &unit{core: core, all: geom.EmptyBox2()}
	out := make([]piece, 0, len(groups))
	for _, g := range groups {
		b := extent(g)
		u.all = u.all.Union(b)
		out = append(out, piece{box: b, item: g, words: onlyText(g), unit: u})
	}
	return out
}

// pieces takes a drawing apart. Groups without a name are opened; what was in them keeps its move.
func pieces(items []drawing.Item) []piece {
	var out []piece
	var walk func(items []drawing.Item, wrap func(drawing.Item) drawing.Item)
	walk = func(items []drawing.Item, wrap func(drawing.Item) drawing.Item) {
		for _, it := range items {
			if g, ok := it.(*drawing.Group); ok && g.Note == "" && g.Clip.Empty() {
				walk(g.Items, func(in drawing.Item) drawing.Item {
					return wrap(&drawing.Group{Place: g.Place, Scale: g.Scale, Items: []drawing.Item{in}})
				})
				continue
			}
			w := wrap(it)
			if b := extent(w); b.Min.X <= b.Max.X {
				out = append(out, piece{box: b, item: w, words: onlyText(w)})
			}
		}
	}
	walk(items, func(it drawing.Item) drawing.Item { return it })
	return out
}

// together makes one piece of several items.
func together(note string, items []drawing.Item) drawing.Item {
	return &drawing.Group{Note: note, Items: items}
}

func onlyText(it drawing.Item) bool {
	switch x := it.(type) {
	case *drawing.Text:
		return true
	case *drawing.Group:
		for _, i := range x.Items {
			if !onlyText(i) {
				return false
			}
		}
		return len(x.Items) > 0
	}
	return false
}

// extent is the upright box round what an item draws, without the width of its lines; empty for nothing.
func extent(it drawing.Item) geom.Box2 {
	b := geom.EmptyBox2()
	switch x := it.(type) {
	case *drawing.Path:
		for _, o := range x.Outlines {
			if len(o) > 0 {
				b = b.Union(o.Bounds())
			}
			for _, q := range o {
				b = b.Extend(q.P)
			}
		}
	case *drawing.Text:
		return textBox(x)
	case *drawing.Group:
		k := x.Scale
		if k == 0 {
			k = 1
		}
		for _, i := range x.Items {
			in := extent(i)
			if in.Min.X > in.Max.X {
				continue
			}
			for _, q := range corners(in) {
				b = b.Extend(x.Place.Apply(q.Mul(k)))
			}
		}
	}
	return b
}

// textBox is the box round a line of text, from its tails to its capitals.
func textBox(t *drawing.Text) geom.Box2 {
	w := drawing.TextWidth(t.Face, t.Size, t.S)
	lo, hi := -0.22*t.Size, 0.75*t.Size
	if t.Middle {
		lo, hi = lo-0.36*t.Size, hi-0.36*t.Size
	}
	x := 0.0
	switch t.Anchor {
	case drawing.Centre:
		x = -w / 2
	case drawing.Right:
		x = -w
	}
	b := geom.EmptyBox2()
	s, c := math.Sincos(t.Turn * math.Pi / 180)
	for _, q := range corners(geom.Box2{Min: v(x, lo), Max: v(x+w, hi)}) {
		b = b.Extend(t.At.Add(v(q.X*c-q.Y*s, q.X*s+q.Y*c)))
	}
	return b
}

func corners(b geom.Box2) [4]geom.Vec2 {
	return [4]geom.Vec2{b.Min, v(b.Max.X, b.Min.Y), b.Max, v(b.Min.X, b.Max.Y)}
}

// boxesOf gives the boxes of the pieces that are not large.
func boxesOf(ps []piece, large float64) []geom.Box2 {
	var out []geom.Box2
	for _, p := range ps {
		if s := p.box.Size(); s.X <= large && s.Y <= large {
			out = append(out, p.box)
		}
	}
	return out
}
