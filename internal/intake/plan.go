package intake

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strings"

	"knobwright/internal/geom"
)

// Known is a length that the person knows, to set or prove the scale.
type Known struct {
	What string  // width, height, hole
	MM   float64 //
}

// Plan is a panel as far as the drawing tells it. mm in the face frame.
type Plan struct {
	Width, Height, Corner float64
	Rack                  int // height units, when it is a 19-inch panel
	Holes                 []Hole
	Screws                []Screw
	Texts                 []Label
	Scale                 float64  // mm in one unit of the drawing
	Inch                  bool     // the panel file is written in inches
	Sure                  bool     // a known length proved the scale
	Notes                 []string // what was taken for what, in sentences
}

// Hole is a cut-out.
type Hole struct {
	Shape
	Name, Part, Legend string
	Line               int
	Ring               float64 // diameter of a circle drawn round it, 0 = none
	taken              bool
}

// Screw is a hole for a screw of the face.
type Screw struct {
	At   geom.Vec2
	Size string // M3
	Hole float64
}

var (
	errNoUnit  = errors.New("it does not say in which unit it is drawn")
	errNothing = errors.New("it holds no closed outline")
)

// Sized tells the raw sizes of a drawing, for the person to say what they are.
type Sized struct {
	Err           error
	Width, Height float64 // of the outline taken for the face, in units of the drawing
	Largest       float64 // round hole
}

func (s *Sized) Error() string { return s.Err.Error() }
func (s *Sized) Unwrap() error { return s.Err }

type found struct {
	Shape
	c    Curve
	area float64
	kids int
	in   int // index of the smallest one round it; -1 = none
}

// within reports whether it lies in the curve i, directly or not.
func (f found) within(fs []found, i int) bool {
	for up := f.in; up >= 0; up = fs[up].in {
		if up == i {
			return true
		}
	}
	return false
}

// Read makes a plan of a drawing. Without known the drawing's own unit is believed; when it has none, the error is a *Sized.
func Read(d *Drawing, known *Known) (*Plan, error) {
	if len(d.Curves) == 0 {
		return nil, errNothing
	}
	if len(d.Curves) > curvesMost {
		return nil, fmt.Errorf("it holds %d outlines; that is no panel", len(d.Curves))
	}
	fs := sift(d)
	face := -1 // a list has none
	if !d.Corner {
		face = faceOf(fs)
	}
	w, h, corner := 0.0, 0.0, 0.0
	low := geom.Vec2{}
	turn := 0.0
	p := &Plan{Inch: d.Inch}
	switch {
	case face >= 0:
		f := fs[face]
		w, h, corner, turn = f.W, f.H, f.Corner, f.Turn
		if f.Form == Other || f.Form == Round {
			b := f.c.Outline.Bounds()
			w, h, low = b.Max.X-b.Min.X, b.Max.Y-b.Min.Y, b.Min
			turn = 0
			p.Notes = append(p.Notes, "The outline of the face is no rectangle; the face is taken as the rectangle round it.")
		}
	default:
		b := geom.EmptyBox2()
		for _, f := range fs {
			b = b.Union(f.c.Outline.Bounds())
		}
		if d.Corner { // as far to the right and above as to the left and below
			w, h = b.Max.X+max(0, b.Min.X), b.Max.Y+max(0, b.Min.Y)
			p.Notes = append(p.Notes, "The list gives no face: its width and height are guessed, with as much beside the last hole as before the first.")
			break
		}
		edge := 0.08 * max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
		low = geom.Vec2{X: b.Min.X - edge, Y: b.Min.Y - edge}
		w, h = b.Max.X-b.Min.X+2*edge, b.Max.Y-b.Min.Y+2*edge
		p.Notes = append(p.Notes, "No outline goes round the holes: the edges of the face are guessed, a twelfth of the size beyond the outermost holes. Write the true width and height, and shift the places.")
	}
	largest := 0.0
	for i, f := range fs {
		if i != face && f.kids == 0 && f.Form == Round && (face < 0 || f.within(fs, face)) {
			largest = max(largest, f.W)
		}
	}
	k, sure, err := scale(d, known, face, w, h, largest)
	if err != nil {
		return nil, &Sized{err, w, h, largest}
	}
	p.Scale, p.Sure = k, sure
	if known != nil && d.Unit > 0 && math.Abs(k/d.Unit-1) > 0.005 {
		p.Notes = append(p.Notes, fmt.Sprintf("The drawing says %s; by the length that you gave it is %.4g times as large. Yours is taken.", d.UnitSay, k/d.Unit))
	}
	// from the drawing to the face: turned upright, lower left corner at 0,0
	place := affine{k, 0, 0, k, -low.X * k, -low.Y * k}
	if face >= 0 && fs[face].Form != Other && fs[face].Form != Round {
		f := fs[face]
		place = affine{1, 0, 0, 1, w * k / 2, h * k / 2}.then(turnedBy(-turn * math.Pi / 180)).then(scaled(k, k)).then(affine{1, 0, 0, 1, -f.At.X, -f.At.Y})
	}
	p.Width, p.Height, p.Corner = tidy(w*k), tidy(h*k), tidy(corner*k)
	p.holes(fs, face, place, k, turn)
	p.labels(d, place, w*k, h*k)
	p.rack()
	p.screws()
	slices.SortStableFunc(p.Holes, reading)
	if len(d.Left) > 0 {
		p.Notes = append(p.Notes, "Left out: "+strings.Join(d.Left, ", ")+".")
	}
	return p, nil
}

