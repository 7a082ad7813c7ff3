package sparse

import "fmt"

// Gram gives bᵢᵀ·A⁻¹·bⱼ for every two of the vectors: how far unknowns give under a push on others. It takes no back
// substitution, and meets only fronts that both vectors reach. The table is symmetric to the last bit.
func (h *Half) Gram() [][]float64 {
	out := make([][]float64, h.n)
	flat := make([]float64, h.n*h.n)
	for i := range out {
		out[i] = flat[i*h.n : (i+1)*h.n]
	}
	fronts := h.f.plan.fronts
	for g := range h.group {
		for q := g; q < len(h.group); q++ {
			var t [4][4]float64
			y, z := &h.group[g], &h.group[q]
			for k := 0; k < len(fronts); k++ {
				if !y.active[k] || !z.active[k] {
					continue
				}
				// fronts that stand one behind the other go in one run
				lo, hi := fronts[k].first, fronts[k].first+fronts[k].m
				for k+1 < len(fronts) && y.active[k+1] && z.active[k+1] {
					k++
					hi += fronts[k].m
				}
				a, b := y.x[4*lo:4*hi], z.x[4*lo:4*hi]
				for c := 0; c < 4; c += 2 {
					s00, s01, s10, s11, s20, s21, s30, s31 := gram42(a, b, c)
					t[0][c] += s00
					t[0][c+1] += s01
					t[1][c] += s10
					t[1][c+1] += s11
					t[2][c] += s20
					t[2][c+1] += s21
					t[3][c] += s30
					t[3][c+1] += s31
				}
			}
			for a := range 4 {
				for c := range 4 {
					i, j := h.lanes[g][a], h.lanes[q][c]
					if i < 0 || j < 0 || g == q && c < a {
						continue
					}
					out[i][j], out[j][i] = t[a][c], t[a][c]
				}
			}
		}
	}
	return out
}

// Len gives the number of vectors.
func (h *Half) Len() int { return h.n }

// BackSums gives A⁻¹ times sums of the vectors: result i belongs to the sum of coef[i][j] times vector j.
func (h *Half) BackSums(coef [][]float64) ([][]float64, error) {
	for i, c := range coef {
		if len(c) != h.n {
			return nil, fmt.Errorf("%w: sum %d has %d weights for %d vectors", ErrShape, i, len(c), h.n)
		}
	}
	var w [4][4]float64 // old lane, new lane
	return h.back(len(coef), func(g int, x []float64) {
		clear(x)
		for q := range h.group {
			any := false
			w = [4][4]float64{}
			for lane, j := range h.lanes[q] {
				if j < 0 {
					continue
				}
				for c := range min(4, len(coef)-4*g) {
					if v := coef[4*g+c][j]; v != 0 {
						w[lane][c] = v
						any = true
					}
				}
			}
			if any {
				h.addTo(x, &h.group[q], &w)
			}
		}
	}, func(i int) int { return i }), nil
}

// addTo adds to the lanes of all the lanes of from, weighted.
func (h *Half) addTo(all []float64, from *group, w *[4][4]float64) {
	fronts := h.f.plan.fronts
	for k := 0; k < len(fronts); k++ {
		if !from.active[k] {
			continue
		}
		lo, hi := fronts[k].first, fronts[k].first+fronts[k].m
		for k+1 < len(fronts) && from.active[k+1] { // fronts that stand one behind the other go in one run
			k++
			hi += fronts[k].m
		}
		x, y := all[4*lo:4*hi], from.x[4*lo:4*hi]
		for c := range 4 {
			w0, w1, w2, w3 := w[c][0], w[c][1], w[c][2], w[c][3]
			if w0 == 0 && w1 == 0 && w2 == 0 && w3 == 0 {
				continue
			}
			for i := 0; i+3 < len(x) && i+3 < len(y); i += 4 {
				v := y[i+c]
				x[i] += w0 * v
				x[i+1] += w1 * v
				x[i+2] += w2 * v
				x[i+3] += w3 * v
			}
		}
	}
}
