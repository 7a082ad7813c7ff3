package packet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/wiring"
)

// wiringPapers adds the papers of the wiring, when there is something to wire.
func wiringPapers(r *job.Result, d desk, n namer, groups func() []groupScene, pdf func(name, about string, doc *drawing.Document), add func(name, about string, data []byte, err error)) {
	if len(r.Harness.Wires) == 0 {
		return
	}
	pdf("wiring.pdf", "from behind with its wires, group by group, boards, schematic", wiringBook(r, d, n, groups()))
	pdf("solder.pdf", "pins, wires to cut, joints in order, continuity list, first power-up", solderBook(r, d, n))
	for _, x := range []struct {
		name, about string
		rows        [][]string
	}{
		{"pins.csv", "the pin table for a spreadsheet", pinRows(r, n)},
		{"wires.csv", "the wire cut list for a spreadsheet", wireRows(r, n)},
		{"joints.csv", "every joint in soldering order", jointRows(r, n)},
		{"continuity.csv", "what must ring and what must not", ringRows(r, n)},
	} {
		data, err := table(x.rows)
		add(x.name, x.about, data, err)
	}
}

// partialWords is said at the head of every wiring list while some leads have no pin.
func partialWords(r *job.Result) string {
	if !r.Wiring.Plan.Partial {
		return ""
	}
	waits := 0
	for _, s := range r.Wiring.Plan.Seats {
		if s.Way == wiring.Waits {
			waits++
		}
	}
	return fmt.Sprintf("PARTIAL: %s no pin yet. Do not solder before the plan is whole.", count(waits, "lead has", "leads have"))
}

// solderBook is all that is read with the iron in the hand.
func solderBook(r *job.Result, d desk, n namer) *drawing.Document {
	doc := &drawing.Document{Title: "Wiring lists: " + joinTitle(d), Subject: "pins, wires, joints, continuity, first power-up"}
	use := partialWords(r)
	page := func(name, say string, set func(l *lister)) {
		if use != "" {
			say = use
		}
		l := d.list(sheet{name: name, use: say, cells: []cell{d.panelCell()}})
		set(l)
		doc.Pages = append(doc.Pages, l.done()...)
	}
	page("Pins", "What goes to every pin, as the boards lie with their parts up.", func(l *lister) { pinList(l, r, n) })
	page("Wires to cut", "Cut all of one colour, longest first; tag both ends before you strip.", func(l *lister) { cutList(l, r, n) })
	page("Soldering", "From first to last joint. Lugs are named as on the part and on the REAR view.", func(l *lister) { jointList(l, r, n) })
	page("Continuity", "Before any power, the leads not yet on the boards: hold the probe on the end tagged for the pin.", func(l *lister) { ringList(l, r, n) })
	page("First power", "In this order. Pull the plug at once when a current is far off.", func(l *lister) { powerList(l, r) })
	return doc
}

// pinList sets the pin table of every board, and the small parts.
func pinList(l *lister, r *job.Result, n namer) {
	p := r.Wiring.Plan
	if p.Title != "" {
		l.para(fmt.Sprintf("The plan: %s.", p.Title), false)
	}
	if p.Matrix != nil && p.Matrix.Say != "" {
		l.para(p.Matrix.Say, false)
	}
	at := n.pins(r)
	for _, b := range r.Wiring.Boards {
		l.heading(fmt.Sprintf("%s: %s", strings.ToUpper(b.Label), b.Part.Title))
		var rows []row
		for _, pin := range boardPins(b.Part) {
			x := at[wiring.Terminal{Of: b.Name, Lug: pin.Lug}]
			if len(x) == 0 && pin.Kind != catalog.PinIO {
				continue // a supply that nothing hangs on
			}
			if len(x) == 0 {
				rows = append(rows, row{pin.Lug, pin.Name, "free", "", pin.Duty})
				continue
			}
			for _, y := range x {
				rows = append(rows, row{pin.Lug, pin.Name, y.to, y.colour, y.wire})
			}
		}
		l.table([]column{{head: "pin", w: 13, bold: true}, {head: "printed", w: 24}, {head: "goes to"}, {head: "colour", w: 26}, {head: "wire", w: 44, small: true, quiet: true}}, rows)
	}
	if fs := r.Wiring.Fittings; len(fs) > 0 {
		l.heading("Small parts on the lugs")
		var rows []row
		for _, f := range fs {
			rows = append(rows, row{"x", f.Name, f.Value, n.terminal(f.At), strings.Join(f.Bands, " "), f.Way})
		}
		l.table([]column{{w: 7, tick: true}, {head: "name", w: 14, bold: true}, {head: "value", w: 22}, {head: "at", w: 42}, {head: "bands", w: 44, small: true}, {head: "which way"}}, rows)
	}
	if len(r.Wiring.Idle) > 0 {
		l.heading("Not wired")
		for _, s := range idleWords(r, n) {
			l.bullet(s, false)
		}
	}
}

