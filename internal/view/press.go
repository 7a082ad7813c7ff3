package view

import (
	"math"
	"strconv"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/trade/stiffness"
)

// PressMap draws how far a face gives under a firm thumb anywhere on it: contours with their numbers over the face, the limit as the
// heavy one, what holds the face, ribs dashed, new ribs hatched. k is the scale at which it will be shown: letters keep their height
// on paper.
func PressMap(f *stiffness.Face, m stiffness.Map, k float64) *drawing.Scene {
	p := f.Panel
	s := &drawing.Scene{Title: p.Title, Bounds: p.Face.Outline.Bounds().Grow(2)}
	s.Items = append(s.Items, outl(drawing.Edge, drawing.AcrylicWash, p.Face.Outline))
	for _, x := range f.Supports {
		if x.Kind == "screw" {
			s.Items = append(s.Items, drawing.Dot(x.A, 2.4/k, drawing.Ink0))
			continue
		}
		n := x.B.Sub(x.A).Unit().Left()
		if middle := p.Face.Outline.Bounds().Centre(); n.Dot(middle.Sub(x.A)) > 0 {
			n = n.Mul(-1)
		}
		w := n.Mul(2 / k)
		s.Items = append(s.Items, drawing.Ln(x.A, x.B, drawing.Visible),
			drawing.Area(drawing.Style{Hatch: drawing.HatchPly, Ink: drawing.Pencil}, x.A, x.B, x.B.Add(w), x.A.Add(w)))
	}
	for _, r := range f.Ribs {
		s.Items = append(s.Items, inked(drawing.Hidden, drawing.Ink0, drawing.PlyWash, ribBox(r)))
	}
	for _, r := range m.Ribs {
		s.Items = append(s.Items, drawing.Outl(drawing.Style{Line: drawing.Visible, Fill: drawing.PlyWash, Hatch: drawing.HatchPly}, ribBox(r)))
	}
	l := &Labeller{Sheet: p.Face.Outline.Bounds()}
	for _, c := range p.Controls {
		for _, cut := range c.Cuts {
			s.Items = append(s.Items, inked(drawing.Thin, drawing.Pencil, drawing.Paper, cut.Outline))
		}
		if len(c.Cuts) > 0 && !c.Cuts[0].Outline.Empty() {
			l.Block(c.Cuts[0].Outline.Bounds())
		}
	}
	for _, o := range p.Openings {
		s.Items = append(s.Items, inked(drawing.Thin, drawing.Pencil, drawing.Paper, o.Outline))
	}
	contours := m.Contours(m.Levels(f.Springy)...)
	for _, c := range contours {
		line := drawing.Thin
		if c.Level == f.Springy {
			line = drawing.Edge
		}
		for _, run := range c.Runs {
			s.Items = append(s.Items, drawing.Poly(line, run...))
		}
	}
	for _, c := range contours {
		s.Items = append(s.Items, contourNames(l, c, f.Springy, k)...)
	}
	s.Items = append(s.Items, pressNames(f, m, l, k)...)
	return s
}

func ribBox(r stiffness.Rib) geom.Outline {
	side := r.B.Sub(r.A).Unit().Left().Mul(r.Width / 2)
	return geom.Polygon(r.A.Sub(side), r.B.Sub(side), r.B.Add(side), r.A.Add(side))
}

// contourNames letters each run that is long enough once, on a patch in the line.
func contourNames(l *Labeller, c stiffness.Contour, limit, k float64) (items []drawing.Item) {
	for _, n := range placeNames(l, c, limit, k) {
		items = append(items, outl(drawing.NoLine, drawing.AcrylicWash, geom.Rect(n.At, n.Wide, n.High, 0)),
			&drawing.Text{At: n.At, S: n.S, Face: drawing.Lettering, Size: drawing.CapSize(drawing.Lettering, n.Cap), Anchor: drawing.Centre, Middle: true})
	}
	return items
}

// ContourName is the number of a contour: a patch in its line.
type ContourName struct {
	At         geom.Vec2
	S          string
	Wide, High float64 // of the patch, mm
	Cap        float64 // height of its figures, mm
}

// ContourNames places the numbers of contours clear of the openings of a face and of each other. k is the scale at which they
// will be shown.
func ContourNames(f *stiffness.Face, cs []stiffness.Contour, k float64) (out []ContourName) {
	l := &Labeller{Sheet: f.Panel.Face.Outline.Bounds()}
	for _, c := range f.Panel.Controls {
		if len(c.Cuts) > 0 && !c.Cuts[0].Outline.Empty() {
			l.Block(c.Cuts[0].Outline.Bounds())
		}
	}
	for _, c := range cs {
		out = append(out, placeNames(l, c, f.Springy, k)...)
	}
	return out
}

// placeNames finds a free place in each run of a contour that is long enough, and takes it.
func placeNames(l *Labeller, c stiffness.Contour, limit, k float64) (out []ContourName) {
	h := leastLetters / k
	if c.Level == limit {
		h *= 1.25
	}
	name := strconv.FormatFloat(c.Level, 'f', -1, 64)
	w := drawing.TextWidth(drawing.Lettering, drawing.CapSize(drawing.Lettering, h), name) + 1/k
	for _, run := range c.Runs {
		long := 0.0
		for i := range len(run) - 1 {
			long += run[i+1].Sub(run[i]).Len()
		}
		if long < 4*w {
			continue
		}
		best, bad := geom.Vec2{}, math.Inf(1)
		for i, q := range run {
			if over := l.shares(l.taken, boxAt(q, w+0.6/k, h+1/k)); over < bad-1e-9 {
				best, bad = q, over
				if bad <= Free && i > len(run)/3 {
					break
				}
			}
		}
		if bad > Free {
			continue
		}
		l.Block(boxAt(best, w, h+1/k))
		out = append(out, ContourName{best, name, w, h + 0.6/k, h})
	}
	return out
}

// pressNames letters every judged control with its name, where there is room; springy ones first.
func pressNames(f *stiffness.Face, m stiffness.Map, l *Labeller, k float64) (items []drawing.Item) {
	h := leastLetters / k
	size := drawing.CapSize(drawing.Lettering, h)
	for _, soft := range [2]bool{true, false} {
		for i, p := range f.Presses {
			v := p.Thumb
			if len(m.Ribs) > 0 && f.Proposal != nil && i < len(f.Proposal.Gives) {
				v = f.Proposal.Gives[i]
			}
			if !p.Judged || (v > f.Springy) != soft || len(p.Control.Cuts) == 0 || p.Control.Cuts[0].Outline.Empty() {
				continue
			}
			name := p.Control.Label + " " + strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
			w := drawing.TextWidth(drawing.Lettering, size, name) + 0.8/k
			at, bad, _ := l.Best(0, p.Control.Cuts[0].Outline.Bounds(), w, h+0.6/k, 1/k, AboveFirst)
			if bad > Free {
				continue
			}
			l.Block(boxAt(at, w, h+0.6/k))
			ink := drawing.Pencil
			if soft {
				ink = drawing.Ink0
			}
			items = append(items, outl(drawing.NoLine, drawing.AcrylicWash, geom.Rect(at, w, h+0.6/k, 0)),
				&drawing.Text{At: at, S: name, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true, Ink: ink})
		}
	}
	return items
}
