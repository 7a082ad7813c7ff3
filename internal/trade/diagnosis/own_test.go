package diagnosis_test

import (
	"slices"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

// A small panel: what its faults look like is worked out by hand in the tests below.
const small = `knobwright: 1
title: Puppet theatre, small desk
units: mm
face: {width: 260, height: 160, sheet: aluminium-2mm, fixings: {screw: M3, inset: 8, across: 2}}
box: {form: flat, depth: 60, walls: birch-ply-9mm, ledge: {width: 14, height: 14}}
module: {part: rp2040-40pin, at: [130, 30]}
controls:
  go: {part: push-16mm, at: [40, 120], legend: GO, sends: button 1}
  birds: {part: push-16mm, at: [75, 120], legend: BIRDS, sends: button 2}
  rain: {part: push-16mm, at: [110, 120], legend: RAIN, sends: button 3}
  fog: {part: toggle-mini-2, at: [145, 120], legend: FOG, sends: button 4}
  scene: {part: encoder-m7-push, at: [185, 120], legend: SCENE, sends: {turn: [button 5, button 6], press: button 7}}
  house: {part: pot-16mm, at: [225, 120], legend: HOUSE, sends: axis slider}
  ready: {part: lamp-5mm-holder, at: [40, 80], legend: READY, sends: host 1}
`

// grid is a matrix of six buttons in two rows.
const grid = `knobwright: 1
title: Star atlas keys
units: mm
face: {width: 260, height: 160, sheet: aluminium-2mm, fixings: {screw: M3, inset: 8, across: 2}}
box: {form: flat, depth: 60, walls: birch-ply-9mm, ledge: {width: 14, height: 14}}
module: {part: rp2040-40pin, at: [130, 30]}
wiring: {by: matrix, matrix: {rows: 2, columns: 3}}
groups:
  stars:
    part: push-16mm
    grid: {from: [60, 130], step: [60, 50], columns: 3, rows: 2}
    names: "star-{n}"
`

func build(t testing.TB, src string) (*project.Doc, diagnosis.Inputs) {
	t.Helper()
	return project.Read("x.yaml", []byte(src)), inputs(t, "x.yaml", []byte(src))
}

// desk is a hand-made forward look at a panel: which raw bits are set, where the axes stand.
type desk struct {
	in  diagnosis.Inputs
	raw []byte
	ax  []uint16
	out []diagnosis.Moment
	at  float64
}

func newDesk(in diagnosis.Inputs) *desk {
	return &desk{in: in, raw: make([]byte, (len(in.Firmware.Bits)+7)/8), ax: make([]uint16, len(in.Firmware.Readings))}
}

func (d *desk) bit(t testing.TB, name string) int {
	t.Helper()
	for i, b := range d.in.Firmware.Bits {
		if b.Signal >= 0 && d.in.Wiring.Signals[b.Signal].Name == name {
			return i
		}
	}
	t.Fatalf("no bit of %s", name)
	return 0
}

func (d *desk) note() *desk {
	d.out = append(d.out, diagnosis.Moment{At: d.at, Raw: slices.Clone(d.raw), Axes: slices.Clone(d.ax)})
	d.at += 60
	return d
}

func (d *desk) set(t testing.TB, on bool, names ...string) *desk {
	t.Helper()
	for _, n := range names {
		i := d.bit(t, n)
		if d.raw[i/8] &^= 1 << (i % 8); on {
			d.raw[i/8] |= 1 << (i % 8)
		}
	}
	return d.note()
}

func (d *desk) seen(a diagnosis.Act) diagnosis.Seen {
	s := diagnosis.Seen{Act: a, Moments: d.out}
	d.out, d.at = nil, 0
	return s
}

// press shows a press of dev that brings bits.
func (d *desk) press(t testing.TB, dev string, brings ...string) diagnosis.Seen {
	t.Helper()
	d.note()
	if len(brings) > 0 {
		d.set(t, true, brings...)
		d.set(t, false, brings...)
	}
	return d.seen(diagnosis.Act{Do: diagnosis.Press, Device: dev})
}

func (d *desk) turn(t testing.TB, dev string, right bool, seq ...string) diagnosis.Seen {
	t.Helper()
	d.note()
	on := map[string]bool{}
	for _, n := range seq {
		on[n] = !on[n]
		d.set(t, on[n], n)
	}
	a := diagnosis.Act{Do: diagnosis.Turn, Device: dev, Clicks: -1}
	if right {
		a.Clicks = 1
	}
	return d.seen(a)
}

func (d *desk) slide(dev string, part float64, reads uint16) diagnosis.Seen {
	d.note()
	d.ax[0] = reads
	d.note()
	return d.seen(diagnosis.Act{Do: diagnosis.Slide, Device: dev, Part: part})
}

// right is the whole sheet of the small panel with nothing wrong.
func right(t testing.TB, in diagnosis.Inputs) []diagnosis.Seen {
	d := newDesk(in)
	out := []diagnosis.Seen{d.note().seen(diagnosis.Act{Do: diagnosis.Rest})}
	for _, n := range []string{"go", "birds", "rain"} {
		out = append(out, d.press(t, n, n))
	}
	d.note()
	out = append(out, d.set(t, true, "fog").seen(diagnosis.Act{Do: diagnosis.Put, Device: "fog", Position: "up"}))
	d.note()
	out = append(out, d.set(t, false, "fog").seen(diagnosis.Act{Do: diagnosis.Put, Device: "fog", Position: "down"}))
	out = append(out, d.turn(t, "scene/turn", true, "scene/a", "scene/b", "scene/a", "scene/b"), d.turn(t, "scene/turn", false, "scene/b", "scene/a", "scene/b", "scene/a"))
	out = append(out, d.press(t, "scene/push", "scene/push"))
	out = append(out, d.slide("house", 0, 0), d.slide("house", 1, 65535), d.slide("house", 0.5, 32768))
	out = append(out, diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Light, Device: "ready"}, Lamp: "lit"}, diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Dark, Device: "ready"}, Lamp: "dark"})
	return out
}

