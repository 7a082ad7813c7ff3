package decode

import (
	"encoding/binary"
	"fmt"
	"strings"
)

// Numbers of the feature reports that our firmware keeps for the bench, on its last interface. Source: firmware/board/usb.c.
const (
	idIdentity = 0xF0
	idRaw      = 0xF1
	idCounters = 0xF3
)

// Identity is what the firmware says of itself.
type Identity struct {
	Version uint16 // 8 bits major, 8 bits minor
	Core    uint8  // interface of the core
	Chip    uint8  // 0 a PC, 1 RP2040, 2 ATmega32U4
	Error   uint8  // why its table is refused; 0 = it is not
	CRC     uint32 // of the table in force
	Raw     int    // bytes of the row of raw bits that it has room for
	Missing uint8  // one bit for each expander that does not answer
	Resets  uint8
}

// ReadIdentity reads report 0xF0, number included. An error for anything else: then it is not our firmware, or one much older.
func ReadIdentity(b []byte) (Identity, error) {
	if len(b) < 20 || b[0] != idIdentity || b[1] != 'K' || b[2] != 'W' {
		return Identity{}, fmt.Errorf("the panel does not say what it is as our firmware does")
	}
	le := binary.LittleEndian
	return Identity{
		Version: le.Uint16(b[3:]), Core: b[5], Chip: b[6], Error: b[7], CRC: le.Uint32(b[11:]), Raw: int(b[15]), Missing: b[18], Resets: b[19],
	}, nil
}

// ReadRaw reads report 0xF1, number included, and gives the row of raw bits.
func ReadRaw(b []byte) ([]byte, error) {
	if len(b) < 2 || b[0] != idRaw {
		return nil, fmt.Errorf("the panel gives no raw contacts")
	}
	return b[1:], nil
}

// Counters are what our firmware counts.
type Counters struct {
	Tick uint16 // us
	Late uint16 // ticks that came late
}

// ReadCounters reads report 0xF3, number included.
func ReadCounters(b []byte) (Counters, error) {
	if len(b) < 5 || b[0] != idCounters {
		return Counters{}, fmt.Errorf("the panel gives no counters")
	}
	return Counters{binary.LittleEndian.Uint16(b[1:]), binary.LittleEndian.Uint16(b[3:])}, nil
}

// Belongs says whether a panel has the table of this file: "" when it has, else a sentence about what it has and what to do.
func (m *Mapping) Belongs(id Identity, file string) string {
	switch {
	case id.Error != 0:
		return "The module refuses its table, so that the panel does nothing. Put the firmware of " + file + " on it: knobwright flash " + file + "."
	case m.crc == 0:
		return "The panel has a table, and " + file + " gives none: it names no module, or not every lead has a pin. Contacts cannot be named."
	case id.CRC != m.crc:
		return fmt.Sprintf("The table in this panel is not the one of %s: its checksum is %08X, and the file gives %08X. Either another file belongs to this panel, or the file was changed since: then put its firmware on the module (knobwright flash %s).", file, id.CRC, m.crc, file)
	}
	return ""
}

// Silent names the expanders that do not answer, by their place in the table from 0.
func (id Identity) Silent() []int {
	var out []int
	for i := range 8 {
		if id.Missing>>i&1 != 0 {
			out = append(out, i)
		}
	}
	return out
}

// String says it in a line.
func (id Identity) String() string {
	chip := map[uint8]string{0: "simulated", 1: "RP2040", 2: "ATmega32U4"}[id.Chip]
	if chip == "" {
		chip = fmt.Sprintf("chip %d", id.Chip)
	}
	return strings.TrimSpace(fmt.Sprintf("firmware %d.%d on %s, table %08X", id.Version>>8, id.Version&255, chip, id.CRC))
}
