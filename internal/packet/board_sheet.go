package packet

import (
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
)

// BoardSheet is the drawing of one board of the box with its sizes, as it stands in box.pdf; ok is false when the box has no such
// board.
func BoardSheet(r *job.Result, src []byte, name string) (s *drawing.Scene, ok bool) {
	if r.Panel == nil || r.Panel.Carcass == nil {
		return nil, false
	}
	d := newDesk(r, src)
	for _, l := range r.Box.Boards {
		if l.Name != name {
			continue
		}
		pages := boardPage(r, d, l)
		if len(pages) == 0 {
			return nil, false
		}
		p := pages[0]
		return &drawing.Scene{Title: name, Bounds: geom.Box2{Max: geom.Vec2{X: p.Width, Y: p.Height}}, Items: p.Items}, true
	}
	return nil, false
}
