package intake

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/geom"
)

// node is an element of an SVG file.
type node struct {
	name  string
	attrs map[string]string
	kids  []*node
	text  string
}

const (
	nodesMost = 200000
	deepMost  = 64
)

// SVG reads a scalable drawing: rectangles, circles, ellipses, lines, polygons, paths, texts, groups and things used again, with their
// transforms. An error is a sentence.
func SVG(src []byte) (*Drawing, error) {
	root, err := parseSVG(src)
	if err != nil {
		return nil, err
	}
	r := svg{d: &Drawing{From: "the drawing"}, ids: map[string]*node{}}
	r.index(root, 0)
	m := r.view(root)
	for _, k := range root.kids {
		r.draw(k, m, "", 0)
	}
	cs, left := joined(r.loose, tolerance(r.loose))
	r.d.Curves = append(r.d.Curves, cs...)
	r.d.Left = append(r.note.say(), looseEnds(left)...)
	return r.d, nil
}

func parseSVG(src []byte) (*node, error) {
	d := xml.NewDecoder(bytes.NewReader(src))
	d.Strict = false
	d.CharsetReader = func(_ string, in io.Reader) (io.Reader, error) { return in, nil }
	var stack []*node
	var root *node
	count := 0
	for {
		t, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("the SVG file is damaged: %w", err)
		}
		switch t := t.(type) {
		case xml.StartElement:
			if count++; count > nodesMost || len(stack) > 4*deepMost {
				return nil, fmt.Errorf("the drawing has more than %d things in it; that is no panel", nodesMost)
			}
			n := &node{name: t.Name.Local, attrs: map[string]string{}}
			for _, a := range t.Attr {
				n.attrs[a.Name.Local] = a.Value
			}
			if len(stack) > 0 {
				up := stack[len(stack)-1]
				up.kids = append(up.kids, n)
			} else if root == nil {
				root = n
			}
			stack = append(stack, n)
		case xml.EndElement:
			if len(stack) > 0 {
				stack = stack[:len(stack)-1]
			}
		case xml.CharData:
			if len(stack) > 0 {
				stack[len(stack)-1].text += string(t)
			}
		}
	}
	if root == nil || root.name != "svg" {
		return nil, errors.New("this is no SVG file")
	}
	return root, nil
}

type svg struct {
	d     *Drawing
	ids   map[string]*node
	loose []piece
	note  note
	used  int
}

func (r *svg) index(n *node, deep int) {
	if id := n.attrs["id"]; id != "" {
		r.ids[id] = n
	}
	if deep < 4*deepMost {
		for _, k := range n.kids {
			r.index(k, deep+1)
		}
	}
}

// svgUnits are units of length of SVG in mm.
var svgUnits = map[string]float64{"mm": 1, "cm": 10, "in": 25.4, "pt": 25.4 / 72, "pc": 25.4 / 6, "px": 25.4 / 96, "q": 0.25}

// measure reads a number with its unit; unit "" for none.
func measure(s string) (v float64, unit string, ok bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	i := len(s)
	for i > 0 && (s[i-1] < '0' || s[i-1] > '9') && s[i-1] != '.' {
		i--
	}
	v, err := strconv.ParseFloat(s[:i], 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, "", false
	}
	return v, strings.TrimSpace(s[i:]), true
}

// long gives a length of an attribute in the drawing's own unit.
func long(n *node, name string, or float64) float64 {
	v, unit, ok := measure(n.attrs[name])
	if !ok {
		return or
	}
	if k := svgUnits[unit]; k > 0 && unit != "px" {
		return v * k / svgUnits["px"]
	}
	return v
}

// view finds the unit of the drawing and turns it upright.
func (r *svg) view(root *node) affine {
	w, wu, wok := measure(root.attrs["width"])
	h, hu, hok := measure(root.attrs["height"])
	box := numbers(root.attrs["viewBox"])
	up := affine{A: 1, D: -1}
	if len(box) == 4 && box[2] > 0 && box[3] > 0 {
		up.F = 2*box[1] + box[3]
		if k := svgUnits[wu]; wok && k > 0 {
			r.d.Unit = w * k / box[2]
			r.d.Inch = wu == "in"
			r.d.UnitSay = fmt.Sprintf("its width of %s", strings.TrimSpace(root.attrs["width"]))
		}
		if k := svgUnits[hu]; hok && k > 0 {
			if u := h * k / box[3]; r.d.Unit == 0 || u < r.d.Unit {
				r.d.Unit, r.d.UnitSay = u, fmt.Sprintf("its height of %s", strings.TrimSpace(root.attrs["height"]))
			}
		}
		return up
	}
	if hok {
		up.F = long(root, "height", 0)
	}
	if wok || hok {
		r.d.Unit, r.d.UnitSay = svgUnits["px"], "pixels of 1/96 inch, as is usual"
	}
	return up
}

