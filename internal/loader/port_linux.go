package loader

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"time"

	"golang.org/x/sys/unix"
)

// Port is an open serial port. A Read waits two seconds at most and then gives io.EOF.
type Port struct{ *os.File }

// OpenPort opens a serial port raw, eight bits, no parity, at a speed (boot loaders on USB pass it over).
func OpenPort(path string, speed uint32) (*Port, error) {
	fd, err := unix.Open(path, unix.O_RDWR|unix.O_NOCTTY|unix.O_NONBLOCK|unix.O_CLOEXEC, 0)
	if err != nil {
		return nil, err
	}
	t, err := unix.IoctlGetTermios(fd, unix.TCGETS)
	if err != nil {
		_ = unix.Close(fd)
		return nil, fmt.Errorf("it is no serial port: %w", err)
	}
	t.Iflag, t.Oflag, t.Lflag = 0, 0, 0
	t.Cflag = unix.CS8 | unix.CREAD | unix.CLOCAL | unix.HUPCL | speedBits(speed)
	t.Ispeed, t.Ospeed = speed, speed
	t.Cc[unix.VMIN], t.Cc[unix.VTIME] = 0, 20
	if err := unix.IoctlSetTermios(fd, unix.TCSETS, t); err != nil {
		_ = unix.Close(fd)
		return nil, err
	}
	if err := unix.SetNonblock(fd, false); err != nil {
		_ = unix.Close(fd)
		return nil, err
	}
	return &Port{os.NewFile(uintptr(fd), path)}, nil
}

func speedBits(speed uint32) uint32 {
	if speed == 1200 {
		return unix.B1200
	}
	return unix.B57600
}

// Touch opens a port at 1200 baud and closes it, which asks a running program to restart into its boot loader.
func Touch(path string) error {
	p, err := OpenPort(path, 1200)
	if err != nil {
		return err
	}
	time.Sleep(50 * time.Millisecond)
	return p.Close()
}

// Ports lists serial ports on USB.
func Ports() []string {
	out, _ := filepath.Glob("/dev/ttyACM*")
	return out
}

// AfterTouch waits for the port of a boot loader: one that was not there, or the same one anew.
func AfterTouch(path string, wait time.Duration) string {
	before := Ports()
	left := false
	for end := time.Now().Add(wait); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		now := Ports()
		if !slices.Contains(now, path) {
			left = true
		}
		for _, p := range now {
			if !slices.Contains(before, p) || left && p == path {
				time.Sleep(300 * time.Millisecond) // until its rights are set
				return p
			}
		}
	}
	return path
}

// freeBytes is what is left on the drive of a folder.
func freeBytes(dir string) (uint64, bool) {
	var s unix.Statfs_t
	if err := unix.Statfs(dir, &s); err != nil || s.Bsize <= 0 {
		return 0, false
	}
	return s.Bavail * uint64(s.Bsize), true
}
