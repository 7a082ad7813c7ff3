package electric

import "math"

// spaced chooses resistors of a ladder with one contact at a time for a given pull-up: the choice with the largest smallest gap.
//
// Readings and both ends of their spread grow with the resistor. For a gap asked for, it is therefore best to take the smallest
// resistor first, and then always the smallest one that keeps the gap; the largest gap for which that gives enough is found by
// halving, and the choice made there is the best there is.
func (q LadderQuestion) spaced(pull float64, values []float64) []float64 {
	type spread struct{ low, high float64 }
	spans := make([]spread, len(values))
	for i, v := range values {
		low, _, high := q.span(pull, []float64{v}, []int{0})
		spans[i] = spread{low, high}
	}
	top, _, _ := q.span(pull, nil, nil)
	try := func(gap float64) []float64 {
		var out []float64
		last := math.Inf(-1)
		for i, v := range values {
			if spans[i].low-last < gap {
				continue
			}
			out, last = append(out, v), spans[i].high
			if len(out) == q.Contacts {
				break
			}
		}
		if len(out) < q.Contacts || !q.NoOpen && top-last < gap {
			return nil
		}
		return out
	}
	low, high := -1.0, 1.0
	best := try(low)
	if best == nil {
		return nil
	}
	for range 50 {
		mid := (low + high) / 2
		if out := try(mid); out != nil {
			low, best = mid, out
		} else {
			high = mid
		}
	}
	if q.NoOpen && len(best) > 1 { // the last one may go up: only its own gap grows
		best[len(best)-1] = values[len(values)-1]
	}
	return best
}

// conductance of contacts closed together, in all its corners, S.
type conductance struct{ least, nom, most float64 }

// search looks for resistors of a ladder with any combination of contacts for one pull-up.
type search struct {
	q      LadderQuestion
	pull   float64
	values []float64
	ohms   []float64       // chosen so far, ascending
	sums   [][]conductance // of all combinations of the first contacts, ascending
	best   []float64
	gap    float64 // to be beaten, as a share of full scale
	low    float64 // bounds of the ratio from one resistor to the next
	high   float64
}

// weighted chooses resistors for any combination of contacts; nil if no choice has a larger gap than floor. Every contact added only
// puts more readings between those that are there, so that a few contacts whose gap is too small already need not be gone on with.
// Up to four contacts all values are tried, beyond that those in a window of ratios that narrows with the number of contacts: the
// bend of the divider wants less than two, the sums of the smaller ones want two.
func (q LadderQuestion) weighted(pull float64, values []float64, floor float64) []float64 {
	s := search{q: q, pull: pull, values: values, ohms: make([]float64, q.Contacts), gap: floor, low: 1, high: math.Inf(1)}
	switch {
	case q.Contacts >= 7:
		s.low, s.high = 1.8, 2.1
	case q.Contacts == 6:
		s.low, s.high = 1.6, 2.15
	case q.Contacts == 5:
		s.low, s.high = 1.2, 2.3
	}
	for i := range q.Contacts + 1 {
		s.sums = append(s.sums, make([]conductance, 1<<i))
	}
	s.put(0)
	return s.best
}

func (s *search) put(i int) {
	if i == s.q.Contacts {
		s.best, s.gap = append([]float64(nil), s.ohms...), s.gapOf(s.sums[i])
		return
	}
	for _, v := range s.values {
		if i > 0 && (v < s.ohms[i-1] || v < s.ohms[i-1]*s.low*(1-tiny)) {
			continue
		}
		if i > 0 && v > s.ohms[i-1]*s.high*(1+tiny) {
			break
		}
		s.ohms[i] = v
		t := s.q.Tol / 100
		merge(s.sums[i], conductance{1 / (v*(1+t) + s.q.Contact), 1 / v, 1 / (v * (1 - t))}, s.sums[i+1])
		if s.gapOf(s.sums[i+1]) > s.gap {
			s.put(i + 1)
		}
	}
}

// merge writes the sums with and without one more contact, ascending.
func merge(sums []conductance, g conductance, out []conductance) {
	i, j := 0, 0
	for k := range out {
		if j == len(sums) || i < len(sums) && sums[i].nom <= sums[j].nom+g.nom {
			out[k] = sums[i]
			i++
		} else {
			out[k] = conductance{sums[j].least + g.least, sums[j].nom + g.nom, sums[j].most + g.most}
			j++
		}
	}
}

// gapOf is the smallest gap between neighbours, as a share of full scale; it stops where the gap to be beaten is missed.
func (s *search) gapOf(sums []conductance) float64 {
	t := s.q.Tol / 100
	gap, low := math.Inf(1), 1-s.q.Leak
	for _, c := range sums[1:] {
		gap = min(gap, low-1/(1+s.pull*(1-t)*c.least))
		if gap <= s.gap {
			return gap
		}
		low = (1 - s.q.Leak) / (1 + s.pull*(1+t)*c.most)
	}
	return gap
}

// refined chooses from a fine series by beginning with E24 and moving each resistor, and each pair of them, by up to three steps as
// long as that widens the smallest gap.
func (q LadderQuestion) refined() (LadderAnswer, error) {
	rough := q
	rough.Series = E24
	start, err := Ladder(rough)
	if err != nil {
		return start, err
	}
	values := q.Series.Values(q.Ohms.Min, q.Ohms.Max)
	ohms := []float64{start.PullUp} // then the others
	for _, r := range start.Ohms {
		ohms = append(ohms, q.Series.Nearest(r))
	}
	first := 1
	if q.PullUp == 0 {
		ohms[0], first = q.Series.Nearest(start.PullUp), 0
	}
	near := func(v float64) []float64 {
		at := 0
		for i := range values {
			if values[i] <= v*(1+tiny) {
				at = i
			}
		}
		return values[max(0, at-3):min(len(values), at+4)]
	}
	best := q.gap(ohms[0], ohms[1:])
	for range 50 {
		better := append([]float64(nil), ohms...)
		widest := best
		for i := first; i < len(ohms); i++ {
			for j := i; j < len(ohms); j++ {
				trial := append([]float64(nil), ohms...)
				for _, a := range near(ohms[i]) {
					for _, b := range near(ohms[j]) {
						trial[i], trial[j] = a, b
						if gap := q.gap(trial[0], trial[1:]); gap > widest+tiny && (trial[0] >= LeastPullUp || first == 1) {
							widest = gap
							copy(better, trial)
						}
					}
				}
			}
		}
		if widest <= best+tiny {
			break
		}
		best, ohms = widest, better
	}
	return q.answer(ohms[0], ohms[1:]), nil
}
