package rp2040

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// faults are small mistakes that could be made in what belongs to this chip. They are sown one at a time; each must make its test fail.
var faults = []struct{ test, file, right, wrong string }{
	{"Enumeration", "device.c", "\t*control = value;\n\t/*", "\t/*"},
	{"Enumeration", "device.c", "\tREG(USB_STALL_ARM) = 3;\n", ""},
	{"Enumeration", "device.c", "FULL | (zero.pid ? DATA1 : 0) | n);\n\tzero.pid = !zero.pid;", "FULL | (zero.pid ? DATA1 : 0) | n);"},
	{"Enumeration", "device.c", "if (n < PACKET0)\n\t\tzero.empty_last", "if (n <= PACKET0)\n\t\tzero.empty_last"},
	{"Enumeration", "device.c", "if (address != 0x80)", "if (address == 0x7F)"},
	{"Requests", "device.c", "\tin[n].pid = !in[n].pid;\n", ""},
	{"Requests", "device.c", "\tout[n].pid = !out[n].pid;\n", ""},
	{"Requests", "device.c", "\te->pid = false;\n\te->halted", "\te->halted"},
	{"Requests", "device.c", "else if (e->busy)", "else if (e->halted)"},
	{"Requests", "device.c", "if (BUFFER(n, to_host) & AVAILABLE) {", "if (BUFFER(n, to_host) & STALL) {"},
	{"Requests", "device.c", "\tREG(USB_ADDRESS) = 0;\n", ""},
	{"Requests", "device.c", "\tclose_ends();\n\tkwb_bus_reset", "\tkwb_bus_reset"},
	{"Suspend", "device.c", "BEFORE_WAKING_MS = 5", "BEFORE_WAKING_MS = 1"},
	{"Suspend", "device.c", "!bus.woke && kwb_may_wake()", "kwb_may_wake()"},
	{"Suspend", "device.c", "kwb_may_wake() && kw_waiting()", "kw_waiting()"},
	{"Suspend", "device.c", "kwb_may_wake() && kw_waiting()", "kwb_may_wake()"},
	{"Suspend", "device.c", "\tif (kw_usb_slept) /*", "\tif (false) /*"},
	{"Suspend", "device.c", "\tCLEAR(USB_INTE) = INT_SUSPEND;\n", ""},
	{"Hang", "device.c", "++bus.quiet >= NO_SOF_MS", "++bus.quiet >= 2 * NO_SOF_MS"},
	{"Requests", "device.c", "\tif (overtaken()) {\n\t\tBUFFER(0, true) = 0;\n\t\tBUFFER(0, false) = 0;\n\t}\n\tREG(NVIC_OFF)", "\tREG(NVIC_OFF)"},
	{"Requests", "device.c", "\tif (zero.stage == SENDING) { /* the host has enough */\n\t\tBUFFER(0, true) = 0;", "\tif (zero.stage == SENDING) {"},
	{"Lamps", "device.c", "\tkwb_dark = true;\n", ""},
	{"Refused", "device.c", "CONTROL(1, true) = 1u << 31", "CONTROL(1, true) = 0u << 31"},
	{"Requests", "device.c", "1u << 31 | 1u << 29 | (uint32_t)r[3]", "1u << 31 | (uint32_t)r[3]"},
	{"Reports", "device.c", "e->size = r[2];", "e->size = 8;"},
	{"EncoderSpeed", "main.c", "SAMPLE_US = 100", "SAMPLE_US = 600"},
	{"Requests", "main.c", "\tkwb_ms();\n", ""},
	{"Reports", "main.c", "loop.slow ? SLICES : 0", "0"},
	{"Commands", "main.c", "'U' | 'B' << 8", "'B' | 'U' << 8"},
	{"Watchdog", "main.c", "\tfor (;;) {\n\t\tREG(WATCHDOG_LOAD) = 2 * WATCHDOG_US;", "\tfor (;;) {"},
	{"Watchdog", "main.c", "SET(WATCHDOG_CTRL) = WATCHDOG_ENABLE", "SET(WATCHDOG_CTRL) = 0"},
	{"Commands", "main.c", "\tif (what == KWB_NOTHING)\n\t\treturn;\n\tkw_usb_end();", "\tif (what == KWB_NOTHING)\n\t\treturn;"},
	{"Latency", "main.c", "__asm volatile(\"cpsid i\"); /*", "/*"},
	{"EncoderSpeed", "main.c", "ring.last = pins;", ""},
	{"Refused|Enumeration", "main.c", "kwb_begin(table, sizeof table) == KW_OK", "kwb_begin(table, 1024) == KW_OK"},
	{"Reports", "hal.c", "mode == HAL_PULLUP ? PAD_PULLUP : 0", "0"},
	{"Reports", "hal.c", "v << 4 | v >> 8", "v << 4"},
	{"Lamps", "hal.c", "mode == HAL_LOW || mode == HAL_HIGH", "mode == HAL_LOW"},
	{"Refused|BootBlock", "hal_chip.h", "#define HAL_PINS 0x3FFFFFFFu", "#define HAL_PINS 0x7FFFFFFFu"},
	{"Reports", "hal_chip.h", "REG(SIO_OE_CLEAR) = p.bit;", ""},
	{"Enumeration", "start.c", "\tREG(WATCHDOG_TICK) = 1u << 9 | 12;", "\t"},
	{"Enumeration", "start.c", "100, 5, 5", "100, 5, 4"},
	{"Enumeration", "start.c", "\t\tSET(c) = 1u << 11;\n", ""},
	{"Enumeration", "start.c", "unreset(RESET_TIMER | RESET_ADC)", "unreset(RESET_TIMER)"},
	{"Enumeration", "start.c", "to < kw_bss_end;)\n\t\t*to++ = 0;", "to < kw_bss_end;)\n\t\tto++;"},
	{"Enumeration", "boot2.S", "=0x10000100", "=0x10000104"},
}

