package packet

import (
	"errors"
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/trade/box"
)

// Seams of printed boxes, mm. Common practice.
const (
	seamThick = 5.0  // of the flange on either side
	seamHigh  = 12.0 // of the flange above walls and base
	seamBolt  = 3.4  // hole for an M3 screw and nut
	seamPeg   = 4.1  // hole for a wooden or metal peg of 4 mm
	boltEvery = 80.0
	boltClear = 12.0 // from a seam to the middle of a screw, where it can be
)

// bolt is a hole through the flanges on both sides of a seam.
type bolt struct {
	axis  int
	at    geom.Vec3
	d     float64
	cells [2]int // below and above
	lost  bool
}

// bounds gives the block round the box without its faces.
func (p *printer) bounds() geom.Box3 {
	b := geom.EmptyBox3()
	for _, h := range p.shell.Outer {
		b = b.Union(h.Bounds())
	}
	return b
}

// plan finds what a part may measure so that the bed takes it: the bed either way round, whichever takes fewer.
func (p *printer) plan(bed [3]float64) error {
	b := p.bounds()
	free := [3]float64{bed[0] - 2*printEdge, bed[1] - 2*printEdge, bed[2] - printTop}
	flat := [2]int{0, 1}
	if p.up == 1 {
		flat = [2]int{0, 2}
	}
	count := func(a int, room float64) int {
		return max(1, int(math.Ceil((along(b.Max, a)-along(b.Min, a))/room-1e-9)))
	}
	first, second := free[0], free[1]
	if count(flat[0], second)*count(flat[1], first) < count(flat[0], first)*count(flat[1], second) {
		first, second = second, first
	}
	p.bed[flat[0]], p.bed[flat[1]], p.bed[p.up] = first, second, free[2]
	parts := 1
	for a := range 3 {
		parts *= count(a, p.bed[a])
	}
	if parts > mostParts {
		return errors.New("it would be in more than 48 parts")
	}
	return nil
}

// divide finds where the box is parted along an axis.
func (p *printer) divide(a int) {
	b := p.bounds()
	p.ends[a] = p.partEnds(a, along(b.Min, a), along(b.Max, a), p.bed[a])
}

// partEnds parts a length into the fewest pieces that the bed takes, about alike. Seams keep off screws and openings, for which there may be a
// piece or two more, and off bodies where they can.
func (p *printer) partEnds(a int, from, to, bed float64) (ends []float64) {
	n := max(1, int(math.Ceil((to-from)/bed-1e-9)))
	clear := math.Inf(-1)
	for more := range 3 {
		if e, c := p.partInto(n+more, a, from, to, bed); c > clear+1 {
			ends, clear = e, c
		}
		if clear >= boltClear {
			break
		}
	}
	return ends
}

// partInto parts a length into so many pieces; clear tells how far the seams keep off, at least.
func (p *printer) partInto(n, a int, from, to, bed float64) (ends []float64, clear float64) {
	ends, clear = []float64{from}, 20
	for i := 1; i < n; i++ {
		even := from + (to-from)*float64(i)/float64(n)
		best, most, found := even, math.Inf(-1), 0.0
		for k := range 81 {
			x := even + float64((k+1)/2)*float64(1-2*(k%2))
			if x-ends[i-1] > bed || to-x > bed*float64(n-i) || x-ends[i-1] < 25 || to-x < 25 {
				continue
			}
			hard, soft := p.keepsOff(a, x)
			if s := 10*hard + soft - 0.05*math.Abs(x-even); s > most {
				best, most, found = x, s, hard
			}
		}
		ends = append(ends, best)
		clear = min(clear, found)
	}
	return append(ends, to), clear
}

// keepsOff tells how far a seam would be from screws, openings and corners of the box (at most 20), and from bodies (at most 5).
func (p *printer) keepsOff(a int, x float64) (hard, soft float64) {
	hard, soft = 20, 5
	for _, q := range p.heads {
		hard = min(hard, math.Abs(along(q.mouth, a)-x))
	}
	for _, q := range p.openings() {
		hard = min(hard, off(along(q.Min, a), along(q.Max, a), x)+6)
	}
	for _, h := range p.shell.Outer { // no tip of a wall by itself
		for _, q := range h.Points {
			if d := math.Abs(along(q, a) - x); d > 1e-6 {
				hard = min(hard, d+4)
			}
		}
	}
	for _, q := range box.FromPanel(p.r.Panel).Bodies {
		if q.Inside {
			w := q.Solid.Bounds()
			soft = min(soft, off(along(w.Min, a), along(w.Max, a), x))
		}
	}
	return hard, soft
}

// off gives how far x lies outside the stretch from lo to hi; negative inside.
func off(lo, hi, x float64) float64 { return max(lo-x, x-hi) }

