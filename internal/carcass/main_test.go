package carcass

import (
	"flag"
	"os"
	"testing"

	"knobwright/internal/thorough"
)

// TestMain draws 25 random boxes for each form and joint, 6 in an everyday run, unless -rapid.checks says otherwise; with -short rapid takes a fifth of them.
func TestMain(m *testing.M) {
	flag.Parse()
	if f := flag.Lookup("rapid.checks"); f != nil && f.Value.String() == f.DefValue {
		if err := flag.Set("rapid.checks", thorough.Of("25", "6")); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