// TestSownFaults sows each fault into a copy of the sources, builds it, and runs the other tests on it: they must fail. It takes many
// minutes, so it runs only when asked for: FAULTS=1, or FAULTS=TEXT for those that have the text.
func TestSownFaults(t *testing.T) {
	if os.Getenv("FAULTS") == "" {
		t.Skip("SKIPPED: faults were not sown; FAULTS=1 asks for it")
	}
	start(t).say("time")
	dir := t.TempDir()
	build, tests := filepath.Join(dir, "build"), filepath.Join(dir, "tests")
	for _, args := range [][]string{{"build", "-o", build, "../../build"}, {"test", "-c", "-o", tests, "."}} {
		if out, err := exec.Command("go", args...).CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
	}
	run := func(test, file, right, wrong string) (string, error) {
		source := t.TempDir()
		for _, part := range []string{"core", "board", "rp2040"} {
			if err := os.CopyFS(filepath.Join(source, part), os.DirFS(filepath.Join("../..", part))); err != nil {
				t.Fatal(err)
			}
		}
		if file != "" {
			name := filepath.Join(source, "rp2040", file)
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if strings.Count(string(b), right) != 1 {
				t.Fatalf("%s has %q not once", file, right)
			}
			if err := os.WriteFile(name, []byte(strings.Replace(string(b), right, wrong, 1)), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if out, err := exec.Command(build, "-source", source, "-o", source, "rp2040").CombinedOutput(); err != nil {
			t.Errorf("%s: %q does not compile\n%s", file, wrong, out)
			return "", err
		}
		cmd := exec.Command(tests, "-test.failfast", "-test.timeout=300s", "-test.skip=Faults", "-test.run="+test)
		cmd.Env = append(os.Environ(), "THOROUGH=1", "FAULTS=", "KNOBWRIGHT_CORE_RP2040="+filepath.Join(source, "rp2040.bin"))
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	sown, passed := 0, map[string]bool{}
	for _, f := range faults {
		if only := os.Getenv("FAULTS"); only != "1" && !strings.Contains(f.file+f.right+f.wrong, only) {
			continue
		}
		if !passed[f.test] {
			if out, err := run(f.test, "", "", ""); err != nil {
				t.Fatalf("without a fault: %v\n%s", err, out)
			}
			passed[f.test] = true
		}
		sown++
		if _, err := run(f.test, f.file, f.right, f.wrong); err == nil {
			t.Errorf("%s: %q instead of %q is not noticed by %s", f.file, f.wrong, f.right, f.test)
		}
	}
	t.Logf("%d faults sown", sown)
}
