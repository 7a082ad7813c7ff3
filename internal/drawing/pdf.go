package drawing

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/sfnt"

	"knobwright/internal/geom"
)

// perMM is the number of PDF points in a millimetre.
const perMM = 72 / 25.4

// curveTol is the greatest distance between an arc and the curves drawn for it, mm.
const curveTol = 0.0002

// PDF writes a document at true size: each page exactly as large as it says, fonts embedded as subsets, layers as optional
// content, a bookmark for each page with a name, and the wish that no printer scales it. The same document gives the same bytes.
// A character no font holds is an error (GlyphError), never a box.
func PDF(doc *Document) ([]byte, error) {
	if len(doc.Pages) == 0 {
		return nil, errors.New("the document has no pages")
	}
	w := pdfWriter{
		pdf: fpdf.NewCustom(&fpdf.InitType{
			UnitStr: "mm", OrientationStr: "P",
			Size: fpdf.SizeType{Wd: doc.Pages[0].Width, Ht: doc.Pages[0].Height},
		}),
		layers: map[string]int{},
	}
	// The library sorts what it keeps in maps, and the dates are fixed: nothing in the file depends on when it was made.
	w.pdf.SetCatalogSort(true)
	w.pdf.SetCreationDate(epoch)
	w.pdf.SetModificationDate(epoch)
	w.pdf.SetProducer("knobwright", true)
	w.pdf.SetTitle(clean(doc.Title), true)
	w.pdf.SetSubject(clean(doc.Subject), true)
	if doc.Lang == "" {
		w.pdf.SetLang("en")
	} else {
		w.pdf.SetLang(clean(doc.Lang))
	}
	w.pdf.SetAutoPageBreak(false, 0)
	w.pdf.SetMargins(0, 0, 0)

	for i := range doc.Pages {
		if err := w.page(&doc.Pages[i]); err != nil {
			return nil, err
		}
	}
	var out bytes.Buffer
	if err := w.pdf.Output(&out); err != nil {
		return nil, fmt.Errorf("writing the PDF: %w", err)
	}
	return preferTrueSize(out.Bytes())
}

var epoch = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)

// pdfWriter puts flattened drawings onto the pages of the library. Shapes are written as operators of our own, in mm with
// 0.1 µm steps, because the library rounds to a hundredth of a point; text, fonts, pages and the file are the library's.
type pdfWriter struct {
	pdf    *fpdf.Fpdf
	loaded [fontCount]bool
	set    *typeface // the font the library has in hand
	layers map[string]int

	b     strings.Builder
	num   []byte
	state []pdfState
	high  float64 // height of the page, mm
	inked string  // layer open at present
}

// pdfState is what the page has been told since the last q.
type pdfState struct {
	line pen
	has  bool
	draw rgb
	fill rgb
	font *typeface
}

func (w *pdfWriter) page(p *Page) error {
	if !(p.Width > 0 && p.Height > 0) || p.Width > 5000 || p.Height > 5000 {
		return fmt.Errorf("the page %q is %g by %g mm; a page is above 0 and up to 5000 mm", p.Name, p.Width, p.Height)
	}
	prims, err := flatten(p.Items)
	if err != nil {
		return err
	}
	size := fpdf.SizeType{Wd: p.Width, Ht: p.Height}
	w.pdf.AddPageFormat("P", size)
	if p.Name != "" {
		w.pdf.Bookmark(clean(p.Name), 0, 0)
	}
	w.high = p.Height
	w.state = append(w.state[:0], pdfState{})
	w.b.WriteString(fmt.Sprintf("q %.11f 0 0 %.11f 0 0 cm\n", perMM, perMM))
	w.layer("")
	var at *node
	for i := range prims {
		g := &prims[i]
		leave, enter := nesting(at, g.in)
		if leave > 0 || len(enter) > 0 {
			w.layer("")
		}
		for ; leave > 0; leave-- {
			if at.clip != nil {
				w.pop()
			}
			at = at.up
		}
		for _, n := range enter {
			if n.clip != nil {
				w.push()
				w.trace(n.clip, false)
				w.b.WriteString("W n\n")
			}
		}
		at = g.in
		w.layer(g.layer)
		if g.text != nil {
			w.text(g)
			continue
		}
		w.path(g)
	}
	w.layer("")
	for ; at != nil; at = at.up {
		if at.clip != nil {
			w.pop()
		}
	}
	w.b.WriteString("Q")
	w.flush()
	return w.pdf.Error()
}

func (w *pdfWriter) flush() {
	if w.b.Len() > 0 {
		w.pdf.RawWriteStr(strings.TrimSuffix(w.b.String(), "\n"))
		w.b.Reset()
	}
}

func (w *pdfWriter) push() {
	w.b.WriteString("q\n")
	w.state = append(w.state, w.state[len(w.state)-1])
}