// top gives the kinds of the likeliest group.
func top(v diagnosis.Verdict) []diagnosis.Kind {
	if len(v.Groups) == 0 {
		return nil
	}
	var out []diagnosis.Kind
	for _, c := range v.Groups[0].Causes {
		if len(c.Faults) == 1 {
			out = append(out, c.Faults[0].Kind)
		}
	}
	return out
}

func has(t *testing.T, v diagnosis.Verdict, want diagnosis.Kind, where string) diagnosis.Fault {
	t.Helper()
	if len(v.Groups) == 0 {
		t.Fatal("no explanation")
	}
	for _, c := range v.Groups[0].Causes {
		if f := c.Faults[0]; len(c.Faults) == 1 && f.Kind == want && (where == "" || f.A.Of+" "+f.A.Lug == where || f.Device == where) {
			return f
		}
	}
	t.Fatalf("%s at %s is not in the likeliest group: %+v", want, where, v.Groups[0].Causes)
	return diagnosis.Fault{}
}

// No fault explains a right sheet, and every line of it is judged right.
func TestRightSheet(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	lines := m.Sheet()
	for _, x := range right(t, in) {
		s.Add(x)
		for _, l := range lines {
			if l.ID != "table" && l.Act.Do == x.Act.Do && l.Act.Device == x.Act.Device && l.Act.Position == x.Act.Position && l.Act.Clicks == x.Act.Clicks && l.Act.Part == x.Act.Part {
				if j := m.Judge(l, x); j.Said != diagnosis.Right {
					t.Errorf("%s: %s, %s", l.ID, j.Said, words.English.Say(j.Say[0]))
				}
			}
		}
	}
	if v := s.Verdict(); !v.Right || len(v.Groups) > 0 {
		t.Errorf("%+v", v)
	}
	if got := s.Causes(5); len(got) > 0 {
		t.Errorf("%+v", got)
	}
}

