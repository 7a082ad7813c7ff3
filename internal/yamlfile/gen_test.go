package yamlfile_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"
)

// tree is a value: a scalar, a list, or names with values.
type tree struct {
	kind byte // 's', 'l', 'm'
	text string
	tag  string
	keys []string
	kids []*tree

	first, last int // lines of the text that hold it and its key, from 0
	from, to    int // bytes of a scalar's own text, when there is any
}

func (t *tree) String() string {
	switch t.kind {
	case 's':
		return fmt.Sprintf("%s(%q)", t.tag, t.text)
	case 'l':
		var s []string
		for _, k := range t.kids {
			s = append(s, k.String())
		}
		return "[" + strings.Join(s, ", ") + "]"
	}
	var s []string
	for i, k := range t.kids {
		s = append(s, fmt.Sprintf("%q: %s", t.keys[i], k))
	}
	return "{" + strings.Join(s, ", ") + "}"
}

func treeOf(n *yaml.Node) *tree {
	switch n.Kind {
	case yaml.DocumentNode:
		return treeOf(n.Content[0])
	case yaml.AliasNode:
		return treeOf(n.Alias)
	case yaml.SequenceNode:
		t := &tree{kind: 'l'}
		for _, c := range n.Content {
			t.kids = append(t.kids, treeOf(c))
		}
		return t
	case yaml.MappingNode:
		t := &tree{kind: 'm'}
		for i := 0; i < len(n.Content); i += 2 {
			t.keys, t.kids = append(t.keys, n.Content[i].Value), append(t.kids, treeOf(n.Content[i+1]))
		}
		return t
	}
	if n.Tag == "!!null" {
		return &tree{kind: 's', tag: n.Tag}
	}
	return &tree{kind: 's', tag: n.Tag, text: n.Value}
}

func parse(src []byte) (*tree, error) {
	var n yaml.Node
	if len(bytes.TrimSpace(src)) == 0 {
		return &tree{kind: 's', tag: "!!null"}, nil
	}
	if err := yaml.Load(bytes.TrimPrefix(src, []byte("\ufeff")), &n); err != nil {
		if strings.Contains(err.Error(), "no documents") {
			return &tree{kind: 's', tag: "!!null"}, nil
		}
		return nil, err
	}
	return treeOf(&n), nil
}

var words = []string{"GO", "STANDBY", "push-16mm", "Größe ø 7", "it's", "a: b", "x #y", "", " lead", "trail ", "12 mm", "1/8 in", "null", "true", "- a", "[a", "a, b",
	"{", "*", "&x", "!t", "%", "@", "\"q\"", "back\\slash", "日本", "one two three four", "two\nlines\n", "no end\nhere", "tab\there", "?", ":", "a:", "# no", "0x1F", "2001-01-01", "~", "=", "<<"}

type gen struct {
	*rand.Rand
	b        bytes.Buffer
	eol      string
	remark   int
	owners   map[int][]*tree // by comment: everything it stands in or belongs to
	stack    []*tree
	anchors  []string
	aliasing bool
}

func (g *gen) tree(depth int) *tree {
	k := g.IntN(10)
	if depth == 0 || k < 5 && depth < 4 {
		switch g.IntN(6) {
		case 0:
			return &tree{kind: 's', tag: "!!int", text: fmt.Sprint(g.IntN(500))}
		case 1:
			return &tree{kind: 's', tag: "!!float", text: fmt.Sprintf("%d.%d", g.IntN(300), 1+g.IntN(8))}
		case 2:
			return &tree{kind: 's', tag: "!!null"}
		}
		return &tree{kind: 's', tag: "!!str", text: words[g.IntN(len(words))]}
	}
	if k < 7 && depth < 4 {
		t := &tree{kind: 'l'}
		for range g.IntN(4) {
			t.kids = append(t.kids, g.tree(depth-1))
		}
		return t
	}
	t := &tree{kind: 'm'}
	for range g.IntN(4) + 3*(depth/4) {
		if key := g.key(); !slices.Contains(t.keys, key) {
			t.keys, t.kids = append(t.keys, key), append(t.kids, g.tree(depth-1))
		}
	}
	return t
}

