package wiring

import (
	"cmp"
	"math"
	"slices"
)

// options lists what was weighed, the chosen one first, then by what it costs.
func (w *worker) options(all []weighed, best int) []Option {
	var out []Option
	seen := map[string]bool{}
	type ranked struct {
		o Option
		v float64
	}
	var rest []ranked
	chosen := w.option(&all[best])
	chosen.Chosen = true
	seen[chosen.Title] = true
	for i := range all {
		if i == best {
			continue
		}
		o := w.option(&all[i])
		if seen[o.Title] {
			continue
		}
		seen[o.Title] = true
		v := all[i].worth
		if all[i].by == Direct {
			v = -1
		}
		if !o.Fits {
			v += 1e6
		}
		rest = append(rest, ranked{o, v})
	}
	slices.SortStableFunc(rest, func(a, b ranked) int { return cmp.Compare(a.v, b.v) })
	out = append(out, chosen)
	if all[best].by == Waits {
		out[0].By, _ = all[best].w.title()
	}
	for _, x := range rest {
		out = append(out, x.o)
	}
	switch {
	case w.by() != "auto":
		out[0].Why = or(out[0].Why, "as the file asks")
	case all[best].by == Direct && out[0].Fits && out[0].Title == "direct":
		out[0].Why = or(out[0].Why, "a pin each: they suffice")
	case all[best].by == Direct && out[0].Fits:
		out[0].Why = or(out[0].Why, "a pin or a line each: with the boards of the file they suffice")
	default:
		out[0].Why = or(out[0].Why, "costs least, with what parts, joints and fitting are worth")
	}
	return out
}

// option puts a way that was worked out into a line of the list.
func (w *worker) option(x *weighed) Option {
	f := x.w
	o := Option{Fits: waiting(&f.r.Plan) == 0}
	o.By, o.Title = f.title()
	switch x.by {
	case Waits: // a mix: what most contacts do
	case AnalogIn:
		o.By = Direct
	default:
		o.By = x.by
	}
	o.Joints, o.Wires = effort(&f.r, f.module)
	o.Parts, o.Money = f.money()
	taken := map[Terminal]bool{}
	for _, s := range f.r.Plan.Seats {
		if f.module >= 0 && s.Pin.Of == f.r.Boards[f.module].Name {
			taken[s.Pin] = true
		}
	}
	o.Pins = len(taken)
	for _, t := range f.r.Plan.Free {
		if f.module >= 0 && t.Of == f.r.Boards[f.module].Name {
			o.Left++
		}
	}
	o.Scan = f.scan()
	o.Ghosts = f.ghostWords()
	if n := waiting(&f.r.Plan); n > 0 {
		o.Why = plural(n, "lead") + map[bool]string{true: " waits", false: " wait"}[n == 1] + " for a pin"
		if len(f.r.Plan.Short) > 0 {
			o.Why = f.r.Plan.Short[0].Say
		}
	}
	return o
}

// money gives the number of boards and small parts of a plan, and what those cost that are not in the file.
func (w *worker) money() (parts int, sum [2]float64) {
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if i == w.module {
			continue
		}
		parts++
		if b.Added {
			sum[0] += b.Part.Price.From
			sum[1] += b.Part.Price.To
		}
	}
	parts += len(w.r.Fittings)
	for _, p := range w.r.Fittings {
		s := &w.resistor
		if p.Kind == "diode" {
			s = &w.diode
		}
		sum[0] += s.price[0]
		sum[1] += s.price[1]
	}
	sum[0], sum[1] = cents(sum[0]), cents(sum[1])
	return parts, sum
}

// paid is what a plan costs in all, in money: the middle of the prices, and what its joints, small parts and kinds of sharing are worth.
func (w *worker) paid() float64 {
	_, sum := w.money()
	joints, _ := effort(&w.r, w.module)
	kinds := map[Way]bool{}
	for _, s := range w.r.Plan.Seats {
		if s.Way != Direct && s.Way != Waits {
			kinds[s.Way] = true
		}
	}
	return (sum[0]+sum[1])/2 + float64(joints)*w.joint + float64(len(w.r.Fittings))*w.fit + float64(len(kinds))*w.kind
}

func cents(v float64) float64 { return math.Round(v*100) / 100 }

// effort counts the joints that are soldered and the wires that are cut. Of ground and supplies one pin of the module is taken for each
// net: more pins are more wires' ends, but no more joints of controls.
func effort(r *Result, module int) (joints, wires int) {
	for _, n := range r.Nets {
		count, own := 0, 0
		for _, t := range n.Terms {
			if module >= 0 && t.Of == r.Boards[module].Name {
				own++
				continue
			}
			count++
		}
		if n.Kind == NetInner {
			joints += max(count-1, 0)
			continue
		}
		if own > 0 {
			count++
		}
		if count > 1 {
			joints += count
			wires += count - 1
		}
	}
	return joints, wires
}

// What a look at the inputs takes.
const (
	scanLine   = 0.04  // ms for a line of a matrix: long wires must settle. Practice of keyboard scanners.
	busBits    = 47    // bits on the I2C bus to read both ports of an expander: two addresses, a register, two bytes, with their answers
	busUsual   = 400.0 // kHz
	shiftClock = 1000  // kHz
)

// scan is the time to look at all inputs once, ms.
func (w *worker) scan() float64 {
	t := 0.0
	if m := w.mat; m != nil {
		driven := len(m.Rows)
		if !m.ToRow {
			driven = len(m.Columns)
		}
		t += float64(driven) * scanLine
	}
	for i := range w.r.Boards {
		d := w.r.Boards[i].Part.Board
		if d == nil {
			continue
		}
		switch d.Role {
		case roleExpander:
			clock := busUsual
			if d.Bus > 0 {
				clock = min(clock, d.Bus)
			}
			t += busBits / clock
		case roleShiftIn:
			_, n := linesOf(w.r.Boards[i].Part)
			t += float64(n) / shiftClock
		case roleAnalogIn:
			_, n := linesOf(w.r.Boards[i].Part)
			t += float64(n) * 0.02 // to settle and to read
		}
	}
	return math.Round(t*100) / 100
}

// ghostWords says in a few words what can show that is not pressed.
func (w *worker) ghostWords() string {
	held := ""
	if len(w.ladderOf) > 0 {
		held = "; a voltage ladder shows one at a time"
	}
	if w.mat == nil {
		if held != "" {
			return "none" + held
		}
		return "none"
	}
	w.r.Plan.Matrix = w.mat
	gs := Ghosts(w.r.Crossings())
	switch {
	case len(gs) == 0 && w.mat.Diodes:
		return "none: a diode to every contact" + held
	case len(gs) == 0:
		return "none: no rectangle of contacts" + held
	case gs[0].Presses == 0:
		return countWord(len(gs[0].Closed), "held contact") + " show another" + held
	}
	n := gs[0].Presses
	return countWord(n, "press") + map[bool]string{true: " shows", false: " show"}[n == 1] + " another" + held
}
