package diagnosis

import (
	"cmp"
	"math"
	"slices"
)

// A sheet that is odd all over, as with a row and a column of a matrix exchanged, makes hundreds of faults suspect, each with a hundred
// acts. They are held against a few telling acts first, and only those that do well there against all.
const (
	manyFits = 8000 // acts times faults up to which all is worked out
	telling  = 9    // acts that are looked at first
	surely   = 60   // faults that are looked at in full whatever they do there
	behind   = 34   // how far behind the best a fault may be there, logarithm
	helping  = 160  // faults that are looked at in full for pairs
	mostWork = 8e5  // acts times bits that pairs are looked at together for
)

// tellingActs picks telling acts: the oddest of different devices first, then others spread over the sheet.
func (s *Session) tellingActs(most int) []int {
	order := make([]int, len(s.seen))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(s.seen[a].total, s.seen[b].total) })
	var out []int
	have := map[string]bool{}
	for _, k := range order {
		if d := s.seen[k].seen.Act.Device; len(out) < most*2/3 && s.seen[k].total < -0.8 && !have[d] {
			have[d] = true
			out = append(out, k)
		}
	}
	step := max(1, len(s.seen)/max(1, most-len(out)))
	for k := 0; k < len(s.seen) && len(out) < most; k += step {
		if !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	for k, e := range s.seen { // a meter and a lamp tell more than a press
		if (isMeter(e.seen.Act.Do) || e.seen.Lamp != "") && e.total < -0.8 && !slices.Contains(out, k) && len(out) < 2*most {
			out = append(out, k)
		}
	}
	return out
}

// worth parts faults into those that are worth to be held against all acts, and the rest.
func (s *Session) worth(cand []int32) (in, rest []int32) {
	if len(cand)*len(s.seen) <= manyFits {
		return cand, nil
	}
	acts := s.tellingActs(telling)
	score := make(map[int32]float64, len(cand))
	best := math.Inf(-1)
	for _, f := range cand {
		sum := s.prior(f)
		for _, k := range acts {
			sum += s.fitAct(f, k)
		}
		score[f] = sum
		best = max(best, sum)
	}
	order := slices.Clone(cand)
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(score[b], score[a]) })
	n := 0
	for n < len(order) && (n < surely || score[order[n]] > best-behind) {
		n++
	}
	return order[:n], order[n:]
}

// helpers are faults that explain some odd act much better than no fault does: one of two may be among them.
func (s *Session) helpers(rest []int32) []int32 {
	if len(rest) == 0 {
		return nil
	}
	acts := s.tellingActs(2 * telling)
	gain := make(map[int32]float64, len(rest))
	var out []int32
	for _, f := range rest {
		sum := 0.0
		for _, k := range acts {
			if e := s.seen[k]; e.total < -0.8 {
				if d := s.fitAct(f, k) - soften(e.total+e.table); d > 1 {
					sum += d
				}
			}
		}
		if sum > 2 {
			gain[f] = sum + s.prior(f)
			out = append(out, f)
		}
	}
	slices.SortStableFunc(out, func(a, b int32) int { return cmp.Compare(gain[b], gain[a]) })
	return out[:min(len(out), helping)]
}
