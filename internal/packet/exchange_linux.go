package packet

import "golang.org/x/sys/unix"

// exchange swaps two folders in one step that cannot be seen half-done. It is a variable so that tests can take it away.
var exchange = func(a, b string) error {
	return unix.Renameat2(unix.AT_FDCWD, a, unix.AT_FDCWD, b, unix.RENAME_EXCHANGE)
}
