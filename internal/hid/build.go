package hid

import (
	"errors"
	"fmt"
)

// Builder writes a descriptor item by item. Its zero value is an empty descriptor. Each method writes the shortest item for its
// value; numbers of global items are written every time, wanted or not, except by Field, which writes only what changes. The first
// mistake is kept and given by Finish.
type Builder struct {
	buf   []byte
	err   error
	g     globals
	saved []globals
	spans []Span // usages given since the last main item
	short bool   // some of them were written without their page
	depth int
	raw   bool
	want  []built
	bits  map[reportKey]int
}

type reportKey struct {
	kind Kind
	id   uint8
}

// built is what a main item was meant to say.
type built struct {
	key reportKey
	f   Field
}

// Fail keeps an error for Finish, if it is the first.
func (b *Builder) Fail(err error) {
	if b.err == nil {
		b.err = err
	}
}

// Raw writes an item with exactly this data. After it, Finish can only read the descriptor back, not compare it with what was meant.
func (b *Builder) Raw(k Kind, data ...byte) {
	b.raw = true
	b.item(k, data)
}

func (b *Builder) item(k Kind, data []byte) {
	out, err := Item{Kind: k, Data: data}.Append(b.buf)
	if err != nil {
		b.Fail(err)
		return
	}
	b.buf = out
}

// unsigned writes an item with the shortest data that holds v, of at least a byte.
func (b *Builder) unsigned(k Kind, v uint32) {
	switch {
	case v < 1<<8:
		b.item(k, []byte{byte(v)})
	case v < 1<<16:
		b.item(k, []byte{byte(v), byte(v >> 8)})
	default:
		b.item(k, []byte{byte(v), byte(v >> 8), byte(v >> 16), byte(v >> 24)})
	}
}

// signed writes an item with the shortest data that holds v in two's complement, of at least a byte.
func (b *Builder) signed(k Kind, v int32) {
	switch {
	case v >= -1<<7 && v < 1<<7:
		b.item(k, []byte{byte(v)})
	case v >= -1<<15 && v < 1<<15:
		b.item(k, []byte{byte(v), byte(v >> 8)})
	default:
		b.item(k, []byte{byte(v), byte(v >> 8), byte(v >> 16), byte(v >> 24)})
	}
}

// Page writes a Usage Page item. Usage and UsageRange write it themselves where it is needed.
func (b *Builder) Page(page uint16) {
	b.unsigned(UsagePage, uint32(page))
	b.g.page, b.g.hasPage = page, true
}

// Usage writes a usage for the next field or collection, after its page where that is not the one in force. Where usages of two pages
// meet in one field, the later ones carry their page with them.
func (b *Builder) Usage(u Usage) { b.usage(Span{Min: u, Max: u}) }

// UsageRange writes a range of usages on one page, both ends included.
func (b *Builder) UsageRange(first, last Usage) { b.usage(Span{Min: first, Max: last}) }

func (b *Builder) usage(s Span) {
	page := s.Min.Page()
	if page != s.Max.Page() || s.Max < s.Min {
		b.Fail(fmt.Errorf("usages 0x%X to 0x%X are not a range on one page", uint32(s.Min), uint32(s.Max)))
		return
	}
	extended := b.short && page != b.g.page
	if !extended && (page != b.g.page || !b.g.hasPage) {
		b.Page(page)
	}
	kinds := []Kind{UsageMinimum, UsageMaximum}
	values := []Usage{s.Min, s.Max}
	if s.Min == s.Max {
		kinds, values = []Kind{UsageItem}, values[:1]
	}
	for i, k := range kinds {
		switch v := uint32(values[i]); {
		case extended:
			b.item(k, []byte{byte(v), byte(v >> 8), byte(v >> 16), byte(v >> 24)})
		default:
			b.unsigned(k, uint32(values[i].ID()))
			b.short = true
		}
	}
	b.spans = append(b.spans, s)
}

