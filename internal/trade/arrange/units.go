package arrange

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/solve/place"
)

// unit is what the file moves as one: a control with a place of its own, or a row, column, grid or arc, and with it all mirror images
// and copies. Units that belong together are joined.
type unit struct {
	name    string // as sentences call it
	writers []writer
	members []member
	stays   string // why it does not move, "" = it does
	fresh   bool
	team    string // the group whose members it stands among
	steps   []*panel.Step
	stretch [2]float64 // by how much its other form makes them larger
}

// writer is one place in the file that is written when a unit moves.
type writer struct {
	path  string
	at    geom.Vec2 // its value now
	along string    // "": a pair; x or y: that value alone
	fresh bool      // it is not in the file yet
}

// member is a control of a unit and how it follows.
type member struct {
	c      *panel.Control
	follow place.Matrix
	nth    [2]int // how many steps of each of the unit's steps it stands from the first
}

// read reads the file; false when there is nothing to begin with, and then says why.
func (j *job) read() bool {
	var p *panel.Panel
	p, j.before = j.Full(j.Doc)
	for _, f := range j.Doc.Findings {
		if f.Rule == "file.syntax" {
			j.r.Say = "The file cannot be read as it stands: " + f.Head + " Mend that first."
			return false
		}
	}
	if !p.Face.HasSize() {
		j.r.Say = "The face has no size that can be used yet. Write face: {width: , height: }, then its controls can be arranged."
		return false
	}
	j.doc, j.p, j.fresh = j.Doc, p, map[string]bool{}
	var edits []finding.Edit
	mid := "[" + p.Num(p.Face.Width/2) + ", " + p.Num(p.Face.Height/2) + "]"
	for _, c := range p.Waiting {
		rec, path, ok := j.unplaced(c)
		if c.Part.ID == "" || c.Pinned || !ok || rec.On != "" && rec.On != "face" {
			continue
		}
		edits = append(edits, finding.Edit{Op: finding.Set, Path: path, Value: mid})
		j.fresh[c.Name] = true
	}
	if len(edits) == 0 {
		return true
	}
	src, err := j.Doc.Apply(edits)
	if err != nil {
		j.fresh = map[string]bool{}
		return true
	}
	j.doc = project.Read(j.Doc.Name, src)
	j.p, _ = panel.Place(j.doc, j.Cat)
	return true
}

// unplaced gives the record of a control that stands nowhere, and the path of its place, when a place of its own is what it lacks.
func (j *job) unplaced(c *panel.Control) (rec project.Control, path string, ok bool) {
	if c.Group == "" {
		rec, ok = j.Doc.File.Controls.Map[c.Name]
		return rec, "controls." + c.Name + ".at", ok && rec.At == nil
	}
	g := j.Doc.File.Groups.Get(c.Group)
	if g.Row != nil || g.Column != nil || g.Grid != nil || g.Arc != nil || g.Mirror != nil || g.Copy != nil || g.On != "" && g.On != "face" {
		return rec, "", false
	}
	rec, ok = g.Controls.Map[c.Name]
	return rec, "groups." + c.Group + ".controls." + c.Name + ".at", ok && rec.At == nil
}

// gather sorts the controls of the face into units.
func (j *job) gather() {
	j.of = map[*panel.Control]*unit{}
	byName := map[string]*panel.Control{}
	for _, c := range j.p.Controls {
		byName[c.Name] = c
	}
	units := map[string]*unit{}
	var all []*unit
	find := func(key, name string) *unit {
		u := units[key]
		if u == nil {
			u = &unit{name: name}
			units[key] = u
			all = append(all, u)
		}
		return u
	}
	var root func(c *panel.Control, depth int) *unit
	root = func(c *panel.Control, depth int) *unit {
		switch {
		case strings.HasSuffix(c.Origin.MovePath, ".at"), c.Pinned && c.From == "" && (!j.ruled(c) || j.hasPlace(c)):
			u := find("control "+c.Name, c.Label)
			if len(u.writers) == 0 && c.Origin.MovePath != "" {
				u.writers = []writer{{path: c.Origin.MovePath, at: c.Origin.MoveBase, fresh: j.fresh[c.Name]}}
			}
			u.fresh, u.team = j.fresh[c.Name], c.Group
			return u
		case c.From != "" && byName[c.From] != nil && depth < 20:
			return root(byName[c.From], depth+1)
		case c.Group != "" && j.ruled(c):
			u := find("group "+c.Group, "the group "+c.Group)
			if len(u.writers) == 0 {
				u.writers = j.groupWriters(c.Group)
				for i := range j.p.Steps {
					if j.p.Steps[i].Group == c.Group {
						u.steps = append(u.steps, &j.p.Steps[i])
					}
				}
			}
			return u
		}
		u := find("control "+c.Name, c.Label)
		u.stays = "it has no place in the file that could be changed"
		return u
	}
	for _, c := range j.p.Controls {
		u := root(c, 0)
		j.of[c] = u
		u.members = append(u.members, member{c: c, follow: place.Same, nth: j.nth(u, c, byName)})
	}
	j.staying(units)
	j.together(all)
	all = slices.DeleteFunc(all, func(u *unit) bool { return len(u.members) == 0 })
	j.follow(all)
	j.captions(all)
	for _, u := range all {
		switch {
		case u.stays != "":
			j.r.Stays = append(j.r.Stays, Stay{finding.Capital(u.name), u.stays})
		case len(u.writers) > 0:
			j.units = append(j.units, u)
			j.r.Moves = append(j.r.Moves, u.name)
		}
	}
}