// idleWords gathers what is not wired by its reason.
func idleWords(r *job.Result, n namer) []string {
	by := map[string][]string{}
	var order []string
	for _, i := range r.Wiring.Idle {
		if by[i.Why] == nil {
			order = append(order, i.Why)
		}
		name := n.control(i.Of)
		if i.Lug != "" {
			name += " " + i.Lug
		}
		if !slices.Contains(by[i.Why], name) {
			by[i.Why] = append(by[i.Why], name)
		}
	}
	var out []string
	for _, why := range order {
		out = append(out, fmt.Sprintf("%s: %s.", strings.Join(by[why], ", "), why))
	}
	return out
}

// boardPins lists the pins of a board, or its lugs when nothing is known of them.
func boardPins(p catalog.Part) []catalog.Pin {
	if p.Board != nil {
		return p.Board.Pins
	}
	var out []catalog.Pin
	for _, l := range p.Lugs {
		out = append(out, catalog.Pin{Lug: l.Name, Name: l.Does, Kind: catalog.PinIO})
	}
	return out
}

// cutList sets the wires by colour, and what of each is needed.
func cutList(l *lister, r *job.Result, n namer) {
	h := r.Harness
	l.para(h.Opening.Say, false)
	var rows []row
	for _, u := range h.Use {
		have := "not said"
		if u.Known {
			have = metres(r, u.Have)
		}
		rows = append(rows, row{"x", n.colour(u.Colour), n.wire(u.Wire), metres(r, u.Need), have})
	}
	l.table([]column{{w: 7, tick: true}, {head: "colour", w: 30, bold: true}, {head: "wire"}, {head: "needed", w: 26, right: true}, {head: "on hand", w: 26, right: true}}, rows)
	last := ""
	cols := []column{{w: 7, tick: true}, {head: "cut to", w: 24, bold: true, right: true}, {head: "how many", w: 22, right: true}, {head: "wires"}}
	half := []column{cols[0], {head: "cut to", w: 20, bold: true, right: true}, {head: "how many", w: 18, right: true}, cols[3]}
	rows = nil
	flush := func() {
		if len(rows) > 0 {
			l.heading(last)
			if len(rows) >= twinFrom && !slices.ContainsFunc(rows, func(r row) bool { return !l.halves(half, r) }) {
				l.twin(half, rows)
			} else {
				l.table(cols, rows)
			}
			rows = nil
		}
	}
	for _, c := range h.Cut {
		if name := n.colour(c.Colour) + ", " + n.wire(c.Wire); name != last {
			flush()
			last = name
		}
		rows = append(rows, row{"x", l.d.size(c.Length), fmt.Sprint(c.Count), strings.Join(c.IDs, " ")})
	}
	flush()
	for _, rb := range h.Ribbons {
		l.heading(rb.Name)
		l.para(fmt.Sprintf("%s, %s of %d cores.", n.wire(rb.Wire), l.d.size(rb.Length), rb.Cores), false)
	}
	l.heading("Every wire")
	rows = nil
	for _, x := range h.Wires {
		moves := ""
		if x.Moves {
			moves = "bends"
		}
		rows = append(rows, row{x.ID, n.colourShort(x), n.terminal(x.From), n.terminal(x.To), l.d.size(x.Length), moves})
	}
	l.table([]column{{head: "wire", w: 15, bold: true}, {head: "colour", w: 18}, {head: "from", w: 52}, {head: "to"}, {head: "cut to", w: 22, right: true}, {head: "", w: 16, quiet: true}}, rows)
}

