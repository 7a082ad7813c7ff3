package box

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// Foot is a rubber foot: its middle on the underside of a board.
type Foot struct {
	Board            string
	At               geom.Vec3
	Diameter, Height float64
	Seen             geom.Vec2 // in the frame of that board: from its lower left corner as seen from below
}

// underside is what the feet go on: the lowest level side of the base.
func (w *worker) underside() *carcass.Board {
	for i := range w.c.Boards {
		b := &w.c.Boards[i]
		if b.Role == carcass.RoleBase && b.Frame.N.Z < -1+1e-6 && b.OuterOutline != nil {
			return b
		}
	}
	return nil
}

// feet places four feet: in the corners of the base, inside its edges and outside the heads of the screws.
func (w *worker) feet(r *Result) {
	if w.Feet.None {
		return
	}
	b := w.underside()
	if b == nil {
		w.say(ruleFeet, finding.Finding{
			Head: "There is no base to put feet on.", Body: "The box stands on the edges of its walls: it slips and scratches. Give it a base, or felt on the edges.",
			Ends: []finding.End{w.end("base")},
		})
		return
	}
	d, h, in := w.Feet.Diameter, w.Feet.Height, w.Feet.Inset
	if d <= 0 {
		d = 12
	}
	if h <= 0 {
		h = 5
	}
	if in <= 0 {
		in = d/2 + 6
	}
	box := b.OuterOutline.Bounds()
	size := box.Size()
	up := b.Frame.O.Z // how far the base is above the table: below it the walls stand out
	if up > h-2 && w.c.Spec.Build.BaseFit == carcass.Between {
		w.say(ruleFeet, finding.Finding{
			Head: fmt.Sprintf("The feet are %s high, and the base lies %s up between the walls: they hardly reach the table.", w.mm(h), w.mm(up)),
			Body: "Take higher feet, or let the base in flush.", Ends: []finding.End{w.end("feet"), w.end("base")},
			Measure: &finding.Measure{Have: h, Want: up + 2, Unit: "mm", Sense: finding.AtLeast},
		})
	}
	most := min(size.X, size.Y)/2 - d/2
	if !(most > 0) || in-d/2 < 1 || in > most+d/2 {
		w.say(ruleFeet, finding.Finding{
			Head:    fmt.Sprintf("Feet of %s do not go on the base %s in from its edges.", w.mm(d), w.mm(in)),
			Ends:    []finding.End{w.end("feet"), w.end("base")},
			Measure: &finding.Measure{Have: in, Want: d/2 + 1, WantMax: max(most, 0) + d/2, Unit: "mm", Sense: finding.Between},
		})
		in = clamp(in, d/2+1, max(most, d/2+1))
		if !(most > 0) {
			return
		}
	}
	gap := clamp(w.Limits.Value(limFootGap), 0, 50)
	for _, c := range [4][2]float64{{1, 1}, {-1, 1}, {1, -1}, {-1, -1}} {
		at := geom.Vec2{X: box.Min.X + in, Y: box.Min.Y + in}
		if c[0] < 0 {
			at.X = box.Max.X - in
		}
		if c[1] < 0 {
			at.Y = box.Max.Y - in
		}
		ok := false
		for k := range 60 { // away from the corner until it is clear of the heads, along one edge, then the other, then both
			step := float64(k/3) * 2
			p := at
			switch k % 3 {
			case 0:
				p.X += c[0] * step
			case 1:
				p.Y += c[1] * step
			default:
				p = p.Add(geom.Vec2{X: c[0] * step, Y: c[1] * step})
			}
			if math.Abs(p.X-box.Centre().X) < d/2 || math.Abs(p.Y-box.Centre().Y) < d/2 || !w.footClear(r, b, p, d, gap) {
				continue
			}
			at, ok = p, true
			break
		}
		if !ok {
			w.say(ruleFeet, finding.Finding{
				Head: "One corner of the base has no room for a foot beside the heads of the screws.", Body: "Take smaller feet, or set the screws elsewhere.",
				Ends: []finding.End{w.end("feet"), w.end("screws")},
			})
			continue
		}
		r.Feet = append(r.Feet, Foot{Board: b.Name, At: b.Frame.ToWorld(at.At(0)), Diameter: d, Height: h, Seen: at})
	}
}

