// Package panel is the placed panel: every control, opening, body, wall and rib in space, ready for the trades. It is
// made from a project file and the catalogue, and computes no judgement.
//
// # The face frame
//
// Origin at the lower left corner of the face as seen from the front, x to the right, y up, z towards the person. z = 0 is the
// front of the finished face, covering included; the back of the sheet is at -Stack.Total. Points of the face frame are Pt of this
// package, so that a point of the box frame cannot be used in their place by accident.
//
// Controls may sit in other boards of the box too. Each such board is a sheet of its own, a Panel within the Panel (see Side), with a
// face frame of its own; Panel.ToBox leads from each to the box frame.
package panel

import (
	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/project"
	"knobwright/internal/trust"
	"knobwright/internal/yamlfile"
)

// Pt is a point on the face, in the face frame, mm.
type Pt struct{ geom.Vec2 }

// P makes a face point.
func P(x, y float64) Pt { return Pt{geom.Vec2{X: x, Y: y}} }

// Panel is the placed panel.
type Panel struct {
	Title   string
	Notes   string
	Units   string // "mm" or "in", as the person writes
	Face    Face
	Stack   Stack
	Hand    string  // bare, glove, tight
	Reading float64 // eye to legend, mm
	Limits  finding.Limits

	Controls []*Control // in file order, groups expanded; each has a part and a place
	Waiting  []*Control // controls without a part, a place or a board: they take no room yet
	Steps    []Step     // steps of rows, columns and grids, that a whole group can be spread by
	Fixings  []*Fixing  // screws of the face
	Openings []*Cut     // openings without a part
	Texts    []Text
	Legend   LegendStyle
	Behind   []Body // walls, base, ledges, blocks, ribs, module: what the box puts behind the face
	Module   *Module
	Extras   []*Module       // further circuit boards, in file order
	Wiring   project.Wiring  // how it is to be wired, as the file says
	USB      project.USB     // how it names itself to the computer, as the file says
	Numbers  project.Numbers // numbers that controls keep, as the file says
	Work     project.Work    // when it is built and how warm it is there, as the file says
	BoxDepth float64         // clear depth behind the back of the sheet where it is least, mm; 0 = not known. See DepthAt.
	Interior geom.Box2       // what the walls leave open at the back of the sheet, face frame; zero when there is no box
	HasBox   bool
	Box      *Box             // as it is ordered; nil when there is none
	Carcass  *carcass.Carcass // its boards; nil while they cannot be made
	ToBox    geom.Pose        // from the face frame to the box frame; no move without a carcass
	Sides    []*Side          // the other boards that carry controls or openings
	Board    string           // name of the board in Carcass that this sheet is; "" = the face

	floors []floor      // what bounds the depth behind the sheet
	asked  carcass.Spec // the box as the file gives it

	Bits        []catalog.Bit // owned, smallest first
	BitsAssumed bool          // the file names no bits: a usual set is taken
	Press       bool          // drill press
	Files       bool          // owns files
	Wander      float64       // how far a hole may land off its mark, mm
	Kerf        float64       // mm; 0 = none
	Paper       string        // a4, letter

	Assumed []Assumed // every number taken on trust
	Keeps   []Keep

	doc *project.Doc // what it was made from
}

// Face is the outline of the sheet.
type Face struct {
	Width, Height, Corner float64
	Rack                  int // height units; 0 = not a rack panel
	Outline               geom.Outline
	Origin                Origin
}

// Stack is what lies between a part's front and its nut.
type Stack struct {
	Sheet                    catalog.Sheet
	SheetThickness           float64
	GrainUp                  bool             // the grain of plywood runs up the face, not across
	Covering                 catalog.Covering // Kind "none" when bare
	CoverThickness           float64
	CoverHoles               string  // trimmed, folded, coated
	Wrap                     float64 // turned over behind the edges; 0 = flush
	Total                    float64 // sheet and covering
	SheetOrigin, CoverOrigin Origin
}

// Origin is where a thing stands in the file, and how it may be edited.
type Origin struct {
	Name string // as the person calls it: legend or name
	Path string // "controls.go", "groups.cues.controls.door"
	Pos  finding.Pos
	// MovePath and MoveBase say how to move it: set MovePath to the face point MoveBase + shift. Empty MovePath: it cannot
	// be moved on its own (counted names, pinned, mirrored).
	MovePath string
	MoveBase geom.Vec2
}

// End gives the origin as one end of a finding.
func (o Origin) End() finding.End { return finding.End{Name: o.Name, Path: o.Path, Pos: o.Pos} }

// Control is a placed control.
type Control struct {
	Name   string // key in the file, "go"
	Label  string // as people call it in sentences: the legend (with the name when several share it), or the name in capitals
	Part   catalog.Part
	At     Pt
	Turn   float64 // degrees, counter-clockwise from the front
	Legend Legend
	Sends  string
	Sent   yamlfile.Any // what it sends, as the file says
	Via    string       // how its contacts reach the module, "" = as the panel's wiring says; "none" = they do not
	Lit    string       // how its lamp is fed, "" = as the panel's wiring says
	Use    []string     // lugs of contacts to be wired that would be spare otherwise
	Note   string
	Pinned bool
	Group  string // the group that placed it, "" if none
	From   string // the control that a mirror or copy made this one of; it moves when that one does
	Origin Origin

	Cuts  []*Cut // first is the main hole; face frame
	Front []Body // z >= 0
	Rear  []Body
	Lugs  []Lug

	adjusted string // the changes to its part, as text
}

