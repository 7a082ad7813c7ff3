package project

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/length"
	"knobwright/internal/yamlfile"
)

// ParseNumber reads a limit: "16", "1.5", "2 mm", "1/8 in", "15 deg", "16 min of arc", "5 N", "1.2 x". The unit is "" when
// none is written; lengths come in "mm", angles in "deg".
func ParseNumber(s string) (value float64, unit string, err error) {
	t := strings.TrimSpace(s)
	if f, err := strconv.ParseFloat(t, 64); err == nil && !math.IsNaN(f) && math.Abs(f) <= 1e6 {
		return f, "", nil
	}
	for _, u := range []struct{ written, unit string }{
		{"min of arc", "min of arc"}, {"arcmin", "min of arc"}, {"min", "min of arc"}, {"deg", "deg"}, {"°", "deg"}, {"rad", "deg"}, {"N", "N"}, {"x", "x"},
	} {
		body, ok := strings.CutSuffix(t, u.written)
		if !ok {
			continue
		}
		if u.unit == "deg" {
			a, err := length.ParseAngle(t)
			return float64(a), "deg", err
		}
		if f, err := strconv.ParseFloat(strings.TrimSpace(body), 64); err == nil && !math.IsNaN(f) && math.Abs(f) <= 1e6 {
			return f, u.unit, nil
		}
	}
	l, err := length.Parse(t, length.MM)
	if err != nil {
		return 0, "", fmt.Errorf("%q is not a number, with or without a unit", t)
	}
	return l.MM(), "mm", nil
}

// numbers reads the texts under limits: into numbers.
func (d *Doc) numbers(dec *yamlfile.Decoder) {
	for _, name := range sortedKeys(d.File.Limits) {
		n := d.File.Limits[name]
		path := "limits." + name
		if n.Text == "" {
			delete(d.File.Limits, name)
			continue
		}
		v, unit, err := ParseNumber(n.Text)
		if err != nil {
			delete(d.File.Limits, name)
			dec.Problems = append(dec.Problems, yamlfile.Problem{Rule: "file.not-a-number", Pos: dec.Pos[path], Path: path, Say: err.Error() + "."})
			continue
		}
		n.Value, n.Unit = v, unit
		d.File.Limits[name] = n
	}
}

func sortedKeys[T any](m map[string]T) []string {
	keys := make([]string, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}
