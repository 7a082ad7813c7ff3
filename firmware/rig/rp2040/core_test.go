package rp2040

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"knobwright/firmware"

	imagefile "knobwright/internal/image"
	"knobwright/internal/thorough"
)

// TestEnumeration: the host gets the table's descriptors byte for byte, however it asks for them.
func TestEnumeration(t *testing.T) {
	r := start(t)
	_, b, raw := desk(t)
	r.load(raw)
	r.say("reset")
	if got := r.data("setup 8006000100000800"); !bytes.Equal(got, b.Device[:8]) {
		t.Errorf("the first 8 bytes of the device descriptor: %X", got)
	}
	r.say("reset")
	r.want("ack", "setup 0005230000000000")
	r.want("timeout", "setup 8006000100001200")
	r.say("address 35")
	for _, c := range []struct {
		what, ask string
		want      []byte
	}{
		{"device", "800600010000%s", b.Device},
		{"configuration", "800600020000%s", b.Configuration},
		{"HID 0", "810600210000%s", b.Configuration[18:27]},
		{"report 0", "810600220000%s", b.HID[0]},
		{"report 1", "810600220100%s", b.HID[1]},
		{"languages", "800600030000%s", b.Strings[0]},
		{"string 1", "800601030904%s", b.Strings[1]},
		{"string 2", "800602030904%s", b.Strings[2]},
	} {
		n := len(c.want)
		for _, asked := range []int{1, n - 1, n, n + 1, 63, 64, 65, 127, 128, 129, 255, 512} {
			size := []byte{byte(asked), byte(asked >> 8)}
			got := r.data("setup "+c.ask, hex.EncodeToString(size))
			if !bytes.Equal(got, c.want[:min(n, asked)]) {
				t.Errorf("%s, %d bytes asked for: %X", c.what, asked, got)
			}
		}
	}
	for _, ask := range []string{"8006050309040200", "810600220200FF00", "8006000700000A00", "C006000100001200", "8001000000000000"} {
		r.want("stall", "setup %s", ask)
	}
	r.want("data 00", "setup 8008000000000100")
	r.want("ack", "setup 0009010000000000")
	r.want("data 01", "setup 8008000000000100")
	r.want("stall", "setup 0009020000000000")
	r.clean()
}

// TestReports: every way of wiring a contact or a voltage ends in its own bits, and nowhere else.
func TestReports(t *testing.T) {
	r := start(t)
	_, _, raw := desk(t)
	r.wire()
	r.load(raw)
	r.join()
	r.say("run 50000")
	r.last()
	check := func(what string, want ...int) {
		t.Helper()
		r.say("run 6000")
		got := r.last()
		if got == nil || got[0] != 1 || len(got) != 1+lengthIn {
			t.Fatalf("%s: report %X", what, got)
		}
		if h := held(got); !slices.Equal(h, want) && !(len(h) == 0 && len(want) == 0) {
			t.Errorf("%s: bits %v, not %v", what, h, want)
		}
	}
	each := func(what, on, off string, n int, raws func(i int) int) {
		for i := range n {
			r.say(on, i)
			check(fmt.Sprintf("%s %d", what, i), raws(i))
			r.say(off, i)
			check(fmt.Sprintf("%s %d", what, i))
		}
	}
	each("button", "close button%d", "open button%d", 2, func(i int) int { return rawButtons + i })
	each("key", "close key%d", "open key%d", 16, func(i int) int { return rawMatrix + i })
	each("chain", "chainbit chain %d 0", "chainbit chain %d 1", 16, func(i int) int { return rawChain + i })
	each("line", "line box %d low", "line box %d float", 12, func(i int) int { return rawExpander + i })
	for i, mv := range []int{200, 800, 1600, 2400} { // of 3300: between the limits
		r.say("adc 2 %d", mv)
		check("ladder", rawLadder+i)
	}
	r.say("adc 2 3300")
	check("ladder open")

	// Three corners of a rectangle, and with the diodes not the fourth.
	for _, k := range []int{0, 1, 4} {
		r.say("close key%d", k)
	}
	check("three keys", rawMatrix, rawMatrix+1, rawMatrix+4)
	for _, k := range []int{0, 1, 4} {
		r.say("open key%d", k)
	}
	check("no keys")

	axes := func() (int, int) {
		t.Helper()
		r.say("run 20000")
		got := r.last()
		if got == nil {
			t.Fatal("no report of an axis")
		}
		return int(binary.LittleEndian.Uint16(got[9:])), int(binary.LittleEndian.Uint16(got[11:]))
	}
	for k := range 8 { // its neighbours on the multiplexer stand elsewhere
		r.say("muxline mux %d %d", k, []int{3300, 0, 3300, 0, 3300, 1650, 3300, 0}[k])
	}
	if a, _ := axes(); a < 32700 || a > 32850 {
		t.Errorf("half of the voltage on the multiplexer is %d of 65535", a)
	}
	r.say("muxline mux 5 3300")
	r.say("adc 1 825")
	if a, b := axes(); a != 65535 || b < 16350 || b > 16450 {
		t.Errorf("full and a quarter are %d and %d of 65535", a, b)
	}
	// An expander that is away counts as open, is told to the bench, and comes back.
	r.say("line box 3 low")
	check("line before", rawExpander+3)
	r.say("absent box 1")
	check("absent")
	if got := r.data("setup A101F00301001500"); got[18] != 1 {
		t.Errorf("an expander is away, and the bench is told %08b", got[18])
	}
	r.say("absent box 0")
	check("back", rawExpander+3)
	if got := r.data("setup A101F00301001500"); got[18] != 0 {
		t.Errorf("no expander is away, and the bench is told %08b", got[18])
	}
	r.clean()
}

