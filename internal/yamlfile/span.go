package yamlfile

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"go.yaml.in/yaml/v4"
)

// page is a text with its tree, able to say from which byte to which byte every node stands.
type page struct {
	src   []byte // without byte-order mark
	lines []int  // offset of the first byte of each line
	root  *yaml.Node
	eol   string // the line end of the file

	line, col, seen int // where off was last asked for: nodes are asked for in their order, on lines that may be long
}

// lost is thrown when the text is not what the tree says; Apply turns it into a refusal.
type lost struct{}

func newPage(src []byte, root *yaml.Node) *page {
	p := &page{src: src, root: root, lines: []int{0}, eol: lineEndOf(src)}
	for i, c := range src {
		if c == '\n' {
			p.lines = append(p.lines, i+1)
		}
	}
	return p
}

// lineEndOf gives the line end that a text uses first.
func lineEndOf(src []byte) string {
	if i := bytes.IndexByte(src, '\n'); i > 0 && src[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// off gives the byte at which a node begins.
func (p *page) off(n *yaml.Node) int {
	if n.Line < 1 || n.Line > len(p.lines) {
		panic(lost{})
	}
	c, o := 1, p.lines[n.Line-1]
	if n.Line == p.line && n.Column >= p.col {
		c, o = p.col, p.seen
	}
	for ; c < n.Column && o < len(p.src); c++ {
		_, w := utf8.DecodeRune(p.src[o:])
		o += w
	}
	p.line, p.col, p.seen = n.Line, n.Column, o
	return o
}

func (p *page) at(i int) byte {
	if i < 0 || i >= len(p.src) {
		return 0
	}
	return p.src[i]
}

// space skips blanks, line ends and comments.
func (p *page) space(i int) int {
	for i < len(p.src) {
		switch c := p.src[i]; {
		case c == ' ' || c == '\t' || c == '\n' || c == '\r':
			i++
		case c == '#' && (i == 0 || p.src[i-1] == ' ' || p.src[i-1] == '\t' || p.src[i-1] == '\n'):
			i = p.lineEnd(i)
		default:
			return i
		}
	}
	return i
}

// blanks skips blanks within the line.
func (p *page) blanks(i int) int {
	for i < len(p.src) && (p.src[i] == ' ' || p.src[i] == '\t') {
		i++
	}
	return i
}

// lineEnd gives the end of the line that i is on, before its line end.
func (p *page) lineEnd(i int) int {
	j := bytes.IndexByte(p.src[i:], '\n')
	if j < 0 {
		return len(p.src)
	}
	j += i
	if j > i && p.src[j-1] == '\r' {
		j--
	}
	return j
}

// nextLine gives the first byte after the line that i is on.
func (p *page) nextLine(i int) int {
	if j := bytes.IndexByte(p.src[i:], '\n'); j >= 0 {
		return i + j + 1
	}
	return len(p.src)
}

// lineStart gives the first byte of the line that i is on.
func (p *page) lineStart(i int) int { return bytes.LastIndexByte(p.src[:i], '\n') + 1 }

// content gives the byte at which a node begins, its anchor and tag passed over.
func (p *page) content(n *yaml.Node) int {
	_, c := p.props(n)
	return c
}

// props gives the end of a node's anchor and tag, and where its content begins; the same when it has neither.
func (p *page) props(n *yaml.Node) (end, content int) {
	i := p.off(n)
	end = i
	if n.Anchor == "" && n.Style&yaml.TaggedStyle == 0 {
		return i, i
	}
	for c := p.at(i); c == '&' || c == '!'; c = p.at(i) {
		for i < len(p.src) && !strings.ContainsRune(" \t\r\n,[]{}", rune(p.src[i])) {
			i++
		}
		end = i
		i = p.space(i)
	}
	return end, i
}

// implicit reports whether a node is a null of which nothing stands in the text.
func implicit(n *yaml.Node) bool {
	return n.Kind == yaml.ScalarNode && n.Value == "" && n.Style == 0 && n.Anchor == "" && n.Tag == "!!null"
}

// end gives the first byte after a node. The node must not be implicit.
func (p *page) end(n *yaml.Node) int {
	i := p.content(n)
	switch n.Kind {
	case yaml.AliasNode:
		if p.at(i) != '*' {
			panic(lost{})
		}
		return i + 1 + len(n.Value)
	case yaml.ScalarNode:
		return p.scalarEnd(n, i)
	case yaml.MappingNode:
		es := p.entries(n)
		last := i + 1
		if len(es) > 0 {
			last = es[len(es)-1].to
		}
		if !p.braced(n, i) {
			return last
		}
		return p.closer(last, '}')
	case yaml.SequenceNode:
		es := p.items(n)
		last := i + 1
		if len(es) > 0 {
			last = es[len(es)-1].to
		}
		if n.Style&yaml.FlowStyle == 0 {
			return last
		}
		return p.closer(last, ']')
	}
	panic(lost{})
}

// braced reports whether a mapping stands between braces; [a: 1] holds a flow mapping without them.
func (p *page) braced(n *yaml.Node, content int) bool {
	return n.Style&yaml.FlowStyle != 0 && p.at(content) == '{' && (len(n.Content) == 0 || p.off(n.Content[0]) != content)
}

// closer finds the closing bracket after the last item.
func (p *page) closer(i int, c byte) int {
	for {
		i = p.space(i)
		switch p.at(i) {
		case c:
			return i + 1
		case ',':
			i++
		default:
			panic(lost{})
		}
	}
}

func (p *page) scalarEnd(n *yaml.Node, i int) int {
	switch {
	case n.Style&yaml.DoubleQuotedStyle != 0:
		for i++; p.at(i) != '"'; i++ {
			if p.at(i) == '\\' {
				i++
			}
			if i >= len(p.src) {
				panic(lost{})
			}
		}
		return i + 1
	case n.Style&yaml.SingleQuotedStyle != 0:
		for i++; ; i++ {
			if i >= len(p.src) {
				panic(lost{})
			}
			if p.src[i] == '\'' {
				if p.at(i+1) != '\'' {
					return i + 1
				}
				i++
			}
		}
	case n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0:
		end, _ := p.blockScalar(n, i)
		return end
	}
	return p.plainEnd(n.Value, i)
}

// blockScalar gives the end of the last line of a block scalar (trailing empty lines left out) and its indentation, 0 when
// it has no lines. The first line of the value tells how many of its spaces are indentation.
func (p *page) blockScalar(n *yaml.Node, i int) (end, indent int) {
	end, indent = p.lineEnd(i), -1
	lead := -1
	for _, l := range strings.Split(n.Value, "\n") {
		if t := strings.TrimLeft(l, " "); t != "" {
			lead = len(l) - len(t)
			break
		}
	}
	if lead < 0 {
		return end, 0
	}
	for l := p.nextLine(i); l < len(p.src); l = p.nextLine(l) {
		e, k := p.lineEnd(l), p.indent(l)
		if l+k >= e {
			continue // an empty line
		}
		if indent < 0 {
			indent = k - lead
		}
		if k < indent {
			break
		}
		end = e
	}
	return end, max(indent, 0)
}

// indent counts the spaces at the beginning of the line that begins at l.
func (p *page) indent(l int) int {
	k := 0
	for l+k < len(p.src) && p.src[l+k] == ' ' {
		k++
	}
	return k
}

// plainEnd follows a plain scalar, which may go over several lines, by its value.
func (p *page) plainEnd(v string, i int) int {
	for v != "" {
		if c := p.at(i); c == ' ' || c == '\t' || c == '\n' || c == '\r' {
			j, breaks := i, 0
			for ; p.at(j) == ' ' || p.at(j) == '\t' || p.at(j) == '\n' || p.at(j) == '\r'; j++ {
				if p.src[j] == '\n' {
					breaks++
				}
			}
			want := string(p.src[i:j])
			if breaks == 1 {
				want = " "
			} else if breaks > 1 {
				want = string(bytes.Repeat([]byte("\n"), breaks-1))
			}
			if len(v) < len(want) || v[:len(want)] != want {
				panic(lost{})
			}
			v, i = v[len(want):], j
			continue
		}
		if p.at(i) != v[0] {
			panic(lost{})
		}
		v, i = v[1:], i+1
	}
	return i
}

// entry is one key with its value, or one item of a list.
type entry struct {
	from  int // first byte of the key, or of the dash, or of the item between brackets
	value int // first byte of the value; of an implicit null: where it would go
	to    int // first byte after the value
	colon int // first byte after the colon (or the dash), -1 when there is none
	none  bool
}

// entries gives where the keys and values of a mapping stand.
func (p *page) entries(n *yaml.Node) []entry {
	es := make([]entry, 0, len(n.Content)/2)
	for i := 0; i+1 < len(n.Content); i += 2 {
		k, v := n.Content[i], n.Content[i+1]
		e := entry{from: p.off(k), colon: -1}
		if implicit(k) {
			panic(lost{})
		}
		e.to = p.end(k)
		if c := p.space(e.to); p.at(c) == ':' {
			e.colon = c + 1
			e.to = c + 1
		}
		e.value = e.to
		if implicit(v) {
			e.none = true
		} else {
			e.value, e.to = p.off(v), p.end(v)
		}
		es = append(es, e)
	}
	return es
}

// items gives where the items of a list stand.
func (p *page) items(n *yaml.Node) []entry {
	es := make([]entry, 0, len(n.Content))
	block := n.Style&yaml.FlowStyle == 0
	i := p.content(n)
	for _, v := range n.Content {
		var e entry
		if block {
			i = p.space(i)
			if p.at(i) != '-' {
				panic(lost{})
			}
			e = entry{from: i, value: i + 1, to: i + 1, colon: i + 1}
			if implicit(v) {
				e.none = true
			} else {
				e.value, e.to = p.off(v), p.end(v)
			}
			i = e.to
		} else {
			if implicit(v) {
				panic(lost{})
			}
			e = entry{from: p.off(v), colon: -1}
			e.value, e.to = e.from, p.end(v)
		}
		es = append(es, e)
	}
	return es
}

// comment reports whether a stretch of text seems to hold a comment.
func (p *page) comment(from, to int) bool {
	for i := from; i < to && i < len(p.src); i++ {
		if p.src[i] == '#' && (i == 0 || p.src[i-1] == ' ' || p.src[i-1] == '\t' || p.src[i-1] == '\n') {
			return true
		}
	}
	return false
}
