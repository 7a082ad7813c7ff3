package loader

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/sys/unix"
)

// A port that is opened for real: a pseudo terminal with a simulated boot loader at its other end.
func TestPort(t *testing.T) {
	fd, err := unix.Open("/dev/ptmx", unix.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("SKIPPED: no pseudo terminals here (%v); opening a port was not tested", err)
	}
	master := os.NewFile(uintptr(fd), "ptmx")
	defer master.Close()
	if err := unix.IoctlSetPointerInt(fd, unix.TIOCSPTLCK, 0); err != nil {
		t.Skipf("SKIPPED: the pseudo terminal stays locked (%v)", err)
	}
	n, err := unix.IoctlGetInt(fd, unix.TIOCGPTN)
	if err != nil {
		t.Skipf("SKIPPED: the pseudo terminal has no number (%v)", err)
	}
	p, err := OpenPort(fmt.Sprintf("/dev/pts/%d", n), 57600)
	if err != nil {
		t.Fatal(err)
	}
	d, m := newDevice(), whole(t)
	go func() {
		buf := make([]byte, 256)
		for {
			k, err := master.Read(buf)
			if err != nil {
				return
			}
			_, _ = d.Write(buf[:k])
			if d.out.Len() > 0 {
				_, _ = io.Copy(master, &d.out)
			}
		}
	}()
	if err := (&AVR109{Port: p}).Flash(m); err != nil {
		t.Fatal(err)
	}
	if err := holds(d, m); err != nil {
		t.Error(err)
	}
	if err := p.Close(); err != nil {
		t.Error(err)
	}
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenPort(file, 57600); err == nil || errors.Is(err, os.ErrNotExist) {
		t.Errorf("a file is taken for a port: %v", err)
	}
	if _, err := OpenPort(filepath.Join(filepath.Dir(file), "none"), 57600); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("%v", err)
	}
}
