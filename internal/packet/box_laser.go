package packet

import (
	"fmt"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/trade/box"
	"knobwright/internal/view"
)

// Layers of a sheet for the laser, in the order in which they are cut.
const (
	layerMark  = "MARK"
	layerHoles = "HOLES"
	layerCut   = "CUT"
	layerNames = "NAMES"
	layerSheet = "SHEET"
)

var laserLayers = []drawing.Layer{
	{Name: layerMark, Means: "mark, not through: where the feet go", Colour: 5, Process: true},
	{Name: layerHoles, Means: "cut first: openings and holes", Colour: 3, Process: true},
	{Name: layerCut, Means: "cut last: the boards come loose", Colour: 1, Process: true},
	{Name: layerNames, Means: "for reference: names, seen from the outer side", Colour: 7},
	{Name: layerSheet, Means: "for reference: the edge of the sheet", Colour: 8},
}

// laserPapers adds the cutting files of the boards, one pair for every sheet, when a laser cuts them.
func laserPapers(r *job.Result, add func(name, about string, data []byte, err error)) {
	if !r.Box.Laser {
		return
	}
	total := 0
	for _, p := range r.Box.Plans {
		total += len(p.Sheets)
	}
	n := 0
	for _, p := range r.Box.Plans {
		for _, s := range p.Sheets {
			n++
			name := "boards"
			if total > 1 {
				name = fmt.Sprintf("boards-%d", n)
			}
			about := fmt.Sprintf("%s, %.0f x %.0f mm: the boards for the laser, cut widened by its kerf", p.Material.Title, s.Layout.Width, s.Layout.Height)
			scene := laserScene(r, p, s)
			data, err := drawing.SVG(scene)
			add(name+".svg", about, data, err)
			data, err = drawing.DXF(scene)
			add(name+".dxf", "the same for other programs", data, err)
		}
	}
}

// laserScene is one sheet with its boards, seen from their outer sides: outlines grown and holes shrunk by half the kerf, so that they come
// out at their sizes when the beam runs along the middle of the line.
func laserScene(r *job.Result, p box.Plan, s box.PlanSheet) *drawing.Scene {
	sheet := geom.Box2{Max: v(s.Layout.Width, s.Layout.Height)}
	out := &drawing.Scene{Title: p.Material.Title + ", " + s.Name, Bounds: sheet, Layers: laserLayers}
	line := func(o geom.Outline, layer string) {
		out.Items = append(out.Items, &drawing.Path{Outlines: []geom.Outline{o}, Style: drawing.Style{Line: drawing.Hairline}, Layer: layer})
	}
	line(geom.Rect(sheet.Centre(), s.Layout.Width, s.Layout.Height, 0), layerSheet)
	half := r.Box.Kerf / 2
	for _, q := range s.Layout.Placed {
		l, ok := lineNamed(r, p.Pieces[q.Piece].Name)
		if !ok {
			continue
		}
		part := laserPart(r, l)
		at := geom.Place{At: v(q.X, q.Y)}
		if q.Turned != l.GrainUp { // a board whose grain runs up lies on its side
			at = geom.Place{At: v(q.X+q.Width, q.Y), Turn: 90}
		}
		for _, m := range part.Marks {
			c := at.Apply(m.At)
			for _, d := range []geom.Vec2{v(2, 0), v(0, 2)} {
				x := drawing.Ln(c.Sub(d), c.Add(d), drawing.Hairline)
				x.Layer = layerMark
				out.Items = append(out.Items, x)
			}
		}
		for _, h := range part.Holes {
			line(offset(h, -half).Move(at), layerHoles)
		}
		line(offset(part.Outline, half+part.Press).Move(at), layerCut)
		fit, size := drawing.Fit(drawing.Lettering, drawing.CapSize(drawing.Lettering, min(4, q.Height/3, q.Width/3)), part.Name, max(q.Width-4, 1))
		t := &drawing.Text{At: v(q.X+q.Width/2, q.Y+q.Height/2), S: fit, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true, Layer: layerNames}
		out.Items = append(out.Items, t)
	}
	return out
}

// offset grows an outline; it stays as it is where nothing would be left.
func offset(o geom.Outline, m float64) geom.Outline {
	if m == 0 {
		return o
	}
	if g := o.Grow(m); !g.Empty() {
		return g
	}
	return o
}

func lineNamed(r *job.Result, name string) (box.BoardLine, bool) {
	for _, l := range r.Box.Boards {
		if l.Name == name {
			return l, true
		}
	}
	return box.BoardLine{}, false
}

// laserPart is a board as it is cut: the face with its round corners, boards that carry controls with the openings as the schedule has
// them.
func laserPart(r *job.Result, l box.BoardLine) box.CutPart {
	b := l.Board
	sheets := r.Panel.Sheets()
	for i, s := range sheets {
		name := s.Board
		if i == 0 {
			name = r.Panel.Carcass.Boards[r.Panel.Carcass.Faces[0].Board].Name
		}
		if name != b.Name {
			continue
		}
		lo := geom.Place{At: b.Frame.ToLocal(s.ToBox.Apply(geom.Vec3{})).XY()}
		var open []geom.Outline
		for _, c := range view.AllCuts(s) {
			if c.Blind == 0 {
				open = append(open, view.AsCut(c).Move(lo))
			}
		}
		if open == nil {
			open = []geom.Outline{}
		}
		var rim geom.Outline
		if i == 0 {
			rim = faceRim(s, b.Shadow().Bounds(), lo)
		}
		return r.Box.CutPart(l, rim, open)
	}
	return r.Box.CutPart(l, nil, nil)
}

// faceRim is the outline of the face with its corners, when the board is no larger than that.
func faceRim(s *panel.Panel, board geom.Box2, lo geom.Place) geom.Outline {
	o := s.Face.Outline.Move(lo)
	a, b := o.Bounds().Size(), board.Size()
	if d := a.Sub(b); d.Len() > 0.01 {
		return nil // bevelled edges want more
	}
	return o
}
