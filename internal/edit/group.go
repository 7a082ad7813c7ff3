package edit

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// Group is a row, column, grid, arc, mirror or copy of the file as a thing that can be taken in hand.
type Group struct {
	Name    string       `json:"name"`
	Kind    string       `json:"kind"` // row, column, grid, arc, mirror, copy
	Say     string       `json:"say"`  // "a row of 5, 34 mm from middle to middle"
	Path    string       `json:"path"`
	Line    int          `json:"line"`    // in the file
	Members []string     `json:"members"` // names of its controls, in the order of their places
	Handles []Handle     `json:"handles"`
	Outline [][2]float64 `json:"outline"` // through its places, or the line of a mirror; face frame, mm
}

// Handle is a spot of a group that can be pulled, and the value of the file that it stands for.
type Handle struct {
	Kind  string  `json:"kind"` // origin, pitch, down, to, radius, from, line, by
	X     float64 `json:"x"`    // face frame, mm
	Y     float64 `json:"y"`
	Say   string  `json:"say"`   // what it changes: "the step"
	Value string  `json:"value"` // as the file has it, in the file's unit; "" where it is a point
}

// Groups lists the groups that have a rule and members on the face.
func Groups(doc *project.Doc, p *panel.Panel) []Group {
	m := &maker{doc: doc, p: p, inch: p.Units == string(length.Inch)}
	of := map[string][]*panel.Control{}
	for _, c := range p.Controls {
		if c.Group != "" {
			of[c.Group] = append(of[c.Group], c)
		}
	}
	waiting := map[string]int{}
	for _, c := range p.Waiting {
		waiting[c.Group]++
	}
	out := []Group{}
	for _, name := range doc.File.Groups.Keys {
		if g, ok := m.describe(name, of[name], len(of[name])+waiting[name]); ok {
			out = append(out, g)
		}
	}
	return out
}

// lay is how a group's rule places its members: the i-th place, before and after the group as a whole is turned.
type lay struct {
	g     project.Group
	n     int
	pivot geom.Vec2
}

func (l lay) turned(v geom.Vec2) geom.Vec2 {
	return geom.Place{At: l.pivot, Turn: float64(l.g.Turn)}.Apply(v.Sub(l.pivot))
}

// back turns a way on the face into a way of the group before it is turned.
func (l lay) back(v geom.Vec2) geom.Vec2 { return geom.Place{Turn: -float64(l.g.Turn)}.Apply(v) }

func (l lay) place(i int) geom.Vec2 {
	g := l.g
	switch {
	case g.Row != nil:
		if g.Row.To != nil {
			return vec(g.Row.From).Add(geom.Vec2{X: (g.Row.To.MM() - g.Row.From[0].MM()) * l.part(i)})
		}
		return vec(g.Row.From).Add(geom.Vec2{X: g.Row.Step.MM() * float64(i)})
	case g.Column != nil:
		if g.Column.To != nil {
			return vec(g.Column.From).Add(geom.Vec2{Y: (g.Column.To.MM() - g.Column.From[1].MM()) * l.part(i)})
		}
		return vec(g.Column.From).Add(geom.Vec2{Y: -g.Column.Step.MM() * float64(i)})
	case g.Grid != nil:
		cols := max(g.Grid.Columns, 1)
		return vec(g.Grid.From).Add(geom.Vec2{X: g.Grid.Step[0].MM() * float64(i%cols), Y: -g.Grid.Step[1].MM() * float64(i/cols)})
	case g.Arc != nil:
		return l.onArc(l.angle(i))
	}
	return geom.Vec2{}
}

// part is which part of the way from the first to the last place the i-th stands.
func (l lay) part(i int) float64 {
	if l.n < 2 {
		return 0
	}
	return float64(i) / float64(l.n-1)
}

