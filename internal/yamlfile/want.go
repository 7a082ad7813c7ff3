package yamlfile

import (
	"reflect"
	"slices"
	"strconv"

	"go.yaml.in/yaml/v4"
)

// Here the trees are made that edits must lead to; how the text gets there is reckoned elsewhere.

// put gives the tree in which v stands at the spot.
func put(s spot, v *yaml.Node) (*yaml.Node, error) {
	if s.found() && s.up == nil {
		return nil, refusal("The whole file cannot be set at once.")
	}
	n, err := graft(s, v, false)
	if err != nil {
		return nil, err
	}
	return rooted(s, n), nil
}

// rooted puts n in the place of the spot's node and gives the root.
func rooted(s spot, n *yaml.Node) *yaml.Node {
	if s.up == nil {
		return n
	}
	top := s.up
	top.n.Content[s.idx] = n
	for top.up != nil {
		top = top.up
	}
	return top.n
}

// graft gives what has to stand in place of the spot's node so that v stands at the end of its path.
func graft(s spot, v *yaml.Node, first bool) (*yaml.Node, error) {
	switch {
	case s.found():
		return v, nil
	case isNull(s.n):
		return nest(s.rest, s.t, v)
	case s.n.Kind == yaml.MappingNode:
		key, sub, err := newEntry(s, v)
		if err != nil {
			return nil, err
		}
		c := *s.n
		if first || leads(s.t, key) {
			c.Content = append([]*yaml.Node{keyNode(key), sub}, c.Content...)
		} else {
			c.Content = append(slices.Clone(c.Content), keyNode(key), sub)
		}
		return &c, nil
	}
	if x, ok := shortForm(s.n, s.t); ok { // write the short form out
		key, sub, err := newEntry(s, v)
		if err != nil {
			return nil, err
		}
		return &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Style: yaml.FlowStyle,
			Content: []*yaml.Node{keyNode(x.name), s.n, keyNode(key), sub}}, nil
	}
	items := s.n.Content
	if s.n.Kind == yaml.ScalarNode {
		if s.t == nil || s.t.Kind() != reflect.Slice {
			return nil, refusal("One value stands there, so nothing can be set below it.")
		}
		items = []*yaml.Node{s.n}
	}
	if i, err := strconv.Atoi(s.rest[0]); err != nil || i != len(items) || s.t != nil && s.t.Kind() == reflect.Array && i >= s.t.Len() {
		return nil, refusal("The list there has %d items, so item %q cannot be set.", len(items), short(s.rest[0]))
	}
	sub, err := nest(s.rest[1:], childType(s.t, ""), v)
	if err != nil {
		return nil, err
	}
	return &yaml.Node{Kind: yaml.SequenceNode, Tag: "!!seq", Style: yaml.FlowStyle, Content: append(slices.Clone(items), sub)}, nil
}

// newEntry gives the key that is to be made in a mapping at the spot, and its value.
func newEntry(s spot, v *yaml.Node) (string, *yaml.Node, error) {
	key, rest := newKey(s.rest, s.t)
	if err := mayHold(s.t, key); err != nil {
		return "", nil, err
	}
	sub, err := nest(rest, childType(s.t, key), v)
	return key, sub, err
}

// leads reports whether a key is the one that people write first.
func leads(t reflect.Type, key string) bool {
	t = bare(t)
	if t == nil || t.Kind() != reflect.Struct || isOrdered(t) {
		return false
	}
	f := fieldsOf(t)
	return len(f.names) > 0 && f.names[0] == key
}

// without gives the tree without the spot's node, and its key.
func (e *editor) without(s spot, path string) (*yaml.Node, error) {
	if !s.found() {
		return nil, refusal("There is no %s in the file to take out.", short(path))
	}
	if s.up == nil {
		return nil, refusal("The whole file cannot be taken out.")
	}
	c := *s.up.n
	from := s.idx
	if c.Kind == yaml.MappingNode {
		from--
	}
	c.Content = slices.Delete(slices.Clone(c.Content), from, s.idx+1)
	if s.up.up == nil && len(c.Content) == 0 && c.Style&yaml.FlowStyle == 0 {
		return &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!null"}, nil
	}
	return rooted(*s.up, &c), nil
}

// renamed gives the tree in which the spot's key is another one.
func renamed(s spot, path, key string) (*yaml.Node, error) {
	switch {
	case !s.found():
		return nil, refusal("There is no %s in the file to rename.", short(path))
	case s.up == nil || s.short || s.up.n.Kind != yaml.MappingNode:
		return nil, refusal("%s has no name that could be changed.", short(path))
	case s.up.n.Content[s.idx-1].Value == key:
		return rooted(s, s.n), nil
	case keyIndex(s.up.n, key) >= 0:
		return nil, refusal("%s stands there already.", short(key))
	}
	if err := mayHold(s.up.t, key); err != nil {
		return nil, err
	}
	c := *s.up.n
	c.Content = slices.Clone(c.Content)
	c.Content[s.idx-1] = keyNode(key)
	return rooted(*s.up, &c), nil
}
