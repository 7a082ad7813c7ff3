package sim

import (
	"encoding/binary"
	"errors"
	"slices"

	core "knobwright/firmware"
)

// table is what the module's table says of its pins.
type table struct {
	crc     uint32
	chip    core.Chip
	raw     int // bytes of the row of raw bits
	direct  []core.DirectPin
	matrix  *core.Matrix
	chains  []core.Chain
	expand  []core.Expander
	muxes   []core.Mux
	analog  []core.Analog
	ladders []core.Ladder
	lamps   []core.LampPin
}

var errTable = errors.New("the table cannot be read")

// readTable reads the sections of a table that speak of pins. Source of the layout: firmware/board/kwb.h.
func readTable(b []byte) (*table, error) {
	le := binary.LittleEndian
	if len(b) < 20 || len(b) < 20+6*int(b[18]) {
		return nil, errTable
	}
	sections := map[uint8][][]byte{}
	for i := range int(b[18]) {
		e := b[20+6*i:]
		stride, n, at := int(e[1]), int(le.Uint16(e[2:])), int(le.Uint16(e[4:]))
		if at+stride*n > len(b) {
			return nil, errTable
		}
		for k := range n {
			sections[e[0]] = append(sections[e[0]], b[at+k*stride:at+(k+1)*stride])
		}
	}
	t := &table{crc: le.Uint32(b[4:]), chip: core.Chip(b[10])}
	most := 0
	upTo := func(n int) { most = max(most, n) }
	for _, r := range sections[0x30] {
		t.direct = append(t.direct, core.DirectPin{Raw: r[0], Pin: r[1], PullUp: r[2]&1 != 0, Often: r[2]&2 != 0})
		upTo(int(r[0]) + 1)
	}
	for _, r := range sections[0x31] {
		m := &core.Matrix{Raw: r[0]}
		for _, x := range sections[0x32] {
			m.Rows = append(m.Rows, x[0])
		}
		for _, x := range sections[0x33] {
			m.Columns = append(m.Columns, x[0])
		}
		t.matrix = m
		upTo(int(r[0]) + len(m.Rows)*len(m.Columns))
	}
	for _, r := range sections[0x34] {
		t.chains = append(t.chains, core.Chain{Raw: r[0], Bits: r[1], Load: r[2], Clock: r[3], Data: r[4], Inverted: r[5]&1 != 0})
		upTo(int(r[0]) + int(r[1]))
	}
	for _, r := range sections[0x35] {
		t.expand = append(t.expand, core.Expander{Raw: r[0], Address: r[1], Data: r[2], Clock: r[3], Inputs: le.Uint16(r[4:]), FirstLamp: r[6]})
		upTo(int(r[0]) + 16)
	}
	for _, r := range sections[0x36] {
		t.muxes = append(t.muxes, core.Mux{Channel: r[0], Select: [3]uint8{r[1], r[2], r[3]}})
	}
	for _, r := range sections[0x37] {
		t.analog = append(t.analog, core.Analog{Axis: r[0], Channel: r[1], Mux: r[2], Line: r[3]})
	}
	for _, r := range sections[0x38] {
		l := core.Ladder{Channel: r[0], Raw: r[1]}
		for k := range int(r[2]) {
			if int(r[3])+k >= len(sections[0x39]) {
				return nil, errTable
			}
			l.Limits = append(l.Limits, le.Uint16(sections[0x39][int(r[3])+k]))
		}
		t.ladders = append(t.ladders, l)
		upTo(int(r[1]) + int(r[2]))
	}
	for _, r := range sections[0x3A] {
		t.lamps = append(t.lamps, core.LampPin{Pin: r[0], Lamp: r[1], Low: r[2]&1 != 0})
	}
	for _, r := range sections[0x82] {
		upTo(int(le.Uint16(r)) + 1)
	}
	t.raw = (most + 7) / 8
	return t, nil
}

// foreign is the table of a panel that is much the same, with its contacts in another order: what is in the module when the image of
// another panel was put on it. Nil when the table has nothing whose order could differ.
func foreign(b []byte) []byte {
	out := slices.Clone(b)
	le := binary.LittleEndian
	for _, want := range []uint8{0x30, 0x33, 0x34} { // direct pins, columns, chains
		for i := range int(b[18]) {
			e := b[20+6*i:]
			stride, n, at := int(e[1]), int(le.Uint16(e[2:])), int(le.Uint16(e[4:]))
			if e[0] != want || n == 0 {
				continue
			}
			if want == 0x34 {
				out[at+5] ^= 1 // closed reads as open
			} else if n == 1 {
				continue
			}
			for k := range n { // the first byte: the raw bit of a pin, or the pin of a column
				out[at+k*stride] = b[at+(k+1)%n*stride]
			}
			core.Seal(out)
			return out
		}
	}
	return nil
}
