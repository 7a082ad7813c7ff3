package drawing

import (
	"bytes"
	"sync"
	"unicode"

	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/unicode/bidi"
)

// Text in scripts that are written from right to left, joined up or stacked, and letters that only the stand-in has, are shaped: the line is
// parted into stretches of one direction, one script and one font, the shaper says which glyphs stand where, and the writers draw
// these as areas. Plain text does not come here.

// joiner reports whether a rune tells its neighbours to join or not to join.
func joiner(r rune) bool { return r == 0x200c || r == 0x200d }

// simple reports whether a cleaned line is set letter by letter from left to right.
func simple(f Face, s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] >= 0x80 {
			for _, r := range s {
				if r >= 0x80 {
					if _, t := find(f, r); t == nil {
						return false
					}
				}
			}
			return true
		}
	}
	return true
}

// fine gives the first real font of a face that has a rune, also of scripts that must be shaped; nil when none has.
func fine(f Face, r rune) *typeface {
	for _, id := range chain(f) {
		if t := load(id); t.glyph(r).index != 0 {
			return t
		}
	}
	return nil
}

// dots gives the stand-in font that has a rune; nil when it has none either.
func dots(r rune) *typeface {
	if unicode.Is(unicode.Co, r) {
		return nil
	}
	for _, id := range []fontID{fontDots, fontDotsUpper} {
		if t := load(id); t.glyph(r).index != 0 {
			return t
		}
	}
	return nil
}

// known reports whether a rune can be set at all.
func known(r rune) bool {
	if r < 0x80 || joiner(r) {
		return true
	}
	if unicode.Is(unicode.Co, r) {
		return false
	}
	return fine(Lettering, r) != nil || dots(r) != nil
}

// stretch is a part of a line in one direction, script and font.
type stretch struct {
	from, to int // runes
	right    bool
	script   language.Script
	face     *typeface
	plain    bool // set letter by letter
}

// shapeLine sets a line of any script. Runes that no font has are left out.
func shapeLine(t *Text, s string) (runs []run, width float64) {
	var rs []rune
	for _, r := range s {
		if known(r) {
			rs = append(rs, r)
		}
	}
	x := 0.0
	for _, st := range stretches(t.Face, rs) {
		text := string(rs[st.from:st.to])
		if st.plain {
			part := *t
			more, w, err := plainLine(&part, text, text)
			if err != nil {
				continue // every rune is known
			}
			for _, r := range more {
				r.x += x
				runs = append(runs, r)
			}
			x += w + t.Track*t.Size
			continue
		}
		r := run{face: st.face, text: text, x: x}
		w := 0.0
		track := t.Track
		if joins(st.script) {
			track = 0 // letters that hold hands are not pulled apart
		}
		r.drawn, w = st.face.shape(rs, st, t.Size, track)
		runs = append(runs, r)
		x += w
	}
	return runs, max(0, x-t.Track*t.Size)
}

// joins reports whether the letters of a script are joined, or hang on one line.
func joins(s language.Script) bool {
	switch s {
	case language.Hebrew, language.Han, language.Hiragana, language.Katakana, language.Hangul, language.Greek, language.Cyrillic, language.Latin, language.Thai, language.Common:
		return false
	}
	return true
}

// shape asks the shaper for the glyphs of a stretch; places in mm at a type size.
func (f *typeface) shape(rs []rune, st stretch, size, track float64) (out []placed, width float64) {
	dir := di.DirectionLTR
	if st.right {
		dir = di.DirectionRTL
	}
	in := shaping.Input{Text: rs, RunStart: st.from, RunEnd: st.to, Direction: dir, Face: f.shaper(), Size: fixed.I(int(f.upem)), Script: st.script, Language: language.NewLanguage("en")}
	shapers.Lock()
	o := shapers.s.Shape(in)
	shapers.Unlock()
	k := size / f.upem / 64
	out = []placed{}
	x := 0.0
	for _, g := range o.Glyphs {
		out = append(out, placed{sfnt.GlyphIndex(g.GlyphID), x + float64(g.XOffset)*k, float64(g.YOffset) * k})
		x += float64(g.Advance) * k
		if g.Advance != 0 {
			x += track * size
		}
	}
	return out, x
}

