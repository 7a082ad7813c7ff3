package drilling

import (
	"math"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
)

// make finds the way for one opening.
func (w *work) make(y *way) {
	s := y.shape
	switch {
	case s.form == round:
		w.round(y)
		return
	case s.blind > 0:
		w.issues.cannot(w, y, "A hole of this shape cannot be made blind with a drill and a file.")
	case !w.p.Files:
		w.issues.cannot(w, y, "It is finished with a file, and your tools have none.")
	case s.form == notched:
		w.notch(y)
	case s.form == slot:
		w.slot(y)
	case s.form == rect:
		w.rect(y)
	default:
		w.flatted(y)
	}
	if len(y.ops) > 0 && s.form != notched {
		w.issues.filed(w, y)
	}
}

// notch makes a round hole and files the key notch into its edge.
func (w *work) notch(y *way) {
	s := y.shape
	w.round(y)
	if len(y.ops) == 0 {
		return
	}
	phrase := "file the key notch " + w.words.long(s.notch) + " wide " + s.side(90) + ", " + w.words.long(s.across) + " from its bottom to the opposite side"
	if last := &y.ops[len(y.ops)-1]; last.do == "file" {
		last.phrase += ", and " + phrase
	} else {
		last.last = false
		y.word += " + file"
		y.file(w, phrase, "A square needle file; the nose of the part is the gauge.")
	}
	w.issues.filed(w, y)
}

// flatted makes a double-D or single-D hole: the largest drilled circle that stays inside the line, the rest by file. A
// drill of the full diameter would take the flats away.
func (w *work) flatted(y *way) {
	s := y.shape
	mid, d := s.inscribed()
	most := w.lim(limFileShape, 0, 50)
	p, ok := w.pick(d+s.lo, d+s.hi, d, false, most)
	left := 0.0
	if ok {
		left = s.left(p.bit.Diameter)
	}
	if !ok || left > most+near {
		if s.form == doubleD && s.d-s.across > 1 && w.longHole(y, s.d, s.across) {
			return
		}
		switch {
		case w.ring(y):
		case ok:
			w.issues.cannot(w, y, "The largest drilled circle leaves "+w.words.long(left)+" to file out, more than is sensible.")
		default:
			w.issues.noWay(w, y, d+s.lo, d+s.hi, d)
		}
		return
	}
	y.ops, y.word, y.main = w.hole(s.spot(mid.X, mid.Y), p, 0), word(p.bit)+" + file", p.bit
	if p.both {
		w.issues.stepThick(w, y, p.bit)
	}
	to := w.words.longWindow(s.d+s.lo, s.d+s.hi)
	flat := w.words.longWindow(s.across+s.lo, s.across+s.hi)
	var phrase string
	switch {
	case s.form == doubleD && p.file == 0:
		phrase = "file out the two round sides by " + w.words.long(left) + " until it measures " + to + "; the drill has made the flats, " + flat + " apart"
	case s.form == doubleD:
		phrase = "file the flats to " + flat + " apart and the two round sides out by " + w.words.long(left) + " until it measures " + to
	case p.file == 0:
		phrase = "leave the flat " + s.side(90) + " as drilled and file out the round by up to " + w.words.long(left) + " until it measures " + to
	default:
		phrase = "file the flat " + s.side(90) + " and the round by up to " + w.words.long(left) + " until it measures " + to + " and " + flat + " across the flat"
	}
	more := "Half-round file; try the part early."
	if mid.Len() > 0 {
		more = "The drilled hole is " + w.words.long(mid.Len()) + " off the middle of the opening, away from the flat. " + more
	}
	y.file(w, phrase, more)
}

// slot makes a straight slot with round ends.
func (w *work) slot(y *way) {
	s := y.shape
	if !w.longHole(y, s.w, s.h) {
		w.issues.noWay(w, y, s.h+s.lo, s.h+s.hi, s.h)
	}
}