// scale decides how many mm a unit of the drawing is.
func scale(d *Drawing, known *Known, face int, w, h, largest float64) (k float64, sure bool, err error) {
	if known == nil {
		if d.Unit <= 0 {
			return 0, false, errNoUnit
		}
		return d.Unit, false, nil
	}
	raw := 0.0
	switch known.What {
	case "width":
		raw = w
	case "height":
		raw = h
	case "hole":
		raw = largest
	}
	if face < 0 && known.What != "hole" {
		return 0, false, errors.New("no outline goes round the holes, so that its width or height cannot prove the scale; give the diameter of the largest round hole")
	}
	if raw <= 0 {
		return 0, false, fmt.Errorf("it has no %s to prove the scale with", map[string]string{"hole": "round hole"}[known.What]+strings.TrimPrefix(known.What, "hole"))
	}
	return known.MM / raw, true, nil
}

// sift recognises curves, drops repeats, and finds which lies in which.
func sift(d *Drawing) []found {
	var fs []found
	for _, c := range d.Curves {
		s := recognise(c.Outline)
		if !finite(s) || s.W <= 0 || s.H <= 0 {
			continue
		}
		fs = append(fs, found{Shape: s, c: c, area: c.Outline.Area(), in: -1})
	}
	slices.SortStableFunc(fs, func(a, b found) int { return -cmp.Compare(a.area, b.area) })
	var out []found
	for _, f := range fs {
		again := false
		for i := len(out) - 1; i >= 0 && out[i].area < f.area*1.001+1e-12; i-- {
			if out[i].Form == f.Form && out[i].At.Sub(f.At).Len() < 1e-3*f.W && math.Abs(out[i].W-f.W) < 1e-3*f.W {
				again = true
				break
			}
		}
		if !again {
			out = append(out, f)
		}
	}
	for i := range out {
		b := out[i].c.Outline.Bounds()
		for j := i - 1; j >= 0; j-- {
			c := out[j].c.Outline.Bounds()
			if c.Min.X <= b.Min.X && c.Min.Y <= b.Min.Y && c.Max.X >= b.Max.X && c.Max.Y >= b.Max.Y && out[j].c.Outline.Contains(out[i].At) {
				out[i].in = j
				break
			}
		}
		for j := out[i].in; j >= 0; j = out[j].in {
			out[j].kids++
		}
	}
	return out
}

func finite(s Shape) bool {
	for _, v := range []float64{s.At.X, s.At.Y, s.W, s.H, s.Corner, s.Turn} {
		if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e8 {
			return false
		}
	}
	return true
}

// faceOf finds the outline of the face: the smallest large one that has nearly all holes in it; -1 = none.
func faceOf(fs []found) int {
	leaves := 0
	for _, f := range fs {
		if f.kids == 0 {
			leaves++
		}
	}
	best := -1
	for i, f := range fs {
		in := 0
		for j := range fs {
			if fs[j].kids != 0 || j == i {
				continue
			}
			if fs[j].within(fs, i) {
				in++
			}
		}
		if f.kids == 0 && len(fs) > 1 || 10*in < 8*(leaves-1) || f.area < 0.15*fs[0].area || f.Form != Rect && best >= 0 {
			continue
		}
		if f.Form == Round && f.kids > 0 && len(fs) <= 3 {
			continue // a ring round one hole
		}
		best = i
	}
	if best >= 0 && len(fs) > 1 && fs[best].kids == 0 {
		return -1
	}
	return best
}

