package image

import (
	"bytes"
	"encoding/hex"
	"errors"
	"fmt"
	"slices"
	"sort"
	"strings"
)

// Record types of Intel HEX. Source: Intel Hexadecimal Object File Format Specification, revision A.
const (
	recData     = 0x00
	recEnd      = 0x01
	recSegment  = 0x02 // extended segment address: bits 4 to 19 of the base
	recStartSeg = 0x03 // CS and IP to start at
	recLinear   = 0x04 // extended linear address: bits 16 to 31 of the base
	recStartLin = 0x05 // EIP to start at
)

// HEXOptions say how a file is written.
type HEXOptions struct {
	Width    int     // data bytes of a line, 1 to 255; 0 for 16, which every loader takes
	Segments bool    // addresses beyond 64 KiB by segments, up to 1 MiB, for old loaders; else linear
	Start    *uint32 // address to start at, if one is to be said (record 05)
}

// WriteHEX writes an image as an Intel HEX file: lines in order of address, none across a border of 64 KiB, address records only where
// the upper part of the address changes, line ends of carriage return and newline.
func WriteHEX(m Image, o HEXOptions) ([]byte, error) {
	width := o.Width
	if width == 0 {
		width = 16
	}
	if width < 1 || width > 255 {
		return nil, fmt.Errorf("lines of %d bytes; 1 to 255 can be", width)
	}
	if len(m.runs) == 0 {
		return nil, errors.New("the image is empty")
	}
	var out bytes.Buffer
	upper := uint32(0)
	for _, r := range m.runs {
		if o.Segments && r.end() > 1<<20 {
			return nil, fmt.Errorf("0x%X is beyond the 1 MiB that segments reach", r.end()-1)
		}
		for at := 0; at < len(r.Data); {
			addr := r.Addr + uint32(at)
			if addr>>16 != upper {
				upper = addr >> 16
				if o.Segments {
					out.WriteString(record(recSegment, 0, []byte{byte(upper << 4), 0}))
				} else {
					out.WriteString(record(recLinear, 0, []byte{byte(upper >> 8), byte(upper)}))
				}
			}
			n := min(width, len(r.Data)-at, 1<<16-int(addr&0xFFFF))
			out.WriteString(record(recData, uint16(addr), r.Data[at:at+n]))
			at += n
		}
	}
	if s := o.Start; s != nil {
		out.WriteString(record(recStartLin, 0, []byte{byte(*s >> 24), byte(*s >> 16), byte(*s >> 8), byte(*s)}))
	}
	out.WriteString(record(recEnd, 0, nil))
	return out.Bytes(), nil
}

// record writes a line: mark, length, address, type, data, and the byte that makes the sum of all bytes 0.
func record(kind byte, addr uint16, data []byte) string {
	raw := append([]byte{byte(len(data)), byte(addr >> 8), byte(addr), kind}, data...)
	return ":" + strings.ToUpper(hex.EncodeToString(append(raw, -sum(raw)))) + "\r\n"
}

func sum(raw []byte) byte {
	var s byte
	for _, b := range raw {
		s += b
	}
	return s
}

// HEX is what an Intel HEX file says.
type HEX struct {
	Image        Image
	StartLinear  *uint32 // of record 05, if there is one
	StartSegment *uint32 // of record 03: CS in the upper half, IP in the lower
}

// hexReader holds what carries over from line to line.
type hexReader struct {
	out       HEX
	base      uint32
	segmented bool // within a segment, offsets roll over at 64 KiB
	pieces    []hexPiece
	done      bool
}

type hexPiece struct {
	Piece
	line int
}

// ReadHEX reads an Intel HEX file. Letters may be small, lines may end in newline or carriage return and newline, and empty lines are
// passed over; anything else that is not the format is an *Error with the number of the line, counted from 1, and so are bytes given
// twice, lines after the end record, and a file without one.
func ReadHEX(file []byte) (HEX, error) {
	var r hexReader
	line := 0
	for text := range bytes.Lines(file) {
		line++
		text = bytes.TrimRight(text, "\r\n \t")
		if len(text) == 0 {
			continue
		}
		if r.done {
			return HEX{}, fail("line", line, "there is more after the end record")
		}
		kind, addr, data, err := readRecord(line, text)
		if err != nil {
			return HEX{}, err
		}
		if err := r.take(line, kind, addr, data); err != nil {
			return HEX{}, err
		}
	}
	if !r.done {
		return HEX{}, fail("line", line+1, "the file stops without an end record (:00000001FF); it may be cut off")
	}
	return r.finish()
}

