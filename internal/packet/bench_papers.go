package packet

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/record"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
	lang "knobwright/internal/words"
)

// ErrNothingToTest says that no control has a lead with a pin yet.
var ErrNothingToTest = errors.New("there is nothing to test yet: no control has a lead with a pin")

// inputsOf are what the diagnosis of a panel works from.
func inputsOf(r *job.Result) diagnosis.Inputs {
	return diagnosis.Inputs{Panel: r.Panel, Wiring: r.Wiring, Harness: r.Harness, Firmware: r.Firmware}
}

// benchPapers adds the papers of the finished panel: the test sheet to tick off, and the repair sheet.
func benchPapers(r *job.Result, d desk, n namer, rec *record.Record, t *tray) {
	if len(r.Harness.Wires) == 0 {
		return
	}
	m := diagnosis.New(inputsOf(r))
	lines := m.Sheet()
	if len(lines) == 0 {
		return
	}
	t.pdf("test.pdf", "press everything, and tick it off", testBook(lines, d))
	data, err := table(testRows(lines))
	t.add("test.csv", "the test sheet for a spreadsheet", data, err)
	t.pdf("repair.pdf", "years later: what is where, and how to get at it", repairBook(r, m, d, n, rec))
}

func english(t lang.Text) string { return lang.English.Say(t) }

// upperFirst makes a clause a line of its own.
func upperFirst(s string) string {
	for i, c := range s {
		if i == 0 {
			return strings.ToUpper(string(c)) + s[len(string(c)):]
		}
	}
	return s
}

func testRows(lines []diagnosis.Line) [][]string {
	out := [][]string{{"line", "do", "expect"}}
	for _, l := range lines {
		out = append(out, []string{l.ID, english(l.Say), english(l.Expect)})
	}
	return out
}

// testBook is the test sheet as an empty form.
func testBook(lines []diagnosis.Line, d desk) *drawing.Document {
	l := d.list(sheet{name: "Test sheet", use: "Plug the panel in, with the continuity list ticked off. Do each line, look, and tick it.", cells: []cell{d.panelCell()}})
	l.para("On the computer, knobwright bench does the looking: it watches what comes, ticks by itself, and says which wire is wrong where something is. This sheet is for the test by eye, with any program that shows buttons and axes.", true)
	var rows []row
	for _, x := range lines {
		rows = append(rows, row{"x", english(x.Say), upperFirst(english(x.Expect)), "x"})
	}
	l.table([]column{{w: 7, tick: true}, {head: "do", bold: true}, {head: "then", w: 58, small: true}, {head: "or what came", w: 34, write: true}}, rows)
	signed(l)
	return &drawing.Document{Title: "Test sheet: " + joinTitle(d), Subject: "press everything and tick it off", Pages: l.done()}
}

// signed sets lines to write on: who, when, which panel.
func signed(l *lister) {
	l.room(26)
	l.y -= 8
	l.table([]column{{w: 34}, {write: true}, {w: 34}, {w: 40, write: true}}, []row{{"tested by", "x", "on", "x"}, {"panel, serial", "x", "firmware", "x"}})
}

// Commissioning makes the commissioning sheet of a panel: every line of the test sheet with the last result that the record has, what
// was seen where something was wrong, and what was left as it is. ErrNothingToTest when there is nothing to test.
func Commissioning(r *job.Result, src []byte, rec *record.Record) ([]byte, error) {
	if r.Panel == nil || r.Panel.Face.Outline.Empty() {
		return nil, ErrNoFace
	}
	lines := diagnosis.Sheet(inputsOf(r))
	if len(lines) == 0 || len(r.Harness.Wires) == 0 {
		return nil, ErrNothingToTest
	}
	if err := settable(r); err != nil {
		return nil, err
	}
	for _, t := range rec.Tests {
		if m := drawing.Missing(t.Note + t.Unit); len(m) > 0 {
			return nil, &drawing.GlyphError{Rune: m[0], Text: t.Note + t.Unit}
		}
	}
	return drawing.PDF(commissioningBook(lines, newDesk(r, src), rec))
}

func commissioningBook(lines []diagnosis.Line, d desk, rec *record.Record) *drawing.Document {
	last := map[string]record.Test{}
	units := map[string]bool{}
	var first, latest string
	for _, t := range rec.Tests {
		last[t.Line] = t
		if t.Unit != "" {
			units[t.Unit] = true
		}
		if first == "" || t.On < first {
			first = t.On
		}
		latest = max(latest, t.On)
	}
	right, wrong, open := 0, 0, 0
	var rows []row
	for _, x := range lines {
		t, ok := last[x.ID]
		result, when := t.Said, t.On
		switch {
		case !ok:
			open++
			result = "not tested"
		case t.Said == diagnosis.Right:
			right++
		default:
			wrong++
			if t.Note != "" {
				result = t.Said + ": " + t.Note
			}
		}
		rows = append(rows, row{english(x.Say), result, day10(when)})
	}
	l := d.list(sheet{name: "Commissioning sheet", use: "What the finished panel showed, line by line; the last result counts.", cells: []cell{d.panelCell()}})
	verdict := fmt.Sprintf("%d of %d lines are right", right, len(lines))
	if wrong > 0 {
		verdict += fmt.Sprintf(", %d are not", wrong)
	}
	if open > 0 {
		verdict += fmt.Sprintf(", %d were not tested", open)
	}
	l.para(verdict+".", false)
	if latest != "" {
		when := "Tested on " + day10(latest)
		if day10(first) != day10(latest) {
			when = "Tested from " + day10(first) + " to " + day10(latest)
		}
		if len(units) > 0 {
			var names []string
			for u := range units {
				names = append(names, u)
			}
			slices.Sort(names)
			when += ", serial " + strings.Join(names, ", ")
		}
		l.para(when+".", false)
	}
	l.table([]column{{head: "done", w: 88, bold: true}, {head: "result"}, {head: "on", w: 24, quiet: true, small: true}}, rows)
	factsList(l, rec)
	signed(l)
	return &drawing.Document{Title: "Commissioning sheet: " + joinTitle(d), Subject: "what the finished panel showed", Pages: l.done()}
}

