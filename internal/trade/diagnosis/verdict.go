package diagnosis

import (
	"cmp"
	"math"
	"slices"
)

// Cause is one explanation: a fault, or two together.
type Cause struct {
	Faults []Fault   `json:"faults"`
	P      float64   `json:"p"`              // how likely, 0..1, against all other explanations
	Also   [][]Fault `json:"also,omitempty"` // in a group: other words for the same, as two leads exchanged at their other ends
	ids    []int32
	score  float64
}

// Group are explanations that nothing asked so far, and no press, turn or look can tell apart.
type Group struct {
	P      float64 `json:"p"`
	Causes []Cause `json:"causes"` // the most common first
}

// Verdict is what all that was seen means.
type Verdict struct {
	Right  bool    `json:"right"`  // all is as designed, so far
	P      float64 `json:"p"`      // of no fault at all
	Groups []Group `json:"groups"` // the likeliest first
	Pairs  bool    `json:"pairs"`  // no single fault explains what was seen
	Sure   bool    `json:"sure"`   // one group is far ahead of all others
}

// unexplained is a fit of one act that a single fault leaves open so far that a second fault is looked for.
const unexplained = -4.5

// Causes ranks all explanations, the likeliest first; at most n.
func (s *Session) Causes(n int) []Cause {
	s.m.mu.Lock()
	defer s.m.mu.Unlock()
	all, _ := s.causes()
	return slices.Clip(all[:min(n, len(all))])
}

func (s *Session) causes() (out []Cause, pairs bool) {
	h := s.healthy()
	type one struct {
		f     int32
		score float64
		like  float64
	}
	var singles []one
	worth, rest := s.worth(s.cand)
	for _, f := range worth {
		like := s.fit(f)
		singles = append(singles, one{f, like + s.prior(f), like})
	}
	slices.SortFunc(singles, func(a, b one) int { return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.f, b.f)) })
	total := h // no fault: its prior is nearly one
	add := func(score float64) { total = logAdd(total, score) }
	for _, x := range singles {
		add(x.score)
	}
	var two []pairScore
	if len(singles) > 0 && s.leavesOpen(singles[0].f) {
		for _, f := range s.helpers(rest) {
			like := s.fit(f)
			singles = append(singles, one{f, like + s.prior(f), like})
		}
		ids := make([]int32, 0, len(singles))
		for _, x := range singles {
			if x.like > h+0.5 || x.score > singles[0].score-12 {
				ids = append(ids, x.f)
			}
		}
		two = s.pairs(ids, h)
		for _, x := range two {
			add(x.score)
		}
	}
	for _, x := range singles[:min(len(singles), 400)] {
		out = append(out, Cause{Faults: []Fault{s.asSeen(x.f)}, P: math.Exp(x.score - total), ids: []int32{x.f}, score: x.score})
	}
	for _, x := range two {
		out = append(out, Cause{Faults: []Fault{s.asSeen(x.a), s.asSeen(x.b)}, P: math.Exp(x.score - total), ids: []int32{x.a, x.b}, score: x.score})
	}
	slices.SortStableFunc(out, func(a, b Cause) int { return cmp.Compare(b.score, a.score) })
	// A cause that does no better than no fault at all explains nothing.
	out = slices.DeleteFunc(out, func(c Cause) bool { return c.score < h-14 })
	return out, len(out) > 0 && len(out[0].ids) > 1
}

// asSeen gives a fault with the value that was seen of it: how long its contact chatters.
func (s *Session) asSeen(i int32) Fault {
	f := s.m.list[i].Fault
	if f.Kind != Bounces {
		return f
	}
	long := 0.0
	for _, e := range s.seen {
		for _, o := range e.odd {
			if int(o) < s.m.c.bits && s.m.bouncyBit(s.m.patch(i), o) {
				long = max(long, e.looks.of[o].long)
			}
		}
	}
	if long > 0 {
		f.Value = math.Ceil(long)
	}
	return f
}

// leavesOpen reports whether a fault leaves an act unexplained.
func (s *Session) leavesOpen(f int32) bool {
	for _, v := range s.like[f] {
		if v < unexplained {
			return true
		}
	}
	return false
}

func logAdd(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	if math.IsInf(b, -1) {
		return a
	}
	return a + math.Log1p(math.Exp(b-a))
}

type pairScore struct {
	a, b  int32
	score float64
}

// second is how much a second fault must add to the first to be worth naming.
const second = 2.5

