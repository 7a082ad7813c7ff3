package hid

// Descriptor is what a report descriptor says.
type Descriptor struct {
	Items       []Item
	Collections []*Collection // the outermost ones, in order
	Reports     []*Report     // in order of their first field
	Notes       []Note        // what hosts bear with, or may not
}

// Note is something odd that does not keep the descriptor from being read.
type Note struct {
	Offset int // of the item, in bytes from the start
	Text   string
}

// Collection is a group of fields and further collections.
type Collection struct {
	Kind        CollectionKind
	Usage       Usage // 0 where the descriptor gives none
	Parent      *Collection
	Inner       []*Collection
	Designators []IndexSpan
	Strings     []IndexSpan
	Offset      int // of its item
}

// Top gives the outermost collection that c is in: what a host takes for one device.
func (c *Collection) Top() *Collection {
	for c.Parent != nil {
		c = c.Parent
	}
	return c
}

// Report is the layout of one report: the fields in order of their bits.
type Report struct {
	Kind   Kind  // Input (to the host), Output (from the host), Feature (either way, on request)
	ID     uint8 // 0 where the descriptor uses no report numbers
	Bits   int   // of all fields, without the report number
	Fields []Field
}

// Bytes is the length of the report, without the byte of its number.
func (r *Report) Bytes() int { return (r.Bits + 7) / 8 }

// WireBytes is the length of the report as it is sent: with the byte of its number, if it has one.
func (r *Report) WireBytes() int {
	if r.ID != 0 {
		return r.Bytes() + 1
	}
	return r.Bytes()
}

// Field is what one Input, Output or Feature item puts into a report: Count controls of Size bits each.
type Field struct {
	Offset int // of the first bit, from the start of the report, without the report number
	Size   int // bits of one control
	Count  int
	Flags  Flags

	LogicalMin, LogicalMax   int32
	PhysicalMin, PhysicalMax int32 // both 0 where not given; see Physical
	Unit                     Unit
	Exponent                 int // the unit is to be taken times ten to this power

	Usages      []Span // as declared; see Usage
	Designators []IndexSpan
	Strings     []IndexSpan
	Collection  *Collection
	At          int // offset of the main item in the descriptor, bytes
}

// Span is a usage, or a range of usages on one page, both ends included.
type Span struct {
	Min, Max Usage
	Also     []Span // further meanings of the same control, given between delimiters, in order of preference
}

// Len is the number of usages in the span.
func (s Span) Len() int { return int(s.Max-s.Min) + 1 }

// IndexSpan is a range of designator or string numbers, both ends included.
type IndexSpan struct{ Min, Max uint32 }

// Bits is the number of bits of the field.
func (f *Field) Bits() int { return f.Size * f.Count }

// IsArray tells whether the field lists the controls that are on, by number, instead of giving each its place.
func (f *Field) IsArray() bool { return f.Flags&(Variable|Constant) == 0 }

// IsFill tells whether the field only fills up: constant bits without a usage.
func (f *Field) IsFill() bool { return f.Flags&Constant != 0 && len(f.Usages) == 0 }

// Signed tells whether the values of the field are in two's complement: when the logical minimum is negative.
func (f *Field) Signed() bool { return f.LogicalMin < 0 }

// Physical gives the range in units that the logical range stands for: the logical range itself where none is given.
// Source: HID 1.11, 6.2.2.7.
func (f *Field) Physical() (lo, hi int32) {
	if f.PhysicalMin == 0 && f.PhysicalMax == 0 {
		return f.LogicalMin, f.LogicalMax
	}
	return f.PhysicalMin, f.PhysicalMax
}

// Usage gives the usage of the i-th control, or of the i-th choice in an array, counted from 0. Where a field has more controls than
// usages, the last usage stands for the rest; an array has no choices beyond its list. Source: HID 1.11, 6.2.2.8.
func (f *Field) Usage(i int) (Usage, bool) {
	if i < 0 || len(f.Usages) == 0 {
		return 0, false
	}
	for _, s := range f.Usages {
		if n := s.Len(); i >= n {
			i -= n
			continue
		}
		return s.Min + Usage(i), true
	}
	if f.IsArray() {
		return 0, false
	}
	return f.Usages[len(f.Usages)-1].Max, true
}

// Choices is the number of usages declared: for an array, how many controls it can tell apart.
func (f *Field) Choices() int {
	n := 0
	for _, s := range f.Usages {
		n += s.Len()
	}
	return n
}

// Report finds the report of a kind and number, or gives nil.
func (d *Descriptor) Report(kind Kind, id uint8) *Report {
	for _, r := range d.Reports {
		if r.Kind == kind && r.ID == id {
			return r
		}
	}
	return nil
}

// HasIDs tells whether reports are sent with their number before them.
func (d *Descriptor) HasIDs() bool { return len(d.Reports) > 0 && d.Reports[0].ID != 0 }
