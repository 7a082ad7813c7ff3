package electric

import (
	"fmt"
	"math"

	"knobwright/internal/trust"
)

// Drop is what lamps (LEDs) of a colour drop.
type Drop struct {
	Colour string
	Volt   Range   // at the usual current
	Most   float64 // current, A
	Source trust.Source
}

// Drops lists lamps by colour. Smallest drops are from memory throughout.
func Drops() []Drop {
	old := seen("catalogue table of 5 mm diffused lamps; smallest drop from memory")
	typical := memory("typical data sheets of 5 mm lamps", trust.Medium)
	return []Drop{
		{"infrared", Range{1.1, 1.25, 1.6}, 50e-3, memory("typical data sheets of 5 mm lamps", trust.Low)},
		{"red", Range{1.6, 1.7, 2.1}, 30e-3, old},
		{"bright red", Range{1.7, 2.0, 2.5}, 30e-3, old},
		{"orange", Range{1.8, 2.1, 2.5}, 30e-3, memory("as yellow", trust.Low)},
		{"amber", Range{1.8, 2.1, 2.5}, 30e-3, memory("as yellow", trust.Low)},
		{"yellow", Range{1.8, 2.1, 2.5}, 30e-3, old},
		{"green", Range{1.9, 2.2, 2.5}, 25e-3, old},
		{"pure green", Range{2.8, 3.2, 3.8}, 30e-3, typical},
		{"blue", Range{2.8, 3.2, 3.8}, 30e-3, typical},
		{"white", Range{2.8, 3.2, 3.8}, 30e-3, typical},
		{"ultraviolet", Range{3.0, 3.4, 4.0}, 20e-3, memory("typical data sheets of 5 mm lamps", trust.Low)},
	}
}

// DropOf is the drop of a colour; false if the colour is not in [Drops].
func DropOf(colour string) (Drop, bool) {
	for _, d := range Drops() {
		if d.Colour == colour {
			return d, true
		}
	}
	return Drop{}, false
}

// LampQuestion asks for the resistor of a lamp.
type LampQuestion struct {
	Supply Range   // V, 0 to 60
	Drop   Range   // of the lamp, V
	Want   float64 // current, A
	Most   float64 // current that must not be passed in any corner, A; 0 = no such limit
	Inner  Range   // resistance already in the way: of a pin, of wire, ohm; zero = none
	Series Series  // of the resistor; 0 = E24
	Tol    float64 // of the resistor, per cent; 0 = that of the series
}

// Light says what becomes of a lamp.
type Light string

// What becomes of a lamp.
const (
	Lights       Light = "lights"              // as wanted
	LittleRoom   Light = "little headroom"     // works, but supply and lamp decide the current, not the resistor: lamps will differ
	NoRoom       Light = "no headroom"         // supply is below the drop: no resistor makes it light as wanted
	DimLight     Light = "dim"                 // a built-in resistor meant for more volts
	DarkLight    Light = "dark"                // a built-in resistor meant for many more volts, or a supply below the drop
	TooMuchLight Light = "more than it can do" // a built-in resistor meant for fewer volts, or none
)

// Headroom is the voltage that should be left for the resistor of a lamp, V. Below it differences between lamps of a bag and the
// tolerance of the supply move the current by half and more.
const Headroom = 0.4

// HeadroomSource stands for [Headroom].
var HeadroomSource = practice("0.3 to 0.5 V across the resistor at least")

// LampAnswer is the resistor of a lamp and what it does.
type LampAnswer struct {
	Light   Light
	Exact   float64 // the resistance that gives the wanted current, ohm; 0 without headroom
	Ohm     float64 // the preferred value chosen, ohm; 0 = none is needed (the inner resistance is enough), or none helps
	Current Range   // A: nominal, and in the corners of supply, drop and tolerance
	Room    Range   // headroom: supply less drop, V
	Watt    float64 // heat in the resistor in the worst corner
	Rating  float64 // power rating to buy, W, derated by [Derating]; 0 without a resistor, NaN when none is enough
}

// LampResistor chooses the series resistor of a lamp: R = (supply - drop) / current - inner, then the preferred value not below it,
// larger still where the limit would be passed in a corner. Current in the lamp is taken as (supply - drop) / R with a fixed drop,
// which errs to the bright side for small headroom; package circuit has the curve.
func LampResistor(q LampQuestion) (LampAnswer, error) {
	if err := within("wanted current", "A", q.Want, 1e-6, 10); err != nil {
		return LampAnswer{}, err
	}
	q, a, err := q.begin()
	if err != nil || a.Light == NoRoom {
		return a, err
	}
	ohm := 0.0
	if a.Exact > 0 {
		ohm = q.Series.Up(max(a.Exact, 1))
	}
	if q.Most > 0 {
		if least := (a.Room.Max/q.Most - q.Inner.Min) / (1 - q.Tol/100); least > ohm {
			ohm = q.Series.Up(max(least, 1))
		}
	}
	return q.with(a, ohm)
}

