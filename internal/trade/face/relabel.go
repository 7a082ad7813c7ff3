package face

import (
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// sides are the places of a legend, in the order in which they are tried: above is not hidden by the hand.
var sides = []string{"above", "below", "right", "left"}

// relabel looks for another side of a control where its letters meet nothing. Both ends of a hit are tried, the later one
// first.
func (k *checker) relabel(h *hit) (f finding.Fix, item int, ok bool) {
	switch h.code {
	case cHidden, cHoleWords:
		n := h.a
		if h.ra != roleLetters {
			n = h.b
		}
		f, ok = k.relabelOne(n)
		return f, n, ok
	case cLetters:
		for _, n := range []int{h.b, h.a} {
			if f, ok = k.relabelOne(n); ok {
				return f, n, true
			}
		}
	case cOffSheet:
		f, ok = k.relabelOne(h.a)
		return f, h.a, ok
	}
	return f, -1, false
}

// relabelOne looks for another side for one item's letters.
func (k *checker) relabelOne(n int) (finding.Fix, bool) {
	x := &k.items[n]
	if x.ctl == nil || len(x.ctl.Legend.Lines) == 0 || k.leading(n) {
		return finding.Fix{}, false
	}
	path, ok := legendPath(x)
	if !ok {
		return finding.Fix{}, false
	}
	k.index()
	for _, side := range sides {
		if side == x.ctl.Legend.Place {
			continue
		}
		_, box := x.ctl.Beside(side)
		y := *x
		y.words = []shape{ofBox(box)}
		y.measure()
		if k.legible(&y) {
			v := k.legendText(x, side)
			return finding.Fix{
				Say: "Put the letters of " + k.name(x) + " " + sideWords(side), Short: x.ctl.Name + ": legend: " + v,
				Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: v}},
			}, true
		}
	}
	return finding.Fix{}, false
}

func sideWords(side string) string {
	switch side {
	case "left", "right":
		return "to the " + side + " of it"
	}
	return side + " it"
}

// legible reports whether nothing at all is wrong with the letters of an item.
func (k *checker) legible(y *item) bool {
	var buf [16]hit
	bad := func(found []hit) bool {
		for i := range found {
			switch found[i].rule {
			case &ruleLegendHidden, &ruleLegendOverlap, &ruleLegendOff:
				return true
			}
		}
		return false
	}
	if bad(k.alone(buf[:0], y, geom.Vec2{})) {
		return false
	}
	for i := range y.cuts {
		if c := &y.cuts[i]; c.cut.Blind == 0 && near(y.wordBox, geom.Vec2{}, c.box, k.v.letterGap) && !covered(c, y) {
			return false
		}
	}
	for _, i := range k.grid.find(y.all.Grow(k.margin)) {
		if int(i) != y.n && bad(k.letters(buf[:0], y, geom.Vec2{}, &k.items[i])) {
			return false
		}
	}
	return true
}

// legendPath gives the path of a control's legend in the file: under the control itself, or under its entry among the
// changes to single members of a group. What a mirror or a copy made has no legend of its own.
func legendPath(x *item) (string, bool) {
	o := x.ctl.Origin
	switch {
	case x.ctl.From != "":
		return "", false
	case o.MovePath != "":
		return o.MovePath[:strings.LastIndexByte(o.MovePath, '.')] + ".legend", true
	case strings.HasSuffix(o.Path, "."+x.ctl.Name):
		return o.Path + ".legend", true
	}
	return "", false
}

// legendText writes a legend as it would stand in the file, with another side.
func (k *checker) legendText(x *item, side string) string {
	l := &x.ctl.Legend
	v := "{text: " + quote(l.Text) + ", place: " + side
	if d := l.Cap - k.p.Legend.Cap; d > slack || d < -slack {
		v += ", cap: " + k.num(l.Cap)
	}
	if d := l.Gap - k.p.Legend.Gap; d > slack || d < -slack {
		v += ", gap: " + k.num(l.Gap)
	}
	return v + "}"
}

// quote writes a text as a scalar of the file: as it is when it is plain capitals that mean nothing else, else in quotes.
func quote(s string) string {
	plain := s != ""
	for _, r := range s {
		plain = plain && (r >= 'A' && r <= 'Z' || r == ' ')
	}
	switch s {
	case "Y", "N", "YES", "NO", "ON", "OFF", "TRUE", "FALSE", "NULL":
		plain = false
	}
	if plain && strings.TrimSpace(s) == s {
		return s
	}
	return strconv.Quote(s) // every escape that it writes is one of YAML as well
}
