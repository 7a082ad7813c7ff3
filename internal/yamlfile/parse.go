package yamlfile

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
)

// parse reads one document. Everything that is refused is refused with a sentence and, where known, a line.
func (d *Decoder) parse(src []byte) *yaml.Node {
	at := finding.Pos{File: d.File, Line: 1 + d.LineOff, Column: 1}
	refuse := func(rule, say, hint string) *yaml.Node {
		d.Problems = append(d.Problems, Problem{Rule: rule, Pos: at, Say: say, Hint: hint})
		return nil
	}
	if len(src) > MaxBytes {
		return refuse("file.too-large", fmt.Sprintf("The file has %d bytes; a panel file has at most %d.", len(src), MaxBytes), "")
	}
	src = bytes.TrimPrefix(src, []byte("\uFEFF"))
	if i := bytes.IndexByte(src, 0); i >= 0 || !utf8.Valid(src) {
		return refuse("file.not-text", "This is not a text file in UTF-8.", "")
	}
	var root yaml.Node
	if err := yaml.Unmarshal(src, &root); err != nil {
		return d.syntax(err, at)
	}
	if root.Kind == 0 {
		return nil
	}
	n := &root
	if n.Kind == yaml.DocumentNode && len(n.Content) == 1 {
		n = n.Content[0]
	}
	count := 0
	if !bounded(n, 0, &count) {
		return refuse("file.too-deep", "The file nests too deep or repeats itself through aliases too often.", "")
	}
	return n
}

func bounded(n *yaml.Node, depth int, count *int) bool {
	*count++
	if depth > maxDepth || *count > maxNodes {
		return false
	}
	if n.Kind == yaml.AliasNode {
		return bounded(n.Alias, depth+1, count)
	}
	for _, c := range n.Content {
		if !bounded(c, depth+1, count) {
			return false
		}
	}
	return true
}

// syntax turns the library's error into a problem with its own position.
func (d *Decoder) syntax(err error, at finding.Pos) *yaml.Node {
	say := strings.TrimPrefix(err.Error(), "yaml: ")
	var le *yaml.LoadError
	if errors.As(err, &le) {
		if le.Mark.Line > 0 {
			at.Line, at.Column = le.Mark.Line+d.LineOff, max(le.Mark.Column, 1)
		}
		say = le.Message
	}
	d.Problems = append(d.Problems, Problem{Rule: "file.syntax", Pos: at, Say: "The file cannot be read as YAML: " + say + ".",
		Hint: "often a missing space after a colon, a tab, or a bracket left open"})
	return nil
}

// flow prints a node as one line of YAML flow text.
func flow(n *yaml.Node) string {
	switch n.Kind {
	case yaml.AliasNode:
		return flow(n.Alias)
	case yaml.SequenceNode:
		var s []string
		for _, c := range n.Content {
			s = append(s, flow(c))
		}
		return "[" + strings.Join(s, ", ") + "]"
	case yaml.MappingNode:
		var s []string
		for i := 0; i+1 < len(n.Content); i += 2 {
			s = append(s, flow(n.Content[i])+": "+flow(n.Content[i+1]))
		}
		return "{" + strings.Join(s, ", ") + "}"
	}
	return n.Value
}
