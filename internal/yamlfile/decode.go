package yamlfile

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/length"
)

// structure fills a struct from a mapping or a short form. It reports whether the struct means anything: one that lacks a
// value that must be given, or has it wrong, does not, unless that value is a mere text.
func (d *Decoder) structure(n *yaml.Node, v reflect.Value, path string) (whole bool) {
	f := fieldsOf(v.Type())
	switch {
	case n.Kind == yaml.ScalarNode && f.scalar >= 0:
		x := f.list[f.scalar]
		d.Pos[Join(path, x.name)] = d.pos(n)
		d.value(n, v.Field(x.index), path)
		d.checkEnum(n, x, v.Field(x.index), path)
		return true
	case n.Kind == yaml.SequenceNode && f.seq >= 0:
		d.Pos[Join(path, f.list[f.seq].name)] = d.pos(n)
		d.value(n, v.Field(f.list[f.seq].index), path)
		return true
	case n.Kind != yaml.MappingNode:
		d.badValue("file.wrong-shape", n, path, "", "%s stands here, but a set of named values is wanted (%s).", kindName(n), strings.Join(f.names, ", "))
		return true
	}
	whole = true
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, val := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode {
			d.bad("file.wrong-shape", k, path, "", "A key must be a plain word.")
			continue
		}
		idx := slices.Index(f.names, k.Value)
		if idx < 0 {
			d.unknownKey(n, k, f, path)
			continue
		}
		if first, dup := seen[k.Value]; dup {
			d.twice("file.duplicate-key", k, first, path, "%s stands here twice.")
			continue
		}
		seen[k.Value] = k
		p := Join(path, k.Value)
		d.Pos[p+"#"] = d.pos(k)
		if isNull(val) && leaf(v.Field(f.list[idx].index).Type()) {
			d.bad("file.no-value", k, p, "", "%s has no value yet.", k.Value)
		}
		slips := d.slips
		d.value(val, v.Field(f.list[idx].index), p)
		if d.slips > slips && f.list[idx].required && v.Field(f.list[idx].index).Kind() != reflect.String {
			whole = false
		}
		d.checkEnum(val, f.list[idx], v.Field(f.list[idx].index), p)
	}
	for _, x := range f.list {
		if x.required && seen[x.name] == nil {
			d.bad("file.missing", n, Join(path, x.name), "", "%s is missing here.", x.name)
			whole = whole && v.Field(x.index).Kind() == reflect.String
		}
	}
	return whole
}

func (d *Decoder) checkEnum(n *yaml.Node, f field, v reflect.Value, path string) {
	if len(f.enum) == 0 || v.Kind() != reflect.String || v.String() == "" || n.Kind != yaml.ScalarNode {
		return
	}
	if !slices.Contains(f.enum, v.String()) {
		p := Problem{Rule: "file.unknown-word", Pos: d.pos(n), Path: path, Hint: "one of " + strings.Join(f.enum, ", "),
			Say: fmt.Sprintf("%q is not one of the words for %s.", short(v.String()), f.name)}
		if w := Nearest(v.String(), f.enum); w != "" {
			p.Hint, p.Fixes = "did you mean "+w+"?", setFix(path, w)
		}
		d.add(p)
		v.SetString("")
	}
}

func (d *Decoder) ordered(n *yaml.Node, o ordered, path string) {
	if n.Kind != yaml.MappingNode {
		d.badValue("file.wrong-shape", n, path, "", "%s stands here, but a list of names, each with its values, is wanted.", kindName(n))
		return
	}
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, val := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode || !goodKey(o.Elem(), k.Value) {
			d.badName(n, k, path)
			continue
		}
		if first, dup := seen[k.Value]; dup {
			d.twice("file.duplicate-name", k, first, path, "The name %s is used twice.")
			continue
		}
		seen[k.Value] = k
		p := Join(path, k.Value)
		d.Pos[p+"#"] = d.pos(k)
		v := reflect.New(o.Elem()).Elem()
		if prev, ok := o.old(k.Value); ok {
			v.Set(prev)
		}
		if d.value(val, v, p) {
			o.put(k.Value, v)
		}
	}
}

func (d *Decoder) mapping(n *yaml.Node, v reflect.Value, path string) {
	if n.Kind != yaml.MappingNode {
		d.badValue("file.wrong-shape", n, path, "", "%s stands here, but names with values are wanted.", kindName(n))
		return
	}
	if v.IsNil() {
		v.Set(reflect.MakeMap(v.Type()))
	}
	seen := map[string]*yaml.Node{}
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, val := n.Content[i], n.Content[i+1]
		if k.Kind != yaml.ScalarNode {
			d.bad("file.wrong-shape", k, path, "", "A key must be a plain word.")
			continue
		}
		if first, dup := seen[k.Value]; dup {
			d.twice("file.duplicate-key", k, first, path, "%s stands here twice.")
			continue
		}
		seen[k.Value] = k
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
			d.notAList(n, v, path)
			return
		}
		items = []*yaml.Node{n} // one thing where a list may stand
	}
	if v.Kind() == reflect.Array {
		d.array(n, v, items, path)
		return
	}
	out := reflect.MakeSlice(v.Type(), 0, len(items))
	for i, it := range items {
		x := reflect.New(v.Type().Elem()).Elem()
		slips := d.slips
		if !d.value(it, x, Join(path, strconv.Itoa(i))) {
			continue
		}
		if d.slips > slips && leaf(x.Type()) {
			if x.Kind() == reflect.Array {
				return // a list of places that lacks one would number the others wrongly
			}
			continue
		}
		out = reflect.Append(out, x)
	}
	v.Set(out)
}

