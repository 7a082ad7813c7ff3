package drawing

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"golang.org/x/image/font/sfnt"

	"knobwright/internal/geom"
)

// SVGOptions says how an SVG is coloured and named.
type SVGOptions struct {
	Theme  Theme  // numbers of the inks
	Vars   bool   // colours as CSS variables (--ink, --ply, ...) with the theme's number to fall back on: for a page
	Prefix string // goes before every id, for several drawings in one page; letters, digits, '-' and '_' only
	Words  bool   // text stays text, of a class named like its face, for a page that brings the faces along: see SVGFaceClass
}

// SVG writes a scene at true size for print and for cutting programs: width, height and viewBox in mm, layers as groups, text as
// outlines of its letters with the words kept as titles. The same scene gives the same bytes. It refers to nothing outside
// itself. A character no font holds is an error (GlyphError).
//
// Layers are written one after another, what has no layer first, then in the order of Scene.Layers; inside a layer the order
// of the items is kept.
func SVG(s *Scene) ([]byte, error) { return SVGWith(s, SVGOptions{}) }

// SVGWith writes a scene as SVG does, with options.
func SVGWith(s *Scene, opt SVGOptions) ([]byte, error) {
	w, body, err := writeSVG(s, opt)
	if err != nil {
		return nil, err
	}
	var all bytes.Buffer
	size := w.box.Size()
	xlink := ""
	if len(w.defs) > 0 {
		xlink = ` xmlns:xlink="http://www.w3.org/1999/xlink"`
	}
	fmt.Fprintf(&all, "<svg xmlns=\"http://www.w3.org/2000/svg\"%s width=\"%smm\" height=\"%smm\" viewBox=\"0 0 %s %s\" fill=\"none\">\n",
		xlink, num(size.X), num(size.Y), num(size.X), num(size.Y))
	if t := clean(s.Title); t != "" {
		fmt.Fprintf(&all, "<title>%s</title>\n", xmlText(t))
	}
	all.WriteString(w.definitions())
	all.Write(body)
	all.WriteString("</svg>\n")
	return all.Bytes(), nil
}

// SVGParts writes a scene as the elements that stand in the svg element of SVGWith, one after another, without the title: the
// definitions first when there are any, then each path, text or group that stands in no other group. A page can put each in its
// place and leave alone those that are as they were. They are drawn in an area of the scene's bounds with 0, 0 in its upper left
// corner, mm, where nothing is filled that does not say so.
func SVGParts(s *Scene, opt SVGOptions) ([]string, error) {
	w, body, err := writeSVG(s, opt)
	if err != nil {
		return nil, err
	}
	parts := []string{}
	if d := w.definitions(); d != "" {
		parts = append(parts, d)
	}
	deep, from, at := 0, 0, 0
	for at < len(body) { // what the writer writes ends with its line; a group's ends stand on lines of their own
		end := bytes.IndexByte(body[at:], '\n') + 1
		if end == 0 {
			end = len(body) - at
		}
		line := body[at : at+end]
		switch {
		case bytes.HasPrefix(line, []byte("<g>")), bytes.HasPrefix(line, []byte("<g ")):
			deep += 1 - bytes.Count(line, []byte("</g>"))
		case bytes.HasPrefix(line, []byte("</g>")):
			deep--
		}
		at += end
		if deep == 0 {
			parts = append(parts, string(body[from:at]))
			from = at
		}
	}
	return parts, nil
}

// writeSVG writes what stands in the svg element after the definitions.
func writeSVG(s *Scene, opt SVGOptions) (w svgWriter, body []byte, err error) {
	prims, err := flatten(s.Items)
	if err != nil {
		return w, nil, err
	}
	box := s.Bounds
	if box.Size().X <= 0 || box.Size().Y <= 0 {
		box = primBounds(prims)
	}
	if !isFinite(box.Min) || !isFinite(box.Max) || box.Size().X <= 0 || box.Size().Y <= 0 {
		return w, nil, fmt.Errorf("the drawing %q has no size", s.Title)
	}
	w = svgWriter{opt: opt, box: box, glyphs: map[glyphKey]bool{}}
	w.opt.Prefix = idText(opt.Prefix)
	var out bytes.Buffer
	w.out = &out
	for _, l := range layerOrder(s.Layers, prims) {
		w.layer(l, prims)
	}
	return w, out.Bytes(), nil
}

