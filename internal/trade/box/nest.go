package box

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"knobwright/internal/finding"
	"knobwright/internal/solve/pack"
)

// Plan is how the boards of one material come out of sheets.
type Plan struct {
	Material  Material
	Thickness float64
	Pieces    []PlanPiece
	Sheets    []PlanSheet
	Free      bool // cuts may begin and end anywhere
	Area      float64
	Used      float64 // area of the sheets used
	Bound     float64 // proven: no way of cutting uses less new sheet than this, mm²; 0 when all comes out of what is there
	New       float64 // area of new sheets, mm²
	Exact     bool    // New is the least there is
	Buy       []string
}

// Yield is the share of the sheets that becomes boards.
func (p Plan) Yield() float64 {
	if p.Used <= 0 {
		return 0
	}
	return p.Area / p.Used
}

// PlanPiece is a board on a plan.
type PlanPiece struct {
	Name          string
	Width, Height float64
}

// PlanSheet is one sheet and what comes out of it.
type PlanSheet struct {
	Name   string
	Buy    bool
	Layout pack.Layout
	Cuts   []pack.Cut
	Rests  []pack.Offcut
}

// nest cuts the shell boards out of sheets, one plan for each material and thickness. Battens come from strip.
func (w *worker) nest(r *Result) {
	if math.IsNaN(w.Saw.Kerf) || math.IsNaN(w.Saw.Trim) || w.Saw.Kerf < 0 || w.Saw.Trim < 0 || w.Saw.Kerf > 20 || w.Saw.Trim > 200 {
		w.say(ruleNumbers, finding.Finding{
			Head: fmt.Sprintf("A kerf of %s and a trim of %s make no cutting plan.", w.mm(w.Saw.Kerf), w.mm(w.Saw.Trim)), Ends: []finding.End{{Name: "the saw", Path: "box.saw"}},
			Measure: &finding.Measure{Have: w.Saw.Kerf, Want: 0, WantMax: 20, Unit: "mm", Sense: finding.Between},
		})
		return
	}
	type key struct {
		id    string
		thick float64
	}
	groups := map[key][]BoardLine{}
	var order []key
	for _, l := range r.Boards {
		if !l.Board.Role.Shell() {
			continue
		}
		k := key{l.Material.ID + l.Material.Title, l.Thickness}
		if groups[k] == nil {
			order = append(order, k)
		}
		groups[k] = append(groups[k], l)
	}
	for _, k := range order {
		if p, ok := w.plan(groups[k]); ok {
			r.Plans = append(r.Plans, p)
		}
	}
}

// plan lays out the boards of one material.
func (w *worker) plan(lines []BoardLine) (Plan, bool) {
	p := Plan{Material: lines[0].Material, Thickness: lines[0].Thickness, Free: w.Saw.Kind == "laser"}
	var pieces []pack.Piece
	for _, l := range lines {
		p.Pieces = append(p.Pieces, PlanPiece{l.Name, l.Blank.X, l.Blank.Y})
		pieces = append(pieces, pack.Piece{Name: l.Name, Width: l.Blank.X, Height: l.Blank.Y, Count: 1, Turn: !p.Material.Grain()})
		p.Area += l.Blank.X * l.Blank.Y
	}
	opt := pack.Options{Kerf: w.apart(), Effort: pack.Quick}
	if t := w.trim(); t > 0 {
		opt.Trim = pack.Margins{Left: t, Right: t, Bottom: t, Top: t}
	}
	left := slices.Clone(pieces)
	have := w.onHand(p.Material)
	for _, s := range have {
		for range min(max(s.Count, 1), 50) {
			if remaining(left) == 0 {
				break
			}
			w.fill(&p, left, s, opt, false)
		}
	}
	if remaining(left) > 0 && !w.buy(&p, left, opt) {
		return p, len(p.Sheets) > 0
	}
	if p.New > 0 {
		p.Bound = bound(p, have)
		p.Exact = p.New <= p.Bound*(1+1e-9)
	}
	if p.Free {
		w.free(&p, pieces, have, opt)
	} else if !p.Exact && p.fresh() > 1 { // on one sheet the search for the best pattern has tried the smaller ones already
		w.better(&p, pieces, have, opt)
	}
	if len(p.Buy) > 0 && len(w.Stock) > 0 {
		w.short(p, len(pieces)-remaining(left))
	}
	return p, true
}

