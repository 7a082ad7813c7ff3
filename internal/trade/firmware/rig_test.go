package firmware

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"knobwright/examples"
	core "knobwright/firmware"
	"knobwright/firmware/rig"
	"knobwright/internal/hid"
	"knobwright/internal/thorough"
)

// rigPath is the whole firmware, core and board, compiled for this PC from its sources, with the pins and the bus of the rig.
var rigPath = sync.OnceValues(func() (string, error) {
	cc, err := exec.LookPath("cc")
	if err != nil {
		return "", nil
	}
	dir, err := os.MkdirTemp("", "rig")
	if err != nil {
		return "", err
	}
	const root = "../../../firmware/"
	args := []string{"-std=c99", "-O1", "-I" + root + "core", "-I" + root + "board", "-I" + root + "rig/host", "-o", filepath.Join(dir, "rig")}
	for _, d := range []string{"core", "board", "rig/host"} {
		files, err := filepath.Glob(root + d + "/*.c")
		if err != nil {
			return "", err
		}
		args = append(args, files...)
	}
	if text, err := exec.Command(cc, args...).CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, text)
	}
	return filepath.Join(dir, "rig"), nil
})

// plug starts a simulated panel with a table.
func plug(t *testing.T, r Result) *rig.Panel {
	t.Helper()
	path, err := rigPath()
	if err != nil {
		t.Fatal(err)
	}
	if path == "" {
		t.Skip("SKIPPED: no C compiler (cc) is installed; the tables were not run on the simulated panel")
	}
	b, err := rig.Start(".", path)
	if err != nil {
		t.Fatal(err)
	}
	p, err := rig.Plug(b, rig.ForHost(r.Bytes), core.Host)
	if err != nil {
		_ = b.Close()
		t.Fatalf("%v\n%s", err, heads(r.Findings))
	}
	return p
}

