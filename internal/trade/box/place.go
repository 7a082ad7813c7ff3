package box

import (
	"fmt"
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// strip is a patch with directions along and across.
type strip struct {
	poly   []geom.Vec3
	o      geom.Vec3
	u, v   geom.Vec3
	length float64
}

func newStrip(p patch) strip {
	s := strip{poly: p.poly}
	for i, a := range p.poly {
		if e := p.poly[(i+1)%len(p.poly)].Sub(a); e.Len() > s.length {
			s.length, s.u = e.Len(), e.Unit()
		}
	}
	if s.u.X+s.u.Y+s.u.Z < 0 { // the same way for both of a pair
		s.u = s.u.Mul(-1)
	}
	s.v = p.dir.Cross(s.u)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, q := range p.poly {
		lo, hi = min(lo, q.Dot(s.u)), max(hi, q.Dot(s.u))
	}
	s.o = p.poly[0].Add(s.u.Mul(lo - p.poly[0].Dot(s.u)))
	s.length = hi - lo
	return s
}

// chord gives the middle of the patch at s along it, and how wide it is there.
func (s strip) chord(at float64) (mid geom.Vec3, width float64) {
	base := s.o.Add(s.u.Mul(at))
	lo, hi := math.Inf(1), math.Inf(-1)
	for i, a := range s.poly {
		b := s.poly[(i+1)%len(s.poly)]
		x, y := a.Sub(base).Dot(s.u), b.Sub(base).Dot(s.u)
		if x*y > 0 || x == y {
			continue
		}
		q := a.Add(b.Sub(a).Mul(x / (x - y))).Sub(base).Dot(s.v)
		lo, hi = min(lo, q), max(hi, q)
	}
	if !(hi > lo) {
		return base, 0
	}
	return base.Add(s.v.Mul((lo + hi) / 2)), hi - lo
}

// middle gives how far from the middle of the patch a screw runs along the middle of the board or batten that it enters: from mouth
// to tip as much of it on one side as on the other.
func (w *worker) middle(from, into *carcass.Board, s strip, dir geom.Vec3, size WoodScrew, at float64) (off float64, ok bool) {
	mid, width := s.chord(at)
	if width <= 0 {
		return 0, false
	}
	a := mid.Add(dir.Mul(1e-3))
	thick := leaves(from, mid.Sub(dir.Mul(1e-4)), dir.Mul(-1))
	want := w.biteWanted(into)
	deep := want
	for _, l := range size.Lengths {
		if deep = l - thick; deep >= want {
			break
		}
	}
	lo, hi := math.Inf(-1), math.Inf(1)
	for _, d := range []float64{0, min(deep, leaves(into, a, dir)) - 2e-3} {
		q := a.Add(dir.Mul(max(d, 0)))
		left, right := leaves(into, q, s.v.Mul(-1)), leaves(into, q, s.v)
		if left+right < size.Major {
			return 0, false
		}
		lo, hi = max(lo, -left), min(hi, right)
	}
	return (lo + hi) / 2, hi-lo > size.Major
}

// bestAcross looks where across the patch the screw goes: along the middle of the wood that it enters; where it would have too little
// round it there, or splits the board under its head, where it has most.
func (w *worker) bestAcross(from, into, wood *carcass.Board, s strip, dir geom.Vec3, size WoodScrew, at float64) float64 {
	mid, width := s.chord(at)
	if off, ok := w.middle(from, into, s, dir, size, at); ok {
		for k := range 80 { // the nearest to the middle that does
			o := off + 0.25*float64((k+1)/2)*float64(1-2*(k%2))
			if math.Abs(o) > width/2-size.Major/2 {
				continue
			}
			a := mid.Add(s.v.Mul(o))
			thick := leaves(from, a.Sub(dir.Mul(1e-4)), dir.Mul(-1))
			deep := min(w.biteWanted(into), leaves(wood, a.Add(dir.Mul(1e-4)), dir))
			if cover(wood, a, a.Add(dir.Mul(max(deep-1, 1))), size.Major/2) >= clamp(w.Limits.Value(limCover), 0, 50) && edgeRoom(from, a, dir, thick) >= 2*size.Major-1e-6 {
				return o
			}
		}
	}
	into = wood
	deep := min(w.biteWanted(into), leaves(into, mid.Add(dir.Mul(1e-4)), dir))
	best, off := math.Inf(-1), 0.0
	for k := range 17 {
		o := width * (float64((k+1)/2) * float64(1-2*(k%2))) / 18
		a := mid.Add(s.v.Mul(o))
		thick := leaves(from, a.Sub(dir.Mul(1e-4)), dir.Mul(-1))
		c := cover(into, a, a.Add(dir.Mul(max(deep-1, 1))), size.Major/2)
		if short := edgeRoom(from, a, dir, thick) - 2*size.Major; c < clamp(w.Limits.Value(limCover), 0, 50) {
			c -= 100 // wood round it comes first
		} else if short < 0 {
			c = short
		}
		if c > best+0.01 {
			best, off = c, o
		}
	}
	return off
}

// wood is what a screw into a board may run in: the board itself, and of a batten also what it is glued to.
func (w *worker) wood(b *carcass.Board) *carcass.Board {
	if b.Role.Shell() {
		return b
	}
	all := *b
	all.Parts = append([]*geom.Hull(nil), b.Parts...)
	for _, ct := range w.c.Contacts {
		if ct.Joint != carcass.Glued {
			continue
		}
		x, y := &w.c.Boards[ct.A], &w.c.Boards[ct.B]
		switch b {
		case x:
			all.Parts = append(all.Parts, y.Parts...)
		case y:
			all.Parts = append(all.Parts, x.Parts...)
		}
	}
	return &all
}

// biteWanted is how deep a screw should go into a board.
func (w *worker) biteWanted(b *carcass.Board) float64 {
	if b.Role.Shell() {
		return clamp(w.Limits.Value(limBite), 1, 200)
	}
	return clamp(w.Limits.Value(limBiteBatten), 1, 200)
}

// place tries one screw near s along the strip; why says what hinders it.
func (w *worker) place(r *Result, from, into, wood *carcass.Board, st strip, dir geom.Vec3, size WoodScrew, s, across, end float64) (sc Screw, why finding.Finding, ok bool) {
	var bad Screw
	for _, shift := range []float64{0, 6, -6, 12, -12, 20, -20, 30, -30} {
		at := s + shift
		if shift != 0 && (at < min(end, st.length/2)-tiny || at > st.length-min(end, st.length/2)+tiny) {
			continue
		}
		var f finding.Finding
		if sc, f, ok = w.tryAt(r, from, into, wood, st, dir, size, at, across); ok {
			return sc, f, true
		}
		if why.Head == "" || f.Severity > why.Severity {
			why, bad = f, sc
		}
		if f.Rule == ruleOut.Name && shift < 0 || f.Rule == ruleBite.Name {
			break // no better elsewhere along it
		}
	}
	return bad, why, false
}

func (w *worker) tryAt(r *Result, from, into, wood *carcass.Board, st strip, dir geom.Vec3, size WoodScrew, at, across float64) (sc Screw, why finding.Finding, ok bool) {
	mid, width := st.chord(at)
	if width < size.Major+1 {
		return sc, why, false
	}
	across = clamp(across, -width/2+size.Major/2, width/2-size.Major/2)
	p := mid.Add(st.v.Mul(across))
	thick := leaves(from, p.Sub(dir.Mul(1e-4)), dir.Mul(-1)) + 1e-4
	if thick < 0.5 {
		return sc, why, false
	}
	keep := clamp(w.Limits.Value(limCover), 0, 50)
	room := leaves(wood, p.Add(dir.Mul(1e-4)), dir)
	want := w.biteWanted(into)
	sc = Screw{Through: from.Name, Into: into.Name, At: p.Sub(dir.Mul(thick)), Dir: dir, Size: size, Head: 2 * size.Major}
	lengths := size.Lengths
	if w.Screws.Length > 0 {
		lengths = []float64{w.Screws.Length}
	}
	least, best := want, -1.0
	for _, l := range lengths {
		deep := l - thick
		if deep < 1 {
			continue
		}
		c := cover(wood, p, p.Add(dir.Mul(deep)), size.Major/2)
		if deep > room-keep+1e-9 {
			c = min(c, room-deep)
		}
		if c < keep-1e-6 {
			if best < 0 {
				sc.Length, sc.Deep, sc.Cover = l, deep, c // the best of the bad ones, for the finding
			}
			break
		}
		best = deep
		sc.Length, sc.Deep, sc.Cover = l, deep, c
		if deep >= least-1e-6 {
			break
		}
	}
	ends := []finding.End{w.end(into.Name), w.end(from.Name)}
	lean := math.Abs(dir.Dot(into.Frame.N))
	switch {
	case best < 0 && sc.Length == 0:
		return sc, finding.Finding{Rule: ruleBite.Name, Severity: finding.Warn, Head: fmt.Sprintf("No %s screw reaches through the %s into the %s.", size.Name, from.Name, into.Name),
			Body: "The board it goes through is too thick for it. Take longer screws, or glue alone.", Ends: ends,
			Measure: &finding.Measure{Have: 0, Want: want, Unit: "mm", Sense: finding.AtLeast}, Source: w.Limits.Source(limBite)}, false
	case best < 0 || best < want-1e-6 && lean > 0.02 && into.Role.Shell():
		have := &finding.Measure{Have: max(sc.Cover, -50), Want: keep, Unit: "mm", Sense: finding.AtLeast}
		if best >= 0 { // short ones stay inside, and hold nothing
			have = &finding.Measure{Have: best, Want: want, Unit: "mm", Sense: finding.AtLeast}
		}
		f := finding.Finding{Rule: ruleOut.Name, Severity: finding.Warn,
			Head: fmt.Sprintf("A screw through the %s would come out of the %s.", from.Name, into.Name),
			Body: "Glue that joint, and screw into a block or a cleat behind it.", Ends: ends,
			Measure: have,
			Why:     "A point that comes through spoils the face of the board, and a hand.", Source: w.Limits.Source(limCover), Fixes: w.cleatFix(from)}
		if !into.Role.Shell() {
			f.Body, f.Fixes = "Take thinner or shorter screws, or make that batten larger.", nil
		}
		return sc, f, false
	case best < want-1e-6:
		w.biting(from, into, best, want)
	}
	share := clamp(w.Limits.Value(limEdge), 0, 20)
	if w.Screws.Diameter > 0 {
		share = min(share, 1)
	}
	if edge, want := edgeRoom(from, p, dir, thick), max(share*size.Major, size.Major/2+0.5); edge < want-1e-6 {
		f := finding.Finding{
			Rule: ruleEdge.Name, Severity: finding.Note,
			Head: fmt.Sprintf("Screws through the %s into the %s stand near its edge.", from.Name, into.Name), Body: "Drill the full pilot and drive them gently.", Ends: ends,
			Measure: &finding.Measure{Have: edge, Want: want, Unit: "mm", Sense: finding.AtLeast}, Source: w.Limits.Source(limEdge),
		}
		if edge < 0.6*want {
			f.Severity, f.Head, f.Body = finding.Warn, fmt.Sprintf("A screw through the %s into the %s would stand too near its edge.", from.Name, into.Name), "It would split out. Glue that joint, or take a thinner screw."
			return sc, f, false
		}
		w.found = appendOnce(w.found, f)
	}
	if f, hit := w.throughOpening(&sc, from, into); hit {
		return sc, f, false
	}
	if f, hit := w.obstructed(r, &sc, from); hit {
		return sc, f, false
	}
	kind := w.material(into).Kind
	sc.Pilot = bitFor(w.Bits, Pilot(size, kind), 0.3, 0.3)
	sc.Shank = bitFor(w.Bits, Shank(size), 0.1*size.Major, 0.5)
	local := from.Frame.ToLocal(sc.At)
	sc.Seen, sc.Side = local.XY(), carcass.Outer
	if local.Z < -from.Thickness/2 {
		sc.Side = carcass.Inner
	}
	return sc, finding.Finding{}, true
}

// leanWords adds to a finding of a screw that comes out of a board that leans where it does so.
func (w *worker) leanWords(f *finding.Finding, sc Screw, from, into, wood *carcass.Board) {
	lean := math.Abs(sc.Dir.Dot(into.Frame.N))
	if f.Rule != ruleOut.Name || lean <= 0.02 {
		return
	}
	p := sc.At.Add(sc.Dir.Mul(sc.Length - sc.Deep))
	f.Body = fmt.Sprintf("The %s leans %s to it, and the screw goes in square to the %s: %s deep, and it is out. %s", into.Name, degrees(math.Asin(min(lean, 1))), from.Name, w.mm(w.outAt(wood, p, sc.Dir, sc.Size)), f.Body)
}

// outAt is how deep the screw is when it breaks through.
func (w *worker) outAt(into *carcass.Board, p, dir geom.Vec3, size WoodScrew) float64 {
	lo, hi := 0.0, 100.0
	for range 30 {
		m := (lo + hi) / 2
		if cover(into, p, p.Add(dir.Mul(m)), size.Major/2) > 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return lo
}

// cleatFix proposes what a screw could go into instead: cleats, or glue blocks; nothing when the box has them already.
func (w *worker) cleatFix(from *carcass.Board) []finding.Fix {
	switch b := w.c.Spec.Build; {
	case from.Role == carcass.RoleBase && b.BaseFit == carcass.Under:
		return []finding.Fix{{Say: "Let the base in on cleats", Short: "base-fit: let-in", Edits: []finding.Edit{{Op: finding.Set, Path: "box.base-fit", Value: "let-in"}}}}
	case from.Role != carcass.RoleBase && b.Blocks.Size == 0:
		return []finding.Fix{blocksFix()}
	}
	return nil
}

func appendOnce(fs []finding.Finding, f finding.Finding) []finding.Finding {
	for _, g := range fs {
		if g.Rule == f.Rule && len(g.Ends) > 1 && len(f.Ends) > 1 && g.Ends[0].Name == f.Ends[0].Name && g.Ends[1].Name == f.Ends[1].Name {
			return fs
		}
	}
	return append(fs, f)
}

// edgeRoom is the wood of the first board beside the screw, to its nearest edge, on both of its sides.
func edgeRoom(from *carcass.Board, p, dir geom.Vec3, thick float64) float64 {
	least := math.Inf(1)
	u := cross(dir)
	v := dir.Cross(u)
	for _, q := range [...]geom.Vec3{p.Sub(dir.Mul(1e-3)), p.Sub(dir.Mul(thick - 1e-3))} {
		for k := range 16 {
			a := float64(k) * math.Pi / 8
			least = min(least, leaves(from, q, u.Mul(math.Cos(a)).Add(v.Mul(math.Sin(a)))))
		}
	}
	return least
}

// obstructed looks whether the driver gets at the head and whether the screw meets another one.
func (w *worker) obstructed(r *Result, sc *Screw, from *carcass.Board) (finding.Finding, bool) {
	for i := range r.Screws {
		o := &r.Screws[i]
		if d := apart(sc.At, sc.Tip(), o.At, o.Tip()); d < (sc.Size.Major+o.Size.Major)/2+clamp(w.Limits.Value(limBetween), 0, 50) {
			return finding.Finding{Rule: ruleMeet.Name, Severity: finding.Note,
				Head: fmt.Sprintf("A screw of the %s would meet one of the %s.", sc.Through, o.Through), Ends: []finding.End{w.end(sc.Through), w.end(o.Through)},
				Measure: &finding.Measure{Have: d, Want: (sc.Size.Major+o.Size.Major)/2 + w.Limits.Value(limBetween), Unit: "mm", Sense: finding.AtLeast}}, true
		}
	}
	for _, o := range w.faceScrews() {
		if d, want := apart(sc.At, sc.Tip(), o.from, o.to), (sc.Size.Major+o.thick)/2+clamp(w.Limits.Value(limBetween), 0, 50); d < want {
			return finding.Finding{Rule: ruleMeet.Name, Severity: finding.Note,
				Head: fmt.Sprintf("A screw of the %s would meet %s of the face.", sc.Through, o.name), Ends: []finding.End{w.end(sc.Through), w.end(o.name)},
				Measure: &finding.Measure{Have: d, Want: want, Unit: "mm", Sense: finding.AtLeast}}, true
		}
	}
	long := w.Screws.Driver
	if long <= 0 {
		long = w.Limits.Value(limDriver)
	}
	zone := geom.NewCylinder(sc.At.Sub(sc.Dir.Mul(0.1)), sc.Dir.Mul(-1), 4, clamp(long, 10, 500))
	hit, depth := "", 0.0
	box := zone.Bounds()
	check := func(name string, c geom.Convex) {
		if c == nil || !c.Bounds().Overlaps(box) {
			return
		}
		if g := geom.Gap(zone, c).Gap; g < -0.05 && (hit == "" || g < depth) {
			hit, depth = name, g
		}
	}
	for i := range w.c.Boards {
		b := &w.c.Boards[i]
		if b == from {
			continue
		}
		for _, h := range b.Parts {
			check(b.Name, h)
		}
	}
	for _, b := range w.Bodies {
		check(b.Name, b.Solid)
	}
	if hit == "" {
		return finding.Finding{}, false
	}
	return finding.Finding{Rule: ruleDriver.Name, Severity: finding.Warn,
		Head: fmt.Sprintf("No screwdriver gets at a screw through the %s: the %s is in its way.", sc.Through, hit), Body: "Use a short driver or a bit in a right-angle holder, or move the screw.",
		Ends:    []finding.End{w.end(sc.Through), w.end(hit)},
		Measure: &finding.Measure{Have: depth, Want: 0, Unit: "mm", Sense: finding.AtLeast}, Source: w.Limits.Source(limDriver)}, true
}
