package wiring

import (
	"cmp"
	"slices"
)

// matrix makes the lines of a matrix out of a layout, with a diode at each contact.
func (w *worker) matrix(g grid) {
	m := &MatrixPlan{ToRow: w.toRow(), Diodes: w.p.Wiring.Matrix.Diodes != "none"}
	// The commons go to the line that the stripes point away from: with stripes to the rows that is the column.
	// Layout speaks of columns as the lines that take the commons.
	shared, other := SigColumn, SigRow
	if !m.ToRow {
		shared, other = SigRow, SigColumn
	}
	name := map[SignalKind]string{SigRow: "row", SigColumn: "column"}
	line := func(kind SignalKind, n int, ends []Terminal) int {
		return w.signal(Signal{
			Name: "matrix/" + name[kind] + "-" + itoa(n+1), Label: name[kind] + " " + itoa(n+1), Kind: kind, Device: -1, Needs: []string{"digital"},
		}, want{contact: -1, ends: ends, heavy: true})
	}
	first := make([][]Terminal, g.columns)
	second := make([][]Terminal, g.rows)
	type spot struct{ i, c, r int }
	var spots []spot
	for c, col := range g.cell {
		for r, i := range col {
			if i < 0 {
				continue
			}
			t := Terminal{w.wants[i].control.Name, w.wants[i].common}
			if !slices.Contains(first[c], t) {
				first[c] = append(first[c], t)
			}
			spots = append(spots, spot{i, c, r})
		}
	}
	slices.SortFunc(spots, func(a, b spot) int { return cmp.Compare(a.i, b.i) })
	for _, s := range spots {
		lug := Terminal{w.wants[s.i].control.Name, w.r.Signals[s.i].Lug}
		if !m.Diodes {
			second[s.r] = append(second[s.r], lug)
			continue
		}
		say := "stripe to the row" // either way current leaves the contact at this lug: the stripe points away from it
		if !m.ToRow {
			say = "stripe to the column"
		}
		d := w.fitting("D", "diode", Fitting{Value: w.diode.number(), Part: w.diode.id, At: lug, For: w.r.Signals[s.i].Device, Way: say, Why: "so that no other contact shows"})
		w.inner = append(w.inner, Net{Name: "diode of " + w.r.Signals[s.i].Label, Kind: NetInner, Signal: -1, Terms: []Terminal{lug, {d, "a"}}})
		second[s.r] = append(second[s.r], Terminal{d, "k"})
	}
	lines := map[SignalKind][]int{}
	for _, kind := range []SignalKind{SigRow, SigColumn} {
		ends := second
		if kind == shared {
			ends = first
		}
		for n := range ends {
			if len(ends[n]) == 0 {
				lines[kind] = append(lines[kind], -1)
				continue
			}
			i := line(kind, n, ends[n])
			lines[kind] = append(lines[kind], i)
		}
	}
	for _, s := range spots {
		seat := &Seat{Way: Matrix, Why: "shares a row and a column"}
		a, b := lines[shared][s.c], lines[other][s.r]
		seat.Row, seat.Column = b, a
		if shared == SigRow {
			seat.Row, seat.Column = a, b
		}
		seat.Fixed = w.wants[s.i].cross != [2]int{}
		if w.stays(s.i) {
			seat.Why = settledWhy
		}
		w.cross[s.i] = seat
	}
	m.Rows, m.Columns = drop(lines[SigRow]), drop(lines[SigColumn])
	switch {
	case !m.Diodes:
		m.Say = "No diodes: three contacts closed at once can show a fourth."
	case m.ToRow:
		m.Say = "Every diode: stripe to the row. Rows are pulled low in turn, columns are read."
	default:
		m.Say = "Every diode: stripe to the column. Columns are pulled low in turn, rows are read."
	}
	w.mat = m
}

// drop leaves out lines that no contact is on.
func drop(lines []int) []int {
	return slices.DeleteFunc(lines, func(i int) bool { return i < 0 })
}

// Crossings lists the contacts of the matrix of a plan, as Ghosts takes them: current passes from Column to Row. With stripes to the columns
// rows and columns of the plan change places.
func (r *Result) Crossings() []Crossing {
	m := r.Plan.Matrix
	if m == nil {
		return nil
	}
	var out []Crossing
	for i, s := range r.Plan.Seats {
		if s.Way != Matrix {
			continue
		}
		c := Crossing{Row: slices.Index(m.Rows, s.Row), Column: slices.Index(m.Columns, s.Column), Diode: m.Diodes, Signal: i}
		if !m.ToRow {
			c.Row, c.Column = c.Column, c.Row
		}
		if d := r.Signals[i].Device; d >= 0 {
			c.Holds = r.Devices[d].Holds
		}
		out = append(out, c)
	}
	return out
}
