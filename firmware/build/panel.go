package main

import (
	"os"
	"path/filepath"
	"slices"
)

var flagsPanel = []string{
	"--target=wasm32-wasi", "--sysroot=/usr", "-std=c99", "-Os", "-Wall", "-Wextra", "-Wshadow", "-Werror", "-Irig/host", "-Icore", "-Iboard",
}

// buildPanel makes the firmware of the PC, with all that hangs on its pins, as WebAssembly: the simulated panel of package rig.
func buildPanel(source, dir string) ([]byte, error) {
	var files []string
	for _, pattern := range []string{"core/*.c", "board/*.c", "rig/host/*.c"} {
		found, err := filepath.Glob(filepath.Join(source, pattern))
		if err != nil {
			return nil, err
		}
		for _, f := range found {
			name, err := filepath.Rel(source, f)
			if err != nil {
				return nil, err
			}
			files = append(files, filepath.ToSlash(name))
		}
	}
	slices.Sort(files)
	out := filepath.Join(dir, "panel.wasm")
	if err := run(source, "clang", slices.Concat(flagsPanel, files, []string{"-Wl,--strip-all", "-o", out})...); err != nil {
		return nil, err
	}
	return os.ReadFile(out)
}
