// Command schemagen writes the JSON Schemas of the panel file and of a person's own catalogue file out of the Go types and
// their doc comments. It runs under go generate in internal/project and is not part of the program.
package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/invopop/jsonschema"

	"knobwright/internal/catalog"
	"knobwright/internal/length"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// own mirrors a person's catalogue file: the same records as the program's, under the same heads.
type own struct {
	Parts     yamlfile.Ordered[catalog.Part]     `yaml:"parts"`
	Sheets    yamlfile.Ordered[catalog.Sheet]    `yaml:"sheets"`
	Coverings yamlfile.Ordered[catalog.Covering] `yaml:"coverings"`
	Bits      yamlfile.Ordered[catalog.BitSet]   `yaml:"bits"`
	Wires     yamlfile.Ordered[catalog.Wire]     `yaml:"wires"`
	Smalls    yamlfile.Ordered[catalog.Small]    `yaml:"smalls"`
}

func main() {
	log.SetFlags(0)
	files, err := generate("../..")
	if err != nil {
		log.Fatal(err)
	}
	for name, b := range files {
		if err := os.WriteFile(name, b, 0o644); err != nil {
			log.Fatal(err)
		}
	}
}

// generate makes all schemas, by file name. root is the folder of the module, whose sources hold the doc comments.
func generate(root string) (map[string][]byte, error) {
	old, err := os.Getwd()
	if err != nil {
		return nil, err
	}
	if err := os.Chdir(root); err != nil { // comments are found by the path below the module's root
		return nil, err
	}
	defer func() { _ = os.Chdir(old) }()
	comments := &jsonschema.Reflector{}
	for _, dir := range []string{"project", "catalog", "trust", "length"} {
		if err := comments.AddGoComments("knobwright", filepath.Join("internal", dir)); err != nil {
			return nil, err
		}
	}
	files := map[string][]byte{}
	for name, s := range map[string]struct {
		v           any
		title, what string
	}{
		"knobwright.schema.json": {project.File{}, "Knobwright panel file", "A hand-built control panel, in one file."},
		"catalogue.schema.json":  {own{}, "Knobwright catalogue file", "Parts, sheets, coverings, bits, wires and small parts of your own; a record with a known name replaces the one of the program."},
	} {
		b, err := schema(s.v, comments.CommentMap, s.title, s.what)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		files[name] = b
	}
	return files, nil
}

// maker gathers the definitions of all types that a schema needs.
type maker struct {
	r     *jsonschema.Reflector
	defs  jsonschema.Definitions
	queue []reflect.Type // structs that are only reached through an Ordered
	list  map[string]reflect.Type

	clash string // a name that two types share
}

