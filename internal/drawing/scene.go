// Package drawing is one scene, many writers: what is to be drawn is said once, in millimetres, and PDF, SVG and DXF are
// written from it. A scene knows line kinds and inks by their meaning, never by number; the writers know the numbers.
//
// Frame: x right, y up, mm. Angles in degrees, counter-clockwise. Everything drawn is ordered; the same scene gives the same
// bytes from every writer.
package drawing

import "knobwright/internal/geom"

// Ink is a colour by its meaning. Each ink has a second carrier (line kind, hatch, shape): a grey print loses nothing.
type Ink string

// The inks.
const (
	Ink0        Ink = "ink"      // what will exist
	Pencil      Ink = "pencil"   // what helps: hidden, helper words
	Hair        Ink = "hair"     // table rules
	Faint       Ink = "faint"    // light separators
	You         Ink = "you"      // in hand
	YouWash     Ink = "you-wash" //
	Bad         Ink = "bad"      // trouble
	BadWash     Ink = "bad-wash" //
	Paper       Ink = "paper"    // knocked out
	PlyWash     Ink = "ply"      // material washes
	AcrylicWash Ink = "acrylic"
	MetalWash   Ink = "metal"
	CapWash     Ink = "cap"
	SignBlue    Ink = "sign-blue"   // mandatory signs only, ISO 3864
	SignYellow  Ink = "sign-yellow" // warning signs only
	SignRed     Ink = "sign-red"    // prohibition signs only
	SignBlack   Ink = "sign-black"
	SignWhite   Ink = "sign-white"
	NoInk       Ink = ""
)

// Line is a line kind after ISO 128: width and dash pattern are decided in one table (see look).
type Line string

// The line kinds; widths in mm on paper.
const (
	Datum    Line = "datum"     // 1.2 continuous, square ends: the datum corner
	CutEnds  Line = "cut-ends"  // 0.7 continuous: ends of a cutting plane
	Edge     Line = "edge"      // 0.5 continuous: edge of the thing
	Visible  Line = "visible"   // 0.35 continuous: visible parts, holes
	Hidden   Line = "hidden"    // 0.25 dashed 2.4-1.2: what lies behind
	CentreLn Line = "centre"    // 0.18 long dash, dot: centre lines
	Dim      Line = "dim"       // 0.18 continuous: dimensions, leaders, projection, crosses
	Thin     Line = "thin"      // 0.25 continuous: visible detail inside a part
	LeadStop Line = "lead-stop" // 0.5 solid
	LeadWarn Line = "lead-warn" // 0.25 dashed
	LeadNote Line = "lead-note" // 0.18 solid
	Rule     Line = "rule"      // 0.18 table rules, in Hair
	Hairline Line = "hairline"  // 0.05: cutting files
	WireDone Line = "wire-done" // 1.0 solid: wire followed, soldered
	WireOpen Line = "wire-open" // 0.6 dotted: wire followed, still to do
	Wire     Line = "wire"      // 0.25 solid: other wires
	NoLine   Line = ""
)

// Face is a type face.
type Face string

// The faces; missing glyphs fall back to DejaVu Sans, and fail the build when that lacks them too.
const (
	Lettering Face = "lettering" // Routed Gothic: what is drawn
	Pencilled Face = "pencilled" // its half italic: notes
	Read      Face = "read"      // Atkinson Hyperlegible Next 400
	ReadHalf  Face = "read-600"
	ReadBold  Face = "read-700"
	FileFace  Face = "file" // DejaVu Sans Mono
)

// Anchor says which point of a text stands at its place.
type Anchor int

// Horizontal anchors; vertical is the baseline, or the middle of the capitals with Style.Middle.
const (
	Left Anchor = iota
	Centre
	Right
)

// Hatch is a pattern that fills a cut area.
type Hatch string

// The hatches.
const (
	NoHatch      Hatch = ""
	HatchPly     Hatch = "ply"     // 45 deg, 2 mm
	HatchAcrylic Hatch = "acrylic" // 135 deg, dense, 1 mm
	HatchMetal   Hatch = "metal"   // 45 deg, pairs
	HatchCovered Hatch = "covered" // slant lines: covered, leave alone
	HatchBad     Hatch = "bad"
)

// Style says how a shape is drawn.
type Style struct {
	Line  Line
	Ink   Ink // of the line; default ink
	Fill  Ink
	Hatch Hatch
	Width float64    // overrides the line's width, mm on paper, when > 0
	Dash  [2]float64 // overrides the line's dashes: on, off, mm on paper, when off > 0
	Round bool       // round ends and corners whatever the line kind says
}

// Item is one thing on a scene: exactly one of the pointers or slices is used.
type Item interface{ item() }

// Path is a run of lines and arcs: closed outlines or an open polyline with bulges (see geom.Vertex).
type Path struct {
	Outlines []geom.Outline // several outlines fill even-odd
	Open     bool           // the outline is an open run; the last vertex's bulge is not used
	Style    Style
	Layer    string
}

// Text is one line of text.
type Text struct {
	At     geom.Vec2
	S      string
	Face   Face
	Size   float64 // type size in mm (em), > 0; use CapSize to letter by capital height
	Anchor Anchor
	Middle bool    // At.Y is the middle of the capitals, not the baseline
	Turn   float64 // degrees
	Ink    Ink     // default ink
	Layer  string
	Track  float64 // extra space between letters, in em
}

// Group moves, and perhaps clips, what it holds. Shapes and text are moved, scaled and mirrored; line widths, dashes and
// hatches keep their size on paper. Text is never mirrored: in a flipped group it stands on the mirrored spot and still
// reads the right way round (TextPath gives letters as shapes where mirrored lettering is wanted).
type Group struct {
	Place geom.Place
	Scale float64      // 0 = 1
	Clip  geom.Outline // before the move; empty = none
	Items []Item
	Note  string // for SVG: title of the group, hostile text allowed
}

func (*Path) item()  {}
func (*Text) item()  {}
func (*Group) item() {}

// Layer is a named layer of a drawing: in DXF and SVG a layer, in PDF optional content.
type Layer struct {
	Name    string // "DRILL", "CUT", "ENGRAVE", "BACK"
	Means   string // sentence
	Colour  int    // DXF colour index
	Process bool   // a cutting process: lines at hairline width
}

// Scene is a drawing without a page.
type Scene struct {
	Title  string
	Bounds geom.Box2
	Layers []Layer
	Items  []Item
}

// Page is a sheet of paper with a scene on it, 1:1, origin at its lower left corner.
type Page struct {
	Width, Height float64 // mm
	Name          string  // bookmark
	Items         []Item
}

// Document is a set of pages for one PDF.
type Document struct {
	Title, Subject string
	Lang           string // of its text, "de"; "" = en
	Pages          []Page
}
