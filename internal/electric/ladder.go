package electric

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/trust"
)

// A voltage ladder reads several contacts with one analog pin: a pull-up from the reference to the pin, and a resistor from the pin to
// each contact, whose other side is on ground. The reading as a share of the reference is R / (R + pull-up).

// LadderKind says how many contacts of a ladder may be closed at once.
type LadderKind string

// The kinds of ladder.
const (
	OneAtATime     LadderKind = "one at a time"   // a rotary switch; buttons of which the first wins
	AnyCombination LadderKind = "any combination" // weighted by two
)

// LadderQuestion asks for the resistors of a voltage ladder.
type LadderQuestion struct {
	Kind     LadderKind
	Contacts int
	NoOpen   bool    // one contact is always closed: no reading for none
	Series   Series  // of all resistors; 0 = E24
	Tol      float64 // per cent; 0 = 1: ladders are worth it
	PullUp   float64 // ohm; 0 = chosen within Ohms, but not below LeastPullUp
	Ohms     Range   // bounds of all resistors; Nom does not count; zero = 100 ohm to 100 kohm
	Contact  float64 // most resistance of a closed contact and its wire, ohm
	Bits     int     // of the analog input; 0 = 10
	Off      float64 // its error, LSB; 0 = 2
	Leak     float64 // of the pin and open contacts as a share of the reference on the pull-up: amp * ohm / volt; 0 = none
}

// SafeGap is how far apart neighbouring readings must be in the worst corners, in errors of the analog input: one for each reading,
// and as much again for noise.
const SafeGap = 4

// LeastPullUp is the smallest pull-up that is chosen for a ladder, ohm: with a contact to ground it is a load of some milliampere.
const LeastPullUp = 1e3

// LadderSource stands for [SafeGap] and the default error of the input.
var LadderSource = trust.Source{Text: "readings apart by four times the error of the input", Provenance: trust.Practice, Confidence: trust.Medium}

// Rung is a state of the contacts and the readings it may give.
type Rung struct {
	Closed         []int   // contacts that are closed, from 0
	Low, Nom, High float64 // LSB, in the corners of all tolerances, without the input's own error
}

// LadderAnswer is a voltage ladder.
type LadderAnswer struct {
	PullUp float64   // ohm
	Ohms   []float64 // of each contact, from 0; the first is the lowest with one at a time, the highest weight with any combination
	Rungs  []Rung    // by reading, the lowest first
	Gap    float64   // smallest distance between neighbours in the worst corners, LSB; negative when they overlap
	Safe   bool      // Gap is at least [SafeGap] errors of the input
	Limits []float64 // readings that separate the rungs, LSB: in the middle of each gap
	Amp    float64   // most current as a share: reference / (pull-up + smallest way) in A per V
	// Best says that no choice from the series within the bounds has a larger gap. With any combination of more than four contacts
	// the choice is the best near weights of two, and with series finer than E24 the best near the choice from E24.
	Best bool
}

func (q LadderQuestion) filled() (LadderQuestion, error) {
	if q.Series == 0 {
		q.Series = E24
	}
	if q.Tol == 0 {
		q.Tol = 1
	}
	if q.Ohms == (Range{}) {
		q.Ohms = Range{100, 10e3, 100e3}
	}
	if q.Bits == 0 {
		q.Bits = 10
	}
	if q.Off == 0 {
		q.Off = 2
	}
	mostContacts := 32
	switch q.Kind {
	case OneAtATime:
	case AnyCombination:
		mostContacts = 8
		if q.NoOpen {
			return q, fmt.Errorf("where any combination may be closed, none may be")
		}
	default:
		return q, fmt.Errorf("a ladder is of the kind %q or %q", OneAtATime, AnyCombination)
	}
	if !q.Series.Valid() {
		return q, fmt.Errorf("there is no series E%d", q.Series)
	}
	for _, err := range []error{
		within("number of contacts", "", float64(q.Contacts), 1, float64(mostContacts)), within("tolerance", "%", q.Tol, 0, 30),
		within("pull-up", "ohm", q.PullUp, 0, 1e9), within("smallest resistor", "ohm", q.Ohms.Min, 1, 1e9),
		within("largest resistor", "ohm", q.Ohms.Max, q.Ohms.Min, q.Ohms.Min*1e6), within("resistance of a contact", "ohm", q.Contact, 0, 1e6),
		within("number of bits", "", float64(q.Bits), 4, 24), within("error of the input", "LSB", q.Off, 0, 1e6), within("leakage", "", q.Leak, 0, 1),
	} {
		if err != nil {
			return q, err
		}
	}
	return q, nil
}

// Ladder chooses the resistors of a voltage ladder so that the closest two readings are as far apart as possible, with every
// resistor anywhere within its tolerance. Thresholds are fixed numbers in the module, the same for every panel built, so that each
// reading counts with all of its spread.
func Ladder(q LadderQuestion) (LadderAnswer, error) {
	q, err := q.filled()
	if err != nil {
		return LadderAnswer{}, err
	}
	if q.Kind == AnyCombination && q.Series > E24 {
		return q.refined()
	}
	values := q.Series.Values(q.Ohms.Min, q.Ohms.Max)
	pulls := q.Series.Values(max(q.Ohms.Min, LeastPullUp), q.Ohms.Max)
	if q.PullUp > 0 {
		pulls = []float64{q.PullUp}
	}
	if q.Kind == OneAtATime {
		values = append([]float64{0}, values...) // a piece of wire is a resistor too
	}
	best := LadderAnswer{Gap: math.Inf(-1)}
	for _, pull := range pulls {
		var ohms []float64
		if q.Kind == AnyCombination {
			ohms = q.weighted(pull, values, best.Gap/q.full())
		} else {
			ohms = q.spaced(pull, values)
		}
		if ohms == nil {
			continue
		}
		if gap := q.gap(pull, ohms); best.Ohms == nil || gap > best.Gap+tiny {
			best = LadderAnswer{PullUp: pull, Ohms: ohms, Gap: gap}
		}
	}
	if best.Ohms == nil {
		return LadderAnswer{}, fmt.Errorf("the series E%d has too few values from %s to %s for %d contacts", q.Series, FormatOhms(q.Ohms.Min), FormatOhms(q.Ohms.Max), q.Contacts)
	}
	a := q.answer(best.PullUp, best.Ohms)
	a.Best = q.Kind == OneAtATime || q.Contacts <= 4
	return a, nil
}

