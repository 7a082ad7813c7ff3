// Command knobwright turns one text file that describes a hand-built control panel into a checked design and the papers to
// build it from.
//
// Exit codes: 0 nothing above a note, 1 warnings under --strict, 2 stops, 3 cannot read or understand what was asked.
package main

import (
	"io"
	"os"

	"golang.org/x/term"
)

// world is what the command may touch: handed in, so that tests can hand in theirs.
type world struct {
	in       io.Reader
	out, err io.Writer
	dir      string // the current folder
	terminal bool   // out is a terminal
	colour   bool
	width    int
}

// Exit codes.
const (
	exitFine     = 0
	exitWarnings = 1
	exitStops    = 2
	exitCannot   = 3
)

func main() { os.Exit(mainExit()) }

// mainExit runs the command with the real world and gives its exit code.
func mainExit() int {
	w := world{in: os.Stdin, out: os.Stdout, err: os.Stderr, dir: "."}
	if fd := int(os.Stdout.Fd()); term.IsTerminal(fd) {
		w.terminal = true
		w.colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
		if cols, _, err := term.GetSize(fd); err == nil {
			w.width = cols - 2
		}
	}
	return run(w, os.Args[1:])
}