// pairs weighs two faults together. Where they lie apart, what each explains adds up; where they meet, both are laid over the circuit.
func (s *Session) pairs(ids []int32, h float64) []pairScore {
	m := s.m
	ids = ids[:min(len(ids), 1500)]
	n := len(s.seen)
	like := make([][]float64, len(ids))
	total := make([]float64, len(ids))
	far := make([]map[int32]bool, len(ids))
	for i, f := range ids {
		total[i] = s.fit(f)
		like[i] = s.like[f]
		far[i] = map[int32]bool{}
		if m.patch(f).nothing || m.patch(f).table {
			continue
		}
		for _, o := range m.zone(f).obs {
			far[i][o] = true
		}
	}
	base := make([]float64, n)
	for k, e := range s.seen {
		base[k] = soften(e.total + e.table)
	}
	raw := make([]float64, n) // without softening
	for k, e := range s.seen {
		raw[k] = e.total + e.table
	}
	var out []pairScore
	for i := range ids {
		for j := i + 1; j < len(ids); j++ {
			pr := s.prior(ids[i]) + s.prior(ids[j])
			sum := 0.0
			for k := range n {
				a, b := like[i][k], like[j][k]
				// apart: each takes away what it explains
				v := min(0, a+b-base[k])
				if raw[k] < -worstAct {
					v = min(0, max(a, b, unsoften(a)+unsoften(b)-raw[k]))
					v = soften(v)
				}
				sum += v
			}
			if sum < max(total[i], total[j])+second { // the other one adds nothing
				continue
			}
			out = append(out, pairScore{ids[i], ids[j], sum + pr})
		}
	}
	slices.SortFunc(out, func(a, b pairScore) int {
		return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.a, b.a), cmp.Compare(a.b, b.b))
	})
	// The best ones are looked at again where they meet; so are those of the best singles with what is near them.
	at := map[int32]int{}
	for i, f := range ids {
		at[f] = i
	}
	meets := func(a, b int32) bool {
		x, y := far[at[a]], far[at[b]]
		if len(x) > len(y) {
			x, y = y, x
		}
		for o := range x {
			if y[o] {
				return true
			}
		}
		return false
	}
	looked, work, top := 0, 0.0, math.Inf(-1)
	keep := out[:min(len(out), 4000)]
	for i := range keep {
		x := &keep[i]
		if !meets(x.a, x.b) {
			top = max(top, x.score)
			continue
		}
		work += float64(n) * float64(len(far[at[x.a]])+len(far[at[x.b]]))
		if looked < 500 && (x.score > top-8 || looked < 300) && (work < mostWork || looked < 40) {
			looked++
			x.score = s.together(x.a, x.b)
			if x.score-s.prior(x.a)-s.prior(x.b) < max(total[at[x.a]], total[at[x.b]])+second {
				x.score = math.Inf(-1)
				continue
			}
			top = max(top, x.score)
		} else {
			x.score = math.Inf(-1)
		}
	}
	slices.SortFunc(keep, func(a, b pairScore) int {
		return cmp.Or(cmp.Compare(b.score, a.score), cmp.Compare(a.a, b.a), cmp.Compare(a.b, b.b))
	})
	keep = slices.DeleteFunc(keep, func(x pairScore) bool { return math.IsInf(x.score, -1) })
	return slices.Clone(keep[:min(len(keep), 200)])
}

func unsoften(v float64) float64 {
	if v < -worstAct {
		return -worstAct - math.Expm1(-v-worstAct)
	}
	return v
}

// together lays two faults over the circuit.
func (s *Session) together(a, b int32) float64 {
	if v, ok := s.pair[[2]int32{a, b}]; ok {
		return v
	}
	m := s.m
	z := m.c.zoneOf(merge(m.patch(a), m.patch(b)))
	sum := s.prior(a) + s.prior(b)
	for _, e := range s.seen {
		sum += m.fitZone(z, e)
	}
	s.pair[[2]int32{a, b}] = sum
	return sum
}

// Verdict says what all that was seen means.
func (s *Session) Verdict() Verdict {
	s.m.mu.Lock()
	defer s.m.mu.Unlock()
	all, pairs := s.causes()
	h := s.healthy()
	v := Verdict{Pairs: pairs, P: 1}
	if len(s.cand) == 0 {
		v.Right = true
		return v
	}
	rest := 1.0
	for _, c := range all {
		rest -= c.P
	}
	v.P = max(0, min(1, rest))
	if len(all) == 0 || h > all[0].score {
		v.Right = true
	}
	v.Groups = s.group(all[:min(len(all), 24)])
	if len(v.Groups) > 0 {
		v.Sure = v.Groups[0].P > 0.9
	}
	return v
}

