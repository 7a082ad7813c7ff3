package wiring

import (
	"slices"

	"knobwright/internal/finding"
)

// say tells what the plan as a whole has to say.
func (w *worker) say() {
	for _, x := range w.wrong {
		f := x.finding
		if got := w.r.Plan.Seats[x.signal].Pin; w.module >= 0 && got.Of == w.r.Boards[w.module].Name {
			name := printed(&w.r.Boards[w.module], got.Lug)
			f.Fixes = append([]finding.Fix{{
				Say: "Put it on " + w.sayPin(got), Short: name, Edits: []finding.Edit{{Op: finding.Set, Path: x.path, Value: quote(name)}},
			}}, f.Fixes...)
		}
		w.found(x.rule, f)
	}
	w.unknownBoards()
	if w.module < 0 {
		w.noModule()
		return
	}
	w.short()
	w.added()
	w.held()
	w.addresses()
}

// unknownBoards says which further boards are no boards that leads can go to.
func (w *worker) unknownBoards() {
	for _, b := range w.r.Boards {
		if b.Part.Board == nil && b.Name != "module" && b.Module != nil {
			w.found(ruleNoPins, finding.Finding{
				Head: "Nothing is known of the pins of " + or(b.Part.Title, b.Part.ID) + ".", Body: "No lead goes to " + b.Label + ".", Ends: []finding.End{b.Module.Origin.End()},
			})
		}
	}
}

// noModule says that there is no module to wire to.
func (w *worker) noModule() {
	if len(w.r.Signals) == 0 {
		return
	}
	if m := w.p.Module; m != nil {
		w.found(ruleNoPins, finding.Finding{
			Head: "Nothing is known of the pins of " + or(m.Part.Title, m.Part.ID) + ".", Body: plural(len(w.r.Signals), "lead") + " wait for a pin.", Ends: []finding.End{m.Origin.End()},
		})
		return
	}
	f := finding.Finding{
		Head: "There is no module for the " + plural(len(w.r.Signals), "lead") + " of this panel.", Body: "Pins are given when the file names one.",
		Ends: []finding.End{{Name: "the panel", Path: "module"}},
	}
	w.r.Plan.Options = w.otherModules()
	for _, o := range w.r.Plan.Options {
		if len(f.Fixes) < 2 {
			f.Fixes = append(f.Fixes, moduleFix("module", "{part: "+o.Module+"}", o))
		}
	}
	if m := w.largest(); len(f.Fixes) == 0 && m != nil {
		f.Body += " None of the catalogue has a pin for each; some will have to share."
		f.Fixes = append(f.Fixes, finding.Fix{Say: "Take " + m.Title, Short: "module: {part: " + m.ID + "}", Edits: []finding.Edit{{Op: finding.Set, Path: "module", Value: "{part: " + m.ID + "}"}}})
	}
	w.found(ruleNoModule, f)
}

func moduleFix(path, value string, o Option) finding.Fix {
	return finding.Fix{
		Say: "Take " + o.Module + ": a pin for every lead, " + itoa(o.Left) + " left", Short: path + ": " + value, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: value}},
	}
}

// short says which leads compete for too few pins.
func (w *worker) short() {
	p := &w.r.Plan
	for _, s := range p.Short {
		f := finding.Finding{Head: s.Say, Measure: &finding.Measure{Have: float64(len(s.Pins)), Want: float64(len(s.Signals)), Sense: finding.AtLeast}}
		var rest []string
		for i := range p.Seats {
			if p.Seats[i].Way == Waits && !slices.Contains(s.Signals, i) {
				rest = append(rest, w.r.Signals[i].Label)
			}
		}
		if len(rest) > 0 {
			f.Body = finding.Capital(several(rest)) + map[bool]string{true: " waits", false: " wait"}[len(rest) == 1] + " for a pin too. "
		}
		f.Body += "The plan is partial."
		seen := map[string]bool{}
		for _, i := range s.Signals {
			if c := w.wants[i].control; c != nil && !seen[c.Name] {
				seen[c.Name] = true
				f.Ends = append(f.Ends, c.Origin.End())
			}
		}
		f.Ends = append(f.Ends, w.moduleEnd())
		if w.by() != "auto" && slices.ContainsFunc(p.Options, func(o Option) bool { return o.Fits && o.Module == "" }) {
			f.Fixes = append(f.Fixes, finding.Fix{Say: "Let the plan choose how leads share pins", Short: "by: auto", Edits: []finding.Edit{{Op: finding.Set, Path: "wiring.by", Value: "auto"}}})
		}
		for _, o := range p.Options {
			if o.Module != "" && len(f.Fixes) < 2 {
				path := "module.part"
				f.Fixes = append(f.Fixes, moduleFix(path, o.Module, o))
			}
		}
		w.found(rulePinsShort, f)
	}
}

