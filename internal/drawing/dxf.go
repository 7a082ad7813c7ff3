package drawing

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/geom"
)

// DXFOptions says which dialect is written.
type DXFOptions struct {
	R12      bool // AC1009 for old programs; else R2000, AC1015
	Outlines bool // text as outlines of its letters on the text's layer, for programs that pass over TEXT
}

// DXF writes a scene as a drawing exchange file, R2000, in mm: circles, arcs and polylines with bulges are true arcs; text is
// TEXT. Only what is a line or an edge is written: washes and knocked-out areas stay on paper, hatches come as lines. What lies
// wholly outside a clip is left out, what crosses it is drawn whole. The same scene gives the same bytes. A character no font holds is an error (GlyphError).
func DXF(s *Scene) ([]byte, error) { return DXFWith(s, DXFOptions{}) }

// DXFWith writes a scene as DXF does, with options.
func DXFWith(s *Scene, opt DXFOptions) ([]byte, error) {
	prims, err := flatten(s.Items)
	if err != nil {
		return nil, err
	}
	w := dxfWriter{opt: opt, names: map[string]string{"": "0"}, handle: firstFree}
	for _, l := range layerOrder(s.Layers, prims)[1:] {
		w.addLayer(l)
	}
	box := primBounds(prims)
	if !isFinite(box.Min) || !isFinite(box.Max) {
		box = s.Bounds
	}
	var ents bytes.Buffer
	w.out = &ents
	for i := range prims {
		w.prim(&prims[i])
	}
	var all bytes.Buffer
	w.out = &all
	w.head(box)
	w.tables()
	w.blocks()
	w.group(0, "SECTION")
	w.group(2, "ENTITIES")
	all.Write(ents.Bytes())
	w.group(0, "ENDSEC")
	if !opt.R12 {
		w.objects()
	}
	w.group(0, "EOF")
	// The next free handle is known only now; the header holds its place.
	return bytes.Replace(all.Bytes(), []byte(handseed), []byte(fmt.Sprintf("%X", w.handle)), 1), nil
}

// Handles of the fixed objects of an R2000 file; entities and layers count on from firstFree.
const (
	hBlockTable = 0x1
	hLayerTable = 0x2
	hStyleTable = 0x3
	hTypeTable  = 0x5
	hViewTable  = 0x6
	hUCSTable   = 0x7
	hViewport   = 0x8
	hAppTable   = 0x9
	hDimTable   = 0xA
	hRoot       = 0xC
	hGroups     = 0xD
	hModel      = 0x1F
	hPaper      = 0x1B
	firstFree   = 0x30
	handseed    = "@HANDSEED@"
)

type dxfLayer struct {
	name   string
	colour int
}

type dxfWriter struct {
	opt    DXFOptions
	out    *bytes.Buffer
	layers []dxfLayer
	names  map[string]string // scene name to file name
	handle int
}

func (w *dxfWriter) group(code int, v string) {
	w.out.WriteString(strconv.Itoa(code))
	w.out.WriteString("\r\n")
	w.out.WriteString(v)
	w.out.WriteString("\r\n")
}

func (w *dxfWriter) num(code int, v float64) {
	s := strconv.FormatFloat(math.Round(v*1e8)/1e8, 'f', -1, 64)
	if s == "-0" {
		s = "0"
	}
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	w.group(code, s)
}

func (w *dxfWriter) int(code, v int) { w.group(code, strconv.Itoa(v)) }

func (w *dxfWriter) hex(code, v int) { w.group(code, strconv.FormatInt(int64(v), 16)) }

func (w *dxfWriter) point(code int, p geom.Vec2) {
	w.num(code, p.X)
	w.num(code+10, p.Y)
	w.num(code+20, 0)
}

// addLayer takes a layer in under a name both dialects allow: capitals, digits, '-' and '_', 31 long at most, never twice.
func (w *dxfWriter) addLayer(l Layer) {
	name := []byte(strings.ToUpper(idText(clean(l.Name))))
	name = name[:min(len(name), 31)]
	used := func(s string) bool {
		for _, k := range w.layers {
			if k.name == s {
				return true
			}
		}
		return s == "0" || s == ""
	}
	file := string(name)
	for i := 2; used(file); i++ {
		file = fmt.Sprintf("%s-%d", name[:min(len(name), 27)], i)
	}
	c := l.Colour
	if c < 1 || c > 255 {
		c = 7
	}
	w.names[l.Name] = file
	w.layers = append(w.layers, dxfLayer{file, c})
}

