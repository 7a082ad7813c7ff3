package firmware

import (
	"strconv"
	"strings"
	"sync"

	core "knobwright/firmware"

	"knobwright/internal/image"
)

// chip is what is known of one chip here, and what its core says of itself.
type chip struct {
	name string
	id   core.Chip
	tick int    // usual length of a tick, microseconds
	slow int    // the same of modules whose logic has less than fastVolts
	bits int    // of its analog converter
	kind string // of image: uf2, hex
	core []byte
	core.Info
}

// fastVolts is what an ATmega32U4 wants for 16 MHz; modules of less run it at 8 MHz, at which the core is half as quick. Source:
// ATmega16U4/32U4 data sheet, maximum speed by supply. That a tick of 500 us is too short then, and one of 1000 us is met, is measured:
// docs/firmware.md.
const fastVolts = 4.5

// usual gives the usual length of a tick on a module, microseconds.
func (c *chip) usual(volts float64) int {
	if volts > 0 && volts < fastVolts {
		return c.slow
	}
	return c.tick
}

// chips are those that there is a core for.
var chips = sync.OnceValue(func() []chip {
	var out []chip
	for _, c := range []chip{
		{name: "RP2040", id: core.RP2040, tick: 250, slow: 250, bits: 12, kind: "uf2"},
		{name: "ATmega32U4", id: core.ATmega32U4, tick: 400, slow: 1000, bits: 10, kind: "hex"},
	} {
		b, ok := core.Core(c.id)
		if !ok {
			continue
		}
		info, err := core.ReadInfo(b)
		if err != nil || info.Chip != c.id {
			continue
		}
		c.core, c.Info = b, info
		out = append(out, c)
	}
	return out
})

// chipNamed finds a chip; nil when there is no firmware for it.
func chipNamed(name string) *chip {
	all := chips()
	for i := range all {
		if strings.EqualFold(all[i].name, name) {
			return &all[i]
		}
	}
	return nil
}

// chipOf finds a chip by the number in a table.
func chipOf(id core.Chip) *chip {
	all := chips()
	for i := range all {
		if all[i].id == id {
			return &all[i]
		}
	}
	return nil
}

// target is what a UF2 file is for.
func (c *chip) target() image.Target { return image.FlashRP2040 }

// pin gives the chip's own number of a pin by its port: GPIO10 is 10; PF7 is 8 times the port, counted from B, and 7. False where the
// core has other use for it.
func (c *chip) pin(port string) (uint8, bool) {
	n, ok := c.number(port)
	return n, ok && c.Pins>>n&1 != 0
}

func (c *chip) number(port string) (uint8, bool) {
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
	n, ok := c.number(port)
	return n - 26, ok && n >= 26 && n <= 29
}
