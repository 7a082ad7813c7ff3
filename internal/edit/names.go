package edit

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/yamlfile"
)

// place where a name is used, other than as the key of a control itself.
type use struct {
	path string // of the value, or of the key
	key  bool   // the name is the last key of path, with a part after a stroke perhaps: "scene/a"
	list string // the list that it is an item of, "" = none
	text string // what stands there
}

// uses finds where the file names controls: images, orders of lamps, kept numbers, settled pins, the matrix, kept findings.
func (m *maker) uses(names map[string]bool) []use {
	f := &m.doc.File
	var out []use
	list := func(path string, of []string) {
		for i, n := range of {
			if names[n] {
				out = append(out, use{path: path + "." + strconv.Itoa(i), list: path, text: n})
			}
		}
	}
	keys := func(path string, ks []string) {
		for _, k := range ks {
			if n, _, _ := strings.Cut(k, "/"); names[n] {
				out = append(out, use{path: path + "." + k, key: true, text: k})
			}
		}
	}
	for _, g := range f.Groups.Keys {
		v := f.Groups.Get(g)
		if v.Mirror != nil {
			list("groups."+g+".mirror.of", v.Mirror.Of)
		}
		if v.Copy != nil {
			list("groups."+g+".copy.of", v.Copy.Of)
		}
		for _, c := range v.Controls.Keys {
			out = append(out, lampUses("groups."+g+".controls."+c+".sends", v.Controls.Get(c).Sends.Node, names)...)
		}
	}
	for _, c := range f.Controls.Keys {
		out = append(out, lampUses("controls."+c+".sends", f.Controls.Get(c).Sends.Node, names)...)
	}
	keys("numbers", f.Numbers.Keys)
	keys("wiring.pins", f.Wiring.Pins.Keys)
	list("wiring.matrix.of", f.Wiring.Matrix.Of)
	list("wiring.matrix.not", f.Wiring.Matrix.Not)
	for i, k := range f.Keep {
		list("keep."+strconv.Itoa(i)+".of", k.Of)
	}
	return out
}

// lampUses finds "follows go" and "flips go" within what a control sends.
func lampUses(path string, n *yaml.Node, names map[string]bool) []use {
	if n == nil {
		return nil
	}
	var out []use
	switch n.Kind {
	case yaml.ScalarNode:
		if w := strings.Fields(n.Value); len(w) == 2 && (w[0] == "follows" || w[0] == "flips") && names[w[1]] {
			out = append(out, use{path: path, text: n.Value})
		}
	case yaml.MappingNode:
		for i := 0; i+1 < len(n.Content); i += 2 {
			out = append(out, lampUses(path+"."+n.Content[i].Value, n.Content[i+1], names)...)
		}
	case yaml.SequenceNode:
		for i, c := range n.Content {
			out = append(out, lampUses(path+"."+strconv.Itoa(i), c, names)...)
		}
	}
	return out
}

// images gives what mirrors and copies make of a control, and of its images: their names.
func (m *maker) imagesOf(c *panel.Control) []*panel.Control {
	var out []*panel.Control
	for _, d := range m.by {
		if d != c && m.follows(d, []*panel.Control{c}) {
			out = append(out, d)
		}
	}
	slices.SortFunc(out, func(a, b *panel.Control) int { return cmp.Compare(a.Name, b.Name) })
	return out
}

// reserved reports whether a name would be read as something else where the file uses it.
func reserved(name string) bool {
	if strings.HasPrefix(name, "-") {
		return true
	}
	switch strings.ToLower(name) {
	case "null", "true", "false", "itself", "none":
		return true
	}
	return false
}

