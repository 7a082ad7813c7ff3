package harness

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
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

// instead says which colours stand in where the usual ones of a purpose are not sold; a supply and a return keep their kind and get a
// tracer.
var instead = map[string][]string{"analog ground": {"BK"}, "supply 3.3 V": {"RD"}, "reference": {"RD"}}

// palette gives the colours for a purpose: the file's, else the usual ones as far as the wire is sold in them or on hand; a finer purpose
// falls back on the plainer one. marked tells that the colour is another purpose's too.
func (w *worker) palette(purpose string, wire catalog.Wire) (colours []string, marked bool) {
	ask := w.p.Wiring.Wire.Colours
	for _, key := range []string{purpose, strings.Fields(purpose)[0]} {
		if c := letters(ask.Get(key).Use); len(c) > 0 {
			return c, key != purpose && len(c) == 1 && (instead[purpose] != nil)
		}
	}
	sold := append([]string{}, wire.Colours...)
	for _, s := range w.p.Wiring.Stock {
		if s.Wire == wire.ID && len(sold) > 0 {
			sold = append(sold, letters(s.Colour)...)
		}
	}
	there := func(list []string) []string {
		if len(sold) == 0 {
			return list
		}
		var out []string
		for _, c := range list {
			if slices.Contains(sold, c) {
				out = append(out, c)
			}
		}
		return out
	}
	if c := there(usualColours[purpose]); len(c) > 0 {
		return c, false
	}
	if c := there(instead[purpose]); len(c) > 0 {
		return c, true
	}
	if c := there(usualColours["signal"]); len(c) > 0 {
		return c, false
	}
	if len(sold) > 0 {
		return sold, false
	}
	return usualColours["signal"], false
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

// colours gives every wire its colour: one for each net, taken in turns in the order of the pins so that neighbours differ. Where they
// cannot, or where two purposes share a colour, a tracer tells them apart.
func (w *worker) colours() {
	byPin := make([]int, 0, len(w.w.Nets))
	rank := make([]int, len(w.w.Nets))
	for i := range w.w.Nets {
		byPin = append(byPin, i)
		rank[i] = w.pinRank(i)
	}
	slices.SortStableFunc(byPin, func(a, b int) int { return rank[a] - rank[b] })
	turn := map[string]int{}
	of := make([]string, len(w.w.Nets))
	tracer := make([]string, len(w.w.Nets))
	last := -1
	for _, i := range byPin {
		p := w.purpose(w.w.Nets[i])
		c, marked := w.palette(p, w.use[w.useOf(i)])
		k := strings.Join(c, " ")
		of[i] = c[turn[k]%len(c)]
		turn[k]++
		if marked {
			tracer[i] = "1 knot"
		}
		if last >= 0 && rank[i]-rank[last] <= 1 && of[i] == of[last] && len(c) > 1 { // two palettes meet
			of[i] = c[turn[k]%len(c)]
			turn[k]++
		}
		if last >= 0 && rank[i]-rank[last] <= 1 && of[i] == of[last] && tracer[i] == tracer[last] {
			switch tracer[last] {
			case "":
				tracer[i] = "1 knot"
			case "1 knot":
				tracer[i] = "2 knots"
			}
		}
		if rank[i] < unranked {
			last = i
		}
	}
	for i := range w.r.Wires {
		x := &w.r.Wires[i]
		x.Colour, x.Tracer = of[x.Net], tracer[x.Net]
		x.Label = [2]string{w.label(x.From), w.label(x.To)}
	}
}

// unranked is the rank of nets without a pin.
const unranked = 1 << 20

// pinRank orders nets by where their pin stands on its board.
func (w *worker) pinRank(net int) int {
	for _, t := range w.w.Nets[net].Terms {
		if s, ok := w.spot[t]; ok && s.board >= 0 {
			return s.board*1000 + w.boards[s.board].rank[t.Lug]
		}
	}
	return unranked
}

// label is what stands on the tag at an end of a wire: where that end goes. "GP14", "GO no", "R3 at READY".
func (w *worker) label(t wiring.Terminal) string {
	s := w.spot[t]
	if s.board >= 0 {
		b := &w.boards[s.board]
		name := t.Lug
		if b.part.Board != nil {
			for _, p := range b.part.Board.Pins {
				if p.Lug == t.Lug && p.Name != "" {
					name = p.Name
				}
			}
		}
		if w.manyPins(b, name) { // several grounds: by number
			name += " (" + t.Lug + ")"
		}
		if s.board == 0 {
			return name
		}
		return b.label + " " + name
	}
	if c := w.control(t.Of); c != nil {
		return c.Label + " " + t.Lug
	}
	if c := w.control(w.ownerOf(t)); c != nil {
		return t.Of + " at " + c.Label
	}
	return t.Of + " " + t.Lug
}

// manyPins reports whether several pins of a board bear the same name.
func (w *worker) manyPins(b *boardAt, name string) bool {
	n := 0
	if b.part.Board != nil {
		for _, p := range b.part.Board.Pins {
			if p.Name == name && p.Lug != name {
				n++
			}
		}
	}
	return n > 1
}
