package drawing

import (
	"image"
	"math"
	"testing"

	"knobwright/internal/geom"
)

// stroke is a dark stretch along a row or column of a picture: its middle, weighed by darkness, and where it begins and ends when
// the grey at the ends is read as part of a dot.
type stroke struct{ mid, from, to float64 }

// strokes finds the dark stretches along a row (or a column), in dots.
func strokes(img *image.Gray, line int, column bool) []stroke {
	n := img.Bounds().Dx()
	if column {
		n = img.Bounds().Dy()
	}
	dark := func(i int) float64 {
		g := img.GrayAt(i, line)
		if column {
			g = img.GrayAt(line, i)
		}
		return min(1, float64(255-g.Y)/238) // ink is 0x11
	}
	var out []stroke
	for i := 0; i < n; i++ {
		if dark(i) < 0.02 {
			continue
		}
		first, sum, moment := i, 0.0, 0.0
		for ; i < n && dark(i) >= 0.02; i++ {
			sum += dark(i)
			moment += dark(i) * (float64(i) + 0.5)
		}
		out = append(out, stroke{moment / sum, float64(first+1) - dark(first), float64(i-1) + dark(i-1)})
	}
	return out
}

// TestTrueSize draws a 100 mm square, circles and check bars, lets an outside program turn the page into dots of 0.1 mm, and
// measures those.
func TestTrueSize(t *testing.T) {
	const dpi, mm = 254, 10.0 // dots in a mm
	circles := []struct{ x, d float64 }{{50, 22.5}, {80, 7.2}, {100, 3.2}, {130, 30}}
	p := Page{Width: 210, Height: 297}
	p.Items = append(p.Items, Box(Style{Line: Visible}, v(50, 150), v(150, 250)))
	for _, c := range circles {
		p.Items = append(p.Items, Circ(v(c.x, 120), c.d, Visible))
	}
	p.Items = append(p.Items, CheckBar(v(30, 60), false)...)
	p.Items = append(p.Items, CheckBar(v(180, 40), true)...)
	pdf, err := PDF(&Document{Pages: []Page{p}})
	if err != nil {
		t.Fatal(err)
	}
	svg, err := SVG(&Scene{Bounds: geom.Box2{Max: v(210, 297)}, Items: p.Items})
	if err != nil {
		t.Fatal(err)
	}
	for name, draw := range map[string]func(*testing.T) *image.Gray{
		"PDF": func(t *testing.T) *image.Gray { return rasterPDF(t, pdf, 1, dpi) },
		"SVG": func(t *testing.T) *image.Gray { return rasterSVG(t, svg, dpi) },
	} {
		t.Run(name, func(t *testing.T) {
			img := draw(t)
			near := func(what string, dots, want float64) {
				t.Helper()
				if math.Abs(dots/mm-want) > 0.05 {
					t.Errorf("%s is %.3f mm, want %.3f", what, dots/mm, want)
				}
				t.Logf("%s: %.3f mm (want %.3f)", what, dots/mm, want)
			}
			row := strokes(img, int((297-200)*mm), false)
			col := strokes(img, int(100*mm), true)
			if len(row) < 2 || len(col) < 2 {
				t.Fatal("the square is not there")
			}
			near("square across", row[1].mid-row[0].mid, 100)
			near("square up", col[1].mid-col[0].mid, 100)
			near("square's left edge", row[0].mid, 50)
			for i, c := range circles {
				col := strokes(img, int(c.x*mm), true)
				lo, hi := near2(col, (297-120)*mm)
				if hi == nil {
					t.Fatalf("circle %d is not there", i)
				}
				// A column of dots 0.1 mm wide next to the middle reads a hair less than the diameter.
				near("circle", hi.mid-lo.mid, c.d)
			}
			bar := strokes(img, int((297-61)*mm), false)
			first, last := bar[0], bar[0]
			for _, s := range bar {
				if s.from < 131*mm {
					last = s
				}
			}
			near("level bar", last.to-first.from, 100)
			near("first block", first.to-first.from, 10)
			bar = strokes(img, int(181*mm), true)
			near("upright bar", bar[len(bar)-1].to-bar[0].from, 100)
		})
	}
}

// near2 gives the strokes next above and below a place.
func near2(s []stroke, at float64) (lo, hi *stroke) {
	for i := range s {
		if s[i].mid < at {
			lo = &s[i]
		} else if hi == nil {
			hi = &s[i]
		}
	}
	if lo == nil {
		return nil, nil
	}
	return lo, hi
}

