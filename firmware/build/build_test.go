package main

import (
	"bytes"
	"encoding/binary"
	"errors"
	"os"
	"path/filepath"
	"testing"

	"knobwright/firmware"
)

// TestImages builds each core anew, in another folder, and wants the bytes that are built in. Without the compiler it is skipped.
func TestImages(t *testing.T) {
	for name, c := range cores {
		t.Run(name, func(t *testing.T) {
			if err := c.at(); err != nil {
				t.Skipf("SKIPPED: %v; the image that is built in was not compared with its sources", err)
			}
			source := filepath.Join(t.TempDir(), "elsewhere")
			if err := os.CopyFS(source, os.DirFS("..")); err != nil {
				t.Fatal(err)
			}
			dir := filepath.Join(t.TempDir(), "images") // a core may lie in another folder beside that of the images
			if err := errors.Join(os.Mkdir(dir, 0o700), os.Mkdir(filepath.Join(dir, "../rig"), 0o700)); err != nil {
				t.Fatal(err)
			}
			if err := make1(name, source, dir); err != nil {
				t.Fatal(err)
			}
			got, err := os.ReadFile(filepath.Join(dir, c.image))
			if err != nil {
				t.Fatal(err)
			}
			want, err := os.ReadFile(filepath.Join("..", "images", c.image))
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(got, want) {
				t.Fatalf("firmware/images/%s (%d bytes) is not what the sources make (%d bytes): go run ./firmware/build", c.image, len(want), len(got))
			}
			t.Logf("%s: %d bytes", c.image, len(got))
		})
	}
}

// TestBootCRC holds the checksum against a published value: that of "123456789" under these rules, which catalogues of checksums call
// CRC-32/MPEG-2.
func TestBootCRC(t *testing.T) {
	if got := bootCRC([]byte("123456789")); got != 0x0376E6E7 {
		t.Errorf("%08X", got)
	}
	core, ok := firmware.Core(firmware.RP2040)
	if !ok {
		t.Fatal("no core for the RP2040")
	}
	if got, want := bootCRC(core[:252]), binary.LittleEndian.Uint32(core[252:]); got != want {
		t.Errorf("the boot block's checksum is %08X, not %08X", want, got)
	}
}