func (q LadderQuestion) full() float64 { return math.Pow(2, float64(q.Bits)) }

// level is the reading, as a share of full scale, of a way of so many ohm to ground, with contact and leakage as given.
func level(ohm, pull, leak float64) float64 {
	if math.IsInf(ohm, 1) {
		return 1 - leak
	}
	return ohm/(ohm+pull) - leak*ohm/(ohm+pull)
}

// span is the lowest and the highest reading of contacts closed together, as a share. Without any it is the open reading.
func (q LadderQuestion) span(pull float64, ohms []float64, closed []int) (low, nom, high float64) {
	t := q.Tol / 100
	way := func(share, contact float64) float64 {
		if len(closed) == 0 {
			return math.Inf(1)
		}
		s := 0.0
		for _, i := range closed {
			s += 1 / (ohms[i]*share + contact)
		}
		return 1 / s
	}
	return level(way(1-t, 0), pull*(1+t), q.Leak), level(way(1, 0), pull, 0), level(way(1+t, q.Contact), pull*(1-t), 0)
}

// states lists the combinations of closed contacts that are told apart.
func (q LadderQuestion) states(n int) [][]int {
	var out [][]int
	if q.Kind == OneAtATime {
		for i := range n {
			out = append(out, []int{i})
		}
		if !q.NoOpen {
			out = append(out, nil)
		}
		return out
	}
	for bits := range 1 << n {
		var closed []int
		for i := range n {
			if bits>>i&1 == 1 {
				closed = append(closed, i)
			}
		}
		out = append(out, closed)
	}
	return out
}

func (q LadderQuestion) rungs(pull float64, ohms []float64) []Rung {
	states := q.states(len(ohms))
	full := q.full()
	rungs := make([]Rung, len(states))
	for i, s := range states {
		low, nom, high := q.span(pull, ohms, s)
		rungs[i] = Rung{Closed: s, Low: low * full, Nom: nom * full, High: high * full}
	}
	slices.SortStableFunc(rungs, func(a, b Rung) int {
		switch {
		case a.Nom < b.Nom:
			return -1
		case a.Nom > b.Nom:
			return 1
		}
		return 0
	})
	return rungs
}

func smallestGap(rungs []Rung) float64 {
	gap := math.Inf(1)
	for i := 1; i < len(rungs); i++ {
		gap = min(gap, rungs[i].Low-rungs[i-1].High)
	}
	return gap
}

func (q LadderQuestion) gap(pull float64, ohms []float64) float64 {
	return smallestGap(q.rungs(pull, ohms))
}

func (q LadderQuestion) answer(pull float64, ohms []float64) LadderAnswer {
	a := LadderAnswer{PullUp: pull, Ohms: ohms, Rungs: q.rungs(pull, ohms)}
	a.Gap = smallestGap(a.Rungs)
	a.Safe = a.Gap >= SafeGap*q.Off
	for i := 1; i < len(a.Rungs); i++ {
		a.Limits = append(a.Limits, (a.Rungs[i].Low+a.Rungs[i-1].High)/2)
	}
	var least float64 // smallest way to ground, ohm
	if q.Kind == AnyCombination {
		s := 0.0
		for _, r := range ohms {
			s += 1 / r
		}
		least = 1 / s
	} else {
		least = slices.Min(ohms)
	}
	a.Amp = 1 / ((pull + least) * (1 - q.Tol/100))
	return a
}

// JudgeLadder tells what a ladder of given resistors does: the one in the drawer.
func JudgeLadder(q LadderQuestion, pull float64, ohms []float64) (LadderAnswer, error) {
	q.Contacts = len(ohms)
	q, err := q.filled()
	if err != nil {
		return LadderAnswer{}, err
	}
	if err := within("pull-up", "ohm", pull, 1, 1e9); err != nil {
		return LadderAnswer{}, err
	}
	for _, r := range ohms {
		low := 0.0
		if q.Kind == AnyCombination {
			low = 1
		}
		if err := within("resistor", "ohm", r, low, 1e9); err != nil {
			return LadderAnswer{}, err
		}
	}
	return q.answer(pull, slices.Clone(ohms)), nil
}

// MostContacts is the largest number of contacts for which [Ladder] finds a safe one, with its answer; 0 if not even one is. The
// number of contacts in the question does not count.
func MostContacts(q LadderQuestion) (int, LadderAnswer, error) {
	mostContacts := 32
	if q.Kind == AnyCombination {
		mostContacts = 8
	}
	var best LadderAnswer
	for n := 1; n <= mostContacts; n++ {
		q.Contacts = n
		a, err := Ladder(q)
		if err != nil {
			if n == 1 {
				return 0, best, err
			}
			return n - 1, best, nil // the values of the series ran out
		}
		if !a.Safe {
			return n - 1, best, nil
		}
		best = a
	}
	return mostContacts, best, nil
}
