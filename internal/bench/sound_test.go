package bench

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/bench/decode"
	"knobwright/internal/bench/device"
	"knobwright/internal/bench/session"
	"knobwright/internal/bench/sim"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/words"
)

const sheetOfAll = `knobwright: 1
title: Sound panel
units: mm
face: {width: 420, height: 260, sheet: aluminium-2mm, fixings: {screw: M3, inset: 8, across: 2}}
box: {form: flat, depth: 70, walls: birch-ply-9mm, ledge: {width: 14, height: 14}}
module: {part: rp2040-40pin, at: [300, 40]}
`

// sounds are panels of kinds that the examples have none of.
var sounds = map[string]string{
	"switches on ladders": sheetOfAll + `controls:
  season: {part: rotary-12way, at: [60, 190], via: ladder}
  hour: {part: rotary-6way, at: [130, 190], via: ladder}
  sun: {part: push-16mm, at: [60, 90], via: ladder}
  rain: {part: push-16mm, at: [100, 90], via: ladder}
`,
	"levers in a matrix": sheetOfAll + `wiring: {by: matrix}
groups:
  levers:
    part: toggle-mini-3
    grid: {from: [40, 220], step: [40, 40], columns: 6, rows: 2}
    names: "lever-{n}"
  bells:
    part: push-16mm
    row: {from: [40, 100], step: 40, count: 4}
    names: "bell-{n}"
`,
	"only levers in a matrix": sheetOfAll + `wiring: {by: matrix, matrix: {rows: 2, columns: 4}}
groups:
  levers:
    part: toggle-mini-2
    grid: {from: [40, 220], step: [40, 40], columns: 4, rows: 2}
    names: "lever-{n}"
`,
	"everything once": sheetOfAll + `controls:
  gust: {part: joystick-thumb, at: [60, 200], sends: {x: axis x, y: axis y, press: button 1}}
  lock: {part: key-19mm, at: [120, 200], sends: button 2}
  mode: {part: rotary-6way, at: [180, 200]}
  feed: {part: rocker-19x13, at: [240, 200]}
  storm: {part: toggle-mini-3-momentary, at: [290, 200]}
  lid: {part: push-22mm-lit-latching, at: [60, 120], sends: button 20}
  type: {part: push-16mm, at: [110, 120], sends: key ctrl+s}
  page: {part: encoder-m7-push, at: [160, 120], sends: {turn: [key left, key right], press: key enter}}
  glow: {part: lamp-5mm-holder, at: [210, 120], sends: follows lid}
  host: {part: lamp-5mm-holder, at: [240, 120], sends: host 1}
  fade: {part: slide-pot-60mm, at: [340, 190], sends: axis z}
`,
}

func judged(j diagnosis.Judged) string {
	var out []string
	for _, s := range j.Say {
		out = append(out, words.English.Say(s))
	}
	return strings.Join(out, "; ")
}

// A sound panel of any kind passes its own test sheet, line by line, and nothing is suspected then.
func TestSoundPanelsPass(t *testing.T) {
	for name, src := range sounds {
		r := job.Run(project.Read("x.yaml", []byte(src)), catalog.Builtin())
		if r.Firmware.Bytes == nil {
			t.Errorf("%s: no table", name)
			continue
		}
		p, err := sim.New(r)
		if err != nil {
			t.Fatal(err)
		}
		w := Begin(r, &simulated{p})
		if err := w.All(context.Background(), func(l diagnosis.Line, j diagnosis.Judged) {
			if j.Said != diagnosis.Right {
				t.Errorf("%s: %s: %s", name, words.English.Say(l.Say), judged(j))
			}
		}); err != nil {
			t.Error(name, err)
		}
		if v := w.Verdict(); !v.Right {
			t.Error(name, "is suspected of", v.Groups[0].Causes[0].Faults)
		}
		if name == "only levers in a matrix" || name == "switches on ladders" { // and with the firmware itself behind its wires
			full, err := Simulate(context.Background(), r, true)
			if err != nil {
				t.Fatal(err)
			}
			w := Begin(r, full)
			if err := w.All(context.Background(), func(l diagnosis.Line, j diagnosis.Judged) {
				if j.Said != diagnosis.Right {
					t.Errorf("%s, with its firmware: %s: %s", name, words.English.Say(l.Say), judged(j))
				}
			}); err != nil {
				t.Error(name, err)
			}
			_ = full.Close()
		}
	}
}