// openings gives the blocks round all openings of boards that are printed.
func (p *printer) openings() (out []geom.Box3) {
	for i := range p.c.Boards {
		b := &p.c.Boards[i]
		add := func(o geom.Outline) {
			w := geom.EmptyBox3()
			for _, q := range o.Flatten(0.5) {
				w = w.Extend(b.Frame.ToWorld(q.At(0)))
			}
			out = append(out, w)
		}
		if p.faceOf(b.Name) != nil && p.faceOf(b.Name).Name == b.Name {
			continue
		}
		for _, c := range b.Cutouts {
			add(c.Outline)
		}
		if x := p.r.Box.Exit; x != nil && x.Board == b.Name {
			add(x.Outline)
		}
	}
	return out
}

// cells gives the room of every part.
func (p *printer) cells() (out []geom.Box3) {
	for k := range len(p.ends[2]) - 1 {
		for j := range len(p.ends[1]) - 1 {
			for i := range len(p.ends[0]) - 1 {
				out = append(out, geom.Box3{
					Min: geom.Vec3{X: p.ends[0][i], Y: p.ends[1][j], Z: p.ends[2][k]},
					Max: geom.Vec3{X: p.ends[0][i+1], Y: p.ends[1][j+1], Z: p.ends[2][k+1]},
				})
			}
		}
	}
	return out
}

// makeBolts finds the places of screws and pegs in the flanges: along their middle, pegs at the ends of a stretch, screws between.
func (p *printer) makeBolts() {
	cells := p.cells()
	step := [3]int{1, len(p.ends[0]) - 1, (len(p.ends[0]) - 1) * (len(p.ends[1]) - 1)}
	for n, cell := range cells {
		for _, s := range p.seams(cell) {
			if !s.above {
				continue
			}
			for _, h := range p.mid.Inner {
				for _, run := range sectionOf(h, s) {
					p.boltsAlong(s, cell, [2]int{n, n + step[s.axis]}, run)
				}
			}
		}
	}
}

// boltsAlong puts holes along the stretches of a line on which the flange is whole.
func (p *printer) boltsAlong(s seam, cell geom.Box3, cells [2]int, run [2]geom.Vec3) {
	d := run[1].Sub(run[0])
	n := int(d.Len())
	at := func(k int) geom.Vec3 { return run[0].Add(d.Mul((float64(k) + 0.5) / float64(n))) }
	for k := 0; k < n; k++ {
		if !p.inFlange(s, cell, at(k)) {
			continue
		}
		e := k
		for e+1 < n && p.inFlange(s, cell, at(e+1)) {
			e++
		}
		a, b := at(k), at(e)
		long := b.Sub(a).Len()
		if long >= 40 {
			p.bolt(s, cells, a, seamPeg)
			p.bolt(s, cells, b, seamPeg)
		}
		count := int(max(1, math.Round(long/boltEvery)))
		for i := range count {
			p.bolt(s, cells, a.Add(b.Sub(a).Mul((float64(i)+0.5)/float64(count))), seamBolt)
		}
		k = e
	}
}

// bolt adds one hole where no other and no post is near.
func (p *printer) bolt(s seam, cells [2]int, at geom.Vec3, d float64) {
	for _, b := range p.bolts {
		if b.axis == s.axis && b.at.Sub(at).Len() < 10 {
			return
		}
	}
	way := axis(s.axis)
	bar := geom.NewCylinder(at.Sub(way.Mul(seamThick+4)), way, d/2+2, 2*seamThick+8)
	for _, x := range p.posts {
		for _, h := range x.hulls {
			if geom.Gap(bar, h).Gap < 0 {
				return
			}
		}
	}
	p.bolts = append(p.bolts, bolt{axis: s.axis, at: at, d: d, cells: cells})
}

// inFlange reports whether the flange is whole round a point of a seam.
func (p *printer) inFlange(s seam, cell geom.Box3, at geom.Vec3) bool {
	const whole = seamPeg/2 + 2
	for _, q := range p.seams(cell) {
		if w := q.within(seamThick + 5); q.axis != s.axis && at.Dot(w.N) > w.D {
			return false
		}
	}
	depth := func(h *geom.Hull) float64 { // how deep a point lies in a solid; negative outside, then at most its distance
		d := math.Inf(1)
		for i := range h.Faces {
			w := h.Plane(i)
			d = min(d, w.D-at.Dot(w.N))
		}
		return d
	}
	in := false
	for _, h := range p.shell.Outer {
		in = in || depth(h) >= whole
	}
	for _, hs := range [][]*geom.Hull{p.rim.Inner, p.shell.Pockets} {
		for _, h := range hs {
			in = in && depth(h) <= -whole
		}
	}
	return in
}

// sectionOf gives the sides of the area in which a seam's plane cuts a solid.
func sectionOf(h *geom.Hull, s seam) (out [][2]geom.Vec3) {
	for _, f := range h.Faces {
		var ends []geom.Vec3
		for k, i := range f {
			a, b := h.Points[i], h.Points[f[(k+1)%len(f)]]
			x, y := along(a, s.axis)-s.at, along(b, s.axis)-s.at
			if x < 0 != (y < 0) {
				ends = append(ends, a.Add(b.Sub(a).Mul(x/(x-y))))
			}
		}
		if len(ends) == 2 {
			out = append(out, [2]geom.Vec3{ends[0], ends[1]})
		}
	}
	return out
}