func schema(v any, comments map[string]string, title, what string) ([]byte, error) {
	m := &maker{defs: jsonschema.Definitions{}, list: map[string]reflect.Type{}}
	m.r = &jsonschema.Reflector{Anonymous: true, ExpandedStruct: true, RequiredFromJSONSchemaTags: true, FieldNameTag: "yaml", CommentMap: comments, Mapper: m.special}
	s := m.r.Reflect(v)
	m.take(s)
	m.r.ExpandedStruct = false
	for len(m.queue) > 0 {
		t := m.queue[0]
		m.queue = m.queue[1:]
		if _, done := m.defs[t.Name()]; !done {
			m.take(m.r.ReflectFromType(t))
		}
	}
	s.Definitions = m.defs
	s.Title, s.Description = title, what
	m.structs(reflect.TypeOf(v))
	if c := m.defs["Control"]; c != nil { // adjust: holds the fields of a part record, none of which must be given
		m.take(m.r.ReflectFromType(reflect.TypeFor[catalog.Part]()))
		m.structs(reflect.TypeFor[catalog.Part]())
		part := m.defs["Part"]
		part.Required, part.Description = nil, "Fields of a part record, laid over the catalogue's."
		if a, ok := c.Properties.Get("adjust"); ok {
			a.Ref = "#/$defs/Part"
		}
		m.take(m.r.ReflectFromType(reflect.TypeFor[project.Sends]()))
		m.structs(reflect.TypeFor[project.Sends]())
		m.defs["Sends"].Description = "What a control sends; beside the words here, names of its positions may stand as keys."
		m.defs["Sends"].AdditionalProperties = &jsonschema.Schema{Ref: "#/$defs/Action"}
		if a, ok := c.Properties.Get("sends"); ok {
			a.Ref = "#/$defs/Sends"
		}
	}
	if m.clash != "" {
		return nil, fmt.Errorf("two types are called %s", m.clash)
	}
	for name, d := range m.defs {
		m.defs[name] = m.shortForms(name, d)
	}
	for _, d := range m.defs {
		loosen(d)
	}
	loosen(s)
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ")
	if err := e.Encode(s); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

func (m *maker) take(s *jsonschema.Schema) {
	for k, d := range s.Definitions {
		m.defs[k] = d
	}
	s.Definitions = nil
}

// Patterns of numbers with units; the words of the units are those that package length knows, in small or large letters.
const (
	number = `^\s*[-+−–]?\s*[.0-9½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞]`
	more   = `[-.0-9eE/⁄∕ ½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞−–]*`
	metric = `([mM][mM]?|[cC][mM]|[uUµμ][mM]|([mM]illi|[cC]enti)?[mM]et(re|er)s?)`
	inch   = `([iI][nN]([cC][hH]([eE][sS])?)?|[fF][tT]|[fF][oO][oO][tT]|[fF][eE][eE][tT]|[tT][hH][oO][uU]|["″”'′’]|''|′′)`
	angle  = `([dD][eE][gG]([rR][eE][eE][sS]?)?|°|º|[rR][aA][dD]([iI][aA][nN][sS]?)?)`
)

// kinds are the values that are written as numbers with units.
var kinds = jsonschema.Definitions{
	"Length": numberOr(number+more+`(`+metric+`|`+inch+`)?\.?\s*$`, "A length: 3 mm, 1/8 in, 2 1/2 in; without a unit in the file's units."),
	"Angle":  numberOr(number+more+angle+`?\.?\s*$`, "An angle: 15 or 15 deg."),
	"Number": numberOr(number, "A limit of your own: a number in the limit's own unit, or with its unit."),
}

// special gives the schemas of types that are not written as Go would have it.
func (m *maker) special(t reflect.Type) *jsonschema.Schema {
	switch t {
	case reflect.TypeFor[length.Length](), reflect.TypeFor[length.Angle](), reflect.TypeFor[project.Number]():
		m.defs[t.Name()] = kinds[t.Name()]
		return &jsonschema.Schema{Ref: "#/$defs/" + t.Name()}
	case reflect.TypeFor[yamlfile.Any]():
		return &jsonschema.Schema{}
	case reflect.TypeFor[bool]():
		return &jsonschema.Schema{Enum: []any{true, false, "yes", "no"}}
	}
	if o, ok := reflect.New(t).Interface().(interface{ Elem() reflect.Type }); ok && t.Kind() == reflect.Struct {
		m.queue = append(m.queue, o.Elem())
		return &jsonschema.Schema{Type: "object", PropertyNames: &jsonschema.Schema{Pattern: `^[\p{L}\p{Nd}\p{M}_-]{1,60}$`},
			AdditionalProperties: &jsonschema.Schema{Ref: "#/$defs/" + o.Elem().Name()}}
	}
	return nil
}

func numberOr(pattern, what string) *jsonschema.Schema {
	return &jsonschema.Schema{Description: what, AnyOf: []*jsonschema.Schema{{Type: "number"}, {Type: "string", Pattern: pattern}}}
}

// structs notes all struct types by name, to find their short forms again.
func (m *maker) structs(t reflect.Type) {
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array, reflect.Map:
		m.structs(t.Elem())
	case reflect.Struct:
		if o, ok := reflect.New(t).Interface().(interface{ Elem() reflect.Type }); ok {
			m.structs(o.Elem())
			return
		}
		if m.list[t.Name()] == t {
			return
		}
		if m.list[t.Name()] != nil {
			m.clash = t.Name()
		}
		m.list[t.Name()] = t
		for i := range t.NumField() {
			m.structs(t.Field(i).Type)
		}
	}
}

// shortForms lets a bare value stand where a type has a field for it.
func (m *maker) shortForms(name string, d *jsonschema.Schema) *jsonschema.Schema {
	t := m.list[name]
	if t == nil || d.Properties == nil {
		return d
	}
	var forms []*jsonschema.Schema
	for i := range t.NumField() {
		f := t.Field(i)
		if f.Tag.Get("kw") == "" {
			continue
		}
		key, _, _ := strings.Cut(f.Tag.Get("yaml"), ",")
		p, ok := d.Properties.Get(key)
		if !ok {
			continue
		}
		short := *p
		if f.Tag.Get("kw") == "list" {
			short = jsonschema.Schema{Items: p.Items, Extras: map[string]any{"type": "array"}}
		}
		forms = append(forms, &short)
	}
	if len(forms) == 0 {
		return d
	}
	return &jsonschema.Schema{Description: d.Description, AnyOf: append(forms, d)}
}

// loosen makes a schema as lenient as the reader is: texts may be written without quotes even when they look like
// numbers, a section or a member may be empty yet, one thing may stand where a list may.
func loosen(s *jsonschema.Schema) {
	if s == nil {
		return
	}
	if r, n := utf8.DecodeRuneInString(s.Description); n > 0 {
		s.Description = string(unicode.ToUpper(r)) + s.Description[n:]
	}
	switch {
	case s.Type == "string" && s.Enum == nil && s.Pattern == "":
		s.Type, s.Extras = "", map[string]any{"type": []string{"string", "number", "boolean"}}
	case s.Type == "object":
		s.Type, s.Extras = "", map[string]any{"type": []string{"object", "null"}}
	case s.Type == "array":
		loosen(s.Items)
		if s.MinItems == nil {
			list := &jsonschema.Schema{Items: s.Items, Extras: map[string]any{"type": []string{"array", "null"}}}
			s.Type, s.Items, s.AnyOf = "", nil, []*jsonschema.Schema{list, s.Items}
		}
		return
	}
	for _, x := range s.AnyOf {
		loosen(x)
	}
	loosen(s.AdditionalProperties)
	if s.Properties != nil {
		for p := s.Properties.Oldest(); p != nil; p = p.Next() {
			loosen(p.Value)
		}
	}
}
