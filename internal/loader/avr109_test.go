package loader

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"knobwright/internal/image"
)

// device is a boot loader of an ATmega32U4 as AVR109 describes it: a command a call, pages erased as they are written.
type device struct {
	flash    [32768]byte
	addr     int
	out      bytes.Buffer
	in       []byte
	programs bool
	order    []int // pages in the order in which they were written

	signature [3]byte
	block     int
	single    bool // no block mode
	vanish    int  // bytes that it still takes before it is gone; -1 = never
	stuck     int  // address at which a bit does not change; -1 = none
	left      bool
	noErase   bool
}

func newDevice() *device {
	d := &device{signature: [3]byte{0x87, 0x95, 0x1E}, block: 128, vanish: -1, stuck: -1}
	for i := range d.flash {
		d.flash[i] = 0xFF
	}
	return d
}

func (d *device) Read(b []byte) (int, error) {
	if d.vanish == 0 {
		return 0, io.EOF
	}
	return d.out.Read(b)
}

func (d *device) Write(b []byte) (int, error) {
	for i, c := range b {
		if d.vanish == 0 {
			return i, errors.New("input/output error")
		}
		if d.vanish > 0 {
			d.vanish--
		}
		d.in = append(d.in, c)
		d.step()
	}
	return len(b), nil
}

// step obeys when a whole command is in.
func (d *device) step() {
	need := map[byte]int{'A': 3, 'B': 4, 'g': 4}
	n := max(1, need[d.in[0]])
	if len(d.in) < n {
		return
	}
	switch d.in[0] {
	case 'S':
		d.out.WriteString("TESTLDR")
	case 's':
		d.out.Write(d.signature[:])
	case 'b':
		if d.single {
			d.out.WriteByte('N')
		} else {
			d.out.Write([]byte{'Y', byte(d.block >> 8), byte(d.block)})
		}
	case 'P':
		d.programs = true
		d.out.WriteByte('\r')
	case 'e':
		if d.programs && !d.noErase {
			for i := range end32U4 {
				d.flash[i] = 0xFF
			}
		}
		d.out.WriteByte('\r')
	case 'A':
		d.addr = 2 * (int(d.in[1])<<8 | int(d.in[2]))
		d.out.WriteByte('\r')
	case 'B':
		size := int(d.in[1])<<8 | int(d.in[2])
		if len(d.in) < 4+size {
			return
		}
		if d.in[3] != 'F' || !d.programs || d.addr%128 != 0 || size != 128 || d.addr >= end32U4 {
			d.out.WriteByte('?')
			break
		}
		d.order = append(d.order, d.addr)
		for k, v := range d.in[4:] {
			if d.addr+k == d.stuck {
				v ^= 1
			}
			d.flash[d.addr+k] = v
		}
		d.addr += size
		d.out.WriteByte('\r')
	case 'g':
		size := int(d.in[1])<<8 | int(d.in[2])
		d.out.Write(d.flash[d.addr:][:size])
		d.addr += size
	case 'L', 'E':
		d.programs = false
		d.left = d.in[0] == 'E'
		d.out.WriteByte('\r')
	default:
		d.out.WriteByte('?')
	}
	d.in = nil
}

