package wiring

import (
	"maps"
	"slices"
	"strings"
)

// try works out one shape whole: boards, lines, seats, nets. The worker itself is left as it is.
func (w *worker) try(s shape) *worker {
	f := w.fork()
	for range s.expanders {
		f.addExtra(roleExpander, "expander")
	}
	for range s.shifts {
		f.addExtra(roleShiftIn, "shift-in")
	}
	for range s.muxes {
		f.addExtra(roleAnalogIn, "analog-in")
	}
	f.cross, f.ladderOf = map[int]*Seat{}, map[int]int{}
	f.centre()
	for _, d := range s.ladders {
		f.ladder(d)
	}
	f.buttonLadders()
	if s.rows > 0 {
		rows, columns := s.rows, s.columns
		if !w.toRow() { // commons go to rows then
			rows, columns = columns, rows
		}
		if g, ok := f.layMatrix(rows, columns, s.share); ok {
			f.matrix(g)
		}
	}
	f.busSignals()
	f.settle(f.later, true)
	f.quick = true
	f.seatBuses()
	f.before = f.fork()
	f.finish()
	f.joinLeads()
	f.nets()
	return f
}

// fork gives a copy on which a way can be tried.
func (w *worker) fork() *worker {
	f := *w
	f.r.Boards, f.r.Signals, f.r.Findings = slices.Clone(w.r.Boards), slices.Clone(w.r.Signals), slices.Clone(w.r.Findings)
	f.r.Idle, f.r.Fittings = slices.Clone(w.r.Idle), slices.Clone(w.r.Fittings)
	f.wants, f.lines, f.feeds = slices.Clone(w.wants), slices.Clone(w.lines), slices.Clone(w.feeds)
	f.inner, f.wrong = slices.Clone(w.inner), slices.Clone(w.wrong)
	f.counts, f.free, f.holder = maps.Clone(w.counts), maps.Clone(w.free), maps.Clone(w.holder)
	return &f
}

// addExtra adds a board that is not in the file yet.
func (w *worker) addExtra(role, stem string) {
	p := w.kit[role]
	if p.Board == nil {
		return
	}
	used, chain := w.displays(), 0
	names := map[string]bool{}
	for _, b := range w.r.Boards {
		names[b.Name] = true
		if b.Address > 0 {
			used[b.Address]++
		}
		if b.Part.Board != nil && b.Part.Board.Role == role {
			chain++
		}
	}
	name := ""
	for n := 1; ; n++ {
		if name = stem + "-" + itoa(n); !names[name] && w.named[name] == nil {
			break
		}
	}
	b := Board{Name: name, Label: boardLabel(name), Part: p, Added: true}
	switch role {
	case roleExpander:
		b.Address = nextAddress(p.Board, used)
	case roleShiftIn:
		b.Chain = chain
	}
	w.addBoard(b)
}

// finish fills in what seats of shared lines need to know of each other.
func (w *worker) finish() {
	for i, l := range w.ladderOf {
		w.r.Plan.Seats[i].Pin = w.r.Plan.Seats[l].Pin
		if w.r.Plan.Seats[l].Way == Waits {
			w.r.Plan.Seats[i].Way = Waits
		}
	}
	if w.mat == nil {
		return
	}
	w.r.Plan.Matrix = w.mat
	for i := range w.r.Plan.Seats {
		s := &w.r.Plan.Seats[i]
		if s.Way == Matrix && (w.r.Plan.Seats[s.Row].Way == Waits || w.r.Plan.Seats[s.Column].Way == Waits) {
			w.r.Plan.Partial = true
		}
	}
}

// title names the plan by what it uses.
func (w *worker) title() (Way, string) {
	count := map[Way]int{}
	for i, s := range w.r.Plan.Seats {
		if w.r.Signals[i].Kind == SigContact {
			count[s.Way]++
		}
	}
	var parts []string
	if m := w.r.Plan.Matrix; m != nil {
		parts = append(parts, "a matrix of "+plural(len(m.Rows), "row")+" and "+plural(len(m.Columns), "column"))
	}
	boards := map[string]int{}
	for i := range w.r.Boards {
		if d := w.r.Boards[i].Part.Board; d != nil && i != w.module {
			boards[d.Role]++
		}
	}
	for _, x := range []struct{ role, one string }{{roleExpander, "expander"}, {roleShiftIn, "shift-in board"}, {roleAnalogIn, "analog multiplexer"}} {
		if n := boards[x.role]; n > 0 {
			parts = append(parts, countWord(n, x.one))
		}
	}
	n := 0
	seen := map[int]bool{}
	for _, l := range w.ladderOf {
		if !seen[l] {
			seen[l] = true
			n++
		}
	}
	if n > 0 {
		parts = append(parts, countWord(n, "voltage ladder"))
	}
	by, most := Direct, count[Direct]
	for _, x := range []Way{Matrix, Expander, ShiftIn, Ladder} {
		if count[x] > most {
			by, most = x, count[x]
		}
	}
	if len(parts) == 0 {
		return Direct, "direct"
	}
	return by, list(parts)
}

// countWord writes a count as people do: one expander, two expanders, 14 expanders.
func countWord(n int, one string) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"}
	s := plural(n, one)
	if n < len(words) {
		s = words[n] + strings.TrimPrefix(s, itoa(n))
	}
	return s
}