// rename gives a control another name, wherever the file uses it; its images are renamed with it.
func (m *maker) rename(cs []*panel.Control, name string) (Done, error) {
	c := cs[0]
	name = strings.TrimSpace(name)
	switch {
	case len(cs) > 1:
		return Done{}, refuse("Take one control in hand to rename it.")
	case name == c.Name:
		return Done{}, refuse("It is called so already.")
	case !yamlfile.GoodName(name):
		return Done{}, refuse(strconv.Quote(short(name)), " cannot be a name; use letters, digits, - and _.")
	case reserved(name):
		return Done{}, refuse(name, " means something else in the file: take another name.")
	case !strings.EqualFold(name, c.Name) && m.taken(name):
		return Done{}, refuse("There is something called ", name, " already.")
	case image(c):
		return Done{}, refuse(c.Label, " is made by the group ", c.Group, " from ", c.From, ": rename that one.")
	case m.counted(c):
		return Done{}, refuse("The group ", c.Group, " counts its names; give it another pattern under names:, on the File sheet.")
	}
	to := map[string]string{c.Name: name}
	olds := map[string]bool{c.Name: true}
	for _, d := range m.imagesOf(c) {
		if rest, ok := strings.CutPrefix(d.Name, c.Name); ok {
			to[d.Name], olds[d.Name] = name+rest, true
			if m.taken(name + rest) {
				return Done{}, refuse("There is something called ", name+rest, " already: an image of ", c.Label, " would bear the same name.")
			}
		}
	}
	var edits []finding.Edit
	for _, u := range m.uses(olds) {
		if u.key {
			n, rest, cut := strings.Cut(u.text, "/")
			if cut {
				rest = "/" + rest
			}
			edits = append(edits, finding.Edit{Op: finding.Rename, Path: u.path, Value: to[n] + rest})
			continue
		}
		w := strings.Fields(u.text)
		w[len(w)-1] = to[w[len(w)-1]]
		edits = append(edits, set(u.path, strings.Join(w, " ")))
	}
	for _, d := range m.imagesOf(c) {
		if to[d.Name] != "" && m.written(own(d)) {
			edits = append(edits, finding.Edit{Op: finding.Rename, Path: own(d), Value: to[d.Name]})
		}
	}
	edits = append(edits, finding.Edit{Op: finding.Rename, Path: own(c), Value: name})
	return Done{Edits: edits, Say: "rename " + c.Label, Hand: []string{name}}, nil
}

// remove takes controls out, and what names them; a group that nothing is left of goes too.
func (m *maker) remove(cs []*panel.Control) (Done, error) {
	out := map[string]bool{}
	for _, c := range cs {
		out[c.Name] = true
		if !image(c) {
			for _, d := range m.imagesOf(c) { // they go with it
				out[d.Name] = true
			}
		}
	}
	members := map[string][]*panel.Control{}
	for _, c := range m.by {
		if c.Group != "" {
			members[c.Group] = append(members[c.Group], c)
		}
	}
	gone := map[string]bool{} // whole groups
	for g, ms := range members {
		gone[g] = !slices.ContainsFunc(ms, func(c *panel.Control) bool { return !out[c.Name] })
	}
	var edits []finding.Edit
	closes := false
	for _, c := range cs {
		switch {
		case gone[c.Group]:
			continue
		case image(c):
			if out[c.From] {
				continue // it goes with its pattern
			}
			return Done{}, refuse(c.Label, " is made by the group ", c.Group, " from ", c.From, ": take that one out, or all of ", c.Group, ".")
		case m.counted(c):
			return Done{}, refuse("The group ", c.Group, " counts its members; take all of it out, or write a smaller count on the File sheet.")
		}
		if g := m.doc.File.Groups.Get(c.Group); c.Group != "" && (g.Row != nil || g.Column != nil || g.Grid != nil || g.Arc != nil) {
			closes = true
		}
		edits = append(edits, del(own(c)))
		for _, d := range m.imagesOf(c) { // what the file says of its images
			if m.written(own(d)) && !gone[d.Group] {
				edits = append(edits, del(own(d)))
			}
		}
	}
	for _, g := range m.doc.File.Groups.Keys {
		if gone[g] {
			edits = append(edits, del("groups."+g))
			out[g] = true
		}
	}
	forgot, alone := m.forget(out, gone)
	edits = append(forgot, edits...)
	d, err := m.finish(edits, nil, "take out", cs, "There is nothing to take out.")
	d.Hand = []string{}
	var notes []string
	if closes {
		notes = append(notes, "The others of the row close up.")
	}
	if len(alone) > 0 {
		went := " went by it: write what it shows now."
		if len(alone) > 1 {
			went = " went by what is gone: write what they show now."
		}
		notes = append(notes, labels(alone)+went)
	}
	d.Note = strings.Join(notes, " ")
	return d, err
}