// footClear reports whether a foot lies on the base, off every head, hole and other foot.
func (w *worker) footClear(r *Result, b *carcass.Board, p geom.Vec2, d, gap float64) bool {
	foot := geom.Circle(p, d)
	if m, _ := b.OuterOutline.Margin(foot); m < 0.5 {
		return false
	}
	for _, s := range r.Screws {
		if s.Through == b.Name && s.Seen.Sub(p).Len() < (d+s.Head)/2+gap {
			return false
		}
	}
	for _, c := range b.Cutouts {
		if g, _, _ := foot.Gap(c.Outline); g < gap {
			return false
		}
	}
	for _, f := range r.Feet {
		if f.Seen.Sub(p).Len() < d+gap {
			return false
		}
	}
	return true
}

// Stand is how the box stands.
type Stand struct {
	Grams   float64
	Boards  float64     // of that, the boards
	Centre  geom.Vec3   // of mass
	Polygon []geom.Vec2 // what it stands on, counter-clockwise seen from above
	Table   float64     // z of the table: below 0 by the height of the feet
	Tip     Tip         // the push that comes nearest to tipping it, of those that do not slide it first
	Slide   Tip         // the push that comes nearest to sliding it
	Pull    Pull        // at the lead that comes nearest to moving it
}

// Tip is the worst push.
type Tip struct {
	Name  string
	Force float64 // of the push
	Times float64 // the push may be so many times as hard; +Inf when it never tips
	Level float64 // its part along the table, N
	Holds float64 // what the feet hold along the table then, N
}

const gravity = 9.81e-3 // N per gram

// stand weighs the box and pushes at every control.
func (w *worker) stand(r *Result) {
	var sum geom.Vec3
	st := &r.Stand
	add := func(g float64, at geom.Vec3) {
		if g > 0 && !math.IsInf(g, 0) {
			st.Grams += g
			sum = sum.Add(at.Mul(g))
		}
	}
	for i := range w.c.Boards {
		b := &w.c.Boards[i]
		rho := w.material(b).density() * 1e-6 // g/mm³
		for _, h := range b.Parts {
			add(h.Volume()*rho, centroid(h))
		}
		for _, c := range b.Cutouts {
			take := c.Outline.Area() * b.Thickness * rho
			st.Grams -= take
			sum = sum.Sub(b.Frame.ToWorld(middle(c.Outline).At(-b.Thickness / 2)).Mul(take))
		}
	}
	st.Boards = st.Grams
	for _, m := range w.Masses {
		add(m.Grams, m.At)
	}
	if !(st.Grams > 0) {
		return
	}
	st.Centre = sum.Mul(1 / st.Grams)
	st.Polygon, st.Table = w.standsOn(r)
	if len(st.Polygon) < 3 {
		return
	}
	if m := inside(st.Polygon, st.Centre.XY()); m < 0 {
		w.say(ruleCentre, finding.Finding{
			Head: "The box falls over by itself: its centre of mass lies outside its feet.", Body: "Set the feet further out, or make the base heavier.", Severity: finding.Stop,
			Ends: []finding.End{w.end("feet"), w.end("base")}, Measure: &finding.Measure{Have: m, Want: 0, Unit: "mm", Sense: finding.AtLeast},
		})
	}
	w.push(r)
	w.pull(r)
}

