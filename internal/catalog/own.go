package catalog

import (
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// With lays a person's own file over a catalogue: records under parts:, sheets:, coverings:, bits:, wires: and
// smalls:, by name. A record of a name that is there already takes its place; with like: it may start from any record, also from the one it
// replaces. units: in makes bare numbers inches. The catalogue given stays as it is. Records that cannot be read
// are left out, and said so.
func (c *Catalog) With(name string, src []byte) (*Catalog, []yamlfile.Problem) {
	d := &yamlfile.Decoder{File: name, Bare: length.MM}
	n := d.Parse(src)
	if n == nil {
		return c, d.Problems
	}
	if u := child(n, "units"); u != nil && u.Value == string(length.Inch) {
		d.Bare = length.Inch
	}
	var file struct {
		Knobwright int          `yaml:"knobwright"` // version of the file's form, as in a panel file
		Units      length.Unit  `yaml:"units" jsonschema:"enum=mm,enum=in"`
		Parts      yamlfile.Any `yaml:"parts"`
		Sheets     yamlfile.Any `yaml:"sheets"`
		Coverings  yamlfile.Any `yaml:"coverings"`
		Bits       yamlfile.Any `yaml:"bits"`
		Wires      yamlfile.Any `yaml:"wires"`
		Smalls     yamlfile.Any `yaml:"smalls"`
	}
	d.Decode(n, &file, "")
	l := &Catalog{
		parts:     layer(d, c.parts, file.Parts.Node, "parts"),
		sheets:    layer(d, c.sheets, file.Sheets.Node, "sheets"),
		coverings: layer(d, c.coverings, file.Coverings.Node, "coverings"),
		bits:      layer(d, c.bits, file.Bits.Node, "bits"),
		wires:     layer(d, c.wires, file.Wires.Node, "wires"),
		smalls:    layer(d, c.smalls, file.Smalls.Node, "smalls"),
	}
	judge(d, l.parts, file.Parts.Node, "parts", Part.Validate)
	judge(d, l.sheets, file.Sheets.Node, "sheets", Sheet.Validate)
	judge(d, l.coverings, file.Coverings.Node, "coverings", Covering.Validate)
	judge(d, l.bits, file.Bits.Node, "bits", BitSet.Validate)
	judge(d, l.wires, file.Wires.Node, "wires", Wire.Validate)
	judge(d, l.smalls, file.Smalls.Node, "smalls", Small.Validate)
	l.parts.ids = byClass(l.parts, c.parts.ids)
	slices.SortStableFunc(d.Problems, func(a, b yamlfile.Problem) int {
		if a.Pos.Line != b.Pos.Line {
			return a.Pos.Line - b.Pos.Line
		}
		return a.Pos.Column - b.Pos.Column
	})
	return l, d.Problems
}

// judge says what the person's records under one head contradict.
func judge[T any](d *yamlfile.Decoder, s shelf[T], n *yaml.Node, head string, validate func(T) []string) {
	for _, id := range keys(n) {
		v, ok := s.own[id]
		path := head + "." + id
		if !ok || slices.ContainsFunc(d.Problems, func(p yamlfile.Problem) bool { return strings.HasPrefix(p.Path+".", path+".") }) {
			continue // first things first
		}
		for _, say := range validate(v) {
			d.Problems = append(d.Problems, yamlfile.Problem{Rule: "catalog.impossible", Path: path, Pos: d.Pos[path+"#"], Say: named(id, say), Hint: cureOf(say)})
		}
	}
}

// named puts the record's name before a sentence about it: "my-push: it has no hole".
func named(id, say string) string { return id + ": " + strings.ToLower(say[:1]) + say[1:] }

// unnamed takes the record's name away from a sentence again.
func unnamed(id, say string) string {
	rest, ok := strings.CutPrefix(say, id+": ")
	if !ok || rest == "" {
		return say
	}
	return strings.ToUpper(rest[:1]) + rest[1:]
}

// cures say what mends the contradictions that have one likely cause, by the beginning of the sentence.
var cures = []struct{ of, do string }{
	{"It has no hole", "write its size, as in hole: {round: 16 mm}"},
	{"The body does not go through", "a part that is put in from behind wants seat: rear; else measure body and hole again"},
	{"The body does not cover the hole from behind", "a part that is put in from the front wants no seat: rear; else measure body and hole again"},
	{"The bezel does not cover", "measure bezel and hole again"},
	{"Seat and nut are on the same side", "with seat: rear the nut is in front (side: front), else behind (side: rear)"},
	{"The thread, ", "a hole is 0.2 mm wider than the thread, or more"},
	{"The thread is ", "the most grip is the thread less nut and washers"},
	{"The least grip, ", "write the smaller one first"},
}

// cureOf gives what mends a contradiction, "" when there is no likely cause.
func cureOf(say string) string {
	for _, c := range cures {
		if strings.HasPrefix(say, c.of) {
			return c.do
		}
	}
	return ""
}

// layer reads the records under one head over a shelf.
func layer[T any](d *yamlfile.Decoder, under shelf[T], n *yaml.Node, head string) shelf[T] {
	s := shelf[T]{ids: slices.Clone(under.ids), text: under.text, read: under.read, own: maps.Clone(under.own)}
	if n == nil {
		return s
	}
	if n.Kind != yaml.MappingNode {
		d.Decode(n, &struct{}{}, head) // says what is wrong
		return s
	}
	if s.own == nil {
		s.own = map[string]T{}
	}
	nodes := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k := n.Content[i]
		pos := finding.Pos{File: d.File, Line: k.Line + d.LineOff, Column: k.Column, Length: max(1, len([]rune(k.Value)))}
		path := head + "." + k.Value
		switch {
		case !goodID(k.Value):
			d.Problems = append(d.Problems, yamlfile.Problem{Rule: "file.bad-name", Path: head, Pos: pos, Say: "\"" + k.Value + "\" cannot be a name; use letters, digits, -, _ and a full stop inside."})
		case nodes[k.Value] != nil:
			d.Problems = append(d.Problems, yamlfile.Problem{Rule: "file.duplicate-name", Path: path, Pos: pos, Other: d.Pos[path+"#"], Say: "The name " + k.Value + " is used twice; only the first is read."})
		default:
			d.Pos[path+"#"] = pos
			nodes[k.Value] = n.Content[i+1]
		}
	}
	const (
		waiting = 1
		done    = 2
	)
	state := map[string]int{}
	var read func(id string) (T, bool)
	read = func(id string) (T, bool) {
		var zero T
		if nodes[id] == nil {
			return under.get(id)
		}
		switch state[id] {
		case waiting:
			return zero, false
		case done:
			return s.own[id], true
		}
		state[id] = waiting
		v := record(d, nodes[id], id, head+"."+id, true, func() []string { return append(slices.Sorted(maps.Keys(nodes)), under.ids...) }, func(like string) (T, bool) {
			if like == id {
				return under.get(id)
			}
			return read(like)
		})
		state[id] = done
		s.own[id] = v
		return v, true
	}
	for _, id := range keys(n) {
		if nodes[id] == nil {
			continue
		}
		if read(id); !slices.Contains(s.ids, id) {
			s.ids = append(s.ids, id)
		}
	}
	return s
}

