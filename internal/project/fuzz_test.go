package project_test

import (
	"bytes"
	"os"
	"regexp"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// FuzzRead: whatever the bytes, reading gives a Doc, the same one twice, with places inside the text and known rules.
func FuzzRead(f *testing.F) {
	for _, s := range seeds() {
		f.Add(s)
	}
	known := map[string]bool{}
	for _, r := range project.Rules {
		known[r.Name] = true
	}
	f.Fuzz(func(t *testing.T, src []byte) {
		d := project.Read("x.yaml", src)
		lines := bytes.Count(src, []byte("\n")) + 1
		for _, g := range d.Findings {
			if !known[g.Rule] || g.Head == "" {
				t.Errorf("%+v", g)
			}
			for _, e := range g.Ends {
				if e.Pos.Line < 1 || e.Pos.Line > lines || e.Pos.Column < 1 {
					t.Errorf("%s at %+v of %d lines", g.Head, e.Pos, lines)
				}
			}
			for _, fix := range g.Fixes {
				if out, err := d.Apply(fix.Edits); err == nil && bytes.Equal(out, src) {
					t.Errorf("%s: the fix changes nothing", g.Head)
				}
			}
		}
		again := project.Read("x.yaml", src)
		if len(again.Findings) != len(d.Findings) {
			t.Error("two readings differ")
		}
		for i, g := range d.Findings {
			if say(g) != say(again.Findings[i]) {
				t.Errorf("two readings differ: %s and %s", say(g), say(again.Findings[i]))
			}
		}
	})
}

var remark = regexp.MustCompile(`(?m)(^|\s)#[a-z0-9]+`)

// FuzzApply: an edit is refused or made; made, the text can still be read, the same edit changes nothing more, and
// the beginning and the end of the text stay.
func FuzzApply(f *testing.F) {
	for _, s := range seeds() {
		f.Add(s, byte(0), "controls.go.at", "[1, 2]")
		f.Add(s, byte(1), "controls.go", "")
		f.Add(s, byte(2), "controls.go", "start")
		f.Add(s, byte(0), "face.sheet.actual", "2.9 mm")
		f.Add(s, byte(0), "keep.0", "{rule: a, why: b}")
	}
	f.Fuzz(func(t *testing.T, src []byte, op byte, path, value string) {
		ed := finding.Edit{Op: []finding.Op{finding.Set, finding.Delete, finding.Rename}[op%3], Path: path, Value: value}
		d := project.Read("x.yaml", src)
		out, err := d.Apply([]finding.Edit{ed})
		if err != nil {
			if out != nil || err.Error() == "" {
				t.Fatalf("a refusal with %q and %q", out, err)
			}
			return
		}
		e := project.Read("x.yaml", out)
		for _, g := range e.Findings {
			switch g.Rule {
			case "file.syntax", "file.not-text", "file.too-deep", "file.two-documents", "file.stray-character":
				t.Fatalf("%+v\n%q\nbecame\n%q\nwhich cannot be read: %s", ed, src, out, say(g))
			}
		}
		if bytes.HasPrefix(src, []byte("\ufeff")) != bytes.HasPrefix(out, []byte("\ufeff")) {
			t.Error("the byte-order mark changed")
		}
		if ed.Op == finding.Set {
			again, err := e.Apply([]finding.Edit{ed})
			if err != nil || !bytes.Equal(again, out) {
				t.Errorf("%+v twice on %q: first %q, then %q (%v)", ed, src, out, again, err)
			}
		}
		if ed.Op == finding.Rename && len(remark.FindAll(src, -1)) != len(remark.FindAll(out, -1)) && !bytes.ContainsAny([]byte(path+value), "#") {
			t.Errorf("%+v on %q lost a comment: %q", ed, src, out)
		}
	})
}

func seeds() [][]byte {
	desk, err := os.ReadFile("../../examples/cue-desk.yaml")
	if err != nil {
		panic(err)
	}
	all := [][]byte{desk}
	for _, s := range []string{
		"", "title: x\n", "# c\r\nface: {sheet: a} # d\r\n", "controls:\n  go:\n  stop: {at: [1, 2], # a\n    part: x}\n", "- a\n", "\ufeffknobwright: 1",
		"controls: {go: &a {part: x}, b: *a}", "notes: |\n  a\n\n  b\nkeep:\n- rule: a\n  why: >-\n    b\n    c\n- {}\n", "%YAML 1.2\n---\ntitle: 'it''s'\n...\n",
		"controls:\n  ? go\n  : {part: x}\n", "face:\n  width: 3 kg\n  sheet:\n    use: a # b\n    actual: 3\n", "controls:\n  # a\n\n  # b\n  go: {}\n\n  # c\n",
		"title: \"a\\\n  b\"\nunits: in\n", "tools: [a, {kind: twist, sizes: [1, 2]}]\nlimits: {a.b: 1, a: 2}\n", "groups: {s: {controls: {door, birds: , rain: {at}}}}",
	} {
		all = append(all, []byte(s))
	}
	return all
}
