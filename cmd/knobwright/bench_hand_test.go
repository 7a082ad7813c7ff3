package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/internal/bench"
	"knobwright/internal/bench/device"
	"knobwright/internal/job"
	"knobwright/internal/record/shelf"
	"knobwright/internal/trade/diagnosis"
)

const handDesk = `knobwright: 1
title: Bells of a puppet theatre
face: {width: 300, height: 160, sheet: acrylic-3mm}
box: {form: wedge, walls: birch-ply-9mm, front: 45, slope: 14 deg}
module: {part: rp2040-40pin, at: [230, 80]}
controls:
  go: {part: push-16mm, at: [50, 60], sends: button 1}
  fog: {part: push-16mm, at: [100, 60], sends: button 2}
  ready: {part: lamp-5mm-holder, at: [150, 110], sends: host 1}
`

// hand is a panel that a person presses; what it shows comes from a simulated one. Lines of silent wait until the person types.
type hand struct {
	bench.Source
	silent bool
	fail   map[string]error // by device
	done   []string
}

func (h *hand) ByHand() bool   { return true }
func (h *hand) Serial() string { return "00C7" }
func (h *hand) Do(ctx context.Context, a diagnosis.Act) (diagnosis.Seen, error) {
	h.done = append(h.done, string(a.Do)+" "+a.Device)
	if err := h.fail[a.Device]; err != nil {
		return diagnosis.Seen{Act: a}, err
	}
	if h.silent {
		<-ctx.Done()
		return diagnosis.Seen{Act: a, Moments: []diagnosis.Moment{{Raw: make([]byte, 2)}}}, nil
	}
	return h.Source.Do(ctx, a)
}

// atBench sits somebody down before a panel of handDesk, who types lines.
func atBench(t *testing.T, types []string, faults ...string) (*sitting, *hand, *person) {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "desk.yaml"), []byte(handDesk), 0o644); err != nil {
		t.Fatal(err)
	}
	out := &person{types: types}
	w := &world{in: strings.NewReader(""), out: out, err: out, dir: dir, width: 80}
	a := &app{}
	l, err := w.loadBuilt("desk.yaml", a, job.Check)
	if err != nil {
		t.Fatal(err)
	}
	c := &benchCmd{Simulate: true, Fault: faults}
	b := &sitting{c: c, w: w, a: a, l: l, name: "desk.yaml", lines: make(chan string)}
	src, err := b.source()
	if err != nil {
		t.Fatal(err)
	}
	c.Simulate = false
	h := &hand{Source: src, fail: map[string]error{}}
	b.walk1 = bench.Begin(l.result, h)
	out.b, out.h = b, h
	return b, h, out
}

// person reads what is written, and answers questions.
type person struct {
	bytes.Buffer
	types []string
	b     *sitting
	h     *hand
	asked int
}

func (p *person) Write(s []byte) (int, error) {
	asks := strings.Contains(string(s), "Is it lit") || strings.Contains(string(s), "Leave one") || strings.Contains(string(s), "What does the meter")
	if asks || p.h != nil && p.h.silent && strings.Contains(string(s), "/6  ") && !strings.Contains(string(s), "Look at") {
		if p.asked == len(p.types) {
			close(p.b.lines)
		} else if p.asked < len(p.types) {
			go func(s string) { p.b.lines <- s }(p.types[p.asked])
		}
		p.asked++
	}
	return p.Buffer.Write(s)
}

// tested are the lines that the record holds.
func tested(t *testing.T, b *sitting) []string {
	t.Helper()
	r, err := shelf.Load(b.l.path)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, x := range r.Tests {
		out = append(out, x.Line+" "+x.Said)
	}
	return out
}

// What is passed over says nothing: neither is it ticked, nor is anything suspected.
func TestPassedOverIsNoEvidence(t *testing.T) {
	b, h, out := atBench(t, []string{"s", "s", "s", "s", "s", "s"})
	h.silent = true
	if err := b.walk(); err != nil {
		t.Error(err)
	}
	if strings.Contains(out.String(), "Most likely") || len(b.walk1.Shown()) != 0 || len(tested(t, b)) != 0 {
		t.Errorf("%v %v\n%s", b.walk1.Shown(), tested(t, b), out)
	}
	// and neither does the line that was in hand when somebody stops
	b, h, out = atBench(t, []string{"", "q"})
	h.silent = true
	_ = b.walk()
	if got := tested(t, b); len(got) != 1 || got[0] != "table right" || strings.Contains(out.String(), "Most likely") {
		t.Errorf("%v\n%s", got, out)
	}
}

