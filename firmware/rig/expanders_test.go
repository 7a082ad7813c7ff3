package rig

import (
	"fmt"
	"testing"

	"knobwright/firmware"
	"knobwright/internal/hid"
	"knobwright/internal/thorough"
)

// manyExpanders is fifteen expanders on two buses: eight is what the addresses of one bus allow. The last line of the last one is a lamp.
func manyExpanders(t testing.TB, chip firmware.Chip) *fixture {
	p := pinMaps[chip].pins
	table := firmware.Table{Tick: deskTick, Lamps: []firmware.Lamp{{Kind: firmware.Follows, Refers: 3}}}
	board := firmware.Board{}
	for n := range 15 {
		bus := 2 * (n / 8)
		board.Expanders = append(board.Expanders, firmware.Expander{Raw: uint8(16 * n), Address: 0x20 + uint8(n%8), Data: p[bus], Clock: p[bus+1], Inputs: 0xFFFF, FirstLamp: firmware.No})
	}
	board.Expanders[14].Inputs, board.Expanders[14].FirstLamp = 0x7FFF, 0
	for n := range 128 {
		raw := n
		if n >= 100 { // of the last one, and of the one before
			raw = n + 111
		}
		table.Inputs = append(table.Inputs, firmware.Input{Raw: uint16(raw), Bit: uint16(n), Second: firmware.None, Debounce: 10})
	}
	return finish(t, chip, table, board, false, hid.Joystick{ID: reportStick, Buttons: 128}, hid.Lamps{ID: reportLamps, Count: 1})
}

// TestManyExpanders presses contacts on the first and the last of fifteen expanders, and takes the last ones away.
func TestManyExpanders(t *testing.T) {
	thorough.Only(t)
	t.Parallel()
	each(t, func(t *testing.T, m maker) {
		if m.chip == firmware.ATmega32U4 {
			t.Skip("that chip has room for six")
		}
		if m.chip == firmware.RP2040 && !long() {
			t.Skip("its emulator is slow: RIG=long")
		}
		d := plugged(t, m, manyExpanders(t, m.chip))
		d.listen(60)
		for _, x := range [][2]int{{0, 1}, {99, 100}, {211, 101}, {238, 128}} {
			d.press(x[0], 60, 60)
			d.expect(fmt.Sprintf("raw bit %d", x[0]), fmt.Sprintf("Button %d=1 Button %d=0", x[1], x[1]))
		}
		d.set(3, true)
		d.listen(60)
		if got := d.say("lines expander14")[0]; got[len("lines ")] != 'F' && got[len("lines ")] < '8' {
			t.Errorf("the lamp on the last line is not lit: %s", got)
		}
		d.set(3, false)
		d.set(238, true)
		d.listen(60)
		d.changes()
		d.say("absent expander14 1", "absent expander13 1")
		d.listen(80)
		d.expect("two are away", "Button 128=0")
		if got := d.identity().Missing; got != 0x6000 {
			t.Errorf("missing: %010b", got)
		}
		d.say("absent expander14 0", "absent expander13 0")
		d.listen(80)
		d.expect("back again", "Button 128=1")
		if got := d.identity().Missing; got != 0 {
			t.Errorf("missing: %010b", got)
		}
		d.clean()
	})
}
