package wiring

import (
	"slices"

	"knobwright/internal/catalog"
)

// shape is one way to make the pins suffice: what is added, and what shares.
type shape struct {
	expanders, shifts, muxes int   // boards added to those of the file
	rows, columns            int   // of the matrix; 0 = none
	share                    int   // contacts that cross in it at least
	ladders                  []int // devices on a voltage ladder each
	more                     int   // how many of these the file does not ask for
}

// tally is what the counts of a panel come to.
type tally struct {
	contacts  int                // that may take any way
	crossable int                // of these
	bySize    [mostLines + 1]int // crossable contacts by how many share their common, and all that are fewer
	mustCross int                // contacts that the person put into the matrix
	mustExp   int                // onto expanders
	mustShift int                // onto shift-in boards
	mustPin   int                // contacts that take a pin of the module whatever is done
	lamps     int                // and whatever else an expander can drive
	fixed     int                // phases, data lines and the like: pins of the module
	wipers    int
	ladders   int // analog pins of ladders of buttons
	display   bool

	pins, analog int // of the module, that the plan may take
	expLines     [2]int
	shiftLines   int
	muxLines     int
	exps, shifts int
	muxes        int
	muxSelects   int
	lost         int // wipers that no pin is left for whatever is done
	buses        int
	perBus       int

	kit      [4]int   // lines of the boards that may be added: inputs and all of an expander, of a shift-in board, of a multiplexer
	onDevice [][2]int // contacts of each device that are free to go any way, and those of them that may cross
}

// count makes the tally.
func (w *worker) count() tally {
	var t tally
	taken := map[Terminal]bool{}
	for i, s := range w.r.Signals {
		x := &w.wants[i]
		if !s.Asked.Zero() {
			taken[s.Asked] = true
			continue
		}
		switch s.Kind {
		case SigContact:
			switch x.via {
			case Matrix:
				t.mustCross++
			case Expander:
				t.mustExp++
			case ShiftIn:
				t.mustShift++
			case Direct:
				t.mustPin++
			case Ladder:
			default:
				t.contacts++
				if x.matrix {
					t.crossable++
				}
			}
		case SigWiper:
			t.wipers++
		case SigLamp, SigDrive:
			if x.via == Direct {
				t.mustPin++
			} else {
				t.lamps++
			}
		default:
			t.fixed++
		}
	}
	for _, g := range w.groups() {
		for k := len(g.members); k <= mostLines; k++ {
			t.bySize[k] += len(g.members)
		}
	}
	n := 0
	for i, s := range w.r.Signals {
		if w.wants[i].via == Ladder && s.Kind == SigContact && !w.turns(s.Device) {
			n++
		}
	}
	t.ladders = (n + len(ladderFractions) - 1) / len(ladderFractions)
	for i := range w.lines {
		l := &w.lines[i]
		if taken[l.term] || w.free[l.term] || l.pin.Avoid > 1 {
			continue
		}
		switch w.wayOf(l) {
		case Direct:
			t.pins++
			if slices.Contains(l.pin.Can, "analog") {
				t.analog++
			}
		case Expander:
			t.expLines[1]++
			if l.pin.Avoid == 0 {
				t.expLines[0]++
			}
		case ShiftIn:
			t.shiftLines++
		case AnalogIn:
			t.muxLines++
		}
	}
	for i := range w.r.Boards {
		if d := w.r.Boards[i].Part.Board; d != nil {
			switch d.Role {
			case roleExpander:
				t.exps++
			case roleShiftIn:
				t.shifts++
			case roleAnalogIn:
				t.muxes++
				t.muxSelects = max(t.muxSelects, selects(d))
			}
		}
	}
	if w.kit[roleAnalogIn].Board == nil {
		t.lost = max(0, t.wipers-t.muxLines-max(0, t.analog-t.muxes-t.ladders))
	}
	t.kit[0], t.kit[1] = linesOf(w.kit[roleExpander])
	_, t.kit[2] = linesOf(w.kit[roleShiftIn])
	_, t.kit[3] = linesOf(w.kit[roleAnalogIn])
	t.onDevice = make([][2]int, len(w.r.Devices))
	for i, s := range w.r.Signals {
		if x := &w.wants[i]; s.Device >= 0 && s.Kind == SigContact && x.via == "" && s.Asked.Zero() {
			t.onDevice[s.Device][0]++
			if x.matrix {
				t.onDevice[s.Device][1]++
			}
		}
	}
	t.display = len(w.bus) > 0
	t.buses = len(w.buses())
	t.perBus = 8
	if d := w.kit[roleExpander].Board; d != nil {
		t.perBus = max(d.Addresses, 1)
	}
	if d := w.kit[roleAnalogIn].Board; d != nil {
		t.muxSelects = max(t.muxSelects, selects(d))
	}
	return t
}

