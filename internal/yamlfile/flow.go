package yamlfile

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// flow prints a node as one line of YAML flow text, aliases written out. What is read back from it equals the node.
func flow(n *yaml.Node) string {
	var b strings.Builder
	writeFlow(&b, n)
	return b.String()
}

func writeFlow(b *strings.Builder, n *yaml.Node) {
	switch n.Kind {
	case yaml.AliasNode:
		writeFlow(b, n.Alias)
	case yaml.SequenceNode:
		b.WriteByte('[')
		for i, c := range n.Content {
			if i > 0 {
				b.WriteString(", ")
			}
			writeFlow(b, c)
		}
		b.WriteByte(']')
	case yaml.MappingNode:
		b.WriteByte('{')
		for i := 0; i+1 < len(n.Content); i += 2 {
			if i > 0 {
				b.WriteString(", ")
			}
			writeFlow(b, n.Content[i])
			b.WriteString(": ")
			writeFlow(b, n.Content[i+1])
		}
		b.WriteByte('}')
	default:
		switch {
		case n.Tag == "!!null":
			b.WriteString("null")
		case n.Tag == "!!str":
			b.WriteString(Quote(n.Value))
		default:
			b.WriteString(n.Value)
		}
	}
}

// Quote gives a text as a YAML scalar that stands anywhere on one line, also between flow brackets: as it is where that
// reads back as the same text, else in double quotes.
func Quote(s string) string {
	if plainSafe(s) {
		return s
	}
	return doubleQuote(s)
}

// plainSafe reports whether a text without quotes reads back as this text, and not as a number, a date, a yes, a null.
func plainSafe(s string) bool {
	if s == "" || len(s) > 200 || strings.HasPrefix(s, "---") || strings.HasPrefix(s, "...") || strings.HasSuffix(s, " ") || strings.Contains(s, ": ") || strings.HasSuffix(s, ":") || strings.Contains(s, " #") {
		return false
	}
	first, _ := utf8.DecodeRuneInString(s)
	if !unicode.IsLetter(first) && !unicode.IsDigit(first) && !strings.ContainsRune(".+-/(°", first) {
		return false
	}
	for _, r := range s {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !unicode.IsMark(r) && !strings.ContainsRune(" ._-/+%°'()*=;$~×ø#:!?&@", r) {
			return false
		}
	}
	switch strings.ToLower(s) {
	case "null", "true", "false", "yes", "no", "on", "off", "y", "n":
		return false
	}
	return unicode.IsLetter(first) || readsBack(s)
}

// readsBack asks the YAML reader itself: "2.9 mm" reads back as a text, "2.9" does not.
func readsBack(s string) bool {
	var n yaml.Node
	if yaml.Load([]byte("["+s+"]"), &n) != nil || len(n.Content) != 1 || len(n.Content[0].Content) != 1 {
		return false
	}
	x := n.Content[0].Content[0]
	return x.Kind == yaml.ScalarNode && x.Tag == "!!str" && x.Value == s
}

func doubleQuote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range s {
		switch {
		case r == '"' || r == '\\':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r == '\t':
			b.WriteString(`\t`)
		case r == '\r':
			b.WriteString(`\r`)
		case r < 0x20 || r >= 0x7f && r < 0xA0:
			fmt.Fprintf(&b, `\x%02x`, r)
		case r == 0x2028 || r == 0x2029 || r == 0xFEFF || r == 0xFFFE || r == 0xFFFF:
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}
