package edit

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

// front is the box round what a finger meets of a control, face frame; its middle alone when it has nothing in front.
func front(c *panel.Control) geom.Box2 {
	b := geom.EmptyBox2().Extend(c.At.Vec2)
	for _, x := range c.Front {
		if x.Role == panel.RoleTool || x.Role == panel.RoleSweep || x.Outline.Empty() {
			continue
		}
		b = b.Union(x.Outline.Bounds())
	}
	return b
}

// around is the box round the fronts of several controls.
func around(cs []*panel.Control) geom.Box2 {
	b := geom.EmptyBox2()
	for _, c := range cs {
		b = b.Union(front(c))
	}
	return b
}

// oneBoard refuses what can be done on one board only.
func (m *maker) oneBoard(cs []*panel.Control) error {
	for _, c := range cs {
		if m.on[c] == nil {
			return refuse(c.Label, " has no place on the face yet.")
		}
		if m.on[c] != m.on[cs[0]] {
			return refuse(cs[0].Label, " and ", c.Label, " sit in different boards.")
		}
	}
	return nil
}

// align brings controls into line with the first one: its edges (of what a finger meets), or its middle.
func (m *maker) align(cs []*panel.Control, how string) (Done, error) {
	if len(cs) < 2 {
		return Done{}, refuse("Take two or more in hand: the others line up with the first one.")
	}
	if err := m.oneBoard(cs); err != nil {
		return Done{}, err
	}
	var of func(c *panel.Control) geom.Vec2
	switch how {
	case "left":
		of = func(c *panel.Control) geom.Vec2 { return geom.Vec2{X: front(c).Min.X} }
	case "centre":
		of = func(c *panel.Control) geom.Vec2 { return geom.Vec2{X: c.At.X} }
	case "right":
		of = func(c *panel.Control) geom.Vec2 { return geom.Vec2{X: front(c).Max.X} }
	case "top":
		of = func(c *panel.Control) geom.Vec2 { return geom.Vec2{Y: front(c).Max.Y} }
	case "middle":
		of = func(c *panel.Control) geom.Vec2 { return geom.Vec2{Y: c.At.Y} }
	case "bottom":
		of = func(c *panel.Control) geom.Vec2 { return geom.Vec2{Y: front(c).Min.Y} }
	default:
		return Done{}, refuse("Align left, centre, right, top, middle or bottom.")
	}
	at := of(cs[0])
	var ss []step
	for _, c := range cs[1:] {
		ss = append(ss, step{c: c, by: at.Sub(of(c))})
	}
	edits, stay := m.shift(ss)
	return m.finish(edits, stay, "align", cs, "They are in line already.")
}

// spread puts controls evenly between the two outermost ones, which stay: even gaps between what a finger meets, or even steps.
func (m *maker) spread(cs []*panel.Control, how string, steps bool) (Done, error) {
	if len(cs) < 3 {
		return Done{}, refuse("Take three or more in hand: the outermost two stay, the others are spread between them.")
	}
	if err := m.oneBoard(cs); err != nil {
		return Done{}, err
	}
	axis, along := func(v geom.Vec2) float64 { return v.X }, geom.Vec2{X: 1}
	switch how {
	case "across":
	case "up":
		axis, along = func(v geom.Vec2) float64 { return v.Y }, geom.Vec2{Y: 1}
	default:
		return Done{}, refuse("Spread across or up.")
	}
	in := slices.Clone(cs)
	slices.SortStableFunc(in, func(a, b *panel.Control) int { return cmp.Compare(axis(a.At.Vec2), axis(b.At.Vec2)) })
	n := len(in)
	lo, hi := axis(in[0].At.Vec2), axis(in[n-1].At.Vec2)
	room := axis(front(in[n-1]).Min) - axis(front(in[0]).Max)
	for _, c := range in[1 : n-1] {
		room -= axis(front(c).Size())
	}
	gap, at := room/float64(n-1), axis(front(in[0]).Max)
	var ss []step
	for i, c := range in[1 : n-1] {
		by := lo + (hi-lo)*float64(i+1)/float64(n-1) - axis(c.At.Vec2)
		if !steps {
			b := front(c)
			by = at + gap - axis(b.Min)
			at += gap + axis(b.Size())
		}
		ss = append(ss, step{c: c, by: along.Mul(m.written2(axis(c.At.Vec2)+by) - axis(c.At.Vec2))})
	}
	edits, stay := m.shift(ss)
	return m.finish(edits, stay, "spread", cs, "They are spread evenly already.")
}