func (g *gen) key() string {
	return []string{"part", "at", "legend", "go", "door", "birds", "rain", "ø", "null", "12", "two words", "a.b", "x-y"}[g.IntN(13)] + []string{"", "1", "2"}[g.IntN(3)]
}

func (g *gen) comment(of ...*tree) string {
	g.remark++
	g.owners[g.remark] = append(slices.Clone(g.stack), of...)
	return fmt.Sprintf("#c%d.", g.remark)
}

func (g *gen) line() int { return bytes.Count(g.b.Bytes(), []byte("\n")) }

// scalar writes a scalar in one of the ways that give this value.
func (g *gen) scalar(t *tree, flow bool, indent int) {
	if t.tag == "!!null" {
		g.b.WriteString([]string{"null", "~"}[g.IntN(2)])
		return
	}
	t.from = g.b.Len()
	if g.aliasing && g.IntN(12) == 0 {
		g.b.WriteString(fmt.Sprintf("&n%d ", len(g.anchors)))
		g.anchors = append(g.anchors, t.String())
	} else if t.tag == "!!str" && g.IntN(30) == 0 {
		g.b.WriteString("!!str ")
	}
	defer func() { t.to = g.b.Len() }()
	if t.tag != "!!str" {
		g.b.WriteString(t.text)
		return
	}
	pad := strings.Repeat(" ", indent+1+g.IntN(3))
	for try := g.IntN(6); ; try++ {
		switch try % 6 {
		case 0, 1: // plain, if it reads back so
			if r, err := parse([]byte("a: [" + t.text + "]")); flow && (err != nil || len(r.kids[0].kids) != 1 || r.kids[0].kids[0].String() != t.String()) {
				continue
			}
			if r, err := parse([]byte("a: " + t.text + " # x")); err != nil || r.kids[0].String() != t.String() || strings.Contains(t.text, "\n") {
				continue
			}
			s := t.text
			if !flow && g.IntN(3) == 0 && strings.Count(s, " ") > 1 && !strings.ContainsAny(s, "#:-") {
				s = strings.Replace(s, " ", g.eol+pad, 1)
			}
			g.b.WriteString(s)
			return
		case 2:
			if !strings.ContainsAny(t.text, "\n\t") {
				g.b.WriteString("'" + strings.ReplaceAll(t.text, "'", "''") + "'")
				return
			}
		case 3, 4:
			s := strings.NewReplacer("\\", "\\\\", "\"", "\\\"", "\n", "\\n", "\t", "\\t").Replace(t.text)
			if g.IntN(3) == 0 {
				s = strings.Replace(s, "o", "\\x6f", 1)
			}
			g.b.WriteString("\"" + s + "\"")
			return
		case 5:
			if flow || strings.TrimSpace(t.text) == "" || strings.HasPrefix(t.text, " ") || strings.ContainsAny(t.text, "\t") {
				continue
			}
			head := "|-"
			s, nl := strings.CutSuffix(t.text, "\n")
			if nl {
				head = "|"
			} else if !strings.Contains(s, "\n") && g.IntN(2) == 0 {
				head = ">-"
			}
			g.b.WriteString(head)
			if g.IntN(4) == 0 {
				g.b.WriteString(" " + g.comment(t))
			}
			for _, l := range strings.Split(s, "\n") {
				g.b.WriteString(g.eol + pad + l)
			}
			return
		}
	}
}

