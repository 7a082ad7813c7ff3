package project_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/project"
)

// say prints a finding on one line: severity, rule, places of all ends, head, body, the first fix.
func say(f finding.Finding) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s %s", f.Severity, f.Rule)
	for _, e := range f.Ends {
		fmt.Fprintf(&b, " %d:%d+%d", e.Pos.Line, e.Pos.Column, e.Pos.Length)
	}
	fmt.Fprintf(&b, " %s", f.Head)
	if f.Body != "" {
		fmt.Fprintf(&b, " | %s", f.Body)
	}
	if len(f.Fixes) > 0 {
		fmt.Fprintf(&b, " -> %s", f.Fixes[0].Say)
	}
	return b.String()
}

const v1 = "knobwright: 1\n"

func TestReadFindings(t *testing.T) {
	for _, c := range []struct {
		name, src string
		want      []string
	}{
		{"good", v1 + "title: x\n", nil},
		{"empty", "", []string{"warn file.version 1:1+1 The file does not say that it is a panel file of version 1. | Later versions of the format will be told apart by this line. -> Write knobwright: 1 at the top"}},
		{"only a comment", "# later\n", []string{"warn file.version 1:1+1 The file does not say that it is a panel file of version 1. | Later versions of the format will be told apart by this line. -> Write knobwright: 1 at the top"}},
		{"null", v1 + "controls:\nface:\ngroups: {a: {controls: {b: , c}}}\n", nil},
		{"version before the first", "knobwright: 0\n", []string{"stop file.version 1:13+1 The file is written in version 0 of the format; this program reads version 1. | There has never been such a version: versions begin with 1. Write knobwright: 1."}},
		{"other version", "knobwright: 2\n", []string{"stop file.version 1:13+1 The file is written in version 2 of the format; this program reads version 1. | What it says may mean something else there. Take a newer program, or write the file anew for version 1."}},
		{"version no number", "knobwright: one\n", []string{"stop file.not-a-number 1:13+3 knobwright: \"one\" is not a whole number."}},
		{"version without value", "knobwright:\n", []string{"warn file.version 1:1+10 The file does not say that it is a panel file of version 1. | Later versions of the format will be told apart by this line. -> Write knobwright: 1 at the top"}},
		{"control without part or value", v1 + "controls:\n  go: {at: [1, 2]}\n  stop: {part: }\n", []string{"note file.no-value 4:10+4 part has no value yet."}},
		{"mistyped key", v1 + "face: {widht: 300}\n", []string{"stop file.unknown-key 2:8+5 \"widht\" is not a word known here. | Did you mean width? -> Write width"}},
		{"mistyped key, the word taken", v1 + "face: {widht: 300, width: 200}\n", []string{"stop file.unknown-key 2:8+5 \"widht\" is not a word known here. | Did you mean width?"}},
		{"unknown key", v1 + "module: {colour: red}\n", []string{"stop file.unknown-key 2:10+6 \"colour\" is not a word known here. | Known here: part, at, turn, on, lift."}},
		{"duplicate key", v1 + "title: a\nnotes: n\ntitle: b\n", []string{"stop file.duplicate-key 4:1+5 2:1+5 title stands here twice. | The first one is on line 2; only that one is read."}},
		{"duplicate limit", v1 + "limits: {a.b: 1, a.b: 2}\n", []string{"stop file.duplicate-key 2:18+3 2:10+3 a.b stands here twice. | The first one is on line 2; only that one is read."}},
		{"duplicate name", v1 + "controls:\n  go: {}\n  go: {}\n", []string{"stop file.duplicate-name 4:3+2 3:3+2 The name go is used twice. | The first one is on line 3; only that one is read."}},
		{"capitals", v1 + "controls:\n  go: {legend: START}\n  Go: {}\n", []string{"warn file.duplicate-name 4:3+2 3:3+2 The names go and Go differ only by capitals. | On a label or in a list they look the same. Give one of them another name."}},
		{"control and member", v1 + "controls:\n  go: {}\ngroups:\n  g:\n    controls: {go: }\n", []string{"stop file.duplicate-name 6:16+2 3:3+2 Two controls are called go. | Lists, labels and wires could not tell them apart. Give one of them another name."}},
		{"control and group", v1 + "controls:\n  go: {}\ngroups:\n  go: {}\n", []string{"warn file.duplicate-name 5:3+2 3:3+2 A control and a group are both called go. | A mirror or a copy of this name could mean either. Give one of them another name."}},
		{"bad name", v1 + "controls:\n  go now: {}\n  a.b: {}\n  '!': {}\n", []string{
			"stop file.bad-name 3:3+6 \"go now\" cannot be a name. | Use letters, digits, - and _, at most 60. -> Write go-now",
			"stop file.bad-name 4:3+3 \"a.b\" cannot be a name. | Use letters, digits, - and _, at most 60. -> Write a-b",
			"stop file.bad-name 5:3+3 \"!\" cannot be a name. | Use letters, digits, - and _, at most 60."}},
		{"unit", v1 + "face: {width: 3 kg, height: '200,5', corner: x}\n", []string{
			"stop file.not-a-length 2:15+4 width: \"kg\" is not a unit of length; write mm, cm, in or ft.",
			"stop file.not-a-length 2:29+7 height: \"200,5\" has a comma; write a point, as in 1.5. -> Write 200.5", "stop file.not-a-length 2:46+1"}},
		{"nan", v1 + "face: {width: .nan, height: .inf, corner: 1e999, kerf: NaN}\ncontrols: {a: {turn: .inf, knob: -.Inf}}\nlimits: {a: .nan, b: nan, c: inf mm}\n", []string{
			"stop file.not-a-length 2:15+4", "stop file.not-a-length 2:29+4", "stop file.not-a-length 2:43+5", "stop file.not-a-length 2:56+3",
			"stop file.not-an-angle 3:22+4", "stop file.not-a-length 3:34+5",
			"stop file.not-a-number 4:13+4", "stop file.not-a-number 4:22+3", "stop file.not-a-number 4:30+6"}},
		{"decimal comma", v1 + "reading: 3,5 mm\n", []string{"stop file.not-a-length 2:10+6 reading: \"3,5 mm\""}},
		{"angle", v1 + "module: {part: x, turn: 3 mm}\n", []string{"stop file.not-an-angle 2:25+4 turn: \"mm\" is"}},
		{"word", v1 + "hand: glov\npaper: a3\n", []string{
			"stop file.unknown-word 2:7+4 \"glov\" is not one of the words for hand. | Did you mean glove? -> Write glove",
			"stop file.unknown-word 3:8+2 \"a3\" is not one of the words for paper. | Did you mean a4? -> Write a4"}},
		{"place without brackets", v1 + "controls:\n  a: {at: 20 30}\n  b:\n    at: 20, 1/8 in\n  c: {at: [1, 2, 3]}\n  d: {at: high}\n", []string{
			"stop file.wrong-shape 3:11+5 at: \"20 30\" stands here, but a list in [ ] is wanted. | As in [20, 30]. -> Write [20, 30]",
			"stop file.wrong-shape 5:9+10 at: \"20, 1/8 in\" stands here, but a list in [ ] is wanted. | As in [20, 30]. -> Write [20, 1/8 in]",
			"stop file.wrong-shape 6:11+1 at: 3 values stand here; 2 are wanted.",
			"stop file.wrong-shape 7:11+4 at: \"high\" stands here, but a list in [ ] is wanted. | As in [20, 30]."}},
		{"shape", v1 + "face: wide\ncontrols: [a]\ntitle: {a: 1}\n", []string{
			"stop file.wrong-shape 2:7+4 face: \"wide\" stands here, but a set of named values is wanted (width, height,", "stop file.wrong-shape 3:11+1 controls: a list stands here, but", "stop file.wrong-shape 4:8+1 title: a set of named values stands here, but a word or a text is wanted."}},
		{"list as a file", "- a\n", []string{"stop file.syntax 1:1+1 The file is a list; a panel file is made of named values"}},
		{"word as a file", "panel\n", []string{"stop file.syntax 1:1+1 The file is a single value; a panel file is made of named values"}},
		{"yes or no", v1 + "controls: {a: {pinned: maybe}, b: {pinned: yes}, c: {pinned: false}}\n", []string{"stop file.not-a-yes-or-no 2:24+5 pinned: \"maybe\" is neither yes nor no."}},
		{"missing", v1 + "box: {ribs: {a: {from: [1, 2]}}}\n", []string{"stop file.missing 2:17+1 to is missing here."}},
		{"merge", v1 + "controls:\n  a: &a {part: x}\n  b: {<<: *a}\n", []string{"stop file.unknown-key 4:7+2 Values cannot be taken over from elsewhere with <<. | Write them out, or use a group."}},
		{"merge in names", v1 + "controls:\n  <<: {}\n", []string{"stop file.unknown-key 3:3+2 Values cannot be taken over"}},
		{"tag", v1 + "title: !foo x\nnotes: !!str 5\n", []string{"stop file.tag 2:8+1 The tag !foo means nothing here. | Take it out."}},
		{"two documents", v1 + "---\ntitle: x\n", []string{"stop file.two-documents 2:1+1 A second document begins here (after a line of three dashes or dots) and is not read;"}},
		{"document end", v1 + "...\n", nil},
		{"yaml line", "%YAML 1.2\n---\n" + v1, []string{"note file.directive 1:1+1 The %YAML line is not needed."}},
		{"mark and crlf", "\ufeffknobwright: 1\r\ntitel: x\r\n", []string{"stop file.unknown-key 2:1+5 \"titel\" is not a word known here. | Did you mean title? -> Write title"}},
		{"tab", v1 + "face:\n\twidth: 3\n", []string{"stop file.syntax 3:1+1 A tab stands here where spaces are wanted. | Set the editor to write spaces."}},
		{"colon", v1 + "title: desk: new\n", []string{"stop file.syntax 2:12+1 A colon stands here where no new value can begin."}},
		{"open bracket", v1 + "controls:\n  a: {at: [1, 2}\n  b: {}\n", []string{"stop file.syntax 3:11+1 A [ is opened here"}},
		{"open brace", v1 + "controls:\n  a: {part: x\n", []string{"stop file.syntax 3:6+1 A { is opened here"}},
		{"open quote", v1 + "title: \"desk\nnotes: x\n", []string{"stop file.syntax 2:8+1 A quote is opened here and never closed."}},
		{"indentation", v1 + "face:\n  width: 3\n height: 4\n", []string{"stop file.syntax 4:2+1 This line does not line up"}},
		{"sign", v1 + "title: @desk\n", []string{"stop file.syntax 2:8+1 A text cannot begin with this sign."}},
		{"binary", "\x7fELF\x00\x01", []string{"stop file.stray-character 1:1+1"}},
		{"nul", v1 + "title: a\x00\n", []string{"stop file.not-text 2:9+1 This is not a text file in UTF-8."}},
		{"latin-1", v1 + "title: Gr\xf6\xdfe\n", []string{"stop file.not-text 2:10+1 This is not a text file in UTF-8."}},
		{"utf-16", "\xff\xfek\x00n\x00", []string{"stop file.not-text 1:1+1"}},
		{"line separator", v1 + "title: a\u2028b\n", []string{"stop file.stray-character 2:9+1 An invisible character (U+2028) stands here."}},
		{"lone carriage return", "title: a\rb: c\n", []string{"stop file.stray-character 1:9+1 A carriage return stands here without a line feed."}},
		{"self", v1 + "notes: &a [*a]\n", []string{"stop file.too-deep 2:12+1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := project.Read("x.yaml", []byte(c.src))
			var got []string
			for _, f := range d.Findings {
				got = append(got, say(f))
				if f.Rule != "file.version" && f.Pos().File != "x.yaml" {
					t.Errorf("no place in %s", say(f))
				}
			}
			for i := range max(len(got), len(c.want)) {
				switch {
				case i >= len(got):
					t.Errorf("missing: %s", c.want[i])
				case i >= len(c.want) || !strings.HasPrefix(got[i], c.want[i]):
					t.Errorf("got  %s", got[i])
					if i < len(c.want) {
						t.Errorf("want %s", c.want[i])
					}
				}
			}
			// Every fix can be made and makes its finding go away.
			for _, f := range d.Findings {
				for _, fix := range f.Fixes {
					out, err := d.Apply(fix.Edits)
					if err != nil {
						t.Errorf("fix %q: %v", fix.Say, err)
						continue
					}
					for _, g := range project.Read("x.yaml", out).Findings {
						if g.Rule == f.Rule && g.Head == f.Head {
							t.Errorf("fix %q does not mend %q:\n%s", fix.Say, f.Head, out)
						}
					}
				}
			}
		})
	}
}