// TestLamps: the output report lights lamps, by the endpoint and by request; lamps follow their input; a sleeping bus is dark.
func TestLamps(t *testing.T) {
	thorough.Only(t)
	r := start(t)
	_, _, raw := desk(t)
	r.wire()
	r.load(raw)
	r.join()
	see := func(what, one, two, box string) {
		t.Helper()
		r.say("run 20000")
		r.want("level "+one, "level 18")
		r.want("level "+two, "level 22")
		if got := r.say("lines box"); !strings.HasPrefix(got, "lines "+box) {
			t.Errorf("%s: %s", what, got)
		}
	}
	see("at first", "0", "1", "0")
	r.want("ack", "out 1 0201")
	see("one", "1", "1", "0")
	r.want("ack", "out 1 0202")
	see("two", "0", "1", "1")
	r.want("ack", "setup 2109020200000200 0203")
	see("both", "1", "1", "1")
	r.say("close button0")
	see("following", "1", "0", "3")
	r.want("stall", "setup 2109020200000300 020300")
	r.want("stall", "setup 2109030200000200 0303")
	see("unchanged", "1", "0", "3")
	r.say("suspend")
	see("asleep", "0", "1", "0")
	r.say("resume")
	see("awake", "1", "0", "3")
	r.clean()
}

// TestSuspend: a contact wakes the host when the host allows it, not within 5 ms, once; and is sent when the host is awake.
func TestSuspend(t *testing.T) {
	thorough.Only(t)
	for _, lasting := range []string{"off", "on"} {
		t.Run("sign of sleep that stands: "+lasting, func(t *testing.T) { suspend(t, lasting) })
	}
}