// trim is what is lost along the edges of a sheet: as the file says, and of a laser at least what lies between two boards, so that the beam stays
// on the sheet.
func (w *worker) trim() float64 {
	if w.laser() {
		return max(clamp(w.Saw.Trim, 0, 200), w.apart())
	}
	return clamp(w.Saw.Trim, 0, 200)
}

// fresh counts the new sheets.
func (p *Plan) fresh() (n int) {
	for _, s := range p.Sheets {
		if s.Buy {
			n++
		}
	}
	return n
}

// short says which boards do not come out of the sheets on hand, and what to buy. all is how many boards are planned.
func (w *worker) short(p Plan, all int) {
	var names []string
	worst := PlanPiece{}
	for _, s := range p.Sheets {
		for _, q := range s.Layout.Placed {
			if x := p.Pieces[q.Piece]; s.Buy {
				names = append(names, "the "+x.Name)
				if x.Width*x.Height > worst.Width*worst.Height {
					worst = x
				}
			}
		}
	}
	if len(names) == 0 {
		return
	}
	slices.Sort(names)
	large, at := Stock{}, -1
	for i, s := range w.Stock {
		if s.Sheet == p.Material.ID && (at < 0 || s.Width*s.Height > large.Width*large.Height) {
			large, at = s, i
		}
	}
	f := finding.Finding{
		Head: fmt.Sprintf("The sheets of %s on hand do not give %s.", p.Material.Title, list(names)),
		Body: fmt.Sprintf("Buy %s. The largest on hand is %s x %s; the %s wants %s x %s, and %s lie between two boards.", list(p.Buy), w.num(large.Width), w.mm(large.Height), worst.Name, w.num(worst.Width), w.mm(worst.Height), w.mm(w.apart())),
		Ends: []finding.End{w.end("stock"), w.end(worst.Name)}, Measure: &finding.Measure{Have: float64(all - len(names)), Want: float64(all), Sense: finding.AtLeast},
	}
	if at < 0 {
		verb := "have"
		if len(names) == 1 {
			verb = "has"
		}
		f.Head = fmt.Sprintf("No sheet of %s is on hand: %s %s none.", p.Material.Title, list(names), verb)
		f.Body = "Buy " + list(p.Buy) + ", or write what is on hand under stock:."
		f.Rule = ruleStock.Name
		w.found = append(w.found, f) // a note: it may not have been bought yet
		return
	}
	f.Ends[0] = w.end(fmt.Sprintf("stock %d", at))
	w.say(ruleStock, f)
}

// onHand lists the sheets and offcuts of a material, the smallest first: they are used up before a new one is begun.
func (w *worker) onHand(m Material) []Stock {
	var out []Stock
	for _, s := range w.Stock {
		if s.Sheet == m.ID && s.Width > 0 && s.Height > 0 && s.Width <= pack.MaxLength && s.Height <= pack.MaxLength {
			out = append(out, s)
		}
	}
	slices.SortStableFunc(out, func(a, b Stock) int { return cmp.Compare(a.Width*a.Height, b.Width*b.Height) })
	return out
}

func remaining(ps []pack.Piece) (n int) {
	for _, p := range ps {
		n += p.Count
	}
	return n
}

// fill cuts the most out of one sheet and takes it off what is left.
func (w *worker) fill(p *Plan, left []pack.Piece, s Stock, opt pack.Options, buy bool) int {
	trimmed := opt
	if !buy && s.Name != "" && !p.Free { // an offcut has been trimmed
		trimmed.Trim = pack.Margins{}
	}
	var ask []pack.Piece
	var index []int
	for i, q := range left {
		fits := func(a, b float64) bool {
			return a <= s.Width-trimmed.Trim.Left-trimmed.Trim.Right && b <= s.Height-trimmed.Trim.Bottom-trimmed.Trim.Top
		}
		if q.Count > 0 && (fits(q.Width, q.Height) || q.Turn && fits(q.Height, q.Width)) {
			ask, index = append(ask, q), append(index, i)
		}
	}
	if len(ask) == 0 {
		return 0
	}
	got, err := pack.Guillotine(ask, pack.Sheet{Name: s.Name, Width: s.Width, Height: s.Height, Count: 1}, trimmed)
	if err != nil || len(got.Placed) == 0 {
		return 0
	}
	l := got.Layout
	sheet := PlanSheet{Name: s.Name, Buy: buy, Cuts: l.Cuts(), Rests: l.Offcuts(w.Limits.Value(limOffcut), w.Limits.Value(limOffcut))}
	for i := range l.Placed {
		l.Placed[i].Piece = index[l.Placed[i].Piece]
		left[l.Placed[i].Piece].Count--
	}
	l.Root.Walk(func(n *pack.Node) {
		if n.Leaf() && !n.Waste() {
			n.Piece = index[n.Piece]
		}
	})
	for i := range sheet.Cuts {
		for _, k := range []*int{&sheet.Cuts[i].KeepsIs, &sheet.Cuts[i].LeavesIs} {
			if *k != pack.None {
				*k = index[*k]
			}
		}
	}
	sheet.Layout = l
	p.Sheets = append(p.Sheets, sheet)
	p.Used += s.Width * s.Height
	if buy {
		p.New += s.Width * s.Height
	}
	return len(l.Placed)
}

