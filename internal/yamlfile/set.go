package yamlfile

import (
	"strconv"
	"strings"
	"unicode"

	"go.yaml.in/yaml/v4"
)

var (
	errShared   = refusal("This value is used in several places of the file (through & and *). Change it by hand.")
	errComments = refusal("Comments stand between the values that would be replaced. Change it by hand.")
)

// set puts v at a path.
func (e *editor) set(path []string, v *yaml.Node) error {
	s := e.find(e.root, path)
	if s.shared {
		return errShared
	}
	if !s.found() {
		return e.insert(path, v)
	}
	done := false
	err := guard(func() error {
		cuts, ok := newPage(e.src, e.root).leaves(s.n, v)
		if !ok {
			return nil
		}
		done = true
		w := e.find(expand(e.root), path)
		return e.commit([]attempt{{cuts, rooted(w, merge(w.n, v))}})
	})
	if done && err == nil {
		return nil
	}
	if s.n.Kind == v.Kind && len(s.n.Content) > 0 && len(v.Content) > 0 {
		switch v.Kind {
		case yaml.MappingNode:
			if commonKey(s.n, v) {
				return e.setMapping(path, s.n, v)
			}
		case yaml.SequenceNode:
			return e.setList(path, s.n, v)
		}
	}
	return e.replace(path, v)
}

func commonKey(a, b *yaml.Node) bool {
	for i := 0; i+1 < len(a.Content); i += 2 {
		if keyIndex(b, a.Content[i].Value) >= 0 {
			return true
		}
	}
	return false
}

// setMapping turns one mapping into another, entry by entry, so that what stays is not touched.
func (e *editor) setMapping(path []string, old, v *yaml.Node) error {
	for i := 0; i+1 < len(old.Content); i += 2 {
		if k := old.Content[i]; keyIndex(v, k.Value) < 0 {
			if err := e.remove(child(path, k.Value)); err != nil {
				return err
			}
		}
	}
	for i := 0; i+1 < len(v.Content); i += 2 {
		if err := e.set(child(path, v.Content[i].Value), v.Content[i+1]); err != nil {
			return err
		}
	}
	return nil
}

// setList turns one list into another, item by item.
func (e *editor) setList(path []string, old, v *yaml.Node) error {
	for i := len(old.Content) - 1; i >= len(v.Content); i-- {
		if err := e.remove(child(path, strconv.Itoa(i))); err != nil {
			return err
		}
	}
	for i, x := range v.Content {
		if err := e.set(child(path, strconv.Itoa(i)), x); err != nil {
			return err
		}
	}
	return nil
}

func child(path []string, key string) []string {
	return append(append([]string(nil), path...), key)
}

// leaves gives the splices that turn old into v when only written scalars differ. ok is false when more has to change.
func (p *page) leaves(old, v *yaml.Node) (cuts []splice, ok bool) {
	if old.Kind != v.Kind {
		return nil, false
	}
	switch v.Kind {
	case yaml.ScalarNode:
		if old.Tag == v.Tag && old.Value == v.Value {
			return nil, true
		}
		if implicit(old) || old.Style&(yaml.TaggedStyle|yaml.LiteralStyle|yaml.FoldedStyle) != 0 {
			return nil, false
		}
		c := p.content(old)
		return []splice{{c, p.scalarEnd(old, c), scalarText(old, v)}}, true
	case yaml.SequenceNode:
		if len(old.Content) != len(v.Content) || len(v.Content) == 0 {
			return nil, len(old.Content) == len(v.Content)
		}
		for i, x := range v.Content {
			c, ok := p.leaves(old.Content[i], x)
			if !ok {
				return nil, false
			}
			cuts = append(cuts, c...)
		}
		return cuts, true
	case yaml.MappingNode:
		if len(old.Content) != len(v.Content) {
			return nil, false
		}
		for i := 0; i+1 < len(old.Content); i += 2 {
			j := keyIndex(v, old.Content[i].Value)
			if j < 0 {
				return nil, false
			}
			c, ok := p.leaves(old.Content[i+1], v.Content[j+1])
			if !ok {
				return nil, false
			}
			cuts = append(cuts, c...)
		}
		return cuts, true
	}
	return nil, false
}

// scalarText writes a value where old stands, in old's quotes when it is a text.
func scalarText(old, v *yaml.Node) string {
	if v.Kind != yaml.ScalarNode || v.Tag != "!!str" || old == nil || old.Kind != yaml.ScalarNode {
		return flow(v)
	}
	switch {
	case old.Style&yaml.DoubleQuotedStyle != 0:
		return doubleQuote(v.Value)
	case old.Style&yaml.SingleQuotedStyle != 0 && strings.IndexFunc(v.Value, unicode.IsControl) < 0 && v.Value == strings.TrimSpace(v.Value):
		return "'" + strings.ReplaceAll(v.Value, "'", "''") + "'"
	}
	return flow(v)
}

