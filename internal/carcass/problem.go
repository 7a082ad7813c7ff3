package carcass

import (
	"slices"
	"strings"

	"knobwright/internal/geom"
	"knobwright/internal/length"
)

// Kind sorts problems.
type Kind string

// The kinds of problems.
const (
	Missing  Kind = "missing"    // more sizes are wanted
	Disagree Kind = "disagree"   // sizes contradict each other
	NoUse    Kind = "no use"     // a size that this form does not have
	NotASize Kind = "not a size" // negative, too great, or no number
	NoBox    Kind = "no box"     // the sizes make no box: too steep, nothing left of a wall
	NoRoom   Kind = "no room"    // boards or battens are too thick for the box, or meet each other
	NoEntry  Kind = "no entry"   // a base or a face that cannot be put in
)

// Field is the plain name of a size or of a part of the build; it serves as its key as well.
type Field string

// The sizes.
const (
	FWidth        Field = "width"
	FDepth        Field = "depth"
	FFrontHeight  Field = "front height"
	FBackHeight   Field = "back height"
	FFaceWidth    Field = "face width"
	FFaceHeight   Field = "face height"
	FClear        Field = "clear depth"
	FSlope        Field = "slope"
	FHandRest     Field = "hand rest"
	FUpperSlope   Field = "upper slope"
	FUpperHeight  Field = "upper face height"
	FMiddleHeight Field = "middle height"
	FUnits        Field = "rack units"
)

// End is one of the numbers that a problem is about.
type End struct {
	Name  Field
	Value float64
	Unit  string // "mm", "deg", or "" for a count
}

// String gives the end as a phrase: "front height 45 mm".
func (e End) String() string {
	s := string(e.Name) + " " + length.Plain(e.Value)
	if e.Unit != "" {
		s += " " + e.Unit
	}
	return s
}

// Problem says why there is no box. Have and Want are in the unit of the first end; both are zero when nothing was
// measured.
type Problem struct {
	Kind       Kind
	Text       string // plain sentences
	Ends       []End
	Have, Want float64
	AtMost     bool // Have must not exceed Want; otherwise it must reach it
}

// problems gathers problems.
type problems []Problem

// add takes in a problem that was not told yet.
func (ps *problems) add(p Problem) {
	if !slices.ContainsFunc(*ps, func(q Problem) bool { return q.Text == p.Text }) {
		*ps = append(*ps, p)
	}
}

// mm prints a length for people.
func mm(v float64) string { return length.Plain(v) + " mm" }

// deg prints an angle for people.
func deg(v float64) string { return length.Plain(v) + "°" }

// list joins phrases: "a, b and c".
func list(ss []string, last string) string {
	switch len(ss) {
	case 0:
		return ""
	case 1:
		return ss[0]
	}
	return strings.Join(ss[:len(ss)-1], ", ") + " " + last + " " + ss[len(ss)-1]
}

// say joins ends as a phrase: "front height 45 mm and slope 14 deg".
func say(es []End) string {
	var ss []string
	for _, e := range es {
		ss = append(ss, e.String())
	}
	return list(ss, "and")
}

func v2(x, y float64) geom.Vec2    { return geom.Vec2{X: x, Y: y} }
func v3(x, y, z float64) geom.Vec3 { return geom.Vec3{X: x, Y: y, Z: z} }
