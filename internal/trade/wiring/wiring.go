// Package wiring is the trade of what is joined to what: it takes the placed panel and says which lead goes to which pin and why, what
// comes between (resistors, diodes), what else could be done when pins run short, and whether any part gets a wrong voltage or too
// much current. Where wires run and how long they are is the business of package harness.
//
// Voltages in V, currents in mA, resistances in ohm, capacitances in pF unless a field says otherwise.
package wiring

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
)

// Result is what the trade has to say. It is complete as far as the file goes: where it lacks something, what could be planned is here
// and Plan.Partial is true.
type Result struct {
	Boards   []Board  // the module first, then further boards, those that the plan adds last
	Devices  []Device // what is wired: one for each switch, encoder, track, lamp of a control; file order
	Signals  []Signal // what wants a pin; file order
	Fittings []Fitting
	Nets     []Net // what is joined; ground first, then supplies, then file order
	Plan     Plan
	Idle     []Idle // controls, lugs that are not wired, and why
	Power    Power
	Findings []finding.Finding
}

// Device is one electrical thing in the body of a control: a lit button is two of them.
type Device struct {
	ID      string // "standby", "standby/lamp", "scene/turn", "scene/push", "stick/x"
	Label   string // "STANDBY", "the lamp of STANDBY"
	Kind    DeviceKind
	Control *panel.Control
	Contact []int // indexes into Control.Part.Circuit.Contacts; of an encoder A and B
	Index   int   // into Tracks or Lamps
	Holds   bool  // stays closed when left alone: latching buttons, toggles, key switches, rotary switches
}

// DeviceKind says what a device is.
type DeviceKind string

// The kinds of device.
const (
	DevSwitch  DeviceKind = "switch"  // one or several contacts
	DevEncoder DeviceKind = "encoder" // two contacts in quadrature
	DevTrack   DeviceKind = "track"   // resistance with a wiper
	DevLamp    DeviceKind = "lamp"
	DevPowered DeviceKind = "powered" // display, buzzer, driven encoder
)

// SignalKind says what a signal asks of a pin.
type SignalKind string

// The kinds of signal.
const (
	SigContact SignalKind = "contact" // reads a contact
	SigPhase   SignalKind = "phase"   // reads one contact of an encoder: fast
	SigWiper   SignalKind = "wiper"   // reads a voltage
	SigLamp    SignalKind = "lamp"    // drives a lamp
	SigDrive   SignalKind = "drive"   // drives something else: a buzzer, a select line
	SigData    SignalKind = "data"    // a bus line or a data line
	SigRow     SignalKind = "row"     // a line of the matrix
	SigColumn  SignalKind = "column"
	SigLadder  SignalKind = "ladder" // reads the voltage of a ladder
)

// Signal is a lead that wants a pin.
type Signal struct {
	Name   string // "go", "scene/a", "mood/3", "standby/lamp", "row 1", "data (i2c)"
	Label  string // as people call it: "GO", "SCENE a", "the lamp of STANDBY"
	Kind   SignalKind
	Device int      // index into Devices, -1 for lines that serve many
	Lug    string   // the lug that the lead goes to
	Return string   // the lug that goes to ground, to a supply, or to the other line
	Needs  []string // what the pin must be able to do: digital, analog, pwm, sda0 ...
	Asked  Terminal // the pin that the person settled; zero = none
	Origin panel.Origin
}

// Way is how a signal reaches the module.
type Way string

// The ways.
const (
	Direct   Way = "direct"    // a pin of the module
	Matrix   Way = "matrix"    // a crossing of a row and a column
	Expander Way = "expander"  // a line of an expander board
	ShiftIn  Way = "shift-in"  // a line of a shift-in board
	AnalogIn Way = "analog-in" // a line of an analog multiplexer
	Ladder   Way = "ladder"    // a step of a voltage ladder
	Waits    Way = ""          // no pin was found
)

// Terminal is a place to solder: a lug of a control, a pin of a board, an end of a fitting.
type Terminal struct {
	Of  string // a control ("go"), a board ("module", "expander-1"), a fitting ("R3", "D12")
	Lug string // as its record names it; fittings have "1" and "2", diodes "a" and "k" (the stripe)
}

// Zero reports whether it is no terminal.
func (t Terminal) Zero() bool { return t == Terminal{} }

// Seat is where a signal ended up. Seats stand in the order of Result.Signals.
type Seat struct {
	Way    Way
	Pin    Terminal // of a direct lead, a board's line, a matrix line or a ladder; zero when it waits or crosses
	Row    int      // matrix: signal of its row and of its column, indexes into Signals
	Column int
	Step   int    // ladder: which step, from 0
	Fixed  bool   // settled by the person
	Why    string // why this pin, in a few words
}