// What is beside a slip is read all the same.
func TestReadKeepsTheRest(t *testing.T) {
	d := project.Read("x.yaml", []byte(`units: in
titel: lost
face: {width: 16 1/2, height: 200 mm, sheet: {use: acrylic-3mm, actual: 3 kg}}
module: rp2040-40pin
tools: [twist-fractional, {kind: twist, sizes: [1/8 in, 0.25]}]
controls:
  go: {at: [1, 2], part: push-16mm, pinned: perhaps, legend: GO, sends: {turn: [button 2, "a, b"], press: 4}}
  door:
groups:
  cues: {row: {from: [1, 1], to: 9}, names: "cue-{n}"}
limits: {fit.body-gap: 0.5, sheet.web: 2 mm, legend.size: 16 min of arc, reach.neighbours: 1/2 in, bad: 3 kg, none: }
`))
	f := d.File
	eq := func(what string, got, want any) {
		t.Helper()
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%s: got %v, want %v", what, got, want)
		}
	}
	eq("width", f.Face.Width, length.Length(16.5*25.4))
	eq("height", f.Face.Height, length.Length(200))
	eq("sheet", f.Face.Sheet, project.SheetRef{Use: "acrylic-3mm"})
	eq("module", f.Module.Part, "rp2040-40pin")
	eq("bits", len(f.Tools.Bits), 2)
	eq("sizes", f.Tools.Bits[1].Sizes, []length.Length{3.175, 6.35})
	eq("names", f.Controls.Keys, []string{"go", "door"})
	c := f.Controls.Get("go")
	eq("at", *c.At, project.Point{25.4, 50.8})
	eq("part", c.Part, "push-16mm")
	eq("legend", c.Legend.Text, "GO")
	eq("sends", c.Sends.Text(), `{turn: [button 2, "a, b"], press: 4}`)
	eq("to", *f.Groups.Get("cues").Row.To, length.Length(9*25.4))
	eq("limits", f.Limits, map[string]project.Number{
		"fit.body-gap": {Value: 0.5, Text: "0.5"}, "sheet.web": {Value: 2, Unit: "mm", Text: "2 mm"},
		"legend.size": {Value: 16, Unit: "min of arc", Text: "16 min of arc"}, "reach.neighbours": {Value: 12.7, Unit: "mm", Text: "1/2 in"}})
	eq("place", d.Pos("controls.go.at.1"), finding.Pos{File: "x.yaml", Line: 7, Column: 16, Length: 1})
	eq("place of a key", d.KeyPos("groups.cues"), finding.Pos{File: "x.yaml", Line: 10, Column: 3, Length: 4})
	eq("place of a short form", d.Pos("module.part"), finding.Pos{File: "x.yaml", Line: 4, Column: 9, Length: 12})
	eq("place of nothing", d.Pos("controls.nope"), finding.Pos{})
	eq("label", d.Findings[1].Ends[0].Name, "actual")
	var rules []string
	for _, g := range d.Findings {
		rules = append(rules, g.Rule)
	}
	eq("rules", rules, []string{"file.unknown-key", "file.not-a-length", "file.not-a-yes-or-no", "file.not-a-number", "file.version"})
}