// buy takes the least of the sizes sold that all that is left comes out of; of the largest as many as it takes. It reports false when a
// board is larger than all.
func (w *worker) buy(p *Plan, left []pack.Piece, opt pack.Options) bool {
	sizes := sold(p.Material)
	count := map[string]int{}
	for round := 0; remaining(left) > 0 && round < 50; round++ {
		area := 0.0
		for _, q := range left {
			area += float64(q.Count) * q.Width * q.Height
		}
		best, bestLeft := -1, remaining(left)
		var plan Plan
		var rest []pack.Piece
		for i, s := range sizes {
			if s[0]*s[1] < area && i < len(sizes)-1 && best >= 0 {
				continue
			}
			try, trial := slices.Clone(left), *p
			trial.Sheets = slices.Clone(p.Sheets)
			name := fmt.Sprintf("new sheet %s x %s", plain(s[0]), plain(s[1]))
			if s[0]*s[1] < area*0.6 && i < len(sizes)-1 || w.fill(&trial, try, Stock{Name: name, Width: s[0], Height: s[1]}, opt, true) == 0 {
				continue
			}
			if n := remaining(try); best < 0 || n < bestLeft {
				best, bestLeft, plan, rest = i, n, trial, try
			}
			if bestLeft == 0 {
				break
			}
		}
		if best < 0 {
			return false
		}
		*p = plan
		copy(left, rest)
		count[fmt.Sprintf("%s x %s", plain(sizes[best][0]), plain(sizes[best][1]))]++
	}
	for _, s := range sizes {
		name := fmt.Sprintf("%s x %s", plain(s[0]), plain(s[1]))
		if n := count[name]; n > 0 {
			p.Buy = append(p.Buy, fmt.Sprintf("%s of %s, %s mm", plural(n, "sheet"), p.Material.Title, name))
		}
	}
	return true
}

// tooBig says which boards are larger than every sheet of their kind on hand or sold.
func (w *worker) tooBig(r *Result) {
	for _, l := range r.Boards {
		if !l.Board.Role.Shell() {
			continue
		}
		fits, big := false, [2]float64{}
		try := func(a, b float64) {
			fits = fits || l.Blank.X <= a && l.Blank.Y <= b || !l.Material.Grain() && l.Blank.X <= b && l.Blank.Y <= a
			if a*b > big[0]*big[1] {
				big = [2]float64{a, b}
			}
		}
		trim := 2 * w.trim()
		for _, s := range sold(l.Material) {
			try(s[0]-trim, s[1]-trim)
		}
		for _, s := range w.onHand(l.Material) {
			try(s.Width, s.Height)
		}
		if fits {
			continue
		}
		w.say(ruleTooBig, finding.Finding{
			Head: fmt.Sprintf("The %s is %s x %s; the largest sheet of %s gives %s x %s.", l.Name, w.num(l.Blank.X), w.mm(l.Blank.Y), l.Material.Title, w.num(big[0]), w.mm(big[1])),
			Ends: []finding.End{w.end(l.Name), {Name: "the saw", Path: "box.saw"}}, Measure: &finding.Measure{Have: max(l.Blank.X, l.Blank.Y), Want: max(big[0], big[1]), Unit: "mm", Sense: finding.AtMost},
		})
	}
}

// sold gives the sizes of sheet that are sold, the smallest first.
func sold(m Material) [][2]float64 {
	sizes := slices.Clone(sheetSizes[m.Kind])
	if len(sizes) == 0 {
		sizes = slices.Clone(sheetSizes[Plywood])
	}
	slices.SortStableFunc(sizes, func(a, b [2]float64) int { return cmp.Compare(a[0]*a[1], b[0]*b[1]) })
	return sizes
}
