// Package avr tests the core for the ATmega32U4 on an emulated chip: a program on libsimavr, built by the test from the C files of sim/.
package avr

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"knobwright/firmware"
	"knobwright/firmware/rig"
	"knobwright/internal/image"
)

const tableAt = 0x6000

var dir string // of the program

var built = sync.OnceValues(func() (string, error) {
	for _, tool := range []string{"gcc", "pkg-config"} {
		if _, err := exec.LookPath(tool); err != nil {
			return "", fmt.Errorf("%s is not installed", tool)
		}
	}
	flags, err := exec.Command("pkg-config", "--cflags", "--libs", "simavr").Output()
	if err != nil {
		return "", fmt.Errorf("libsimavr-dev is not installed")
	}
	files, err := filepath.Glob("sim/*.c")
	if err != nil {
		return "", err
	}
	out := filepath.Join(dir, "rig")
	args := append([]string{"-std=gnu11", "-O2", "-Wall", "-Wextra", "-Werror", "-o", out}, files...)
	args = append(append(args, strings.Fields(string(flags))...), "-lelf")
	if text, err := exec.Command("gcc", args...).CombinedOutput(); err != nil {
		if strings.Contains(string(text), "-lelf") {
			return "", fmt.Errorf("libelf-dev is not installed")
		}
		return "", fmt.Errorf("%w\n%s", err, text)
	}
	return out, nil
})

func TestMain(m *testing.M) {
	var err error
	if dir, err = os.MkdirTemp("", "avr"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	code := m.Run()
	_ = os.RemoveAll(dir)
	os.Exit(code)
}

// module is an emulated chip with what is wired to it.
type module struct {
	*rig.Back
	t testing.TB
}

// start starts an emulated chip; without simavr the test is skipped. The crystal has 16 MHz, or what is said.
func start(t testing.TB, hz ...int) *module {
	t.Helper()
	program, err := built()
	if err != nil {
		if strings.Contains(err.Error(), "not installed") {
			t.Skipf("SKIPPED: %v (Debian gcc, pkg-config, libsimavr-dev, libelf-dev); the core for the ATmega32U4 was not run", err)
		}
		t.Fatal(err)
	}
	var args []string
	for _, f := range hz {
		args = append(args, fmt.Sprint(f))
	}
	b, err := rig.Start("", program, args...)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := b.Close(); err != nil {
			t.Error(err)
		}
	})
	return &module{b, t}
}

// load loads the core with a table, which may be nil, and further pieces, and lets it start.
func (m *module) load(table []byte, more ...image.Piece) {
	m.t.Helper()
	m.loadCore(theCore(m.t), table, more...)
}

// theCore is the core that is built in, or another that a test asks for.
func theCore(t testing.TB) []byte {
	t.Helper()
	if name := os.Getenv("KNOBWRIGHT_CORE_ATMEGA32U4"); name != "" {
		core, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		return core
	}
	core, ok := firmware.Core(firmware.ATmega32U4)
	if !ok {
		t.Fatal("no core")
	}
	return core
}

func (m *module) loadCore(core, table []byte, more ...image.Piece) {
	m.t.Helper()
	pieces := append([]image.Piece{{Name: "core", Data: core}}, more...)
	if len(table) > 0 {
		pieces = append(pieces, image.Piece{Name: "table", Addr: tableAt, Data: table})
	}
	im, err := image.Place(pieces...)
	if err != nil {
		m.t.Fatal(err)
	}
	data, err := image.WriteHEX(im, image.HEXOptions{})
	if err != nil {
		m.t.Fatal(err)
	}
	name := filepath.Join(m.t.TempDir(), "image.hex")
	if err := os.WriteFile(name, data, 0o600); err != nil {
		m.t.Fatal(err)
	}
	m.say("image "+name, "run 150000")
}

// say sends lines and gives the answer to the last.
func (m *module) say(lines ...string) string {
	m.t.Helper()
	got, err := m.Ask(lines...)
	if err != nil {
		m.t.Fatal(err)
	}
	return got[len(got)-1]
}

// sayf sends one line.
func (m *module) sayf(format string, args ...any) string {
	m.t.Helper()
	return m.say(fmt.Sprintf(format, args...))
}

// want compares the answer to a line.
func (m *module) want(answer, format string, args ...any) {
	m.t.Helper()
	if got := m.sayf(format, args...); !strings.EqualFold(got, answer) {
		m.t.Errorf("%s: %q, not %q", fmt.Sprintf(format, args...), got, answer)
	}
}

// data gives the bytes that a line is answered with.
func (m *module) data(format string, args ...any) []byte {
	m.t.Helper()
	got := m.sayf(format, args...)
	text, ok := strings.CutPrefix(got, "data ")
	b, err := hex.DecodeString(text)
	if !ok || err != nil {
		m.t.Fatalf("%s: %q", fmt.Sprintf(format, args...), got)
	}
	return b
}

// join enumerates.
func (m *module) join() {
	m.t.Helper()
	if _, _, err := m.Enumerate(7); err != nil {
		m.t.Fatal(err)
	}
}

// last gives the last report that waits, or nil.
func (m *module) last() []byte {
	m.t.Helper()
	var last []byte
	for range 50 {
		r, err := m.In(1)
		if err != nil {
			m.t.Fatal(err)
		}
		if r.Kind != "data" {
			return last
		}
		last = bytes.Clone(r.Data)
		m.say("run 1000")
	}
	m.t.Fatal("reports without end")
	return nil
}

// identity asks the bench's interface.
func (m *module) identity(bench int) rig.Identity {
	m.t.Helper()
	id, err := rig.ReadIdentity(m.data("setup A101F003%02X001500", bench))
	if err != nil {
		m.t.Fatal(err)
	}
	return id
}

// mostStack is what the core may use of its stack: of 2560 bytes of memory the build leaves it 560 at least.
const mostStack = 300

// clean demands that nothing was done that the chip does not allow, and that the stack had room.
func (m *module) clean() {
	m.t.Helper()
	if got := m.say("lint"); got != "lint 0" {
		m.t.Errorf("misuse of the chip:\n%s", got)
	}
	var average, worst, stack int
	if _, err := fmt.Sscanf(m.say("cycles"), "cycles %d %d %d", &average, &worst, &stack); err != nil || stack <= 0 || stack > mostStack {
		m.t.Errorf("%d bytes of stack were used, of %d; %v", stack, mostStack, err)
	}
}

// loaderAt is something that stands where a boot loader stands: a jump to itself.
func loaderAt(at uint32) image.Piece {
	return image.Piece{Name: "boot loader", Addr: at, Data: []byte{0xFF, 0xCF}}
}
