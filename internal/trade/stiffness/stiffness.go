// Package stiffness works out how far a face gives under each press, how hard the sheet is pulled beside its openings, and
// which few ribs make it stiff enough. It makes a plate model of every face from the placed panel; package plate bends it.
//
// What a press is: a force spread over the ring, or the frame, with which a control lies on the sheet. Three are looked at: the
// control's own force, a firm thumb, and a hand that slips. The sheet is held where walls and ledges carry it (free to turn, or
// with the turning stiffness of a wall when it is glued), and at its screws. What small movements, short presses and a stress good to
// a fifth mean for the numbers is said in docs/stiffness.md.
package stiffness

import (
	"errors"
	"math"
	"slices"
	"strconv"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/solve/plate"
)

// Result is what is known about all faces.
type Result struct {
	Faces    []*Face
	Findings []finding.Finding
	Assumed  []panel.Assumed // numbers taken on trust, limits apart
}

// Face is one face as a plate.
type Face struct {
	Name      string       // "the face", "the upper face"
	Panel     *panel.Panel // face frame; of the upper face its own
	Material  Material
	Thickness float64 // mm, without the covering
	Supports  []Support
	Ribs      []Rib // of the file
	Presses   []Press
	Worst     int     // index of the judged press that gives most under the thumb; -1 = none
	Thumb     float64 // N
	Slip      float64 // N
	Springy   float64 // mm under the thumb
	Solid     float64 // mm under the thumb
	Wanted    float64 // how many times the sheet must bear a slip
	Hertz     float64 // lowest natural frequency with everything on it; 0 = not known
	Notices   []string
	Doubts    []Doubt   // notices that belong to a place
	Loose     []string  // how it can move, when its supports leave it free; then nothing else is known
	Failed    string    // why it could not be reckoned, a sentence; "" when it was
	Proposal  *Proposal // ribs; nil when none were asked for

	path     string          // "box.ribs"
	raised   float64         // mm by which the sheet is thicker than that of the panel, while one is tried
	aside    map[string]bool // ribs of the file, by path, that are taken as not there
	model    plate.Model
	openings []opening
}

// Doubt is something about the model that belongs to a place.
type Doubt struct {
	Say   string
	At    geom.Vec2
	Apart bool // openings cut the sheet in two
}

// opening is what an opening of the model stands for.
type opening struct {
	of  string
	cut *panel.Cut
}

// Support is what holds a face along one of its sides, or at a screw.
type Support struct {
	Name   string // "the left wall", "fixing 3"
	Kind   string // "glued", "rests", "ledge", "screw"
	A, B   geom.Vec2
	Spring float64 // N·mm per radian and mm against turning; of a line
	origin panel.Origin
}

// Rib is a rib under a face: of the file, or proposed.
type Rib struct {
	Name          string
	A, B          geom.Vec2 // ends of its middle line
	Width, Height float64   // mm
	Young         float64   // MPa
	Shear         float64   // MPa, in its upright plane; 0 = of an even material
	Path          string    // in the file; "" = it is proposed
	Pinned        bool      // it stays when ribs are proposed afresh
}

// Length is how long a rib is, mm.
func (r Rib) Length() float64 { return r.B.Sub(r.A).Len() }

// slanted reports whether it runs neither across nor up.
func (r Rib) slanted() bool {
	d := r.B.Sub(r.A)
	return min(math.Abs(d.X), math.Abs(d.Y)) > 0.01*d.Len()
}

// outline is its footprint, grown by so much all round.
func (r Rib) outline(m float64) geom.Outline {
	d := r.B.Sub(r.A).Unit()
	a, b, s := r.A.Sub(d.Mul(m)), r.B.Add(d.Mul(m)), d.Left().Mul(r.Width/2+m)
	return geom.Polygon(a.Sub(s), b.Sub(s), b.Add(s), a.Add(s))
}

// Press is one control under its presses.
type Press struct {
	Control   *panel.Control
	Judged    bool    // it is worked by hand; lamps, displays and sockets are only pushed by a slip
	OnWood    bool    // it stands over a wall or a ledge: it does not give
	Each      float64 // mm per newton
	Own       float64 // mm under its own force; 0 when the force is not known
	Thumb     float64 // mm under a firm thumb
	Slip      float64 // mm under a hand that slips
	Neighbour string  // which control moves most with it
	Along     float64 // mm that that one moves under the thumb
	Stress    float64 // MPa at the worst place of an opening's edge when a hand slips
	Strength  float64 // MPa that the sheet bears there
	Beside    string  // whose opening
	At        geom.Vec2
	Sharp     bool // that opening has sharp corners: no number holds there
}

// Factor is how many times the sheet bears what a slip does; 0 when there is no stress to speak of.
func (p Press) Factor() float64 {
	if p.Stress <= 0 {
		return 0
	}
	return p.Strength / p.Stress
}

