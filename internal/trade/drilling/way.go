package drilling

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// work is what is constant while one panel is planned.
type work struct {
	p      *panel.Panel
	stuff  stuff
	thick  float64
	bits   *drawer // only bits that may touch this sheet
	words  words
	pilot  catalog.Bit // the one pilot bit; Kind "" when none fits
	issues issues
}

func newWork(p *panel.Panel) *work {
	w := &work{p: p, stuff: stuffOf(p.Stack.Sheet.Kind), thick: thickness(p), words: words{inch: p.Units == "in"}}
	var ours []catalog.Bit
	for _, b := range p.Bits {
		if w.usable(b) {
			ours = append(ours, b)
		}
	}
	w.bits = newDrawer(ours)
	want := w.lim(limPilot, 0.5, 10)
	small := w.drills()
	b, ok := w.bits.closest(small, want-1, want+0.2, want)
	if !ok {
		b, ok = w.bits.closest(small, want/2, want*4/3, want)
	}
	if ok {
		w.pilot = b
	}
	return w
}

func (w *work) lim(l finding.Limit, lo, hi float64) float64 { return limit(w.p.Limits, l, lo, hi) }

// drills are the kinds of plain drill bit that may touch this sheet.
func (w *work) drills() []catalog.BitKind {
	if w.stuff == metal {
		return []catalog.BitKind{catalog.Twist}
	}
	return []catalog.BitKind{catalog.Twist, catalog.BradPoint}
}

// op is one operation before it has a number.
type op struct {
	do     string
	bit    catalog.Bit
	pts    []geom.Vec2 // on the face; more than one only for a chain
	depth  float64
	back   bool // from the back of the sheet
	both   bool // from both faces
	last   bool // the opening has its size after it
	phrase string
	more   string // a sentence that follows the phrase
}

func (o op) say() string {
	s := finding.Capital(o.phrase) + "."
	if o.more != "" {
		s += " " + o.more
	}
	return s
}

// way is how one opening is made.
type way struct {
	cut   *panel.Cut
	shape shape
	ops   []op
	word  string      // biggest word at the hole
	main  catalog.Bit // the bit that decides; Kind "" when the opening cannot be made
	filed bool        // its line is filed
	bySaw bool
	lead  string // instead of ops: why there is no way
}

// arrange puts the operations into the order in which the bits will come.
func (y *way) arrange(w *work) {
	slices.SortStableFunc(y.ops, func(a, b op) int {
		return cmp.Or(cmp.Compare(w.phase(a.bit), w.phase(b.bit)), cmp.Compare(a.bit.Diameter, b.bit.Diameter))
	})
}

// how is the whole way in one sentence.
func (y *way) how() string {
	if len(y.ops) == 0 {
		return y.lead
	}
	var parts []string
	seen := ""
	for _, o := range y.ops {
		if o.phrase != seen { // four corner holes are one phrase
			parts = append(parts, o.phrase)
		}
		seen = o.phrase
	}
	s := parts[0]
	if n := len(parts); n > 1 {
		s = strings.Join(parts[:n-1], ", ") + ", then " + parts[n-1]
	}
	return finding.Capital(s) + "."
}

// pick is a bit chosen for a round hole.
type pick struct {
	bit  catalog.Bit
	both bool    // step drill, from both faces
	file float64 // left to file, on the radius; 0 when the bit makes the size
}

// stepFits says whether a step drill can make a straight hole in this sheet, and whether only from both faces.
func (w *work) stepFits(b catalog.Bit) (ok, both bool) {
	h := w.stepHeight(b)
	return w.thick <= 2*h+near, w.thick > h+near
}

func (w *work) stepHeight(b catalog.Bit) float64 {
	if b.StepHeight > 0 {
		return b.StepHeight
	}
	return w.lim(limStepHeight, 0.1, 50)
}

