package face

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trust"
)

// name is what people call an item in the middle of a sentence: "STANDBY", "the rib middle", "fixing 3".
func (k *checker) name(x *item) string {
	if x.sort == control && x.ctl.Label != "" {
		return x.ctl.Label
	}
	if x.sort == inside && x.owner != "" {
		return "the " + strings.TrimPrefix(x.owner, "the ")
	}
	switch n := x.origin.Name; {
	case n != "" && x.sort == fixing && !strings.HasPrefix(n, "fixing"):
		return "the " + n
	case n != "":
		return n
	}
	return "an item without a name"
}

// names lists what a finding is about, and knows whether it is one thing or several.
type names struct {
	text string
	many bool
}

// list names things for a sentence: "A", "A and B", "A, B and C", "A, B and 3 more", "12 fixings".
func list(ns []string) names {
	n := names{many: len(ns) > 1}
	switch {
	case len(ns) == 0:
	case len(ns) <= 3:
		n.text = strings.Join(ns[:len(ns)-1], ", ")
		if n.text != "" {
			n.text += " and "
		}
		n.text += ns[len(ns)-1]
	case alike(ns, "fixing "):
		n.text = count(len(ns)) + " fixings"
	case alike(ns, "the rack slot"):
		n.text = "the " + count(len(ns)) + " rack slots"
	default:
		n.text = ns[0] + ", " + ns[1] + " and " + count(len(ns)-2) + " more"
	}
	return n
}

// alike reports whether all names begin alike.
func alike(ns []string, begin string) bool {
	for _, s := range ns {
		if !strings.HasPrefix(s, begin) {
			return false
		}
	}
	return true
}

// or picks the word for one thing or for several.
func (n names) or(one, many string) string {
	if n.many {
		return many
	}
	return one
}

func count(n int) string { return strconv.Itoa(n) }

// mm gives a length in a sentence, in the person's own unit, rounded to what a rule and a caliper can show.
func (k *checker) mm(v float64) string {
	if length.Unit(k.p.Units) == length.Inch {
		s := length.Format(length.Length(v), length.Inch)
		if strings.HasPrefix(s, "~") { // no line of a rule: thousandths, as a caliper shows them
			s = strconv.FormatFloat(v/length.PerInch, 'f', 3, 64) + " in"
		}
		return s
	}
	steps := 10.0
	if math.Abs(v) < 1 {
		steps = 100
	}
	// a hair more, so that what is a half but for rounding goes up like a half
	return length.Length(math.Round(v*steps+math.Copysign(1e-6, v)) / steps).String()
}

// short gives what there is beside what is wanted: finer where both would read alike.
func (k *checker) short(have, want float64) string {
	s := k.mm(have)
	if s == k.mm(want) && length.Unit(k.p.Units) != length.Inch {
		return length.Length(math.Floor(have*100+1e-6) / 100).String()
	}
	return s
}

// num gives a length as it stands in the file.
func (k *checker) num(v float64) string {
	return k.p.Num(v)
}

// part gives the word for a solid in a sentence.
func part(r panel.Role, x *item) string {
	switch r {
	case panel.RoleSweep:
		if x.ctl != nil {
			switch x.ctl.Part.Class {
			case catalog.Toggle:
				return "lever when it is thrown"
			case catalog.Key:
				return "key when it is turned"
			case catalog.Joystick:
				return "stick when it is tilted"
			case catalog.Slide, catalog.SlidePot:
				return "lever when it is slid"
			}
		}
		return "travel"
	case panel.RoleHandle:
		if x.ctl != nil && x.ctl.Part.Class == catalog.Key {
			return "key"
		}
		return "handle"
	case panel.RoleBend:
		return "wires"
	case panel.RoleHead:
		return "screw"
	case panel.RoleTool:
		return "tool"
	case "":
		return "hole"
	}
	return string(r)
}

// whose gives "the bezel of GO"; for inside things just their name.
func (k *checker) whose(r panel.Role, x *item) string {
	if x.sort != control {
		return k.name(x)
	}
	if r == panel.RoleSweep {
		switch x.ctl.Part.Class {
		case catalog.Toggle:
			return "the thrown lever of " + k.name(x)
		case catalog.Key:
			return "the turned key of " + k.name(x)
		case catalog.Joystick:
			return "the tilted stick of " + k.name(x)
		case catalog.Slide, catalog.SlidePot:
			return "the lever of " + k.name(x)
		}
	}
	return "the " + part(r, x) + " of " + k.name(x)
}

// layers says what the stack is made of.
func (k *checker) layers() string {
	if k.p.Stack.CoverThickness > 0 {
		return "sheet and covering"
	}
	return "the sheet"
}

