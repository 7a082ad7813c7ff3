// Package box is the trade of the box: it takes a box as boards and says which screws go where, where the feet stand and whether the
// box tips or slides, how the cable leaves and how the box is opened again, and how the boards are sawn out of sheets.
//
// Points and directions are in the box frame of package carcass unless a field says otherwise; millimetres, grams, newtons.
package box

import (
	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// Kinds of stock by what a screw finds in it.
const (
	Softwood = "softwood" // battens
	Hardwood = "hardwood"
	Plywood  = "plywood"
	MDF      = "mdf"
)

// Material is what a board is made of.
type Material struct {
	ID      string  // sheet of the catalogue, "birch-ply-9mm"; "" = a batten
	Title   string  // as people call it
	Kind    string  // kind of the catalogue's sheet, or one of Softwood, Hardwood
	Density float64 // kg/m³; 0 = by kind
	Up      bool    // of a face: the grain runs up it, not across
	Bare    float64 // thickness without its covering, mm: what is cut; 0 = that of the board
}

// Wood reports whether a wood screw holds in it.
func (m Material) Wood() bool {
	switch m.Kind {
	case Softwood, Hardwood, Plywood, MDF, "hardboard", "":
		return true
	}
	return false
}

// Grain reports whether the material has a direction.
func (m Material) Grain() bool { return m.Kind == Plywood || m.Kind == Softwood || m.Kind == Hardwood }

// density is in kg/m³. By kind where none is given; common practice.
func (m Material) density() float64 {
	if m.Density > 0 {
		return m.Density
	}
	switch m.Kind {
	case "acrylic", "polycarbonate":
		return 1200
	case "abs":
		return 1050
	case "aluminium":
		return 2700
	case "steel":
		return 7850
	case MDF, "hardboard":
		return 750
	case Plywood, Hardwood:
		return 700
	}
	return 480
}

// Order is what is asked.
type Order struct {
	Carcass                         *carcass.Carcass // nil = no box
	Walls, Base, Face, Rest, Batten Material         // a hand rest of no kind is of the walls' board
	Upper                           Material         // of the upper face; of no kind = as the face
	Hinge                           Hinge            // of a hinged face
	Screws                          Screws
	Feet                            Feet
	Cable                           *Cable
	Stock                           []Stock
	Saw                             Saw
	Bits                            []catalog.Bit // owned
	Bodies                          []Body        // what is inside, and what stands out in front
	Presses                         []Press       // where fingers push
	Masses                          []Mass        // what has weight beside the boards
	Fixings                         []Fixing      // screws of the faces
	Letters                         []Letters     // on the faces
	Leads                           []Lead        // plugs in sockets; the cable's exit is known without
	Module                          *Module
	Bundles                         []Bundle // of wires, as laid out; without them one straight bundle to the module is taken
	Socket                          bool     // a socket in a board takes the lead of the module
	Limits                          finding.Limits
	Inches                          bool                          // sentences in inches
	End                             func(name string) finding.End // where a thing stands in the file; nil = names only
}

// Hinge says how a hinged face opens.
type Hinge struct {
	Edge  string  // top, bottom, left or right; "" = top
	Angle float64 // how far it opens, degrees; what is not above 0 and at most 270 means UsualHinge
}

// UsualHinge is how far a hinged face opens unless the file says otherwise, degrees. Common practice: it falls open a little beyond upright.
const UsualHinge = 110.0

// angle is how far it opens, degrees.
func (h Hinge) angle() float64 {
	if h.Angle > 0 && h.Angle <= 270 {
		return h.Angle
	}
	return UsualHinge
}

// where is the edge that it hangs on.
func (h Hinge) where() string {
	switch h.Edge {
	case "bottom", "left", "right":
		return h.Edge
	}
	return "top"
}

// line gives a point of the hinge line of a face and its direction: turning about it by a positive angle opens the face.
func (h Hinge) line(f carcass.Face) (at, axis geom.Vec3) {
	u, v := f.Frame.U, f.Frame.V
	switch h.Edge {
	case "bottom":
		return f.Frame.O, u
	case "left":
		return f.Frame.O, v.Mul(-1)
	case "right":
		return f.Frame.ToWorld(geom.Vec3{X: f.Width}), v
	}
	return f.Frame.ToWorld(geom.Vec3{Y: f.Height}), u.Mul(-1)
}

// steps are the angles at which a hinged face is looked at while it opens, degrees: close together at first, the last is the widest.
func (h Hinge) steps() []float64 {
	var out []float64
	for _, d := range []float64{1, 2, 4, 7, 11, 16, 22, 30, 40, 50, 60, 70, 80, 90, 100, 115, 130, 145, 160, 180, 200, 225, 250} {
		if d < h.angle() {
			out = append(out, d)
		}
	}
	return append(out, h.angle())
}

// Screws says which screws are wished for; zero values are chosen by rule.
type Screws struct {
	Diameter, Length float64
	Numbered         bool    // the diameter was written as a number, "#6"
	Every            float64 // most between two screws
	Inset            float64 // first screw from the end
	Insert           string  // thread of inserts for the face, "M3"; "" = none
	Driver           float64 // length of the driver
}

// Feet says which feet are wished for.
type Feet struct {
	None                    bool
	Diameter, Height, Inset float64 // Inset: middle of a foot from the edges
}

// Cable says how the lead leaves the box.
type Cable struct {
	Board    string     // "back", "left side", "base"
	At       *geom.Vec2 // seen from outside, from the lower left corner of the board
	Round    float64    // 0 = what lets the plug or the grommet through
	Notch    bool
	Diameter float64
	Plug     [3]float64 // width, height, length of the plug's body
	Grommet  float64    // hole of the grommet, 0 = none
	Relief   string     // knot, clip, gland
}

// Stock is a sheet on hand; Width runs along the grain.
type Stock struct {
	Sheet         string
	Name          string
	Width, Height float64
	Count         int
}

// Saw says how boards are cut out.
type Saw struct {
	Kind       string  // table, hand, laser
	Kerf, Trim float64 // negative = by kind
}

// Body is a solid in the box that is no board.
type Body struct {
	Name   string
	Face   int // the face it comes away with, -1 for none
	Solid  geom.Convex
	Inside bool // behind the face
}

// Press is a finger's push at a control: at its front, square to its board.
type Press struct {
	Name  string
	At    geom.Vec3
	Dir   geom.Vec3 // the way the finger goes, unit
	Force float64   // 0 = the limit
}

// Mass is a weight.
type Mass struct {
	Name  string
	At    geom.Vec3
	Grams float64
}

// Fixing is a screw of a face, in the face frame.
type Fixing struct {
	Name  string
	Face  int
	At    geom.Vec2
	Screw string // "M3", or a wood screw
	Major float64
	Head  float64 // diameter
}

// Letters are a line of lettering on a face, in the face frame.
type Letters struct {
	Face int
	Box  geom.Box2
}

// Module is the circuit board inside.
type Module struct {
	Name   string
	Board  []geom.Convex
	Plug   []geom.Convex // body of the plug when it is in
	Out    geom.Vec3     // the way the plug is pulled, unit
	Stroke float64       // how far it moves before it is free; 0 = the limit
	Face   int           // hangs under this face, -1 when it lies on the base

	Move func(by geom.Vec3) (finding.Fix, bool) // the edit that moves it in its file by so much, box frame; nil = none
}

// Result is what the trade has to say.
type Result struct {
	Findings []finding.Finding
	Screws   []Screw
	Inserts  []Insert
	Joints   []Joint // how every joint is held
	Feet     []Foot
	Stand    Stand
	Exit     *Exit  // of the cable
	Opening  []Open // how the box is opened, in this order
	Boards   []BoardLine
	Order    []carcass.Cut // order of the cuts that give the boards their edges
	Plans    []Plan        // boards out of sheets, one for each material; none from Judge
	Strips   []StripLine   // battens to be cut from strip
	Saw      string        // that cuts the boards: table, hand, laser; "" = not said
	Laser    bool          // the boards are cut by laser
	Kerf     float64       // width of the cut, mm
	Cautions []string
}

// Work judges the box and lays out the cutting plans. It never panics on numbers that make no sense, and the same order gives the same
// result.
func Work(o Order) Result {
	r, w := work(o)
	if w != nil {
		w.nest(&r)
		r.Findings = w.found
	}
	return r
}

// Judge is Work without cutting plans: for what only asks whether the box is sound. A board that no sheet on hand is large enough for is told all
// the same; whether they are enough for all boards, only a plan can say.
func Judge(o Order) Result {
	r, w := work(o)
	if w != nil {
		w.stockTooSmall(&r)
		r.Findings = w.found
	}
	return r
}

func work(o Order) (Result, *worker) {
	if o.Carcass == nil || len(o.Carcass.Boards) == 0 {
		return Result{}, nil
	}
	w := newWorker(o)
	var r Result
	w.screws(&r)
	w.fixings(&r)
	w.feet(&r)
	w.stand(&r)
	w.cable(&r)
	w.module(&r)
	w.moduleRoom()
	w.open(&r)
	w.cutlist(&r)
	r.Saw, r.Laser, r.Kerf = w.Saw.Kind, w.laser(), w.kerf()
	r.Findings = w.found
	return r, w
}

// worker holds what the parts of the trade share.
type worker struct {
	Order
	c     *carcass.Carcass
	found []finding.Finding
	bites []shortBite
	bars  []faceScrew // once they are asked for
}

func newWorker(o Order) *worker {
	w := &worker{Order: o, c: o.Carcass}
	if w.Limits.Own == nil {
		w.Limits.Own = map[string]float64{}
	}
	return w
}

// end gives a thing as one end of a finding.
func (w *worker) end(name string) finding.End {
	if w.End != nil {
		if e := w.End(name); e.Name != "" {
			return e
		}
	}
	return finding.End{Name: "the " + name}
}

// say adds a finding of a rule.
func (w *worker) say(r finding.Rule, f finding.Finding) {
	f.Rule = r.Name
	if f.Severity == finding.Note {
		f.Severity = r.Severity
	}
	w.found = append(w.found, f)
}

// material gives what a board is made of.
func (w *worker) material(b *carcass.Board) Material {
	switch b.Role {
	case carcass.RoleBase:
		return w.Base
	case carcass.RoleFace:
		if b.Name == "upper face" && w.Upper.Kind != "" {
			return w.Upper
		}
		return w.Face
	case carcass.RoleRest:
		if w.Rest.Kind != "" {
			return w.Rest
		}
		return w.Walls
	case carcass.RoleFront, carcass.RoleBack, carcass.RoleSide, carcass.RoleTop:
		return w.Walls
	}
	if w.Batten.Kind == "" {
		return Material{Title: "softwood strip", Kind: Softwood}
	}
	return w.Batten
}