// Step is the step of a row, column or grid as the file gives it: changing it spreads or gathers the group.
type Step struct {
	Group   string
	Path    string         // of the step in the file
	Size    float64        // mm
	Pair    *[2]float64    // a grid's two steps, right and down; Size is one of them
	Second  bool           // Size is the second of Pair
	Along   geom.Vec2      // the way on the face that one more step leads, length 1
	Members map[string]int // how many steps each control stands from the first
}

// Lug is a place to solder, in the face frame.
type Lug struct {
	Name, Does string
	At         Pt
	Z          float64 // where the wire meets it: negative, behind the sheet
	W, H       float64
}

// Cut is a cut-out in the sheet.
type Cut struct {
	ID      string   // "go", "go/anti-turn", "fixing-1", "hole-cable"
	Owner   *Control // nil for fixings and bare openings
	What    string   // hole, anti-turn, screw, window, slot, fixing, opening
	Spec    catalog.Cut
	At      Pt // middle
	Turn    float64
	Outline geom.Outline // nominal finished, face frame, no notch removed: exact outline with notches and flats
	// FinishedMin, FinishedMax: allowed finished size (diameter, or width for others: offsets from nominal are Min-Nominal)
	Nominal, FinishedMin, FinishedMax float64
	// CutMin, CutMax: allowed size as cut in the bare sheet, covering reckoned with.
	CutMin, CutMax float64
	Blind          float64 // depth from the back of the sheet; 0 = through
	Origin         Origin
}

// Round reports whether the cut-out is a plain round hole.
func (c *Cut) Round() bool { _, _, ok := c.Outline.AsCircle(); return ok }

// OffSheet reports whether a cut-out lies wholly beside the sheet, so that nothing can be cut there. It is false while the face has
// no size.
func (p *Panel) OffSheet(c *Cut) bool {
	return p.Face.HasSize() && !c.Outline.Empty() && !c.Outline.Bounds().Overlaps(p.Face.Outline.Bounds())
}

// Role says what a body is.
type Role string

// Roles of bodies.
const (
	RoleBezel, RoleCap, RoleKnob, RoleLever, RoleSweep, RoleGuard, RoleHandle Role = "bezel", "cap", "knob", "lever", "sweep", "guard", "handle"
	RoleBody, RoleLugs, RoleBend, RoleNut, RoleTool, RolePlug                 Role = "body", "lugs", "bend", "nut", "tool", "plug"
	RoleWall, RoleBase, RoleLedge, RoleBlock, RoleRib, RoleModule, RoleHead   Role = "wall", "base", "ledge", "block", "rib", "module", "head"
)

// Body is a convex solid in the face frame.
type Body struct {
	Role    Role
	Owner   string // control name, or "left side", "rib MIDDLE"
	Solid   geom.Convex
	Outline geom.Outline // its footprint on the face, also of a body that leans: then it is its shadow
	Z0, Z1  float64      // lowest and highest point, Z0 < Z1
	Leans   bool         // it is no upright prism: only Solid says its shape
	Board   string       // name of the board in Carcass.Boards that it is, "" for everything else
	Origin  Origin
}

// Fixing is a screw through the face.
type Fixing struct {
	Screw  string
	At     Pt
	Head   float64 // head diameter
	Cut    *Cut
	Origin Origin
}

// Module is a placed circuit board: the microcontroller board, or a further one.
type Module struct {
	Name   string // "module", or its name in the file
	Part   catalog.Part
	At     Pt
	Turn   float64
	On     string        // base or face
	Lift   float64       // stand-off, mm
	Frame  carcass.Frame // in the box frame, when placed: origin on what carries it, N from there to its parts, U and V as its record
	Placed bool
	Origin Origin

	Address int // on the I2C bus, as the file says; 0 = none given
}

// LegendStyle is the panel's usual lettering.
type LegendStyle struct {
	Cap, Gap float64
	Place    string
	By       string
	Ink      string
}

// Legend is a control's lettering, placed.
type Legend struct {
	Text   string
	Cap    float64 // capital height, mm
	Place  string
	Gap    float64   // between the control's front and the letters, mm
	Middle Pt        // middle of the capitals (of all lines)
	Box    geom.Box2 // round the letters with their tails and accents, face frame
	Lines  []string  // the text line by line, top first
	Origin Origin
}

// Text is lettering that belongs to no control.
type Text struct {
	Name, Text string
	Lines      []string // the text line by line, top first
	Middle     Pt
	Cap        float64
	Turn       float64
	Box        geom.Box2
	Origin     Origin
}

// Assumed is a number taken on trust.
type Assumed struct {
	What   string       `json:"what"`            // "push-16mm: grip 0.5 to 3.2 mm"
	Used   string       `json:"used_by"`         // "DOOR, BIRDS and 2 more"; of a limit: what it is
	Source trust.Source `json:"source,omitzero"` //
	Do     string       `json:"do"`              // "measure yours: knobwright parts measure push-16mm"
}

// Keep is a finding that the person leaves as it is.
type Keep struct {
	Rule   string
	Of     []string
	Why    string
	Origin Origin
}
