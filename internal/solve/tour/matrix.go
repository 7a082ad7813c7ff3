package tour

type matrix struct {
	n int
	d []float64
}

func (m *matrix) row(v int32) []float64 { return m.d[int(v)*m.n : int(v)*m.n+m.n] }

func (m *matrix) noise() float64 {
	top := 0.0
	for _, d := range m.d {
		top = max(top, d, -d)
	}
	return 1e-12 * top
}

func (m *matrix) nearest(k int) []int32 {
	near := make([]int32, m.n*k)
	for v := range m.n {
		row, list := m.row(int32(v)), near[v*k:v*k:v*k+k]
		for w, d := range row {
			if w == v || len(list) == k && d >= row[list[k-1]] {
				continue
			}
			if len(list) < k {
				list = append(list, 0)
			}
			i := len(list) - 1
			for ; i > 0 && row[list[i-1]] > d; i-- {
				list[i] = list[i-1]
			}
			list[i] = int32(w)
		}
	}
	return near
}

func (m *matrix) nearestNeighbour(home int32) []int32 {
	tour := make([]int32, m.n)
	for i := range tour {
		tour[i] = int32(i)
	}
	tour[0], tour[home] = home, tour[0]
	for i := 1; i < m.n-1; i++ {
		row, best := m.row(tour[i-1]), i
		for j := i + 1; j < m.n; j++ {
			if row[tour[j]] < row[tour[best]] {
				best = j
			}
		}
		tour[i], tour[best] = tour[best], tour[i]
	}
	return tour
}
