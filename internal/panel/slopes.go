package panel

import "knobwright/internal/geom"

// Slope is a board that bounds the depth behind the sheet: at a point p of the face it leaves At + By·p of depth, mm. By is zero for a
// board that is level with the sheet.
type Slope struct {
	At float64
	By geom.Vec2
}

// DepthSlopes gives what DepthAt takes the least of; nothing when there is no box with boards.
func (p *Panel) DepthSlopes() []Slope {
	var out []Slope
	for _, f := range p.floors {
		out = append(out, Slope{f.at, geom.Vec2{X: f.bx, Y: f.by}})
	}
	return out
}
