package pack

// prices bounds what a limited number of each piece is worth together. A piece used beyond its number costs
// a price l(k), and one left over gives it back:
//
//	max value <= F with values v(k) - l(k)  +  sum of l(k)·count(k)    for all l >= 0
//
// because the right side is what the recursion without limits finds, and that includes all that keeps the limits
// (Lagrange). Prices are moved by the subgradient count(k) - used(k).
type prices struct {
	*recursion
	price []float64 // best found
	bound float64   // with the best prices
}

// adjusted sets the values of the recursion for prices and returns the value of what is given back.
func (p *prices) adjusted(price []float64) float64 {
	back := 0.0
	for k, it := range p.items {
		p.value[k] = max(0, it.value-price[k])
		if price[k] > 0 {
			back += float64(price[k] * float64(it.count))
		}
	}
	return back
}

// improve runs rounds of the subgradient search; target is the value of a known answer. Every arrangement that the
// recursion makes on the way is handed to use. It reports whether it came to its end without being stopped.
func (p *prices) improve(rounds int, target func() float64, use func(b *block), stop func() bool) bool {
	n := len(p.items)
	price, used := make([]float64, n), make([]int, n)
	copy(price, p.price)
	pace, since := 1.0, 0
	for range rounds {
		back := p.adjusted(price)
		f, ok := p.solve(stop)
		if !ok {
			return false
		}
		if f+back < p.bound*(1-1e-6) {
			since = 0
		} else {
			since++
		}
		if f+back < p.bound {
			p.bound = f + back
			copy(p.price, price)
		}
		b := p.whole()
		use(b)
		if p.bound <= target() {
			return true
		}
		clear(used)
		b.count(used)
		norm := 0
		for k, it := range p.items {
			if it.count == Unlimited {
				continue
			}
			if d := used[k] - it.count; d > 0 || price[k] > 0 {
				norm += d * d
			}
		}
		if norm == 0 {
			return true
		}
		if since >= 6 {
			pace, since = pace*0.7, 0
			copy(price, p.price)
		}
		step := pace * max(f+back-target(), 1e-4*p.bound) / float64(norm)
		for k, it := range p.items {
			if it.count != Unlimited {
				price[k] = min(it.value, max(0, price[k]+float64(step*float64(used[k]-it.count))))
			}
		}
	}
	return true
}
