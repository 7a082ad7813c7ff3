package hid

import (
	"fmt"
	"strings"
)

// Flags are the bits of an Input, Output or Feature item. Zero means data, array, absolute, and so on. Source: HID 1.11, 6.2.2.5.
type Flags uint32

// The bits. Each is named for what a 1 means.
const (
	Constant    Flags = 1 << 0 // fixed or filling bits, not data
	Variable    Flags = 1 << 1 // each field one control; else an array that lists the controls that are on
	Relative    Flags = 1 << 2 // a change since the last report; else a position
	Wrap        Flags = 1 << 3 // rolls over from the highest to the lowest value
	NonLinear   Flags = 1 << 4
	NoPreferred Flags = 1 << 5 // does not go back to a rest position by itself
	NullState   Flags = 1 << 6 // may hold a value outside the logical range, which means none
	Volatile    Flags = 1 << 7 // may change without the host (outputs and features only)
	Buffered    Flags = 1 << 8 // a stream of bytes
)

// String lists the flags as the standard's examples do: "Data, Variable, Absolute" and then only what is set.
func (f Flags) String() string {
	pick := func(bit Flags, set, clear string) string {
		if f&bit != 0 {
			return set
		}
		return clear
	}
	words := []string{pick(Constant, "Constant", "Data"), pick(Variable, "Variable", "Array"), pick(Relative, "Relative", "Absolute")}
	for _, w := range []struct {
		bit  Flags
		name string
	}{
		{Wrap, "Wrap"}, {NonLinear, "Non Linear"}, {NoPreferred, "No Preferred"}, {NullState, "Null State"},
		{Volatile, "Volatile"}, {Buffered, "Buffered Bytes"},
	} {
		if f&w.bit != 0 {
			words = append(words, w.name)
		}
	}
	if rest := f &^ 0x1FF; rest != 0 {
		words = append(words, fmt.Sprintf("reserved 0x%X", uint32(rest)))
	}
	return strings.Join(words, ", ")
}

// CollectionKind says what a collection groups. Source: HID 1.11, 6.2.2.6. Kinds from 0x80 up belong to vendors.
type CollectionKind uint8

// The kinds of collections.
const (
	Physical      CollectionKind = 0
	Application   CollectionKind = 1
	Logical       CollectionKind = 2
	ReportGroup   CollectionKind = 3
	NamedArray    CollectionKind = 4
	UsageSwitch   CollectionKind = 5
	UsageModifier CollectionKind = 6
)

// String names the kind.
func (k CollectionKind) String() string {
	names := [...]string{"Physical", "Application", "Logical", "Report", "Named Array", "Usage Switch", "Usage Modifier"}
	switch {
	case int(k) < len(names):
		return names[k]
	case k >= 0x80:
		return fmt.Sprintf("Vendor 0x%02X", uint8(k))
	default:
		return fmt.Sprintf("Reserved 0x%02X", uint8(k))
	}
}

// Unit is the code of the Unit item: the lowest nibble names the system, each further nibble is the signed power of one quantity.
// 0x14 is degrees, 0x11 centimetres. Source: HID 1.11, 6.2.2.7.
type Unit uint32

// Units that hats and axes use.
const (
	NoUnit     Unit = 0
	Degrees    Unit = 0x14
	Radians    Unit = 0x12
	Centimetre Unit = 0x11
)

// String writes the unit: "degrees", "cm^1 s^-1" where powers are not one. Zero is "none".
func (u Unit) String() string {
	if u == 0 {
		return "none"
	}
	bases := map[uint32][6]string{
		1: {"cm", "g", "s", "K", "A", "cd"},
		2: {"radians", "g", "s", "K", "A", "cd"},
		3: {"in", "slug", "s", "degrees F", "A", "cd"},
		4: {"degrees", "slug", "s", "degrees F", "A", "cd"},
	}
	base, ok := bases[uint32(u)&15]
	if !ok {
		return fmt.Sprintf("unit 0x%X", uint32(u))
	}
	var words []string
	for n, name := range base {
		switch p := nibble(uint32(u) >> (4 * (n + 1)) & 15); p {
		case 0:
		case 1:
			words = append(words, name)
		default:
			words = append(words, fmt.Sprintf("%s^%d", name, p))
		}
	}
	if len(words) == 0 || u>>28 != 0 {
		return fmt.Sprintf("unit 0x%X", uint32(u))
	}
	return strings.Join(words, " ")
}

// nibble reads four bits as -8 to 7.
func nibble(v uint32) int {
	v &= 15
	if v >= 8 {
		return int(v) - 16
	}
	return int(v)
}

// exponent reads the data of a Unit Exponent item: the standard's code is a nibble, but whole signed bytes are met as well.
func exponent(i Item) int {
	if v := i.Uint(); v <= 15 {
		return nibble(v)
	}
	return int(i.Int())
}
