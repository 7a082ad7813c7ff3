package firmware

import (
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// How numbers are given. A number that stands in sends: is written; one that stands under numbers: is kept. Both hold whatever else is in
// the file. Everything else that wants a number gets, in file order, the lowest that is neither written, nor kept, nor given yet. So:
//
//  1. a written or kept number never changes;
//  2. a given number depends only on the written and kept ones and on what stands before it in the file: what is added or taken out
//     behind it does not change it;
//  3. once all given numbers are kept (knobwright fix numbers), nothing that is added, moved or taken out anywhere changes any of them,
//     and the number of a control that is gone stays free until its line under numbers: is taken out.

// slot is a place that wants a number or an axis of its own, or has one.
type slot struct {
	key     string
	deed    *project.Deed
	piece   int
	written bool
	given   bool
}

// kindWords are the kinds that are numbered.
func numbered(k project.DeedKind) bool {
	return k == project.Button || k == project.HostDeed || k == project.AxisDeed
}

// number gives numbers and axes.
func (w *worker) number() {
	for i := range w.list {
		w.slotsOf(i)
	}
	taken := map[project.DeedKind]map[string]bool{project.Button: {}, project.HostDeed: {}, project.AxisDeed: {}}
	for i := range w.slots {
		s := &w.slots[i]
		if s.written {
			taken[s.deed.Kind][is(s.deed)] = true
		}
	}
	kept := w.kept(taken)
	for i := range w.slots {
		s := &w.slots[i]
		if k, ok := kept[s.key]; ok && !s.written && k.fits(s.deed.Kind) {
			k.put(s.deed)
			s.written = true
		}
	}
	short := map[project.DeedKind][]int{}
	for i := range w.slots {
		s := &w.slots[i]
		if s.written || s.asOther(w.slots[:i]) {
			continue
		}
		s.given = true
		if !give(s.deed, taken[s.deed.Kind]) {
			short[s.deed.Kind] = append(short[s.deed.Kind], i)
			continue
		}
		w.r.Given = append(w.r.Given, Given{Name: s.key, Is: is(s.deed), What: what(s.deed.Kind)})
	}
	w.short(short)
	w.duplicates()
	w.gaps()
	w.unwritten()
}

// asOther takes over the number of an earlier slot of the same name: the contacts of a switch that sends as one.
func (s *slot) asOther(before []slot) bool {
	for i := range before {
		if o := &before[i]; o.key == s.key && o.deed.Kind == s.deed.Kind {
			s.deed.Number, s.deed.Name = o.deed.Number, o.deed.Name
			return true
		}
	}
	return false
}

func what(k project.DeedKind) string {
	if k == project.HostDeed {
		return "host lamp"
	}
	return string(k)
}

// is writes the number or the axis of a deed.
func is(d *project.Deed) string {
	if d.Kind == project.AxisDeed {
		return d.Name
	}
	return itoa(d.Number)
}

// give gives the lowest that is free.
func give(d *project.Deed, taken map[string]bool) bool {
	if d.Kind == project.AxisDeed {
		for _, n := range project.AxisNames {
			if !taken[n] {
				d.Name, taken[n] = n, true
				return true
			}
		}
		return false
	}
	for n := 1; n <= project.MostButtons; n++ {
		if s := itoa(n); !taken[s] {
			d.Number, taken[s] = n, true
			return true
		}
	}
	return false
}

// slotsOf finds what wants numbers in a piece. What a copy takes over from the control that it was made from asks for numbers of its
// own: two controls that send the same number would be one to the computer.
func (w *worker) slotsOf(i int) {
	x := &w.list[i]
	put := func(d *project.Deed, tail string) {
		if !numbered(d.Kind) {
			return
		}
		key := x.key
		if tail != "" {
			key += "/" + tail
		}
		if x.inherited && (d.Kind == project.Button || d.Kind == project.HostDeed) {
			d.Number = 0
		}
		if x.inherited && d.Kind == project.AxisDeed {
			d.Name = ""
		}
		w.slots = append(w.slots, slot{key: key, deed: d, piece: i, written: d.Number > 0 || d.Name != ""})
	}
	if x.kind == turn && x.does.Kind != project.AxisDeed {
		put(&x.does, "right")
		put(&x.left, "left")
		return
	}
	if x.kind == track && x.stick && x.does.Text == "" { // the track's own name only proposes an axis
		w.propose(x)
	}
	put(&x.does, "")
	put(&x.release, "off")
	put(&x.second, "shifted")
	put(&x.long, "long")
	put(&x.twice, "double")
	for _, d := range []*project.Deed{&x.does, &x.long, &x.twice} {
		if d.Kind == project.Macro {
			d.Steps = slices.Clone(d.Steps)
			for k := range d.Steps {
				put(&d.Steps[k], "step-"+itoa(k+1))
			}
		}
	}
}

// propose leaves a stick its usual axis, unless another piece has it.
func (w *worker) propose(x *piece) {
	for i := range w.list {
		y := &w.list[i]
		if y != x && y.does.Kind == project.AxisDeed && y.does.Name == x.does.Name && !y.inherited {
			x.does.Name = ""
			return
		}
	}
}

// keeps is a number under numbers:.
type keeps struct {
	number int
	axis   string
}

func (k keeps) fits(kind project.DeedKind) bool {
	return kind == project.AxisDeed && k.axis != "" || kind != project.AxisDeed && k.number > 0
}

func (k keeps) put(d *project.Deed) {
	if d.Kind == project.AxisDeed {
		d.Name = k.axis
	} else {
		d.Number = k.number
	}
}

// kept reads the numbers that the file keeps, marks them as taken, and says which are wrong or of nothing.
func (w *worker) kept(taken map[project.DeedKind]map[string]bool) map[string]keeps {
	out := map[string]keeps{}
	known := map[string]*slot{}
	for i := range w.slots {
		known[w.slots[i].key] = &w.slots[i]
	}
	var gone []string
	for _, name := range w.p.Numbers.Keys {
		text := strings.TrimSpace(w.p.Numbers.Get(name).Is)
		path := "numbers." + name
		end := finding.End{Name: name, Path: path, Pos: w.p.Pos(path)}
		k := keeps{}
		if n, err := strconv.Atoi(text); err == nil && n >= 1 && n <= project.MostButtons {
			k.number = n
		} else if slices.Contains(project.AxisNames, strings.ToLower(text)) {
			k.axis = strings.ToLower(text)
		} else {
			w.found(ruleBadValue, finding.Finding{
				Head: short(text) + " is neither a number from 1 to " + itoa(project.MostButtons) + " nor an axis.", Body: "What " + name + " is to keep is passed over.", Ends: []finding.End{end},
			})
			continue
		}
		s := known[name]
		switch {
		case s == nil:
			gone = append(gone, name)
		case s.written || !k.fits(s.deed.Kind):
			w.found(ruleKept, finding.Finding{
				Head: "What " + name + " keeps under numbers: changes nothing.", Body: "It sends " + s.deed.String() + ", as its sends: has it. Take one of the two out.",
				Ends: []finding.End{end, w.end(w.list[s.piece].c, s.deed.Pos)}, Fixes: []finding.Fix{{Say: "Take it out of numbers:", Short: "numbers: -" + name, Edits: []finding.Edit{{Op: finding.Delete, Path: path}}}},
			})
			continue
		}
		for kind, t := range taken {
			if k.fits(kind) && (s == nil || s.deed.Kind == kind) {
				if k.axis != "" {
					t[k.axis] = true
				} else {
					t[itoa(k.number)] = true
				}
			}
		}
		out[name] = k
	}
	if len(gone) > 0 {
		f := finding.Finding{
			Head: "Numbers are kept for what is not on the panel: " + list(gone) + ".", Body: "They stay free, so that nothing else answers to them on the computer. Take the lines out when you are sure.",
			Ends: []finding.End{{Name: gone[0], Path: "numbers." + gone[0], Pos: w.p.Pos("numbers." + gone[0])}},
		}
		w.found(ruleGap, f)
	}
	return out
}

// short says that more is on the panel than a report holds.
func (w *worker) short(short map[project.DeedKind][]int) {
	for _, kind := range []project.DeedKind{project.Button, project.AxisDeed, project.HostDeed} {
		at := short[kind]
		if len(at) == 0 {
			continue
		}
		var names []string
		f := finding.Finding{}
		for _, i := range at {
			names = append(names, w.list[w.slots[i].piece].label)
			if len(f.Ends) < 4 {
				f.Ends = append(f.Ends, w.list[w.slots[i].piece].c.Origin.End())
			}
			if kind != project.AxisDeed {
				*w.slots[i].deed = project.Deed{Kind: project.None}
			} else {
				w.slots[i].deed.Kind = project.None
			}
		}
		most := project.MostButtons
		word, more := "button", "buttons"
		switch kind {
		case project.AxisDeed:
			most, word, more = len(project.AxisNames), "axis", "axes"
		case project.HostDeed:
			word, more = "lamp of the host", "lamps of the host"
		}
		f.Head = "A report holds " + count(most, word, more) + "; " + list(names) + map[bool]string{true: " has", false: " have"}[len(at) == 1] + " none left."
		f.Body = "Let some of them send something else (key f13, note 60), or none."
		f.Measure = &finding.Measure{Have: float64(most + len(at)), Want: float64(most), Sense: finding.AtMost}
		w.refused = true
		w.found(ruleTooMany, f)
	}
}

// duplicates says which controls send the same.
func (w *worker) duplicates() {
	type use struct {
		d *project.Deed
		x *piece
	}
	first := map[string]use{}
	see := func(d *project.Deed, x *piece) {
		switch d.Kind {
		case project.Button, project.AxisDeed, project.Key, project.Consumer, project.System, project.HatDeed, project.Note, project.MIDIControl:
		default:
			return
		}
		s := d.String()
		was, ok := first[s]
		if !ok {
			first[s] = use{d, x}
			return
		}
		if was.x.key == x.key && was.x.c == x.c || x.inherited && d.Kind != project.Button && d.Kind != project.AxisDeed {
			return
		}
		f := finding.Finding{
			Head: finding.Capital(was.x.label) + " and " + x.label + " send the same: " + s + ".", Body: "The computer cannot tell them apart; it sees " + s + " while either is on.",
			Ends: []finding.End{w.end(x.c, d.Pos), w.end(was.x.c, was.d.Pos)},
		}
		rule := ruleDuplicate
		if d.Kind == project.AxisDeed {
			f.Body = "Both move it, one against the other."
		}
		if d.Kind != project.Button && d.Kind != project.AxisDeed && d.Kind != project.HatDeed {
			rule.Severity = finding.Note
		}
		w.found(rule, f)
	}
	for i := range w.list {
		x := &w.list[i]
		if x.kind == lamp {
			continue
		}
		for _, d := range []*project.Deed{&x.does, &x.left, &x.release, &x.second, &x.long, &x.twice} {
			see(d, x)
		}
	}
}

// gaps tells which numbers send nothing.
func (w *worker) gaps() {
	used := map[int]bool{}
	most := 0
	var last *piece
	for i := range w.slots {
		if d := w.slots[i].deed; d.Kind == project.Button {
			used[d.Number] = true
			if d.Number > most {
				most, last = d.Number, &w.list[w.slots[i].piece]
			}
		}
	}
	var free []int
	for n := 1; n < most; n++ {
		if !used[n] {
			free = append(free, n)
		}
	}
	if len(free) == 0 {
		return
	}
	verb := map[bool]string{true: "Button ", false: "Buttons "}[len(free) == 1] + runs(free) + map[bool]string{true: " sends", false: " send"}[len(free) == 1] + " nothing."
	w.found(ruleGap, finding.Finding{
		Head: verb, Body: "The report has room up to button " + itoa(most) + ", which " + last.label + " sends. The computer shows the others as buttons that are never pressed.",
		Ends: []finding.End{last.c.Origin.End()},
	})
}

// unwritten says which numbers were given, and offers to write them down.
func (w *worker) unwritten() {
	if len(w.r.Given) == 0 {
		return
	}
	words := map[string]int{}
	var edits []finding.Edit
	for _, g := range w.r.Given {
		words[g.What]++
		edits = append(edits, finding.Edit{Op: finding.Set, Path: "numbers." + g.Name, Value: g.Is})
	}
	var parts []string
	for _, k := range [][3]string{{"button", "button", "buttons"}, {"axis", "axis", "axes"}, {"host lamp", "lamp of the host", "lamps of the host"}} {
		if n := words[k[0]]; n > 0 {
			parts = append(parts, count(n, k[1], k[2]))
		}
	}
	var first *piece
	for i := range w.slots {
		if w.slots[i].given {
			first = &w.list[w.slots[i].piece]
			break
		}
	}
	them := "them"
	if len(w.r.Given) == 1 {
		them = "it"
	}
	w.found(ruleUnwritten, finding.Finding{
		Head: finding.Capital(list(parts)) + map[bool]string{true: " has its number", false: " have their numbers"}[len(w.r.Given) == 1] + " from the order of the file.",
		Body: "What is added behind " + them + " changes nothing. What is added before moves " + them + " on, and programs on the computer would have to learn " + them + " anew.",
		Ends: []finding.End{first.c.Origin.End()},
		Fixes: []finding.Fix{{
			Say: "Write the numbers down, so that they stay", Short: "numbers: {" + w.r.Given[0].Name + ": " + w.r.Given[0].Is + ", ...}", Edits: edits,
		}},
	})
}

// auto reports whether a deed's number was given.
func (w *worker) auto(d *project.Deed) bool {
	for i := range w.slots {
		if w.slots[i].deed == d {
			return w.slots[i].given
		}
	}
	return false
}
