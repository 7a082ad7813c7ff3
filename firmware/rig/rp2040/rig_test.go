// Package rp2040 tests the core for the RP2040 on an emulated chip. The tests need node and the npm package of package.json beside them.
package rp2040

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/firmware"
)

// rig is one emulated chip, with what is wired to it.
type rig struct {
	t   testing.TB
	in  io.WriteCloser
	out *bufio.Reader
}

// start starts the emulator; without it the test is skipped.
func start(t testing.TB) *rig {
	t.Helper()
	if _, err := exec.LookPath("node"); err != nil {
		t.Skip("SKIPPED: node is not installed; the core for the RP2040 was not run")
	}
	where := []string{"node_modules/rp2040js"}
	if dir := os.Getenv("KNOBWRIGHT_RIG"); dir != "" {
		where = append(where, filepath.Join(dir, "rp2040", where[0]))
	}
	found := false
	for _, w := range where {
		if _, err := os.Stat(w); err == nil {
			found = true
		}
	}
	if !found {
		t.Skip("SKIPPED: no node_modules/rp2040js in firmware/rig/rp2040 (npm ci there) or $KNOBWRIGHT_RIG; the core for the RP2040 was not run")
	}
	cmd := exec.Command("node", "rig.cjs")
	var errs bytes.Buffer
	cmd.Stderr = &errs
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	r := &rig{t: t, in: in, out: bufio.NewReader(out)}
	t.Cleanup(func() {
		in.Close()
		if err := cmd.Wait(); err != nil {
			t.Errorf("the rig stopped: %v\n%s", err, errs.String())
		}
	})
	return r
}

// try says one line and gives the answer, or the error.
func (r *rig) try(format string, args ...any) (string, error) {
	if _, err := fmt.Fprintf(r.in, format+"\n", args...); err != nil {
		r.t.Fatalf("the rig does not listen: %v", err)
	}
	var answer []string
	for {
		line, err := r.out.ReadString('\n')
		if err != nil {
			r.t.Fatalf("the rig stopped at "+format, args...)
		}
		line = strings.TrimSpace(line)
		if line == "ok" {
			return strings.Join(answer, "\n"), nil
		}
		if strings.HasPrefix(line, "error ") {
			return "", fmt.Errorf("%s: %s", fmt.Sprintf(format, args...), line)
		}
		answer = append(answer, line)
	}
}

func (r *rig) say(format string, args ...any) string {
	r.t.Helper()
	a, err := r.try(format, args...)
	if err != nil {
		r.t.Fatal(err)
	}
	return a
}

func (r *rig) want(want, format string, args ...any) {
	r.t.Helper()
	if got := r.say(format, args...); got != want {
		r.t.Errorf("%s: %s, not %s", fmt.Sprintf(format, args...), got, want)
	}
}

// data says a line whose answer must be data.
func (r *rig) data(format string, args ...any) []byte {
	r.t.Helper()
	text, ok := strings.CutPrefix(r.say(format, args...)+" ", "data ")
	b, err := hex.DecodeString(strings.TrimSpace(text))
	if !ok || err != nil {
		r.t.Fatalf("%s: no data, but %s", fmt.Sprintf(format, args...), text)
	}
	return b
}

func (r *rig) number(format string, args ...any) int {
	r.t.Helper()
	var name string
	var n int
	a := r.say(format, args...)
	if _, err := fmt.Sscan(a, &name, &n); err != nil {
		r.t.Fatalf("%s: %s", fmt.Sprintf(format, args...), a)
	}
	return n
}

// clean wants no misuse of the controller or the pins.
func (r *rig) clean() {
	r.t.Helper()
	if l := r.say("lint"); l != "lint 0" {
		r.t.Error(l)
	}
}

