package packet

import (
	"bytes"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/witness"
)

// made is a packet that several tests look at.
type made struct {
	r    *job.Result
	docs []Doc
	dir  string
}

func (m made) doc(name string) []byte {
	for _, d := range m.docs {
		if d.Name == name {
			return d.Data
		}
	}
	return nil
}

func (m made) path(name string) string { return filepath.Join(m.dir, name) }

var (
	shelfLock sync.Mutex
	shelf     = map[string]made{}
	shelfDir  string
)

// source gives the text of an example or a variant.
func source(t testing.TB, name string) []byte {
	t.Helper()
	if src, ok := variants(t)[name]; ok {
		return src
	}
	return examples.File(name)
}

// ran are the panels worked out so far, by their text, with what was made of them. Tests only read them.
var ran = map[string]*working{}

type working struct {
	r    *job.Result
	docs []Doc // none before they are asked for
}

// work works a panel out, once for all tests that only read it.
func work(name, src string) *working {
	shelfLock.Lock()
	defer shelfLock.Unlock()
	if ran[src] == nil {
		ran[src] = &working{r: job.Run(project.Read(name+".yaml", []byte(src)), catalog.Builtin())}
	}
	return ran[src]
}

// result works an example or a variant out, once, without its papers.
func result(t testing.TB, name string) *job.Result {
	t.Helper()
	return work(name, string(source(t, name))).r
}

