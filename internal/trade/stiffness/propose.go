package stiffness

import (
	"math"
	"slices"
	"strconv"

	"knobwright/internal/finding"
	"knobwright/internal/solve/plate"
)

// Proposal is a plan of ribs for one face.
type Proposal struct {
	Target  float64 // mm under a firm thumb that is wanted
	Before  float64 // mm, worst judged press, as it is
	After   float64 // mm, worked out by the full model
	Reached bool
	Ribs    []Rib     // none when no rib helps
	Without []Rib     // of the file, that it takes out
	Gives   []float64 // mm under the thumb of each press with them, in the order of Presses
	Places  int       // how many places for a rib were looked at
	Apart   float64   // mm between the lines they are on
	Best    []Step    // the best with 0, 1, 2 ... ribs, by the quick reckoning
	Bound   float64   // mm: with all kept places filled at once, by the quick reckoning, in which no plan of them does better
	Kept    int       // how many places took part when ribs were put together
	Soft    float64   // how much more the quick reckoning may give than the full model
	Whole   bool      // every place took part in every number of ribs
	Inches  bool      // the person writes in inches
	Edits   []finding.Edit
}

// Step is the best that a number of ribs reaches.
type Step struct {
	Ribs  int
	Worst float64 // mm under the thumb, quick reckoning
	All   bool    // every set of that many of the kept places was looked at
}

// kept is how many places take part when ribs are put together.
const kept = 32

// keptSlanted is how many slanted ones besides.
const keptSlanted = 8

// batch is how many places are worked out at once.
const batch = 54

// Propose looks for the fewest, then shortest ribs with which every judged press gives no more than target under the thumb, and
// notes them in f.Proposal. Ribs of the file stay. Nothing happens to a face that could not be reckoned.
func (f *Face) Propose(target float64) {
	f.Proposal = nil
	if f.Failed != "" || len(f.Loose) > 0 || f.Worst < 0 {
		return
	}
	pr := &Proposal{Target: target, Before: f.Springiest(), After: f.Springiest(), Inches: f.inches(), Soft: f.soft()}
	f.Proposal = pr
	pr.Reached = pr.Before <= target
	for _, p := range f.Presses {
		pr.Gives = append(pr.Gives, p.Thumb)
	}
	most := int(f.Panel.Limits.Value(limRibs))
	if pr.Reached || most < 1 {
		return
	}
	var presses []int
	for i, p := range f.Presses {
		if p.Judged && !p.OnWood {
			presses = append(presses, i)
		}
	}
	all, apart := f.candidates(f.stockOf())
	pr.Places, pr.Apart = len(all), apart
	if len(all) == 0 {
		return
	}
	cut := slices.IndexFunc(all, Rib.slanted) // slanted ones come last, and take no room from the others
	if cut < 0 {
		cut = len(all)
	}
	ribs, single, ok := f.sift(presses, all[:cut], kept)
	if !ok {
		return
	}
	if cut < len(all) {
		more, least, ok := f.sift(presses, all[cut:], keptSlanted)
		if !ok {
			return
		}
		ribs, single = append(slices.Clip(ribs), more...), min(single, least)
	}
	pr.Kept = len(ribs)
	x, err := f.reduce(presses, ribs, true)
	if err != nil {
		return
	}
	pr.Whole = len(ribs) == len(all)
	plans := x.search(min(most, 5), target/f.Thumb)
	every := make([]int, len(ribs))
	for i := range every {
		every[i] = i
	}
	pr.Bound = x.worst(every) * f.Thumb
	pr.Best = []Step{{0, x.worst(nil) * f.Thumb, true}}
	for k, p := range plans {
		s := Step{Ribs: k + 1, Worst: p.worst * f.Thumb, All: p.all}
		if k == 0 {
			s.Worst, s.All = min(s.Worst, single*f.Thumb), true
		}
		pr.Best = append(pr.Best, s)
	}
	f.settle(x, plans)
}