// A value that is wrong is left out whole, so that nothing is reckoned from half of it.
func TestReadLeavesOut(t *testing.T) {
	f := project.Read("x.yaml", []byte(v1+`
controls: {a: {at: [20, 3,5]}, b: {at: [20, x]}, c: {at: high}, d: {at: [20, 30]}, e: {legend: {text: E, cap: big}}}
face: {fixings: [[1, 2], [3, x]], kerf: 1 kg, holes: {h: {at: [1, 2], rect: [3, y]}}}
tools: {bits: {kind: twist, sizes: [1, x, 3]}, file: perhaps}
groups: {g: {row: {from: [1, x], step: 5}}, h: {row: {from: [1, 2], to: 2 kg, step: 5}, column: {step: 3}}}
box: {ribs: {a: {from: [1, 2]}, b: {from: [1, 2], to: [3, 4]}}}
`)).File
	for _, n := range []string{"a", "b", "c"} {
		if at := f.Controls.Get(n).At; at != nil {
			t.Errorf("%s stands at %v", n, *at)
		}
	}
	if at := f.Controls.Get("d").At; at == nil || *at != (project.Point{20, 30}) {
		t.Errorf("d stands at %v", at)
	}
	if l := f.Controls.Get("e").Legend; l == nil || l.Text != "E" || l.Cap != 0 {
		t.Errorf("e has the legend %v", l)
	}
	if f.Face.Fixings.At != nil || f.Face.Kerf != 0 || f.Face.Holes.Get("h").Rect != nil || f.Face.Holes.Get("h").At != (project.Point{1, 2}) {
		t.Errorf("%+v", f.Face)
	}
	if s := f.Tools.Bits[0].Sizes; len(s) != 2 || s[1] != 3 || f.Tools.File != nil {
		t.Errorf("%+v", f.Tools)
	}
	if r := f.Groups.Get("g").Row; r != nil {
		t.Errorf("a row from nowhere: %+v", r)
	}
	if r := f.Groups.Get("h"); r.Row == nil || r.Row.From != (project.Point{1, 2}) || r.Row.To != nil || r.Row.Step != 5 || r.Column != nil {
		t.Errorf("%+v", r)
	}
	if r := f.Box.Ribs.Keys; len(r) != 1 || r[0] != "b" {
		t.Errorf("%v", r)
	}
}

