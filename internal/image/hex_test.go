package image

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/witness"
)

// TestPublishedHEX reads the published records, each by itself: length, address, type, checksum; and writes each of them again.
func TestPublishedHEX(t *testing.T) {
	for _, r := range witness.Sure(t, "testdata/intel_hex.csv") {
		line := r["record"]
		kind, addr, data, err := readRecord(1, []byte(line))
		if err != nil {
			t.Errorf("%s: %v", line, err)
			continue
		}
		want, _ := strconv.ParseUint(r["address"], 0, 16)
		if strconv.Itoa(len(data)) != r["count"] || uint64(addr) != want || fmt.Sprintf("%02d", kind) != r["type"] {
			t.Errorf("%s: %d bytes at 0x%X, type %d", line, len(data), addr, kind)
		}
		if got := strings.TrimSpace(record(kind, addr, data)); got != line {
			t.Errorf("written as %s, want %s", got, line)
		}
		if kind == recData { // read and written as files
			file := line + "\n:00000001FF\n"
			h, err := ReadHEX([]byte(file))
			if err != nil {
				t.Errorf("%s: %v", line, err)
				continue
			}
			if got, ok := h.Image.At(uint32(addr), len(data)); !ok || !bytes.Equal(got, data) {
				t.Errorf("%s: holds % X", line, got)
			}
			back, err := WriteHEX(h.Image, HEXOptions{})
			if err != nil || strings.ReplaceAll(string(back), "\r", "") != file {
				t.Errorf("%s: written back as %q, %v", line, back, err)
			}
		}
		broken := []byte(line)
		broken[len(broken)-1] ^= 1
		if _, _, _, err := readRecord(1, broken); err == nil {
			t.Errorf("%s is taken", broken)
		}
	}
}

// TestHEXRoundTrip: random images come back, in lines of any width, with linear addresses and with segments.
func TestHEXRoundTrip(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		o := HEXOptions{Width: rapid.SampledFrom([]int{0, 1, 7, 16, 32, 255}).Draw(rt, "width")}
		base := rapid.SampledFrom([]uint32{0, 0x10000000, 0xFFF00000}).Draw(rt, "base")
		if rapid.Bool().Draw(rt, "segments") {
			o.Segments, base = true, 0
		}
		if rapid.Bool().Draw(rt, "start") {
			s := rapid.Uint32().Draw(rt, "at")
			o.Start = &s
		}
		m, want := drawImage(rt, base)
		file, err := WriteHEX(m, o)
		if err != nil {
			rt.Fatalf("%v", err)
		}
		h, err := ReadHEX(file)
		if err != nil || !h.Image.Equal(m) {
			rt.Fatalf("reads back as something else, %v", err)
		}
		if (o.Start == nil) != (h.StartLinear == nil) || o.Start != nil && *o.Start != *h.StartLinear {
			rt.Fatalf("starts at %v, want %v", h.StartLinear, o.Start)
		}
		// A second reading, by the definition: base, offset, bytes.
		upper := uint32(0)
		for line := range strings.Lines(string(file)) {
			var n, addr, kind int
			if _, err := fmt.Sscanf(line, ":%02X%04X%02X", &n, &addr, &kind); err != nil {
				rt.Fatalf("%v", err)
			}
			if len(line) != 13+2*n {
				rt.Fatalf("%q", line)
			}
			word := func(i int) uint32 { v, _ := strconv.ParseUint(line[9+2*i:11+2*i], 16, 8); return uint32(v) }
			switch kind {
			case 0:
				for i := range n {
					a := upper + uint32(addr) + uint32(i)
					if b, ok := want[a]; !ok || uint32(b) != word(i) {
						rt.Fatalf("0x%X: %d, %v", a, b, ok)
					}
					delete(want, a)
				}
				if addr+n > 1<<16 {
					rt.Fatalf("%q crosses a border", line)
				}
			case 2:
				upper = (word(0)<<8 | word(1)) << 4
			case 4:
				upper = (word(0)<<8 | word(1)) << 16
			}
		}
		if len(want) > 0 {
			rt.Fatalf("%d bytes are missing", len(want))
		}
	})
}

// TestHEXBorder: a run across 64 KiB is written in two lines, with the address record between them.
func TestHEXBorder(t *testing.T) {
	got, err := WriteHEX(place(t, Piece{"", 0xFFFC, []byte{1, 2, 3, 4, 5, 6}}), HEXOptions{})
	want := ":04FFFC0001020304F7\r\n:020000040001F9\r\n:020000000506F3\r\n:00000001FF\r\n"
	if err != nil || string(got) != want {
		t.Errorf("%q, %v; want %q", got, err, want)
	}
}

