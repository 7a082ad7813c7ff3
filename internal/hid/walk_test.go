package hid

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/witness"
)

// A second reading of descriptors, written without a look at the first: it walks byte by byte and gives every single bit of every
// report a label, the usage and the number of the control within its item.

type walker struct {
	global map[byte]int64 // by prefix
	stack  []map[byte]int64
	local  []uint32
	lo     uint32
	bits   map[string][]string
}

func (w *walker) walk(desc []byte) {
	w.bits = map[string][]string{}
	w.global = map[byte]int64{}
	for len(desc) > 0 {
		size := int(desc[0] & 3)
		if size == 3 {
			size = 4
		}
		var raw uint64
		for i := size; i > 0; i-- {
			raw = raw*256 + uint64(desc[i])
		}
		w.one(desc[0]&0xFC, raw, size)
		desc = desc[1+size:]
	}
}

func (w *walker) one(tag byte, raw uint64, size int) {
	page := uint32(w.global[0x04]) << 16
	switch tag {
	case 0x14, 0x24:
		v := int64(raw)
		if size > 0 && raw >= 1<<(8*size-1) {
			v -= 1 << (8 * size)
		}
		w.global[tag] = v
	case 0x04, 0x74, 0x84, 0x94:
		w.global[tag] = int64(raw)
	case 0xA4:
		c := map[byte]int64{}
		for k, v := range w.global {
			c[k] = v
		}
		w.stack = append(w.stack, c)
	case 0xB4:
		w.global = w.stack[len(w.stack)-1]
		w.stack = w.stack[:len(w.stack)-1]
	case 0x08:
		w.local = append(w.local, mark(raw, size))
	case 0x18:
		w.lo = mark(raw, size)
	case 0x28:
		for u := w.lo; u <= mark(raw, size); u++ {
			w.local = append(w.local, u)
		}
	case 0x80, 0x90, 0xB0:
		name := fmt.Sprintf("%X/%d", tag, w.global[0x84])
		for n := range int(w.global[0x94]) {
			label := "none"
			if k := len(w.local); k > 0 {
				u := w.local[min(n, k-1)]
				if u>>16 == 0 {
					u |= page
				}
				label = fmt.Sprintf("%X", u)
				if raw&3 == 0 {
					label = "array"
				}
			}
			for b := range int(w.global[0x74]) {
				w.bits[name] = append(w.bits[name], fmt.Sprintf("%s.%d [%d,%d] %X", label, b, w.global[0x14], w.global[0x24], raw))
			}
		}
		w.local = nil
	case 0xA0, 0xC0:
		w.local = nil
	}
}

// mark keeps the page of extended usages; ordinary ones have page 0 until their main item.
func mark(raw uint64, size int) uint32 {
	if size == 4 {
		return uint32(raw)
	}
	return uint32(raw) & 0xFFFF
}

// labels gives the bits as Parse sees them, in the walker's words.
func labels(d *Descriptor) map[string][]string {
	out := map[string][]string{}
	for _, r := range d.Reports {
		name := fmt.Sprintf("%X/%d", uint8(r.Kind), r.ID)
		all := make([]string, r.Bits)
		for i := range r.Fields {
			f := &r.Fields[i]
			for n := range f.Count {
				label := "none"
				if u, ok := f.Usage(n); ok {
					label = fmt.Sprintf("%X", uint32(u))
				}
				if f.IsArray() && len(f.Usages) > 0 {
					label = "array"
				}
				for b := range f.Size {
					all[f.Offset+n*f.Size+b] = fmt.Sprintf("%s.%d [%d,%d] %X", label, b, f.LogicalMin, f.LogicalMax, uint32(f.Flags))
				}
			}
		}
		out[name] = all
	}
	return out
}

func compareBits(t interface{ Fatalf(string, ...any) }, desc []byte) {
	d, err := Parse(desc)
	if err != nil {
		t.Fatalf("% X: %v", desc, err)
	}
	var w walker
	w.walk(desc)
	got := labels(d)
	if len(got) != len(w.bits) {
		t.Fatalf("%d reports, want %d", len(got), len(w.bits))
	}
	for name, want := range w.bits {
		if len(got[name]) != len(want) {
			t.Fatalf("report %s has %d bits, want %d", name, len(got[name]), len(want))
		}
		for i := range want {
			if got[name][i] != want[i] {
				t.Fatalf("report %s bit %d is %s, want %s", name, i, got[name][i], want[i])
			}
		}
	}
}

// TestBitsOfPublished holds each bit of the published descriptors against the second reading.
func TestBitsOfPublished(t *testing.T) {
	for _, r := range witness.Table(t, "testdata/hid_descriptors.csv") {
		t.Run(r["name"], func(t *testing.T) { compareBits(t, unhex(t, r["hex"])) })
	}
}

// TestBitsOfBuilt does the same with random descriptors.
func TestBitsOfBuilt(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		desc, _, err := randomBuilder(rt).Finish()
		if err != nil {
			rt.Fatalf("%v", err)
		}
		compareBits(rt, desc)
	})
}
