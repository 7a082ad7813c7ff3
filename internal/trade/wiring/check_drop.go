package wiring

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
)

// Loads is the current that each terminal passes to ground, or takes from a supply, mA: the most of it, with everything lit and pressed
// that passes there. Terminals that pass nothing, boards' own pins for ground among them, are left out.
func (r *Result) Loads() map[Terminal]float64 {
	out := map[Terminal]float64{}
	volts := map[Terminal]float64{}
	kind := map[Terminal]NetKind{}
	for _, n := range r.Nets {
		for _, t := range n.Terms {
			kind[t], volts[t] = n.Kind, n.Volts
		}
	}
	joined := func(t Terminal) bool {
		k := kind[t]
		return k == NetGround || k == NetAGround || k == NetSupply
	}
	put := func(t Terminal, amp float64) {
		if joined(t) && amp > 0 {
			out[t] += amp
		}
	}
	pin := map[string]float64{} // of each further board: what its pins give
	for _, l := range r.Power.Lamps {
		d := &r.Devices[l.Device]
		at := d.Control.Part.Circuit.Lamps[d.Index]
		put(Terminal{d.Control.Name, at.Minus}, l.Most)
		put(Terminal{d.Control.Name, at.Plus}, l.Most)
		if l.Fitting != "" {
			put(Terminal{l.Fitting, "1"}, l.Most)
			put(Terminal{l.Fitting, "2"}, l.Most)
		}
		for i, s := range r.Signals {
			if s.Kind == SigLamp && s.Device == l.Device {
				pin[r.Plan.Seats[i].Pin.Of] += l.Most
			}
		}
	}
	for _, in := range r.Power.Inputs {
		s := &r.Signals[in.Signal]
		if d := s.Device; d >= 0 && r.Devices[d].Control != nil && r.Devices[d].Control.Part.Circuit.Powered == nil {
			put(Terminal{r.Devices[d].Control.Name, s.Return}, in.Current)
			pin[r.Plan.Seats[in.Signal].Pin.Of] += in.Current
		}
	}
	seen := map[string]bool{}
	for i := range r.Devices {
		d := &r.Devices[i]
		if d.Control == nil {
			continue
		}
		if d.Kind == DevTrack {
			t := d.Control.Part.Circuit.Tracks[d.Index]
			low, high := Terminal{d.Control.Name, t.Ends[0]}, Terminal{d.Control.Name, t.Ends[1]}
			if t.Ohms > 0 {
				amp := volts[high] / (t.Ohms * (1 - orTol(t.Tol)/100)) * 1000
				put(low, amp)
				put(high, amp)
			}
		}
		if pw := d.Control.Part.Circuit.Powered; pw != nil && !seen[d.Control.Name] {
			seen[d.Control.Name] = true
			put(Terminal{d.Control.Name, pw.Plus}, pw.Current)
			put(Terminal{d.Control.Name, pw.Minus}, pw.Current)
		}
	}
	for i := range r.Boards {
		b := &r.Boards[i]
		if b.Part.Board == nil || b.Part.Board.Role == roleModule {
			continue
		}
		done := map[NetKind]bool{} // one pin of each kind carries it
		for _, p := range b.Part.Board.Pins {
			if t := (Terminal{b.Name, p.Lug}); joined(t) && !done[kind[t]] && p.Bus == "" {
				done[kind[t]] = true
				put(t, b.Part.Board.Own+pin[b.Name])
			}
		}
	}
	return out
}

// orTol is the tolerance of a track, per cent.
func orTol(tol float64) float64 {
	if tol <= 0 || tol >= 100 {
		return 20
	}
	return tol
}

// Run is a wire that goes from lug to lug: a ground or supply chain, as package harness lays it.
type Run struct {
	Name   string // "ground 1"
	Net    int    // index into Nets
	Lugs   []Terminal
	Ohms   []float64 // of the wire from the pin to the first lug, from it to the second ...; of a ring one more, back to a pin
	Closed bool      // it comes back to a pin
	From   []int     // of a run that branches: the lug before each, as an index into Lugs that is smaller than its own, -1 = the pin; nil = the one before
}

