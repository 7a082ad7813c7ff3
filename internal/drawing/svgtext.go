package drawing

import (
	"fmt"
	"math"

	"golang.org/x/image/font/sfnt"
)

// text draws a line as the outlines of its letters, under its words. Letters are defined once and used, except on process layers.
func (w *svgWriter) text(g *prim, l Layer) {
	words := xmlText(clean(g.text.S))
	if w.opt.Words && !l.Process {
		w.words(g)
		return
	}
	fmt.Fprintf(w.out, "<g role=\"img\" aria-label=\"%s\"", words)
	if l.Process {
		w.stroke(g.text.ink(), l)
		fmt.Fprintf(w.out, " stroke-width=\"%s\"", num(pens[Hairline].width))
	} else {
		w.paint("fill", g.text.ink())
	}
	at := w.x(g.at)
	if l.Process {
		// Cutting programs need not know <use>: letters are written out.
		fmt.Fprintf(w.out, "><title>%s</title><path d=\"", words)
		for _, r := range g.runs {
			r.each(g, func(i sfnt.GlyphIndex, x, y float64) {
				w.out.WriteString(w.letter(r.face, i, g.at.Add(g.dir.Mul(x)).Add(g.dir.Left().Mul(y)), g.dir, g.size))
			})
		}
		w.out.WriteString("\"/></g>\n")
		return
	}
	// Inside, one unit is 1/1000 em.
	k := g.size / 1000
	w.out.WriteString(` transform="`)
	if g.dir.Y == 0 && g.dir.X > 0 {
		fmt.Fprintf(w.out, "translate(%s %s) scale(%s)", num(at.X), num(at.Y), string(appendNum(nil, k, 8)))
	} else {
		c, s := string(appendNum(nil, k*g.dir.X, 8)), string(appendNum(nil, k*g.dir.Y, 8))
		ms := string(appendNum(nil, -k*g.dir.Y, 8))
		fmt.Fprintf(w.out, "matrix(%s %s %s %s %s %s)", c, ms, s, c, num(at.X), num(at.Y))
	}
	fmt.Fprintf(w.out, "\"><title>%s</title>", words)
	for _, r := range g.runs {
		r.each(g, func(i sfnt.GlyphIndex, x, y float64) {
			key := glyphKey{r.face.id, i}
			if r.face.blank(i) {
				return
			}
			if !w.glyphs[key] {
				w.glyphs[key] = true
				w.defs = append(w.defs, key)
			}
			fmt.Fprintf(w.out, "<use xlink:href=\"#%s\"", w.glyphID(key))
			if dx := x / k; math.Abs(dx) > 0.05 {
				fmt.Fprintf(w.out, " x=\"%s\"", string(appendNum(nil, dx, 1)))
			}
			if dy := -y / k; math.Abs(dy) > 0.05 {
				fmt.Fprintf(w.out, " y=\"%s\"", string(appendNum(nil, dy, 1)))
			}
			w.out.WriteString("/>")
		})
	}
	w.out.WriteString("</g>\n")
}

func (w *svgWriter) glyphID(k glyphKey) string {
	return fmt.Sprintf("%sg%d-%d", w.opt.Prefix, k.font, k.glyph)
}

// xmlText makes cleaned text safe between tags and in quoted attributes.
func xmlText(s string) string {
	var b []byte
	for _, r := range s {
		switch r {
		case '&':
			b = append(b, "&amp;"...)
		case '<':
			b = append(b, "&lt;"...)
		case '>':
			b = append(b, "&gt;"...)
		case '"':
			b = append(b, "&quot;"...)
		case '\'':
			b = append(b, "&#39;"...)
		case 0xFFFE, 0xFFFF:
			// not characters: XML has no way to write them
		default:
			b = append(b, string(r)...)
		}
	}
	return string(b)
}

// idText keeps what an id may hold.
func idText(s string) string {
	b := []byte(s)
	for i, c := range b {
		ok := c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '-' || c == '_'
		if !ok {
			b[i] = '_'
		}
	}
	return string(b)
}

// SVGFaceClass is the class that text of a face has in an SVG that keeps its text (SVGOptions.Words).
func SVGFaceClass(f Face) string { return "t-" + string(f) }

// words writes a line as text from its start, which the anchor has decided already.
func (w *svgWriter) words(g *prim) {
	at := w.x(g.at)
	fmt.Fprintf(w.out, "<text class=\"%s\" font-size=\"%s\"", SVGFaceClass(g.text.Face), num(g.size))
	w.paint("fill", g.text.ink())
	if g.text.Track != 0 {
		fmt.Fprintf(w.out, " letter-spacing=\"%s\"", num(g.text.Track*g.size))
	}
	level := g.dir.Y == 0 && g.dir.X > 0
	x0, y0 := at.X, at.Y
	if !level {
		c, s := string(appendNum(nil, g.dir.X, 6)), string(appendNum(nil, g.dir.Y, 6))
		ms := string(appendNum(nil, -g.dir.Y, 6))
		fmt.Fprintf(w.out, " transform=\"matrix(%s %s %s %s %s %s)\"", c, ms, s, c, num(at.X), num(at.Y))
		x0, y0 = 0, 0
	}
	fmt.Fprintf(w.out, " x=\"%s\" y=\"%s\">%s</text>\n", num(x0), num(y0), xmlText(clean(g.text.S)))
}
