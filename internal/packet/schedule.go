package packet

import (
	"fmt"
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/trade/drilling"
)

// schedule is the drilling schedule: cautions, the bits to lay out, trial holes, every job in the order of work with a box to
// tick, and every hole with its place from the datum corner and its sizes.
func schedule(r *job.Result, d desk) *drawing.Document {
	plan := r.Drilling
	from := "the FRONT"
	if d.board != "" {
		from = "outside"
	}
	l := d.list(sheet{
		name: "Drilling schedule", use: "Tick as you go. Places count from the datum corner: lower left, seen from " + from + ", in " + map[bool]string{true: "inches", false: "mm"}[d.inches] + ".",
		cells: []cell{
			d.panelCell(),
			{fmt.Sprintf("%s, %s", count(len(plan.Holes), "hole", "holes"), count(len(plan.Jobs), "job", "jobs")), count(drills(r), "bit", "bits")},
		},
	})
	if n := strings.TrimSpace(r.Panel.Notes); n != "" && d.board == "" {
		l.heading("Notes")
		l.para(n, false)
	}
	if d.board != "" && !cornered(r.Panel.Face.Outline) {
		l.para("The "+d.board+" has no wood at its lower left. Across counts from its left end; up counts from its lowest corner: lay a straight edge through that, square to the left end.", false)
	}
	l.heading("Before you start")
	l.signs(plan.Cautions)
	for _, c := range plan.Cautions {
		l.bullet(c, false)
	}
	for _, s := range []string{plan.Marking, plan.Backing} {
		if s != "" {
			l.bullet(s, true)
		}
	}
	if len(plan.Bits) > 0 {
		l.heading("Lay these out, in this order")
		l.table([]column{{w: 7, tick: true}, {head: "bit", w: 52, bold: true}, {head: "for"}, {head: "turns a minute", w: 34}, {head: "jobs", w: 34}}, bitRows(r))
	}
	if len(plan.Coupons) > 0 {
		l.heading("Try these in scrap first")
		l.para("A piece of the same sheet, covered the same way. Fit the part; if it binds or rattles, write the size that fits into the file.", true)
		for _, c := range plan.Coupons {
			l.bullet(ownerName(c.Cut)+", "+c.Bit.Name+": "+c.Why, true)
		}
	}
	if len(plan.Jobs) > 0 {
		l.jobs(r)
	}
	if len(plan.Holes) > 0 {
		l.holes(r)
	}
	return &drawing.Document{Title: "Drilling schedule: " + joinTitle(d), Subject: "jobs, holes, trial pieces", Pages: l.done()}
}

// cornered reports whether a board has a corner at its lower left, where its places count from.
func cornered(o geom.Outline) bool {
	for _, v := range o {
		if v.P.Sub(o.Bounds().Min).Len() < 0.5 {
			return true
		}
	}
	return o.Empty()
}

// signs stands the safety signs of the cautions at the right of their heading.
func (l *lister) signs(cautions []string) {
	all := strings.ToLower(strings.Join(cautions, " "))
	x := l.right() - 6
	for _, s := range []struct {
		word string
		sign drawing.Sign
	}{{"glove", drawing.SignNoGloves}, {"mask", drawing.SignMask}, {"eye protection", drawing.SignGoggles}} {
		if strings.Contains(all, s.word) {
			l.items = append(l.items, drawing.SafetySign(v(x, l.y+4.5), 11, s.sign)...)
			x -= 13
		}
	}
}

// bitRows lists the bits in the order of use.
func bitRows(r *job.Result) []row {
	var rows []row
	for _, u := range r.Drilling.Bits {
		rows = append(rows, row{"x", finding.Capital(u.Name), u.Why, speed(u.RPMLow, u.RPMHigh), numbers(u.Jobs)})
	}
	return rows
}

// jobs sets the order of work: a band for each bit, the sentence of what to do where it is more than a word, the places.
func (l *lister) jobs(r *job.Result) {
	plan := r.Drilling
	l.room(68) // the sentences stay with the first jobs
	l.heading("Order of work")
	if plan.Order != "" {
		l.para(plan.Order, true)
	}
	if plan.Walk > 0 {
		s := "The drill walks " + l.d.far(plan.Walk) + " in this order"
		if plan.WalkBound > 0 {
			s += "; with these bits in this sequence no order of the jobs walks less"
			if far := l.d.far(plan.WalkBound); far != l.d.far(plan.Walk) {
				s += " than " + far
			}
		}
		l.para(s+".", true)
	}
	l.para("Second box: the hole has its size now. Measure it; the list of holes says what it should be.", true)
	cols := []column{
		{head: "done", w: 6, tick: true}, {w: 5, tick: true}, {head: "job", w: 8, right: true}, {head: "hole", w: 8, right: true}, {head: "for", bold: true},
		{head: "across", w: 13, right: true}, {head: "up", w: 13, right: true}, {w: 9, quiet: true, small: true},
	}
	if len(plan.Jobs) > 99 {
		cols[1].w, cols[2].w, cols[7].w = 5.5, 9, 8.5
	}
	if l.d.inches {
		cols[5].w, cols[6].w = 16.5, 16.5
	}
	half := (l.right() - l.left() - 5) / 2
	heads := func() { l.heads(widths(cols, half), l.left(), l.left()+half+5) }
	l.room(30)
	heads()
	l.again = heads
	for _, u := range plan.Bits {
		l.band(u, plan)
		for _, run := range runsOf(u.Jobs, plan) {
			say := sentence(plan.Jobs[run[0]-1])
			if say != "" {
				if run := speedOfRun(run, plan); run != "" && run != speedOfRun(u.Jobs, plan) {
					say += " " + run + " a minute."
				}
				l.room(2*lineStep + 8)
				l.y -= 0.8
				l.para(say, false)
				l.y += 0.7
			}
			l.grid(cols, jobRows(l.d, run, plan))
			l.y -= 0.6
		}
	}
	l.again = nil
	l.y -= 2
}

