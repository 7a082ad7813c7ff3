package face

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
)

// How far a fix looks, and how.
const (
	farthest = 40.0 // mm: a control moved farther than this is another design
	steps    = 24   // looks along one direction
)

// move is a proposal to move one item.
type move struct {
	item  int
	by    geom.Vec2
	clean bool // brings no new finding at all
}

// newTrouble is how much farther, mm, a move may lead to keep clear of new findings, all of them lesser than what it cures.
const newTrouble = 10

// cost orders moves: short ones first, and clean ones before those that bring a lesser finding; a slanting move counts a little longer, because it leaves two rows.
func (m move) cost() float64 {
	c := m.by.Len()
	if math.Abs(m.by.X) > slack && math.Abs(m.by.Y) > slack {
		c *= 1.1
	}
	if !m.clean {
		c += newTrouble
	}
	return c
}

// ways are the directions that are tried beside the direct one.
var ways = []geom.Vec2{
	{X: 1}, {X: -1}, {Y: 1}, {Y: -1},
	{X: math.Sqrt2 / 2, Y: math.Sqrt2 / 2}, {X: -math.Sqrt2 / 2, Y: math.Sqrt2 / 2}, {X: math.Sqrt2 / 2, Y: -math.Sqrt2 / 2}, {X: -math.Sqrt2 / 2, Y: -math.Sqrt2 / 2},
}

// cure looks for the least move of one end that cures a hit and makes nothing as grave worse anywhere else. The end that stands
// alone is tried before one in a row, the later one before the earlier one. ok is false when no move of up to 40 mm does it.
func (k *checker) cure(h *hit) (best move, ok bool) {
	if h.need <= 0 && h.b >= 0 && h.code != cNeighbours {
		h.need = 0.01
	}
	for _, n := range k.movers(h) {
		if m, found := k.cureBy(h, n); found && m.clean {
			return m, true
		} else if found && (!ok || m.cost() < best.cost()) {
			best, ok = m, true
		}
	}
	return best, ok
}

// movers are the ends of a hit that the file can move, most willing first.
func (k *checker) movers(h *hit) []int {
	var ns []int
	can := func(n int) bool { return n >= 0 && k.items[n].origin.MovePath != "" && !k.leading(n) }
	a, b := h.a, h.b
	switch {
	case can(a) && can(b):
		if grouped(&k.items[b]) && !grouped(&k.items[a]) {
			a, b = b, a
		}
		ns = append(ns, b, a)
	case can(a):
		ns = append(ns, a)
	case can(b):
		ns = append(ns, b)
	}
	return ns
}

// leading reports whether another control is an image or copy of this one: it would move too, unseen.
func (k *checker) leading(n int) bool { return k.items[n].ctl != nil && k.leads[k.items[n].ctl.Name] }

func grouped(x *item) bool { return x.ctl != nil && x.ctl.Group != "" }

// cureBy looks for the least move of item n that cures h.
func (k *checker) cureBy(h *hit, n int) (best move, ok bool) {
	x := &k.items[n]
	direct := h.dir
	if n == h.b {
		direct = direct.Mul(-1)
	}
	before := k.before(x)
	var between []hit // what is said of the two, without what that implies
	if h.b >= 0 {
		between = keep(nil, k.pair(nil, &k.items[h.a], geom.Vec2{}, &k.items[h.b]))
	}
	least := math.Inf(1)
	try := func(u geom.Vec2) {
		if u == (geom.Vec2{}) {
			return
		}
		if m, found := k.along(h, x, u, before, between, least); found {
			if c := m.cost(); c < least-slack {
				best, ok, least = m, true, c
			}
		}
	}
	try(direct)
	for _, u := range ways {
		try(u)
	}
	return best, ok
}

// along looks for the first good place in one direction: one that brings nothing new at all, else one that brings only what
// is lesser than h. No gap changes by more than the way moved, so each look may go on by what is still missing.
func (k *checker) along(h *hit, x *item, u geom.Vec2, before, between []hit, least float64) (best move, ok bool) {
	t := h.need
	for range steps {
		m := move{item: x.n, by: k.round(x, u.Mul(t)), clean: true}
		if m.by.Len() > farthest || m.cost() >= least {
			break
		}
		lack, lesser := k.trouble(h, x, m.by, before, between)
		if lack == 0 && lesser == 0 {
			return m, true
		}
		if lack == 0 {
			if m.clean = false; !ok && m.cost() < least {
				best, ok = m, true
			}
			lack = lesser
		}
		t += max(lack, k.grain()/2)
	}
	return best, ok
}

