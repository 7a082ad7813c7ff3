package packet

import (
	"fmt"
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
)

// paper is a size of paper, mm, upright.
type paper struct {
	name string
	w, h float64
}

// Paper sizes: ISO 216 and ANSI/ASME Y14.1.
var (
	a4     = paper{"A4", 210, 297}
	letter = paper{"Letter", 215.9, 279.4}
)

// Room that a sheet keeps for itself, mm. The margins are more than a usual printer leaves white.
const (
	marginX = 12.0 // left and right
	rulerX  = 11.0 // further room on the left for the edge ruler and its numbers
	barX    = 9.0  // room on the right for the upright check bar
	topY    = 25.5 // head of the sheet
	bottomY = 37.0 // ruler, level check bar, strip
	barY    = 27.0 // lower edge of the level check bar
	stripY  = 7.0  // lower edge of the title strip
	footY   = stripY + drawing.StripHeight
)

// desk is what every sheet of a packet says of itself.
type desk struct {
	paper  paper
	title  string // of the panel
	sub    string // what the title leaves over
	mark   string // of the file's text
	state  string // "no stop, 1 warning", "2 stops"
	stop   bool
	inches bool
	board  string // the board of the box that the sheet is about, "back"; "" = the face
}

// newDesk gathers what every sheet says.
func newDesk(r *job.Result, src []byte) desk {
	d := desk{paper: a4, title: r.Panel.Title, mark: Mark(src), inches: r.Panel.Units == "in"}
	if r.Panel.Paper == "letter" {
		d.paper = letter
	}
	if d.title == "" {
		d.title = "Panel"
	}
	d.title, d.sub = splitTitle(d.title)
	stops, warns, _ := finding.Count(r.Findings)
	switch {
	case stops > 0:
		d.state, d.stop = count(stops, "stop", "stops"), true
	case warns == 1:
		d.state = "no stop, 1 warning"
	case warns > 1:
		d.state = fmt.Sprintf("no stop, %d warnings", warns)
	default:
		d.state = "no stop, no warning"
	}
	return d
}

// splitTitle parts "Cue desk for a travelling puppet theatre" before its first small linking word, so that the first part
// can be big.
func splitTitle(t string) (head, rest string) {
	for _, w := range []string{" for ", " of ", ", ", ": "} {
		for i := 4; i+len(w) < len(t); i++ {
			if t[i:i+len(w)] == w {
				if w[0] != ' ' {
					return t[:i], t[i+len(w):]
				}
				return t[:i], t[i+1:]
			}
		}
	}
	return t, ""
}

// v is short for a point on paper.
func v(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} }

// pt turns a type size in points into mm.
func pt(p float64) float64 { return p * 25.4 / 72 }

// num is a length as the maker reads it, without its unit: "22.5", in inches "57/64"; one that is no whole 64th has a "~".
func (d desk) num(mm float64) string {
	if d.inches {
		return strings.TrimSuffix(length.Inches(length.Length(mm)), " in")
	}
	return length.Plain(mm)
}

// coord is a place from the datum corner: millimetres with one decimal at least, so that columns of them stand in line.
func (d desk) coord(mm float64) string {
	if d.inches {
		return d.num(mm)
	}
	return strings.TrimSuffix(decimals(mm, 2), "0")
}

// size is a length with its unit: "22.5 mm", "57/64 in".
func (d desk) size(mm float64) string { return d.num(mm) + " " + d.unit() }

// both is a length with its unit, and in inches with the millimetres behind it: "16 1/2 in (419.1 mm)".
func (d desk) both(mm float64) string {
	if d.inches {
		return d.size(mm) + " (" + length.Plain(mm) + " mm)"
	}
	return d.size(mm)
}

// by is a width and a height: "420 x 240 mm".
func (d desk) by(w, h float64) string { return d.num(w) + " x " + d.num(h) + " " + d.unit() }

func (d desk) unit() string {
	if d.inches {
		return "in"
	}
	return "mm"
}

// far is a long way in whole millimetres or inches.
func (d desk) far(mm float64) string {
	if d.inches {
		return strconv.FormatFloat(mm/length.PerInch, 'f', 0, 64) + " in"
	}
	return strconv.FormatFloat(mm, 'f', 0, 64) + " mm"
}

// thin is a thickness with its unit; what is thinner than a rule can show is given in thousandths of an inch.
func (d desk) thin(mm float64) string {
	if d.inches && mm < 1 {
		return strconv.FormatFloat(mm/length.PerInch, 'f', 3, 64) + " in"
	}
	return d.size(mm)
}