// A press of several is over when all is let go: what is let go later would count for the next line.
func TestHoldWaitsUntilLetGo(t *testing.T) {
	l := &Live{moments: []diagnosis.Moment{{Raw: []byte{0}}, {Raw: []byte{1}}, {Raw: []byte{3}}}}
	if l.over(diagnosis.Act{Do: diagnosis.Hold}) {
		t.Error("it is over while two contacts are still down")
	}
	l.moments = append(l.moments, diagnosis.Moment{Raw: []byte{0}})
	if !l.over(diagnosis.Act{Do: diagnosis.Hold}) {
		t.Error("it is not over though all is let go")
	}
}

// A sitting that was recorded gives all that it holds when it is replayed: readings that the walk of today would not ask for, and lines
// that were satisfied by free pressing.
func TestReplayTakesAll(t *testing.T) {
	s := &session.Session{Lines: []session.Line{
		{Seen: &diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Press, Device: "gone"}, Moments: []diagnosis.Moment{{Raw: []byte{0xFF, 0xFF}}}}}, // of a control that is no more
		{Mark: &session.Mark{Line: "bell/press", Said: diagnosis.Right}},
		{Seen: &diagnosis.Seen{Act: diagnosis.Act{Do: diagnosis.Measure, Probe: [2]wiring.Terminal{{Of: "bell", Lug: "no"}, {Of: "module", Lug: "3"}}}, Meter: 1e9}},
	}}
	w := Begin(cue(), Replay(s))
	var told []string
	if err := w.All(context.Background(), func(l diagnosis.Line, _ diagnosis.Judged) { told = append(told, l.ID) }); err != nil {
		t.Fatal(err)
	}
	if len(told) != 1 || told[0] != "bell/press" || len(w.Shown()) != 1 {
		t.Errorf("%v %v", told, w.Shown())
	}
}

// sink keeps what is sent to a panel.
type sink struct {
	*plugged
	sent [][]byte
	to   []int
}

func (s *sink) Send(number int, b []byte) error {
	s.sent, s.to = append(s.sent, bytes.Clone(b)), append(s.to, number)
	return nil
}

// Each lamp that the computer lights is told by its own place in the report, though all of them have one usage.
func TestLightTellsLampsApart(t *testing.T) {
	r := job.Check(project.Read("tide-clock", examples.File("tide-clock")), catalog.Builtin())
	s := &sink{}
	l := &Live{link: s}
	for i, want := range map[int][]byte{1: {5, 1, 0}, 5: {5, 16, 0}, 12: {5, 0, 8}} {
		did, err := l.Light(r, fmt.Sprintf("hour-%d", i), true)
		if n := len(s.sent); err != nil || !did || n == 0 || !bytes.Equal(s.sent[n-1], want) || s.to[n-1] != 0 {
			t.Errorf("hour %d: %v %v, sent %v to %v, want %v", i, did, err, s.sent, s.to, want)
		}
	}
	if _, err := l.Light(r, "hour-5", false); err != nil || !bytes.Equal(s.sent[len(s.sent)-1], []byte{5, 0, 0}) {
		t.Error(s.sent, err)
	}
	if did, err := l.Light(r, "bell", true); did || err != nil {
		t.Error("a button is told to light")
	}
}

// closedPanel is one whose reports come as events of the system: no features, and nothing can be sent.
type closedPanel struct{ *plugged }

func (closedPanel) Feature(int, byte, int) ([]byte, error) { return nil, device.ErrNoFeature }
func (closedPanel) Send(int, []byte) error                 { return device.ErrNoFeature }

// Read through the system's events, it is said what is not seen, and a rule is offered; a lamp that cannot be told is an error, not the end.
func TestCoarse(t *testing.T) {
	p, info := plug(t)
	l, err := Attach(info, closedPanel{p}, decode.New(cue().Firmware))
	if err != nil {
		t.Fatal(err)
	}
	defer l.Close()
	say, rule := l.Coarse()
	if !rule || !strings.Contains(say, "key and axis events only") || !strings.Contains(l.Rule(), `ATTRS{idVendor}=="1209"`) {
		t.Errorf("%v %q\n%s", rule, say, l.Rule())
	}
	q, info := plug(t)
	whole, err := Attach(info, q, decode.New(cue().Firmware))
	if err != nil {
		t.Fatal(err)
	}
	defer whole.Close()
	if say, rule := whole.Coarse(); say != "" || rule {
		t.Errorf("%q", say)
	}
}