func (r *svg) draw(n *node, m affine, layer string, deep int) {
	if deep > deepMost {
		r.note.add("things used within themselves")
		return
	}
	if r.used++; r.used > nodesMost {
		return
	}
	if hidden(n) {
		return
	}
	if t := n.attrs["transform"]; t != "" {
		m = m.then(transform(t))
	}
	if l := n.attrs["label"]; l != "" && n.name == "g" {
		layer = l
	} else if id := n.attrs["id"]; id != "" && n.name == "g" {
		layer = id
	}
	if said := n.attrs["aria-label"]; said != "" && (n.name == "path" || n.name == "g" && n.attrs["role"] == "img") && n.attrs["role"] != "none" {
		r.spoken(n, m, said, layer, deep)
		return
	}
	switch n.name {
	case "g", "a", "svg", "switch":
		if n.name == "svg" {
			m = m.then(affine{1, 0, 0, 1, long(n, "x", 0), long(n, "y", 0)})
		}
		for _, k := range n.kids {
			r.draw(k, m, layer, deep+1)
		}
	case "use":
		if u := r.ids[strings.TrimPrefix(n.attrs["href"], "#")]; u != nil {
			m = m.then(affine{1, 0, 0, 1, long(n, "x", 0), long(n, "y", 0)})
			if u.name == "symbol" {
				for _, k := range u.kids {
					r.draw(k, m, layer, deep+1)
				}
				return
			}
			r.draw(u, m, layer, deep+1)
		}
	case "circle":
		r.oval(m, geom.Vec2{X: long(n, "cx", 0), Y: long(n, "cy", 0)}, long(n, "r", 0), long(n, "r", 0), layer)
	case "ellipse":
		r.oval(m, geom.Vec2{X: long(n, "cx", 0), Y: long(n, "cy", 0)}, long(n, "rx", 0), long(n, "ry", 0), layer)
	case "rect":
		r.rect(m, n, layer)
	case "line":
		r.loose = append(r.loose, piece{m.apply(geom.Vec2{X: long(n, "x1", 0), Y: long(n, "y1", 0)}), m.apply(geom.Vec2{X: long(n, "x2", 0), Y: long(n, "y2", 0)}), 0, layer})
	case "polyline", "polygon":
		xs := numbers(n.attrs["points"])
		var o geom.Outline
		for i := 0; i+1 < len(xs); i += 2 {
			o = append(o, geom.Vertex{P: m.apply(geom.Vec2{X: xs[i], Y: xs[i+1]})})
		}
		r.line(o, n.name == "polygon", layer)
	case "path":
		paths, ok := path(n.attrs["d"])
		if !ok {
			r.note.add("paths that are damaged, read as far as they go")
		}
		for _, p := range paths {
			var o geom.Outline
			_, even := m.even()
			for _, v := range p.at {
				b := v.Bulge
				if m.flips() {
					b = -b
				}
				if !even {
					b = 0
				}
				o = append(o, geom.Vertex{P: m.apply(v.P), Bulge: b})
			}
			r.line(o, p.closed, layer)
		}
	case "text":
		r.label(n, m, layer)
	case "image":
		r.note.add("pictures")
	}
}

// spoken takes lettering that was turned into outlines, and that says what it reads, as a text.
func (r *svg) spoken(n *node, m affine, said, layer string, deep int) {
	t := svg{d: &Drawing{}, ids: r.ids, used: r.used}
	bare := *n
	bare.attrs = maps.Clone(n.attrs)
	delete(bare.attrs, "aria-label")
	delete(bare.attrs, "transform") // it is in m already
	t.draw(&bare, m, layer, deep+1)
	r.used = t.used
	b := geom.EmptyBox2()
	for _, c := range t.d.Curves {
		b = b.Union(c.Outline.Bounds())
	}
	for _, p := range t.loose {
		b = b.Extend(p.a).Extend(p.b)
	}
	if b.Max.X >= b.Min.X {
		r.d.Labels = append(r.d.Labels, Label{geom.Vec2{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}, said, layer})
	}
}