// Work reckons all faces, proposes ribs where a press is springy, and says what it finds. The panel may be unfinished: what cannot
// be reckoned is said.
func Work(p *panel.Panel, cat *catalog.Catalog) Result {
	var r Result
	if p == nil || !p.Face.HasSize() {
		return r
	}
	for _, f := range faces(p) {
		f.reckon()
		r.Faces = append(r.Faces, f)
		r.Assumed = append(r.Assumed, f.Material.assumed...)
		if f.Springiest() > f.Springy {
			f.Propose(f.Springy)
		}
		r.Findings = append(r.Findings, f.judge(cat)...)
	}
	return r
}

// Springiest is how far the worst judged press gives under the thumb, mm; 0 when there is none.
func (f *Face) Springiest() float64 {
	if f.Worst < 0 {
		return 0
	}
	return f.Presses[f.Worst].Thumb
}

// faces gives the faces that carry controls, their models laid out.
func faces(p *panel.Panel) []*Face {
	out := []*Face{newFace("the face", "box.ribs", p)}
	for _, s := range p.Sides {
		if s.On == "upper" && s.Panel.Face.HasSize() {
			out = append(out, newFace(s.Name, "box.upper.ribs", s.Panel))
		}
	}
	return slices.DeleteFunc(out, func(f *Face) bool { return f == nil })
}

// newFace lays out one face; nil when it carries nothing or has no sheet yet.
func newFace(name, path string, p *panel.Panel) *Face {
	if len(p.Controls) == 0 || p.Stack.Sheet.ID == "" || !(p.Stack.SheetThickness > 0) {
		return nil
	}
	l := p.Limits
	f := &Face{
		Name: name, Panel: p, Thickness: p.Stack.SheetThickness, Worst: -1, path: path,
		Thumb: l.Value(limThumb), Slip: l.Value(limSlip), Springy: l.Value(limSpringy), Solid: l.Value(limSolid), Wanted: l.Value(limFactor),
	}
	var ok bool
	if f.Material, ok = f.materialOf(p.Stack.Sheet, f.Thickness); !ok {
		f.Failed = "nothing is known of how a sheet of " + p.Stack.Sheet.Kind + " bends"
		return f
	}
	if f.Thickness < leastSheet {
		f.Failed = "a sheet of " + strconv.FormatFloat(f.Thickness, 'g', 3, 64) + " mm is none; measure its thickness, " + plain(leastSheet, 1) + " mm or more"
		return f
	}
	if n := len(p.Controls); n > mostControls {
		f.Failed = "there are " + plain(float64(n), 0) + " controls on it, and " + plain(mostControls, 0) + " can be reckoned"
		return f
	}
	f.model = plate.Model{Outline: p.Face.Outline, Thickness: f.Thickness, Material: f.Material.Elastic}
	if cell := math.Sqrt(p.Face.Outline.Area() / mostCells); cell > usualCell {
		f.model.Options.Cell = cell
	}
	f.openingsOf()
	f.supports()
	f.ribs()
	f.presses()
	return f
}

// What one face may ask for: so many controls; stress for so many controls by openings; so many cells, beyond which they get larger
// than usual.
const (
	leastSheet   = 0.2 // mm; thinner is film
	mostControls = 600
	mostStresses = 60000
	mostCells    = 4000
	usualCell    = 10.0 // mm
)

// reckon bends the plate and reads everything off.
func (f *Face) reckon() {
	if f.Failed != "" {
		return
	}
	p, err := f.bend()
	var res *plate.Result
	many := len(f.Presses)*len(f.openings) > mostStresses
	if err == nil && !many {
		res, err = p.Solve()
	}
	if f.cannot(err) {
		return
	}
	if many {
		res = &plate.Result{Notices: p.Notices()}
		f.Notices = append(f.Notices, "the pull beside its openings is not reckoned: there are too many")
		for _, row := range p.Compliance() {
			res.Cases = append(res.Cases, plate.CaseResult{Give: row})
		}
	}
	for _, n := range res.Notices {
		switch n.Kind {
		case plate.Overlap, plate.SmallPiece:
			continue
		case plate.CutInTwo, plate.ThinSlit, plate.RibOverOpening:
			f.Doubts = append(f.Doubts, Doubt{f.say(n), n.At, n.Kind == plate.CutInTwo})
		}
		f.Notices = append(f.Notices, f.say(n))
	}
	f.read(res)
	if h, err := p.Frequency(f.masses()); err == nil && !math.IsNaN(h) {
		f.Hertz = h
	}
}

