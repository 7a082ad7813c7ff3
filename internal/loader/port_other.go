//go:build !linux && !darwin && !windows

package loader

import "errors"

var errPorts = errors.New("serial ports are not opened on this system; flash the file with a tool of it: avrdude -c avr109 -p m32u4 -P PORT -U flash:w:firmware.hex:i")

// OpenPort opens a serial port.
func OpenPort(string, uint32) (*Port, error) { return nil, errPorts }

// Ports lists serial ports on USB.
func Ports() []string { return nil }

func freeBytes(string) (uint64, bool) { return 0, false }
