package yamlfile

import (
	"strings"

	"go.yaml.in/yaml/v4"
)

// insert makes what is missing of a path and puts v at its end.
func (e *editor) insert(path []string, v *yaml.Node) error {
	s := e.find(e.root, path)
	want := func(first bool) *yaml.Node {
		w := e.find(expand(e.root), path)
		n, err := graft(w, v, first)
		if err != nil {
			return nil
		}
		return rooted(w, n)
	}
	if _, err := graft(s, v, false); err != nil {
		return err
	}
	return guard(func() error {
		p := newPage(e.src, e.root)
		var tries []attempt
		switch {
		case s.up == nil && isNull(s.n):
			n, err := nest(s.rest, s.t, v)
			if err != nil {
				return err
			}
			return e.commit(p.fill(n, want(false)))
		case isNull(s.n):
			n, err := nest(s.rest, s.t, v)
			if err != nil {
				return err
			}
			tries, err = p.over(s, flow(n), n)
			if err != nil {
				return err
			}
			if t, ok := p.below(s, n, e.step()); ok {
				tries = append([]attempt{t}, tries...)
			}
		case s.n.Kind == yaml.MappingNode:
			key, sub, err := newEntry(s, v)
			if err != nil {
				return err
			}
			_, rest := newKey(s.rest, s.t)
			text := keyText(key) + ": " + flow(sub)
			if s.up == nil && len(rest) > 0 && s.n.Style&yaml.FlowStyle == 0 { // a new section of the file: lines, not braces
				text = keyText(key) + ":" + nested(sub, p.eol, e.step(), e.step(), len(rest))
			} else if ct := childType(s.t, key); len(rest) > 0 && s.n.Style&yaml.FlowStyle == 0 && ct != nil && isOrdered(bare(ct)) { // names will follow: a line each
				text = keyText(key) + ":" + lines(sub, p.eol, e.step())
			}
			first := leads(s.t, key)
			if first {
				tries = append(tries, p.front(s.n, text, want(true)))
			}
			tries = append(tries, p.back(s.n, text, want(false))...)
			if !first {
				tries = append(tries, p.front(s.n, text, want(true)))
			}
			return e.commit(tries)
		default:
			n, err := graft(s, v, false)
			if err != nil {
				return err
			}
			if n.Kind == yaml.SequenceNode && s.n.Kind == yaml.SequenceNode {
				return e.commit(p.append(s.n, flow(n.Content[len(n.Content)-1]), want(false)))
			}
			if tries, err = p.wrap(s, n); err != nil {
				return err
			}
		}
		for i := range tries {
			tries[i].want = want(false)
		}
		return e.commit(tries)
	})
}

// step gives the number of spaces by which this file indents.
func (e *editor) step() int {
	if e.root.Kind == yaml.MappingNode && e.root.Style&yaml.FlowStyle == 0 {
		for i := 0; i+1 < len(e.root.Content); i += 2 {
			k, v := e.root.Content[i], e.root.Content[i+1]
			if v.Kind == yaml.MappingNode && v.Style&yaml.FlowStyle == 0 && v.Column > k.Column && v.Line > k.Line {
				return min(v.Column-k.Column, 8)
			}
		}
	}
	return 2
}

// nested writes mappings of one key each that a path has made as lines below each other, depth of them, and what they hold as lines does.
func nested(n *yaml.Node, eol string, indent, step, depth int) string {
	if depth > 1 && n.Kind == yaml.MappingNode && len(n.Content) == 2 && n.Content[1].Kind == yaml.MappingNode && len(n.Content[1].Content) > 0 {
		return eol + strings.Repeat(" ", indent) + keyText(n.Content[0].Value) + ":" + nested(n.Content[1], eol, indent+step, step, depth-1)
	}
	return lines(n, eol, indent)
}

// lines writes a mapping or a list as indented lines, each value in flow.
func lines(n *yaml.Node, eol string, indent int) string {
	var b strings.Builder
	pad := eol + strings.Repeat(" ", indent)
	switch {
	case n.Kind == yaml.MappingNode && len(n.Content) > 0:
		for i := 0; i+1 < len(n.Content); i += 2 {
			b.WriteString(pad + keyText(n.Content[i].Value) + ": " + flow(n.Content[i+1]))
		}
	case n.Kind == yaml.SequenceNode && len(n.Content) > 0:
		for _, x := range n.Content {
			b.WriteString(pad + "- " + flow(x))
		}
	default:
		return " " + flow(n)
	}
	return b.String()
}