// goodID reports whether s can name a record: as any name, and full stops inside for sizes ("jack-6.35mm").
func goodID(s string) bool {
	for _, w := range strings.Split(s, ".") {
		if !yamlfile.GoodName(w) {
			return false
		}
	}
	return true
}

// byClass puts the person's new parts behind the last built-in one of their class.
func byClass(s shelf[Part], old []string) []string {
	was := map[string]bool{}
	for _, id := range old {
		was[id] = true
	}
	fresh := map[Class][]string{}
	for _, id := range s.ids {
		if !was[id] {
			fresh[s.own[id].Class] = append(fresh[s.own[id].Class], id)
		}
	}
	if len(fresh) == 0 {
		return s.ids
	}
	class := func(id string) Class {
		if p, ok := s.own[id]; ok {
			return p.Class
		}
		c := strings.TrimPrefix(s.text[id].file, "parts/")
		return Class(strings.TrimSuffix(c, ".yaml"))
	}
	var ids []string
	for _, c := range append(slices.Clone(Classes), "") {
		for _, id := range old {
			if class(id) == c {
				ids = append(ids, id)
			}
		}
		ids = append(ids, fresh[c]...)
	}
	return ids
}

// Adjust lays a project file's changes over a part, "this one, but the grip is 4 mm": n is a mapping of part fields that
// stands at path in the file that d reads. Fields given count as the person's own. Problems go to d. The part given
// stays as it is.
func Adjust(p Part, n *yaml.Node, d *yamlfile.Decoder, path string) Part {
	if n == nil {
		return p
	}
	if l := child(n, "like"); l != nil {
		d.Problems = append(d.Problems, yamlfile.Problem{
			Rule: "file.unknown-key", Path: yamlfile.Join(path, "like"), Hint: "name the other part under part:",
			Pos: finding.Pos{File: d.File, Line: l.Line + d.LineOff, Column: l.Column, Length: max(1, len([]rune(l.Value)))},
			Say: "A part that is adjusted is already like another one.",
		})
	}
	like := p.Like
	over(d, n, &p, path, true)
	p.Like = like
	return p
}
