// Package thorough keeps the everyday test run short: what takes long and seldom finds anything is run where all is, by ./test.
package thorough

import (
	"flag"
	"os"
	"strconv"
	"testing"
)

// Is reports whether this run is to look at everything (THOROUGH is set, as ./test does).
func Is() bool { return os.Getenv("THOROUGH") != "" }

// Only leaves a test out of the everyday run, and says so.
func Only(t testing.TB) {
	t.Helper()
	if !Is() {
		t.Skip("SKIPPED: takes long; set THOROUGH=1, or run ./test")
	}
}

// Of gives the first of two where this run is to look at everything, else the second: how many rounds, which examples.
func Of[T any](all, everyday T) T {
	if Is() {
		return all
	}
	return everyday
}

// Draws lets each check of pgregory.net/rapid draw only so many examples in an everyday run, unless -rapid.checks says how many. It is for
// TestMain: flags are not read yet.
func Draws(n int) {
	f := flag.Lookup("rapid.checks")
	if Is() || f == nil {
		return
	}
	if err := f.Value.Set(strconv.Itoa(n)); err != nil {
		panic(err)
	}
}
