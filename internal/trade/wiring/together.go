package wiring

// together brings the leads of one body to one place, where a plan that only looks at single leads has put some on the module and some on
// a further board: whichever of the two costs less in all.
func (w *worker) together() {
	for d := range w.r.Devices {
		var at []int
		ways := map[Way]bool{}
		for i, s := range w.r.Signals {
			x := &w.wants[i]
			if s.Device != d || w.cross[i] != nil || !s.Asked.Zero() || x.via != "" || s.Kind != SigContact && s.Kind != SigWiper {
				continue
			}
			at = append(at, i)
			ways[w.r.Plan.Seats[i].Way] = true
		}
		if len(at) < 2 || len(ways) < 2 || ways[Waits] {
			continue
		}
		was := w.r.Plan
		best, way := was, Waits
		for _, v := range []Way{Direct, Expander, ShiftIn, AnalogIn} {
			if !ways[v] {
				continue
			}
			for _, i := range at {
				w.wants[i].via = v
			}
			w.r.Plan = Plan{}
			w.seats()
			if waiting(&w.r.Plan) <= waiting(&was) && (way == Waits || w.r.Plan.Cost < best.Cost-1e-9) {
				best, way = w.r.Plan, v
			}
		}
		for _, i := range at {
			w.wants[i].via = way
		}
		best.Bound = min(was.Bound, best.Bound) // of the plan that may put them anywhere
		w.r.Plan = best
	}
}