// image is the core: the one that is built in, or another one, which TestSownFaults names.
func image(t testing.TB) []byte {
	t.Helper()
	if name := os.Getenv("KNOBWRIGHT_CORE_RP2040"); name != "" {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	b, ok := firmware.Core(firmware.RP2040)
	if !ok {
		t.Fatal("no core for the RP2040 is built in")
	}
	return b
}

// load puts the core and a table into the chip's flash; nil leaves the place of the table erased.
func (r *rig) load(table []byte) {
	r.t.Helper()
	r.loadBytes(image(r.t), table)
	r.say("run 60000")
	r.want("attached 1", "attached")
}

func (r *rig) loadBytes(core, table []byte) {
	r.t.Helper()
	dir := r.t.TempDir()
	name := filepath.Join(dir, "core.bin")
	if err := os.WriteFile(name, core, 0o600); err != nil {
		r.t.Fatal(err)
	}
	if table != nil {
		t := filepath.Join(dir, "table.bin")
		if err := os.WriteFile(t, table, 0o600); err != nil {
			r.t.Fatal(err)
		}
		name += "+" + t
	}
	r.say("image %s", name)
}

// join lets the host take the panel in: reset, address, configuration.
func (r *rig) join() {
	r.t.Helper()
	r.say("reset")
	r.say("address 0")
	r.want("ack", "setup 0005070000000000")
	r.say("address 7")
	r.want("ack", "setup 0009010000000000")
}

// last polls endpoint 1 until it has nothing more, and gives the last report; nil without one.
func (r *rig) last() []byte {
	r.t.Helper()
	var got []byte
	for range 100 {
		a := r.say("in 1")
		if a == "nak" {
			return got
		}
		text, ok := strings.CutPrefix(a, "data ")
		if !ok {
			r.t.Fatalf("in 1: %s", a)
		}
		got, _ = hex.DecodeString(text)
		r.say("run 300")
	}
	r.t.Fatal("endpoint 1 never rests")
	return nil
}

// Panel with everything: two buttons, an encoder, a matrix with diodes, a chain, an expander, a multiplexer, a pot, a ladder, lamps.
// Raw bit n is bit n of the report; after those 64 bits come two axes and the encoder's steps.
const (
	rawButtons  = 0
	rawEncoder  = 2
	rawMatrix   = 8
	rawChain    = 24
	rawExpander = 40
	rawLadder   = 56
	bitAxes     = 64
	bitSteps    = 96
	bitLamps    = 104
	lengthIn    = 13
)

func desk(t testing.TB) (firmware.Table, firmware.Board, []byte) {
	t.Helper()
	tab := firmware.Table{
		Chip: firmware.RP2040, Tick: 250,
		Reports: []firmware.Report{{ID: 1, Length: lengthIn}, {ID: 2, Output: true, Length: 1, Start: lengthIn}},
		Encoders: []firmware.Encoder{{
			A: rawEncoder, B: rawEncoder + 1, Rest: 1, Steps: 4, Kind: firmware.Relative, Bit: bitSteps, Width: 8, Min: -127, Max: 127, Step: 1,
		}},
		Axes: []firmware.Axis{
			{Width: 16, Bit: bitAxes, Still: 64, Hi: 65535, AtHi: 65535},
			{Width: 16, Bit: bitAxes + 16, Still: 64, Hi: 65535, AtHi: 65535},
		},
		Lamps: []firmware.Lamp{
			{Kind: firmware.FromPC, Refers: bitLamps},
			{Kind: firmware.FromPC, Refers: bitLamps + 1},
			{Kind: firmware.Follows, Refers: 0},
		},
	}
	for raw := range uint16(64) {
		if raw != rawEncoder && raw != rawEncoder+1 {
			tab.Inputs = append(tab.Inputs, firmware.Input{Raw: raw, Bit: raw, Second: firmware.None})
		}
	}
	report := bytes.Repeat([]byte{0x09, 0x30}, 64) // 128 bytes: two whole packets, then an empty one
	bench := []byte{0x06, 0x00, 0xFF, 0x09, 0x01, 0xA1, 0x01, 0xC0}
	config := []byte{
		9, 2, 66, 0, 2, 1, 0, 0xA0, 50,
		9, 4, 0, 0, 2, 3, 0, 0, 0, 9, 0x21, 0x11, 0x01, 0, 1, 0x22, byte(len(report)), 0, 7, 5, 0x81, 3, 64, 0, 1, 7, 5, 0x01, 3, 64, 0, 1,
		9, 4, 1, 0, 1, 3, 0, 0, 0, 9, 0x21, 0x11, 0x01, 0, 1, 0x22, byte(len(bench)), 0,
	}
	config = append(config, 7, 5, 0x82, 3, 64, 0, 10)
	config[2] = byte(len(config))
	b := firmware.Board{
		Device:        []byte{18, 1, 0x00, 0x02, 0, 0, 0, 64, 0x09, 0x12, 0x01, 0x00, 0x00, 0x01, 1, 2, 3, 1},
		Configuration: config,
		HID:           map[int][]byte{0: report, 1: bench},
		Strings:       map[int][]byte{0: {4, 3, 9, 4}, 1: {6, 3, 'h', 0, 'i', 0}, 2: {8, 3, 'a', 0, 'b', 0, 'c', 0}},
		Endpoints: []firmware.Endpoint{
			{Number: 1, In: true, Size: 64}, {Number: 1, Size: 64}, {Number: 2, In: true, Interface: 1, Size: 64},
		},
		Direct: []firmware.DirectPin{
			{Raw: 0, Pin: 0, PullUp: true}, {Raw: 1, Pin: 1, PullUp: true},
			{Raw: 2, Pin: 2, PullUp: true, Often: true}, {Raw: 3, Pin: 3, PullUp: true, Often: true},
		},
		Matrix: &firmware.Matrix{Raw: rawMatrix, Settle: 3, Rows: []uint8{4, 5, 6, 7}, Columns: []uint8{8, 9, 10, 11}},
		Chains: []firmware.Chain{{Raw: rawChain, Bits: 16, Load: 12, Clock: 13, Data: 14}},
		Expanders: []firmware.Expander{
			{Raw: rawExpander, Address: 0x21, Data: 16, Clock: 17, Inputs: 0x0FFF, FirstLamp: 1},
		},
		Muxes:   []firmware.Mux{{Channel: 0, Select: [3]uint8{19, 20, 21}}},
		Analog:  []firmware.Analog{{Axis: 0, Mux: 0, Line: 5}, {Axis: 1, Channel: 1, Mux: firmware.No}},
		Ladders: []firmware.Ladder{{Channel: 2, Raw: rawLadder, Limits: []uint16{8000, 24000, 40000, 56000}}},
		Lamps:   []firmware.LampPin{{Pin: 18, Lamp: 0}, {Pin: 22, Lamp: 2, Low: true}},
	}
	tab.Extra = b.Sections()
	raw, err := tab.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	return tab, b, raw
}

// wire wires the desk up; all contacts are open.
func (r *rig) wire() {
	r.t.Helper()
	lines := []string{
		"switch button0 0 gnd", "switch button1 1 gnd", "chain chain 12 13 14 16", "expander box 16 17 0x21", "mux mux 0 19 20 21", "adc 2 3300",
	}
	for row := range 4 {
		for column := range 4 {
			// current flows from the column to the row that is low
			lines = append(lines, fmt.Sprintf("switch key%d %d %d diode", 4*row+column, 8+column, 4+row))
		}
	}
	for _, l := range lines {
		r.say("%s", l)
	}
}

func bit(report []byte, n int) bool { return report[1+n/8]>>(n%8)&1 != 0 }

// held lists the raw bits that a report has.
func held(report []byte) []int {
	out := []int{}
	for n := range 64 {
		if bit(report, n) {
			out = append(out, n)
		}
	}
	return out
}
