package harness

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
	"knobwright/internal/solve/chain"
	"knobwright/internal/trade/wiring"
)

// stop is what a chain visits at once: the lugs of one control, or the pins of one board, that are in one net. They are joined by short
// jumpers.
type stop struct {
	terms []wiring.Terminal
	zone  int // sheet, also of a board that hangs under it; -1 = boards on the base
}

// links makes the wires that are wanted: a lead where a net has two ends, chains where it has more.
func (w *worker) links() {
	for ni, n := range w.w.Nets {
		if n.Kind == wiring.NetInner {
			continue
		}
		w.net(ni, n)
	}
}

// net joins the terminals of a net.
func (w *worker) net(ni int, n wiring.Net) {
	var pins []wiring.Terminal // of the module: where chains begin
	var stops []stop
	byOwner := map[string]int{}
	at := map[spot]bool{} // a fitting on a lug of its own net wants no second wire
	power := map[string]bool{}
	for _, t := range n.Terms {
		s, ok := w.spot[t]
		if !ok {
			continue
		}
		owner := t.Of
		switch {
		case s.board == 0:
			pins = append(pins, t)
			continue
		case s.board > 0:
			if w.joinedInside(s.board, t.Lug) { // one pin of those that the board joins itself
				if power[t.Of] {
					continue
				}
				power[t.Of] = true
			}
		default:
			if at[s] {
				continue
			}
			at[s] = true
			owner = w.ownerOf(t)
		}
		k, seen := byOwner[owner]
		if !seen {
			k = len(stops)
			byOwner[owner] = k
			zone := s.sheet
			if s.board >= 0 {
				zone = w.sheetOf(s)
			}
			stops = append(stops, stop{zone: zone})
		}
		stops[k].terms = append(stops[k].terms, t)
	}
	if len(pins) == 0 && len(stops) > 0 { // no module in it: the first one is where it begins
		pins = stops[0].terms[:1]
		if stops[0].terms = stops[0].terms[1:]; len(stops[0].terms) == 0 {
			stops = stops[1:]
		}
	}
	switch {
	case len(pins) == 0 || len(stops) == 0:
	case len(stops) == 1 && len(stops[0].terms) == 1:
		w.link = append(w.link, link{ni, w.nearest(pins, stops[0].terms[0]), stops[0].terms[0], -1})
	default:
		w.chains(ni, n, pins, stops)
	}
}

// joinedInside reports whether a board joins a pin with its fellows by itself: grounds and supplies.
func (w *worker) joinedInside(board int, lug string) bool {
	b := w.boards[board].part.Board
	if b == nil {
		return false
	}
	for _, p := range b.Pins {
		if p.Lug == lug {
			return p.Bus == "" && (p.Kind == catalog.PinGround || p.Kind == catalog.PinAGround || p.Kind == catalog.PinSupply)
		}
	}
	return false
}

// ownerOf gives the control that a terminal belongs to: a fitting to that on whose lug it sits.
func (w *worker) ownerOf(t wiring.Terminal) string {
	for _, f := range w.w.Fittings {
		if f.Name == t.Of {
			return f.At.Of
		}
	}
	return t.Of
}

func (w *worker) nearest(pins []wiring.Terminal, t wiring.Terminal) wiring.Terminal {
	best, least := pins[0], math.Inf(1)
	for _, p := range pins {
		if d := w.spot[p].at.Sub(w.spot[t].at).Len(); d < least-1e-9 {
			best, least = p, d
		}
	}
	return best
}

