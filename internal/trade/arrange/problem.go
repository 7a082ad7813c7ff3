package arrange

import (
	"math"
	"slices"
	"strconv"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/solve/place"
	"knobwright/internal/trade/face"
)

// problem turns the units into a problem of package place.
func (j *job) problem() {
	j.layout = face.Plan(j.p)
	j.kinds, j.groups = map[string]int{}, map[string]int{}
	j.grain = j.grainOf()
	f := &j.p.Face
	pr := &place.Problem{
		Apart: rooms(j.layout.Apart), Within: rooms(j.layout.Within), Grain: j.grain, Axis: f.Width / 2,
		Frame: geom.Box2{Max: geom.Vec2{X: f.Width, Y: f.Height}}, Weight: place.Usual,
	}
	j.pr = pr
	for _, bs := range j.layout.Bounds {
		var sides []place.Side
		for _, b := range bs {
			sides = append(sides, place.Side{N: b.N, Good: min(b.Good, b.Least), Least: b.Least})
		}
		pr.Sides = append(pr.Sides, sides)
	}
	for _, l := range j.layout.Sheets {
		pr.Layers = append(pr.Layers, place.Layer{Name: l.Name, Class: l.Class})
	}
	item := map[*unit]int{}
	for i, u := range j.units {
		item[u] = i
		start := u.writers[0].at
		pr.Items = append(pr.Items, place.Item{Name: u.name, Start: start, Fresh: u.fresh, Forms: [][]place.Body{nil}})
	}
	for i := range j.layout.Things {
		t := &j.layout.Things[i]
		u := j.of[t.Control]
		n, moves := item[u]
		if k, ok := item[j.caption[t.Text]]; ok && t.Text != "" {
			at := t.Pieces[0].Core[0]
			pr.Items[k].Forms[0] = append(pr.Items[k].Forms[0], place.Body{Kind: j.kind(t, at), At: at.Sub(pr.Items[k].Start), Follow: place.Same})
			continue
		}
		if t.Control == nil || u == nil || !moves {
			at := geom.Vec2{}
			group := 0
			if t.Control != nil {
				at, group = t.Control.At.Vec2, j.groupNo(t.Control.Group)
			}
			pr.Stay = append(pr.Stay, place.Body{Kind: j.kind(t, at), At: at, Follow: place.Same, Group: group})
			continue
		}
		m := u.memberOf(t.Control)
		it := &pr.Items[n]
		it.Forms[0] = append(it.Forms[0], place.Body{
			Kind: j.kind(t, t.Control.At.Vec2), At: t.Control.At.Sub(m.follow.Apply(it.Start)), Follow: m.follow, Group: j.groupNo(t.Control.Group),
		})
	}
	like := map[string]int{}
	teams := map[string]int{}
	for i, u := range j.units {
		it := &pr.Items[i]
		key := u.likeness()
		if like[key] == 0 {
			like[key] = len(like) + 1
		}
		it.Like = like[key]
		if u.team != "" {
			if teams[u.team] == 0 {
				teams[u.team] = len(teams) + 1
			}
			it.Team = teams[u.team]
		}
		for _, m := range u.members {
			b := frontBox(m.c)
			z := b.Size()
			it.Mass += max(z.X*z.Y, 1)
		}
		j.forms(u, it)
	}
	if 2*len(j.fresh) > len(j.p.Controls) { // little is laid out yet: rows before all
		pr.Weight.Rows *= 3
	}
	j.orders()
}

func rooms(in [][]face.Room) [][]place.Room {
	out := make([][]place.Room, len(in))
	for i, row := range in {
		out[i] = make([]place.Room, len(row))
		for k, r := range row {
			out[i][k] = place.Room{Good: r.Good, Least: r.Least}
		}
	}
	return out
}

func (u *unit) memberOf(c *panel.Control) *member {
	for i := range u.members {
		if u.members[i].c == c {
			return &u.members[i]
		}
	}
	return nil
}