func suspend(t *testing.T, lasting string) {
	r := start(t)
	_, _, raw := desk(t)
	r.say("lasting %s", lasting)
	r.wire()
	r.load(raw)
	r.join()
	r.say("run 50000")
	r.last()

	r.want("clock 125000000", "clock")
	r.say("suspend")
	r.say("run 1000")
	r.want("clock 12000000", "clock") // off the crystal
	r.say("close button1")
	r.say("run 20000")
	r.want("wakeup 0", "wakeup") // not allowed
	r.say("resume")
	if got := r.last(); got == nil || !bit(got, 1) {
		t.Errorf("pressed while asleep: %X", got)
	}
	r.want("ack", "setup 0003010000000000")
	r.want("data 0200", "setup 8000000000000200")
	r.say("suspend")
	r.say("open button1")
	r.say("run 1000")
	r.want("wakeup 0", "wakeup") // 4 ms
	r.want("clock 12000000", "clock")
	r.say("run 10000")
	r.want("wakeup 1", "wakeup")
	r.want("clock 125000000", "clock") // the controller speaks
	r.say("close button1")
	r.say("run 10000")
	r.want("wakeup 0", "wakeup")
	r.say("resume")
	if got := r.last(); got == nil || !bit(got, 1) {
		t.Errorf("pressed again while asleep: %X", got)
	}
	r.say("suspend")
	r.say("run 20000")
	r.want("wakeup 0", "wakeup") // nothing has moved
	r.say("resume")
	r.want("ack", "setup 0001010000000000")
	r.say("suspend")
	r.say("open button1")
	r.say("run 20000")
	r.want("wakeup 0", "wakeup")
	r.say("resume")
	r.want("data 0000", "setup 8000000000000200")
	r.clean()
}

// TestRequests: what overtakes, breaks off, or repeats.
func TestRequests(t *testing.T) {
	thorough.Only(t)
	r := start(t)
	_, b, raw := desk(t)
	r.wire()
	r.load(raw)
	r.join()
	r.say("run 50000")
	r.last()
	// A setup packet that overtakes another, before and after it was served.
	want := "data " + strings.ToUpper(hex.EncodeToString(b.Device))
	r.want(want, "setup2 8006000200000001 8006000100001200")
	r.want(want, "setup2 2109020200000200 8006000100001200")
	for i := range 60 { // at all phases of what the core does meanwhile
		r.say("run %d", 100+i*7)
		r.want(want, "setup2 8006000200000001 8006000100001200")
	}
	// The host has enough before the end.
	for range 3 {
		r.want(want, "setup 8006000100001200")
		got := r.say("setup 8006000200000900")
		if got != "data "+strings.ToUpper(hex.EncodeToString(b.Configuration[:9])) {
			t.Errorf("nine bytes: %s", got)
		}
	}
	r.want("ack", "token 8006000200000001")
	r.say("run 500")
	if got := r.data("in 0"); !bytes.Equal(got, b.Configuration[:64]) {
		t.Errorf("first packet %X", got)
	}
	r.want("ack", "out 0")
	r.say("run 500")
	r.want("nak", "in 0") // nothing is left of it
	// Halt, and toggles that begin anew.
	press := func(n int) {
		t.Helper()
		for i := range n {
			r.say("%s button0", []string{"close", "open"}[i%2])
			r.say("run 2000")
			if got := r.last(); got == nil || bit(got, 0) != (i%2 == 0) {
				t.Fatalf("press %d: %X", i, got)
			}
		}
	}
	press(3)
	r.want("ack", "setup 0203000081000000")
	r.want("data 0100", "setup 8200000081000200")
	r.want("stall", "in 1")
	r.say("open button0")
	r.say("run 2000")
	r.want("stall", "in 1")
	r.want("ack", "setup 0201000081000000")
	r.say("run 2000")
	if got := r.last(); got == nil || bit(got, 0) {
		t.Errorf("after the halt: %X", got)
	}
	press(3)
	r.say("open button0")
	r.say("run 2000") // a report waits, and the toggle begins anew under it
	r.want("ack", "setup 0201000081000000")
	if got := r.last(); got == nil || bit(got, 0) {
		t.Errorf("after the toggle: %X", got)
	}
	press(2)
	for i := range 3 {
		r.want("ack", "out 1 020%d", i%2)
		r.say("run 2000")
	}
	r.want("ack", "setup 0203000001000000")
	r.want("stall", "out 1 0201")
	r.want("ack", "setup 0201000001000000")
	r.want("ack", "out 1 0201")
	r.say("run 2000")
	r.want("level 1", "level 18")
	r.want("ack", "setup 010B000000000000")
	r.want("ack", "out 1 0200")
	r.say("run 2000")
	r.want("level 0", "level 18")
	press(2)
	// A reset in the middle of things, and everything again.
	for range 3 {
		r.say("close button1")
		r.say("run 2000")
		r.say("reset")
		r.say("address 0")
		r.want("timeout", "in 1") // not configured: it has no such endpoint
		r.want("timeout", "out 1 0201")
		r.join()
		r.say("run 2000")
		r.last()
		press(2)
		r.say("open button1")
		r.say("run 2000")
		r.last()
	}
	// Unconfigured: no endpoints.
	r.want("ack", "setup 0009000000000000")
	r.want("timeout", "in 1")
	r.want("timeout", "out 1 0201")
	r.want("ack", "setup 0009010000000000")
	press(2)
	// More data than was announced, and less.
	for _, sizes := range [][]int{{64, 64}, {64, 10}, {3}, {0}} {
		r.want("ack", "token 2109020200006100")
		for _, n := range sizes {
			r.say("run 500")
			r.want("ack", "out 0 %s", strings.Repeat("02", n))
		}
		r.say("run 500")
		r.want("stall", "in 0")
	}
	r.want("ack", "setup 2109020200000200 0200")
	// Idle: every 8 ms, changed or not.
	r.want("ack", "setup 210A000200000000")
	reports := 0
	for range 80 {
		r.say("run 1000")
		if strings.HasPrefix(r.say("in 1"), "data") {
			reports++
		}
	}
	if reports < 9 || reports > 11 {
		t.Errorf("%d reports in 80 ms at an idle rate of 8 ms", reports)
	}
	r.clean()
}