// chains joins the stops of a net by runs from stop to stop, with least wire: boards on the base first, then sheet by sheet. Each run
// begins at a pin of its own while there are enough, and no pin takes more than two wires (one in a crimp housing), but the only pin of a
// net with lugs on several sheets.
func (w *worker) chains(ni int, n wiring.Net, pins []wiring.Terminal, stops []stop) {
	zones := map[int][]stop{}
	lugs := 0
	for _, s := range stops {
		zones[s.zone] = append(zones[s.zone], s)
		if s.zone >= 0 {
			lugs++
		}
	}
	room := map[wiring.Terminal]int{}
	per := 2
	if w.p.Wiring.Ends == "crimped" {
		per = 1
	}
	for _, p := range pins {
		room[p] = per
	}
	spare := append([]wiring.Terminal{}, pins...) // further roots, when the module's pins do not suffice
	first := len(w.r.Chains)
	order := sortedKeys(zones)
	for zi, z := range order {
		k := 1
		if z >= 0 {
			free := len(pins)
			if len(zones) > 1 && free > len(zones) {
				free -= len(zones) - 1
			}
			k = groups(len(zones[z]), max(1, free), int(w.p.Limits.Value(limChain)))
		}
		left := -(len(order) - 1 - zi) // ends that the pins still take, less those that the next zones want
		var fresh, used, ends []wiring.Terminal
		for _, p := range spare {
			if w.spot[p].board >= 0 {
				left += room[p]
			}
			switch {
			case room[p] == per && w.spot[p].board == w.spot[pins[0]].board:
				fresh = append(fresh, p)
			case room[p] > 0 && w.spot[p].board != w.spot[pins[0]].board:
				ends = append(ends, p)
			case room[p] > 0:
				used = append(used, p)
			}
		}
		ring := w.p.Wiring.Chains == "closed" && len(zones[z]) > 1 && left >= 2
		if ring {
			k = min(k, left/2)
		}
		roots := fresh
		if len(roots) < k { // pins without a wire first
			roots = append(roots, used...)
		}
		if len(roots) == 0 { // from the last board of another chain
			roots = ends
		}
		if len(roots) == 0 {
			roots = append(roots, pins[len(pins)-1]) // a third wire at a pin is less trouble than one from face to wall
		}
		for _, run := range w.runs(roots, zones[z], min(k, len(roots)), ring) {
			room[run.root]--
			var back wiring.Terminal
			if ring && len(run.stops) > 1 {
				back = w.backTo(spare, run.root, room)
				room[back]--
			}
			end := w.chain(ni, n, run, back)
			switch s := w.spot[end]; {
			case !back.Zero():
			case s.board > 0: // another chain may go on from there
				room[end] = per - 1
				spare = append(spare, end)
			}
		}
	}
	if made := w.r.Chains[first:]; len(made) > 1 {
		for i := range made {
			made[i].Name += " " + itoa(i+1)
		}
	}
}

// groups says on how many pins a net is split: as many that no chain is long, and up to three in any case, where each has enough to
// carry: three ground pins suggest three groups.
func groups(stops, pins, most int) int {
	most = max(1, most)
	return max(1, min(pins, max((stops+most-1)/most, min(3, stops/3))))
}

// branch is a run of stops from a pin.
type branch struct {
	root  wiring.Terminal
	stops []stop
}

// runs splits stops into runs that begin at pins, at least k of them, with the least wire that the solver finds.
func (w *worker) runs(roots []wiring.Terminal, stops []stop, k int, ring bool) []branch {
	n := len(stops)
	most := (n + k - 1) / k
	if k > 1 { // some freedom, so that a row is not torn for the sake of equal numbers
		most = max(most, min(most+(most+3)/4, (n+k-2)/(k-1)-1, int(w.p.Limits.Value(limChain)))) // but k runs at least
	}
	mid := make([]geom.Vec3, n)
	for i, s := range stops {
		for _, t := range s.terms {
			mid[i] = mid[i].Add(w.spot[t].at)
		}
		mid[i] = mid[i].Mul(1 / float64(len(s.terms)))
	}
	q := chain.Problem{Terminals: n, Capacity: most, Cost: func(i, j int) float64 {
		if j >= n {
			return w.spot[roots[j-n]].at.Sub(mid[i]).Len() + w.leaving(stops[i].zone)
		}
		return w.crow(mid[i], mid[j], stops[i].zone)
	}}
	if ring {
		q.Shape = chain.Ring
	}
	for range roots {
		q.Roots = append(q.Roots, chain.Root{Branches: 1})
	}
	effort := chain.Effort(max(2, min(6, 600/(n+50)))) // more of it shortens nothing that a maker would see
	plan, err := chain.Solve(q, effort)
	if err != nil { // one run in the order of the file
		return []branch{{roots[0], stops}}
	}
	var out []branch
	for _, b := range plan.Branches {
		x := branch{root: roots[b.Root]}
		for _, t := range b.Terminals {
			x.stops = append(x.stops, stops[t])
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b branch) int { return cmp.Compare(w.order(a.root), w.order(b.root)) })
	return out
}