// bend makes the plate. Supports and ribs under which an opening has taken the whole sheet away are left out, and said.
func (f *Face) bend() (p *plate.Plate, err error) {
	for range len(f.model.Lines) + len(f.model.Points) + len(f.model.Ribs) + 1 {
		var in *plate.InputError
		if p, err = plate.New(f.model); !errors.As(err, &in) || in.Index < 0 {
			return p, err
		}
		i := in.Index
		switch in.Thing {
		case "line":
			f.model.Lines = slices.Delete(slices.Clone(f.model.Lines), i, i+1)
		case "point":
			f.model.Points = slices.Delete(slices.Clone(f.model.Points), i, i+1)
		case "rib":
			f.model.Ribs = slices.Delete(slices.Clone(f.model.Ribs), i, i+1)
			f.Ribs = slices.Delete(slices.Clone(f.Ribs), i, i+1)
			f.Notices = append(f.Notices, in.Name+" has no sheet over it and is left out")
			continue
		default:
			return p, err
		}
		f.Supports = slices.DeleteFunc(slices.Clone(f.Supports), func(s Support) bool { return s.Name == in.Name })
		f.Notices = append(f.Notices, in.Name+" has no sheet over it and holds nothing")
	}
	return p, err
}

// say puts a notice about the model into the panel's names.
func (f *Face) say(n plate.Notice) string {
	s := n.String()
	switch {
	case n.Kind == plate.RibOverOpening && n.Index < len(f.Ribs):
		s = f.Ribs[n.Index].Name + " passes over an opening for " + plain(n.Size, 1) + " mm"
	case n.Kind == plate.ThinSlit && n.Index < len(f.openings):
		s = "the slit of " + f.openings[n.Index].of + " is too thin for the model: it is a little softer there than reckoned"
	case n.Kind == plate.CutInTwo:
		s = "openings cut " + f.Name + " in two; each part is held, and was reckoned by itself"
	case n.Kind == plate.SpotLost && n.Index < len(f.Presses):
		s = f.Presses[n.Index].Control.Label + " has no sheet under it; the nearest place is taken"
	}
	return s
}

// read takes gives and stresses of the cases, one newton on each control.
func (f *Face) read(res *plate.Result) {
	worst := 0.0
	for i := range f.Presses {
		c := &res.Cases[i]
		p := &f.Presses[i]
		if p.OnWood {
			continue
		}
		p.Each = max(c.Give[i], 0)
		p.Own, p.Thumb, p.Slip = p.Each*p.Control.Part.Force, p.Each*f.Thumb, p.Each*f.Slip
		for j := range f.Presses {
			if v := c.Give[j] * f.Thumb; j != i && !f.Presses[j].OnWood && v > p.Along {
				p.Along, p.Neighbour = v, f.Presses[j].Control.Label
			}
		}
		f.stress(p, c)
		if p.Judged && p.Thumb > worst {
			worst, f.Worst = p.Thumb, i
		}
	}
}

// stress finds where beside an opening the sheet is nearest to its strength when a hand slips onto a control.
func (f *Face) stress(p *Press, c *plate.CaseResult) {
	used := 0.0
	for k, e := range c.Edges {
		if k >= len(f.openings) || !(e.Peak > 0) {
			continue
		}
		if s := e.Peak * f.Slip; s/e.Bears > used {
			used = s / e.Bears
			p.Stress, p.Strength, p.Beside, p.At = s, e.Bears, f.openings[k].of, e.At
			p.Sharp = sharp(f.openings[k].cut.Outline)
		}
	}
}

// sharp reports whether an outline has a corner without a radius that juts into the sheet.
func sharp(o geom.Outline) bool {
	if len(o) < 3 {
		return false
	}
	for i, v := range o {
		prev := o[(i+len(o)-1)%len(o)]
		next := o[(i+1)%len(o)]
		if v.Bulge != 0 || prev.Bulge != 0 {
			continue
		}
		if a, b := v.P.Sub(prev.P).Unit(), next.P.Sub(v.P).Unit(); a.Cross(b) > 0.5 {
			return true
		}
	}
	return false
}

// masses lists what hangs on the sheet, kg.
func (f *Face) masses() (out []plate.Mass) {
	for i, p := range f.Presses {
		if m := p.Control.Part.Mass; m > 0 {
			out = append(out, plate.Mass{Spot: i, Kg: m / 1000})
		}
	}
	n := len(f.Presses)
	for _, m := range f.hanging() {
		if n < len(f.model.Spots) {
			out = append(out, plate.Mass{Spot: n, Kg: max(m.Part.Mass, boardMass) / 1000})
		}
		n++
	}
	return out
}

// Rattles is below how many hertz a face may rattle on a moving stage or beside a loudspeaker. Common practice.
const Rattles = 60

// boardMass is what a circuit board on stand-offs weighs at least, g. Common practice.
const boardMass = 10
