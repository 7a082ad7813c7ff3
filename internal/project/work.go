package project

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/yamlfile"
)

// Work says when there is time at the bench, how warm it is there, and how long things take. Everything in it may be left out.
type Work struct {
	// Time at the bench on every evening from Monday to Friday: 2 h (the default), 90 min, or none.
	Evenings Time `yaml:"evenings"`
	// Time at the bench on Saturday and on Sunday: 5 h (the default), or none.
	Weekend Time `yaml:"weekend"`
	// Day on which the work begins; default saturday.
	Begins string `yaml:"begins" jsonschema:"enum=monday,enum=tuesday,enum=wednesday,enum=thursday,enum=friday,enum=saturday,enum=sunday"`
	// How warm it is where glue and paint dry: 18 °C, 65 °F; default 20 °C.
	Room Warmth `yaml:"room"`
	// Glue for wood: pva (white or yellow wood glue, the default), polyurethane or epoxy.
	Glue string `yaml:"glue" jsonschema:"enum=pva,enum=polyurethane,enum=epoxy"`
	// Finish of the box: paint (the default), varnish, or none.
	Finish string `yaml:"finish" jsonschema:"enum=paint,enum=varnish,enum=none"`
	// Paint of face and box: water (the default) or oil.
	Paint string `yaml:"paint" jsonschema:"enum=water,enum=oil"`
	// Coats of paint or varnish; default 2.
	Coats int `yaml:"coats"`
	// Your own minutes for work of a kind: "drill-hole: 4", "solder-joint: 90 s". The kinds are listed in docs/steps.md.
	Minutes map[string]Time `yaml:"minutes"`
	// Your own drying times: "glue-clamp: 45 min", "paint-recoat: 6 h".
	Waits map[string]Time `yaml:"waits"`
}

// Time is a stretch of time as the person writes it.
type Time struct {
	Text    string  `yaml:"text" kw:"scalar"` // as written: 2 h, 90 min, 1 h 30 min, 2 d; none
	Minutes float64 `yaml:"-"`
}

// Warmth is a temperature as the person writes it.
type Warmth struct {
	Text    string  `yaml:"text" kw:"scalar"` // as written: 18 °C, 65 °F; a bare number is in °C
	Celsius float64 `yaml:"-"`
}

// ParseTime reads a stretch of time, in minutes: "2 h", "90 min", "1 h 30 min", "45 s", "3 d", "none". A bare number is taken as minutes when
// bare is set, otherwise only 0 needs no unit.
func ParseTime(s string, bare bool) (float64, error) {
	t := strings.ToLower(strings.TrimSpace(s))
	if t == "none" || t == "no" || t == "0" {
		return 0, nil
	}
	bad := fmt.Errorf("%q is not a time, as in 2 h, 90 min or 1 h 30 min", s)
	total, any := 0.0, false
	for t != "" {
		end := strings.IndexFunc(t, func(r rune) bool { return (r < '0' || r > '9') && r != '.' })
		if end < 0 {
			end = len(t)
		}
		v, err := strconv.ParseFloat(t[:end], 64)
		if err != nil || math.IsInf(v, 0) {
			return 0, bad
		}
		t = strings.TrimLeft(t[end:], " \u00a0")
		end = strings.IndexFunc(t, func(r rune) bool { return r < 'a' || r > 'z' })
		if end < 0 {
			end = len(t)
		}
		unit := t[:end]
		t = strings.TrimLeft(t[end:], " \u00a0")
		switch unit {
		case "h", "hour", "hours":
			v *= 60
		case "min", "minute", "minutes", "m":
		case "s", "sec", "second", "seconds":
			v /= 60
		case "d", "day", "days":
			v *= 24 * 60
		case "":
			if !bare || any || t != "" {
				return 0, fmt.Errorf("%q has no unit: write 2 h or 90 min", s)
			}
		default:
			return 0, bad
		}
		total, any = total+v, true
	}
	if !any {
		return 0, bad
	}
	if total > 60*24*60 {
		return 0, fmt.Errorf("%q is more than 60 days", s)
	}
	return total, nil
}

// ParseWarmth reads a temperature in °C: "18 °C", "18 C", "65 °F"; a bare number is in °C.
func ParseWarmth(s string) (float64, error) {
	t := strings.ToUpper(strings.TrimSpace(s))
	t = strings.TrimSuffix(strings.TrimSuffix(t, "DEG"), " ")
	f := false
	for _, u := range []string{"°C", "DEG C", "C", "°F", "DEG F", "F"} {
		if body, ok := strings.CutSuffix(t, u); ok {
			t, f = strings.TrimSpace(body), strings.HasSuffix(u, "F")
			break
		}
	}
	v, err := strconv.ParseFloat(t, 64)
	if err != nil || math.IsNaN(v) {
		return 0, fmt.Errorf("%q is not a temperature, as in 18 °C or 65 °F", s)
	}
	if f {
		v = (v - 32) / 1.8
	}
	if v < -40 || v > 60 {
		return 0, fmt.Errorf("a room of %s is no room to work in", s)
	}
	return math.Round(v*10) / 10, nil
}

// times reads the texts under work: into numbers.
func (d *Doc) times(dec *yamlfile.Decoder) {
	w := &d.File.Work
	bad := func(path string, err error) {
		dec.Problems = append(dec.Problems, yamlfile.Problem{Rule: "file.not-a-number", Pos: dec.Pos[path], Path: path, Say: err.Error() + "."})
	}
	read := func(t *Time, path string, bare bool) {
		if t.Text == "" {
			return
		}
		v, err := ParseTime(t.Text, bare)
		if err != nil {
			bad(path, err)
			*t = Time{}
			return
		}
		t.Minutes = v
	}
	read(&w.Evenings, "work.evenings", false)
	read(&w.Weekend, "work.weekend", false)
	for _, m := range []struct {
		key  string
		of   map[string]Time
		bare bool
	}{{"minutes", w.Minutes, true}, {"waits", w.Waits, false}} {
		for _, name := range sortedKeys(m.of) {
			t := m.of[name]
			read(&t, "work."+m.key+"."+name, m.bare)
			if t.Text == "" {
				delete(m.of, name)
				continue
			}
			m.of[name] = t
		}
	}
	if w.Room.Text != "" {
		v, err := ParseWarmth(w.Room.Text)
		if err != nil {
			bad("work.room", err)
			w.Room = Warmth{}
		}
		w.Room.Celsius = v
	}
	if w.Coats < 0 || w.Coats > 12 {
		bad("work.coats", fmt.Errorf("%d coats are not a number of coats from 0 to 12", w.Coats))
		w.Coats = 0
	}
}
