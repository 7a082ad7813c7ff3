// Package diagnosis is the trade of the finished panel: what is asked of it on the test sheet, what each answer means, and which lead,
// lug, diode or setting is the likely cause when something is wrong. It takes the placed panel, its wiring and what it sends; it knows
// nothing of devices and operating systems.
//
// Times are in ms, voltages at a pin as parts of full scale in 0..65535, resistances in ohm.
package diagnosis

import "knobwright/internal/trade/wiring"

// Kind names a fault.
type Kind string

// The kinds of fault. A is the place, B the other place where there is one.
const (
	OpenLead     Kind = "open-lead"      // the wire to lug A is off; B is the pin or the lug it comes from
	WrongPin     Kind = "wrong-pin"      // the wire of lug A is on pin B in place of its own
	Swapped      Kind = "swapped"        // the wires of A and B are exchanged
	ToGround     Kind = "to-ground"      // A touches ground
	ToSupply     Kind = "to-supply"      // A touches a supply; B is one of its terminals
	Bridged      Kind = "bridged"        // A and B, neighbours, touch
	ChainBroken  Kind = "chain-broken"   // the joint at A in a chain is dry: everything after it is off
	NoDiode      Kind = "no-diode"       // the fitting is bridged: a wire in place of the diode
	OpenDiode    Kind = "open-diode"     // the fitting is missing or broken
	DiodeTurned  Kind = "diode-turned"   // the stripe is on the wrong side
	LinesSwapped Kind = "lines-swapped"  // row A and column B are exchanged at the module (A, B: pins)
	ClosedLug    Kind = "closed-lug"     // the normally closed lug is used in place of the open one: A right, B used
	PhasesSwap   Kind = "phases-swapped" // A and B of an encoder
	Detents      Kind = "detents"        // it makes Value steps of the contacts in a click, not what its record says
	EncoderOpen  Kind = "encoder-common" // the common lug of an encoder is off
	EndsSwapped  Kind = "ends-swapped"   // the ends of a track
	WiperOpen    Kind = "wiper-open"
	EndOpen      Kind = "end-open" // an end of a track is off
	Noisy        Kind = "noisy"    // the track crackles; Value is how far it jumps, part of full scale
	LampTurned   Kind = "lamp-turned"
	LampDead     Kind = "lamp-dead"      // burnt out or its resistor is open
	Stuck        Kind = "stuck"          // a contact that never opens
	Dead         Kind = "dead"           // a contact that never closes
	Bounces      Kind = "bounces"        // longer than the setting; Value ms
	NoPullUp     Kind = "no-pull-up"     // the pull-up of the input at A is missing
	SupplyOff    Kind = "supply-missing" // a supply does not reach A and what hangs behind it
	WrongTable   Kind = "wrong-table"    // the module has the table of another panel
)

// Fault is one thing that is wrong.
type Fault struct {
	Kind    Kind            `json:"kind"`
	A       wiring.Terminal `json:"a,omitzero"`
	B       wiring.Terminal `json:"b,omitzero"`
	Device  string          `json:"device,omitempty"`  // ID of wiring.Device
	Fitting string          `json:"fitting,omitempty"` // name of wiring.Fitting
	Wire    string          `json:"wire,omitempty"`    // ID of harness.Wire
	Value   float64         `json:"value,omitempty"`
}

// Do is what a person does.
type Do string

// The doings.
const (
	Rest     Do = "rest"     // nothing: everything as it is left alone
	Press    Do = "press"    // down, and let go again
	Hold     Do = "hold"     // down, looked at while it is held; together with others in With
	Put      Do = "put"      // into Position, and left there
	Turn     Do = "turn"     // an encoder by Clicks
	Slide    Do = "slide"    // a pot to Part of its way
	Light    Do = "light"    // the lamp is told to light; the person says what it does
	Dark     Do = "dark"     // the lamp is told to be dark
	Measure  Do = "measure"  // meter between Probe 0 (red) and Probe 1, without power: ohms
	MeasureV Do = "measureV" // meter between Probe 0 (red) and Probe 1, with power: volts
	Trace    Do = "trace"    // one probe on Probe 0, the other slid along the pins of the board Probe 1.Of, without power: which ring
)

// Act is one thing to do, or done.
type Act struct {
	Do       Do                 `json:"do"`
	Device   string             `json:"device,omitempty"` // ID of wiring.Device
	Position string             `json:"position,omitempty"`
	Clicks   int                `json:"clicks,omitempty"` // clockwise positive
	Part     float64            `json:"part,omitempty"`   // 0..1 of the way
	With     []Act              `json:"with,omitempty"`   // Hold: others that are held meanwhile
	Probe    [2]wiring.Terminal `json:"probe,omitzero"`
}

// Moment is what the panel reports at one time.
type Moment struct {
	At   float64  `json:"at"`             // ms from the start of the act
	Raw  []byte   `json:"raw,omitempty"`  // raw contacts, bit n is bit n%8 of byte n/8, 1 = the pin reads as closed; as firmware.Row.Raw counts
	Axes []uint16 `json:"axes,omitempty"` // readings by axis of the table
}

// Seen is what an act showed.
type Seen struct {
	Act     Act      `json:"act"`
	Moments []Moment `json:"moments,omitempty"` // the first is the state before the act, then every change
	Lamp    string   `json:"lamp,omitempty"`    // Light, Dark: lit, dim, dark
	Meter   float64  `json:"meter,omitempty"`   // Measure: ohm, above 1e7 open; MeasureV: V
	Rings   []string `json:"rings,omitempty"`   // Trace: the pins of the board that ring, by their lugs; none = no pin does
	Table   uint32   `json:"table,omitempty"`   // checksum of the table in the module; 0 = not known
}
