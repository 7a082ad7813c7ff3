package yamlfile

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
)

// maxValue bounds the value of one edit, in bytes.
const maxValue = 64 << 10

// Refusal is why an edit was not made: a sentence for the person.
type Refusal struct{ Say string }

func (r *Refusal) Error() string { return r.Say }

func refusal(format string, a ...any) error { return &Refusal{fmt.Sprintf(format, a...)} }

var errLost = refusal("This place is written in a way that cannot be changed from here. Change it by hand.")

// Edit changes a text by edits, in their order. Only the bytes that have to change do: comments, order, blank lines, quotes,
// line ends and a byte-order mark stay. The result is read again and compared, value by value, with what the edits ask for;
// if anything differs, or if a comment would be lost, nothing is changed and the error is a *Refusal with the reason.
//
// v is a pointer to the struct that the file is decoded into; its type says where a short form has to be written out
// ("sheet: acrylic-3mm" becomes "sheet: {use: acrylic-3mm, actual: 2.9 mm}"), and which words mean something where.
func Edit(src []byte, v any, edits []finding.Edit) ([]byte, error) {
	e := &editor{t: reflect.TypeOf(v), src: bytes.TrimPrefix(src, []byte(bom))}
	e.mark = len(src) - len(e.src)
	var err error
	if e.root, err = e.read(e.src); err != nil {
		return nil, err
	}
	for len(edits) > 0 {
		n := e.batch(edits)
		if n == 0 {
			n = e.batchOut(edits)
		}
		if n == 0 {
			if err := e.one(edits[0]); err != nil {
				return nil, err
			}
			n = 1
		}
		edits = edits[n:]
	}
	if len(e.src) > MaxBytes {
		return nil, refusal("The file would grow beyond %d bytes.", MaxBytes)
	}
	return append(slices.Clone(src[:e.mark]), e.src...), nil
}

type editor struct {
	t    reflect.Type
	src  []byte // without byte-order mark
	mark int    // bytes of the byte-order mark
	root *yaml.Node
}

// splice puts text in place of src[from:to].
type splice struct {
	from, to int
	text     string
}

// attempt is one way to write a change, with the tree that must come out.
type attempt struct {
	cuts []splice
	want *yaml.Node
}

// read parses a text that is to be edited; an empty one gives a null.
func (e *editor) read(src []byte) (*yaml.Node, error) {
	d := Decoder{}
	n := d.parse(src)
	for _, p := range d.Problems {
		if n == nil && p.Rule != "file.directive" || p.Rule == "file.two-documents" {
			return nil, refusal("The text cannot be edited from here before this is mended, line %d: %s", p.Pos.Line, p.Say)
		}
	}
	if n == nil {
		n = &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!null", Line: 1, Column: 1}
	}
	return n, nil
}

func (e *editor) find(root *yaml.Node, path []string) spot {
	return walk(spot{n: root, t: e.t, rest: path})
}

// one makes a single edit.
func (e *editor) one(ed finding.Edit) error {
	if ed.Path == "" {
		return refusal("An edit must say where.")
	}
	path := strings.Split(ed.Path, ".")
	before, root := e.src, e.root
	want := expand(e.root)
	var err error
	switch ed.Op {
	case finding.Set:
		var v *yaml.Node
		if v, err = e.value(ed.Value); err != nil {
			return err
		}
		if want, err = put(e.find(want, path), v); err == nil {
			err = e.set(path, v)
		}
	case finding.Delete:
		if want, err = e.without(e.find(want, path), ed.Path); err == nil {
			err = e.remove(path)
		}
	case finding.Rename:
		if want, err = renamed(e.find(want, path), ed.Path, ed.Value); err == nil {
			err = e.rename(path, ed.Value)
		}
	default:
		return refusal("%q is not a kind of edit.", ed.Op)
	}
	if err == nil && !same(e.root, want, true) {
		err = errLost
	}
	if err != nil {
		e.src, e.root = before, root
	}
	return err
}

// value reads the value of an edit.
func (e *editor) value(s string) (*yaml.Node, error) {
	if strings.TrimSpace(s) == "" {
		return nil, refusal("An edit that sets something needs a value; take the word out instead.")
	}
	if len(s) > maxValue {
		return nil, refusal("The new value is longer than %d bytes.", maxValue)
	}
	d := Decoder{}
	n := d.parse([]byte(s))
	if n == nil || len(d.Problems) > 0 {
		if len(d.Problems) > 0 && d.Problems[0].Rule != "file.syntax" {
			return nil, refusal("The new value %s cannot be used. %s", short(s), d.Problems[0].Say)
		}
		return nil, refusal("The new value %s cannot be read as YAML.", short(s))
	}
	n = expand(n)
	if dup := duplicate(n); dup != "" {
		return nil, refusal("The new value holds %s twice.", short(dup))
	}
	return n, nil
}