// keyText writes a key.
func keyText(key string) string {
	for i, r := range key {
		if !nameRune(r) && r != '.' && r != '/' || i == 0 && (r == '-' || r == '.' || r == '/' || unicode.IsMark(r)) {
			return doubleQuote(key)
		}
	}
	if key == "" {
		return `""`
	}
	return key
}

// place gives the entry of the spot's node in what holds it.
func (p *page) place(s spot) entry {
	if s.up == nil {
		panic(lost{})
	}
	if s.up.n.Kind == yaml.MappingNode {
		return p.entries(s.up.n)[s.idx/2]
	}
	return p.items(s.up.n)[s.idx]
}

// replace writes v over whatever stands at the path.
func (e *editor) replace(path []string, v *yaml.Node) error {
	s := e.find(e.root, path)
	want, err := put(e.find(expand(e.root), path), v)
	if err != nil {
		return err
	}
	return guard(func() error {
		p := newPage(e.src, e.root)
		tries, err := p.over(s, scalarText(s.n, v), v)
		if err != nil {
			return err
		}
		for i := range tries {
			tries[i].want = want
		}
		return e.commit(tries)
	})
}

// over gives ways to write text over the value at a spot.
func (p *page) over(s spot, text string, v *yaml.Node) ([]attempt, error) {
	en := p.place(s)
	if en.none {
		switch {
		case en.colon >= 0:
			return []attempt{{cuts: []splice{{en.colon, en.colon, " " + text}}}}, nil
		case s.up.n.Style&yaml.FlowStyle != 0:
			return []attempt{{cuts: []splice{{en.to, en.to, ": " + text}}}}, nil
		}
		panic(lost{})
	}
	propEnd, content := p.props(s.n)
	scalar := s.n.Kind == yaml.ScalarNode || s.n.Kind == yaml.AliasNode
	if !scalar && p.comment(propEnd, en.to) {
		return nil, errComments
	}
	var tries []attempt
	if s.n.Style&(yaml.LiteralStyle|yaml.FoldedStyle) != 0 && p.comment(content, p.lineEnd(content)) { // keep the comment after the |
		head := content
		for c := p.at(head); c != ' ' && c != '\t' && c != '\r' && c != '\n' && c != 0; c = p.at(head) {
			head++
		}
		line := p.lineEnd(content)
		return []attempt{{cuts: []splice{{content, head, text}, {line, en.to, ""}}}, {cuts: []splice{{en.value, head, text}, {line, en.to, ""}}}}, nil
	}
	if s.n.Style&yaml.LiteralStyle != 0 {
		if _, ind := p.blockScalar(s.n, content); ind > 0 {
			if t, ok := literal(v, ind, p.eol); ok {
				tries = append(tries, attempt{cuts: []splice{{content, en.to, t}}})
			}
		}
	}
	if line := p.lineStart(content); line > en.colon && en.colon >= 0 { // on a line of its own below the key
		if p.comment(en.colon, content) {
			return nil, errComments
		}
		if propEnd < content {
			return append(tries, attempt{cuts: []splice{{propEnd, en.to, " " + text}}}, attempt{cuts: []splice{{en.colon, en.to, " " + text}}}), nil
		}
		return append(tries, attempt{cuts: []splice{{en.colon, en.to, " " + text}}}), nil
	}
	tries = append(tries, attempt{cuts: []splice{{content, en.to, text}}})
	if propEnd < content {
		tries = append(tries, attempt{cuts: []splice{{en.value, en.to, text}}})
	}
	return tries, nil
}

// literal writes a text as a block of lines after a |.
func literal(v *yaml.Node, indent int, eol string) (string, bool) {
	s := v.Value
	if v.Kind != yaml.ScalarNode || v.Tag != "!!str" || strings.TrimSpace(s) == "" || s[0] == ' ' || s[0] == '\n' || strings.HasSuffix(s, "\n\n") {
		return "", false
	}
	if _, _, odd := oddRune([]byte(s)); odd || strings.ContainsAny(s, "\r\t") {
		return "", false
	}
	head := "|-"
	if t, ok := strings.CutSuffix(s, "\n"); ok {
		head, s = "|", t
	}
	var b strings.Builder
	b.WriteString(head)
	for l := range strings.SplitSeq(s, "\n") {
		b.WriteString(eol)
		if l != "" {
			b.WriteString(strings.Repeat(" ", indent) + l)
		}
	}
	return b.String(), true
}