// forget takes names out of lists and keys of the file, and out of what lamps go by; an image of which nothing is left goes as a whole.
// It gives the controls that went by what is gone.
func (m *maker) forget(out, gone map[string]bool) (edits []finding.Edit, alone []*panel.Control) {
	left := map[string]int{}
	uses := m.uses(out)
	for _, u := range uses {
		if u.list != "" {
			left[u.list]++
		}
	}
	slices.Reverse(uses) // items from the end, so that those before keep their numbers
	done := map[string]bool{}
	for _, u := range uses {
		steps := strings.Split(u.path, ".")
		inGone := steps[0] == "groups" && gone[steps[1]]
		switch {
		case inGone:
		case u.key:
			edits = append(edits, del(u.path))
		case u.list == "":
			root, ofIt, _ := strings.Cut(u.path, ".sends")
			name := root[strings.LastIndexByte(root, '.')+1:]
			if out[name] {
				break // it goes itself
			}
			edits = append(edits, del(bare(root+".sends", ofIt, m.sends(steps))))
			if c := m.by[name]; c != nil && !slices.Contains(alone, c) {
				alone = append(alone, c)
			}
		case left[u.list] < m.items(u.list):
			edits = append(edits, del(u.path))
		case done[u.list]:
		case steps[0] == "groups":
			done[u.list] = true
			edits = append(edits, del("groups."+steps[1]))
		case steps[0] == "keep":
			done[u.list] = true
			edits = append(edits, del("keep."+steps[1]))
		default:
			done[u.list] = true
			edits = append(edits, del(u.list))
		}
	}
	slices.Reverse(alone) // in the order of the file
	return edits, alone
}

// sends is what a control sends, as the file has it; steps is a path to it or into it.
func (m *maker) sends(steps []string) *yaml.Node {
	if steps[0] == "groups" {
		return m.doc.File.Groups.Get(steps[1]).Controls.Get(steps[3]).Sends.Node
	}
	return m.doc.File.Controls.Get(steps[1]).Sends.Node
}

// bare is the path to take out so that nothing empty is left: rest leads from the value at root to what goes, and whatever would hold
// nothing else goes with it.
func bare(root, rest string, n *yaml.Node) string {
	keep, at := root, root
	for _, s := range strings.Split(rest, ".") {
		if s == "" || n == nil {
			continue
		}
		at += "." + s
		var next *yaml.Node
		several := false
		switch n.Kind {
		case yaml.MappingNode:
			several = len(n.Content) > 2
			for i := 0; i+1 < len(n.Content); i += 2 {
				if n.Content[i].Value == s {
					next = n.Content[i+1]
				}
			}
		case yaml.SequenceNode:
			several = len(n.Content) > 1
			if i, err := strconv.Atoi(s); err == nil && i < len(n.Content) {
				next = n.Content[i]
			}
		}
		if several {
			keep = at
		}
		n = next
	}
	return keep
}

// items counts the items of a list of names in the file.
func (m *maker) items(path string) int {
	f := &m.doc.File
	s := strings.Split(path, ".")
	switch s[0] {
	case "groups":
		g := f.Groups.Get(s[1])
		if s[2] == "mirror" {
			return len(g.Mirror.Of)
		}
		return len(g.Copy.Of)
	case "keep":
		i, _ := strconv.Atoi(s[1])
		return len(f.Keep[i].Of)
	}
	if s[2] == "of" {
		return len(f.Wiring.Matrix.Of)
	}
	return len(f.Wiring.Matrix.Not)
}
