// Package edit turns what a hand does on the drawing (move, align, spread, mirror, copy, rename, take out, pull the handle of a row) into
// edits of values in the person's file. It is pure: a file, the panel placed from it, and an act give edits; nothing is written.
package edit

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// Act is one thing that a hand does. Which fields count depends on Do.
type Act struct {
	// What is done: move, place, align, spread, mirror, turn, copy, remove, rename, pin, part, add, group, size.
	Do string `json:"do"`
	// The controls it is done to, by name; the first one is the one in hand: others are aligned to it.
	Names []string `json:"names,omitempty"`
	// How far, mm across and up: move, copy, group.
	By [2]float64 `json:"by,omitempty"`
	// align: left, centre, right, top, middle, bottom. spread: across, up. mirror: upright, level. group: the handle.
	How string `json:"how,omitempty"`
	// mirror: about the middle of the face, not of what is in hand. turn: all together about their middle. spread: even steps from
	// middle to middle, not even gaps.
	Whole bool `json:"whole,omitempty"`
	// mirror: keep what is there and let the file make images of it. pin: false lets go again.
	Keep bool `json:"keep,omitempty"`
	// A length or angle as typed: place (across), turn, group, size (width).
	Across string `json:"across,omitempty"`
	// A length as typed: place, size (height).
	Up string `json:"up,omitempty"`
	// rename: the new name. add, part: the catalogue name of the part. group: the group.
	Name string `json:"name,omitempty"`
	// add: how many in a row; 0 and 1 = one control.
	Count int `json:"count,omitempty"`
	// adjust: fields of a part record as YAML flow text, laid over the control's part.
	Fields map[string]string `json:"-"`
	Order  []string          `json:"-"`
	// group: the value is not rounded to half millimetres.
	Fine bool `json:"fine,omitempty"`
}

// Done is what an act comes to.
type Done struct {
	Edits []finding.Edit // in their order; all or none
	Say   string         // what undo will call it: "align 3 controls"
	Note  string         // what was left out, and why; "" = nothing
	Hand  []string       // the names that are in hand afterwards; nil = as before
}

// Refusal is why an act comes to nothing: a sentence for the person.
type Refusal struct{ Say string }

func (r *Refusal) Error() string { return r.Say }

func refuse(parts ...string) error { return &Refusal{strings.Join(parts, "")} }

// Most controls that one act may be done to.
const most = 5000

// Make turns an act into edits. doc is the file that p was placed from. The error is a *Refusal.
func Make(doc *project.Doc, p *panel.Panel, cat *catalog.Catalog, a Act) (Done, error) {
	if len(a.Names) > most {
		return Done{}, refuse("That is too many controls at once.")
	}
	for _, v := range a.By {
		if math.IsNaN(v) || math.Abs(v) > 1e5 {
			return Done{}, refuse("That is farther than any panel reaches.")
		}
	}
	m := &maker{doc: doc, p: p, cat: cat, by: map[string]*panel.Control{}, on: map[*panel.Control]*panel.Panel{}, inch: p.Units == string(length.Inch)}
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			m.by[c.Name], m.on[c] = c, s
		}
	}
	for _, c := range p.Waiting {
		if m.by[c.Name] == nil {
			m.by[c.Name] = c
		}
	}
	switch a.Do {
	case "add":
		return m.add(a)
	case "group":
		return m.group(a)
	case "size":
		return m.size(a)
	}
	var cs []*panel.Control
	for _, n := range a.Names {
		c := m.by[n]
		if c == nil {
			return Done{}, refuse("There is no control called ", n, " any more.")
		}
		if !slices.Contains(cs, c) {
			cs = append(cs, c)
		}
	}
	if len(cs) == 0 {
		return Done{}, refuse("Nothing is in hand.")
	}
	switch a.Do {
	case "move":
		return m.move(cs, geom.Vec2{X: a.By[0], Y: a.By[1]})
	case "place":
		return m.place(cs, a.Across, a.Up)
	case "align":
		return m.align(cs, a.How)
	case "spread":
		return m.spread(cs, a.How, a.Whole)
	case "mirror":
		if a.Keep {
			return m.images(cs, a.How, a.Whole)
		}
		return m.flip(cs, a.How, a.Whole)
	case "turn":
		return m.turn(cs, a.Across, a.Whole)
	case "copy":
		return m.copy(cs, geom.Vec2{X: a.By[0], Y: a.By[1]})
	case "remove":
		return m.remove(cs)
	case "rename":
		return m.rename(cs, a.Name)
	case "pin":
		return m.pin(cs, a.Keep)
	case "part":
		return m.part(cs, a.Name)
	case "adjust":
		d := Done{Say: "adjust " + called(cs)}
		for _, c := range cs {
			for _, k := range a.Order {
				d.Edits = append(d.Edits, set(own(c)+".adjust."+k, a.Fields[k]))
			}
		}
		return d, nil
	}
	return Done{}, refuse(strconv.Quote(short(a.Do)), " is nothing that can be done here.")
}

// maker holds what one act needs.
type maker struct {
	doc  *project.Doc
	p    *panel.Panel
	cat  *catalog.Catalog
	by   map[string]*panel.Control
	on   map[*panel.Control]*panel.Panel // the sheet each control sits in; none while it has no place
	inch bool
}

func short(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "..."
	}
	return s
}

// hair is a shift that two decimals do not show, mm.
const hair = 0.005

func set(path, value string) finding.Edit {
	return finding.Edit{Op: finding.Set, Path: path, Value: value}
}

func del(path string) finding.Edit { return finding.Edit{Op: finding.Delete, Path: path} }

