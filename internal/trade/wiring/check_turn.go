package wiring

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

// limTurns is how fast an encoder is turned.
var limTurns = finding.Limit{
	Name: "encoder.turns", Default: 3, Unit: "", Means: "turns a second of an encoder at the quickest flick of the wrist",
	Source: trust.Source{Text: "a wrist turns a knob half round in a sixth of a second", Provenance: trust.Practice, Confidence: trust.Low},
}

// limLook is how often encoders on the module's own pins are looked at.
var limLook = finding.Limit{
	Name: "encoder.look", Default: 0.25, Unit: "", Means: "time between two looks at the encoders on the module's own pins, milliseconds",
	Source: trust.Source{Text: "what the program of the module does between its ticks", Provenance: trust.Practice, Confidence: trust.Medium},
}

// limLookFar is how often encoders behind another board or in a matrix are looked at.
var limLookFar = finding.Limit{
	Name: "encoder.look-far", Default: 2, Unit: "", Means: "time between two looks at encoders behind an expander or in a matrix, milliseconds",
	Source: trust.Source{Text: "16 lines over a bus of 400 kHz, a few boards in turn", Provenance: trust.Derived, Confidence: trust.Low},
}

// limReading is how far a reading may be off.
var limReading = finding.Limit{
	Name: "analog.error", Default: 0.01, Unit: "x", Means: "error of a reading that is still let pass, as a share of the whole way",
	Source: trust.Source{Text: "a hundredth of the way is what people set a knob to", Provenance: trust.Practice, Confidence: trust.Low},
}

// encoders looks whether every step of each encoder is seen.
func (c *checker) encoders() {
	turns := c.w.p.Limits.Value(limTurns)
	n, edges, looks := 0, 0.0, math.Inf(1)
	for d := range c.r.Devices {
		v := &c.r.Devices[d]
		if v.Kind != DevEncoder || v.Control.Part.Pulses <= 0 || turns <= 0 {
			continue
		}
		every := c.w.p.Limits.Value(limLook)
		waits := false
		for i, s := range c.r.Signals {
			if s.Device != d || s.Kind != SigPhase {
				continue
			}
			seat := c.r.Plan.Seats[i]
			waits = waits || seat.Way == Waits
			if seat.Way != Direct || seat.Pin.Of != c.r.Boards[c.w.module].Name {
				every = c.w.p.Limits.Value(limLookFar)
			}
		}
		if waits || !(every > 0) {
			continue
		}
		clicks := float64(v.Control.Part.Detents)
		if clicks <= 0 {
			clicks = float64(v.Control.Part.Pulses)
		}
		a, err := electric.Encoder{Clicks: clicks * turns, Edges: 4 * float64(v.Control.Part.Pulses) / clicks, Seconds: every / 1000}.Read()
		if err != nil {
			continue
		}
		n++
		edges, looks = max(edges, a.Edges), min(looks, a.Looks)
		if a.Verdict != electric.EncoderSkips {
			continue
		}
		ends := append(c.endOf(d), c.w.moduleEnd())
		c.w.found(ruleEncoderFast, finding.Finding{
			Head: v.Label + " turned quickly changes every " + amount(a.Shortest*1000) + " ms, and it is looked at every " + amount(every) + " ms: steps are lost.",
			Body: amount(turns) + " turns a second give " + amount(a.Edges) + " changes. Give it two pins of the module itself, or a wheel with fewer pulses.",
			Ends: ends, Measure: &finding.Measure{Have: every, Want: a.Shortest * 1000, Unit: "ms", Sense: finding.AtMost}, Source: electric.UnevenSource,
		})
	}
	if n > 0 {
		c.tell("%s: up to %s changes a second at %s turns a second; the shortest is looked at %s times or more.", plural(n, "encoder"), amount(edges), amount(turns), amount(math.Floor(looks*10)/10))
	}
}

