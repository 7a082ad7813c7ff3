package face

import (
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

// checker holds a panel made ready for checking, with the limits in force read once.
type checker struct {
	p      *panel.Panel
	items  []item
	boxes  []geom.Box2 // of items
	stock  *stock
	known  bool // the face has a size
	inches bool // the file is in inches

	v        values
	rooms    [][]roomValue              // by kindN, kindN*2+inGroup
	margin   float64                    // two things farther apart than this cannot have a finding
	standing map[int][]hit              // answers of before
	grid     *grid                      // made when the first fix is looked for
	leads    map[string]bool            // controls that others are images or copies of: they cannot be moved alone
	spreads  map[spreadKey]*finding.Fix // answers of spread
}

// values are the limits in force that the inner loops read.
type values struct {
	glove, tight, touch, edge, frame                        float64
	bodyGap, ribGap, moduleGap, nutGap, screwGap            float64
	webLeast, webGood, edgeLeast, edgeGood, edgeDia, fixDia float64
	letterGap, letterEdge                                   float64
	openRoom                                                float64
	wander                                                  float64 // how far a hole may land off its mark; 0 when a machine cuts
}

// roomValue is the finger room in force for two kinds.
type roomValue struct {
	want  float64
	basis basis
	entry *roomEntry
	known bool // the tables list the pair
	used  bool // two such controls stand near each other
}

// newChecker prepares a panel.
func newChecker(p *panel.Panel) *checker {
	k := &checker{p: p, stock: stockOf(p.Stack.Sheet.Kind), known: len(p.Face.Outline) > 0, inches: p.Units == string(length.Inch)}
	k.limits()
	reach, screw := p.Limits.Value(panel.ToolReach), k.limit(limShankLength)
	k.items = make([]item, 0, len(p.Controls)+len(p.Fixings)+len(p.Openings)+len(p.Texts)+len(p.Behind))
	for _, c := range p.Controls {
		if c.From != "" {
			if k.leads == nil {
				k.leads = map[string]bool{}
			}
			k.leads[c.From] = true
		}
		k.items = append(k.items, newControl(len(k.items), c, p, reach))
	}
	for _, f := range p.Fixings {
		k.items = append(k.items, newFixing(len(k.items), f, p, screw))
	}
	for _, c := range p.Openings {
		k.items = append(k.items, newOpening(len(k.items), c, p, k.v.openRoom))
	}
	for _, t := range p.Texts {
		k.items = append(k.items, newLettering(len(k.items), t))
	}
	board := -1
	for _, b := range p.Behind {
		switch b.Role {
		case panel.RoleBase: // depth is reckoned for each control by itself
		case panel.RoleModule, panel.RolePlug: // board and plug are one thing
			if board < 0 {
				board = len(k.items)
				k.items = append(k.items, newInside(board, b))
			} else if s, ok := ofBody(b); ok {
				k.items[board].hard = append(k.items[board].hard, s)
				k.items[board].measure()
			}
		default:
			if last := len(k.items) - 1; last >= 0 && k.items[last].sort == inside && k.items[last].role == b.Role && k.items[last].owner == b.Owner && last != board {
				if s, ok := ofBody(b); ok { // another piece of the same board
					k.items[last].hard = append(k.items[last].hard, s)
					k.items[last].measure()
				}
				continue
			}
			k.items = append(k.items, newInside(len(k.items), b))
		}
	}
	k.tabulate()
	k.boxes = make([]geom.Box2, len(k.items))
	for i := range k.items {
		k.boxes[i] = k.items[i].all
	}
	return k
}

// limits reads the limits in force.
func (k *checker) limits() {
	p, s, t := k.p, k.stock, k.p.Stack.SheetThickness
	// a limit that cannot decide anything here is read without asking for it: what is asked for is listed as taken on trust
	ask := func(asked bool, l finding.Limit) float64 {
		if asked {
			return k.limit(l)
		}
		return finding.Limits{Own: p.Limits.Own}.Value(l)
	}
	two, box, screws := len(p.Controls) > 1, len(p.Behind) > 0, len(p.Fixings) > 0
	k.v = values{
		touch: ask(two, limTouch), edge: k.limit(limEdge), frame: ask(screws, limFrame),
		bodyGap: ask(two, limBodyGap), ribGap: ask(box, limRibGap), moduleGap: ask(p.Module != nil && p.Module.Placed, limModuleGap),
		nutGap: ask(two || box, limNutGap), screwGap: ask(screws, limShank),
		webLeast: k.limit(s.webLeast), webGood: max(k.limit(s.webLeast), k.limit(s.webGood), t*k.limit(s.webThick)),
		edgeLeast: k.limit(s.edgeLeast), edgeGood: max(k.limit(s.edgeLeast), k.limit(s.edgeGood)),
		edgeDia: ask(s.edgeDia.Default > 0 || p.Limits.Own[s.edgeDia.Name] > 0, s.edgeDia), fixDia: ask(screws, s.fixingDia),
		openRoom: ask(len(p.Openings) > 0, limOpening), letterGap: k.limit(limLetterGap), letterEdge: k.limit(limLetterEdge),
	}
	if p.Kerf <= 0 {
		k.v.wander = p.Wander
	}
	switch k.p.Hand {
	case "glove":
		k.v.glove = k.limit(limGlove)
	case "tight":
		k.v.tight = k.limit(limTight)
	}
	v := &k.v
	k.margin = max(v.touch, v.frame, v.bodyGap, v.ribGap, v.moduleGap, v.nutGap, v.screwGap, v.letterGap, v.webGood+2*v.wander)
}

// limit gives a limit in force.
func (k *checker) limit(l finding.Limit) float64 {
	return k.p.Limits.Value(l)
}

// tabulate numbers the kinds of control that occur and reads the finger room for each two of them.
func (k *checker) tabulate() {
	var kinds []kind
	for i := range k.items {
		x := &k.items[i]
		if x.kind == "" {
			continue
		}
		x.kindN = -1
		for n, q := range kinds {
			if q == x.kind {
				x.kindN = n
			}
		}
		if x.kindN < 0 {
			x.kindN = len(kinds)
			kinds = append(kinds, x.kind)
		}
	}
	k.rooms = make([][]roomValue, len(kinds))
	for i, a := range kinds {
		k.rooms[i] = make([]roomValue, 2*len(kinds))
		for j, b := range kinds {
			for g := range 2 {
				r := k.room(a, b, g == 1)
				k.rooms[i][2*j+g] = r
				k.margin = max(k.margin, r.want)
			}
		}
	}
}

// room gives the finger room in force between two kinds, for the hand that the file names.
func (k *checker) room(a, b kind, inGroup bool) roomValue {
	e, known := fingerRoom(a, b, inGroup)
	r := roomValue{want: finding.Limits{Own: k.p.Limits.Own}.Value(e.lim), basis: e.basis, entry: e, known: known}
	switch k.p.Hand {
	case "glove":
		r.want += k.v.glove
	case "tight":
		r.want, r.basis = k.v.tight, edges
	}
	return r
}

// code says which sentence a hit becomes.
type code uint8

const (
	cNeighbours code = iota
	cTouch
	cEdge
	cFrame
	cDriver // a front part in the screwdriver's way
	cWeb
	cSheetEdge
	cSheetEdgeOff // enough on paper, not when the hole is at its largest and off its mark
	cBodies
	cWires // the bend of a wire runs into something
	cNut
	cToolOrder // one nut cannot be turned once the other control is in
	cToolBoth
	cToolInside // the tool meets a rib, a wall, ...
	cShank
	cHidden
	cOwnHidden
	cLetters   // letters on letters
	cHoleWords // a hole in the letters
	cOffSheet
	cOpenBehind // something lies behind an opening
	cOpenBefore // something stands over it
)

// hit is one place where a rule is not kept, before it is put into words. It is small: looking for fixes makes many.
type hit struct {
	rule       *finding.Rule
	sev        finding.Severity
	code       code
	a, b       int // items; b = -1: a alone against the face
	ra, rb     panel.Role
	have, want float64
	need       float64   // least shift of a that can cure it
	dir        geom.Vec2 // the way to move a
	at         geom.Vec2
	room       *roomValue
	n1, n2     float64 // further numbers for the sentence
	quiet      bool    // another package says it; counts only when a fix is tried
}

// lack is how much is missing.
func (h *hit) lack() float64 { return h.want - h.have }

// worse reports whether h is worse news than g about the same two things under the same rule.
func (h *hit) worse(g *hit) bool {
	if h.sev != g.sev {
		return h.sev > g.sev
	}
	return h.lack() > g.lack()
}

// slack is what no ruler shows and what is rounded away in a finding, mm: so much may be missing.
const slack = 1e-3

// petty is how much may be missing before a warning is worth a maker's time, mm; of a thread, so much of its pitch.
const (
	petty      = 0.05
	pettyPitch = 0.05
)

// pair finds what is wrong between two items, the first one moved by d along the face.
func (k *checker) pair(out []hit, a *item, d geom.Vec2, b *item) []hit {
	for n := range looks {
		out = k.look(n, out, a, d, b)
	}
	return out
}

// looks is how many looks there are at a pair, the cheap ones first.
const looks = 6

// look is one of the looks at a pair, so that whoever looks for a single fault can stop early.
func (k *checker) look(n int, out []hit, a *item, d geom.Vec2, b *item) []hit {
	both := a.sort == control && b.sort == control
	switch {
	case n == 0 && both:
		return k.reach(out, a, d, b)
	case n == 1 && both:
		return k.touch(out, a, d, b)
	case n == 2 && len(a.cuts) > 0 && len(b.cuts) > 0:
		return k.webs(out, a, d, b)
	case n == 3 && both:
		return k.bodies(out, a, d, b)
	case n == 3 && a.sort == control && b.sort == fixing:
		return k.frame(out, a, d, b, false)
	case n == 3 && a.sort == fixing && b.sort == control:
		return k.frame(out, b, d.Mul(-1), a, true)
	case n == 3 && a.sort == control && b.sort == inside:
		return k.insides(out, a, d, b, false)
	case n == 3 && a.sort == inside && b.sort == control:
		return k.insides(out, b, d.Mul(-1), a, true)
	case n == 3 && a.sort == opening && (b.sort == control || b.sort == inside):
		return k.openings(out, a, d, b, false)
	case n == 3 && b.sort == opening && (a.sort == control || a.sort == inside):
		return k.openings(out, b, d.Mul(-1), a, true)
	case n == 4 && both:
		return k.tools(k.nuts(out, a, d, b), a, d, b)
	case n == 5:
		return k.letters(out, a, d, b)
	}
	return out
}

// add keeps a hit; flip says that a and b of the hit are to change places, because the item that moves was measured second.
func add(out []hit, h hit, flip bool) []hit {
	if flip {
		h.a, h.b, h.ra, h.rb, h.dir = h.b, h.a, h.rb, h.ra, h.dir.Mul(-1)
	}
	return append(out, h)
}
