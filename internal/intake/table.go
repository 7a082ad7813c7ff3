package intake

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/geom"
	"knobwright/internal/length"
)

// columns are the names under which the columns of a list of holes are known.
var columns = map[string][]string{
	"x":      {"x", "across", "left", "xpos", "x pos", "horizontal"},
	"y":      {"y", "up", "bottom", "ypos", "y pos", "vertical"},
	"d":      {"d", "dia", "diam", "diameter", "hole", "size", "round", "bit", "⌀", "ø"},
	"w":      {"w", "width", "wide"},
	"h":      {"h", "height", "high"},
	"name":   {"name", "id", "for", "control", "ref", "reference"},
	"part":   {"part", "type", "component"},
	"legend": {"legend", "label", "text", "lettering"},
}

var unitTail = regexp.MustCompile(`(?i)[ _(\[]+(mm|cm|in|inch|inches|")[)\]]?$`)

// Table reads a list of holes: one a line, with columns x, y and a diameter (or width and height), and if wanted name, part and legend. The
// first line names the columns; without such a line they are x, y, diameter. Parted by comma, semicolon or tab; with semicolon or tab a
// comma may be the decimal mark. Values may carry a unit; a unit in the heading ("x_mm", "d (in)") holds for its column. x counts from the
// left edge, y from the bottom edge.
func Table(src []byte) (*Drawing, error) {
	src = bytes.TrimPrefix(src, []byte("\ufeff"))
	if bytes.IndexByte(src, 0) >= 0 {
		return nil, errors.New("this is no text file; save the sheet as CSV")
	}
	first := string(src)
	if i := strings.IndexByte(first, '\n'); i >= 0 {
		first = first[:i]
	}
	r := csv.NewReader(bytes.NewReader(src))
	r.FieldsPerRecord, r.TrimLeadingSpace, r.LazyQuotes, r.Comment = -1, true, true, '#'
	r.Comma = ','
	for _, c := range []rune{'\t', ';'} {
		if strings.ContainsRune(first, c) {
			r.Comma = c
		}
	}
	r.TrimLeadingSpace = r.Comma != '\t' // with tabs an empty cell is a blank that counts
	d := &Drawing{From: "the list"}
	var cols map[string]int
	units := map[string]float64{}
	unitless := false
	for {
		rec, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("the list is damaged: %w", err)
		}
		line, _ := r.FieldPos(0)
		if cols == nil {
			if cols = heading(rec, units); cols != nil {
				continue
			}
			cols = map[string]int{"x": 0, "y": 1, "d": 2}
			if words(rec) {
				return nil, fmt.Errorf("its first line names no columns for places: it has %s. Call them x, y and d (diameter), or x, y, w and h", strings.Join(rec, ", "))
			}
			if len(rec) > 3 {
				if _, err := strconv.ParseFloat(strings.TrimSpace(rec[0]), 64); err != nil {
					cols = map[string]int{"name": 0, "x": 1, "y": 2, "d": 3}
				}
			}
		}
		get := func(c string) string {
			if i, ok := cols[c]; ok && i < len(rec) {
				return strings.TrimSpace(rec[i])
			}
			return ""
		}
		if get("x") == "" && get("y") == "" {
			continue
		}
		val := func(c string) (float64, error) {
			s := get(c)
			if s == "" {
				return 0, nil
			}
			if r.Comma != ',' {
				s = strings.Replace(s, ",", ".", 1)
			}
			if v, err := strconv.ParseFloat(s, 64); err == nil {
				if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e5 {
					return 0, fmt.Errorf("line %d of the list: %q is no size", line, s)
				}
				k := units[c]
				if k == 0 {
					k, unitless = 1, true
				}
				return v * k, nil
			}
			l, err := length.Parse(s, length.MM)
			if err != nil {
				return 0, fmt.Errorf("line %d of the list: %q is no length (%s)", line, s, c)
			}
			return l.MM(), nil
		}
		var v [5]float64
		for i, c := range []string{"x", "y", "d", "w", "h"} {
			if v[i], err = val(c); err != nil {
				return nil, err
			}
		}
		c := Curve{Layer: "holes", Name: get("name"), Part: get("part"), Legend: get("legend"), Line: line}
		at := geom.Vec2{X: v[0], Y: v[1]}
		switch {
		case v[2] > 0:
			c.Outline = geom.Circle(at, v[2])
		case v[3] > 0 && v[4] > 0:
			c.Outline = geom.Rect(at, v[3], v[4], 0)
		default:
			return nil, fmt.Errorf("line %d of the list gives no diameter, nor a width and a height", line)
		}
		d.Curves = append(d.Curves, c)
		if len(d.Curves) > curvesMost {
			break
		}
	}
	if len(d.Curves) == 0 {
		return nil, errors.New("the list holds no hole; it wants columns x, y and d (diameter)")
	}
	d.Unit, d.Corner, d.UnitSay = 1, true, "the units of its columns"
	d.Inch = len(units) > 0 && !slices.ContainsFunc(slices.Collect(maps.Values(units)), func(k float64) bool { return k != 0 && k != inch })
	d.Inch = d.Inch && !unitless
	if unitless {
		d.UnitSay = "no unit in some columns; millimetres are taken"
	}
	return d, nil
}

// words reports whether a line has no number in it: a heading that is not understood, no hole.
func words(rec []string) bool {
	for _, f := range rec {
		if strings.ContainsAny(f, "0123456789") {
			return false
		}
	}
	return true
}

// heading finds the columns in the first line; nil when it is no heading.
func heading(rec []string, units map[string]float64) map[string]int {
	cols := map[string]int{}
	for i, f := range rec {
		f = strings.ToLower(strings.TrimSpace(f))
		unit := 0.0
		if m := unitTail.FindStringSubmatch(f); m != nil {
			f = strings.TrimSpace(strings.TrimSuffix(f, m[0]))
			switch m[1] {
			case "mm":
				unit = 1
			case "cm":
				unit = 10
			default:
				unit = inch
			}
		}
		for c, names := range columns {
			for _, n := range names {
				if f == n {
					if _, dup := cols[c]; !dup {
						cols[c] = i
						units[c] = unit
					}
				}
			}
		}
	}
	_, x := cols["x"]
	_, y := cols["y"]
	if !x || !y {
		return nil
	}
	return cols
}
