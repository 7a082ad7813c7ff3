package avr

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// faults are small mistakes that could be made in what belongs to this chip. They are sown one at a time; each must make its test fail.
var faults = []struct{ test, file, right, wrong string }{
	{"Enumeration", "usb.c", "CLEAR(UEINTX, UEINTX & _BV(RXOUTI) ? _BV(RXSTPI) | _BV(RXOUTI) : _BV(RXSTPI));", ""},
	{"Enumeration", "usb.c", "i < 8; i++)\n\t\ts[i] = UEDATX", "i < 7; i++)\n\t\ts[i] = UEDATX"},
	{"Enumeration", "usb.c", "\tUDADDR |= _BV(ADDEN);", "\t;"},
	{"Enumeration", "usb.c", "\t\tUDADDR = address;\n\t\tUDADDR |= _BV(ADDEN);", "\t\tUDADDR = (uint8_t)(address | _BV(ADDEN));"},
	{"Enumeration", "usb.c", "\t\tzero.doing = STATUS;\n\t\tCLEAR(UEINTX, _BV(TXINI));\n\t\tbreak;\n\tdefault", "\t\tzero.doing = STATUS;\n\t\tCLEAR(UEINTX, _BV(TXINI));\n\t\tif (s[1] == 5) {\n\t\t\tUDADDR = s[2];\n\t\t\tUDADDR |= _BV(ADDEN);\n\t\t}\n\t\tbreak;\n\tdefault"},
	{"Enumeration", "usb.c", "\tUECONX = _BV(EPEN);\n\tUECFG0X", "\tUECFG0X"},
	{"Enumeration", "usb.c", "!(zero.full && zero.shorter)", "!zero.full"},
	{"Enumeration", "usb.c", "zero.full = n == MOST;", "zero.full = false;"},
	{"Enumeration", "usb.c", "\tUECONX = _BV(STALLRQ) | _BV(EPEN); /*", "\t/*"},
	{"Enumeration", "usb.c", "zero.rom = r.kind == KWB_ROM;", "zero.rom = true;"},
	{"Enumeration", "usb.c", "\tPLLCSR = chip_slow() ? 0 : _BV(PINDIV);", "\tPLLCSR = _BV(PINDIV);"},
	{"Enumeration", "usb.c", "\twhile (!(PLLCSR & _BV(PLOCK)))\n\t\t;\n", ""},
	{"Enumeration", "usb.c", "\tUHWCON = _BV(UVREGE);\n", ""},
	{"Requests", "usb.c", "\t\tkwb_bus_reset();\n\t\tendpoint(0, 0, false, MOST);", "\t\tkwb_bus_reset();"},
	{"Requests", "usb.c", "_BV(STALLRQC) | _BV(RSTDT) | _BV(EPEN)", "_BV(STALLRQC) | _BV(EPEN)"},
	{"Requests", "usb.c", "_BV(STALLRQC) | _BV(RSTDT) | _BV(EPEN)", "_BV(RSTDT) | _BV(EPEN)"},
	{"Requests", "usb.c", "k = ENDPOINTS - 1; k > 0; k--", "k = 1; k > 0; k--"},
	{"Requests", "usb.c", "\tif (!(UEINTX & _BV(TXINI)))\n\t\treturn; /* the last", "\tif (!(UEINTX & _BV(STALLEDI)) && false)\n\t\treturn; /* the last"},
	{"Requests", "usb.c", "\tCLEAR(UEINTX, _BV(TXINI));\n\tfor", "\tfor"},
	{"Requests", "usb.c", "\tCLEAR(UEINTX, _BV(RXOUTI));\n\tn = UEBCLX;", "\tn = UEBCLX;"},
	{"Requests", "usb.c", "\tCLEAR(UEINTX, _BV(FIFOCON));\n\tkwb_from_host", "\tkwb_from_host"},
	{"Requests", "usb.c", "\t\tfor (; frame != now; frame++)\n\t\t\tkwb_ms();", "\t\tkwb_ms(), kwb_ms(), frame = now;"},
	{"Requests", "usb.c", "if (r.kind == KWB_ACK && s[0] == 0x00 && s[1] == 9)\n\t\tconfigure();", ""},
	{"Lamps", "usb.c", "\tif (!kwb_out(data, n)) {\n\t\tstall();\n\t\treturn;\n\t}\n", "\tkwb_out(data, n);\n"},
	{"Refused", "usb.c", "\t\tendpoint(1, 3, true, 16);", "\t\t;"},
	{"Suspend", "usb.c", "\tif (USBCON & _BV(FRZCLK)) {\n\t\tclock_on();", "\tif (USBCON & _BV(FRZCLK)) {"},
	{"Suspend", "usb.c", "\tUDCON |= _BV(RMWKUP);", "\t;"},
	{"Suspend", "main.c", "if (moved(was) && kwb_may_wake())", "if (moved(was))"},
	{"Suspend", "main.c", "if (moved(was) && kwb_may_wake())", "if (kwb_may_wake())"},
	{"Suspend", "main.c", "slices(SLICES_ASLEEP);", "slices(1);"},
	{"Suspend", "main.c", "\tmoved(was);\n\tusb_freeze", "\tusb_freeze"},
	{"Lamps", "main.c", "\tkwb_dark = true;\n", ""},
	{"Lamps", "main.c", "\tkwb_dark = false;\n", ""},
	{"Commands", "main.c", "if (usb_quiet())", "if (true)"},
	{"Reports", "main.c", "\t\tkwb_slice();\n\t\tkwb_show_next", "\t\tkwb_show_next"},
	{"Lamps", "main.c", "\t\tkwb_show_next();\n", ""},
	{"Watchdog", "main.c", "\tchip_guard();\n\tfor", "\tfor"},
	{"Watchdog", "main.c", "\t\tchip_tap();\n", ""},
	{"Watchdog", "power.c", "\tMCUSR = 0;\n\twdt_reset();\n\tWDTCSR = _BV(WDCE) | _BV(WDE);\n\tWDTCSR = 0;\n", ""},
	{"Commands", "power.c", "\tMCUSR = 0;\n\twdt_reset();\n\tWDTCSR = _BV(WDCE)", "\twdt_reset();\n\tWDTCSR = _BV(WDCE)"},
	{"Commands", "power.c", "0x7000, 0x7800, 0x7C00, 0x7E00", "0x7000, 0x7800, 0x7C00, 0x7D00"},
	{"Commands", "power.c", "\twdt_disable();\n", ""},
	{"Commands", "power.c", "\tusb_detach();\n", ""},
	{"Commands", "power.c", "(at / 2)", "(at)"},
	{"Watchdog", "power.c", "\tchip_guard();\n}\n\n/* 100 ms", "}\n\n/* 100 ms"},
	{"Suspend", "power.c", "\tPORTB = b;\n\tPORTC = c;\n\tPORTD = d;", "\tPORTC = c;\n\tPORTD = d;"},
	{"Reports", "hal.c", "hal_set(p, mode == HAL_PULLUP);", "hal_set(p, false);"},
	{"Channels", "hal.c", "channel & 8 ? _BV(MUX5) : 0", "0"},
	{"Channels", "hal.c", "v << 6 | v >> 4", "v << 5"},
	{"Settle", "hal.c", "slow ? us * 2u : us * 4u", "us * 1u"},
	{"Enumeration", "hal.c", "< 2900", "< 4200"},
	{"Encoders", "hal.c", "(us >> 8) + 1", "1"},
	{"Encoders", "hal.c", "if (b == last[0] && c == last[1]", "if (c == last[1]"},
	{"Encoders", "hal.c", "got = (uint8_t)((at + 1) % SAMPLES);", "got = put;"},
	{"Latency", "hal.c", "* (slow ? 1u : 2u) / parts", "* (slow ? 1u : 2u)"},
	{"Info", "hal.c", "0xFF, 0xC0, 0xFF, 0x44, 0xF3", "0xFF, 0xC0, 0xFF, 0x44, 0xFF"},
	{"Info", "hal.c", "channel < 14 && channel != 2", "channel < 15 && channel != 2"},
	{"Info", "info.c", "0x3FF3", "0x3FFF"},
}

