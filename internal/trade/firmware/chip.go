package firmware

import (
	"strconv"
	"strings"

	core "knobwright/firmware"

	"knobwright/internal/image"
)

// chip is what the firmware of one chip needs to know of it here.
type chip struct {
	name  string
	id    core.Chip
	tick  int    // usual length of a tick, microseconds
	table uint32 // address of the table in its flash
	room  int    // bytes for it
	base  uint32 // address of the core
	bits  int    // of its analog converter
	kind  string // of image: uf2, hex
	limits
}

// limits are what the core has room for: those of firmware/core/kw.h and firmware/board/kwb.h.
type limits struct {
	raw, inputs, pulses, toggles, encoders, axes, hats, lamps, reports, state, gestures, macros, steps int
	direct, analog                                                                                     int
}

var chips = []chip{
	{
		name: "RP2040", id: core.RP2040, tick: 250, table: 0x1000F000, room: 4096, base: 0x10000000, bits: 12, kind: "uf2",
		limits: limits{raw: 160, inputs: 160, pulses: 64, toggles: 64, encoders: 16, axes: 12, hats: 4, lamps: 96, reports: 8, state: 96, gestures: 32, macros: 32, steps: 160, direct: 48, analog: 16},
	},
	{
		name: "ATmega32U4", id: core.ATmega32U4, tick: 500, table: 0x6000, room: 4096, base: 0, bits: 10, kind: "hex",
		limits: limits{raw: 96, inputs: 96, pulses: 32, toggles: 32, encoders: 8, axes: 12, hats: 4, lamps: 32, reports: 6, state: 64, gestures: 16, macros: 8, steps: 64, direct: 48, analog: 16},
	},
}

// chipNamed finds a chip; nil when there is no firmware for it.
func chipNamed(name string) *chip {
	for i := range chips {
		if strings.EqualFold(chips[i].name, name) {
			return &chips[i]
		}
	}
	return nil
}

// chipOf finds a chip by the number in a table.
func chipOf(id core.Chip) *chip {
	for i := range chips {
		if chips[i].id == id {
			return &chips[i]
		}
	}
	return nil
}

// coreImage gives the core of a chip as its bytes from its base address on; false while none is built in.
var coreImage = func(core.Chip) ([]byte, bool) { return nil, false }

// target is what a UF2 file is for.
func (c *chip) target() image.Target { return image.FlashRP2040 }

// pin gives the chip's own number of a pin by its port: GPIO10 is 10; PF7 is 8 times the port, counted from B, and 7.
func (c *chip) pin(port string) (uint8, bool) {
	switch c.id {
	case core.RP2040:
		n, err := strconv.Atoi(strings.TrimPrefix(port, "GPIO"))
		return uint8(n), err == nil && strings.HasPrefix(port, "GPIO") && n >= 0 && n < 30
	case core.ATmega32U4:
		if len(port) == 3 && port[0] == 'P' && port[1] >= 'B' && port[1] <= 'F' && port[2] >= '0' && port[2] <= '7' {
			return 8*(port[1]-'B') + port[2] - '0', true
		}
	}
	return 0, false
}

// portName is the chip's name of a pin by its number.
func (c *chip) portName(pin uint8) string {
	if c.id == core.RP2040 {
		return "GPIO" + strconv.Itoa(int(pin))
	}
	return "P" + string(rune('B'+pin/8)) + strconv.Itoa(int(pin%8))
}

// Channels of the ATmega32U4's converter by port. Source: ATmega16U4/32U4 data sheet, pin list.
var channels32U4 = map[string]uint8{
	"PF0": 0, "PF1": 1, "PF4": 4, "PF5": 5, "PF6": 6, "PF7": 7, "PD4": 8, "PD6": 9, "PD7": 10, "PB4": 11, "PB5": 12, "PB6": 13,
}

// channel gives the converter's channel of a pin. On the RP2040 they are GPIO26 to GPIO29. Source: RP2040 data sheet, 4.9.
func (c *chip) channel(port string) (uint8, bool) {
	if c.id == core.ATmega32U4 {
		n, ok := channels32U4[port]
		return n, ok
	}
	n, ok := c.pin(port)
	return n - 26, ok && n >= 26 && n <= 29
}