// Texts made to hang or burst a reader are answered quickly, with a place.
func TestReadBounds(t *testing.T) {
	rep := strings.Repeat
	bomb := "a: &a [x, x, x, x, x, x, x, x, x]\n"
	for c := 'b'; c < 'k'; c++ {
		bomb += fmt.Sprintf("%c: &%c [*%c, *%c, *%c, *%c, *%c, *%c, *%c, *%c, *%c]\n", c, c, c-1, c-1, c-1, c-1, c-1, c-1, c-1, c-1, c-1)
	}
	for _, c := range []struct{ name, src, rule string }{
		{"too large", rep("# x\n", 1<<19), "file.too-large"},
		{"100,000 brackets", rep("[", 100_000), "file.too-deep"},
		{"100,000 braces", rep("{a: ", 100_000), "file.too-deep"},
		{"100,000 braces closed", "title: " + rep("{a: ", 100_000) + rep("}", 100_000), "file.too-deep"},
		{"dashes", rep("- ", 100_000), "file.too-deep"},
		{"question marks", rep("? ", 100_000), "file.too-deep"},
		{"indentation", func() string {
			var b strings.Builder
			for i := range 1000 {
				b.WriteString(rep(" ", i) + "a:\n")
			}
			return b.String()
		}(), "file.too-deep"},
		{"aliases", bomb, "file.too-deep"},
		{"long text in aliases", "notes: &n " + rep("x", 1<<19) + "\nkeep: [" + rep("*n, ", 1000) + "]", "file.too-deep"},
		{"commas", "title: [" + rep("a,", 500_000) + "]", "file.too-large"},
		{"many items", "title: [" + rep("a,", 190_000) + "]", "file.wrong-shape"},
		{"many lines", rep("a: 1\n", 90_000), "file.many"},
		{"many lines beyond the bound", rep("a: 1\n", 200_000), "file.too-large"},
		{"many names", "controls:\n" + rep("  a b: 1\n", 90_000), "file.many"},
		{"one long key", rep("k", 1_000_000) + ": 1\n", "file.unknown-key"},
		{"one long value", v1 + "hand: " + rep("v", 1_000_000), "file.unknown-word"},
		{"one long length", v1 + "reading: " + rep("9", 1_000_000), "file.not-a-length"},
		{"quote never closed", "title: '" + rep("\n", 1_000_000), "file.syntax"},
		{"anchors", rep("&a ", 300_000), "file.syntax"},
		{"documents", rep("--- a\n", 150_000), "file.two-documents"},
		{"hashes", "title: [" + rep("\n#c\n1,", 150_000) + "]", "file.wrong-shape"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t0 := time.Now()
			d := project.Read("x.yaml", []byte(c.src))
			t.Logf("%v", time.Since(t0))
			found := false
			for _, f := range d.Findings {
				found = found || f.Rule == c.rule && f.Pos().Line > 0
				if len(f.Head) > 300 {
					t.Errorf("a sentence of %d characters", len(f.Head))
				}
			}
			if !found {
				t.Errorf("want %s, got %s", c.rule, say(d.Findings[0]))
			}
			if len(d.Findings) > 250 {
				t.Errorf("%d findings", len(d.Findings))
			}
			t0 = time.Now()
			if _, err := d.Apply([]finding.Edit{set("title", "x")}); err == nil && bytes.Contains([]byte(c.rule), []byte("too")) {
				t.Errorf("edited all the same")
			}
			t.Logf("an edit: %v", time.Since(t0))
		})
	}
}

