package box

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/solve/pack"
)

// better looks for a plan with less new sheet by the search for whole cutting plans, for a counted time.
func (w *worker) better(p *Plan, pieces []pack.Piece, have []Stock, opt pack.Options) {
	var sheets []pack.Sheet
	for _, s := range have {
		sheets = append(sheets, pack.Sheet{Name: s.Name, Width: s.Width, Height: s.Height, Count: min(max(s.Count, 1), 50)})
	}
	for _, s := range sold(p.Material) {
		if area := s[0] * s[1]; area <= p.New {
			sheets = append(sheets, pack.Sheet{Name: fmt.Sprintf("new sheet %s x %s", plain(s[0]), plain(s[1])), Width: s[0], Height: s[1], Count: int(p.New / area), Cost: area})
		}
	}
	asked := 0
	opt.Stop = func() bool { asked++; return asked > searchSteps }
	got, err := pack.Stock(pieces, sheets, opt)
	if err != nil || got.Missing != nil {
		return
	}
	p.Bound = max(p.Bound, min(got.Bound, p.New))
	if got.Cost < p.New-1e-6 {
		w.take(p, got, sheets, len(have))
	}
	p.Exact = p.New <= p.Bound*(1+1e-9)
}

// free lays the boards out anew for a laser, whose cuts may begin and end anywhere, on no more sheet than the plan has so far: it is taken when it
// needs no more new sheet and no more of all sheets together. Its rests are larger then, because the boards stand close.
func (w *worker) free(p *Plan, pieces []pack.Piece, have []Stock, opt pack.Options) {
	var sheets []pack.Sheet
	for _, s := range have {
		// what is on hand costs next to nothing, but less is better
		sheets = append(sheets, pack.Sheet{Name: s.Name, Width: s.Width, Height: s.Height, Count: min(max(s.Count, 1), 50), Cost: s.Width * s.Height * 1e-6})
	}
	for _, s := range sold(p.Material) {
		if area := s[0] * s[1]; area <= p.New*(1+1e-9) {
			sheets = append(sheets, pack.Sheet{Name: fmt.Sprintf("new sheet %s x %s", plain(s[0]), plain(s[1])), Width: s[0], Height: s[1], Count: int(p.New/area + 1e-6), Cost: area})
		}
	}
	if len(sheets) == 0 {
		return
	}
	asked := 0
	opt.Stop = func() bool { asked++; return asked > searchSteps }
	got, err := pack.Free(pieces, sheets, opt)
	if err != nil || got.Missing != nil {
		return
	}
	fresh, used := 0.0, 0.0
	for _, l := range got.Layouts {
		if len(l.Placed) == 0 {
			continue
		}
		used += l.Width * l.Height
		if l.Sheet >= len(have) {
			fresh += l.Width * l.Height
		}
	}
	if fresh > p.New+1e-6 || used > p.Used+1e-6 {
		return
	}
	w.take(p, got, sheets, len(have))
	p.Exact = p.New <= p.Bound*(1+1e-9)
}

// take puts a plan for whole sheets in the place of the one so far; the first of the sheets are on hand.
func (w *worker) take(p *Plan, got pack.Plan, sheets []pack.Sheet, have int) {
	keep := clamp(w.Limits.Value(limOffcut), 1, 10000)
	p.Sheets, p.Buy, p.Used, p.New = nil, nil, 0, 0
	count := make([]int, len(sheets))
	for _, l := range got.Layouts {
		if len(l.Placed) == 0 {
			continue
		}
		buy := l.Sheet >= have
		count[l.Sheet]++
		p.Sheets = append(p.Sheets, PlanSheet{Name: sheets[l.Sheet].Name, Buy: buy, Layout: l, Cuts: l.Cuts(), Rests: l.Offcuts(keep, keep)})
		p.Used += l.Width * l.Height
		if buy {
			p.New += l.Width * l.Height
		}
	}
	for i, n := range count {
		if n > 0 && i >= have {
			p.Buy = append(p.Buy, fmt.Sprintf("%s of %s, %s x %s mm", plural(n, "sheet"), p.Material.Title, plain(sheets[i].Width), plain(sheets[i].Height)))
		}
	}
}

// searchSteps is how often the search asks whether to go on.
const searchSteps = 400

// bound is the new sheet that cannot be done without: the least area of sheets of the sizes sold that holds what the sheets on hand cannot
// hold by area.
func bound(p Plan, have []Stock) float64 {
	need := p.Area
	for _, s := range have {
		need -= s.Width * s.Height * float64(max(s.Count, 1))
	}
	if need <= 0 {
		return 0
	}
	best := math.Inf(1)
	sizes := sold(p.Material)
	slices.Reverse(sizes) // the largest first: few of them
	var add func(i int, sum float64)
	add = func(i int, sum float64) {
		if sum >= need {
			best = min(best, sum)
			return
		}
		if i == len(sizes) || sum >= best {
			return
		}
		a := sizes[i][0] * sizes[i][1]
		for n := 0; n <= 12; n++ {
			add(i+1, sum+float64(n)*a)
			if sum+float64(n)*a >= need {
				break
			}
		}
	}
	add(0, 0)
	if math.IsInf(best, 1) {
		return need
	}
	return best
}
