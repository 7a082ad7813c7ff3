package project

import (
	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// Box is what stands behind the face. Give as many sizes as settle it; the others follow, and sizes that disagree are a
// finding. The face gives the width and its own length unless outside says otherwise.
type Box struct {
	// Shape: flat (level face over upright walls), wedge (walls square to the face, base cut on the slant), desk (upright
	// walls, level base, sloping face), two-slope (two faces), rack (a 19-inch panel between cheeks), or none.
	Form string `yaml:"form" jsonschema:"enum=flat,enum=wedge,enum=desk,enum=two-slope,enum=rack,enum=none"`
	// Clear depth behind the sheet, square to it, from its back to the base, where it is least; in a rack, from the upper end of
	// the panel to the back of the box.
	Depth length.Length `yaml:"depth"`
	// Outside height in front, from the table to the front of the face.
	Front length.Length `yaml:"front"`
	// Outside height behind.
	Back length.Length `yaml:"back"`
	// Slope of the face from level.
	Slope length.Angle `yaml:"slope"`
	// Outside size: width over the sides, and from front to back.
	Outside *[2]length.Length `yaml:"outside"`
	// Flat hand rest before the face of a desk.
	Rest Rest `yaml:"rest"`
	// The second, steeper face of a two-slope box.
	Upper *Upper `yaml:"upper"`

	// Board the walls are made of.
	Walls SheetRef `yaml:"walls"`
	// Board the base is made of; default as the walls.
	Base SheetRef `yaml:"base"`
	// How far the walls stand in from the edge of the face; 0 = flush.
	Inset length.Length `yaml:"inset"`
	// How the walls meet at the corners.
	Corners Corners `yaml:"corners"`
	// How edges that meet on the slant are cut: bevelled, to lie flush (the default), or square, as a laser leaves them; then front
	// and back touch the face with one arris and a narrow gap stays.
	Edges string `yaml:"edges" jsonschema:"enum=bevelled,enum=square"`
	// How the face sits: laid-on (the default) or let-in between the walls on ledges.
	Face string `yaml:"face" jsonschema:"enum=laid-on,enum=let-in"`
	// How the face is held: screwed (the default), glued, hinged, or screwed into inserts.
	Held string `yaml:"held" jsonschema:"enum=screwed,enum=inserts,enum=glued,enum=hinged"`
	// How the base sits: under the walls (the default), or let-in between them on cleats.
	BaseFit string `yaml:"base-fit" jsonschema:"enum=under,enum=let-in"`
	// Gap round a face or a base that is let in, on every side; default 0.5 mm.
	Play length.Length `yaml:"play"`
	// Ledge that carries the face along the walls, if any.
	Ledge *Ledge `yaml:"ledge"`
	// Cleats along the walls above a base that is let in; default 12 mm by 12 mm.
	Cleat *Ledge `yaml:"cleat"`
	// Glue blocks in the corners.
	Blocks *Blocks `yaml:"blocks"`
	// Ribs under the face.
	Ribs yamlfile.Ordered[Rib] `yaml:"ribs"`
	// Rectangles of the face, each by two opposite corners, under which no rib is to be proposed: [[[10, 10], [90, 60]]].
	RibFree [][2]Point `yaml:"rib-free"`

	// Screws that hold the boards together.
	Screws Screws `yaml:"screws"`
	// Rubber feet.
	Feet Feet `yaml:"feet"`
	// Where the cable leaves.
	Cable *Cable `yaml:"cable"`
	// Sheets and offcuts on hand.
	Stock []Stock `yaml:"stock"`
	// How boards are cut out of sheets.
	Saw Saw `yaml:"saw"`
	// Bed of the printer for the printable variant: width, depth, height.
	Bed *[3]length.Length `yaml:"bed"`
}

// Rest is the flat hand rest before the face of a desk.
type Rest struct {
	Depth length.Length `yaml:"depth" kw:"scalar"` // from the front of the box to the face
	Sheet SheetRef      `yaml:"sheet"`             // board it is made of; default as the walls
}

// Upper is the second face of a two-slope box, with its own sheet as the first.
type Upper struct {
	Slope  length.Angle  `yaml:"slope"`  // slope of the second face from level
	Height length.Length `yaml:"height"` // measured along it
	// Sheet that it is made of; default as the face.
	Sheet SheetRef `yaml:"sheet"`
	// How the grain of plywood runs: across it or up; default as the face.
	Grain string `yaml:"grain" jsonschema:"enum=across,enum=up"`
	// What covers it; default as the face.
	Covering CoveringRef `yaml:"covering"`
	// Screws that hold it; places from its own lower left corner.
	Fixings Fixings `yaml:"fixings"`
	// Ribs under it; places from its own lower left corner.
	Ribs yamlfile.Ordered[Rib] `yaml:"ribs"`
}

// Corners says how the walls meet.
type Corners struct {
	Joint   string        `yaml:"joint" kw:"scalar" jsonschema:"enum=butt,enum=rebate,enum=mitre,enum=finger"` // butt (the default), rebate, mitre or finger
	Through string        `yaml:"through" jsonschema:"enum=front,enum=sides"`                                  // which walls run through; default front (and back)
	Finger  length.Length `yaml:"finger"`                                                                      // width of a finger
	Fit     length.Length `yaml:"fit"`                                                                         // slot less finger; positive is loose
}

// Screws says which screws hold the boards.
type Screws struct {
	Size   string        `yaml:"size" kw:"scalar"` // "3x20" diameter by length, mm; or a gauge, "#4 x 3/4 in"
	Every  length.Length `yaml:"every"`            // spacing along an edge
	Inset  length.Length `yaml:"inset"`            // first screw from the end
	Insert string        `yaml:"insert"`           // thread of the inserts, "M3"
	Driver length.Length `yaml:"driver"`           // length of the screwdriver that must stand square to the head
}

// Feet are rubber feet under the base.
type Feet struct {
	Diameter length.Length `yaml:"diameter" kw:"scalar"` // outside diameter of a foot
	Height   length.Length `yaml:"height"`               // how high they lift the box
	Inset    length.Length `yaml:"inset"`                // middle of a foot from the edges of the base
	None     bool          `yaml:"none"`                 // the box stands without feet
}

// Cable is how the lead leaves the box.
type Cable struct {
	On       string            `yaml:"on" jsonschema:"enum=back,enum=left,enum=right,enum=front,enum=base"` // default back
	At       *Point            `yaml:"at"`                                                                  // seen from outside, from the board's lower left corner; default in line with the module
	Round    length.Length     `yaml:"round"`                                                               // hole; default what lets the plug through, or the grommet
	Notch    bool              `yaml:"notch"`                                                               // a notch in the upper edge instead of a hole
	Diameter length.Length     `yaml:"diameter"`                                                            // of the cable; default 4 mm
	Plug     *[3]length.Length `yaml:"plug"`                                                                // width, height, length of the plug's body; default 12 x 8 x 30 mm
	Grommet  length.Length     `yaml:"grommet"`                                                             // diameter of the grommet's hole, if one is fitted
	Relief   string            `yaml:"relief" jsonschema:"enum=knot,enum=clip,enum=gland"`                  // what takes the pull: a knot, a clip or a gland
}

// Stock is a sheet or an offcut on hand.
type Stock struct {
	Sheet string           `yaml:"sheet"` // sheet of the catalogue
	Size  [2]length.Length `yaml:"size"`  // along the grain, across
	Count int              `yaml:"count"` // how many of them; default 1
	Name  string           `yaml:"name"`  // what you call it: offcut of the shelf
}

// Saw says how boards are cut out of sheets.
type Saw struct {
	Kind string        `yaml:"kind" kw:"scalar" jsonschema:"enum=table,enum=hand,enum=laser"` // table (guillotine cuts), hand, or laser (free layout)
	Kerf length.Length `yaml:"kerf"`                                                          // width of the cut; default by kind
	Trim length.Length `yaml:"trim"`                                                          // cut off the edges of a full sheet first
}

// Ledge is a strip along the inside of the walls: under the face, or a cleat above the base.
type Ledge struct {
	Width  length.Length `yaml:"width"`  // how far it stands out from the wall
	Height length.Length `yaml:"height"` // along the wall, from the back of the face down, or from the base up
}

// Blocks are square glue blocks in the four corners, from the base to the face or its ledges unless said otherwise.
type Blocks struct {
	Size   length.Length `yaml:"size" kw:"scalar"` // side of the square
	Height length.Length `yaml:"height"`           // how tall they are; default as tall as there is room
}

// Rib is a batten under the face, upright, along the line from From to To.
type Rib struct {
	From   Point         `yaml:"from" jsonschema:"required"` // one end of its middle line
	To     Point         `yaml:"to" jsonschema:"required"`   // the other end
	Width  length.Length `yaml:"width"`                      // thickness of the rib across its line
	Height length.Length `yaml:"height"`                     // how far it stands down behind the sheet
	Pinned bool          `yaml:"pinned"`                     // it stays where it is: on the page, and when ribs are proposed afresh
}
