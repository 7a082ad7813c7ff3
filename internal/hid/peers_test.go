package hid

import (
	"bufio"
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/witness"
)

// analyse lets an outside packet analyser (Debian tshark) read a recorded bus. It gives, for each device in order, the items of its
// descriptor and the controls of its reports.
func analyse(t *testing.T, devices []device) (items [][]string, values [][]string) {
	t.Helper()
	tshark, err := exec.LookPath("tshark")
	if err != nil {
		t.Skip("SKIPPED: tshark (Debian tshark) is not installed; descriptors were not read by an outside program")
	}
	file := filepath.Join(t.TempDir(), "bus.pcap")
	if err := os.WriteFile(file, capture(devices), 0o600); err != nil {
		t.Fatal(err)
	}
	var stderr bytes.Buffer
	cmd := exec.Command(tshark, "-V", "-r", file)
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("tshark: %v\n%s", err, stderr.String())
	}
	report := regexp.MustCompile(`^ +[01. ]+ = (.*)$`)
	item := regexp.MustCompile(`^ +(\S.*?)(?: \(.*\))?$`)
	block, before := "", ""
	for line := range strings.Lines(string(out)) {
		line = strings.TrimRight(line, "\n")
		last := before
		before = line
		switch {
		case line == "HID Report":
			block = "items"
			items = append(items, nil)
		case strings.HasPrefix(line, "HID Data: "):
			block = "values"
			values = append(values, nil)
		case line == "" || line[0] != ' ':
			block = ""
		case block == "items" && strings.TrimSpace(line) == "Header": // the line before it names an item
			n := len(items) - 1
			items[n] = append(items[n], item.FindStringSubmatch(last)[1])
		case block == "values" && report.MatchString(line):
			n := len(values) - 1
			values[n] = append(values[n], report.FindStringSubmatch(line)[1])
		}
	}
	return items, values
}

// peerValue reads a value as the analyser writes it: a number, UP or DOWN, or the usage of an array's entry in brackets.
func peerValue(s string) (string, error) {
	if m := regexp.MustCompile(`\((0x[0-9a-f]+), (0x[0-9a-f]+)\)$`).FindStringSubmatch(s); m != nil {
		page, _ := strconv.ParseUint(m[1], 0, 16)
		id, _ := strconv.ParseUint(m[2], 0, 16)
		return fmt.Sprintf("on %08X", uint64(page)<<16|id), nil
	}
	i := strings.LastIndex(s, ": ")
	switch v := s[i+2:]; v {
	case "UP":
		return "0", nil
	case "DOWN":
		return "1", nil
	default:
		_, err := strconv.Atoi(v)
		return v, err
	}
}

// TestOutsideAnalyserItems: the analyser sees the same items in every published descriptor.
func TestOutsideAnalyserItems(t *testing.T) {
	var devices []device
	rows := witness.Table(t, "testdata/hid_descriptors.csv")
	for _, r := range rows {
		devices = append(devices, device{desc: unhex(t, r["hex"])})
	}
	items, _ := analyse(t, devices)
	if len(items) != len(devices) {
		t.Fatalf("the analyser finds %d descriptors of %d", len(items), len(devices))
	}
	for i, r := range rows {
		d, err := Parse(devices[i].desc)
		if err != nil {
			t.Fatal(err)
		}
		var want []string
		for _, it := range d.Items {
			want = append(want, it.Kind.String())
		}
		if got := strings.Join(items[i], "|"); got != strings.Join(want, "|") {
			t.Errorf("%s: the analyser reads\n%s, we\n%s", r["name"], got, strings.Join(want, "|"))
		}
	}
}

