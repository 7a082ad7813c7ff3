package catalog

import (
	"maps"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/trust"
	"knobwright/internal/yamlfile"
)

// Rules are what the reading of catalogue records and the caliper card have to say.
var Rules = slices.Concat(recordRules, measureRules)

var recordRules = []finding.Rule{
	{
		Name: "catalog.unknown-like", Severity: finding.Stop, Title: "the record that another one starts from",
		Explain: "A record may start from another one: like: push-16mm. That other record must stand in the catalogue or in your own " +
			"file, and two records cannot start from each other.",
	},
	{
		Name: "catalog.impossible", Severity: finding.Stop, Title: "numbers of a part record against each other",
		Explain: "A record contradicts itself: a bezel narrower than its hole, a body that cannot pass, a thread too short for the grip " +
			"range it promises. Measure again; one reading is wrong, or it stands at the wrong word.",
	},
}

// kept is what the reader of records needs to know of one.
type kept struct {
	like  *string
	trust *map[string]trust.Source
}

func keptOf(v any) kept {
	switch r := v.(type) {
	case *Part:
		return kept{&r.Like, &r.Trust}
	case *Sheet:
		return kept{&r.Like, &r.Trust}
	case *Covering:
		return kept{&r.Like, &r.Trust}
	case *BitSet:
		return kept{&r.Like, &r.Trust}
	case *Wire:
		return kept{&r.Like, &r.Trust}
	case *Small:
		return kept{&r.Like, &r.Trust}
	}
	panic("catalog: no such record")
}

// record reads one record from a node. When the node says like, base gives the record to start from. mine says that the
// person wrote it: then each field given counts as theirs, unless the record's trust says how it was found.
func record[T any](d *yamlfile.Decoder, n *yaml.Node, id, path string, mine bool, known func() []string, base func(string) (T, bool)) T {
	var v T
	if l := child(n, "like"); l != nil {
		b, ok := base(l.Value)
		if !ok {
			hint := ""
			if w := yamlfile.Nearest(l.Value, known()); w != "" && w != l.Value {
				hint = "did you mean " + w + "?"
			}
			d.Problems = append(d.Problems, yamlfile.Problem{
				Rule: "catalog.unknown-like", Path: path + ".like", Hint: hint,
				Pos: finding.Pos{File: d.File, Line: l.Line + d.LineOff, Column: l.Column, Length: max(1, len([]rune(l.Value)))},
				Say: "There is no record " + l.Value + " to start from, or it starts from this one.",
			})
		}
		v = b
	}
	over(d, n, &v, path, mine)
	switch r := any(&v).(type) {
	case *Part:
		r.ID = id
	case *Sheet:
		r.ID = id
	case *Covering:
		r.ID = id
	case *BitSet:
		r.ID = id
	case *Wire:
		r.ID = id
	case *Small:
		r.ID = id
	}
	return v
}

// over lays the fields of a node over a record.
func over[T any](d *yamlfile.Decoder, n *yaml.Node, v *T, path string, mine bool) {
	was := *v
	if p, ok := any(v).(*Part); ok {
		p.Hole = p.Hole.own()
		if h := child(n, "hole"); h != nil && slices.ContainsFunc(cutForms, func(f string) bool { return child(h, f) != nil }) {
			p.Hole.Round, p.Hole.Rect, p.Hole.Slot, p.Hole.DoubleD, p.Hole.SingleD, p.Hole.Notch = 0, nil, nil, nil, nil, nil
		}
		p.Deeper = 0
	}
	k := keptOf(v)
	old := *k.trust
	*k.trust = nil
	seen := len(d.Problems)
	d.Decode(n, v, path)
	if titleOf(was) != "" || child(n, "like") != nil { // what the record starts from has need not be said again
		news := slices.DeleteFunc(d.Problems[seen:], func(p yamlfile.Problem) bool {
			return p.Rule == "file.missing" && slices.Contains([]string{".title", ".class", ".kind", ".nominal"}, strings.TrimPrefix(p.Path, path))
		})
		d.Problems = d.Problems[:seen+len(news)]
	}
	// A field given anew no longer comes from where the old one came from.
	said := *k.trust
	now := maps.Clone(old)
	for _, f := range keys(n) {
		delete(now, f)
		if mine && f != "trust" && f != "title" && f != "like" {
			now = put(now, f, trust.Source{Text: "your file", Provenance: trust.Yours, Confidence: trust.High})
		}
	}
	for f, s := range said {
		now = put(now, f, s)
	}
	*k.trust = now
	if p, ok := any(v).(*Part); ok {
		p.deepen()
		p.settle(keys(n))
	}
}

var cutForms = []string{"round", "rect", "slot", "double-d", "single-d"}

func titleOf(v any) string {
	switch r := v.(type) {
	case Part:
		return r.Title
	case Sheet:
		return r.Title
	case Covering:
		return r.Title
	case BitSet:
		return r.Title
	case Wire:
		return r.Title
	case Small:
		return r.Title
	}
	return ""
}

func put(m map[string]trust.Source, k string, s trust.Source) map[string]trust.Source {
	if m == nil {
		m = map[string]trust.Source{}
	}
	m[k] = s
	return m
}

// own gives a cut-out that shares nothing with c.
func (c Cut) own() Cut {
	c.Rect, c.Slot, c.DoubleD, c.SingleD, c.Notch = copyOf(c.Rect), copyOf(c.Slot), copyOf(c.DoubleD), copyOf(c.SingleD), copyOf(c.Notch)
	return c
}

func copyOf[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}

// deepen spends Deeper: the deepest body grows away from the face, lugs, bend and plugs move back with its end.
func (p *Part) deepen() {
	if p.Deeper == 0 {
		return
	}
	end := length.Length(0)
	for _, s := range p.Rear {
		if s.Role == "body" {
			end = min(end, s.Z[0])
		}
	}
	p.Rear = slices.Clone(p.Rear)
	for i := range p.Rear {
		s := &p.Rear[i]
		switch {
		case s.Role != "body":
			s.Z[0], s.Z[1] = s.Z[0]-p.Deeper, s.Z[1]-p.Deeper
		case s.Z[0] == end:
			s.Z[0] -= p.Deeper
		}
	}
	p.Deeper = 0
}

// child gives the value of a key in a mapping node, or nil.
func child(n *yaml.Node, key string) *yaml.Node {
	if n == nil {
		return nil
	}
	for n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}

// keys gives the keys of a mapping node.
func keys(n *yaml.Node) []string {
	var s []string
	for n != nil && n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	if n != nil && n.Kind == yaml.MappingNode {
		for i := 0; i+1 < len(n.Content); i += 2 {
			s = append(s, n.Content[i].Value)
		}
	}
	return s
}