// added says what the plan takes beyond what the file has.
func (w *worker) added() {
	var edits []finding.Edit
	var names []string
	for _, b := range w.r.Boards {
		if b.Added {
			edits = append(edits, finding.Edit{Op: finding.Set, Path: "wiring.boards." + b.Name, Value: "{part: " + b.Part.ID + "}"})
			names = append(names, b.Name)
		}
	}
	if len(edits) == 0 && !w.sharesUnasked() {
		return
	}
	leads, wipers, analog := 0, 0, 0
	for _, s := range w.r.Signals {
		if s.Device >= 0 {
			leads++
			if s.Kind == SigWiper {
				wipers++
			}
		}
	}
	_, pins := linesOf(w.r.Boards[w.module].Part)
	for _, p := range w.r.Boards[w.module].Part.Board.Pins {
		if p.Line() && p.Has("analog") {
			analog++
		}
	}
	want := plural(leads, "lead") + " want a pin, and the module has " + itoa(pins)
	if leads <= pins && wipers > analog {
		want = plural(wipers, "wiper") + " want a pin that can read a voltage, and the module has " + itoa(analog)
	}
	f := finding.Finding{
		Head: want + ": the plan takes " + w.r.Plan.Title + ".",
		Body: finding.Capital(several(names)) + map[bool]string{true: " is", false: " are"}[len(names) == 1] + " not in the file yet, so nothing is known of where they lie.",
		Ends: []finding.End{w.moduleEnd()},
		Fixes: []finding.Fix{{
			Say: "Write " + several(names) + " into the file", Short: "wiring: {boards: ...}", Edits: edits,
		}},
	}
	if len(names) == 0 {
		f.Body, f.Fixes = "To settle it, say so under wiring: by, or via at a control; other ways are listed with the plan.", nil
	}
	if len(names) == 1 {
		f.Body = finding.Capital(names[0]) + " is not in the file yet, so nothing is known of where it lies."
	}
	w.found(ruleAdded, f)
}

// sharesUnasked reports whether contacts share a matrix or a ladder that the file does not ask for.
func (w *worker) sharesUnasked() bool {
	if w.by() != "auto" {
		return false
	}
	for i, s := range w.r.Plan.Seats {
		if (s.Way == Matrix || s.Way == Ladder) && w.wants[i].via != s.Way {
			return true
		}
	}
	return false
}

