package box

import (
	"fmt"
	"math"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trust"
)

var limFaceEvery = finding.Limit{
	Name: "box.face-every", Default: 200, Unit: "mm", Means: "most between two screws of a face that are proposed",
	Source: practice("a face of acrylic or thin metal lifts between screws further apart", trust.Low),
}

var ruleNoFaceScrews = finding.Rule{
	Name: "box.no-face-screws", Severity: finding.Warn, Title: "faces that nothing holds",
	Explain: "The face is to be screwed down, or to swing on a hinge, and the file gives it no screws: they are not drilled, not bought and not held " +
		"against the controls and the ledge. Write fixings: under face: (of the upper face under upper:). A face that is to be glued says held: glued, " +
		"and then the base must come off.",
	Limits: []finding.Limit{limFaceEvery},
}

// holding counts the screws of a face that find something to hold in.
func (w *worker) holding(fi int) int {
	n := 0
	for _, x := range w.Fixings {
		if x.Face == fi && (w.Screws.Insert == "" || w.under(fi, x.At) != nil) {
			n++
		}
	}
	return n
}

// written counts the screws of a face that the file gives.
func (w *worker) written(fi int) (n int) {
	for _, x := range w.Fixings {
		if x.Face == fi {
			n++
		}
	}
	return n
}

// under gives the board that lies under a place of a face, nil when there is none.
func (w *worker) under(fi int, at geom.Vec2) *carcass.Board {
	f := w.c.Faces[fi]
	p := f.Frame.ToWorld(at.At(-f.Thickness - 1e-3))
	var under *carcass.Board
	for i := range w.c.Boards {
		if b := &w.c.Boards[i]; i != f.Board && holds(b, p) {
			under = b
		}
	}
	return under
}

// unheld says which faces are to be screwed or hinged and have no screws.
func (w *worker) unheld() {
	held := w.c.Spec.Build.FaceHeld
	if held == carcass.GluedDown {
		return
	}
	for fi, f := range w.c.Faces {
		if w.written(fi) > 0 {
			continue
		}
		ends := []finding.End{w.end(f.Name), w.end("held")}
		x := finding.Finding{
			Head: fmt.Sprintf("Nothing holds the %s: it is to be screwed down, and the file gives it no screws.", f.Name),
			Body: "Until they stand in the file, they are neither drilled nor bought, and nothing looks whether they meet a control or miss the ledge.", Ends: ends,
			Measure: &finding.Measure{Have: 0, Want: 2, Sense: finding.AtLeast},
		}
		if held == carcass.Hinged {
			x.Head = fmt.Sprintf("Nothing holds the hinge of the %s: the file gives it no screws.", f.Name)
			x.Body = fmt.Sprintf("Its screws go along the edge at the %s. At the other side it wants a catch, or a screw by hand.", w.Hinge.where())
		}
		if fix, ok := w.screwsFix(fi, f, held == carcass.Hinged); ok {
			x.Fixes = []finding.Fix{fix}
		} else {
			ledge := "make its ledge wider"
			if w.c.Spec.Build.Ledge == (carcass.Batten{}) {
				ledge = "give it a ledge " + w.mm(18) + " wide"
			}
			x.Body += fmt.Sprintf(" No even row of M3 screws with inserts has wood enough under every one and keeps clear of the controls yet: %s, or place the screws one by one.", ledge)
		}
		w.say(ruleNoFaceScrews, x)
	}
}

// along gives the even row of screws of a hinge, in the face frame: so many of them across the face, or up it.
func (h Hinge) along(f carcass.Face, inset float64, across, up int) (at []geom.Vec2) {
	upright := h.Edge == "left" || h.Edge == "right"
	if upright {
		across = 2
	} else {
		up = 2
	}
	for _, p := range panel.Rim(f.Width, f.Height, inset, across, up) {
		right, high := p.X > f.Width/2, p.Y > f.Height/2
		if upright && right == (h.Edge == "right") || !upright && high != (h.Edge == "bottom") {
			at = append(at, p)
		}
	}
	return at
}

