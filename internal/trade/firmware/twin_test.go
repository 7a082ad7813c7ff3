package firmware

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	core "knobwright/firmware"

	"knobwright/examples"
	"knobwright/internal/hid"
	"knobwright/internal/thorough"
)

// The core is compiled for this PC from its own sources, and the tables that are made here are played on it: what a row of the mapping
// table promises is what comes out as a report, read with the report descriptor that the host gets.

var twinPath = sync.OnceValues(func() (string, error) {
	cc, err := exec.LookPath("cc")
	if err != nil {
		return "", nil
	}
	dir, err := os.MkdirTemp("", "twin")
	if err != nil {
		return "", err
	}
	const root = "../../../firmware/"
	files, err := filepath.Glob(root + "core/*.c")
	if err != nil {
		return "", err
	}
	out := filepath.Join(dir, "twin")
	args := append([]string{"-std=c99", "-O1", "-g", "-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-I" + root + "core", "-o", out, root + "host/twin.c"}, files...)
	if text, err := exec.Command(cc, args...).CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, text)
	}
	return out, nil
})

func TestMain(m *testing.M) {
	code := m.Run()
	for _, path := range []func() (string, error){twinPath, rigPath} {
		if p, err := path(); err == nil && p != "" {
			_ = os.RemoveAll(filepath.Dir(p))
		}
	}
	os.Exit(code)
}

type twin struct {
	in   io.WriteCloser
	out  *bufio.Scanner
	desc *hid.Descriptor
	on   map[string]int64 // what the host knows: the last value of every control
	seen []string         // everything that changed, in order
}

// play starts the core with the table of a result.
func play(t testing.TB, r Result) *twin {
	t.Helper()
	path, err := twinPath()
	if err != nil {
		t.Fatal(err)
	}
	if path == "" {
		t.Skip("SKIPPED: no C compiler (cc) is installed; the tables were not played on the core")
	}
	if r.Bytes == nil {
		t.Fatalf("there is no table:\n%s", heads(r.Findings))
	}
	cmd := exec.Command(path)
	cmd.Stderr = os.Stderr
	in, _ := cmd.StdinPipe()
	out, _ := cmd.StdoutPipe()
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	w := &twin{in: in, out: bufio.NewScanner(out), on: map[string]int64{}}
	w.out.Buffer(make([]byte, 1<<16), 1<<20)
	t.Cleanup(func() {
		in.Close()
		if err := cmd.Wait(); err != nil {
			t.Errorf("the core stopped: %v", err)
		}
	})
	for _, x := range r.Interfaces {
		if x.Name == nameControls {
			w.desc = x.Means
		}
	}
	table := r.Table
	table.Chip = core.Host
	b, err := table.Bytes()
	if err != nil {
		t.Fatal(err)
	}
	if got := w.say(t, fmt.Sprintf("table %X", b)); len(got) != 1 || got[0] != "begin 0 0 0" {
		t.Fatalf("the core refuses the table: %v", got)
	}
	return w
}

func (w *twin) say(t testing.TB, lines ...string) []string {
	t.Helper()
	if _, err := io.WriteString(w.in, strings.Join(lines, "\n")+"\nend\n"); err != nil {
		t.Fatal(err)
	}
	var out []string
	for w.out.Scan() {
		if w.out.Text() == "end" {
			return out
		}
		out = append(out, w.out.Text())
	}
	t.Fatal("the core stopped")
	return nil
}

// tick lets time pass and takes in what is reported.
func (w *twin) tick(t testing.TB, n int) {
	t.Helper()
	for _, a := range w.say(t, fmt.Sprintf("tick %d", n)) {
		var at int
		var raw []byte
		if _, err := fmt.Sscanf(a, "%d %X", &at, &raw); err != nil {
			t.Fatalf("%q: %v", a, err)
		}
		list, err := w.desc.Decode(hid.Input, raw)
		if err != nil {
			t.Fatalf("%X: %v", raw, err)
		}
		nth := map[hid.Usage]int{}
		for _, c := range list {
			name := c.Usage.String()
			if nth[c.Usage]++; nth[c.Usage] > 1 {
				name += fmt.Sprintf(" (%d)", nth[c.Usage])
			}
			v := c.Value
			if c.Null {
				v = -1
			}
			if was, ok := w.on[name]; ok && was != v || !ok && v != 0 {
				w.seen = append(w.seen, fmt.Sprintf("%s=%d", name, v))
			}
			w.on[name] = v
		}
	}
}

