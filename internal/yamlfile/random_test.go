package yamlfile_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
	"knobwright/internal/yamlfile"
)

// The random test writes documents in all manners it knows, makes one edit, and compares the outcome with a tree that was
// edited by code that shares nothing with the package. Every comment carries a number, so that none can be lost unseen.

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

// find gives all paths of a tree: keys joined by dots, with the nodes on the way.
type place struct {
	path  string
	steps []string
	on    []*tree // from the root to the node itself
}

func places(t *tree, at place) []place {
	at.on = append(slices.Clone(at.on), t)
	ps := []place{at}
	for i, k := range t.kids {
		step := fmt.Sprint(i)
		if t.kind == 'm' {
			step = t.keys[i]
		}
		sub := place{steps: append(slices.Clone(at.steps), step), on: at.on}
		sub.path = strings.Join(sub.steps, ".")
		ps = append(ps, places(k, sub)...)
	}
	return ps
}

func (t *tree) clone() *tree {
	c := *t
	c.keys, c.kids = slices.Clone(t.keys), nil
	for _, k := range t.kids {
		c.kids = append(c.kids, k.clone())
	}
	return &c
}

func (t *tree) step(s string) int {
	if t.kind == 'm' {
		return slices.Index(t.keys, s)
	}
	i := -1
	fmt.Sscan(s, &i)
	return i
}

// flowText writes a tree for the Value of an edit, with everything quoted that could need it.
func flowText(t *tree) string {
	switch {
	case t.kind == 's' && t.tag == "!!null":
		return "null"
	case t.kind == 's' && t.tag != "!!str":
		return t.text
	case t.kind == 's':
		return "\"" + strings.NewReplacer("\\", "\\\\", "\"", "\\\"", "\n", "\\n", "\t", "\\t").Replace(t.text) + "\""
	}
	var s []string
	for i, k := range t.kids {
		if t.kind == 'm' {
			s = append(s, "\""+t.keys[i]+"\": "+flowText(k))
		} else {
			s = append(s, flowText(k))
		}
	}
	if t.kind == 'm' {
		return "{" + strings.Join(s, ", ") + "}"
	}
	return "[" + strings.Join(s, ", ") + "]"
}

// loose prints a tree with its keys sorted: a mapping that is set over another keeps the order of the old one.
func loose(t *tree) string {
	if t.kind != 'm' {
		if t.kind == 'l' {
			var s []string
			for _, k := range t.kids {
				s = append(s, loose(k))
			}
			return "[" + strings.Join(s, ", ") + "]"
		}
		return t.String()
	}
	var s []string
	for i, k := range t.kids {
		s = append(s, fmt.Sprintf("%q: %s", t.keys[i], loose(k)))
	}
	slices.Sort(s)
	return "{" + strings.Join(s, ", ") + "}"
}

type tally struct{ done, refused int }

func TestRandomEdits(t *testing.T) {
	cases := 12000
	if testing.Short() {
		cases = 2000
	}
	rates := map[string]*tally{}
	for seed := range cases {
		runCase(t, uint64(seed), rates)
		if t.Failed() {
			return
		}
	}
	all := tally{}
	for _, k := range []string{"set scalar", "set any", "set below", "append", "delete", "rename", "with aliases"} {
		r := rates[k]
		if r == nil {
			t.Fatalf("no case of %q", k)
		}
		t.Logf("%-12s %5d done, %4d refused (%.1f %%)", k, r.done, r.refused, 100*float64(r.refused)/float64(r.done+r.refused))
		if k != "with aliases" && k != "set any" && r.refused*100 > r.done {
			t.Errorf("%s: more than 1 %% refused", k)
		}
		if k != "with aliases" {
			all.done, all.refused = all.done+r.done, all.refused+r.refused
		}
	}
	t.Logf("%-12s %5d done, %4d refused (%.1f %%)", "together", all.done, all.refused, 100*float64(all.refused)/float64(all.done+all.refused))
	if all.refused*20 > all.done {
		t.Errorf("more than 5 %% refused")
	}
}

