package box

import (
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"
)

const tiny = 1e-6

// span gives where the line p + t d lies in a convex solid; ok is false when it does not.
func span(h *geom.Hull, p, d geom.Vec3) (in, out float64, ok bool) {
	in, out = math.Inf(-1), math.Inf(1)
	for i := range h.Faces {
		pl := h.Plane(i)
		off, run := p.Dot(pl.N)-pl.D, d.Dot(pl.N)
		switch {
		case run > 1e-12:
			out = min(out, -off/run)
		case run < -1e-12:
			in = max(in, -off/run)
		case off > tiny:
			return 0, 0, false
		}
	}
	return in, out, in < out+tiny
}

// crosses reports whether a line from p along d comes into a box grown by a hair, in front of p or behind it.
func crosses(b geom.Box3, p, d geom.Vec3) bool {
	in, out := math.Inf(-1), math.Inf(1)
	for _, k := range [3][4]float64{{b.Min.X, b.Max.X, p.X, d.X}, {b.Min.Y, b.Max.Y, p.Y, d.Y}, {b.Min.Z, b.Max.Z, p.Z, d.Z}} {
		lo, hi := k[0]-k[2]-2*tiny, k[1]-k[2]+2*tiny
		switch {
		case k[3] > 1e-12:
			in, out = max(in, lo/k[3]), min(out, hi/k[3])
		case k[3] < -1e-12:
			in, out = max(in, hi/k[3]), min(out, lo/k[3])
		case lo > 0 || hi < 0:
			return false
		}
	}
	return in <= out
}

// leaves gives how far from p along d the wood of a board goes on; 0 when p is not in it. Parts that touch count as one.
func leaves(b *carcass.Board, p, d geom.Vec3) float64 {
	var room [8][2]float64
	runs := room[:0] // where the line runs in the parts
	for _, h := range b.Parts {
		if len(b.Parts) > 2 && !crosses(h.Bounds(), p, d) {
			continue
		}
		if in, out, ok := span(h, p, d); ok && out > 0 {
			runs = append(runs, [2]float64{in, out})
		}
	}
	at := 0.0
	for range len(runs) + 1 {
		far := at
		for _, r := range runs {
			if r[0] <= at+tiny {
				far = max(far, r[1])
			}
		}
		if far <= at+tiny {
			break
		}
		at = far
	}
	return at
}

// holds reports whether a point lies in the wood of a board.
func holds(b *carcass.Board, p geom.Vec3) bool {
	for _, h := range b.Parts {
		in := true
		for i := range h.Faces {
			if pl := h.Plane(i); p.Dot(pl.N) > pl.D+tiny {
				in = false
				break
			}
		}
		if in {
			return true
		}
	}
	return false
}

// cover gives the least wood of a board round a round bar of radius r from a to b, to the surfaces that do not look towards the way it
// comes from. It looks square to every flat of the board and in 48 directions round the bar, from both ends.
func cover(bd *carcass.Board, a, b geom.Vec3, r float64) float64 {
	axis := b.Sub(a).Unit()
	start := a.Add(axis.Mul(1e-4))
	if !holds(bd, start) || !holds(bd, b) {
		return -r
	}
	least := leaves(bd, b, axis) // ahead of the tip
	look := func(n geom.Vec3) {
		share := 1.0
		if along := n.Dot(axis); along < -1e-9 { // such a flat is met square to the bar: along n the way would lead back out of the mouth
			n = n.Sub(axis.Mul(along))
			share = n.Len()
			n = n.Unit()
		}
		least = min(least, share*leaves(bd, start, n)-r, share*leaves(bd, b, n)-r)
	}
	for _, n := range flats(bd) {
		if n.Dot(axis) > -0.95 && n.Dot(axis) < 0.99 {
			look(n)
		}
	}
	u := cross(axis)
	v := axis.Cross(u)
	for k := range 48 {
		a := float64(k) * math.Pi / 24
		look(u.Mul(math.Cos(a)).Add(v.Mul(math.Sin(a))))
	}
	return least
}

// flats gives the directions that the flats of a board look to, each once.
func flats(bd *carcass.Board) []geom.Vec3 {
	var out []geom.Vec3
	for _, h := range bd.Parts {
	next:
		for i := range h.Faces {
			n := h.Plane(i).N
			for _, o := range out {
				if n.Dot(o) > 1-1e-12 {
					continue next
				}
			}
			out = append(out, n)
		}
	}
	return out
}

// cross gives some direction square to d.
func cross(d geom.Vec3) geom.Vec3 {
	e := geom.Vec3{X: 1}
	if math.Abs(d.X) > 0.7 {
		e = geom.Vec3{Y: 1}
	}
	return d.Cross(e).Unit()
}

// apart is the distance between two stretches a-b and c-d.
func apart(a, b, c, d geom.Vec3) float64 {
	u, v, w := b.Sub(a), d.Sub(c), a.Sub(c)
	uu, uv, vv, uw, vw := u.Dot(u), u.Dot(v), v.Dot(v), u.Dot(w), v.Dot(w)
	den := uu*vv - uv*uv
	clamp := func(x float64) float64 { return min(max(x, 0), 1) }
	s := 0.0
	if den > 1e-12*uu*vv {
		s = clamp((uv*vw - vv*uw) / den)
	}
	t := 0.0
	if vv > 0 {
		t = (uv*s + vw) / vv
	}
	if t < 0 || t > 1 {
		t = clamp(t)
		if uu > 0 {
			s = clamp((uv*t - uw) / uu)
		}
	}
	return w.Add(u.Mul(s)).Sub(v.Mul(t)).Len()
}

// swept is a convex solid moved along a way: everything that it passes.
type swept struct {
	geom.Convex
	by geom.Vec3
}

func (s swept) Support(d geom.Vec3) geom.Vec3 {
	p := s.Convex.Support(d)
	if s.by.Dot(d) > 0 {
		p = p.Add(s.by)
	}
	return p
}

func (s swept) Centre() geom.Vec3 { return s.Convex.Centre().Add(s.by.Mul(0.5)) }

func (s swept) Bounds() geom.Box3 {
	b := s.Convex.Bounds()
	return b.Union(geom.Box3{Min: b.Min.Add(s.by), Max: b.Max.Add(s.by)})
}
