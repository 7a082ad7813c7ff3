package avr

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"knobwright/firmware"
	"knobwright/internal/image"
	"knobwright/internal/thorough"
)

// TestEnumeration: the host gets the table's descriptors byte for byte, however it asks for them, with either crystal.
func TestEnumeration(t *testing.T) {
	for _, hz := range []int{16000000, 8000000} {
		m := start(t, hz)
		_, b, raw := desk(t)
		m.load(raw)
		m.want("attached 1", "attached")
		m.say("reset")
		if got := m.data("setup 8006000100000800"); !bytes.Equal(got, b.Device[:8]) {
			t.Errorf("the first 8 bytes of the device descriptor: %X", got)
		}
		m.say("reset")
		m.want("ack", "setup 0005230000000000")
		m.say("run 2000")
		m.want("timeout", "setup 8006000100001200")
		m.say("address 35")
		for _, c := range []struct {
			what, ask string
			want      []byte
		}{
			{"device", "800600010000", b.Device},
			{"configuration", "800600020000", b.Configuration},
			{"HID 0", "810600210000", b.Configuration[18:27]},
			{"report 0", "810600220000", b.HID[0]},
			{"report 1", "810600220100", b.HID[1]},
			{"languages", "800600030000", b.Strings[0]},
			{"string 1", "800601030904", b.Strings[1]},
			{"string 2", "800602030904", b.Strings[2]},
		} {
			n := len(c.want)
			for _, asked := range []int{1, n - 1, n, n + 1, 63, 64, 65, 127, 128, 129, 255, 512} {
				got := m.data("setup %s%02X%02X", c.ask, byte(asked), byte(asked>>8))
				if !bytes.Equal(got, c.want[:min(n, asked)]) {
					t.Errorf("%s, %d bytes asked for: %X", c.what, asked, got)
				}
			}
		}
		for _, ask := range []string{"8006050309040200", "810600220200FF00", "8006000700000A00", "C006000100001200", "8001000000000000"} {
			m.want("stall", "setup %s", ask)
		}
		// as many bytes as were asked for, in whole packets: nothing comes after them, however late the host ends it
		if len(b.Strings[1]) != 64 {
			t.Fatal("the string is not a packet long")
		}
		m.want("ack", "token 8006010309044000")
		m.say("run 2000")
		m.want("data "+hex.EncodeToString(b.Strings[1]), "in 0")
		m.say("run 2000")
		m.want("ack", "out 0")
		m.say("run 2000")
		m.want("timeout", "in 1")
		m.want("data 00", "setup 8008000000000100")
		m.want("ack", "setup 0009010000000000")
		m.want("data 01", "setup 8008000000000100")
		m.want("stall", "setup 0009020000000000")
		m.clean()
	}
}

