package drawing

import (
	"errors"
	"fmt"
	"math"

	"knobwright/internal/geom"
)

// node is a group that clips or carries a note, on the way from the page to a shape.
type node struct {
	up   *node
	clip geom.Outline // on the page
	box  geom.Box2    // what the clips so far leave to be seen
	note string
}

// prim is a shape or a line of text standing on the page: all groups worked out.
type prim struct {
	in    *node // nil = the page itself
	layer string

	outlines []geom.Outline
	open     bool
	style    Style

	text  *Text // as given, for its words, face and ink
	runs  []run
	size  float64   // mm on the page
	at    geom.Vec2 // start of the baseline
	dir   geom.Vec2 // unit, along the line
	width float64
}

var errNotFinite = errors.New("a number in the drawing is not finite, or lies beyond a kilometre")

var everywhere = geom.Box2{Min: geom.Vec2{X: -farthest, Y: -farthest}, Max: geom.Vec2{X: farthest, Y: farthest}}

func meet(a, b geom.Box2) geom.Box2 {
	return geom.Box2{
		Min: geom.Vec2{X: max(a.Min.X, b.Min.X), Y: max(a.Min.Y, b.Min.Y)},
		Max: geom.Vec2{X: min(a.Max.X, b.Max.X), Y: min(a.Max.Y, b.Max.Y)},
	}
}

// put takes a shape up, unless it lies wholly outside what its groups' clips leave: what cannot be seen on a page is not on it,
// nor are its words found there.
func (f *flattener) put(g prim) {
	if g.in != nil && g.in.box != everywhere {
		grow := 0.0
		if p, ok := penOf(g.style); ok {
			grow = 5 * p.width // mitred corners reach out
		}
		if !primBounds([]prim{g}).Grow(grow).Overlaps(g.in.box) {
			return
		}
	}
	f.out = append(f.out, g)
}

// flatten works out the groups; hatches become lines. The order is kept.
func flatten(items []Item) ([]prim, error) {
	f := flattener{}
	if err := f.walk(items, still, nil, 0); err != nil {
		return nil, err
	}
	return f.out, nil
}

// deepest bounds the nesting of groups: a drawing does not need more, and an endless one would never end.
const deepest = 64

type flattener struct{ out []prim }

func (f *flattener) walk(items []Item, m move, in *node, deep int) error {
	if deep > deepest {
		return fmt.Errorf("the drawing nests groups more than %d deep", deepest)
	}
	for _, it := range items {
		switch it := it.(type) {
		case *Path:
			if err := f.path(it, m, in); err != nil {
				return err
			}
		case *Text:
			if err := f.text(it, m, in); err != nil {
				return err
			}
		case *Group:
			sub := m.then(moveOf(it.Place, it.Scale))
			at := in
			if len(it.Clip) > 0 || it.Note != "" {
				at = &node{up: in, note: it.Note, box: everywhere}
				if in != nil {
					at.box = in.box
				}
				if len(it.Clip) > 0 {
					at.clip = sub.outline(it.Clip)
					if !finite(at.clip) {
						return errNotFinite
					}
					at.box = meet(at.box, extent(at.clip, false, geom.EmptyBox2()))
				}
			}
			if err := f.walk(it.Items, sub, at, deep+1); err != nil {
				return err
			}
		default:
			return fmt.Errorf("the drawing holds a %T, which is no path, text or group", it)
		}
	}
	return nil
}

