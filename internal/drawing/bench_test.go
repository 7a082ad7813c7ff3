package drawing

import (
	"fmt"
	"testing"

	"knobwright/internal/geom"
)

// bigPlate is a plate of 600 by 250 mm with 150 holes, tiled over four A4 pages turned on their side.
func bigPlate() *Document {
	var items []Item
	items = append(items, Box(Style{Line: Edge}, v(0, 0), v(600, 250)))
	for i := range 150 {
		at := v(20+float64(i%15)*40, 20+float64(i/15)*23)
		items = append(items, HoleMark(at, 7.2+float64(i%4)*3, 3)...)
		items = append(items, Txt(at.Add(v(0, -9)), ReadBold, 3, Centre, fmt.Sprintf("ø%g", 7.2+float64(i%4)*3)), Lettered(at.Add(v(0, 8)), 1.8, Centre, fmt.Sprintf("CUE %d", i+1)))
	}
	doc := &Document{Title: "Plate"}
	for i := range 4 {
		tile := v(float64(i%2)*270, float64(i/2)*180)
		p := Page{Width: 297, Height: 210, Name: fmt.Sprintf("Tile %d", i+1)}
		p.Items = append(p.Items, &Group{
			Place: geom.Place{At: v(12, 14).Sub(tile)},
			Clip:  geom.Outline{{P: tile}, {P: tile.Add(v(273, 0))}, {P: tile.Add(v(273, 184))}, {P: tile.Add(v(0, 184))}}, Items: items,
		})
		p.Items = append(p.Items, CheckBar(v(20, 5), false)...)
		doc.Pages = append(doc.Pages, p)
	}
	return doc
}

func BenchmarkPDFPlateFourTiles(b *testing.B) {
	doc := bigPlate()
	size := 0
	for b.Loop() {
		out, err := PDF(doc)
		if err != nil {
			b.Fatal(err)
		}
		size = len(out)
	}
	b.ReportMetric(float64(size)/1024, "KB")
}

func BenchmarkSVGPlate(b *testing.B) {
	doc := bigPlate()
	g := doc.Pages[0].Items[0].(*Group)
	s := &Scene{Bounds: geom.Box2{Max: v(600, 250)}, Items: g.Items}
	size := 0
	for b.Loop() {
		out, err := SVG(s)
		if err != nil {
			b.Fatal(err)
		}
		size = len(out)
	}
	b.ReportMetric(float64(size)/1024, "KB")
}

func BenchmarkDXFPlate(b *testing.B) {
	doc := bigPlate()
	g := doc.Pages[0].Items[0].(*Group)
	s := &Scene{Bounds: geom.Box2{Max: v(600, 250)}, Items: g.Items}
	for b.Loop() {
		if _, err := DXF(s); err != nil {
			b.Fatal(err)
		}
	}
}