// sift keeps so many of the places, those that help most by themselves, spread over the face, and gives the best that one rib alone
// reaches, mm/N.
func (f *Face) sift(presses []int, all []Rib, kept int) (out []Rib, single float64, ok bool) {
	if len(all) == 0 {
		return nil, math.Inf(1), true
	}
	if len(all) <= kept {
		single = math.Inf(1)
		x, err := f.reduce(presses, all, false)
		if err != nil {
			return nil, 0, false
		}
		for k := range all {
			single = min(single, x.worst([]int{k}))
		}
		return all, single, true
	}
	type scored struct {
		rib   Rib
		worst float64
		mean  float64
	}
	var list []scored
	single = math.Inf(1)
	for from := 0; from < len(all); from += batch {
		part := all[from:min(from+batch, len(all))]
		x, err := f.reduce(presses, part, false)
		if err != nil {
			return nil, 0, false
		}
		for k := range part {
			w := x.worst([]int{k})
			single = min(single, w)
			list = append(list, scored{part[k], w, x.relief(k)})
		}
	}
	// half by what they do for the worst press, half by what they do for all, then by length
	pick := func(less func(a, b scored) int, n int) {
		slices.SortStableFunc(list, less)
		for _, s := range list {
			if n == 0 {
				return
			}
			if !slices.Contains(out, s.rib) {
				out = append(out, s.rib)
				n--
			}
		}
	}
	pick(func(a, b scored) int { return sign(a.worst - b.worst) }, kept/2)
	near := func(r Rib) bool { // beside one that is kept, and no longer
		for _, o := range out {
			if clash(r, o) && o.Length() >= r.Length()-1 && math.Abs(r.B.Sub(r.A).Unit().Cross(o.B.Sub(o.A).Unit())) < 0.5 && gapAcross(r, o) < 1.5*lineStep {
				return true
			}
		}
		return false
	}
	slices.SortStableFunc(list, func(a, b scored) int { return sign(b.mean - a.mean) })
	for _, s := range list {
		if len(out) < kept && !slices.Contains(out, s.rib) && !near(s.rib) {
			out = append(out, s.rib)
		}
	}
	pick(func(a, b scored) int { return sign(b.mean - a.mean) }, kept-len(out))
	return out, single, true
}

// gapAcross is how far apart two parallel ribs lie.
func gapAcross(a, b Rib) float64 {
	return math.Abs(a.B.Sub(a.A).Unit().Cross(b.A.Sub(a.A)))
}

// relief is how much a rib takes off all presses together, as shares of what each gives.
func (x *reduced) relief(k int) float64 {
	n := len(x.each)
	sum := 0.0
	one := &reduced{each: make([]float64, 1), y: [][]float64{make([]float64, bends)}, g: [][][]float64{{x.g[k][k]}}}
	for i := range n {
		one.each[0] = x.each[i]
		for d := range bends {
			one.y[0][d] = x.y[k][d*n+i]
		}
		if x.each[i] > 0 {
			sum += 1 - one.worst([]int{0})/x.each[i]
		}
	}
	return sum
}

// plan is a set of ribs found by the quick reckoning.
type plan struct {
	set   []int
	worst float64 // mm/N
	all   bool    // every set of its size was looked at
	next  []plan  // further good ones of its size
	plain []int   // the best of its size without slanted ribs, of which the quick reckoning thinks a little too well; nil = itself, or none
}

// search gives the best plan of 1, 2 ... most ribs: among those that reach the target the shortest, else the one that comes nearest. It stops at
// the first number that reaches it. Up to three ribs every set is looked at; beyond, one rib is added to the best, and ribs are
// changed one for one while that helps.
func (x *reduced) search(most int, target float64) (out []plan) {
	for k := 1; k <= most && k <= len(x.ribs); k++ {
		var p plan
		if k <= 3 {
			p = x.exhaust(k, target)
		} else {
			p = x.grow(out[len(out)-1].set, target)
		}
		if p.set == nil {
			break
		}
		out = append(out, p)
		if p.worst <= target {
			break
		}
	}
	return out
}

// better orders plans: those that reach the target first, the shortest of them first; of the others, what gives least.
func (x *reduced) better(a, b plan, target float64) bool {
	ra, rb := a.worst <= target, b.worst <= target
	switch {
	case b.set == nil:
		return true
	case ra != rb:
		return ra
	case ra:
		la, lb := x.length(a.set), x.length(b.set)
		if math.Abs(la-lb) > 1e-6 {
			return la < lb
		}
	}
	return a.worst < b.worst-1e-15
}

func (x *reduced) length(set []int) (l float64) {
	for _, k := range set {
		l += x.ribs[k].Length()
	}
	return l
}

// keepPlans is how many good plans are handed on to the full model.
const keepPlans = 4

// exhaust looks at every set of k ribs that can be there together.
func (x *reduced) exhaust(k int, target float64) plan {
	var top []plan
	var plain plan
	var set []int
	var walk func(from int)
	walk = func(from int) {
		if len(set) == k {
			p := plan{set: slices.Clone(set), worst: x.worst(set), all: true}
			if x.better(p, plain, target) && !slices.ContainsFunc(p.set, func(r int) bool { return x.ribs[r].slanted() }) {
				plain = p
			}
			i := len(top)
			for i > 0 && x.better(p, top[i-1], target) {
				i--
			}
			if i < keepPlans {
				top = slices.Insert(top, i, p)
				top = top[:min(len(top), keepPlans)]
			}
			return
		}
	next:
		for r := from; r < len(x.ribs); r++ {
			for _, s := range set {
				if !x.apart[r][s] {
					continue next
				}
			}
			set = append(set, r)
			walk(r + 1)
			set = set[:len(set)-1]
		}
	}
	walk(0)
	if len(top) == 0 {
		return plan{}
	}
	best := top[0]
	best.next = top[1:]
	if !slices.Equal(best.set, plain.set) {
		best.plain = plain.set
	}
	return best
}