func hidden(n *node) bool {
	style := strings.ReplaceAll(n.attrs["style"], " ", "")
	return n.attrs["display"] == "none" || n.attrs["visibility"] == "hidden" || strings.Contains(style, "display:none") || strings.Contains(style, "visibility:hidden")
}

// line takes a run of corners in.
func (r *svg) line(o geom.Outline, closed bool, layer string) {
	if len(o) < 2 {
		return
	}
	if n := len(o) - 1; !closed && o[0].P.Sub(o[n].P).Len() < 1e-6*(1+o[0].P.Len()) {
		o, closed = o[:n], true
	}
	if closed {
		if o = upright(o); o != nil {
			r.d.Curves = append(r.d.Curves, Curve{Outline: o, Layer: layer})
		}
		return
	}
	for i := 0; i+1 < len(o); i++ {
		r.loose = append(r.loose, piece{o[i].P, o[i+1].P, o[i].Bulge, layer})
	}
}

func (r *svg) oval(m affine, c geom.Vec2, rx, ry float64, layer string) {
	if rx <= 0 || ry <= 0 {
		return
	}
	if k, ok := m.even(); ok && math.Abs(rx-ry) < 1e-9*rx {
		r.d.Curves = append(r.d.Curves, Curve{Outline: geom.Circle(m.apply(c), 2*rx*k), Layer: layer})
		return
	}
	var o geom.Outline
	for i := range 72 {
		s, k := math.Sincos(2 * math.Pi * float64(i) / 72)
		o = append(o, geom.Vertex{P: m.apply(geom.Vec2{X: c.X + rx*k, Y: c.Y + ry*s})})
	}
	r.line(o, true, layer)
}

func (r *svg) rect(m affine, n *node, layer string) {
	x, y, w, h := long(n, "x", 0), long(n, "y", 0), long(n, "width", 0), long(n, "height", 0)
	if w <= 0 || h <= 0 {
		return
	}
	rx, ry := long(n, "rx", -1), long(n, "ry", -1)
	if rx < 0 {
		rx = ry
	}
	if ry < 0 {
		ry = rx
	}
	c := max(0, min(min(rx, ry), min(w, h)/2))
	o := geom.Rect(geom.Vec2{X: x + w/2, Y: y + h/2}, w, h, c)
	_, even := m.even()
	var q geom.Outline
	for _, v := range o {
		b := v.Bulge
		if m.flips() {
			b = -b
		}
		if !even {
			b = 0
		}
		q = append(q, geom.Vertex{P: m.apply(v.P), Bulge: b})
	}
	r.line(q, true, layer)
}

func (r *svg) label(n *node, m affine, layer string) {
	s := strings.Join(strings.Fields(textOf(n)), " ")
	if s == "" {
		return
	}
	x, y := long(n, "x", math.NaN()), long(n, "y", math.NaN())
	if math.IsNaN(x) {
		for _, k := range n.kids {
			if x = long(k, "x", math.NaN()); !math.IsNaN(x) {
				y = long(k, "y", 0)
				break
			}
		}
	}
	if math.IsNaN(x) {
		x, y = 0, 0
	}
	size := long(n, "font-size", 0)
	if i := strings.Index(n.attrs["style"], "font-size:"); size == 0 && i >= 0 {
		v, _, _ := measure(strings.SplitN(n.attrs["style"][i+10:], ";", 2)[0])
		size = v
	}
	switch wide := 0.3 * size * float64(len([]rune(s))); {
	case n.attrs["text-anchor"] == "middle" || strings.Contains(n.attrs["style"], "text-anchor:middle"):
	case n.attrs["text-anchor"] == "end" || strings.Contains(n.attrs["style"], "text-anchor:end"):
		x -= wide
	default:
		x += wide
	}
	r.d.Labels = append(r.d.Labels, Label{m.apply(geom.Vec2{X: x, Y: y - 0.35*size}), s, layer})
}

func textOf(n *node) string {
	s := n.text
	for _, k := range n.kids {
		if k.name == "tspan" || k.name == "textPath" {
			s += " " + textOf(k)
		}
	}
	return s
}
