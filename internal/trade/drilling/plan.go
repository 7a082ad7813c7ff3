package drilling

import (
	"cmp"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
)

// Plan works out how every opening of a panel is made: the bits, the order, the speeds. It changes nothing in p and
// never fails; what cannot be made is said in the findings. The same panel gives the same plan.
func Plan(p *panel.Panel) Result { return plan(p, true) }

// Judge is Plan without looking for the shortest walk: the same findings, holes and bits at a fraction of the time; jobs stand
// bit by bit in reading order, and Walk and WalkBound are 0.
func Judge(p *panel.Panel) Result { return plan(p, false) }

func plan(p *panel.Panel, walked bool) Result {
	if p == nil {
		return Result{}
	}
	w := newWork(p)
	ways := w.ways()
	for i := range ways {
		w.make(&ways[i])
		if y := &ways[i]; y.shape.form == round && y.shape.blind == 0 && len(y.ops) > 0 && !y.filed && !clearance(y.cut) {
			w.issues.tooTight(w, y)
		}
	}
	for _, c := range p.Controls {
		if c != nil {
			w.issues.pattern(w, c)
		}
	}
	w.issues.assumed(w)

	r := Result{Marking: marking(w.stuff), Backing: backing(p)}
	w.schedule(&r, ways, walked)
	r.Holes = w.holes(ways, r.Jobs)
	for _, u := range r.Bits {
		w.issues.slow(w, u)
	}
	r.Coupons = w.coupons(ways)
	r.Cautions = w.cautions(&r)
	r.Findings = w.issues.findings()
	return r
}

// clearance reports whether a hole only lets a screw or a tab through: it may turn out a little large.
func clearance(c *panel.Cut) bool {
	return c.What == "screw" || c.What == "fixing" || c.What == "anti-turn" || c.Spec.Screw != ""
}

// ways lists all openings in reading order: rows from the top down, each from left to right; the openings of one control
// stay together, its main hole first.
func (w *work) ways() []way {
	type group struct {
		at   panel.Pt
		ways []way
	}
	var groups []group
	add := func(cuts ...*panel.Cut) {
		var g group
		for _, c := range cuts {
			if c == nil {
				continue
			}
			if w.p.OffSheet(c) {
				continue // there is nothing to drill, and that has been said
			}
			s, ok := shapeOf(c)
			if !ok {
				w.issues.badSize(c)
				continue
			}
			if len(g.ways) == 0 {
				g.at = c.At
			}
			g.ways = append(g.ways, way{cut: c, shape: s})
		}
		if len(g.ways) > 0 {
			groups = append(groups, g)
		}
	}
	for _, c := range w.p.Controls {
		if c != nil {
			add(c.Cuts...)
		}
	}
	for _, c := range w.p.Openings {
		add(c)
	}
	for _, f := range w.p.Fixings {
		if f != nil {
			add(f.Cut)
		}
	}
	slices.SortStableFunc(groups, func(a, b group) int { return -cmp.Compare(a.at.Y, b.at.Y) })
	tol := w.lim(limRow, 0, 1000)
	var out []way
	for i := 0; i < len(groups); {
		j := i
		for j < len(groups) && groups[i].at.Y-groups[j].at.Y <= tol {
			j++
		}
		slices.SortStableFunc(groups[i:j], func(a, b group) int { return cmp.Compare(a.at.X, b.at.X) })
		for ; i < j; i++ {
			out = append(out, groups[i].ways...)
		}
	}
	return out
}

// holes sums the openings up.
func (w *work) holes(ways []way, jobs []Job) []Hole {
	hs := make([]Hole, len(ways))
	for i := range ways {
		y := &ways[i]
		c := y.cut
		h := Hole{
			N: i + 1, Cut: c, Name: nameOf(c), Bit: y.word, How: y.how(), Size: y.main.Diameter,
			AsCut:    w.words.window(c.CutMin, c.CutMax),
			Finished: w.words.window(c.FinishedMin, c.FinishedMax), Covered: w.covered(c),
		}
		if y.filed || y.main.Kind == "" {
			h.Size = c.Nominal + c.CutMin - c.FinishedMin
		}
		hs[i] = h
	}
	for _, j := range jobs {
		hs[j.Hole-1].Jobs = append(hs[j.Hole-1].Jobs, j.N)
	}
	return hs
}

// covered reports whether the covering goes over an opening and stays whole there: holes for anti-turn tabs, which nothing
// comes through in front.
func (w *work) covered(c *panel.Cut) bool {
	switch w.p.Stack.Covering.Kind {
	case "film", "card": // laid over the drilled sheet
		return c.Blind > 0 || c.What == "anti-turn"
	}
	return false // laminate is glued on before drilling; paint runs into a hole and does not hide it
}

