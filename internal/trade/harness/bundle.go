package harness

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/geom"
)

// tieEvery is how far ties stand apart, mm. AC 43.13-1B section 10 and common practice: every 100 to 150 mm.
const tieEvery = 120

// bundles gathers wires that run the same way, and sets the ties.
func (w *worker) bundles() {
	type leg struct{ a, b [3]int }
	key := func(p geom.Vec3) [3]int { return [3]int{round(p.X), round(p.Y), round(p.Z)} }
	at := map[[3]int]geom.Vec3{}
	runs := map[leg][]int{}
	var order []leg
	for i, x := range w.r.Wires {
		ps := w.split(x.Path)
		for j := 1; j < len(ps); j++ {
			a, b := key(ps[j-1]), key(ps[j])
			at[a], at[b] = ps[j-1], ps[j]
			l := leg{a, b}
			if slices.Compare(b[:], a[:]) < 0 {
				l = leg{b, a}
			}
			if a == b {
				continue
			}
			if len(runs[l]) == 0 {
				order = append(order, l)
			}
			if !slices.Contains(runs[l], i) {
				runs[l] = append(runs[l], i)
			}
		}
	}
	// legs of the same wires that meet are one bundle
	sets := map[string][]leg{}
	var names []string
	for _, l := range order {
		if len(runs[l]) < 2 {
			continue
		}
		k := fmt.Sprint(runs[l])
		if len(sets[k]) == 0 {
			names = append(names, k)
		}
		sets[k] = append(sets[k], l)
	}
	for _, k := range names {
		legs := sets[k]
		for len(legs) > 0 {
			path := [][3]int{legs[0].a, legs[0].b}
			legs = legs[1:]
			for grew := true; grew; {
				grew = false
				for i, l := range legs {
					first, last := path[0], path[len(path)-1]
					switch {
					case l.a == last:
						path = append(path, l.b)
					case l.b == last:
						path = append(path, l.a)
					case l.a == first:
						path = append([][3]int{l.b}, path...)
					case l.b == first:
						path = append([][3]int{l.a}, path...)
					default:
						continue
					}
					legs = append(legs[:i:i], legs[i+1:]...)
					grew = true
					break
				}
			}
			var ps []geom.Vec3
			for _, c := range path {
				if n := len(ps); n >= 2 && straight(ps[n-2], ps[n-1], at[c]) {
					ps[n-1] = at[c]
					continue
				}
				ps = append(ps, at[c])
			}
			wires := runs[leg{}]
			for _, l := range sets[k][:1] {
				wires = runs[l]
			}
			w.bundle(ps, wires)
		}
	}
}

// bundle files a bundle, and its ties.
func (w *worker) bundle(ps []geom.Vec3, wires []int) {
	area := 0.0
	for _, i := range wires {
		d := w.outside(i)
		area += d * d
		w.r.Wires[i].Bundles = append(w.r.Wires[i].Bundles, len(w.r.Bundles))
	}
	// round wires fill about four fifths of a bundle: its diameter is 1.15 times the root of their squares' sum. From memory.
	b := Bundle{Path: ps, Diameter: 1.15 * math.Sqrt(area), Wires: wires, Outside: len(wires)}
	for _, x := range w.exit {
		for j := 1; j < len(ps); j++ {
			if near(ps[j-1], x.at) && near(ps[j], x.in) || near(ps[j], x.at) && near(ps[j-1], x.in) {
				b.Moves = b.Moves || x.open > x.at.Sub(x.in).Len()+1e-6
			}
		}
	}
	bi := len(w.r.Bundles)
	w.r.Bundles = append(w.r.Bundles, b)
	if l := run(ps); !b.Moves && l >= 40 {
		n := max(1, int(math.Ceil(l/tieEvery)))
		for i := range n {
			w.r.Ties = append(w.r.Ties, Tie{At: along(ps, l*(float64(i)+0.5)/float64(n)), Bundle: bi, Kind: "tie"})
		}
	}
}

// split cuts a polyline at every corner and every cell, so that legs of two wires that run together are the same.
func (w *worker) split(ps []geom.Vec3) []geom.Vec3 {
	if len(ps) == 0 {
		return nil
	}
	step := w.grids[0].step
	out := []geom.Vec3{ps[0]}
	for j := 1; j < len(ps); j++ {
		a, b := ps[j-1], ps[j]
		n := max(1, int(math.Round(b.Sub(a).Len()/step)))
		if b.Sub(a).Len() > 3*float64(n)*step { // a way across the box is one leg
			n = 1
		}
		for i := 1; i <= n; i++ {
			out = append(out, a.Add(b.Sub(a).Mul(float64(i)/float64(n))))
		}
	}
	return out
}

func (w *worker) outside(i int) float64 {
	if x := w.use[w.useOf(w.r.Wires[i].Net)]; x.Outside > 0 {
		return x.Outside.MM()
	}
	return 1.4
}

func round(v float64) int { return int(math.Round(v * 2)) }

func near(a, b geom.Vec3) bool { return a.Sub(b).Len() < 0.6 }

// along gives the point of a polyline at a distance from its beginning.
func along(ps []geom.Vec3, d float64) geom.Vec3 {
	for j := 1; j < len(ps); j++ {
		l := ps[j].Sub(ps[j-1]).Len()
		if d <= l && l > 0 {
			return ps[j-1].Add(ps[j].Sub(ps[j-1]).Mul(d / l))
		}
		d -= l
	}
	return ps[len(ps)-1]
}