// solve finds the drop at each lug, V.
func (run *Run) solve(amps []float64) ([]float64, error) {
	switch {
	case run.From != nil:
		return run.branches(amps)
	case run.Closed:
		a, err := electric.Ring(run.Ohms, amps)
		return a.Volt, err
	}
	a, err := electric.Chain(run.Ohms, amps)
	return a.Volt, err
}

// branches finds the drops of a run that branches: a piece of wire carries what is taken at its end and beyond.
func (run *Run) branches(amps []float64) ([]float64, error) {
	n := len(run.Lugs)
	if len(run.Ohms) != n || len(run.From) != n {
		return nil, fmt.Errorf("%d lugs have %d wires from %d places", n, len(run.Ohms), len(run.From))
	}
	flow := slices.Clone(amps)
	for i := n - 1; i >= 0; i-- {
		switch from := run.From[i]; {
		case from >= i || from < -1:
			return nil, fmt.Errorf("the wire to lug %d comes from lug %d, which is not before it", i+1, from+1)
		case !(run.Ohms[i] >= 0) || math.IsInf(run.Ohms[i], 0):
			return nil, fmt.Errorf("the wire to lug %d has no resistance that can be: %g ohm", i+1, run.Ohms[i])
		case from >= 0:
			flow[from] += flow[i]
		}
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = flow[i] * run.Ohms[i]
		if run.From[i] >= 0 {
			out[i] += out[run.From[i]]
		}
	}
	return out, nil
}

// Fall is what flows in a run and what that does.
type Fall struct {
	Load float64   // mA at its beginning, most
	Drop []float64 // mV at each lug against the pin
	Most float64   // the largest of them, mV
	At   int       // index into Lugs: where; -1 = nowhere
	LSB  float64   // by how many steps the reading of a pot on the run moves between everything dark and everything lit; 0 = no pot on it
	Of   int       // device of that pot; -1 = none
	Cut  int       // how many controls lose the net when the worst joint breaks: see Run.Broken
}

// Falls works out the voltage that is lost along a run: every piece of wire carries all that is taken behind it. A ring is fed from both
// sides. loads is what Loads gives. Reckoned with the most that flows, it errs to the safe side. A run whose wires are not known gives an
// error.
func (r *Result) Falls(run Run, loads map[Terminal]float64) (Fall, error) {
	f := Fall{At: -1, Of: -1}
	amps := make([]float64, len(run.Lugs))
	for i, t := range run.Lugs {
		amps[i] = loads[t] / 1000
		f.Load += loads[t]
	}
	_, f.Cut = run.Broken(0)
	drops, err := run.solve(amps)
	if err != nil {
		return f, fmt.Errorf("%s: %w", run.Name, err)
	}
	for i, v := range drops {
		f.Drop = append(f.Drop, v*1000)
		if v*1000 > f.Most {
			f.Most, f.At = v*1000, i
		}
	}
	r.readings(run, &f, loads)
	return f, nil
}

// readings finds the pot on a run whose reading moves most. What its own track takes is always there and does not count.
func (r *Result) readings(run Run, f *Fall, loads map[Terminal]float64) {
	bits, ref := r.resolution()
	if bits == 0 || ref <= 0 {
		return
	}
	steady := map[Terminal]bool{}
	pot := map[Terminal]int{}
	for i := range r.Devices {
		d := &r.Devices[i]
		if d.Kind != DevTrack || d.Control == nil {
			continue
		}
		for _, lug := range d.Control.Part.Circuit.Tracks[d.Index].Ends {
			t := Terminal{d.Control.Name, lug}
			steady[t], pot[t] = true, i
		}
	}
	amps := make([]float64, len(run.Lugs))
	for i, t := range run.Lugs {
		if !steady[t] {
			amps[i] = loads[t] / 1000
		}
	}
	drops, err := run.solve(amps)
	if err != nil {
		return
	}
	for i, t := range run.Lugs {
		d, ok := pot[t]
		if !ok {
			continue
		}
		if lsb := drops[i] / ref * math.Pow(2, float64(bits)); lsb > f.LSB {
			f.LSB, f.Of = lsb, d
		}
	}
}

