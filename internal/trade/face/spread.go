package face

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// bundle is one finding in the making: a hit, and with it the hits of the same rule that stand between other members of the
// same group and measure the same, as in a row whose step is too small.
type bundle struct {
	hit
	who   []int // items, in the order of the panel
	pairs int
}

// bundleKey tells which hits belong together.
type bundleKey struct {
	rule  *finding.Rule
	sev   finding.Severity
	code  code
	group string
	have  float64
	want  float64
	kept  string
}

// bundles gathers hits. Hits stay in order; each bundle stands where its first hit stood.
func (k *checker) bundles(hits []hit) []bundle {
	var out []bundle
	by := map[bundleKey]int{}
	for _, h := range hits {
		b := bundle{hit: h, who: []int{h.a}, pairs: 1}
		if h.b >= 0 {
			b.who = append(b.who, h.b)
		}
		g := k.groupOf(&h)
		if (h.code == cSheetEdge || h.code == cSheetEdgeOff) && k.items[h.a].sort == fixing {
			g = "fixings" // set in alike, they are too close alike
		}
		if g == "" || h.code == cToolOrder {
			out = append(out, b)
			continue
		}
		key := bundleKey{h.rule, h.sev, h.code, g, tidy(h.have), tidy(h.want), k.keptKey(h.rule.Name, k.ends(&h)...)}
		i, ok := by[key]
		if !ok {
			by[key] = len(out)
			out = append(out, b)
			continue
		}
		out[i].pairs++
		for _, n := range b.who {
			out[i].add(n)
		}
	}
	return out
}

// add keeps who sorted and without repeats. Hits come in the order of the panel, so the place is near the end.
func (b *bundle) add(n int) {
	i := len(b.who)
	for i > 0 && b.who[i-1] > n {
		i--
	}
	if i > 0 && b.who[i-1] == n {
		return
	}
	b.who = append(b.who, 0)
	copy(b.who[i+1:], b.who[i:])
	b.who[i] = n
}

// ends gives the items that a hit is about.
func (k *checker) ends(h *hit) []*item {
	if h.b < 0 {
		return []*item{&k.items[h.a]}
	}
	return []*item{&k.items[h.a], &k.items[h.b]}
}

// groupOf gives the group that both ends of a hit belong to, "" if they belong to none or to two.
func (k *checker) groupOf(h *hit) string {
	if h.b < 0 {
		return ""
	}
	a, b := k.items[h.a].ctl, k.items[h.b].ctl
	if a == nil || b == nil || a.Group != b.Group {
		return ""
	}
	return a.Group
}

// mostSpread is the largest group that a fix tries to spread: every two of its members are measured at every try.
const mostSpread = 120

// spreadKey names a cached answer.
type spreadKey struct {
	rule *finding.Rule
	step int
}

// spread looks for the least step that leaves no two members of the hit's group too close under its rule, and brings
// nothing as grave elsewhere. The answer is the same for all hits of one rule in one group, so it is kept.
func (k *checker) spread(h *hit) (finding.Fix, bool) {
	g := k.groupOf(h)
	if g == "" {
		return finding.Fix{}, false
	}
	for i := range k.p.Steps {
		s := &k.p.Steps[i]
		if s.Group != g || s.Members[k.items[h.a].ctl.Name] == s.Members[k.items[h.b].ctl.Name] {
			continue
		}
		key := spreadKey{h.rule, i}
		f, seen := k.spreads[key]
		if !seen {
			if f2, ok := k.spreadBy(h, s); ok {
				f = &f2
			}
			if k.spreads == nil {
				k.spreads = map[spreadKey]*finding.Fix{}
			}
			k.spreads[key] = f
		}
		if f != nil {
			return *f, true
		}
	}
	return finding.Fix{}, false
}

// spreadBy looks for the least larger step s.
func (k *checker) spreadBy(h *hit, s *panel.Step) (finding.Fix, bool) {
	in := make([]bool, len(k.items))
	nth := make([]float64, len(k.items))
	var members []*item
	for i := range k.items {
		c := k.items[i].ctl
		if c == nil {
			continue
		}
		n, ok := s.Members[c.Name]
		if !ok {
			continue
		}
		if n != 0 && (c.Pinned || k.leads[c.Name]) {
			return finding.Fix{}, false
		}
		in[i], nth[i] = true, float64(n)
		members = append(members, &k.items[i])
	}
	if len(members) > mostSpread {
		return finding.Fix{}, false
	}
	before := k.spreadOut(nil, s, members, in, nth, 0, true)
	grain := k.grain()
	next := func(size float64) float64 { return math.Ceil(size/grain-1e-6) * grain }
	size := next(s.Size + slack)
	for range steps {
		if size-s.Size > farthest {
			return finding.Fix{}, false
		}
		now := k.spreadOut(nil, s, members, in, nth, size-s.Size, false)
		more := 0.0
		for i := range now {
			n := &now[i]
			apart := n.b >= 0 && in[n.a] && in[n.b] && nth[n.a] != nth[n.b]
			switch {
			case apart && n.rule == h.rule, apart && n.sev >= h.sev && !among(before, n):
				more = max(more, n.lack()/math.Abs(nth[n.a]-nth[n.b]), slack)
			case n.sev >= h.sev && !among(before, n):
				return finding.Fix{}, false // moving on does not help: it is against something that stays
			}
		}
		if more == 0 {
			return k.stepFix(s, size), true
		}
		size = max(next(size+min(more, 4*grain)), size+grain) // small looks: the least step counts
	}
	return finding.Fix{}, false
}

// among reports whether a hit was there before, no lesser.
func among(before []hit, h *hit) bool {
	for i := range before {
		b := &before[i]
		if b.rule == h.rule && sameEnds(b, h) && (!h.worse(b) || h.sev == b.sev && h.lack() <= b.lack()+slack) {
			return true
		}
	}
	return false
}

// spreadOut finds all that is wrong with the members when each is moved by its number of steps times more; plain leaves out
// what something graver between the same two members implies.
func (k *checker) spreadOut(out []hit, s *panel.Step, members []*item, in []bool, nth []float64, more float64, plain bool) []hit {
	k.index()
	for i, a := range members {
		d := s.Along.Mul(nth[a.n] * more)
		out = k.alone(out, a, d)
		for _, j := range k.grid.find(moved(a.all, d).Grow(k.margin)) {
			if !in[j] {
				out = k.pair(out, a, d, &k.items[j])
			}
		}
		for _, b := range members[i+1:] {
			r := d.Sub(s.Along.Mul(nth[b.n] * more))
			switch {
			case !near(a.all, r, b.all, k.margin):
			case plain:
				out = keep(out, k.pair(nil, a, r, b))
			default:
				out = k.pair(out, a, r, b)
			}
		}
	}
	return out
}

func (k *checker) stepFix(s *panel.Step, size float64) finding.Fix {
	v := k.num(size)
	edits := []finding.Edit{{Op: finding.Set, Path: s.Path, Value: v}}
	if s.Pair != nil {
		from := geom.Vec2{X: s.Pair[0], Y: s.Pair[1]}
		to := from
		if s.Second {
			to.Y = size
		} else {
			to.X = size
		}
		v = "[" + k.num(to.X) + ", " + k.num(to.Y) + "]"
		edits = k.p.PairEdits(s.Path, from, to)
	}
	return finding.Fix{Say: "Spread " + s.Group + " to steps of " + k.mm(size), Short: s.Group + ": step: " + v, Edits: edits}
}