// jointList sets the joints in order, by net group.
func jointList(l *lister, r *job.Result, n namer) {
	h := r.Harness
	l.para(fmt.Sprintf("%s, %s, about %s of work.", count(len(h.Joints), "joint", "joints"), count(len(h.Wires), "wire", "wires"), hours(h.Minutes)), false)
	l.bullet("Glasses on, window open, iron in its stand. Solder splashes, and its smoke is no air.", false)
	l.bullet("The pins of the boards come last, when every other end is done.", false)
	seen := map[string]bool{}
	for _, j := range h.Joints {
		if !seen[j.Heat] && !j.Crimped {
			seen[j.Heat] = true
			i := harness.Irons[j.Heat]
			l.bullet(fmt.Sprintf("%s: %d °C, %s, at most %s s a joint. %s", heatWords(j.Heat), j.Iron, j.Tip, trim(j.Dwell), i.Say), false)
		}
	}
	rests := map[string]bool{}
	var rows []row
	for _, j := range h.Joints {
		var with []string
		for _, w := range j.Wires {
			x := h.Wires[w]
			with = append(with, x.ID+" "+x.Colour)
		}
		with = append(with, j.Fits...)
		note := j.Group
		if j.Rest != "" && !rests[j.At.Of] {
			rests[j.At.Of] = true
			note = j.Rest
		}
		how := fmt.Sprintf("%d° %s s", j.Iron, trim(j.Dwell))
		if j.Crimped {
			how = "crimp"
		}
		rows = append(rows, row{"x", fmt.Sprint(j.N), n.terminal(j.At), strings.Join(with, ", "), how, note})
	}
	l.table([]column{{w: 7, tick: true}, {head: "joint", w: 12, right: true}, {head: "at", w: 50, bold: true}, {head: "what ends there", w: 48}, {head: "iron", w: 20}, {head: "note", small: true}}, rows)
}

func heatWords(class string) string {
	switch class {
	case "small plastic":
		return "Small plastic bodies"
	case "metal":
		return "Metal lugs"
	case "lock":
		return "Key switches"
	case "board pins":
		return "Pins of boards"
	case "lamp leads":
		return "Leads of lamps"
	case "free lead":
		return "Free ends of small parts"
	}
	return class
}

// ringParts are the parts of the continuity list in their order: all but the last while the leads hang free of the boards.
var ringParts = []struct {
	head, say string
	keep      func(x harness.Ring) bool
	cols      []column // of what follows the tick box, from and to
	cells     func(x harness.Ring) row
	brief     func(x harness.Ring) (meter string, ok bool) // in half the width, where that says as much; nil = never
}{
	{
		"Must not ring, nothing touched", "", func(x harness.Ring) bool { return free(x) && !x.Rings && x.Do == "" },
		[]column{{head: "the meter", w: 42, bold: true}, {head: "", small: true, quiet: true}},
		func(x harness.Ring) row { return row{ringWords(x), x.Why} },
		func(x harness.Ring) (string, bool) {
			return ringWords(x) + ", " + x.Why, x.Ohms[0] <= 0 && x.Why != "" && len(x.Why) <= 12
		},
	},
	{
		"Must ring, nothing touched", "", func(x harness.Ring) bool { return free(x) && x.Rings && x.Do == "" },
		[]column{{head: "the meter", w: 42, bold: true}, {head: "", small: true, quiet: true}},
		func(x harness.Ring) row { return row{ringWords(x), x.Why} },
		func(x harness.Ring) (string, bool) { // that the end of a ground is on that ground, its pin says
			return strings.TrimPrefix(ringWords(x), "rings, "), strings.HasPrefix(x.Why, "ground") && strings.HasPrefix(ringWords(x), "rings, ")
		},
	},
	{
		"While you hold or turn it", "", func(x harness.Ring) bool {
			return free(x) && x.Do != "" && x.Kind != harness.RingMatrix && x.Kind != harness.RingLamp
		},
		[]column{{head: "do", w: 42}, {head: "the meter", w: 33, bold: true}, {head: "", small: true, quiet: true}},
		func(x harness.Ring) row { return row{x.Do, ringWords(x), x.Why} },
		nil,
	},
	{
		"The matrix", "Diode test, red probe on the first, black on the second. Before you press nothing may show. With the probes changed over nothing shows: else the diode of that contact is the wrong way round.",
		func(x harness.Ring) bool { return x.Kind == harness.RingMatrix && x.Volts[1] > 0 },
		[]column{{head: "do"}, {head: "the meter", w: 42, bold: true}},
		func(x harness.Ring) row { do, _, _ := strings.Cut(x.Do, ";"); return row{do, ringWords(x)} },
		nil,
	},
	{
		"The matrix", "It has no diodes.", func(x harness.Ring) bool { return x.Kind == harness.RingMatrix && x.Volts[1] == 0 },
		[]column{{head: "do"}, {head: "the meter", w: 42, bold: true}},
		func(x harness.Ring) row { return row{x.Do, ringWords(x)} },
		nil,
	},
	{
		"Lamps", "Diode test, red probe on the first, black on the second. Some meters stop at 2 V or 3 V there: then nothing shows, and the lamp alone tells.",
		func(x harness.Ring) bool { return x.Kind == harness.RingLamp },
		[]column{{head: "the meter", w: 34, bold: true}, {head: "", small: true, quiet: true}},
		func(x harness.Ring) row { why, _, _ := strings.Cut(x.Why, ";"); return row{ringWords(x), why} }, // what stands over the list is not said in each row
		nil,
	},
	{
		"With the leads on the boards, before any power", "Side by side on a board. None may ring: look for a bridge of solder.", func(x harness.Ring) bool { return !free(x) },
		[]column{{head: "the meter", bold: true}},
		func(x harness.Ring) row { return row{ringWords(x)} },
		func(x harness.Ring) (string, bool) { return ringWords(x), true },
	},
}