func (w *twin) set(t testing.TB, raw, v int) {
	t.Helper()
	w.say(t, fmt.Sprintf("raw %d %d", raw, v))
}

// during clears what was seen, does something, and gives what was seen.
func (w *twin) during(f func()) string {
	w.seen = nil
	f()
	return strings.Join(w.seen, " ")
}

// Every held contact of every example with a module is pressed alone: its own usage comes on and goes off, and nothing else moves.
func TestExamplesOnTheCore(t *testing.T) {
	played := 0
	for _, name := range examples.Names() {
		if name == "signal-desk" && !thorough.Is() { // as many contacts as all others together
			continue
		}
		r, _ := worked(string(examples.File(name)))
		if r.Bytes == nil {
			continue
		}
		w := play(t, r)
		w.tick(t, 200)
		for _, x := range r.Rows {
			if x.Lamp || len(x.Raw) != 1 || x.How != "held" || x.Place.Width != 1 {
				continue
			}
			played++
			want := fmt.Sprintf("%s=1 %s=0", x.Place.Usage, x.Place.Usage)
			got := w.during(func() {
				w.set(t, x.Raw[0], 1)
				w.tick(t, 100)
				w.set(t, x.Raw[0], 0)
				w.tick(t, 100)
			})
			if got != want {
				t.Errorf("%s: %s pressed and let go: %s; want %s", name, x.Label, got, want)
			}
		}
		for i, a := range r.Table.Axes {
			if heardAsMIDI(r.Table, a.Bit) { // see TestMIDIOnTheSimulatedPanel
				continue
			}
			place := ""
			for _, x := range r.Rows {
				if strings.HasPrefix(x.Sends, "axis") && x.Place.Report == idJoystick && uint16(x.Place.Bit) == a.Bit {
					place = x.Place.Usage.String()
				}
			}
			got := w.during(func() {
				for range 40 {
					w.say(t, fmt.Sprintf("read %d 0", i))
				}
				w.tick(t, 2)
				for range 80 {
					w.say(t, fmt.Sprintf("read %d 65535", i))
				}
				w.tick(t, 2)
			})
			if !strings.HasSuffix(got, place+"=4095") || place == "" || strings.Count(got, "=") > 2 {
				t.Errorf("%s: axis %d at its ends: %q, %s", name, i, got, place)
			}
		}
	}
	if played < 30 {
		t.Errorf("only %d contacts were pressed", played)
	}
}

const every = "part: push-16mm"

