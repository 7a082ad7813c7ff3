package loader

import "golang.org/x/sys/unix"

// Names of the call-out side of serial ports on USB; the other side waits for a carrier.
const (
	getTermios, setTermios = unix.TIOCGETA, unix.TIOCSETA
	portNames              = "/dev/cu.usbmodem*"
)

func setSpeed(t *unix.Termios, speed uint32) { t.Ispeed, t.Ospeed = uint64(speed), uint64(speed) }
