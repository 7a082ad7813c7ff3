package wiring

import (
	"cmp"
	"math"
	"slices"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
	"knobwright/internal/solve/circuit"
)

// rung is a state of a voltage ladder and the voltages that it may give.
type rung struct {
	say       string
	low, high float64 // V
}

// ladderError is the error of an analog input of 10 bits, LSB; finer ones have as much in volts.
const ladderError = 2

// ladders looks whether the states of each voltage ladder can be told apart, with every resistor anywhere within its tolerance.
func (c *checker) ladders() {
	for i, s := range c.r.Signals {
		seat := c.r.Plan.Seats[i]
		if s.Kind != SigLadder || seat.Way == Waits || seat.Pin.Zero() {
			continue
		}
		node, ok := c.p.at[seat.Pin]
		if !ok || c.p.fixed[node] {
			continue
		}
		rungs, devices, tol := c.rungs(i, node)
		if len(rungs) > 1 {
			c.judgeLadder(&c.r.Signals[i], rungs, devices, tol)
		}
	}
}

// rungs solves the states of a ladder: nothing closed, and each contact by itself.
func (c *checker) rungs(ladder, node int) (out []rung, devices []int, tol float64) {
	keep := c.p.around(node)
	var tols []circuit.Tolerance
	for k, in := range keep {
		if e := &c.p.list[k]; in && e.kind == elResistor {
			tol = max(tol, e.tol)
			tols = append(tols, circuit.PlusMinus(e.name, e.ohm, e.tol))
		}
	}
	add := func(say string, s State) {
		x, err := circuit.Corners(c.p.network(keep, s, nil), tols, func(a *circuit.Solution) []float64 { return []float64{a.V(c.p.nodes[node])} })
		if err == nil && len(x) == 1 {
			out = append(out, rung{say, x[0].Min, x[0].Max})
		}
	}
	idle, rests := State{At: map[string]string{}}, true
	for i, s := range c.r.Signals {
		if c.r.Plan.Seats[i].Way != Ladder || c.r.Plan.Seats[i].Pin != c.r.Plan.Seats[ladder].Pin || s.Kind == SigLadder || s.Device < 0 {
			continue
		}
		d := &c.r.Devices[s.Device]
		x := d.Control.Part.Circuit.Contacts[c.w.wants[i].contact]
		if len(x.Closed) == 0 {
			continue
		}
		if pos := d.Control.Part.Circuit.Positions; len(pos) > 0 && slices.Contains(x.Closed, pos[0]) {
			rests = false // one is always closed
		}
		add(s.Label, State{At: map[string]string{d.Control.Name: x.Closed[0]}})
		if !slices.Contains(devices, s.Device) {
			devices = append(devices, s.Device)
		}
	}
	if rests {
		add("nothing pressed", idle)
	}
	slices.SortStableFunc(out, func(a, b rung) int { return cmp.Compare(a.low+a.high, b.low+b.high) })
	return out, devices, tol
}

func (c *checker) judgeLadder(s *Signal, rungs []rung, devices []int, tol float64) {
	m := c.w.moduleBoard()
	if m.AnalogBits <= 0 || m.Volts <= 0 {
		return
	}
	steps := math.Pow(2, float64(m.AnalogBits))
	gap, at := math.Inf(1), 0
	for i := 1; i < len(rungs); i++ {
		if g := (rungs[i].low - rungs[i-1].high) / m.Volts * steps; g < gap {
			gap, at = g, i
		}
	}
	safe := electric.SafeGap * ladderError * steps / 1024
	c.tell("%s: its %d readings are %s of %s steps apart at least, with resistors anywhere within %s %%.", s.Label, len(rungs), amount(gap), amount(steps), plain(tol))
	if gap >= safe {
		return
	}
	a, b := rungs[at-1].say, rungs[at].say
	f := finding.Finding{
		Head: finding.Capital(a) + " and " + b + " read too much alike on " + s.Label + ": " + amount(gap) + " steps apart in the worst case.",
		Body: "Take resistors of 1 %, or give some of them another way.", Ends: append(c.ends(devices), c.w.moduleEnd()),
		Measure: &finding.Measure{Have: gap, Want: safe, Sense: finding.AtLeast}, Source: electric.LadderSource,
	}
	if gap <= 0 {
		f.Severity = finding.Stop
		f.Head = finding.Capital(a) + " and " + b + " can read alike on " + s.Label + ": with resistors of " + plain(tol) + " % their readings overlap by " + amount(-gap) + " steps."
	}
	c.w.found(ruleAnalogLadder, f)
}
