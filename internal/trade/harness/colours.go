package harness

import (
	"slices"
	"strings"

	"knobwright/internal/trade/wiring"
)

// Colours of wire by what it carries, letters of IEC 60757. Black for the return and red for a supply are common practice; the others
// take turns so that neighbours at the module differ.
var usualColours = map[string][]string{
	"ground": {"BK"}, "analog ground": {"GY"}, "supply": {"RD"}, "supply 3.3 V": {"OG"}, "reference": {"PK"},
	"signal": {"BN", "YE", "GN", "BU", "VT", "WH"}, "row": {"BU"}, "column": {"YE"}, "bus": {"GN", "WH"}, "lamp": {"VT"},
}

// ColourNames are the colours of IEC 60757 in words.
var ColourNames = map[string]string{
	"BK": "black", "BN": "brown", "RD": "red", "OG": "orange", "YE": "yellow", "GN": "green", "BU": "blue", "VT": "violet", "GY": "grey",
	"WH": "white", "PK": "pink", "TQ": "turquoise", "GD": "gold", "SR": "silver", "GNYE": "green and yellow",
}

// Purpose names what a net's wires carry, as the file calls it under wiring.wire.colours.
func (w *worker) purpose(n wiring.Net) string {
	switch n.Kind {
	case wiring.NetGround:
		return "ground"
	case wiring.NetAGround:
		return "analog ground"
	case wiring.NetSupply:
		if n.Volts > 0 && n.Volts < 4 {
			return "supply 3.3 V"
		}
		return "supply"
	case wiring.NetBus:
		return "bus"
	}
	if n.Signal >= 0 && n.Signal < len(w.w.Signals) {
		switch w.w.Signals[n.Signal].Kind {
		case wiring.SigRow:
			return "row"
		case wiring.SigColumn:
			return "column"
		case wiring.SigLamp:
			return "lamp"
		}
	}
	return "signal"
}

// palette gives the colours for a purpose: the file's, else the usual ones; a finer purpose falls back on the plainer one.
func (w *worker) palette(purpose string) []string {
	ask := w.p.Wiring.Wire.Colours
	for _, key := range []string{purpose, strings.Fields(purpose)[0]} {
		if c := letters(ask.Get(key).Use); len(c) > 0 {
			return c
		}
	}
	if c := usualColours[purpose]; len(c) > 0 {
		return c
	}
	return usualColours["signal"]
}

// letters splits "BU GN, ye" into colours.
func letters(s string) []string {
	var out []string
	for _, f := range strings.FieldsFunc(strings.ToUpper(s), separator) {
		if _, ok := ColourNames[f]; ok {
			out = append(out, f)
		}
	}
	return out
}

// colours gives every wire its colour: one for each net, taken in turns in the order of the pins so that neighbours differ.
func (w *worker) colours() {
	byPin := make([]int, 0, len(w.w.Nets))
	for i := range w.w.Nets {
		byPin = append(byPin, i)
	}
	slices.SortStableFunc(byPin, func(a, b int) int { return w.pinRank(a) - w.pinRank(b) })
	turn := map[string]int{}
	of := make([]string, len(w.w.Nets))
	for _, i := range byPin {
		p := w.purpose(w.w.Nets[i])
		c := w.palette(p)
		of[i] = c[turn[p]%len(c)]
		turn[p]++
	}
	for i := range w.r.Wires {
		x := &w.r.Wires[i]
		x.Colour = of[x.Net]
		x.Label = [2]string{w.label(x.To), w.label(x.From)}
	}
}

// pinRank orders nets by where their pin stands on its board.
func (w *worker) pinRank(net int) int {
	for _, t := range w.w.Nets[net].Terms {
		if s, ok := w.spot[t]; ok && s.board >= 0 {
			for i, l := range w.boards[s.board].part.Lugs {
				if l.Name == t.Lug {
					return s.board*1000 + i
				}
			}
		}
	}
	return 1 << 20
}

// label is what stands on the tag at a wire's other end: where it goes.
func (w *worker) label(t wiring.Terminal) string {
	if s, ok := w.spot[t]; ok && s.board >= 0 {
		for _, l := range w.boards[s.board].part.Lugs {
			if l.Name == t.Lug && l.Does != "" {
				if s.board == 0 {
					return l.Does
				}
				return w.boards[s.board].name + " " + l.Does
			}
		}
	}
	return t.Of + " " + t.Lug
}
