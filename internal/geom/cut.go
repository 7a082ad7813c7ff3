package geom

import "math"

// CutHull gives the part of h that lies in the half-space hs. Faces keep their order; those cut away are left out, and the
// face of the cut comes last. Corners within a thousand-millionth of the size from the plane count as on it. When the plane misses
// h, h itself comes back. ok is false when nothing solid is left, or hs is no half-space.
func CutHull(h *Hull, hs HalfSpace) (cut *Hull, ok bool) {
	l := hs.N.Len()
	if h == nil || !(l > 0) || math.IsInf(l, 0) || math.IsNaN(hs.D) {
		return nil, false
	}
	n, d := hs.N.Mul(1/l), hs.D/l
	tol := 1e-9 * h.box.Max.Sub(h.box.Min).Len()
	off := make([]float64, len(h.Points))
	in, out := false, false
	for i, p := range h.Points {
		// measured from the middle, which keeps the digits of a solid far from the origin
		off[i] = p.Sub(h.centre).Dot(n) - (d - h.centre.Dot(n))
		switch {
		case off[i] > tol:
			out = true
		case off[i] < -tol:
			in = true
		default:
			off[i] = 0
		}
	}
	if !in {
		return nil, false
	}
	if !out {
		return h, true
	}
	type side struct{ i, j int }
	pts := append([]Vec3(nil), h.Points...)
	made := map[side]int{}
	crossing := func(i, j int) int {
		if i > j {
			i, j = j, i
		}
		k, ok := made[side{i, j}]
		if !ok {
			t := off[i] / (off[i] - off[j])
			k = len(pts)
			pts = append(pts, pts[i].Add(pts[j].Sub(pts[i]).Mul(t)))
			made[side{i, j}] = k
		}
		return k
	}
	var faces [][]int
	var planes []HalfSpace
	sides := map[side]bool{}
	for m, f := range h.Faces {
		var g []int
		for k, i := range f {
			j := f[(k+1)%len(f)]
			if off[i] <= 0 {
				g = append(g, i)
			}
			if off[i]*off[j] < 0 {
				g = append(g, crossing(i, j))
			}
		}
		flat := true
		for _, i := range g {
			flat = flat && (i >= len(off) || off[i] == 0)
		}
		if len(g) < 3 || flat {
			continue // outside, or touching with a corner or an edge only
		}
		for k, i := range g {
			sides[side{i, g[(k+1)%len(g)]}] = true
		}
		faces = append(faces, g)
		planes = append(planes, h.planes[m])
	}
	// what has no neighbour bounds the cut
	next := map[int]int{}
	first := -1
	for _, f := range faces {
		for k, i := range f {
			if j := f[(k+1)%len(f)]; !sides[side{j, i}] {
				next[j] = i
				first = j
			}
		}
	}
	var rim []int
	for i := first; len(rim) < len(next); {
		rim = append(rim, i)
		j, ok := next[i]
		if !ok || j == first {
			break
		}
		i = j
	}
	if len(rim) < 3 {
		return nil, false
	}
	c, err := newHull(pts, append(faces, rim))
	if err != nil {
		return nil, false
	}
	c.planes = append(planes, HalfSpace{n, d})
	return c, true
}