// shapers holds the shaper, which is not for several at once.
var shapers struct {
	sync.Mutex
	s shaping.HarfbuzzShaper
}

var shapeFaces [fontCount]struct {
	once sync.Once
	face *font.Face
}

// shaper gives the font as the shaper reads it.
func (f *typeface) shaper() *font.Face {
	s := &shapeFaces[f.id]
	s.once.Do(func() {
		face, err := font.ParseTTF(bytes.NewReader(f.data))
		if err != nil {
			panic("drawing: " + fontNames[f.id] + ": " + err.Error()) // part of the program
		}
		s.face = face
	})
	return s.face
}

// stretches parts a line, in the order in which the parts stand from left to right.
func stretches(f Face, rs []rune) []stretch {
	var out []stretch
	for _, d := range visual(rs) {
		var part []stretch
		for i := d.from; i < d.to; {
			j := cluster(rs, i, d.to)
			st := stretch{from: i, to: j, right: d.right, script: scriptOf(rs[i])}
			st.face, st.plain = faceFor(f, rs[i:j], d.right)
			if n := len(part); n > 0 {
				l := &part[n-1]
				same := st.script == l.script || st.script == language.Common || st.script == language.Inherited
				if st.plain && l.plain || st.face == l.face && st.plain == l.plain && same {
					l.to = j
					i = j
					continue
				}
				if l.script == language.Common && st.face == l.face && !st.plain && !l.plain {
					l.to, l.script = j, st.script
					i = j
					continue
				}
			}
			part = append(part, st)
			i = j
		}
		if d.right {
			for a, b := 0, len(part)-1; a < b; a, b = a+1, b-1 {
				part[a], part[b] = part[b], part[a]
			}
		}
		out = append(out, part...)
	}
	return out
}

// cluster gives the end of a letter with its marks and joiners.
func cluster(rs []rune, i, to int) int {
	j := i + 1
	for j < to && (unicode.In(rs[j], unicode.Mn, unicode.Me, unicode.Mc) || joiner(rs[j])) {
		j++
	}
	return j
}

// faceFor finds the font of a letter with its marks: the first that has all of them, else the stand-in.
func faceFor(f Face, rs []rune, right bool) (t *typeface, plain bool) {
	if !right && len(rs) == 1 {
		if _, t := find(f, rs[0]); t != nil {
			return t, true
		}
	}
	has := func(t *typeface) bool {
		for _, r := range rs {
			if !joiner(r) && t.glyph(r).index == 0 {
				return false
			}
		}
		return true
	}
	for _, id := range chain(f) {
		if t := load(id); has(t) {
			return t, false
		}
	}
	for _, id := range []fontID{fontDots, fontDotsUpper} {
		if t := load(id); has(t) {
			return t, false
		}
	}
	if t := fine(f, rs[0]); t != nil {
		return t, false
	}
	if t := dots(rs[0]); t != nil {
		return t, false
	}
	return load(fontDots), false
}

func scriptOf(r rune) language.Script { return language.LookupScript(r) }

// way is a stretch of one direction.
type way struct {
	from, to int
	right    bool
}

