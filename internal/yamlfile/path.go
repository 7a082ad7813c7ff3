package yamlfile

import (
	"reflect"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"
)

// spot is where a path leads in a tree: the deepest node that exists, and the steps that do not exist yet.
type spot struct {
	n      *yaml.Node
	t      reflect.Type // Go type of the value at n, nil when anything may stand there
	rest   []string     // steps below n that are still to be made
	up     *spot        // of the mapping or list that holds n, nil at the root
	idx    int          // place of n in up.n.Content
	shared bool         // reached through an alias: a change here changes other places too
	short  bool         // the last step led to n itself, which is a short form
}

// found reports whether the whole path exists.
func (s spot) found() bool { return len(s.rest) == 0 }

// walk follows a path as far as it exists. Keys may hold dots, so that several steps may make up one key; of all ways to
// part the path the one that leads farthest is taken, the one with the shortest keys first. A short form counts as the
// long one: with "sheet: acrylic-3mm" the path sheet.use leads to the scalar.
func walk(s spot) spot {
	for s.n.Kind == yaml.AliasNode && len(s.rest) > 0 {
		s.n, s.shared = s.n.Alias, true
	}
	s.t = bare(s.t)
	if len(s.rest) == 0 {
		return s
	}
	if x, ok := shortForm(s.n, s.t); ok && s.rest[0] == x.name {
		t := s.t.Field(x.index).Type
		return walk(spot{s.n, t, s.rest[1:], s.up, s.idx, s.shared, true})
	}
	switch s.n.Kind {
	case yaml.MappingNode:
		best, found := s, false
		for k := 1; k <= len(s.rest); k++ {
			i := keyIndex(s.n, strings.Join(s.rest[:k], "."))
			if i < 0 {
				continue
			}
			sub := walk(spot{s.n.Content[i+1], childType(s.t, s.n.Content[i].Value), s.rest[k:], &s, i + 1, s.shared, false})
			if sub.found() {
				return sub
			}
			if !found || len(sub.rest) < len(best.rest) {
				best, found = sub, true
			}
		}
		return best
	case yaml.SequenceNode:
		if i, err := strconv.Atoi(s.rest[0]); err == nil && i >= 0 && i < len(s.n.Content) {
			return walk(spot{s.n.Content[i], childType(s.t, ""), s.rest[1:], &s, i, s.shared, false})
		}
	case yaml.ScalarNode:
		if s.t != nil && s.t.Kind() == reflect.Slice && s.rest[0] == "0" && !isNull(s.n) { // one thing where a list may stand
			return walk(spot{s.n, s.t.Elem(), s.rest[1:], s.up, s.idx, s.shared, true})
		}
	}
	return s
}

// shortForm gives the field that a bare scalar or a bare sequence at n stands for.
func shortForm(n *yaml.Node, t reflect.Type) (field, bool) {
	if t == nil || t.Kind() != reflect.Struct || isOrdered(t) || t == anyType {
		return field{}, false
	}
	f := fieldsOf(t)
	switch {
	case n.Kind == yaml.ScalarNode && !isNull(n) && f.scalar >= 0:
		return f.list[f.scalar], true
	case n.Kind == yaml.SequenceNode && f.seq >= 0:
		return f.list[f.seq], true
	}
	return field{}, false
}

func isOrdered(t reflect.Type) bool {
	_, ok := reflect.Zero(reflect.PointerTo(t)).Interface().(ordered)
	return ok
}

// bare takes pointers off a type; nil stays nil, and Any becomes nil: anything may stand there.
func bare(t reflect.Type) reflect.Type {
	for t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t == anyType || t != nil && t.Kind() == reflect.Interface {
		return nil
	}
	return t
}

// childType gives the type of the value under a key, or of a list's items; nil when anything may stand there.
func childType(t reflect.Type, key string) reflect.Type {
	t = bare(t)
	if t == nil {
		return nil
	}
	switch t.Kind() {
	case reflect.Struct:
		if isOrdered(t) {
			return reflect.New(t).Interface().(ordered).Elem()
		}
		f := fieldsOf(t)
		if i := slices.Index(f.names, key); i >= 0 {
			return t.Field(f.list[i].index).Type
		}
	case reflect.Map, reflect.Slice, reflect.Array:
		return t.Elem()
	}
	return nil
}