// pick chooses the bit for a hole of lo..hi, aimed at aim: the best kind that has a bit inside, step drills from one face
// before anything that needs two; then the bit below lo that leaves least to file, at most under on the radius.
func (w *work) pick(lo, hi, aim float64, blind bool, under float64) (pick, bool) {
	type scored struct {
		pick
		class int
	}
	var best scored
	found := false
	better := func(c scored) bool {
		if !found || c.class != best.class {
			return !found || c.class < best.class
		}
		return c.file < best.file-0.05
	}
	for _, k := range w.order(aim) {
		if blind && !blindKind(k) {
			continue
		}
		b, ok := w.bits.nearest(k, lo, hi, aim)
		file := 0.0
		if !ok {
			if b, ok = w.bits.below(k, lo-2*near); !ok || under <= 0 {
				continue
			}
			if (lo-b.Diameter)/2 > under+near { // what must go, at the least
				continue
			}
			file = (aim - b.Diameter) / 2
		}
		c := scored{pick: pick{bit: b, file: file}}
		if k == catalog.Step {
			fits, both := w.stepFits(b)
			if !fits {
				continue
			}
			if c.both = both; both {
				c.class = 1
			}
		}
		if file > 0 {
			c.class += 2
		}
		if better(c) {
			best, found = c, true
		}
	}
	return best.pick, found
}

// blindKind reports whether a kind of bit can stop inside the sheet and leave a hole of its size.
func blindKind(k catalog.BitKind) bool {
	return k == catalog.Twist || k == catalog.BradPoint || k == catalog.Forstner
}

// hole gives the operations that drill one round hole at a point of the face: pilot, a bit in between, the hole itself.
func (w *work) hole(at geom.Vec2, p pick, depth float64) []op {
	pts := []geom.Vec2{at}
	d, kind := p.bit.Diameter, p.bit.Kind
	back := depth > 0
	var ops []op
	if piloted := kind == catalog.Twist || kind == catalog.Step || kind == catalog.HoleSaw; piloted && d > w.lim(limPilotAbove, 0, 100)+near && !back {
		if w.pilot.Kind == "" {
			w.issues.noPilot(w)
		} else if w.pilot.Diameter < d-near {
			ops = append(ops, op{do: "pilot", bit: w.pilot, pts: pts, phrase: "pilot " + marked(w.pilot)})
			if w.stuff == metal && kind == catalog.Twist && d > w.lim(limStepUp, 1, 100)+near {
				if b, ok := w.bits.nearest(catalog.Twist, max(0.4*d, w.pilot.Diameter+1), 0.8*d, 0.6*d); ok {
					ops = append(ops, op{do: "drill", bit: b, pts: pts, phrase: "open to " + marked(b)})
				}
			}
		}
	}
	o := op{bit: p.bit, pts: pts, depth: depth, back: back, both: p.both}
	switch kind {
	case catalog.Step:
		o.do, o.phrase = "step", "open to "+marked(p.bit)+" on the step drill"
		if p.both {
			o.phrase += ", from both faces"
			o.more = "Drill until the " + marked(p.bit) + " step is in as deep as it is high, turn the sheet over and let the same step meet it."
		} else {
			o.more = "Stop as soon as the edge of that step is through."
		}
	case catalog.HoleSaw:
		o.do, o.phrase = "saw", "cut with the "+called(p.bit)
		if w.stuff == wood {
			o.more = "Stop when its pilot shows behind and finish from the other face."
		}
	case catalog.Forstner, catalog.Spade:
		o.do, o.phrase = "bore", "bore with the "+called(p.bit)
		if w.stuff == wood && !back {
			o.more = "Stop when the point shows behind and finish from the other face."
		}
	default:
		o.do, o.phrase = "drill", "drill "+marked(p.bit)
	}
	if back {
		o.phrase += ", from the back, " + w.words.long(depth) + " deep"
		o.more = "Set a stop or wrap tape round the bit, and count from the corner of the bit, not from its tip."
	}
	return append(ops, o)
}

// round makes a plain round hole; what is the line to file to when the drill falls short.
func (w *work) round(y *way) {
	s := y.shape
	lo, hi := s.d+s.lo, s.d+s.hi
	under := 0.0
	if w.p.Files && s.blind == 0 {
		under = w.lim(limFileMost, 0, 20)
	}
	p, ok := w.pick(lo, hi, s.d, s.blind > 0, under)
	if over := w.lim(limClearOver, 0, 5); (!ok || p.file > 0) && s.blind == 0 && s.form == round && clearance(y.cut) {
		// a screw or a tab is as well served by a hole a little large, under its head
		if q, free := w.pick(hi, hi+over, hi, false, 0); free {
			p, ok = q, true
		}
	}
	mid := s.spot(0, 0)
	switch {
	case ok && p.file == 0:
		y.ops, y.word, y.main = w.hole(mid, p, s.blind), word(p.bit), p.bit
		y.ops[len(y.ops)-1].last = true
	case ok:
		y.ops, y.word, y.main = w.hole(mid, p, 0), word(p.bit)+" + file", p.bit
		phrase := "file " + w.words.long(p.file) + " all round"
		if p.file < 0.08 {
			phrase = "ease it with the file"
		}
		y.file(w, phrase+", until it measures "+w.words.longWindow(lo, hi), "Try the part early and often.")
		w.issues.noBit(w, y, lo, hi, p)
	default:
		if w.p.Files && s.blind == 0 && w.ring(y) {
			w.issues.noBit(w, y, lo, hi, pick{bit: y.main})
			return
		}
		w.issues.noWay(w, y, lo, hi, s.d)
	}
	if ok && p.both {
		w.issues.stepThick(w, y, p.bit)
	}
	if ok && s.blind > 0 {
		w.issues.blind(w, y, p.bit)
	}
}