func (l lay) angle(i int) float64 {
	from, sweep := float64(l.g.Arc.From), float64(l.g.Arc.To-l.g.Arc.From)
	gaps := l.n - 1
	if math.Abs(sweep) == 360 {
		gaps = l.n
	}
	if gaps < 1 {
		return from
	}
	return from + sweep*float64(i)/float64(gaps)
}

func (l lay) onArc(deg float64) geom.Vec2 {
	return geom.Place{At: vec(l.g.Arc.Centre), Turn: deg}.Apply(geom.Vec2{X: l.g.Arc.Radius.MM()})
}

func newLay(g project.Group, n int) lay {
	l := lay{g: g, n: n}
	if g.About != nil {
		l.pivot = vec(*g.About)
	} else {
		l.pivot = l.place(0)
	}
	return l
}

func vec(p project.Point) geom.Vec2 { return geom.Vec2{X: p[0].MM(), Y: p[1].MM()} }

func (m *maker) describe(name string, cs []*panel.Control, n int) (Group, bool) {
	f := m.doc.File.Groups.Get(name)
	path := "groups." + name
	g := Group{Name: name, Path: path, Line: m.doc.Pos(path).Line, Members: []string{}, Handles: []Handle{}, Outline: [][2]float64{}}
	if k := m.doc.KeyPos(path).Line; k > 0 {
		g.Line = k
	}
	for _, c := range cs {
		g.Members = append(g.Members, c.Name)
	}
	if n == 0 || len(cs) == 0 {
		return g, false
	}
	l := newLay(f, n)
	add := func(kind string, at geom.Vec2, say, value string) {
		g.Handles = append(g.Handles, Handle{Kind: kind, X: at.X, Y: at.Y, Say: say, Value: value})
	}
	through := func(ps ...geom.Vec2) {
		for _, q := range ps {
			g.Outline = append(g.Outline, [2]float64{q.X, q.Y})
		}
	}
	count := strconv.Itoa(n)
	switch {
	case f.Row != nil || f.Column != nil:
		r, kind := f.Row, "row"
		if r == nil {
			r, kind = f.Column, "column"
		}
		first, last := l.turned(l.place(0)), l.turned(l.place(n-1))
		g.Kind, g.Say = kind, "a "+kind+" of "+count
		add("origin", first, "where the "+kind+" begins", "")
		switch {
		case n < 2:
		case r.To != nil:
			add("to", last, "where the "+kind+" ends", m.value(r.To.MM()))
			g.Say += ", spread to " + m.say(r.To.MM())
		default:
			add("pitch", last, "the step", m.value(r.Step.MM()))
			g.Say += ", " + m.say(r.Step.MM()) + " from middle to middle"
		}
		through(first, last)
	case f.Grid != nil:
		cols := max(f.Grid.Columns, 1)
		across, rows := min(cols, n), (n+cols-1)/cols
		at := func(c, r int) geom.Vec2 { return l.turned(l.place(r*cols + c)) }
		g.Kind = "grid"
		g.Say = "a grid of " + strconv.Itoa(across) + " by " + strconv.Itoa(rows) + ", " + m.say(f.Grid.Step[0].MM()) + " across and " + m.say(f.Grid.Step[1].MM()) + " down from middle to middle"
		add("origin", at(0, 0), "where the grid begins", "")
		if across > 1 {
			add("pitch", at(across-1, 0), "the step across", m.value(f.Grid.Step[0].MM()))
		}
		if rows > 1 {
			add("down", at(0, rows-1), "the step down", m.value(f.Grid.Step[1].MM()))
		}
		through(at(0, 0), at(across-1, 0), at(across-1, rows-1), at(0, rows-1), at(0, 0))
	case f.Arc != nil:
		g.Kind, g.Say = "arc", "an arc of "+count+", radius "+m.say(f.Arc.Radius.MM())
		add("origin", l.turned(vec(f.Arc.Centre)), "the middle of the arc", "")
		mid := (float64(f.Arc.From) + float64(f.Arc.To)) / 2
		add("radius", l.turned(l.onArc(mid)), "the radius", m.value(f.Arc.Radius.MM()))
		if n > 1 {
			add("from", l.turned(l.onArc(float64(f.Arc.From))), "the angle of the first", length.Plain(float64(f.Arc.From)))
			if math.Abs(float64(f.Arc.To-f.Arc.From)) != 360 {
				add("to", l.turned(l.onArc(float64(f.Arc.To))), "the angle of the last", length.Plain(float64(f.Arc.To)))
			}
		}
		for k := range 33 {
			through(l.turned(l.onArc(float64(f.Arc.From) + float64(f.Arc.To-f.Arc.From)*float64(k)/32)))
		}
	case f.Mirror != nil:
		g.Kind = "mirror"
		face := m.p.Face
		upright := f.Mirror.Line != "level"
		at := f.Mirror.At.MM()
		if !m.written(path + ".mirror.at") {
			if at = face.Width / 2; !upright {
				at = face.Height / 2
			}
		}
		if upright {
			add("line", geom.Vec2{X: at, Y: face.Height}, "where the mirror stands", m.value(at))
			through(geom.Vec2{X: at}, geom.Vec2{X: at, Y: face.Height})
		} else {
			add("line", geom.Vec2{Y: at}, "where the mirror lies", m.value(at))
			through(geom.Vec2{Y: at}, geom.Vec2{X: face.Width, Y: at})
		}
		g.Say = count + " images of " + strings.Join(f.Mirror.Of, ", ")
	case f.Copy != nil:
		g.Kind, g.Say = "copy", count+" copies of "+strings.Join(f.Copy.Of, ", ")
		add("by", cs[0].At.Vec2, "how far off the copies stand", "")
	default:
		return g, false
	}
	return g, true
}