// array fills a list of fixed length: with all of its values, or not at all.
func (d *Decoder) array(n *yaml.Node, v reflect.Value, items []*yaml.Node, path string) {
	switch {
	case len(items) == v.Len():
	case len(items) == 1:
		d.badValue("file.wrong-shape", n, path, "", "one value stands here; %d are wanted.", v.Len())
		return
	default:
		d.badValue("file.wrong-shape", n, path, "", "%[2]d values stand here; %[1]d are wanted.", v.Len(), len(items))
		return
	}
	x := reflect.New(v.Type()).Elem()
	x.Set(v)
	slips := d.slips
	for i, it := range items {
		d.value(it, x.Index(i), Join(path, strconv.Itoa(i)))
	}
	if d.slips == slips {
		v.Set(x)
	}
}

func isNull(n *yaml.Node) bool { return n.Kind == yaml.ScalarNode && n.Tag == "!!null" }

func kindName(n *yaml.Node) string {
	switch n.Kind {
	case yaml.MappingNode:
		return "a set of named values"
	case yaml.SequenceNode:
		return "a list"
	}
	return strconv.Quote(short(n.Value))
}

// leaf reports whether a type takes one written value, so that a key without one is worth a note.
func leaf(t reflect.Type) bool {
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	switch t.Kind() {
	case reflect.String, reflect.Bool, reflect.Int, reflect.Float64, reflect.Array:
		return true
	}
	return false
}

func (d *Decoder) unknownKey(n, k *yaml.Node, f *fields, path string) {
	if d.full() {
		return
	}
	p := Problem{Rule: "file.unknown-key", Pos: d.pos(k), Path: Join(path, k.Value), Say: fmt.Sprintf("%q is not a word known here.", short(k.Value)),
		Hint: "known here: " + strings.Join(f.names, ", ")}
	if k.Tag == "!!merge" {
		p.Say, p.Hint = "Values cannot be taken over from elsewhere with <<.", "write them out, or use a group"
	} else if w := Nearest(k.Value, f.names); w != "" {
		p.Hint = "did you mean " + w + "?"
		if lookup(n, w) == nil {
			p.Fixes = renameFix(p.Path, w)
		}
	}
	d.add(p)
}

func (d *Decoder) badName(n, k *yaml.Node, path string) {
	if d.full() {
		return
	}
	if k.Kind != yaml.ScalarNode {
		d.bad("file.wrong-shape", k, path, "", "A name must be a plain word.")
		return
	}
	p := Problem{Rule: "file.bad-name", Pos: d.pos(k), Path: Join(path, k.Value), Say: fmt.Sprintf("%q cannot be a name.", short(k.Value)),
		Hint: "use letters, digits, - and _, at most 60"}
	if k.Tag == "!!merge" {
		p.Rule, p.Say, p.Hint = "file.unknown-key", "Values cannot be taken over from elsewhere with <<.", "write them out, or use a group"
	} else if w := goodName(k.Value); GoodName(w) && lookup(n, w) == nil {
		p.Fixes = renameFix(p.Path, w)
	}
	d.add(p)
}

func (d *Decoder) twice(rule string, k, first *yaml.Node, path, say string) {
	d.add(Problem{Rule: rule, Pos: d.pos(k), Path: Join(path, k.Value), Say: fmt.Sprintf(say, k.Value),
		Hint: fmt.Sprintf("the first one is on line %d; only that one is read", first.Line+d.LineOff), Other: d.pos(first)})
}

// notAList says that a list is wanted, and proposes one when the text is a list that lacks its brackets: "at: 20, 30".
func (d *Decoder) notAList(n *yaml.Node, v reflect.Value, path string) {
	p := Problem{Rule: "file.wrong-shape", Pos: d.pos(n), Path: path, Say: about(path) + fmt.Sprintf("%s stands here, but a list in [ ] is wanted.", kindName(n)),
		Hint: "as in [20, 30]"}
	if n.Kind == yaml.ScalarNode && v.Kind() == reflect.Array {
		for _, sep := range []string{",", ";", " "} {
			parts := strings.Split(strings.Trim(n.Value, "()[] "), sep)
			good := len(parts) == v.Len()
			for i, s := range parts {
				parts[i] = strings.TrimSpace(s)
				_, err := length.Parse(parts[i], d.Bare)
				good = good && err == nil
			}
			if good {
				p.Fixes = setFix(path, "["+strings.Join(parts, ", ")+"]")
				break
			}
		}
	}
	d.add(p)
}

// lookup gives the value of a key of a mapping, nil when absent.
func lookup(n *yaml.Node, key string) *yaml.Node {
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Kind == yaml.ScalarNode && n.Content[i].Value == key {
			return n.Content[i+1]
		}
	}
	return nil
}