// tracks looks at pots: whether both ends are wired, what they take, how well they are read.
func (c *checker) tracks() {
	m := c.w.moduleBoard()
	byNode := map[int]*element{}
	for i := range c.p.list {
		if e := &c.p.list[i]; e.kind == elTrack {
			byNode[e.device] = e
		}
	}
	share := c.w.p.Limits.Value(limReading)
	var logs, rough []int
	n, worst, amp, source := 0, 0.0, 0.0, 0.0
	for i, s := range c.r.Signals {
		if s.Kind != SigWiper || s.Device < 0 || c.r.Plan.Seats[i].Way == Waits {
			continue
		}
		d := &c.r.Devices[s.Device]
		if d.Kind != DevTrack {
			continue
		}
		t := d.Control.Part.Circuit.Tracks[d.Index]
		e := byNode[s.Device]
		if e == nil || !c.p.fixed[e.a] || !c.p.fixed[e.b] || e.a == e.b {
			c.w.found(ruleAnalogEnds, finding.Finding{
				Head: "The track of " + d.Label + " is not wired at both ends.", Body: "Its wiper then gives one voltage at every place. Join " + t.Ends[0] + " to ground and " + t.Ends[1] + " to the supply.",
				Ends: append(c.endOf(s.Device), c.w.moduleEnd()), Measure: &finding.Measure{Have: 1, Want: 2, Sense: finding.AtLeast},
			})
			continue
		}
		if strings.HasPrefix(t.Taper, "log") || t.Taper == "antilog" {
			logs = append(logs, s.Device)
		}
		ref := m.Volts
		ohm := 0.0
		if c.r.Plan.Seats[i].Way == AnalogIn {
			if k := c.boardNamed(c.r.Plan.Seats[i].Pin.Of); k >= 0 {
				ohm = c.r.Boards[k].Part.Board.OutLow
			}
		}
		a, err := electric.Pot{Ohm: t.Ohms, Tol: t.Tol}.On(electric.ADC{Bits: max(m.AnalogBits, 1), Volt: ref, Leak: m.Leak * 1e-6, Ohm: ohm})
		if err != nil {
			continue
		}
		n++
		bits := math.Pow(2, float64(m.AnalogBits))
		off := a.Error / bits
		worst, source, amp = max(worst, off), max(source, a.Source+ohm), amp+c.p.volts[e.a]/t.Ohms*1000
		if c.p.volts[e.a] < ref*(1-2*share) {
			c.w.found(ruleAnalogRange, finding.Finding{
				Head: d.Label + " is fed with " + volt(c.p.volts[e.a]) + " and read against " + volt(ref) + ": it never reads its whole way.",
				Ends: append(c.endOf(s.Device), c.w.moduleEnd()), Measure: &finding.Measure{Have: c.p.volts[e.a], Want: ref, Unit: "V", Sense: finding.AtLeast},
			})
		}
		if off > share {
			rough = append(rough, s.Device)
		}
	}
	c.rough(rough, share)
	if len(logs) > 0 {
		c.w.found(ruleAnalogTaper, finding.Finding{
			Head: several(c.labels(logs)) + map[bool]string{true: " has", false: " have"}[len(logs) == 1] + " a logarithmic track: the readings crowd at one end.",
			Body: "The program can straighten them, but the crowded end stays rough. Tracks marked B are straight on most pots of today.",
			Ends: append(c.ends(logs), c.w.moduleEnd()),
		})
	}
	if n > 0 {
		leak := "which its leak turns into " + amount(worst*100) + " % of the way at most"
		if worst == 0 {
			leak = "and how much the pin leaks is not known"
		}
		c.tell("%s: %s mA in all; the pin sees %s at most, %s.", plural(n, "track"), amount(amp), electric.FormatOhms(roundOhm(source)), leak)
	}
}

// rough says which tracks have so much resistance that the leak of the pin moves the reading.
func (c *checker) rough(devices []int, share float64) {
	if len(devices) == 0 {
		return
	}
	m := c.w.moduleBoard()
	worst := 0.0
	for _, d := range devices {
		t := c.r.Devices[d].Control.Part.Circuit.Tracks[c.r.Devices[d].Index]
		worst = max(worst, t.Ohms*(1+orTol(t.Tol)/100)/4*m.Leak*1e-6/m.Volts)
	}
	c.w.found(ruleAnalogSource, finding.Finding{
		Head: several(c.labels(devices)) + map[bool]string{true: " has", false: " have"}[len(devices) == 1] + " so large a track that the leak of the pin can move the reading by " + amount(worst*100) + " % of the way.",
		Body: "A track of 10 kΩ suits. A capacitor of 100 nF from the wiper to ground helps against hum, not against the leak.", Ends: append(c.ends(devices), c.w.moduleEnd()),
		Measure: &finding.Measure{Have: worst * 100, Want: share * 100, Unit: "%", Sense: finding.AtMost}, Source: c.r.Boards[c.w.module].Part.Source("board.leak"),
	})
}

// ghosts looks at contacts that show although they are open. Where the plan tells of one, it adds the voltage that the pin really sees.
func (c *checker) ghosts() {
	m := c.r.Plan.Matrix
	if m == nil {
		return
	}
	gs := Ghosts(c.r.Crossings())
	if len(gs) == 0 {
		if m.Diodes {
			c.tell("No contacts of the matrix, however many are closed, show another: each has its diode.")
		}
		return
	}
	v, low, ok := c.ghostVolts(gs[0])
	if !ok {
		return
	}
	for i := range c.r.Findings {
		f := &c.r.Findings[i]
		if f.Rule == ruleMatrixHeld.Name && f.Measure == nil {
			f.Measure = &finding.Measure{Have: v, Want: low, Unit: "V", Sense: finding.AtLeast}
			f.Why = "The line that should stay high reads " + volt(v) + " then; up to " + volt(low) + " count as low."
		}
	}
	c.tell("%s can show falsely; the line reads %s then, and up to %s count as low.", plural(len(gs), "contact"), volt(v), volt(low))
}

// ghostVolts is the voltage on the line that reads a ghost, with the line of the open contact pulled low and all that it takes closed,
// and the voltage up to which that counts as low, V.
func (c *checker) ghostVolts(g Ghost) (v, low float64, ok bool) {
	board, node := c.inputPin(g.Shows)
	if board < 0 {
		return 0, 0, false
	}
	pulled, _ := c.p.lines(c.r.Plan.Seats[g.Shows])
	s := State{At: map[string]string{}, Phase: map[string]string{}, Low: map[int]bool{pulled: true}}
	for _, k := range g.Closed {
		d := &c.r.Devices[c.r.Signals[k].Device]
		x := d.Control.Part.Circuit.Contacts[c.w.wants[k].contact]
		if len(x.Closed) == 0 {
			return 0, 0, false
		}
		if was, twice := s.At[d.Control.Name]; twice && !slices.Contains(x.Closed, was) {
			return 0, 0, false // one knob cannot stand in two places
		}
		s.At[d.Control.Name] = x.Closed[0]
	}
	a, err := c.p.network(c.p.around(node), s, nil).Solve()
	if err != nil {
		return 0, 0, false
	}
	low, _, _ = c.receiver(board)
	return a.V(c.p.nodes[node]), low, true
}
