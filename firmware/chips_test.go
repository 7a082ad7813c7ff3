package firmware

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestChips compiles the core for both chips under strict flags, and holds its size against what it may take: of the ATmega32U4's 28 KiB
// of flash and 2560 bytes of memory, and of the RP2040's 60 KiB for the core. Constants count as memory on the ATmega32U4, where the
// compiler copies them. It must need nothing from outside but the compiler's own helpers: no heap, no files, no floating point.
func TestChips(t *testing.T) {
	for _, c := range []struct {
		chip, cc, pkg string
		flags         []string
		flash, memory int
	}{
		{"ATmega32U4", "avr-gcc", "gcc-avr, avr-libc", []string{"-mmcu=atmega32u4"}, 14 << 10, 1000},
		{"RP2040", "arm-none-eabi-gcc", "gcc-arm-none-eabi", []string{"-mcpu=cortex-m0plus", "-mthumb", "-Wconversion"}, 10 << 10, 2000},
	} {
		t.Run(c.chip, func(t *testing.T) {
			cc, err := exec.LookPath(c.cc)
			if err != nil {
				t.Skipf("SKIPPED: %s (Debian %s) is not installed; the core was not compiled for %s", c.cc, c.pkg, c.chip)
			}
			files, err := filepath.Glob("core/*.c")
			if err != nil || len(files) < 5 {
				t.Fatalf("%v, %v", files, err)
			}
			dir := t.TempDir()
			flash, memory := 0, 0
			helper := regexp.MustCompile(`^(kw_\w+|__\w+|memset|memcpy)$`)
			for _, f := range files {
				o := filepath.Join(dir, strings.TrimSuffix(filepath.Base(f), ".c")+".o")
				args := append([]string{"-std=c99", "-Os", "-Wall", "-Wextra", "-Wpedantic", "-Wshadow", "-Werror", "-ffreestanding", "-c", f, "-o", o}, c.flags...)
				if out, err := exec.Command(cc, args...).CombinedOutput(); err != nil {
					t.Fatalf("%v\n%s", err, out)
				}
				out, err := exec.Command(strings.TrimSuffix(c.cc, "gcc")+"size", "-A", o).Output()
				if err != nil {
					t.Fatal(err)
				}
				for line := range strings.Lines(string(out)) {
					var name string
					var n int
					if _, err := fmt.Sscan(line, &name, &n); err != nil {
						continue
					}
					switch {
					case strings.HasPrefix(name, ".text"):
						flash += n
					case strings.HasPrefix(name, ".rodata"), strings.HasPrefix(name, ".progmem"):
						flash += n
						if c.chip == "ATmega32U4" {
							memory += n
						}
					case strings.HasPrefix(name, ".data"):
						flash += n
						memory += n
					case strings.HasPrefix(name, ".bss"), strings.HasPrefix(name, "COMMON"):
						memory += n
					}
				}
				out, err = exec.Command(strings.TrimSuffix(c.cc, "gcc")+"nm", "-u", o).Output()
				if err != nil {
					t.Fatal(err)
				}
				for line := range strings.Lines(string(out)) {
					name := strings.TrimPrefix(strings.TrimSpace(line), "U ")
					if !helper.MatchString(name) || strings.Contains(name, "float") || strings.Contains(name, "double") ||
						regexp.MustCompile(`__(aeabi_[df]|(add|sub|mul|div)[sd]f)`).MatchString(name) {
						t.Errorf("%s needs %s", f, name)
					}
				}
			}
			t.Logf("%s: %d bytes of flash, %d of memory", c.chip, flash, memory)
			if flash > c.flash || memory > c.memory || flash == 0 || memory == 0 {
				t.Errorf("%d bytes of flash of %d, %d of memory of %d", flash, c.flash, memory, c.memory)
			}
		})
	}
}
