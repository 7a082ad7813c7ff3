// Package yamlfile decodes YAML text into Go structs, strictly and with everything a person needs to mend a slip: every
// value's position, unknown keys with the likely word, lengths and angles with units, all problems in one go. What can be
// decoded is decoded even when something else in the file is wrong. The same text always gives the same result.
//
// Struct tags:
//
//	yaml:"name"                 the key
//	jsonschema:"required"       a missing key is a problem
//	jsonschema:"enum=a,enum=b"  the words allowed
//	kw:"scalar"                 a bare scalar in place of the mapping sets this field ("sheet: acrylic-3mm")
//	kw:"list"                   a bare sequence in place of the mapping sets this field
//
// Decoding goes over what the struct already holds: keys present replace, keys absent keep. Slices are replaced whole.
package yamlfile

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/length"
)

// Problem is something wrong with the text, at a place.
type Problem struct {
	Rule string // "file.unknown-key", "file.not-a-length", ...
	Pos  finding.Pos
	Path string
	Say  string // one sentence
	Hint string // "did you mean covering?"; may be empty
}

// Ordered is a mapping that remembers the order of its keys in the file.
type Ordered[T any] struct {
	Keys []string
	Map  map[string]T
}

// Get gives the value of a key, or the zero value.
func (o Ordered[T]) Get(k string) T { return o.Map[k] }

// Len is the number of keys.
func (o Ordered[T]) Len() int { return len(o.Keys) }

// Set puts a value under a key, at the end if the key is new.
func (o *Ordered[T]) Set(k string, v T) {
	if o.Map == nil {
		o.Map = map[string]T{}
	}
	if _, ok := o.Map[k]; !ok {
		o.Keys = append(o.Keys, k)
	}
	o.Map[k] = v
}

// Any is a value that this reader keeps without judging it; it is printed back as flow text.
type Any struct{ Node *yaml.Node }

// Text gives the value as one line of YAML flow text, "" when absent.
func (a Any) Text() string {
	if a.Node == nil {
		return ""
	}
	return flow(a.Node)
}

// ordered is implemented by Ordered[T] so that the decoder can fill it without knowing T.
type ordered interface {
	elem() reflect.Type
	old(k string) (reflect.Value, bool)
	put(k string, v reflect.Value)
}

func (o *Ordered[T]) elem() reflect.Type { return reflect.TypeFor[T]() }
func (o *Ordered[T]) old(k string) (reflect.Value, bool) {
	v, ok := o.Map[k]
	return reflect.ValueOf(v), ok
}
func (o *Ordered[T]) put(k string, v reflect.Value) { o.Set(k, v.Interface().(T)) }

// Decoder carries what is constant over one file.
type Decoder struct {
	File     string                 // name used in positions
	Bare     length.Unit            // unit of numbers written without one
	LineOff  int                    // added to every line number: for text that is a slice of a larger file
	Pos      map[string]finding.Pos // filled: position of every value, by path; keys at path + "#"
	Problems []Problem              // filled: everything that is wrong, in file order
}

// Limits of what is read: a text beyond them is refused, never half-read.
const (
	MaxBytes = 1 << 20 // 1 MiB
	maxDepth = 40
	maxNodes = 400_000
)

// Parse turns text into a node tree within the limits. A nil node without problems means an empty document.
func (d *Decoder) Parse(src []byte) *yaml.Node {
	return d.parse(src)
}

// Decode fills v, a pointer to a struct, from a node. Problems are appended to d.Problems.
func (d *Decoder) Decode(n *yaml.Node, v any, path string) {
	if d.Pos == nil {
		d.Pos = map[string]finding.Pos{}
	}
	d.value(n, reflect.ValueOf(v).Elem(), path)
}

func (d *Decoder) pos(n *yaml.Node) finding.Pos {
	l := len([]rune(n.Value))
	if n.Kind != yaml.ScalarNode || strings.ContainsRune(n.Value, '\n') {
		l = 1
	} else if n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0 {
		l += 2
	}
	return finding.Pos{File: d.File, Line: n.Line + d.LineOff, Column: n.Column, Length: max(l, 1)}
}

func (d *Decoder) bad(rule string, n *yaml.Node, path, hint, format string, a ...any) {
	d.Problems = append(d.Problems, Problem{Rule: rule, Pos: d.pos(n), Path: path, Say: fmt.Sprintf(format, a...), Hint: hint})
}

// Join appends a key to a path.
func Join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