// TestBezierError samples the curves drawn for arcs of many radii and sweeps; none may stray from its arc by a micrometre.
func TestBezierError(t *testing.T) {
	worst := 0.0
	for _, r := range []float64{0.5, 3, 11.25, 50, 400, 2000} {
		for sweep := 5.0; sweep < 360; sweep += 17 {
			for _, dir := range []float64{1, -1} {
				bulge := dir * math.Tan(sweep*math.Pi/180/4)
				chord := 2 * r * math.Sin(sweep*math.Pi/360)
				p, q := v(1, 2), v(1, 2).Add(geom.Place{Turn: 33}.Apply(v(chord, 0)))
				a := arcOf(p, q, bulge)
				if math.Abs(a.r-r) > 1e-9*r+1e-9 {
					t.Fatalf("radius %g, want %g", a.r, r)
				}
				from := p
				for _, c := range a.beziers(p, q, curveTol) {
					for i := 0; i <= 20; i++ {
						u := float64(i) / 20
						w := 1 - u
						x := from.Mul(w * w * w).Add(c[0].Mul(3 * w * w * u)).Add(c[1].Mul(3 * w * u * u)).Add(c[2].Mul(u * u * u))
						worst = max(worst, math.Abs(x.Sub(a.c).Len()-r))
					}
					from = c[2]
				}
				if from != q {
					t.Fatal("the curves do not end where the arc ends")
				}
			}
		}
	}
	t.Logf("worst %.6f mm", worst)
	if worst > 0.001 {
		t.Errorf("a curve strays %.6f mm from its arc", worst)
	}
}

// Letters made of arcs stay as close to the font's own curves as asked, and are one closed area with the same size.
func TestTextPathFollowsLetters(t *testing.T) {
	const tol = 0.01
	text := Lettered(v(3, 4), 10, Left, "Rø8&")
	text.Turn = 20
	p, err := TextPath(text, Style{Line: Hairline}, tol)
	if err != nil {
		t.Fatal(err)
	}
	prims, err := flatten([]Item{text})
	if err != nil {
		t.Fatal(err)
	}
	fine := prims[0].letters(1e-5)
	if len(fine) != len(p.Outlines) {
		t.Fatalf("%d outlines, finely %d", len(p.Outlines), len(fine))
	}
	corners, worst := 0, 0.0
	for i, o := range p.Outlines {
		corners += len(o)
		for _, pt := range polyline(fine[i], false, 1e-4) {
			best := math.Inf(1)
			edges(o, false, func(a, b geom.Vec2) { best = min(best, offArc(pt, a, b, 0)) }, func(a, b geom.Vec2, bulge float64) { best = min(best, offArc(pt, a, b, bulge)) })
			worst = max(worst, best)
		}
	}
	t.Logf("%d corners, worst %.5f mm", corners, worst)
	if worst > 1.5*tol || corners > 400 {
		t.Errorf("%d corners, strays %.5f mm", corners, worst)
	}
}

// The stripes of a hatch, times their distance, are the area they fill; none leaves it.
func TestHatchFillsTheArea(t *testing.T) {
	ring := []geom.Outline{geom.Circle(v(31, 17), 40), geom.Circle(v(31, 17), 15)}
	want := math.Pi / 4 * (40*40 - 15*15)
	for _, st := range []stripes{{angle: 45, pitch: 0.5}, {angle: 135, pitch: 0.25, shift: 0.1}, {angle: 0, pitch: 0.5}} {
		sum := 0.0
		for _, l := range hatchLines(ring, st) {
			a, b := l[0].P, l[1].P
			sum += b.Sub(a).Len() * st.pitch
			for _, p := range []geom.Vec2{a, b, a.Add(b).Mul(.5)} {
				if d := p.Sub(v(31, 17)).Len(); d > 20.005 || d < 7.495 {
					t.Fatalf("a stripe leaves the ring: %v", p)
				}
			}
		}
		if math.Abs(sum/want-1) > 0.01 {
			t.Errorf("stripes at %g deg cover %.2f, the ring is %.2f", st.angle, sum, want)
		}
	}
}

// Groups inside groups put things where the places say.
func TestGroupsMove(t *testing.T) {
	a, b := geom.Place{At: v(3, -2), Turn: 25, Flip: true}, geom.Place{At: v(-7, 11), Turn: -140}
	o := geom.Outline{{P: v(0, 0), Bulge: 0.3}, {P: v(5, 1)}, {P: v(4, 6), Bulge: -0.2}}
	prims, err := flatten([]Item{&Group{Place: a, Items: []Item{&Group{Place: b, Scale: 2, Items: []Item{Outl(Style{Line: Edge}, o)}}}}})
	if err != nil {
		t.Fatal(err)
	}
	for i, got := range prims[0].outlines[0] {
		p := o[i].P.Mul(2)
		if want := a.Apply(b.Apply(p)); got.P.Sub(want).Len() > 1e-12 {
			t.Errorf("corner %d is at %v, want %v", i, got.P, want)
		}
		if got.Bulge != -o[i].Bulge {
			t.Errorf("mirrored bulge %g", got.Bulge)
		}
	}
}

// What a clip hides wholly is not on the page, and cannot be found there; what it cuts is.
func TestClippedAway(t *testing.T) {
	g := &Group{Clip: geom.Outline{{P: v(0, 0)}, {P: v(50, 0)}, {P: v(50, 50)}, {P: v(0, 50)}}, Items: []Item{
		Txt(v(60, 10), Read, 4, Left, "hidden"), Txt(v(49, 10), Read, 4, Left, "halved"), Circ(v(70, 70), 10, Edge), Circ(v(55, 25), 10.5, Edge),
	}}
	prims, err := flatten([]Item{g})
	if err != nil {
		t.Fatal(err)
	}
	if len(prims) != 2 || prims[0].text == nil || prims[0].text.S != "halved" || prims[1].outlines == nil {
		t.Errorf("%d shapes are left", len(prims))
	}
}