// be is the verb to layers.
func (k *checker) be() string {
	if k.p.Stack.CoverThickness > 0 {
		return " are "
	}
	return " is "
}

// edgeName names the edge of the face that a way inwards leads from.
func edgeName(in geom.Vec2) string {
	switch {
	case math.Abs(in.X) > 1e-9 && math.Abs(in.Y) > 1e-9:
		return "the corner of the face"
	case in.X > 0:
		return "the left edge"
	case in.X < 0:
		return "the right edge"
	case in.Y > 0:
		return "the bottom edge"
	}
	return "the top edge"
}

// spoken is a hit in words.
type spoken struct {
	head, body, why string
	source          trust.Source
}

// say puts a hit into words.
func (k *checker) say(bu *bundle) spoken {
	h := &bu.hit
	a := &k.items[h.a]
	var b *item
	if h.b >= 0 {
		b = &k.items[h.b]
	}
	lim := func(l finding.Limit) trust.Source { return k.p.Limits.Source(l) }
	na, nb, over := k.name(a), "", k.short(math.Abs(h.have), h.want)
	if b != nil {
		nb = k.name(b)
	}
	stop := h.sev == finding.Stop
	all := k.all(bu)
	switch h.code {
	case cNeighbours:
		return k.sayNeighbours(h, a, b, all)
	case cTouch:
		s := spoken{head: all + " all but touch in front.", source: lim(limTouch)}
		s.body = over + " between " + k.whose(h.ra, a) + " and " + k.whose(h.rb, b) + "; parts of one class differ by more."
		s.why = "Front parts want " + k.mm(h.want) + " of air."
		if stop {
			s.head = all + " meet in front."
			s.body = finding.Capital(k.whose(h.ra, a)) + " and " + k.whose(h.rb, b) + " overlap by " + over + "; " + touchEnd(h)
		}
		return s
	case cEdge:
		s := spoken{head: na + " sits close to " + edgeName(h.dir) + ".", source: lim(limEdge), why: "Front parts want " + k.mm(h.want) + " of sheet beside them."}
		s.body = over + " from its " + part(h.ra, a) + " to the edge."
		if h.have < 0 {
			s.head = na + " hangs over " + edgeName(h.dir) + "."
			s.body = "Its " + part(h.ra, a) + " is out by " + over + "; sleeves catch on it."
		}
		if stop {
			s.body = "Its " + part(h.ra, a) + " is out by " + over + "; it does not seat."
		}
		return s
	case cFrame:
		s := spoken{head: na + " sits close to " + nb + ".", source: lim(limFrame), why: "A screw head wants " + k.mm(h.want) + " of air."}
		s.body = over + " between " + k.whose(h.ra, a) + " and the head of the screw."
		if stop {
			s.head = na + " covers " + nb + "."
			s.body = finding.Capital(k.whose(h.ra, a)) + " and the head of the screw overlap by " + over + "; one of them cannot go in."
		}
		return s
	case cDriver:
		return spoken{
			head: na + " stands in the way of " + nb + ".", body: "The screwdriver meets " + k.whose(h.ra, a) + " by " + over + "; the face cannot be taken off without removing it.",
			why: "The driver comes straight down on the screw.", source: practice("", trust.Medium),
		}
	case cWeb:
		return k.sayWeb(h, all, stop)
	case cSheetEdge, cSheetEdgeOff:
		return k.saySheetEdge(bu, a, stop)
	case cBodies, cWires, cNut, cShank, cToolOrder, cToolBoth, cToolInside, cOpenBehind, cOpenBefore:
		return k.sayRear(h, a, b, all)
	}
	return k.sayLetters(h, a, b, all)
}

// all names everything that a bundle is about: "A and B".
func (k *checker) all(b *bundle) string {
	var ns []string
	for _, n := range b.who {
		ns = append(ns, k.name(&k.items[n]))
	}
	return list(ns).text
}

// touchEnd says what follows when front parts overlap.
func touchEnd(h *hit) string {
	for _, r := range []panel.Role{h.ra, h.rb} {
		switch r {
		case panel.RoleSweep:
			return "one keeps the other from moving."
		case panel.RolePlug:
			return "it cannot be plugged in."
		case panel.RoleKnob:
			return "the knob rubs or does not go on."
		}
	}
	return "only one of them can be mounted."
}

