package pack

import "math"

// cover is the linear program of the cheapest mix of patterns,
//
//	min sum c(p) x(p),  sum a(i,p) x(p) >= d(i),  x >= 0,
//
// kept as a basis and its inverse (revised simplex, as in textbooks). Patterns are added while they come; nothing
// that is concluded from the prices depends on how exactly they were computed.
type cover struct {
	need    []float64
	basis   []column
	inverse [][]float64 // of the matrix of the basis
	x       []float64   // of the basis
}

// column is a column: how many of each row it covers, and its cost.
type column struct {
	counts []float64
	cost   float64
	kind   int    // of sheet, where there is a block
	block  *block // how it is cut; nil for columns that are no pattern
}

// newCover begins with one column a row, which must cover its own row only.
func newCover(need []float64, columns []column) *cover {
	c := &cover{need: need, basis: columns, x: make([]float64, len(need)), inverse: table(len(need), len(need))}
	for i, p := range columns {
		c.inverse[i][i] = 1 / p.counts[i]
		c.x[i] = need[i] / p.counts[i]
	}
	return c
}

// prices are what a further unit of each row costs.
func (c *cover) prices() []float64 {
	price := make([]float64, len(c.need))
	for r, p := range c.basis {
		for i, v := range c.inverse[r] {
			price[i] += float64(p.cost * v)
		}
	}
	return price
}

// enter takes a column into the basis and reports whether it could.
func (c *cover) enter(p column) bool {
	m := len(c.need)
	turn := make([]float64, m)
	for r := range m {
		for i, a := range p.counts {
			if a != 0 {
				turn[r] += float64(c.inverse[r][i] * a)
			}
		}
	}
	leave, least := -1, math.Inf(1)
	for r, t := range turn {
		if t < 1e-9 {
			continue
		}
		if q := max(0, c.x[r]) / t; q < least-1e-12 || q < least+1e-12 && leave >= 0 && t > turn[leave] {
			least, leave = q, r
		}
	}
	if leave < 0 {
		return false
	}
	pivot := c.inverse[leave]
	for i := range pivot {
		pivot[i] /= turn[leave]
	}
	for r, t := range turn {
		if r == leave || t == 0 {
			continue
		}
		row := c.inverse[r]
		for i, v := range pivot {
			row[i] -= float64(t * v)
		}
		c.x[r] -= float64(t * least)
	}
	c.x[leave] = least
	c.basis[leave] = p
	return true
}
