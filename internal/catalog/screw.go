package catalog

import (
	"strings"

	"knobwright/internal/trust"
)

// clearance holes, mm: close, normal, loose.
var clearance = map[string][3]float64{
	// ISO 273, fine, medium and coarse series.
	"M1.6": {1.7, 1.8, 2.0}, "M2": {2.2, 2.4, 2.6}, "M2.5": {2.7, 2.9, 3.1}, "M3": {3.2, 3.4, 3.6},
	"M3.5": {3.7, 3.9, 4.2}, "M4": {4.3, 4.5, 4.8}, "M5": {5.3, 5.5, 5.8}, "M6": {6.4, 6.6, 7.0},
	"M7": {7.4, 7.6, 8.0}, "M8": {8.4, 9.0, 10.0}, "M10": {10.5, 11.0, 12.0},
	// ASME B18.2.8, close, normal and loose, rounded to 0.1 mm.
	"#2": {2.4, 2.6, 2.9}, "#4": {3.0, 3.3, 3.7}, "#5": {3.6, 4.0, 4.4}, "#6": {3.9, 4.3, 4.7}, "#8": {4.6, 5.0, 5.4},
	"#10": {5.2, 5.6, 6.0}, "1/4": {6.8, 7.1, 7.5}, "5/16": {8.3, 8.7, 9.1}, "3/8": {9.9, 10.3, 10.7},
}

// ClearanceHole gives the hole that a screw goes through freely, mm. fit is close, normal or loose, "" means normal; screw
// is a size as people write it: "M3", "#6", "1/4". ok is false for a size or fit not known here.
// Sources: ISO 273 for metric screws, ASME B18.2.8 for inch screws. The older drill practice of inch workshops differs (a
// #4 screw gets a #32 drill, 2.95 mm, as close fit); it is not used.
func ClearanceHole(screw, fit string) (d float64, src trust.Source, ok bool) {
	id := ScrewName(screw)
	h, ok := clearance[id]
	i, fits := map[string]int{"close": 0, "normal": 1, "": 1, "loose": 2}[fit]
	if !ok || !fits {
		return 0, trust.Source{}, false
	}
	src = trust.Source{Text: "ISO 273", Provenance: trust.Seen, Confidence: trust.High}
	if id[0] != 'M' {
		src.Text = "ASME B18.2.8, rounded to 0.1 mm"
	}
	return h[i], src, true
}

// ScrewName brings a size into the form that the tables use: "m3 x 10" and "M3" give "M3", "No. 6" and "#6-32" give "#6",
// `1/4"-20` gives "1/4".
func ScrewName(s string) string {
	s = strings.ToUpper(strings.TrimSpace(s))
	s = strings.ReplaceAll(s, " ", "")
	s = strings.TrimPrefix(s, "NO.")
	if s == "" {
		return ""
	}
	if s[0] == 'M' {
		s, _, _ = strings.Cut(s, "X")
		return s
	}
	s, _, _ = strings.Cut(s, "-")
	s = strings.TrimSuffix(strings.TrimSuffix(s, "\""), "IN")
	if !strings.HasPrefix(s, "#") && !strings.Contains(s, "/") {
		s = "#" + s
	}
	return s
}

// Head is the head of a machine screw.
type Head struct {
	Kind     string  // "socket cap", "button", "pan"
	Diameter float64 // largest allowed, mm
	Height   float64 // largest allowed, mm
	Source   trust.Source
}

// head diameters and heights, mm, from memory of the standards.
var heads = map[string][3][2]float64{ // socket cap, button, pan; zero: no such screw in the standard
	"M1.6": {{3.0, 1.6}, {}, {3.2, 1.3}}, "M2": {{3.8, 2.0}, {}, {4.0, 1.6}}, "M2.5": {{4.5, 2.5}, {}, {5.0, 2.1}},
	"M3": {{5.5, 3.0}, {5.7, 1.65}, {5.6, 2.4}}, "M3.5": {{}, {}, {7.0, 2.6}}, "M4": {{7.0, 4.0}, {7.6, 2.2}, {8.0, 3.1}},
	"M5": {{8.5, 5.0}, {9.5, 2.75}, {9.5, 3.7}}, "M6": {{10, 6.0}, {10.5, 3.3}, {12, 4.6}},
	"M8": {{13, 8.0}, {14, 4.4}, {16, 6.0}}, "M10": {{16, 10}, {17.5, 5.5}, {20, 7.5}},
}

// inch pan heads (ASME B18.6.3, largest), mm, from memory.
var inchHeads = map[string][2]float64{
	"#2": {4.24, 1.35}, "#4": {5.56, 1.73}, "#5": {6.22, 1.93}, "#6": {6.86, 2.11}, "#8": {8.18, 2.49}, "#10": {9.47, 2.87},
	"1/4": {12.50, 3.81}, "5/16": {15.62, 4.75}, "3/8": {18.80, 5.69},
}

// Heads gives the usual heads of a screw size: ISO 4762 socket cap, ISO 7380 button and ISO 7045 pan for metric screws,
// ASME B18.6.3 pan for inch screws. It is empty for a size not known here. All numbers are from memory.
func Heads(screw string) []Head {
	id := ScrewName(screw)
	var hs []Head
	for i, h := range heads[id] {
		if h[0] > 0 {
			kind, text := [...]string{"socket cap", "button", "pan"}[i], [...]string{"ISO 4762", "ISO 7380", "ISO 7045"}[i]
			hs = append(hs, Head{kind, h[0], h[1], trust.Source{Text: text, Provenance: trust.Memory, Confidence: trust.Medium}})
		}
	}
	if h, ok := inchHeads[id]; ok {
		hs = append(hs, Head{"pan", h[0], h[1], trust.Source{Text: "ASME B18.6.3", Provenance: trust.Memory, Confidence: trust.Medium}})
	}
	return hs
}

// ScrewHead is the diameter of the widest usual head of a screw size, mm; 0 for a size not known here.
func ScrewHead(screw string) float64 {
	d := 0.0
	for _, h := range Heads(screw) {
		d = max(d, h.Diameter)
	}
	return d
}
