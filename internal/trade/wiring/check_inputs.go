package wiring

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
)

// solvedInput is what a contact does to its pin.
type solvedInput struct {
	low, high     float64 // V at the pin: closed, most; open, least
	amp, ampLeast float64 // mA through the contact
	pulled, path  bool    // something pulls the pin up; the contact leads to ground or to the line that is pulled low
	err           error
}

// readInputs judges how surely each contact is read.
func (c *checker) readInputs() {
	var thin thinContacts
	type sum struct {
		n         int
		low, high float64
		low0      float64
		high0     float64
	}
	sums := map[int]*sum{}
	var order []int
	for i, s := range c.r.Signals {
		if s.Kind != SigContact && s.Kind != SigPhase {
			continue
		}
		board, node := c.inputPin(i)
		if board < 0 {
			continue
		}
		in := c.solveInput(i, board, node)
		if in.err != nil {
			continue // an open circuit has no answer: what is open is told by pulled and path
		}
		c.r.Power.Inputs = append(c.r.Power.Inputs, Input{Signal: i, Low: in.low, High: in.high, Current: in.amp})
		low, high, _ := c.receiver(board)
		if c.judgeInput(i, board, in, low, high) {
			x := sums[board]
			if x == nil {
				x = &sum{high: math.Inf(1), low0: low, high0: high}
				sums[board], order = x, append(order, board)
			}
			x.n++
			x.low, x.high = max(x.low, in.low), min(x.high, in.high)
		}
		if s.Kind == SigContact || c.r.Devices[s.Device].Control.Part.Circuit.Powered == nil {
			thin.add(c, i, board, in)
		}
	}
	slices.Sort(order)
	for k := 0; k < len(order); k++ { // boards of a kind with the same margins are told together
		x, n, name := sums[order[k]], sums[order[k]].n, c.r.Boards[order[k]].Label
		boards := 1
		for k+1 < len(order) && c.alike(order[k], order[k+1]) {
			k++
			y := sums[order[k]]
			n, boards = n+y.n, boards+1
			x.low, x.high = max(x.low, y.low), min(x.high, y.high)
		}
		if boards > 1 {
			name = "the " + countWord(boards, c.kindOf(order[k]))
		}
		c.tell("%s of %s: closed, %s at most, and up to %s read low; open, %s at least, and %s and more read high.",
			plural(n, "contact"), name, volt(x.low), volt(x.low0), volt(x.high), volt(x.high0))
	}
	thin.say(c)
}

// alike reports whether two boards are of one kind on one supply.
func (c *checker) alike(a, b int) bool {
	return c.r.Boards[a].Part.ID == c.r.Boards[b].Part.ID && c.nodeVolts(a) == c.nodeVolts(b)
}

func (c *checker) kindOf(board int) string {
	switch c.r.Boards[board].Part.Board.Role {
	case roleExpander:
		return "expander"
	case roleShiftIn:
		return "shift-in board"
	}
	return "board"
}

// inputPin gives the board whose pin reads a contact, and the node of that pin; -1 when it waits, or shares a ladder.
func (c *checker) inputPin(signal int) (board, node int) {
	seat := c.r.Plan.Seats[signal]
	switch seat.Way {
	case Matrix:
		_, read := c.p.lines(seat)
		if read < 0 || seat.Row < 0 || seat.Column < 0 || c.r.Plan.Seats[seat.Row].Pin.Zero() || c.r.Plan.Seats[seat.Column].Pin.Zero() {
			return -1, 0
		}
		seat = c.r.Plan.Seats[read]
	case Waits, Ladder:
		return -1, 0
	}
	node, ok := c.p.at[seat.Pin]
	if !ok || node == 0 {
		return -1, 0
	}
	return c.boardNamed(seat.Pin.Of), node
}

// solveInput finds the voltages at the pin of a contact. Contacts that look alike are solved once.
func (c *checker) solveInput(signal, board, node int) solvedInput {
	keep := c.p.around(node)
	key := c.look(signal, board, node, keep)
	if in, ok := c.inputs[key]; ok {
		return in
	}
	in := c.solveInputNew(signal, node, keep)
	c.inputs[key] = in
	return in
}