// trouble says how much is still missing when x is moved: the lack of the hit itself, or of what is newly wrong and as grave; 0
// means cured. lesser is the lack of what is newly wrong and less grave. What h hid between its two ends counts as new.
func (k *checker) trouble(h *hit, x *item, by geom.Vec2, before, between []hit) (lack, lesser float64) {
	var buf [16]hit
	judge := func(found, known []hit) bool {
		for i := range found {
			g := &found[i]
			switch {
			case g.rule == h.rule && sameEnds(g, h): // not cured yet
			case among(known, g):
				continue
			case g.sev < h.sev:
				lesser = max(lesser, g.need, g.lack(), slack)
				continue
			}
			lack = max(g.need, g.lack(), slack)
			return false
		}
		return true
	}
	// the other end first: mostly it is not cured yet, and that is soon known
	other := h.a + h.b - x.n
	for n := 0; n < looks && h.b >= 0; n++ {
		if !judge(k.look(n, buf[:0], x, by, &k.items[other]), between) {
			return lack, lesser
		}
	}
	if !judge(k.alone(buf[:0], x, by), before) {
		return lack, lesser
	}
	for _, i := range k.grid.find(moved(x.all, by).Grow(k.margin)) {
		if int(i) == x.n || h.b >= 0 && int(i) == other {
			continue
		}
		for n := range looks {
			if !judge(k.look(n, buf[:0], x, by, &k.items[i]), before) {
				return lack, lesser
			}
		}
	}
	return 0, lesser
}

func sameEnds(a, b *hit) bool { return a.a == b.a && a.b == b.b || a.a == b.b && a.b == b.a }

// before finds all that is wrong with x where it stands. It is kept: one control is often in several findings.
func (k *checker) before(x *item) []hit {
	k.index()
	if h, ok := k.standing[x.n]; ok {
		return h
	}
	out := k.alone(nil, x, geom.Vec2{})
	for _, i := range k.grid.find(x.all.Grow(k.margin)) {
		if int(i) != x.n {
			out = k.pair(out, x, geom.Vec2{}, &k.items[i])
		}
	}
	if k.standing == nil {
		k.standing = map[int][]hit{}
	}
	k.standing[x.n] = out
	return out
}

// index makes the grid when it is first wanted.
func (k *checker) index() {
	if k.grid == nil {
		k.grid = newGrid(k.boxes, max(25, k.margin))
	}
}

// grain is what a move is rounded up to, mm: for who writes in inches two hundredths.
func (k *checker) grain() float64 {
	if k.inches {
		return 0.02 * length.PerInch
	}
	return 0.5
}

// round makes a move a whole number of grains, away from zero, and then what will stand in the file: the new place to two
// decimals, in inches to three. A coordinate that does not move stays as it is.
func (k *checker) round(x *item, v geom.Vec2) geom.Vec2 {
	grain := k.grain()
	up := func(v, base float64) float64 {
		if math.Abs(v) < 1e-6 {
			return 0
		}
		n := math.Ceil(math.Abs(v)/grain-1e-6) * grain
		if k.inches {
			if v < 0 {
				return math.Floor((base-n)/length.PerInch*1000+1e-6)/1000*length.PerInch - base
			}
			return math.Ceil((base+n)/length.PerInch*1000-1e-6)/1000*length.PerInch - base
		}
		if v < 0 {
			n = -n
		}
		return math.Round((base+n)*100)/100 - base
	}
	b := x.origin.MoveBase
	return geom.Vec2{X: up(v.X, b.X), Y: up(v.Y, b.Y)}
}

// moveFix writes a move as a fix of the file.
func (k *checker) moveFix(m move, named bool) (finding.Fix, bool) {
	x := &k.items[m.item]
	f, ok := k.p.Move(x.origin, m.by)
	if ok && named {
		who := "it"
		if x.sort == control {
			who = x.ctl.Label
			f.Short = x.ctl.Name + ": " + f.Short
		} else if x.origin.Name != "" {
			who = x.origin.Name
		}
		f.Say = "Move " + who + f.Say[len("Move it"):]
	}
	return f, ok
}