// TestRequests: what overtakes, breaks off, or repeats.
func TestRequests(t *testing.T) {
	thorough.Only(t)
	m := start(t)
	_, b, raw := desk(t)
	w, err := m.Wire(raw, firmware.ATmega32U4)
	if err != nil {
		t.Fatal(err)
	}
	m.load(raw)
	m.join()
	m.say("run 50000")
	m.last()
	want := "data " + hex.EncodeToString(b.Device)
	// a setup packet that overtakes another, read, written or half served
	for range 16 { // each time at another moment
		m.want(want, "setup2 8006000200000001 8006000100001200")
		m.want(want, "setup2 2109020200000200 8006000100001200")
		m.want(want, "setup2 0005110000000000 8006000100001200")
		m.want(want, "setup2 0000000000000000 8006000100001200")
	}
	m.say("run 3000")
	for range 3 { // the host has enough before the end
		m.want(want, "setup 8006000100001200")
		m.want("data "+hex.EncodeToString(b.Configuration[:9]), "setup 8006000200000900")
	}
	press := func(n int) {
		t.Helper()
		for i := range n {
			m.say(w.Contact(0, i%2 == 0)...)
			m.say("run 7000")
			if got := m.last(); got == nil || slices.Contains(held(got), 0) != (i%2 == 0) {
				t.Fatalf("press %d: %X", i, got)
			}
		}
	}
	press(4)
	// what happens while a report waits for the host comes after it
	m.say(append(w.Contact(0, true), "run 7000")...)
	m.say(append(w.Contact(1, true), "run 7000")...)
	m.say(append(w.Contact(0, false), "run 7000")...)
	for _, want := range [][]int{{0}, {1}} {
		if got := m.data("in 1"); !slices.Equal(held(got), want) {
			t.Errorf("the report is %v, not %v", held(got), want)
		}
		m.say("run 2000")
	}
	m.want("nak", "in 1")
	m.say(append(w.Contact(1, false), "run 7000")...)
	m.last()
	// halt, and toggles that begin anew
	m.want("ack", "setup 0203000081000000")
	m.want("data 0100", "setup 8200000081000200")
	m.want("stall", "in 1")
	m.want("ack", "setup 0201000081000000")
	m.want("data 0000", "setup 8200000081000200")
	press(3)
	m.want("ack", "setup 0201000081000000")
	m.say(w.Contact(0, false)...)
	m.say("run 7000")
	if got := m.last(); got == nil || len(held(got)) != 0 {
		t.Errorf("after the toggle: %X", got)
	}
	for i := range 3 {
		m.want("ack", "out 2 020%d", i%2)
		m.say("run 2000")
	}
	m.want("ack", "setup 0203000002000000")
	m.want("stall", "out 2 0201")
	m.want("ack", "setup 0201000002000000")
	m.want("ack", "out 2 0201")
	m.say("run 3000")
	m.want("level 1", "level %d", pin("C7"))
	for range 3 { // a reset in the middle of things, and everything again
		m.say(w.Contact(1, true)...)
		m.say("run 7000")
		m.join()
		m.say("run 2000")
		m.last()
		press(2)
		m.say(w.Contact(1, false)...)
		m.say("run 7000")
		m.last()
	}
	m.want("ack", "setup 0009000000000000")
	m.want("timeout", "in 1")
	m.want("timeout", "out 2 0201")
	m.want("ack", "setup 0009010000000000")
	press(2)
	// every 8 ms, changed or not
	m.want("ack", "setup 210A000200000000")
	got, err := m.Listen(400)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) < 48 || len(got) > 51 {
		t.Errorf("%d reports in 400 ms at an idle rate of 8 ms", len(got))
	}
	m.want("ack", "setup 210A000000000000")
	m.last()
	if got, err := m.Listen(100); err != nil || len(got) != 0 {
		t.Errorf("%d reports while nothing changes: %v", len(got), err)
	}
	m.clean()
}

// TestCommands: into the boot loader, wherever it stands, and begun anew, after the request's own end.
func TestCommands(t *testing.T) {
	for _, at := range []uint32{0, 0x7000, 0x7800, 0x7C00, 0x7E00} {
		m := start(t)
		_, _, raw := desk(t)
		if at == 0 {
			m.load(raw) // the rig puts something at 0x7000
		} else {
			m.load(raw, loaderAt(at))
		}
		m.join()
		m.want("stall", "setup 2109F20301000500 F24B575801")
		m.want("stall", "setup 2109F20301000500 F24B574203")
		m.say("run 200000")
		m.want("loader 0", "loader")
		m.want("ack", "setup 2109F20301000500 F24B574202")
		m.say("run 10000")
		m.want("attached 0", "attached")
		m.say("run 300000")
		m.want("restarts 1", "restarts")
		m.want("attached 1", "attached")
		m.join()
		// the status stage comes late, and is answered all the same
		m.want("ack", "token 2109F20301000500")
		m.say("run 2000")
		m.want("ack", "out 0 F24B574201")
		m.say("run 5000")
		m.want("attached 1", "attached")
		if got := m.say("in 0"); strings.TrimSpace(got) != "data" {
			t.Errorf("the status stage is %q", got)
		}
		m.say("run 200000")
		m.want("loader 1", "loader")
		m.want("attached 0", "attached")
		m.want("restarts 1", "restarts")
		m.clean()
	}
}

