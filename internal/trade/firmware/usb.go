package firmware

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"

	core "knobwright/firmware"

	"knobwright/internal/finding"
	"knobwright/internal/hid"
)

// The number that a panel has while its file names none: a vendor and a product that are kept for trials at the maker's own bench.
// Source: the register of open product numbers under vendor 0x1209, product 0x0001, "test".
const (
	testVendor  = 0x1209
	testProduct = 0x0001
)

// mostString is the most UTF-16 units of a string descriptor: its length stands in one byte. Source: USB 2.0, 9.6.7.
const mostString = 126

// Numbers of the bench's reports: firmware/board/usb.c.
const (
	benchIdentity = 0xF0
	benchRaw      = 0xF1
	benchCommand  = 0xF2
	benchCounters = 0xF3
)

// name finds how the panel names itself, and says what is wrong with it.
func (w *worker) name() {
	u, d := w.p.USB, &w.r.Device
	d.Vendor, d.Product, d.TestID = testVendor, testProduct, true
	end := func(word string) finding.End {
		return finding.End{Name: "usb", Path: "usb" + word, Pos: w.p.Pos("usb" + word)}
	}
	vendor, ok1 := number16(u.Vendor)
	product, ok2 := number16(u.Product)
	switch {
	case u.Vendor == "" && u.Product == "":
	case !ok1 || !ok2 || vendor == 0:
		word := ".vendor"
		if ok1 && vendor != 0 {
			word = ".product"
		}
		if w.p.Pos("usb"+word).Line == 0 {
			word = ""
		}
		w.found(ruleID, finding.Finding{
			Head: "Vendor and product are both numbers up to 0xFFFF, as in vendor: 0x1209, product: 0x0001.", Body: "Here stand " + quoteOr(u.Vendor) + " and " + quoteOr(u.Product) + "; the ones for trials are taken.",
			Ends: []finding.End{end(word)},
		})
	default:
		d.Vendor, d.Product, d.TestID = vendor, product, vendor == testVendor && product == testProduct
	}
	for _, x := range []struct{ word, text string }{{".vendor", u.Vendor}, {".product", u.Product}} {
		if n, ok := number16(x.text); ok && bareHex(x.text) {
			as := func(text string) finding.Fix {
				return finding.Fix{Say: "Write " + text, Short: x.word[1:] + ": " + text, Edits: []finding.Edit{{Op: finding.Set, Path: "usb" + x.word, Value: text}}}
			}
			w.found(ruleID, finding.Finding{
				Severity: finding.Warn, Head: "The " + x.word[1:] + " number " + x.text + " is read in decimal, as " + fmt.Sprintf("0x%04X", n) + ".",
				Body: "Lists of these numbers leave the 0x out: " + x.text + " in such a list is 0x" + x.text + ". Write it with 0x, whichever you mean.",
				Ends: []finding.End{end(x.word)}, Fixes: []finding.Fix{as("0x" + strings.TrimSpace(x.text)), as(fmt.Sprintf("0x%04X", n))},
			})
		}
	}
	d.Maker, d.Name = tidy(u.Maker), tidy(u.Name)
	if d.Maker == "" {
		d.Maker = "hand-built"
	}
	most := int(w.p.Limits.Value(limitName))
	if d.Name == "" {
		d.Name = shorten(tidy(w.p.Title), most)
	}
	if d.Name == "" {
		d.Name = "Control panel"
	}
	if n := units(d.Name); n > most && u.Name != "" && w.sends() {
		w.found(ruleName, finding.Finding{
			Head: "The name that the computer is told has " + itoa(n) + " characters; older programs show " + itoa(most) + ".", Body: "They cut it there, and two panels may then look alike.", Ends: []finding.End{end(".name")},
			Measure: &finding.Measure{Have: float64(n), Want: float64(most), Sense: finding.AtMost}, Source: w.p.Limits.Source(limitName),
		})
	}
	d.Name, d.Maker = fit(d.Name), fit(d.Maker)
	d.MilliAmp = min(500, max(100, int(math.Ceil(w.w.Power.After/10))*10))
	if d.TestID && w.chip != nil && w.sends() {
		head := fmt.Sprintf("The file names no vendor and product number; those kept for trials are taken, 0x%04X and 0x%04X.", testVendor, testProduct)
		if u.Vendor != "" {
			head = fmt.Sprintf("Vendor 0x%04X and product 0x%04X are kept for trials.", testVendor, testProduct)
		}
		w.found(ruleTestID, finding.Finding{
			Head: head,
			Body: "They do on your own bench. Two panels with them on one computer are told apart by their serial numbers only, and nothing with them may be given away or sold: write usb: {vendor: ..., product: ...} with numbers that are yours.",
			Ends: []finding.End{{Name: "the panel", Path: "usb", Pos: w.p.Pos("usb")}},
		})
	}
}

// units counts as USB does: in UTF-16.
func units(s string) int { return len(utf16.Encode([]rune(s))) }

// shorten takes as many whole words as fit; of a first word that does not, its head.
func shorten(s string, most int) string {
	if units(s) <= most {
		return s
	}
	out := ""
	for _, f := range strings.Fields(s) {
		next := strings.TrimSpace(out + " " + f)
		if units(next) > most {
			break
		}
		out = next
	}
	if out == "" {
		for _, r := range s {
			if units(out+string(r)) > most {
				break
			}
			out += string(r)
		}
	}
	for _, small := range []string{" for a", " for an", " for the", " of a", " of the", " for", " of", " a", " an", " the", " and", " in"} {
		out = strings.TrimSuffix(out, small)
	}
	return strings.TrimRight(out, " ,;:-")
}

func quoteOr(s string) string {
	if s == "" {
		return "none"
	}
	return strconv.Quote(short(s))
}

