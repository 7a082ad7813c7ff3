package firmware

import (
	"bytes"
	"encoding/binary"
	"errors"
)

// Info is what a core's image says of itself: see board/info.h.
type Info struct {
	Chip         Chip
	Interface    uint8 // of the core: a table must not ask for a later one
	Version      uint16
	Table        uint32 // address of the table
	Room         int    // bytes for it
	Start, End   uint32 // where the core lies: from Start on, and before End
	Pins         uint64 // bit n is set when a table may use pin n
	Channels     uint16 // of the converter, likewise
	Raw, Inputs  int
	Pulses       int
	Toggles      int
	Encoders     int
	Axes         int
	Hats         int
	Lamps        int
	Gestures     int
	Macros       int
	Steps        int // of all macros
	Reports      int
	State        int // bytes of all reports together
	Direct       int
	Lines        int // rows, and columns, of the matrix
	Chains       int
	Expanders    int
	Voltages     int
	Muxes        int
	LadderSteps  int
	MaxEndpoints int // besides 0
	Events       int // of MIDI
	Choices      int // values that contacts choose
	Neithers     int
	Interfaces   int // of USB
}

const infoLength = 64

// ReadInfo finds the block in a core's image. It is an error when the image has none, more than one, or a broken one.
func ReadInfo(image []byte) (Info, error) {
	mark := []byte("KWCORE1\x00")
	at := bytes.Index(image, mark)
	if at < 0 || at+infoLength > len(image) {
		return Info{}, errors.New("the image is not a core: it does not say what it is")
	}
	if bytes.Contains(image[at+1:], mark) {
		return Info{}, errors.New("the image says twice what it is")
	}
	b, le := image[at:], binary.LittleEndian
	if b[8] < infoLength || at+int(b[8]) > len(image) {
		return Info{}, errors.New("the image says too little of what it is")
	}
	n := func(i int) int { return int(b[38+i]) }
	return Info{
		Chip: Chip(b[9]), Interface: b[10], MaxEndpoints: int(b[11]), Version: le.Uint16(b[12:]), Room: int(le.Uint16(b[14:])),
		Table: le.Uint32(b[16:]), Start: le.Uint32(b[20:]), End: le.Uint32(b[24:]), Pins: le.Uint64(b[28:]), Channels: le.Uint16(b[36:]),
		Raw: n(0), Inputs: n(1), Pulses: n(2), Toggles: n(3), Encoders: n(4), Axes: n(5), Hats: n(6), Lamps: n(7), Gestures: n(8),
		Macros: n(9), Steps: n(10), Reports: n(11), State: n(12), Direct: n(13), Lines: n(14), Chains: n(15), Expanders: n(16),
		Voltages: n(17), Muxes: n(18), LadderSteps: n(19), Events: n(20), Choices: n(21), Neithers: n(22), Interfaces: n(23),
	}, nil
}
