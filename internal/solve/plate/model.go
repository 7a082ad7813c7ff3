package plate

import (
	"math"
	"slices"

	"knobwright/internal/geom"
)

// Model is a sheet, what holds it and what presses on it. Lengths are millimetres, forces newtons, moduli and stresses
// megapascals, angles degrees. Any frame will do; positive forces and movements go through the face, away from the
// person, towards the side on which the ribs are.
type Model struct {
	Outline   geom.Outline // outer edge
	Openings  []Opening    // what is cut out; parts that reach beyond the outline cut into its edge
	Thickness float64      // mm, more than 0
	Material  Material
	Lines     []Line  // supports along lines
	Points    []Point // supports at points, such as screws
	Ribs      []Rib
	Spots     []Spot // where forces act and movements are read
	Cases     []Case // load cases
	Options   Options
}

// Opening is one hole of any shape.
type Opening struct {
	Name    string
	Outline geom.Outline
}

// Material is an elastic sheet, alike in all directions or with a grain. Zero fields are filled in from those given:
// Across from Along, InPlane from Along/(2(1+Poisson)) of the geometric mean, Rolling and Through from InPlane.
type Material struct {
	Along   float64 // Young's modulus along the grain, MPa
	Across  float64 // Young's modulus across the grain, MPa; 0 = Along
	Poisson float64 // contraction across per stretch along, 0 to below 0.5
	InPlane float64 // shear modulus in the plane of the sheet, MPa; 0 = that of an even material
	Through float64 // shear modulus along the grain through the thickness (G13), MPa; 0 = InPlane
	Rolling float64 // shear modulus across the grain through the thickness (G23), MPa; 0 = Through
	Grain   float64 // direction of the grain, degrees counter-clockwise from x
	Density float64 // kg/m³, for self weight; 0 = weightless
	// What the sheet bears in bending along and across the grain, MPa; 0 = not asked. With both, an opening's peak is the place that
	// comes nearest to what it bears, between the two by Hankinson's rule.
	Strength, StrengthAcross float64
}

// Even gives a material alike in all directions.
func Even(young, poisson, density float64) Material {
	return Material{Along: young, Poisson: poisson, Density: density}
}

// filled gives the material with nothing left at zero that stands for something else.
func (m Material) filled() Material {
	if m.Across == 0 {
		m.Across = m.Along
	}
	if m.InPlane == 0 {
		e := math.Sqrt(m.Along * m.Across)
		nu := m.Poisson * math.Sqrt(m.Across/m.Along)
		m.InPlane = e / (2 * (1 + nu))
	}
	if m.Through == 0 {
		m.Through = m.InPlane
	}
	if m.Rolling == 0 {
		m.Rolling = m.Through
	}
	return m
}

// Clamped as the Spring of a line means that the sheet cannot turn there at all.
var Clamped = math.Inf(1)

// Line holds the sheet along a straight line: up and down without give, and against tipping with a spring.
type Line struct {
	Name   string
	A, B   geom.Vec2
	Spring float64 // N·mm of moment per radian and mm of length; 0 = free to turn, [Clamped] = not at all
}

// Point holds the mean movement over a small disc, and lets it tilt, as a screw or a stand-off does.
type Point struct {
	Name     string
	At       geom.Vec2
	Diameter float64 // of the disc, mm; 0 = twice the thickness
	Give     float64 // mm per newton; 0 = none
}

// Rib is a bar glued to the far side along a straight axis.
type Rib struct {
	Name    string
	A, B    geom.Vec2 // ends of the axis; the bar is cut square there
	Width   float64   // mm
	Height  float64   // mm, square to the sheet
	Young   float64   // MPa, along the bar
	Poisson float64
	// Shear is the shear modulus of the bar in its upright plane, MPa; 0 = that of an even material. Of plywood and wood it is far less:
	// a short bar then gives more by shear, and resists twist less.
	Shear float64
	// Glue is the stiffness of the joint, N/mm of shear per mm of slip and mm of length: G·width/thickness of the layer. 0 =
	// a joint that does not slip (solvent, epoxy). 1 mm foam tape with G = 0.3 MPa under a 6 mm bar has 1.8.
	Glue float64
}

// Spot is where a force acts, evenly spread, or where the mean movement is read: a disc, a ring, any outline, or a point.
// What lies in an opening or off the sheet does not count.
type Spot struct {
	Name    string
	At      geom.Vec2
	Outer   float64      // diameter, mm; 0 = a point
	Inner   float64      // diameter of what is left out, for a ring
	Outline geom.Outline // in place of the disc, when not nil
}

// Case is one state of loading.
type Case struct {
	Name     string
	Forces   []Force
	Pressure float64 // MPa on the whole face
	Weight   float64 // share of the sheet's own weight that acts into the face: 1 for a level face, cos of its slope
}

// Force is a push on a spot.
type Force struct {
	Spot   int // index in Model.Spots
	Newton float64
}

// RibModel says how a rib shares bending with the sheet.
type RibModel int

const (
	// Membrane works out how far the sheet stretches along its own plane beside each rib; the default.
	Membrane RibModel = iota
	// EffectiveWidth takes von Kármán's flange of about a third of the rib's length: quicker, some per cent less exact.
	EffectiveWidth
)

// Options are for tests and for trading time against accuracy; the zero value is right for use.
type Options struct {
	Cell   float64  // wanted cell size, mm; 0 = min(10, shorter side / 12), 8 for sheets soft in shear, 7 under slanted ribs, finer for strips
	Thin   bool     // Kirchhoff's thin plate: no shear, no edge layer
	Ribs   RibModel //
	Turn   float64  // turn the grid by so many degrees from where the outline would put it
	NoEdge bool     // leave out the softer edge layer only
}

// deg is one degree in radians.
const deg = math.Pi / 180

// clone copies the model, so that a caller may go on changing their own.
func (m Model) clone() Model {
	m.Outline = slices.Clone(m.Outline)
	m.Openings = slices.Clone(m.Openings)
	for i := range m.Openings {
		m.Openings[i].Outline = slices.Clone(m.Openings[i].Outline)
	}
	m.Lines, m.Points, m.Ribs = slices.Clone(m.Lines), slices.Clone(m.Points), slices.Clone(m.Ribs)
	m.Spots, m.Cases = slices.Clone(m.Spots), slices.Clone(m.Cases)
	for i := range m.Spots {
		m.Spots[i].Outline = slices.Clone(m.Spots[i].Outline)
	}
	for i := range m.Cases {
		m.Cases[i].Forces = slices.Clone(m.Cases[i].Forces)
	}
	return m
}

// WallSpring gives the Spring of a line glued along a wall that bends with the sheet: a plate of the given modulus (MPa), Poisson's
// ratio, thickness and height (mm). Per radian the wall resists with 3·D/height when its far edge turns freely, 4·D/height when that
// is fixed (slope deflection; any text on frames).
func WallSpring(young, poisson, thickness, height float64, fixed bool) float64 {
	d := young * thickness * thickness * thickness / (12 * (1 - poisson*poisson))
	if fixed {
		return 4 * d / height
	}
	return 3 * d / height
}