// group puts together what no act tells apart. Act by act, those that would show the same stay together; what stands alone is not looked
// at any more.
func (s *Session) group(all []Cause) []Group {
	m := s.m
	zones := make([]*zone, len(all))
	class := make([]uint64, len(all))
	lead := map[uint64]int{} // the first cause of a patch: what does the same is alike
	same := make([]int, len(all))
	covers := make([]map[string]bool, len(all)) // acts that touch it
	tried := make([]map[string]bool, len(all))  // devices tried together with all that looked alike by then
	cover := map[string]int{}
	var order []Act
	used := 0
	for i, c := range all {
		p := m.patch(c.ids[0])
		for _, f := range c.ids[1:] {
			p = merge(p, m.patch(f))
		}
		same[i] = i
		h := newHash()
		if p.table || p.nothing {
			h.number(-2 - int(c.ids[0]))
			class[i] = h.sum()
			continue
		}
		var keys []uint64
		for _, f := range c.ids {
			keys = append(keys, m.patch(f).key())
		}
		slices.Sort(keys)
		kh := newHash()
		for _, k := range keys {
			kh.number(int(k))
			kh.number(int(k >> 32))
		}
		k := kh.sum()
		if f, ok := lead[k]; ok {
			same[i] = f
			continue
		}
		lead[k] = i
		if len(c.ids) == 1 {
			zones[i] = m.zone(c.ids[0])
		} else {
			zones[i] = m.c.zoneOf(p)
		}
		class[i] = h.sum()
		used++
		covers[i], tried[i] = map[string]bool{}, map[string]bool{}
		for _, a := range m.actsFor(zones[i]) {
			k := actKey(a)
			covers[i][k] = true
			if cover[k]++; cover[k] == 1 {
				order = append(order, a)
			}
		}
	}
	// What only some of them touch tells most.
	slices.SortStableFunc(order, func(a, b Act) int {
		x, y := cover[actKey(a)] == used, cover[actKey(b)] == used
		switch {
		case x == y:
			return 0
		case y:
			return -1
		}
		return 1
	})
	for _, a := range order {
		key := actKey(a)
		count, touch := map[uint64]int{}, map[uint64]int{}
		for i := range all {
			if zones[i] != nil {
				count[class[i]]++
				if covers[i][key] {
					touch[class[i]]++
				}
			}
		}
		left := false
		was := slices.Clone(class)
		for i := range all {
			k := was[i]
			if zones[i] == nil || count[k] < 2 || touch[k] == 0 {
				continue
			}
			left = true
			if touch[k] == count[k] && !tried[i][a.Device] {
				if len(tried[i]) > commonDevices { // many of what all touch are the same thing at another control
					continue
				}
				tried[i][a.Device] = true
			}
			h := &hash{k}
			m.writeOutcome(h, zones[i], a, m.resting, false)
			class[i] = h.sum()
		}
		if !left && len(count) == used {
			break
		}
	}
	var out []Group
	at := map[uint64]int{}
	for i, c := range all {
		k := class[same[i]]
		if g, ok := at[k]; ok {
			if n := slices.IndexFunc(out[g].Causes, func(x Cause) bool {
				return same[i] != i && slices.Equal(x.ids, all[same[i]].ids) && alikeKinds(x.Faults, c.Faults)
			}); n >= 0 {
				x := &out[g].Causes[n]
				x.Also, x.P = append(x.Also, c.Faults), x.P+c.P
				out[g].P += c.P
				continue
			}
			out[g].Causes = append(out[g].Causes, c)
			out[g].P += c.P
			continue
		}
		at[k] = len(out)
		out = append(out, Group{P: c.P, Causes: []Cause{c}})
	}
	slices.SortStableFunc(out, func(a, b Group) int { return cmp.Compare(b.P, a.P) })
	return out
}

// alikeKinds reports whether faults that change the same are told in the same way, so that naming one of them is enough.
func alikeKinds(a, b []Fault) bool {
	kinds := func(fs []Fault) []Kind {
		var out []Kind
		for _, f := range fs {
			k := f.Kind
			if k == PhasesSwap || k == EndsSwapped || k == LinesSwapped {
				k = Swapped
			}
			out = append(out, k)
		}
		slices.Sort(out)
		return out
	}
	return slices.Equal(kinds(a), kinds(b))
}