// visual parts a line by direction and puts the parts in the order in which they are seen. The direction of the line is that of its first
// letter. Rules of the Unicode bidirectional algorithm (UAX #9), without embeddings: their marks have been dropped.
func visual(rs []rune) []way {
	n := len(rs)
	class := make([]bidi.Class, n)
	base := 0
	found := false
	for i, r := range rs {
		p, _ := bidi.LookupRune(r)
		class[i] = p.Class()
		if !found && (class[i] == bidi.L || class[i] == bidi.R || class[i] == bidi.AL) {
			found = true
			if class[i] != bidi.L {
				base = 1
			}
		}
	}
	level := levels(class, base)
	// reverse from the highest level down (L2)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	top := 0
	for _, l := range level {
		top = max(top, l)
	}
	for l := top; l >= 1; l-- {
		for i := 0; i < n; i++ {
			if level[i] < l {
				continue
			}
			j := i
			for j < n && level[j] >= l {
				j++
			}
			for a, b := i, j-1; a < b; a, b = a+1, b-1 {
				order[a], order[b] = order[b], order[a]
			}
			i = j
		}
	}
	// stretches whose runes follow each other in the text, up or down
	var out []way
	for i := 0; i < n; {
		k := order[i]
		right := level[k]%2 == 1
		j := i + 1
		for j < n && level[order[j]] == level[k] && (right && order[j] == order[j-1]-1 || !right && order[j] == order[j-1]+1) {
			j++
		}
		if right {
			out = append(out, way{order[j-1], k + 1, true})
		} else {
			out = append(out, way{k, order[j-1] + 1, false})
		}
		i = j
	}
	return out
}

// levels works out the level of every rune: rules W1 to W7, N1, N2, I1, I2 of UAX #9.
func levels(class []bidi.Class, base int) []int {
	n := len(class)
	c := append([]bidi.Class{}, class...)
	edge := bidi.L
	if base == 1 {
		edge = bidi.R
	}
	last := edge // W1: a mark is as what it stands on
	for i := range c {
		if c[i] == bidi.NSM {
			c[i] = last
		}
		last = c[i]
	}
	strong := edge // W2, W3
	for i := range c {
		switch c[i] {
		case bidi.L, bidi.R, bidi.AL:
			strong = c[i]
		case bidi.EN:
			if strong == bidi.AL {
				c[i] = bidi.AN
			}
		}
	}
	for i := range c {
		if c[i] == bidi.AL {
			c[i] = bidi.R
		}
	}
	for i := 1; i+1 < n; i++ { // W4
		if (c[i] == bidi.ES || c[i] == bidi.CS) && c[i-1] == bidi.EN && c[i+1] == bidi.EN {
			c[i] = bidi.EN
		}
		if c[i] == bidi.CS && c[i-1] == bidi.AN && c[i+1] == bidi.AN {
			c[i] = bidi.AN
		}
	}
	for i := 0; i < n; i++ { // W5, W6
		if c[i] != bidi.ET {
			continue
		}
		j := i
		for j < n && c[j] == bidi.ET {
			j++
		}
		to := bidi.ON
		if i > 0 && c[i-1] == bidi.EN || j < n && c[j] == bidi.EN {
			to = bidi.EN
		}
		for k := i; k < j; k++ {
			c[k] = to
		}
		i = j
	}
	for i := range c {
		if c[i] == bidi.ES || c[i] == bidi.CS {
			c[i] = bidi.ON
		}
	}
	strong = edge // W7
	for i := range c {
		switch c[i] {
		case bidi.L, bidi.R:
			strong = c[i]
		case bidi.EN:
			if strong == bidi.L {
				c[i] = bidi.L
			}
		}
	}
	dir := func(i int) bidi.Class { // for N1: numbers count as right to left
		if i < 0 || i >= n {
			return edge
		}
		if c[i] == bidi.L {
			return bidi.L
		}
		return bidi.R
	}
	neutral := func(x bidi.Class) bool {
		return x != bidi.L && x != bidi.R && x != bidi.EN && x != bidi.AN
	}
	for i := 0; i < n; i++ {
		if !neutral(c[i]) {
			continue
		}
		j := i
		for j < n && neutral(c[j]) {
			j++
		}
		to := edge
		if dir(i-1) == dir(j) {
			to = dir(i - 1)
		}
		for k := i; k < j; k++ {
			c[k] = to
		}
		i = j
	}
	out := make([]int, n)
	for i := range c {
		out[i] = base
		switch {
		case base == 0 && c[i] == bidi.R, base == 1 && (c[i] == bidi.L || c[i] == bidi.EN || c[i] == bidi.AN):
			out[i] = base + 1
		case base == 0 && (c[i] == bidi.EN || c[i] == bidi.AN):
			out[i] = 2
		}
	}
	return out
}
