package panel

import (
	"math"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// seat is one control after groups are expanded and before its part is looked up.
type seat struct {
	name    string
	rec     project.Control // as written, with its group's part and, for a copy, its source's values laid under
	at      geom.Vec2
	placed  bool
	turn    float64
	group   string
	origin  Origin // Name is filled when the legend is known
	part    string // path of the part's name
	adjust  string // path of the changes to the part
	legend  string // path of the legend
	knob    string // path of the knob
	on      string // path of the board's word
	derived bool   // made by a mirror or a copy
	source  string // name of what it is an image or copy of
	letters string // place of the legend after a mirror, "" as written
}

// expander lays groups out. It works on the file alone, without the catalogue.
type expander struct {
	*placer
	done  map[string][]seat
	open  []string // groups being laid out, outermost first
	count int      // places handed out so far, and their limit
	full  bool
}

// expand gives all controls: plain ones, then the groups in order.
func (pl *placer) expand() []seat {
	x := &expander{placer: pl, done: map[string][]seat{}}
	var out []seat
	for _, name := range pl.f.Controls.Keys {
		out = append(out, x.plain(name))
	}
	for _, g := range pl.f.Groups.Keys {
		out = append(out, x.group(g)...)
	}
	return out
}

// plain is a control under controls: at the top of the file.
func (x *expander) plain(name string) seat {
	path := "controls." + name
	s := x.member(name, x.f.Controls.Get(name), path)
	if a := s.rec.At; a != nil {
		s.origin.MovePath, s.origin.MoveBase = path+".at", vec(*a)
	}
	return s
}

// member makes the seat of a control record, standing where its own at and shift say.
func (x *expander) member(name string, rec project.Control, path string) seat {
	s := seat{
		name: name, rec: rec, turn: float64(rec.Turn), origin: Origin{Path: path, Pos: x.pos(path)},
		part: path + ".part", adjust: path + ".adjust", legend: path + ".legend", knob: path + ".knob", on: path + ".on",
	}
	if rec.At != nil {
		s.at, s.placed = vec(*rec.At), true
	}
	if rec.Shift != nil {
		s.at = s.at.Add(vec(*rec.Shift))
	}
	return s
}

// group lays one group out, once.
func (x *expander) group(name string) []seat {
	if s, ok := x.done[name]; ok {
		return s
	}
	x.open = append(x.open, name)
	g := x.f.Groups.Get(name)
	var out []seat
	switch rule := x.ruleOf(name, g); {
	case rule == "":
		out = x.layout(name, g, func(i, n int) (geom.Vec2, float64, bool) { return geom.Vec2{}, 0, false }, "")
	case g.Mirror != nil && rule == "mirror":
		out = x.mirror(name, g)
	case g.Copy != nil && rule == "copy":
		out = x.copies(name, g)
	default:
		out = x.layout(name, g, x.places(name, g, rule), rule)
	}
	x.open = x.open[:len(x.open)-1]
	x.done[name] = out
	return out
}

// ruleOf names the one rule of a group: row, column, grid, arc, mirror, copy, or "" when it has none.
func (x *expander) ruleOf(name string, g project.Group) string {
	var has []string
	for _, r := range []struct {
		is   bool
		name string
	}{{g.Row != nil, "row"}, {g.Column != nil, "column"}, {g.Grid != nil, "grid"}, {g.Arc != nil, "arc"}, {g.Mirror != nil, "mirror"}, {g.Copy != nil, "copy"}} {
		if r.is {
			has = append(has, r.name)
		}
	}
	path := "groups." + name
	if len(has) > 1 {
		x.trouble(path+"."+has[1], "The group "+name+" is a "+has[0]+" and a "+has[1]+" at once.", "It is laid out as a "+has[0]+"; take the other out.")
	}
	if len(has) == 0 {
		return ""
	}
	return has[0]
}

func (x *expander) trouble(path, head, body string) {
	x.say(ruleGroup, finding.Finding{Head: head, Body: body, Ends: []finding.End{x.end("the group "+groupOf(path), path)}})
}

func groupOf(path string) string {
	s := strings.Split(path, ".")
	if len(s) > 1 {
		return s[1]
	}
	return path
}

// place says where the i-th of n members stands and how it is turned; false when the rule does not say.
type place func(i, n int) (at geom.Vec2, turn float64, ok bool)

// places makes the placing rule of a row, column, grid or arc.
func (x *expander) places(name string, g project.Group, rule string) place {
	path := "groups." + name + "." + rule
	switch rule {
	case "row", "column":
		r, along := g.Row, geom.Vec2{X: 1}
		if rule == "column" {
			r, along = g.Column, geom.Vec2{Y: -1}
		}
		from, step := vec(r.From), r.Step.MM()
		if r.To != nil {
			if x.written(path+".step") && step != 0 {
				x.noEffect("the step", path+".step", "The step of "+name+" has no effect beside to: the end decides.")
			}
			span := r.To.MM() - from.X
			if rule == "column" {
				span = from.Y - r.To.MM()
			}
			return func(i, n int) (geom.Vec2, float64, bool) {
				if n < 2 {
					return from, 0, true
				}
				return from.Add(along.Mul(span * float64(i) / float64(n-1))), 0, true
			}
		}
		return func(i, n int) (geom.Vec2, float64, bool) {
			return from.Add(along.Mul(step * float64(i))), 0, i == 0 || step != 0
		}
	case "grid":
		from, cols := vec(g.Grid.From), max(g.Grid.Columns, 1)
		dx, dy := g.Grid.Step[0].MM(), g.Grid.Step[1].MM()
		return func(i, _ int) (geom.Vec2, float64, bool) {
			c, r := i%cols, i/cols
			return from.Add(geom.Vec2{X: dx * float64(c), Y: -dy * float64(r)}), 0, (c == 0 || dx != 0) && (r == 0 || dy != 0)
		}
	}
	a := g.Arc
	c, r := vec(a.Centre), a.Radius.MM()
	from, sweep := float64(a.From), float64(a.To-a.From)
	return func(i, n int) (geom.Vec2, float64, bool) {
		gaps := n - 1
		if math.Abs(sweep) == 360 {
			gaps = n // a full circle: the last place is not the first again
		}
		deg := from
		if gaps > 0 {
			deg += sweep * float64(i) / float64(gaps)
		}
		turn := 0.0
		if a.Facing {
			turn = deg - 90
		}
		return geom.Place{At: c, Turn: deg}.Apply(geom.Vec2{X: r}), turn, r > 0 && (n < 2 || sweep != 0)
	}
}

// layout puts members, or counted names, on the places of a rule.
func (x *expander) layout(name string, g project.Group, at place, rule string) []seat {
	path := "groups." + name
	names, counted := x.memberNames(name, g, rule)
	if rule == "" && len(names) > 0 && !allPlaced(g, names) {
		x.missing("the group "+name, path, "The group "+name+" has no row, column, grid, arc, mirror or copy yet.", "Its members stand nowhere until it has, or until each has a place of its own.")
	}
	var seats []seat
	bare, told := g, false
	for i, n := range names {
		if x.overflow(path) {
			break
		}
		mp := path + ".controls." + n
		rec := g.Controls.Get(n)
		s := x.member(n, rec, mp)
		s.group = name
		if counted && !x.written(mp) {
			s.origin.Path, s.origin.Pos = path, x.pos(path)
		}
		if rec.Part == "" {
			s.rec.Part, s.part = bare.Part, path+".part"
		}
		if rec.On == "" && bare.On != "" {
			s.rec.On, s.on = bare.On, path+".on"
		}
		if rec.At == nil {
			p, turn, ok := at(i, len(names))
			if !ok && rule != "" && !told {
				told = true
				x.trouble(path+"."+rule, "The "+rule+" "+name+" puts several controls on one spot.", rule2cure(rule))
			}
			s.at, s.placed = p.Add(s.at), ok
			s.turn += turn
		}
		seats = append(seats, s)
	}
	x.turnGroup(g, seats)
	for i := range seats {
		x.anchor(&seats[i], path+".controls."+seats[i].name)
	}
	x.steps(name, g, rule, seats)
	return seats
}

// steps keeps the steps of a row, column or grid, for fixes that spread the whole group.
func (x *expander) steps(name string, g project.Group, rule string, seats []seat) {
	path := "groups." + name + "." + rule + ".step"
	if !x.written(path) || len(seats) < 2 {
		return
	}
	p := x.p
	if on := seats[0].rec.On; on != "" && on != "face" {
		s := x.side(on)
		if s == nil {
			return
		}
		p = s.Panel
	}
	keep := func(s Step, nth func(i int) int) {
		s.Group, s.Path, s.Members = name, path, map[string]int{}
		s.Along = geom.Place{Turn: float64(g.Turn)}.Apply(s.Along)
		for i := range seats {
			if seats[i].placed && seats[i].rec.At == nil && seats[i].rec.On == seats[0].rec.On {
				s.Members[seats[i].name] = nth(i)
			}
		}
		if s.Size > 0 {
			p.Steps = append(p.Steps, s)
		}
	}
	each := func(i int) int { return i }
	switch {
	case rule == "row" && g.Row.To == nil:
		keep(Step{Size: g.Row.Step.MM(), Along: geom.Vec2{X: 1}}, each)
	case rule == "column" && g.Column.To == nil:
		keep(Step{Size: g.Column.Step.MM(), Along: geom.Vec2{Y: -1}}, each)
	case rule == "grid":
		p := &[2]float64{g.Grid.Step[0].MM(), g.Grid.Step[1].MM()}
		cols := max(g.Grid.Columns, 1)
		keep(Step{Size: p[0], Pair: p, Along: geom.Vec2{X: 1}}, func(i int) int { return i % cols })
		keep(Step{Size: p[1], Pair: p, Second: true, Along: geom.Vec2{Y: -1}}, func(i int) int { return i / cols })
	}
}

func rule2cure(rule string) string {
	switch rule {
	case "arc":
		return "Give it a radius, and angles from and to that differ."
	case "grid":
		return "Give step two values: how far right, and how far down."
	}
	return "Give it a step, or with to: where its last control stands."
}

func allPlaced(g project.Group, names []string) bool {
	for _, n := range names {
		if g.Controls.Get(n).At == nil {
			return false
		}
	}
	return true
}

// anchor tells how a member of a row, grid or arc is moved: by its shift, or by the place it has been given itself.
func (x *expander) anchor(s *seat, path string) {
	switch {
	case s.rec.At != nil:
		s.origin.MovePath, s.origin.MoveBase = path+".at", vec(*s.rec.At)
	case s.placed && s.rec.Shift != nil:
		s.origin.MovePath, s.origin.MoveBase = path+".shift", vec(*s.rec.Shift)
	case s.placed:
		s.origin.MovePath = path + ".shift"
	}
}

// turnGroup turns the whole group about its pivot. What a member shifts by is left in the directions of the face, and a
// member with a place of its own stays there.
func (x *expander) turnGroup(g project.Group, seats []seat) {
	if g.Turn == 0 {
		return
	}
	var pivot geom.Vec2
	switch {
	case g.About != nil:
		pivot = vec(*g.About)
	default:
		found := false
		for _, s := range seats {
			if s.placed && s.rec.At == nil {
				pivot, found = s.at.Sub(shiftOf(s)), true
				break
			}
		}
		if !found {
			return
		}
	}
	for i := range seats {
		s := &seats[i]
		if !s.placed || s.rec.At != nil {
			continue
		}
		sh := shiftOf(*s)
		s.at = rotate(s.at.Sub(sh), pivot, float64(g.Turn)).Add(sh)
		s.turn = norm(s.turn + float64(g.Turn))
	}
}

func shiftOf(s seat) geom.Vec2 {
	if s.rec.Shift == nil {
		return geom.Vec2{}
	}
	return vec(*s.rec.Shift)
}

func rotate(p, about geom.Vec2, deg float64) geom.Vec2 {
	return geom.Place{At: about, Turn: deg}.Apply(p.Sub(about))
}

// norm brings an angle into -180 < a <= 180, exactly for whole degrees.
func norm(deg float64) float64 {
	d := math.Mod(deg, 360)
	switch {
	case d > 180:
		d -= 360
	case d <= -180:
		d += 360
	}
	return d + 0 // never -0
}

// overflow reports, once, that there are too many controls.
func (x *expander) overflow(path string) bool {
	x.count++
	if x.count <= maxControls {
		return false
	}
	if !x.full {
		x.full = true
		x.trouble(path, "There are more than "+itoa(maxControls)+" controls.", "The rest is left out.")
	}
	return true
}

// likely gives the likely word as a hint and, when there is one, the fix that writes it at path.
func likely(word, path string, words []string) (hint string, fixes []finding.Fix) {
	near := yamlfile.Nearest(word, words)
	if near == "" {
		return "", nil
	}
	return "Did you mean " + near + "?", []finding.Fix{setTo("Write "+near, path, near)}
}