// TestHEXReader reads what writers other than ours write.
func TestHEXReader(t *testing.T) {
	for _, c := range []struct {
		name, file string
		want       map[uint32]string
	}{
		{"small letters, newlines, empty lines, no last line end", "\n:0300300002337a1e\n\n:00000001ff", map[uint32]string{0x30: "02 33 7A"}},
		{"out of order", ":01000100AA54\n:01000000BB44\n:00000001FF\n", map[uint32]string{0: "BB AA"}},
		{"segment", ":020000021200EA\n:0100000011EE\n:00000001FF\n", map[uint32]string{0x12000: "11"}},
		{"segment rolls over", ":020000021000EC\n:04FFFE0001020304F5\n:00000001FF\n", map[uint32]string{0x1FFFE: "01 02", 0x10000: "03 04"}},
		{"linear", ":02000004FFFFFC\n:04FFFC0001020304F7\n:00000001FF\n", map[uint32]string{0xFFFFFFFC: "01 02 03 04"}},
		{"linear rolls over", ":02000004FFFFFC\n:04FFFE0001020304F5\n:00000001FF\n", map[uint32]string{0xFFFFFFFE: "01 02", 0: "03 04"}},
		{"linear carries on past 64 KiB", ":020000040001F9\n:04FFFE0001020304F5\n:00000001FF\n", map[uint32]string{0x1FFFE: "01 02 03 04"}},
		{"linear after segment", ":020000021000EC\n:020000040001F9\n:04FFFE0001020304F5\n:00000001FF\n", map[uint32]string{0x1FFFE: "01 02 03 04"}},
		{"empty data record", ":0000000000\n:00000001FF\n", nil},
	} {
		h, err := ReadHEX([]byte(c.file))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		n := 0
		for a, bytesText := range c.want {
			want := unhex(t, bytesText)
			n += len(want)
			if got, ok := h.Image.At(a, len(want)); !ok || !bytes.Equal(got, want) {
				t.Errorf("%s: 0x%X holds % X", c.name, a, got)
			}
		}
		if h.Image.Len() != n {
			t.Errorf("%s: %d bytes, want %d", c.name, h.Image.Len(), n)
		}
	}
	h, err := ReadHEX([]byte(":0400000300003800C1\n:04000005000000CD2A\n:00000001FF\n"))
	if err != nil || h.StartSegment == nil || *h.StartSegment != 0x3800 || h.StartLinear == nil || *h.StartLinear != 0xCD {
		t.Errorf("starts %v, %v, %v", h.StartSegment, h.StartLinear, err)
	}
}

// TestHEXRefuses: what is not the format says at which line.
func TestHEXRefuses(t *testing.T) {
	const good = ":0300300002337A1E\n"
	for _, c := range []struct {
		name, file string
		line       int
		says       string
	}{
		{"empty", "", 1, "without an end record"},
		{"cut off", good, 2, "without an end record"},
		{"no colon", good + "0300300002337A1E\n", 2, "not with a colon"},
		{"not digits", good + ":0300300002337AXX\n", 2, "other than hexadecimal"},
		{"odd digits", good + ":0300300002337A1\n", 2, "odd number"},
		{"too short", good + ":000000\n", 2, "shortest record"},
		{"length", good + ":0400300002337A1E\n", 2, "length byte"},
		{"checksum", good + ":0300330002337A1E\n", 2, "checksum is 0x1E; the bytes before it make 0x1B"},
		{"unknown type", good + ":00000006FA\n", 2, "record type 06"},
		{"end with data", good + ":0100000100FE\n", 2, "carries 0 bytes"},
		{"short address", good + ":01000004FFFC\n", 2, "carries 2 bytes"},
		{"two starts", good + ":04000005000000CD2A\n:04000005000000CD2A\n", 3, "second start"},
		{"two segment starts", good + ":0400000300003800C1\n:0400000300003800C1\n", 3, "second start"},
		{"after the end", good + ":00000001FF\n" + good, 3, "after the end"},
		{"overlap", good + "\n:0100320000CD\n:00000001FF\n", 3, "0x32, which line 1 gives too"},
		{"overlap backwards", ":0100320000CD\n" + good + ":00000001FF\n", 2, "which line 1 gives too"},
	} {
		_, err := ReadHEX([]byte(c.file))
		var e *Error
		if !errors.As(err, &e) || e.At != c.line || e.Unit != "line" || !strings.Contains(e.Text, c.says) {
			t.Errorf("%s: %v, want line %d and %q", c.name, err, c.line, c.says)
		}
	}
	m := place(t, Piece{"", 1 << 20, count(1)})
	for name, err := range map[string]error{
		"beyond segments": second(WriteHEX(m, HEXOptions{Segments: true})),
		"width 256":       second(WriteHEX(m, HEXOptions{Width: 256})),
		"width -1":        second(WriteHEX(m, HEXOptions{Width: -1})),
		"empty image":     second(WriteHEX(Image{}, HEXOptions{})),
	} {
		if err == nil {
			t.Errorf("%s is taken", name)
		}
	}
}

