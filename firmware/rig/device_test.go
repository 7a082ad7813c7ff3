package rig

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/hid"
)

// device is a panel on a back end, as the host sees it.
type device struct {
	*Back
	t    testing.TB
	m    maker
	f    *fixture
	w    *Wiring
	pins []uint8
	on   map[string]int64 // last value of every control
	seen []string         // what changed since last asked
	raw  [][]byte         // reports since last asked
	at   map[int]int      // where shafts stand, by raw bit of A
}

// boot wires a panel and starts it; nothing is enumerated yet.
func boot(t testing.TB, m maker, f *fixture, before ...func(d *device)) *device {
	t.Helper()
	d := &device{Back: m.start(t), t: t, m: m, f: f, pins: pinMaps[m.chip].pins, on: map[string]int64{}, at: map[int]int{}}
	var err error
	if d.w, err = d.Wire(f.raw, m.chip); err != nil {
		t.Fatal(err)
	}
	for _, g := range before {
		g(d)
	}
	d.load(f.raw)
	return d
}

// load starts the chip with a table and waits until it shows itself on the bus.
func (d *device) load(table []byte) {
	d.t.Helper()
	d.m.load(d.t, d.Back, table)
	for range 50 {
		if d.flag("attached") {
			d.say("run 10000")
			return
		}
		d.say("run 10000")
	}
	d.t.Fatal("the panel does not show itself on the bus within 0.5 s")
}

// plugged is boot and an enumeration.
func plugged(t testing.TB, m maker, f *fixture, before ...func(d *device)) *device {
	t.Helper()
	d := boot(t, m, f, before...)
	d.enumerate()
	d.listen(60)
	d.seen, d.raw = nil, nil
	return d
}

func (d *device) enumerate() {
	d.t.Helper()
	if _, _, err := d.Enumerate(5); err != nil {
		d.t.Fatal(err)
	}
}

func (d *device) say(lines ...string) []string {
	d.t.Helper()
	got, err := d.Ask(lines...)
	if err != nil {
		d.t.Fatal(err)
	}
	return got
}

func (d *device) control(s Setup, data ...byte) Reply {
	d.t.Helper()
	r, err := d.Control(s, data)
	if err != nil {
		d.t.Fatal(err)
	}
	return r
}

func (d *device) set(raw int, closed bool) {
	d.t.Helper()
	lines := d.w.Contact(raw, closed)
	if lines == nil {
		d.t.Fatalf("no contact at raw bit %d", raw)
	}
	d.say(lines...)
}

// press closes a contact for some ms, and listens as long and some more.
func (d *device) press(raw, forMs, after int) {
	d.t.Helper()
	d.set(raw, true)
	d.listen(forMs)
	d.set(raw, false)
	d.listen(after)
}

// turn turns a shaft by quarters, one each us.
func (d *device) turn(a, b, quarters, us int) {
	d.t.Helper()
	state := d.at[a]
	reports, err := d.Turn(d.w, a, b, &state, quarters, us)
	if err != nil {
		d.t.Fatal(err)
	}
	d.at[a] = state
	for _, r := range reports {
		d.take(r)
	}
}

// listen takes reports for some ms.
func (d *device) listen(ms int) {
	d.t.Helper()
	reports, err := d.Listen(ms)
	if err != nil {
		d.t.Fatal(err)
	}
	for _, r := range reports {
		d.take(r)
	}
}

func (d *device) take(r []byte) {
	d.t.Helper()
	d.raw = append(d.raw, r)
	controls, err := d.f.descriptor.Decode(hid.Input, r)
	if err != nil {
		d.t.Fatalf("report %X: %v", r, err)
	}
	nth := map[hid.Usage]int{}
	for _, c := range controls {
		name := c.Usage.String()
		if nth[c.Usage]++; nth[c.Usage] > 1 {
			name += fmt.Sprintf("/%d", nth[c.Usage])
		}
		v := c.Value
		if c.Null {
			v = -1
		}
		if c.Usage == hid.Wheel { // relative
			if v != 0 {
				d.seen = append(d.seen, fmt.Sprintf("%s%+d", name, v))
			}
			continue
		}
		if was, known := d.on[name]; known && was != v || !known && v != 0 && !c.Null {
			d.seen = append(d.seen, fmt.Sprintf("%s=%d", name, v))
		}
		d.on[name] = v
	}
}

// changes gives what changed since last asked.
func (d *device) changes() string {
	out := strings.Join(d.seen, " ")
	d.seen, d.raw = nil, nil
	return out
}

// expect compares what changed since last asked.
func (d *device) expect(what, want string) {
	d.t.Helper()
	if got := d.changes(); got != want {
		d.t.Errorf("%s:\n got %q\nwant %q", what, got, want)
	}
}

// level gives what a pin of the fixture shows.
func (d *device) level(pin int) string {
	d.t.Helper()
	return strings.TrimPrefix(d.say(fmt.Sprintf("level %d", d.pins[pin]))[0], "level ")
}

func (d *device) identity() Identity {
	d.t.Helper()
	r := d.control(Setup{0xA1, 1, 0x03F0, 1, 64})
	id, err := ReadIdentity(r.Data)
	if err != nil {
		d.t.Fatalf("%s: %v", r, err)
	}
	return id
}

// clean fails when the model saw misuse.
func (d *device) clean() {
	d.t.Helper()
	if got := d.say("lint")[0]; !strings.HasPrefix(got, "lint 0") {
		d.t.Error(got)
	}
}

// flag says whether an answer's word is 1.
func (d *device) flag(word string) bool {
	d.t.Helper()
	return d.say(word)[0] == word+" 1"
}

func count(list []string, s string) int {
	n := 0
	for _, x := range list {
		if x == s {
			n++
		}
	}
	return n
}

var _ = slices.Contains[[]string]
