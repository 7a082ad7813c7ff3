// Package project is the person's file: its schema, reading it with the position of every value, and edits that leave
// every other byte as it was. The file is the panel; nothing else is saved.
package project

import (
	"knobwright/internal/catalog"
	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// File is a panel file as written: nothing expanded, nothing checked against the catalogue.
type File struct {
	// Version of the file format; 1.
	Knobwright int `yaml:"knobwright" jsonschema:"required"`
	// What the panel is called.
	Title string `yaml:"title"`
	// Unit of lengths written without one: mm (the default) or in.
	Units length.Unit `yaml:"units" jsonschema:"enum=mm,enum=in"`
	// Anything worth remembering; printed in the packet.
	Notes string `yaml:"notes"`
	// The sheet that everything is mounted in.
	Face Face `yaml:"face"`
	// What stands behind the face.
	Box Box `yaml:"box"`
	// The microcontroller board behind the face.
	Module Module `yaml:"module"`
	// How it is wired.
	Wiring Wiring `yaml:"wiring"`
	// How it names itself to the computer.
	USB USB `yaml:"usb"`
	// Numbers of buttons and axes that controls keep, by the name of what sends: "door: 5", "curtain/up: 9". Written by
	// knobwright fix numbers; a number in sends: goes before.
	Numbers Numbers `yaml:"numbers"`
	// When there is time to build it, how warm the room is, and how long things take.
	Work Work `yaml:"work"`
	// The hand that will work it: bare, glove, or tight (fingertips between neighbours).
	Hand string `yaml:"hand" jsonschema:"enum=bare,enum=glove,enum=tight"`
	// How far the eyes are from the legends; default 500 mm.
	Reading length.Length `yaml:"reading"`
	// The bits and other tools in the drawer.
	Tools Tools `yaml:"tools"`
	// Paper for the templates: a4 (the default) or letter.
	Paper string `yaml:"paper" jsonschema:"enum=a4,enum=letter"`
	// A catalogue file of your own, beside this file.
	Catalogue string `yaml:"catalogue"`
	// Controls by name.
	Controls yamlfile.Ordered[Control] `yaml:"controls"`
	// Rows, columns, grids, arcs, mirrored copies: they all expand to named controls.
	Groups yamlfile.Ordered[Group] `yaml:"groups"`
	// What all that is to be bought may cost, with its currency: 80 EUR.
	Budget string `yaml:"budget"`
	// The file with what is on hand and the prices of your shops, beside this file; default stock.yaml when there is one.
	Stock string `yaml:"stock"`
	// Your own numbers in place of the limits of the rules, by limit name.
	Limits map[string]Number `yaml:"limits"`
	// Findings that you leave as they are, with your reason.
	Keep []Keep `yaml:"keep"`
}

// Face is the sheet in front.
type Face struct {
	// Width, left to right.
	Width length.Length `yaml:"width"`
	// Height, bottom to top, along the face.
	Height length.Length `yaml:"height"`
	// Radius of the corners.
	Corner length.Length `yaml:"corner"`
	// Rack height units instead of width and height: a 19-inch panel of so many U.
	Rack int `yaml:"rack"`
	// The sheet, by catalogue name, or with its measured thickness.
	Sheet SheetRef `yaml:"sheet"`
	// How the grain of plywood runs: across the face (the default), or up.
	Grain string `yaml:"grain" jsonschema:"enum=across,enum=up"`
	// What covers it.
	Covering CoveringRef `yaml:"covering"`
	// Letters: height, and how they get there.
	Legend LegendStyle `yaml:"legend"`
	// Screws that hold the face.
	Fixings Fixings `yaml:"fixings"`
	// Further openings without a part.
	Holes yamlfile.Ordered[Hole] `yaml:"holes"`
	// Lettering that belongs to no control: a title, a group name.
	Texts yamlfile.Ordered[Text] `yaml:"texts"`
	// Kerf for the cutting file, if a laser or router cuts the sheet; 0 draws true sizes.
	Kerf length.Length `yaml:"kerf"`
}

// SheetRef names a sheet and may give its measured thickness.
type SheetRef struct {
	Use    string        `yaml:"use" kw:"scalar"` // name of a sheet in the catalogue
	Actual length.Length `yaml:"actual"`          // as measured
}

// CoveringRef names a covering and may say how it is done here.
type CoveringRef struct {
	Use       string        `yaml:"use" kw:"scalar"`                                         // name of a covering in the catalogue; none = bare
	Thickness length.Length `yaml:"thickness"`                                               // as measured
	Holes     string        `yaml:"holes" jsonschema:"enum=trimmed,enum=folded,enum=coated"` // what becomes of it at a hole: trimmed flush, folded in, or it coats the edge
	Wrap      length.Length `yaml:"wrap"`                                                    // how far it is turned over behind the edges
	Edge      string        `yaml:"edge" jsonschema:"enum=wrapped,enum=flush"`               // turned over the edges, or cut flush
}

// LegendStyle is how legends are made unless a control says otherwise.
type LegendStyle struct {
	Cap   length.Length `yaml:"cap"`                                                              // height of a capital letter; default 3 mm
	Gap   length.Length `yaml:"gap"`                                                              // between the control's front outline and the letters; default 2 mm
	Place string        `yaml:"place" jsonschema:"enum=below,enum=above,enum=left,enum=right"`    // on which side of the control; default below
	By    string        `yaml:"by" jsonschema:"enum=print,enum=engrave,enum=transfer,enum=label"` // how they get there
	Ink   string        `yaml:"ink" jsonschema:"enum=dark,enum=light"`                            // dark letters on light, or light on dark
}

// Fixings are screws through the face: corner screws, evenly spaced ones, or a list.
type Fixings struct {
	Screw  string        `yaml:"screw"`                                              // "M3"
	Inset  length.Length `yaml:"inset"`                                              // from the edges to the screw's middle
	Across int           `yaml:"across"`                                             // screws along the top and along the bottom; default 2 (corners)
	Up     int           `yaml:"up"`                                                 // screws along each side, corners counted; default 2
	At     []Point       `yaml:"at" kw:"list"`                                       // or a place for each screw
	Head   length.Length `yaml:"head"`                                               // head diameter; default by screw
	Fit    string        `yaml:"fit" jsonschema:"enum=close,enum=normal,enum=loose"` // how much larger than the screw the hole is; default normal
}

// Point is a place in the face frame: across from the left edge, up from the bottom edge.
type Point [2]length.Length

// Hole is an opening without a part.
type Hole struct {
	Round  length.Length     `yaml:"round"`                    // diameter of a round opening
	Rect   *[2]length.Length `yaml:"rect"`                     // width and height of a rectangular one
	Corner length.Length     `yaml:"corner"`                   // radius of its corners
	Slot   *[2]length.Length `yaml:"slot"`                     // overall length and width of one with round ends
	At     Point             `yaml:"at" jsonschema:"required"` // its middle
	Turn   length.Angle      `yaml:"turn"`                     // counter-clockwise as seen from the front
	Tol    [2]length.Length  `yaml:"tol"`                      // how much smaller (negative or 0) and larger it may be
	// The board it goes through; default the face. On another board at is seen from outside, from that board's lower left
	// corner.
	On string `yaml:"on" jsonschema:"enum=face,enum=upper,enum=rest,enum=top,enum=back,enum=front,enum=left,enum=right,enum=base"`
}

// Text is lettering on the face.
type Text struct {
	Text string        `yaml:"text" kw:"scalar" jsonschema:"required"` // the letters
	At   Point         `yaml:"at"`                                     // middle of the text
	Cap  length.Length `yaml:"cap"`                                    // height of a capital letter
	Turn length.Angle  `yaml:"turn"`                                   // counter-clockwise as seen from the front
}

// Module is the microcontroller board: a catalogue part lying behind the face.
type Module struct {
	Part string        `yaml:"part" kw:"scalar"`                    // name of a board in the catalogue
	At   *Point        `yaml:"at"`                                  // its middle, seen from the FRONT; without it, it takes no room yet
	Turn length.Angle  `yaml:"turn"`                                // counter-clockwise as seen from the front
	On   string        `yaml:"on" jsonschema:"enum=base,enum=face"` // lies on the base (default) or hangs under the face
	Lift length.Length `yaml:"lift"`                                // stand-off under the board; default 5 mm
}

// Tools is what the person owns.
type Tools struct {
	Bits   []BitsRef     `yaml:"bits" kw:"list"`                          // sets of the catalogue, or sizes of one kind
	Drill  string        `yaml:"drill" jsonschema:"enum=hand,enum=press"` // hand drill or drill press
	File   *bool         `yaml:"file"`                                    // owns files; default yes
	Wander length.Length `yaml:"wander"`                                  // how far a hole may land off its mark; default by drill
}

// BitsRef names a bit set of the catalogue, or lists sizes of one kind.
type BitsRef struct {
	Set        string          `yaml:"set" kw:"scalar"`                                                                               // name of a set in the catalogue
	Kind       catalog.BitKind `yaml:"kind" jsonschema:"enum=twist,enum=brad-point,enum=step,enum=hole-saw,enum=forstner,enum=spade"` // kind of bit
	Sizes      []length.Length `yaml:"sizes"`                                                                                         // diameters
	StepHeight length.Length   `yaml:"step-height"`                                                                                   // height of one step of a step drill
}

// Control is one control as the person writes it.
type Control struct {
	// Catalogue name of the part.
	Part string `yaml:"part"`
	// Middle of the main hole on the face.
	At *Point `yaml:"at"`
	// Turned counter-clockwise as seen from the front.
	Turn length.Angle `yaml:"turn"`
	// Moved from where its group put it.
	Shift *Point `yaml:"shift"`
	// Letters beside it; default: the name in capitals. "" for none.
	Legend *Legend `yaml:"legend"`
	// What it sends to the computer: button 5, key ctrl+s, {turn: [button 2, button 3], press: button 4}; default by the part.
	Sends yamlfile.Any `yaml:"sends"`
	// The board it sits in: the face unless another one is named; at is then seen from outside, from that board's lower
	// left corner.
	On string `yaml:"on" jsonschema:"enum=face,enum=upper,enum=rest,enum=top,enum=back,enum=front,enum=left,enum=right,enum=base"`
	// Changes to the part as it is in your hand: the fields of a part record, laid over the catalogue's.
	Adjust yamlfile.Any `yaml:"adjust"`
	// Diameter of the knob fitted, if not the part's usual one.
	Knob length.Length `yaml:"knob"`
	// How its contacts reach the module, if not as wiring.by says: direct, matrix, expander, shift-in or ladder; or none: it is not
	// wired.
	Via string `yaml:"via" jsonschema:"enum=direct,enum=matrix,enum=expander,enum=shift-in,enum=ladder,enum=none"`
	// How its lamp is fed, if not as wiring.lamps says: pin, always, contact or none.
	Lit string `yaml:"lit" jsonschema:"enum=pin,enum=always,enum=contact,enum=none"`
	// Its normally closed contact is used instead of the other one, or a second pole too: names of the contacts' lugs.
	Use []string `yaml:"use"`
	// Fixed by you: no fix and no arrangement will move it.
	Pinned bool `yaml:"pinned"`
	// Why it is there, what it does; printed in the parts list.
	Note string `yaml:"note"`
}

// Legend is a control's lettering.
type Legend struct {
	Text  string        `yaml:"text" kw:"scalar"`                                              // the letters; "" for none
	Place string        `yaml:"place" jsonschema:"enum=below,enum=above,enum=left,enum=right"` // on which side of the control
	Cap   length.Length `yaml:"cap"`                                                           // height of a capital letter
	Gap   length.Length `yaml:"gap"`                                                           // between the control and the letters
}

// Group places several controls by one rule: exactly one of Row, Column, Grid, Arc, Mirror, Copy.
type Group struct {
	Part   string       `yaml:"part"`   // for members that name none
	Row    *Run         `yaml:"row"`    // left to right
	Column *Run         `yaml:"column"` // top to bottom
	Grid   *Grid        `yaml:"grid"`   // rows and columns
	Arc    *Arc         `yaml:"arc"`    // on a circle
	Mirror *Mirror      `yaml:"mirror"` // copies on the other side of a line
	Copy   *Copy        `yaml:"copy"`   // copies shifted and turned
	Turn   length.Angle `yaml:"turn"`   // the whole group turned ...
	About  *Point       `yaml:"about"`  // ... about this point; default its first place
	// The board its members sit in, unless they name another one; default the face.
	On string `yaml:"on" jsonschema:"enum=face,enum=upper,enum=rest,enum=top,enum=back,enum=front,enum=left,enum=right,enum=base"`
	// Names made by counting: "cue-{n}", "key-{row}-{column}". Then the group makes as many as it has places.
	Names string `yaml:"names"`
	// Members in order; with names:, changes to single members.
	Controls yamlfile.Ordered[Control] `yaml:"controls"`
}

// Run is a row (left to right) or a column (top to bottom): from a first place by a step, or evenly spread to a last place.
type Run struct {
	From  Point          `yaml:"from" jsonschema:"required"` // the first place
	Step  length.Length  `yaml:"step"`                       // from one place to the next
	To    *length.Length `yaml:"to"`                         // row: x of the last; column: y of the last
	Count int            `yaml:"count"`                      // only with names:
}

// Grid is rows and columns, counted from the top left in reading order.
type Grid struct {
	From    Point            `yaml:"from" jsonschema:"required"`    // middle of the top left place
	Step    [2]length.Length `yaml:"step" jsonschema:"required"`    // right, down
	Columns int              `yaml:"columns" jsonschema:"required"` // how many side by side
	Rows    int              `yaml:"rows"`                          // how many rows; default as many as it takes
}

// Arc is places on a circle, evenly from one angle to another; angles counter-clockwise from the right (3 o'clock).
type Arc struct {
	Centre Point         `yaml:"centre" jsonschema:"required"` // middle of the circle
	Radius length.Length `yaml:"radius" jsonschema:"required"` // of the circle
	From   length.Angle  `yaml:"from"`                         // angle of the first place
	To     length.Angle  `yaml:"to"`                           // angle of the last place
	Facing bool          `yaml:"facing"`                       // turn each control so that its top points outwards
	Count  int           `yaml:"count"`                        // only with names:
}

// Mirror copies controls to the other side of a line.
type Mirror struct {
	Of     []string      `yaml:"of" jsonschema:"required"`                  // control or group names
	Line   string        `yaml:"line" jsonschema:"enum=upright,enum=level"` // default upright: left and right change places
	At     length.Length `yaml:"at"`                                        // where the line is: x of an upright, y of a level one; default the middle of the face
	Suffix string        `yaml:"suffix"`                                    // added to each name; default "-m"
}

// Copy copies controls by a shift and a turn.
type Copy struct {
	Of     []string     `yaml:"of" jsonschema:"required"` // control or group names
	By     Point        `yaml:"by"`                       // across and up
	Turn   length.Angle `yaml:"turn"`                     // all copies together, counter-clockwise ...
	About  *Point       `yaml:"about"`                    // ... about this point
	Suffix string       `yaml:"suffix"`                   // default "-2"
}

// Number is a limit of the person's own: a bare number in the limit's own unit, or a number with its unit.
type Number struct {
	Value float64 `yaml:"-"`                // in Unit
	Unit  string  `yaml:"-"`                // "" when none is written, "mm", "deg", "min of arc", "N", "x"
	Text  string  `yaml:"text" kw:"scalar"` // as written: "2 mm", "16"
}

// Keep is a finding that the person leaves as it is.
type Keep struct {
	Rule string   `yaml:"rule" jsonschema:"required"` // name of the rule, as a finding shows it
	Of   []string `yaml:"of"`                         // the names it is about; none = wherever it occurs
	Why  string   `yaml:"why" jsonschema:"required"`  // your reason; it is printed with the finding
}
