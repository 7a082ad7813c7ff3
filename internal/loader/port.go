package loader

import (
	"os"
	"slices"
	"time"
)

// Port is an open serial port. A Read waits two seconds at most and then gives io.EOF.
type Port struct{ *os.File }

// readWait is how long a Read waits.
const readWait = 2 * time.Second

// Touch opens a port at 1200 baud and closes it, which asks a running program to restart into its boot loader.
func Touch(name string) error {
	p, err := OpenPort(name, 1200)
	if err != nil {
		return err
	}
	time.Sleep(50 * time.Millisecond)
	return p.Close()
}

// AfterTouch waits for the port of a boot loader: one that was not there, or the same one anew. Where none comes, it is the same name.
func AfterTouch(name string, wait time.Duration) string {
	before := Ports()
	left := false
	for end := time.Now().Add(wait); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		now := Ports()
		if !slices.Contains(now, name) {
			left = true
		}
		for _, p := range now {
			if !slices.Contains(before, p) || left && p == name {
				time.Sleep(300 * time.Millisecond) // until its rights are set
				return p
			}
		}
	}
	return name
}