// Whole tables on the simulated panel: pins, matrix, chain, expanders, ladders and multiplexers as the wiring has them, a host that
// enumerates, and every contact closed and opened alone.
func TestOnTheSimulatedPanel(t *testing.T) {
	var buttons, toggles []string
	for i := range 20 {
		buttons = append(buttons, fmt.Sprintf("b%d: part: push-16mm", i))
		toggles = append(toggles, fmt.Sprintf("t%d: part: toggle-mini-2", i))
	}
	cases := map[string]string{
		"pins":     golden(),
		"matrix":   desk(pico, slices.Concat(buttons, toggles)...) + "wiring: {by: matrix}\n",
		"columns":  desk(pico, slices.Concat(buttons, toggles)...) + "wiring: {by: matrix, matrix: {diodes: to-column}}\n",
		"expander": desk(pico, slices.Concat(buttons, toggles)...) + "wiring: {by: expander}\n",
		"shift-in": desk(pico, slices.Concat(buttons, toggles)...) + "wiring: {by: shift-in}\n",
		"rotary":   desk(pico, "mood: part: rotary-6way, via: ladder", "go: part: push-16mm") + "wiring: {by: ladder}\n",
		"ladder":   desk(pico, "a: part: push-16mm, via: ladder", "b: part: push-16mm, via: ladder", "c: part: push-16mm, via: ladder", "d: part: push-16mm"),
		"pots":     desk(pico, "p1: part: pot-16mm", "p2: part: pot-16mm", "p3: part: pot-16mm", "p4: part: pot-16mm", "p5: part: pot-16mm", "a: part: push-16mm"),
		"small":    desk("atmega32u4-24pin", "a: part: push-16mm", "b: part: encoder-m7-push", "p: part: pot-16mm", "l: part: lamp-5mm, sends: follows a", "k: part: push-16mm, sends: key ctrl+a"),
	}
	for _, n := range examples.Names() {
		if thorough.Is() || n == "cue-desk" {
			cases[n] = string(examples.File(n))
		}
	}
	names := make([]string, 0, len(cases))
	for n := range cases {
		names = append(names, n)
	}
	slices.Sort(names)
	pressed := map[string]int{}
	for _, name := range names {
		r, _ := worked(cases[name])
		if r.Bytes == nil {
			if slices.Contains(examples.Names(), name) {
				continue
			}
			t.Errorf("%s: no table\n%s", name, heads(r.Findings))
			continue
		}
		p := plug(t, r)
		if !bytes.Equal(p.Device, r.Device.Device) || !bytes.Equal(p.Configuration, r.Device.Configuration) {
			t.Errorf("%s: the host gets other descriptors", name)
		}
		h := &host{t: t, p: p, desc: r.Interfaces[0].Means, on: map[string]int64{}}
		h.run(60)
		for _, x := range r.Rows {
			if x.Lamp || x.How != "held" || len(x.Raw) != 1 || x.Place.Width != 1 || strings.HasPrefix(x.Sends, "key ") && strings.Contains(x.Sends, "+") {
				continue
			}
			pressed[name]++
			u := x.Place.Usage.String()
			if name == "rotary" && strings.HasPrefix(x.Name, "mood") { // one position is always closed; the rig leaves the last one so
				if got := h.press(x.Raw[0]); x.Name != "mood/6" && !strings.HasPrefix(got, u+"=1 ") {
					t.Errorf("%s: %s: %q", name, x.Label, got)
				}
				continue
			}
			if strings.HasSuffix(x.Name, "/off") || slices.ContainsFunc(r.Rows, func(y Row) bool { return y.Name == x.Name+"/off" }) {
				continue // one contact, two buttons: see TestEverythingOnTheCore
			}
			if got := h.press(x.Raw[0]); got != u+"=1 "+u+"=0" {
				t.Errorf("%s: %s on %s %s (raw %d): %q, want %s", name, x.Label, x.Board, x.Pin, x.Raw[0], got, u)
			}
		}
		for i, a := range r.Table.Axes {
			if heardAsMIDI(r.Table, a.Bit) { // see TestMIDIOnTheSimulatedPanel
				continue
			}
			for _, v := range []int{0, 65535} {
				if ok, err := p.Slide(i, v); !ok || err != nil {
					t.Errorf("%s: axis %d has no voltage: %v", name, i, err)
				}
				h.seen = nil
				h.run(120)
				want := map[int]string{0: "=0", 65535: "=" + fmt.Sprint(r.Table.Axes[i].AtHi)}[v]
				if r.Table.Axes[i].Invert {
					want = map[int]string{65535: "=0", 0: "=" + fmt.Sprint(r.Table.Axes[i].AtHi)}[v]
				}
				if got := strings.Join(h.seen, " "); v > 0 && (!strings.HasSuffix(got, want) || got == "") {
					t.Errorf("%s: axis %d at %d: %q, want %s", name, i, v, got, want)
				}
			}
		}
		if err := p.Close(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	least := map[string]int{"pins": 2, "matrix": 40, "columns": 40, "expander": 40, "shift-in": 40, "rotary": 7, "ladder": 4, "small": 2, "cue-desk": 20, "signal-desk": 50}
	if !thorough.Is() {
		delete(least, "signal-desk")
	}
	for name, n := range least {
		if pressed[name] < n {
			t.Errorf("%s: only %d contacts were pressed", name, pressed[name])
		}
	}
}

// host takes in reports as a host does.
type host struct {
	t    *testing.T
	p    *rig.Panel
	desc *hid.Descriptor
	on   map[string]int64
	seen []string
}

func (h *host) run(ms int) {
	h.t.Helper()
	reports, err := h.p.Run(ms)
	if err != nil {
		h.t.Fatal(err)
	}
	h.take(reports)
}

func (h *host) take(reports [][]byte) {
	h.t.Helper()
	for _, raw := range reports {
		list, err := h.desc.Decode(hid.Input, raw)
		if err != nil {
			h.t.Fatalf("%X: %v", raw, err)
		}
		for _, c := range list {
			name := c.Usage.String()
			if was, ok := h.on[name]; ok && was != c.Value || !ok && c.Value != 0 {
				h.seen = append(h.seen, fmt.Sprintf("%s=%d", name, c.Value))
			}
			h.on[name] = c.Value
		}
	}
}

func (h *host) press(raw int) string {
	h.t.Helper()
	h.seen = nil
	for _, closed := range []bool{true, false} {
		if ok, err := h.p.Press(raw, closed); !ok || err != nil {
			return fmt.Sprintf("no contact at raw %d (%v)", raw, err)
		}
		h.run(40)
	}
	return strings.Join(h.seen, " ")
}

// An encoder whose A closes first is turned to the right.
func TestTurnOnTheSimulatedPanel(t *testing.T) {
	r, _ := worked(desk(pico, "a: part: encoder-m7, sends: {turn: [button 1, button 2]}", "b: part: encoder-m7-half, sends: {turn: axis dial}"))
	p := plug(t, r)
	defer p.Close()
	h := &host{t: t, p: p, desc: r.Interfaces[0].Means, on: map[string]int64{}}
	h.run(30)
	state := map[string]*int{"a": new(int), "b": new(int)}
	turn := func(name string, quarters int) string {
		raw := row(t, r, name).Raw
		h.seen = nil
		// the rig's right is that in which the second contact closes first
		reports, err := p.Turn(raw[1], raw[0], state[name[:1]], quarters, 5000)
		if err != nil {
			t.Fatal(err)
		}
		h.take(reports)
		h.run(100)
		return strings.Join(h.seen, " ")
	}
	if got := turn("a/right", 4); got != "Button 1=1 Button 1=0" {
		t.Errorf("right: %s", got)
	}
	if got := turn("a/right", -4); got != "Button 2=1 Button 2=0" {
		t.Errorf("left: %s", got)
	}
	if got := turn("b", 2); !strings.HasSuffix(got, "Dial=128") {
		t.Errorf("a click of half a pulse: %s", got)
	}
}

// heardAsMIDI reports whether a bit of the row is one of those that events are made of, and that no report of HID carries.
func heardAsMIDI(t core.Table, bit uint16) bool {
	for _, r := range t.Reports {
		if r.MIDI && int(bit) >= 8*int(r.Start) && int(bit) < 8*(int(r.Start)+int(r.Length)) {
			return true
		}
	}
	return false
}
