package face

import (
	"math"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Check looks at a placed panel: what fingers meet in front, what is left of the sheet, what meets what behind, and whether
// each part can hold the stack. The findings name both ends and, where one exists, the least move that cures them; a move is
// offered only after everything round its new place was checked. Findings come in the order of the panel; the same panel gives
// the same findings. The work grows as n·log n with the number of controls.
func Check(p *panel.Panel) Result { return check(p, true) }

// Touch is Check without the arithmetic of each control's fit: its findings alone.
func Touch(p *panel.Panel) Result { return check(p, false) }

func check(p *panel.Panel, fits bool) Result {
	if p == nil {
		return Result{}
	}
	k := newChecker(p)
	hits := k.hits()
	var r Result
	if fits {
		r.Fits = k.fits()
	}
	said, rest := k.most(k.bundles(hits))
	cured := gravest(said, mostCured)
	for i := range said {
		r.Findings = append(r.Findings, k.finding(&said[i], cured[i]))
	}
	for i := range rest {
		r.Findings = append(r.Findings, k.more(&rest[i]))
	}
	for _, m := range k.own() {
		r.Findings = append(r.Findings, k.remark(&m))
	}
	finding.Sort(r.Findings)
	return r
}

// keptKey names the entries of keep: that are about just these items under this rule. What is kept on purpose is not lumped
// together with what is not.
func (k *checker) keptKey(rule string, of ...*item) string {
	key := ""
	for i := range k.p.Keeps {
		q := &k.p.Keeps[i]
		if q.Rule != rule || len(q.Of) == 0 {
			continue
		}
		all := true
		for _, n := range q.Of {
			found := false
			for _, x := range of {
				found = found || x.called(n)
			}
			all = all && found
		}
		if all {
			key += "," + count(i)
		}
	}
	return key
}

// called reports whether an item goes by a name.
func (x *item) called(n string) bool {
	o := x.origin
	return n == o.Path || n == o.Name || strings.EqualFold(n, o.Name) || x.ctl != nil && (n == x.ctl.Name || strings.EqualFold(n, x.ctl.Label))
}

// hits finds all that is wrong between two items or against the edge: the worst of each rule for each pair, without what
// follows from something graver.
func (k *checker) hits() []hit {
	var out, buf []hit
	for i := range k.items {
		buf = k.alone(buf[:0], &k.items[i], geom.Vec2{})
		out = keep(out, buf)
	}
	for i, j := range geom.Pairs(k.boxes, k.margin) {
		buf = k.pair(buf[:0], &k.items[i], geom.Vec2{}, &k.items[j])
		out = keep(out, buf)
	}
	return out
}

// keep takes over the hits of one pair: the worst of each rule, and none that another one implies or that is not worth a
// warning.
func keep(out, hits []hit) []hit {
	for i := range hits {
		h := &hits[i]
		if h.quiet || h.sev == finding.Warn && h.lack() < petty || implied(h, hits) {
			continue
		}
		best := true
		for j := range hits {
			g := &hits[j]
			if g.rule == h.rule && !g.quiet && (g.worse(h) || j < i && !h.worse(g)) {
				best = false
			}
		}
		if best {
			out = append(out, *h)
		}
	}
	return out
}

// implied reports whether h need not be said because a graver thing about the same two says it: parts that overlap in front
// have no finger room, bodies that overlap leave no place for nuts, nuts that meet leave none for tools.
func implied(h *hit, hits []hit) bool {
	for i := range hits {
		g := &hits[i]
		if g.sev != finding.Stop {
			continue
		}
		switch {
		case h.rule == &ruleNeighbours && g.rule == &ruleTouch,
			h.rule == &ruleNut && (g.rule == &ruleBodyBody || inBox(g.rule)),
			h.rule == &ruleTool && (g.rule == &ruleBodyBody || g.rule == &ruleNut || inBox(g.rule)),
			h.rule == &ruleOpening && g.rule == &ruleWeb && g.n1 < 0,
			h.rule == &ruleLegendOverlap && h.code == cHoleWords && g.rule == &ruleLegendHidden:
			return true
		}
	}
	return false
}

// inBox reports whether a rule is about bodies against something of the box.
func inBox(r *finding.Rule) bool {
	switch r {
	case &ruleBodyRib, &ruleBodyWall, &ruleBodyBlock, &ruleBodyLedge:
		return true
	}
	return false
}

// finding puts a bundle of hits into a finding; with cure a fix is looked for.
func (k *checker) finding(b *bundle, cure bool) finding.Finding {
	h := &b.hit
	s := k.say(b)
	f := finding.Finding{
		Rule: h.rule.Name, Severity: h.sev, Head: finding.Capital(s.head), Body: finding.Capital(s.body), Why: s.why, Source: s.source,
		Place: &finding.Place{X: tidy(h.at.X), Y: tidy(h.at.Y)}, Measure: atLeast(tidy(h.have), tidy(h.want)),
	}
	first := -1
	if fix, ok := k.spread(h); ok {
		f.Fixes = append(f.Fixes, fix)
	}
	if cure {
		if fix, n, ok := k.relabel(h); ok {
			f.Fixes = append(f.Fixes, fix)
			first = n
		}
	}
	if cure && b.pairs == 1 {
		if m, ok := k.cure(h); ok {
			both := h.b >= 0 && k.items[h.a].sort == control && k.items[h.b].sort == control
			if fix, can := k.moveFix(m, both); can {
				f.Fixes = append(f.Fixes, fix)
				if first < 0 {
					first = m.item
				}
			}
		}
	}
	if first >= 0 {
		f.Ends = append(f.Ends, k.end(&k.items[first]))
	}
	for _, n := range b.who {
		if n != first {
			f.Ends = append(f.Ends, k.end(&k.items[n]))
		}
	}
	if h.b < 0 {
		f.Ends = append(f.Ends, k.faceEnd())
	}
	if cure && len(f.Fixes) == 0 {
		if why := k.whyNot(b); why != "" {
			f.Body += " " + why
		}
	}
	return f
}

// whyNot says why there is no fix.
func (k *checker) whyNot(b *bundle) string {
	a := &k.items[b.a]
	switch {
	case b.pairs > 1 && b.b < 0:
		return "Set them farther in."
	case b.pairs > 1:
		return "A larger step for " + k.groupOf(&b.hit) + " brings new trouble, or has no place in the file: lay it out anew."
	case len(k.movers(&b.hit)) > 0:
		return "No single move of up to " + k.mm(farthest) + " cures it without new trouble."
	case a.ctl == nil:
		return ""
	case a.ctl.Pinned:
		return k.name(a) + " is pinned."
	case k.leading(b.a):
		return k.name(a) + " has a mirror image or a copy that would move with it."
	}
	return ""
}

// end gives an item as one end of a finding.
func (k *checker) end(x *item) finding.End {
	e := x.origin.End()
	e.Name = k.name(x)
	return e
}

func (k *checker) faceEnd() finding.End {
	e := k.p.Face.Origin.End()
	if e.Name == "" {
		e.Name = "the face"
	}
	return e
}

// remark puts a remark into a finding.
func (k *checker) remark(r *remark) finding.Finding {
	var ns []string
	for _, x := range r.who {
		ns = append(ns, k.name(x))
	}
	head, body := r.say(list(ns))
	f := finding.Finding{
		Rule: r.rule.Name, Severity: r.sev, Head: finding.Capital(head), Body: finding.Capital(body), Why: r.why, Source: r.source, Fixes: r.fixes,
	}
	for _, x := range r.who {
		f.Ends = append(f.Ends, k.end(x))
	}
	if r.at != nil {
		f.Place = &finding.Place{X: tidy(r.at.X), Y: tidy(r.at.Y)}
	}
	if m := r.measure; m != nil {
		f.Measure = &finding.Measure{Have: tidy(m.Have), Want: tidy(m.Want), WantMax: tidy(m.WantMax), Unit: m.Unit, Sense: m.Sense}
	}
	return f
}

// tidy rounds a length to a thousandth of a millimetre, so that what is written down does not end in noise.
func tidy(v float64) float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return 0
	}
	r := math.Round(v*1000) / 1000
	if r == 0 {
		return 0 // never -0
	}
	return r
}

