package hid

func (p *parser) local(it Item) error {
	l := &p.l
	v := it.Uint()
	switch it.Kind {
	case UsageItem:
		l.addUsage(rawSpan{min: v, max: v, extended: len(it.Data) == 4})
	case UsageMinimum:
		return l.lower(0, it)
	case UsageMaximum:
		m, err := l.upper(0, it)
		if err != nil {
			return err
		}
		if (len(m.Data) == 4) != (len(it.Data) == 4) {
			return fail(it.Offset, "Usage Minimum and Maximum must both carry their page, or neither")
		}
		l.addUsage(rawSpan{min: m.Uint(), max: v, extended: len(it.Data) == 4})
	case DesignatorIndex:
		l.designators = append(l.designators, IndexSpan{v, v})
	case DesignatorMinimum:
		return l.lower(1, it)
	case DesignatorMaximum:
		m, err := l.upper(1, it)
		if err != nil {
			return err
		}
		l.designators = append(l.designators, IndexSpan{m.Uint(), v})
	case StringIndex:
		l.strings = append(l.strings, IndexSpan{v, v})
	case StringMinimum:
		return l.lower(2, it)
	case StringMaximum:
		m, err := l.upper(2, it)
		if err != nil {
			return err
		}
		l.strings = append(l.strings, IndexSpan{m.Uint(), v})
	case Delimiter:
		return l.delimit(it)
	default:
		p.note(it.Offset, "reserved item 0x%02X", uint8(it.Kind))
	}
	return nil
}

// addUsage adds a usage; within delimiters, the second and later ones are further meanings of the first.
func (l *locals) addUsage(s rawSpan) {
	if l.set > 1 {
		last := &l.usages[len(l.usages)-1]
		last.also = append(last.also, s)
	} else {
		l.usages = append(l.usages, s)
	}
	if l.set > 0 {
		l.set++
	}
}

func (l *locals) lower(which int, it Item) error {
	if l.min[which] != nil {
		return fail(it.Offset, "%s twice without a maximum", it.Kind)
	}
	l.min[which] = &it
	return nil
}

func (l *locals) upper(which int, it Item) (Item, error) {
	m := l.min[which]
	if m == nil {
		return Item{}, fail(it.Offset, "%s without a minimum before it", it.Kind)
	}
	l.min[which] = nil
	if it.Uint() < m.Uint() {
		return Item{}, fail(it.Offset, "%s 0x%X is below the minimum 0x%X", it.Kind, it.Uint(), m.Uint())
	}
	return *m, nil
}

func (l *locals) delimit(it Item) error {
	switch v := it.Uint(); {
	case v == 1 && l.set == 0:
		l.set = 1
	case v == 1:
		return fail(it.Offset, "delimiters within delimiters")
	case v == 0 && l.set == 0:
		return fail(it.Offset, "a closing delimiter without an opening one")
	case v == 0 && l.set == 1:
		return fail(it.Offset, "no usage between delimiters")
	case v == 0:
		l.set = 0
	default:
		return fail(it.Offset, "delimiter %d; 1 opens, 0 closes", v)
	}
	return nil
}

// resolve joins the usages of a main item with the usage page that holds at that item. Source: HID 1.11, 6.2.2.8.
func (p *parser) resolve(it Item) ([]Span, error) {
	return p.spans(it, p.l.usages)
}

func (p *parser) spans(it Item, raw []rawSpan) ([]Span, error) {
	var out []Span
	for _, s := range raw {
		lo, hi := Usage(s.min), Usage(s.max)
		if !s.extended {
			if !p.g.hasPage {
				return nil, fail(it.Offset, "a usage without a Usage Page before %s", it.Kind)
			}
			lo, hi = U(p.g.page, 0)|lo, U(p.g.page, 0)|hi
		}
		if lo.Page() != hi.Page() {
			return nil, fail(it.Offset, "usages 0x%X to 0x%X reach over two pages", uint32(lo), uint32(hi))
		}
		also, err := p.spans(it, s.also)
		if err != nil {
			return nil, err
		}
		out = append(out, Span{Min: lo, Max: hi, Also: also})
	}
	return out, nil
}