// coupons chooses the few holes that are worth drilling in scrap first.
func (w *work) coupons(ways []way) []Coupon {
	type cand struct {
		Coupon
		rank float64 // higher first
		key  string
	}
	var cs []cand
	tight := w.lim(limTight, 0, 10)
	for i := range ways {
		y := &ways[i]
		if len(y.ops) == 0 || clearance(y.cut) {
			continue
		}
		s := y.shape
		room := s.hi - s.lo
		k := key(float64(s.form), s.d, s.w, s.h, s.across, s.notch, y.main.Diameter) + string(y.main.Kind)
		c := cand{Coupon: Coupon{Cut: y.cut, Bit: y.main}, key: k}
		switch {
		case snapIn(y.cut):
			c.rank, c.Why = 400, "It is held by its clips alone: too large and it falls out, too small and it will not go in."
		case y.filed && s.form != round:
			c.rank, c.Why = 300, "Filed to shape: make one in scrap and try the part in it."
		case !y.filed && room <= tight+near:
			c.rank, c.Why = 200-room, "Only "+w.words.long(room)+" between too small and too large; see what your bit really cuts."
			if room < 0.005 {
				c.Why = "No room in size at all; see what your bit really cuts."
			}
		case !y.filed && s.d+s.hi-y.main.Diameter < w.hold()-near:
			c.rank, c.Why = 150, "The bit is at the top of the allowed size, and bits cut a little over their name; see what yours really cuts."
		case y.filed:
			c.rank, c.Why = 120, "Opened with the file: see how much filing the part wants."
		case y.main.Kind == catalog.Step && y.main.Diameter >= 16 || y.main.Kind == catalog.HoleSaw:
			c.rank, c.Why = 100+y.main.Diameter/1000, "The first large hole in this sheet: find the speed and the pressure, and measure what it cuts."
			c.key = string(y.main.Kind)
		default:
			continue
		}
		cs = append(cs, c)
	}
	slices.SortStableFunc(cs, func(a, b cand) int { return -cmp.Compare(a.rank, b.rank) })
	var out []Coupon
	seen := map[string]bool{}
	for _, c := range cs {
		if !seen[c.key] && len(out) < 6 {
			seen[c.key] = true
			out = append(out, c.Coupon)
		}
	}
	return out
}

// snapIn reports whether a part is held by clips of its own: neither nut nor screw, a range of grip, and an opening that
// is not plain round or a class that snaps in.
func snapIn(c *panel.Cut) bool {
	o := c.Owner
	if o == nil || len(o.Cuts) == 0 || o.Cuts[0] != c || o.Part.Class == catalog.Lamp {
		return false
	}
	for _, k := range o.Cuts {
		if k.Spec.Screw != "" {
			return false
		}
	}
	return o.Part.Nut.Flats == 0 && o.Part.Nut.Thickness == 0 && o.Part.Thread.Major == 0 && o.Part.Grip[1] > 0
}

// cautions are the dangers of this plan, gravest first.
func (w *work) cautions(r *Result) []string {
	if len(r.Jobs) == 0 {
		return nil
	}
	cs := []string{
		"Wear eye protection for every hole, also the small ones.",
		"Clamp the sheet. A sheet that is held by hand spins with the bit when it grabs, most often as the bit comes through.",
		"No gloves near a turning spindle. Tie back hair, roll up sleeves, take off rings and cords.",
	}
	switch w.p.Stack.Sheet.Kind {
	case "acrylic":
		cs = append(cs, "Acrylic grabs and cracks, with splinters like glass: dulled edge, slow feed, sheet held down near the hole.")
	case "polycarbonate", "abs":
		cs = append(cs, "Plastic chips are hot and stick. Stop the drill before you clear them.")
	case "plywood", "mdf", "hardboard":
		cs = append(cs, "Dust of board and plywood harms the lungs: a mask that is made for fine dust, a vacuum at the hole, no sweeping.")
	case "aluminium", "steel":
		cs = append(cs, "Chips are hot and sharp. Stop the drill and use a brush, never fingers or breath.")
	}
	uses := func(k catalog.BitKind) bool {
		return slices.ContainsFunc(r.Bits, func(u BitUse) bool { return u.Bit.Kind == k })
	}
	if uses(catalog.HoleSaw) || uses(catalog.Forstner) || uses(catalog.Spade) {
		cs = append(cs, "Large saws and bits wrench the drill from the hand: side handle on, low gear, both feet on the floor, or a drill press.")
	}
	if uses(catalog.Step) {
		cs = append(cs, "Step drills pull themselves in as a step breaks through: hold the drill back.")
	}
	if slices.ContainsFunc(r.Jobs, func(j Job) bool { return j.Do == "file" || j.Do == "chain" }) {
		cs = append(cs, "Filed and chain-drilled edges cut. Put a handle on the file.")
	}
	return cs
}

// orderSaid tells how the order of work was chosen.
func (w *work) orderSaid(bits int) string {
	s := []string{"Start at the datum corner, lower left, drawn heavy."}
	if w.pilot.Kind != "" {
		s[0] = "Pilots first, from the datum corner, lower left, drawn heavy."
	}
	if bits > 1 {
		s = append(s, "Each bit goes in once, "+itoa(bits)+" bits in all, small before large, so that a small hole beside a large one is drilled while the sheet is still whole.")
	}
	return strings.Join(s, " ")
}
