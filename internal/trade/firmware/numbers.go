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
	if x.kind == turn && !x.whole() {
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

// auto reports whether a deed's number was given.
func (w *worker) auto(d *project.Deed) bool {
	for i := range w.slots {
		if w.slots[i].deed == d {
			return w.slots[i].given
		}
	}
	return false
}
