package rig

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"knobwright/firmware"
	"knobwright/internal/image"
	"knobwright/internal/thorough"
)

// A maker starts a back end with nothing on its pins; load gives it a table and starts it.
type maker struct {
	name  string
	chip  firmware.Chip
	start func(t testing.TB) *Back
	load  func(t testing.TB, b *Back, table []byte)
}

var makers = []maker{
	{"PC", firmware.Host, startHost, loadTable},
	{"WebAssembly", firmware.Host, startWasm, loadTable},
	{"RP2040", firmware.RP2040, startRP2040, loadImage(firmware.RP2040)},
	{"ATmega32U4", firmware.ATmega32U4, startAVR, loadImage(firmware.ATmega32U4)},
}

func skip(t testing.TB, format string, args ...any) {
	t.Helper()
	t.Skipf("SKIPPED: "+format, args...)
}

// daily are the tests that the emulators do on every run; more is done in avr and rp2040.
var daily = map[string][]string{"TestHeldAtStart": {"RP2040", "ATmega32U4"}, "TestDesk": {"ATmega32U4"}, "TestSameOnAll": {"ATmega32U4"}}

// each runs a test on every back end that can be had; most run on the emulators only where this run is to look at everything.
func each(t *testing.T, f func(t *testing.T, m maker)) {
	all, some := long() || thorough.Is(), daily[strings.Split(t.Name(), "/")[0]]
	for _, m := range makers {
		t.Run(m.name, func(t *testing.T) {
			if (m.name == "RP2040" || m.name == "ATmega32U4") && !all && !slices.Contains(some, m.name) {
				thorough.Only(t)
			}
			f(t, m)
		})
	}
}

// sources is where the C sources are: the sown faults put faulty copies elsewhere.
func sources() string {
	if dir := os.Getenv("KNOBWRIGHT_FIRMWARE"); dir != "" {
		return dir
	}
	return ".."
}

var (
	errNone = errors.New("not installed")
	scratch = sync.OnceValues(func() (string, error) { return os.MkdirTemp("", "rig") })
)

func TestMain(m *testing.M) {
	code := m.Run()
	if dir, err := scratch(); err == nil {
		_ = os.RemoveAll(dir)
	}
	os.Exit(code)
}

var sanitizers = []string{"-g", "-O1", "-fsanitize=address,undefined", "-fno-sanitize-recover=all"}

// compile builds objects one by one, so that the sown faults need to compile one file only.
func compile(root, out string, flags []string) error {
	var files []string
	for _, p := range []string{"core/*.c", "board/*.c", "rig/host/*.c"} {
		found, err := filepath.Glob(filepath.Join(root, p))
		if err != nil || len(found) == 0 {
			return fmt.Errorf("no %s: %w", p, err)
		}
		files = append(files, found...)
	}
	args := append([]string{"-std=c99", "-Wall", "-Wextra", "-Wshadow", "-Wconversion", "-Werror", "-I" + filepath.Join(root, "rig/host"), "-I" + filepath.Join(root, "core"), "-I" + filepath.Join(root, "board")}, flags...)
	if text, err := exec.Command("cc", append(append(args, files...), "-o", out)...).CombinedOutput(); err != nil {
		return fmt.Errorf("the firmware does not compile: %w\n%s", err, text)
	}
	return nil
}

var hostProgram = sync.OnceValues(func() (string, error) {
	if p := os.Getenv("KNOBWRIGHT_PANEL"); p != "" {
		return p, nil
	}
	if _, err := exec.LookPath("cc"); err != nil {
		return "", errNone
	}
	dir, err := scratch()
	if err != nil {
		return "", err
	}
	out := filepath.Join(dir, "panel")
	return out, compile(sources(), out, sanitizers)
})

func begin(t testing.TB, b *Back, err error) *Back {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	})
	return b
}

func startHost(t testing.TB) *Back {
	path, err := hostProgram()
	if errors.Is(err, errNone) {
		skip(t, "no C compiler (cc) is installed; the firmware on the PC was not tested")
	}
	if err != nil {
		t.Fatal(err)
	}
	b, err := Start("", path)
	return begin(t, b, err)
}

func startWasm(t testing.TB) *Back {
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: faults are sown in C only")
	}
	b, err := Wasm(context.Background())
	return begin(t, b, err)
}

func loadTable(t testing.TB, b *Back, table []byte) {
	t.Helper()
	if _, err := b.Ask("load " + strings.ToUpper(hex.EncodeToString(table))); err != nil {
		t.Fatal(err)
	}
}

func startRP2040(t testing.TB) *Back {
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: faults are sown in the firmware of the PC only")
	}
	node, err := exec.LookPath("node")
	if err != nil {
		skip(t, "node is not installed; nothing ran on the emulated RP2040")
	}
	if _, err := os.Stat("rp2040/node_modules/rp2040js"); err != nil {
		skip(t, "rp2040js is not installed (npm ci in firmware/rig/rp2040); nothing ran on the emulated RP2040")
	}
	if _, err := os.Stat("rp2040/rig.cjs"); err != nil {
		skip(t, "firmware/rig/rp2040 has no back end; nothing ran on the emulated RP2040")
	}
	b, err := Start("rp2040", node, "rig.cjs")
	return begin(t, b, err)
}

// avrProgram builds the program around simavr.
var avrProgram = sync.OnceValues(func() (string, error) {
	for _, tool := range []string{"cc", "pkg-config"} {
		if _, err := exec.LookPath(tool); err != nil {
			return "", errNone
		}
	}
	flags, err := exec.Command("pkg-config", "--cflags", "--libs", "simavr").Output()
	if err != nil {
		return "", errNone
	}
	files, err := filepath.Glob("avr/sim/*.c")
	if err != nil || len(files) == 0 {
		return "", errNone
	}
	dir, err := scratch()
	if err != nil {
		return "", err
	}
	out := filepath.Join(dir, "avr")
	args := append([]string{"-O2", "-std=gnu11", "-o", out}, files...)
	args = append(append(args, strings.Fields(string(flags))...), "-lelf")
	if text, err := exec.Command("cc", args...).CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, text)
	}
	return out, nil
})

func startAVR(t testing.TB) *Back {
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: faults are sown in the firmware of the PC only")
	}
	path, err := avrProgram()
	if errors.Is(err, errNone) {
		skip(t, "simavr (Debian libsimavr-dev, libelf-dev) or cc is not installed; nothing ran on the emulated ATmega32U4")
	}
	if err != nil {
		t.Fatal(err)
	}
	b, err := Start("", path)
	return begin(t, b, err)
}

// loadImage puts a core and a table into the file that a person would flash, and loads that.
func loadImage(chip firmware.Chip) func(testing.TB, *Back, []byte) {
	return func(t testing.TB, b *Back, table []byte) {
		t.Helper()
		code, ok := firmware.Core(chip)
		if !ok {
			skip(t, "there is no core for this chip yet")
		}
		info, err := firmware.ReadInfo(code)
		if err != nil {
			t.Fatal(err)
		}
		m, err := image.Place(image.Piece{Addr: info.Start, Data: code, Name: "core"}, image.Piece{Addr: info.Table, Data: table, Name: "table"})
		if err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(t.TempDir(), "image.uf2")
		out, err := image.WriteUF2(m, image.UF2Options{Family: image.RP2040, Sector: 4096, Fill: 0xFF})
		if chip == firmware.ATmega32U4 {
			name = strings.TrimSuffix(name, "uf2") + "hex"
			out, err = image.WriteHEX(m, image.HEXOptions{})
		}
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, out, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := b.Ask("image " + name); err != nil {
			t.Fatal(err)
		}
	}
}