func (w *pdfWriter) pop() {
	w.b.WriteString("Q\n")
	w.state = w.state[:len(w.state)-1]
}

func (w *pdfWriter) layer(name string) {
	if name == w.inked {
		return
	}
	if w.inked != "" {
		w.b.WriteString("EMC\n")
	}
	w.inked = name
	if name == "" {
		return
	}
	id, ok := w.layers[name]
	if !ok {
		id = w.pdf.AddLayer(clean(name), true)
		w.layers[name] = id
	}
	fmt.Fprintf(&w.b, "/OC /OC%d BDC\n", id)
}

// op writes numbers and an operator.
func (w *pdfWriter) op(op string, v ...float64) {
	w.num = w.num[:0]
	for _, x := range v {
		w.num = appendNum(w.num, x, 4)
		w.num = append(w.num, ' ')
	}
	w.b.Write(w.num)
	w.b.WriteString(op)
	w.b.WriteByte('\n')
}

// appendNum writes a number with at most prec decimals, without a needless tail and never "-0".
func appendNum(b []byte, x float64, prec int) []byte {
	n := len(b)
	b = strconv.AppendFloat(b, x, 'f', prec, 64)
	if bytes.IndexByte(b[n:], '.') >= 0 {
		for b[len(b)-1] == '0' {
			b = b[:len(b)-1]
		}
		if b[len(b)-1] == '.' {
			b = b[:len(b)-1]
		}
	}
	if string(b[n:]) == "-0" {
		b = append(b[:n], '0')
	}
	return b
}

func (w *pdfWriter) trace(o geom.Outline, open bool) {
	w.op("m", o[0].P.X, o[0].P.Y)
	edges(o, open, func(_, q geom.Vec2) { w.op("l", q.X, q.Y) }, func(p, q geom.Vec2, bulge float64) {
		for _, c := range arcOf(p, q, bulge).beziers(p, q, curveTol) {
			w.op("c", c[0].X, c[0].Y, c[1].X, c[1].Y, c[2].X, c[2].Y)
		}
	})
	if !open {
		w.b.WriteString("h\n")
	}
}

func (w *pdfWriter) path(g *prim) {
	p, line := penOf(g.style)
	fill := g.style.Fill != NoInk && !g.open
	if !line && !fill {
		return
	}
	if line {
		w.pen(p)
		w.colour(PaperTheme.colour(lineInk(g.style)), true)
	}
	if fill {
		w.colour(PaperTheme.colour(g.style.Fill), false)
	}
	for _, o := range g.outlines {
		w.trace(o, g.open)
	}
	switch {
	case line && fill:
		w.b.WriteString("B*\n")
	case fill:
		w.b.WriteString("f*\n")
	default:
		w.b.WriteString("S\n")
	}
}

func (w *pdfWriter) pen(p pen) {
	s := &w.state[len(w.state)-1]
	fresh := !s.has
	if fresh || s.line.width != p.width {
		w.op("w", p.width)
	}
	if fresh || s.line.round != p.round {
		if p.round {
			w.b.WriteString("1 J 1 j\n")
		} else {
			w.b.WriteString("0 J 0 j\n")
		}
	}
	if fresh || !equalDash(s.line.dash, p.dash) {
		w.num = append(w.num[:0], '[')
		for i, d := range p.dash {
			if i > 0 {
				w.num = append(w.num, ' ')
			}
			w.num = appendNum(w.num, d, 4)
		}
		w.num = append(w.num, "] 0 d\n"...)
		w.b.Write(w.num)
	}
	s.line, s.has = p, true
}