// definitions are the clips and letters that the body refers to, "" when there are none.
func (w *svgWriter) definitions() string {
	if len(w.defs)+len(w.clips) == 0 {
		return ""
	}
	var all strings.Builder
	all.WriteString("<defs>\n")
	for _, d := range w.clips {
		all.WriteString(d)
	}
	for _, k := range w.defs {
		t := load(k.font)
		fmt.Fprintf(&all, "<path id=\"%s\" d=\"%s\"/>\n", w.glyphID(k), t.svgPath(k.glyph))
	}
	all.WriteString("</defs>\n")
	return all.String()
}

// layerOrder: none, then the scene's, then any an item names besides, as they come.
func layerOrder(known []Layer, prims []prim) []Layer {
	out := []Layer{{}}
	seen := map[string]bool{"": true}
	for _, l := range known {
		if !seen[l.Name] {
			seen[l.Name] = true
			out = append(out, l)
		}
	}
	for i := range prims {
		if n := prims[i].layer; !seen[n] {
			seen[n] = true
			out = append(out, Layer{Name: n})
		}
	}
	return out
}

// primBounds is the box round everything drawn, lines' widths left out.
func primBounds(prims []prim) geom.Box2 {
	b := geom.EmptyBox2()
	for i := range prims {
		g := &prims[i]
		for _, o := range g.outlines {
			b = extent(o, g.open, b)
		}
		if g.text != nil {
			up := g.dir.Left()
			for _, x := range [2]float64{0, g.width} {
				for _, y := range [2]float64{-0.25 * g.size, 0.95 * g.size} {
					b = b.Extend(g.at.Add(g.dir.Mul(x)).Add(up.Mul(y)))
				}
			}
		}
	}
	return b
}

type glyphKey struct {
	font  fontID
	glyph sfnt.GlyphIndex
}

type svgWriter struct {
	opt    SVGOptions
	box    geom.Box2
	out    *bytes.Buffer
	clips  []string
	defs   []glyphKey
	glyphs map[glyphKey]bool
	b      []byte
}

func (w *svgWriter) layer(l Layer, prims []prim) {
	some := false
	for i := range prims {
		some = some || prims[i].layer == l.Name
	}
	if !some && l.Name == "" {
		return
	}
	if l.Name != "" {
		fmt.Fprintf(w.out, "<g id=\"%slayer-%s\" data-layer=\"%s\">\n", w.opt.Prefix, idText(clean(l.Name)), xmlText(clean(l.Name)))
		fmt.Fprintf(w.out, "<title>%s</title>\n", xmlText(clean(l.Name)))
		if l.Means != "" {
			fmt.Fprintf(w.out, "<desc>%s</desc>\n", xmlText(clean(l.Means)))
		}
	}
	var at *node
	for i := range prims {
		g := &prims[i]
		if g.layer != l.Name {
			continue
		}
		leave, enter := nesting(at, g.in)
		for range leave {
			w.out.WriteString("</g>\n")
		}
		for _, n := range enter {
			w.enter(n)
		}
		at = g.in
		if g.text != nil {
			w.text(g, l)
		} else {
			w.path(g, l)
		}
	}
	for ; at != nil; at = at.up {
		w.out.WriteString("</g>\n")
	}
	if l.Name != "" {
		w.out.WriteString("</g>\n")
	}
}

func (w *svgWriter) enter(n *node) {
	w.out.WriteString("<g")
	if n.clip != nil {
		id := fmt.Sprintf("%sclip-%d", w.opt.Prefix, len(w.clips)+1)
		w.clips = append(w.clips, fmt.Sprintf("<clipPath id=\"%s\"><path d=\"%s\"/></clipPath>\n", id, w.d([]geom.Outline{n.clip}, false)))
		fmt.Fprintf(w.out, " clip-path=\"url(#%s)\"", id)
	}
	w.out.WriteString(">\n")
	if n.note != "" {
		fmt.Fprintf(w.out, "<title>%s</title>\n", xmlText(clean(n.note)))
	}
}

func (w *svgWriter) x(p geom.Vec2) geom.Vec2 {
	return geom.Vec2{X: p.X - w.box.Min.X, Y: w.box.Max.Y - p.Y}
}

