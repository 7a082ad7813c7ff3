package solid

import "knobwright/internal/geom"

// fatten turns slim triangles into stouter ones: where the corner beyond a shared side lies in the circle round a triangle, the side
// is exchanged for the other diagonal, until none does. Sides of loops stay. What comes out is the constrained Delaunay
// triangulation, but for ties.
//
// Source: Lawson, "Software for C¹ surface interpolation", Mathematical Software III (1977); from memory.
func fatten(ps []geom.Vec2, ts [][3]int) {
	beyond := neighbours(ts)
	// turned reports where triangle n, which lies beyond m, has its side shared with m
	turned := func(n, m int) int {
		for k, o := range beyond[n] {
			if o == m {
				return k
			}
		}
		return -1
	}
	relink := func(n, from, to int) {
		if n >= 0 {
			beyond[n][turned(n, from)] = to
		}
	}
	look := make([]int, len(ts)) // triangles whose sides are still to be looked at
	for n := range look {
		look[n] = n
	}
	// each exchange enlarges the least angles; the count is a stop against rounding only
	for count := 64*len(ts) + 64; len(look) > 0 && count > 0; count-- {
		m := look[len(look)-1]
		look = look[:len(look)-1]
		for k := range 3 {
			n := beyond[m][k]
			if n < 0 {
				continue
			}
			l := turned(n, m)
			a, b, c, d := ts[m][k], ts[m][(k+1)%3], ts[m][(k+2)%3], ts[n][(l+2)%3]
			if beyond[m][(k+1)%3] == n || beyond[m][(k+2)%3] == n || !inCircle(ps[a], ps[b], ps[c], ps[d]) ||
				turn(ps[a], ps[d], ps[c]) <= 0 || turn(ps[d], ps[b], ps[c]) <= 0 {
				continue
			}
			bc, ca, ad, db := beyond[m][(k+1)%3], beyond[m][(k+2)%3], beyond[n][(l+1)%3], beyond[n][(l+2)%3]
			ts[m], beyond[m] = [3]int{a, d, c}, [3]int{ad, n, ca}
			ts[n], beyond[n] = [3]int{d, b, c}, [3]int{db, bc, m}
			relink(ad, n, m)
			relink(bc, m, n)
			look = append(look, n, m)
			break
		}
	}
}

// neighbours gives for each triangle the ones beyond its three sides; -1 where there is none.
func neighbours(ts [][3]int) [][3]int {
	type side struct{ i, j int }
	left := make(map[side]int, 3*len(ts))
	for n, t := range ts {
		for k := range 3 {
			left[side{t[k], t[(k+1)%3]}] = n
		}
	}
	out := make([][3]int, len(ts))
	for n, t := range ts {
		for k := range 3 {
			o, ok := left[side{t[(k+1)%3], t[k]}]
			if !ok {
				o = -1
			}
			out[n][k] = o
		}
	}
	return out
}

// inCircle reports whether d lies, by more than rounding, in the circle round the counter-clockwise triangle abc.
func inCircle(a, b, c, d geom.Vec2) bool {
	a, b, c = a.Sub(d), b.Sub(d), c.Sub(d)
	x, y, z := a.Dot(a), b.Dot(b), c.Dot(c)
	det := x*b.Cross(c) + y*c.Cross(a) + z*a.Cross(b)
	return det > 1e-12*(x*(y+z)+y*z)
}