// LampWith tells what a lamp does with a given resistor of nominal ohm: the one in the drawer, or 0 for none where an inner resistance
// limits the current. The wanted current may be 0: then the lamp is never called dim.
func LampWith(q LampQuestion, ohm float64) (LampAnswer, error) {
	q, a, err := q.begin()
	if err != nil {
		return a, err
	}
	if err := within("resistor", "ohm", ohm, 0, 1e9); err != nil {
		return LampAnswer{}, err
	}
	if a.Light == NoRoom {
		a.Ohm = ohm
		return a, nil
	}
	a, err = q.with(a, ohm)
	switch {
	case err != nil:
	case q.Most > 0 && a.Current.Max > q.Most*(1+tiny):
		a.Light = TooMuchLight
	case a.Current.Nom < DimShare*q.Want:
		a.Light = DimLight
	}
	return a, err
}

// begin checks a question, fills in what is left out, and finds the headroom.
func (q LampQuestion) begin() (LampQuestion, LampAnswer, error) {
	if q.Series == 0 {
		q.Series = E24
	}
	if q.Tol == 0 {
		q.Tol = q.Series.Tolerance()
	}
	if !q.Series.Valid() {
		return q, LampAnswer{}, fmt.Errorf("there is no series E%d", q.Series)
	}
	for _, err := range []error{
		q.Supply.check("supply", "V", 0, mostVolt), q.Drop.check("drop of the lamp", "V", 0, mostVolt),
		within("wanted current", "A", q.Want, 0, 10), q.Inner.check("resistance in the way", "ohm", 0, 1e9),
		within("tolerance", "%", q.Tol, 0, 50), within("current limit", "A", q.Most, 0, 100),
	} {
		if err != nil {
			return q, LampAnswer{}, err
		}
	}
	a := LampAnswer{Light: Lights, Room: Range{q.Supply.Min - q.Drop.Max, q.Supply.Nom - q.Drop.Nom, q.Supply.Max - q.Drop.Min}}
	switch {
	case a.Room.Nom <= 0:
		a.Light = NoRoom
		return q, a, nil
	case a.Room.Nom < Headroom || a.Room.Min <= 0:
		a.Light = LittleRoom
	}
	if q.Want > 0 {
		a.Exact = max(0, a.Room.Nom/q.Want-q.Inner.Nom)
	}
	return q, a, nil
}

// with fills in what a resistor does.
func (q LampQuestion) with(a LampAnswer, ohm float64) (LampAnswer, error) {
	a.Ohm = ohm
	if ohm == 0 && q.Inner.Min == 0 {
		return a, fmt.Errorf("nothing limits the current of the lamp: %.3g V are left and there is no resistance in the way", a.Room.Nom)
	}
	r := PlusMinus(ohm, q.Tol)
	a.Current = Range{max(0, a.Room.Min) / (r.Max + q.Inner.Max), a.Room.Nom / (ohm + q.Inner.Nom), a.Room.Max / (r.Min + q.Inner.Min)}
	if ohm > 0 {
		a.Watt = heat(a.Room.Max, r, q.Inner.Min)
		a.Rating = Rating(a.Watt)
	}
	return a, nil
}

// heat is the most that a resistor within r takes from volt behind inner: the power peaks where both are alike.
func heat(volt float64, r Range, inner float64) float64 {
	at := min(max(inner, r.Min), r.Max)
	i := volt / (at + inner)
	return i * i * at
}

// BuiltIn is a lamp sold with a resistor inside, for a voltage.
type BuiltIn struct {
	Volt    float64 // that it is meant for, V
	Current float64 // that it takes there, A
	Drop    Range   // of the lamp alone, V
}

// BuiltInAnswer is what such a lamp does on another supply.
type BuiltInAnswer struct {
	Light   Light
	Ohm     float64 // of the resistor inside
	Current Range   // A
	Share   float64 // nominal current as a share of the one it is meant to have
}

// Shares of the current a lamp with built-in resistor is meant to have, common practice.
const (
	DimShare  = 0.5  // below it people call the lamp dim
	DarkShare = 0.05 // below it they call it dark
	OverShare = 1.25 // above it it is driven too hard
)

// BuiltInSource stands for [DimShare], [DarkShare] and [OverShare].
var BuiltInSource = trust.Source{Text: "what people call dim, dark and too bright", Provenance: trust.Practice, Confidence: trust.Low}

// At tells what the lamp does on a supply.
func (b BuiltIn) At(supply Range) (BuiltInAnswer, error) {
	for _, err := range []error{
		within("voltage that the lamp is meant for", "V", b.Volt, 0.1, mostVolt), within("current of the lamp", "A", b.Current, 1e-6, 10),
		b.Drop.check("drop of the lamp", "V", 0, mostVolt), supply.check("supply", "V", 0, mostVolt),
	} {
		if err != nil {
			return BuiltInAnswer{}, err
		}
	}
	if b.Volt <= b.Drop.Nom {
		return BuiltInAnswer{}, fmt.Errorf("a lamp for %g V cannot drop %g V and have a resistor too", b.Volt, b.Drop.Nom)
	}
	a := BuiltInAnswer{Light: Lights, Ohm: (b.Volt - b.Drop.Nom) / b.Current}
	at := func(v, drop float64) float64 { return max(0, v-drop) / a.Ohm }
	a.Current = Range{at(supply.Min, b.Drop.Max), at(supply.Nom, b.Drop.Nom), at(supply.Max, b.Drop.Min)}
	a.Share = a.Current.Nom / b.Current
	switch {
	case a.Share < DarkShare:
		a.Light = DarkLight
	case a.Share < DimShare:
		a.Light = DimLight
	case a.Share > OverShare || math.IsInf(a.Share, 0):
		a.Light = TooMuchLight
	}
	return a, nil
}