// d gives the path data of outlines: straight edges and true arcs.
func (w *svgWriter) d(outlines []geom.Outline, open bool) string {
	b := w.b[:0]
	prec := 4
	if w.opt.Words { // to be looked at, not cut by: a hundredth of a millimetre will do
		prec = 2
	}
	point := func(cmd byte, p geom.Vec2) {
		p = w.x(p)
		b = append(b, cmd)
		b = appendNum(b, p.X, prec)
		b = append(b, ' ')
		b = appendNum(b, p.Y, prec)
	}
	for _, o := range outlines {
		point('M', o[0].P)
		last := len(o) - 1
		i := 0
		edges(o, open, func(_, q geom.Vec2) {
			if i < last || open {
				point('L', q)
			}
			i++
		}, func(p, q geom.Vec2, bulge float64) {
			a := arcOf(p, q, bulge)
			b = append(b, 'A')
			b = appendNum(b, a.r, prec)
			b = append(b, ' ')
			b = appendNum(b, a.r, prec)
			b = append(b, " 0 "...)
			b = strconv.AppendInt(b, arcFlag(math.Abs(bulge) > 1), 10)
			b = append(b, ' ')
			b = strconv.AppendInt(b, arcFlag(bulge < 0), 10)
			point(' ', q)
			i++
		})
		if !open {
			b = append(b, 'Z')
		}
	}
	w.b = b
	return string(b)
}

func arcFlag(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

func num(x float64) string { return string(appendNum(nil, x, 4)) }

func (w *svgWriter) path(g *prim, l Layer) {
	p, line := penOf(g.style)
	fill := g.style.Fill != NoInk && !g.open
	if l.Process { // a cutting program follows lines and takes areas for engraving
		line = line || fill && solid(g.style.Fill)
		p, fill = pens[Hairline], false
	}
	if !line && !fill {
		return
	}
	if c, d, ok := asCircle(g.outlines[0]); ok && len(g.outlines) == 1 && !g.open {
		c = w.x(c)
		fmt.Fprintf(w.out, "<circle cx=\"%s\" cy=\"%s\" r=\"%s\"", num(c.X), num(c.Y), num(d/2))
	} else {
		fmt.Fprintf(w.out, "<path d=\"%s\"", w.d(g.outlines, g.open))
	}
	if fill {
		w.paint("fill", g.style.Fill)
		if len(g.outlines) > 1 {
			w.out.WriteString(` fill-rule="evenodd"`)
		}
	}
	if line {
		w.stroke(lineInk(g.style), l)
		fmt.Fprintf(w.out, " stroke-width=\"%s\"", num(p.width))
		if len(p.dash) > 0 {
			w.out.WriteString(` stroke-dasharray="`)
			for i, d := range p.dash {
				if i > 0 {
					w.out.WriteByte(' ')
				}
				w.out.WriteString(num(d))
			}
			w.out.WriteByte('"')
		}
		if p.round {
			w.out.WriteString(` stroke-linecap="round" stroke-linejoin="round"`)
		} else {
			w.out.WriteString(` stroke-miterlimit="10"`)
		}
	}
	w.out.WriteString("/>\n")
}

// stroke writes the colour of lines: on a process layer that of the process.
func (w *svgWriter) stroke(i Ink, l Layer) {
	if c, ok := cutting(l.Colour); ok && l.Process {
		fmt.Fprintf(w.out, " stroke=\"%s\"", c.css())
		return
	}
	w.paint("stroke", i)
}

// paint writes a colour as an attribute; it may be a variable of the page, which attributes of presentation take as styles do.
func (w *svgWriter) paint(what string, i Ink) {
	c := w.opt.Theme.colour(i)
	if w.opt.Vars && cssVar[i] != "" {
		fmt.Fprintf(w.out, " %s=\"var(--%s,%s)\"", what, cssVar[i], c.css())
		return
	}
	fmt.Fprintf(w.out, " %s=\"%s\"", what, c.css())
}

func (c rgb) css() string {
	if c.r>>4 == c.r&15 && c.g>>4 == c.g&15 && c.b>>4 == c.b&15 {
		return fmt.Sprintf("#%x%x%x", c.r&15, c.g&15, c.b&15)
	}
	return fmt.Sprintf("#%02x%02x%02x", c.r, c.g, c.b)
}

// cssVar names the variables of the page's style sheet. Sign colours never follow the page's lamp.
var cssVar = map[Ink]string{
	Ink0: "ink", Pencil: "pencil", Hair: "hair", Faint: "faint", You: "you", YouWash: "you-wash", Bad: "bad", BadWash: "bad-wash",
	Paper: "paper", PlyWash: "ply", AcrylicWash: "acrylic", MetalWash: "metal", CapWash: "cap",
}
