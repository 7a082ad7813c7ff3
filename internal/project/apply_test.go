package project_test

import (
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

func set(path, value string) finding.Edit {
	return finding.Edit{Op: finding.Set, Path: path, Value: value}
}
func del(path string) finding.Edit { return finding.Edit{Op: finding.Delete, Path: path} }
func ren(path, key string) finding.Edit {
	return finding.Edit{Op: finding.Rename, Path: path, Value: key}
}

// Each case is a text, edits, and the text that must come out; "!" and a part of the sentence for a refusal.
func TestApply(t *testing.T) {
	for _, c := range []struct {
		name, src string
		edits     []finding.Edit
		want      string
	}{
		{"move", "controls:\n  go: {part: push-30mm, at: [368,  46], legend: GO} # big\n", []finding.Edit{set("controls.go.at", "[300.5, 46]")},
			"controls:\n  go: {part: push-30mm, at: [300.5,  46], legend: GO} # big\n"},
		{"two moves in one", "controls:\n  a: {at: [1, 2]}\n  b: {at: [3, 4]}\n", []finding.Edit{set("controls.a.at", "[5, 6]"), set("controls.b.at", "[7, 8]")},
			"controls:\n  a: {at: [5, 6]}\n  b: {at: [7, 8]}\n"},
		{"keep quotes", "title: 'The ''old'' desk'\nnotes: \"a\"\n", []finding.Edit{set("title", "It's new"), set("notes", "b \"c\"")},
			"title: 'It''s new'\nnotes: \"b \\\"c\\\"\"\n"},
		{"short form", "face:\n  sheet: acrylic-3mm  # clear\n", []finding.Edit{set("face.sheet.actual", "2.9 mm")},
			"face:\n  sheet: {use: acrylic-3mm, actual: 2.9 mm}  # clear\n"},
		{"short form, same field", "face: {sheet: acrylic-3mm}\n", []finding.Edit{set("face.sheet.use", "birch-ply-9mm")}, "face: {sheet: birch-ply-9mm}\n"},
		{"short legend", "controls:\n  go: {legend: \"GO, now\"}\n", []finding.Edit{set("controls.go.legend.place", "above")},
			"controls:\n  go: {legend: {text: \"GO, now\", place: above}}\n"},
		{"legend with a comma in block", "controls:\n  go:\n    legend: GO, now # x\n", []finding.Edit{set("controls.go.legend.place", "above")},
			"controls:\n  go:\n    legend: {text: \"GO, now\", place: above} # x\n"},
		{"short list", "tools: [a, b]\n", []finding.Edit{set("tools.drill", "press")}, "tools: {bits: [a, b], drill: press}\n"},
		{"one for a list", "tools: {bits: a}\n", []finding.Edit{set("tools.bits.1", "b")}, "tools: {bits: [a, b]}\n"},
		{"group member null", "groups:\n  s:\n    controls:\n      door:\n      birds:  # x\n", []finding.Edit{set("groups.s.controls.door.shift", "[2, 0]"), set("groups.s.controls.birds", "{shift: [2, 0]}")},
			"groups:\n  s:\n    controls:\n      door: {shift: [2, 0]}\n      birds: {shift: [2, 0]}  # x\n"},
		{"null in flow", "groups: {s: {controls: {door, birds: , rain}}}\n", []finding.Edit{set("groups.s.controls.door.shift", "[2, 0]"), set("groups.s.controls.birds.shift", "[1, 0]")},
			"groups: {s: {controls: {door: {shift: [2, 0]}, birds: {shift: [1, 0]} , rain}}}\n"},
		{"new section", "title: x\n# end\n", []finding.Edit{set("limits.fit.body-gap", "2")}, "title: x\nlimits:\n  fit.body-gap: 2\n# end\n"},
		{"more in the section", "limits:\n    fit.body-gap: 2\n", []finding.Edit{set("limits.sheet.web", "3 mm"), set("limits.fit.body-gap", "1")},
			"limits:\n    fit.body-gap: 1\n    sheet.web: 3 mm\n"},
		{"keep list", "title: x", []finding.Edit{set("keep.0", "{rule: sheet.web, of: [a], why: it is fine}"), set("keep.1.rule", "fit.grip")},
			"title: x\nkeep:\n  - {rule: sheet.web, of: [a], why: it is fine}\n  - {rule: fit.grip}"},
		{"version first", "# desk\ntitle: x\n", []finding.Edit{set("knobwright", "1")}, "# desk\nknobwright: 1\ntitle: x\n"},
		{"part first", "controls: {go: {at: [1, 2]}}\n", []finding.Edit{set("controls.go.part", "push-16mm")}, "controls: {go: {part: push-16mm, at: [1, 2]}}\n"},
		{"empty file", "", []finding.Edit{set("knobwright", "1"), set("face.width", "200")}, "knobwright: 1\nface:\n  width: 200\n"},
		{"only a comment", "# hm", []finding.Edit{set("title", "A desk")}, "# hm\ntitle: A desk"},
		{"only dashes", "---\n...\n", []finding.Edit{set("title", "A desk")}, "---\ntitle: A desk\n...\n"},
		{"place with one value", "controls: {a: {at: [1]}}", []finding.Edit{set("controls.a.at", "[3, 4]")}, "controls: {a: {at: [3, 4]}}"},
		{"place with three values", "controls: {a: {at: [1, 2, 3]}}", []finding.Edit{set("controls.a.at", "[3, 4]")}, "controls: {a: {at: [3, 4]}}"},
		{"place without brackets", "controls: {a: {at: 3 4}}", []finding.Edit{set("controls.a.at", "[3, 4]")}, "controls: {a: {at: [3, 4]}}"},
		{"comma at the end", "controls: {a: {part: x, }, }\n", []finding.Edit{set("controls.a.at", "[1, 2]"), set("controls.b", "{part: z}")}, "controls: {a: {part: x, at: [1, 2] }, b: {part: z} }\n"},
		{"empty braces", "controls: {}\n", []finding.Edit{set("controls.go", "{part: push-16mm}")}, "controls: {go: {part: push-16mm}}\n"},
		{"null section", "controls:   # none yet\ntitle: x\n", []finding.Edit{set("controls.go", "{part: push-16mm}")}, "controls:   # none yet\n  go: {part: push-16mm}\ntitle: x\n"},
		{"crlf and mark", "\ufefftitle: x\r\nface:\r\n  width: 3\r\n", []finding.Edit{set("face.height", "1/8 in"), set("paper", "a4")},
			"\ufefftitle: x\r\nface:\r\n  width: 3\r\n  height: 1/8 in\r\npaper: a4\r\n"},
		{"delete in flow", "controls: {go: {part: x, pinned: yes, at: [1, 2]}}\n", []finding.Edit{del("controls.go.pinned"), del("controls.go.at"), del("controls.go.part")}, "controls: {go: {}}\n"},
		{"delete control", "controls:\n  # top row\n  a: {at: [1, 2]} # first\n  b: {at: [3, 4]}\n", []finding.Edit{del("controls.a")}, "controls:\n  # top row\n  b: {at: [3, 4]}\n"},
		{"delete with its own comment", "controls:\n  a: {}\n\n  # about b\n  b: {}\n\n  c: {}\n", []finding.Edit{del("controls.b")}, "controls:\n  a: {}\n\n\n  c: {}\n"},
		{"delete the last", "controls:  # here\n  a: {at: [1, 2]}\ntitle: x\n", []finding.Edit{del("controls.a")}, "controls: {}  # here\ntitle: x\n"},
		{"delete the last item", "keep:\n- {rule: a}\ntitle: x\n", []finding.Edit{del("keep.0")}, "keep: []\ntitle: x\n"},
		{"delete first key of an item", "keep:\n  - rule: a\n    why: b\n", []finding.Edit{del("keep.0.rule"), del("keep.0.why")}, "keep:\n  - {}\n"},
		{"delete all", "title: x\n", []finding.Edit{del("title")}, ""},
		{"delete the middle line of a flow mapping", "face: {\n  width: 3, # a\n  height: 4, # b\n  kerf: 0 # c\n}\n", []finding.Edit{del("face.height"), del("face.kerf")},
			"face: {\n  width: 3 # a\n}\n"},
		{"rename", "controls:\n  go: {\"legand\": GO}\n", []finding.Edit{ren("controls.go.legand", "legend"), ren("controls.go", "start")}, "controls:\n  start: {\"legend\": GO}\n"},
		{"rename to one that exists", "title: x\nnotes: y\n", []finding.Edit{ren("title", "notes")}, "!stands there already"},
		{"rename a name with a blank", "controls:\n  go now: {}\n", []finding.Edit{ren("controls.go now", "go-now")}, "controls:\n  go-now: {}\n"},
		{"replace a block", "face:\n  sheet:\n    use: a\n    actual: 3\n  width: 4\n", []finding.Edit{set("face.sheet", "b")}, "face:\n  sheet: b\n  width: 4\n"},
		{"replace a block with remarks", "face:\n  sheet:\n    use: a # measured\n    actual: 3\n", []finding.Edit{set("face.sheet", "b")}, "!Comments stand between"},
		{"mapping over mapping", "face:\n  sheet:\n    use: a # measured\n    actual: 3\n", []finding.Edit{set("face.sheet", "{use: b, actual: 3}")}, "face:\n  sheet:\n    use: b # measured\n    actual: 3\n"},
		{"list over list", "keep:\n  - rule: a # x\n  - rule: b\n", []finding.Edit{set("keep", "[{rule: c}]")}, "keep:\n  - rule: c # x\n"},
		{"literal", "notes: |\n  one\n  two\ntitle: x\n", []finding.Edit{set("notes", "\"one\\n\\nthree\\n\"")}, "notes: |\n  one\n\n  three\ntitle: x\n"},
		{"after a literal", "notes: |\n  one\n\n\n", []finding.Edit{set("title", "x")}, "notes: |\n  one\ntitle: x\n\n\n"},
		{"unknown word", "title: x\n", []finding.Edit{set("titel", "y")}, "!not a word known"},
		{"below a value", "title: x\n", []finding.Edit{set("title.a", "y")}, "!nothing can be set below"},
		{"absent", "title: x\n", []finding.Edit{del("notes")}, "!no notes"},
		{"broken file", "title: [\n", []finding.Edit{del("title")}, "!before this is mended, line"},
		{"broken value", "title: x\n", []finding.Edit{set("title", "[")}, "!cannot be read"},
		{"alias", "controls:\n  a: {part: &p push-16mm}\n  b: {part: *p}\n", []finding.Edit{set("controls.a.part", "x")}, "!several places"},
		{"over an alias", "controls:\n  a: {part: &p push-16mm}\n  b: {part: *p}\n", []finding.Edit{set("controls.b.part", "x")}, "controls:\n  a: {part: &p push-16mm}\n  b: {part: x}\n"},
		{"through an alias", "controls:\n  a: &p {part: push-16mm}\n  b: *p\n", []finding.Edit{set("controls.b.part", "x")}, "!several places"},
		{"nothing to do", "controls: {a: {at: [ 1,2 ]}}", []finding.Edit{set("controls.a.at", "[1, 2]")}, "controls: {a: {at: [ 1,2 ]}}"},
		{"all or nothing", "title: x\n", []finding.Edit{set("title", "y"), del("nope")}, "!no nope"},
		{"chain in a flow root", "{title: x}", []finding.Edit{set("face.legend.cap", "3 mm")}, "{title: x, face: {legend: {cap: 3 mm}}}"},
		{"text that looks like a number", "controls: {a: {legend: GO}}", []finding.Edit{set("controls.a.legend", "\"12\"")}, "controls: {a: {legend: \"12\"}}"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := project.Read("x.yaml", []byte(c.src)).Apply(c.edits)
			if part, ok := strings.CutPrefix(c.want, "!"); ok {
				if err == nil || !strings.Contains(err.Error(), part) {
					t.Fatalf("got %q, %v; want a refusal with %q", got, err, part)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if string(got) != c.want {
				t.Fatalf("got\n%s\nwant\n%s", got, c.want)
			}
		})
	}
}