// The sheet has a line for each thing, in the order of the file, and names that stay.
func TestSheetLines(t *testing.T) {
	_, in := build(t, small)
	var got []string
	for _, l := range diagnosis.Sheet(in) {
		got = append(got, l.ID)
		if say := words.English.Say(l.Say) + words.English.Say(l.Expect); strings.ContainsAny(say, "<>{}") {
			t.Errorf("%s: %s", l.ID, say)
		}
	}
	want := "table rest go/press birds/press rain/press fog/up fog/down scene/turn/right scene/turn/left scene/push/press house/low house/high house/middle ready/lit ready/dark"
	if s := strings.Join(got, " "); s != want {
		t.Errorf("%s\nwant\n%s", s, want)
	}
}

// A toggle that was left up while the sheet is begun is no fault.
func TestLeftUp(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	d.set(t, true, "fog")
	d.out = nil
	s.Add(d.note().seen(diagnosis.Act{Do: diagnosis.Rest}))
	for _, n := range []string{"go", "birds", "rain", "go", "birds", "rain"} {
		s.Add(d.press(t, n, n))
	}
	s.Add(d.note().seen(diagnosis.Act{Do: diagnosis.Put, Device: "fog", Position: "up"}))
	d.note()
	s.Add(d.set(t, false, "fog").seen(diagnosis.Act{Do: diagnosis.Put, Device: "fog", Position: "down"}))
	if v := s.Verdict(); !v.Right {
		t.Errorf("%+v", v.Groups[0])
	}
	// One that stays on when it is put down is stuck, or its lead touches ground.
	d.set(t, true, "fog")
	d.out = nil
	s = m.Begin()
	s.Add(d.note().seen(diagnosis.Act{Do: diagnosis.Put, Device: "fog", Position: "up"}))
	s.Add(d.note().seen(diagnosis.Act{Do: diagnosis.Put, Device: "fog", Position: "down"}))
	has(t, s.Verdict(), diagnosis.Stuck, "fog")
}

// GO brings BIRDS and BIRDS brings GO: their leads are exchanged, and the table can follow.
func TestSwapped(t *testing.T) {
	doc, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	s.Add(d.press(t, "go", "birds"))
	s.Add(d.press(t, "birds", "go"))
	f := has(t, s.Verdict(), diagnosis.Swapped, "")
	r, ok := m.Remedy(f)
	if !ok {
		t.Fatal("no remedy without solder")
	}
	again := apply(t, doc, r.Fact.Edits)
	for _, n := range []string{"go", "birds"} {
		other := map[string]string{"go": "birds", "birds": "go"}[n]
		if a, b := pinOf(t, again, n), pinOf(t, in, other); a != b {
			t.Errorf("%s is on %v after the edits, want %v", n, a, b)
		}
	}
	for _, n := range []string{"rain", "fog", "scene/a", "ready"} {
		if a, b := pinOf(t, again, n), pinOf(t, in, n); a != b {
			t.Errorf("%s went from %v to %v", n, b, a)
		}
	}
}

func apply(t *testing.T, doc *project.Doc, edits []finding.Edit) diagnosis.Inputs {
	t.Helper()
	out, err := doc.Apply(edits)
	if err != nil {
		t.Fatalf("%v\n%+v", err, edits)
	}
	if d := project.Read("x.yaml", out); len(d.Findings) > 0 {
		for _, f := range d.Findings {
			if f.Severity > finding.Note {
				t.Errorf("%s: %s\n%s", f.Rule, f.Head, out)
			}
		}
	}
	return inputs(t, "x.yaml", out)
}

func pinOf(t *testing.T, in diagnosis.Inputs, name string) wiring.Terminal {
	t.Helper()
	for i, s := range in.Wiring.Signals {
		if s.Name == name {
			return in.Wiring.Plan.Seats[i].Pin
		}
	}
	t.Fatalf("no signal %s", name)
	return wiring.Terminal{}
}