// file adds the last operation: the file.
func (y *way) file(w *work, phrase, more string) {
	y.filed = true
	y.ops = append(y.ops, op{do: "file", bit: theFile, pts: []geom.Vec2{y.shape.spot(0, 0)}, phrase: phrase, more: more, last: true})
}

// chainBit is the bit for chains: near 4 mm, at most most.
func (w *work) chainBit(most float64) (catalog.Bit, bool) {
	return w.bits.closest(w.drills(), 1.5, min(5, most), 4)
}

// web is the sheet left between the holes of a chain of diameter d.
func (w *work) web(d float64) float64 { return min(w.lim(limChainWeb, 0.1, 20), d/2) }

func (w *work) leave() float64 { return w.lim(limFileLeave, 0, 10) }

// chain adds a chain of holes, given in the opening's own frame.
func (y *way) chain(w *work, b catalog.Bit, pts []geom.Vec2, what string) {
	if len(pts) == 0 {
		return
	}
	o := op{do: "chain", bit: b, phrase: "chain-drill " + itoa(len(pts)) + " holes of " + marked(b) + " " + what}
	if len(pts) == 1 {
		o.phrase = "drill one hole of " + marked(b) + " " + what
	}
	for _, q := range pts {
		o.pts = append(o.pts, y.shape.spot(q.X, q.Y))
	}
	y.ops = append(y.ops, o)
}

// ring chain-drills round a circle or a flatted hole, inside the line.
func (w *work) ring(y *way) bool {
	s := y.shape
	b, ok := w.chainBit(s.d / 3)
	if !ok {
		return false
	}
	r := s.d/2 - w.leave() - b.Diameter/2
	if r < b.Diameter*0.9 {
		return false
	}
	top, bottom := math.Inf(1), math.Inf(-1)
	in := w.leave() + b.Diameter/2
	switch s.form {
	case singleD:
		top = s.across - s.d/2 - in
	case doubleD:
		top, bottom = s.across/2-in, -s.across/2+in
	}
	if top-bottom < 2*b.Diameter || top < b.Diameter {
		return false
	}
	const n = 360
	var line []geom.Vec2
	for i := range n {
		sin, cos := math.Sincos(float64(i) * 2 * math.Pi / n)
		line = append(line, geom.Vec2{X: r * cos, Y: min(max(r*sin, bottom), top)})
	}
	pts := along(line, b.Diameter+w.web(b.Diameter))
	if len(pts) < 5 {
		return false
	}
	y.chain(w, b, pts, w.insideLine())
	y.word, y.main = "chain "+inSet(b), b
	y.file(w, "knock out the middle and file until it measures "+w.words.longWindow(s.d+s.lo, s.d+s.hi), "Try the part early and often.")
	return true
}

func (w *work) insideLine() string {
	if l := w.leave(); l > 0 {
		return "inside the line, leaving " + w.words.long(l) + " for the file"
	}
	return "inside the line"
}

// along places points on a closed line, evenly, at least step apart along it.
func along(line []geom.Vec2, step float64) []geom.Vec2 {
	total := 0.0
	for i, p := range line {
		total += line[(i+1)%len(line)].Sub(p).Len()
	}
	n := int(total / step)
	if n < 1 || n > 10000 {
		return nil
	}
	step = total / float64(n)
	var pts []geom.Vec2
	next, walked := 0.0, 0.0
	for i, p := range line {
		q := line[(i+1)%len(line)]
		l := q.Sub(p).Len()
		for len(pts) < n && next <= walked+l && l > 0 {
			pts = append(pts, p.Add(q.Sub(p).Mul((next-walked)/l)))
			next = float64(len(pts)) * step
		}
		walked += l
	}
	return pts
}