// look describes the circuit round a contact so that two that are described alike behave alike.
func (c *checker) look(signal, board, node int, keep []bool) string {
	d := &c.r.Devices[c.r.Signals[signal].Device]
	seat := c.r.Plan.Seats[signal]
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s %g %s %s;", seat.Way, c.r.Boards[board].Part.ID, c.nodeVolts(board), d.Kind, d.Control.Part.Circuit.Rating.Class)
	if seat.Way == Matrix {
		pulled, read := c.p.lines(seat)
		n := 0
		for k, s := range c.r.Plan.Seats {
			if s.Way == Matrix && k != signal {
				if _, r := c.p.lines(s); r == read {
					n++
				}
			}
		}
		m := c.r.Plan.Matrix
		fmt.Fprintf(&b, "matrix %v %d %s %s", m.Diodes, n, c.r.Plan.Seats[pulled].Pin.Of, c.r.Plan.Seats[read].Pin.Of)
		return b.String()
	}
	for i, k := range keep {
		if !k {
			continue
		}
		e := &c.p.list[i]
		switch e.kind {
		case elPin, elSupply:
			fmt.Fprintf(&b, "%d;", e.kind)
		case elContact:
			if c.p.fixed[e.a] || c.p.fixed[e.b] {
				fmt.Fprintf(&b, "%d %g %v;", e.kind, e.ohm, e.control == d.Control && e.contact == c.w.wants[signal].contact)
			} else {
				fmt.Fprintf(&b, "%d %d %d;", i, e.a, e.b)
			}
		default:
			fmt.Fprintf(&b, "%d %d %d %d;", i, e.kind, e.a, e.b)
		}
	}
	return b.String()
}

func (c *checker) solveInputNew(signal, node int, keep []bool) solvedInput {
	s := &c.r.Signals[signal]
	control := c.r.Devices[s.Device].Control
	contact := c.w.wants[signal].contact
	in := solvedInput{}
	name := ""
	for i, k := range keep {
		if !k {
			continue
		}
		e := &c.p.list[i]
		switch e.kind {
		case elContact:
			if e.control == control && e.contact == contact {
				name, in.path = e.name, true
			}
		case elOut:
			if e.control == control && e.contact == contact {
				name, in.path, in.pulled = e.name, true, true
			}
		case elPull, elLamp:
			in.pulled = true
		case elResistor:
			in.pulled = in.pulled || c.p.fixed[e.a] && c.p.volts[e.a] > 0 || c.p.fixed[e.b] && c.p.volts[e.b] > 0
		case elPin:
			kind := SigContact
			if e.signal >= 0 {
				kind = c.r.Signals[e.signal].Kind
			}
			in.pulled = in.pulled || e.a == node && c.p.pulled(kind) && c.r.Boards[e.board].Part.Board.PullUp != nil
		}
	}
	if !in.pulled || !in.path {
		return in
	}
	closed, open := c.statesOf(signal)
	pin := c.p.nodes[node]
	solve := func(st State, corner Corner) (float64, float64) {
		st.Corner, st.even = corner, true
		a, err := c.p.network(keep, st, nil).Solve()
		if err != nil {
			in.err = err
			return 0, 0
		}
		return a.V(pin), math.Abs(a.I(name)) * 1000
	}
	in.low, _ = solve(closed, Strong)
	_, in.amp = solve(closed, Nominal)
	_, in.ampLeast = solve(closed, Weak)
	in.high, _ = solve(open, Weak)
	return in
}