// TestWatchdog: a chip that hangs for longer than a quarter of a second begins anew, and one that hangs shorter does not.
func TestWatchdog(t *testing.T) {
	m := start(t)
	_, _, raw := desk(t)
	m.load(raw)
	m.join()
	m.say("stuck 200000")
	m.say("run 300000")
	m.want("restarts 0", "restarts")
	m.say("stuck 300000")
	m.want("restarts 1", "restarts")
	m.say("run 300000")
	m.want("attached 1", "attached")
	m.join()
	if id := m.identity(1); id.Error != 0 {
		t.Errorf("%+v", id)
	}
	m.say("run 1000000")
	m.want("restarts 1", "restarts")
	m.say("suspend", "run 1000000", "resume") // nor has it stopped to watch after sleeping
	m.want("restarts 1", "restarts")
	m.say("stuck 300000")
	m.want("restarts 2", "restarts")
	m.clean()
}

// TestRefused: without a good table there is a device that says what is wrong.
func TestRefused(t *testing.T) {
	tab, b, good := desk(t)
	damaged := bytes.Clone(good)
	damaged[len(damaged)/2] ^= 0x10
	other := bytes.Clone(good)
	other[10] = byte(firmware.RP2040)
	firmware.Seal(other)
	version := bytes.Clone(good)
	version[8] = 2
	firmware.Seal(version)
	long := bytes.Clone(good)
	binary.LittleEndian.PutUint16(long[12:], 4097)
	board := func(change func(b *firmware.Board)) []byte {
		c := b
		c.Direct, c.Endpoints, c.Analog = slices.Clone(b.Direct), slices.Clone(b.Endpoints), slices.Clone(b.Analog)
		change(&c)
		return whole(t, tab, c)
	}
	table := func(change func(t *firmware.Table)) []byte {
		c := tab
		c.Inputs, c.Encoders = slices.Clone(tab.Inputs), slices.Clone(tab.Encoders)
		change(&c)
		return whole(t, c, b)
	}
	for _, c := range []struct {
		what            string
		table           []byte
		err, section    uint8
		record          uint16
		keepsDescriptor bool
	}{
		{what: "erased", err: 1},
		{what: "zeros", table: make([]byte, 4096), err: 1},
		{what: "damaged", table: damaged, err: 5},
		{what: "cut short", table: good[:len(good)-1], err: 5},
		{what: "too long", table: long, err: 4},
		{what: "of another format", table: version, err: 2},
		{what: "for another chip", table: other, err: 3},
		{what: "pin C0", table: board(func(b *firmware.Board) { b.Direct[1].Pin = 8 }), err: 8, section: 0x30, record: 1},
		{what: "pin E7", table: board(func(b *firmware.Board) { b.Direct[0].Pin = 31 }), err: 8, section: 0x30},
		{what: "pin 40", table: board(func(b *firmware.Board) { b.Direct[0].Pin = 40 }), err: 8, section: 0x30},
		{what: "27 direct pins", table: board(func(b *firmware.Board) {
			for len(b.Direct) < 27 {
				b.Direct = append(b.Direct, b.Direct[0])
			}
		}), err: 7, section: 0x30, record: 26},
		{what: "channel 2", table: board(func(b *firmware.Board) { b.Analog[1].Channel = 2 }), err: 8, section: 0x37, record: 1},
		{what: "channel 14", table: board(func(b *firmware.Board) { b.Analog[1].Channel = 14 }), err: 8, section: 0x37, record: 1},
		{what: "an endpoint of two directions", table: board(func(b *firmware.Board) { b.Endpoints[1].Number = 1 }), err: 8, section: 0x20},
		{what: "a report longer than its endpoint", table: board(func(b *firmware.Board) { b.Endpoints[0].Size = 8 }), err: 8, section: 0x20},
		{what: "97 inputs", table: table(func(t *firmware.Table) {
			for len(t.Inputs) < 97 {
				t.Inputs = append(t.Inputs, t.Inputs[len(t.Inputs)-1])
			}
		}), err: 7, section: 0x82, record: 96},
		{what: "an encoder beyond the raw bits", table: table(func(t *firmware.Table) { t.Encoders[0].A = 96 }), err: 8, section: 0x85},
	} {
		t.Run(c.what, func(t *testing.T) {
			m := start(t)
			m.load(c.table)
			m.join()
			if got := m.data("setup 8006000100001200"); len(got) != 18 || bytes.Equal(got, b.Device) && c.err != 0 && bytes.Equal(m.data("setup 8006000200004000"), b.Configuration) {
				t.Errorf("device %X", got)
			}
			if got := m.data("setup 800602030904FF00"); !strings.Contains(string(bytes.ReplaceAll(got[2:], []byte{0}, nil)), "refused") {
				t.Errorf("name %q", got)
			}
			id := m.identity(0)
			if id.Chip != firmware.ATmega32U4 || id.Error != c.err || id.Section != c.section || id.Record != c.record || id.CRC != 0 {
				t.Errorf("%+v", id)
			}
			m.say("run 20000")
			m.want("nak", "in 1")
			m.want("ack", "setup 2109F20300000500 F24B574201")
			m.say("run 300000")
			m.want("loader 1", "loader")
			m.clean()
		})
	}
}

