package drilling

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/trust"
)

// issues gathers findings; the same thing said of several openings becomes one finding with several ends.
type issues struct {
	list []*issue
	by   map[string]*issue
}

type issue struct {
	rule finding.Rule
	cuts []*panel.Cut
	say  func(names string, n int) finding.Finding
}

func (is *issues) add(r finding.Rule, key string, c *panel.Cut, say func(names string, n int) finding.Finding) {
	key = r.Name + "\x00" + key
	if is.by == nil {
		is.by = map[string]*issue{}
	}
	it := is.by[key]
	if it == nil {
		it = &issue{rule: r, say: say}
		is.by[key] = it
		is.list = append(is.list, it)
	}
	if c != nil {
		it.cuts = append(it.cuts, c)
	}
}

// findings writes the issues out.
func (is *issues) findings() []finding.Finding {
	var fs []finding.Finding
	for _, it := range is.list {
		var names []string
		var ends []finding.End
		for _, c := range it.cuts {
			n := nameOf(c)
			names = append(names, n)
			e := c.Origin.End()
			if c.Owner != nil && e.Pos.Line == 0 {
				e = c.Owner.Origin.End()
			}
			e.Name = n
			ends = append(ends, e)
		}
		who := list(names)
		if n := sameKind(it.cuts); n != "" {
			who = n
		}
		f := it.say(who, len(names))
		f.Head = finding.Capital(f.Head)
		f.Rule = it.rule.Name
		if f.Severity == finding.Note {
			f.Severity = it.rule.Severity
		}
		if ends != nil {
			f.Ends = ends
		}
		if len(it.cuts) > 0 && finite(it.cuts[0].At) {
			f.Place = &finding.Place{X: it.cuts[0].At.X, Y: it.cuts[0].At.Y}
		}
		fs = append(fs, f)
	}
	finding.Sort(fs)
	return fs
}

// sameKind names several screws of the face together, "" for anything else: nobody knows them by number.
func sameKind(cuts []*panel.Cut) string {
	if len(cuts) < 2 {
		return ""
	}
	for _, c := range cuts {
		if c.Owner != nil || c.What != "fixing" {
			return ""
		}
	}
	return itoa(len(cuts)) + " fixings of the face"
}

func finite(p panel.Pt) bool { return !math.IsNaN(p.X-p.X) && !math.IsNaN(p.Y-p.Y) }

// sizeRuler is the have/want ruler of a size.
func sizeRuler(have, lo, hi float64) *finding.Measure {
	return &finding.Measure{Have: round2(have), Want: round2(lo), WantMax: round2(hi), Unit: "mm", Sense: finding.Between}
}

// round2 keeps three decimals, so that rulers do not show the dust of floating point.
func round2(v float64) float64 { return math.Round(v*1000) / 1000 }

func key(vs ...float64) string {
	var b strings.Builder
	for _, v := range vs {
		b.WriteString(strconv.FormatFloat(v, 'f', 4, 64))
		b.WriteByte(' ')
	}
	return b.String()
}

func (is *issues) noWay(w *work, y *way, lo, hi, aim float64) {
	y.ops, y.main = nil, catalog.Bit{}
	buy, ok := w.buy(lo, hi, aim)
	less, left, canFile := w.buyUnder(lo, aim)
	canFile = canFile && w.p.Files && y.shape.blind == 0
	lead := "buy or borrow a " + buy
	switch {
	case !ok && canFile:
		lead = "buy or borrow a " + less + " and file the last " + w.words.long(left)
	case !ok:
		lead = "no common bit does, so take another way, such as a file, a reamer or a hole cutter"
	case y.shape.form != round && y.shape.form != notched:
		lead += " or a smaller one"
	}
	y.word, y.lead = "no bit", "Nothing you own makes "+w.words.longWindow(lo, hi)+": "+lead+"."
	is.add(ruleNoWay, key(lo, hi), y.cut, func(names string, n int) finding.Finding {
		f := finding.Finding{
			Head:   names + " " + verb(n, "wants", "want") + " " + w.words.longWindow(lo, hi) + "; nothing you own makes it.",
			Body:   w.tooThick(lo, hi, aim) + finding.Capital(lead) + ".",
			Why:    "A hole too small does not take the part, one too large lets it turn or fall through.",
			Source: w.p.Limits.Source(limFileMost),
		}
		if o := y.cut.Spec.Optional; o != "" {
			f.Severity = finding.Warn
			f.Body += doWithout(o)
		}
		if b, ok := w.nearestOwned(aim, y.shape.blind > 0); ok && (b.Diameter < lo-near || b.Diameter > hi+near) {
			f.Body = "Nearest in your drawer: " + called(b) + ". " + f.Body
			f.Measure = sizeRuler(b.Diameter, lo, hi)
		}
		return f
	})
}

