package drawing

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"knobwright/internal/witness"
)

// TestMain notes whether importing the package alone parses a font: a command that draws nothing must not pay for it.
func TestMain(m *testing.M) {
	for i := range faces {
		if faces[i].face != nil {
			fmt.Fprintln(os.Stderr, "a font is parsed before anything is drawn:", fontNames[i])
			os.Exit(1)
		}
	}
	os.Exit(m.Run())
}

var allFaces = []Face{Lettering, Pencilled, Read, ReadHalf, ReadBold, FileFace}

func TestEveryFaceSetsWhatSheetsNeed(t *testing.T) {
	var s strings.Builder
	for r := rune(0x20); r < 0x7f; r++ {
		s.WriteRune(r)
	}
	for r := rune(0xa1); r < 0x180; r++ {
		if r != 0xad && r != 0x149 {
			s.WriteRune(r)
		}
	}
	s.WriteString("ø⌀±×µμ°Ωω→←↑↓↔½¼¾≥≤−–—“”‘’′″☐☑✓✔▲►●○◎⚠·…€")
	s.WriteString("ΑΒΓαβγ АБВабв") // Greek and Cyrillic names
	if m := Missing(s.String()); len(m) > 0 {
		t.Errorf("missing: %q", m)
	}
	for _, f := range allFaces {
		runs, width, err := setLine(&Text{S: s.String(), Face: f, Size: 1})
		if err != nil {
			t.Errorf("%s: %v", f, err)
		}
		if got := TextWidth(f, 1, s.String()); math.Abs(got-width) > 1e-9 || width <= 0 || len(runs) < 1 {
			t.Errorf("%s: width %g, set %g in %d runs", f, got, width, len(runs))
		}
	}
}

func TestMissing(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"GO ø22 → ½", ""},
		{"a\tb\nc\x00\x7f\u200b\u202e", ""}, // dropped, not missed
		{"日本 x 日", ""},                      // in coarse dots
		{"שלום", ""},
		{"e\u0301", ""}, // joined to é
		{"😀", ""},
		{"a\ue000b", "\ue000"}, // private use: nobody knows what it looks like
		{"\xff", ""},           // shown as the replacement character
	} {
		if got := string(Missing(c.in)); got != c.want {
			t.Errorf("Missing(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"plain": "plain", "a\r\nb": "a  b", "a\u00a0b": "a b", "\ufeffx\u00ady": "xy", "e\u0301": "é", "\x1b[31mred": "[31mred", "\xff": "\ufffd",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

// Capitals lettered by height are that high: measured on the picture an outside program makes.
func TestCapSize(t *testing.T) {
	for _, f := range allFaces {
		p := Page{Width: 60, Height: 40, Items: []Item{Txt(v(10, 10), f, CapSize(f, 20), Left, "HI")}}
		pdf, err := PDF(&Document{Pages: []Page{p}})
		if err != nil {
			t.Fatal(err)
		}
		img := rasterPDF(t, pdf, 1, 254)
		top, foot := 1<<30, -1
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				if img.GrayAt(x, y).Y < 128 {
					top, foot = min(top, y), max(foot, y+1)
				}
			}
		}
		if h := float64(foot-top) / 10; math.Abs(h-20) > 0.15 {
			t.Errorf("%s: capitals are %.2f mm high, want 20", f, h)
		}
	}
}

// The width we reckon with is the width an outside program finds on the page.
func TestTextWidthOnPaper(t *testing.T) {
	const word = "STAGE-LIGHTS→AVATo½"
	var p Page
	p.Width, p.Height = 210, 100
	for i, f := range allFaces {
		p.Items = append(p.Items, Txt(v(10, 10+14*float64(i)), f, 8, Left, word))
	}
	pdf, err := PDF(&Document{Pages: []Page{p}})
	if err != nil {
		t.Fatal(err)
	}
	out := witness.Run(t, witness.Tool(t, "pdftotext"), "-bbox", witness.Keep(t, "width.pdf", pdf), "-")
	found := regexp.MustCompile(`<word xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)" yMax="[\d.]+">`+word+`</word>`).FindAllStringSubmatch(out, -1)
	if len(found) != len(allFaces) {
		t.Fatalf("%d words found in\n%s", len(found), out)
	}
	want := map[string]bool{}
	for _, f := range allFaces {
		want[fmt.Sprintf("%.1f", TextWidth(f, 8, word))] = true
	}
	for _, m := range found {
		a, _ := strconv.ParseFloat(m[1], 64)
		b, _ := strconv.ParseFloat(m[2], 64)
		w := (b - a) / perMM
		ok := false
		for _, f := range allFaces {
			ok = ok || math.Abs(w-TextWidth(f, 8, word)) < 0.05
		}
		if !ok || math.Abs(a/perMM-10) > 0.05 {
			t.Errorf("a word starts at %.3f and is %.3f mm wide; reckoned %v", a/perMM, w, want)
		}
	}
}

func TestFontsAtOnce(t *testing.T) {
	var wg sync.WaitGroup
	for i := range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for _, f := range allFaces {
				TextWidth(f, 3, "Żółw → ½ ДЖ"+strconv.Itoa(i))
				if _, err := PDF(&Document{Pages: []Page{{Width: 20, Height: 20, Items: []Item{Txt(v(0, 0), f, 3, Left, "at once")}}}}); err != nil {
					t.Error(err)
				}
				if _, err := TextPath(Txt(v(0, 0), f, 3, Left, "aé→"), Style{Line: Thin}, 0); err != nil {
					t.Error(err)
				}
			}
		}()
	}
	wg.Wait()
}

func TestFit(t *testing.T) {
	const long = "A very long name of a panel that does not fit into its cell"
	for _, w := range []float64{200, 80, 60, 20, 5, 0.1} {
		s, size := Fit(Read, 4, long, w)
		if got := TextWidth(Read, size, s); got > w+1e-9 {
			t.Errorf("%.1f mm for a width of %.1f", got, w)
		}
		if w >= 20 && !strings.HasPrefix(long, strings.TrimSuffix(s, "…")) || w > 150 && s != long {
			t.Errorf("width %g gives %q", w, s)
		}
	}
}

func TestWrap(t *testing.T) {
	const s = "Move STANDBY 3.5 mm right,\nor notch the rib. Donaudampfschifffahrtsgesellschaft"
	for _, w := range []float64{10, 25, 60, 500} {
		lines := Wrap(Read, 4, s, w)
		for _, l := range lines {
			if TextWidth(Read, 4, l) > w {
				t.Errorf("%q is wider than %g", l, w)
			}
		}
		squeeze := strings.NewReplacer(" ", "", "\n", "")
		if got := squeeze.Replace(strings.Join(lines, "")); got != squeeze.Replace(s) {
			t.Errorf("width %g: the words are %q", w, got)
		}
	}
	if got := Wrap(Read, 4, s, 500); len(got) != 2 {
		t.Errorf("%q", got)
	}
}

func BenchmarkTextWidth(b *testing.B) {
	for b.Loop() {
		TextWidth(Lettering, 3, "HOUSE LIGHTS")
	}
}

func BenchmarkParseFonts(b *testing.B) {
	for b.Loop() {
		for id := range fontCount {
			data, _ := fontFiles.ReadFile("fonts/" + fontNames[id])
			if _, err := parseFace(id, data); err != nil {
				b.Fatal(err)
			}
		}
	}
}