// band heads the jobs of one bit.
func (l *lister) band(u drilling.BitUse, plan drilling.Result) {
	l.room(31) // with its first sentence and its first row
	l.y -= lineStep + 1.8
	s := finding.Capital(u.Name)
	if sp := speedOfRun(u.Jobs, plan); sp != "" {
		s += ", " + sp + " a minute"
	}
	l.items = append(l.items, fitted(v(l.left(), l.y), drawing.ReadBold, pt(11.5), l.right()-l.left(), s, drawing.Ink0))
	l.y -= 1.5
	l.items = append(l.items, drawing.Ln(v(l.left(), l.y), v(l.right(), l.y), drawing.Thin))
}

// sentence is what a job says beyond its word and the bit of its band: nothing for a plain pilot or hole.
func sentence(j drilling.Job) string {
	if (j.Do == "pilot" || j.Do == "drill") && len(j.Say) <= 24 {
		return ""
	}
	return j.Say
}

// runsOf parts the jobs of a bit where the sentence changes.
func runsOf(ns []int, plan drilling.Result) [][]int {
	var out [][]int
	for i, n := range ns {
		if i == 0 || sentence(plan.Jobs[n-1]) != sentence(plan.Jobs[ns[i-1]-1]) {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], n)
	}
	return out
}

// jobRows lists jobs for the two-column grid.
func jobRows(d desk, ns []int, plan drilling.Result) []row {
	var rows []row
	for _, n := range ns {
		j := plan.Jobs[n-1]
		measure, do := "", j.Do
		if j.Last {
			measure = "x"
		}
		if sentence(j) != "" {
			do = ""
		}
		rows = append(rows, row{"x", measure, strconv.Itoa(j.N), strconv.Itoa(j.Hole), forWhat(j, plan), d.coord(j.At.X), d.coord(j.At.Y), do})
	}
	return rows
}

// forWhat names what a job is for, as short as the grid wants it.
func forWhat(j drilling.Job, plan drilling.Result) string {
	if j.Cut.Owner == nil && j.Hole >= 1 && j.Hole <= len(plan.Holes) {
		return plan.Holes[j.Hole-1].Name
	}
	return ownerName(j.Cut)
}

// holes lists every opening: where it is, the bit, the allowed sizes, its jobs, and room to write what was measured.
func (l *lister) holes(r *job.Result) {
	d, plan := l.d, r.Drilling
	covered, film := false, false
	for _, h := range plan.Holes {
		covered = covered || h.Covered
		film = film || h.AsCut != h.Finished
	}
	l.heading("Every hole")
	if film {
		l.para("As cut is the size in the bare sheet; finished is with the covering on.", true)
	}
	if covered {
		l.para("Slanted box: covered. The hole is made now and disappears under the covering until it is opened from the front; leave it alone until then.", true)
	}
	cols := []column{
		{head: "hole", w: 9, right: true}, {head: "for", bold: true}, {w: 5.5, slant: true}, {head: "across", w: 13.5, right: true}, {head: "up", w: 13.5, right: true}, {w: 2},
		{head: "bit", w: 24}, {head: "as cut", w: 23}, {head: "finished", w: 23}, {head: "jobs", w: 15, quiet: true, small: true}, {head: "measured", w: 14, write: true},
	}
	if !film {
		cols[8] = column{w: 0.01}
	}
	if !covered {
		cols[2] = column{w: 0.01}
	}
	if d.inches {
		cols[3].w, cols[4].w, cols[5] = 16.5, 16.5, column{head: "mm", w: 23, quiet: true, small: true}
		cols[6].w, cols[7].w, cols[9].w = 22, 29, 13
		if film {
			cols[7].head, cols[8] = "as cut, finished", column{w: 0.01}
		}
	}
	var rows []row
	for _, h := range plan.Holes {
		under, gap, as, fin := "", "", h.AsCut, h.Finished
		if h.Covered {
			under = "x"
		}
		if d.inches {
			gap = fmt.Sprintf("  %.1f, %.1f", h.Cut.At.X, h.Cut.At.Y)
			as, fin = strings.TrimSuffix(as, " in"), ""
			if film {
				as += "\n" + strings.TrimSuffix(h.Finished, " in")
			}
		} else if !film {
			fin = ""
		}
		rows = append(rows, row{strconv.Itoa(h.N), h.Name, under, d.coord(h.Cut.At.X), d.coord(h.Cut.At.Y), gap, h.Bit, as, fin, numbers(h.Jobs), "x"})
	}
	l.table(cols, rows)
}
