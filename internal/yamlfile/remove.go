package yamlfile

import (
	"strings"

	"go.yaml.in/yaml/v4"
)

// remove takes out the entry or item at a path, with the comment on its line, and with comment lines that belong to it
// alone.
func (e *editor) remove(path []string) error {
	s := e.find(e.root, path)
	if s.shared {
		return errShared
	}
	want, err := e.without(e.find(expand(e.root), path), strings.Join(path, "."))
	if err != nil {
		return err
	}
	return guard(func() error {
		p := newPage(e.src, e.root)
		up := s.up.n
		es, i := []entry(nil), s.idx
		if up.Kind == yaml.MappingNode {
			es, i = p.entries(up), s.idx/2
		} else {
			es = p.items(up)
		}
		var tries [][]splice
		switch {
		case up.Style&yaml.FlowStyle == 0 && len(es) == 1:
			tries = p.emptied(s, es[0])
		case up.Style&yaml.FlowStyle == 0:
			tries = p.cutBlock(es, i)
		case up.Kind == yaml.MappingNode && !p.braced(up, p.content(up)):
			panic(lost{})
		default:
			tries = p.cutFlow(up, es, i)
		}
		var as []attempt
		for _, c := range tries {
			as = append(as, attempt{c, want})
		}
		return e.commit(as)
	})
}

// ownLine reports whether only blanks stand before i on its line.
func (p *page) ownLine(i int) bool {
	return strings.TrimSpace(string(p.src[p.lineStart(i):i])) == ""
}

// restBlank reports whether nothing but a comment follows on the line.
func (p *page) restBlank(i int) bool {
	j := p.blanks(i)
	c := p.at(j)
	return c == 0 || c == '\n' || c == '\r' || c == '#' && (j > i || p.at(j-1) == ' ' || p.at(j-1) == '\t')
}

// cutBlock takes entry i of several out of a block mapping or list.
func (p *page) cutBlock(es []entry, i int) [][]splice {
	en := es[i]
	if !p.ownLine(en.from) { // the first one after a dash: the next one moves up to it
		if i != 0 || p.comment(en.to, es[1].from) && !p.onlyTrailing(en.to, es[1].from) {
			panic(lost{})
		}
		return [][]splice{{{en.from, es[1].from, ""}}}
	}
	from, to := p.paragraph(en)
	return [][]splice{{{from, to, ""}}}
}

// onlyTrailing reports whether the comments between two places all stand on the first line.
func (p *page) onlyTrailing(from, to int) bool { return !p.comment(p.nextLine(from), to) }

// paragraph gives the lines of an entry, with the comments that are its own: those below it that are indented deeper, and
// those glued on top of it when it stands alone between blank lines or other comments.
func (p *page) paragraph(en entry) (from, to int) {
	from, to = p.lineStart(en.from), p.nextLine(en.to)
	col := en.from - from
	for to < len(p.src) {
		k := p.indent(to)
		if k <= col || p.at(to+k) != '#' {
			break
		}
		to = p.nextLine(to)
	}
	top := from
	for top > 0 {
		l := p.lineStart(top - 1)
		if p.indent(l) != col || p.at(l+col) != '#' {
			break
		}
		top = l
	}
	if top == from || top == 0 {
		return from, to
	}
	k := p.indent(to)
	next := p.at(to + k)
	if to >= len(p.src) || next == '\n' || next == '\r' || next == '#' || k < col {
		from = top
	}
	return from, to
}

// emptied takes the only entry out of a block mapping or list, which leaves {} or [].
func (p *page) emptied(s spot, en entry) [][]splice {
	none := "{}"
	if s.up.n.Kind == yaml.SequenceNode {
		none = "[]"
	}
	if !p.ownLine(en.from) {
		return [][]splice{{{en.from, en.to, none}}}
	}
	from, to := p.paragraph(en)
	if s.up.up == nil {
		return [][]splice{{{from, to, ""}}, {{from, to, none}}}
	}
	at := p.place(*s.up).colon
	if end, content := p.props(s.up.n); end < content {
		at = end
	}
	if at < 0 {
		panic(lost{})
	}
	if from < at {
		from = p.lineStart(en.from)
	}
	return [][]splice{{{at, at, " " + none}, {from, to, ""}}}
}

// cutFlow takes entry i out of what stands between brackets.
func (p *page) cutFlow(n *yaml.Node, es []entry, i int) [][]splice {
	en := es[i]
	if len(es) == 1 {
		open := p.content(n) + 1
		if end := p.end(n) - 1; !p.comment(open, end) {
			return [][]splice{{{open, end, ""}}}
		}
	}
	comma := p.space(en.to)
	if p.at(comma) == ',' {
		if p.comment(en.to, comma) {
			panic(lost{})
		}
		stop := p.blanks(comma + 1)
		if p.ownLine(en.from) && p.restBlank(stop) {
			return [][]splice{{{p.lineStart(en.from), p.nextLine(stop), ""}}}
		}
		if p.restBlank(stop) {
			stop = comma + 1
			for from := en.from; from > 0 && (p.src[from-1] == ' ' || p.src[from-1] == '\t'); from-- {
				en.from = from - 1
			}
		}
		return [][]splice{{{en.from, stop, ""}}}
	}
	from, to := en.from, en.to
	if p.ownLine(from) && p.restBlank(to) {
		from, to = p.lineStart(from), p.nextLine(to)
	}
	if i == 0 {
		return [][]splice{{{from, to, ""}}}
	}
	before := p.space(es[i-1].to)
	if p.at(before) != ',' {
		panic(lost{})
	}
	if p.comment(before, from) || from != en.from {
		return [][]splice{{{before, before + 1, ""}, {from, to, ""}}}
	}
	return [][]splice{{{before, to, ""}}}
}

// rename gives the entry at a path another key.
func (e *editor) rename(path []string, key string) error {
	s := e.find(e.root, path)
	if s.shared {
		return errShared
	}
	want, err := renamed(e.find(expand(e.root), path), strings.Join(path, "."), key)
	if err != nil {
		return err
	}
	return guard(func() error {
		p := newPage(e.src, e.root)
		k := s.up.n.Content[s.idx-1]
		if k.Value == key {
			return nil
		}
		if k.Kind != yaml.ScalarNode || implicit(k) || k.Anchor != "" {
			panic(lost{})
		}
		text := keyText(key)
		if k.Style&(yaml.DoubleQuotedStyle|yaml.SingleQuotedStyle) != 0 {
			text = scalarText(k, &yaml.Node{Kind: yaml.ScalarNode, Tag: "!!str", Value: key})
		}
		c := p.content(k)
		return e.commit([]attempt{{[]splice{{c, p.end(k), text}}, want}})
	})
}
