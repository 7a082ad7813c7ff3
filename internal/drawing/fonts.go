package drawing

import (
	"bytes"
	"compress/gzip"
	"embed"
	"fmt"
	"io"
	"io/fs"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// The fonts' licences stand beside them: Routed Gothic and Atkinson Hyperlegible Next under the SIL Open Font License,
// DejaVu under the Bitstream Vera licence, Unifont under the SIL Open Font License too.
//
//go:embed fonts
var fontFiles embed.FS

// fontID names one font file.
type fontID int

const (
	fontLettering fontID = iota
	fontPencilled
	fontRead
	fontReadHalf
	fontReadBold
	fontFile
	fontSans
	fontSansBold
	fontDots      // every script, drawn on a grid of 16 dots: a stand-in where the others have no letter
	fontDotsUpper // the same for what lies beyond U+FFFF: emoji, old scripts
	fontCount

	chainCount = fontDots
)

var fontNames = [fontCount]string{
	"routed-gothic.ttf", "routed-gothic-half-italic.ttf",
	"AtkinsonHyperlegibleNext_400Regular.ttf", "AtkinsonHyperlegibleNext_600SemiBold.ttf", "AtkinsonHyperlegibleNext_700Bold.ttf",
	"DejaVuSansMono.ttf", "DejaVuSans.ttf", "DejaVuSans-Bold.ttf", "unifont.otf.gz", "unifont_upper.otf.gz",
}

// chain gives the fonts of a face in the order they are asked for a glyph.
func chain(f Face) [chainCount]fontID {
	rest := [chainCount]fontID{fontLettering, fontSans, fontSansBold, fontRead, fontFile, fontPencilled, fontReadHalf, fontReadBold}
	switch f {
	case Pencilled:
		return [chainCount]fontID{fontPencilled, fontSans, fontSansBold, fontLettering, fontRead, fontFile, fontReadHalf, fontReadBold}
	case Read:
		return [chainCount]fontID{fontRead, fontSans, fontSansBold, fontLettering, fontFile, fontPencilled, fontReadHalf, fontReadBold}
	case ReadHalf:
		return [chainCount]fontID{fontReadHalf, fontSansBold, fontSans, fontRead, fontLettering, fontFile, fontPencilled, fontReadBold}
	case ReadBold:
		return [chainCount]fontID{fontReadBold, fontSansBold, fontSans, fontRead, fontLettering, fontFile, fontPencilled, fontReadHalf}
	case FileFace:
		return [chainCount]fontID{fontFile, fontSans, fontSansBold, fontRead, fontLettering, fontPencilled, fontReadHalf, fontReadBold}
	}
	return rest
}

// glyph is what is known of a rune in one font: units of 1/em.
type glyph struct {
	index   sfnt.GlyphIndex // 0 = the font has none
	advance float64         // in em
}

// typeface is one parsed font file. Safe for concurrent use.
type typeface struct {
	id   fontID
	data []byte
	font *sfnt.Font
	em   fixed.Int26_6 // units per em as a size: at this size one unit is one
	upem float64
	cap  float64 // height of H, in em

	mu     sync.Mutex
	buf    sfnt.Buffer
	glyphs map[rune]glyph
	shapes map[sfnt.GlyphIndex][]segment
	pairs  map[[2]sfnt.GlyphIndex]float64
	low    [0x180]glyph // read without the lock after parsing
	kerns  [0x60][0x60]float32
}

var faces [fontCount]struct {
	once sync.Once
	face *typeface
}

// load parses a font the first time it is asked for. The files are part of the program; one that does not parse is a broken
// build, found by the package's tests.
func load(id fontID) *typeface {
	f := &faces[id]
	f.once.Do(func() {
		data, err := fontFiles.ReadFile("fonts/" + fontNames[id])
		if err != nil {
			panic(fmt.Sprintf("drawing: font %s: %v", fontNames[id], err))
		}
		if strings.HasSuffix(fontNames[id], ".gz") {
			z, err := gzip.NewReader(bytes.NewReader(data))
			if err == nil {
				data, err = io.ReadAll(z)
			}
			if err != nil {
				panic(fmt.Sprintf("drawing: font %s: %v", fontNames[id], err))
			}
		}
		f.face, err = parseFace(id, data)
		if err != nil {
			panic(fmt.Sprintf("drawing: font %s: %v", fontNames[id], err))
		}
	})
	return f.face
}

func parseFace(id fontID, data []byte) (*typeface, error) {
	fnt, err := sfnt.Parse(data)
	if err != nil {
		return nil, err
	}
	t := &typeface{
		id: id, data: data, font: fnt, em: fixed.I(int(fnt.UnitsPerEm())), upem: float64(fnt.UnitsPerEm()),
		glyphs: map[rune]glyph{}, shapes: map[sfnt.GlyphIndex][]segment{},
		pairs: map[[2]sfnt.GlyphIndex]float64{},
	}
	for r := range t.low {
		t.low[r] = t.lookUp(rune(r))
	}
	for a := range t.kerns {
		for b := range t.kerns[a] {
			t.kerns[a][b] = float32(t.lookUpKern(t.low[a+0x20].index, t.low[b+0x20].index))
		}
	}
	box, _, err := fnt.GlyphBounds(&t.buf, t.low['H'].index, t.em, font.HintingNone)
	if err != nil {
		return nil, err
	}
	t.cap = -float64(box.Min.Y) / 64 / t.upem
	return t, nil
}

func (t *typeface) lookUp(r rune) glyph {
	i, err := t.font.GlyphIndex(&t.buf, r)
	if err != nil || i == 0 {
		return glyph{}
	}
	a, err := t.font.GlyphAdvance(&t.buf, i, t.em, font.HintingNone)
	if err != nil {
		return glyph{}
	}
	return glyph{i, float64(a) / 64 / t.upem}
}

// glyph looks a rune up; index 0 means the font lacks it.
func (t *typeface) glyph(r rune) glyph {
	if r >= 0 && int(r) < len(t.low) {
		return t.low[r]
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	g, ok := t.glyphs[r]
	if !ok {
		g = t.lookUp(r)
		t.glyphs[r] = g
	}
	return g
}

func (t *typeface) lookUpKern(a, b sfnt.GlyphIndex) float64 {
	if a == 0 || b == 0 {
		return 0
	}
	k, err := t.font.Kern(&t.buf, a, b, t.em, font.HintingNone)
	if err != nil {
		return 0 // the font has no pairs
	}
	return float64(k) / 64 / t.upem
}

// kern gives what is added between two runes of one font, in em.
func (t *typeface) kern(a, b rune) float64 {
	if a >= 0x20 && a < 0x80 && b >= 0x20 && b < 0x80 {
		return float64(t.kerns[a-0x20][b-0x20])
	}
	key := [2]sfnt.GlyphIndex{t.glyph(a).index, t.glyph(b).index}
	t.mu.Lock()
	defer t.mu.Unlock()
	k, ok := t.pairs[key]
	if !ok {
		k = t.lookUpKern(key[0], key[1])
		t.pairs[key] = k
	}
	return k
}

// CapSize gives the type size (em, mm) at which the capitals of a face are cap mm high.
func CapSize(f Face, cap float64) float64 {
	return cap / load(chain(f)[0]).cap
}

// capHeight gives the height of the capitals at a type size, mm.
func capHeight(f Face, size float64) float64 {
	return size * load(chain(f)[0]).cap
}

// TextWidth gives how far a line of text runs at a type size, mm, as every writer sets it. Runes no font holds count as
// nothing here; the writers refuse them.
func TextWidth(f Face, size float64, s string) float64 {
	s = clean(s)
	if !simple(f, s) {
		_, w := shapeLine(&Text{S: s, Face: f, Size: size}, s)
		return w
	}
	w := 0.0
	var last rune
	var face *typeface
	for _, r := range s {
		g, t := find(f, r)
		if t == nil {
			continue
		}
		if t == face {
			w += t.kern(last, r)
		}
		w += g.advance
		last, face = r, t
	}
	return w * size
}

// find looks for a rune along the chain of a face; nil when no font can set it.
func find(f Face, r rune) (glyph, *typeface) {
	if !settable(r) {
		return glyph{}, nil
	}
	for _, id := range chain(f) {
		t := load(id)
		if g := t.glyph(r); g.index != 0 {
			return g, t
		}
	}
	return glyph{}, nil
}

// Missing gives the runes of s that cannot be set, each once, in the order they come: those in none of the fonts. Control characters are
// dropped when text is set, and are not missed.
func Missing(s string) []rune {
	return those(s, func(r rune) bool { return !known(r) })
}

// Coarse gives the runes of s that are set in a stand-in of coarse dots, because no other font here has them.
func Coarse(s string) []rune {
	return those(s, func(r rune) bool {
		return known(r) && !unicode.Is(unicode.Mn, r) && !joiner(r) && fine(Lettering, r) == nil
	})
}

func those(s string, is func(rune) bool) []rune {
	var out []rune
	seen := map[rune]bool{}
	for _, r := range clean(s) {
		if !seen[r] && is(r) {
			seen[r] = true
			out = append(out, r)
		}
	}
	return out
}

// FontFiles are the type faces as files, for the page.
func FontFiles() fs.FS {
	f, err := fs.Sub(fontFiles, "fonts")
	if err != nil {
		panic(err) // embedded: cannot happen
	}
	return f
}