// statesOf gives the states in which a contact is closed, and open. In a matrix its line is pulled low; while it is open, all other
// contacts that can be closed on the line that reads it are, so that all that leaks does.
func (c *checker) statesOf(signal int) (closed, open State) {
	seat := c.r.Plan.Seats[signal]
	set := func(signal int, shut bool, s *State) {
		d := &c.r.Devices[c.r.Signals[signal].Device]
		k := &d.Control.Part.Circuit
		x := k.Contacts[c.w.wants[signal].contact]
		if x.Phase != "" {
			if shut {
				s.Phase[d.Control.Name] = x.Phase
			}
			return
		}
		for _, at := range k.Positions {
			if slices.Contains(x.Closed, at) == shut {
				s.At[d.Control.Name] = at
				return
			}
		}
		if shut && len(x.Closed) > 0 {
			s.At[d.Control.Name] = x.Closed[0]
		}
	}
	closed, open = State{At: map[string]string{}, Phase: map[string]string{}}, State{At: map[string]string{}, Phase: map[string]string{}}
	if seat.Way == Matrix {
		pulled, read := c.p.lines(seat)
		closed.Low, open.Low = map[int]bool{pulled: true}, map[int]bool{pulled: true}
		if c.r.Plan.Matrix.Diodes {
			for k, s := range c.r.Plan.Seats {
				if s.Way != Matrix || k == signal {
					continue
				}
				if p, r := c.p.lines(s); r == read && p != pulled {
					set(k, true, &open)
				}
			}
		}
	}
	set(signal, true, &closed)
	set(signal, false, &open)
	return closed, open
}

// judgeInput says what is wrong with an input; true when nothing is.
func (c *checker) judgeInput(i, board int, in solvedInput, low, high float64) bool {
	s := &c.r.Signals[i]
	b := &c.r.Boards[board]
	ends := append(c.endOf(s.Device), c.boardEnd(board))
	pin := Terminal{}
	if seat := c.r.Plan.Seats[i]; seat.Way == Matrix {
		_, read := c.p.lines(seat)
		pin = c.r.Plan.Seats[read].Pin
	} else {
		pin = seat.Pin
	}
	switch {
	case !in.pulled:
		c.w.found(ruleVoltFloating, finding.Finding{
			Head: "Nothing pulls " + c.w.sayPin(pin) + " up while " + s.Label + " is open.", Body: "It would read chance. Put a resistor of 10 kΩ from the lead to " + plain(c.nodeVolts(board)) + " V, or take a board with pull-ups.",
			Ends: ends, Measure: &finding.Measure{Have: 0, Want: high, Unit: "V", Sense: finding.AtLeast}, Source: b.Part.Source("board.pull-up"),
		})
		return false
	case !in.path:
		c.w.found(ruleVoltFloating, finding.Finding{
			Head: "The other lug of " + s.Label + ", " + s.Return + ", leads nowhere.", Body: "Closed or open, " + c.w.sayPin(pin) + " would read high. Join it to ground.",
			Ends: ends, Measure: &finding.Measure{Have: c.nodeVolts(board), Want: low, Unit: "V", Sense: finding.AtMost},
		})
		return false
	}
	ok := true
	if in.low > low {
		f := finding.Finding{
			Head: s.Label + " closed leaves " + volt(in.low) + " at " + c.w.sayPin(pin) + "; up to " + volt(low) + " read low for sure.",
			Body: "Something in the way takes too much: a diode, a resistance, a voltage that comes from elsewhere.", Ends: ends,
			Measure: &finding.Measure{Have: in.low, Want: low, Unit: "V", Sense: finding.AtMost}, Source: b.Part.Source("board.low"),
		}
		if m := c.r.Plan.Matrix; m != nil && m.Diodes && c.r.Plan.Seats[i].Way == Matrix {
			f.Body = "Its diode takes most of that. Take Schottky diodes, which take half as much."
		}
		c.w.found(ruleVoltLow, f)
		ok = false
	}
	if in.high < high {
		c.w.found(ruleVoltLow, finding.Finding{
			Head: s.Label + " open leaves " + volt(in.high) + " at " + c.w.sayPin(pin) + "; " + volt(high) + " and more read high for sure.",
			Body: "The pull-up inside is weak and other pins on the lead leak. Put a resistor of 10 kΩ from the lead to " + plain(c.nodeVolts(board)) + " V.", Ends: ends,
			Measure: &finding.Measure{Have: in.high, Want: high, Unit: "V", Sense: finding.AtLeast}, Source: b.Part.Source("board.high"),
		})
		ok = false
	}
	return ok
}
