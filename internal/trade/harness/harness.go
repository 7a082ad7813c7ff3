// Package harness is the trade of the wires themselves: it takes the placed panel and what is joined to what, and says where every wire
// runs, how long it is cut so that the box can be opened, which colour and gauge it has, in which order joints are made, and what must
// ring before power comes on.
//
// Points are in the box frame of package carcass, or without a box in the face frame; mm.
package harness

import (
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/trade/wiring"
)

// Result is what the trade has to say. With a partial pin plan it holds the wires that are settled.
type Result struct {
	Partial  bool
	Wires    []Wire    // by net: ground chains, supplies, then signals in file order
	Chains   []Chain   // grounds and supplies
	Ribbons  []Ribbon  // between boards, and where leads of one row run side by side
	Housings []Housing // at the boards, with crimped ends; those of ribbons too
	Bundles  []Bundle  // where wires run together
	Ties     []Tie
	Joints   []Joint // in soldering order
	Cut      []Cut   // longest first within wire and colour
	Use      []Use   // by wire and colour
	Rings    []Ring  // continuity list, before power
	Power    []Step  // first power-up, in order
	Smalls   []Small // what is to be bought beside wire: housings, terminals, ties, sleeves
	Tasks    []Task  // joints and the like, counted by kind, with their time
	Minutes  float64 // for cutting, stripping and soldering, by count and kind
	Opening  Opening
	Boards   map[string]bool               // names of the circuit boards
	At       map[wiring.Terminal]geom.Vec3 // where terminals are with the box closed
	Findings []finding.Finding
}

// Wire is one piece of wire.
type Wire struct {
	ID      string // W1, W2 ...
	Net     int    // index into wiring.Result.Nets
	From    wiring.Terminal
	To      wiring.Terminal
	Path    []geom.Vec3 // where it lies with the box closed, lug to lug
	Run     float64     // length of Path
	Slack   float64     // added so that the face can open, at bends, for loose lay
	Length  float64     // to cut: run, slack, and stripping at both ends; rounded up to 5 mm
	Moves   bool        // it bends when the face opens
	Wire    string      // of the catalogue
	Colour  string      // letters of IEC 60757
	Label   [2]string   // on the tags at its ends: where that end goes
	Ribbon  int         // index into Ribbons, -1 = single
	Core    int         // in the ribbon, from 0
	Strip   [2]float64  // bare ends
	Tracer  string      // a second mark where colours repeat: "1 knot", "white sleeve"; "" = none
	Bundles []int       // through which it runs
}

// Chain is a run of wires from pin to lug to lug.
type Chain struct {
	Name   string // "ground 1, from pin 3"
	Net    int
	Root   wiring.Terminal
	Lugs   []wiring.Terminal // in order
	Wires  []int
	Closed bool    // its end comes back to a pin
	Behind []int   // by lug: how many controls and boards a broken joint just before it cuts off; 0 in a closed chain
	Load   float64 // mA, most
	Drop   float64 // mV at its far end, with that load
	Tree   bool    // it branches: Lugs are in order of soldering
}

// Ribbon is a flat cable.
type Ribbon struct {
	Name   string
	Wire   string
	Cores  int
	Wires  []int // by core
	Length float64
	Ends   [2]Housing
}

// Housing is a crimp housing at the end of wires; none when Ways is 0.
type Housing struct {
	Part string
	Ways int
	At   string // board
	Pins []string
	Of   []int // wires, by way; -1 = empty
}

// Bundle is where wires run together.
type Bundle struct {
	Path     []geom.Vec3
	Diameter float64
	Wires    []int
	Moves    bool // it goes from the face to what stays
	Outside  int  // how many
}

// Tie is a cable tie or a point where the bundle is held.
type Tie struct {
	At     geom.Vec3
	Bundle int
	Kind   string // "tie", "clip on the wall"
}

// Joint is one soldered (or crimped) joint.
type Joint struct {
	N       int // in order, from 1
	At      wiring.Terminal
	Wires   []int    // that end there
	Fits    []string // fittings that end there: R3
	Heat    string   // class of the lug: "small plastic"
	Iron    int      // °C
	Tip     string   // "2.4 mm chisel"
	Dwell   float64  // longest, s
	Rest    string   // "solder in the rest position" and the like; "" = nothing special
	Crimped bool
	Group   string // net group, for the pages
}

// Task is work of one kind.
type Task struct {
	What    string // "solder a lug"
	Count   int
	Minutes float64 // all of them
}

// Small is a number of small parts.
type Small struct {
	Part  string  // of the catalogue's small parts
	Count int     // pieces
	Long  float64 // of what is sold by the metre, mm; then Count is how many pieces it is cut into
}

// Cut is a line of the wire cut list.
type Cut struct {
	Wire, Colour string
	Length       float64
	Count        int
	IDs          []string
}

// Use is how much of a wire is needed.
type Use struct {
	Wire, Colour string
	Need, Have   float64 // mm; Have 0 and Known false: the file does not say
	Known        bool
	Lacks        float64 // what cannot be cut from the pieces on hand, mm, although they may add up
	Left         float64 // longest piece that is left of what is on hand, mm
}

// Ring is a line of the continuity list.
type Ring struct {
	A, B    wiring.Terminal
	Do      string     // "hold GO down", "turn SCENE one click"; "" = as it stands
	Rings   bool       // must ring, or must not
	Ohms    [2]float64 // expected range, most 0 = without end; 0, 0 = not measured
	Volts   [2]float64 // expected with the diode test, red probe on A; 0, 0 = no diode test
	Kind    string     // of RingShort and so on
	Why     string
	Control string
}

// Step is a step of the first power-up.
type Step struct {
	Do     string
	Expect string     // "18 to 25 mA"
	MA     [2]float64 // expected current, mA; 0, 0 = none
	Else   string     // what it means when it is not so
}

// Opening is how the face opens for the wires.
type Opening struct {
	By    string  // hinge, lift, fixed (flat panel without a box)
	Edge  string  // hinge
	Angle float64 // degrees
	Room  float64 // lift, mm
	Say   string
	Loops []Loop // of what comes off, bundle by bundle
	Lids  []Lid  // what comes off, and its way
}

// Lid is what comes off when the box is opened, and its way: it turns about a line, or is lifted straight.
type Lid struct {
	Board string    // of the box: "face", "upper face", "base"
	About geom.Vec3 // a place on the line
	Axis  geom.Vec3 // along it; opening turns counter-clockwise when it points at the viewer
	Angle float64   // degrees; 0 = it is lifted
	Lift  geom.Vec3 // mm
}

// Loop is free wire: from where a bundle is held on what comes off to where it is held in the box.
type Loop struct {
	Board    string      // of the box, that comes off: "face", "upper face"
	To       string      // circuit board that it goes to
	Path     []geom.Vec3 // with the box closed, from the end that comes off
	Diameter float64
	Wires    int
	Long     float64 // mm
}
