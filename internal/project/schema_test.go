package project_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

func compile(t *testing.T, src []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	if err := c.AddResource("schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// plainOf gives a YAML tree as the values that an editor hands to a schema.
func plainOf(n *yaml.Node) any {
	switch n.Kind {
	case yaml.DocumentNode:
		return plainOf(n.Content[0])
	case yaml.AliasNode:
		return plainOf(n.Alias)
	case yaml.SequenceNode:
		l := []any{}
		for _, c := range n.Content {
			l = append(l, plainOf(c))
		}
		return l
	case yaml.MappingNode:
		m := map[string]any{}
		for i := 0; i < len(n.Content); i += 2 {
			m[n.Content[i].Value] = plainOf(n.Content[i+1])
		}
		return m
	}
	switch n.Tag {
	case "!!null":
		return nil
	case "!!bool":
		return n.Value == "true"
	case "!!int", "!!float":
		if f, err := strconv.ParseFloat(n.Value, 64); err == nil {
			return f
		}
	}
	return n.Value
}

func node(t *testing.T, src string) *yaml.Node {
	t.Helper()
	var n yaml.Node
	if err := yaml.Unmarshal([]byte(src), &n); err != nil {
		t.Fatalf("%v in\n%s", err, src)
	}
	return &n
}

func copyOf(n *yaml.Node) *yaml.Node {
	c := *n
	c.Content = nil
	for _, x := range n.Content {
		c.Content = append(c.Content, copyOf(x))
	}
	return &c
}

func TestSchemaExamples(t *testing.T) {
	s := compile(t, project.Schema())
	files, _ := filepath.Glob("../../examples/*.yaml")
	if len(files) == 0 {
		t.Fatal("no examples")
	}
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(plainOf(node(t, string(src)))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Every word of the panel file is explained to whoever types it.
func TestSchemaExplains(t *testing.T) {
	var s map[string]any
	if err := json.Unmarshal(project.Schema(), &s); err != nil {
		t.Fatal(err)
	}
	n := 0
	var walk func(name string, v any)
	walk = func(name string, v any) {
		switch v := v.(type) {
		case []any:
			for _, x := range v {
				walk(name, x)
			}
		case map[string]any:
			props, _ := v["properties"].(map[string]any)
			for k, p := range props {
				if n++; p.(map[string]any)["description"] == nil {
					t.Errorf("%s: %s has no remark", name, k)
				}
			}
			walk(name, v["anyOf"])
		}
	}
	walk("file", s)
	for name, d := range s["$defs"].(map[string]any) {
		switch name {
		case "Part", "Thread", "Nut", "Shaft", "LampData", "Lug", "Price", "Notch", "Cut", "Shape", "Source":
			continue // records of the catalogue: many of their words explain themselves
		}
		walk(name, d)
	}
	if n < 90 {
		t.Errorf("only %d words", n)
	}
}

// What the reader takes, the schema takes; what the reader refuses, the schema refuses.
func TestSchemaAgrees(t *testing.T) {
	s := compile(t, project.Schema())
	good := []string{
		"title: 3\n", "title: yes\n", "face:\n", "controls:\n", "controls: {go: , stop: {}}\n", "module: rp2040-40pin\n", "module: {part: rp2040-40pin, at: [1, 2], on: face}\n",
		"face: {sheet: acrylic-3mm, covering: {use: vinyl-film, edge: flush}, width: 12, height: 1/8 in, kerf: 0.2 mm, fixings: [[1, 2], [3, 4]]}\n",
		"face: {fixings: {at: [[1, 2], [3, 4]], screw: M3}, holes: {a: {at: [1, 2], rect: [2, 3]}}, texts: {a: TITLE}}\n",
		"tools: [a, {kind: twist, sizes: [1, 1/8 in]}]\n", "tools: {bits: a, drill: press, file: no}\n", "tools: {bits: [a], file: true}\n",
		"limits: {fit.body-gap: 2, sheet.web: 3 mm, legend.size: 16 min of arc}\n", "keep: [{rule: a, why: b}]\n", "keep: {rule: a, why: b, of: c}\n",
		"controls: {a: {legend: \"\", turn: 15 deg, pinned: yes, sends: {turn: [button 2, 3]}, adjust: {grip: [1, 2], rear: [{role: body, round: 12, z: [-20, 0]}]}}}\n",
		"groups: {a: {row: {from: [1, 2], step: 3}, controls: {b: , c: {legend: {text: C, place: above}}}}, d: {arc: {centre: [1, 2], radius: 3 cm, from: 0, to: 90°}}}\n",
		"groups: {a: {mirror: {of: b}}, c: {copy: {of: [a], by: [1, 2]}}}\n", "box: {blocks: 20, walls: {use: a, actual: 9.1}, ledge: {width: 2}, ribs: {a: {from: [1, 1], to: [2, 2]}}}\n",
		"reading: 2 1/2 in\n", "reading: 2-1/2 in\n", "reading: 1/4\"\n", "reading: 5 thou\n", "reading: 0.4 m\n", "reading: ½ in\n", "reading: 3 MM\n",
		"controls: {ø1: {}, 日本: {}, a-b_c: {}, '12': {}}\n",
	}
	bad := []string{
		"titel: x\n", "title: [a]\n", "title: {a: b}\n", "face: wide\n", "face: {widht: 3}\n", "face: {width: 3 kg}\n", "face: {width: wide}\n", "face: {width: [3]}\n", "hand: glov\n", "hand: [bare]\n",
		"units: cm\n", "paper: a3\n", "controls: [a]\n", "controls: {a b: {}}\n", "controls: {a.b: {}}\n", "controls: {a: push}\n", "controls: {a: {at: 3}}\n", "controls: {a: {at: [1]}}\n",
		"controls: {a: {at: [1, 2, 3]}}\n", "controls: {a: {at: [1, x]}}\n", "controls: {a: {pinned: maybe}}\n", "controls: {a: {turn: 3 mm}}\n", "controls: {a: {legend: {place: inside}}}\n", "controls: {a: {legend: [a]}}\n",
		"groups: {a: {row: {step: 3}}}\n", "groups: {a: {arc: {centre: [1, 2]}}}\n", "groups: {a: {grid: {from: [1, 2], step: [1, 2], columns: two}}}\n", "box: {ribs: {a: {from: [1, 2]}}}\n", "box: {form: round}\n",
		"limits: {a: wide}\n", "limits: [1]\n", "keep: [{rule: a}]\n", "keep: x\n", "tools: press\n", "tools: {drill: big}\n", "tools: {bits: {kind: laser}}\n", "module: [a]\n", "reading: 3 deg\n", "reading: 1,5 mm\n", "face: {rack: 1.5}\n",
	}
	try := func(src string, want bool) {
		t.Helper()
		src = v1 + src
		stops := []string{}
		for _, f := range project.Read("x.yaml", []byte(src)).Findings {
			if f.Severity == finding.Stop {
				stops = append(stops, say(f))
			}
		}
		if (len(stops) == 0) != want {
			t.Errorf("reader: %s%v", src, stops)
		}
		if err := s.Validate(plainOf(node(t, src))); (err == nil) != want {
			t.Errorf("schema: %s%v", src, err)
		}
	}
	for _, g := range good {
		try(g, true)
	}
	for _, b := range bad {
		try(b, false)
	}
}

// A slip made anywhere in an example is found by both: an unknown word in every list of named values, a wrong value in
// place of every value.
func TestSchemaFindsSlips(t *testing.T) {
	s := compile(t, project.Schema())
	src, err := os.ReadFile("../../examples/cue-desk.yaml")
	if err != nil {
		t.Fatal(err)
	}
	root := node(t, string(src)).Content[0]
	slips, both := 0, 0
	walked := 0
	check := func(path string) {
		if walked++; walked%thorough.Of(1, 4) != 0 {
			return
		}
		slips++
		text, err := yaml.Marshal(copyOf(root)) // printing takes tags off the nodes
		if err != nil {
			t.Fatal(err)
		}
		reader := false
		for _, f := range project.Read("x.yaml", text).Findings {
			reader = reader || f.Severity == finding.Stop
		}
		schema := s.Validate(plainOf(root)) != nil
		if reader != schema {
			t.Errorf("%s: reader refuses: %v, schema refuses: %v: %v", path, reader, schema, s.Validate(plainOf(root)))
		}
		if reader && schema {
			both++
		}
	}
	var walk func(n *yaml.Node, path string)
	walk = func(n *yaml.Node, path string) {
		if strings.HasSuffix(path, ".sends") {
			return
		}
		keep := *n
		if n.Kind == yaml.MappingNode {
			n.Content = append(append([]*yaml.Node(nil), n.Content...), &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: "zz top"}, &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!int", Value: "1"})
			check(path + " with another word")
			*n = keep
		}
		for _, v := range []yaml.Node{
			{Kind: yaml.SequenceNode, Tag: "!!seq", Content: []*yaml.Node{{Kind: yaml.SequenceNode, Tag: "!!seq"}}},
			{Kind: yaml.MappingNode, Tag: "!!map", Content: []*yaml.Node{{Kind: yaml.ScalarNode, Tag: "!!str", Value: "zz top"}, {Kind: yaml.ScalarNode, Tag: "!!str", Value: "x"}}},
			{Kind: yaml.ScalarNode, Tag: "!!str", Value: "zz top"},
		} {
			*n = v
			check(fmt.Sprintf("%s as %v", path, plainOf(&v)))
		}
		*n = keep
		for i, c := range n.Content {
			if n.Kind == yaml.MappingNode && i%2 == 0 {
				continue
			}
			step := strconv.Itoa(i)
			if n.Kind == yaml.MappingNode {
				step = n.Content[i-1].Value
			}
			walk(c, strings.TrimPrefix(path+"."+step, "."))
		}
	}
	walk(root, "")
	t.Logf("%d slips, %d found by both", slips, both)
	if slips < thorough.Of(500, 120) || both < slips/2 {
		t.Errorf("%d slips, %d found", slips, both)
	}
}

func TestCatalogueSchema(t *testing.T) {
	s := compile(t, project.CatalogueSchema())
	good := "parts:\n  my-knob:\n    title: Knob\n    class: pot\n    hole: {round: 7}\n    grip: [1, 5]\nsheets:\n  ply: {title: Ply, kind: plywood, nominal: 9 mm, actual: 8.7}\nbits:\n  mine: {title: Mine, kind: twist, sizes: [1, 2, 1/8 in]}\n"
	if err := s.Validate(plainOf(node(t, good))); err != nil {
		t.Error(err)
	}
	for _, bad := range []string{"part: {}\n", "parts: {a: {title: x}}\n", "parts: {a: {title: x, class: wheel}}\n", "sheets: {a: {title: x, kind: plywood, nominal: thick}}\n", "bits: {a: {title: x, kind: twist, sizes: [[1]]}}\n"} {
		if s.Validate(plainOf(node(t, bad))) == nil {
			t.Errorf("takes %s", bad)
		}
	}
}
