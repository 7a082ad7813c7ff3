package harness

import (
	"fmt"
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
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
	moves    bool
	with     int       // the sheets that move together have the same number
	sideways bool      // hinged at a side
	lift     geom.Vec3 // straight
	about    geom.Vec3 // a point on the hinge line
	axis     geom.Vec3 // along it, so that opening turns counter-clockwise
	angle    float64   // degrees; 0 = straight lift, or nothing
	edge     geom.Vec2 // middle of the hinge edge, on the sheet
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

// group tells what a sheet moves with when the box opens: its own number, or that of the sheet it goes with; -1 for all that stays.
func (w *worker) group(sheet int) int {
	if sheet < 0 || !w.lid[sheet].moves {
		return -1
	}
	return w.lid[sheet].with
}

// apart gives the longest distance of two points while the box opens; u and v are the groups that they move with.
func (w *worker) apart(a geom.Vec3, u int, b geom.Vec3, v int) float64 {
	far := a.Sub(b).Len()
	switch {
	case u == v:
		return far
	case v < 0:
		return w.lid[u].open(a, b)
	case u < 0:
		return w.lid[v].open(b, a)
	}
	return w.lid[u].open(a, b) + w.lid[v].open(b, a) - far
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
		if p.Carcass.Spec.Build.BaseFit == carcass.NoBase {
			o.Say = "The face is glued, and the box is open below: nothing has to come off."
			return
		}
		w.baseOff()
		return
	}
	o.By = or(ask.By, map[bool]string{true: "hinge", false: "lift"}[held == carcass.Hinged])
	if held == carcass.Hinged {
		o.By = "hinge"
	}
	o.Edge, o.Angle = or(ask.Edge, "top"), float64(ask.Angle)
	o.Room = ask.Room.MM()
	switch {
	case o.By == "hinge" && !(o.Angle > 0 && o.Angle <= 270):
		o.Angle = usualHinge
	case o.By == "lift" && !(o.Room > 0):
		o.Angle, o.Room = turnedOver, 0
	case o.By == "lift":
		o.Angle, o.Room = 0, min(o.Room, 2000)
	}
	for i, g := range w.grids {
		if i > 0 && g.sheet.Board != "upper face" {
			continue
		}
		f := g.sheet.Face
		l := lid{moves: true, with: i, angle: o.Angle, sideways: o.Edge == "left" || o.Edge == "right"}
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
		o.Lids = append(o.Lids, Lid{Board: or(g.sheet.Board, "face"), About: l.about, Axis: l.axis, Angle: l.angle, Lift: l.lift})
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

// baseOff makes the base what opens: it turns over about the lower rear edge of the box, and all else stays together.
func (w *worker) baseOff() {
	g := w.grids[0]
	f := g.sheet.Face
	d := w.p.BoxDepth
	if at, ok := g.sheet.DepthAt(panel.P(f.Width/2, f.Height)); ok && !math.IsInf(at, 0) {
		d = at
	}
	l := lid{moves: true, angle: turnedOver, edge: geom.Vec2{X: f.Width / 2, Y: f.Height}}
	l.about = g.sheet.ToBox.Apply(l.edge.At(-g.sheet.Stack.Total - d))
	l.axis = g.sheet.ToBox.X.Mul(-1)
	if c := w.p.Carcass; c != nil {
		l.about = geom.Vec3{Y: c.Bounds.Max.Y, Z: c.Bounds.Min.Z}
	}
	w.r.Opening.Edge, w.r.Opening.Angle = "top", turnedOver
	w.r.Opening.Lids = []Lid{{Board: "base", About: l.about, Axis: l.axis.Mul(-1), Angle: l.angle}}
	for i, g := range w.grids {
		if g.sheet.Board != "base" {
			w.lid[i] = l
		}
	}
}

// loops says how much free wire each bundle wants between where it is held on its sheet and at its board.
func (w *worker) loops() {
	area, count := map[[2]int]float64{}, map[[2]int]int{}
	for i, l := range w.link {
		for _, k := range w.through(l) {
			d := w.outside(i)
			area[k] += d * d
			count[k]++
		}
	}
	for _, k := range w.exitKeys() {
		x := w.exit[k]
		if !x.moves || count[k] == 0 {
			continue
		}
		w.r.Opening.Loops = append(w.r.Opening.Loops, Loop{
			Board: or(w.grids[k[0]].sheet.Board, "face"), To: w.boards[k[1]].name, Path: plainer(x.loop), Diameter: 1.15 * math.Sqrt(area[k]), Wires: count[k],
			Long: math.Ceil((run(x.loop)+x.more)/5-1e-9) * 5,
		})
	}
}

// through gives the exits that a wire goes through.
func (w *worker) through(l link) [][2]int {
	a, b := w.spot[l.from], w.spot[l.to]
	u, v := w.sheetOf(a), w.sheetOf(b)
	var out [][2]int
	add := func(sheet, board int) {
		if k := [2]int{sheet, board}; w.exit[k] != nil {
			out = append(out, k)
		}
	}
	switch {
	case u == v:
	case u >= 0 && b.board >= 0:
		add(u, b.board)
	case v >= 0 && a.board >= 0:
		add(v, a.board)
	case u >= 0 && v >= 0:
		add(u, 0)
		add(v, 0)
	}
	return out
}

// judgeOpens tells where the file asks for a way of opening that the box does not have.
func (w *worker) judgeOpens() {
	ask := w.p.Wiring.Opens
	if ask == (project.Opens{}) {
		return
	}
	say := func(path, head, body string) {
		es := []finding.End{w.end("the way of opening", "wiring.opens")}
		if path != "" {
			es = append(es, w.end("the box", path))
		}
		w.say(ruleOpens, finding.Finding{Head: head, Body: body, Ends: es})
	}
	p := w.p
	if p.Carcass == nil && !p.HasBox {
		say("", "The panel has no box that could be opened.", "wiring.opens has no effect.")
		return
	}
	if p.Carcass != nil {
		switch held := p.Carcass.Spec.Build.FaceHeld; {
		case held == carcass.GluedDown:
			say("box.held", "The face is to be opened for the wires, but it is glued to the box.", "Hold it by screws or a hinge, or take wiring.opens out: the base comes off.")
			return
		case held == carcass.Hinged && ask.By == "lift":
			say("box.held", "The face is to be lifted off for the wires, but it hangs on a hinge.", "Wires are cut for the hinge.")
		case held != carcass.Hinged && ask.By == "hinge":
			say("box.held", "The face is to swing open on a hinge, but it is not held by one.", "Wires are cut as if there were a hinge along that edge. Write held: hinged under box, or take it out.")
		}
	}
	by := w.r.Opening.By
	switch a := float64(ask.Angle); {
	case a < 0 || a > 270:
		say("", fmt.Sprintf("A face that opens to %s degrees cannot be.", plain(a)), fmt.Sprintf("%s degrees are taken. Write an angle up to 270.", plain(usualHinge)))
	case a > 0 && by != "hinge":
		say("", "The angle has no effect: the face is lifted off.", "Write by: hinge, or room for how far it is lifted.")
	}
	switch r := ask.Room.MM(); {
	case r < 0 || r > 2000:
		say("", fmt.Sprintf("The face cannot be lifted %s.", w.mm(r)), "Write how far it comes off before leads are undone, up to 2 m.")
	case r > 0 && by != "lift":
		say("", "The room has no effect: the face is not lifted off.", "Write by: lift, or angle for how far it opens.")
	}
}
