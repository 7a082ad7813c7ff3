package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"knobwright/internal/image"
	"knobwright/internal/loader"
	"knobwright/internal/terminal"
	"knobwright/internal/trade/firmware"
)

type flashCmd struct {
	Image string `arg:"" help:"The image: firmware.uf2 or firmware.hex out of the packet."`
	To    string `help:"The folder where the module's drive is mounted, or a serial port." placeholder:"DIR|PORT"`
	Wait  int    `help:"Seconds to wait for the module to restart after the last block." default:"8"`
	Touch bool   `help:"Ask the program that runs on the module to start the boot loader first (serial ports)."`
}

// Help is shown below the flags.
func (c *flashCmd) Help() string {
	return "A UF2 file is copied to the drive that an RP2040 shows while its BOOT button is held at plugging in. A HEX file goes through the serial boot loader of " +
		"an ATmega32U4: press RESET twice, quickly, and run this within some seconds. What is in the image, and what is at the other end, is looked at before anything is written."
}

// mostImage is the size up to which a file is read as an image: twice what the largest would have.
const mostImage = 64 << 20

// readImage reads an image file.
func (w *world) readImage(path string) ([]byte, error) {
	full := path
	if !filepath.IsAbs(full) {
		full = filepath.Join(w.dir, path)
	}
	st, err := os.Stat(full)
	if err != nil {
		return nil, usage{say: fmt.Sprintf("%s cannot be read: %s.", path, reason(err))}
	}
	if st.IsDir() {
		u := usage{say: path + " is a folder, not an image."}
		for _, name := range []string{"firmware.uf2", "firmware.hex"} {
			if _, err := os.Stat(filepath.Join(full, name)); err == nil {
				u.hint = "the image in it: " + filepath.Join(path, name)
			}
		}
		return nil, u
	}
	if !st.Mode().IsRegular() || st.Size() > mostImage {
		return nil, usage{say: path + " is no image: it is not an ordinary file of up to 64 MiB."}
	}
	b, err := os.ReadFile(full)
	if err != nil {
		return nil, usage{say: fmt.Sprintf("%s cannot be read: %s.", path, reason(err))}
	}
	return b, nil
}

// notImage says why a file is no image.
func notImage(path string, err error) error {
	u := usage{say: fmt.Sprintf("%s cannot be flashed: %v.", path, err), hint: "knobwright make panel.yaml    writes firmware.uf2 or firmware.hex into the packet"}
	if ext := strings.ToLower(filepath.Ext(path)); ext == ".yaml" || ext == ".yml" {
		u.say = path + " is a panel file; what goes on the module is the image out of its packet."
	}
	return u
}

func (c *flashCmd) Run(w *world, a *app) error {
	file, err := w.readImage(c.Image)
	if err != nil {
		return err
	}
	e, err := firmware.Explain(file)
	if err != nil {
		return notImage(c.Image, err)
	}
	if c.To == "" {
		return noTarget(e.Format)
	}
	if !a.JSON {
		fmt.Fprintf(w.out, "%s for %s: %s, serial %s.\n", terminal.Clean(filepath.Base(c.Image)), e.Chip, terminal.Clean(e.Name), e.Serial)
		if !e.HasCore {
			fmt.Fprintln(w.out, "The image holds the table only: the module must have the core already.")
		}
	}
	if e.Format == "UF2" {
		err = c.drive(w, a, file)
	} else {
		err = c.port(w, a, file)
	}
	return flashSays(err)
}

// noTarget says what could be flashed to.
func noTarget(format string) error {
	u := usage{say: "Say where the module is: --to DIR for its drive, --to PORT for its serial port."}
	if format == "UF2" {
		for _, d := range loader.Drives() {
			u.hint += "--to " + d.Dir + "    a drive of board " + d.Board + "\n"
		}
		if u.hint == "" {
			u.hint = "No drive of a boot loader is mounted. Hold the module's BOOT button down while you plug it in."
		}
		return u
	}
	for _, p := range loader.Ports() {
		u.hint += "--to " + p + "\n"
	}
	if u.hint == "" {
		u.hint = "No serial port on USB is there. Press RESET on the module twice, quickly."
	}
	return u
}

// flashSays turns what went wrong into what is told.
func flashSays(err error) error {
	var broken *loader.Broken
	var wrong *loader.Wrong
	switch {
	case errors.As(err, &broken):
		return usage{say: broken.Error(), hint: strings.Join(terminal.Wrap(broken.Do, 70), "\n")}
	case errors.As(err, &wrong):
		return usage{say: wrong.Say, hint: strings.Join(terminal.Wrap(wrong.Hint, 70), "\n")}
	}
	return err
}

