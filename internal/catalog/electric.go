package catalog

import (
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// Circuit says what a part does to the wires on its lugs. Lugs are named as in Part.Lugs. The zero value means that nothing is known,
// or that the part has nothing to do with the module: a blank plug, a socket whose leads go elsewhere.
type Circuit struct {
	// Positions that the part can be put in, the one at rest first: [rest, pressed], [down, middle, up], ["1", "2", "3"]. An encoder
	// that is pressed too has [rest, pressed] for the push; its turning is told by Phase.
	Positions []string `yaml:"positions" json:"positions,omitempty"`
	// Positions from which it springs back when let go. Of a push button: pressed.
	Springs []string `yaml:"springs" json:"springs,omitempty"`
	// Pairs of lugs that it joins.
	Contacts []Contact `yaml:"contacts" json:"contacts,omitempty"`
	// Resistance tracks with a wiper.
	Tracks []Track `yaml:"tracks" json:"tracks,omitempty"`
	// Lugs of the lamp: plus (anode) and minus (cathode). The lamp itself is Part.Lamp.
	Lamps []LampLugs `yaml:"lamps" json:"lamps,omitempty"`
	// What wants a supply and is switched by a pin or speaks over a bus: displays, buzzers, driven encoders.
	Powered *Powered `yaml:"powered" json:"powered,omitempty"`
	// Leads that go to something else than the module; why, in a few words: "goes to the amplifier".
	Elsewhere string `yaml:"elsewhere" json:"elsewhere,omitempty"`
	// Contact class.
	Rating Rating `yaml:"rating" json:"rating,omitzero"`
	// Longest bounce of its contacts, ms; 0 = not known.
	Bounce float64 `yaml:"bounce" json:"bounce,omitempty"`
}

// Contact is a pair of lugs that a part joins in some positions.
type Contact struct {
	Lugs   [2]string `yaml:"lugs" json:"lugs"`               // the common or moving one first
	Closed []string  `yaml:"closed" json:"closed"`           // the positions in which it is closed
	Phase  string    `yaml:"phase" json:"phase,omitempty"`   // encoder: A or B; then Closed is empty
	Sends  string    `yaml:"sends" json:"sends,omitempty"`   // what people call it when there are several: "up", "left", "pressed"
	Spare  bool      `yaml:"spare" json:"spare,omitempty"`   // not wired unless asked for: the closed contact of a pair, a second pole
	Weight int       `yaml:"weight" json:"weight,omitempty"` // coded switches: worth of this contact in the code, 1, 2, 4
}

// Track is a resistance with a wiper.
type Track struct {
	Ends  [2]string `yaml:"ends" json:"ends"`                                                            // the lug of the low end (anticlockwise, bottom, left) first
	Wiper string    `yaml:"wiper" json:"wiper"`                                                          // lug of the wiper
	Ohms  float64   `yaml:"ohms" json:"ohms"`                                                            // end to end
	Tol   float64   `yaml:"tol" json:"tol,omitempty"`                                                    // per cent; 0 = 20
	Taper string    `yaml:"taper" json:"taper,omitempty" jsonschema:"enum=linear,enum=log,enum=antilog"` // default linear
	Sends string    `yaml:"sends" json:"sends,omitempty"`                                                // what people call it when there are several: "x", "y"
}

// LampLugs are the two lugs of a lamp.
type LampLugs struct {
	Plus  string `yaml:"plus" json:"plus"`   // anode
	Minus string `yaml:"minus" json:"minus"` // cathode
}

// Powered is what wants a supply of its own. The outputs of an encoder that drives them stand in Data (out) and, with their
// phases, in Circuit.Contacts, joined to Minus: they swing between Minus and Plus.
type Powered struct {
	Plus    string     `yaml:"plus" json:"plus"`                                                                  // lug of the supply
	Minus   string     `yaml:"minus" json:"minus"`                                                                // lug of its return
	Volts   [2]float64 `yaml:"volts" json:"volts"`                                                                // least and most supply
	Current float64    `yaml:"current" json:"current,omitempty"`                                                  // most it takes, mA
	Bus     string     `yaml:"bus" json:"bus,omitempty" jsonschema:"enum=i2c,enum=two-wire,enum=spi,enum=serial"` // how it speaks with the module; none = it is only fed, or switched
	Data    []BusLug   `yaml:"data" json:"data,omitempty"`                                                        // its other lugs, and what each wants
	Address int        `yaml:"address" json:"address,omitempty"`                                                  // on an I2C bus, 7 bits
	PullUp  float64    `yaml:"pull-up" json:"pull_up,omitempty"`                                                  // resistors to the supply that it brings along on data and clock, ohm; 0 = none
	PinLoad float64    `yaml:"pin-load" json:"pin_load,omitempty"`                                                // capacitance of a bus lug, pF
	Switch  bool       `yaml:"switch" json:"switch,omitempty"`                                                    // a pin feeds it directly through Plus: an active buzzer
}

// BusLug is a lug of a powered part and the kind of pin it wants.
type BusLug struct {
	Lug  string `yaml:"lug" json:"lug"`   // name of the lug
	Does string `yaml:"does" json:"does"` // sda, scl, in (the module drives it), out (the module reads it), data, clock, select
}

// Rating is what the contacts are made for.
type Rating struct {
	Class string  `yaml:"class" json:"class,omitempty" jsonschema:"enum=gold,enum=silver,enum=rubber"` // gold: signals; silver: power; rubber: carbon on board
	Least float64 `yaml:"least" json:"least,omitempty"`                                                // least current for a sure contact, mA
	Most  float64 `yaml:"most" json:"most,omitempty"`                                                  // mA
	Volts float64 `yaml:"volts" json:"volts,omitempty"`                                                // most, V DC
}

// Board is what a circuit board (class module) is to the wires: its pins and what they can do and bear. When a board takes
// its supply (Supply.Takes), Volts, Bears, Low and High hold at that supply's Volts and go with it.
type Board struct {
	Role       string      `yaml:"role" json:"role" jsonschema:"enum=module,enum=expander,enum=shift-in,enum=analog-in"` // module: has the USB port; expander: 16 lines on I2C; shift-in: 8 lines, chained; analog-in: lines that one analog pin looks at in turn
	Chip       string      `yaml:"chip" json:"chip"`                                                                     // part number, "RP2040"
	Volts      float64     `yaml:"volts" json:"volts"`                                                                   // of its logic
	Bears      float64     `yaml:"bears" json:"bears"`                                                                   // highest voltage that may come to a pin, V
	Low        float64     `yaml:"low" json:"low"`                                                                       // a pin reads low for sure up to that, V
	High       float64     `yaml:"high" json:"high"`                                                                     // and high from that on, V
	PullUp     *[2]float64 `yaml:"pull-up" json:"pull_up,omitempty"`                                                     // least and most of the built-in pull-ups, ohm; none = it has none
	PullDown   *[2]float64 `yaml:"pull-down" json:"pull_down,omitempty"`                                                 // the same of its pull-downs
	PinUsual   float64     `yaml:"pin-usual" json:"pin_usual"`                                                           // current to plan with per pin, mA
	PinMost    float64     `yaml:"pin-most" json:"pin_most"`                                                             // never more, mA
	OutLow     float64     `yaml:"out-low" json:"out_low,omitempty"`                                                     // resistance of a pin driving low, ohm
	OutHigh    float64     `yaml:"out-high" json:"out_high,omitempty"`                                                   // and high
	AllMost    float64     `yaml:"all-most" json:"all_most"`                                                             // of all pins together, mA
	Own        float64     `yaml:"own" json:"own"`                                                                       // what the board itself takes, mA
	Leak       float64     `yaml:"leak" json:"leak,omitempty"`                                                           // of a pin as input, uA
	PinLoad    float64     `yaml:"pin-load" json:"pin_load,omitempty"`                                                   // capacitance of a pin, pF
	AnalogBits int         `yaml:"analog-bits" json:"analog_bits,omitempty"`                                             // resolution of its analog inputs
	Address    int         `yaml:"address" json:"address,omitempty"`                                                     // expander: first address on I2C, 7 bits
	Addresses  int         `yaml:"addresses" json:"addresses,omitempty"`                                                 // expander: how many can stand on one bus
	Bus        float64     `yaml:"bus" json:"bus,omitempty"`                                                             // fastest bus clock, kHz
	Resistors  float64     `yaml:"resistors" json:"resistors,omitempty"`                                                 // pull-ups on data and clock that the board brings along, ohm; 0 = none
	Image      string      `yaml:"image" json:"image,omitempty" jsonschema:"enum=uf2,enum=hex"`                          // what its boot loader takes
	Groups     []PinGroup  `yaml:"groups" json:"groups,omitempty"`                                                       // pins that share a limit
	Supplies   []Supply    `yaml:"supplies" json:"supplies,omitempty"`                                                   // pins that give a voltage, or take one
	Pins       []Pin       `yaml:"pins" json:"pins"`                                                                     // every lug of the board, in order
}

// Pin is a lug of a board. Lug is its name among Part.Lugs.
type Pin struct {
	Lug   string   `yaml:"lug" json:"lug"`                                                                                                                    // number printed or counted: "14"
	Name  string   `yaml:"name" json:"name"`                                                                                                                  // as printed: "GP10", "A0", "GND"
	Port  string   `yaml:"port" json:"port,omitempty"`                                                                                                        // the chip's own name: "GPIO10", "PF7"
	Kind  PinKind  `yaml:"kind" json:"kind" jsonschema:"enum=io,enum=ground,enum=analog-ground,enum=supply,enum=reference,enum=reset,enum=control,enum=none"` // what the pin is for
	Can   []string `yaml:"can" json:"can,omitempty"`                                                                                                          // digital, analog, interrupt (from outside), pin-change (one interrupt for a group of pins), pwm, sda, scl, miso, mosi, sck, tx, rx; with a number where there are several buses: "sda0"
	Duty  string   `yaml:"duty" json:"duty,omitempty"`                                                                                                        // another job it has, in a few words: "lights the board's own lamp", "serial", "held low at switch-on starts the boot loader"
	Avoid int      `yaml:"avoid" json:"avoid,omitempty"`                                                                                                      // 0 = use freely; 1 = keep for last; 2 = only when the person says so
	Bus   string   `yaml:"bus" json:"bus,omitempty"`                                                                                                          // further boards: sda, scl, interrupt, reset, address, data-in, data-out, clock, load, select, low (joined to ground for good); "" = one of its lines
}

// PinKind says what a pin of a board is for.
type PinKind string

// The kinds of pin.
const (
	PinIO        PinKind = "io"            // may be an input or an output
	PinGround    PinKind = "ground"        //
	PinAGround   PinKind = "analog-ground" // ground of the analog inputs
	PinSupply    PinKind = "supply"        // gives (or takes) a supply: see Board.Supplies
	PinReference PinKind = "reference"     // reference of the analog inputs
	PinReset     PinKind = "reset"         //
	PinControl   PinKind = "control"       // enables, boot, and the like: leave alone
	PinNone      PinKind = "none"          // not connected
)

// PinGroup is a set of pins with a common limit.
type PinGroup struct {
	Title string   `yaml:"title" json:"title"` // what they have in common
	Pins  []string `yaml:"pins" json:"pins"`   // lugs
	Most  float64  `yaml:"most" json:"most"`   // mA
}

// Supply is a pin that gives a voltage, or takes one.
type Supply struct {
	Lug   string      `yaml:"lug" json:"lug"`                                                  // name of the pin among the lugs
	Volts float64     `yaml:"volts" json:"volts"`                                              // nominal voltage
	Gives float64     `yaml:"gives" json:"gives"`                                              // most for what is outside the board, mA
	From  string      `yaml:"from" json:"from" jsonschema:"enum=port,enum=regulator,enum=pin"` // straight from the USB port, from the board's regulator, or from a chip's reference pin; empty when it takes
	Takes bool        `yaml:"takes" json:"takes,omitempty"`                                    // it is an input: expander boards, raw supplies
	Range *[2]float64 `yaml:"range" json:"range,omitempty"`                                    // of an input: least and most V
}

// Wire is wire by the metre.
type Wire struct {
	ID      string                  `yaml:"-" json:"id"`
	Title   string                  `yaml:"title" json:"title" jsonschema:"required"`
	Like    string                  `yaml:"like" json:"like,omitempty"`
	Gauge   int                     `yaml:"gauge" json:"gauge"`               // AWG; 0 = only Area is given
	Area    float64                 `yaml:"area" json:"area,omitempty"`       // mm2; 0 = by gauge
	Strands int                     `yaml:"strands" json:"strands,omitempty"` // 1 = solid
	Outside length.Length           `yaml:"outside" json:"outside"`           // over the insulation
	Cores   int                     `yaml:"cores" json:"cores,omitempty"`     // ribbon: how many side by side; 0 = 1
	Pitch   length.Length           `yaml:"pitch" json:"pitch,omitempty"`     // ribbon: from core to core
	Colours []string                `yaml:"colours" json:"colours,omitempty"` // IEC 60757 letters of the colours it is sold in: BK, RD, BU
	Stays   bool                    `yaml:"stays" json:"stays,omitempty"`     // keeps its shape: not where it moves
	Price   Price                   `yaml:"price" json:"price,omitzero"`      // a metre
	Trust   map[string]trust.Source `yaml:"trust" json:"trust,omitempty"`
}

// Small is a small part of the wiring: resistors, diodes, capacitors, housings, ties, by trade class or part number.
type Small struct {
	ID    string `yaml:"-" json:"id"`
	Title string `yaml:"title" json:"title" jsonschema:"required"`
	Like  string `yaml:"like" json:"like,omitempty"`
	Kind  string `yaml:"kind" json:"kind" jsonschema:"required,enum=resistor,enum=diode,enum=capacitor,enum=housing,enum=terminal,enum=tie,enum=sleeve,enum=solder,enum=strip"`
	// Resistor: E-series sold, tolerance in per cent, power in W, range in ohm.
	Series string     `yaml:"series" json:"series,omitempty"`
	Tol    float64    `yaml:"tol" json:"tol,omitempty"`
	Power  float64    `yaml:"power" json:"power,omitempty"`
	Range  [2]float64 `yaml:"range" json:"range,omitempty"`
	// Diode: SPICE parameters and limits.
	Sat   float64 `yaml:"sat" json:"sat,omitempty"`     // saturation current, A
	Ideal float64 `yaml:"ideal" json:"ideal,omitempty"` // ideality factor
	Rs    float64 `yaml:"rs" json:"rs,omitempty"`       // series resistance, ohm
	Most  float64 `yaml:"most" json:"most,omitempty"`   // most current, mA
	// Capacitor: F.
	Farad float64 `yaml:"farad" json:"farad,omitempty"`
	// Housing: ways and pitch; the terminals it takes and the wire they take, AWG from thick to thin.
	Ways  int                     `yaml:"ways" json:"ways,omitempty"`
	Pitch length.Length           `yaml:"pitch" json:"pitch,omitempty"`
	Gauge [2]int                  `yaml:"gauge" json:"gauge,omitempty"`
	Size  length.Length           `yaml:"size" json:"size,omitempty"` // body: length of a resistor, diameter of a sleeve, length of a tie
	Price Price                   `yaml:"price" json:"price,omitzero"`
	Trust map[string]trust.Source `yaml:"trust" json:"trust,omitempty"`
}