func whole(t testing.TB) image.Image {
	t.Helper()
	rnd := rand.New(rand.NewPCG(1, 2))
	core, table := make([]byte, 5000), make([]byte, 700)
	for _, b := range [][]byte{core, table} {
		for i := range b {
			b[i] = byte(rnd.Uint32())
		}
	}
	m, err := image.Place(image.Piece{Name: "core", Addr: 0, Data: core}, image.Piece{Name: "table", Addr: 0x6000, Data: table})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func holds(d *device, m image.Image) error {
	for _, r := range m.Runs() {
		if !bytes.Equal(d.flash[r.Addr:][:len(r.Data)], r.Data) {
			return fmt.Errorf("the flash differs from 0x%X on", r.Addr)
		}
	}
	return nil
}

func TestFlash(t *testing.T) {
	d, m := newDevice(), whole(t)
	d.flash[0x5000], d.flash[0x7000] = 0x55, 0x99 // an old program, and the boot loader
	var steps []string
	last := map[string]int{}
	a := &AVR109{Port: d, Tell: func(step string, done, total int) {
		if last[step] == 0 {
			steps = append(steps, step)
		}
		if done <= last[step] || done > total {
			t.Errorf("%s: %d after %d of %d", step, done, last[step], total)
		}
		last[step] = done
	}}
	name, err := a.Hello()
	if err != nil || name != "TESTLDR" {
		t.Fatalf("%q %v", name, err)
	}
	if err := a.Flash(m); err != nil {
		t.Fatal(err)
	}
	if err := holds(d, m); err != nil {
		t.Error(err)
	}
	if d.flash[0x5000] != 0xFF || d.flash[0x7000] != 0x99 || !d.left {
		t.Errorf("old program 0x%X, boot loader 0x%X, left %v", d.flash[0x5000], d.flash[0x7000], d.left)
	}
	if n := len(d.order); n < 40 || d.order[n-1] != 0 {
		t.Errorf("the first page is not written last: %v", d.order)
	}
	if len(steps) != 2 || last["writing"] != last["reading back"] {
		t.Errorf("%v %v", steps, last)
	}
}

// A table alone leaves the core where it is.
func TestFlashTableOnly(t *testing.T) {
	d := newDevice()
	d.flash[0], d.flash[0x5000] = 0x12, 0x34
	m, _ := image.Place(image.Piece{Name: "table", Addr: 0x6000, Data: bytes.Repeat([]byte{7}, 300)})
	if err := (&AVR109{Port: d}).Flash(m); err != nil {
		t.Fatal(err)
	}
	if d.flash[0] != 0x12 || d.flash[0x5000] != 0x34 || holds(d, m) != nil {
		t.Error("the core was touched, or the table is not there")
	}
}

// However the port goes away in mid-flash, the error says how far it came and how to begin again; the first page is empty until the
// end, so that the chip stays in its boot loader; and a second try does it.
func TestPortVanishes(t *testing.T) {
	m := whole(t)
	for _, after := range []int{0, 1, 2, 3, 4, 5, 6, 9, 50, 137, 500, 3000, 5000, 6000, 6100, 6200, 6300} {
		d := newDevice()
		d.flash[0] = 0x0C // the old program
		d.vanish = after
		err := (&AVR109{Port: d}).Flash(m)
		if err == nil {
			t.Errorf("after %d bytes: no error", after)
			continue
		}
		var b *Broken
		var w *Wrong
		switch {
		case errors.As(err, &b):
			if !strings.Contains(b.Do, "RESET twice") || b.Say == "" {
				t.Errorf("after %d: %q, %q", after, b.Say, b.Do)
			}
		case errors.As(err, &w):
			if d.flash[0] != 0x0C {
				t.Errorf("after %d: written, and it says %q", after, w.Say)
			}
		default:
			t.Errorf("after %d: %T %v", after, err, err)
		}
		if len(d.order) > 0 && d.order[len(d.order)-1] != 0 && (d.flash[0] != 0xFF || d.flash[1] != 0xFF) {
			t.Errorf("after %d: a half-flashed chip would start at 0x%X%X", after, d.flash[1], d.flash[0])
		}
		d.vanish, d.in = -1, nil
		d.out.Reset()
		if err := (&AVR109{Port: d}).Flash(m); err != nil || holds(d, m) != nil {
			t.Errorf("after %d: the second try: %v", after, err)
		}
	}
}

func TestWrongDevices(t *testing.T) {
	small, _ := image.Place(image.Piece{Addr: 0x6000, Data: []byte{1}})
	high, _ := image.Place(image.Piece{Addr: 0x6FFF, Data: []byte{1, 2}})
	for _, c := range []struct {
		what string
		d    func(*device)
		m    image.Image
		says string
	}{
		{"another chip", func(d *device) { d.signature = [3]byte{0x86, 0x98, 0x1E} }, small, "1E9886"},
		{"no blocks", func(d *device) { d.single = true }, small, "single bytes"},
		{"small blocks", func(d *device) { d.block = 64 }, small, "64 bytes"},
		{"into the boot loader", func(*device) {}, high, "into the boot loader"},
		{"empty", func(*device) {}, image.Image{}, "empty"},
		{"silent", func(d *device) { d.vanish = 0 }, small, "Nothing at the port"},
	} {
		d := newDevice()
		c.d(d)
		err := (&AVR109{Port: d}).Flash(c.m)
		var w *Wrong
		if !errors.As(err, &w) || !strings.Contains(w.Say, c.says) || len(d.order) > 0 {
			t.Errorf("%s: %v, %d pages written", c.what, err, len(d.order))
		}
	}
	d := newDevice()
	d.stuck = 0x6000
	err := (&AVR109{Port: d}).Flash(whole(t))
	var b *Broken
	if !errors.As(err, &b) || !strings.Contains(b.Say, "At 0x6000") {
		t.Errorf("a stuck bit: %v", err)
	}
}

// noise answers at random: no answer makes it hang or panic.
type noise struct{ r *rand.Rand }

func (n noise) Write(b []byte) (int, error) { return len(b), nil }
func (n noise) Read(b []byte) (int, error) {
	if n.r.IntN(5) == 0 {
		return 0, io.EOF
	}
	for i := range b {
		b[i] = byte(n.r.Uint32())
		if n.r.IntN(2) == 0 {
			b[i] = "\rYTESTLDR\x87\x95\x1e\x00\x80"[n.r.IntN(14)]
		}
	}
	return len(b), nil
}

func TestNoise(t *testing.T) {
	m := whole(t)
	for seed := range uint64(300) {
		if err := (&AVR109{Port: noise{rand.New(rand.NewPCG(seed, 9))}}).Flash(m); err == nil {
			t.Errorf("noise %d is taken for a module", seed)
		}
	}
}