func runCase(t *testing.T, seed uint64, rates map[string]*tally) {
	g := &gen{Rand: rand.New(rand.NewPCG(seed, 7)), eol: "\n", owners: map[int][]*tree{}}
	if g.IntN(3) == 0 {
		g.eol = "\r\n"
	}
	g.aliasing = g.IntN(5) == 0
	root := g.tree(4)
	for root.kind == 's' || len(root.kids) == 0 {
		root = g.tree(4)
	}
	if g.IntN(8) == 0 {
		g.b.WriteString("\ufeff")
	}
	if g.IntN(4) == 0 {
		g.b.WriteString(g.comment() + g.eol)
	}
	if g.IntN(8) == 0 {
		g.b.WriteString("---" + g.eol)
	}
	g.block(root, 0, false)
	if g.IntN(4) == 0 {
		g.b.WriteString(g.eol + g.comment() + g.eol)
	}
	src := g.b.Bytes()
	if g.IntN(6) == 0 && !bytes.Contains(src, []byte("|")) {
		src = bytes.TrimSuffix(src, []byte(g.eol))
	}
	src = slices.Clone(src)
	back, err := parse(src)
	if err != nil || back.String() != root.String() {
		t.Fatalf("seed %d: the generator wrote something else (%v)\n%s\n%s\n%s", seed, err, src, root, back)
	}

	// one random edit, made on the tree by hand
	want := root.clone()
	ps := places(want, place{})[1:]
	p := ps[g.IntN(len(ps))]
	node, parent := p.on[len(p.on)-1], p.on[len(p.on)-2]
	idx := parent.step(p.steps[len(p.steps)-1])
	kind, ed, order := "", finding.Edit{Op: finding.Set, Path: p.path}, false
	lostIn := -1 // depth of the node in whose text comments may go
	switch g.IntN(6) {
	case 0:
		if node.kind != 's' {
			return
		}
		kind = "set scalar"
		v := g.tree(0)
		ed.Value = flowText(v)
		parent.kids[idx] = v
	case 1:
		kind, order = "set any", true
		v := g.tree(2)
		if node.kind != 's' && g.IntN(2) == 0 { // the same with a change
			v = node.clone()
			if sub := places(v, place{})[1:]; len(sub) > 0 {
				q := sub[g.IntN(len(sub))]
				par := q.on[len(q.on)-2]
				par.kids[par.step(q.steps[len(q.steps)-1])] = g.tree(1)
			}
		}
		ed.Value = flowText(v)
		parent.kids[idx] = v
		lostIn = len(p.on) - 1
	case 2:
		kind = "set below"
		if node.kind != 'm' && (node.kind != 's' || node.tag != "!!null") {
			return
		}
		key := g.key()
		if node.kind == 'm' && slices.ContainsFunc(node.keys, func(k string) bool { return k == key || strings.HasPrefix(key, k+".") }) || strings.Contains(key, ".") {
			return
		}
		v := g.tree(1)
		ed.Path, ed.Value = p.path+"."+key, flowText(v)
		if g.IntN(2) == 0 {
			ed.Path += ".sub"
			v = &tree{kind: 'm', keys: []string{"sub"}, kids: []*tree{v}}
		}
		if node.kind == 's' {
			*node = tree{kind: 'm'}
		}
		node.keys, node.kids = append(node.keys, key), append(node.kids, v)
		order = true // a key may have to go first
	case 3:
		kind = "append"
		if node.kind != 'l' {
			return
		}
		v := g.tree(1)
		ed.Path, ed.Value = fmt.Sprintf("%s.%d", p.path, len(node.kids)), flowText(v)
		node.kids = append(node.kids, v)
	case 4:
		kind, ed.Op = "delete", finding.Delete
		parent.kids = slices.Delete(parent.kids, idx, idx+1)
		if parent.kind == 'm' {
			parent.keys = slices.Delete(parent.keys, idx, idx+1)
			if len(p.on) == 2 && len(parent.kids) == 0 {
				*want = tree{kind: 's', tag: "!!null"}
			}
		}
		lostIn = len(p.on) - 1
	case 5:
		kind, ed.Op = "rename", finding.Rename
		if parent.kind != 'm' {
			return
		}
		ed.Value = g.key()
		if slices.Contains(parent.keys, ed.Value) {
			return
		}
		parent.keys[idx] = ed.Value
	}
	// a path that may also be read another way is not what is tested here
	if ambiguous(root, strings.Split(ed.Path, ".")) {
		return
	}

	count := func(done bool) {
		if g.aliasing {
			kind = "with aliases"
		}
		if rates[kind] == nil {
			rates[kind] = &tally{}
		}
		if done {
			rates[kind].done++
		} else {
			rates[kind].refused++
		}
	}
	var v any
	keep := slices.Clone(src)
	out, err := yamlfile.Edit(src, &v, []finding.Edit{ed})
	if !bytes.Equal(keep, src) {
		t.Fatalf("seed %d: the source was written to", seed)
	}
	if err != nil {
		if testing.Verbose() && !g.aliasing {
			t.Logf("seed %d: %v: %v\n%s", seed, ed, err, src)
		}
		count(false)
		return
	}
	count(true)
	fail := func(format string, a ...any) {
		t.Helper()
		t.Errorf("seed %d: %v: %s\nbefore:\n%s\nafter:\n%s", seed, ed, fmt.Sprintf(format, a...), src, out)
	}
	got, err := parse(out)
	switch {
	case err != nil:
		fail("cannot be read: %v", err)
	case !order && got.String() != want.String():
		fail("got  %s\nwant %s", got, want)
	case loose(got) != loose(want):
		fail("got  %s\nwant %s", loose(got), loose(want))
	}
	if g.eol == "\r\n" && bytes.Count(out, []byte("\n")) != bytes.Count(out, []byte("\r\n")) {
		fail("a line end without a carriage return")
	}
	// comments
	orig := root
	on := []*tree{orig}
	for _, s := range p.steps {
		orig = orig.kids[orig.step(s)]
		on = append(on, orig)
	}
	for c, owners := range g.owners {
		if !bytes.Contains(out, fmt.Appendf(nil, "#c%d.", c)) && (lostIn < 0 || !slices.Contains(owners, on[lostIn])) {
			fail("comment %d is lost", c)
		}
	}
	// bytes: nothing changes before the line of the enclosing entry nor after the line that follows it
	lines := bytes.SplitAfter(src, []byte("\n"))
	enclosing := on[max(len(on)-2, 0)]
	if len(on) == 2 { // in the root: the entry alone
		enclosing = on[1]
	}
	head := bytes.Join(lines[:enclosing.first], nil)
	if ed.Op == finding.Delete {
		for len(lines[:enclosing.first]) > 0 && bytes.Contains(head, []byte("#c")) && !bytes.HasPrefix(out, head) { // glued comments
			head = head[:bytes.LastIndexByte(bytes.TrimSuffix(head, []byte("\n")), '\n')+1]
		}
	}
	if !bytes.HasPrefix(out, head) {
		fail("bytes before line %d changed", enclosing.first+1)
	}
	if after := enclosing.last + 2; after < len(lines) {
		tail := bytes.Join(lines[after:], nil)
		if !bytes.HasSuffix(out, tail) {
			fail("bytes after line %d changed", after)
		}
	}
	if ed.Op == finding.Set && kind == "set scalar" && orig.to > orig.from {
		if !bytes.HasPrefix(out, src[:orig.from]) || !bytes.HasSuffix(out, src[orig.to:]) {
			fail("bytes outside the value changed")
		}
	}
}

// ambiguous reports whether two ways to part the path lead somewhere.
func ambiguous(t *tree, steps []string) bool {
	return ways(t, steps) > 1 || slices.ContainsFunc(t.keys, func(k string) bool {
		return strings.Contains(k, ".") && slices.Contains(steps, strings.Split(k, ".")[0])
	})
}

func ways(t *tree, steps []string) int {
	if len(steps) == 0 {
		return 1
	}
	n := 0
	for k := 1; k <= len(steps); k++ {
		if t.kind == 's' {
			break
		}
		if i := t.step(strings.Join(steps[:k], ".")); i >= 0 && i < len(t.kids) {
			n += ways(t.kids[i], steps[k:])
		}
	}
	return n
}
