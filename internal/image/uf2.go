package image

import (
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"sort"
)

// Sizes of the UF2 format and the bytes by which its blocks are known. Source: UF2 specification, file format.
const (
	BlockSize  = 512
	MaxPayload = 476
	Payload    = 256 // of the blocks that WriteUF2 writes: right for every chip

	magicStart0 = 0x0A324655
	magicStart1 = 0x9E5D5157
	magicEnd    = 0x0AB16F30
)

// Flag is a bit of a block's flags. Source: UF2 specification, flags.
type Flag uint32

// The flags.
const (
	NotMainFlash  Flag = 0x00000001 // a comment, not to be written
	FileContainer Flag = 0x00001000 // part of a file of a file system
	HasFamily     Flag = 0x00002000 // the last header field is the family
	HasMD5        Flag = 0x00004000
	HasTags       Flag = 0x00008000
)

// Family names the chips that a block is for. Source: list of UF2 families.
type Family uint32

// Families. A block without one has 0.
const (
	RP2040         Family = 0xE48BFF56
	RP2XXXAbsolute Family = 0xE48BFF57
	RP2XXXData     Family = 0xE48BFF58
	RP2350ArmS     Family = 0xE48BFF59
	RP2350RISCV    Family = 0xE48BFF5A
	RP2350ArmNS    Family = 0xE48BFF5B
	ATmega32       Family = 0x16573617
)

// String names the family, or gives its number.
func (f Family) String() string {
	switch f {
	case 0:
		return "no family"
	case RP2040:
		return "RP2040"
	case RP2XXXAbsolute:
		return "RP2XXX_ABSOLUTE"
	case RP2XXXData:
		return "RP2XXX_DATA"
	case RP2350ArmS:
		return "RP2350_ARM_S"
	case RP2350RISCV:
		return "RP2350_RISCV"
	case RP2350ArmNS:
		return "RP2350_ARM_NS"
	case ATmega32:
		return "ATmega32"
	default:
		return fmt.Sprintf("family 0x%08X", uint32(f))
	}
}

// Tag is a piece of information after the payload of a block. Source: UF2 specification, extension tags.
type Tag struct {
	Type uint32 // of 24 bits
	Data []byte
}

// Types of tags.
const (
	TagVersion     uint32 = 0x9FC7BC // text: version of the firmware
	TagDevice      uint32 = 0x650D9D // text: the device that it is for
	TagPageSize    uint32 = 0x0BE9F7
	TagSHA2        uint32 = 0xB46DB0
	TagDeviceTypes uint32 = 0xC8A729
)

// Block is one block of a UF2 file.
type Block struct {
	Flags    Flag
	Addr     uint32
	Number   uint32 // from 0
	Total    uint32 // of the blocks of this family in the file
	Family   Family // 0 unless HasFamily is set
	FileSize uint32 // 0 if HasFamily is set
	Data     []byte // the payload
	Tags     []Tag
}

// UF2 is what a UF2 file says, block by block.
type UF2 struct {
	Blocks []Block
}

// UF2Options say for what chip a file is written.
type UF2Options struct {
	Family Family
	Sector int  // bytes that the chip erases at once: 4096 for RP2040. A multiple of 256; 0 for 256
	Fill   byte // for the bytes of a sector that the image does not hold; 0xFF is what erased flash reads as
	Tags   []Tag
}

// WriteUF2 writes an image as a UF2 file: blocks of 256 bytes in order of address, every sector that holds a byte of the image in full,
// the rest of it filled up. So each run of Sector/256 block numbers addresses one sector, which the boot ROM of RP2040 needs: it
// erases by block number, not by address. Source: RP2040 datasheet, erratum RP2040-E14, and issue 19 of the boot ROM's source.
func WriteUF2(m Image, o UF2Options) ([]byte, error) {
	sector := o.Sector
	if sector == 0 {
		sector = Payload
	}
	if sector < Payload || sector%Payload != 0 || sector > 1<<20 {
		return nil, fmt.Errorf("sectors of %d bytes; a multiple of %d is wanted", sector, Payload)
	}
	tags, err := tagBytes(o.Tags)
	if err != nil {
		return nil, err
	}
	var out []byte
	if len(m.runs) == 0 {
		return nil, errors.New("the image is empty")
	}
	starts := m.sectors(uint64(sector))
	total := uint64(len(starts)) * uint64(sector/Payload)
	if total > 1<<20 {
		return nil, fmt.Errorf("%d blocks make a file of more than 512 MiB", total)
	}
	number := uint32(0)
	for _, start := range starts {
		page := m.filled(start, sector, o.Fill)
		for at := 0; at < sector; at += Payload {
			b := Block{
				Addr: uint32(start) + uint32(at), Number: number, Total: uint32(total), Family: o.Family, Data: page[at : at+Payload],
			}
			if o.Family != 0 {
				b.Flags |= HasFamily
			}
			if len(tags) > 0 {
				b.Flags |= HasTags
			}
			out = append(out, b.bytes(tags)...)
			number++
		}
	}
	return out, nil
}

// sectors lists the starts of the sectors that hold a byte of the image.
func (m Image) sectors(size uint64) []uint64 {
	var out []uint64
	for _, r := range m.runs {
		for s := uint64(r.Addr) / size * size; s < r.end(); s += size {
			if n := len(out); n == 0 || out[n-1] != s {
				out = append(out, s)
			}
		}
	}
	return out
}

// filled gives size bytes from start on, with fill where the image has none.
func (m Image) filled(start uint64, size int, fill byte) []byte {
	out := slices.Repeat([]byte{fill}, size)
	for _, r := range m.runs {
		lo, hi := max(start, uint64(r.Addr)), min(start+uint64(size), r.end())
		if lo < hi {
			copy(out[lo-start:hi-start], r.Data[lo-uint64(r.Addr):])
		}
	}
	return out
}