// flow writes a value between brackets; broken over lines when wide.
func (g *gen) flow(t *tree, indent int, wide bool) {
	g.stack = append(g.stack, t)
	defer func() { g.stack = g.stack[:len(g.stack)-1] }()
	t.first = g.line()
	defer func() { t.last = g.line() }()
	if t.kind == 's' {
		g.scalar(t, true, indent)
		return
	}
	open, shut := "[", "]"
	if t.kind == 'm' {
		open, shut = "{", "}"
	}
	sp := []string{"", "", " "}[g.IntN(3)]
	nl := func(last bool, of *tree) {
		if !wide {
			return
		}
		if g.IntN(3) == 0 {
			g.b.WriteString(" " + g.comment(of))
		}
		g.b.WriteString(g.eol)
		n := indent + 2
		if last {
			n = indent + 1
		}
		g.b.WriteString(strings.Repeat(" ", n))
	}
	g.b.WriteString(open + sp)
	if len(t.kids) > 0 {
		nl(false, t)
	}
	for i, k := range t.kids {
		if i > 0 {
			g.b.WriteString(",")
			if wide {
				nl(false, t.kids[i-1])
			} else {
				g.b.WriteString([]string{" ", " ", "", "  "}[g.IntN(4)])
			}
		}
		k.first = g.line()
		if t.kind == 'm' {
			g.name(t.keys[i])
			if k.kind == 's' && k.tag == "!!null" && g.IntN(2) == 0 {
				if g.IntN(2) == 0 {
					g.b.WriteString(": ")
				}
				k.last = g.line()
				continue
			}
			g.b.WriteString(": ")
		}
		f := k.first
		g.flow(k, indent+2, wide && g.IntN(3) == 0)
		k.first = f
	}
	if len(t.kids) > 0 {
		if g.IntN(6) == 0 {
			g.b.WriteString(",")
		}
		nl(true, t.kids[len(t.kids)-1])
	}
	g.b.WriteString(sp + shut)
}

func (g *gen) name(key string) {
	switch g.IntN(5) {
	case 0:
		g.b.WriteString("\"" + key + "\"")
	case 1:
		g.b.WriteString("'" + key + "'")
	default:
		g.b.WriteString(key)
	}
}

// block writes entries on lines of their own. started: the first one goes on after a dash.
func (g *gen) block(t *tree, indent int, started bool) {
	g.stack = append(g.stack, t)
	defer func() { g.stack = g.stack[:len(g.stack)-1] }()
	pad := strings.Repeat(" ", indent)
	for i, k := range t.kids {
		if !started || i > 0 {
			if g.IntN(5) == 0 {
				g.b.WriteString(g.eol)
			}
			if g.IntN(5) == 0 {
				g.b.WriteString(pad + g.comment(k) + g.eol)
				if g.IntN(3) == 0 {
					g.b.WriteString(g.eol)
				}
			}
			g.b.WriteString(pad)
		}
		k.first = g.line()
		if t.kind == 'm' {
			g.name(t.keys[i])
			g.b.WriteString(":")
		} else {
			g.b.WriteString("-")
		}
		g.after(t, k, indent)
		k.last = g.line() - 1
	}
}

// after writes the value that follows a colon or a dash, to the end of its line.
func (g *gen) after(t, k *tree, indent int) {
	f := k.first
	defer func() { k.first = f }()
	tail := func() {
		if g.IntN(5) == 0 && !bytes.HasSuffix(g.b.Bytes(), []byte("\n")) {
			l := g.b.Bytes()[bytes.LastIndexByte(g.b.Bytes(), '\n')+1:]
			if k.kind != 's' || bytes.HasSuffix(l, []byte(":")) || !multi(k.text) {
				g.b.WriteString(" " + g.comment(k))
			}
		}
		g.b.WriteString(g.eol)
	}
	switch {
	case k.kind == 's' && k.tag == "!!null" && g.IntN(2) == 0:
		tail()
	case g.aliasing && len(g.anchors) > 0 && g.IntN(8) == 0 && slices.Contains(g.anchors, k.String()):
		g.b.WriteString(fmt.Sprintf(" *n%d", slices.Index(g.anchors, k.String())))
		tail()
	case k.kind == 's':
		g.b.WriteString(" ")
		at := g.b.Len()
		g.scalar(k, false, indent)
		if bytes.Contains(g.b.Bytes()[at:], []byte("\n")) || bytes.ContainsAny(g.b.Bytes()[at:], "|>") {
			g.b.WriteString(g.eol) // no remark after a scalar of several lines
		} else {
			tail()
		}
	case len(k.kids) == 0 || g.IntN(3) == 0:
		g.b.WriteString(" ")
		g.flow(k, indent, g.IntN(4) == 0)
		tail()
	default:
		if t.kind == 'l' && g.IntN(3) > 0 {
			g.b.WriteString(" ")
			g.block(k, indent+2, true)
			return
		}
		tail()
		in := indent + []int{2, 2, 4, 1}[g.IntN(4)]
		if k.kind == 'l' && t.kind == 'm' && g.IntN(3) == 0 {
			in = indent
		}
		g.block(k, in, false)
	}
}

func multi(s string) bool { return strings.Contains(s, "\n") }