func TestEverythingOnTheCore(t *testing.T) {
	r, _ := worked(desk(pico,
		"go: "+every+", sends: {press: button 1, shifted: key ctrl+shift+f5}", "alt: "+every+", sends: shift", "save: "+every+", sends: key ctrl+s", "vol: "+every+", sends: consumer volume-up",
		"zzz: "+every+", sends: system sleep", "steps: "+every+", sends: [key ctrl+c, wait 50 ms, button 9]",
		"held: part: toggle-mini-2, sends: button 10", "two: part: toggle-mini-2, sends: {up: button 11, down: button 12}", "pulse: part: toggle-mini-2, sends: {press: button 13, as: pulse, pulse: 10 ms}",
		"edge: part: toggle-mini-2, sends: {up: button 14, down: key x, as: pulse}", "three: part: toggle-mini-3, sends: {up: button 15, down: button 16}", "one: part: toggle-mini-3, sends: {press: button 17, as: one}",
		"knob: part: encoder-m7, sends: {turn: [button 18, key right], pulse: 5 ms, gap: 5 ms}", "dial: part: encoder-m7-half, sends: {turn: axis dial, range: [0, 10], start: 5}",
		"wrap: part: encoder-m7, sends: {turn: axis wheel, range: [0, 3], start: 3, wrap: yes, reverse: yes}", "stick: part: joystick-switches, sends: hat",
		"long: "+every+", sends: {press: button 20, long: button 21, double: key a, after: 100 ms, within: 100 ms, pulse: 10 ms}", "half: "+every+", sends: hat 2 left",
	))
	if s := with(r.Findings, "send.cannot"); len(s)+len(with(r.Findings, "send.core"))+len(with(r.Findings, "send.unknown-word")) > 0 {
		t.Fatal(heads(r.Findings))
	}
	w := play(t, r)
	w.tick(t, 400)
	ms := func(n int) int { return n * 4 } // ticks of 0.25 ms
	raw := func(name string) int {
		x := row(t, r, name)
		if len(x.Raw) != 1 {
			t.Fatalf("%s: raw %v", name, x.Raw)
		}
		return x.Raw[0]
	}
	press := func(at, hold int) func() {
		return func() {
			w.set(t, at, 1)
			w.tick(t, hold)
			w.set(t, at, 0)
			w.tick(t, ms(300))
		}
	}
	try := func(what string, f func(), want ...string) {
		t.Helper()
		if got := w.during(f); got != strings.Join(want, " ") {
			t.Errorf("%s:\n got %s\nwant %s", what, got, strings.Join(want, " "))
		}
	}
	key := func(name string) string { u, _ := hid.FindUsage(hid.PageKeyboard, name); return u.String() }
	ctrl, shift := hid.LeftControl.String(), (hid.LeftControl + 1).String()
	try("go", press(raw("go"), ms(20)), "Button 1=1", "Button 1=0")
	try("shifted", func() {
		w.set(t, raw("alt"), 1)
		w.tick(t, ms(20))
		press(raw("go"), ms(20))()
		w.set(t, raw("alt"), 0)
		w.tick(t, ms(20))
	}, ctrl+"=1", shift+"=1", key("F5")+"=1", ctrl+"=0", shift+"=0", key("F5")+"=0")
	try("a chord goes down in one report", press(raw("save"), ms(20)), ctrl+"=1", key("Keyboard s")+"=1", ctrl+"=0", key("Keyboard s")+"=0")
	try("media", press(raw("vol"), ms(20)), "Volume Increment=1", "Volume Increment=0")
	try("sleep", press(raw("zzz"), ms(20)), "System Sleep=1", "System Sleep=0")
	try("steps", press(raw("steps"), ms(5)), ctrl+"=1", key("Keyboard c")+"=1", key("Keyboard c")+"=0", ctrl+"=0", "Button 9=1", "Button 9=0")
	try("toggle held", press(raw("held"), ms(50)), "Button 10=1", "Button 10=0")
	try("toggle as two", press(raw("two"), ms(50)), "Button 11=1", "Button 12=0", "Button 11=0", "Button 12=1")
	try("toggle as pulses", press(raw("pulse"), ms(100)), "Button 13=1", "Button 13=0", "Button 13=1", "Button 13=0")
	try("toggle as two pulses", press(raw("edge"), ms(100)), "Button 14=1", "Button 14=0", key("Keyboard x")+"=1", key("Keyboard x")+"=0")
	try("up", press(raw("three/up"), ms(30)), "Button 15=1", "Button 15=0")
	try("down", press(raw("three/down"), ms(30)), "Button 16=1", "Button 16=0")
	for _, x := range r.Rows {
		if x.Control.Name == "one" {
			try("as one", press(x.Raw[0], ms(30)), "Button 17=1", "Button 17=0")
		}
	}
	turn := func(name string, n, per int) func() {
		at := row(t, r, name).Raw
		return func() {
			order := [][2]int{{1, 0}, {1, 1}, {0, 1}, {0, 0}} // A closes first: to the right
			if n < 0 {
				order = [][2]int{{0, 1}, {1, 1}, {1, 0}, {0, 0}}
			}
			for k := range max(n, -n) * per {
				w.set(t, at[0], order[k%4][0])
				w.set(t, at[1], order[k%4][1])
				w.tick(t, ms(10))
			}
			w.tick(t, ms(100))
		}
	}
	right := key("Right Arrow")
	try("two clicks right", turn("knob/right", 2, 4), "Button 18=1", "Button 18=0", "Button 18=1", "Button 18=0")
	try("one click left", turn("knob/right", -1, 4), right+"=1", right+"=0")
	try("half-pulse clicks", turn("dial", 4, 2), "Dial=6", "Dial=7", "Dial=8", "Dial=9")
	try("stops at its end", turn("dial", 4, 2), "Dial=10")
	try("reversed, goes round", turn("wrap", -2, 4), "Wheel=0", "Wheel=1")
	up, right2 := raw("stick/up"), raw("stick/right")
	try("hat", func() {
		w.set(t, up, 1)
		w.tick(t, ms(20))
		w.set(t, right2, 1)
		w.tick(t, ms(20))
		w.set(t, up, 0)
		w.set(t, right2, 0)
		w.tick(t, ms(20))
	}, "Hat switch=0", "Hat switch=1", "Hat switch=-1")
	try("second hat", press(raw("half"), ms(20)), "Hat switch (2)=6", "Hat switch (2)=-1")
	b := raw("long")
	try("short press", press(b, ms(20)), "Button 20=1", "Button 20=0")
	try("long press", press(b, ms(200)), "Button 21=1", "Button 21=0")
	try("double press", func() {
		w.set(t, b, 1)
		w.tick(t, ms(20))
		w.set(t, b, 0)
		w.tick(t, ms(30))
		press(b, ms(20))()
	}, key("Keyboard a")+"=1", key("Keyboard a")+"=0")
}