func day10(on string) string { return on[:min(len(on), 10)] }

// factsList lists what was left otherwise than the file says.
func factsList(l *lister, rec *record.Record) {
	if rec == nil || len(rec.Facts) == 0 {
		return
	}
	l.heading("As built, otherwise than designed")
	for _, f := range rec.Facts {
		say := f.On + ": " + f.What
		if f.Past {
			say += " Mended since."
		}
		l.bullet(say, false)
	}
}

// repairBook is for whoever opens the panel years later: how it opens, what is where, in which order things hang in chains.
func repairBook(r *job.Result, m *diagnosis.Model, d desk, n namer, rec *record.Record) *drawing.Document {
	doc := &drawing.Document{Title: "Repair sheet: " + joinTitle(d), Subject: "how it opens, what is where, what hangs behind what"}
	l := d.list(sheet{name: "Repair sheet", use: "Keep it in the box. What is where, how to get at it, and what to try first.", cells: []cell{d.panelCell()}})
	l.heading("Before the iron is hot")
	l.bullet("Pull the plug. Nothing here is dangerous to touch, but a slip of the probe can end the module.", false)
	l.bullet("Ask the panel itself first: knobwright bench --repair names the likely wire, and what to measure.", false)
	for _, s := range r.Panel.Sheets() {
		if x := m.Opens(s.Board); len(s.Controls) > 0 && !x.Zero() {
			l.bullet(english(x), false)
		}
	}
	if r.Harness.Opening.Say != "" {
		l.bullet(r.Harness.Opening.Say, false)
	}
	factsList(l, rec)
	chains(l, r, n)
	l.heading("What to try first")
	l.table([]column{{head: "what it does", w: 66, bold: true}, {head: "look there first", small: true}}, []row{
		{"one control does nothing", "its lead at the lug, then at the pin; then the contact itself, with the meter"},
		{"several beside each other do nothing", "the chain that they hang in: the joint before the first of them"},
		{"one shows in place of another", "their two leads are exchanged at lugs or pins"},
		{"one stays on", "the lead touches ground, or the contact is welded: take the lead off its lug and look again"},
		{"a pot jumps", "move it to and fro twenty times; then renew it"},
		{"a pot always reads an end", "the lead of the other end, or of the wiper"},
		{"a lamp stays dark", "which way round it is, then its resistor, then the lamp"},
		{"a whole expander is silent", "its supply, its ground, data and clock, in that order"},
		{"nothing at all", "the cable; then whether a supply touches ground"},
	})
	doc.Pages = append(doc.Pages, l.done()...)
	w := d.list(sheet{name: "What is where", use: "Each lead from its lug to where it goes. The rear view shows the lugs.", cells: []cell{d.panelCell()}})
	w.table([]column{{head: "lug", w: 44, bold: true}, {head: "goes to"}, {head: "wire", w: 14}, {head: "colour", w: 18}, {head: "carries", w: 44, quiet: true, small: true}, {head: "mm", w: 14, right: true, quiet: true}}, leadRows(r, n))
	doc.Pages = append(doc.Pages, w.done()...)
	return doc
}

// leadRows are the wires as they are found from the lug, in the order of the controls.
func leadRows(r *job.Result, n namer) []row {
	order := map[string]int{}
	for i, dev := range r.Wiring.Devices {
		if _, ok := order[dev.Control.Name]; !ok {
			order[dev.Control.Name] = i
		}
	}
	type lead struct {
		at  int
		row row
	}
	var all []lead
	for _, w := range r.Harness.Wires {
		lug, far := w.To, w.From
		if r.Harness.Boards[lug.Of] && !r.Harness.Boards[far.Of] {
			lug, far = far, lug
		}
		of := lug.Of
		if f, ok := n.fit[of]; ok {
			of = f.At.Of
		}
		at, ok := order[of]
		if !ok {
			at = len(order) + 1
		}
		colour := w.Colour
		if w.Tracer != "" {
			colour += ", " + w.Tracer
		}
		all = append(all, lead{at, row{n.terminal(lug), n.terminal(far), w.ID, colour, r.Wiring.Nets[w.Net].Name, fmt.Sprintf("%.0f", w.Length)}})
	}
	slices.SortStableFunc(all, func(a, b lead) int { return a.at - b.at })
	out := make([]row, len(all))
	for i, x := range all {
		out[i] = x.row
	}
	return out
}

// chains says what hangs behind what.
func chains(l *lister, r *job.Result, n namer) {
	var rows []row
	for _, c := range r.Harness.Chains {
		if len(c.Lugs) < 2 {
			continue
		}
		var names []string
		for _, t := range c.Lugs {
			names = append(names, n.terminal(t))
		}
		kind := map[wiring.NetKind]string{wiring.NetGround: "ground", wiring.NetAGround: "analog ground"}[r.Wiring.Nets[c.Net].Kind]
		if kind == "" {
			kind = r.Wiring.Nets[c.Net].Name
		}
		if c.Closed {
			kind += ", a ring: one dry joint cuts nothing off"
		}
		rows = append(rows, row{kind, n.terminal(c.Root), strings.Join(names, ", ")})
	}
	if len(rows) == 0 {
		return
	}
	l.heading("Chains: a dry joint cuts off everything after it")
	l.table([]column{{head: "chain", w: 34, bold: true}, {head: "from", w: 36}, {head: "in this order", small: true}}, rows)
}
