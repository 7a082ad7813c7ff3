package wiring

import (
	"cmp"
	"slices"

	"knobwright/internal/panel"
)

type panelControl = panel.Control

// family is a kind of way that is weighed.
type family struct {
	by    Way
	allow func(s *shape) bool
}

// most is how many boards of a kind, and lines of a matrix either way, are tried.
const (
	mostExpanders = 16
	mostShifts    = 24
	mostMuxes     = 4
	mostLines     = 16
)

func plainShape(s *shape) bool {
	return s.expanders == 0 && s.shifts == 0 && s.rows == 0 && s.more == 0
}

var families = []family{
	{by: Direct, allow: func(s *shape) bool { return plainShape(s) && s.muxes == 0 }},
	{by: AnalogIn, allow: func(s *shape) bool { return plainShape(s) && s.muxes > 0 }},
	{by: Matrix, allow: func(s *shape) bool { return s.rows > 0 && s.expanders == 0 && s.shifts == 0 && s.more == 0 }},
	{by: Expander, allow: func(s *shape) bool { return s.expanders > 0 && s.rows == 0 && s.shifts == 0 && s.more == 0 }},
	{by: ShiftIn, allow: func(s *shape) bool { return s.shifts > 0 && s.rows == 0 && s.expanders == 0 && s.more == 0 }},
	{by: Ladder, allow: func(s *shape) bool { return len(s.ladders) > 0 && s.rows == 0 && s.expanders == 0 && s.shifts == 0 }},
	{by: Waits, allow: func(*shape) bool { return true }}, // whatever mix is cheapest
}

func familyOf(by Way) family {
	return families[slices.IndexFunc(families, func(f family) bool { return f.by == by })]
}

// sent is the family where every contact that can is sent one way: boards of the file may suffice for it.
func sent(by Way) family {
	f := familyOf(by)
	switch by {
	case Expander:
		f.allow = func(s *shape) bool { return s.rows == 0 && s.shifts == 0 && s.more == 0 }
	case ShiftIn:
		f.allow = func(s *shape) bool { return s.rows == 0 && s.expanders == 0 && s.more == 0 }
	}
	return f
}

// weighed is a way that was worked out whole.
type weighed struct {
	by     Way
	shape  shape
	w      *worker
	worth  float64
	wait   int  // leads without a pin
	listed bool // only for the list: it shares more than it must
}

// scheme finds the way that the leads go, and lists what was weighed.
func (w *worker) scheme() {
	w.settle(w.p.Wiring.Pins.Keys, false)
	w.stock()
	w.joint, w.fit, w.kind = w.p.Limits.Value(limJoint), w.p.Limits.Value(limFit), w.p.Limits.Value(limKind)
	if w.module < 0 {
		v := w.variant("auto")
		v.lines = nil
		*w = *v.try(shape{ladders: v.forced()})
		return
	}
	by := w.by()
	auto := w.variant("auto")
	var all []weighed
	direct := auto.family(familyOf(Direct))
	if direct == nil { // the counts forbid it: it is worked out all the same, to say what lacks
		x := auto.try(shape{ladders: auto.forced()})
		direct = &weighed{by: Direct, w: x, worth: x.paid(), wait: waiting(&x.r.Plan)}
	}
	all = append(all, *direct)
	fine := direct.wait == 0
	if !fine {
		if x := auto.family(familyOf(AnalogIn)); x != nil { // only the wipers were too many
			all = append(all, *x)
			fine = x.wait == 0
		}
	}
	for _, f := range families {
		v := auto
		switch {
		case f.by == Direct || f.by == AnalogIn || string(f.by) == by || fine && f.by == Waits:
			continue
		case fine:
			v = w.variant(string(f.by)) // with every contact that can, or no more would change than must
			f = sent(f.by)
		}
		if x := v.family(f); x != nil {
			x.listed = fine
			all = append(all, *x)
		}
	}
	asked := w.askedWay(by)
	if asked != nil {
		all = append(all, *asked)
	}
	best := choose(all, asked != nil)
	options := w.options(all, best)
	lost := w.lost(by, asked)
	why := ""
	if lost == "matrix" {
		why = w.matrixFull() // counted before anything is planned
	}
	if direct.wait > 0 {
		options = append(options, w.otherModules()...)
	}
	way, title := all[best].w.title()
	*w = *all[best].w.before
	w.quick = false
	w.seatBuses()
	w.together()
	w.polish()
	w.finish()
	w.r.Plan.Options, w.r.Plan.By, w.r.Plan.Title = options, way, title
	w.joinLeads()
	w.nets()
	w.shorted()
	if lost != "" {
		w.lostWay(lost, why)
	}
}

