package rig

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/internal/thorough"
)

// fault is one small mistake that could be made in the board layer or in the core.
type fault struct{ file, right, wrong string }

// faults are sown one at a time into the firmware of the PC; each must make some scenario fail there. The core's own tests sow more into
// the core.
var faults = []fault{
	{"board/usb.c", "usb.wake = s[1] == 3;", "usb.wake = true;"},
	{"board/usb.c", "value < 128 && index == 0", "index == 0"},
	{"board/usb.c", "usb.halted_in = usb.halted_out = 0;\n\t\t\tfor", "for"},
	{"board/usb.c", "kw_anew();", ";"},
	{"board/usb.c", "r->shorter = length < asked;\n\tr->length = length < asked ? length : asked;\n}\n\nstatic void ram", "r->shorter = false;\n\tr->length = length < asked ? length : asked;\n}\n\nstatic void ram"},
	{"board/usb.c", "r->length = length < asked ? length : asked;\n}\n\nstatic void ram", "r->length = length;\n}\n\nstatic void ram"},
	{"board/usb.c", "if (index != 0 || s[4] != 0 || s[5] != 0)", "if (index != 0)"},
	{"board/usb.c", "if (index > 15)", "if (index > 255)"},
	{"board/usb.c", "index >= interfaces())\n\t\treturn;\n\tif (s[0] == 0x81", "false)\n\t\treturn;\n\tif (s[0] == 0x81"},
	{"board/usb.c", "(index & 0xFF70) != 0 ||", ""},
	{"board/usb.c", "|| (usb.configuration == 0 && (index & 0x0F) != 0)", ""},
	{"board/usb.c", "if ((index & 0x0F) != 0)\n", "if (true)\n"},
	{"board/usb.c", "*halted | bit : *halted & ~bit", "*halted | bit : *halted"},
	{"board/usb.c", "usb.idle[i] = kind;", "usb.idle[i] = id;"},
	{"board/usb.c", ">= usb.idle[i] * 4u", ">= usb.idle[i]"},
	{"board/usb.c", "usb.since[i] = 0;\n\treturn boot", "return boot"},
	{"board/usb.c", "if (data[0] != usb.out_id)", "if (false)"},
	{"board/usb.c", "data[1] != 'K' ||", ""},
	{"board/usb.c", "usb.address = 0x80; /* a new setup ends what was before it */", ""},
	{"board/usb.c", "usb.wake = false;\n\tusb.halted_in", "usb.halted_in"},
	{"board/usb.c", "usb.idle[i] = 0;\n", "\n"},
	{"board/usb.c", "value < 2 && length == 0 && KW_ROM8(hid_of(i) - 3) == 1", "value < 2 && length == 0"},
	{"board/usb.c", "if (kw_numbered(i))", "if (false)"},
	{"board/usb.c", "i == bench() ? kind != 3 || id != 0xF2 || length != 5 : kind != 2", "i == bench() ? kind != 3 || id != 0xF2 || length != 5 : kind == 3"},
	{"board/scan.c", "hal_drive(matrix.row[r], false);", ""},
	{"board/scan.c", "hal_snapshot();\n\t\thal_drive(matrix.row[r], false);", "hal_drive(matrix.row[r], false);\n\t\thal_snapshot();"},
	{"board/scan.c", "input(KW_ROM8(r), true);", "input(KW_ROM8(r), false);"},
	{"board/scan.c", "if (hal_now(data) == inverted)", "if (hal_now(data) != inverted)"},
	{"board/scan.c", "hal_set(chain[i].load, false);\n", "\n"},
	{"board/scan.c", "(!kwb_dark && kw_lamp(lamp[i].lamp)) != lamp[i].low", "kw_lamp(lamp[i].lamp) != lamp[i].low"},
	{"board/scan.c", "(!kwb_dark && kw_lamp(lamp[i].lamp)) != lamp[i].low", "!kwb_dark && kw_lamp(lamp[i].lamp)"},
	{"board/bus.c", "closed = expander[i].inputs & (uint16_t)~lines", "closed = expander[i].inputs & lines"},
	{"board/bus.c", "expander[i].known = false;\n\tstore(i, 0xFFFF, raw);", "store(i, 0xFFFF, raw);"},
	{"board/bus.c", "\tstore(i, 0xFFFF, raw);\n", "\n"},
	{"board/bus.c", "missing &= (kwb_set)~bit(i);", ""},
	{"board/bus.c", "GPPU = 0x0C", "GPPU = 0x0D"},
	{"board/bus.c", "&& kw_lamp(l++)", "&& kw_lamp(l)"},
	{"board/bus.c", "now.got[0] | now.got[1] << 8", "now.got[1] | now.got[0] << 8"},
	{"board/bus.c", "hal_drive(data, more);", "hal_drive(data, !more);"},
	{"board/analog.c", "\tladder[i].was = k;\n", "\n"},
	{"board/scan.c", "if (d->often)", "if (!d->often)"},
	{"board/usb.c", "usb.halted_in : usb.halted_out) >>", "usb.halted_out : usb.halted_in) >>"},
	{"board/analog.c", "value > kw_rom16(p)", "value < kw_rom16(p)"},
	{"board/analog.c", "(job[now].line >> k & 1) != 0", "(job[now].line >> k & 1) == 0"},
	{"board/analog.c", "now >= jobs + ladders", "now >= jobs"},
	{"board/table.c", "entry(type) != base + HEADER + (uint16_t)i * ENTRY ||", ""},
	{"board/table.c", "static bool pin(uint8_t p) { return hal_pin_ok(p); }", "static bool pin(uint8_t p) { return hal_pin_ok(p) || true; }"},
	{"board/table.c", "return from + n <= KW_MAX_RAW;", "return from + n <= KW_MAX_RAW + 250;"},
	{"board/table.c", "if (!reports())", "if (false && !reports())"},
	{"board/table.c", "KW_ROM8(entry(type) + 1) != 1", "false"},
	{"board/table.c", "|| !descriptors(d, length)", ""},
	{"board/table.c", "crc = kw_rom32(table + 4);", ""},
	{"board/table.c", "return found.error = kw_begin(table, room, hal_chip_id(), kwb_raw());", "return found.error;"},
	{"board/usb.c", "KW_ROM8(r + 3) == 2 ? (uint8_t)MIDI : KW_ROM8(r + 1)", "KW_ROM8(r + 1)"},
	{"board/usb.c", "usb.protocol[interface] != 0", "usb.protocol[interface] == 0"},
	{"board/usb.c", "usb.out_interface = i;", "usb.out_interface = 0;"},
	{"board/usb.c", "n = kw_take(i, out);", "n = kw_take(0, out);"},
	{"board/usb.c", "kw_give(usb.out_interface, usb.out_id, data, length)", "kw_give(0, usb.out_id, data, length)"},
	{"board/usb.c", "return boot(i, out, n);", "return n;"},
	{"core/midi.c", "told[i] = now;", ""},
	{"core/midi.c", "kw_encoder_taken(report);", ""},
	{"core/hat.c", "kw_put1(kw_rom16(r), !any);", "kw_put1(kw_rom16(r), any);"},
	{"core/choice.c", "if (input_of(r) == input)", "if (input_of(r) >= input)"},
	{"core/report.c", "out[n] = 1; /* more than six */", "out[n] = 0;"},
	{"core/table.c", "KW_ROM8(t + 10) != chip", "KW_ROM8(t + 10) < chip"},
	{"core/crc.c", "0x1DB71064", "0x1DB71065"},
	{"core/encoder.c", "0, -1, 1, 0};", "0, 1, -1, 0};"},
	{"core/lamp.c", "flipped[l >> 3] ^= mask(l);\n}", "flipped[l >> 3] |= mask(l);\n}"},
	{"core/lamp.c", "(uint16_t)(status | e[2] << 8)", "(uint16_t)(e[1] | e[2] << 8)"},
	{"board/usb.c", "length - n >= 4", "length - n >= 3"},
	{"board/usb.c", "n += 4)\n\t\t\t\tkw_hear(data + n);", "n += 4)\n\t\t\t\tkw_hear(data);"},
	{"core/hat.c", "{8, 2, 6, 0, 1, 7, 4, 3, 5}", "{8, 2, 6, 0, 1, 7, 4, 5, 3}"},
	{"core/report.c", "changed[i] = false;\n\t\tlength", "length"},
}

