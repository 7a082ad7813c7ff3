package drawing

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// tool finds an outside program, or skips loudly.
func tool(t testing.TB, name string) string {
	t.Helper()
	p, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("SKIPPED: %s is not installed; this check against an outside program was not made", name)
	}
	return p
}

// runTool runs an outside program and gives what it says.
func runTool(t testing.TB, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", filepath.Base(name), strings.Join(args, " "), err, out)
	}
	return string(out)
}

// keep writes a file for an outside program to read, and a copy into $KNOBWRIGHT_KEEP for people to look at.
func keep(t testing.TB, name string, data []byte) string {
	t.Helper()
	if dir := os.Getenv("KNOBWRIGHT_KEEP"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	p := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(p, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return p
}

// rasterPDF draws one page in grey, so many dots to the inch.
func rasterPDF(t testing.TB, pdf []byte, page, dpi int) *image.Gray {
	t.Helper()
	prog := tool(t, "pdftoppm")
	in := keep(t, "page.pdf", pdf)
	base := filepath.Join(t.TempDir(), "page")
	runTool(t, prog, "-png", "-gray", "-r", fmt.Sprint(dpi), "-f", fmt.Sprint(page), "-l", fmt.Sprint(page), "-singlefile", in, base)
	return readGray(t, base+".png")
}

// rasterSVG draws an SVG in grey on white at so many dots to the inch.
func rasterSVG(t testing.TB, svg []byte, dpi float64) *image.Gray {
	t.Helper()
	prog := tool(t, "rsvg-convert")
	in := keep(t, "scene.svg", svg)
	out := filepath.Join(t.TempDir(), "scene.png")
	runTool(t, prog, "-d", fmt.Sprint(dpi), "-p", fmt.Sprint(dpi), "-b", "white", "-o", out, in)
	return readGray(t, out)
}

func readGray(t testing.TB, name string) *image.Gray {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if g, ok := img.(*image.Gray); ok {
		return g
	}
	g := image.NewGray(img.Bounds())
	for y := img.Bounds().Min.Y; y < img.Bounds().Max.Y; y++ {
		for x := img.Bounds().Min.X; x < img.Bounds().Max.X; x++ {
			r, gr, b, _ := img.At(x, y).RGBA()
			g.SetGray(x, y, color.Gray{uint8((299*r + 587*gr + 114*b) / 1000 >> 8)})
		}
	}
	return g
}