// group changes one value of a group: by pulling a handle, or as typed.
func (m *maker) group(a Act) (Done, error) {
	name, path := a.Name, "groups."+a.Name
	f, ok := m.doc.File.Groups.Map[name]
	if !ok {
		return Done{}, refuse("There is no group called ", short(name), " any more.")
	}
	n := 0
	for _, c := range m.by {
		if c.Group == name {
			n++
		}
	}
	by := geom.Vec2{X: a.By[0], Y: a.By[1]}
	l := newLay(f, n)
	along := l.back(by)
	d := Done{Say: "change " + name}
	var err error
	switch {
	case a.How == "origin" && (f.Row != nil || f.Column != nil || f.Grid != nil || f.Arc != nil):
		d.Say = "move " + name
		for i := range 2 {
			if t := [2]string{a.Across, a.Up}[i]; strings.TrimSpace(t) != "" {
				v, e := m.read(t)
				if e != nil {
					return Done{}, e
				}
				at := l.turned(l.place(0))
				if f.Arc != nil {
					at = l.turned(vec(f.Arc.Centre))
				}
				if i == 0 {
					by.X = v - at.X
				} else {
					by.Y = v - at.Y
				}
			}
		}
		d.Edits = m.shiftGroup(name, by)
	case a.How == "pitch" && f.Row != nil && f.Row.To == nil:
		d.Edits, err = m.pull(path+".row.step", f.Row.Step.MM(), along.X/float64(max(n-1, 1)), a)
	case a.How == "to" && f.Row != nil && f.Row.To != nil:
		d.Edits, err = m.pull(path+".row.to", f.Row.To.MM(), along.X, a)
	case a.How == "pitch" && f.Column != nil && f.Column.To == nil:
		d.Edits, err = m.pull(path+".column.step", f.Column.Step.MM(), -along.Y/float64(max(n-1, 1)), a)
	case a.How == "to" && f.Column != nil && f.Column.To != nil:
		d.Edits, err = m.pull(path+".column.to", f.Column.To.MM(), along.Y, a)
	case a.How == "pitch" && f.Grid != nil:
		across := min(max(f.Grid.Columns, 1), n)
		d.Edits, err = m.pull(path+".grid.step.0", f.Grid.Step[0].MM(), along.X/float64(max(across-1, 1)), a)
	case a.How == "down" && f.Grid != nil:
		cols := max(f.Grid.Columns, 1)
		d.Edits, err = m.pull(path+".grid.step.1", f.Grid.Step[1].MM(), -along.Y/float64(max((n+cols-1)/cols-1, 1)), a)
	case f.Arc != nil && (a.How == "radius" || a.How == "from" || a.How == "to"):
		d.Edits, err = m.pullArc(path+".arc.", l, by, a)
	case a.How == "line" && f.Mirror != nil:
		at := m.describeLine(path, f)
		way := by.X
		if f.Mirror.Line == "level" {
			way = by.Y
		}
		d.Edits, err = m.pull(path+".mirror.at", at, way, a)
	case a.How == "by" && f.Copy != nil:
		d.Edits = m.pair(path+".copy.by", vec(f.Copy.By), vec(f.Copy.By).Add(by), [2]string{})
	default:
		return Done{}, refuse("The group ", name, " has no such handle.")
	}
	if err == nil && len(d.Edits) == 0 {
		err = refuse("It is so already.")
	}
	return d, err
}