// SCENE moves its contacts in the other order: B first when turned to the right.
func TestPhases(t *testing.T) {
	doc, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	x := d.turn(t, "scene/turn", true, "scene/b", "scene/a", "scene/b", "scene/a")
	s.Add(x)
	f := has(t, s.Verdict(), diagnosis.PhasesSwap, "scene/turn")
	for _, l := range m.Sheet() {
		if l.ID == "scene/turn/right" {
			if j := m.Judge(l, x); j.Said != diagnosis.Wrong || j.Say[0].Key != "walk.judged.way" {
				t.Errorf("%+v", j)
			}
		}
	}
	r, ok := m.Remedy(f)
	if !ok {
		t.Fatal("no remedy")
	}
	again := apply(t, doc, r.Fact.Edits)
	if pinOf(t, again, "scene/a") != pinOf(t, in, "scene/b") || pinOf(t, again, "scene/b") != pinOf(t, in, "scene/a") {
		t.Error("the pins did not change places")
	}
}

// Half the steps in a click; the table follows the part.
func TestDetents(t *testing.T) {
	doc, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	s.Add(d.turn(t, "scene/turn", true, "scene/a", "scene/b"))
	f := has(t, s.Verdict(), diagnosis.Detents, "scene/turn")
	if f.Value != 2 {
		t.Errorf("%+v", f)
	}
	r, ok := m.Remedy(f)
	if !ok {
		t.Fatal("no remedy")
	}
	if e := apply(t, doc, r.Fact.Edits).Firmware.Table.Encoders[0]; e.Steps != 2 {
		t.Errorf("%+v", e)
	}
}

// HOUSE reads the other way round.
func TestEnds(t *testing.T) {
	doc, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	s.Add(d.slide("house", 0, 65535))
	s.Add(d.slide("house", 1, 0))
	f := has(t, s.Verdict(), diagnosis.EndsSwapped, "house")
	r, ok := m.Remedy(f)
	if !ok {
		t.Fatal("no remedy")
	}
	if a := apply(t, doc, r.Fact.Edits).Firmware.Table.Axes; len(a) != 1 || !a[0].Invert {
		t.Errorf("%+v", a)
	}
}

// A button whose contact chatters for 70 ms; the table can wait that long.
func TestBounces(t *testing.T) {
	doc, in := build(t, small)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	d.note()
	for k := range 15 {
		d.set(t, k%2 == 0, "rain")
		d.at -= 55
	}
	d.at = 300
	d.set(t, false, "rain")
	s.Add(d.seen(diagnosis.Act{Do: diagnosis.Press, Device: "rain"}))
	f := has(t, s.Verdict(), diagnosis.Bounces, "rain")
	r, ok := m.Remedy(f)
	if !ok {
		t.Fatal("no remedy")
	}
	bit := d.bit(t, "rain")
	for _, x := range apply(t, doc, r.Fact.Edits).Firmware.Table.Inputs {
		if int(x.Raw) == bit && x.Debounce < 60 {
			t.Errorf("%+v", x)
		}
	}
}

// All controls from a joint of the ground chain on are dead, those before it are not.
func TestChain(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	for _, ch := range in.Harness.Chains {
		at := -1
		for i, l := range ch.Lugs { // a joint with a press button before it and one from it on
			if i > 0 && isButton(l.Of) && slices.ContainsFunc(ch.Lugs[:i], func(t wiring.Terminal) bool { return isButton(t.Of) }) {
				at = i
			}
		}
		if at < 0 || in.Wiring.Nets[ch.Net].Kind != wiring.NetGround {
			continue
		}
		s := m.Begin()
		d := newDesk(in)
		for i, l := range ch.Lugs {
			switch {
			case !isButton(l.Of):
			case i >= at:
				s.Add(d.press(t, l.Of))
			default:
				s.Add(d.press(t, l.Of, l.Of))
			}
		}
		causes := s.Causes(8)
		if !slices.ContainsFunc(causes, func(c diagnosis.Cause) bool {
			return c.Faults[0].Kind == diagnosis.ChainBroken && c.Faults[0].A == ch.Lugs[at]
		}) {
			t.Errorf("the joint at %v is not among %+v", ch.Lugs[at], causes)
		}
		return
	}
	t.Skip("no chain with two buttons in a row")
}

func isButton(of string) bool { return of == "go" || of == "birds" || of == "rain" }

