package hid

import (
	"fmt"
)

// Type is the class of a short item: main items make fields and collections, global items hold until changed, local items hold for
// the next main item. Source: HID 1.11, 6.2.2.2.
type Type uint8

// The item types.
const (
	Main   Type = 0
	Global Type = 1
	Local  Type = 2
	Long   Type = 3 // reserved for long items
)

// Kind is an item's type and tag as they stand in the prefix, with the size bits cleared: 0x80 is Input.
// Source: HID 1.11, 6.2.2.4 (main), 6.2.2.7 (global), 6.2.2.8 (local), 6.2.2.3 (long).
type Kind uint8

// The items of HID 1.11.
const (
	Input         Kind = 0x80
	Output        Kind = 0x90
	Feature       Kind = 0xB0
	Collect       Kind = 0xA0
	EndCollection Kind = 0xC0

	UsagePage       Kind = 0x04
	LogicalMinimum  Kind = 0x14
	LogicalMaximum  Kind = 0x24
	PhysicalMinimum Kind = 0x34
	PhysicalMaximum Kind = 0x44
	UnitExponent    Kind = 0x54
	UnitItem        Kind = 0x64
	ReportSize      Kind = 0x74
	ReportID        Kind = 0x84
	ReportCount     Kind = 0x94
	Push            Kind = 0xA4
	Pop             Kind = 0xB4

	UsageItem         Kind = 0x08
	UsageMinimum      Kind = 0x18
	UsageMaximum      Kind = 0x28
	DesignatorIndex   Kind = 0x38
	DesignatorMinimum Kind = 0x48
	DesignatorMaximum Kind = 0x58
	StringIndex       Kind = 0x78
	StringMinimum     Kind = 0x88
	StringMaximum     Kind = 0x98
	Delimiter         Kind = 0xA8

	// LongItem has its data length and its tag in the two bytes after the prefix. HID 1.11 defines no long items.
	LongItem Kind = 0xFC
)

const longPrefix = 0xFE

var kindNames = map[Kind]string{
	Input: "Input", Output: "Output", Feature: "Feature", Collect: "Collection", EndCollection: "End Collection",
	UsagePage: "Usage Page", LogicalMinimum: "Logical Minimum", LogicalMaximum: "Logical Maximum",
	PhysicalMinimum: "Physical Minimum", PhysicalMaximum: "Physical Maximum", UnitExponent: "Unit Exponent", UnitItem: "Unit",
	ReportSize: "Report Size", ReportID: "Report ID", ReportCount: "Report Count", Push: "Push", Pop: "Pop",
	UsageItem: "Usage", UsageMinimum: "Usage Minimum", UsageMaximum: "Usage Maximum",
	DesignatorIndex: "Designator Index", DesignatorMinimum: "Designator Minimum", DesignatorMaximum: "Designator Maximum",
	StringIndex: "String Index", StringMinimum: "String Minimum", StringMaximum: "String Maximum",
	Delimiter: "Delimiter", LongItem: "Long Item",
}

// String names the item as the standard does.
func (k Kind) String() string {
	if s, ok := kindNames[k]; ok {
		return s
	}
	return fmt.Sprintf("Reserved 0x%02X", uint8(k))
}

// Type gives the class of the item.
func (k Kind) Type() Type { return Type(k >> 2 & 3) }

// signed tells which items hold signed numbers.
func (k Kind) signed() bool {
	switch k {
	case LogicalMinimum, LogicalMaximum, PhysicalMinimum, PhysicalMaximum, UnitExponent:
		return true
	default:
		return false
	}
}

// Item is one item of a descriptor. Data has 0, 1, 2 or 4 bytes in a short item, up to 255 in a long one.
type Item struct {
	Kind   Kind
	Tag    uint8 // of a long item; else 0
	Data   []byte
	Offset int // of the prefix, in bytes from the start of the descriptor
}

// Uint reads the data as an unsigned number, lowest byte first. No data reads as 0; of a long item, the first four bytes count.
func (i Item) Uint() uint32 {
	var v uint32
	for n, b := range i.Data[:min(4, len(i.Data))] {
		v |= uint32(b) << (8 * n)
	}
	return v
}

// Int reads the data as a signed number of its own width: one byte 0xFF is -1.
func (i Item) Int() int32 {
	switch v := i.Uint(); len(i.Data) {
	case 1:
		return int32(int8(v))
	case 2:
		return int32(int16(v))
	default:
		return int32(v)
	}
}

// Append adds the bytes of the item to a descriptor. Data of a length that the standard has no code for is an error.
func (i Item) Append(desc []byte) ([]byte, error) {
	if i.Kind == LongItem {
		if len(i.Data) > 255 {
			return desc, fmt.Errorf("a long item of %d bytes, of at most 255", len(i.Data))
		}
		desc = append(desc, longPrefix, byte(len(i.Data)), i.Tag)
		return append(desc, i.Data...), nil
	}
	code := map[int]byte{0: 0, 1: 1, 2: 2, 4: 3}
	c, ok := code[len(i.Data)]
	if !ok || i.Kind&3 != 0 || i.Kind.Type() == Long {
		return desc, fmt.Errorf("an item %s of %d bytes cannot be written; 0, 1, 2 or 4 can", i.Kind, len(i.Data))
	}
	return append(append(desc, byte(i.Kind)|c), i.Data...), nil
}

// ParseError says where in a descriptor something is wrong, and what.
type ParseError struct {
	Offset int    // of the item, in bytes from the start
	Text   string // what is wrong
}

// Error gives the offset and the text.
func (e *ParseError) Error() string { return fmt.Sprintf("byte %d: %s", e.Offset, e.Text) }

func fail(at int, format string, args ...any) error {
	return &ParseError{Offset: at, Text: fmt.Sprintf(format, args...)}
}

// Items cuts a descriptor into items. Where an item is cut short, it gives the items before it and a *ParseError. The Data of the
// items are parts of desc, not copies.
func Items(desc []byte) ([]Item, error) {
	var items []Item
	for at := 0; at < len(desc); {
		prefix := desc[at]
		if prefix == longPrefix {
			if at+3 > len(desc) || at+3+int(desc[at+1]) > len(desc) {
				return items, fail(at, "the descriptor ends inside a long item")
			}
			n := int(desc[at+1])
			items = append(items, Item{Kind: LongItem, Tag: desc[at+2], Data: desc[at+3 : at+3+n : at+3+n], Offset: at})
			at += 3 + n
			continue
		}
		n := int([4]uint8{0, 1, 2, 4}[prefix&3])
		kind := Kind(prefix &^ 3)
		if at+1+n > len(desc) {
			return items, fail(at, "the descriptor ends inside the item %s: %d of %d bytes of data", kind, len(desc)-at-1, n)
		}
		if kind.Type() == Long {
			return items, fail(at, "prefix 0x%02X is of the reserved type", prefix)
		}
		items = append(items, Item{Kind: kind, Data: desc[at+1 : at+1+n : at+1+n], Offset: at})
		at += 1 + n
	}
	return items, nil
}

// Bytes writes items one after the other: what Items cut, it joins to the same bytes.
func Bytes(items []Item) ([]byte, error) {
	var out []byte
	for n, i := range items {
		var err error
		if out, err = i.Append(out); err != nil {
			return nil, fmt.Errorf("item %d: %w", n, err)
		}
	}
	return out, nil
}