// readRecord reads a line without its line end.
func readRecord(line int, text []byte) (kind byte, addr uint16, data []byte, err error) {
	if text[0] != ':' {
		return 0, 0, nil, fail("line", line, "it begins with %q, not with a colon", rune(text[0]))
	}
	raw := make([]byte, hex.DecodedLen(len(text)-1))
	if _, err := hex.Decode(raw, text[1:]); err != nil {
		if len(text)%2 == 0 {
			return 0, 0, nil, fail("line", line, "an odd number of digits; one is missing or too many")
		}
		return 0, 0, nil, fail("line", line, "something other than hexadecimal digits stands after the colon")
	}
	if len(raw) < 5 {
		return 0, 0, nil, fail("line", line, "%d bytes; the shortest record has 5", len(raw))
	}
	if want := int(raw[0]) + 5; len(raw) != want {
		return 0, 0, nil, fail("line", line, "%d bytes, where its length byte makes it %d", len(raw), want)
	}
	n := len(raw) - 1
	if want := -sum(raw[:n]); raw[n] != want {
		return 0, 0, nil, fail("line", line, "the checksum is 0x%02X; the bytes before it make 0x%02X", raw[n], want)
	}
	return raw[3], uint16(raw[1])<<8 | uint16(raw[2]), raw[4:n], nil
}

// take carries out a record.
func (r *hexReader) take(line int, kind byte, addr uint16, data []byte) error {
	lengths := map[byte]int{recEnd: 0, recSegment: 2, recStartSeg: 4, recLinear: 2, recStartLin: 4}
	if want, ok := lengths[kind]; ok && len(data) != want {
		return fail("line", line, "a record of type %02X carries %d bytes, not %d", kind, want, len(data))
	}
	word := uint32(0)
	for _, b := range data[:min(4, len(data))] {
		word = word<<8 | uint32(b)
	}
	switch kind {
	case recData:
		r.data(line, addr, data)
	case recEnd:
		r.done = true
	case recSegment:
		r.base, r.segmented = word<<4, true
	case recLinear:
		r.base, r.segmented = word<<16, false
	case recStartSeg:
		if r.out.StartSegment != nil {
			return fail("line", line, "a second start address")
		}
		r.out.StartSegment = &word
	case recStartLin:
		if r.out.StartLinear != nil {
			return fail("line", line, "a second start address")
		}
		r.out.StartLinear = &word
	default:
		return fail("line", line, "record type %02X; 00 to 05 are known", kind)
	}
	return nil
}

// data adds the bytes of a line. Where offsets roll over, the bytes beyond the border go to the start of the segment, or, with linear
// addresses at the very end of the memory, to its beginning. Source: the specification's formulas for types 02 and 04.
func (r *hexReader) data(line int, addr uint16, data []byte) {
	if len(data) == 0 {
		return
	}
	first := data
	border := uint64(1) << 32
	start := r.base + uint32(addr)
	back := uint32(0)
	if r.segmented {
		border, back = uint64(r.base)+1<<16, r.base
	}
	if left := border - uint64(start); uint64(len(data)) > left {
		first = data[:left]
		r.pieces = append(r.pieces, hexPiece{Piece{Addr: back, Data: slices.Clone(data[left:])}, line})
	}
	r.pieces = append(r.pieces, hexPiece{Piece{Addr: start, Data: slices.Clone(first)}, line})
}

// finish puts the lines together.
func (r *hexReader) finish() (HEX, error) {
	sort.SliceStable(r.pieces, func(i, k int) bool { return r.pieces[i].Addr < r.pieces[k].Addr })
	var all []Piece
	for i, p := range r.pieces {
		if i > 0 && r.pieces[i-1].end() > uint64(p.Addr) {
			a, b := r.pieces[i-1].line, p.line
			return HEX{}, fail("line", max(a, b), "it gives the byte at 0x%X, which line %d gives too", p.Addr, min(a, b))
		}
		all = append(all, p.Piece)
	}
	m, err := Place(all...)
	if err != nil {
		return HEX{}, fmt.Errorf("the lines of the file: %w", err)
	}
	r.out.Image = m
	return r.out, nil
}
