package wiring

import (
	"slices"
	"strings"
)

// buses lists the I2C buses of the module by what follows sda and scl in its abilities: "", "0", "1".
func (w *worker) buses() []string {
	d := w.moduleBoard()
	if d == nil {
		return nil
	}
	has := map[string]int{}
	for _, p := range d.Pins {
		for _, c := range p.Can {
			if id, ok := strings.CutPrefix(c, "sda"); ok {
				has[id] |= 1
			}
			if id, ok := strings.CutPrefix(c, "scl"); ok {
				has[id] |= 2
			}
		}
	}
	var out []string
	for id, h := range has {
		if h == 3 {
			out = append(out, id)
		}
	}
	slices.Sort(out)
	return out
}

// busSignals adds the lines that boards and displays on a bus share. Expanders beyond what one bus can tell apart go to a second one.
func (w *worker) busSignals() {
	buses := max(len(w.buses()), 1)
	taken := make([]map[int]int, buses)
	taken[0] = w.displays()
	count, chained := 0, 0
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if b.Part.Board == nil {
			continue
		}
		switch b.Part.Board.Role {
		case roleExpander:
			b.bus = 0
			for n := range buses { // the first bus on which nobody has its address
				if taken[n][b.Address] == 0 {
					b.bus = n
					break
				}
			}
			if taken[b.bus] == nil {
				taken[b.bus] = map[int]int{}
			}
			taken[b.bus][b.Address]++
			count = max(count, b.bus+1)
		case roleShiftIn:
			chained++
		}
	}
	if count == 0 && len(w.bus) > 0 {
		count = 1
	}
	w.busCount = count
	for n := range count {
		tail, say := "", "i2c"
		if n > 0 {
			tail, say = "-"+itoa(n+1), "i2c, "+ordinal(n+1)+" bus"
		}
		for _, does := range []string{"sda", "scl"} {
			word := map[string]string{"sda": "data", "scl": "clock"}[does]
			w.signal(Signal{Name: "i2c" + tail + "/" + word, Label: word + " (" + say + ")", Kind: SigData, Device: -1, Needs: []string{does}},
				want{contact: -1, bus: does, busLine: does, busNo: n, ends: w.busEnds(does, n), heavy: true})
		}
	}
	w.selectSignals()
	if chained > 0 {
		for _, does := range []string{"clock", "load", "data-out"} {
			word := map[string]string{"data-out": "data"}[does]
			ends := w.boardPins(roleShiftIn, does)
			if does == "data-out" && len(ends) > 0 {
				ends = ends[:1]
			}
			w.signal(Signal{Name: "shift-in/" + or(word, does), Label: or(word, does) + " (shift-in)", Kind: SigData, Device: -1, Needs: []string{"digital"}},
				want{contact: -1, bus: "shift-in " + does, ends: ends, heavy: true})
		}
	}
}

// busEnds lists the lugs that share a line of a bus.
func (w *worker) busEnds(does string, n int) []Terminal {
	var out []Terminal
	if n == 0 {
		for _, e := range w.bus {
			if e.does == does {
				out = append(out, e.term)
			}
		}
	}
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if b.Part.Board == nil || b.Part.Board.Role != roleExpander || b.bus != n {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			if p.Bus == does {
				out = append(out, Terminal{b.Name, p.Lug})
			}
		}
	}
	return out
}

// boardPins lists the pins with a duty of all boards of a role, in the order of the chain.
func (w *worker) boardPins(role, bus string) []Terminal {
	var out []Terminal
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if b.Part.Board == nil || b.Part.Board.Role != role {
			continue
		}
		for _, p := range b.Part.Board.Pins {
			if p.Bus == bus {
				out = append(out, Terminal{b.Name, p.Lug})
			}
		}
	}
	return out
}

func ordinal(n int) string {
	return [...]string{"", "first", "second", "third", "fourth"}[min(n, 4)]
}

// selectSignals adds the lines of analog multiplexers: those that choose, shared by all, and the one that each gives.
func (w *worker) selectSignals() {
	var choose [][]Terminal
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if b.Part.Board == nil || b.Part.Board.Role != roleAnalogIn {
			continue
		}
		n := 0
		for _, p := range b.Part.Board.Pins {
			t := Terminal{b.Name, p.Lug}
			switch p.Bus {
			case "select":
				if n == len(choose) {
					choose = append(choose, nil)
				}
				choose[n] = append(choose[n], t)
				n++
			case "data-out":
				w.signal(Signal{Name: b.Name + "/out", Label: "what " + b.Label + " reads", Kind: SigWiper, Device: -1, Lug: p.Lug, Needs: []string{"analog"}},
					want{contact: -1, ends: []Terminal{t}, heavy: true, shared: true})
			}
		}
	}
	for n, ends := range choose {
		w.signal(Signal{Name: "analog-in/select-" + itoa(n+1), Label: "select " + itoa(n+1) + " (analog)", Kind: SigDrive, Device: -1, Needs: []string{"digital"}},
			want{contact: -1, ends: ends, heavy: true, shared: true, via: Direct})
	}
}