// free reports whether a line of the continuity list is measured while the leads hang free of the boards.
func free(x harness.Ring) bool { return x.Kind != harness.RingNeighbour }

// ringList sets what must ring and what must not.
func ringList(l *lister, r *job.Result, n namer) {
	half := []column{{w: 7, tick: true}, {head: "from", w: 25}, {head: "to", w: 27}, {head: "the meter", bold: true}}
	for _, part := range ringParts {
		var rows, long, brief []row
		for _, x := range r.Harness.Rings {
			if !part.keep(x) {
				continue
			}
			w := append(row{"x", n.terminal(x.A), n.terminal(x.B)}, part.cells(x)...)
			rows = append(rows, w)
			if part.brief == nil {
				continue
			}
			say, ok := part.brief(x)
			if b := (row{"x", w[1], w[2], say}); ok && l.halves(half, b) {
				brief = append(brief, b)
			} else {
				long = append(long, w)
			}
		}
		if len(rows) == 0 {
			continue
		}
		l.heading(part.head)
		if part.say != "" {
			l.para(part.say, true)
		}
		cols := append([]column{{w: 7, tick: true}, {head: "from", w: 31}, {head: "to", w: 31}}, part.cols...)
		twin := len(brief) >= twinFrom
		if twin {
			rows = long
		}
		if len(rows) > 0 {
			l.table(cols, rows)
		}
		if twin {
			l.twin(half, brief)
		}
	}
}

// ringWords is what the meter must show.
func ringWords(x harness.Ring) string {
	switch {
	case x.Rings && x.Volts[1] > 0:
		return fmt.Sprintf("%.1f to %.1f V", x.Volts[0], x.Volts[1])
	case !x.Rings && x.Ohms[0] > 0:
		return "silent, over " + ohms(x.Ohms[0])
	case !x.Rings:
		return "silent"
	case x.Ohms[1] > 0 && x.Ohms[1] <= 5:
		return "rings, under " + ohms(x.Ohms[1])
	case x.Ohms[1] > 0:
		return ohms(x.Ohms[0]) + " to " + ohms(x.Ohms[1])
	}
	return "rings"
}

func ohms(v float64) string {
	switch {
	case v >= 1e6:
		return trim(v/1e6) + " MΩ"
	case v >= 1e3:
		return trim(v/1e3) + " kΩ"
	}
	return trim(v) + " Ω"
}

// trim writes a number with one decimal at most.
func trim(v float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0") }

// powerList sets the first power-up, and what was reckoned.
func powerList(l *lister, r *job.Result) {
	var rows []row
	for _, s := range r.Harness.Power {
		rows = append(rows, row{"x", s.Do, s.Expect, s.Else})
	}
	l.table([]column{{w: 7, tick: true}, {head: "do", w: 66}, {head: "expect", w: 28, bold: true}, {head: "if not"}}, rows)
	p := r.Wiring.Power
	if len(p.Lamps) > 0 {
		l.heading("Lamps")
		rows = nil
		for _, x := range p.Lamps {
			rows = append(rows, row{r.Wiring.Devices[x.Device].Label, x.Supply, x.Fitting, fmt.Sprintf("%.1f mA", x.Nominal), fmt.Sprintf("%.1f to %.1f mA", x.Least, x.Most)})
		}
		l.table([]column{{head: "lamp"}, {head: "fed from", w: 34}, {head: "resistor", w: 22}, {head: "current", w: 22, right: true}, {head: "with all tolerances", w: 40, right: true}}, rows)
	}
	if len(p.Checked) > 0 {
		l.heading("What was reckoned")
		for _, s := range p.Checked {
			l.bullet(s, false)
		}
	}
}

// hours writes a time of work.
func hours(minutes float64) string {
	if minutes < 90 {
		return fmt.Sprintf("%.0f minutes", math.Ceil(minutes/5)*5)
	}
	return fmt.Sprintf("%s hours", trim(math.Round(minutes/30)/2))
}

// metres writes a length of wire to buy or have.
func metres(r *job.Result, mm float64) string {
	if r.Panel.Units == "in" {
		return fmt.Sprintf("%.1f ft", math.Ceil(mm/30.48)/10)
	}
	return fmt.Sprintf("%.1f m", math.Ceil(mm/100)/10)
}
