package firmware

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// fault is one small mistake that could be made in the core.
type fault struct{ file, right, wrong string }

// faults are sown one at a time; each must make some test fail.
var faults = []fault{
	{"input.c", "if (timer[i] != 0 || on == kw_held(i))", "if (on == kw_held(i))"},
	{"input.c", "run(i, on != kw_held(i) ? debounce : 0);", "run(i, debounce);"},
	{"input.c", "run(i, on != kw_held(i) ? debounce : 0);", "if (timer[i] == 0) run(i, debounce);"},
	{"input.c", "if (bits & 1 && --timer[i] == 0)", "if (bits & 1 && timer[i]-- == 0)"},
	{"input.c", "\tif (!(flags_of(r) & STABLE))\n\t\trun(i, debounce_of(r));", ""},
	{"input.c", "\trun(i, 0);\n\tif (on == kw_held(i))", "\trun(i, 0);\n\tif (true)"},
	{"input.c", "last[k] = raw[k];\n\t\tfor", "for"},
	{"input.c", "for (uint8_t i = first[b]; i < count; i++)", "for (uint8_t i = first[b]; i < count; i += 2)"},
	{"input.c", "upper[i >> 3] & kw_mask(i & 7) ? second_of(r)", "shifts > 0 ? second_of(r)"},
	{"input.c", "upper[k] &= (uint8_t)~mask;", ""},
	{"input.c", "if (bits & 1 && own(i) == bit)", "if (bits & 1 && bit_of(record(i)) == bit)"},
	{"input.c", "if (bits & 1 && own(i) == bit)", "if (own(i) == bit)"},
	{"input.c", "kw_release(own(i));", "kw_put1(own(i), false);"},
	{"input.c", "if (flags_of(r) & SHARED)", "if (!(flags_of(r) & SHARED))"},
	{"input.c", "second_of(r) != KW_NONE && !(flags_of(r) & SHIFT)", "!(flags_of(r) & SHIFT)"},
	{"macro.c", "kw_release(bit_of(s));", "kw_put1(bit_of(s), false);"},
	{"input.c", "!= ((flags_of(r) & INVERT) != 0)", "!= ((flags_of(r) & INVERT) == 0)"},
	{"input.c", "pass == 0) && closed", "pass == 1) && closed"},
	{"input.c", "first[raw_of(record((uint8_t)(i - 1)))] = (uint8_t)(i - 1);", "first[raw_of(record((uint8_t)(i - 1)))] = (uint8_t)(i & 0x7F);"},
	{"encoder.c", "{0, 1, -1, 0, -1,", "{0, 1, -1, 1, -1,"},
	{"encoder.c", "0, -1, 1, 0};", "0, 1, -1, 0};"},
	{"encoder.c", "\t\t\tn = 0;\n", ""},
	{"encoder.c", "+ per / 2) / per", ") / per"},
	{"encoder.c", "detent(e, r, n > 0);", "detent(e, r, n >= 0 || per > 2);"},
	{"encoder.c", "encoders[e].state = now;\n\t\tif", "if"},
	{"encoder.c", "sum -= hi - lo + 1;", "sum -= hi - lo;"},
	{"encoder.c", "if (encoders[e].value != 0)\n\t\t\tkw_mark(report);", ""},
	{"encoder.c", "else if (!kw_action_cancel(field(r, up ? 7 : 6)))", "else"},
	{"encoder.c", "if (field(r, 5) & REVERSE)", "if (false)"},
	{"encoder.c", "kw_store(bit_of(r), field(r, 10), 0);", ""},
	{"encoder.c", "(uint8_t)(width - (lo < 0 ? 1 : 0))", "width"},
	{"pulse.c", "pulses[p].timer = length_of(p);", "pulses[p].timer = gap_of(p);"},
	{"pulse.c", "pulses[p].gap = true;", "pulses[p].gap = false;"},
	{"pulse.c", "if (pulses[p].waiting < 255)", "if (pulses[p].waiting < 1)"},
	{"gesture.c", "gestures[g].phase = IDLE;\n}\n\nstatic void act", "gestures[g].phase = PRESSED;\n}\n\nstatic void act"},
	{"gesture.c", "if (--gestures[g].timer != 0)", "if (gestures[g].timer-- != 0)"},
	{"gesture.c", "phase == PRESSED ? DONE : IDLE", "phase == PRESSED ? PRESSED : IDLE"},
	{"gesture.c", "act(g, 3);\n\t\t\tgestures[g].phase = DONE;", "act(g, 3);\n\t\t\tgestures[g].phase = PRESSED;"},
	{"gesture.c", "gestures[g].timer = number(g, 6);", "gestures[g].timer = number(g, 4);"},
	{"macro.c", "bool left = press_of(s) != 0;", "bool left = false;"},
	{"macro.c", "macros[m].step + 1 < steps(m)", "macros[m].step + 2 < steps(m)"},
	{"macro.c", "macros[m].waiting--;", "macros[m].waiting = 0;"},
	{"macro.c", "if (macros[a].waiting == 0)\n\t\treturn false;\n\tmacros[a].waiting--;", "if (macros[a].waiting == 0)\n\t\treturn false;"},
	{"macro.c", "if (a == KW_NO)\n\t\treturn;", ""},
	{"macro.c", "a < kw_count(KW_PULSES) + kw_count(KW_MACROS);", "a < kw_count(KW_PULSES) + kw_count(KW_MACROS) + 1;"},
	{"axis.c", "+ width / 2) / width", ") / width"},
	{"axis.c", "(uint16_t)(mid + dead)", "mid"},
	{"axis.c", "now > number(r, 8) && now < number(r, 12) &&", ""},
	{"axis.c", "<= number(r, 6))", "< number(r, 6) / 16)"},
	{"axis.c", "v = span - v;", "v = span - v + 1;"},
	{"axis.c", "-= (axes[a].sum - fine) >> n", "-= (axes[a].sum - fine) >> n >> 4"},
	{"axis.c", "hi - lo > 65535)", "hi - lo > 65536)"},
	{"report.c", "if (id != 0)\n\t\tout", "if (id != 1)\n\t\tout"},
	{"report.c", "turn[interface] = next;\n\t\tkw_encoder_fill(i);", "kw_encoder_fill(i);"},
	{"report.c", "changed[i] = false;\n\t\tlength", "length"},
	{"report.c", "length != length_of(i))", "length > length_of(i))"},
	{"report.c", "|| kw_report_of((uint16_t)(bit + width - 1)) != i", ""},
	{"report.c", "start_of(i) < start_of(i - 1) + length_of(i - 1)", "start_of(i) < start_of(i - 1)"},
	{"report.c", "*at ^= mask;", "*at |= mask;"},
	{"report.c", "if (now != *at)\n\t\t\tother = true;", ""},
	{"report.c", "(*at & ~mask) |", "*at |"},
	{"report.c", "value >>= n;", "value >>= 8;"},
	{"report.c", "owner[start_of(i) + k] = i;", "owner[start_of(i) + k] = 0;"},
	{"hat.c", "{8, 2, 6, 0, 1, 7, 4, 3, 5}", "{8, 2, 6, 0, 1, 7, 4, 5, 3}"},
	{"hat.c", "up == down ? 0", "up == down && !up ? 0"},
	{"hat.c", "any |= kw_held(input(r, k));", "any = kw_held(input(r, k));"},
	{"hat.c", "kw_put1(kw_rom16(r), !any);", "kw_put1(kw_rom16(r), any);"},
	{"choice.c", "if (input_of(r) == input)", "if (input_of(r) >= input)"},
	{"choice.c", ">> width_of(r) == 0", ">> width_of(r) <= 1"},
	{"midi.c", "told[i] = now;", ""},
	{"midi.c", "status ^= NOTE_ON ^ NOTE_OFF;", "status ^= NOTE_ON;"},
	{"midi.c", "out[n] = status >> 4;", "out[n] = 9;"},
	{"midi.c", "relative(r) ? 0 : told[i]", "told[i]"},
	{"midi.c", "kw_mark(report);\n\t\t\tbreak;", "break;"},
	{"midi.c", "r + (now ? 6 : 7)", "r + 6"},
	{"midi.c", "if (!now && (status & 0xF0) == PROGRAM)\n\t\t\t\tcontinue;", ""},
	{"midi.c", "width_of(record(i)) == 1 ? 0 : UNKNOWN", "0"},
	{"midi.c", "kw_encoder_taken(report);", ""},
	{"midi.c", "(i > 0 && !relative(record((uint8_t)(i - 1))))", "false"},
	{"report.c", "if (n < KW_BOOT_LENGTH) {", "if (n < KW_BOOT_LENGTH - 1) {"},
	{"report.c", "key = keys_of(i);", "key = 4 + 1;"},
	{"report.c", "out[n] = 1; /* more than six */", "out[n] = 0;"},
	{"report.c", "kind_of(i) == KW_INPUT && interface_of(i) == interface;", "kind_of(i) == KW_INPUT && interface_of(i) >= interface;"},
	{"report.c", "interface_of(i) == interface && id_of(i) == id && kind_of(i) == kind", "interface_of(i) >= interface && id_of(i) == id && kind_of(i) == kind"},
	{"report.c", "if (kind == KW_MIDI && kind_of(k) == KW_MIDI)", "if (false)"},
	{"lamp.c", "flipped[l >> 3] ^= mask(l);\n}", "flipped[l >> 3] |= mask(l);\n}"},
	{"lamp.c", "status & ON ? 1 : 0xFF", "1"},
	{"lamp.c", "\t\tstatus |= ON;\n", ""},
	{"lamp.c", "if (!(status & CONTROL)) {", "if (true) {"},
	{"lamp.c", "if (e[3] < least)", "if (e[3] <= least)"},
	{"lamp.c", "(uint16_t)(status | e[2] << 8)", "(uint16_t)(e[1] | e[2] << 8)"},
	{"lamp.c", "(refers(l) & 0x80D0) == 0x0090", "(refers(l) & 0x8090) == 0x0090"},
	{"lamp.c", "(refers(l) & 0x80D0) == 0x0090", "(refers(l) & 0x00D0) == 0x0090"},
	{"lamp.c", "on != ((flags(l) & INVERT) != 0)", "on"},
	{"table.c", "length > room ||", ""},
	{"table.c", "(uint32_t)stride * count > (uint32_t)(length - start)", "count > (uint32_t)(length - start)"},
	{"table.c", "kw_sections[k].stride != 0 ||", ""},
	{"table.c", "if (type & 0x80)", "if (type & 0x20)"},
	{"table.c", "KW_ROM8(t + 10) != chip", "KW_ROM8(t + 10) < chip"},
	{"crc.c", "0x1DB71064", "0x1DB71065"},
}

