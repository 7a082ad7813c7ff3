package drawing

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/image/font/sfnt"
	"golang.org/x/text/unicode/norm"
)

// clean makes a line of text safe to set: accents are joined to their letters (NFC), tabs, line ends and odd spaces become a
// space, control and invisible formatting characters are dropped, bytes that are not UTF-8 become U+FFFD.
func clean(s string) string {
	plain := true
	for i := 0; i < len(s); i++ {
		if s[i] < 0x20 || s[i] >= 0x7f {
			plain = false
			break
		}
	}
	if plain {
		return s
	}
	s = norm.NFC.String(strings.ToValidUTF8(s, string(utf8.RuneError)))
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\t' || r == '\n' || r == '\r' || r == '\v' || r == '\f' || r == 0x85:
			return ' '
		case r == 0xa0 || r == 0x202f: // spaces that do not break: a line of text breaks nowhere
			return ' '
		case unicode.In(r, unicode.Zl, unicode.Zp, unicode.Zs):
			return ' '
		case joiner(r): // tells letters that join how to
			return r
		case unicode.In(r, unicode.Cc, unicode.Cf):
			return -1
		case unicode.Is(unicode.Variation_Selector, r):
			return -1
		}
		return r
	}, s)
}

// joined are the scripts that need turning round, joining or stacking.
var joined = []*unicode.RangeTable{
	unicode.Arabic, unicode.Hebrew, unicode.Syriac, unicode.Thaana, unicode.Nko, unicode.Mandaic, unicode.Samaritan, unicode.Adlam,
	unicode.Devanagari, unicode.Bengali, unicode.Tamil, unicode.Telugu, unicode.Kannada, unicode.Malayalam, unicode.Gujarati,
	unicode.Gurmukhi, unicode.Oriya, unicode.Sinhala, unicode.Thai, unicode.Lao, unicode.Tibetan, unicode.Myanmar, unicode.Khmer,
	unicode.Mongolian,
}

// settable reports whether a rune comes out right when set on its own, left to right.
func settable(r rune) bool {
	if r < 0x300 {
		return true
	}
	if r > 0xFFFF || unicode.In(r, joined...) || unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Co, r) {
		return false
	}
	return true
}

// run is a stretch of text in one font with no kerning inside: it is set by the letters' own advances.
type run struct {
	face  *typeface
	text  string
	x     float64  // start, mm from the start of the line
	drawn []placed // where the glyphs of a shaped run stand; nil for letters that follow each other by their own advances
}

// placed is a glyph in its place, mm from the start of its run.
type placed struct {
	index sfnt.GlyphIndex
	x, y  float64
}

// each visits the glyphs of a run with their places from the start of the line, mm.
func (r run) each(g *prim, see func(i sfnt.GlyphIndex, x, y float64)) {
	if r.drawn != nil {
		for _, p := range r.drawn {
			see(p.index, r.x+p.x, p.y)
		}
		return
	}
	x := r.x
	for _, c := range r.text {
		gl := r.face.glyph(c)
		see(gl.index, x, 0)
		x += (gl.advance + g.text.Track) * g.size
	}
}

// setLine breaks a line of text into runs and gives its width; an error names a rune no font can set, and the text.
func setLine(t *Text) (runs []run, width float64, err error) {
	s := clean(t.S)
	if !simple(t.Face, s) {
		for _, r := range s {
			if !known(r) {
				return nil, 0, &GlyphError{Rune: r, Text: t.S}
			}
		}
		runs, width = shapeLine(t, s)
		return runs, width, nil
	}
	return plainLine(t, s, t.S)
}

// plainLine sets letters side by side, left to right, with the kerning of their font.
func plainLine(t *Text, s, whole string) (runs []run, width float64, err error) {
	start := 0
	x, x0 := 0.0, 0.0
	var cur *typeface
	var last rune
	for i, r := range s {
		g, tf := find(t.Face, r)
		if tf == nil {
			return nil, 0, &GlyphError{Rune: r, Text: whole}
		}
		kern := 0.0
		if tf == cur {
			kern = tf.kern(last, r) * t.Size
		}
		last = r
		x += kern
		if tf != cur || kern != 0 {
			if cur != nil {
				runs = append(runs, run{face: cur, text: s[start:i], x: x0})
			}
			cur, start, x0 = tf, i, x
		}
		x += (g.advance + t.Track) * t.Size
	}
	if cur != nil {
		runs = append(runs, run{face: cur, text: s[start:], x: x0})
	}
	if s != "" {
		x -= t.Track * t.Size
	}
	return runs, x, nil
}

// A GlyphError says that a text holds a character that none of the fonts can set.
type GlyphError struct {
	Rune rune
	Text string
}

func (e *GlyphError) Error() string {
	return fmt.Sprintf("no font here holds the character %s (U+%04X) in the text %q; write it another way", string(e.Rune), e.Rune, e.Text)
}
