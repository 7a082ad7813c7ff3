//go:build linux

package device

import (
	"errors"
	"io"
	"os"
	"syscall"
	"unsafe"
)

// System is the tree of this computer.
func System() (Tree, error) { return Tree{Sys: "/sys", Dev: "/dev"}, nil }

// feature asks the kernel for a feature report: HIDIOCGFEATURE, _IOC(READ|WRITE, 'H', 0x07, size). Source: linux/hidraw.h.
func feature(f io.ReadWriteCloser, id byte, size int) ([]byte, error) {
	file, ok := f.(*os.File)
	if !ok {
		return nil, errNoIoctl
	}
	b := make([]byte, size)
	b[0] = id
	conn, err := file.SyscallConn()
	if err != nil {
		return nil, err
	}
	n, code := uintptr(0), syscall.Errno(0)
	request := uintptr(3)<<30 | uintptr(size)<<16 | uintptr('H')<<8 | 7
	if err := conn.Control(func(fd uintptr) {
		n, _, code = syscall.Syscall(syscall.SYS_IOCTL, fd, request, uintptr(unsafe.Pointer(&b[0])))
	}); err != nil {
		return nil, err
	}
	if code != 0 {
		return nil, code
	}
	return b[:min(int(n), size)], nil
}

// gone tells whether an error means that the device is not there any more.
func gone(err error) bool {
	return errors.Is(err, syscall.ENODEV) || errors.Is(err, syscall.EIO) || errors.Is(err, syscall.ENXIO) || errors.Is(err, os.ErrClosed)
}