// TestSownFaults sows faults and runs the scenarios on the PC: they must fail. A few each time; all of them with FAULTS=1.
func TestSownFaults(t *testing.T) {
	t.Parallel()
	if os.Getenv("KNOBWRIGHT_PANEL") != "" {
		t.Skip("SKIPPED: this is a run with a fault")
	}
	if _, err := exec.LookPath("cc"); err != nil {
		skip(t, "no C compiler (cc) is installed; no faults were sown")
	}
	all := os.Getenv("FAULTS") != ""
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	var objects []string
	object := map[string]string{}
	build := func(source, from, out string) (string, error) {
		args := []string{"-std=c99", "-O0", "-w", "-Ihost", "-I../core", "-I../board", "-I" + filepath.Join("..", filepath.Dir(from)), "-c", source, "-o", out}
		text, err := exec.Command("cc", args...).CombinedOutput()
		return string(text), err
	}
	for _, p := range []string{"core/*.c", "board/*.c", "rig/host/*.c"} {
		found, err := filepath.Glob(filepath.Join("..", p))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range found {
			name := filepath.ToSlash(strings.TrimPrefix(f, "../"))
			object[name] = filepath.Join(dir, strings.ReplaceAll(name, "/", "-")+".o")
			objects = append(objects, object[name])
			if text, err := build(f, name, object[name]); err != nil {
				t.Fatalf("%v\n%s", err, text)
			}
		}
	}
	link := func(out string, objects []string) {
		t.Helper()
		if text, err := exec.Command("cc", append([]string{"-o", out}, objects...)...).CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
	}
	run := func(panel string) (string, error) {
		cmd := exec.Command(self, "-test.failfast", "-test.timeout=60s", "-test.run=^(TestRequests|TestDesk|TestWall|TestOrgan|TestHeldAtStart|TestWallAtStart|TestRefusedTables|TestCommands)$")
		cmd.Env = append(os.Environ(), "FAULTS=", "KNOBWRIGHT_PANEL="+panel)
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	whole := filepath.Join(dir, "whole")
	link(whole, objects)
	if out, err := run(whole); err != nil {
		t.Fatalf("without a fault: %v\n%s", err, out)
	}
	sown := 0
	for i, f := range faults {
		if !all && i%thorough.Of(29, 87) != 3 {
			continue
		}
		sown++
		text, err := os.ReadFile(filepath.Join("..", f.file))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Count(string(text), f.right) != 1 {
			t.Errorf("%s has %q not once", f.file, f.right)
			continue
		}
		// The faulty copy lies in the folder of the right one, in name: its includes are found from there.
		source := filepath.Join(dir, "faulty", filepath.Base(f.file))
		if err := os.MkdirAll(filepath.Dir(source), 0o700); err != nil {
			t.Fatal(err)
		}
		copy := strings.ReplaceAll(strings.Replace(string(text), f.right, f.wrong, 1), `"../core/`, `"`)
		if err := os.WriteFile(source, []byte(copy), 0o600); err != nil {
			t.Fatal(err)
		}
		bad := filepath.Join(dir, "bad.o")
		if text, err := build(source, f.file, bad); err != nil {
			t.Errorf("%s: %q does not compile\n%s", f.file, f.wrong, text)
			continue
		}
		with := []string{bad}
		for _, o := range objects {
			if o != object[f.file] {
				with = append(with, o)
			}
		}
		panel := filepath.Join(dir, "panel")
		link(panel, with)
		out, err := run(panel)
		var exit *exec.ExitError
		switch {
		case err == nil:
			t.Errorf("%s: %q instead of %q is not noticed", f.file, f.wrong, f.right)
		case !errors.As(err, &exit):
			t.Errorf("%s: %v\n%s", f.file, err, out)
		}
	}
	t.Logf("%d faults of %d sown", sown, len(faults))
}
