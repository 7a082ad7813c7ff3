package hid

// Limits of what Parse reads. A descriptor's length is told to the host in 16 bits, and so is a report's in the requests that carry it.
const (
	MaxDescriptor = 65535     // bytes
	MaxReport     = 65535 * 8 // bits
)

// globals are the values that hold until changed, and that Push and Pop save.
type globals struct {
	page                   uint16
	logMin, logMax         int32
	physMin, physMax       int32
	exponent               int
	unit                   Unit
	size, count            uint32
	id                     uint8
	hasLogical             bool
	hasPage, hasSize, hasN bool
}

// rawSpan is a usage as written: its page may yet change before the main item that it belongs to.
type rawSpan struct {
	min, max uint32
	extended bool
	also     []rawSpan
}

// locals hold for the next main item only.
type locals struct {
	usages               []rawSpan
	designators, strings []IndexSpan
	min                  [3]*Item // minimum of a range of usages, designators, strings still without its maximum
	set                  int      // within delimiters: number of usages so far, from 1; else 0
}

type parser struct {
	d     *Descriptor
	g     globals
	saved []globals
	l     locals
	open  *Collection
	noID  bool // a field without a report number was met
	useID bool
}

// Parse reads a report descriptor. What hosts could not agree on is a *ParseError; the descriptor read up to there is given with it,
// never nil. What is merely odd becomes a Note.
func Parse(desc []byte) (*Descriptor, error) {
	p := parser{d: &Descriptor{}}
	if len(desc) > MaxDescriptor {
		return p.d, fail(MaxDescriptor, "the descriptor has %d bytes; its length is told to hosts in 16 bits, so %d at most", len(desc), MaxDescriptor)
	}
	items, cut := Items(desc)
	p.d.Items = items
	for _, it := range items {
		if err := p.item(it); err != nil {
			return p.d, err
		}
	}
	if cut != nil {
		return p.d, cut
	}
	if p.open != nil {
		return p.d, fail(p.open.Offset, "this collection is never ended")
	}
	if len(p.saved) > 0 {
		p.note(len(desc), "%d Push without Pop", len(p.saved))
	}
	return p.d, nil
}

func (p *parser) note(at int, format string, args ...any) {
	e := fail(at, format, args...).(*ParseError)
	p.d.Notes = append(p.d.Notes, Note{Offset: at, Text: e.Text})
}

func (p *parser) item(it Item) error {
	switch it.Kind.Type() {
	case Main:
		return p.main(it)
	case Global:
		return p.global(it)
	case Local:
		return p.local(it)
	default:
		p.note(it.Offset, "a long item, tag 0x%02X; the standard defines none", it.Tag)
		return nil
	}
}

func (p *parser) global(it Item) error {
	g := &p.g
	switch v := it.Uint(); it.Kind {
	case UsagePage:
		if v > 0xFFFF {
			return fail(it.Offset, "usage page 0x%X needs more than 16 bits", v)
		}
		g.page, g.hasPage = uint16(v), true
	case LogicalMinimum:
		g.logMin, g.hasLogical = it.Int(), true
	case LogicalMaximum:
		g.logMax, g.hasLogical = it.Int(), true
	case PhysicalMinimum:
		g.physMin = it.Int()
	case PhysicalMaximum:
		g.physMax = it.Int()
	case UnitExponent:
		g.exponent = exponent(it)
	case UnitItem:
		g.unit = Unit(v)
	case ReportSize:
		g.size, g.hasSize = v, true
	case ReportCount:
		g.count, g.hasN = v, true
	case ReportID:
		if v == 0 || v > 255 {
			return fail(it.Offset, "report number %d is not one of 1 to 255", v)
		}
		if p.noID {
			return fail(it.Offset, "report number %d after fields without a number; either all reports have one or none", v)
		}
		g.id, p.useID = uint8(v), true
	case Push:
		p.saved = append(p.saved, *g)
	case Pop:
		n := len(p.saved)
		if n == 0 {
			return fail(it.Offset, "Pop without Push")
		}
		*g, p.saved = p.saved[n-1], p.saved[:n-1]
	default:
		p.note(it.Offset, "reserved item 0x%02X", uint8(it.Kind))
	}
	return nil
}

func (p *parser) main(it Item) error {
	if err := p.closed(it); err != nil {
		return err
	}
	defer func() { p.l = locals{} }()
	switch it.Kind {
	case Input, Output, Feature:
		return p.field(it)
	case Collect:
		return p.begin(it)
	case EndCollection:
		if p.open == nil {
			return fail(it.Offset, "End Collection without Collection")
		}
		p.open = p.open.Parent
		return nil
	default:
		p.note(it.Offset, "reserved item 0x%02X", uint8(it.Kind))
		return nil
	}
}

