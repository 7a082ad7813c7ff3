package firmware

import (
	core "knobwright/firmware"

	"knobwright/internal/trade/wiring"
)

// Bit says where one bit of the row of raw contacts is read.
type Bit struct {
	Way    wiring.Way      // direct, matrix, shift-in, expander, ladder; Waits for a bit that nothing is read into
	Pin    wiring.Terminal // that is read: of the module, or the line of a board; of a matrix the line that is read
	Drive  wiring.Terminal // matrix: the line that is driven low meanwhile
	Above  uint16          // ladder: the bit is set while the reading lies above this
	UpTo   uint16          // and up to this
	Signal int             // index into wiring.Result.Signals; -1 where no contact of the plan is read there
}

// Reading says where one axis of the table is read.
type Reading struct {
	Pin    wiring.Terminal // of the module
	Line   wiring.Terminal // of a multiplexer; zero without one
	Signal int             // index into wiring.Result.Signals
}

// bitList says of every raw bit where it is read.
func (w *worker) bitList() {
	s := &w.scan
	if w.chip == nil || w.module == nil || len(w.w.Plan.Seats) < len(w.w.Signals) {
		return
	}
	bits := make([]Bit, s.next)
	for i := range bits {
		bits[i].Signal = -1
	}
	pins := map[uint8]wiring.Terminal{}
	channels := map[uint8]wiring.Terminal{}
	for _, p := range w.module.Part.Board.Pins {
		t := wiring.Terminal{Of: w.module.Name, Lug: p.Lug}
		if n, ok := w.chip.pin(p.Port); ok {
			pins[n] = t
		}
		if c, ok := w.chip.channel(p.Port); ok {
			channels[c] = t
		}
	}
	for _, d := range s.board.Direct {
		bits[d.Raw].Way, bits[d.Raw].Pin = wiring.Direct, pins[d.Pin]
	}
	if m := s.board.Matrix; m != nil {
		for r, row := range m.Rows {
			for c, col := range m.Columns {
				if k := int(m.Raw) + r*len(m.Columns) + c; k < len(bits) {
					bits[k].Way, bits[k].Pin, bits[k].Drive = wiring.Matrix, pins[col], pins[row]
				}
			}
		}
	}
	for _, l := range s.board.Ladders {
		from := uint16(0)
		for k, to := range l.Limits {
			if n := int(l.Raw) + k; n < len(bits) {
				bits[n] = Bit{Way: wiring.Ladder, Pin: channels[l.Channel], Above: from, UpTo: to, Signal: -1}
			}
			from = to
		}
	}
	shift, expander := 0, 0
	for i := range w.w.Boards {
		b := &w.w.Boards[i]
		if b.Part.Board == nil {
			continue
		}
		base := -1
		way := wiring.Way(b.Part.Board.Role)
		switch {
		case way == wiring.ShiftIn && len(s.board.Chains) > 0:
			base = int(s.board.Chains[0].Raw) + 8*b.Chain
			shift++
		case way == wiring.Expander:
			if _, _, ok := w.busOf(b); ok && expander < len(s.board.Expanders) {
				base = int(s.board.Expanders[expander].Raw)
				expander++
			}
		}
		if base < 0 {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			n := lineNo(b, p.Lug)
			if p.Kind != "io" || p.Bus != "" || n < 0 || n > 15 {
				continue
			}
			k := base + n
			if way == wiring.ShiftIn {
				k = base + 7 - n
			} else if s.board.Expanders[expander-1].Inputs>>n&1 == 0 {
				continue // a lamp is on it
			}
			if k >= 0 && k < len(bits) {
				bits[k].Way, bits[k].Pin = way, wiring.Terminal{Of: b.Name, Lug: p.Lug}
			}
		}
	}
	for i, k := range s.raw {
		if k < len(bits) {
			bits[k].Signal = i
		}
	}
	w.r.Bits = bits
	w.r.Readings = make([]Reading, len(w.r.Table.Axes))
	for i := range w.r.Readings {
		w.r.Readings[i].Signal = -1
	}
	for _, a := range s.board.Analog {
		x := &w.r.Readings[a.Axis]
		for i, p := range s.axes {
			if p.channel != a.Channel || p.mux != a.Mux || p.line != a.Line {
				continue
			}
			x.Signal = i
			if a.Mux == core.No {
				x.Pin = channels[a.Channel]
				continue
			}
			x.Line = w.w.Plan.Seats[i].Pin
			x.Pin = channels[s.board.Muxes[a.Mux].Channel]
		}
	}
}