// askedWay works out the way that the file asks for; nil when it asks for none, or the counts forbid it.
func (w *worker) askedWay(by string) *weighed {
	if by == "auto" {
		return nil
	}
	v := w.variant(by)
	if x := v.family(sent(Way(by))); x != nil {
		return x
	}
	if by == "direct" {
		if x := v.family(familyOf(Waits)); x != nil && x.wait == 0 { // some controls ask for a way of their own
			return x
		}
		x := v.try(shape{ladders: v.forced()})
		return &weighed{by: Direct, w: x, worth: x.paid(), wait: waiting(&x.r.Plan)}
	}
	has := map[string]func(s *shape) bool{
		"matrix":   func(s *shape) bool { return s.rows > 0 },
		"expander": func(s *shape) bool { return true },
		"shift-in": func(s *shape) bool { return true },
		"ladder":   func(s *shape) bool { return len(s.ladders) > 0 },
	}[by]
	if has == nil {
		return nil
	}
	return v.family(family{by: Way(by), allow: has})
}

// variant gives a copy whose contacts go the way of a word of the file.
func (w *worker) variant(by string) *worker {
	f := w.fork()
	f.way = by
	f.ways()
	return f
}

// family works out the shapes of a family that the counts allow, cheapest first, until one serves as many leads as any can; nil when the
// counts allow none.
func (w *worker) family(f family) *weighed {
	if w.shapesAre == nil {
		t := w.count()
		w.must = t.lost
		w.shapesAre = w.shapes(&t)
	}
	var best *weighed
	tries := 0
	for i := range w.shapesAre {
		s := &w.shapesAre[i]
		if !f.allow(s) {
			continue
		}
		v := w.try(*s)
		x := &weighed{by: f.by, shape: *s, w: v, worth: v.paid(), wait: waiting(&v.r.Plan)}
		if best == nil || x.wait < best.wait {
			best = x
		}
		if tries++; x.wait <= w.must || tries == 6 {
			break
		}
	}
	return best
}

// shapes lists every shape that the counts allow, cheapest first.
func (w *worker) shapes(t *tally) []shape {
	sets := [][]int{nil}
	forced := w.forced()
	sets[0] = forced
	byCount := slices.Clone(w.turners)
	slices.SortStableFunc(byCount, func(a, b int) int { return -cmp.Compare(len(w.r.Devices[a].Contact), len(w.r.Devices[b].Contact)) })
	grown := slices.Clone(sets[0])
	for _, d := range byCount {
		if w.deviceVia(d) == "" && len(grown) < 4 {
			grown = append(slices.Clone(grown), d)
			sets = append(sets, grown)
		}
	}
	limit := func(role string, most int) int {
		if w.kit[role].Board == nil {
			return 0
		}
		return most
	}
	var out []shape
	add := func(s shape) {
		if w.fits(t, &s) {
			out = append(out, s)
		}
	}
	rows, columns := w.p.Wiring.Matrix.Rows, w.p.Wiring.Matrix.Columns
	for _, set := range sets {
		for m := range limit(roleAnalogIn, mostMuxes) + 1 {
			for e := range limit(roleExpander, mostExpanders) + 1 {
				for s := range limit(roleShiftIn, mostShifts) + 1 {
					if e > 0 && s > 0 {
						break // one kind of board for contacts is enough
					}
					add(shape{expanders: e, shifts: s, muxes: m, ladders: set, more: len(set) - len(forced)})
					if t.crossable+t.mustCross < 2 {
						continue
					}
					for r := 1; r <= mostLines; r++ {
						if rows > 0 && r != rows {
							continue
						}
						for c := 1; c <= mostLines; c++ {
							if columns > 0 && c != columns || rows == 0 && columns == 0 && (r > c+4 || c > r+4) {
								continue
							}
							add(shape{expanders: e, shifts: s, muxes: m, rows: r, columns: c, ladders: set, more: len(set) - len(forced)})
						}
					}
				}
			}
		}
	}
	type priced struct {
		s shape
		v float64
	}
	ps := make([]priced, len(out))
	for i := range out {
		ps[i] = priced{out[i], w.worth(&out[i])}
	}
	slices.SortStableFunc(ps, func(a, b priced) int {
		return cmp.Or(cmp.Compare(a.v, b.v), cmp.Compare(a.s.rows+a.s.columns, b.s.rows+b.s.columns), cmp.Compare(a.s.rows, b.s.rows))
	})
	for i := range ps {
		out[i] = ps[i].s
	}
	return out
}

// forced lists the switches that the file puts on ladders.
func (w *worker) forced() []int {
	var out []int
	for _, d := range w.turners {
		if w.deviceVia(d) == Ladder {
			out = append(out, d)
		}
	}
	return out
}

func (w *worker) deviceVia(d int) Way {
	for i, s := range w.r.Signals {
		if s.Device == d && s.Kind == SigContact {
			return w.wants[i].via
		}
	}
	return ""
}

// choose picks the way: what the file asks for; else direct when it fits; else of those that serve most leads the one that costs least,
// parts and joints together.
func choose(all []weighed, asked bool) int {
	if asked {
		return len(all) - 1
	}
	best := 0
	for i := range all {
		if all[i].listed || all[0].wait == 0 {
			continue
		}
		if a, b := &all[i], &all[best]; a.wait < b.wait || a.wait == b.wait && a.worth < b.worth-1e-9 {
			best = i
		}
	}
	return best
}

// lost names the way that the file asks for when nothing can be done with it; "" otherwise.
func (w *worker) lost(by string, asked *weighed) string {
	if by == "auto" || asked != nil {
		return ""
	}
	return by
}
