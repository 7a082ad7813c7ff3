//go:build !linux

package loader

import (
	"errors"
	"os"
	"time"
)

// Port is an open serial port.
type Port struct{ *os.File }

var errPorts = errors.New("serial ports are opened on Linux only; flash the file with a tool of your system: avrdude -c avr109 -p m32u4 -P PORT -U flash:w:firmware.hex:i")

// OpenPort opens a serial port.
func OpenPort(string, uint32) (*Port, error) { return nil, errPorts }

// Touch asks a running program to restart into its boot loader.
func Touch(string) error { return errPorts }

// Ports lists serial ports on USB.
func Ports() []string { return nil }

// AfterTouch waits for the port of a boot loader.
func AfterTouch(path string, _ time.Duration) string { return path }

func freeBytes(string) (uint64, bool) { return 0, false }
