package drawing

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"knobwright/internal/witness"
)

// rasterPDF draws one page in grey, so many dots to the inch.
func rasterPDF(t testing.TB, pdf []byte, page, dpi int) *image.Gray {
	t.Helper()
	prog := witness.Tool(t, "pdftoppm")
	in := witness.Keep(t, "page.pdf", pdf)
	base := filepath.Join(t.TempDir(), "page")
	witness.Run(t, prog, "-png", "-gray", "-r", fmt.Sprint(dpi), "-f", fmt.Sprint(page), "-l", fmt.Sprint(page), "-singlefile", in, base)
	return readGray(t, base+".png")
}

// rasterSVG draws an SVG in grey on white at so many dots to the inch.
func rasterSVG(t testing.TB, svg []byte, dpi float64) *image.Gray {
	t.Helper()
	prog := witness.Tool(t, "rsvg-convert")
	in := witness.Keep(t, "scene.svg", svg)
	out := filepath.Join(t.TempDir(), "scene.png")
	witness.Run(t, prog, "-d", fmt.Sprint(dpi), "-p", fmt.Sprint(dpi), "-b", "white", "-o", out, in)
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
