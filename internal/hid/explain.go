package hid

import (
	"fmt"
	"strings"
)

// Explain writes a descriptor as plain text: a line for each item, with its bytes, indented by collections; then the layout of the
// reports; then what is odd. A descriptor that cannot be read is explained up to the place where it breaks.
func Explain(desc []byte) string {
	d, err := Parse(desc)
	var out strings.Builder
	level := 0
	pages := []uint16{0} // the page in force last, those that Push saved before it
	for _, it := range d.Items {
		page := &pages[len(pages)-1]
		switch it.Kind {
		case EndCollection:
			level = max(0, level-1)
		case UsagePage:
			*page = uint16(it.Uint())
		case Push:
			pages = append(pages, *page)
		case Pop:
			pages = pages[:max(1, len(pages)-1)]
		}
		fmt.Fprintf(&out, "%-16s %s%s\n", hexBytes(it), strings.Repeat("  ", min(level, 40)), it.text(pages[len(pages)-1]))
		if it.Kind == Collect {
			level++
		}
	}
	if layout := d.Layout(); layout != "" {
		out.WriteString("\n" + layout)
	}
	if err != nil {
		fmt.Fprintf(&out, "\nCannot be read from here on. %s\n", sentence(err.Error()))
	}
	for i, n := range d.Notes {
		if i == 0 {
			out.WriteString("\nWhat is odd:\n")
		}
		fmt.Fprintf(&out, "  byte %d: %s\n", n.Offset, n.Text)
	}
	return out.String()
}

func sentence(s string) string { return strings.ToUpper(s[:1]) + s[1:] + "." }

// hexBytes writes the bytes of an item; long data is cut.
func hexBytes(it Item) string {
	raw, err := it.Append(nil)
	if err != nil {
		return "?"
	}
	if len(raw) > 5 {
		return fmt.Sprintf("% X ..", raw[:4])
	}
	return fmt.Sprintf("% X", raw)
}

// text writes what an item says. page is the usage page in force, which names usages that do not carry their own.
func (i Item) text(page uint16) string {
	v := i.Uint()
	name := i.Kind.String()
	switch i.Kind {
	case Input, Output, Feature:
		return fmt.Sprintf("%s (%s)", name, Flags(v))
	case Collect:
		if v > 255 {
			return fmt.Sprintf("%s (%d)", name, v)
		}
		return fmt.Sprintf("%s (%s)", name, CollectionKind(v))
	case EndCollection, Push, Pop:
		return name
	case UsagePage:
		return fmt.Sprintf("%s (%s)", name, PageName(uint16(v)))
	case UsageItem, UsageMinimum, UsageMaximum:
		u := Usage(v)
		if len(i.Data) < 4 {
			u |= U(page, 0)
		}
		return fmt.Sprintf("%s (%s)", name, u)
	case UnitItem:
		return fmt.Sprintf("%s (%s)", name, Unit(v))
	case UnitExponent:
		return fmt.Sprintf("%s (10^%d)", name, exponent(i))
	case Delimiter:
		if v == 1 {
			return name + " (open)"
		}
		return name + " (close)"
	case LongItem:
		return fmt.Sprintf("%s (tag 0x%02X, %d bytes)", name, i.Tag, len(i.Data))
	}
	if i.Kind.signed() {
		return fmt.Sprintf("%s (%d)", name, i.Int())
	}
	return fmt.Sprintf("%s (%d)", name, v)
}

// Layout writes the reports as plain text: for each field its bits, its range and what it is.
func (d *Descriptor) Layout() string {
	var out strings.Builder
	for _, r := range d.Reports {
		if out.Len() > 0 {
			out.WriteByte('\n')
		}
		fmt.Fprintf(&out, "%s report", r.Kind)
		if r.ID != 0 {
			fmt.Fprintf(&out, " %d", r.ID)
		}
		fmt.Fprintf(&out, ", %s", plural(r.WireBytes(), "byte"))
		if r.ID != 0 {
			out.WriteString(" with its number")
		}
		out.WriteByte('\n')
		for i := range r.Fields {
			out.WriteString("  " + r.Fields[i].line() + "\n")
		}
	}
	return out.String()
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// line writes a field on one line.
func (f *Field) line() string {
	at := fmt.Sprintf("byte %d bit %d", f.Offset/8, f.Offset%8)
	size := fmt.Sprintf("%d x %s", f.Count, plural(f.Size, "bit"))
	if f.IsFill() {
		return fmt.Sprintf("%-14s  %-12s  fill", at, size)
	}
	s := fmt.Sprintf("%-14s  %-12s  %d to %d", at, size, f.LogicalMin, f.LogicalMax)
	if lo, hi := f.Physical(); lo != f.LogicalMin || hi != f.LogicalMax || f.Unit != 0 {
		s += fmt.Sprintf(" (%d to %d", lo, hi)
		if f.Exponent != 0 {
			s += fmt.Sprintf(" x 10^%d", f.Exponent)
		}
		if f.Unit != 0 {
			s += " " + f.Unit.String()
		}
		s += ")"
	}
	s += "  " + f.names()
	if f.IsArray() {
		s += ", those that are on"
	}
	for _, w := range []struct {
		bit  Flags
		name string
	}{{Constant, "constant"}, {Relative, "steps"}, {Wrap, "wraps round"}, {NullState, "outside the range: none"}} {
		if f.Flags&w.bit != 0 {
			s += ", " + w.name
		}
	}
	return s
}

// names lists the usages of a field, ranges by their ends.
func (f *Field) names() string {
	if len(f.Usages) == 0 {
		return "no usage"
	}
	const most = 8
	var words []string
	for i, s := range f.Usages {
		if i == most {
			words = append(words, fmt.Sprintf("and %d more", len(f.Usages)-most))
			break
		}
		w := s.Min.String()
		if s.Max != s.Min {
			w += " to " + s.Max.String()
		}
		for _, a := range s.Also {
			w += " or " + a.Min.String()
		}
		words = append(words, w)
	}
	if !f.IsArray() && f.Choices() < f.Count {
		if f.Choices() == 1 {
			return words[0] + ", each"
		}
		words = append(words, "the last for all that follow")
	}
	return strings.Join(words, "; ")
}