// resolution is that of the module's analog inputs, and their reference, V.
func (r *Result) resolution() (bits int, ref float64) {
	if len(r.Boards) == 0 || r.Boards[0].Part.Board == nil {
		return 0, 0
	}
	return r.Boards[0].Part.Board.AnalogBits, r.Boards[0].Part.Board.Volts
}

// FallFindings says what a fall spoils: readings that move with the lamps. limits are the person's.
func (r *Result) FallFindings(run Run, f Fall, limits finding.Limits) []finding.Finding {
	bits, ref := r.resolution()
	share := limits.Value(limReading)
	most := share * math.Pow(2, float64(bits))
	if f.Of < 0 || f.LSB <= most || bits == 0 {
		return nil
	}
	d := &r.Devices[f.Of]
	ends := []finding.End{d.Control.Origin.End()}
	for i := range r.Devices { // what moves it
		if x := &r.Devices[i]; x.Kind == DevLamp || x.Kind == DevPowered {
			if slices.ContainsFunc(run.Lugs, func(t Terminal) bool { return t.Of == x.Control.Name }) {
				ends = append(ends, x.Control.Origin.End())
				break
			}
		}
	}
	mv := f.LSB / math.Pow(2, float64(bits)) * ref * 1000
	return []finding.Finding{{
		Rule: ruleAnalogDrop.Name, Severity: ruleAnalogDrop.Severity,
		Head: "Up to " + amount(mv) + " mV are lost along " + run.Name + " when everything is lit: the reading of " + d.Label + " moves by " + amount(f.LSB) + " of " + amount(math.Pow(2, float64(bits))) + " steps.",
		Body: "Give the pots a chain of their own from a pin, or thicker wire, or close the chain to a ring.", Ends: ends,
		Measure: &finding.Measure{Have: f.LSB, Want: most, Unit: "", Sense: finding.AtMost}, Source: limits.Source(limReading),
		Fixes: closeFix(run),
	}}
}

// closeFix closes the chains where they are open.
func closeFix(run Run) []finding.Fix {
	if run.Closed {
		return nil
	}
	return []finding.Fix{{Say: "Close the chains to rings", Short: "chains: closed", Edits: []finding.Edit{{Op: finding.Set, Path: "wiring.chains", Value: "closed"}}}}
}

// Broken says what a broken joint does to a run: how many controls lose the net when the joint at lug k, counted from 0, breaks, and how
// many at the worst place. A ring loses at most the one whose own joint it is; a chain loses all that lies behind, a run that branches all
// that lies beyond.
func (run *Run) Broken(k int) (here, worst int) {
	if len(run.Lugs) == 0 || k < 0 || k >= len(run.Lugs) {
		return 0, 0
	}
	if run.Closed {
		return 1, 1
	}
	for i := range run.Lugs {
		var of []string
		gone := make([]bool, len(run.Lugs))
		gone[i] = true
		for j := i; j < len(run.Lugs); j++ {
			from := j - 1
			if run.From != nil && j < len(run.From) {
				from = run.From[j]
			}
			if j > i && from >= 0 && from < j {
				gone[j] = gone[from]
			}
			if gone[j] && !slices.Contains(of, run.Lugs[j].Of) {
				of = append(of, run.Lugs[j].Of)
			}
		}
		worst = max(worst, len(of))
		if i == k {
			here = len(of)
		}
	}
	return here, worst
}
