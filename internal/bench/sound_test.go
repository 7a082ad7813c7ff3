package bench

import (
	"context"
	"strings"
	"testing"

	"knobwright/internal/bench/sim"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/trade/diagnosis"
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
	}
}