// listType reports whether a list stands for values of this type.
func listType(t reflect.Type) bool {
	t = bare(t)
	return t != nil && (t.Kind() == reflect.Slice || t.Kind() == reflect.Array)
}

// nest builds the value that has to be put at a place so that v comes to stand under the steps.
func nest(steps []string, t reflect.Type, v *yaml.Node) (*yaml.Node, error) {
	t = bare(t)
	if len(steps) == 0 {
		return v, nil
	}
	if listType(t) {
		if steps[0] != "0" {
			return nil, refusal("There is no list yet, so item %s cannot be set; begin with item 0.", steps[0])
		}
		sub, err := nest(steps[1:], childType(t, ""), v)
		if err != nil {
			return nil, err
		}
		return &yaml.Node{Kind: yaml.SequenceNode, Tag: "!!seq", Style: yaml.FlowStyle, Content: []*yaml.Node{sub}}, nil
	}
	key, rest := newKey(steps, t)
	if err := mayHold(t, key); err != nil {
		return nil, err
	}
	sub, err := nest(rest, childType(t, key), v)
	if err != nil {
		return nil, err
	}
	return &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Style: yaml.FlowStyle, Content: []*yaml.Node{keyNode(key), sub}}, nil
}

// newKey parts the steps into the key to be made and what lies below it. The names of a plain map may hold dots.
func newKey(steps []string, t reflect.Type) (string, []string) {
	if t = bare(t); t != nil && t.Kind() == reflect.Map {
		return strings.Join(steps, "."), nil
	}
	return steps[0], steps[1:]
}

// mayHold refuses a key that would mean nothing where it is put.
func mayHold(t reflect.Type, key string) error {
	t = bare(t)
	switch {
	case t == nil || t.Kind() == reflect.Map:
		return nil
	case t.Kind() != reflect.Struct:
		return refusal("One value stands there, so nothing can be called %q below it.", short(key))
	case isOrdered(t):
		if !goodKey(reflect.Zero(reflect.PointerTo(t)).Interface().(ordered).Elem(), key) {
			return refusal("%q cannot be a name; use letters, digits, - and _.", short(key))
		}
	case !slices.Contains(fieldsOf(t).names, key):
		return refusal("%q is not a word known there.", short(key))
	}
	return nil
}

func keyNode(key string) *yaml.Node {
	return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: key}
}

// keyIndex gives the place of a key in a mapping's Content, -1 when absent.
func keyIndex(n *yaml.Node, key string) int {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if k := n.Content[i]; k.Kind == yaml.ScalarNode && k.Value == key {
			return i
		}
	}
	return -1
}

// expand copies a tree with all aliases written out.
func expand(n *yaml.Node) *yaml.Node {
	for n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	c := &yaml.Node{Kind: n.Kind, Style: n.Style, Tag: n.Tag, Value: n.Value, Line: n.Line, Column: n.Column}
	if len(n.Content) > 0 {
		c.Content = make([]*yaml.Node, len(n.Content))
		for i, x := range n.Content {
			c.Content[i] = expand(x)
		}
	}
	return c
}

// same reports whether two trees say the same: kinds, types and values; how they are written does not matter. With loose
// the order of keys does not matter either. Keys are compared by their text.
func same(a, b *yaml.Node, loose bool) bool {
	for a.Kind == yaml.AliasNode {
		a = a.Alias
	}
	for b.Kind == yaml.AliasNode {
		b = b.Alias
	}
	if a.Kind != b.Kind || a.Tag != b.Tag || len(a.Content) != len(b.Content) {
		return false
	}
	if a.Kind == yaml.ScalarNode {
		return a.Value == b.Value || isNull(a)
	}
	for i := 0; i < len(a.Content); i++ {
		if a.Kind == yaml.MappingNode && i%2 == 0 {
			x, y := a.Content[i], b.Content[i]
			if x.Kind == yaml.ScalarNode && y.Kind == yaml.ScalarNode && x.Value == y.Value {
				continue
			}
			if loose && x.Kind == yaml.ScalarNode {
				j := keyIndex(b, x.Value)
				if j < 0 || !same(a.Content[i+1], b.Content[j+1], loose) {
					return false
				}
				i++
				continue
			}
		}
		if !same(a.Content[i], b.Content[i], loose) {
			return false
		}
	}
	return true
}