// entity starts an entity with its layer, its line type and, where the dialect has them, its line weight and class marker.
func (w *dxfWriter) entity(kind, class string, g *prim) {
	w.group(0, kind)
	if !w.opt.R12 {
		w.hex(5, w.handle)
		w.hex(330, hModel)
		w.handle++
		w.group(100, "AcDbEntity")
	}
	w.group(8, w.names[g.layer])
	if p, ok := penOf(g.style); ok && g.text == nil {
		if lt := dxfType(g.style.Line); lt != "" && g.style.Dash[1] == 0 {
			w.group(6, lt)
		}
		if !w.opt.R12 {
			w.int(370, dxfWeight(p.width))
		}
	}
	if !w.opt.R12 {
		w.group(100, class)
	}
}

// dxfWeight is the nearest of the line weights the format allows, 1/100 mm.
func dxfWeight(mm float64) int {
	best := 0
	for _, v := range [...]int{0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211} {
		if math.Abs(float64(v)-mm*100) < math.Abs(float64(best)-mm*100) {
			best = v
		}
	}
	return best
}

func dxfType(l Line) string {
	switch l {
	case Hidden, LeadWarn:
		return "HIDDEN"
	case CentreLn:
		return "CENTRE"
	case WireOpen:
		return "DOTTED"
	}
	return ""
}

func (w *dxfWriter) prim(g *prim) {
	if g.text != nil {
		if w.opt.Outlines {
			shape := prim{layer: g.layer, style: Style{Line: Thin}}
			for _, o := range g.letters(0.01) {
				w.poly(&shape, o)
			}
			return
		}
		w.text(g)
		return
	}
	if _, ok := penOf(g.style); !ok && (!solid(g.style.Fill) || g.open) {
		return
	}
	for _, o := range g.outlines {
		switch c, d, round := asCircle(o); {
		case round && !g.open:
			w.entity("CIRCLE", "AcDbCircle", g)
			w.point(10, c)
			w.num(40, d/2)
		case g.open && len(o) == 2 && math.Abs(o[0].Bulge) < straight:
			w.entity("LINE", "AcDbLine", g)
			w.point(10, o[0].P)
			w.point(11, o[1].P)
		case g.open && len(o) == 2:
			w.arc(g, o)
		case g.open && len(o) < 2:
		default:
			w.poly(g, o)
		}
	}
}

func (w *dxfWriter) arc(g *prim, o geom.Outline) {
	a := arcOf(o[0].P, o[1].P, o[0].Bulge)
	from, to := a.a0, a.a0+a.ang
	if a.ang < 0 {
		from, to = to, from
	}
	deg := func(r float64) float64 {
		d := math.Mod(r*180/math.Pi, 360)
		if d < 0 {
			d += 360
		}
		return d
	}
	w.entity("ARC", "AcDbCircle", g)
	w.point(10, a.c)
	w.num(40, a.r)
	if !w.opt.R12 {
		w.group(100, "AcDbArc")
	}
	w.num(50, deg(from))
	w.num(51, deg(to))
}

func (w *dxfWriter) poly(g *prim, o geom.Outline) {
	closed := 1
	if g.open {
		closed = 0
	}
	if w.opt.R12 {
		w.entity("POLYLINE", "", g)
		w.int(66, 1)
		w.point(10, geom.Vec2{})
		w.int(70, closed)
		for i, v := range o {
			w.group(0, "VERTEX")
			w.group(8, w.names[g.layer])
			w.point(10, v.P)
			if v.Bulge != 0 && (!g.open || i < len(o)-1) {
				w.num(42, v.Bulge)
			}
		}
		w.group(0, "SEQEND")
		w.group(8, w.names[g.layer])
		return
	}
	w.entity("LWPOLYLINE", "AcDbPolyline", g)
	w.int(90, len(o))
	w.int(70, closed)
	for i, v := range o {
		w.num(10, v.P.X)
		w.num(20, v.P.Y)
		if v.Bulge != 0 && (!g.open || i < len(o)-1) {
			w.num(42, v.Bulge)
		}
	}
}

func (w *dxfWriter) text(g *prim) {
	w.entity("TEXT", "AcDbText", g)
	w.point(10, g.at)
	w.num(40, capHeight(g.text.Face, g.size))
	w.group(1, dxfText(clean(g.text.S)))
	if a := math.Atan2(g.dir.Y, g.dir.X) * 180 / math.Pi; a != 0 {
		w.num(50, a)
	}
	w.group(7, "LETTERING")
	if g.text.Anchor != Left {
		// The anchor is kept so that a program with another font still centres the word.
		w.int(72, int(Centre))
		w.point(11, g.at.Add(g.dir.Mul(g.width/2)))
	}
	if !w.opt.R12 {
		w.group(100, "AcDbText")
	}
}

// dxfText writes what is not plain ASCII by code point, and takes the meaning from the marks the format reads inside text.
func dxfText(s string) string {
	var b strings.Builder
	for i, r := range s {
		switch {
		case r == '\\' || r == '^' || r < 0x20 || r > 0x7e,
			r == '%' && (strings.HasPrefix(s[i:], "%%") || i > 0 && s[i-1] == '%'):
			fmt.Fprintf(&b, `\U+%04X`, r)
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}
