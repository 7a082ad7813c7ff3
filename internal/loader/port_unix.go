//go:build linux || darwin

package loader

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"golang.org/x/sys/unix"
)

// OpenPort opens a serial port raw, eight bits, no parity, at a speed (boot loaders on USB pass it over). The name is that of its file, as
// it stands.
func OpenPort(name string, speed uint32) (*Port, error) {
	fd, err := unix.Open(name, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		return nil, err
	}
	t, err := unix.IoctlGetTermios(fd, getTermios)
	if err != nil {
		_ = unix.Close(fd)
		return nil, fmt.Errorf("it is no serial port: %w", err)
	}
	t.Iflag, t.Oflag, t.Lflag = 0, 0, 0
	t.Cflag = unix.CS8 | unix.CREAD | unix.CLOCAL | unix.HUPCL
	setSpeed(t, speed)
	t.Cc[unix.VMIN], t.Cc[unix.VTIME] = 0, uint8(readWait/(100*time.Millisecond))
	if err := unix.IoctlSetTermios(fd, setTermios, t); err != nil {
		_ = unix.Close(fd)
		return nil, err
	}
	if err := unix.SetNonblock(fd, false); err != nil {
		_ = unix.Close(fd)
		return nil, err
	}
	return &Port{os.NewFile(uintptr(fd), name)}, nil
}

// Ports lists serial ports on USB.
func Ports() []string {
	out, _ := filepath.Glob(portNames)
	return out
}

// freeBytes is what is left on the drive of a folder.
func freeBytes(dir string) (uint64, bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil || s.Bsize <= 0 {
		return 0, false
	}
	return s.Bavail * uint64(s.Bsize), true
}