// TestCommands: into the boot loader, and begun anew, after the request's own end.
func TestCommands(t *testing.T) {
	thorough.Only(t)
	r := start(t)
	_, _, raw := desk(t)
	r.load(raw)
	r.join()
	r.want("stall", "setup 2109F20301000500 F24B575801")
	r.say("run 100000")
	r.want("loader 0", "loader")
	r.want("ack", "setup 2109F20301000500 F24B574202")
	r.say("run 10000")
	r.want("attached 0", "attached")
	r.say("run 100000")
	r.want("restarts 1", "restarts")
	r.want("attached 1", "attached")
	r.join()
	r.want("ack", "setup 2109F20301000500 F24B574201")
	r.say("run 100000")
	r.want("loader 1", "loader")
	r.want("attached 0", "attached")
	r.want("restarts 1", "restarts")
	r.clean()
}

// TestRefused: without a good table there is a device that says what is wrong.
func TestRefused(t *testing.T) {
	thorough.Only(t)
	tab, b, good := desk(t)
	damaged := bytes.Clone(good)
	damaged[len(damaged)/2] ^= 0x10
	other := bytes.Clone(good)
	other[10] = byte(firmware.ATmega32U4)
	firmware.Seal(other)
	b.Direct = slices.Clone(b.Direct)
	b.Direct[1].Pin = 30
	tab.Extra = b.Sections()
	pin, err := tab.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what  string
		table []byte
		want  [3]byte // error, section, record
	}{
		{"erased", nil, [3]byte{1, 0, 0}},
		{"zeros", make([]byte, 4096), [3]byte{1, 0, 0}},
		{"damaged", damaged, [3]byte{5, 0, 0}},
		{"cut short", good[:len(good)-1], [3]byte{5, 0, 0}},
		{"for another chip", other, [3]byte{3, 0, 0}},
		{"pin 30", pin, [3]byte{8, 0x30, 1}},
	} {
		t.Run(c.what, func(t *testing.T) {
			r := start(t)
			r.load(c.table)
			r.join()
			got := r.data("setup 8006000100001200")
			if len(got) != 18 {
				t.Fatalf("device %X", got)
			}
			got = r.data("setup A101F00300001500")
			if len(got) != 21 || string(got[1:3]) != "KW" || got[6] != 1 || [3]byte{got[7], got[8], got[9]} != c.want {
				t.Errorf("identity %X", got)
			}
			r.say("run 20000")
			r.want("nak", "in 1")
			r.want("ack", "setup 2109F20300000500 F24B574201")
			r.say("run 100000")
			r.want("loader 1", "loader")
			r.clean()
		})
	}
}