var (
	lengthType = reflect.TypeFor[length.Length]()
	angleType  = reflect.TypeFor[length.Angle]()
	anyType    = reflect.TypeFor[Any]()
)

func (d *Decoder) value(n *yaml.Node, v reflect.Value, path string) {
	for n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	d.Pos[path] = d.pos(n)
	if v.Kind() == reflect.Pointer {
		if isNull(n) {
			return
		}
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		d.value(n, v.Elem(), path)
		return
	}
	if isNull(n) && v.Type() != anyType {
		return // a key without a value says nothing yet: half-finished files are welcome
	}
	switch v.Type() {
	case lengthType:
		if s, ok := d.scalar(n, path, "a length, as in 3 mm or 1/8 in"); ok {
			l, err := length.Parse(s, d.Bare)
			if err != nil {
				d.bad("file.not-a-length", n, path, "", "%s", sentence(err))
				return
			}
			v.SetFloat(float64(l))
		}
		return
	case angleType:
		if s, ok := d.scalar(n, path, "an angle, as in 15 deg"); ok {
			a, err := length.ParseAngle(s)
			if err != nil {
				d.bad("file.not-an-angle", n, path, "", "%s", sentence(err))
				return
			}
			v.SetFloat(float64(a))
		}
		return
	case anyType:
		v.Set(reflect.ValueOf(Any{Node: n}))
		return
	}
	if o, ok := v.Addr().Interface().(ordered); ok {
		d.ordered(n, o, path)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		d.structure(n, v, path)
	case reflect.Slice, reflect.Array:
		d.list(n, v, path)
	case reflect.Map: // map[string]T
		d.mapping(n, v, path)
	case reflect.String:
		if s, ok := d.scalar(n, path, "a word or a text"); ok {
			v.SetString(s)
		}
	case reflect.Bool:
		switch s, ok := d.scalar(n, path, "yes or no"); {
		case !ok:
		case s == "true" || s == "yes":
			v.SetBool(true)
		case s == "false" || s == "no":
			v.SetBool(false)
		default:
			d.bad("file.not-a-yes-or-no", n, path, "", "%q is neither yes nor no.", s)
		}
	case reflect.Int:
		if s, ok := d.scalar(n, path, "a whole number"); ok {
			i, err := strconv.Atoi(s)
			if err != nil {
				d.bad("file.not-a-number", n, path, "", "%q is not a whole number.", s)
				return
			}
			v.SetInt(int64(i))
		}
	case reflect.Float64:
		if s, ok := d.scalar(n, path, "a number"); ok {
			f, err := strconv.ParseFloat(s, 64)
			if err != nil || f != f || f > 1e12 || f < -1e12 {
				d.bad("file.not-a-number", n, path, "", "%q is not a number.", s)
				return
			}
			v.SetFloat(f)
		}
	default:
		panic("yamlfile: cannot decode into " + v.Type().String())
	}
}

func (d *Decoder) scalar(n *yaml.Node, path, want string) (string, bool) {
	if n.Kind != yaml.ScalarNode {
		d.bad("file.wrong-shape", n, path, "", "Here stands %s, but %s is wanted.", kindName(n), want)
		return "", false
	}
	return n.Value, true
}

func (d *Decoder) structure(n *yaml.Node, v reflect.Value, path string) {
	f := fieldsOf(v.Type())
	switch {
	case n.Kind == yaml.ScalarNode && f.scalar >= 0:
		x := f.list[f.scalar]
		d.value(n, v.Field(x.index), path)
		d.checkEnum(n, x, v.Field(x.index), path)
		return
	case n.Kind == yaml.SequenceNode && f.seq >= 0:
		d.value(n, v.Field(f.list[f.seq].index), path)
		return
	case n.Kind != yaml.MappingNode:
		d.bad("file.wrong-shape", n, path, "", "Here stands %s, but a list of named values is wanted (%s).", kindName(n), strings.Join(f.names, ", "))
		return
	}
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, val := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode {
			d.bad("file.wrong-shape", k, path, "", "A key must be a plain word.")
			continue
		}
		idx := slices.IndexFunc(f.list, func(x field) bool { return x.name == k.Value })
		if idx < 0 {
			hint := ""
			if w := Nearest(k.Value, f.names); w != "" {
				hint = "did you mean " + w + "?"
			} else {
				hint = "known here: " + strings.Join(f.names, ", ")
			}
			d.bad("file.unknown-key", k, Join(path, k.Value), hint, "%q is not a word that means anything here.", k.Value)
			continue
		}
		if first, dup := seen[k.Value]; dup {
			d.bad("file.duplicate-key", k, Join(path, k.Value), fmt.Sprintf("the first one is on line %d", first.Line+d.LineOff), "%q stands here twice.", k.Value)
			continue
		}
		seen[k.Value] = k
		p := Join(path, k.Value)
		d.Pos[p+"#"] = d.pos(k)
		d.value(val, v.Field(f.list[idx].index), p)
		d.checkEnum(val, f.list[idx], v.Field(f.list[idx].index), p)
	}
	for _, x := range f.list {
		if x.required && seen[x.name] == nil {
			d.bad("file.missing", n, Join(path, x.name), "", "%s is missing here.", x.name)
		}
	}
}