// kind gives the number of a thing's footprint round a point; alike ones have one number.
func (j *job) kind(t *face.Thing, at geom.Vec2) int {
	key := make([]byte, 0, 400)
	var k place.Kind
	num := func(v float64) { key = strconv.AppendInt(append(key, ' '), int64(math.Round(v*1e5)), 36) }
	for _, f := range t.Pieces {
		p := place.Piece{R: f.R, Class: f.Class, Core: make([]geom.Vec2, len(f.Core))}
		key = strconv.AppendInt(append(key, '/'), int64(f.Class), 36)
		num(f.R)
		for i, v := range f.Core {
			p.Core[i] = v.Sub(at)
			num(p.Core[i].X)
			num(p.Core[i].Y)
		}
		k = append(k, p)
	}
	if n, ok := j.kinds[string(key)]; ok {
		return n
	}
	n := len(j.pr.Kinds)
	j.kinds[string(key)] = n
	j.pr.Kinds = append(j.pr.Kinds, k)
	return n
}

func (j *job) groupNo(name string) int {
	if name == "" {
		return 0
	}
	if j.groups[name] == 0 {
		j.groups[name] = len(j.groups) + 1
	}
	return j.groups[name]
}

// likeness tells what may be counterparts of each other on the left and on the right.
func (u *unit) likeness() string {
	if len(u.members) == 1 {
		z := frontBox(u.members[0].c).Size()
		return string(u.members[0].c.Part.Class) + strconv.Itoa(int(math.Round(max(z.X, z.Y)/5)))
	}
	return u.members[0].c.Part.ID + " x " + strconv.Itoa(len(u.members))
}

// frontBox is the box round what a control shows in front, at rest.
func frontBox(c *panel.Control) geom.Box2 {
	b := geom.EmptyBox2()
	for _, x := range c.Front {
		if x.Role != panel.RoleTool && x.Role != panel.RoleSweep && !x.Outline.Empty() {
			b = b.Union(x.Outline.Bounds())
		}
	}
	if b.Min.X > b.Max.X && len(c.Cuts) > 0 && !c.Cuts[0].Outline.Empty() { // a window shows its opening
		b = c.Cuts[0].Outline.Bounds()
	}
	if b.Min.X > b.Max.X {
		b = geom.EmptyBox2().Extend(c.At.Vec2)
	}
	return b
}

// grainOf is what new places are multiples of: a millimetre when all places of the file are, else half of one; in inches a twentieth.
func (j *job) grainOf() float64 {
	if j.p.Units == "in" {
		return 25.4 / 20
	}
	for _, u := range j.units {
		for _, w := range u.writers {
			if !w.fresh && (math.Abs(w.at.X-math.Round(w.at.X)) > 1e-6 || math.Abs(w.at.Y-math.Round(w.at.Y)) > 1e-6) {
				return 0.5
			}
		}
	}
	return 1
}

// mostStep is how far a step may be made larger, mm.
const mostStep = 30

// forms adds the form with larger steps to a row or grid whose members stand too near to each other.
func (j *job) forms(u *unit, it *place.Item) {
	n := place.Inner(j.pr, it.Forms[0])
	if n == 0 || len(u.steps) == 0 || u.fresh {
		return
	}
	grain := 0.5
	if j.p.Units == "in" {
		grain = 25.4 / 20
	}
	add := [2]float64{}
	best := it.Forms[0]
	for k, s := range u.steps {
		if k > 1 {
			break
		}
		now := place.Inner(j.pr, best)
		from := add
		for d := math.Ceil(s.Size/grain+1e-6)*grain - s.Size; d <= mostStep && now > 0; d += grain {
			try := from
			try[k] = d
			if b := j.stretched(u, it, try); place.Inner(j.pr, b) < now {
				now, best, add = place.Inner(j.pr, b), b, try
			}
		}
	}
	if add != [2]float64{} {
		it.Forms = append(it.Forms, best)
		u.stretch = add
	}
}

// stretched gives a unit's bodies with its steps made larger.
func (j *job) stretched(u *unit, it *place.Item, by [2]float64) []place.Body {
	out := slices.Clone(it.Forms[0])
	i := 0
	for t := range j.layout.Things {
		c := j.layout.Things[t].Control
		if c == nil || j.of[c] != u {
			continue
		}
		m := u.memberOf(c)
		for k, s := range u.steps {
			if k < 2 {
				out[i].At = out[i].At.Add(m.follow.Apply(s.Along.Mul(by[k] * float64(m.nth[k]))))
			}
		}
		i++
	}
	return out
}
