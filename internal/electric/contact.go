package electric

import (
	"fmt"

	"knobwright/internal/trust"
)

// ContactClass is what the contacts of a switch are covered with.
type ContactClass string

// The classes of contacts.
const (
	Gold   ContactClass = "gold"   // signals
	Silver ContactClass = "silver" // power
	Rubber ContactClass = "rubber" // carbon on a board
)

// ContactBounds are the currents between which a contact of a class closes surely and lasts.
type ContactBounds struct {
	Least, Most float64 // A
	Source      trust.Source
}

// Bounds of a class; false for an unknown class. Makers differ: a part that tells its own bounds goes first.
func (c ContactClass) Bounds() (ContactBounds, bool) {
	buttons := trust.Source{Text: "data sheet of one series of push buttons", Provenance: trust.Seen, Confidence: trust.Medium}
	switch c {
	case Gold:
		return ContactBounds{0.5e-6, 50e-3, buttons}, true
	case Silver:
		return ContactBounds{0.5e-3, 50e-3, buttons}, true
	case Rubber:
		return ContactBounds{0.5e-6, 10e-3, memory("typical rubber keys", trust.Low)}, true
	}
	return ContactBounds{}, false
}

// ContactVerdict says whether a contact gets the current it wants.
type ContactVerdict string

// What can be said about the current of a contact.
const (
	ContactFine   ContactVerdict = "fine"
	ContactThin   ContactVerdict = "too little" // the skin of the metal is not broken through: it may fail after months
	ContactHeavy  ContactVerdict = "too much"
	ContactUnsure ContactVerdict = "too little in some corners"
)

// ContactAnswer is the verdict on a contact.
type ContactAnswer struct {
	Verdict ContactVerdict
	PullUp  float64 // largest pull-up that gives the least current at the supply, ohm, an E12 value; 0 when nothing must change
}

// Contact judges the current of a contact against the bounds, for a supply in V that feeds it through a pull-up.
func Contact(amp Range, b ContactBounds, supply float64) (ContactAnswer, error) {
	for _, err := range []error{
		amp.check("current of the contact", "A", 0, most), within("supply", "V", supply, 0.1, mostVolt),
		within("least current", "A", b.Least, 0, 1e3), within("most current", "A", b.Most, 0, 1e3),
	} {
		if err != nil {
			return ContactAnswer{}, err
		}
	}
	if b.Most > 0 && b.Most < b.Least {
		return ContactAnswer{}, fmt.Errorf("the contact wants %g A at least and %g A at most", b.Least, b.Most)
	}
	a := ContactAnswer{Verdict: ContactFine}
	switch {
	case b.Most > 0 && amp.Max > b.Most:
		a.Verdict = ContactHeavy
	case amp.Max < b.Least:
		a.Verdict = ContactThin
	case amp.Min < b.Least:
		a.Verdict = ContactUnsure
	}
	if a.Verdict == ContactThin || a.Verdict == ContactUnsure {
		a.PullUp = E12.Down(supply / b.Least)
	}
	return a, nil
}

// Encoder is a rotary encoder turned by hand.
type Encoder struct {
	Clicks  float64 // detents in a second at the fastest turn; a quick wrist does about 70
	Edges   float64 // changes of the two phases from detent to detent: 4, 2 or 1
	Uneven  float64 // share by which the shortest phase is shorter than even; 0 = 0.5
	Seconds float64 // between two looks of the module
	Bounce  float64 // longest bounce, s; 0 = not known
}

// EncoderVerdict says whether all steps are seen.
type EncoderVerdict string

// What can be said about reading an encoder.
const (
	EncoderSure    EncoderVerdict = "sure"
	EncoderTight   EncoderVerdict = "tight"         // every phase is seen, but less than twice
	EncoderSkips   EncoderVerdict = "skips"         // the shortest phase may fall between two looks
	EncoderBounces EncoderVerdict = "bounce covers" // contacts bounce for longer than the shortest phase lasts
)

// UnevenSource stands for the default of [Encoder.Uneven].
var UnevenSource = practice("phases of cheap encoders are 90 degrees with 45 to spare")

// EncoderAnswer is the verdict on reading an encoder.
type EncoderAnswer struct {
	Verdict  EncoderVerdict
	Edges    float64 // a second, on both phases together
	Shortest float64 // time that the shortest phase lasts, s
	Looks    float64 // how often it is looked at meanwhile
}

// Read judges whether looking every Seconds sees every phase of the encoder.
func (e Encoder) Read() (EncoderAnswer, error) {
	if e.Uneven == 0 {
		e.Uneven = 0.5
	}
	for _, err := range []error{
		within("speed of turning", "clicks/s", e.Clicks, 1e-3, 1e6), within("number of changes from click to click", "", e.Edges, 0.25, 64),
		within("unevenness", "", e.Uneven, 0, 0.99), within("time between two looks", "s", e.Seconds, 1e-9, 1e3), within("bounce", "s", e.Bounce, 0, 10),
	} {
		if err != nil {
			return EncoderAnswer{}, err
		}
	}
	a := EncoderAnswer{Verdict: EncoderSure, Edges: e.Clicks * e.Edges}
	a.Shortest = (1 - e.Uneven) / a.Edges
	a.Looks = a.Shortest / e.Seconds
	switch {
	case a.Looks < 1:
		a.Verdict = EncoderSkips
	case e.Bounce > a.Shortest:
		a.Verdict = EncoderBounces
	case a.Looks < 2:
		a.Verdict = EncoderTight
	}
	return a, nil
}