func second(_ []byte, err error) error { return err }

// TestOutsideHEX: outside programs (Debian binutils-avr, srecord) read what we write, and we read what they write.
func TestOutsideHEX(t *testing.T) {
	avr := place(t, Piece{"core", 0, count(8100)}, Piece{"table", 0x6000, count(353)})
	far := place(t, Piece{"core", 0x10000000, count(70000)}, Piece{"table", 0x1002F001, count(353)})
	for _, tool := range []struct {
		name, pkg  string
		toBin, hex string // arguments from IN to OUT, the image from LO to END
	}{
		{"avr-objcopy", "binutils-avr", "-I ihex -O binary --gap-fill 0xFF IN OUT", "-I ihex -O ihex IN OUT"},
		{"srec_cat", "srecord", "IN -Intel -fill 0xFF LO END -offset -LO -o OUT -Binary", "IN -Intel -o OUT -Intel -line-length=64"},
	} {
		t.Run(tool.name, func(t *testing.T) {
			path, err := exec.LookPath(tool.name)
			if err != nil {
				t.Skipf("SKIPPED: %s (Debian %s) is not installed; HEX files were not read by it", tool.name, tool.pkg)
			}
			for _, m := range []Image{avr, far} {
				dir := t.TempDir()
				in, out := filepath.Join(dir, "in.hex"), filepath.Join(dir, "out")
				file, err := WriteHEX(m, HEXOptions{})
				if err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(in, file, 0o600); err != nil {
					t.Fatal(err)
				}
				lo, flat, err := m.Flat(0xFF)
				if err != nil {
					t.Fatal(err)
				}
				fill := strings.NewReplacer("IN", in, "OUT", out, "LO", fmt.Sprint(lo), "END", fmt.Sprint(int(lo)+len(flat)))
				run := func(args string) []byte {
					t.Helper()
					var now []string
					for _, a := range strings.Fields(args) {
						if a != "-Intel" {
							a = fill.Replace(a)
						}
						now = append(now, a)
					}
					if text, err := exec.Command(path, now...).CombinedOutput(); err != nil {
						t.Fatalf("%s: %v\n%s", tool.name, err, text)
					}
					b, err := os.ReadFile(out)
					if err != nil {
						t.Fatal(err)
					}
					return b
				}
				if got := run(tool.toBin); !bytes.Equal(got, flat) {
					t.Errorf("it makes %d bytes, want %d, or others", len(got), len(flat))
				}
				h, err := ReadHEX(run(tool.hex))
				if err != nil || !h.Image.Equal(m) {
					t.Errorf("what it writes reads as something else, %v", err)
				}
			}
		})
	}
}

func FuzzReadHEX(f *testing.F) {
	for _, r := range witness.Sure(f, "testdata/intel_hex.csv") {
		f.Add([]byte(r["record"] + "\n:00000001FF\n"))
	}
	f.Add([]byte(":020000021000EC\n:04FFFE0001020304F5\n:00000001FF\n"))
	f.Fuzz(func(t *testing.T, file []byte) {
		h, err := ReadHEX(file)
		if err != nil {
			var e *Error
			if errors.As(err, &e) && (e.At < 1 || e.At > bytes.Count(file, []byte("\n"))+2) {
				t.Fatalf("line %d of %q", e.At, file)
			}
			return
		}
		if h.Image.Len() == 0 {
			return
		}
		back, err := WriteHEX(h.Image, HEXOptions{})
		if err != nil {
			t.Fatal(err)
		}
		again, err := ReadHEX(back)
		if err != nil || !again.Image.Equal(h.Image) {
			t.Fatalf("%q reads back as something else, %v", file, err)
		}
	})
}
