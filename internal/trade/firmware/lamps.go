package firmware

import (
	"cmp"
	"slices"

	core "knobwright/firmware"

	"knobwright/internal/finding"
	"knobwright/internal/hid"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

const (
	hidInput = hid.Input
	hatUsage = hid.HatSwitch
)

// emitLamps makes the lamps: first those on pins of the module in file order, then those of each expander by line, as the scan has
// them.
func (w *worker) emitLamps() {
	type at struct {
		x   *piece
		pin lampPin
		nth int
	}
	var all []at
	for i := range w.list {
		x := &w.list[i]
		if x.kind != lamp {
			continue
		}
		w.lampGoesBy(x)
		if len(x.sig) == 0 {
			continue
		}
		if pin, ok := w.scan.lampPins[x.sig[0]]; ok {
			all = append(all, at{x, pin, len(all)})
		}
	}
	boards := map[string]int{}
	for i := range w.w.Boards {
		boards[w.w.Boards[i].Name] = i + 1
	}
	slices.SortFunc(all, func(a, b at) int {
		return cmp.Or(cmp.Compare(boards[a.pin.board], boards[b.pin.board]), cmp.Compare(a.pin.line, b.pin.line), cmp.Compare(a.nth, b.nth))
	})
	for i, l := range all {
		rec := core.Lamp{Kind: core.FromPC, Refers: core.None}
		switch d := &l.x.does; d.Kind {
		case project.Steady:
			rec = core.Lamp{Kind: core.Steady}
		case project.Follows, project.Flips:
			rec = core.Lamp{Kind: map[project.DeedKind]core.LampKind{project.Follows: core.Follows, project.Flips: core.Flips}[d.Kind]}
			name := d.Name
			if name == "" {
				name = l.x.c.Name
			}
			no := w.inputOf(name)
			if no < 0 {
				rec = core.Lamp{Kind: core.Steady, Invert: true}
				break
			}
			rec.Refers = uint16(no)
		case project.Note, project.MIDIControl:
			m := midiOf(d)
			rec = core.Lamp{Kind: core.Hears, Refers: uint16(m.status) | uint16(m.number)<<8}
		case project.HostDeed:
			rec.Refers = w.layout.row(w.layout.lampPlace(d.Number))
		default: // dark
			rec = core.Lamp{Kind: core.Steady, Invert: true}
		}
		w.r.Table.Lamps = append(w.r.Table.Lamps, rec)
		w.lampLabels = append(w.lampLabels, l.x.label)
		if l.pin.board == "" {
			w.scan.board.Lamps = append(w.scan.board.Lamps, core.LampPin{Pin: l.pin.pin, Lamp: byte8(i)})
		}
	}
	if len(w.steady) > 0 {
		var names []string
		f := finding.Finding{}
		for _, c := range w.steady {
			names = append(names, c.Label)
			if len(f.Ends) < 4 {
				f.Ends = append(f.Ends, c.Origin.End())
			}
		}
		f.Head = finding.Capital(list(names)) + map[bool]string{true: " is", false: " are"}[len(names) == 1] + " lit as long as the panel is awake: the file does not say what they go by."
		if len(names) == 1 {
			f.Head = finding.Capital(names[0]) + " is lit as long as the panel is awake: the file does not say what it goes by."
		}
		f.Body = "Write sends: follows go, sends: flips go, or sends: host for the computer; sends: steady keeps it so."
		w.found(ruleSteady, f)
	}
}

// lampGoesBy checks the control that a lamp goes by.
func (w *worker) lampGoesBy(x *piece) {
	d := &x.does
	if d.Kind != project.Follows && d.Kind != project.Flips {
		return
	}
	name := d.Name
	if name == "" {
		name = x.c.Name
	}
	if x.inherited && d.Name != "" { // the copy of a lamp goes by the copy of its control
		if twin := w.twin(x, d.Name); twin != "" {
			d.Name = twin
			return
		}
	}
	for i := range w.list {
		if y := &w.list[i]; y.kind == contact && !y.none && (y.key == name || y.c.Name == name) {
			return
		}
	}
	if d.Text == "" {
		return // nobody asked: a lit part whose contacts are left out of the wiring
	}
	var names []string
	for i := range w.list {
		if y := &w.list[i]; y.kind == contact && !y.none && !slices.Contains(names, y.key) {
			names = append(names, y.key)
		}
	}
	f := finding.Finding{
		Head: x.label + " is to go by " + short(name) + ", and there is no contact of that name.", Body: "It stays dark.", Ends: []finding.End{w.end(x.c, d.Pos)},
	}
	if near := yamlfile.Nearest(name, names); near != "" {
		f.Body = "Did you mean " + near + "?"
		if d.Path != "" && w.p.Pos(d.Path).Line > 0 && !x.inherited {
			f.Fixes = []finding.Fix{{Say: "Write " + string(d.Kind) + " " + near, Short: string(d.Kind) + " " + near, Edits: []finding.Edit{{Op: finding.Set, Path: d.Path, Value: string(d.Kind) + " " + near}}}}
		}
	}
	if !w.copied[x.c] {
		w.found(ruleUnknownWord, f)
	}
}

// twin finds the copy of a control that was made together with the copy of a lamp.
func (w *worker) twin(x *piece, name string) string {
	for i := range w.list {
		if y := &w.list[i]; y.kind == contact && y.c.From == name && y.c.Group == x.c.Group {
			return y.c.Name
		}
	}
	return ""
}