// cannot says that there is no way for a reason other than size.
func (is *issues) cannot(w *work, y *way, why string) {
	y.ops, y.main, y.word, y.lead = nil, catalog.Bit{}, "no way", why
	is.add(ruleNoWay, why, y.cut, func(names string, n int) finding.Finding {
		return finding.Finding{Head: names + " cannot be made with these tools.", Body: why}
	})
}

func (is *issues) noBit(w *work, y *way, lo, hi float64, p pick) {
	aim := y.shape.d
	how := "The plan chain-drills round the line and files to it."
	if p.file > 0 {
		how = "The plan makes " + marked(p.bit) + " and files " + w.words.long(p.file) + " all round."
	}
	r, cure := ruleNoBit, "No common bit does either."
	if buy, ok := w.buy(lo, hi, aim); ok {
		cure = "A " + buy + " would do it at once."
	} else if less, left, ok := w.buyUnder(lo, aim); ok && p.file == 0 {
		cure = "A " + less + " would leave only " + w.words.long(left) + " to file."
	} else {
		r.Severity = finding.Note // nothing to be done about it
	}
	is.add(r, key(lo, hi), y.cut, func(names string, n int) finding.Finding {
		f := finding.Finding{
			Head:   names + " " + verb(n, "wants", "want") + " " + w.words.longWindow(lo, hi) + "; no bit you own makes that here.",
			Body:   w.tooThick(lo, hi, aim) + how + " " + cure,
			Why:    "Filing a round hole evenly takes time and trial.",
			Source: w.p.Limits.Source(limFileMost),
		}
		if b, ok := w.nearestOwned(aim, false); ok {
			f.Measure = sizeRuler(b.Diameter, lo, hi)
		}
		if p.file > 0 { // the bit that the plan uses, not one that is nearer and too large
			f.Measure = sizeRuler(p.bit.Diameter, lo, hi)
		}
		return f
	})
}

func (is *issues) filed(w *work, y *way) {
	y.arrange(w)
	how := y.how()
	is.add(ruleFile, how, y.cut, func(names string, n int) finding.Finding {
		return finding.Finding{
			Head: names + " " + verb(n, "is", "are") + " filed to shape.", Body: how,
			Why: "A drill makes round holes only.", Source: w.p.Limits.Source(limFileLeave),
		}
	})
}

func (is *issues) stepThick(w *work, y *way, b catalog.Bit) {
	h := w.stepHeight(b)
	is.add(ruleStepThick, key(w.thick, h), y.cut, func(names string, n int) finding.Finding {
		return finding.Finding{
			Head:    "The sheet is " + w.words.long(w.thick) + " thick and one step of your step drill is " + w.words.long(h) + " high.",
			Body:    "Drill " + names + " as deep as one step, turn the sheet over and finish from the other face; straight through leaves a shoulder.",
			Measure: &finding.Measure{Have: round2(w.thick), Want: round2(h), Unit: "mm", Sense: finding.AtMost},
			Why:     "The next step begins to cut before the wanted one is through.",
			Source:  w.p.Limits.Source(limStepHeight),
		}
	})
}