// screwsFix looks for an even row of M3 screws that has wood for an insert, or for a wood screw, under each and keeps clear of
// what sits in the face. ok is false when it finds none.
func (w *worker) screwsFix(fi int, f carcass.Face, hinged bool) (fix finding.Fix, ok bool) {
	const thread, head, hole = "M3", 6.0, 3.4
	size, _ := InsertFor(thread)
	path := "face.fixings"
	if fi > 0 {
		path = "box.upper.fixings"
	}
	num := func(v float64) string {
		if w.Inches {
			return length.Plain(v) + " mm"
		}
		return length.Plain(v)
	}
	every := clamp(w.Limits.Value(limFaceEvery), 40, 1000)
	var bodies []Body
	for _, b := range w.Bodies {
		if b.Face == fi && b.Solid != nil {
			bodies = append(bodies, b)
		}
	}
	clear := func(at geom.Vec2) bool {
		under := w.under(fi, at)
		if under == nil {
			return false
		}
		for _, l := range w.Letters {
			if l.Face == fi && l.Box.Grow(head/2+1).Overlaps(geom.Box2{Min: at, Max: at}) {
				return false
			}
		}
		p, n := f.Frame.ToWorld(at.At(-f.Thickness)), f.Frame.N
		if cover(under, p, p.Sub(n.Mul(size.Length)), size.HoleHard/2) < size.Wall-1e-6 {
			return false
		}
		front := geom.NewCylinder(p.Add(n.Mul(f.Thickness)), n, head/2+2, 40)
		back := geom.NewCylinder(p, n.Mul(-1), size.HoleHard/2+2, 40)
		for _, b := range bodies {
			probe := front
			if b.Inside {
				probe = back
			}
			if geom.Gap(probe, b.Solid).Gap < 0 {
				return false
			}
		}
		for _, c := range w.c.Boards[f.Board].Cutouts {
			q := w.c.Boards[f.Board].Frame.ToLocal(f.Frame.ToWorld(at.At(0))).XY()
			if g, _, _ := c.Outline.Gap(geom.Circle(q, hole)); g < 3 {
				return false
			}
		}
		return true
	}
	room := min(f.Width, f.Height) / 2
	for step := 0.0; ; step++ {
		inset := 6 + step/2
		if inset > min(40, room) {
			return fix, false
		}
		across := max(2, int(math.Ceil((f.Width-2*inset)/every))+1)
		up := max(2, int(math.Ceil((f.Height-2*inset)/every))+1)
		for _, more := range [...][2]int{{0, 0}, {1, 0}, {0, 1}, {1, 1}, {2, 0}, {2, 1}} {
			var at []geom.Vec2
			if hinged {
				at = w.Hinge.along(f, inset, across+more[0], up+more[1])
			} else {
				at = panel.Rim(f.Width, f.Height, inset, across+more[0], up+more[1])
			}
			good := true
			for _, p := range at {
				if good = clear(p); !good {
					break
				}
			}
			if !good {
				continue
			}
			value := fmt.Sprintf("{screw: %s, inset: %s, across: %d, up: %d}", thread, num(inset), across+more[0], up+more[1])
			if hinged {
				var places []string
				for _, p := range at {
					places = append(places, fmt.Sprintf("[%s, %s]", num(math.Round(p.X*10)/10), num(math.Round(p.Y*10)/10)))
				}
				value = fmt.Sprintf("{screw: %s, at: [%s]}", thread, strings.Join(places, ", "))
			}
			fix = finding.Fix{Say: fmt.Sprintf("Give it %s screws, each over an insert", itoa(len(at))+" "+thread), Short: "fixings: " + value, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: value}}}
			if w.Screws.Insert == "" {
				fix.Edits = append(fix.Edits, finding.Edit{Op: finding.Set, Path: "box.screws.insert", Value: thread})
			}
			return fix, true
		}
	}
}