// papered works a panel out and makes its papers, once for all tests that only read them.
func papered(t testing.TB, name, src string) (*job.Result, []Doc) {
	t.Helper()
	w := work(name, src)
	if w.docs == nil {
		var err error
		if w.docs, err = Build(w.r, []byte(src)); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	return w.r, w.docs
}

// get makes the packet of an example or a variant once, and writes it into a folder for outside programs.
func get(t testing.TB, name string) made {
	t.Helper()
	r, docs := papered(t, name, string(source(t, name)))
	shelfLock.Lock()
	defer shelfLock.Unlock()
	if m, ok := shelf[name]; ok {
		return m
	}
	var err error
	if shelfDir == "" {
		if shelfDir, err = os.MkdirTemp("", "packet-test-"); err != nil {
			t.Fatal(err)
		}
	}
	m := made{r, docs, filepath.Join(shelfDir, name)}
	if err := Write(m.dir, docs, nil); err != nil {
		t.Fatal(err)
	}
	shelf[name] = m
	return m
}

// childWork is what the test binary does as a child of the kill test.
var childWork func(dir string)

func TestMain(m *testing.M) {
	if dir := os.Getenv("KNOBWRIGHT_WRITE_FOREVER"); dir != "" && childWork != nil {
		childWork(dir)
	}
	code := m.Run()
	if shelfDir != "" {
		_ = os.RemoveAll(shelfDir)
	}
	os.Exit(code)
}

// dots is the fineness of rasters, dots a millimetre.
const dots = 10.0

// raster is a page in grey. Frame: mm, origin lower left, y up.
type raster struct {
	img *image.Gray
	h   float64 // of the page, mm
}

var rasters = map[string]raster{}

// rasterPage draws one page of a PDF at 254 dots to the inch, each page once.
func rasterPage(t testing.TB, file string, page int) raster {
	t.Helper()
	key := fmt.Sprintf("%s#%d", file, page)
	if r, ok := rasters[key]; ok {
		return r
	}
	prog := witness.Tool(t, "pdftoppm")
	base := filepath.Join(t.TempDir(), "page")
	witness.Run(t, prog, "-gray", "-r", "254", "-f", fmt.Sprint(page), "-l", fmt.Sprint(page), "-singlefile", file, base)
	b, err := os.ReadFile(base + ".pgm")
	if err != nil {
		t.Fatal(err)
	}
	var w, h, most int
	if _, err := fmt.Sscanf(string(b[:min(len(b), 40)]), "P5\n%d %d\n%d\n", &w, &h, &most); err != nil || most != 255 || len(b) < w*h {
		t.Fatalf("pdftoppm wrote no grey picture: %v", err)
	}
	img := &image.Gray{Pix: b[len(b)-w*h:], Stride: w, Rect: image.Rect(0, 0, w, h)}
	// the picture may be a part of a dot higher than the page: its top is the page's
	r := raster{img, pagesOf(t, file)[page-1][1] * 25.4 / 72}
	rasters[key] = r
	return r
}

// rasterSVG draws an SVG so many mm high on white at 254 dots to the inch.
func rasterSVG(t testing.TB, file string, h float64) raster {
	t.Helper()
	prog := witness.Tool(t, "rsvg-convert")
	out := filepath.Join(t.TempDir(), "scene.png")
	witness.Run(t, prog, "-d", "254", "-p", "254", "-b", "white", "-o", out, file)
	b, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	g, ok := img.(*image.Gray)
	if !ok {
		g = image.NewGray(img.Bounds())
		for y := range img.Bounds().Dy() {
			for x := range img.Bounds().Dx() {
				r, gr, b, _ := img.At(x, y).RGBA()
				g.SetGray(x, y, color.Gray{uint8((299*r + 587*gr + 114*b) / 1000 >> 8)})
			}
		}
	}
	return raster{g, h}
}

// ink is how dark the page is at a point, 0 to 1, between the middles of pixels.
func (r raster) ink(x, y float64) float64 {
	px, py := x*dots-0.5, (r.h-y)*dots-0.5
	x0, y0 := math.Floor(px), math.Floor(py)
	fx, fy := px-x0, py-y0
	at := func(x, y float64) float64 {
		if !image.Pt(int(x), int(y)).In(r.img.Bounds()) {
			return 0
		}
		return 1 - float64(r.img.GrayAt(int(x), int(y)).Y)/255
	}
	return (at(x0, y0)*(1-fx)+at(x0+1, y0)*fx)*(1-fy) + (at(x0, y0+1)*(1-fx)+at(x0+1, y0+1)*fx)*fy
}

// along gathers the ink on the way from a distance to another along a direction from a point: how much, in mm, and its middle.
func (r raster) along(x, y, dx, dy, from, to float64) (sum, mid float64) {
	const step = 0.01
	for d := from + step/2; d < to; d += step {
		k := r.ink(x+dx*d, y+dy*d)
		sum += k * step
		mid += k * step * d
	}
	if sum > 0 {
		mid /= sum
	}
	return sum, mid
}

// edgeAt finds where ink crosses half its darkest on the way from a point, in mm; NaN when it does not.
func (r raster) edgeAt(x, y, dx, dy, from, to float64) float64 {
	const step = 0.005
	last := r.ink(x+dx*from, y+dy*from)
	for d := from + step; d < to; d += step {
		k := r.ink(x+dx*d, y+dy*d)
		if (last < 0.5) != (k < 0.5) {
			return d - step/2
		}
		last = k
	}
	return math.NaN()
}

// circle measures a circle drawn as a line about so wide, near a place and a diameter. ok is false when other ink is in the way
// of more than a third of the rays.
func (r raster) circle(x, y, d, line float64) (cx, cy, dia float64, ok bool) {
	const n = 24
	var sx, sy, s float64
	good := 0
	for i := range n / 2 {
		var rho [2]float64
		clean := true
		a := (float64(i) + 0.5) / n * 2 * math.Pi
		for k := range 2 { // a ray and its opposite, both or neither
			b := a + math.Pi*float64(k)
			w, mid := r.along(x, y, math.Cos(b), math.Sin(b), d/2-0.6, d/2+0.6)
			rho[k] = mid
			clean = clean && math.Abs(w-line) < 0.35*line+0.02
		}
		if !clean {
			continue
		}
		good++
		for k := range 2 {
			b := a + math.Pi*float64(k)
			sx += rho[k] * math.Cos(b)
			sy += rho[k] * math.Sin(b)
			s += rho[k]
		}
	}
	if good < n/3 {
		return 0, 0, 0, false
	}
	// least squares for a small shift: with opposite rays the radius drops out of the sums; with all rays the sums of
	// cos² and sin² are n/2, with fewer they are counted
	var cc, ss, cs float64
	for i := range n / 2 {
		a := (float64(i) + 0.5) / n * 2 * math.Pi
		w0, _ := r.along(x, y, math.Cos(a), math.Sin(a), d/2-0.6, d/2+0.6)
		w1, _ := r.along(x, y, -math.Cos(a), -math.Sin(a), d/2-0.6, d/2+0.6)
		if math.Abs(w0-line) < 0.35*line+0.02 && math.Abs(w1-line) < 0.35*line+0.02 {
			cc += 2 * math.Cos(a) * math.Cos(a)
			ss += 2 * math.Sin(a) * math.Sin(a)
			cs += 2 * math.Sin(a) * math.Cos(a)
		}
	}
	det := cc*ss - cs*cs
	return x + (sx*ss-sy*cs)/det, y + (sy*cc-sx*cs)/det, 2 * s / float64(2*good), true
}

// word is one word that an outside program reads on a page. Frame: mm, origin lower left.
type word struct {
	page           int
	x0, x1, y0, y1 float64
	s              string
}

// wordsOf reads the words of a PDF with their places.
func wordsOf(t testing.TB, file string) []word {
	t.Helper()
	prog := witness.Tool(t, "pdftotext")
	out := witness.Run(t, prog, "-tsv", file, "-")
	var ws []word
	height := 0.0
	for line := range strings.Lines(out) {
		f := strings.Split(strings.TrimRight(line, "\r\n"), "\t")
		if len(f) != 12 || f[0] == "level" {
			continue
		}
		num := func(i int) float64 {
			v, err := strconv.ParseFloat(f[i], 64)
			if err != nil {
				t.Fatalf("pdftotext: %q", line)
			}
			return v * 25.4 / 72
		}
		if f[0] == "1" {
			height = num(9)
			continue
		}
		if f[0] == "5" {
			page, _ := strconv.Atoi(f[1])
			top := height - num(7)
			ws = append(ws, word{page, num(6), num(6) + num(8), top - num(9), top, f[11]})
		}
	}
	if len(ws) == 0 {
		t.Fatalf("pdftotext read no word:\n%s", out)
	}
	return ws
}

// pagesOf counts the pages of a PDF and gives their sizes in points.
func pagesOf(t testing.TB, file string) [][2]float64 {
	t.Helper()
	prog := witness.Tool(t, "pdfinfo")
	var out [][2]float64
	for line := range strings.Lines(witness.Run(t, prog, "-f", "1", "-l", "999", file)) {
		var n int
		var w, h float64
		if _, err := fmt.Sscanf(line, "Page %d size: %g x %g pts", &n, &w, &h); err == nil {
			out = append(out, [2]float64{w, h})
		}
	}
	if len(out) == 0 {
		t.Fatal("pdfinfo tells no page size")
	}
	return out
}

// wholePacket reports what is wrong with a folder as a packet: every paper that the manifest names is there and has its hash, and
// nothing else.
func wholePacket(dir string) error {
	data, err := os.ReadFile(filepath.Join(dir, manifestName))
	if err != nil {
		return err
	}
	var m Manifest
	if err := json.Unmarshal(data, &m); err != nil {
		return err
	}
	for _, f := range m.Files {
		b, err := os.ReadFile(filepath.Join(dir, f.Name))
		if err != nil {
			return err
		}
		if hash(b) != f.SHA256 || len(b) != f.Bytes {
			return fmt.Errorf("%s is not what the manifest says", f.Name)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	if len(entries) != len(m.Files)+1 {
		return fmt.Errorf("%d files for %d in the manifest", len(entries), len(m.Files))
	}
	return nil
}
