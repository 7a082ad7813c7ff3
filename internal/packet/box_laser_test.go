package packet

import (
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/view"
)

func lasered(t testing.TB, corners string) (*job.Result, []Doc) {
	t.Helper()
	return papered(t, "desk", lasers(corners))
}

// lasers is the desk with corners of this kind, for a laser.
func lasers(corners string) string {
	return strings.Replace(strings.Replace(slopingDesk, "saw: {kind: table, trim: 5}", "saw: {kind: laser, kerf: 0.2}", 1), "  ledge:", "  corners: "+corners+"\n  ledge:", 1)
}

// TestLaserFiles: a box that is sawn has no cutting files; one for a laser has a pair for each sheet, with every board once, holes as circles in
// the DXF, and no paper tells a saw to tilt.
func TestLaserFiles(t *testing.T) {
	_, docs := desked(t)
	for _, d := range docs {
		if strings.HasPrefix(d.Name, "boards") {
			t.Errorf("%s for a table saw", d.Name)
		}
	}
	r, docs := lasered(t, "finger")
	sheets, names := 0, map[string]int{}
	for _, p := range r.Box.Plans {
		for _, s := range p.Sheets {
			sheets++
			for _, it := range laserScene(r, p, s).Items {
				if x, ok := it.(*drawing.Text); ok {
					names[x.S]++
				}
			}
		}
	}
	svg, dxf := 0, 0
	for _, d := range docs {
		if !strings.HasPrefix(d.Name, "boards") {
			continue
		}
		switch {
		case strings.HasSuffix(d.Name, ".svg"):
			svg++
		case strings.HasSuffix(d.Name, ".dxf"):
			dxf++
			if !bytes.Contains(d.Data, []byte("\nHOLES")) || !bytes.Contains(d.Data, []byte("\nCUT")) {
				t.Errorf("%s has no layers", d.Name)
			}
		}
	}
	if sheets == 0 || svg != sheets || dxf != sheets {
		t.Errorf("%d sheets, %d SVG, %d DXF", sheets, svg, dxf)
	}
	for _, l := range r.Box.Boards {
		if l.Board.Role.Shell() && names[l.Name] != 1 {
			t.Errorf("the %s is on %d sheets", l.Name, names[l.Name])
		}
	}
	for _, l := range r.Box.Boards {
		for _, pg := range boardPage(r, newDesk(r, nil), l) {
			for _, s := range texts(pg.Items) {
				if strings.Contains(s, "saw tilted") {
					t.Errorf("%s: %s", l.Name, s)
				}
			}
		}
	}
}

func texts(items []drawing.Item) (out []string) {
	for _, it := range items {
		switch x := it.(type) {
		case *drawing.Text:
			out = append(out, x.S)
		case *drawing.Group:
			out = append(out, texts(x.Items)...)
		}
	}
	return out
}

// TestLaserKerf: in the cutting file every finger but the last of a corner is as wide as its comb says it must be drawn: pitch and kerf, and half of
// the press; holes are smaller by the kerf.
func TestLaserKerf(t *testing.T) {
	r := work("desk", lasers("{joint: finger, finger: 9, fit: -0.1}")).r
	fingers, holes := 0, map[float64]int{}
	for _, p := range r.Box.Plans {
		for _, s := range p.Sheets {
			for _, it := range laserScene(r, p, s).Items {
				x, ok := it.(*drawing.Path)
				if !ok {
					continue
				}
				if x.Layer == layerHoles {
					if _, d, ok := x.Outlines[0].AsCircle(); ok {
						holes[math.Round((d+0.2)*1e6)/1e6]++
					}
				}
				if x.Layer != layerCut {
					continue
				}
				for _, q := range s.Layout.Placed {
					l, _ := lineNamed(r, p.Pieces[q.Piece].Name)
					if l.Name != "back" || q.Turned || !x.Outlines[0].Contains(v(q.X+q.Width/2, q.Y+q.Height/4)) {
						continue
					}
					for _, e := range l.Board.Edges {
						if e.Comb == nil || e.Name != "left end" {
							continue
						}
						ws := stretches(x.Outlines[0], q.X+e.Comb.Length/2)
						for _, w := range ws[1 : len(ws)-1] {
							fingers++
							if math.Abs(w-e.Comb.Drawn()) > 1e-6 {
								t.Errorf("a finger of %g mm, to be drawn %g", w, e.Comb.Drawn())
							}
						}
					}
				}
			}
		}
	}
	if fingers == 0 {
		t.Error("no fingers")
	}
	for _, c := range view.AllCuts(r.Panel) {
		if _, d, ok := view.AsCut(c).AsCircle(); ok && c.Blind == 0 && holes[math.Round(d*1e6)/1e6] == 0 {
			t.Errorf("no hole of %g less the kerf for %s", d, c.ID)
		}
	}
}

// stretches gives the stretches of an upright line that lie inside an outline.
func stretches(o geom.Outline, x float64) (out []float64) {
	pts := o.Flatten(0.01)
	var ys []float64
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		if (a.X > x) != (b.X > x) {
			ys = append(ys, a.Y+(b.Y-a.Y)*(x-a.X)/(b.X-a.X))
		}
	}
	slices.Sort(ys)
	for i := 0; i+1 < len(ys); i += 2 {
		out = append(out, ys[i+1]-ys[i])
	}
	return out
}
