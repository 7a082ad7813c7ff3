package packet

import (
	"fmt"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
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

// Room that a sheet keeps for itself, mm. The margins are what a usual printer leaves white.
const (
	marginX  = 12.0 // left and right, the edge ruler's numbers on the left
	rulerX   = 11.0 // further room on the left for the edge ruler
	barX     = 9.0  // room on the right for the upright check bar
	topY     = 33.0 // head of the sheet
	bottomY  = 47.0 // level check bar, datum line, strip
	overlapW = 12.0 // what neighbouring sheets share
)

// desk is what every sheet of a packet says of itself.
type desk struct {
	paper  paper
	title  string // of the panel
	sub    string // what the title leaves over
	mark   string // of the file's text
	state  string // "no stop", "2 stops: do not cut"
	stop   bool
	inches bool
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
	case stops == 1:
		d.state, d.stop = "1 stop: do not cut yet", true
	case stops > 1:
		d.state, d.stop = fmt.Sprintf("%d stops: do not cut yet", stops), true
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

// view says which side a sheet shows.
type side int

const (
	noSide side = iota
	front
	rear
)

// head letters the top of a sheet: its name, the face mark with FRONT or REAR, its number, and one sentence of use.
func (d desk) head(w, h float64, name string, s side, n, of int, use, where string) []drawing.Item {
	x, y := marginX+rulerX-6, h-20
	items := []drawing.Item{drawing.Lettered(v(x, y), 5.6, drawing.Left, name)}
	x += drawing.TextWidth(drawing.Lettering, drawing.CapSize(drawing.Lettering, 5.6), name) + 9
	switch s {
	case front:
		items = append(items, drawing.FaceMark(v(x, y-2), false)...)
		items = append(items, drawing.Lettered(v(x+10, y), 5.6, drawing.Left, "FRONT"))
	case rear:
		items = append(items, drawing.FaceMark(v(x, y-2), true)...)
		items = append(items, drawing.Lettered(v(x+10, y), 5.6, drawing.Left, "REAR"))
	}
	if of > 0 {
		items = append(items, drawing.Lettered(v(w-marginX, y), 5.6, drawing.Right, fmt.Sprintf("%d of %d", n, of)))
	}
	items = append(items, drawing.Txt(v(marginX+rulerX-6, y-7.5), drawing.Read, pt(10.5), drawing.Left, use))
	if where != "" {
		items = append(items, &drawing.Text{At: v(w-marginX, y-7.5), S: where, Face: drawing.Read, Size: pt(10.5), Anchor: drawing.Right, Ink: drawing.Pencil})
	}
	if d.stop {
		items = append(items, stopBanner(v(w/2, h-7.5), d.state)...)
	}
	return items
}

// stopBanner says across the top that this must not be cut.
func stopBanner(at geom.Vec2, state string) []drawing.Item {
	s := "STOP   " + state
	size := pt(11)
	tw := drawing.TextWidth(drawing.ReadBold, size, s)
	box := drawing.Box(drawing.Style{Fill: drawing.Ink0}, v(at.X-tw/2-3, at.Y-2.6), v(at.X+tw/2+3, at.Y+3.6))
	return []drawing.Item{box, &drawing.Text{At: v(at.X, at.Y+0.5), S: s, Face: drawing.ReadBold, Size: size, Anchor: drawing.Centre, Middle: true, Ink: drawing.Paper}}
}

// cell is one cell of the title strip: a bold word and a smaller line.
type cell struct{ head, line string }

// strip is the foot of every sheet.
func (d desk) strip(w float64, cells ...cell) []drawing.Item {
	out := make([]drawing.StripCell, len(cells))
	for i, c := range cells {
		out[i] = drawing.StripCell{Head: c.head, Small: c.line}
	}
	return drawing.TitleStrip(v(marginX, 7), w-2*marginX, out)
}

// fitted is a line of text made smaller, then shorter, where it would not fit.
func fitted(at geom.Vec2, f drawing.Face, size, width float64, s string, ink drawing.Ink) *drawing.Text {
	s, size = drawing.Fit(f, size, s, width)
	return &drawing.Text{At: at, S: s, Face: f, Size: size, Ink: ink}
}

// v is short for a point on paper.
func v(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} }

// pt turns a type size in points into mm.
func pt(p float64) float64 { return p * 25.4 / 72 }