// number16 reads a number of 16 bits: hexadecimal behind 0x, else decimal, whatever zeros it begins with.
func number16(s string) (uint16, bool) {
	s = strings.ToLower(strings.TrimSpace(s))
	base := 10
	if hex, ok := strings.CutPrefix(s, "0x"); ok {
		s, base = hex, 16
	}
	n, err := strconv.ParseUint(s, base, 16)
	return uint16(n), err == nil
}

// bareHex reports whether a number is written with four digits and without 0x, as these numbers stand in lists: there 1209 is 0x1209, here it
// is 1209 in decimal, which is 0x04B9 and somebody else's.
func bareHex(s string) bool {
	s = strings.TrimSpace(s)
	return len(s) == 4 && strings.Trim(s, "0123456789") == "" && strings.TrimLeft(s, "0") != "" && len(strings.TrimLeft(s, "0")) > 1
}

// tidy makes a text fit for a string descriptor: marks that cannot be seen, a line's end among them, become blanks, and blanks stand alone.
func tidy(s string) string {
	return strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == 0xFFFD || r == '\u2028' || r == '\u2029' {
			return ' '
		}
		return r
	}, s)), " ")
}

// fit cuts a text to what a string descriptor holds.
func fit(s string) string {
	u := utf16.Encode([]rune(s))
	if len(u) <= mostString {
		return s
	}
	u = u[:mostString]
	if utf16.IsSurrogate(rune(u[len(u)-1])) && u[len(u)-1] < 0xDC00 {
		u = u[:len(u)-1]
	}
	return string(utf16.Decode(u))
}

// stringDescriptor writes one. Source: USB 2.0, 9.6.7.
func stringDescriptor(s string) []byte {
	u := utf16.Encode([]rune(s))
	b := []byte{byte(2 + 2*len(u)), 3}
	for _, x := range u {
		b = binary.LittleEndian.AppendUint16(b, x)
	}
	return b
}

// bench is the interface by which the bench looks at a panel: what it is, its raw contacts, and a command, each on request only.
func (w *worker) bench() (Interface, error) {
	raw, desc, err := hid.Build(hid.Vendor{Reports: []hid.VendorReport{
		{Kind: hid.Feature, ID: benchIdentity, Bytes: 20}, {Kind: hid.Feature, ID: benchRaw, Bytes: w.chip.Raw / 8}, {Kind: hid.Feature, ID: benchCommand, Bytes: 4},
		{Kind: hid.Feature, ID: benchCounters, Bytes: 4},
	}})
	return Interface{nameBench, w.layout.interfaces, raw, desc}, err
}

// descriptors writes what the host asks for first. Source: USB 2.0, 9.6; the configuration is hid.Configuration.
func (w *worker) descriptors() error {
	d := &w.r.Device
	le := binary.LittleEndian
	b := []byte{18, 1, 0x00, 0x02, 0, 0, 0, 64}
	b = le.AppendUint16(le.AppendUint16(b, d.Vendor), d.Product)
	d.Device = append(b, 0x00, 0x01, 1, 2, 3, 1)
	const size = 64
	next := 2 // endpoint 1 is that of the controls, also where there are none
	end := func(in bool, number, interval, of int) hid.Endpoint {
		w.scan.board.Endpoints = append(w.scan.board.Endpoints, core.Endpoint{Number: uint8(number), In: in, Interface: uint8(of), Size: size, Bulk: interval == 0})
		return hid.Endpoint{Number: number, In: in, Size: size, Interval: interval}
	}
	give := func() int {
		next++
		return next - 1
	}
	c := hid.Configuration{MilliAmp: d.MilliAmp, Wakes: true}
	for _, x := range w.r.Interfaces {
		var ends []hid.Endpoint
		switch x.Name {
		case nameControls:
			ends = append(ends, end(true, 1, 1, x.Number))
			if slices.ContainsFunc(x.Means.Reports, func(r *hid.Report) bool { return r.Kind == hid.Output }) {
				ends = append(ends, end(false, give(), 1, x.Number))
			}
		case nameKeyboard:
			ends = append(ends, end(true, give(), 1, x.Number))
		case nameBench:
			if m := &w.layout.midi; m.any() {
				out, in := give(), give()
				end(false, out, 0, m.number)
				end(true, in, 0, m.number)
				c.Interfaces = append(c.Interfaces, hid.MIDIInterfaces(m.number-1, out, in)...)
			}
			ends = append(ends, end(true, give(), 10, x.Number))
		}
		c.Interfaces = append(c.Interfaces, hid.HIDInterface(x.Number, len(x.Descriptor), x.Name == nameKeyboard, ends...))
	}
	var err error
	d.Configuration, err = c.Bytes()
	return err
}

// sends reports whether the panel sends anything.
func (w *worker) sends() bool { return len(w.r.Interfaces) > 0 || w.r.MIDI }

// hostSections completes the board's part of the table with what the host is told.
func (w *worker) hostSections(serial string) []core.Section {
	b, d := &w.scan.board, &w.r.Device
	b.Device, b.Configuration = d.Device, d.Configuration
	b.HID = map[int][]byte{}
	for _, x := range w.r.Interfaces {
		b.HID[x.Number] = x.Descriptor
	}
	const english = "\x04\x03\x09\x04" // the one language: English (United States)
	b.Strings = map[int][]byte{0: []byte(english), 1: stringDescriptor(d.Maker), 2: stringDescriptor(d.Name), 3: stringDescriptor(serial)}
	return b.Sections()
}

// serialOf is the serial number of a panel: the checksum of its table with zeros in its place, so that another table is another
// panel to the computer, which keeps what it learnt of each apart.
func serialOf(table []byte) string {
	return fmt.Sprintf("%08X", crc32.ChecksumIEEE(table))
}