// Plan is the pin plan.
type Plan struct {
	By      Way    // how contacts reach the module in the main
	Title   string // "direct", "a matrix of 5 rows and 6 columns", "two expanders"
	Seats   []Seat
	Free    []Terminal // pins that are left
	Cost    float64    // length of all leads as the crow flies and what is paid for crossings and pins kept for last, mm
	Bound   float64    // no plan of this kind costs less
	Partial bool       // some signals wait
	Short   []Shortage
	Matrix  *MatrixPlan
	Options []Option // all that was weighed, the chosen one first
}

// Shortage is a smallest set of signals that compete for too few pins.
type Shortage struct {
	Signals []int // indexes into Result.Signals
	Pins    []Terminal
	Say     string // "HOUSE LIGHTS, STAGE LIGHTS, BAND and WARM want one of 3 pins that can read a voltage: 31, 32 and 34."
}

// MatrixPlan is the shape of the matrix.
type MatrixPlan struct {
	Rows, Columns []int // signals of the lines
	ToRow         bool  // the stripes of the diodes point to the rows: columns are driven... see Say
	Diodes        bool
	Say           string // the direction, once: "Every diode: stripe to the row."
}

// Option is a way to do it, with its costs.
type Option struct {
	Title  string
	By     Way
	Fits   bool
	Chosen bool
	Pins   int // of the module that are taken
	Left   int // and left
	Joints int
	Wires  int
	Parts  int        // boards, diodes, resistors
	Money  [2]float64 // of these parts, least and most
	Scan   float64    // ms, time to look at all inputs once; 0 = no scan
	Ghosts string     // "none: a diode to every contact", "three held toggles show a fourth"
	Why    string     // why not, or why
	Module string     // a bigger module: its name
}

// Board is a circuit board of the job.
type Board struct {
	Name    string // "module", "expander-1"
	Label   string // "the module", "expander 1"
	Part    catalog.Part
	Module  *panel.Module // nil when the plan adds it, or it has no record
	Added   bool          // by the plan: it is not in the file yet
	Address int           // I2C
	Chain   int           // shift-in: its place in the chain, from 0

	bus int // expander: which I2C bus, from 0
}

// Fitting is a small part that comes between.
type Fitting struct {
	Name  string // R1, D1, C1
	Kind  string // resistor, diode, capacitor
	Value string // "330 Ω", "1N4148", "100 nF"
	Ohms  float64
	Tol   float64  // per cent
	Power float64  // W, that it must stand
	Part  string   // of the catalogue's small parts
	At    Terminal // the lug that it is soldered to
	Way   string   // which end goes where: "stripe to the row"
	For   int      // device, -1 = none
	Why   string   // "3.3 V, 2.0 V drop, 4 mA"
	Bands []string // colours
}

// NetKind says what a net is for.
type NetKind string

// The kinds of net.
const (
	NetGround  NetKind = "ground"
	NetAGround NetKind = "analog ground"
	NetSupply  NetKind = "supply"
	NetSignal  NetKind = "signal"
	NetLine    NetKind = "line" // row or column
	NetBus     NetKind = "bus"
	NetInner   NetKind = "inner" // between a fitting and the lug that it sits on
)

// Net is a set of terminals that are joined.
type Net struct {
	Name   string // "ground", "3.3 V", "GO", "row 1"
	Kind   NetKind
	Volts  float64    // supplies
	Terms  []Terminal // file order; board pins first
	Signal int        // index into Signals, -1 = none
}

// Idle is a control or a lug that no wire goes to.
type Idle struct {
	Of  string
	Lug string // "" = all of it
	Why string
}

// Power is what flows.
type Power struct {
	Before, After float64    // mA from the port before configuration, while no pin lights anything yet, and after, all lamps lit
	Rest          float64    // mA with nothing pressed, no lamp lit but those that always are
	Rails         []Rail     //
	Lamps         []LampWork // file order
	Inputs        []Input    // file order of signals
	Checked       []string   // what was computed, in sentences: "42 inputs read low at most 0.31 V; 0.8 V is asked."
}

// Rail is a supply and what it gives.
type Rail struct {
	Name  string
	Volts float64
	Load  float64 // mA, most
	Gives float64
}

// LampWork is the working point of a lamp.
type LampWork struct {
	Device         int
	Supply         string // "pin 14", "5 V", "3.3 V"
	Volts          float64
	Fitting        string  // its resistor; "" = built in, or none needed
	Least, Nominal float64 // current, mA, over all tolerances
	Most           float64
	Headroom       float64 // supply less drop, V
}

// Input is how surely a contact is read.
type Input struct {
	Signal    int
	Low, High float64 // the voltage at the pin with the contact closed (most) and open (least), V
	Current   float64 // through the contact, mA
}