// Of three held corners of a rectangle the fourth shows: the diode of the one in the middle is bridged.
func TestGhost(t *testing.T) {
	_, in := build(t, grid)
	m := diagnosis.New(in)
	var hold *diagnosis.Line
	lines := m.Sheet()
	for i := range lines {
		if lines[i].Act.Do == diagnosis.Hold && lines[i].Act.With[0].Device == "star-2" {
			hold = &lines[i]
		}
	}
	if hold == nil {
		t.Fatal("the sheet does not try STAR 2 in the middle")
	}
	// By hand: the middle shares its row with one and its column with the other; the fourth is where the other two lines cross.
	at := func(dev string) (row, col wiring.Terminal) {
		for _, b := range in.Firmware.Bits {
			if b.Signal >= 0 && in.Wiring.Signals[b.Signal].Name == dev {
				return b.Drive, b.Pin
			}
		}
		return
	}
	_, c1 := at(hold.Act.Device)
	r2, _ := at(hold.Act.With[1].Device)
	fourth := ""
	for _, b := range in.Firmware.Bits {
		if b.Drive == r2 && b.Pin == c1 && b.Signal >= 0 {
			fourth = in.Wiring.Signals[b.Signal].Name
		}
	}
	if fourth == "" {
		t.Fatal("no fourth corner")
	}
	s := m.Begin()
	d := newDesk(in)
	for _, n := range []string{"star-1", "star-2", "star-3", "star-4", "star-5", "star-6"} {
		s.Add(d.press(t, n, n))
	}
	d.note()
	d.set(t, true, hold.Act.Device)
	d.set(t, true, "star-2")
	d.set(t, true, hold.Act.With[1].Device, fourth)
	x := d.seen(hold.Act)
	d.raw = make([]byte, len(d.raw))
	if j := m.Judge(*hold, x); j.Said != diagnosis.Partly {
		t.Errorf("%+v", j)
	}
	s.Add(x)
	if f := has(t, s.Verdict(), diagnosis.NoDiode, ""); f.A.Of != "star-2" {
		t.Errorf("%+v", f)
	}
}

// A diode the wrong way round: its button is dead.
func TestDiodeTurned(t *testing.T) {
	_, in := build(t, grid)
	m := diagnosis.New(in)
	s := m.Begin()
	d := newDesk(in)
	for _, n := range []string{"star-1", "star-2", "star-3", "star-5", "star-6"} {
		s.Add(d.press(t, n, n))
	}
	s.Add(d.press(t, "star-4"))
	v := s.Verdict()
	k := top(v)
	if !slices.Contains(k, diagnosis.DiodeTurned) || !slices.Contains(k, diagnosis.OpenDiode) {
		t.Errorf("%v", k)
	}
	// Nothing pressed tells them apart: a meter does.
	if a, ok := s.Apart(v.Groups[0]); !ok || a.Act.Do != diagnosis.Measure && a.Act.Do != diagnosis.MeasureV {
		t.Errorf("%+v %v", a, ok)
	}
}

// The two lugs of a plain button exchanged are no fault to anybody; a lead that is off is one.
func TestShows(t *testing.T) {
	_, in := build(t, small)
	m := diagnosis.New(in)
	two := diagnosis.Fault{Kind: diagnosis.Swapped, A: wiring.Terminal{Of: "go", Lug: "c"}, B: wiring.Terminal{Of: "go", Lug: "no"}}
	if m.Shows(two) {
		t.Error("the two lugs of GO make no difference")
	}
	if !m.Shows(diagnosis.Fault{Kind: diagnosis.OpenLead, A: wiring.Terminal{Of: "go", Lug: "no"}, B: pinOf(t, in, "go")}) {
		t.Error("a lead that is off shows")
	}
	if m.Shows(diagnosis.Fault{Kind: "made-up"}) || m.Shows(diagnosis.Fault{Kind: diagnosis.OpenLead, A: wiring.Terminal{Of: "nobody", Lug: "x"}}) {
		t.Error("what is not there shows nothing")
	}
}
