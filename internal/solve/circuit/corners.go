package circuit

import (
	"errors"
	"fmt"
	"math"
)

// Tolerance says within which bounds the value of an element may lie; units as in [Change].
type Tolerance struct {
	Name      string
	Low, High float64
}

// PlusMinus is the tolerance of an element of so many per cent around a nominal value.
func PlusMinus(name string, nominal, percent float64) Tolerance {
	d := math.Abs(nominal) * percent / 100
	return Tolerance{Name: name, Low: nominal - d, High: nominal + d}
}

// Spread is what tolerances do to one quantity.
type Spread struct {
	Nominal, Min, Max float64
	AtMin, AtMax      []Change // the values that lead there
	// Exact says that all corners were tried. Otherwise the corners were found by following the sensitivity of the quantity to each
	// element, and then by turning single elements over until none made it worse.
	Exact bool
}

// AllCorners is the number of tolerances up to which every corner is tried: 2^10 networks.
const AllCorners = 10

// Corners finds how far quantities of a network move when values lie anywhere within their tolerances. want takes the quantities
// from a solution, always as many. Networks of resistors, switches and sources have their extreme voltages, currents and sums of
// them at corners, because each is monotonous in every single value; for powers, and with diodes, that is usual but no law.
// Errors are those of [Varied.Solve]; a tolerance whose bounds are the wrong way round or named twice is refused.
func Corners(n *Network, tolerances []Tolerance, want func(*Solution) []float64) ([]Spread, error) {
	seen := map[string]bool{}
	for _, t := range tolerances {
		if !(t.Low <= t.High) {
			return nil, fmt.Errorf("the tolerance of %s runs from %g to %g", t.Name, t.Low, t.High)
		}
		if seen[t.Name] {
			return nil, fmt.Errorf("two tolerances are given for %s", t.Name)
		}
		seen[t.Name] = true
	}
	v, err := n.Vary()
	if err != nil {
		return nil, err
	}
	c := &corners{v: v, tol: tolerances, want: want, change: make([]Change, len(tolerances))}
	nominal, err := v.Solve()
	if err != nil {
		return nil, err
	}
	values := want(nominal)
	c.spread = make([]Spread, len(values))
	for i, x := range values {
		c.spread[i] = Spread{Nominal: x, Min: x, Max: x, Exact: len(tolerances) <= AllCorners}
	}
	if len(tolerances) <= AllCorners {
		err = c.all()
	} else {
		err = c.follow()
	}
	if err != nil {
		return nil, err
	}
	return c.spread, nil
}

type corners struct {
	v      *Varied
	tol    []Tolerance
	want   func(*Solution) []float64
	change []Change
	spread []Spread
}

var errQuantities = errors.New("the number of wanted quantities changes from solution to solution")

// try solves one corner (true = the high end), and notes new extremes.
func (c *corners) try(high []bool) ([]float64, error) {
	for i, t := range c.tol {
		c.change[i] = Change{t.Name, t.Low}
		if high[i] {
			c.change[i].Value = t.High
		}
	}
	s, err := c.v.Solve(c.change...)
	if err != nil {
		return nil, err
	}
	values := c.want(s)
	if len(values) != len(c.spread) {
		return nil, errQuantities
	}
	for i, x := range values {
		p := &c.spread[i]
		if x < p.Min || p.AtMin == nil && x == p.Min {
			p.Min, p.AtMin = x, append([]Change(nil), c.change...)
		}
		if x > p.Max || p.AtMax == nil && x == p.Max {
			p.Max, p.AtMax = x, append([]Change(nil), c.change...)
		}
	}
	return values, nil
}

func (c *corners) all() error {
	high := make([]bool, len(c.tol))
	for bits := range 1 << len(c.tol) {
		for i := range high {
			high[i] = bits>>i&1 == 1
		}
		if _, err := c.try(high); err != nil {
			return err
		}
	}
	return nil
}

// follow looks for the extremes of each quantity from the sensitivities.
func (c *corners) follow() error {
	up := make([][]bool, len(c.spread)) // for each quantity: it grows with the tolerance
	for q := range up {
		up[q] = make([]bool, len(c.tol))
	}
	for i, t := range c.tol {
		low, err := c.v.Solve(Change{t.Name, t.Low})
		if err != nil {
			return err
		}
		high, err := c.v.Solve(Change{t.Name, t.High})
		if err != nil {
			return err
		}
		a, b := c.want(low), c.want(high)
		if len(a) != len(up) || len(b) != len(up) {
			return errQuantities
		}
		for q := range up {
			up[q][i] = b[q] > a[q]
		}
	}
	for q := range c.spread {
		for _, sign := range []float64{1, -1} {
			high := make([]bool, len(c.tol))
			for i := range high {
				high[i] = up[q][i] == (sign > 0)
			}
			if err := c.climb(q, sign, high); err != nil {
				return err
			}
		}
	}
	return nil
}

// climb turns single elements over as long as that drives quantity q further.
func (c *corners) climb(q int, sign float64, high []bool) error {
	const rounds = 4
	values, err := c.try(high)
	if err != nil {
		return err
	}
	best := sign * values[q]
	for range rounds {
		better := false
		for i := range high {
			high[i] = !high[i]
			values, err := c.try(high)
			if err != nil {
				return err
			}
			if v := sign * values[q]; v > best {
				best, better = v, true
			} else {
				high[i] = !high[i]
			}
		}
		if !better {
			return nil
		}
	}
	return nil
}