// held says what shows falsely in a matrix without diodes.
func (w *worker) held() {
	m := w.r.Plan.Matrix
	if m == nil || m.Diodes {
		return
	}
	gs := Ghosts(w.r.Crossings())
	if len(gs) == 0 {
		return
	}
	g := gs[0]
	label := func(i int) string { return w.r.Signals[i].Label }
	var on, press []string
	ends := []finding.End{w.r.Signals[g.Shows].Origin.End()}
	closed := slices.Sorted(slices.Values(g.Closed)) // in file order, as people look for them
	for _, i := range closed {
		ends = append(ends, w.r.Signals[i].Origin.End())
		if w.r.Devices[w.r.Signals[i].Device].Holds {
			on = append(on, label(i))
		} else {
			press = append(press, label(i))
		}
	}
	f := finding.Finding{Ends: ends}
	switch {
	case len(press) == 0:
		f.Head = "While " + list(on) + " are on, " + label(g.Shows) + " shows too, though it is off."
	case len(on) == 0:
		f.Head = finding.Capital(list(press)) + " pressed together show " + label(g.Shows) + " too."
	default:
		f.Head = "With " + list(on) + " on, pressing " + list(press) + " shows " + label(g.Shows) + " too."
	}
	f.Body = "The matrix has no diodes. " + plural(len(gs), "contact") + " can show falsely in this way; a diode to each cures it."
	f.Fixes = []finding.Fix{{Say: "Give every contact a diode", Short: "diodes: to-row", Edits: []finding.Edit{{Op: finding.Set, Path: "wiring.matrix.diodes", Value: "to-row"}}}}
	r := ruleMatrixHeld
	if len(on) == 0 {
		r.Severity = finding.Note // three fingers
	}
	w.found(r, f)
}

// addresses says which two things on one I2C bus have the same address.
func (w *worker) addresses() {
	type user struct {
		address, bus int
		end          finding.End
		path         string
	}
	var all []user
	for _, c := range w.controls {
		if pw := c.Part.Circuit.Powered; pw != nil && pw.Address > 0 && slices.ContainsFunc(w.bus, func(e busEnd) bool { return e.term.Of == c.Name }) {
			all = append(all, user{address: pw.Address, end: c.Origin.End()})
		}
	}
	for i := range w.r.Boards {
		b := &w.r.Boards[i]
		if b.Part.Board != nil && b.Part.Board.Role == roleExpander && !b.Added {
			all = append(all, user{b.Address, b.bus, b.Module.Origin.End(), "wiring.boards." + b.Name + ".address"})
		}
	}
	for j, b := range all {
		for _, a := range all[:j] {
			if a.address != b.address || a.bus != b.bus || a.address == 0 {
				continue
			}
			w.found(ruleSameAddress, finding.Finding{
				Head: finding.Capital(b.end.Name) + " and " + a.end.Name + " have the same address on the bus, " + itoa(a.address) + ".",
				Body: "Both would answer at once. One of them must be set to another, by a bridge of solder on its board or by address: in the file.",
				Ends: []finding.End{b.end, a.end},
			})
		}
	}
}

// lostWay says that what the file asks for cannot be done; why where more is known than that.
func (w *worker) lostWay(by, why string) {
	path := "wiring.by"
	usual := map[string]string{
		"matrix":   "The rows and columns given do not hold the contacts that are to share them, or too few pins are left for the lines.",
		"expander": "There is no bus for so many expanders, or no expander in the catalogue.",
		"shift-in": "Too few pins are left, or no shift-in board is in the catalogue.",
		"ladder":   "No switch of many positions is on the panel, or no pin that can read a voltage is left.",
	}[by]
	if why == "" {
		why = usual
	}
	w.found(rulePinsShort, finding.Finding{
		Severity: finding.Warn, Head: finding.Capital(wayWords[Way(by)]) + " cannot be had as the file asks.", Body: why + " The plan takes this instead: " + w.r.Plan.Title + ".",
		Ends:  []finding.End{{Name: "wiring", Path: path, Pos: w.p.Pos(path)}},
		Fixes: []finding.Fix{{Say: "Let the plan choose", Short: "by: auto", Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: "auto"}}}},
	})
}

// matrixFull says by how much a matrix of the size that the file gives is too small; "" when it is not, or no size is given.
func (w *worker) matrixFull() string {
	rows, columns := w.p.Wiring.Matrix.Rows, w.p.Wiring.Matrix.Columns
	v := w.variant("matrix")
	t := v.count()
	n := t.crossable + t.mustCross
	if rows <= 0 || columns <= 0 || n <= rows*columns {
		return ""
	}
	return plural(rows, "row") + " and " + plural(columns, "column") + " have " + plural(rows*columns, "place") + ", and " + itoa(n) +
		" contacts are to share them. Give it more, or write via: direct at controls with " + plural(n-rows*columns, "contact") + "."
}