// ruled reports whether a control is placed by the rule of its own group: a row, column, grid or arc.
func (j *job) ruled(c *panel.Control) bool {
	g := j.doc.File.Groups.Get(c.Group)
	return c.Group != "" && (g.Row != nil || g.Column != nil || g.Grid != nil || g.Arc != nil)
}

// hasPlace reports whether a member of a group has a place of its own in the file.
func (j *job) hasPlace(c *panel.Control) bool {
	return j.doc.File.Groups.Get(c.Group).Controls.Map[c.Name].At != nil
}

// nth gives how many steps of its unit's rows and grids a control stands from the first one; an image as many as what it is of.
func (j *job) nth(u *unit, c *panel.Control, byName map[string]*panel.Control) (out [2]int) {
	for d := 0; c.From != "" && byName[c.From] != nil && d < 20; d++ {
		c = byName[c.From]
	}
	for k, s := range u.steps {
		if k < 2 {
			out[k] = s.Members[c.Name]
		}
	}
	return out
}

// groupWriters lists what moves a row, column, grid or arc.
func (j *job) groupWriters(name string) []writer {
	g := j.doc.File.Groups.Get(name)
	path := "groups." + name
	vec := func(p project.Point) geom.Vec2 { return geom.Vec2{X: p[0].MM(), Y: p[1].MM()} }
	var out []writer
	switch {
	case g.Row != nil:
		out = append(out, writer{path: path + ".row.from", at: vec(g.Row.From)})
		if g.Row.To != nil {
			out = append(out, writer{path: path + ".row.to", at: geom.Vec2{X: g.Row.To.MM()}, along: "x"})
		}
	case g.Column != nil:
		out = append(out, writer{path: path + ".column.from", at: vec(g.Column.From)})
		if g.Column.To != nil {
			out = append(out, writer{path: path + ".column.to", at: geom.Vec2{Y: g.Column.To.MM()}, along: "y"})
		}
	case g.Grid != nil:
		out = append(out, writer{path: path + ".grid.from", at: vec(g.Grid.From)})
	case g.Arc != nil:
		out = append(out, writer{path: path + ".arc.centre", at: vec(g.Arc.Centre)})
	}
	if g.About != nil && g.Turn != 0 {
		out = append(out, writer{path: path + ".about", at: vec(*g.About)})
	}
	return out
}

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
	for _, s := range j.p.Sides { // a row that is on two boards, or has images on another one
		for _, c := range s.Panel.Controls {
			from := c
			for range 20 {
				if from.From == "" {
					break
				}
				next := byNameIn(j.p, from.From)
				if next == nil {
					break
				}
				from = next
			}
			if u := units["group "+from.Group]; u != nil && u.stays == "" && j.ruled(from) && !strings.HasSuffix(from.Origin.MovePath, ".at") {
				u.stays = "some of it is on " + s.Name
			} else if u := j.of[from]; u != nil && u.stays == "" {
				u.stays = "an image or copy of it is on " + s.Name
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
	for _, c := range p.Controls {
		if c.Name == name {
			return c
		}
	}
	return nil
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

// follow finds how each control moves when its unit does, by trying: an inch right, an inch up.
func (j *job) follow(all []*unit) {
	leads := false
	for _, c := range j.p.Controls {
		leads = leads || c.From != ""
	}
	if !leads {
		return
	}
	const way = 25.4
	var moved [2]map[string]geom.Vec2
	for k, by := range [2]geom.Vec2{{X: way}, {Y: way}} {
		var edits []finding.Edit
		for _, u := range all {
			if u.stays == "" {
				edits = append(edits, j.shift(u, by)...)
			}
		}
		src, err := j.doc.Apply(edits)
		if err != nil {
			continue
		}
		p, _ := panel.Place(project.Read(j.doc.Name, src), j.Cat)
		moved[k] = map[string]geom.Vec2{}
		for _, c := range p.Controls {
			moved[k][c.Name] = c.At.Vec2
		}
	}
	for _, u := range all {
		for i := range u.members {
			m := &u.members[i]
			a, ok := moved[0][m.c.Name]
			b, ok2 := moved[1][m.c.Name]
			if m.c.From == "" {
				continue
			}
			if !ok || !ok2 {
				u.stays = "how its images move cannot be told"
				break
			}
			a, b = a.Sub(m.c.At.Vec2).Mul(1/way), b.Sub(m.c.At.Vec2).Mul(1/way)
			m.follow = place.Matrix{near(a.X), near(b.X), near(a.Y), near(b.Y)}
		}
	}
}

// near takes what a rounded inch leaves out of -1, 0 and 1.
func near(v float64) float64 {
	if r := math.Round(v); math.Abs(v-r) < 0.004 {
		return r + 0
	}
	return v
}

// shift gives the edits that move a unit by a vector.
func (j *job) shift(u *unit, by geom.Vec2) (out []finding.Edit) {
	for _, w := range u.writers {
		to := w.at.Add(by)
		switch {
		case w.along == "x":
			if math.Abs(by.X) > 1e-9 {
				out = append(out, finding.Edit{Op: finding.Set, Path: w.path, Value: j.p.Num(to.X)})
			}
		case w.along == "y":
			if math.Abs(by.Y) > 1e-9 {
				out = append(out, finding.Edit{Op: finding.Set, Path: w.path, Value: j.p.Num(to.Y)})
			}
		case w.fresh:
			out = append(out, finding.Edit{Op: finding.Set, Path: w.path, Value: "[" + j.p.Num(to.X) + ", " + j.p.Num(to.Y) + "]"})
		case by.Len() > 1e-9:
			out = append(out, j.p.PairEdits(w.path, w.at, to)...)
		}
	}
	return out
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