func (is *issues) tooTight(w *work, y *way) {
	lo, hi := y.shape.d+y.shape.lo, y.shape.d+y.shape.hi
	lim, tool := w.holdLimit(), "a hand drill"
	if w.p.Press {
		tool = "a drill press"
	}
	hold := w.hold()
	if hi-lo >= hold-near {
		return
	}
	is.add(ruleTooTight, key(lo, hi), y.cut, func(names string, n int) finding.Finding {
		room := verb(n, "has ", "have ") + w.words.long(hi-lo) + " of room"
		if hi-lo < 0.005 {
			room = verb(n, "has", "have") + " no room"
		}
		return finding.Finding{
			Head:    names + " " + room + " in size; " + tool + " holds " + w.words.long(hold) + ".",
			Body:    "Drill one in scrap and measure it before you drill the face.",
			Measure: &finding.Measure{Have: round2(hi - lo), Want: hold, Unit: "mm", Sense: finding.AtLeast},
			Why:     "Bits cut a little over their name.",
			Source:  w.p.Limits.Source(lim),
		}
	})
}

// pattern looks at the screw holes of one control: they must meet the part.
func (is *issues) pattern(w *work, c *panel.Control) {
	screws := 0
	room := math.Inf(1)
	var worst *panel.Cut
	for _, cut := range c.Cuts {
		d, ok := screwSize(cut.Spec.Screw)
		if !ok {
			continue
		}
		screws++
		if r := (cut.FinishedMax - d) / 2; r < room {
			room, worst = r, cut
		}
	}
	// A screw hole drifts one way, the hole it must agree with the other way.
	if wander := w.p.Wander; screws == 0 || len(c.Cuts) < 2 || !(wander > 0) || room >= wander-near {
		return
	}
	is.add(rulePattern, worst.Spec.Screw+key(room), worst, func(names string, n int) finding.Finding {
		return finding.Finding{
			Head:    names + ": the screw has " + w.words.long(max(room, 0)) + " of room round it; a hole may land " + w.words.long(w.p.Wander) + " off its mark.",
			Body:    "Make the main hole, hang the part in it, and mark the screw holes through the part.",
			Measure: &finding.Measure{Have: round2(max(room, 0)), Want: round2(w.p.Wander), Unit: "mm", Sense: finding.AtLeast},
			Why:     "The screw holes must lie as far apart as on the part.",
			Source:  w.wanderSource(),
		}
	})
}

// screwSize reads "M3" or "M2.5".
func screwSize(s string) (float64, bool) {
	s, ok := strings.CutPrefix(s, "M")
	if !ok {
		return 0, false
	}
	d, err := strconv.ParseFloat(s, 64)
	return d, err == nil && sane(d)
}

func (is *issues) noPilot(w *work) {
	is.add(rulePilot, "none", nil, func(string, int) finding.Finding {
		return finding.Finding{
			Head:   "You own no bit for pilot holes.",
			Body:   "Larger bits then start on the centre mark alone and wander more. Buy a " + w.buyPilot() + ".",
			Ends:   []finding.End{{Name: "tools", Path: "tools"}},
			Source: w.p.Limits.Source(limPilot),
		}
	})
}

// blind says when a blind hole leaves too little sheet under the tip of the bit.
func (is *issues) blind(w *work, y *way, b catalog.Bit) {
	depth := y.shape.blind
	left := w.thick - depth - tip(b)
	least := w.lim(limBlindLeft, 0, 20)
	if left >= least-near {
		return
	}
	is.add(ruleBlind, key(depth, left), y.cut, func(names string, n int) finding.Finding {
		f := finding.Finding{
			Head:    names + " would leave " + w.words.long(left) + " under the tip of the bit.",
			Measure: &finding.Measure{Have: round2(left), Want: least, Unit: "mm", Sense: finding.AtLeast},
			Body:    "Make it shallower and shorten the tab.",
			Why:     "The point of the bit goes deeper than the hole.",
			Source:  w.p.Limits.Source(limBlindLeft),
		}
		if left <= 0 {
			f.Head = names + " would come through the front: the tip of the bit goes " + w.words.long(depth+tip(b)) + " deep, the sheet is " + w.words.long(w.thick) + "."
		}
		if o := y.cut.Spec.Optional; o != "" {
			f.Body = strings.TrimSpace(doWithout(o))
		}
		return f
	})
}

