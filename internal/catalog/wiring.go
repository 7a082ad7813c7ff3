package catalog

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/length"
)

// Colours are the letters for colours of wires after IEC 60757, and what they mean; from memory.
var Colours = []struct{ Letters, Name string }{
	{"BK", "black"}, {"BN", "brown"}, {"RD", "red"}, {"OG", "orange"}, {"YE", "yellow"}, {"GN", "green"}, {"BU", "blue"},
	{"VT", "violet"}, {"GY", "grey"}, {"WH", "white"}, {"PK", "pink"}, {"TQ", "turquoise"}, {"GNYE", "green and yellow"},
}

// ColourName gives the name of a colour by its letters: "BK" is black; "" when there is none.
func ColourName(letters string) string {
	for _, c := range Colours {
		if c.Letters == letters {
			return c.Name
		}
	}
	return ""
}

// copperOf gives the diameter of a solid conductor, mm, by its gauge. Source: ASTM B258, d = 0.127 mm x 92^((36-n)/39).
func copperOf(awg int) float64 { return 0.127 * math.Pow(92, float64(36-awg)/39) }

// Copper gives the section of a core, mm2: as given, or by the gauge; 0 when neither is.
func (w Wire) Copper() float64 {
	switch {
	case w.Area > 0:
		return w.Area
	case w.Gauge > 0:
		d := copperOf(w.Gauge)
		return math.Pi / 4 * d * d
	}
	return 0
}

// Validate lists, in sentences, what a wire's record says that cannot be true.
func (w Wire) Validate() []string {
	var f faults
	v := length.Plain
	f.when(w.Gauge <= 0 && w.Area <= 0, "The wire has no thickness; say gauge (AWG) or area (mm2).")
	f.when(w.Gauge < 0 || w.Gauge > 44, "AWG %d is no wire for a panel; 18 to 30 are usual.", w.Gauge)
	if w.Gauge > 0 && w.Gauge <= 44 && w.Area > 0 {
		d := copperOf(w.Gauge)
		by := math.Pi / 4 * d * d
		f.when(math.Abs(w.Area-by) > by/4, "AWG %d has %s mm2, but its area is given as %s mm2.", w.Gauge, v(math.Round(by*100)/100), v(w.Area))
	}
	bare := math.Sqrt(4 / math.Pi * w.Copper())
	f.when(w.Outside <= 0, "The wire has no outside diameter.")
	f.when(w.Outside > 0 && w.Outside.MM() < bare-hair, "The wire is %s over its insulation, thinner than its copper, %s.", mm(w.Outside), mm(math.Round(bare*100)/100))
	f.when(w.Strands < 0 || w.Cores < 0, "A wire has at least one strand and one core.")
	f.when(w.Cores > 1 && w.Pitch <= 0, "A ribbon of %d cores wants the pitch from core to core.", w.Cores)
	f.when(w.Cores <= 1 && w.Pitch != 0, "It has a pitch, but only one core; say cores.")
	f.when(w.Pitch > 0 && w.Pitch < w.Outside, "Its cores are %s thick, but only %s apart.", mm(w.Outside), mm(w.Pitch))
	for i, c := range w.Colours {
		f.when(ColourName(c) == "", "The colour %q is none of %s.", c, letters())
		f.when(slices.Contains(w.Colours[:i], c), "The colour %s stands twice.", c)
	}
	checkPrice(&f, w.Price)
	return f
}

func letters() string {
	var s []string
	for _, c := range Colours {
		s = append(s, c.Letters)
	}
	return strings.Join(s, ", ")
}

// series are those of IEC 60063 that shops sell.
var series = []string{"E6", "E12", "E24", "E48", "E96"}

// Validate lists, in sentences, what the record of a small part says that cannot be true.
func (s Small) Validate() []string {
	var f faults
	v := length.Plain
	f.when(s.Tol < 0 || s.Tol >= 100, "A tolerance of %s per cent is none.", v(s.Tol))
	f.when(s.Power < 0 || s.Most < 0 || s.Rs < 0 || s.Sat < 0 || s.Farad < 0 || s.Ways < 0 || s.Pitch < 0 || s.Size < 0, "One of its numbers is less than nothing.")
	resistor := s.Series != "" || s.Power != 0 || s.Range != [2]float64{}
	diode := s.Sat != 0 || s.Ideal != 0 || s.Rs != 0 || s.Most != 0
	f.when(resistor && s.Kind != "resistor", "Only a resistor has a series, a power and a range.")
	f.when(diode && s.Kind != "diode", "Only a diode has sat, ideal, rs and most.")
	f.when(s.Farad != 0 && s.Kind != "capacitor", "Only a capacitor has farad.")
	switch s.Kind {
	case "resistor":
		f.when(s.Series != "" && !slices.Contains(series, s.Series), "The series %q is none of %s.", s.Series, strings.Join(series, ", "))
		f.when(s.Range != [2]float64{} && (s.Range[0] <= 0 || s.Range[1] < s.Range[0]), "Its range goes from %s to %s ohm; write the least first, then the most.", v(s.Range[0]), v(s.Range[1]))
	case "diode":
		f.when((s.Sat > 0) != (s.Ideal > 0), "A diode's curve wants both sat and ideal.")
		f.when(s.Ideal != 0 && (s.Ideal < 0.9 || s.Ideal > 10), "An ideality factor of %s is no diode's; 1 to 2 is usual, lamps have up to 5.", v(s.Ideal))
	case "capacitor":
		f.when(s.Farad > 1, "A capacitor of %s F is none for a panel; 100 nF is written 100e-9.", v(s.Farad))
	}
	f.when(s.Gauge != [2]int{} && (s.Gauge[0] <= 0 || s.Gauge[1] < s.Gauge[0]), "It takes wire from AWG %d to %d; write the thick one first, that is the smaller number.", s.Gauge[0], s.Gauge[1])
	f.when(s.Ways > 1 && s.Pitch == 0 && s.Kind == "housing", "A housing of %d ways wants the pitch from way to way.", s.Ways)
	checkPrice(&f, s.Price)
	return f
}
