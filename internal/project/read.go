package project

import (
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// Doc is a panel file that was read: its text, what it says, where everything stands, and what is wrong with the text.
type Doc struct {
	Name     string            // file name, as positions show it
	Src      []byte            // the text, byte for byte
	File     File              // what could be read of it
	Findings []finding.Finding // what is wrong with the text; rules file.*

	// What the person keeps on hand: the text of the file that Stock names, put here by who can read the disk; empty = none.
	StockName string
	StockSrc  []byte

	pos map[string]finding.Pos
}

// Version is the version of the file format that is read here.
const Version = 1

// Read reads a panel file. It never gives nil and never panics: what can be read is in File, what cannot is in Findings.
// An empty text is an empty panel. The same text always gives the same Doc.
func Read(name string, src []byte) *Doc {
	doc := &Doc{Name: name, Src: src}
	d := &yamlfile.Decoder{File: name, Bare: length.MM}
	root := d.Parse(src)
	if root == nil && len(d.Problems) == 0 || root != nil && root.Kind == yaml.ScalarNode && root.Tag == "!!null" {
		root = &yaml.Node{Kind: yaml.MappingNode, Tag: "!!map", Line: 1, Column: 1}
	}
	if root != nil && root.Kind != yaml.MappingNode {
		d.Problems = append(d.Problems, notNamed(name, root))
		root = nil
	}
	if root != nil {
		if u := child(root, "units"); u != nil && u.Value == string(length.Inch) {
			d.Bare = length.Inch // known before anything else is read
		}
		d.Decode(root, &doc.File, "")
		doc.numbers(d)
		doc.times(d)
	}
	doc.pos = d.Pos
	if doc.File.Units == "" {
		doc.File.Units = length.MM
	}
	for _, p := range d.Problems {
		doc.Findings = append(doc.Findings, doc.finding(p))
	}
	if root != nil {
		doc.version()
		doc.names()
	}
	finding.Sort(doc.Findings)
	return doc
}

// notNamed is what there is to say of a text that is YAML, but a list or a single value.
func notNamed(file string, root *yaml.Node) yamlfile.Problem {
	what := "a single value"
	if root.Kind == yaml.SequenceNode {
		what = "a list"
	}
	return yamlfile.Problem{
		Rule: "file.syntax", Pos: finding.Pos{File: file, Line: max(root.Line, 1), Column: max(root.Column, 1), Length: 1},
		Say:  "The file is " + what + "; a panel file is made of named values, such as face: and controls:.",
		Hint: "begin it with the line knobwright: 1, and take the dashes away from the names below it",
	}
}

// Pos gives the place of the value at a path, zero when the file has none.
func (d *Doc) Pos(path string) finding.Pos { return d.pos[path] }

// KeyPos gives the place of the key at a path, zero when the file has none.
func (d *Doc) KeyPos(path string) finding.Pos { return d.pos[path+"#"] }

// child gives the value of a key of a mapping, nil when absent.
func child(n *yaml.Node, key string) *yaml.Node {
	if n.Kind != yaml.MappingNode {
		return nil
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		if n.Content[i].Value == key {
			for v := n.Content[i+1]; ; v = v.Alias {
				if v.Kind != yaml.AliasNode {
					return v
				}
			}
		}
	}
	return nil
}

// finding gives a problem the name by which the person calls the thing.
func (d *Doc) finding(p yamlfile.Problem) finding.Finding {
	if p.Path == "knobwright" && (p.Rule == "file.missing" || p.Rule == "file.no-value") {
		p.Rule, p.Say = "file.version", "The file does not say that it is a panel file of version 1."
		p.Hint = "later versions of the format will be told apart by this line"
		p.Fixes = []finding.Fix{{Say: "Write knobwright: 1 at the top", Short: "knobwright: 1",
			Edits: []finding.Edit{{Op: finding.Set, Path: "knobwright", Value: "1"}}}}
	}
	return p.Finding(d.label(p.Path))
}

// label is what the person calls the thing at a path: a control's legend or its name in capitals, else the last word.
func (d *Doc) label(path string) string {
	steps := strings.Split(path, ".")
	name := ""
	var c Control
	switch {
	case len(steps) >= 2 && steps[0] == "controls":
		name, c = steps[1], d.File.Controls.Get(steps[1])
	case len(steps) >= 4 && steps[0] == "groups" && steps[2] == "controls":
		name, c = steps[3], d.File.Groups.Get(steps[1]).Controls.Get(steps[3])
	default:
		return steps[len(steps)-1]
	}
	if c.Legend != nil && c.Legend.Text != "" {
		return c.Legend.Text
	}
	return strings.ToUpper(name)
}

// version judges the line "knobwright: 1".
func (d *Doc) version() {
	v := d.File.Knobwright
	at := d.pos["knobwright"]
	if at.Line == 0 || v == Version || v == 0 && (d.has("file.not-a-number") || d.has("file.wrong-shape") || d.has("file.version")) {
		return
	}
	body := "What it says may mean something else there. Take a newer program, or write the file anew for version 1."
	if v < Version {
		body = "There has never been such a version: versions begin with 1. Write knobwright: 1."
	}
	d.Findings = append(d.Findings, finding.Finding{Rule: "file.version", Severity: finding.Stop,
		Head: fmt.Sprintf("The file is written in version %d of the format; this program reads version %d.", v, Version),
		Body: body,
		Ends: []finding.End{{Name: "knobwright", Path: "knobwright", Pos: at}}})
}

// has reports whether a rule was already said of the version line.
func (d *Doc) has(rule string) bool {
	for _, f := range d.Findings {
		if f.Rule == rule && len(f.Ends) > 0 && f.Ends[0].Path == "knobwright" {
			return true
		}
	}
	return false
}

// names finds control and group names that are the same, or the same but for capitals.
func (d *Doc) names() {
	type place struct {
		name, path string
		group      bool
	}
	var all []place
	for _, k := range d.File.Controls.Keys {
		all = append(all, place{k, "controls." + k, false})
	}
	for _, g := range d.File.Groups.Keys {
		all = append(all, place{g, "groups." + g, true})
		for _, k := range d.File.Groups.Get(g).Controls.Keys {
			all = append(all, place{k, "groups." + g + ".controls." + k, false})
		}
	}
	first := map[string]place{}
	for _, p := range all {
		low := strings.ToLower(p.name)
		q, ok := first[low]
		if !ok {
			first[low] = p
			continue
		}
		f := finding.Finding{Rule: "file.duplicate-name", Severity: finding.Stop,
			Head: fmt.Sprintf("Two controls are called %s.", p.name),
			Body: "Lists, labels and wires could not tell them apart. Give one of them another name."}
		switch {
		case p.name != q.name:
			f.Severity = finding.Warn
			f.Head = fmt.Sprintf("The names %s and %s differ only by capitals.", q.name, p.name)
			f.Body = "On a label or in a list they look the same. Give one of them another name."
		case p.group || q.group:
			f.Severity = finding.Warn
			f.Head = fmt.Sprintf("A control and a group are both called %s.", p.name)
			f.Body = "A mirror or a copy of this name could mean either. Give one of them another name."
		}
		for _, e := range []place{p, q} {
			f.Ends = append(f.Ends, finding.End{Name: d.label(e.path), Path: e.path, Pos: d.KeyPos(e.path)})
		}
		d.Findings = append(d.Findings, f)
	}
}
