package solid

import (
	"math"
	"math/big"

	"knobwright/internal/geom"
)

// turn says on which side of the line from a to b the point c lies: +1 left, -1 right, 0 on it. The answer is that of exact
// arithmetic on the given numbers: where rounding could matter the determinant is taken again with long numbers.
//
// Source of the bound: Shewchuk, "Adaptive precision floating-point arithmetic and fast robust geometric predicates", Discrete &
// Computational Geometry 18 (1997), ccwerrboundA; from memory, doubled.
func turn(a, b, c geom.Vec2) int {
	ax, ay, bx, by := a.X-c.X, a.Y-c.Y, b.X-c.X, b.Y-c.Y
	if (ax == 0 || by == 0) && (ay == 0 || bx == 0) {
		return 0 // upright and level lines are common
	}
	l, r := ax*by, ay*bx
	det := l - r
	if bound := 6.7e-16 * (math.Abs(l) + math.Abs(r)); det > bound {
		return 1
	} else if det < -bound {
		return -1
	}
	d := func(p, q float64) *big.Float {
		x := big.NewFloat(p).SetPrec(2200)
		return x.Sub(x, big.NewFloat(q))
	}
	x, y := d(a.X, c.X), d(a.Y, c.Y)
	x.Mul(x, d(b.Y, c.Y))
	y.Mul(y, d(b.X, c.X))
	return x.Cmp(y)
}

// crossing reports whether the straight pieces ab and cd share a point.
func crossing(a, b, c, d geom.Vec2) bool {
	p, q := turn(a, b, c), turn(a, b, d)
	r, s := turn(c, d, a), turn(c, d, b)
	if p*q < 0 && r*s < 0 {
		return true
	}
	return p == 0 && onChord(a, b, c) || q == 0 && onChord(a, b, d) || r == 0 && onChord(c, d, a) || s == 0 && onChord(c, d, b)
}

// onChord reports whether p, which lies on the line through a and b, lies between them.
func onChord(a, b, p geom.Vec2) bool {
	return min(a.X, b.X) <= p.X && p.X <= max(a.X, b.X) && min(a.Y, b.Y) <= p.Y && p.Y <= max(a.Y, b.Y)
}

// inTriangle reports whether p lies in the closed counter-clockwise triangle abc.
func inTriangle(a, b, c, p geom.Vec2) bool {
	return turn(a, b, p) >= 0 && turn(b, c, p) >= 0 && turn(c, a, p) >= 0
}
