//go:build !linux

package packet

import "errors"

// exchange is not to be had here; the caller renames twice.
var exchange = func(a, b string) error { return errors.ErrUnsupported }
