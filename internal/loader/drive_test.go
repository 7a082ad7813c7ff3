package loader

import (
	"bytes"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"knobwright/internal/image"
)

func uf2(t testing.TB, family image.Family) []byte {
	t.Helper()
	m, err := image.Place(image.Piece{Addr: 0x10000000, Data: bytes.Repeat([]byte{0xA5}, 9000)})
	if err != nil {
		t.Fatal(err)
	}
	b, err := image.WriteUF2(m, image.UF2Options{Family: family, Sector: 4096})
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// drive makes a folder as a boot loader shows it.
func drive(t testing.TB, info string) string {
	t.Helper()
	dir := t.TempDir()
	if info != "" {
		if err := os.WriteFile(filepath.Join(dir, infoFile), []byte(info), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

const rp2 = "UF2 Bootloader v3.0\r\nModel: A module\r\nBoard-ID: RPI-RP2\r\n"

func TestCopy(t *testing.T) {
	dir, file := drive(t, rp2), uf2(t, image.RP2040)
	done := 0
	out, err := Copy{Wait: time.Millisecond, Tell: func(_ string, d, total int) {
		if d <= done || d > total || total != len(file) {
			t.Errorf("%d after %d of %d", d, done, total)
		}
		done = d
	}}.To(dir, file)
	if err != nil || !out.Compared || out.Restarted || done != len(file) {
		t.Errorf("%+v %v, %d", out, err, done)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, out.Name)); !bytes.Equal(got, file) {
		t.Error("the file on the drive is another one")
	}
}

// sink is a file on a drive that goes away: after so many bytes, or with the last one.
type sink struct {
	dir   string
	left  int
	wrote *bytes.Buffer
}

func (s *sink) Write(b []byte) (int, error) {
	n := min(len(b), s.left)
	s.left -= n
	s.wrote.Write(b[:n])
	if s.left == 0 {
		_ = os.Remove(filepath.Join(s.dir, infoFile))
	}
	if n < len(b) {
		return n, errors.New("no such device")
	}
	return n, nil
}
func (s *sink) Close() error { return errors.New("no such device") }

func TestDriveGoesAway(t *testing.T) {
	file := uf2(t, image.RP2040)
	for _, c := range []struct {
		bytes int
		fine  bool
	}{{0, false}, {512, false}, {5000, false}, {len(file) - 513, false}, {len(file) - 512, true}, {len(file), true}} {
		dir := drive(t, rp2)
		s := &sink{dir, c.bytes, &bytes.Buffer{}}
		if c.bytes == 0 {
			_ = s
		}
		out, err := Copy{Wait: time.Millisecond, create: func(string) (io.WriteCloser, error) { return s, nil }}.To(dir, file)
		if c.fine {
			if err != nil || !out.Restarted {
				t.Errorf("%d bytes: %+v %v", c.bytes, out, err)
			}
			continue
		}
		var b *Broken
		if !errors.As(err, &b) || !strings.Contains(b.Do, "BOOT") || !strings.Contains(b.Say, "blocks") {
			t.Errorf("%d bytes: %v", c.bytes, err)
		}
	}
}

// What does not fit is told before anything is written.
func TestWrongDrives(t *testing.T) {
	good := uf2(t, image.RP2040)
	odd := bytes.Clone(good)
	odd[512+20] = 7 // the number of a block
	for _, c := range []struct {
		what, info string
		file       []byte
		free       uint64
		says       string
	}{
		{"no boot loader", "", good, 1 << 20, "not the drive of a boot loader"},
		{"another board", "Board-ID: RP2350\n", good, 1 << 20, "RP2350"},
		{"no board", "hello\n", good, 1 << 20, "names no board"},
		{"another image", rp2, uf2(t, image.RP2350ArmS), 1 << 20, "drive is that of a board"},
		{"full", rp2, good, 1000, "1000 bytes left"},
		{"no image", rp2, []byte("hello"), 1 << 20, "no UF2 file"},
		{"a broken image", rp2, odd, 1 << 20, "damaged"},
		{"an empty image", rp2, nil, 1 << 20, ""},
	} {
		dir := drive(t, c.info)
		_, err := Copy{Wait: time.Millisecond, free: func(string) (uint64, bool) { return c.free, true }}.To(dir, c.file)
		var w *Wrong
		if !errors.As(err, &w) || !strings.Contains(w.Say, c.says) {
			t.Errorf("%s: %v", c.what, err)
		}
		if entries, _ := os.ReadDir(dir); len(entries) > 1 || len(entries) == 1 && entries[0].Name() != infoFile {
			t.Errorf("%s: something was written", c.what)
		}
	}
	if _, err := ReadDrive(filepath.Join(t.TempDir(), "none")); err == nil || !strings.Contains(err.Error(), "There is no folder") {
		t.Errorf("%v", err)
	}
	file := filepath.Join(t.TempDir(), "f")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadDrive(file); err == nil || !strings.Contains(err.Error(), "not a folder") {
		t.Errorf("%v", err)
	}
}