// closed checks that no range and no delimiter is left open before a main item.
func (p *parser) closed(it Item) error {
	for n, what := range [...]string{"Usage", "Designator", "String"} {
		if m := p.l.min[n]; m != nil {
			return fail(m.Offset, "%s Minimum without %s Maximum before the next %s", what, what, it.Kind)
		}
	}
	if p.l.set > 0 {
		return fail(it.Offset, "%s within delimiters", it.Kind)
	}
	return nil
}

func (p *parser) begin(it Item) error {
	v := it.Uint()
	if v > 255 {
		return fail(it.Offset, "collection of kind %d; kinds are 0 to 255", v)
	}
	spans, err := p.resolve(it)
	if err != nil {
		return err
	}
	c := &Collection{
		Kind: CollectionKind(v), Parent: p.open, Designators: p.l.designators, Strings: p.l.strings, Offset: it.Offset,
	}
	if len(spans) > 0 {
		c.Usage = spans[0].Min
	} else {
		p.note(it.Offset, "a collection without a usage")
	}
	if p.open == nil {
		p.d.Collections = append(p.d.Collections, c)
		if c.Kind != Application {
			p.note(it.Offset, "the outermost collection is %s; hosts look for Application", c.Kind)
		}
	} else {
		p.open.Inner = append(p.open.Inner, c)
	}
	p.open = c
	return nil
}

// field adds the field of an Input, Output or Feature item to its report.
func (p *parser) field(it Item) error {
	g := &p.g
	switch {
	case p.open == nil:
		return fail(it.Offset, "%s outside of any collection", it.Kind)
	case !g.hasSize:
		return fail(it.Offset, "%s without a Report Size before it", it.Kind)
	case !g.hasN:
		return fail(it.Offset, "%s without a Report Count before it", it.Kind)
	case p.useID && g.id == 0:
		return fail(it.Offset, "%s without a report number, where others have one", it.Kind)
	}
	p.noID = p.noID || g.id == 0
	spans, err := p.resolve(it)
	if err != nil {
		return err
	}
	bits := uint64(g.size) * uint64(g.count)
	if bits == 0 {
		p.note(it.Offset, "%s of no bits", it.Kind)
		return nil
	}
	r := p.d.Report(it.Kind, g.id)
	if r == nil {
		r = &Report{Kind: it.Kind, ID: g.id}
		p.d.Reports = append(p.d.Reports, r)
	}
	if bits > MaxReport || uint64(r.Bits)+bits > MaxReport {
		return fail(it.Offset, "%d fields of %d bits make a report longer than %d bytes", g.count, g.size, MaxReport/8)
	}
	f := Field{
		Offset: r.Bits, Size: int(g.size), Count: int(g.count), Flags: Flags(it.Uint()),
		LogicalMin: g.logMin, LogicalMax: g.logMax, PhysicalMin: g.physMin, PhysicalMax: g.physMax,
		Unit: g.unit, Exponent: g.exponent, Usages: spans, Designators: p.l.designators, Strings: p.l.strings,
		Collection: p.open, At: it.Offset,
	}
	p.check(&f)
	if n := len(r.Fields); n > 0 && r.Fields[n-1].Collection.Top() != p.open.Top() {
		p.note(it.Offset, "%s report %d is shared by two outermost collections; some hosts refuse it", it.Kind, g.id)
	}
	r.Bits += f.Bits()
	r.Fields = append(r.Fields, f)
	return nil
}

// check notes what is odd about a field.
func (p *parser) check(f *Field) {
	if f.Flags&Constant != 0 {
		return
	}
	if !p.g.hasLogical {
		p.note(f.At, "no logical range was given")
	}
	if f.LogicalMax < f.LogicalMin {
		p.note(f.At, "the logical maximum %d is below the minimum %d", f.LogicalMax, f.LogicalMin)
	} else if lo, hi := f.room(); f.Size <= 32 && (int64(f.LogicalMin) < lo || int64(f.LogicalMax) > hi) {
		p.note(f.At, "the logical range %d to %d needs more than %d bits", f.LogicalMin, f.LogicalMax, f.Size)
	}
	switch {
	case len(f.Usages) == 0:
		p.note(f.At, "data without a usage; hosts pass over it")
	case !f.IsArray() && f.Choices() > f.Count:
		p.note(f.At, "%d usages for %d controls", f.Choices(), f.Count)
	}
	if f.straddles() {
		p.note(f.At, "a control lies across more than 4 bytes; the standard forbids it")
	}
}

// straddles tells whether some control of the field touches more than 4 bytes. Source: HID 1.11, 8.4.
func (f *Field) straddles() bool {
	for i := range min(f.Count, 8) { // then the place within a byte repeats
		if at := f.Offset + i*f.Size; (at+f.Size-1)/8-at/8 > 3 {
			return true
		}
	}
	return false
}

// room gives the least and greatest value that the field's bits can hold. It holds for fields of up to 32 bits.
func (f *Field) room() (lo, hi int64) {
	n := uint(min(f.Size, 32))
	if f.Signed() {
		return -1 << (n - 1), 1<<(n-1) - 1
	}
	return 0, 1<<n - 1
}
