package project_test

import (
	"strings"
	"testing"

	"knobwright/internal/project"
)

func TestParseTime(t *testing.T) {
	for in, want := range map[string]float64{
		"2 h": 120, "2h": 120, "90 min": 90, "1 h 30 min": 90, "1h30min": 90, "0": 0, "none": 0, "1.5 h": 90, "30 s": 0.5, "2 d": 2880, "1 day": 1440,
	} {
		if got, err := project.ParseTime(in, false); err != nil || got != want {
			t.Errorf("%q is %v, %v; want %v", in, got, err, want)
		}
	}
	if got, err := project.ParseTime("4", true); err != nil || got != 4 {
		t.Errorf("a bare 4: %v, %v", got, err)
	}
	for _, in := range []string{"", "2", "h", "2 x", "-2 h", "2 h 3", "1e9 h", "90 days", "zwei h", "1,5 h"} {
		if got, err := project.ParseTime(in, false); err == nil {
			t.Errorf("%q is read as %v", in, got)
		}
	}
}

func TestParseWarmth(t *testing.T) {
	for in, want := range map[string]float64{"18 °C": 18, "18": 18, "18C": 18, "68 °F": 20, "50 f": 10, "-3 °C": -3} {
		if got, err := project.ParseWarmth(in); err != nil || got != want {
			t.Errorf("%q is %v, %v; want %v", in, got, err, want)
		}
	}
	for _, in := range []string{"", "warm", "200 °C", "18 K"} {
		if got, err := project.ParseWarmth(in); err == nil {
			t.Errorf("%q is read as %v", in, got)
		}
	}
}

func TestReadWork(t *testing.T) {
	d := project.Read("x.yaml", []byte("knobwright: 1\nwork:\n  evenings: 2\n  weekend: 4 h\n  room: cold\n  minutes: {drill-hole: 4, mount-control: x}\n  waits: {glue-clamp: 45 min}\n"))
	w := d.File.Work
	if w.Weekend.Minutes != 240 || w.Minutes["drill-hole"].Minutes != 4 || w.Waits["glue-clamp"].Minutes != 45 || len(w.Minutes) != 1 {
		t.Errorf("%+v", w)
	}
	var heads []string
	for _, f := range d.Findings {
		heads = append(heads, f.Head)
	}
	if got := strings.Join(heads, "|"); len(heads) != 3 || !strings.Contains(got, "no unit") || !strings.Contains(got, "not a temperature") || !strings.Contains(got, "not a time") {
		t.Errorf("findings %q", got)
	}
}
