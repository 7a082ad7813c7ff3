package edit

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// step is how far one control is to go.
type step struct {
	c     *panel.Control
	by    geom.Vec2
	typed [2]string // the new place as typed, kept as it is where it stands for itself
}

// shift makes the edits of several steps, and lists the controls that stay: pinned ones, images, and those without a place. A row,
// grid or arc of which all go the same way goes as a whole.
func (m *maker) shift(steps []step) (edits []finding.Edit, stay []*panel.Control) {
	of := map[string][]step{} // steps of the members that their group's rule places
	var order []string
	var rest []step
	for _, s := range steps {
		switch {
		case m.on[s.c] == nil || s.c.Origin.MovePath == "":
			stay = append(stay, s.c)
		case math.Abs(s.by.X) < hair && math.Abs(s.by.Y) < hair:
		case s.c.Group != "" && !image(s.c) && m.record(s.c).At == nil:
			if of[s.c.Group] == nil {
				order = append(order, s.c.Group)
			}
			of[s.c.Group] = append(of[s.c.Group], s)
		default:
			rest = append(rest, s)
		}
	}
	placed := map[string]int{}
	for _, c := range m.by {
		if c.Group != "" && !image(c) && m.record(c).At == nil {
			placed[c.Group]++
		}
	}
	for _, g := range order {
		ss := of[g]
		same := len(ss) == placed[g]
		for _, s := range ss {
			same = same && s.by.Sub(ss[0].by).Len() < hair
		}
		if same {
			edits = append(edits, m.shiftGroup(g, ss[0].by)...)
		} else {
			rest = append(rest, ss...)
		}
	}
	for _, s := range rest {
		o := s.c.Origin
		if strings.HasSuffix(o.MovePath, ".shift") || o.MoveBase.Sub(s.c.At.Vec2).Len() > hair {
			s.typed = [2]string{} // what stands there is not the place itself
		}
		edits = append(edits, m.pair(o.MovePath, o.MoveBase, o.MoveBase.Add(s.by), s.typed)...)
	}
	return edits, stay
}

// shiftGroup moves a row, column, grid or arc as a whole.
func (m *maker) shiftGroup(name string, by geom.Vec2) []finding.Edit {
	g, path := m.doc.File.Groups.Get(name), "groups."+name
	var out []finding.Edit
	point := func(path string, at geom.Vec2) {
		out = append(out, m.pair(path, at, at.Add(by), [2]string{})...)
	}
	one := func(path string, v, by float64) {
		if math.Abs(by) >= hair {
			out = append(out, set(path, m.value(v+by)))
		}
	}
	switch {
	case g.Row != nil:
		point(path+".row.from", vec(g.Row.From))
		if g.Row.To != nil {
			one(path+".row.to", g.Row.To.MM(), by.X)
		}
	case g.Column != nil:
		point(path+".column.from", vec(g.Column.From))
		if g.Column.To != nil {
			one(path+".column.to", g.Column.To.MM(), by.Y)
		}
	case g.Grid != nil:
		point(path+".grid.from", vec(g.Grid.From))
	case g.Arc != nil:
		point(path+".arc.centre", vec(g.Arc.Centre))
	}
	if g.About != nil && g.Turn != 0 {
		point(path+".about", vec(*g.About))
	}
	return out
}

// finish wraps edits up; what stays is told.
func (m *maker) finish(edits []finding.Edit, stay []*panel.Control, verb string, cs []*panel.Control, nothing string) (Done, error) {
	note := ""
	if len(stay) > 0 {
		note = m.why(stay)
	}
	if len(edits) == 0 {
		if note != "" {
			return Done{}, refuse(note)
		}
		return Done{}, refuse(nothing)
	}
	return Done{Edits: edits, Say: verb + " " + called(cs), Note: note}, nil
}

// why says why some controls stay.
func (m *maker) why(stay []*panel.Control) string {
	var pinned, images, others []*panel.Control
	for _, c := range stay {
		switch {
		case c.Pinned:
			pinned = append(pinned, c)
		case image(c):
			images = append(images, c)
		default:
			others = append(others, c)
		}
	}
	var s []string
	say := func(cs []*panel.Control, one, many string) {
		switch {
		case len(cs) == 1:
			s = append(s, cs[0].Label+" "+one)
		case len(cs) > 1:
			s = append(s, labels(cs)+" "+many)
		}
	}
	say(pinned, "stays: it is pinned.", "stay: they are pinned.")
	say(images, "is an image: it goes where its pattern goes.", "are images: they go where their patterns go.")
	say(others, "has no place on the face yet.", "have no place on the face yet.")
	return strings.Join(s, " ")
}

func (m *maker) move(cs []*panel.Control, by geom.Vec2) (Done, error) {
	var ss []step
	for _, c := range cs {
		ss = append(ss, step{c: c, by: by})
	}
	edits, stay := m.shift(ss)
	stay = slices.DeleteFunc(stay, func(c *panel.Control) bool { return m.follows(c, cs) })
	return m.finish(edits, stay, "move", cs, "It stands there already.")
}

// follows reports whether a control is an image of one of cs, so that it goes along by itself.
func (m *maker) follows(c *panel.Control, cs []*panel.Control) bool {
	for n := 0; c != nil && image(c) && n < 50; n++ {
		if c = m.by[c.From]; slices.Contains(cs, c) {
			return true
		}
	}
	return false
}

// place puts controls at coordinates as typed; "" leaves one as it is. A control without a place gets one; a free one when nothing is typed.
func (m *maker) place(cs []*panel.Control, across, up string) (Done, error) {
	var want [2]*float64
	var typed [2]string
	for i, s := range []string{across, up} {
		if strings.TrimSpace(s) == "" {
			continue
		}
		v, err := m.read(s)
		if err != nil {
			return Done{}, err
		}
		want[i] = &v
		if t := plainly(s); ownWords(t) {
			typed[i] = t // a fraction, or a unit: as the person thinks of it
		}
	}
	lie, stand := m.lying(cs)
	if len(lie) > 0 && len(stand) > 0 {
		return Done{}, refuse(labels(lie), " and ", labels(stand), " cannot be placed together: the first have no place yet.")
	}
	if len(lie) > 1 && (want[0] != nil || want[1] != nil) {
		return Done{}, refuse("Take one of them in hand: they cannot all stand at one place.")
	}
	if len(lie) > 0 {
		return m.seatAll(lie, want, typed)
	}
	if want[0] == nil && want[1] == nil {
		return Done{}, refuse("Write a length: 44.5, or 1 3/4 in.")
	}
	var ss []step
	for _, c := range cs {
		s := step{c: c, typed: typed}
		if want[0] != nil {
			s.by.X = *want[0] - c.At.X
		}
		if want[1] != nil {
			s.by.Y = *want[1] - c.At.Y
		}
		ss = append(ss, s)
	}
	edits, stay := m.shift(ss)
	return m.finish(edits, stay, "move", cs, "It stands there already.")
}
