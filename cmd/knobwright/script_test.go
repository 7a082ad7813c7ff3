package main

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"knobwright/examples"
	"knobwright/internal/thorough"
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
		Condition: func(c string) (bool, error) {
			if c == "thorough" { // a story that takes long stops in the middle of an everyday run
				return thorough.Is(), nil
			}
			return false, fmt.Errorf("nobody knows the condition %q", c)
		},
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
