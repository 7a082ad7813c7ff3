package arrange

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/solve/place"
)

// boxed is a unit with the box round its own fronts.
type boxed struct {
	i int
	b geom.Box2
}

// orders asks for what stands in a row now to stay in its order, for rows to stay above each other, and for what had no place to stand in
// the order of the file. The members of a group that stand roughly in a row, or nowhere yet, are asked to stand in one.
func (j *job) orders() {
	var all []boxed
	last := -1
	rowed := j.teamRows()
	for i, u := range j.units {
		if u.fresh {
			if last >= 0 && !(rowed[i] != "" && rowed[i] == rowed[last]) {
				j.pr.Orders = append(j.pr.Orders, place.Order{A: last, B: i, Dir: geom.Vec2{X: 1}, Least: 8, Reading: true})
			}
			last = i
			continue
		}
		if b := ownBox(u); b.Min.X <= b.Max.X {
			all = append(all, boxed{i, b})
		}
	}
	for x := range all {
		for y := range all {
			if o, ok := follows(all, x, y); ok && !(rowed[o.A] != "" && rowed[o.A] == rowed[o.B]) {
				o.Line = j.level(o.A, o.B, o.Dir)
				j.pr.Orders = append(j.pr.Orders, o)
			}
		}
	}
}

// ownBox is the box round the fronts of a unit's controls that move as it does.
func ownBox(u *unit) geom.Box2 {
	b := geom.EmptyBox2()
	for _, m := range u.members {
		if m.follow == place.Same {
			b = b.Union(frontBox(m.c))
		}
	}
	return b
}

func overlap(a, b, c, d float64) float64 { return min(b, d) - max(a, c) }

// beside and above tell whether two boxes stand side by side, or over each other, by more than half of the smaller one.
func beside(a, b *geom.Box2) bool {
	return overlap(a.Min.Y, a.Max.Y, b.Min.Y, b.Max.Y) > 0.5*min(a.Size().Y, b.Size().Y)
}

func above(a, b *geom.Box2) bool {
	return overlap(a.Min.X, a.Max.X, b.Min.X, b.Max.X) > 0.5*min(a.Size().X, b.Size().X)
}

// follows tells whether y is the next to the right of x, or the next below it.
func follows(all []boxed, x, y int) (o place.Order, ok bool) {
	if x == y {
		return o, false
	}
	p, q := &all[x].b, &all[y].b
	m, n := p.Centre(), q.Centre()
	near := beside
	switch {
	case n.X > m.X && beside(p, q):
		o = place.Order{A: all[x].i, B: all[y].i, Dir: geom.Vec2{X: 1}, Least: 1}
	case n.Y < m.Y && above(p, q):
		o, near = place.Order{A: all[x].i, B: all[y].i, Dir: geom.Vec2{Y: -1}, Least: 1}, above
	default:
		return o, false
	}
	for z := range all { // only next neighbours: the rest follows
		w := all[z].b.Centre()
		if z != x && z != y && w.Sub(m).Dot(o.Dir) > 0 && n.Sub(w).Dot(o.Dir) > 0 && near(p, &all[z].b) {
			return o, false
		}
	}
	return o, true
}

// teamRows asks the members of each group with places of their own to stand in one row or column, when they nearly do, or when they stand
// nowhere yet and have room in one. It gives the group of each unit that is asked so.
func (j *job) teamRows() map[int]string {
	out := map[int]string{}
	teams := map[string][]int{}
	var names []string
	for i, u := range j.units {
		if u.team != "" && len(u.members) == 1 {
			if teams[u.team] == nil {
				names = append(names, u.team)
			}
			teams[u.team] = append(teams[u.team], i)
		}
	}
	for _, name := range names {
		t := teams[name]
		if len(t) < 2 {
			continue
		}
		fresh, wide := 0, 0.0
		mids := geom.EmptyBox2()
		for _, i := range t {
			c := j.units[i].members[0].c
			if j.units[i].fresh {
				fresh++
			}
			wide += frontBox(c).Size().X + usualGap
			mids = mids.Extend(c.At.Vec2)
		}
		dir, z := geom.Vec2{X: 1}, mids.Size()
		switch {
		case fresh == len(t) && wide < 0.8*j.p.Face.Width:
		case fresh > 0:
			continue
		case z.Y <= rowLike*z.X:
		case z.X <= rowLike*z.Y:
			dir = geom.Vec2{Y: -1}
		default:
			continue
		}
		if fresh == 0 {
			slices.SortStableFunc(t, func(a, b int) int {
				return cmp.Compare(j.units[a].members[0].c.At.Dot(dir), j.units[b].members[0].c.At.Dot(dir))
			})
		}
		for k, i := range t {
			out[i] = name
			if k > 0 {
				j.pr.Orders = append(j.pr.Orders, place.Order{A: t[k-1], B: i, Dir: dir, Least: 1, Line: true})
			}
		}
	}
	return out
}

// What makes a row of a group.
const (
	usualGap = 15.0 // mm between the fronts of controls that are to be laid out in one row
	rowLike  = 0.35 // it is so much less high than wide
)

// How far off a line two things may stand now to be meant to stand in it, mm.
const (
	meantRow    = 8
	meantColumn = 4
)

// level reports whether two units stand in one line along a direction now, or nearly.
func (j *job) level(a, b int, dir geom.Vec2) bool {
	best := math.Inf(1)
	for _, m := range j.units[a].members {
		for _, n := range j.units[b].members {
			if m.follow == place.Same && n.follow == place.Same {
				d := m.c.At.Sub(n.c.At.Vec2)
				best = min(best, math.Abs(d.Cross(dir)))
			}
		}
	}
	if dir.X > 0 {
		return best <= meantRow
	}
	return best <= meantColumn
}