func equalDash(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// colour sets the colour of lines (stroke) or of areas and text. Greys are written as greys: a printer uses its black alone.
func (w *pdfWriter) colour(c rgb, stroke bool) {
	s := &w.state[len(w.state)-1]
	have, grey, full := &s.fill, "g", "rg"
	if stroke {
		have, grey, full = &s.draw, "G", "RG"
	}
	if *have == c {
		return
	}
	*have = c
	if c.grey() {
		w.op(grey, float64(c.r)/255)
		return
	}
	w.op(full, float64(c.r)/255, float64(c.g)/255, float64(c.b)/255)
}

// text sets a line at its place. The library sets one run at a time at the origin at 1000 units; where it stands and how large is
// ours, so that neither is rounded.
func (w *pdfWriter) text(g *prim) {
	w.colour(PaperTheme.colour(g.text.ink()), false)
	for _, r := range g.runs {
		if r.drawn != nil {
			w.drawn(g, r)
			continue
		}
		at := g.at.Add(g.dir.Mul(r.x))
		// 10 pt type at 1/10 of the size in mm.
		k := g.size / 10
		w.num = append(w.num[:0], "q "...)
		for _, v := range [4]float64{k * g.dir.X, k * g.dir.Y, -k * g.dir.Y, k * g.dir.X} {
			w.num = append(appendNum(w.num, v, 7), ' ')
		}
		w.num = append(appendNum(w.num, at.X, 4), ' ')
		w.num = append(appendNum(w.num, at.Y, 4), " cm"...)
		if g.text.Track != 0 {
			w.num = append(w.num, ' ')
			w.num = append(appendNum(w.num, g.text.Track*10, 4), " Tc"...)
		}
		w.font(r.face)
		w.b.Write(w.num)
		w.flush()
		w.pdf.Text(0, w.high, r.text)
		w.b.WriteString("Q\n")
	}
}

// drawn fills the letters of a shaped run as areas; what they say goes along for readers and for search.
func (w *pdfWriter) drawn(g *prim, r run) {
	w.flush()
	w.b.WriteString("/Span <</ActualText <FEFF")
	for _, c := range utf16.Encode([]rune(r.text)) {
		fmt.Fprintf(&w.b, "%04X", c)
	}
	w.b.WriteString(">>> BDC\n")
	up := g.dir.Left()
	any := false
	r.each(g, func(i sfnt.GlyphIndex, x, y float64) {
		at := g.at.Add(g.dir.Mul(x)).Add(up.Mul(y))
		place := func(p geom.Vec2) geom.Vec2 { return at.Add(g.dir.Mul(p.X * g.size)).Add(up.Mul(p.Y * g.size)) }
		num := func(ps ...geom.Vec2) {
			for _, p := range ps {
				w.num = append(appendNum(w.num, p.X, 4), ' ')
				w.num = append(appendNum(w.num, p.Y, 4), ' ')
			}
		}
		var pen geom.Vec2
		open := false
		w.num = w.num[:0]
		for _, s := range r.face.segments(i) {
			switch s.op {
			case sfnt.SegmentOpMoveTo:
				if open {
					w.num = append(w.num, "h "...)
				}
				open, pen = true, place(s.p[0])
				num(pen)
				w.num = append(w.num, "m "...)
			case sfnt.SegmentOpLineTo:
				pen = place(s.p[0])
				num(pen)
				w.num = append(w.num, "l "...)
			case sfnt.SegmentOpQuadTo:
				c, q := place(s.p[0]), place(s.p[1])
				num(pen.Add(c.Sub(pen).Mul(2.0/3)), q.Add(c.Sub(q).Mul(2.0/3)), q)
				w.num = append(w.num, "c "...)
				pen = q
			case sfnt.SegmentOpCubeTo:
				q := place(s.p[2])
				num(place(s.p[0]), place(s.p[1]), q)
				w.num = append(w.num, "c "...)
				pen = q
			}
		}
		if open {
			w.num = append(w.num, "h\n"...)
			any = true
		}
		w.b.Write(w.num)
	})
	if any {
		w.b.WriteString("f\n")
	}
	w.b.WriteString("EMC\n")
}

// font puts a font in force on the page and in the library, which notes the letters used for its subset.
func (w *pdfWriter) font(t *typeface) {
	s := &w.state[len(w.state)-1]
	if s.font == t && w.set == t {
		return
	}
	s.font, w.set = t, t
	w.flush()
	name := strings.ToLower(strings.TrimSuffix(fontNames[t.id], ".ttf"))
	if !w.loaded[t.id] {
		w.loaded[t.id] = true
		// A copy: the library writes into the bytes it is given while it cuts its subset.
		w.pdf.AddUTF8FontFromBytes(name, "", bytes.Clone(t.data))
	}
	w.pdf.SetFont(name, "", 10)
}

// preferTrueSize adds to the catalog that a print dialog should not offer "fit to page" first. The library has no door for it; the
// catalog is the last object it writes, so only the place of the cross-reference table moves.
func preferTrueSize(b []byte) ([]byte, error) {
	const marker = "/Type /Catalog\n"
	at := bytes.LastIndex(b, []byte(marker))
	end := bytes.LastIndex(b, []byte("startxref\n"))
	table := bytes.LastIndex(b, []byte("\nxref\n")) + 1
	if at < 0 || end < at || table < at || bytes.Contains(b[at:table], []byte(" obj\n")) {
		return nil, errors.New("the PDF is not laid out as expected: no catalog before the cross-reference table")
	}
	num, tail, _ := bytes.Cut(b[end+len("startxref\n"):], []byte("\n"))
	if old, err := strconv.Atoi(string(num)); err != nil || old != table {
		return nil, errors.New("the PDF is not laid out as expected: the cross-reference table is elsewhere")
	}
	const add = "/ViewerPreferences <</PrintScaling /None /DisplayDocTitle true>>\n"
	var out bytes.Buffer
	out.Grow(len(b) + len(add) + 8)
	out.Write(b[:at+len(marker)])
	out.WriteString(add)
	out.Write(b[at+len(marker) : end])
	fmt.Fprintf(&out, "startxref\n%d\n", table+len(add))
	out.Write(tail)
	return out.Bytes(), nil
}