// fits gives the arithmetic of every control.
func (k *checker) fits() []Fit {
	n := len(k.p.Controls)
	fs := make([]Fit, n)
	near, web := make([]float64, n), make([]float64, n)
	nearest := make([]int, n)
	for i := range n {
		fs[i] = k.fit(&k.items[i])
		near[i], web[i], nearest[i] = math.Inf(1), math.Inf(1), -1
		for c := range k.items[i].cuts {
			if k.known {
				m, _, _ := k.side(&k.items[i].cuts[c].shape, geom.Vec2{})
				web[i] = min(web[i], m)
			}
		}
	}
	for i, j := range geom.Pairs(k.boxes, k.margin) {
		a, b := &k.items[i], &k.items[j]
		g := k.webOf(a, b)
		if i < n {
			web[i] = min(web[i], g)
		}
		if j < n {
			web[j] = min(web[j], g)
		}
		if j < n { // both are controls
			g := frontGap(a, b)
			if g < near[i] {
				near[i], nearest[i] = g, j
			}
			if g < near[j] {
				near[j], nearest[j] = g, i
			}
		}
	}
	for i := range n {
		if nearest[i] < 0 {
			near[i], nearest[i] = k.farNeighbour(i, n)
		}
		if j := nearest[i]; j >= 0 {
			fs[i].Nearest, fs[i].NearestGap = k.p.Controls[j].Name, tidy(near[i])
		}
		fs[i].Web = tidy(web[i])
	}
	return fs
}

// webOf gives the sheet between the holes of two items on paper.
func (k *checker) webOf(a, b *item) float64 {
	g := math.Inf(1)
	for i := range a.cuts {
		for j := range b.cuts {
			if x, y := &a.cuts[i].shape, &b.cuts[j].shape; boxGap(x.box, y.box) < g {
				g = min(g, gap2(x, geom.Vec2{}, y).gap)
			}
		}
	}
	return g
}

// frontGap gives the room between two controls in front, at rest, as seen from the front.
func frontGap(a, b *item) float64 {
	g := math.Inf(1)
	for i := range a.rims {
		for j := range b.rims {
			if x, y := &a.rims[i], &b.rims[j]; boxGap(x.box, y.box) < g {
				g = min(g, gap2(x, geom.Vec2{}, y).gap)
			}
		}
	}
	return g
}

// boxGap is a lower bound on the gap of what two boxes hold, as long as they do not overlap.
func boxGap(a, b geom.Box2) float64 {
	dx := max(a.Min.X-b.Max.X, b.Min.X-a.Max.X)
	dy := max(a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y)
	if dx < 0 && dy < 0 {
		return math.Inf(-1)
	}
	return math.Hypot(max(dx, 0), max(dy, 0))
}

// farNeighbour finds the nearest neighbour in front of a control that has none within reach.
func (k *checker) farNeighbour(i, n int) (float64, int) {
	best, at := math.Inf(1), -1
	for j := range n {
		if j != i && boxGap(k.items[i].frontBox, k.items[j].frontBox) < best {
			if g := frontGap(&k.items[i], &k.items[j]); g < best {
				best, at = g, j
			}
		}
	}
	return best, at
}
