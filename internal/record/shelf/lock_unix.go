//go:build unix

package shelf

import (
	"os"
	"syscall"
)

// lock holds the panel file so that another process of this tool waits; the panel file itself is not touched. Without it nothing is held.
func lock(panel string) func() {
	f, err := os.Open(panel)
	if err != nil {
		return func() {}
	}
	if syscall.Flock(int(f.Fd()), syscall.LOCK_EX) != nil {
		f.Close()
		return func() {}
	}
	return func() { f.Close() } // closing lets go
}