// Layers whose names say that they are cut, and those that say that they are not.
var (
	cutLayer  = regexp.MustCompile(`(?i)cut|hole|drill|bore`)
	inkLayer  = regexp.MustCompile(`(?i)letter|legend|engrav|text|print|silk|dim|centre|center|behind|hidden|front|note|title|frame`)
	inkHeight = 6.5 // mm: odd shapes up to that are letters
)

// holes takes the innermost outlines as cut-outs.
func (p *Plan) holes(fs []found, face int, place affine, k, turn float64) {
	rings, outside, ink := 0, 0, 0
	byLayer := false // some holes lie on a layer for cutting: then the others are drawing
	for i, f := range fs {
		byLayer = byLayer || i != face && f.kids == 0 && cutLayer.MatchString(f.c.Layer)
	}
	for i, f := range fs {
		if i == face {
			continue
		}
		if face >= 0 && !f.within(fs, face) {
			outside++
			continue
		}
		cut := cutLayer.MatchString(f.c.Layer)
		odd := f.Form == Other && max(f.W, f.H)*k <= inkHeight || f.Form != Other && min(f.W, f.H)*k < 0.9
		if !cut && (byLayer || inkLayer.MatchString(f.c.Layer) || odd) {
			ink++
			continue
		}
		if f.kids > 0 && !cutsAlone(fs, i) {
			rings++
			continue
		}
		h := Hole{Shape: f.Shape, Name: f.c.Name, Part: f.c.Part, Legend: f.c.Legend, Line: f.c.Line}
		h.At = place.apply(f.At)
		h.At = geom.Vec2{X: tidy(h.At.X), Y: tidy(h.At.Y)}
		h.W, h.H, h.Corner = tidy(f.W*k), tidy(f.H*k), tidy(f.Corner*k)
		h.Turn = tidyTurn(f.Turn-turn, f.Form)
		if math.Abs(h.Turn) < 0.05 {
			h.Turn = 0
		}
		if up := f.in; up >= 0 && up != face && fs[up].Form == Round && fs[up].At.Sub(f.At).Len() < 0.05*fs[up].W {
			h.Ring = tidy(fs[up].W * k)
		}
		p.Holes = append(p.Holes, h)
	}
	if rings > 0 {
		p.Notes = append(p.Notes, count(rings, "outline that goes round another one was", "outlines that go round others were")+" taken as drawing, not as a cut.")
	}
	if ink > 0 {
		p.Notes = append(p.Notes, count(ink, "outline was", "outlines were")+" taken as lettering or drawing by layer or size, not as a cut.")
	}
	if outside > 0 {
		p.Notes = append(p.Notes, count(outside, "outline beyond the face was", "outlines beyond the face were")+" left out.")
	}
}

// cutsAlone reports whether an outline with others in it is on a layer for cutting and those are not.
func cutsAlone(fs []found, i int) bool {
	if !cutLayer.MatchString(fs[i].c.Layer) {
		return false
	}
	for j := range fs {
		if fs[j].in == i && cutLayer.MatchString(fs[j].c.Layer) {
			return false
		}
	}
	return true
}