func (f *flattener) path(p *Path, m move, in *node) error {
	g := prim{in: in, layer: p.Layer, open: p.Open, style: p.Style}
	if w, d := p.Style.Width, p.Style.Dash; !(w <= 1000 && d[0] >= 0 && d[0] <= 1000 && d[1] >= 0 && d[1] <= 1000) {
		return fmt.Errorf("a line %g mm wide with dashes %g, %g mm cannot be drawn", w, d[0], d[1])
	}
	for _, o := range p.Outlines {
		if len(o) == 0 {
			continue
		}
		o = m.outline(o)
		if !finite(o) {
			return errNotFinite
		}
		g.outlines = append(g.outlines, o)
	}
	if len(g.outlines) == 0 {
		return nil
	}
	if g.style.Hatch == NoHatch {
		f.put(g)
		return nil
	}
	// Wash first, then the hatch, then the edge on top.
	if g.style.Fill != NoInk {
		wash := g
		wash.style = Style{Fill: g.style.Fill}
		f.put(wash)
	}
	f.hatch(g)
	if g.style.Line != NoLine {
		g.style.Fill, g.style.Hatch = NoInk, NoHatch
		f.put(g)
	}
	return nil
}

func (f *flattener) hatch(g prim) {
	for _, st := range hatches[g.style.Hatch] {
		if lines := hatchLines(g.outlines, st); len(lines) > 0 {
			f.put(prim{
				in: g.in, layer: g.layer, open: true, outlines: lines,
				style: Style{Line: Dim, Width: st.width, Ink: hatchInk(g.style.Hatch, g.style)},
			})
		}
	}
}

func (f *flattener) text(t *Text, m move, in *node) error {
	if !(t.Size > 0) || math.IsInf(t.Size, 0) {
		return fmt.Errorf("the text %q has the type size %g; it must be above 0", t.S, t.Size)
	}
	runs, width, err := setLine(t)
	if err != nil {
		return err
	}
	if len(runs) == 0 {
		return nil
	}
	anchor := t.Anchor
	up := geom.Place{Turn: t.Turn}.Apply(geom.Vec2{Y: 1})
	dir := geom.Place{Turn: t.Turn}.Apply(geom.Vec2{X: 1})
	if m.flip {
		// Turned about so that the line still reads, over the same spot.
		anchor = Right - anchor
		dir = dir.Mul(-1)
	}
	k := m.scale()
	at := t.At
	if t.Middle {
		at = at.Sub(up.Mul(capHeight(t.Face, t.Size) / 2))
	}
	pos := m.apply(at)
	dir = m.dir(dir).Mul(1 / k)
	switch anchor {
	case Centre:
		pos = pos.Sub(dir.Mul(width * k / 2))
	case Right:
		pos = pos.Sub(dir.Mul(width * k))
	}
	if !isFinite(pos) || !isFinite(dir) || !isFinite(geom.Vec2{X: width * k, Y: t.Size * k}) {
		return errNotFinite
	}
	for i := range runs {
		runs[i].x *= k
		for j := range runs[i].drawn {
			runs[i].drawn[j].x *= k
			runs[i].drawn[j].y *= k
		}
	}
	f.put(prim{in: in, layer: t.Layer, text: t, runs: runs, size: t.Size * k, at: pos, dir: dir, width: width * k})
	return nil
}

// farthest is how far out a drawing may reach, mm.
const farthest = 1e6

func isFinite(p geom.Vec2) bool { return math.Abs(p.X) <= farthest && math.Abs(p.Y) <= farthest }

func finite(o geom.Outline) bool {
	for i, v := range o {
		reach := math.Abs(v.Bulge) * v.P.Sub(o[(i+1)%len(o)].P).Len() / 2 // how far the arc leaves its chord
		if !isFinite(v.P) || !(math.Abs(v.Bulge) <= farthest) || !(reach <= farthest) {
			return false
		}
	}
	return true
}

func (t *Text) ink() Ink {
	if t.Ink == NoInk {
		return Ink0
	}
	return t.Ink
}

// nesting gives what to leave and what to enter to get from one group to another: leave is a count, enter is outermost first.
func nesting(from, to *node) (leave int, enter []*node) {
	depth := func(n *node) (d int) {
		for ; n != nil; n = n.up {
			d++
		}
		return d
	}
	a, b := depth(from), depth(to)
	for from != to {
		if a >= b {
			from, a, leave = from.up, a-1, leave+1
			continue
		}
		enter = append([]*node{to}, enter...)
		to, b = to.up, b-1
	}
	return leave, enter
}