// TestHang: a bus without frames that is not asleep is a controller that hangs; it leaves the bus and joins it again.
func TestHang(t *testing.T) {
	thorough.Only(t)
	r := start(t)
	_, _, raw := desk(t)
	r.load(raw)
	r.join()
	r.say("sof off")
	r.say("run 90000")
	r.want("attached 1", "attached")
	r.say("run 20000")
	r.want("attached 0", "attached")
	r.say("run 30000")
	r.want("attached 1", "attached")
	r.say("sof on")
	r.join()
	if got := r.data("setup A101F00301001500"); got[7] != 0 {
		t.Errorf("identity %X", got)
	}
	r.clean()
}

// TestUF2: the file that a person drops on the module, read block by block as the boot ROM does.
func TestUF2(t *testing.T) {
	_, b, raw := desk(t)
	placed, err := imagefile.Place(imagefile.Piece{Addr: 0x10000000, Data: image(t)}, imagefile.Piece{Addr: 0x1000F000, Data: raw})
	if err != nil {
		t.Fatal(err)
	}
	file, err := imagefile.WriteUF2(placed, imagefile.UF2Options{Family: imagefile.RP2040, Sector: 4096, Fill: 0xFF})
	if err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "panel.uf2")
	if err := os.WriteFile(name, file, 0o600); err != nil {
		t.Fatal(err)
	}
	r := start(t)
	r.say("image %s", name)
	r.say("run 60000")
	r.join()
	if got := r.data("setup 8006000200000002"); !bytes.Equal(got, b.Configuration) {
		t.Errorf("configuration %X", got)
	}
	r.clean()
}

// TestShortTicks: ticks that take longer than their time starve neither the bus nor what is done in slices, and are counted.
func TestShortTicks(t *testing.T) {
	thorough.Only(t)
	tab, _, _ := desk(t)
	tab.Tick = 50
	raw, err := tab.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	r := start(t)
	r.wire()
	r.load(raw)
	r.join()
	r.say("run 50000")
	r.last()
	r.say("chainbit chain 15 0")
	r.say("line box 11 low")
	r.say("run 20000")
	if got := r.last(); got == nil || !slices.Equal(held(got), []int{rawChain + 15, rawExpander + 11}) {
		t.Errorf("%X", got)
	}
	if got := r.data("setup A101F30301000500"); got[3] == 0 && got[4] == 0 {
		t.Error("ticks of 50 us are in time: the test tests nothing")
	}
	r.want("restarts 0", "restarts")
	r.clean()
}

// TestWatchdog: a core that stands still begins anew, and one that does not goes on.
func TestWatchdog(t *testing.T) {
	r := start(t)
	r.load(nil)
	r.join()
	r.say("run 1200000")
	r.want("restarts 0", "restarts")
	r.say("freeze")
	r.say("run 450000")
	r.want("restarts 0", "restarts")
	r.say("run 150000")
	r.want("restarts 1", "restarts")
	r.want("attached 1", "attached")
	r.join()
	r.clean()
}

// TestBootBlock: the boot ROM does not start a core whose first block is damaged.
func TestBootBlock(t *testing.T) {
	core := image(t)
	info, err := firmware.ReadInfo(core)
	if err != nil {
		t.Fatal(err)
	}
	if info.Chip != firmware.RP2040 || info.Start != 0x10000000 || info.End != 0x1000F000 || info.Table != 0x1000F000 || info.Room != 4096 ||
		info.Pins != 1<<30-1 || info.Channels != 15 || info.Raw != 248 || info.State != 96 || info.LadderSteps != 32 {
		t.Errorf("%+v", info)
	}
	if n := len(core); n > int(info.End-info.Start) {
		t.Errorf("the core has %d bytes", n)
	}
	r := start(t)
	_, _, raw := desk(t)
	core[17] ^= 1
	r.loadBytes(core, raw)
	r.want("loader 1", "loader")
}