func (d *Decoder) checkEnum(n *yaml.Node, f field, v reflect.Value, path string) {
	if len(f.enum) == 0 || v.Kind() != reflect.String || v.String() == "" || n.Kind != yaml.ScalarNode {
		return
	}
	if !slices.Contains(f.enum, v.String()) {
		hint := "one of " + strings.Join(f.enum, ", ")
		if w := Nearest(v.String(), f.enum); w != "" {
			hint = "did you mean " + w + "?"
		}
		d.bad("file.unknown-word", n, path, hint, "%q is not one of the words for this.", v.String())
		v.SetString("")
	}
}

func (d *Decoder) ordered(n *yaml.Node, o ordered, path string) {
	if n.Kind != yaml.MappingNode {
		d.bad("file.wrong-shape", n, path, "", "Here stands %s, but a list of names, each with its values, is wanted.", kindName(n))
		return
	}
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, val := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode || !GoodName(k.Value) {
			d.bad("file.bad-name", k, path, "", "%q cannot be a name; use letters, digits, - and _.", k.Value)
			continue
		}
		if first, dup := seen[k.Value]; dup {
			d.bad("file.duplicate-name", k, Join(path, k.Value), fmt.Sprintf("the first one is on line %d", first.Line+d.LineOff), "The name %s is used twice.", k.Value)
			continue
		}
		seen[k.Value] = k
		p := Join(path, k.Value)
		d.Pos[p+"#"] = d.pos(k)
		v := reflect.New(o.elem()).Elem()
		if prev, ok := o.old(k.Value); ok {
			v.Set(prev)
		}
		d.value(val, v, p)
		o.put(k.Value, v)
	}
}

func (d *Decoder) mapping(n *yaml.Node, v reflect.Value, path string) {
	if n.Kind != yaml.MappingNode {
		d.bad("file.wrong-shape", n, path, "", "Here stands %s, but names with values are wanted.", kindName(n))
		return
	}
	if v.IsNil() {
		v.Set(reflect.MakeMap(v.Type()))
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, val := n.Content[i], n.Content[i+1]
		e := reflect.New(v.Type().Elem()).Elem()
		if old := v.MapIndex(reflect.ValueOf(k.Value)); old.IsValid() {
			e.Set(old)
		}
		p := Join(path, k.Value)
		d.Pos[p+"#"] = d.pos(k)
		d.value(val, e, p)
		v.SetMapIndex(reflect.ValueOf(k.Value), e)
	}
}

func (d *Decoder) list(n *yaml.Node, v reflect.Value, path string) {
	items := n.Content
	if n.Kind != yaml.SequenceNode {
		if v.Kind() == reflect.Array || n.Kind == yaml.MappingNode && v.Type().Elem().Kind() != reflect.Struct {
			d.bad("file.wrong-shape", n, path, "", "Here stands %s, but a list in [ ] is wanted.", kindName(n))
			return
		}
		items = []*yaml.Node{n} // one thing where a list may stand
	}
	if v.Kind() == reflect.Array {
		if len(items) != v.Len() {
			d.bad("file.wrong-shape", n, path, "", "%d values are wanted here, %d stand here.", v.Len(), len(items))
			return
		}
	} else {
		v.Set(reflect.MakeSlice(v.Type(), len(items), len(items)))
	}
	for i, it := range items {
		d.value(it, v.Index(i), Join(path, strconv.Itoa(i)))
	}
}

func isNull(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.Tag == "!!null" }

func kindName(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a list of named values"
	case yaml.SequenceNode:
		return "a list"
	}
	return strconv.Quote(n.Value)
}

// sentence makes an error text into a sentence: capital first, full stop last.
func sentence(err error) string {
	s := err.Error()
	if s != "" && s[len(s)-1] != '.' {
		s += "."
	}
	return s
}
