package yamlfile

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
)

// Problem is something wrong with the text, at a place.
type Problem struct {
	Rule  string // "file.unknown-key", "file.not-a-length", ...
	Pos   finding.Pos
	Path  string
	Say   string        // one sentence
	Hint  string        // "did you mean covering?"; may be empty
	Other finding.Pos   // the other place of a pair: where a key stands for the first time; else zero
	Fixes []finding.Fix // edits that mend it, best first; may be empty
}

// Rules that do not stop the work; all the other file.* rules do.
var mild = map[string]finding.Severity{
	"file.no-value":  finding.Note,
	"file.directive": finding.Note,
	"file.version":   finding.Warn,
}

// Finding gives the problem as a finding. name is what the person calls the thing, "" for the last step of the path.
func (p Problem) Finding(name string) finding.Finding {
	sev, ok := mild[p.Rule]
	if !ok {
		sev = finding.Stop
	}
	if name == "" {
		name = p.Path[strings.LastIndexByte(p.Path, '.')+1:]
	}
	f := finding.Finding{Rule: p.Rule, Severity: sev, Head: p.Say, Body: sentence(p.Hint), Fixes: p.Fixes,
		Ends: []finding.End{{Name: name, Path: p.Path, Pos: p.Pos}}}
	if p.Other.Line > 0 {
		f.Ends = append(f.Ends, finding.End{Name: name, Path: p.Path, Pos: p.Other})
	}
	return f
}

// maxProblems bounds what is listed of one file.
const maxProblems = 200

func (d *Decoder) add(p Problem) {
	if _, ok := mild[p.Rule]; !ok {
		d.slips++
	}
	switch n := len(d.Problems); {
	case n < maxProblems:
		d.Problems = append(d.Problems, p)
	case n == maxProblems:
		d.Problems = append(d.Problems, Problem{Rule: "file.many", Pos: p.Pos,
			Say: fmt.Sprintf("More than %d things are wrong; the rest is not listed.", maxProblems)})
	}
}

// full reports whether nothing more will be listed, so that looking for likely words can be spared.
func (d *Decoder) full() bool { return len(d.Problems) > maxProblems }

func (d *Decoder) bad(rule string, n *yaml.Node, path, hint, format string, a ...any) {
	d.add(Problem{Rule: rule, Pos: d.pos(n), Path: path, Say: fmt.Sprintf(format, a...), Hint: hint})
}

// badValue says what is wrong with the value of a key, and begins with the key.
func (d *Decoder) badValue(rule string, n *yaml.Node, path, hint, format string, a ...any) {
	say := fmt.Sprintf(format, a...)
	if k := about(path); k != "" {
		say = k + say
	}
	d.bad(rule, n, path, hint, "%s", sentence(say))
}

// about gives the key that a value belongs to, as it stands before the value: "at: ".
func about(path string) string {
	steps := strings.Split(path, ".")
	for i := len(steps) - 1; i >= 0; i-- {
		if s := steps[i]; s != "" && strings.Trim(s, "0123456789") != "" {
			return short(s) + ": "
		}
	}
	return ""
}

// renameFix proposes another word for a key.
func renameFix(path, word string) []finding.Fix {
	return []finding.Fix{{Say: "Write " + word, Short: word + ":",
		Edits: []finding.Edit{{Op: finding.Rename, Path: path, Value: word}}}}
}

// setFix proposes another value, given as YAML flow text.
func setFix(path, value string) []finding.Fix {
	return []finding.Fix{{Say: "Write " + value, Short: path[strings.LastIndexByte(path, '.')+1:] + ": " + value,
		Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: value}}}}
}

// sentence makes a text into a sentence: capital first (unless it begins with a key and its colon), full stop last. ""
// stays "".
func sentence(s string) string {
	if s == "" {
		return ""
	}
	word, _, key := strings.Cut(s, ": ")
	if r, n := utf8.DecodeRuneInString(s); unicode.IsLower(r) && (!key || strings.ContainsAny(word, " \"")) {
		s = string(unicode.ToUpper(r)) + s[n:]
	}
	if !strings.ContainsAny(s[len(s)-1:], ".?!") {
		s += "."
	}
	return s
}

// short cuts a text that is quoted in a sentence.
func short(s string) string {
	if r := []rune(s[:min(len(s), 400)]); len(r) > 60 || len(s) > 400 {
		return string(r[:min(len(r), 57)]) + "..."
	}
	return s
}