// TestOutsideAnalyserValues: the analyser finds in our reports, by our descriptors, the values that we put in.
func TestOutsideAnalyserValues(t *testing.T) {
	gen := rapid.Custom(drawJoystick)
	var devices []device
	var want [][]string
	for seed := range 40 {
		j := gen.Example(seed)
		desc, d, err := Build(j.Joystick, Consumer{ID: 200, Slots: 2}, System{ID: 201})
		if err != nil {
			t.Fatal(err)
		}
		dev := device{desc: desc}
		wire, err := d.Encode(Input, j.ID, j.controls)
		if err != nil {
			t.Fatal(err)
		}
		media := U(PageConsumer, uint16(0xB0+seed))
		keys, err := d.Encode(Input, 200, []Control{{Usage: media, Value: 1}})
		if err != nil {
			t.Fatal(err)
		}
		dev.reports = [][]byte{wire, keys}
		var values []string
		for _, c := range j.controls {
			values = append(values, strconv.FormatInt(c.Value, 10))
		}
		devices = append(devices, dev)
		want = append(want, values, []string{fmt.Sprintf("on %08X", uint32(media))})
	}
	_, got := analyse(t, devices)
	if len(got) != len(want) {
		t.Fatalf("the analyser finds %d reports of %d", len(got), len(want))
	}
	n := 0
	for i := range want {
		var values []string
		for _, s := range got[i] {
			v, err := peerValue(s)
			if err != nil {
				t.Fatalf("report %d: %q: %v", i, s, err)
			}
			values = append(values, v)
		}
		if i%2 == 1 && len(values) > 1 {
			values = values[:1] // the empty second slot, which the analyser names too
		}
		if strings.Join(values, " ") != strings.Join(want[i], " ") {
			t.Errorf("report %d: the analyser reads\n%v, we wrote\n%v", i, got[i], want[i])
		}
		n += len(want[i])
	}
	t.Logf("%d controls compared", n)
}

// TestOutsideUsageNames holds our usages against the list of Debian's usb.ids: each that we name must stand there under a like name.
func TestOutsideUsageNames(t *testing.T) {
	const list = "/usr/share/misc/usb.ids"
	f, err := os.Open(list)
	if err != nil {
		t.Skip("SKIPPED: usb.ids (Debian usb.ids) is not installed; names of usages were not compared with an outside list")
	}
	defer f.Close()
	theirs := map[Usage]string{}
	page, in := uint16(0), false
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		line := sc.Text()
		switch {
		case strings.HasPrefix(line, "HUT "):
			in, page = true, hex16(strings.Fields(line)[1])
		case in && strings.HasPrefix(line, "\t"):
			num, name, _ := strings.Cut(line[1:], "  ")
			theirs[U(page, hex16(num))] = name
		case line != "" && line[0] != '#':
			in = false
		}
	}
	words := regexp.MustCompile(`[a-z0-9]+|[^a-z0-9 ()]`)
	holds := func(a, b string) bool { // every word of a is in b
		has := map[string]bool{}
		for _, w := range words.FindAllString(b, -1) {
			has[w] = true
		}
		for _, w := range words.FindAllString(a, -1) {
			if !has[w] {
				return false
			}
		}
		return a != "" && b != ""
	}
	plain := strings.NewReplacer("keyboard ", "", "direction-", "", "vector-", "v", "rotate-", "r")
	squeeze := strings.NewReplacer(" ", "", "-", "")
	same := func(a, b string) bool {
		a, b = plain.Replace(strings.ToLower(a)), plain.Replace(strings.ToLower(b))
		return holds(a, b) || holds(b, a) || squeeze.Replace(a) == squeeze.Replace(b)
	}
	compared := 0
	for _, page := range []uint16{PageDesktop, PageSimulation, PageKeyboard, PageLED, PageConsumer} {
		for _, u := range Usages(page) {
			name, ok := theirs[u]
			why, known := knownNames[u]
			switch {
			case ok && same(u.String(), name):
				compared++
				if known {
					t.Errorf("0x%08X %q is like theirs, %q: take it off the list of differences (%s)", uint32(u), u, name, why)
				}
			case !known:
				t.Errorf("0x%08X is %q here and %q there", uint32(u), u, name)
			}
		}
	}
	t.Logf("%d names compared", compared)
	if compared < 380 {
		t.Errorf("only %d names compared", compared)
	}
}

// knownNames lists where the outside list differs or is silent, and why that is no fault of ours.
var knownNames = func() map[Usage]string {
	m := map[Usage]string{}
	for why, list := range map[string][]Usage{
		"the Usage Tables' short names of vectors": {0x10043, 0x10044, 0x10045, 0x10046},
		"D-pad, as the reference table has it":     {0x10090, 0x10091, 0x10092, 0x10093},
		"signs in words":                           {0x70034, 0x70035},
		"a slip of the outside list":               {0x200CD, 0x700A1, 0x700E6, 0x8000A, 0xC019E},
		"the outside list leaves out 0x5E and shifts the keypad by one; the Usage Tables have 5, 6, 7, 8, 9, 0 from 0x5D": {
			0x7005E, 0x7005F, 0x70060, 0x70061, 0x70062,
		},
		"newer than the outside list": {0x10048, 0xC006F, 0xC0070, 0xC022A},
	} {
		for _, u := range list {
			m[u] = why
		}
	}
	return m
}()
