package carcass

import (
	"flag"
	"os"
	"testing"
)

// TestMain draws 25 random boxes for each form and joint unless -rapid.checks says otherwise, 5 with -short.
func TestMain(m *testing.M) {
	flag.Parse()
	if f := flag.Lookup("rapid.checks"); f != nil && f.Value.String() == f.DefValue {
		n := "25"
		if testing.Short() {
			n = "5"
		}
		if err := flag.Set("rapid.checks", n); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}
