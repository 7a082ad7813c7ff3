package harness

import (
	"fmt"
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"
	"knobwright/internal/project"
)

// Usual ways of opening. Common practice: a hinged lid falls open a little beyond upright; a screwed one is turned over and laid beside
// the box, so that one can solder.
const (
	usualHinge = 110.0
	turnedOver = 180.0
)

// lid is a sheet that comes off, and how: about a hinge line by an angle, or straight by some way.
type lid struct {
	moves bool
	lift  geom.Vec3 // straight
	about geom.Vec3 // a point on the hinge line
	axis  geom.Vec3 // along it, so that opening turns counter-clockwise
	angle float64   // degrees; 0 = straight lift, or nothing
	edge  geom.Vec2 // middle of the hinge edge, on the sheet
}

// open gives the longest distance that the points a, which goes with the lid, and b, which stays, come apart while it opens. Of a hinge it
// is the law of cosines of hinge, a and b.
func (l lid) open(a, b geom.Vec3) float64 {
	far := a.Sub(b).Len()
	if !l.moves {
		return far
	}
	if l.angle == 0 {
		return max(far, a.Add(l.lift).Sub(b).Len())
	}
	// the distance grows until a stands opposite of b, seen along the hinge
	along := a.Sub(b).Dot(l.axis)
	ra, rb := l.off(a), l.off(b)
	r, s := ra.Len(), rb.Len()
	if r == 0 || s == 0 {
		return far
	}
	start := math.Atan2(ra.Cross(rb).Dot(l.axis), ra.Dot(rb)) * 180 / math.Pi // from a to b, counter-clockwise
	// turning a by t changes the angle between them to start - t
	gap := 0.0
	for _, t := range []float64{0, l.angle, start - 180, start + 180} {
		if t >= 0 && t <= l.angle {
			q := (start - t) * math.Pi / 180
			gap = max(gap, math.Sqrt(max(0, r*r+s*s-2*r*s*math.Cos(q))))
		}
	}
	return math.Hypot(gap, along)
}

// off is the part of a point's way from the hinge line that is square to it.
func (l lid) off(p geom.Vec3) geom.Vec3 {
	d := p.Sub(l.about)
	return d.Sub(l.axis.Mul(d.Dot(l.axis)))
}

// lids finds out how each sheet opens, and what to say of the first.
func (w *worker) lids() {
	p := w.p
	w.lid = make([]lid, len(w.grids))
	ask := p.Wiring.Opens
	held := carcass.Screwed
	if p.Carcass != nil {
		held = p.Carcass.Spec.Build.FaceHeld
	}
	o := &w.r.Opening
	if p.Carcass == nil && !p.HasBox {
		o.By, o.Say = "fixed", "There is no box: nothing has to open."
		return
	}
	if held == carcass.GluedDown {
		o.By, o.Say = "fixed", "The face is glued: the base comes off, and the module with it."
		w.base()
		return
	}
	o.By = or(ask.By, map[bool]string{true: "hinge", false: "lift"}[held == carcass.Hinged])
	o.Edge, o.Angle = or(ask.Edge, "top"), float64(ask.Angle)
	o.Room = ask.Room.MM()
	switch {
	case o.By == "hinge" && !(o.Angle > 0 && o.Angle <= 270):
		o.Angle = usualHinge
	case o.By == "lift" && o.Room <= 0:
		o.Angle = turnedOver
	case o.By == "lift":
		o.Angle = 0
	}
	for i, g := range w.grids {
		if i > 0 && g.sheet.Board != "upper face" {
			continue
		}
		f := g.sheet.Face
		l := lid{moves: true, angle: o.Angle}
		mid := [2]geom.Vec2{{X: f.Width / 2, Y: f.Height}, {X: -1}}
		switch o.Edge {
		case "bottom":
			mid = [2]geom.Vec2{{X: f.Width / 2}, {X: 1}}
		case "left":
			mid = [2]geom.Vec2{{Y: f.Height / 2}, {Y: -1}}
		case "right":
			mid = [2]geom.Vec2{{X: f.Width, Y: f.Height / 2}, {Y: 1}}
		}
		l.edge = mid[0]
		l.about = g.sheet.ToBox.Apply(mid[0].At(-g.sheet.Stack.Total))
		l.axis = g.sheet.ToBox.Turn(mid[1].At(0)).Unit()
		if l.angle == 0 {
			l.lift = g.sheet.ToBox.Z.Mul(o.Room)
		}
		w.lid[i] = l
	}
	switch {
	case o.By == "hinge":
		o.Say = fmt.Sprintf("The face swings up about its %s edge to %s degrees; the wires that go to the module are long enough for that.", o.Edge, plain(o.Angle))
	case o.Angle > 0:
		o.Say = fmt.Sprintf("The face is turned over about its %s edge and laid beside the box; the wires that go to the module are long enough for that.", o.Edge)
	default:
		o.Say = fmt.Sprintf("The face can be lifted %s before leads have to be undone.", w.mm(o.Room))
	}
}

// base makes the base what opens: it turns over about the lower edge of the back, and what stays is the face.
func (w *worker) base() {
	for i := range w.grids {
		w.lid[i] = lid{}
	}
	g := w.grids[0]
	f := g.sheet.Face
	d := w.p.BoxDepth
	l := lid{moves: true, angle: turnedOver, edge: geom.Vec2{X: f.Width / 2, Y: f.Height}}
	l.about = g.sheet.ToBox.Apply(l.edge.At(-g.sheet.Stack.Total - d))
	l.axis = g.sheet.ToBox.X.Mul(-1)
	w.r.Opening.Edge, w.r.Opening.Angle = "top", turnedOver
	for i, g := range w.grids {
		if i == 0 || g.sheet.Board == "upper face" {
			w.lid[i] = l
		}
	}
}

// asks tells whether the file says how the face opens.
func asks(o project.Opens) bool { return o != project.Opens{} }
