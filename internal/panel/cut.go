package panel

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/project"
)

// cuts places the cut-outs of a control: the main hole, then the others in the order of the record.
func (pl *placer) cuts(c *Control) {
	pl.addCut(c, c.Part.Hole, c.Name, "hole")
	count := map[string]int{}
	for _, k := range c.Part.Cuts {
		what := or(k.What, "hole")
		count[what]++
		id := c.Name + "/" + what
		if count[what] > 1 {
			id += "-" + itoa(count[what])
		}
		pl.addCut(c, k, id, what)
	}
}

func (pl *placer) addCut(c *Control, spec catalog.Cut, id, what string) {
	at := geom.Place{At: c.At.Vec2, Turn: c.Turn}
	cut := &Cut{
		ID: id, Owner: c, What: or(spec.What, what), Spec: spec,
		At: Pt{at.Apply(pair(spec.At))}, Turn: norm(c.Turn + float64(spec.Turn)), Outline: spec.Outline().Move(at), Origin: c.Origin,
	}
	if spec.Depth > 0 && spec.Depth.MM() < pl.p.Stack.SheetThickness {
		cut.Blind = spec.Depth.MM()
	}
	if cut.Outline.Empty() {
		return
	}
	pl.window(cut)
	c.Cuts = append(c.Cuts, cut)
}

func pair(p [2]length.Length) geom.Vec2 { return geom.Vec2{X: p[0].MM(), Y: p[1].MM()} }

// window fills in the sizes that a cut-out may have: finished, and as cut in the bare sheet.
//
// Film that is folded into a hole, and paint that coats its edge, narrow it by their thickness on both sides, so the hole
// is cut larger by 2 x that thickness; film trimmed flush leaves it as it is. A blind hole is bored from behind, where no
// covering comes.
func (pl *placer) window(cut *Cut) {
	small, large := cut.Spec.Tol[0].MM(), cut.Spec.Tol[1].MM()
	if small > 0 { // written without its sign
		small = -small
	}
	if small == 0 && large == 0 {
		large = pl.p.Limits.Value(HoleSlack)
		pl.lines.limit(HoleSlack, pl.p.Limits)
	}
	cut.Nominal = cut.Spec.Nominal()
	cut.FinishedMin, cut.FinishedMax = cut.Nominal+min(small, large), cut.Nominal+max(small, large)
	add := pl.p.Stack.InHole()
	if cut.Blind > 0 {
		add = 0
	}
	cut.CutMin, cut.CutMax = cut.FinishedMin+add, cut.FinishedMax+add
}

// InHole is how much the covering narrows a hole, mm across: both sides together.
func (s Stack) InHole() float64 {
	if s.CoverHoles == "folded" || s.CoverHoles == "coated" {
		return 2 * s.CoverThickness
	}
	return 0
}

// openings places the openings without a part.
func (pl *placer) openings() {
	for _, name := range pl.f.Face.Holes.Keys {
		h := pl.f.Face.Holes.Get(name)
		path := "face.holes." + name
		o := Origin{Name: plainName(name), Path: path, Pos: pl.pos(path), MovePath: path + ".at", MoveBase: vec(h.At)}
		spec, ok := pl.opening(name, path, h)
		if !ok {
			continue
		}
		at := geom.Place{At: vec(h.At)}
		cut := &Cut{ID: "hole-" + name, What: "opening", Spec: spec, At: Pt{at.At}, Turn: norm(float64(h.Turn)), Outline: spec.Outline().Move(at), Origin: o}
		board, ok := pl.boardFor(o.Name, h.On, path+".on", o)
		if cut.Outline.Empty() || !ok {
			continue
		}
		pl.at(board, func() {
			pl.window(cut)
			pl.p.Openings = append(pl.p.Openings, cut)
			pl.hole(o.Name, o, cut)
		})
	}
}

// opening turns an opening of the file into a cut-out of the catalogue's kind; false when it has no good size.
func (pl *placer) opening(name, path string, h project.Hole) (catalog.Cut, bool) {
	what := "The opening " + name
	spec := catalog.Cut{What: "opening", Turn: h.Turn, Tol: h.Tol, Corner: h.Corner}
	forms, good := 0, true
	both := func(key string, v *[2]length.Length) {
		if v == nil {
			return
		}
		forms++
		for i := range v {
			p := pl.firstPath(path+"."+key+"."+itoa(i), path+"."+key)
			good = pl.size(p, v[i], 0, maxFace, what) && good
		}
	}
	if pl.written(path + ".round") {
		forms++
		good = pl.size(path+".round", h.Round, 0, maxFace, what) && good
		spec.Round = h.Round
	}
	both("rect", h.Rect)
	both("slot", h.Slot)
	spec.Rect, spec.Slot = h.Rect, h.Slot
	switch {
	case forms == 0:
		pl.missing(name, path, what+" has no size yet.", "Give round: its diameter, rect: [width, height] or slot: [length, width].")
		return spec, false
	case forms > 1:
		pl.say(ruleBadSize, finding.Finding{Head: what + " is round, a rectangle or a slot; here two of them are given.", Ends: []finding.End{pl.end(name, path)}})
		return spec, false
	case !good:
		return spec, false
	}
	if h.Corner != 0 {
		most := maxFace / 2.0
		if h.Rect != nil {
			most = min(h.Rect[0].MM(), h.Rect[1].MM()) / 2
		}
		good = pl.sizeOr0(path+".corner", h.Corner, 0, most, "The corner radius of "+name)
	}
	return spec, good
}