// first are the tests that most likely notice a fault of a file; they are run before the others.
var first = map[string]string{
	"axis.c": "Axis", "choice.c": "Choices|Neither", "crc.c": "Refused", "encoder.c": "GrayTable|Walk|MissedStep|EncoderKinds", "gesture.c": "Gestures", "hat.c": "Hat|Neither", "input.c": "Debounce|Shift|SharedBits|Start",
	"lamp.c": "Lamps", "macro.c": "Macros|SharedBits", "midi.c": "MIDI|NoNote", "pulse.c": "Pulses|SharedBits", "report.c": "Reports|BootKeys|Refused", "table.c": "Refused",
}

// TestSownFaults sows each fault into a copy of the core and runs the other tests on it: they must fail. It takes some minutes, so it runs
// only when asked for: FAULTS=1.
func TestSownFaults(t *testing.T) {
	if os.Getenv("FAULTS") == "" {
		t.Skip("SKIPPED: faults were not sown; FAULTS=1 asks for it")
	}
	if _, err := exec.LookPath("cc"); err != nil {
		t.Skip("SKIPPED: no C compiler (cc) is installed")
	}
	dir := t.TempDir()
	binary := filepath.Join(dir, "tests")
	if out, err := exec.Command("go", "test", "-c", "-o", binary, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	cc := func(args ...string) (string, error) {
		out, err := exec.Command("cc", append(append([]string{"-Icore"}, strict...), args...)...).CombinedOutput()
		return string(out), err
	}
	files, err := filepath.Glob("core/*.c")
	if err != nil {
		t.Fatal(err)
	}
	objects := map[string]string{} // by file, without faults
	for _, f := range append(files, "host/twin.c") {
		name := filepath.Base(f)
		objects[name] = filepath.Join(dir, name+".o")
		if out, err := cc("-c", f, "-o", objects[name]); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
	}
	bad, twin := filepath.Join(dir, "bad.o"), filepath.Join(dir, "twin")
	link := func(without string) {
		t.Helper()
		args := []string{"-o", twin}
		if without != "" {
			args = append(args, bad)
		}
		for name, o := range objects {
			if name != without {
				args = append(args, o)
			}
		}
		if out, err := cc(args...); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
	}
	passes := func(which string) bool {
		cmd := exec.Command(binary, "-test.short", "-rapid.nofailfile", "-test.failfast", "-test.timeout=60s", "-test.run="+which, "-test.skip=Chips|Faults")
		cmd.Env = append(os.Environ(), "FAULTS=", "KNOBWRIGHT_TWIN="+twin)
		return cmd.Run() == nil
	}
	link("")
	if !passes("") {
		t.Fatal("the tests fail without a fault")
	}
	for _, f := range faults {
		b, err := os.ReadFile(filepath.Join("core", f.file))
		if err != nil {
			t.Fatal(err)
		}
		if strings.Count(string(b), f.right) != 1 {
			t.Errorf("%s has %q not once", f.file, f.right)
			continue
		}
		source := filepath.Join(dir, f.file)
		if err := os.WriteFile(source, []byte(strings.Replace(string(b), f.right, f.wrong, 1)), 0o600); err != nil {
			t.Fatal(err)
		}
		if out, err := cc("-c", source, "-o", bad); err != nil {
			t.Errorf("%s: %q does not compile\n%s", f.file, f.wrong, out)
			continue
		}
		link(f.file)
		if passes(first[f.file]) && passes("") {
			t.Errorf("%s: %q instead of %q is not noticed", f.file, f.wrong, f.right)
		}
	}
	t.Logf("%d faults sown", len(faults))
}