// TestSownFaults sows each fault into a copy of the sources, builds it, and runs the other tests on it: they must fail. It takes
// minutes, so it runs only when asked for: FAULTS=1.
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
		for _, part := range []string{"core", "board", "avr"} {
			if err := os.CopyFS(filepath.Join(source, part), os.DirFS(filepath.Join("../..", part))); err != nil {
				t.Fatal(err)
			}
		}
		if file != "" {
			name := filepath.Join(source, "avr", file)
			b, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			if strings.Count(string(b), right) != 1 {
				t.Errorf("%s has %q not once", file, right)
				return "", os.ErrNotExist
			}
			if err := os.WriteFile(name, []byte(strings.Replace(string(b), right, wrong, 1)), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		if out, err := exec.Command(build, "-source", source, "-o", source, "atmega32u4").CombinedOutput(); err != nil {
			t.Errorf("%s: %q does not compile\n%s", file, wrong, out)
			return "", err
		}
		cmd := exec.Command(tests, "-test.short", "-test.failfast", "-test.timeout=120s", "-test.skip=Faults|HEX", "-test.run="+test)
		cmd.Env = append(os.Environ(), "THOROUGH=1", "FAULTS=", "KNOBWRIGHT_CORE_ATMEGA32U4="+filepath.Join(source, "atmega32u4.bin"))
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := run(".", "", "", ""); err != nil {
		t.Fatalf("without a fault: %v\n%s", err, out)
	}
	for _, f := range faults {
		if _, err := run(f.test, f.file, f.right, f.wrong); err == nil {
			t.Errorf("%s: %q instead of %q is not noticed by %s", f.file, f.wrong, f.right, f.test)
		}
	}
	t.Logf("%d faults sown", len(faults))
}
