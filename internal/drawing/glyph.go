package drawing

import (
	"golang.org/x/image/font/sfnt"

	"knobwright/internal/geom"
)

// segments gives the outline of a glyph; points are in em, y up.
func (t *typeface) segments(i sfnt.GlyphIndex) []segment {
	t.mu.Lock()
	defer t.mu.Unlock()
	if s, ok := t.shapes[i]; ok {
		return s
	}
	segs, err := t.font.LoadGlyph(&t.buf, i, t.em, nil)
	var out []segment
	if err == nil {
		for _, s := range segs {
			g := segment{op: s.Op}
			for k, p := range s.Args {
				g.p[k] = geom.Vec2{X: float64(p.X) / 64 / t.upem, Y: -float64(p.Y) / 64 / t.upem}
			}
			out = append(out, g)
		}
	}
	t.shapes[i] = out
	return out
}

type segment struct {
	op sfnt.SegmentOp
	p  [3]geom.Vec2
}

func (t *typeface) blank(i sfnt.GlyphIndex) bool { return len(t.segments(i)) == 0 }

// svgPath gives path data with 1000 units to the em, y down.
func (t *typeface) svgPath(i sfnt.GlyphIndex) string {
	return string(pathData(nil, t.segments(i), 1, func(p geom.Vec2) geom.Vec2 { return geom.Vec2{X: p.X * 1000, Y: -p.Y * 1000} }))
}

// letter gives path data of one letter in place, mm on the SVG page.
func (w *svgWriter) letter(t *typeface, i sfnt.GlyphIndex, at, dir geom.Vec2, size float64) string {
	up := dir.Left()
	return string(pathData(nil, t.segments(i), 4, func(p geom.Vec2) geom.Vec2 {
		return w.x(at.Add(dir.Mul(p.X * size)).Add(up.Mul(p.Y * size)))
	}))
}

func pathData(b []byte, segs []segment, prec int, f func(geom.Vec2) geom.Vec2) []byte {
	cmd := func(c byte, ps ...geom.Vec2) {
		b = append(b, c)
		for i, p := range ps {
			if i > 0 {
				b = append(b, ' ')
			}
			p = f(p)
			b = appendNum(b, p.X, prec)
			b = append(b, ' ')
			b = appendNum(b, p.Y, prec)
		}
	}
	started := false
	for _, s := range segs {
		switch s.op {
		case sfnt.SegmentOpMoveTo:
			if started {
				b = append(b, 'Z')
			}
			started = true
			cmd('M', s.p[0])
		case sfnt.SegmentOpLineTo:
			cmd('L', s.p[0])
		case sfnt.SegmentOpQuadTo:
			cmd('Q', s.p[0], s.p[1])
		case sfnt.SegmentOpCubeTo:
			cmd('C', s.p[0], s.p[1], s.p[2])
		}
	}
	if started {
		b = append(b, 'Z')
	}
	return b
}

// TextPath gives a line of text as outlines of its letters, so that it can be cut, engraved or mirrored like any shape: true lines
// and arcs that stray from the letters by at most tol mm (0.01 when tol is 0). Letters overlap nowhere; counters are outlines of
// their own, to be filled even-odd. A character no font holds is an error (GlyphError).
func TextPath(t *Text, s Style, tol float64) (*Path, error) {
	if tol <= 0 {
		tol = 0.01
	}
	prims, err := flatten([]Item{t})
	if err != nil {
		return nil, err
	}
	out := &Path{Style: s, Layer: t.Layer}
	for i := range prims {
		out.Outlines = append(out.Outlines, prims[i].letters(tol)...)
	}
	return out, nil
}

// letters gives the outlines of a prim's text.
func (g *prim) letters(tol float64) []geom.Outline {
	var out []geom.Outline
	up := g.dir.Left()
	for _, r := range g.runs {
		r.each(g, func(i sfnt.GlyphIndex, x, y float64) {
			at := g.at.Add(g.dir.Mul(x)).Add(up.Mul(y))
			place := func(p geom.Vec2) geom.Vec2 { return at.Add(g.dir.Mul(p.X * g.size)).Add(up.Mul(p.Y * g.size)) }
			out = append(out, glyphOutlines(r.face.segments(i), place, tol)...)
		})
	}
	return out
}

func glyphOutlines(segs []segment, f func(geom.Vec2) geom.Vec2, tol float64) []geom.Outline {
	var out []geom.Outline
	var cur geom.Outline
	var pen geom.Vec2
	done := func() {
		// The last point is where the run began; an outline closes by itself.
		if n := len(cur); n > 1 && cur[n-1].P.Sub(cur[0].P).Len() < 1e-9 {
			cur = cur[:n-1]
		}
		if len(cur) > 1 {
			out = append(out, cur)
		}
		cur = nil
	}
	for _, s := range segs {
		switch s.op {
		case sfnt.SegmentOpMoveTo:
			done()
			pen = f(s.p[0])
			cur = geom.Outline{{P: pen}}
		case sfnt.SegmentOpLineTo:
			pen = f(s.p[0])
			cur = append(cur, geom.Vertex{P: pen})
		case sfnt.SegmentOpQuadTo:
			c, q := f(s.p[0]), f(s.p[1])
			cur = curveTo(cur, pen, pen.Add(c.Sub(pen).Mul(2.0/3)), q.Add(c.Sub(q).Mul(2.0/3)), q, tol)
			pen = q
		case sfnt.SegmentOpCubeTo:
			q := f(s.p[2])
			cur = curveTo(cur, pen, f(s.p[0]), f(s.p[1]), q, tol)
			pen = q
		}
	}
	done()
	return out
}
