// Command build makes the cores of firmware/images out of their C sources. It is run in the repository's root:
//
//	go run ./firmware/build [-o DIR] [CHIP ...]
//
// The compilers are those of Debian 12; others are refused, because the images are compared byte for byte.
package main

import (
	"flag"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// core is how the image of one chip is made.
type core struct {
	image    string // name of the file
	compiler string
	pkg      string                                   // Debian's package of it
	version  string                                   // what -dumpfullversion must say
	build    func(source, dir string) ([]byte, error) // from the sources in firmware/, with room for files in dir
}

var cores = map[string]core{
	"panel":      {"../rig/panel.wasm", "clang", "clang, lld, wasi-libc, libclang-rt-14-dev-wasm32", "14.0.6", buildPanel},
	"atmega32u4": {"atmega32u4.bin", "avr-gcc", "gcc-avr, avr-libc", "5.4.0", buildAVR},
	"rp2040":     {"rp2040.bin", "arm-none-eabi-gcc", "gcc-arm-none-eabi", "12.2.1", buildRP2040},
}

func main() {
	out := flag.String("o", "firmware/images", "folder to write to")
	source := flag.String("source", "firmware", "folder of the sources")
	flag.Parse()
	names := flag.Args()
	if len(names) == 0 {
		names = slices.Sorted(maps.Keys(cores))
	}
	for _, name := range names {
		if err := make1(name, *source, *out); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}

func make1(name, source, out string) error {
	c, ok := cores[name]
	if !ok {
		return fmt.Errorf("no chip %q; there are %v", name, slices.Sorted(maps.Keys(cores)))
	}
	if err := c.at(); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "core")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	image, err := c.build(source, dir)
	if err != nil {
		return err
	}
	if name == "atmega32u4" {
		if err := writeHEX(filepath.Join(out, name+".hex"), image); err != nil {
			return err
		}
	}
	return os.WriteFile(filepath.Join(out, c.image), image, 0o644)
}

// at says whether the right compiler is at hand.
func (c core) at() error {
	ask := []string{"-dumpfullversion", "-dumpversion"}
	if c.compiler == "clang" {
		ask = ask[1:]
	}
	b, err := exec.Command(c.compiler, ask...).Output()
	if err != nil {
		return fmt.Errorf("%s is not installed (Debian %s)", c.compiler, c.pkg)
	}
	if got := strings.TrimSpace(string(b)); got != c.version {
		return fmt.Errorf("%s is %s; the images are built with %s, of Debian 12", c.compiler, got, c.version)
	}
	return nil
}

// run runs a tool and puts what it says into the error.
func run(dir, tool string, args ...string) error {
	cmd := exec.Command(tool, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "LC_ALL=C", "SOURCE_DATE_EPOCH=0")
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("%s %s: %w\n%s", tool, strings.Join(args, " "), err, out)
	}
	return nil
}