// grow adds the rib that helps most to a set, then changes ribs one for one while that is better.
func (x *reduced) grow(set []int, target float64) plan {
	fits := func(set []int, r, but int) bool {
		for i, s := range set {
			if i != but && (s == r || !x.apart[r][s]) {
				return false
			}
		}
		return true
	}
	var best plan
	for r := range x.ribs {
		if fits(set, r, -1) {
			s := append(slices.Clone(set), r)
			if p := (plan{set: s, worst: x.worst(s)}); x.better(p, best, target) {
				best = p
			}
		}
	}
	for moved := best.set != nil; moved; {
		moved = false
		for i := range best.set {
			for r := range x.ribs {
				if r == best.set[i] || !fits(best.set, r, i) {
					continue
				}
				s := slices.Clone(best.set)
				s[i] = r
				if p := (plan{set: s, worst: x.worst(s)}); x.better(p, best, target) {
					best, moved = p, true
				}
			}
		}
	}
	return best
}

// settle works the found plans out by the full model, fewest ribs first, and takes the first that reaches the target; else the one
// that comes nearest.
func (f *Face) settle(x *reduced, plans []plan) {
	pr := f.Proposal
	target := pr.Target
	try := func(p plan) (reached bool) {
		var ribs []Rib
		for i, k := range p.set {
			r := x.ribs[k]
			r.Name = "rib " + strconv.Itoa(i+1)
			ribs = append(ribs, r)
		}
		gives, worst, ok := f.with(ribs, f.Thickness, f.Material)
		if !ok || worst >= pr.After-1e-9 && !(worst <= target) {
			return false
		}
		pr.Ribs, pr.Gives, pr.After, pr.Reached = ribs, gives, worst, worst <= target
		return pr.Reached
	}
	for _, p := range plans {
		tries := append([]plan{p}, p.next...)
		if p.worst*f.Thumb > pr.Soft*target { // far off: one is enough, if there is no better number
			if len(p.set) < len(plans) {
				continue
			}
			tries = tries[:1]
		}
		if p.plain != nil {
			tries = append(tries, plan{set: p.plain})
		}
		for _, q := range tries {
			if try(q) {
				f.write()
				return
			}
		}
	}
	f.write()
}

// with gives what every press gives under the thumb, mm, with further ribs, another thickness or another material, by the full model.
func (f *Face) with(ribs []Rib, thickness float64, m Material) (gives []float64, worst float64, ok bool) {
	model := f.model
	model.Ribs = slices.Clone(model.Ribs)
	for _, r := range ribs {
		model.Ribs = append(model.Ribs, r.model())
	}
	model.Cases = nil
	model.Thickness, model.Material = thickness, m.Elastic
	p, err := plate.New(model)
	if err != nil {
		return nil, 0, false
	}
	c := p.Compliance()
	gives = make([]float64, len(f.Presses))
	for i, q := range f.Presses {
		if q.OnWood {
			continue
		}
		gives[i] = max(c[i][i], 0) * f.Thumb
		if q.Judged {
			worst = max(worst, gives[i])
		}
	}
	return gives, worst, true
}

// write notes the edits that put the proposed ribs into the file.
func (f *Face) write() {
	pr := f.Proposal
	taken := map[string]bool{}
	for _, b := range f.Panel.Behind {
		taken[b.Origin.Path] = true
	}
	if b := f.Panel.Box; b != nil {
		for _, k := range b.Written.Ribs.Keys {
			taken["box.ribs."+k] = true
		}
		if u := b.Written.Upper; u != nil {
			for _, k := range u.Ribs.Keys {
				taken["box.upper.ribs."+k] = true
			}
		}
	}
	n := 0
	for i := range pr.Ribs {
		r := &pr.Ribs[i]
		key := ""
		for key == "" || taken[f.path+"."+key] {
			n++
			key = "stiff-" + strconv.Itoa(n)
		}
		r.Name = key
		pr.Edits = append(pr.Edits, finding.Edit{Op: finding.Set, Path: f.path + "." + key, Value: f.flow(*r)})
	}
}

// flow writes a rib as it stands in the file.
func (f *Face) flow(r Rib) string {
	num := f.Panel.Num
	return "{from: [" + num(r.A.X) + ", " + num(r.A.Y) + "], to: [" + num(r.B.X) + ", " + num(r.B.Y) + "], width: " + num(r.Width) + ", height: " + num(r.Height) + "}"
}
