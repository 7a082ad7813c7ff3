package image

import (
	"bytes"
	"fmt"
	"slices"
	"sort"
)

// Piece is bytes at an address of a chip's memory.
type Piece struct {
	Name string // for messages: "core", "table"; may be empty
	Addr uint32
	Data []byte
}

// end is the address after the last byte: up to 1<<32.
func (p Piece) end() uint64 { return uint64(p.Addr) + uint64(len(p.Data)) }

func (p Piece) String() string {
	name := p.Name
	if name == "" {
		name = "piece"
	}
	return fmt.Sprintf("%s at 0x%X to 0x%X", name, p.Addr, p.end()-1)
}

func plural(n uint64, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// Image is what a chip's memory is to hold: runs of bytes with gaps between them. The zero value is empty. Images do not change.
type Image struct {
	runs []Piece // in order of address, apart from each other, none empty, without names
}

// MaxSpan is the longest stretch that Flat gives: 64 MiB, four times what the larger of the chips can address as flash.
const MaxSpan = 64 << 20

// Place puts pieces together. Pieces that touch become one run; pieces that overlap, are empty or reach past the end of a 32-bit
// memory are an error that names them. The bytes are copied.
func Place(pieces ...Piece) (Image, error) {
	sorted := slices.Clone(pieces)
	sort.SliceStable(sorted, func(i, k int) bool { return sorted[i].Addr < sorted[k].Addr })
	var m Image
	for i, p := range sorted {
		if len(p.Data) == 0 {
			return Image{}, fmt.Errorf("the piece %q at 0x%X is empty", p.Name, p.Addr)
		}
		if p.end() > 1<<32 {
			return Image{}, fmt.Errorf("%s reaches past the end of the memory at 0xFFFFFFFF", p)
		}
		if i > 0 && sorted[i-1].end() > uint64(p.Addr) {
			n := min(sorted[i-1].end(), p.end()) - uint64(p.Addr)
			return Image{}, fmt.Errorf("%s and %s overlap: they share %s", sorted[i-1], p, plural(n, "byte"))
		}
		if n := len(m.runs); n > 0 && m.runs[n-1].end() == uint64(p.Addr) {
			m.runs[n-1].Data = append(m.runs[n-1].Data, p.Data...)
		} else {
			m.runs = append(m.runs, Piece{Addr: p.Addr, Data: slices.Clone(p.Data)})
		}
	}
	return m, nil
}

// Runs gives the runs in order of address. They are copies.
func (m Image) Runs() []Piece {
	var out []Piece
	for _, r := range m.runs {
		out = append(out, Piece{Addr: r.Addr, Data: slices.Clone(r.Data)})
	}
	return out
}

// Len is the number of bytes.
func (m Image) Len() int {
	n := 0
	for _, r := range m.runs {
		n += len(r.Data)
	}
	return n
}

// Span gives the lowest address and the highest, both of bytes that are there. False when the image is empty.
func (m Image) Span() (lo, hi uint32, ok bool) {
	if len(m.runs) == 0 {
		return 0, 0, false
	}
	last := m.runs[len(m.runs)-1]
	return m.runs[0].Addr, uint32(last.end() - 1), true
}

// At gives n bytes from an address on; false where one of them is missing.
func (m Image) At(addr uint32, n int) ([]byte, bool) {
	if n < 0 {
		return nil, false
	}
	i := sort.Search(len(m.runs), func(i int) bool { return m.runs[i].end() > uint64(addr) })
	if i == len(m.runs) || addr < m.runs[i].Addr {
		return nil, n == 0
	}
	at := int64(addr - m.runs[i].Addr)
	if at+int64(n) > int64(len(m.runs[i].Data)) {
		return nil, false
	}
	return slices.Clone(m.runs[i].Data[at : at+int64(n)]), true
}

// Flat gives the bytes from the lowest to the highest address as one stretch, gaps filled up: a BIN file and where it belongs. A
// stretch longer than MaxSpan is an error.
func (m Image) Flat(fill byte) (addr uint32, data []byte, err error) {
	lo, hi, ok := m.Span()
	if !ok {
		return 0, nil, nil
	}
	if hi-lo >= MaxSpan {
		return 0, nil, fmt.Errorf("0x%X to 0x%X is a stretch of more than %d MiB", lo, hi, MaxSpan>>20)
	}
	data = bytes.Repeat([]byte{fill}, int(hi-lo)+1)
	for _, r := range m.runs {
		copy(data[r.Addr-lo:], r.Data)
	}
	return lo, data, nil
}

// Equal tells whether two images hold the same bytes at the same addresses.
func (m Image) Equal(o Image) bool {
	return slices.EqualFunc(m.runs, o.runs, func(a, b Piece) bool { return a.Addr == b.Addr && bytes.Equal(a.Data, b.Data) })
}

// Holds tells whether every byte of o is in m, at the same address.
func (m Image) Holds(o Image) bool {
	for _, r := range o.runs {
		got, ok := m.At(r.Addr, len(r.Data))
		if !ok || !bytes.Equal(got, r.Data) {
			return false
		}
	}
	return true
}

// Error says where in a file something is wrong, and what.
type Error struct {
	Unit string // "block" (counted from 0, as UF2 numbers them) or "line" (from 1)
	At   int
	Text string
}

// Error gives place and text.
func (e *Error) Error() string { return fmt.Sprintf("%s %d: %s", e.Unit, e.At, e.Text) }

func fail(unit string, at int, format string, args ...any) error {
	return &Error{Unit: unit, At: at, Text: fmt.Sprintf(format, args...)}
}
