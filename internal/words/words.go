// Package words is the catalogue of the texts that papers, the book and the page say, by language. A text is a key and what stands in
// its gaps; the catalogue has the sentence. English is complete; every other language that is here is complete too, or a test fails.
//
// Sentences stand in en/*.yaml, de/*.yaml, one file a subject; keys are dotted: "steps.drill-face.title". A gap is a name in braces:
// "Drill {n} holes in the {board}." Where one of a thing reads otherwise, the key ends in .one beside the plain one: it is taken when
// the gap n is "1".
package words

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"
	"sync"

	"go.yaml.in/yaml/v4"
)

//go:embed en/*.yaml de/*.yaml
var files embed.FS

// Text is a sentence in no language yet: a key of the catalogue, and what stands in its gaps.
type Text struct {
	Key  string            `json:"key"`
	Args map[string]string `json:"args,omitempty"`
}

// T makes a Text; args alternate between the name of a gap and what stands in it (formatted with %v).
func T(key string, args ...any) Text {
	t := Text{Key: key}
	for i := 0; i+1 < len(args); i += 2 {
		if t.Args == nil {
			t.Args = map[string]string{}
		}
		t.Args[fmt.Sprint(args[i])] = fmt.Sprint(args[i+1])
	}
	return t
}

// Zero reports whether it is no text.
func (t Text) Zero() bool { return t.Key == "" }

// Lang is a language of the catalogue: "en", "de".
type Lang string

// English is the language that everything is written in first.
const English Lang = "en"

// Langs lists the languages, English first.
func Langs() []Lang {
	var out []Lang
	for l := range all() {
		out = append(out, l)
	}
	slices.SortFunc(out, func(a, b Lang) int {
		if (a == English) != (b == English) {
			if a == English {
				return -1
			}
			return 1
		}
		return strings.Compare(string(a), string(b))
	})
	return out
}

// Say gives a text in a language. A key that the language lacks is taken from English; one that English lacks is given as it is,
// in angle brackets, so that it is seen.
func (l Lang) Say(t Text) string {
	for _, k := range []Lang{l, English} {
		m := all()[k]
		if t.Args["n"] == "1" {
			if s, ok := m[t.Key+".one"]; ok {
				return l.fill(s, t.Args)
			}
		}
		if s, ok := m[t.Key]; ok {
			return l.fill(s, t.Args)
		}
	}
	return "<" + t.Key + ">"
}

// Has reports whether the language itself has a key.
func (l Lang) Has(key string) bool { _, ok := all()[l][key]; return ok }

// value gives what stands in a gap: text as it is, or, after an @, what the catalogue says for a key.
func (l Lang) value(s string) string {
	if key, ok := strings.CutPrefix(s, "@"); ok && English.Has(key) {
		return l.Say(Text{Key: key})
	}
	return s
}

func (l Lang) fill(s string, args map[string]string) string {
	if !strings.Contains(s, "{") {
		return s
	}
	var b strings.Builder
	for {
		i := strings.IndexByte(s, '{')
		j := strings.IndexByte(s, '}')
		if i < 0 || j < i {
			b.WriteString(s)
			return b.String()
		}
		b.WriteString(s[:i])
		b.WriteString(l.value(args[s[i+1:j]]))
		s = s[j+1:]
	}
}

// all is the catalogue: sentences by language and key.
var all = sync.OnceValue(func() map[Lang]map[string]string {
	out := map[Lang]map[string]string{}
	err := fs.WalkDir(files, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		src, err := files.ReadFile(p)
		if err != nil {
			return err
		}
		var n yaml.Node
		if err := yaml.Unmarshal(src, &n); err != nil {
			return fmt.Errorf("%s: %w", p, err)
		}
		l := Lang(path.Dir(p))
		if out[l] == nil {
			out[l] = map[string]string{}
		}
		if len(n.Content) > 0 {
			flatten("", n.Content[0], out[l])
		}
		return nil
	})
	if err != nil {
		panic(err) // the files are part of the program
	}
	return out
})

func flatten(prefix string, n *yaml.Node, into map[string]string) {
	if n.Kind == yaml.ScalarNode {
		into[prefix] = n.Value
		return
	}
	for i := 0; i+1 < len(n.Content); i += 2 {
		key := n.Content[i].Value
		if prefix != "" {
			key = prefix + "." + key
		}
		flatten(key, n.Content[i+1], into)
	}
}
