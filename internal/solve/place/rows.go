package place

import (
	"math"
	"slices"
)

// levels gathers how far the leading bodies of each item stand from its point.
func (c *compiled) levels() {
	c.off = make([][][2][]float64, c.n)
	for i := range c.Items {
		for _, f := range c.Items[i].Forms {
			var out [2][]float64
			for _, b := range f {
				if b.Follow != Same {
					continue
				}
				for k, v := range [2]float64{b.At.X, b.At.Y} {
					at := slices.IndexFunc(out[k], func(o float64) bool { return math.Abs(o-v) < 1e-6 })
					if at < 0 {
						out[k] = append(out[k], v)
					}
				}
			}
			c.off[i] = append(c.off[i], out)
		}
	}
}

// across is the least way between two items' leading bodies across a direction that is nearer to level or to upright.
func (c *compiled) across(s *state, o *Order) float64 {
	k, a, b := 1, s.at[o.A].Y, s.at[o.B].Y
	if math.Abs(o.Dir.Y) > math.Abs(o.Dir.X) {
		k, a, b = 0, s.at[o.A].X, s.at[o.B].X
	}
	best := math.Inf(1)
	for _, x := range c.off[o.A][s.form[o.A]][k] {
		for _, y := range c.off[o.B][s.form[o.B]][k] {
			best = min(best, math.Abs(a+x-b-y))
		}
	}
	return best
}

// chain is items that are asked to stand in one line one after the other.
type chain struct {
	items  []int
	across bool // left to right; else downwards
}

// chain follows the orders that ask for a line.
func (c *compiled) chain() {
	c.inRow = make([]bool, c.n)
	for _, across := range []bool{true, false} {
		next, last := make([]int, c.n), make([]bool, c.n)
		for i := range next {
			next[i] = -1
		}
		for k := range c.Orders {
			o := &c.Orders[k]
			if o.Line && !o.Reading && (math.Abs(o.Dir.X) >= math.Abs(o.Dir.Y)) == across && next[o.A] < 0 && !last[o.B] && o.A != o.B {
				next[o.A], last[o.B] = o.B, true
			}
		}
		for i := range next {
			if last[i] {
				continue
			}
			var r []int
			for at := i; at >= 0; at = next[at] {
				r = append(r, at)
			}
			if len(r) > 2 {
				c.rows = append(c.rows, chain{r, across})
				for _, at := range r {
					c.inRow[at] = true
				}
			}
		}
	}
}