func (w *worker) turns(d int) bool { return d >= 0 && slices.Contains(w.turners, d) }

// selects counts the select lines of an analog multiplexer.
func selects(d *catalog.Board) int {
	n := 0
	for _, p := range d.Pins {
		if p.Bus == "select" {
			n++
		}
	}
	return n
}

// linesOf counts the lines of a board: those that may be inputs, and all.
func linesOf(p catalog.Part) (inputs, all int) {
	if p.Board == nil {
		return 0, 0
	}
	for _, x := range p.Board.Pins {
		if x.Kind == catalog.PinIO && x.Bus == "" && x.Avoid < 2 {
			all++
			if x.Avoid == 0 {
				inputs++
			}
		}
	}
	return inputs, all
}

// fits reports whether the counts allow a shape, and how many contacts must cross in its matrix for it.
func (w *worker) fits(t *tally, s *shape) bool {
	in, all, shiftLines, muxLines := t.kit[0], t.kit[1], t.kit[2], t.kit[3]
	expIn, expAll := t.expLines[0]+s.expanders*in, t.expLines[1]+s.expanders*all
	exps := t.exps + s.expanders
	buses := 0
	if exps > 0 {
		buses = (exps + t.perBus - 1) / t.perBus
	} else if t.display {
		buses = 1
	}
	if buses > t.buses {
		return false
	}
	pins := t.pins - t.fixed - 2*buses - t.mustPin
	if t.shifts+s.shifts > 0 {
		pins -= 3
	}
	muxes := t.muxes + s.muxes
	analog := t.analog - muxes - t.ladders - len(s.ladders)
	if muxes > 0 {
		pins -= t.muxSelects
	}
	pins -= muxes + t.ladders + len(s.ladders)
	direct := max(0, t.wipers-(t.muxLines+s.muxes*muxLines))
	if direct > analog {
		if muxLines > 0 {
			return false
		}
		if len(s.ladders) > 0 {
			return false
		}
		direct = max(analog, 0) // nothing helps: the rest is planned all the same
	}
	if analog < 0 {
		return false
	}
	pins -= direct + s.rows + s.columns
	if s.rows < w.least[0] || s.columns < w.least[1] {
		return false
	}
	contacts, crossable := t.contacts, 0
	if long := s.along(w); long > 0 {
		crossable = t.bySize[min(long, mostLines)] - t.mustCross
	}
	for _, d := range s.ladders {
		n := t.onDevice[d]
		contacts -= n[0]
		if len(w.r.Devices[d].Contact) <= s.along(w) {
			crossable -= n[1]
		}
	}
	shiftRoom := t.shiftLines + s.shifts*shiftLines - t.mustShift
	expIn, expAll = expIn-t.mustExp, expAll-t.mustExp
	if pins < 0 || shiftRoom < 0 || expIn < 0 || t.mustCross > s.rows*s.columns {
		return false
	}
	contacts = max(0, contacts-shiftRoom)
	// Lamps go to lines that are no good as inputs first, then to whatever is left.
	lamps := max(0, t.lamps-(expAll-expIn))
	room := pins + expIn - lamps
	if room < 0 {
		return false
	}
	cross := max(0, contacts-room)
	if cross > crossable || cross+t.mustCross > s.rows*s.columns {
		return false
	}
	s.share = cross + t.mustCross
	return s.rows == 0 || s.share > 0
}

// worth is what a shape costs beyond the direct way, in money, as the counts have it: the middle of the prices, and what joints and
// small parts are worth. It orders the shapes; what is worked out whole is weighed by what it really takes.
func (w *worker) worth(s *shape) float64 {
	joint, fit := w.joint, w.fit
	board := func(role string, n, joints int) float64 {
		p := w.kit[role]
		return float64(n) * ((p.Price.From+p.Price.To)/2 + float64(joints)*joint)
	}
	v := 0.0
	for _, has := range []bool{s.rows > 0, s.expanders > 0, s.shifts > 0, s.muxes > 0, len(s.ladders) > 0} {
		if has {
			v += w.kind
		}
	}
	v += board(roleExpander, s.expanders, 4) + board(roleShiftIn, s.shifts, 6) + board(roleAnalogIn, s.muxes, 8)
	if s.rows > 0 {
		v += float64(s.rows+s.columns)*joint + float64(s.share)*(w.diode.money+fit)
	}
	for _, d := range s.ladders {
		n := float64(len(w.r.Devices[d].Contact) + 1)
		v += n*(w.resistor.money+fit) - n*joint
	}
	return v
}

// along is how many contacts with one common can cross in the matrix: the common takes one line, they the lines across it.
func (s *shape) along(w *worker) int {
	if !w.toRow() {
		return s.columns
	}
	return s.rows
}
