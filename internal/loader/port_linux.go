package loader

import "golang.org/x/sys/unix"

const (
	getTermios, setTermios = unix.TCGETS, unix.TCSETS
	portNames              = "/dev/ttyACM*"
)

func setSpeed(t *unix.Termios, speed uint32) {
	bits := uint32(unix.B57600)
	if speed == 1200 {
		bits = unix.B1200
	}
	t.Cflag |= bits
	t.Ispeed, t.Ospeed = speed, speed
}
