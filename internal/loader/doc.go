// Package loader puts an image on a module: it copies a UF2 file to the drive that a boot loader shows, or speaks AVR109 over a serial
// port. It is at the rim: it touches drives and ports. What is right and what is wrong with an image is looked at before the first byte
// leaves, and whatever happens after that leaves the module's boot loader whole: errors say how to begin again.
package loader

import "fmt"

// Progress is told how much of how much is done: bytes.
type Progress func(step string, done, total int)

// Broken is an error in mid-flash, with what to do next.
type Broken struct {
	Say string // what happened
	Do  string // how to begin again
	Err error  // the cause, if there is one
}

// Error says what happened.
func (b *Broken) Error() string {
	if b.Err != nil {
		return fmt.Sprintf("%s (%v)", b.Say, b.Err)
	}
	return b.Say
}

// Unwrap gives the cause.
func (b *Broken) Unwrap() error { return b.Err }

// Wrong is a drive, a port or an image that does not go together; nothing was written.
type Wrong struct {
	Say, Hint string
}

// Error says what is wrong.
func (w *Wrong) Error() string { return w.Say }