// Logical writes the logical range: what the values of the next fields lie between, in numbers.
func (b *Builder) Logical(lo, hi int32) {
	b.signed(LogicalMinimum, lo)
	b.signed(LogicalMaximum, hi)
	b.g.logMin, b.g.logMax = lo, hi
}

// Physical writes the range in units that the logical range stands for; 0, 0 takes it back.
func (b *Builder) Physical(lo, hi int32) {
	b.signed(PhysicalMinimum, lo)
	b.signed(PhysicalMaximum, hi)
	b.g.physMin, b.g.physMax = lo, hi
}

// Unit writes the unit of the physical range.
func (b *Builder) Unit(u Unit) {
	b.unsigned(UnitItem, uint32(u))
	b.g.unit = u
}

// Exponent writes the power of ten of the unit, -8 to 7.
func (b *Builder) Exponent(e int) {
	if e < -8 || e > 7 {
		b.Fail(fmt.Errorf("unit exponent %d is not one of -8 to 7", e))
		return
	}
	b.item(UnitExponent, []byte{byte(e) & 15})
	b.g.exponent = e
}

// Size writes the bits of one control of the next fields.
func (b *Builder) Size(bits int) { b.natural(ReportSize, bits, &b.g.size) }

// Count writes how many controls the next fields have.
func (b *Builder) Count(n int) { b.natural(ReportCount, n, &b.g.count) }

func (b *Builder) natural(k Kind, v int, to *uint32) {
	if v < 0 || v > MaxReport {
		b.Fail(fmt.Errorf("%s %d is not one of 0 to %d", k, v, MaxReport))
		return
	}
	*to = uint32(v)
	b.unsigned(k, *to)
}

// ID writes the report number of the next fields, 1 to 255.
func (b *Builder) ID(id uint8) {
	b.unsigned(ReportID, uint32(id))
	b.g.id = id
}

// Push saves the values of the global items, Pop brings them back.
func (b *Builder) Push() {
	b.item(Push, nil)
	b.saved = append(b.saved, b.g)
}

// Pop brings back what Push saved.
func (b *Builder) Pop() {
	b.item(Pop, nil)
	if n := len(b.saved); n > 0 {
		b.g, b.saved = b.saved[n-1], b.saved[:n-1]
	}
}

// Begin opens a collection. A usage of 0 gives it none of its own: the usages written before it hold.
func (b *Builder) Begin(kind CollectionKind, u Usage) {
	if u != 0 {
		b.Usage(u)
	}
	b.unsigned(Collect, uint32(kind))
	b.depth++
	b.spans, b.short = nil, false
}

// End closes the innermost collection.
func (b *Builder) End() {
	b.item(EndCollection, nil)
	b.depth--
	b.spans, b.short = nil, false
}

// Main writes an Input, Output or Feature item: a field of the sizes, ranges and usages written before it.
func (b *Builder) Main(kind Kind, flags Flags) {
	if kind != Input && kind != Output && kind != Feature {
		b.Fail(fmt.Errorf("%s makes no field", kind))
		return
	}
	b.unsigned(kind, uint32(flags))
	if b.bits == nil {
		b.bits = map[reportKey]int{}
	}
	g, key := b.g, reportKey{kind, b.g.id}
	f := Field{
		Offset: b.bits[key], Size: int(g.size), Count: int(g.count), Flags: flags, Usages: b.spans,
		LogicalMin: g.logMin, LogicalMax: g.logMax, PhysicalMin: g.physMin, PhysicalMax: g.physMax, Unit: g.unit, Exponent: g.exponent,
	}
	if f.Bits() > 0 {
		b.want = append(b.want, built{key, f})
	}
	b.bits[key] += f.Bits()
	b.spans, b.short = nil, false
}

