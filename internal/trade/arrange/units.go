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
	j.doc, j.whole, j.p, j.fresh = j.Doc, p, j.sheet(p), map[string]bool{}
	var edits []finding.Edit
	mid := "[" + p.Num(10) + ", " + p.Num(10) + "]"
	if j.p != nil {
		mid = "[" + p.Num(j.p.Face.Width/2) + ", " + p.Num(j.p.Face.Height/2) + "]"
	}
	for _, c := range p.Waiting {
		path, ok := j.unplaced(c)
		if c.Part.ID == "" || c.Pinned || !ok || boardFor(j.Doc, c) != j.On {
			continue
		}
		edits = append(edits, finding.Edit{Op: finding.Set, Path: path, Value: mid})
		j.fresh[c.Name] = true
	}
	if len(edits) > 0 {
		src, err := j.Doc.Apply(edits)
		if err == nil {
			j.doc = project.Read(j.Doc.Name, src)
			j.whole, _ = panel.Place(j.doc, j.Cat)
			j.p = j.sheet(j.whole)
		} else {
			j.fresh = map[string]bool{}
		}
	}
	if j.p == nil || !j.p.Face.HasSize() {
		j.r.Say = "There is nothing to arrange on " + j.name() + ": no control stands there, or the box has no such board."
		return false
	}
	return true
}

// unplaced gives the path of the place of a control that stands nowhere, when a place of its own is what it lacks.
func (j *job) unplaced(c *panel.Control) (path string, ok bool) {
	if c.Group == "" {
		rec, ok := j.Doc.File.Controls.Map[c.Name]
		return "controls." + c.Name + ".at", ok && rec.At == nil
	}
	g := j.Doc.File.Groups.Get(c.Group)
	if g.Row != nil || g.Column != nil || g.Grid != nil || g.Arc != nil || g.Mirror != nil || g.Copy != nil {
		return "", false
	}
	rec, ok := g.Controls.Map[c.Name]
	return "groups." + c.Group + ".controls." + c.Name + ".at", ok && rec.At == nil
}

// gather sorts the controls of the board into units.
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
		if p = j.sheet(p); p == nil {
			continue
		}
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