// Tips gives how many times as hard a push may be before a box on a table at z = 0 tips over an edge of what it stands on: +Inf when the
// push never tips it, 0 when it falls by itself. Polygon counter-clockwise from above, centre of mass, weight N, point and force of
// the push; millimetres and newtons. The heights count from the table.
//
// About each edge, with r the distance inside it and n its inward direction, the weight rights by W·r, and the push tips by
// fz·r - z·(n·f). Whether the feet slide away first is what [Slides] says.
func Tips(polygon []geom.Vec2, centre geom.Vec3, weight float64, at, force geom.Vec3) float64 {
	times := math.Inf(1)
	for i, a := range polygon {
		e := polygon[(i+1)%len(polygon)].Sub(a)
		if e.Len() < 1e-9 {
			continue
		}
		n := e.Unit().Left()
		rights := weight * n.Dot(centre.XY().Sub(a))
		tips := force.Z*n.Dot(at.XY().Sub(a)) - at.Z*n.Dot(force.XY())
		switch {
		case rights <= 0:
			return 0
		case tips > 1e-12:
			times = min(times, rights/tips)
		}
	}
	return times
}

// standsOn gives what the box stands on and the height of the table.
func (w *worker) standsOn(r *Result) ([]geom.Vec2, float64) {
	var pts []geom.Vec2
	table := 0.0
	if len(r.Feet) >= 3 {
		for _, f := range r.Feet {
			table = min(table, f.At.Z-f.Height)
			for k := range 8 {
				a := float64(k) * math.Pi / 4
				pts = append(pts, f.At.XY().Add(geom.Vec2{X: math.Cos(a), Y: math.Sin(a)}.Mul(f.Diameter/4))) // the middle half bears
			}
		}
		return ring(pts), table
	}
	for i := range w.c.Boards {
		for _, h := range w.c.Boards[i].Parts {
			for _, p := range h.Points {
				if p.Z < 0.01 {
					pts = append(pts, p.XY())
				}
			}
		}
	}
	return ring(pts), 0
}

// ring is the convex hull of points, counter-clockwise: lower and upper chain of the points in order of x (Andrew 1979).
func ring(pts []geom.Vec2) []geom.Vec2 {
	sorted := slices.Clone(pts)
	slices.SortFunc(sorted, func(a, b geom.Vec2) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	sorted = slices.Compact(sorted)
	if len(sorted) < 3 {
		return nil
	}
	var out []geom.Vec2
	chain := func(order []geom.Vec2) {
		from := len(out)
		for _, p := range order {
			for len(out) >= from+2 && out[len(out)-1].Sub(out[len(out)-2]).Cross(p.Sub(out[len(out)-2])) <= 0 {
				out = out[:len(out)-1]
			}
			out = append(out, p)
		}
		out = out[:len(out)-1]
	}
	chain(sorted)
	slices.Reverse(sorted)
	chain(sorted)
	return out
}

// inside is how far a point lies inside a convex polygon; negative outside.
func inside(poly []geom.Vec2, p geom.Vec2) float64 {
	least := math.Inf(1)
	for i, a := range poly {
		if e := poly[(i+1)%len(poly)].Sub(a); e.Len() > 1e-9 {
			least = min(least, e.Unit().Left().Dot(p.Sub(a)))
		}
	}
	return least
}

// centroid is the centre of volume of a solid.
func centroid(h *geom.Hull) geom.Vec3 {
	o := h.Centre()
	var sum geom.Vec3
	vol := 0.0
	for _, f := range h.Faces {
		for k := 2; k < len(f); k++ {
			a, b, c := h.Points[f[0]].Sub(o), h.Points[f[k-1]].Sub(o), h.Points[f[k]].Sub(o)
			v := a.Cross(b).Dot(c)
			vol += v
			sum = sum.Add(a.Add(b).Add(c).Mul(v / 4))
		}
	}
	if vol == 0 {
		return o
	}
	return o.Add(sum.Mul(1 / vol))
}

func middle(o geom.Outline) geom.Vec2 { return o.Bounds().Centre() }