func (k *checker) sayNeighbours(h *hit, a, b *item, all string) spoken {
	r := h.room
	s := spoken{head: all + " sit close."}
	from := part(h.ra, a) + " and " + part(h.rb, b)
	if r.basis == middles {
		from = "the middles of the two levers"
	}
	s.body = k.short(max(h.have, 0), h.want) + " between " + from + ": a finger on one brushes the other."
	if h.have < 0 {
		s.body = finding.Capital(from) + " overlap by " + k.mm(-h.have) + " as seen from the front: a finger on one works the other."
	}
	pair := finding.Capital(a.kind.word()) + " to " + b.kind.word()
	switch {
	case !r.known:
		pair = "Controls of these kinds"
	case r.entry.inGroup:
		pair += " in one group"
	}
	s.why = pair + " wants " + k.mm(h.want) + "."
	if !r.known {
		s.why = "Controls of these kinds want " + k.mm(h.want) + "."
	}
	s.source = k.p.Limits.Source(r.entry.lim)
	switch k.p.Hand {
	case "glove":
		s.why = pair + " wants " + k.mm(h.want-k.v.glove) + ", and a glove " + k.mm(k.v.glove) + " more."
		s.source = k.p.Limits.Source(limGlove)
	case "tight":
		s.body = k.mm(max(h.have, 0)) + " between the rims: fingertips do not get between."
		s.why = "For fingertips rims want " + k.mm(h.want) + "."
		s.source = k.p.Limits.Source(limTight)
	}
	return s
}

func (k *checker) sayWeb(h *hit, all string, stop bool) spoken {
	s := spoken{head: "Little sheet between " + all + ".", source: k.p.Limits.Source(k.stock.webGood), why: k.stock.why}
	paper := k.mm(h.n1) + " on paper"
	switch {
	case h.n1 < 0:
		s.head = "The holes of " + all + " run into each other."
		s.body = "They overlap by " + k.mm(-h.n1) + "."
	case h.have <= 0:
		s.body = "Nothing may be left between the holes: " + paper + ", less what the holes come out larger and off their marks."
	default:
		s.body = k.short(h.have, h.want) + " of " + k.stock.say + " may be left between the holes: " + paper + ", less what they come out larger and off their marks."
	}
	if stop && h.n1 >= 0 {
		s.head = "Too little sheet between " + all + "."
	}
	if stop {
		s.body += " " + k.mm(k.v.webLeast) + " on paper is the very least."
		s.source = k.p.Limits.Source(k.stock.webLeast)
	}
	return s
}

func (k *checker) saySheetEdge(bu *bundle, a *item, stop bool) spoken {
	h := &bu.hit
	n := names{k.all(bu), bu.pairs > 1}
	edge := edgeName(h.dir)
	if n.many {
		edge = "an edge"
	}
	holes := finding.Capital(holeOf(h, a)) + n.or("hole", "holes") + " of " + n.text + n.or(" is ", " are ")
	s := spoken{head: holes + "close to " + edge + ".", source: k.p.Limits.Source(k.stock.edgeGood), why: "Near an edge the sheet breaks out, under the bit or later under the nut."}
	s.body = k.short(h.have, h.want) + " of " + k.stock.say + " is left beside " + n.or("it", "each") + "."
	if (a.sort == fixing || a.sort == control && a.cutNo(int(h.n2)) == "screw") && k.p.Limits.Value(k.stock.fixingDia) > 0 {
		s.source = k.p.Limits.Source(k.stock.fixingDia)
	} else if h.want > k.v.edgeGood {
		s.source = k.p.Limits.Source(k.stock.edgeDia)
	}
	switch {
	case stop:
		s.head = holes + "too close to " + edge + "."
		s.body = k.short(max(h.have, 0), h.want) + " of " + k.stock.say + " is left beside " + n.or("it", "each") + " on paper; " + k.mm(k.v.edgeLeast) + " is the very least."
		s.source = k.p.Limits.Source(k.stock.edgeLeast)
	case h.code == cSheetEdgeOff:
		s.body = k.short(max(h.have, 0), h.want) + " of " + k.stock.say + " may be left beside " + n.or("it", "each") + ": " + k.mm(h.n1) + " on paper, less what the hole comes out larger and off its mark."
		s.source = k.p.Limits.Source(k.stock.edgeLeast)
	}
	return s
}

// holeOf gives the words before "hole" for the hole that a hit is about: "the ", "the anti-turn ", "a screw ".
func holeOf(h *hit, a *item) string {
	switch a.cutNo(int(h.n2)) {
	case "anti-turn":
		return "the anti-turn "
	case "screw":
		return "a screw "
	}
	if a.sort == control && h.n2 > 0 {
		return "a "
	}
	return "the "
}

// cutNo gives what a control's hole is for, by its place among its holes; "" for other things.
func (x *item) cutNo(n int) string {
	if x.ctl == nil || n >= len(x.ctl.Cuts) {
		return ""
	}
	return x.ctl.Cuts[n].What
}
