package main

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"knobwright/examples"
)

var update = flag.Bool("update", false, "write what the commands say into the scripts; then read the difference")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"knobwright": func() { os.Exit(mainExit()) }})
}

// Each script tells one story of the command line. The examples lie in the folder that a script starts in.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(e *testscript.Env) error {
			for _, n := range examples.Names() {
				if err := os.WriteFile(filepath.Join(e.WorkDir, n+".yaml"), examples.File(n), 0o644); err != nil {
					return err
				}
			}
			return nil
		},
	})
}
