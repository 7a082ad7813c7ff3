package firmware

import (
	"knobwright/internal/finding"
	"knobwright/internal/project"
)

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
		case project.Button, project.AxisDeed, project.Key, project.Consumer, project.System, project.HatDeed, project.Note, project.MIDIControl, project.Program:
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
