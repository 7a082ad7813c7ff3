package diagnosis

import "math"

// linear solves the nodes with the diodes as they are supposed, by elimination.
func (w *network) linear(group []int32, index map[int32]int, parts []int32, v []float64) {
	n := len(group)
	m := make([]float64, n*(n+1))
	row := func(i int) []float64 { return m[i*(n+1) : (i+1)*(n+1)] }
	for i := range n {
		row(i)[i] = 1e-10
	}
	for _, i := range parts {
		p := &w.parts[i]
		g, drop := p.g, 0.0
		if p.diode {
			if !p.on {
				continue
			}
			drop = p.drop
		}
		a, ina := index[p.a]
		b, inb := index[p.b]
		ina, inb = ina && !w.is[p.a], inb && !w.is[p.b]
		if ina {
			row(a)[a] += g
			row(a)[n] += g * drop
			if inb {
				row(a)[b] -= g
			} else {
				row(a)[n] += g * w.fixed[p.b]
			}
		}
		if inb {
			row(b)[b] += g
			row(b)[n] -= g * drop
			if ina {
				row(b)[a] -= g
			} else {
				row(b)[n] += g * w.fixed[p.a]
			}
		}
	}
	for i := range n {
		best := i
		for k := i + 1; k < n; k++ {
			if math.Abs(row(k)[i]) > math.Abs(row(best)[i]) {
				best = k
			}
		}
		if best != i {
			ri, rb := row(i), row(best)
			for k := range ri {
				ri[k], rb[k] = rb[k], ri[k]
			}
		}
		ri := row(i)
		d := ri[i]
		if d == 0 {
			continue
		}
		for k := i + 1; k < n; k++ {
			rk := row(k)
			f := rk[i] / d
			if f == 0 {
				continue
			}
			for x := i; x <= n; x++ {
				rk[x] -= f * ri[x]
			}
		}
	}
	for i := n - 1; i >= 0; i-- {
		ri := row(i)
		sum := ri[n]
		for k := i + 1; k < n; k++ {
			sum -= ri[k] * v[k]
		}
		if ri[i] != 0 {
			v[i] = sum / ri[i]
		} else {
			v[i] = 0
		}
	}
}
