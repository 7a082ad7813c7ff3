package book

import (
	"strings"

	"knobwright/internal/words"
)

// tell says what a trade says in English in the book's language, when the catalogue has it.
func (b *Book) tell(s string) string {
	said, _ := b.Lang.Tell(s)
	return said
}

// tellWords says words one by one: colours of bands.
func (b *Book) tellWords(ws []string) string {
	out := make([]string, len(ws))
	for i, w := range ws {
		out[i] = b.tell(w)
	}
	return strings.Join(out, " ")
}

// tellAll tells names one by one; those of controls are no English and stay.
func (m *maker) tellAll(names []string) []string {
	label := map[string]bool{}
	for _, c := range m.n.controls {
		label[c.Label] = true
	}
	out := make([]string, len(names))
	for i, s := range names {
		out[i] = s
		if !label[s] {
			out[i] = m.tell(s)
		}
	}
	return out
}

// told says the English of a block in the book's language, as far as the catalogue has it, and notes what stays.
func (m *maker) told(b Block) Block {
	if m.Lang == words.English {
		return b
	}
	switch x := b.(type) {
	case Para:
		if x.En {
			s, ok := m.Lang.Tell(x.Text)
			x.Text, x.En = s, !ok
		}
		return x
	case List:
		if x.En {
			x.Items, x.told = m.toldItems(x.Items)
		}
		return x
	case Table:
		return m.toldTable(x)
	case Finding:
		for i, s := range []*string{&x.F.Head, &x.F.Body, nil, &x.F.Why} {
			if s != nil && *s != "" {
				said, ok := m.Lang.Tell(*s)
				*s, x.En[i] = said, !ok
			}
		}
		if len(x.F.Fixes) > 0 {
			said, ok := m.Lang.Tell(x.F.Fixes[0].Say)
			x.F.Fixes = append(x.F.Fixes[:0:0], x.F.Fixes...)
			x.F.Fixes[0].Say, x.En[2] = said, !ok
		}
		return x
	}
	return b
}

// toldItems tells items; one that begins with a number and a name, "4 DESK: Pilot 3 mm ...", keeps them.
func (m *maker) toldItems(items []string) ([]string, map[int]bool) {
	out, told := make([]string, len(items)), map[int]bool{}
	for i, s := range items {
		said, ok := m.Lang.Tell(s)
		if head, rest, cut := strings.Cut(s, ": "); !ok && cut {
			if of, bit, two := strings.Cut(head, ", "); two { // "DESK, 16.3 mm hole saw"
				head = of + ", " + m.tell(bit)
			}
			if said, ok = m.Lang.Tell(rest); ok {
				said = head + ": " + said
			} else {
				said = s
			}
		}
		out[i], told[i] = said, ok
	}
	return out, told
}

func (m *maker) toldTable(t Table) Table {
	rows, ditto := make([]Row, len(t.Rows)), m.say("ditto")
	for i, r := range t.Rows {
		if r.Band != "" {
			r.Band = m.tell(r.Band)
			rows[i] = r
			continue
		}
		cells := append([]string{}, r.Cells...)
		r.told = map[int]bool{}
		for j, c := range t.Cols {
			if c.En && j < len(cells) {
				if r.told[j] = cells[j] == ditto; !r.told[j] {
					cells[j], r.told[j] = m.Lang.Tell(cells[j])
				}
			}
		}
		r.Cells = cells
		rows[i] = r
	}
	t.Rows = rows
	return t
}
