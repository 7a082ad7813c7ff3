package yamlfile_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/thorough"
	"knobwright/internal/yamlfile"
)

// The random test writes documents in all manners it knows, makes one edit, and compares the outcome with a tree that was
// edited by code that shares nothing with the package. Every comment carries a number, so that none can be lost unseen.

// place is a path of a tree: its steps, also joined by dots, and the nodes on the way.
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
	cases := thorough.Of(12000, 2000)
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