// bar shows progress on a terminal, one line that is written over; elsewhere each step once.
func (w *world) bar(quiet bool) loader.Progress {
	last := ""
	return func(step string, done, total int) {
		switch {
		case quiet:
		case w.terminal:
			fmt.Fprintf(w.out, "\r%-14s %3d %%  %d of %d bytes", step, done*100/max(1, total), done, total)
			if done == total {
				fmt.Fprintln(w.out)
			}
		case step != last || done == total:
			if done == total {
				fmt.Fprintf(w.out, "%s: %d bytes\n", step, total)
			}
		}
		last = step
	}
}

func (c *flashCmd) drive(w *world, a *app, file []byte) error {
	dir := c.To
	if !filepath.IsAbs(dir) {
		dir = filepath.Join(w.dir, dir)
	}
	if st, err := os.Stat(dir); err == nil && st.Mode()&os.ModeDevice != 0 {
		return usage{say: c.To + " is a port; a UF2 file goes to a drive.", hint: "Hold the module's BOOT button down while you plug it in; its drive appears."}
	}
	out, err := loader.Copy{Tell: w.bar(a.JSON), Wait: time.Duration(max(0, min(c.Wait, 600)))*time.Second + time.Millisecond}.To(dir, file)
	if err != nil {
		return err
	}
	return w.flashed(a, map[string]any{"to": c.To, "restarted": out.Restarted, "compared": out.Compared},
		map[bool]string{
			true:  "The module has taken it and restarted. Test each control now: the mapping is in mapping.pdf.",
			false: "The file on the drive was read back and is the same. The module has not restarted: if this is its drive, unplug it and plug it in again.",
		}[out.Restarted])
}

func (c *flashCmd) port(w *world, a *app, file []byte) error {
	h, err := image.ReadHEX(file)
	if err != nil {
		return notImage(c.Image, err)
	}
	if st, err := os.Stat(c.To); err == nil && st.IsDir() {
		return usage{say: c.To + " is a folder; a HEX file goes through a serial port.", hint: "--to /dev/ttyACM0, for instance"}
	}
	port := c.To
	if c.Touch {
		if err := loader.Touch(port); err != nil {
			return usage{say: fmt.Sprintf("%s cannot be opened: %s.", port, reason(err))}
		}
		port = loader.AfterTouch(port, 8*time.Second)
	}
	p, err := loader.OpenPort(port, 57600)
	if err != nil {
		u := usage{say: fmt.Sprintf("%s cannot be opened: %s.", port, reason(err))}
		if errors.Is(err, os.ErrNotExist) {
			u.hint = noTarget("Intel HEX").(usage).hint
		}
		if errors.Is(err, os.ErrPermission) {
			u.hint = "On many systems your user must be in the group dialout (or uucp) for that."
		}
		return u
	}
	defer p.Close()
	v := &loader.AVR109{Port: io.ReadWriter(p), Tell: w.bar(a.JSON)}
	if _, err := v.Hello(); err != nil {
		return err
	}
	if err := v.Flash(h.Image); err != nil {
		return err
	}
	return w.flashed(a, map[string]any{"to": port, "restarted": true, "compared": true}, "Every byte was read back and is right. The module restarts. Test each control now: the mapping is in mapping.pdf.")
}

// flashed tells that it is done.
func (w *world) flashed(a *app, data map[string]any, say string) error {
	if a.JSON {
		return json.NewEncoder(w.out).Encode(data)
	}
	for _, l := range terminal.Wrap(say, 76) {
		fmt.Fprintln(w.out, l)
	}
	return nil
}

// isImage reports whether an argument of explain is a file rather than a rule.
func isImage(arg string) bool {
	switch strings.ToLower(filepath.Ext(arg)) {
	case ".uf2", ".hex", ".ihex":
		return true
	}
	return false
}

// explainImage tells what an image does, in words.
func (w *world) explainImage(a *app, path string) error {
	file, err := w.readImage(path)
	if err != nil {
		return err
	}
	e, err := firmware.Explain(file)
	if err != nil {
		u := notImage(path, err).(usage)
		u.say = strings.Replace(u.say, "cannot be flashed", "cannot be explained", 1)
		return u
	}
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		return enc.Encode(e)
	}
	for _, l := range strings.Split(strings.TrimRight(e.Text(), "\n"), "\n") {
		if strings.TrimSpace(l) == "" {
			fmt.Fprintln(w.out)
			continue
		}
		indent := l[:len(l)-len(strings.TrimLeft(l, " "))]
		for i, t := range terminal.Wrap(terminal.Clean(strings.TrimSpace(l)), 76) {
			if i > 0 {
				indent = strings.Repeat(" ", len(indent)+2)
			}
			fmt.Fprintln(w.out, strings.TrimRight(indent+t, " "))
		}
	}
	return nil
}
