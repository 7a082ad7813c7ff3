package packet

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/trade/drilling"
)

// schedule is the drilling schedule: what to make ready, trial holes, every job in the order of work with a box to tick, and
// every hole with its place from the datum corner.
func schedule(r *job.Result, d desk) *drawing.Document {
	plan, p := r.Drilling, r.Panel
	l := d.list("Drilling schedule", "In this order bits change least, then the drill walks least. Tick as you go.",
		cell{d.title, d.sub},
		cell{fmt.Sprintf("%d holes, %d jobs", len(plan.Holes), len(plan.Jobs)), fmt.Sprintf("%d bits", len(plan.Bits))},
		cell{"From the datum corner", "lower left, seen from the FRONT"},
		cell{d.state, "mark " + d.mark})
	l.heading("Before you start")
	for _, c := range plan.Cautions {
		l.bullet(c, false)
	}
	if plan.Backing != "" {
		l.bullet(plan.Backing, false)
	}
	if len(plan.Coupons) > 0 {
		l.heading("Try these in scrap first")
		l.para("A piece of the same sheet, covered the same way. Fit the part; if it binds or rattles, write the size that fits into the file.", true)
		for _, c := range plan.Coupons {
			l.bullet(ownerName(c.Cut)+", "+c.Bit.Name+": "+c.Why, true)
		}
	}
	l.heading("Order of work")
	l.table([]column{{head: "done", w: 10, tick: true}, {head: "job", w: 11, right: true}, {head: "hole", w: 12, right: true}, {head: "for", w: 34, bold: true},
		{head: "across", w: 18, right: true}, {head: "up", w: 18, right: true}, {w: 3}, {head: "do"}}, jobRows(r))
	if plan.Walk > 0 {
		s := fmt.Sprintf("The drill walks %.0f mm in this order.", plan.Walk)
		if plan.WalkBound > 0 {
			s = fmt.Sprintf("The drill walks %.0f mm in this order; no order of these jobs with these bits in this sequence walks less than %.0f mm.", plan.Walk, plan.WalkBound)
		}
		l.para(s, true)
	}
	l.heading("Every hole")
	l.para("Covered: the hole is made now and disappears under the covering until it is opened from the front; leave it alone until then.", true)
	l.table([]column{{head: "hole", w: 11, right: true}, {head: "for", w: 36, bold: true}, {head: "across", w: 18, right: true}, {head: "up", w: 18, right: true},
		{head: "as cut", w: 17, right: true}, {w: 3}, {head: "finished", w: 28}, {head: "how"}, {head: "covered", w: 15, tick: true}}, holeRows(r))
	_ = p
	return &drawing.Document{Title: "Drilling schedule: " + joinTitle(d), Subject: "jobs, holes, trial pieces", Pages: l.done()}
}

// jobRows lists the jobs under a band for each bit.
func jobRows(r *job.Result) []row {
	var rows []row
	last := ""
	for _, j := range r.Drilling.Jobs {
		key := j.Bit.Name + "|" + string(j.Bit.Kind)
		if j.Do == "file" {
			key = "file"
		}
		if key != last {
			last = key
			rows = append(rows, row{band: jobBand(j)})
		}
		rows = append(rows, row{cells: []string{"x", strconv.Itoa(j.N), strconv.Itoa(j.Hole), ownerName(j.Cut), mm1(j.At.X), mm1(j.At.Y), "", j.Say}})
	}
	return rows
}

// jobBand heads the jobs that one bit does.
func jobBand(j drilling.Job) string {
	if j.Do == "file" {
		return "By hand, with files"
	}
	s := string(j.Bit.Kind) + " " + j.Bit.Name
	switch j.Bit.Kind {
	case "twist":
		s = "Twist drill " + j.Bit.Name
	case "brad-point":
		s = "Brad-point bit " + j.Bit.Name
	case "step":
		s = "Step drill, to " + length.Plain(j.Bit.Diameter)
	case "hole-saw":
		s = "Hole saw " + j.Bit.Name
	case "forstner":
		s = "Forstner bit " + j.Bit.Name
	case "spade":
		s = "Spade bit " + j.Bit.Name
	}
	if j.RPMHigh > 0 {
		s += fmt.Sprintf(", %d to %d a minute", j.RPMLow, j.RPMHigh)
		if j.RPMLow == j.RPMHigh {
			s = strings.Replace(s, fmt.Sprintf("%d to %d", j.RPMLow, j.RPMHigh), strconv.Itoa(j.RPMHigh), 1)
		}
	}
	return s
}

func holeRows(r *job.Result) []row {
	var rows []row
	for _, h := range r.Drilling.Holes {
		covered := ""
		if h.Covered {
			covered = "x"
		}
		rows = append(rows, row{cells: []string{strconv.Itoa(h.N), holeName(h), mm1(h.Cut.At.X), mm1(h.Cut.At.Y), sizeOf(h), "", h.Finished, h.How, covered}})
	}
	return rows
}

// holeName is the owner and, for what is not its main hole, what it is.
func holeName(h drilling.Hole) string {
	switch h.Cut.What {
	case "hole", "", "opening", "fixing":
		return ownerName(h.Cut)
	}
	return ownerName(h.Cut) + ", " + h.Cut.What
}

func sizeOf(h drilling.Hole) string {
	if h.Size > 0 {
		return length.Plain(h.Size)
	}
	return h.Bit
}

func mm1(x float64) string { return strconv.FormatFloat(x, 'f', 1, 64) }

// scheduleCSV is the schedule for a spreadsheet or a machine.
func scheduleCSV(r *job.Result) ([]byte, error) {
	rows := [][]string{{"job", "hole", "for", "what", "do", "bit_kind", "bit", "bit_mm", "across_mm", "up_mm", "blind_depth_mm", "rpm_low", "rpm_high", "note"}}
	for _, j := range r.Drilling.Jobs {
		rows = append(rows, []string{
			strconv.Itoa(j.N), strconv.Itoa(j.Hole), ownerName(j.Cut), j.Cut.What, j.Do, string(j.Bit.Kind), j.Bit.Name,
			length.Plain(j.Bit.Diameter), strconv.FormatFloat(j.At.X, 'f', 2, 64), strconv.FormatFloat(j.At.Y, 'f', 2, 64), length.Plain(j.Depth),
			strconv.Itoa(j.RPMLow), strconv.Itoa(j.RPMHigh), j.Say,
		})
	}
	return table(rows)
}

// table writes CSV that no spreadsheet mistakes for formulas: a text that begins like one gets a leading apostrophe.
func table(rows [][]string) ([]byte, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for _, r := range rows {
		out := make([]string, len(r))
		for i, s := range r {
			out[i] = safeCell(s)
		}
		if err := w.Write(out); err != nil {
			return nil, err
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

func safeCell(s string) string {
	if s == "" {
		return s
	}
	if _, err := strconv.ParseFloat(s, 64); err == nil {
		return s
	}
	if strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}
