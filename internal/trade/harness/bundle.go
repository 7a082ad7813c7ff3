package harness

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// tieEvery is how far ties stand apart, mm. AC 43.13-1B section 10 and common practice: every 100 to 150 mm.
const tieEvery = 120

// leg is a straight piece between two places where wires come by.
type leg struct {
	a, b  int32 // places
	wires []int32
	loop  bool // part of a free loop
}

// bundles gathers wires that run the same way, and sets the ties.
func (w *worker) bundles() {
	type key struct{ x, y, z int32 }
	number := map[key]int32{}
	var place []geom.Vec3
	id := func(p geom.Vec3) int32 {
		k := key{int32(math.Round(p.X * 2)), int32(math.Round(p.Y * 2)), int32(math.Round(p.Z * 2))}
		n, ok := number[k]
		if !ok {
			n = int32(len(place))
			number[k] = n
			place = append(place, p)
		}
		return n
	}
	index := map[uint64]int32{}
	var legs []leg
	find := func(a, b int32) int32 {
		if a > b {
			a, b = b, a
		}
		k := uint64(a)<<32 | uint64(b)
		i, ok := index[k]
		if !ok {
			i = int32(len(legs))
			index[k] = i
			legs = append(legs, leg{a: a, b: b})
		}
		return i
	}
	for wi, ps := range w.raw {
		if len(ps) == 0 {
			continue
		}
		a := id(ps[0])
		for _, p := range ps[1:] {
			b := id(p)
			if a == b {
				continue
			}
			l := &legs[find(a, b)]
			if n := len(l.wires); n == 0 || l.wires[n-1] != int32(wi) {
				l.wires = append(l.wires, int32(wi))
			}
			a = b
		}
	}
	for _, k := range w.exitKeys() {
		x := w.exit[k]
		if !x.moves {
			continue
		}
		for j := 1; j < len(x.loop); j++ {
			if a, b := id(x.loop[j-1]), id(x.loop[j]); a != b {
				legs[find(a, b)].loop = true
			}
		}
	}
	w.gather(legs, place)
	w.ties()
}

// gather makes bundles of legs with the same wires that meet.
func (w *worker) gather(legs []leg, place []geom.Vec3) {
	at := make([][]int32, len(place)) // legs of two wires and more, by place
	for i, l := range legs {
		if len(l.wires) >= 2 {
			at[l.a] = append(at[l.a], int32(i))
			at[l.b] = append(at[l.b], int32(i))
		}
	}
	taken := make([]bool, len(legs))
	// follow walks on from a place as long as one leg with the same wires goes on.
	follow := func(i int32, from int32) []int32 {
		out := []int32{from}
		for {
			l := legs[i]
			next := l.a + l.b - from
			out = append(out, next)
			found := int32(-1)
			for _, j := range at[next] {
				if !taken[j] && legs[j].loop == l.loop && slices.Equal(legs[j].wires, l.wires) {
					found = j
					break
				}
			}
			if found < 0 {
				return out
			}
			taken[found] = true
			i, from = found, next
		}
	}
	for i, l := range legs {
		if len(l.wires) < 2 || taken[i] {
			continue
		}
		taken[i] = true
		way := follow(int32(i), l.a)
		for _, j := range at[l.a] {
			if !taken[j] && legs[j].loop == l.loop && slices.Equal(legs[j].wires, l.wires) {
				taken[j] = true
				more := follow(j, l.a)
				slices.Reverse(more)
				way = append(more, way[1:]...)
				break
			}
		}
		ps := make([]geom.Vec3, len(way))
		for k, c := range way {
			ps[k] = place[c]
		}
		w.bundle(plainer(ps), l)
	}
}

// bundle files a bundle.
func (w *worker) bundle(ps []geom.Vec3, l leg) {
	area := 0.0
	wires := make([]int, len(l.wires))
	for k, i := range l.wires {
		wires[k] = int(i)
		d := w.outside(int(i))
		area += d * d
		w.r.Wires[i].Bundles = append(w.r.Wires[i].Bundles, len(w.r.Bundles))
	}
	// round wires fill about four fifths of a bundle: its diameter is 1.15 times the root of their squares' sum. From memory.
	w.r.Bundles = append(w.r.Bundles, Bundle{Path: ps, Diameter: 1.15 * math.Sqrt(area), Wires: wires, Moves: l.loop, Outside: len(wires)})
}

// ties holds what stays together: the ends of free loops first, then every place where a bundle forks, then along the bundles. None
// stands close to another.
func (w *worker) ties() {
	put := func(at geom.Vec3, bundle int, kind string, room float64) {
		for _, t := range w.r.Ties {
			if t.At.Sub(at).Len() < room {
				return
			}
		}
		w.r.Ties = append(w.r.Ties, Tie{At: at, Bundle: bundle, Kind: kind})
	}
	holds := func(p geom.Vec3) int { // the thickest bundle that stays there
		best := -1
		for i, b := range w.r.Bundles {
			n := len(b.Path)
			if n == 0 || b.Moves || b.Path[0].Sub(p).Len() > 1 && b.Path[n-1].Sub(p).Len() > 1 {
				continue
			}
			if best < 0 || b.Diameter > w.r.Bundles[best].Diameter {
				best = i
			}
		}
		return best
	}
	for _, k := range w.exitKeys() {
		x := w.exit[k]
		if !x.moves {
			continue
		}
		if i := holds(x.from()); i >= 0 {
			put(x.from(), i, "clip on the face", 15)
		}
		if i := holds(x.to()); i >= 0 {
			put(x.to(), i, "clip on the base", 15)
		}
	}
	const small = 4 // wires that are no bundle worth a tie of its own
	for i, b := range w.r.Bundles {
		if b.Moves || b.Outside < small || len(b.Path) < 2 {
			continue
		}
		for _, p := range []geom.Vec3{b.Path[0], b.Path[len(b.Path)-1]} {
			put(p, i, "tie", 30)
		}
	}
	for i, b := range w.r.Bundles {
		l := run(b.Path)
		if b.Moves || l < 40 {
			continue
		}
		n := max(1, int(math.Ceil(l/tieEvery)))
		for j := range n {
			put(along(b.Path, l*(float64(j)+0.5)/float64(n)), i, "tie", 60)
		}
	}
}

func (w *worker) outside(i int) float64 {
	if x := w.use[w.useOf(w.r.Wires[i].Net)]; x.Outside > 0 {
		return x.Outside.MM()
	}
	return 1.4
}

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