// longHole makes an opening of length l along x and width h with round ends: a hole at each end, chained or sawn
// between, filed straight.
func (w *work) longHole(y *way, l, h float64) bool {
	s := y.shape
	gap := l - h // between the middles of the end holes
	p, ok := w.pick(h+s.lo, h+s.hi, h, false, w.lim(limFileMost, 0, 20))
	if !ok {
		return w.narrow(y, l, h) || w.stadium(y, l, h)
	}
	d := p.bit.Diameter
	if p.both {
		w.issues.stepThick(w, y, p.bit)
	}
	y.main, y.word = p.bit, word(p.bit)+" + file"
	to := w.measures(y, l, h)
	if gap < d+w.web(d)/2 { // end holes would run into each other
		if gap/2 > w.lim(limFileShape, 0, 50) {
			return w.narrow(y, l, h) || w.stadium(y, l, h)
		}
		y.ops = w.hole(s.spot(0, 0), p, 0)
		y.file(w, "file it long by "+w.words.long(gap/2)+" at each end"+to, "")
		return true
	}
	// Where the drill may wander farther than the slot may grow, the holes between are smaller than the ends.
	inner := p.bit
	if spare := w.p.Wander - s.hi/2; spare > near {
		if b, ok := w.bits.closest(w.drills(), 1, d-2*spare, d); ok {
			inner = b
		}
	}
	small := d <= 6
	n := max(1, int((gap+near)/(d+w.web(d))))
	pts := make([]geom.Vec2, n-1)
	for i := range pts {
		pts[i].X = -gap/2 + gap*float64(i+1)/float64(n)
	}
	if small && inner == p.bit {
		y.chain(w, inner, append([]geom.Vec2{{X: -gap / 2}, {X: gap / 2}}, pts...), "on the middle line, the two end holes first")
		y.file(w, "file the webs away and the sides straight"+to, "")
		return true
	}
	for _, x := range [2]float64{-gap / 2, gap / 2} {
		y.ops = append(y.ops, sameWords(w.hole(s.spot(x, 0), p, 0), " at each end")...)
	}
	switch {
	case small:
		y.chain(w, inner, pts, "between them on the middle line")
		y.file(w, "file the webs away and the sides straight"+to, "")
	case 2*(l+h) > w.lim(limChainLongest, 0, 5000):
		y.coping(w, "saw from end hole to end hole")
		y.file(w, "file the sides straight"+to, "")
	default:
		if b, ok := w.chainBit((h - 2*w.leave())); ok {
			y.chain(w, b, w.rows(gap, d, h, b), w.insideLine())
		}
		y.file(w, "file the sides straight"+to, "")
	}
	return true
}

// measures says when the filing of a long hole is done.
func (w *work) measures(y *way, l, h float64) string {
	return " until it measures " + w.words.longWindow(h+y.shape.lo, h+y.shape.hi) + " by " + w.words.long(l)
}

// sameWords marks operations that come at several places of one opening.
func sameWords(ops []op, where string) []op {
	for i := range ops {
		ops[i].phrase += where
	}
	return ops
}

// rows places chain holes of bit b between two holes of diameter d whose middles are gap apart along x, in two rows along the
// sides of an opening of width h, or in one in the middle when two do not go in.
func (w *work) rows(gap, d, h float64, b catalog.Bit) (pts []geom.Vec2) {
	y := h/2 - w.leave() - b.Diameter/2
	xs := between(gap, (d+b.Diameter)/2+w.web(b.Diameter), b.Diameter+w.web(b.Diameter))
	if y < 0 {
		return nil
	}
	if 2*y < b.Diameter+w.web(b.Diameter)/2 {
		for _, x := range xs {
			pts = append(pts, geom.Vec2{X: x})
		}
		return pts
	}
	for _, x := range xs {
		pts = append(pts, geom.Vec2{X: x, Y: y})
	}
	for i := len(xs) - 1; i >= 0; i-- {
		pts = append(pts, geom.Vec2{X: xs[i], Y: -y})
	}
	return pts
}