// written2 rounds a length as the file will hold it.
func (m *maker) written2(v float64) float64 {
	if m.inch {
		l, err := m.read(m.value(v))
		if err == nil {
			return l
		}
	}
	return math.Round(v*100) / 100
}

// mirrorLine gives the line that things are mirrored in: through the middle of the face, or of what is in hand.
func (m *maker) mirrorLine(cs []*panel.Control, upright, face bool) (float64, error) {
	if face {
		f := m.on[cs[0]].Face
		if !f.HasSize() {
			return 0, refuse("The face has no middle before it has a size.")
		}
		if upright {
			return f.Width / 2, nil
		}
		return f.Height / 2, nil
	}
	b := geom.EmptyBox2()
	for _, c := range cs {
		b = b.Extend(c.At.Vec2)
	}
	if upright {
		return b.Centre().X, nil
	}
	return b.Centre().Y, nil
}

// flip mirrors the places of controls, and their turns.
func (m *maker) flip(cs []*panel.Control, how string, face bool) (Done, error) {
	if how != "upright" && how != "level" {
		return Done{}, refuse("Mirror in an upright or a level line.")
	}
	if err := m.oneBoard(cs); err != nil {
		return Done{}, err
	}
	line, err := m.mirrorLine(cs, how == "upright", face)
	if err != nil {
		return Done{}, err
	}
	var ss []step
	var turns []finding.Edit
	for _, c := range cs {
		at, turn := panel.Reflect(c.At.Vec2, c.Turn, how == "upright", line)
		ss = append(ss, step{c: c, by: at.Sub(c.At.Vec2)})
		if c.Origin.MovePath != "" {
			turns = append(turns, m.turnTo(c, turn)...)
		}
	}
	edits, stay := m.shift(ss)
	return m.finish(append(edits, turns...), stay, "mirror", cs, "They mirror onto themselves.")
}

// turnTo are the edits that turn a control to an angle, none when it is so turned.
func (m *maker) turnTo(c *panel.Control, deg float64) []finding.Edit {
	by := math.Mod(deg-c.Turn, 360)
	if math.Abs(by) < hair || math.Abs(math.Abs(by)-360) < hair {
		return nil
	}
	to := math.Mod(float64(m.record(c).Turn)+by, 360)
	switch {
	case to > 180:
		to -= 360
	case to <= -180:
		to += 360
	}
	path := own(c) + ".turn"
	switch {
	case math.Abs(to) >= hair:
		return []finding.Edit{set(path, length.Plain(to))}
	case m.written(path):
		return []finding.Edit{del(path)}
	}
	return nil
}

// turn turns each control by so many degrees about its own middle, or all of them about their common one.
func (m *maker) turn(cs []*panel.Control, by string, together bool) (Done, error) {
	a, err := length.ParseAngle(by)
	if err != nil {
		return Done{}, &Refusal{finding.Capital(err.Error()) + "."}
	}
	if err := m.oneBoard(cs); err != nil {
		return Done{}, err
	}
	deg := math.Mod(float64(a), 360)
	b := geom.EmptyBox2()
	for _, c := range cs {
		b = b.Extend(c.At.Vec2)
	}
	mid := b.Centre()
	var edits []finding.Edit
	var ss []step
	var stay []*panel.Control
	for _, c := range cs {
		if c.Origin.MovePath == "" {
			stay = append(stay, c)
			continue
		}
		edits = append(edits, m.turnTo(c, c.Turn+deg)...)
		if together {
			to := geom.Place{At: mid, Turn: deg}.Apply(c.At.Vec2.Sub(mid))
			ss = append(ss, step{c: c, by: to.Sub(c.At.Vec2)})
		}
	}
	moves, _ := m.shift(ss)
	return m.finish(append(moves, edits...), stay, "turn", cs, "They are turned so already.")
}

// pin keeps controls where they are, or lets them go again.
func (m *maker) pin(cs []*panel.Control, on bool) (Done, error) {
	var edits []finding.Edit
	for _, c := range cs {
		path := own(c) + ".pinned"
		switch {
		case on && !c.Pinned:
			edits = append(edits, set(path, "true"))
		case !on && c.Pinned && m.written(path):
			edits = append(edits, del(path))
		}
	}
	verb, nothing := "pin", "They are pinned already."
	if !on {
		verb, nothing = "unpin", "None of them is pinned here."
	}
	return m.finish(edits, nil, verb, cs, nothing)
}
