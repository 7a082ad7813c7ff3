package arrange

import (
	"slices"
	"strings"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// staying marks what must not move, and says why.
func (j *job) staying(units map[string]*unit) {
	for _, c := range j.p.Controls {
		u := j.of[c]
		if u.stays != "" {
			continue
		}
		switch {
		case c.Pinned && len(u.members) == 1:
			u.stays = "it is pinned"
		case c.Pinned:
			u.stays = c.Label + " in it is pinned"
		case j.kept(c):
			u.stays = "you keep it where it is"
		}
	}
	for _, s := range j.whole.Sheets() { // a row that is on two boards, or has images on another one
		if s == j.p {
			continue
		}
		for _, c := range s.Controls {
			from := c
			for range 20 {
				if from.From == "" {
					break
				}
				next := byNameIn(j.whole, from.From)
				if next == nil {
					break
				}
				from = next
			}
			if u := units["group "+from.Group]; u != nil && u.stays == "" && j.ruled(from) && !strings.HasSuffix(from.Origin.MovePath, ".at") {
				u.stays = "some of it is on " + j.nameOf(s)
			} else if u := j.of[from]; u != nil && u.stays == "" {
				u.stays = "an image or copy of it is on " + j.nameOf(s)
			}
		}
	}
	// copies that turn about their first source move when that one does
	for _, name := range j.doc.File.Groups.Keys {
		g := j.doc.File.Groups.Get(name)
		if (g.Copy == nil || g.Copy.Turn == 0 || g.Copy.About != nil) && (g.Copy == nil && g.Mirror == nil || g.Turn == 0 || g.About != nil) {
			continue
		}
		var of []*unit
		for _, c := range j.p.Controls {
			if u := j.of[c]; c.Group == name && !slices.Contains(of, u) {
				of = append(of, u)
			}
		}
		if len(of) > 1 {
			for _, u := range of {
				if u.stays == "" {
					u.stays = "its copies in " + name + " turn about another one; give that group about: and it can move"
				}
			}
		}
	}
}

func byNameIn(p *panel.Panel, name string) *panel.Control {
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			if c.Name == name {
				return c
			}
		}
	}
	return nil
}

// nameOf is what a board of the panel is called in sentences.
func (j *job) nameOf(sheet *panel.Panel) string {
	for _, s := range j.whole.Sides {
		if s.Panel == sheet {
			return s.Name
		}
	}
	return "the face"
}

// kept reports whether the person asks for a control or its group to stay.
func (j *job) kept(c *panel.Control) bool {
	for _, k := range j.Keep {
		if k != "" && (strings.EqualFold(k, c.Name) || strings.EqualFold(k, c.Label) || strings.EqualFold(k, c.Group)) {
			return true
		}
	}
	return false
}

// Unknown gives the names in a list to keep that no control and no group of a panel has.
func Unknown(p *panel.Panel, keep []string) (out []string) {
	for _, k := range keep {
		found := false
		for _, s := range p.Sheets() {
			for _, c := range append(slices.Clone(s.Controls), s.Waiting...) {
				found = found || strings.EqualFold(k, c.Name) || strings.EqualFold(k, c.Label) || strings.EqualFold(k, c.Group)
			}
		}
		if !found && k != "" {
			out = append(out, k)
		}
	}
	return out
}

// How units come to be joined.
const (
	byLamp = 60.0 // mm: a lamp that follows a control this near is its lamp, and moves with it
	mixed  = 0.5  // of the smaller one's controls that stand within the box round the other one's
)

// together joins what would be torn apart: a lamp and what it follows, and rows and grids that stand within each other.
func (j *job) together(all []*unit) {
	join := func(a, b *unit) {
		if a == b {
			return
		}
		if a.stays == "" && b.stays != "" {
			a.stays = "it belongs to " + b.name + ", which stays"
		}
		if b.stays == "" && a.stays != "" {
			b.stays = "it belongs to " + a.name + ", which stays"
		}
		if a.stays != "" || a.fresh || b.fresh {
			return
		}
		a.name += " with " + strings.TrimPrefix(b.name, "the group ")
		a.writers = append(a.writers, b.writers...)
		for _, m := range b.members {
			m.nth = [2]int{} // a step of the one says nothing of the other
			j.of[m.c] = a
			a.members = append(a.members, m)
		}
		a.steps = nil
		b.members, b.writers = nil, nil
	}
	for _, c := range j.p.Controls {
		if of, ok := strings.CutPrefix(c.Sends, "follows "); ok {
			if d := byNameIn(j.p, strings.TrimSpace(of)); d != nil && d.At.Sub(c.At.Vec2).Len() <= byLamp {
				join(j.of[d], j.of[c])
			}
		}
	}
	for again := true; again; {
		again = false
		for i, a := range all {
			for _, b := range all[:i] {
				switch { // also a single one in the midst of a ring
				case len(b.members) > 1 && len(a.members) > 0 && within(a, b), len(a.members) > 1 && len(b.members) > 1 && within(b, a):
					join(b, a)
					again = again || len(a.members) == 0
				case len(a.members) > 1 && len(b.members) > 0 && within(b, a):
					join(a, b)
					again = again || len(b.members) == 0
				}
			}
		}
	}
}

// within reports whether most of a unit's own controls stand in the box round another one's.
func within(a, b *unit) bool {
	box, in, all := geom.EmptyBox2(), 0, 0
	for _, m := range b.members {
		if m.c.From == "" {
			box = box.Extend(m.c.At.Vec2)
		}
	}
	for _, m := range a.members {
		if m.c.From != "" {
			continue
		}
		all++
		if p := m.c.At; p.X >= box.Min.X-1 && p.X <= box.Max.X+1 && p.Y >= box.Min.Y-1 && p.Y <= box.Max.Y+1 {
			in++
		}
	}
	return all > 0 && float64(in) >= mixed*float64(all)
}

// byCaption is how far above or below a row or grid its caption may stand, mm.
const byCaption = 15.0

// captions lets a text over or under a row or grid move with it, when nothing else is nearer to the text.
func (j *job) captions(all []*unit) {
	j.caption = map[string]*unit{}
	for i := range j.p.Texts {
		t := &j.p.Texts[i]
		if t.Origin.MovePath == "" || t.Box.Min.X > t.Box.Max.X {
			continue
		}
		var best *unit
		least := byCaption
		for _, u := range all {
			b := geom.EmptyBox2()
			for _, m := range u.members {
				if m.c.From == "" {
					b = b.Union(frontBox(m.c))
					if m.c.Legend.Box.Min.X < m.c.Legend.Box.Max.X {
						b = b.Union(m.c.Legend.Box)
					}
				}
			}
			mid := t.Box.Centre().X
			gap := max(t.Box.Min.Y-b.Max.Y, b.Min.Y-t.Box.Max.Y)
			if mid < b.Min.X || mid > b.Max.X || gap < -1 || gap >= least {
				continue
			}
			best, least = u, gap
		}
		if best != nil && best.stays == "" && len(best.members) > 1 && t.Box.Size().X < 2*boxOf(best).Size().X {
			j.caption[t.Name] = best
			best.writers = append(best.writers, writer{path: t.Origin.MovePath, at: t.Origin.MoveBase})
		}
	}
}

// boxOf is the box round what a unit's own controls show in front.
func boxOf(u *unit) geom.Box2 {
	b := geom.EmptyBox2()
	for _, m := range u.members {
		if m.c.From == "" {
			b = b.Union(frontBox(m.c))
		}
	}
	return b
}
