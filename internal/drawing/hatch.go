package drawing

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/geom"
)

// hatchLines gives the lines of one set of stripes that lie inside the outlines, even-odd. The stripes are anchored to the page's
// origin, so that neighbours of one material run on.
func hatchLines(outlines []geom.Outline, st stripes) []geom.Outline {
	sin, cos := math.Sincos(st.angle * math.Pi / 180)
	along, across := geom.Vec2{X: cos, Y: sin}, geom.Vec2{X: -sin, Y: cos}
	type edge struct{ p, q geom.Vec2 } // X along the stripes, Y across
	var es []edge
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, o := range outlines {
		pts := polyline(o, false, 0.002)
		for i, v := range pts {
			pts[i] = geom.Vec2{X: v.Dot(along), Y: v.Dot(across)}
			lo, hi = min(lo, pts[i].Y), max(hi, pts[i].Y)
		}
		for i := 1; i < len(pts); i++ {
			es = append(es, edge{pts[i-1], pts[i]})
		}
	}
	first, last := math.Ceil((lo-st.shift)/st.pitch), math.Floor((hi-st.shift)/st.pitch)
	if last-first > 20000 { // a hatch finer than paper can show
		return nil
	}
	n := int(last - first + 1)
	if n <= 0 {
		return nil
	}
	cuts := make([][]float64, n)
	for _, e := range es {
		p, q := e.p, e.q
		if p.Y > q.Y {
			p, q = q, p
		}
		// Half open, so that a corner on a stripe counts once.
		for k := max(math.Ceil((p.Y-st.shift)/st.pitch), first); k <= last; k++ {
			y := st.shift + k*st.pitch
			if y < p.Y {
				continue
			}
			if y >= q.Y {
				break
			}
			i := int(k - first)
			cuts[i] = append(cuts[i], p.X+(q.X-p.X)*(y-p.Y)/(q.Y-p.Y))
		}
	}
	var out []geom.Outline
	for i, xs := range cuts {
		slices.SortFunc(xs, cmp.Compare)
		y := st.shift + (first+float64(i))*st.pitch
		for j := 0; j+1 < len(xs); j += 2 {
			if xs[j+1]-xs[j] < 0.05 {
				continue
			}
			a := along.Mul(xs[j]).Add(across.Mul(y))
			b := along.Mul(xs[j+1]).Add(across.Mul(y))
			out = append(out, geom.Outline{{P: a}, {P: b}})
		}
	}
	return out
}