// Each line is in the record as soon as it is judged, whatever ends the sitting.
func TestTicksAreKeptAtOnce(t *testing.T) {
	b, h, _ := atBench(t, nil)
	h.fail["fog"] = errors.New("the bus broke")
	if err := b.walk(); err == nil || !strings.Contains(err.Error(), "bus broke") {
		t.Error(err)
	}
	if got := strings.Join(tested(t, b), ", "); got != "table right, rest right, go/press right" {
		t.Error(got)
	}
	b, h, out := atBench(t, nil)
	h.fail["fog"] = device.ErrGone
	if err := b.walk(); err != nil {
		t.Error(err)
	}
	if got := tested(t, b); len(got) != 3 || !strings.Contains(out.String(), "plug it in and go on") {
		t.Errorf("%v\n%s", got, out)
	}
}

// A record that cannot be written is told at once, and the walk goes on.
func TestRecordThatCannotBeWritten(t *testing.T) {
	b, _, out := atBench(t, []string{"l", "o"})
	if err := os.WriteFile(filepath.Join(b.w.dir, "desk.record.yaml"), []byte("knobwright-record: ["), 0o644); err != nil {
		t.Fatal(err)
	}
	err := b.walk()
	if err == nil || !strings.Contains(err.Error(), "were not kept") || strings.Count(out.String(), "are not kept") != 1 || len(b.walk1.Judged) != len(b.walk1.Lines) {
		t.Errorf("%v, %d of %d\n%s", err, len(b.walk1.Judged), len(b.walk1.Lines), out)
	}
	if got, _ := os.ReadFile(filepath.Join(b.w.dir, "desk.record.yaml")); string(got) != "knobwright-record: [" {
		t.Errorf("the record was changed: %s", got)
	}
}

// After the walk an explanation can be left as it is at once: nobody walks twice for it.
func TestOfferedAfterTheWalk(t *testing.T) {
	b, _, out := atBench(t, []string{"l", "o", "9", "1"}, "swapped go.no fog.no")
	if err := b.walk(); err != nil {
		t.Fatal(err, out)
	}
	r, err := shelf.Load(b.l.path)
	if err != nil || len(r.Facts) != 1 || !strings.Contains(out.String(), "Leave one as it is, without solder? (1") {
		t.Errorf("%v %v\n%s", err, r.Facts, out)
	}
}

// Repair with the panel itself: what it shows leads to screws, bundles and the iron.
func TestRepairFromThePanel(t *testing.T) {
	b, _, out := atBench(t, []string{"l", "o"}, "go open-lead")
	b.c.Repair = true
	if err := b.repair(); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Reheat GO no", "Wires: W"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing\n%s", want, out)
		}
	}
}

// What is typed off a meter.
func TestMeterValue(t *testing.T) {
	for s, want := range map[string]float64{"4.7k": 4700, "0,3": 0.3, "1M": 1e6, "12 ohm": 12, "4.7 kΩ": 4700, "open": 1e9, "O.L": 1e9} {
		if v, ok := meterValue(diagnosis.Measure, s); !ok || v != want {
			t.Errorf("ohms %q: %v %v", s, v, ok)
		}
	}
	for s, want := range map[string]float64{"3.28": 3.28, "3,3 V": 3.3, "-0.6v": -0.6, "20 mV": 0.02, "300mv": 0.3} {
		if v, ok := meterValue(diagnosis.MeasureV, s); !ok || v != want {
			t.Errorf("volts %q: %v %v", s, v, ok)
		}
	}
	for _, s := range []string{"", "x", "nan", "-3", "inf v"} {
		if v, ok := meterValue(diagnosis.Measure, s); ok {
			t.Errorf("%q is taken for %v", s, v)
		}
	}
	if _, ok := meterValue(diagnosis.MeasureV, "open"); ok {
		t.Error("volts are never open")
	}
}
