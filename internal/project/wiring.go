package project

import (
	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// Wiring says how leads get from the controls to the module. Everything in it may be left out: then the usual is taken.
type Wiring struct {
	// How inputs reach the pins: auto (the default: one pin each while they suffice, else what is least trouble), direct, matrix,
	// expander, shift-in or ladder.
	By string `yaml:"by" jsonschema:"enum=auto,enum=direct,enum=matrix,enum=expander,enum=shift-in,enum=ladder"`
	// Pins that you have settled, by the name of the lead: "go: GP3", "scene/a: GP10", "scene/b: 15".
	Pins yamlfile.Ordered[PinRef] `yaml:"pins"`
	// Pins of the module that are to stay free.
	Free []string `yaml:"free"`
	// Shape of the matrix, if there is one.
	Matrix Matrix `yaml:"matrix"`
	// Further boards: expanders, shift-in boards.
	Boards yamlfile.Ordered[Extra] `yaml:"boards"`
	// How lamps are fed.
	Lamps Lamps `yaml:"lamps"`
	// Resistors of your own, as values: [220, 1k]; or a series: E12 (the default).
	Resistors []string `yaml:"resistors"`
	// Wire by use.
	Wire WireUse `yaml:"wire"`
	// Wire on hand.
	Stock []WireStock `yaml:"stock"`
	// How the face comes off: hinged at an edge, or lifted.
	Opens Opens `yaml:"opens"`
	// Ground and supply chains: open (the default), or closed to a ring so that one broken joint kills nothing.
	Chains string `yaml:"chains" jsonschema:"enum=open,enum=closed"`
	// How wires end at the module: soldered (the default) or in crimp housings.
	Ends string `yaml:"ends" jsonschema:"enum=soldered,enum=crimped"`
}

// Matrix is rows and columns of contacts, a diode to each.
type Matrix struct {
	Rows    int      `yaml:"rows"`                                                     // how many rows; 0 = what is least trouble
	Columns int      `yaml:"columns"`                                                  // how many columns
	Diodes  string   `yaml:"diodes" jsonschema:"enum=to-row,enum=to-column,enum=none"` // which line the stripe points to; default to-row
	Of      []string `yaml:"of"`                                                       // controls that share it; default all that may
	Not     []string `yaml:"not"`                                                      // controls that keep a pin of their own
}

// Extra is a further board: an expander, a shift-in board.
type Extra struct {
	Part    string       `yaml:"part" kw:"scalar"`                    // name of a board in the catalogue
	At      *Point       `yaml:"at"`                                  // its middle, seen from the FRONT; without it, a place beside the module is taken for the wires
	Turn    length.Angle `yaml:"turn"`                                // counter-clockwise as seen from the front
	On      string       `yaml:"on" jsonschema:"enum=base,enum=face"` // lies on the base (default) or hangs under the face
	Address int          `yaml:"address"`                             // on the I2C bus; default the first free one
}

// Lamps says how lamps are fed.
type Lamps struct {
	By      string  `yaml:"by" jsonschema:"enum=pin,enum=always,enum=contact"` // a pin each (the default), always lit from the supply, or by their own contact
	Supply  string  `yaml:"supply"`                                            // "5 V" or "3.3 V", for lamps that no pin feeds; default what suits them
	Current float64 `yaml:"current"`                                           // wanted through each, mA; default what its record says, at most 5
}

// WireUse names the wire for each use, from the catalogue.
type WireUse struct {
	Signal string `yaml:"signal"` // leads
	Ground string `yaml:"ground"` // ground chains
	Supply string `yaml:"supply"` // supply chains
	Ribbon string `yaml:"ribbon"` // between boards; none = single wires
	// Colours by use, letters of IEC 60757: "ground: BK", "supply: RD", "signal: BU GN YE".
	Colours yamlfile.Ordered[Colours] `yaml:"colours"`
	// Extra at each end for stripping and a second try; default 10 mm.
	Spare length.Length `yaml:"spare"`
	// Lies how much longer than the straight way, per cent; default 10.
	Lay float64 `yaml:"lay"`
}

// PinRef names a pin of the module or of another board.
type PinRef struct {
	Pin string `yaml:"pin" kw:"scalar"` // as printed on the board, or its number: GP3, 5
	On  string `yaml:"on"`              // the board, if not the module: a name of wiring.boards
	// In place of a pin: the row of the matrix that its contact is on, counted from 1.
	Row int `yaml:"row"`
	// And the column.
	Column int `yaml:"column"`
}

// Parted says that the name of a lead may have parts: "scene/a".
func (PinRef) Parted() {}

// Colours is one colour or several to take turns.
type Colours struct {
	Use string `yaml:"use" kw:"scalar"` // BK, or several to take turns: BU GN YE
}

// WireStock is wire on hand.
type WireStock struct {
	Wire   string        `yaml:"wire"`   // of the catalogue
	Colour string        `yaml:"colour"` // letters of IEC 60757
	Length length.Length `yaml:"length"` // how much of it
}

// Opens says how the face comes off for work inside.
type Opens struct {
	By    string        `yaml:"by" kw:"scalar" jsonschema:"enum=hinge,enum=lift"`            // default by how the box holds the face
	Edge  string        `yaml:"edge" jsonschema:"enum=top,enum=bottom,enum=left,enum=right"` // hinge: along which edge of the face; default top
	Angle length.Angle  `yaml:"angle"`                                                       // hinge: how far it opens; default 110 deg
	Room  length.Length `yaml:"room"`                                                        // lift: how far it is lifted off before leads are undone; default 150 mm
}