// value writes a length as it stands in the file without a unit: mm with two decimals at most; inches as a fraction where a line of a
// rule is there, else in thousandths.
func (m *maker) value(mm float64) string {
	if !m.inch {
		return length.Plain(mm)
	}
	if s := length.Format(length.Length(mm), length.Inch); !strings.HasPrefix(s, "~") {
		return strings.TrimSuffix(s, " in")
	}
	return strconv.FormatFloat(math.Round(mm/length.PerInch*1000)/1000+0, 'f', -1, 64)
}

// say writes a length for a sentence, with its unit.
func (m *maker) say(mm float64) string {
	if m.inch {
		return m.value(mm) + " in"
	}
	return m.value(mm) + " mm"
}

// read takes a length as typed.
func (m *maker) read(s string) (float64, error) {
	u := length.MM
	if m.inch {
		u = length.Inch
	}
	l, err := length.Parse(strings.ReplaceAll(strings.TrimSpace(s), ",", "."), u)
	if err != nil {
		return 0, &Refusal{finding.Capital(err.Error()) + "."}
	}
	if math.Abs(l.MM()) > 1e5 {
		return 0, refuse("That is farther than any panel reaches.")
	}
	return l.MM(), nil
}

// plainly is a length as typed, with single spaces and a point for a comma.
func plainly(s string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(s, ",", ".")), " ")
}

// ownWords reports whether a length as typed has a fraction or a unit, so that the file keeps it as the person thinks of it.
func ownWords(s string) bool {
	return strings.ContainsAny(s, "/acefhimnort") && !strings.ContainsAny(s, `"'#`)
}

// pair are the edits that put a point in place of another one; where the list is written out only the value that changes is touched.
// typed are texts to keep as they are, "" = none.
func (m *maker) pair(path string, from, to geom.Vec2, typed [2]string) []finding.Edit {
	text := func(i int, v float64) string {
		if typed[i] != "" {
			return typed[i]
		}
		return m.value(v)
	}
	both := [2][2]float64{{from.X, to.X}, {from.Y, to.Y}}
	var out []finding.Edit
	for i, v := range both {
		one := path + "." + strconv.Itoa(i)
		if at := m.doc.Pos(one); at.Line == 0 || at == m.doc.Pos(path) {
			out = nil
			if math.Abs(both[0][1]-both[0][0]) < hair && math.Abs(both[1][1]-both[1][0]) < hair {
				return nil
			}
			return []finding.Edit{set(path, "["+text(0, to.X)+", "+text(1, to.Y)+"]")}
		}
		if math.Abs(v[1]-v[0]) >= hair {
			out = append(out, set(one, text(i, v[1])))
		}
	}
	return out
}

// written reports whether the file holds a value at a path.
func (m *maker) written(path string) bool { return m.doc.Pos(path).Line > 0 }

// own is the path of a control's own record, which need not be there yet.
func own(c *panel.Control) string {
	if c.Group == "" {
		return "controls." + c.Name
	}
	return "groups." + c.Group + ".controls." + c.Name
}

// record is a control's own record in the file.
func (m *maker) record(c *panel.Control) project.Control {
	if c.Group == "" {
		return m.doc.File.Controls.Get(c.Name)
	}
	return m.doc.File.Groups.Get(c.Group).Controls.Get(c.Name)
}

// image reports whether a mirror or a copy made the control.
func image(c *panel.Control) bool { return c.From != "" }

// counted reports whether a group makes the control's name by counting.
func (m *maker) counted(c *panel.Control) bool {
	return c.Group != "" && !image(c) && m.doc.File.Groups.Get(c.Group).Names != ""
}

// called names one control by its label, several by their number.
func called(cs []*panel.Control) string {
	if len(cs) == 1 {
		return cs[0].Label
	}
	return strconv.Itoa(len(cs)) + " controls"
}

// labels lists names for a sentence: "GO, BELL and 3 more".
func labels(cs []*panel.Control) string {
	var s []string
	for i, c := range cs {
		if i == 3 && len(cs) > 4 {
			return strings.Join(s, ", ") + " and " + strconv.Itoa(len(cs)-3) + " more"
		}
		s = append(s, c.Label)
	}
	if n := len(s); n > 1 {
		return strings.Join(s[:n-1], ", ") + " and " + s[n-1]
	}
	return strings.Join(s, "")
}

// taken reports whether a name is borne by a control, a group, the module or another circuit board, whatever its capitals.
func (m *maker) taken(name string) bool {
	low := strings.ToLower(name)
	if low == "module" || slices.ContainsFunc(m.doc.File.Wiring.Boards.Keys, func(b string) bool { return strings.ToLower(b) == low }) {
		return true
	}
	for n := range m.by {
		if strings.ToLower(n) == low {
			return true
		}
	}
	for _, g := range m.doc.File.Groups.Keys {
		if strings.ToLower(g) == low {
			return true
		}
	}
	for _, n := range m.doc.File.Controls.Keys {
		if strings.ToLower(n) == low {
			return true
		}
	}
	return false
}

// free gives the first name of the kind base-2, base-3 that nothing bears; used holds names given out before.
func (m *maker) free(base string, first int, used map[string]bool) string {
	for n := first; ; n++ {
		name := base + "-" + strconv.Itoa(n)
		if !m.taken(name) && !used[name] {
			used[name] = true
			return name
		}
	}
}

// quote writes words as a YAML scalar: plain where that is safe.
func quote(s string) string {
	if s == "" || strings.TrimSpace(s) != s || !yamlfile.GoodName(strings.ReplaceAll(s, " ", "")) {
		return strconv.Quote(s)
	}
	switch strings.ToLower(s) {
	case "null", "true", "false", "yes", "no", "on", "off", "y", "n":
		return strconv.Quote(s)
	}
	if c := s[0]; c >= '0' && c <= '9' || c == '-' {
		return strconv.Quote(s)
	}
	return s
}