// Lamps on the core: steady, following, flipping, from the host.
func TestLampsOnTheCore(t *testing.T) {
	r, _ := worked(desk(pico,
		"go: part: push-22mm-lit, sends: {press: button 1}", "fog: part: toggle-mini-2, sends: none", "steady: part: lamp-5mm, sends: steady", "fog-lamp: part: lamp-5mm, sends: follows fog",
		"flip: part: lamp-5mm, sends: flips go", "pc: part: lamp-5mm, sends: host 3", "dark: part: lamp-5mm, sends: none", "auto: part: lamp-5mm, sends: host",
	))
	w := play(t, r)
	order := []string{}
	e, err := Explain(r.Image.Data)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range e.Lamps {
		name, _, _ := strings.Cut(l, ":")
		order = append(order, name)
	}
	lit := func() string {
		got := strings.TrimPrefix(w.say(t, "lamps")[0], "lamps ")
		var out []string
		for i, c := range got {
			if c == '1' {
				out = append(out, order[i])
			}
		}
		slices.Sort(out)
		return strings.Join(out, ", ")
	}
	is := func(what, want string) {
		t.Helper()
		w.tick(t, 100)
		if got := lit(); got != want {
			t.Errorf("%s: %s are lit; want %s", what, got, want)
		}
	}
	is("at rest", "STEADY")
	w.set(t, row(t, r, "go").Raw[0], 1)
	is("go pressed", "FLIP, STEADY, The lamp of GO")
	w.set(t, row(t, r, "go").Raw[0], 0)
	is("go let go", "FLIP, STEADY")
	fog := -1
	for _, in := range r.Table.Inputs {
		if in.Bit == core.None {
			fog = int(in.Raw)
		}
	}
	w.set(t, fog, 1)
	is("fog on", "FLIP, FOG LAMP, STEADY")
	if got := row(t, r, "auto").Sends; got != "host 1" {
		t.Errorf("auto is %s", got)
	}
	report, err := w.desc.Encode(hid.Output, idLamps, []hid.Control{{Usage: hid.GenericIndicator}, {Usage: hid.GenericIndicator}, {Usage: hid.GenericIndicator, Value: 1}})
	if err != nil {
		t.Fatal(err)
	}
	if got := w.say(t, fmt.Sprintf("give %d %X", report[0], report[1:])); got[0] != "given 1" {
		t.Fatalf("%v", got)
	}
	is("lamp 3 from the host", "FLIP, FOG LAMP, PC, STEADY")
}