func (m *maker) describeLine(path string, f project.Group) float64 {
	switch {
	case m.written(path + ".mirror.at"):
		return f.Mirror.At.MM()
	case f.Mirror.Line == "level":
		return m.p.Face.Height / 2
	}
	return m.p.Face.Width / 2
}

// pull changes a length by so much, or to what was typed. Pulled ones are rounded to half millimetres or 32nds of an inch, and steps stay
// more than nothing.
func (m *maker) pull(path string, v, by float64, a Act) ([]finding.Edit, error) {
	step := strings.Contains(path, ".step") || strings.HasSuffix(path, ".radius")
	if t := strings.TrimSpace(a.Across); t != "" {
		to, err := m.read(t)
		if err != nil {
			return nil, err
		}
		if step && to <= 0 {
			return nil, refuse("A step is more than nothing.")
		}
		if math.Abs(to-v) < hair {
			return nil, nil
		}
		if t = plainly(t); ownWords(t) {
			return []finding.Edit{set(path, t)}, nil
		}
		return []finding.Edit{set(path, m.value(to))}, nil
	}
	to := v + by
	if !a.Fine {
		grain := 0.5
		if m.inch {
			grain = length.PerInch / 32
		}
		to = math.Round(to/grain) * grain
	}
	if step {
		to = max(to, 1)
	}
	if math.Abs(to-v) < hair {
		return nil, nil
	}
	return []finding.Edit{set(path, m.value(to))}, nil
}

func (m *maker) pullArc(path string, l lay, by geom.Vec2, a Act) ([]finding.Edit, error) {
	arc := l.g.Arc
	centre := l.turned(vec(arc.Centre))
	was := map[string]float64{"radius": (float64(arc.From) + float64(arc.To)) / 2, "from": float64(arc.From), "to": float64(arc.To)}[a.How]
	at := l.turned(l.onArc(was)).Sub(centre)
	now := at.Add(by)
	if a.How == "radius" {
		return m.pull(path+"radius", arc.Radius.MM(), now.Len()-arc.Radius.MM(), a)
	}
	to := was
	if t := strings.TrimSpace(a.Across); t != "" {
		v, err := length.ParseAngle(t)
		if err != nil {
			return nil, &Refusal{finding.Capital(err.Error()) + "."}
		}
		to = float64(v)
	} else {
		turn := math.Atan2(at.Cross(now), at.Dot(now)) * 180 / math.Pi
		to += turn
		if !a.Fine {
			to = math.Round(to)
		}
	}
	if math.Abs(to-was) < hair {
		return nil, nil
	}
	return []finding.Edit{set(path+a.How, length.Plain(to))}, nil
}