// Field writes one field with all that belongs to it; global values that hold already are not written again. Offset, Collection, At,
// Designators and Strings are not looked at, and usages have no further meanings.
func (b *Builder) Field(kind Kind, f Field) {
	for _, s := range f.Usages {
		b.usage(s)
	}
	g := b.g
	if !g.hasLogical || g.logMin != f.LogicalMin || g.logMax != f.LogicalMax {
		b.Logical(f.LogicalMin, f.LogicalMax)
		b.g.hasLogical = true
	}
	if g.physMin != f.PhysicalMin || g.physMax != f.PhysicalMax {
		b.Physical(f.PhysicalMin, f.PhysicalMax)
	}
	if g.exponent != f.Exponent {
		b.Exponent(f.Exponent)
	}
	if g.unit != f.Unit {
		b.Unit(f.Unit)
	}
	if !g.hasSize || int(g.size) != f.Size {
		b.Size(f.Size)
		b.g.hasSize = true
	}
	if !g.hasN || int(g.count) != f.Count {
		b.Count(f.Count)
		b.g.hasN = true
	}
	b.Main(kind, f.Flags)
}

// Fill writes constant bits up to the next full byte of the report in hand, if any are missing.
func (b *Builder) Fill(kind Kind) {
	n := b.bits[reportKey{kind, b.g.id}] % 8
	if n == 0 {
		return
	}
	if !b.g.hasSize || b.g.size != uint32(8-n) {
		b.Size(8 - n)
		b.g.hasSize = true
	}
	if !b.g.hasN || b.g.count != 1 {
		b.Count(1)
		b.g.hasN = true
	}
	b.Main(kind, Constant)
}

// Finish gives the descriptor, and what it says when read back. It is an error when something could not be written, when the
// descriptor cannot be read, when what is read is not what was meant, or when one report is spread over two outermost collections.
func (b *Builder) Finish() ([]byte, *Descriptor, error) {
	if b.err != nil {
		return nil, nil, b.err
	}
	d, err := Parse(b.buf)
	if err != nil {
		return nil, nil, err
	}
	for _, r := range d.Reports {
		for i := range r.Fields {
			if r.Fields[i].Collection.Top() != r.Fields[0].Collection.Top() {
				return nil, nil, fmt.Errorf("%s report %d is shared by two outermost collections", r.Kind, r.ID)
			}
		}
	}
	if !b.raw {
		if err := b.compare(d); err != nil {
			return nil, nil, err
		}
	}
	return append([]byte(nil), b.buf...), d, nil
}

// compare holds what was read back against what was meant.
func (b *Builder) compare(d *Descriptor) error {
	next := map[*Report]int{}
	for _, w := range b.want {
		r := d.Report(w.key.kind, w.key.id)
		if r == nil || next[r] >= len(r.Fields) {
			return fmt.Errorf("the %s field at bit %d of report %d is lost when read back", w.key.kind, w.f.Offset, w.key.id)
		}
		got := r.Fields[next[r]]
		next[r]++
		if !same(&got, &w.f) {
			return fmt.Errorf("the %s field at bit %d of report %d reads back as another", w.key.kind, w.f.Offset, w.key.id)
		}
	}
	for _, r := range d.Reports {
		if next[r] != len(r.Fields) {
			return errors.New("more fields are read back than were written")
		}
	}
	return nil
}

// same compares what two fields say; where they stand in the descriptor does not matter.
func same(a, b *Field) bool {
	if len(a.Usages) != len(b.Usages) {
		return false
	}
	for i := range a.Usages {
		if a.Usages[i].Min != b.Usages[i].Min || a.Usages[i].Max != b.Usages[i].Max {
			return false
		}
	}
	return a.Offset == b.Offset && a.Size == b.Size && a.Count == b.Count && a.Flags == b.Flags &&
		a.LogicalMin == b.LogicalMin && a.LogicalMax == b.LogicalMax &&
		a.PhysicalMin == b.PhysicalMin && a.PhysicalMax == b.PhysicalMax && a.Unit == b.Unit && a.Exponent == b.Exponent
}