// tip is how far the point of a bit stands out beyond its full diameter: the usual 118 degree point of a twist bit, the spur of a
// wood bit.
func tip(b catalog.Bit) float64 {
	switch b.Kind {
	case catalog.Twist:
		return b.Diameter / 2 / math.Tan(59*math.Pi/180)
	case catalog.BradPoint:
		return 0.3 * b.Diameter
	}
	return 3
}

func (is *issues) badSize(c *panel.Cut) {
	is.add(ruleSize, "size", c, func(names string, n int) finding.Finding {
		return finding.Finding{Head: names + " " + verb(n, "has", "have") + " no usable size.", Body: "Left out of the drilling plan. Give the opening a size, and a place on the face."}
	})
}

func (is *issues) slow(w *work, u BitUse) {
	least := w.lim(limRPMLeast, 0, 60000)
	if u.RPMHigh <= 0 || float64(u.RPMHigh) >= least {
		return
	}
	is.add(ruleSpeed, word(u.Bit), nil, func(string, int) finding.Finding {
		return finding.Finding{
			Head:    "The " + called(u.Bit) + " should turn at " + itoa(u.RPMHigh) + " rpm at most.",
			Body:    "Run the drill as slowly as it goes, in short touches, and let the bit cool.",
			Ends:    []finding.End{{Name: "tools", Path: "tools"}},
			Measure: &finding.Measure{Have: least, Want: float64(u.RPMHigh), Unit: "rpm", Sense: finding.AtMost},
			Why:     "The rim runs too fast: plastic melts, teeth burn.",
			Source:  SpeedOf(w.p.Stack.Sheet.Kind, u.Bit.Kind, u.Bit.Diameter).Source,
		}
	})
}

// assumed says which bits are taken for granted, and offers to write them down.
func (is *issues) assumed(w *work) {
	if !w.p.BitsAssumed {
		return
	}
	var sets []string
	for _, b := range w.p.Bits {
		if b.Set != "" && !slices.Contains(sets, b.Set) {
			sets = append(sets, b.Set)
		}
	}
	is.add(ruleAssumed, "", nil, func(string, int) finding.Finding {
		f := finding.Finding{
			Head: "The file names no bits; the plan reckons with usual sets.",
			Body: "Write the bits in your drawer under tools: bits:.",
			Ends: []finding.End{{Name: "tools", Path: "tools"}},
		}
		if len(sets) > 0 {
			v := "[" + strings.Join(sets, ", ") + "]"
			f.Body = "Taken: " + strings.Join(sets, ", ") + ". " + f.Body
			f.Fixes = []finding.Fix{{Say: "Write them down, if they are yours", Short: "bits: " + v, Edits: []finding.Edit{{Op: finding.Set, Path: "tools.bits", Value: v}}}}
		}
		return f
	})
}

// wanderSource is where the number for the drill's wander comes from.
func (w *work) wanderSource() trust.Source {
	lim := panel.WanderHand
	if w.p.Press {
		lim = panel.WanderPress
	}
	if math.Abs(w.p.Wander-lim.Default) > near {
		return trust.Source{Text: "your file", Provenance: trust.Yours, Confidence: trust.High}
	}
	return w.p.Limits.Source(lim)
}

// hold is how closely this person's drill holds the size of a hole, mm.
func (w *work) hold() float64 { return w.lim(w.holdLimit(), 0, 5) }

func (w *work) holdLimit() finding.Limit {
	if w.p.Press {
		return limHoldPress
	}
	return limHoldHand
}

// doWithout offers what a part's record says may be done instead of a hole.
func doWithout(optional string) string {
	return " Or do without it: " + strings.TrimSuffix(optional, ".") + "."
}
