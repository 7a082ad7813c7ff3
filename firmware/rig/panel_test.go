package rig

import (
	"bytes"
	"context"
	"fmt"
	"maps"
	"os"
	"slices"
	"sync"
	"testing"

	"knobwright/examples"
	"knobwright/firmware"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

// tables gives the table of every example that has a module.
var tables = sync.OnceValue(func() map[string][]byte {
	out := map[string][]byte{}
	for _, name := range examples.Names() {
		r := job.Check(project.Read(name, examples.File(name)), catalog.Builtin())
		if b := r.Firmware.Bytes; len(b) > 0 {
			out[name] = b
		}
	}
	return out
})

// Every contact that is wired shows in the row of raw bits while it is closed, and only then.
func pressAll(t *testing.T, name string, p *Panel, every int) int {
	t.Helper()
	raws := func() []byte {
		b, err := p.Raw()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		return b
	}
	run := func() {
		if err := p.Back.Run(30000); err != nil {
			t.Fatal(err)
		}
	}
	run()
	rest := raws()
	n := 0
	for raw := range 8 * len(rest) {
		if p.Wiring.Contact(raw, true) == nil || raw%every != 0 {
			continue
		}
		n++
		for _, on := range []bool{true, false} {
			if _, err := p.Press(raw, on); err != nil {
				t.Fatal(err)
			}
			run()
			want := bytes.Clone(rest)
			if on {
				want[raw/8] ^= 1 << (raw % 8)
			}
			if got := raws(); !bytes.Equal(got, want) {
				t.Errorf("%s: raw bit %d, closed %v: %X; want %X", name, raw, on, got, want)
			}
		}
	}
	return n
}

// TestPanelsOfExamples starts a simulated panel from every example's table, without any compiler.
func TestPanelsOfExamples(t *testing.T) {
	t.Parallel()
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: not for sown faults")
	}
	pressed := 0
	list := tables()
	for name, table := range list {
		p, err := NewPanel(context.Background(), table)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		every := 3
		if long() {
			every = 1
		}
		pressed += pressAll(t, name, p, every)
		if err := p.Close(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	t.Logf("%d panels, %d contacts", len(list), pressed)
	if len(list) < 3 || pressed < 30 {
		t.Errorf("only %d panels with %d contacts", len(list), pressed)
	}
}

// TestImagesOfExamples starts the image of every example on the emulated chip that it is for.
func TestImagesOfExamples(t *testing.T) {
	t.Parallel()
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: faults are sown in the firmware of the PC only")
	}
	list := tables()
	for _, name := range slices.Sorted(maps.Keys(list)) {
		table := list[name]
		if name != "star-lamp" && !long() { // the others take long on the slow emulator
			continue
		}
		for _, m := range makers {
			if m.chip == firmware.Host || m.chip != firmware.Chip(table[10]) {
				continue
			}
			t.Run(fmt.Sprintf("%s on %s", name, m.name), func(t *testing.T) {
				b := m.start(t)
				w, err := b.Wire(table, m.chip)
				if err != nil {
					t.Fatal(err)
				}
				m.load(t, b, table)
				if _, err := b.Ask("run 300000"); err != nil {
					t.Fatal(err)
				}
				p := &Panel{Back: b, Wiring: w}
				if p.Device, p.Configuration, err = b.Enumerate(3); err != nil {
					t.Fatal(err)
				}
				every := 12
				if long() {
					every = 1
				}
				pressAll(t, name, p, every)
				if got, err := b.Ask("lint"); err != nil || got[0] != "lint 0" {
					t.Errorf("%v, %v", got, err)
				}
			})
		}
	}
}

func TestPanelRefuses(t *testing.T) {
	t.Parallel()
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: not for sown faults")
	}
	f := desk(t, firmware.RP2040)
	f.raw[9]++ // a later revision is taken
	firmware.Seal(f.raw)
	p, err := NewPanel(context.Background(), f.raw)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Close(); err != nil {
		t.Error(err)
	}
	b := spoilRecord(bytes.Clone(f.raw), 0x02, 2, 9)
	if p, err := NewPanel(context.Background(), b); err == nil {
		p.Close()
		t.Error("a table that is not right was taken")
	} else if want := "the table has a field that makes no sense (section 0x02, record 0)"; err.Error() != want {
		t.Errorf("%q; want %q", err, want)
	}
	if _, err := NewPanel(context.Background(), []byte("no table")); err == nil {
		t.Error("eight letters were taken for a table")
	}
}

// A panel whose lamp the host drives, with a slide and a knob.
func TestPanel(t *testing.T) {
	t.Parallel()
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: not for sown faults")
	}
	f := desk(t, firmware.ATmega32U4)
	p, err := NewPanel(context.Background(), f.raw)
	if err != nil {
		t.Fatal(err)
	}
	defer p.Close()
	pin := int(pinMaps[firmware.ATmega32U4].pins[deskLampPC])
	for _, c := range []struct {
		report []byte
		taken  bool
		level  string
	}{{[]byte{reportLamps, 1}, true, "0"}, {[]byte{reportLamps, 0}, true, "1"}, {[]byte{9, 1}, false, "1"}, {nil, false, "1"}} {
		taken, err := p.Give(c.report)
		if err != nil || taken != c.taken {
			t.Errorf("%X is taken: %v, %v", c.report, taken, err)
		}
		if _, err := p.Run(2); err != nil {
			t.Fatal(err)
		}
		if got, err := p.Level(pin); err != nil || got != c.level {
			t.Errorf("%X: the pin shows %s, %v", c.report, got, err)
		}
	}
	if ok, err := p.Slide(0, 65535); !ok || err != nil {
		t.Error(ok, err)
	}
	if ok, err := p.Slide(7, 65535); ok || err != nil {
		t.Error(ok, err)
	}
	if ok, err := p.Press(90, true); ok || err != nil {
		t.Error(ok, err)
	}
	if _, err := p.Run(150); err != nil {
		t.Fatal(err)
	}
	state := 0
	turned, err := p.Turn(deskWheelA, deskWheelB, &state, 8, 2000)
	if err != nil || state != 0 {
		t.Fatal(state, err)
	}
	rest, err := p.Run(10)
	if err != nil {
		t.Fatal(err)
	}
	sum := 0
	for _, r := range append(turned, rest...) {
		if r[0] == reportStick {
			if at := int(r[3]) | int(r[4])<<8; at != 1023 {
				t.Errorf("the slide is at %d", at)
			}
			sum += int(int8(r[6]))
		}
	}
	if sum != 2 {
		t.Errorf("two detents are %d steps", sum)
	}
}

// A toggle is switched on, as the bench does it.
func ExampleNewPanel() {
	var t testing.T
	f := desk(&t, firmware.RP2040)
	p, err := NewPanel(context.Background(), f.raw)
	if err != nil {
		fmt.Println(err)
		return
	}
	defer p.Close()
	if _, err := p.Run(30); err != nil { // the host is told how things stand
		fmt.Println(err)
	}
	if _, err := p.Press(deskHeld, true); err != nil {
		fmt.Println(err)
	}
	reports, err := p.Run(5)
	fmt.Printf("%X %v\n", reports, err)
	// Output: [01044000000500] <nil>
}