// bytes writes a block; tags stand after the payload.
func (b Block) bytes(tags []byte) []byte {
	out := make([]byte, BlockSize)
	put := func(at int, v uint32) { binary.LittleEndian.PutUint32(out[at:], v) }
	put(0, magicStart0)
	put(4, magicStart1)
	put(8, uint32(b.Flags))
	put(12, b.Addr)
	put(16, uint32(len(b.Data)))
	put(20, b.Number)
	put(24, b.Total)
	if b.Flags&HasFamily != 0 {
		put(28, uint32(b.Family))
	} else {
		put(28, b.FileSize)
	}
	copy(out[32:], b.Data) // behind it zeros, as the format's table of fields has it
	copy(out[32+len(b.Data):508], tags)
	put(508, magicEnd)
	return out
}

// tagBytes writes tags one after the other, each from a multiple of four bytes, and the mark of the end.
func tagBytes(tags []Tag) ([]byte, error) {
	var out []byte
	for _, t := range tags {
		n := 4 + len(t.Data)
		if t.Type > 0xFFFFFE || t.Type == 0 || n >= 255 {
			return nil, fmt.Errorf("a tag of type 0x%X and %d bytes; types are 1 to 0xFFFFFE, and 250 bytes are the most", t.Type, len(t.Data))
		}
		out = append(out, byte(n), byte(t.Type), byte(t.Type>>8), byte(t.Type>>16))
		out = append(out, t.Data...)
		for len(out)%4 != 0 {
			out = append(out, 0)
		}
	}
	if len(out) > 0 {
		out = append(out, 0xFF, 0xFF, 0xFF, 0xFF)
	}
	if len(out) > MaxPayload-Payload {
		return nil, fmt.Errorf("the tags need %d bytes; %d are free beside the payload", len(out), MaxPayload-Payload)
	}
	return out, nil
}

// ReadUF2 reads a UF2 file block by block. It is an *Error when the file is not made of whole blocks, when a block lacks one of its
// marks, or when payload or tags do not fit into it. What the blocks say together is judged by UF2.Check.
func ReadUF2(file []byte) (UF2, error) {
	var u UF2
	if len(file) == 0 {
		return u, fail("block", 0, "the file is empty")
	}
	if n := len(file) % BlockSize; n != 0 {
		return u, fail("block", len(file)/BlockSize, "the file ends after %d of the block's %d bytes", n, BlockSize)
	}
	for i := 0; i*BlockSize < len(file); i++ {
		b, err := readBlock(i, file[i*BlockSize:(i+1)*BlockSize])
		if err != nil {
			return u, err
		}
		u.Blocks = append(u.Blocks, b)
	}
	return u, nil
}

func readBlock(i int, raw []byte) (Block, error) {
	get := func(at int) uint32 { return binary.LittleEndian.Uint32(raw[at:]) }
	for _, m := range []struct {
		at   int
		want uint32
	}{{0, magicStart0}, {4, magicStart1}, {508, magicEnd}} {
		if got := get(m.at); got != m.want {
			return Block{}, fail("block", i, "byte %d holds 0x%08X, not the mark 0x%08X of a UF2 block", m.at, got, m.want)
		}
	}
	b := Block{Flags: Flag(get(8)), Addr: get(12), Number: get(20), Total: get(24)}
	n := get(16)
	if n > MaxPayload {
		return b, fail("block", i, "a payload of %d bytes; a block has room for %d", n, MaxPayload)
	}
	if b.Flags&HasFamily != 0 {
		b.Family = Family(get(28))
	} else {
		b.FileSize = get(28)
	}
	b.Data = slices.Clone(raw[32 : 32+n])
	if b.Flags&HasTags == 0 || b.Flags&FileContainer != 0 {
		return b, nil
	}
	rest := raw[32+n : 508]
	if b.Flags&HasMD5 != 0 {
		rest = rest[:max(0, len(rest)-24)]
	}
	var err error
	b.Tags, err = readTags(i, rest)
	return b, err
}

// readTags reads tags up to the mark of the end or of the room for them.
func readTags(i int, rest []byte) ([]Tag, error) {
	var tags []Tag
	for len(rest) >= 4 {
		n := int(rest[0])
		kind := binary.LittleEndian.Uint32(rest) >> 8
		if n == 0xFF && kind == 0xFFFFFF || n == 0 && kind == 0 {
			return tags, nil
		}
		if n < 4 || n > len(rest) {
			return tags, fail("block", i, "a tag of %d bytes, where %d are left", n, len(rest))
		}
		tags = append(tags, Tag{Type: kind, Data: slices.Clone(rest[4:n])})
		rest = rest[min(len(rest), (n+3)/4*4):]
	}
	return tags, nil
}

// flash gives the blocks that a chip of the family writes to its flash, in order of number.
func (u UF2) flash(family Family) []Block {
	var out []Block
	for _, b := range u.Blocks {
		if b.Flags&(NotMainFlash|FileContainer) == 0 && b.Family == family && len(b.Data) > 0 {
			out = append(out, b)
		}
	}
	sort.SliceStable(out, func(i, k int) bool { return out[i].Number < out[k].Number })
	return out
}

// Image gives what the blocks of a family write to flash. Overlapping blocks are an error.
func (u UF2) Image(family Family) (Image, error) {
	var pieces []Piece
	for _, b := range u.flash(family) {
		pieces = append(pieces, Piece{Name: fmt.Sprintf("block %d", b.Number), Addr: b.Addr, Data: b.Data})
	}
	return Place(pieces...)
}
