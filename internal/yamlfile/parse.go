package yamlfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
	"go.yaml.in/yaml/v4/plugin/loaderlimits"

	"knobwright/internal/finding"
)

// Limits of what is read: a text beyond them is refused, never half-read. They stand far above any panel (one of 2,000
// controls has about 200 kB and 40,000 values) and keep the worst text below a second of work.
const (
	MaxBytes  = 1 << 20 // 1 MiB
	maxDepth  = 40      // levels of nesting
	maxNodes  = 200_000 // keys and values, aliases written out
	maxSpread = 4 << 20 // bytes of all keys and values, aliases written out
)

const bom = "\uFEFF"

// parse reads the first document. Everything that is refused is refused with a sentence and, where known, a line; so is a
// second document, but the first one is read all the same.
func (d *Decoder) parse(src []byte) *yaml.Node {
	text, ok := d.clean(src)
	if !ok {
		return nil
	}
	l, err := yaml.NewLoader(bytes.NewReader(text), yaml.WithPlugin(loaderlimits.New(loaderlimits.DepthValue(maxDepth))))
	if err != nil {
		d.syntax(err, text)
		return nil
	}
	var root, second yaml.Node
	switch err := l.Load(&root); {
	case errors.Is(err, io.EOF):
		return nil
	case err != nil:
		d.syntax(err, text)
		return nil
	}
	if err := l.Load(&second); !errors.Is(err, io.EOF) {
		if err != nil {
			d.syntax(err, text)
			return nil
		}
		d.refuse("file.two-documents", second.Line, 1, "A second document begins here (after a line of three dashes or dots) and is not read; a file holds one panel.",
			"put the second one into a file of its own")
	}
	n := &root
	if n.Kind == yaml.DocumentNode && len(n.Content) == 1 {
		n = n.Content[0]
	}
	b := bounds{}
	if !b.within(n, 0) {
		switch {
		case b.aliases:
			d.refuse("file.too-deep", b.at.Line, b.at.Column, "Here the file repeats itself too often through & and *.", "write the repeated values out, or use a group")
		case b.deep:
			d.refuse("file.too-deep", b.at.Line, b.at.Column, "The file nests too deep here.", "look for brackets that are opened and never closed")
		default:
			d.refuse("file.too-large", b.at.Line, b.at.Column, fmt.Sprintf("The file has more than %d values.", maxNodes), "")
		}
		return nil
	}
	d.nodes = b.nodes
	d.tags(n)
	return n
}

func (d *Decoder) refuse(rule string, line, col int, say, hint string) {
	d.add(Problem{Rule: rule, Pos: finding.Pos{File: d.File, Line: max(line, 1) + d.LineOff, Column: max(col, 1), Length: 1}, Say: say, Hint: hint})
}

// clean checks that the text is one that can be read at all and takes off what the YAML reader stumbles over: the
// byte-order mark, and a %YAML line, which becomes a comment of the same length.
func (d *Decoder) clean(src []byte) ([]byte, bool) {
	if len(src) > MaxBytes {
		d.refuse("file.too-large", 1, 1, fmt.Sprintf("The file has %d bytes; a panel file has at most %d.", len(src), MaxBytes), "")
		return nil, false
	}
	src = bytes.TrimPrefix(src, []byte(bom))
	if i, r, ok := oddRune(src); ok {
		line, col := lineColumn(src, i)
		switch {
		case r == 0 || r == utf8.RuneError:
			d.refuse("file.not-text", line, col, "This is not a text file in UTF-8.", "save it as plain text, UTF-8")
		case r == '\r':
			d.refuse("file.stray-character", line, col, "A carriage return stands here without a line feed.", "save the file with usual line ends")
		default:
			d.refuse("file.stray-character", line, col, fmt.Sprintf("An invisible character (%U) stands here.", r), "take it out")
		}
		return nil, false
	}
	if n := bytes.Count(src, []byte(",")) + bytes.Count(src, []byte("[")) + bytes.Count(src, []byte("{")); n > maxNodes {
		d.refuse("file.too-large", 1, 1, fmt.Sprintf("The file has more than %d values.", maxNodes), "")
		return nil, false
	}
	return d.directives(src), true
}

// directives makes leading %YAML lines into comments.
func (d *Decoder) directives(src []byte) []byte {
	off, line := 0, 1
	for off < len(src) {
		end := bytes.IndexByte(src[off:], '\n')
		if end < 0 {
			end = len(src) - off
		} else {
			end++
		}
		l := src[off : off+end]
		t := bytes.TrimSpace(l)
		if bytes.HasPrefix(l, []byte("%YAML")) {
			src = bytes.Clone(src)
			src[off] = '#'
			d.refuse("file.directive", line, 1, "The %YAML line is not needed.", "")
		} else if len(t) > 0 && t[0] != '#' && l[0] != '%' {
			break
		}
		off += end
		line++
	}
	return src
}

// oddRune finds the first character that a YAML text may not hold, or that breaks lines where editors see none.
func oddRune(src []byte) (at int, r rune, found bool) {
	for i := 0; i < len(src); {
		c := src[i]
		if c < utf8.RuneSelf {
			if c >= 0x20 && c != 0x7f || c == '\n' || c == '\t' || c == '\r' && i+1 < len(src) && src[i+1] == '\n' {
				i++
				continue
			}
			return i, rune(c), true
		}
		r, n := utf8.DecodeRune(src[i:])
		if r == utf8.RuneError && n == 1 || r < 0xA0 || r == 0x2028 || r == 0x2029 || r == 0xFEFF || r >= 0xFFFE && r <= 0xFFFF {
			return i, r, true
		}
		i += n
	}
	return 0, 0, false
}

func lineColumn(src []byte, off int) (line, col int) {
	start := bytes.LastIndexByte(src[:off], '\n') + 1
	return 1 + bytes.Count(src[:off], []byte("\n")), 1 + utf8.RuneCount(src[start:off])
}

// bounds counts what a tree comes to with all aliases written out.
type bounds struct {
	nodes, bytes  int
	aliases, deep bool
	at            *yaml.Node // where it became too much
}

// within reports whether the tree under n, with all aliases written out, stays within the limits.
func (b *bounds) within(n *yaml.Node, depth int) bool {
	b.nodes++
	b.bytes += len(n.Value)
	if depth > maxDepth || b.nodes > maxNodes || b.bytes > maxSpread {
		b.at, b.deep = n, depth > maxDepth
		return false
	}
	if n.Kind == yaml.AliasNode {
		if b.aliases = true; !b.within(n.Alias, depth+1) {
			b.at = n
			return false
		}
		return true
	}
	for _, c := range n.Content {
		if !b.within(c, depth+1) {
			return false
		}
	}
	return true
}

// tags finds tags, which mean nothing here, except those that only say what a value is anyhow.
func (d *Decoder) tags(n *yaml.Node) {
	if n.Style&yaml.TaggedStyle != 0 && !strings.HasPrefix(n.Tag, "!!") && n.Tag != "!" || n.Tag == "!!binary" {
		d.bad("file.tag", n, "", "take it out", "The tag %s means nothing here.", short(n.Tag))
	}
	for _, c := range n.Content {
		d.tags(c)
	}
}
