// Package firmware is the trade of what a panel sends: it takes the placed panel and its wiring and says which contact becomes which
// button, key or axis, how the panel names itself to the computer, and which bytes the module's firmware reads to do so. Nobody compiles
// anything: one core goes on every module of a kind, and the table that is made here tells it what this panel does.
//
// The way down:
//
//	wiring, sends: --pieces--> what each contact sends --numbers--> buttons and axes --layout--> report descriptor, read back
//	    --emit, scan--> table --image--> a file for the module
//
// Times are in ms, places in reports in bits from the report's start without its number.
package firmware

import (
	core "knobwright/firmware"

	"knobwright/internal/finding"
	"knobwright/internal/hid"
	"knobwright/internal/panel"
)

// Result is what the trade has to say. Rows are complete also where there is no module yet; a table and an image need one whose chip
// is known.
type Result struct {
	Rows       []Row       // the mapping table, in file order
	Interfaces []Interface // of HID; empty when it sends nothing of that kind
	MIDI       bool        // it appears as a MIDI device too
	Device     Device      // how it names itself
	Chip       string      // "RP2040"; "" when the module is missing or its chip has no firmware
	Tick       float64     // ms between two looks at the contacts
	Table      core.Table
	Bits       []Bit     // where every raw bit is read
	Readings   []Reading // where every axis of the table is read
	Bytes      []byte    // the table as the core reads it; nil without a chip, or when it cannot be made
	Image      Image
	Given      []Given // numbers that were given, and that the file does not hold
	Findings   []finding.Finding
}

// Row is one line of the mapping table: one thing that one control sends, or one lamp.
type Row struct {
	Control *panel.Control `json:"-"`
	Name    string         `json:"name"`             // "curtain/up": what the file calls it under numbers:
	Label   string         `json:"label"`            // as people call it: "CURTAIN up"
	Legend  string         `json:"legend,omitempty"` // what stands beside the control on the face
	Sends   string         `json:"sends"`            // "button 9", "key ctrl+s", "axis x"; of a lamp what it goes by: "follows itself"
	How     string         `json:"how,omitempty"`    // "held", "pulse of 20 ms at every change", "long press of 600 ms"
	Board   string         `json:"board,omitempty"`  // "module", "expander-1"; "" without a pin
	Pin     string         `json:"pin,omitempty"`    // as printed; of a crossing "row 1 x column 2"
	Raw     []int          `json:"raw,omitempty"`    // bits in the row of raw contacts; empty without a pin, and for voltages and lamps
	Place   Place          `json:"place,omitzero"`   // where it stands in a report; zero for what makes none
	MIDI    string         `json:"midi,omitempty"`   // the message that it sends, as on the wire: "90 3C 7F", "B0 07 nn"
	Auto    bool           `json:"auto,omitempty"`   // its number was given, not written
	Lamp    bool           `json:"lamp,omitempty"`
}

// Place is where something stands in the reports.
type Place struct {
	Interface string    `json:"interface"` // "joystick", "keyboard", ...; "" = in no report
	Report    int       `json:"report"`    // its number
	Bit       int       `json:"bit"`       // the first bit
	Width     int       `json:"width"`
	Usage     hid.Usage `json:"usage"` // page in the upper 16 bits, number in the lower
}

// Interface is one USB interface of the panel.
type Interface struct {
	Name       string // "controls", "keyboard", "bench"
	Number     int    // of the interface
	Descriptor []byte
	Means      *hid.Descriptor // the same, read back
}

// Device is how the panel names itself to the computer.
type Device struct {
	Vendor, Product uint16
	TestID          bool // the file names none: these are kept for trials
	Name, Maker     string
	Serial          string // out of the table
	Device          []byte // device descriptor
	Configuration   []byte // configuration descriptor, whole
	MilliAmp        int    // that it asks of the port
}

// Image is the file for the module: the core for its chip, and the table of this panel.
type Image struct {
	Name string // "firmware.uf2", "firmware.hex"; "" = none
	Data []byte
}

// Given is a number or an axis that a piece got of itself.
type Given struct {
	Name string // under numbers:
	Is   string // "9", "slider"
	What string // "button", "axis", "host lamp"
}
