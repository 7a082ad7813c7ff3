package rig

import (
	"encoding/binary"
	"fmt"

	"knobwright/firmware"
)

// Identity is what the firmware says of itself to the bench: feature report 0xF0.
type Identity struct {
	Version   uint16
	Interface uint8
	Chip      firmware.Chip
	Error     uint8 // why the table is refused; 0 when it is not
	Section   uint8
	Record    uint16
	CRC       uint32 // of the table in force
	Missing   uint16 // one bit for each expander that does not answer
	Resets    uint8  // bus resets since the start
}

// ReadIdentity reads the report, number included.
func ReadIdentity(b []byte) (Identity, error) {
	if len(b) != 21 || b[0] != 0xF0 || b[1] != 'K' || b[2] != 'W' {
		return Identity{}, fmt.Errorf("no identity: %X", b)
	}
	le := binary.LittleEndian
	return Identity{
		Version: le.Uint16(b[3:]), Interface: b[5], Chip: firmware.Chip(b[6]), Error: b[7], Section: b[8], Record: le.Uint16(b[9:]),
		CRC: le.Uint32(b[11:]), Missing: uint16(b[18]) | uint16(b[20])<<8, Resets: b[19],
	}, nil
}

var refusals = []string{
	1: "there is no table", 2: "the table is of a version that this core does not know", 3: "the table is for another chip",
	4: "the table's length is wrong", 5: "the table is damaged: its checksum is wrong", 6: "the table has a section that this core does not know",
	7: "the table asks for more than this core has room for", 8: "the table has a field that makes no sense",
}

// Refusal is why the table was refused, or nil.
func (i Identity) Refusal() error {
	switch {
	case i.Error == 0:
		return nil
	case int(i.Error) < len(refusals):
		return fmt.Errorf("%s (section 0x%02X, record %d)", refusals[i.Error], i.Section, i.Record)
	}
	return fmt.Errorf("the table is refused: %d (section 0x%02X, record %d)", i.Error, i.Section, i.Record)
}
