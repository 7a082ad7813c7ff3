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
//
// Anchors and aliases are read, within bounds. Values are not taken over with <<, because a person who reads the file from
// top to bottom should see what a thing is where it stands; tags mean nothing and are refused.
//
// Edit changes a text by paths without touching another byte: see there.
package yamlfile

import (
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/length"
)

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
	Elem() reflect.Type
	old(k string) (reflect.Value, bool)
	put(k string, v reflect.Value)
}

// Elem gives the type of the values.
func (o *Ordered[T]) Elem() reflect.Type { return reflect.TypeFor[T]() }

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

	nodes int // size of the tree that was parsed
	slips int // problems so far that made a value unusable
}

// Parse turns text into a node tree within the limits. A nil node without problems means an empty document.
func (d *Decoder) Parse(src []byte) *yaml.Node {
	return d.parse(src)
}

// Decode fills v, a pointer to a struct, from a node. Problems are appended to d.Problems.
func (d *Decoder) Decode(n *yaml.Node, v any, path string) {
	if d.Pos == nil {
		d.Pos = make(map[string]finding.Pos, d.nodes)
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

// value fills v from a node. It reports false when v is a struct that means nothing as it stands; whoever holds it leaves
// it out.
func (d *Decoder) value(n *yaml.Node, v reflect.Value, path string) (whole bool) {
	for n.Kind == yaml.AliasNode {
		n = n.Alias
	}
	d.Pos[path] = d.pos(n)
	if v.Kind() == reflect.Pointer {
		if isNull(n) {
			return true
		}
		fresh := reflect.New(v.Type().Elem())
		if !v.IsNil() {
			fresh.Elem().Set(v.Elem()) // what v points to may be shared with the record that this one is laid over
		}
		slips := d.slips
		if d.value(n, fresh.Elem(), path) && (d.slips == slips || !leaf(v.Type())) {
			v.Set(fresh)
		}
		return true
	}
	if isNull(n) && v.Type() != anyType {
		return true // a key without a value says nothing yet: half-finished files are welcome
	}
	switch v.Type() {
	case lengthType:
		if s, ok := d.scalar(n, path, "a length, as in 3 mm or 1/8 in"); ok {
			l, err := length.Parse(s, d.Bare)
			if err != nil {
				d.badNumber("file.not-a-length", n, path, err, func(s string) bool { _, err := length.Parse(s, d.Bare); return err == nil })
				return true
			}
			v.SetFloat(float64(l))
		}
		return true
	case angleType:
		if s, ok := d.scalar(n, path, "an angle, as in 15 deg"); ok {
			a, err := length.ParseAngle(s)
			if err != nil {
				d.badNumber("file.not-an-angle", n, path, err, func(s string) bool { _, err := length.ParseAngle(s); return err == nil })
				return true
			}
			v.SetFloat(float64(a))
		}
		return true
	case anyType:
		v.Set(reflect.ValueOf(Any{Node: n}))
		return true
	}
	if o, ok := v.Addr().Interface().(ordered); ok {
		d.ordered(n, o, path)
		return true
	}
	switch v.Kind() {
	case reflect.Struct:
		return d.structure(n, v, path)
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
			d.badValue("file.not-a-yes-or-no", n, path, "", "%q is neither yes nor no.", short(s))
		}
	case reflect.Int:
		if s, ok := d.scalar(n, path, "a whole number"); ok {
			i, err := strconv.Atoi(s)
			if err != nil {
				d.badValue("file.not-a-number", n, path, "", "%q is not a whole number.", short(s))
				return true
			}
			v.SetInt(int64(i))
		}
	case reflect.Float64:
		if s, ok := d.scalar(n, path, "a number"); ok {
			f, err := strconv.ParseFloat(s, 64)
			if err != nil || f != f || f > 1e12 || f < -1e12 {
				d.badValue("file.not-a-number", n, path, "", "%q is not a number.", short(s))
				return true
			}
			v.SetFloat(f)
		}
	default:
		panic("yamlfile: cannot decode into " + v.Type().String())
	}
	return true
}

// badNumber says why a number with a unit is none, and proposes the one meant when it only has a decimal comma.
func (d *Decoder) badNumber(rule string, n *yaml.Node, path string, err error, good func(string) bool) {
	p := Problem{Rule: rule, Pos: d.pos(n), Path: path, Say: about(path) + sentence(err.Error())}
	if len(n.Value) > 60 {
		p.Say = about(path) + fmt.Sprintf("%q is not a number with a unit.", short(n.Value))
	}
	if strings.Count(n.Value, ",") == 1 {
		if s := strings.Replace(n.Value, ",", ".", 1); good(s) {
			p.Fixes = setFix(path, s)
			if !strings.Contains(p.Say, "comma") {
				p.Hint = "write a point, not a comma"
			}
		}
	}
	d.add(p)
}

func (d *Decoder) scalar(n *yaml.Node, path, want string) (string, bool) {
	if n.Kind != yaml.ScalarNode {
		d.badValue("file.wrong-shape", n, path, "", "%s stands here, but %s is wanted.", kindName(n), want)
		return "", false
	}
	return n.Value, true
}
