package edit

import (
	"math"
	"strings"
	"testing"

	"knobwright/internal/catalog"
)

const unplaced = `knobwright: 1
title: Half laid out
face: {width: 200, height: 100, sheet: acrylic-3mm}
controls:
  go: {part: push-22mm, at: [100, 50]}
  fog: {part: toggle-mini-2}   # where?
  hum: {at: [20, 20]}
  odd: {part: no-such-part, at: [20, 20]}
  door: {part: key-16mm, at: [20, 20], on: back}
groups:
  loose:
    part: push-12mm
    controls:
      a:
      b: {legend: BEE}
  row:
    part: push-12mm
    controls: {c: }
`

// What has no place lies in the tray with what it lacks, and gets a place: as typed, or a free one.
func TestTray(t *testing.T) {
	d, p := placed(t, unplaced)
	whole := p
	got := map[string]Lying{}
	var names []string
	for _, x := range Tray(d, p) {
		got[x.Name] = x
		names = append(names, x.Name)
	}
	if s := strings.Join(names, " "); s != "fog hum odd door a b c" {
		t.Error(s)
	}
	for name, why := range map[string]string{"fog": "no place yet", "hum": "no part yet", "odd": "no part is called so", "door": "there is no such board: back", "a": "no place yet", "b": "no place yet"} {
		if got[name].Why != why || got[name].Free != (why == noPlace) {
			t.Errorf("%s: %+v", name, got[name])
		}
	}
	if x := got["fog"]; x.Line != 6 || x.Hole < 5 || x.Title == "" {
		t.Errorf("%+v", x)
	}

	out, p, done := do(t, unplaced, Act{Do: "place", Names: []string{"fog"}, Across: "44,5", Up: "1 in"})
	near(t, "fog", at(t, p, "fog"), 44.5, 25.4)
	if !strings.Contains(out, "fog: {part: toggle-mini-2, at: [44.5, 1 in]}   # where?") || done.Hand[0] != "fog" || done.Say != "place FOG" {
		t.Errorf("%s\n%+v", out, done)
	}
	_, p, _ = do(t, unplaced, Act{Do: "place", Names: []string{"a"}, Across: "150", Up: "20"})
	near(t, "a", at(t, p, "a"), 150, 20)

	// a free place each, clear of each other
	_, p, _ = do(t, unplaced, Act{Do: "place", Names: []string{"fog", "a", "b"}})
	names = []string{"go", "fog", "a", "b"}
	for i, n := range names {
		for _, o := range names[:i] {
			if front(control(t, p, n)).Overlaps(front(control(t, p, o))) {
				t.Errorf("%s stands on %s", n, o)
			}
		}
	}

	for want, a := range map[string]Act{
		"no part yet":               {Do: "place", Names: []string{"hum"}, Across: "5", Up: "5"},
		"no part is called so":      {Do: "place", Names: []string{"odd"}},
		"no such board":             {Do: "place", Names: []string{"door"}, Across: "5", Up: "5"},
		"how far across":            {Do: "place", Names: []string{"fog"}, Across: "5"},
		"cannot be placed together": {Do: "place", Names: []string{"fog", "go"}, Across: "5", Up: "5"},
		"all stand at one place":    {Do: "place", Names: []string{"fog", "a"}, Across: "5", Up: "5"},
		"no place on the face yet":  {Do: "move", Names: []string{"fog"}, By: [2]float64{5, 5}},
		"no part called":            {Do: "part", Names: []string{"fog"}, Name: "=cmd()"},
		"goes into a face":          {Do: "part", Names: []string{"fog"}, Name: "rp2040-40pin"},
		"that part already":         {Do: "part", Names: []string{"fog"}, Name: "toggle-mini-2"},
	} {
		if _, err := Make(d, whole, catalog.Builtin(), a); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %s", a, err, want)
		}
	}

	// another part, also for what has none yet
	out, p, _ = do(t, unplaced, Act{Do: "part", Names: []string{"hum", "a"}, Name: "push-16mm"})
	if !strings.Contains(out, "hum: {part: push-16mm, at: [20, 20]}") || control(t, p, "hum").Part.ID != "push-16mm" || !strings.Contains(out, "a: {part: push-16mm}") && !strings.Contains(out, "a:\n        part: push-16mm") {
		t.Error(out)
	}
}

// In a file in inches a place that is found stands at sixteenths.
func TestFoundPlacesInInches(t *testing.T) {
	src := "knobwright: 1\nunits: in\nface: {width: 12, height: 6, sheet: acrylic-3mm}\ncontrols:\n  go: {part: push-22mm, at: [6, 3]}\n  fog: {part: toggle-mini-2}\n"
	for _, a := range []Act{{Do: "place", Names: []string{"fog"}}, {Do: "add", Name: "push-16mm"}, {Do: "copy", Names: []string{"go"}}, {Do: "mirror", Names: []string{"go"}, How: "upright", Keep: true}} {
		_, p, _ := do(t, src, a)
		for _, c := range p.Controls {
			for _, v := range []float64{c.At.X, c.At.Y} {
				if s := v / 25.4 * 32; math.Abs(s-math.Round(s)) > 1e-6 {
					t.Errorf("%s %s: %v in", a.Do, c.Name, v/25.4)
				}
			}
		}
	}
}

// A face is begun by its size.
func TestFaceIsBegun(t *testing.T) {
	src := "knobwright: 1\ntitle: Nothing yet   # to begin with\n"
	out, p, _ := do(t, src, Act{Do: "size", Across: "30,5 cm", Up: "160"})
	if out != src+"face:\n  width: 30.5 cm\n  height: 160\n" || p.Face.Width != 305 {
		t.Errorf("%s%+v", out, p.Face)
	}
	d, p := placed(t, src)
	for _, a := range []Act{{Across: "wide", Up: "160"}, {Across: "300"}, {Across: "300", Up: "0"}, {Across: "-5", Up: "160"}, {Across: "1e9", Up: "160"}, {Across: "NaN", Up: "5"}} {
		a.Do = "size"
		if done, err := Make(d, p, catalog.Builtin(), a); err == nil {
			t.Errorf("%+v: %v", a, done.Edits)
		}
	}
}