// order is where a pin stands on its board.
func (w *worker) order(t wiring.Terminal) int {
	s := w.spot[t]
	if s.board < 0 {
		return 1 << 20
	}
	return s.board<<10 + w.boards[s.board].rank[t.Lug]
}

// leaving is about what a wire from a sheet to the boards costs beyond the straight way.
func (w *worker) leaving(zone int) float64 {
	if w.group(zone) >= 0 {
		return 2 * w.service
	}
	return 0
}

// crow is about what a wire between two places costs: the straight way over the sheet, dearer over what stands in it.
func (w *worker) crow(a, b geom.Vec3, zone int) float64 {
	d := b.Sub(a)
	far := d.Len()
	if zone < 0 || far == 0 {
		return far
	}
	g := w.grids[zone]
	p, q := w.back[zone].Apply(a).XY(), w.back[zone].Apply(b).XY()
	n := max(1, int(far/g.step))
	sum := 0.0
	for i := range n {
		c := g.cell(p.Add(q.Sub(p).Mul((float64(i) + 0.5) / float64(n))))
		switch {
		case !g.open(c):
			sum += 6
		default:
			sum += g.pay[c]
		}
	}
	return far * (0.7 + 0.3*sum/float64(n))
}

// chain files a run, lug by lug, and gives its last terminal; a ring comes back to a pin.
func (w *worker) chain(ni int, n wiring.Net, b branch, back wiring.Terminal) wiring.Terminal {
	ci := len(w.r.Chains)
	c := Chain{Name: n.Name, Net: ni, Root: b.root}
	from := b.root
	add := func(t wiring.Terminal) {
		w.link = append(w.link, link{ni, from, t, ci})
		from = t
	}
	for i, s := range b.stops {
		left := slices.Clone(s.terms)
		var next geom.Vec3
		has := i+1 < len(b.stops)
		if has {
			next = w.spot[b.stops[i+1].terms[0]].at
		}
		for len(left) > 0 { // the nearest first, and the one towards the next stop last
			best, least := 0, math.Inf(1)
			for j, t := range left {
				d := w.spot[from].at.Sub(w.spot[t].at).Len()
				if has && len(left) > 1 {
					d -= w.spot[t].at.Sub(next).Len()
				}
				if d < least-1e-9 {
					best, least = j, d
				}
			}
			add(left[best])
			c.Lugs = append(c.Lugs, left[best])
			left = slices.Delete(left, best, best+1)
		}
	}
	last := from
	if !back.Zero() {
		c.Closed = true
		add(back)
	}
	w.r.Chains = append(w.r.Chains, c)
	return last
}

// backTo gives the pin to which a ring comes back: another pin of the net where one is free.
func (w *worker) backTo(pins []wiring.Terminal, first wiring.Terminal, room map[wiring.Terminal]int) wiring.Terminal {
	best, least := first, math.Inf(1)
	for _, r := range pins {
		d := w.spot[r].at.Sub(w.spot[first].at).Len()
		if r == first {
			d = 1e6
		}
		if room[r] > 0 && w.spot[r].board >= 0 && d < least-1e-9 {
			best, least = r, d
		}
	}
	return best
}
