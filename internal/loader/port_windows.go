package loader

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"time"

	"golang.org/x/sys/windows"
	"golang.org/x/sys/windows/registry"
)

// OpenPort opens a serial port raw, eight bits, no parity, at a speed (boot loaders on USB pass it over). The name is as the system has it:
// COM5.
func OpenPort(name string, speed uint32) (*Port, error) {
	path := name
	if !strings.HasPrefix(path, `\\`) {
		path = `\\.\` + name // without it COM10 and up are not found
	}
	p, err := windows.UTF16PtrFromString(path)
	if err != nil {
		return nil, err
	}
	h, err := windows.CreateFile(p, windows.GENERIC_READ|windows.GENERIC_WRITE, 0, nil, windows.OPEN_EXISTING, 0, 0)
	if err != nil {
		return nil, err
	}
	const (
		binary   = 1 << 0
		dataOn   = 1 << 4  // data terminal ready
		requests = 1 << 12 // request to send
		forever  = 1<<32 - 1
	)
	d := windows.DCB{DCBlength: 28}
	if err := windows.GetCommState(h, &d); err != nil {
		_ = windows.CloseHandle(h)
		return nil, fmt.Errorf("it is no serial port: %w", err)
	}
	d.BaudRate, d.ByteSize, d.Parity, d.StopBits, d.Flags = speed, 8, 0, 0, binary|dataOn|requests
	if err := windows.SetCommState(h, &d); err != nil {
		_ = windows.CloseHandle(h)
		return nil, err
	}
	// what is there at once, else the first byte within the time
	wait := windows.CommTimeouts{ReadIntervalTimeout: forever, ReadTotalTimeoutMultiplier: forever, ReadTotalTimeoutConstant: uint32(readWait / time.Millisecond)}
	if err := windows.SetCommTimeouts(h, &wait); err != nil {
		_ = windows.CloseHandle(h)
		return nil, err
	}
	return &Port{os.NewFile(uintptr(h), name)}, nil
}

// Ports lists serial ports on USB.
func Ports() []string {
	k, err := registry.OpenKey(registry.LOCAL_MACHINE, `HARDWARE\DEVICEMAP\SERIALCOMM`, registry.QUERY_VALUE)
	if err != nil {
		return nil
	}
	defer k.Close()
	devices, err := k.ReadValueNames(-1)
	if err != nil {
		return nil
	}
	var out []string
	for _, d := range devices {
		if name, _, err := k.GetStringValue(d); err == nil && strings.Contains(strings.ToUpper(d), "USB") {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// freeBytes is what is left on the drive of a folder.
func freeBytes(dir string) (uint64, bool) {
	p, err := windows.UTF16PtrFromString(dir)
	if err != nil {
		return 0, false
	}
	var free uint64
	err = windows.GetDiskFreeSpaceEx(p, &free, nil, nil)
	return free, err == nil
}
