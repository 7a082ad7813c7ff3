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
	who := make([]int32, 4*len(h.group))
	for i := range who {
		who[i] = -1
	}
	for i, at := range h.where {
		who[at] = int32(i)
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
					i, j := who[4*g+a], who[4*q+c]
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

// Combine makes new half-solved vectors as sums: vector i is the sum of coef[i][j] times old vector j.
func (h *Half) Combine(coef [][]float64) (*Half, error) {
	out := &Half{f: h.f, n: len(coef), where: make([]int32, len(coef)), fronts: h.fronts}
	out.group = make([]group, (len(coef)+3)/4)
	for i := range out.where {
		out.where[i] = int32(i)
	}
	size := 4 * len(h.f.plan.perm)
	for g := range out.group {
		gr := &out.group[g]
		gr.x = make([]float64, size)
		gr.active = make([]bool, h.fronts)
		for q := range h.group {
			var w [4][4]float64 // old lane, new lane
			any := false
			for c := range 4 {
				i := 4*g + c
				if i >= len(coef) {
					break
				}
				if len(coef[i]) != h.n {
					return nil, fmt.Errorf("%w: sum %d has %d weights for %d vectors", ErrShape, i, len(coef[i]), h.n)
				}
				for j, at := range h.where {
					if int(at)/4 == q && coef[i][j] != 0 {
						w[at%4][c] = coef[i][j]
						any = true
					}
				}
			}
			if !any {
				continue
			}
			h.addTo(gr, &h.group[q], &w)
		}
	}
	return out, nil
}

// addTo adds to the lanes of gr the lanes of from, weighted.
func (h *Half) addTo(gr, from *group, w *[4][4]float64) {
	for k := range h.f.plan.fronts {
		if !from.active[k] {
			continue
		}
		gr.active[k] = true
		fr := &h.f.plan.fronts[k]
		x, y := gr.x[4*fr.first:4*(fr.first+fr.m)], from.x[4*fr.first:4*(fr.first+fr.m)]
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