// between places points evenly on -gap/2..gap/2, at least clear from both ends and step from each other.
func between(gap, clear, step float64) []float64 {
	span := gap - 2*clear
	if span < -near || !(step > 0) || span/step > 10000 {
		return nil
	}
	n := int((max(span, 0) + near) / step)
	if n == 0 {
		return []float64{0}
	}
	xs := make([]float64, n+1)
	for i := range xs {
		xs[i] = -span/2 + span*float64(i)/float64(n)
	}
	return xs
}

// narrow makes a long opening too slim for two rows with one row of the largest bit that goes in.
func (w *work) narrow(y *way, l, h float64) bool {
	s := y.shape
	leave := min(w.leave(), h/6)
	b, ok := w.bits.closest(w.drills(), 0.5, min(h-2*leave, 6), h)
	if !ok {
		b, ok = w.bits.closest(w.drills(), 0.5, min(h+s.hi, 6), h)
	}
	if !ok || (h-b.Diameter)/2 > w.lim(limFileShape, 0, 50)/2 {
		return false
	}
	y.ops = nil
	leave = max(0, (h-b.Diameter)/2)
	end := l/2 - leave - b.Diameter/2
	n := int((2*end + near) / (b.Diameter + w.web(b.Diameter)))
	if end < 0 || n > 10000 {
		return false
	}
	pts := []geom.Vec2{{X: -end}}
	for i := 1; i <= n; i++ {
		pts = append(pts, geom.Vec2{X: -end + 2*end*float64(i)/float64(n)})
	}
	if n == 0 {
		pts[0].X = 0
	}
	y.chain(w, b, pts, "on the middle line, end to end")
	y.main, y.word = b, "chain "+inSet(b)
	y.file(w, "file the webs away and the sides straight"+w.measures(y, l, h), "")
	return true
}

// stadium chain-drills round a wide slot, inside the line.
func (w *work) stadium(y *way, l, h float64) bool {
	b, ok := w.chainBit((h - 2*w.leave()) / 2)
	if !ok {
		return false
	}
	r := h/2 - w.leave() - b.Diameter/2
	if r <= b.Diameter/2 {
		return false
	}
	y.ops = nil
	const n = 90
	var line []geom.Vec2
	for i := range 2*n + 2 {
		k, c := i, (l-h)/2
		if i > n {
			k, c = i-1, -c
		}
		sin, cos := math.Sincos(math.Pi*float64(k)/n - math.Pi/2)
		line = append(line, geom.Vec2{X: c + r*cos, Y: r * sin})
	}
	pts := along(line, b.Diameter+w.web(b.Diameter))
	if len(pts) < 4 {
		return false
	}
	y.chain(w, b, pts, w.insideLine())
	y.main, y.word = b, "chain "+inSet(b)
	y.file(w, "knock out the middle and file"+w.measures(y, l, h), "")
	return true
}

// coping adds a saw cut along the line.
func (y *way) coping(w *work, phrase string) {
	y.bySaw = true
	y.ops = append(y.ops, op{
		do: "saw", bit: theSaw, pts: []geom.Vec2{y.shape.spot(0, 0)}, phrase: phrase + " on the waste side, " + w.words.long(w.leave()) + " inside the line",
		more: "Thread the blade through a corner hole; a fretsaw or a jigsaw with a fine blade does as well.",
	})
}