// TestHEX: the HEX file is the same bytes as the core that is built in, for us and for another reader.
func TestHEX(t *testing.T) {
	core, _ := firmware.Core(firmware.ATmega32U4)
	const name = "../../images/atmega32u4.hex"
	file, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	h, err := image.ReadHEX(file)
	if err != nil {
		t.Fatal(err)
	}
	want, err := image.Place(image.Piece{Data: core})
	if err != nil || !reflect.DeepEqual(h.Image, want) {
		t.Errorf("%v; the HEX file holds something else", err)
	}
	if _, err := exec.LookPath("avr-objcopy"); err != nil {
		t.Skip("SKIPPED: avr-objcopy (Debian binutils-avr) is not installed; no other reader read the HEX file")
	}
	out := filepath.Join(t.TempDir(), "core.bin")
	if text, err := exec.Command("avr-objcopy", "-I", "ihex", "-O", "binary", name, out).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if got, err := os.ReadFile(out); err != nil || !bytes.Equal(got, core) {
		t.Errorf("%v; avr-objcopy reads %d bytes, and not the %d of the core", err, len(got), len(core))
	}
}

// TestInfo: the core says what it is and what it takes.
func TestInfo(t *testing.T) {
	core := theCore(t)
	info, err := firmware.ReadInfo(core)
	if err != nil {
		t.Fatal(err)
	}
	usable := uint64(0)
	for _, p := range pins("B0", "B1", "B2", "B3", "B4", "B5", "B6", "B7", "C6", "C7", "D0", "D1", "D2", "D3", "D4", "D5", "D6", "D7", "E2", "E6", "F0", "F1", "F4", "F5", "F6", "F7") {
		usable |= 1 << p
	}
	if info.Chip != firmware.ATmega32U4 || info.Start != 0 || info.End != tableAt || info.Table != tableAt || info.Room != 4096 || info.Pins != usable ||
		info.Channels != 0x3FF3 || info.Raw != 96 || info.State != 64 || info.Direct != 26 || info.Expanders != 6 {
		t.Errorf("%+v", info)
	}
	if len(core) > tableAt {
		t.Errorf("the core has %d bytes and reaches into the table", len(core))
	}
	// What the block says of pins and channels is what the firmware takes.
	m := start(t)
	tab, b, _ := desk(t)
	for p := range 48 {
		b := b
		b.Direct = []firmware.DirectPin{{Pin: uint8(p)}}
		b.Analog = []firmware.Analog{{Axis: 0, Channel: uint8(p), Mux: firmware.No}}
		m.load(whole(t, tab, b))
		m.join()
		id := rigIdentity(m)
		want := fmt.Sprint(8, 0x30)
		switch {
		case info.Pins>>p&1 == 0:
		case p >= 16 || info.Channels>>p&1 == 0:
			want = fmt.Sprint(8, 0x37)
		default:
			want = fmt.Sprint(0, 0)
		}
		if got := fmt.Sprint(id.Error, id.Section); got != want {
			t.Errorf("pin and channel %d: error and section %s, not %s", p, got, want)
		}
	}
}
