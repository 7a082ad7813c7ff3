package device

import (
	"bytes"
	"encoding/binary"
	"os"
	"testing"
	"time"

	"knobwright/internal/bench/decode"
)

// A panel that the kernel itself believes in: made with uhid, found in the real /sys, read through the real hidraw.
func TestKernelPanel(t *testing.T) {
	f, err := os.OpenFile("/dev/uhid", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("SKIPPED: %v; the kernel's own hidraw was NOT tried", err)
	}
	defer f.Close()
	r := cue()
	desc := r.Firmware.Interfaces[0].Descriptor
	// struct uhid_event, UHID_CREATE2 = 11 and UHID_INPUT2 = 12. Source: linux/uhid.h, from memory.
	var b bytes.Buffer
	le := binary.LittleEndian
	field := func(s string, n int) { b.Write(append([]byte(s), make([]byte, n-len(s))...)) }
	_ = binary.Write(&b, le, uint32(11))
	field("Knob Cue desk", 128)
	field("bench/input0", 64)
	field("KWTEST", 64)
	_ = binary.Write(&b, le, uint16(len(desc)))
	_ = binary.Write(&b, le, uint16(3))
	_ = binary.Write(&b, le, []uint32{0x1209, 1, 0x100, 0})
	field(string(desc), 4096)
	if _, err := f.Write(b.Bytes()); err != nil {
		t.Skipf("SKIPPED: %v; the kernel's own hidraw was NOT tried", err)
	}
	tree, err := System()
	if err != nil {
		t.Fatal(err)
	}
	var found *Info
	for end := time.Now().Add(3 * time.Second); found == nil && time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		all, err := tree.List()
		if err != nil {
			t.Fatal(err)
		}
		for _, i := range all {
			if i.Serial == "KWTEST" {
				found = &i
			}
		}
	}
	if found == nil {
		t.Skip("SKIPPED: the kernel shows no hidraw node for the panel here; the kernel's own hidraw was NOT tried")
	}
	if found.Ours(decode.New(r.Firmware)) < 1 {
		t.Errorf("%v is taken for a stranger", found)
	}
	l, err := tree.Connect(*found)
	if err != nil {
		t.Skipf("SKIPPED: %v; reading through hidraw was NOT tried", err)
	}
	defer l.Close()
	size := 0
	for _, rep := range r.Firmware.Table.Reports {
		if !rep.Output {
			size = max(size, int(rep.Length))
		}
	}
	wire := make([]byte, size+1)
	wire[0], wire[1] = 1, 1
	b.Reset()
	_ = binary.Write(&b, le, uint32(12))
	_ = binary.Write(&b, le, uint16(len(wire)))
	b.Write(append(wire, make([]byte, 4096-len(wire))...))
	if _, err := f.Write(b.Bytes()); err != nil {
		t.Fatal(err)
	}
	select {
	case got := <-l.Reports():
		if !bytes.Equal(got.Data, wire) {
			t.Errorf("%X came, %X was sent", got.Data, wire)
		}
	case <-time.After(2 * time.Second):
		t.Error("no report came")
	}
}
