package solid

import (
	"math"
	"math/big"
	"testing"

	"knobwright/internal/geom"
	"pgregory.net/rapid"
)

// The sign of the determinant in rational numbers, slow and sure.
func turnSlow(a, b, c geom.Vec2) int {
	r := func(x float64) *big.Rat { return new(big.Rat).SetFloat64(x) }
	sub := func(x, y float64) *big.Rat { return new(big.Rat).Sub(r(x), r(y)) }
	l := new(big.Rat).Mul(sub(a.X, c.X), sub(b.Y, c.Y))
	return l.Cmp(new(big.Rat).Mul(sub(a.Y, c.Y), sub(b.X, c.X)))
}

func TestTurnIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(-Far, Far)
		a, b := v2(f.Draw(t, "ax"), f.Draw(t, "ay")), v2(f.Draw(t, "bx"), f.Draw(t, "by"))
		// near the line, a few last bits off it
		c := a.Add(b.Sub(a).Mul(rapid.Float64Range(-2, 2).Draw(t, "along")))
		for range rapid.IntRange(0, 3).Draw(t, "bits") {
			c.Y = math.Nextafter(c.Y, Far)
		}
		if got, want := turn(a, b, c), turnSlow(a, b, c); got != want {
			t.Errorf("turn(%v, %v, %v) = %d, want %d", a, b, c, got, want)
		}
		if got, want := turn(b, c, a), turnSlow(b, c, a); got != want {
			t.Errorf("turn(%v, %v, %v) = %d, want %d", b, c, a, got, want)
		}
	})
}

// Random star-shaped areas, with holes in a ring of cells and corners in straight lines: the triangles must be counter-clockwise, cover
// the area, use each side of each loop once, and number corners + 2·holes - 2, which together leave no room for gaps or laps.
func TestTriangulate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(0, 1)
		at := v2(1000*f.Draw(t, "x"), 1000*f.Draw(t, "y"))
		star := func(c geom.Vec2, lo, hi float64, n int) (ps []geom.Vec2) {
			for i := range n {
				s, k := math.Sincos(2 * math.Pi * (float64(i) + 0.8*f.Draw(t, "jitter")) / float64(n))
				r := lo + (hi-lo)*f.Draw(t, "r")
				p := c.Add(v2(r*k, r*s))
				if m := len(ps); m > 0 && f.Draw(t, "split") < 0.3 {
					ps = append(ps, ps[m-1].Add(p).Mul(0.5)) // in the middle of a side, or a rounding off it
				}
				ps = append(ps, p)
			}
			return ps
		}
		ps := star(at, 100, 200, rapid.IntRange(5, 40).Draw(t, "rim"))
		ends := []int{len(ps)}
		holes := rapid.IntRange(0, 12).Draw(t, "holes")
		for i := range holes {
			s, k := math.Sincos(2 * math.Pi * float64(i) / float64(max(holes, 4)))
			n := rapid.IntRange(4, 9).Draw(t, "n")
			h := star(at.Add(v2(30*k, 30*s)), 2, 7, n)
			for l, r := 0, len(h)-1; l < r; l, r = l+1, r-1 {
				h[l], h[r] = h[r], h[l]
			}
			ps = append(ps, h...)
			ends = append(ends, len(ps))
		}
		ts, err := triangulate(ps, ends)
		if err != nil {
			t.Fatal(err)
		}
		if want := len(ps) + 2*holes - 2; len(ts) != want {
			t.Errorf("%d triangles, want %d", len(ts), want)
		}
		for n, o := range neighbours(ts) {
			for k, m := range o {
				if m < 0 {
					continue
				}
				for _, d := range ts[m] { // no corner beyond a side lies well inside the circle, seen from either triangle
					if a, b, c := ps[ts[n][0]], ps[ts[n][1]], ps[ts[n][2]]; inCircle(a, b, c, ps[d]) &&
						inCircle(ps[ts[m][0]], ps[ts[m][1]], ps[ts[m][2]], ps[ts[n][(k+2)%3]]) &&
						turn(ps[ts[n][k]], ps[d], ps[ts[n][(k+2)%3]]) > 0 && turn(ps[d], ps[ts[n][(k+1)%3]], ps[ts[n][(k+2)%3]]) > 0 {
						t.Errorf("triangles %v and %v could be fatter", ts[n], ts[m])
					}
				}
			}
		}
		type side struct{ i, j int }
		seen := map[side]int{}
		var area float64
		for _, tri := range ts {
			a, b, c := ps[tri[0]], ps[tri[1]], ps[tri[2]]
			if turnSlow(a, b, c) <= 0 {
				t.Errorf("triangle %v is flat or runs clockwise", tri)
			}
			area += b.Sub(a).Cross(c.Sub(a)) / 2
			for k := range 3 {
				seen[side{tri[k], tri[(k+1)%3]}]++
			}
		}
		var want float64
		from := 0
		for _, end := range ends {
			for i := from; i < end; i++ {
				j := i + 1
				if j == end {
					j = from
				}
				want += ps[i].Sub(at).Cross(ps[j].Sub(at)) / 2
				if seen[side{i, j}] != 1 || seen[side{j, i}] != 0 {
					t.Errorf("side %d-%d of a loop stands %d times, backwards %d", i, j, seen[side{i, j}], seen[side{j, i}])
				}
				delete(seen, side{i, j})
			}
			from = end
		}
		for s, n := range seen {
			if n != 1 || seen[side{s.j, s.i}] != 1 {
				t.Errorf("inner side %v stands %d times, backwards %d", s, n, seen[side{s.j, s.i}])
			}
		}
		if math.Abs(area-want) > 1e-9*want {
			t.Errorf("area %g, want %g", area, want)
		}
	})
}

func TestTriangulateRefusesWhatIsNoArea(t *testing.T) {
	sq := []geom.Vec2{v2(0, 0), v2(1, 0), v2(1, 1), v2(0, 1)}
	for name, c := range map[string]struct {
		ps   []geom.Vec2
		ends []int
	}{
		"nothing":       {nil, nil},
		"two corners":   {sq[:2], []int{2}},
		"one line":      {[]geom.Vec2{v2(0, 0), v2(1, 0), v2(2, 0), v2(3, 0)}, []int{4}},
		"clockwise":     {[]geom.Vec2{sq[3], sq[2], sq[1], sq[0]}, []int{4}},
		"empty hole":    {sq, []int{4, 4}},
		"figure eight":  {[]geom.Vec2{v2(0, 0), v2(1, 1), v2(1, 0), v2(0, 1)}, []int{4}},
		"hole far away": {append(append([]geom.Vec2(nil), sq...), v2(5, 5), v2(5, 6), v2(6, 5)), []int{4, 7}},
	} {
		if ts, err := triangulate(c.ps, c.ends); err == nil {
			t.Errorf("%s: gives %v", name, ts)
		}
	}
}