// The examples are read without a word, whichever line ends they have.
func TestReadExamples(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*.yaml")
	if len(files) == 0 {
		t.Fatal("no examples")
	}
	for _, name := range files {
		src, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range [][]byte{src, bytes.ReplaceAll(src, []byte("\n"), []byte("\r\n")), append([]byte("\ufeff"), src...)} {
			d := project.Read(filepath.Base(name), s)
			for _, f := range d.Findings {
				t.Errorf("%s: %s", name, say(f))
			}
			if d.File.Controls.Len() == 0 {
				t.Errorf("%s: no controls", name)
			}
		}
	}
}

// Every rule that can be said is explained, and every explained rule is said somewhere in these tests.
func TestRules(t *testing.T) {
	known := map[string]bool{}
	for _, r := range project.Rules {
		if known[r.Name] || !strings.HasPrefix(r.Name, "file.") || r.Title == "" || len(r.Explain) < 120 {
			t.Errorf("rule %+v", r)
		}
		known[r.Name] = true
	}
	src, err := os.ReadFile("read_test.go")
	if err != nil {
		t.Fatal(err)
	}
	for name := range known {
		if name == "file.no-catalogue" {
			continue // said by the command line, and tested there
		}
		if !bytes.Contains(src, []byte(name)) {
			t.Errorf("%s is never tested", name)
		}
	}
	for _, dir := range []string{".", "../yamlfile"} {
		files, _ := filepath.Glob(dir + "/*.go")
		for _, f := range files {
			b, err := os.ReadFile(f)
			if err != nil {
				t.Fatal(err)
			}
			for _, part := range bytes.Split(b, []byte(`"file.`))[1:] {
				name, _, _ := bytes.Cut(part, []byte(`"`))
				if !strings.HasSuffix(f, "_test.go") && !known["file."+string(name)] {
					t.Errorf("%s says file.%s, which is not explained", f, name)
				}
			}
		}
	}
}

// Of two documents the first is read, and neither is edited.
func TestFirstOfTwoDocuments(t *testing.T) {
	d := project.Read("x.yaml", []byte("knobwright: 1\ntitle: one\nface: {width: 100}\n---\ntitle: two\n"))
	if d.File.Title != "one" || d.File.Face.Width != 100 {
		t.Errorf("%q, %v wide", d.File.Title, d.File.Face.Width)
	}
	if out, err := d.Apply([]finding.Edit{{Op: finding.Set, Path: "title", Value: "three"}}); err == nil || !strings.Contains(err.Error(), "second document") {
		t.Errorf("%q, %v", out, err)
	}
}