// duplicate gives a key that stands twice in one mapping of a tree, or is no plain word.
func duplicate(n *yaml.Node) string {
	for i, c := range n.Content {
		if n.Kind == yaml.MappingNode && i%2 == 0 {
			if c.Kind != yaml.ScalarNode {
				return "a list as a key"
			}
			if keyIndex(n, c.Value) != i {
				return c.Value
			}
		}
		if d := duplicate(c); d != "" {
			return d
		}
	}
	return ""
}

// commit writes the first attempt that comes out as wanted.
func (e *editor) commit(tries []attempt) error {
	for _, a := range tries {
		out, ok := apply(e.src, a.cuts)
		if !ok {
			continue
		}
		root, err := e.read(out)
		if err == nil && same(root, a.want, false) {
			e.src, e.root = out, root
			return nil
		}
	}
	if bytes.Contains(e.src, []byte("*")) && hasAlias(e.root) {
		return refusal("This value is used in several places of the file (through & and *). Change it by hand.")
	}
	return errLost
}

func hasAlias(n *yaml.Node) bool {
	return n.Kind == yaml.AliasNode || slices.ContainsFunc(n.Content, hasAlias)
}

// apply makes the splices, which must not overlap.
func apply(src []byte, cuts []splice) ([]byte, bool) {
	cuts = slices.Clone(cuts)
	slices.SortStableFunc(cuts, func(a, b splice) int { return a.from - b.from })
	var out []byte
	at := 0
	for _, c := range cuts {
		if c.from < at || c.to < c.from || c.to > len(src) {
			return nil, false
		}
		out = append(append(out, src[at:c.from]...), c.text...)
		at = c.to
	}
	return append(out, src[at:]...), true
}

// guard runs a reckoning of places in the text; a text that is not what its tree says becomes a refusal.
func guard(f func() error) (err error) {
	defer func() {
		switch r := recover().(type) {
		case nil:
		case lost:
			err = errLost
		default:
			panic(r)
		}
	}()
	return f()
}

// batch makes as many edits from the front of the list as only change written values in place, with one reading. It gives
// how many it made; 0 when the first must go its own way.
func (e *editor) batch(edits []finding.Edit) int {
	var cuts []splice
	want := expand(e.root)
	n := 0
	err := guard(func() error {
		p := newPage(e.src, e.root)
		for _, ed := range edits {
			if ed.Op != finding.Set || ed.Path == "" {
				break
			}
			v, err := e.value(ed.Value)
			if err != nil {
				break
			}
			path := strings.Split(ed.Path, ".")
			s, w := e.find(e.root, path), e.find(want, path)
			if !s.found() || s.shared || !w.found() || w.up == nil {
				break
			}
			c, ok := p.leaves(s.n, v)
			if !ok {
				break
			}
			w.up.n.Content[w.idx] = merge(w.n, v)
			cuts = append(cuts, c...)
			n++
		}
		return nil
	})
	if err != nil || n < 2 {
		return 0
	}
	if e.commit([]attempt{{cuts, want}}) != nil {
		return 0
	}
	return n
}

// merge gives the value v in the key order of old, where both have the same keys.
func merge(old, v *yaml.Node) *yaml.Node {
	if old.Kind == yaml.SequenceNode && v.Kind == yaml.SequenceNode && len(old.Content) == len(v.Content) {
		c := *v
		c.Content = nil
		for i := range v.Content {
			c.Content = append(c.Content, merge(old.Content[i], v.Content[i]))
		}
		return &c
	}
	if old.Kind != yaml.MappingNode || v.Kind != yaml.MappingNode || len(old.Content) != len(v.Content) {
		return v
	}
	c := *v
	c.Content = nil
	for i := 0; i+1 < len(old.Content); i += 2 {
		j := keyIndex(v, old.Content[i].Value)
		if j < 0 {
			return v
		}
		c.Content = append(c.Content, v.Content[j], merge(old.Content[i+1], v.Content[j+1]))
	}
	return &c
}