func count(n int, one, many string) string {
	if n == 1 {
		return "One " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// tidy rounds to what was meant: a hundredth of a millimetre when that is near, as drawings carry noise.
func tidy(v float64) float64 {
	r := math.Round(v*100) / 100
	if math.Abs(r-v) < 0.004 {
		return r
	}
	return math.Round(v*1000) / 1000
}

// labels keeps the texts that lie on the face, and gives each hole the one that belongs to it.
func (p *Plan) labels(d *Drawing, place affine, w, h float64) {
	type pairing struct {
		hole, text int
		far        float64
	}
	var ls []Label
	for _, l := range d.Labels {
		l.At = place.apply(l.At)
		if l.At.X < 0 || l.At.Y < 0 || l.At.X > w || l.At.Y > h || len([]rune(l.Text)) > 40 {
			continue
		}
		ls = append(ls, l)
	}
	var all []pairing
	for i, x := range p.Holes {
		if x.Legend != "" || x.Form == Round && x.W < 2.9 {
			continue
		}
		for j, l := range ls {
			w, h := x.W, x.H
			if t := math.Abs(math.Mod(x.Turn, 180)); t > 45 && t < 135 {
				w, h = h, w
			}
			w, h = max(w, x.Ring), max(h, x.Ring)
			dx, dy := max(0, math.Abs(l.At.X-x.At.X)-w/2), max(0, math.Abs(l.At.Y-x.At.Y)-h/2)
			off := math.Abs(l.At.X - x.At.X)
			if far := math.Hypot(dx, dy); far < 20 && off < max(w/2+12, 4*float64(len([]rune(l.Text)))) {
				all = append(all, pairing{i, j, far + off/2})
			}
		}
	}
	slices.SortStableFunc(all, func(a, b pairing) int { return cmp.Compare(a.far, b.far) })
	used := make([]bool, len(ls))
	for _, a := range all {
		if !used[a.text] && p.Holes[a.hole].Legend == "" {
			used[a.text] = true
			p.Holes[a.hole].Legend = ls[a.text].Text
		}
	}
	for j, l := range ls {
		if !used[j] && len(p.Texts) < 60 {
			l.At = geom.Vec2{X: tidy(l.At.X), Y: tidy(l.At.Y)}
			p.Texts = append(p.Texts, l)
		}
	}
}

// rack recognises a 19-inch panel by its size (IEC 60297: 482.6 mm wide, n units of 44.45 mm less 0.8 mm high) and leaves its ear slots to
// the face.
func (p *Plan) rack() {
	n := int(math.Round((p.Height + 0.8) / 44.45))
	if math.Abs(p.Width-482.6) > 1 || n < 1 || math.Abs(float64(n)*44.45-0.8-p.Height) > 0.6 {
		return
	}
	p.Rack = n
	var keep []Hole
	ears := 0
	for _, h := range p.Holes {
		if h.At.X < 15.875 || h.At.X > 482.6-15.875 {
			ears++
			continue
		}
		keep = append(keep, h)
	}
	p.Holes = keep
	p.Notes = append(p.Notes, fmt.Sprintf("It has the size of a 19-inch panel of %d units; %s left to rack:.", n, count(ears, "opening in its ears is", "openings in its ears are")))
}

// screws takes small round holes near the corners for the screws of the face, and those that stand in line with them along the edges.
func (p *Plan) screws() {
	size := func(d float64) string {
		for _, s := range []struct {
			d float64
			m string
		}{{2.7, "M2.5"}, {3.7, "M3"}, {4.9, "M4"}, {5.9, "M5"}} {
			if d >= s.d-0.75 && d <= s.d {
				return s.m
			}
		}
		return ""
	}
	near := min(30, min(p.Width, p.Height)/4)
	var corners [4]int
	for i := range corners {
		corners[i] = -1
	}
	for i, h := range p.Holes {
		if h.Form != Round || size(h.W) == "" || h.Part != "" {
			continue
		}
		for c := range 4 {
			x, y := h.At.X, h.At.Y
			if c&1 != 0 {
				x = p.Width - x
			}
			if c&2 != 0 {
				y = p.Height - y
			}
			if x < near && y < near {
				corners[c] = i
			}
		}
	}
	d := -1.0
	for _, c := range corners {
		if c < 0 || d >= 0 && math.Abs(p.Holes[c].W-d) > 0.15 {
			return
		}
		d = p.Holes[c].W
	}
	a, b := p.Holes[corners[0]].At, p.Holes[corners[3]].At
	for i := range p.Holes {
		h := &p.Holes[i]
		inLine := math.Abs(h.At.X-a.X) < 0.6 || math.Abs(h.At.X-b.X) < 0.6 || math.Abs(h.At.Y-a.Y) < 0.6 || math.Abs(h.At.Y-b.Y) < 0.6
		corner := slices.Contains(corners[:], i)
		if corner || inLine && h.Form == Round && math.Abs(h.W-d) < 0.15 {
			h.taken = true
			p.Screws = append(p.Screws, Screw{h.At, size(d), h.W})
		}
	}
	p.Holes = slices.DeleteFunc(p.Holes, func(h Hole) bool { return h.taken })
	p.Notes = append(p.Notes, fmt.Sprintf("The %d holes of %.4g mm along the edges are taken for the screws of the face, %s.", len(p.Screws), d, size(d)))
}

// reading orders holes as one reads: from the top, rows within 5 mm, left to right.
func reading(a, b Hole) int {
	ra, rb := math.Round(-a.At.Y/5), math.Round(-b.At.Y/5)
	return cmp.Or(cmp.Compare(ra, rb), cmp.Compare(a.At.X, b.At.X), -cmp.Compare(a.At.Y, b.At.Y))
}