// rect makes a rectangular opening: corner holes, chained or sawn between, filed to the line.
func (w *work) rect(y *way) {
	s := y.shape
	m := min(s.w, s.h)
	if s.corner >= m/2-0.05 && max(s.w, s.h)-m > 0.05 { // round at both ends: a slot
		if s.w < s.h {
			y.shape.w, y.shape.h = s.h, s.w
			y.shape.at.Turn += 90
		}
		w.slot(y)
		return
	}
	// Corner holes stand in from the line by what the drill may wander, so that none of them crosses it.
	in := min(w.leave(), max(w.p.Wander, 0))
	b, ok := w.cornerBit(s.corner, (m-2*in-w.web(2))/2)
	to := "file to the line, " + w.words.long(s.w) + " by " + w.words.long(s.h)
	if !ok {
		if !w.slimRect(y, to) {
			w.issues.noWay(w, y, m+s.lo, m+s.hi, m)
		}
		return
	}
	d := b.Diameter
	stand := in + d/2
	if s.corner > stand { // a smaller bit in a round corner: inside the round as well
		stand = s.corner - (s.corner-stand)/math.Sqrt2
	}
	cx, cy := s.w/2-stand, s.h/2-stand
	for _, q := range [4]geom.Vec2{{X: -cx, Y: cy}, {X: cx, Y: cy}, {X: cx, Y: -cy}, {X: -cx, Y: -cy}} {
		y.ops = append(y.ops, sameWords(w.hole(s.spot(q.X, q.Y), pick{bit: b}, 0), " in each corner")...)
	}
	y.main, y.word = b, "corners "+inSet(b)
	if 2*(s.w+s.h) > w.lim(limChainLongest, 0, 5000) {
		y.coping(w, "saw from corner hole to corner hole")
	} else if c, ok := w.chainBit(m - 2*w.leave()); ok {
		y.chain(w, c, w.frame(s, cx, cy, d, c), w.insideLine())
	}
	switch {
	case s.corner < 0.1:
		to += ", corners square"
	case d/2 < s.corner-0.05:
		to += ", corners up to " + w.words.long(s.corner) + " round"
	}
	y.file(w, to, "Try the part early; its rim hides little.")
}

// cornerBit chooses the bit for the corners: the largest whose radius the part still takes, or a small one when the corner is
// to be filed square.
func (w *work) cornerBit(radius, most float64) (catalog.Bit, bool) {
	if radius >= 0.75 {
		d := min(2*radius, most, w.lim(limTwistPlastic, 1, 100))
		if b, ok := w.bits.closest(w.drills(), 1.5, d, d); ok {
			return b, true
		}
	}
	return w.bits.closest(w.drills(), 1.5, min(4, most), 3)
}

// frame places chain holes of bit c along the four sides of a rectangle between corner holes of diameter d at (±cx, ±cy).
func (w *work) frame(s shape, cx, cy, d float64, c catalog.Bit) (pts []geom.Vec2) {
	clear, step := (d+c.Diameter)/2+w.web(c.Diameter), c.Diameter+w.web(c.Diameter)
	top, right := s.h/2-w.leave()-c.Diameter/2, s.w/2-w.leave()-c.Diameter/2
	// Rows and columns keep clear of the corner hole, and of each other where they meet.
	diagonal := step / math.Sqrt2
	xs := between(2*cx, max(clear, cx-right+diagonal), step)
	ys := between(2*cy, max(clear, cy-top+diagonal), step)
	if 2*top < step {
		top, ys = 0, nil
	}
	if 2*right < step {
		right, xs = 0, nil
	}
	for _, x := range xs {
		pts = append(pts, geom.Vec2{X: x, Y: top})
	}
	for i := len(ys) - 1; i >= 0; i-- {
		pts = append(pts, geom.Vec2{X: right, Y: ys[i]})
	}
	if top > 0 {
		for i := len(xs) - 1; i >= 0; i-- {
			pts = append(pts, geom.Vec2{X: xs[i], Y: -top})
		}
	}
	if right > 0 {
		for _, y := range ys {
			pts = append(pts, geom.Vec2{X: -right, Y: y})
		}
	}
	return pts
}

// slimRect makes a rectangle too slim for corner holes: one row of holes on its middle line.
func (w *work) slimRect(y *way, to string) bool {
	s := y.shape
	l, h := s.w, s.h
	if l < h {
		l, h = h, l
		y.shape.at.Turn += 90
	}
	if !w.narrow(y, l, h) {
		y.shape = s
		return false
	}
	last := &y.ops[len(y.ops)-1]
	last.phrase, last.more = "file the webs away and "+to+", corners square", ""
	return true
}