// fill writes the first values into a file that holds none.
func (p *page) fill(n *yaml.Node, want *yaml.Node) []attempt {
	text := lines(n, p.eol, 0)
	if n.Kind != yaml.MappingNode {
		panic(lost{})
	}
	if len(n.Content) == 2 && n.Content[1].Kind == yaml.MappingNode && len(n.Content[1].Content) > 0 {
		text = p.eol + keyText(n.Content[0].Value) + ":" + lines(n.Content[1], p.eol, 2)
	}
	end := len(p.src)
	tries := []attempt{}
	if end == 0 || p.src[end-1] == '\n' {
		tries = append(tries, attempt{[]splice{{end, end, text[len(p.eol):] + p.eol}}, want})
	} else {
		tries = append(tries, attempt{[]splice{{end, end, text}}, want})
	}
	for i := 0; i < len(p.src); i = p.nextLine(i) { // after a line of dashes
		if strings.HasPrefix(string(p.src[i:min(i+3, end)]), "---") {
			l := p.lineEnd(i)
			tries = append(tries, attempt{[]splice{{l, l, text}}, want})
			break
		}
	}
	return tries
}

// below writes the first entries of a top section that has none yet on lines of their own.
func (p *page) below(s spot, n *yaml.Node, step int) (attempt, bool) {
	if s.up == nil || s.up.up != nil || s.up.n.Style&yaml.FlowStyle != 0 || s.up.n.Kind != yaml.MappingNode || n.Kind != yaml.MappingNode || !implicit(s.n) {
		return attempt{}, false
	}
	en := p.place(s)
	if en.colon < 0 {
		return attempt{}, false
	}
	at := p.lineEnd(en.colon)
	return attempt{cuts: []splice{{at, at, lines(n, p.eol, s.up.n.Content[0].Column-1+step)}}}, true
}

// back writes an entry at the end of a mapping.
func (p *page) back(n *yaml.Node, text string, want *yaml.Node) []attempt {
	if n.Style&yaml.FlowStyle != 0 {
		if !p.braced(n, p.content(n)) {
			panic(lost{})
		}
		return p.backFlow(n, p.entries(n), text, want)
	}
	es := p.entries(n)
	at := p.lineEnd(es[len(es)-1].to)
	pad := p.eol + strings.Repeat(" ", n.Content[0].Column-1)
	return []attempt{{[]splice{{at, at, pad + strings.ReplaceAll(text, p.eol, pad)}}, want}}
}

// backFlow writes an entry or item before a closing bracket.
func (p *page) backFlow(n *yaml.Node, es []entry, text string, want *yaml.Node) []attempt {
	if len(es) == 0 {
		at := p.content(n) + 1
		return []attempt{{[]splice{{at, at, text}}, want}}
	}
	at := es[len(es)-1].to
	if c := p.space(at); p.at(c) == ',' {
		return []attempt{{[]splice{{c + 1, c + 1, " " + text}}, want}}
	}
	return []attempt{{[]splice{{at, at, ", " + text}}, want}, {[]splice{{at, at, " , " + text}}, want}}
}

// front writes an entry at the beginning of a mapping.
func (p *page) front(n *yaml.Node, text string, want *yaml.Node) attempt {
	if len(n.Content) == 0 {
		at := p.content(n) + 1
		return attempt{[]splice{{at, at, text}}, want}
	}
	at := p.off(n.Content[0])
	if n.Style&yaml.FlowStyle != 0 {
		return attempt{[]splice{{at, at, text + ", "}}, want}
	}
	pad := p.eol + strings.Repeat(" ", n.Content[0].Column-1)
	return attempt{[]splice{{at, at, strings.ReplaceAll(text, p.eol, pad) + pad}}, want}
}

// append writes an item at the end of a list.
func (p *page) append(n *yaml.Node, text string, want *yaml.Node) []attempt {
	es := p.items(n)
	if n.Style&yaml.FlowStyle != 0 {
		return p.backFlow(n, es, text, want)
	}
	last := es[len(es)-1]
	at := p.lineEnd(last.to)
	pad := p.eol + strings.Repeat(" ", last.from-p.lineStart(last.from))
	return []attempt{{[]splice{{at, at, pad + "- " + text}}, want}}
}

// wrap writes a short form out: what stands there stays as it is written, where that can be, and gets brackets round it.
func (p *page) wrap(s spot, n *yaml.Node) ([]attempt, error) {
	en := p.place(s)
	c := p.content(s.n)
	raw := string(p.src[c:en.to])
	var tries []attempt
	fits := !strings.Contains(raw, "\n") && (s.n.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle|yaml.FlowStyle) != 0 || !strings.ContainsAny(raw, ",[]{}"))
	if fits && s.n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) == 0 {
		var before, after string
		if n.Kind == yaml.MappingNode {
			before, after = "{"+keyText(n.Content[0].Value)+": ", ", "+keyText(n.Content[2].Value)+": "+flow(n.Content[3])+"}"
		} else {
			before, after = "[", ", "+flow(n.Content[1])+"]"
		}
		tries = append(tries, attempt{cuts: []splice{{c, c, before}, {en.to, en.to, after}}})
	}
	more, err := p.over(s, flow(n), n)
	if err != nil && len(tries) == 0 {
		return nil, err
	}
	return append(tries, more...), nil
}
