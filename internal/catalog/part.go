// Package catalog holds parts by trade class, sheets, coverings, bits and screws: embedded data, and the person's own
// records over them. Parts have no makers. Every record says where its numbers come from.
//
// # The part frame
//
// x right, y up, z towards the person, origin at the middle of the main hole, on the plane where the part seats: the front
// of the finished face for Seat "front" (a bezel lies on it), the back of the sheet for Seat "rear" (a shoulder is pulled
// against it). What a finger meets has z > 0, what lies behind the face z < 0. A shape's Z is written lower first. A part
// that seats at the rear has its bush and nut at z > 0 too: its front shapes are measured from the back of the sheet.
//
// A circuit board (class module) has no hole. Its origin is the middle of the board on the side that faces the stand-offs;
// its solids lie at z < 0, as if it hung under the face; x and y are as seen on the side with the parts, the USB connector
// at the top.
package catalog

import (
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// Class is the trade class of a part; it decides how the part is drawn and what fingers need round it.
type Class string

// The trade classes.
const (
	Push      Class = "push"      // push button
	Toggle    Class = "toggle"    // lever switch
	Rocker    Class = "rocker"    // rocker switch
	Slide     Class = "slide"     // slide switch
	Key       Class = "key"       // key switch
	Rotary    Class = "rotary"    // rotary switch with positions
	Encoder   Class = "encoder"   // endless rotary encoder
	Pot       Class = "pot"       // rotary potentiometer
	SlidePot  Class = "slide-pot" // straight potentiometer, fader
	Joystick  Class = "joystick"  // thumb joystick
	Lamp      Class = "lamp"      // indicator lamp, LED
	Display   Class = "display"   // display behind a window
	Socket    Class = "socket"    // panel connector or jack
	Buzzer    Class = "buzzer"    // sounder
	Plug      Class = "plug"      // blank plug: closes a hole
	ModuleBrd Class = "module"    // circuit board behind the face
)

// Part is one catalogue record. All coordinates are in the part frame.
type Part struct {
	ID    string `yaml:"-" json:"id"` // name in the catalogue: "push-16mm"
	Title string `yaml:"title" json:"title" jsonschema:"required"`
	Class Class  `yaml:"class" json:"class" jsonschema:"required,enum=push,enum=toggle,enum=rocker,enum=slide,enum=key,enum=rotary,enum=encoder,enum=pot,enum=slide-pot,enum=joystick,enum=lamp,enum=display,enum=socket,enum=buzzer,enum=plug,enum=module"`
	Like  string `yaml:"like" json:"like,omitempty"` // start from this record, then lay the rest over it

	Seat   string           `yaml:"seat" json:"seat,omitempty" jsonschema:"enum=front,enum=rear"` // where it registers; default front
	Hole   Cut              `yaml:"hole" json:"hole"`                                             // the main cut-out
	Cuts   []Cut            `yaml:"cuts" json:"cuts,omitempty"`                                   // further ones: anti-turn, fixing screws
	Grip   [2]length.Length `yaml:"grip" json:"grip"`                                             // least and most stack between the front part and the nut or clip
	Thread Thread           `yaml:"thread" json:"thread,omitzero"`
	Nut    Nut              `yaml:"nut" json:"nut,omitzero"`
	Front  []Shape          `yaml:"front" json:"front,omitempty"` // bezel, cap, knob, lever sweep: z > 0
	Rear   []Shape          `yaml:"rear" json:"rear,omitempty"`   // body, lugs, wire bend: z < 0
	Reach  string           `yaml:"reach" json:"reach,omitempty"` // kind of control in the finger-room tables: push_button, toggle, ...

	Force     Newton   `yaml:"force" json:"force,omitempty"` // to press or flip it, N; of a rotary part, to press it in
	Action    string   `yaml:"action" json:"action,omitempty" jsonschema:"enum=momentary,enum=latching,enum=maintained"`
	Contacts  string   `yaml:"contacts" json:"contacts,omitempty"` // "1 NO", "SPDT on-off-on"
	Positions int      `yaml:"positions" json:"positions,omitempty"`
	Pulses    int      `yaml:"pulses" json:"pulses,omitempty"`   // encoder: pulses a turn
	Detents   int      `yaml:"detents" json:"detents,omitempty"` // encoder: clicks a turn
	Push      bool     `yaml:"push" json:"push,omitempty"`       // encoder or joystick with a push switch
	Track     string   `yaml:"track" json:"track,omitempty"`     // pot: "10k linear"
	Shaft     Shaft    `yaml:"shaft" json:"shaft,omitzero"`
	Lamp      LampData `yaml:"lamp" json:"lamp,omitzero"`
	Lugs      []Lug    `yaml:"lugs" json:"lugs,omitempty"`
	Circuit   Circuit  `yaml:"circuit" json:"circuit,omitzero"` // what it does to the wires on its lugs
	Board     *Board   `yaml:"board" json:"board,omitempty"`    // circuit boards: pins, and what they can do and bear
	Heat      string   `yaml:"heat" json:"heat,omitempty"`      // soldering: "small plastic", "metal", "board pins"
	Mass      float64  `yaml:"mass" json:"mass,omitempty"`      // g
	Price     Price    `yaml:"price" json:"price,omitzero"`

	// Deeper lengthens what lies behind by that much: the body grows, lugs and wire bend move back. It is used up when the
	// record is read: "this one, but the body is 2 mm deeper".
	Deeper length.Length `yaml:"deeper" json:"-"`

	// Trust names, per field of this record ("hole", "grip", "rear", ... or "*" for all the rest), where its numbers come
	// from. Missing means common practice for the trade class, low confidence: measure yours.
	Trust map[string]trust.Source `yaml:"trust" json:"trust,omitempty"`
}

// Newton is a force in newtons.
type Newton = float64

// Cut is a cut-out in the face as the part wants it, finished size (after covering).
// Exactly one of Round, Rect, Slot, DoubleD, SingleD, Window is given.
type Cut struct {
	What     string            `yaml:"what" json:"what,omitempty"`         // "hole", "anti-turn", "screw", "window", "slot"
	Round    length.Length     `yaml:"round" json:"round,omitempty"`       // diameter
	Rect     *[2]length.Length `yaml:"rect" json:"rect,omitempty"`         // width, height
	Corner   length.Length     `yaml:"corner" json:"corner,omitempty"`     // corner radius of Rect, largest that still fits
	Slot     *[2]length.Length `yaml:"slot" json:"slot,omitempty"`         // overall length along x, width
	DoubleD  *[2]length.Length `yaml:"double-d" json:"double_d,omitempty"` // diameter, across the two flats (flats parallel to x)
	SingleD  *[2]length.Length `yaml:"single-d" json:"single_d,omitempty"` // diameter, from the flat to the opposite side (flat at the top)
	Notch    *Notch            `yaml:"notch" json:"notch,omitempty"`       // key notch in the edge of Round
	At       [2]length.Length  `yaml:"at" json:"at,omitempty"`             // middle, in the part frame
	Turn     length.Angle      `yaml:"turn" json:"turn,omitempty"`
	Tol      [2]length.Length  `yaml:"tol" json:"tol,omitempty"`           // how much smaller (written negative or 0) and larger it may be
	Depth    length.Length     `yaml:"depth" json:"depth,omitempty"`       // blind depth from the seat side; 0 = through
	Screw    string            `yaml:"screw" json:"screw,omitempty"`       // fixing screw that goes through it: "M3"
	Optional string            `yaml:"optional" json:"optional,omitempty"` // may be left out when ...: "break the tab off instead"
}

// Notch is the key notch of a round hole: its width, and the overall height from the bottom of the notch to the opposite
// side of the hole. It points up (+y).
type Notch struct {
	Width  length.Length `yaml:"width" json:"width"`
	Height length.Length `yaml:"height" json:"height"`
}

// Thread is the bushing or barrel that the nut runs on.
type Thread struct {
	Size   string        `yaml:"size" json:"size,omitempty"`     // "M7x0.75", "1/4-40 UNS"
	Major  length.Length `yaml:"major" json:"major,omitempty"`   // outside diameter
	Pitch  length.Length `yaml:"pitch" json:"pitch,omitempty"`   //
	Length length.Length `yaml:"length" json:"length,omitempty"` // usable length from the seat
}

// Nut is what holds the part, and what turns it. Zero values mean there is none (snap-in, glued, screwed).
type Nut struct {
	Side      string        `yaml:"side" json:"side,omitempty" jsonschema:"enum=front,enum=rear"` // where the nut sits
	Flats     length.Length `yaml:"flats" json:"flats,omitempty"`                                 // across flats (hex) or outside diameter (ring)
	Shape     string        `yaml:"shape" json:"shape,omitempty" jsonschema:"enum=hex,enum=ring"`
	Thickness length.Length `yaml:"thickness" json:"thickness,omitempty"`
	Washers   length.Length `yaml:"washers" json:"washers,omitempty"`     // all washers together, thickness
	Washer    length.Length `yaml:"washer" json:"washer,omitempty"`       // outside diameter of the washer
	Tool      string        `yaml:"tool" json:"tool,omitempty"`           // "14 mm nut driver", "fingers", "ring spanner"
	ToolRoom  length.Length `yaml:"tool-room" json:"tool_room,omitempty"` // diameter that the turning tool sweeps
}

// Shape is an upright prism in the part frame: an outline from Z[0] to Z[1]. Exactly one of Round, Rect, Hex is given.
type Shape struct {
	Role  string            `yaml:"role" json:"role"`             // front: bezel, cap, knob, lever, sweep, guard, handle, plug; rear: body, lugs, bend, plug. sweep is where lever or handle get to; plug is what is plugged in
	Round length.Length     `yaml:"round" json:"round,omitempty"` // diameter
	Rect  *[2]length.Length `yaml:"rect" json:"rect,omitempty"`   // width, height
	Hex   length.Length     `yaml:"hex" json:"hex,omitempty"`     // across flats
	At    [2]length.Length  `yaml:"at" json:"at,omitempty"`       // middle
	Turn  length.Angle      `yaml:"turn" json:"turn,omitempty"`
	Z     [2]length.Length  `yaml:"z" json:"z"` // from, to
}

// Shaft is what a knob goes on.
type Shaft struct {
	Diameter length.Length `yaml:"diameter" json:"diameter,omitempty"`
	Form     string        `yaml:"form" json:"form,omitempty"` // "D", "knurled", "round", "slotted"
	Length   length.Length `yaml:"length" json:"length,omitempty"`
}

// LampData describes a lamp or the lamp built into a button.
type LampData struct {
	Colour  string  `yaml:"colour" json:"colour,omitempty"`
	Drop    float64 `yaml:"drop" json:"drop,omitempty"`       // forward drop, V
	Current float64 `yaml:"current" json:"current,omitempty"` // usual, mA
	Rated   float64 `yaml:"rated" json:"rated,omitempty"`     // with its built-in resistor, V; 0 = bare LED
}

// Lug is a place to solder: its middle and the plane where the wire meets it, in the part frame (seen from the FRONT, like
// all of the record; the rear views mirror it).
type Lug struct {
	Name string           `yaml:"name" json:"name"` // c, o, nc, +, -, A, B, 1, w, 3
	Does string           `yaml:"does" json:"does,omitempty"`
	At   [2]length.Length `yaml:"at" json:"at"`
	Size [2]length.Length `yaml:"size" json:"size,omitempty"` // width, height as seen from behind
}

// Price is what a part costs in the trade: a range for one piece, and the pack it comes in.
type Price struct {
	From     float64 `yaml:"from" json:"from,omitempty"`
	To       float64 `yaml:"to" json:"to,omitempty"`
	Currency string  `yaml:"currency" json:"currency,omitempty"` // ISO 4217; default EUR
	Pack     int     `yaml:"pack" json:"pack,omitempty"`
}

// Sheet is flat stock for the face or for boards.
type Sheet struct {
	ID      string                  `yaml:"-" json:"id"`
	Title   string                  `yaml:"title" json:"title" jsonschema:"required"`
	Like    string                  `yaml:"like" json:"like,omitempty"`
	Kind    string                  `yaml:"kind" json:"kind" jsonschema:"required,enum=acrylic,enum=polycarbonate,enum=abs,enum=plywood,enum=mdf,enum=hardboard,enum=aluminium,enum=steel"`
	Nominal length.Length           `yaml:"nominal" json:"nominal" jsonschema:"required"`
	Actual  length.Length           `yaml:"actual" json:"actual,omitempty"`   // as it really comes; 0 = nominal
	Tol     [2]length.Length        `yaml:"tol" json:"tol,omitempty"`         // on the actual thickness
	Density float64                 `yaml:"density" json:"density,omitempty"` // kg/m3
	Price   Price                   `yaml:"price" json:"price,omitzero"`      // a square metre
	Trust   map[string]trust.Source `yaml:"trust" json:"trust,omitempty"`
}

// Thickness is the thickness to reckon with, mm.
func (s Sheet) Thickness() float64 {
	if s.Actual > 0 {
		return s.Actual.MM()
	}
	return s.Nominal.MM()
}

// Covering is what lies on the face: film, paint, laminate, a printed card.
type Covering struct {
	ID        string                  `yaml:"-" json:"id"`
	Title     string                  `yaml:"title" json:"title" jsonschema:"required"`
	Like      string                  `yaml:"like" json:"like,omitempty"`
	Kind      string                  `yaml:"kind" json:"kind" jsonschema:"required,enum=film,enum=paint,enum=laminate,enum=card,enum=none"`
	Thickness length.Length           `yaml:"thickness" json:"thickness"`
	Holes     string                  `yaml:"holes" json:"holes,omitempty" jsonschema:"enum=trimmed,enum=folded,enum=coated"` // what happens at a hole: trimmed flush, folded in, or coats the edge
	Wrap      length.Length           `yaml:"wrap" json:"wrap,omitempty"`                                                     // how far it is turned over behind the edges; 0 = cut flush
	Price     Price                   `yaml:"price" json:"price,omitzero"`
	Trust     map[string]trust.Source `yaml:"trust" json:"trust,omitempty"`
}

// BitKind is a way to make a hole.
type BitKind string

// The kinds of bit.
const (
	Twist     BitKind = "twist"
	BradPoint BitKind = "brad-point"
	Step      BitKind = "step"
	HoleSaw   BitKind = "hole-saw"
	Forstner  BitKind = "forstner"
	Spade     BitKind = "spade"
)

// BitSet is a box of bits as sold: sizes of one kind.
type BitSet struct {
	ID         string                  `yaml:"-" json:"id"`
	Title      string                  `yaml:"title" json:"title" jsonschema:"required"`
	Like       string                  `yaml:"like" json:"like,omitempty"`
	Unit       length.Unit             `yaml:"unit" json:"unit,omitempty" jsonschema:"enum=mm,enum=in"` // how its sizes are called; default mm
	Kind       BitKind                 `yaml:"kind" json:"kind" jsonschema:"required,enum=twist,enum=brad-point,enum=step,enum=hole-saw,enum=forstner,enum=spade"`
	Sizes      []length.Length         `yaml:"sizes" json:"sizes,omitempty"`             // listed diameters
	Series     *Series                 `yaml:"series" json:"series,omitempty"`           // or a regular run
	Names      []string                `yaml:"names" json:"names,omitempty"`             // names of Sizes, same order: "#30", "F", "1/4 in"
	StepHeight length.Length           `yaml:"step-height" json:"step_height,omitempty"` // step drills: height of one step
	Trust      map[string]trust.Source `yaml:"trust" json:"trust,omitempty"`
}

// Series is a regular run of sizes.
type Series struct {
	From length.Length `yaml:"from" json:"from"`
	To   length.Length `yaml:"to" json:"to"`
	By   length.Length `yaml:"by" json:"by"`
}

// Bit is one bit in the person's hand.
type Bit struct {
	Kind       BitKind
	Diameter   float64 // mm; for a step drill the diameter of the step used
	Name       string  // "7.0 mm", "#30", "1/4 in", "step 4-20"
	StepHeight float64 // mm, step drills
	Set        string  // the set it comes from
}
