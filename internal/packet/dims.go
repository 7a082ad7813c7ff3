package packet

import (
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// dimLevel dimensions the level distance between two points, its line off by so much from them (up positive).
func dimLevel(a, b geom.Vec2, off float64, s string) []drawing.Item {
	return drawing.DimX(a, b, a.Y+off, s).Items()
}

// dimUpright dimensions the upright distance between two points, its line off by so much from them (right positive).
func dimUpright(a, b geom.Vec2, off float64, s string) []drawing.Item {
	return drawing.DimY(a, b, a.X+off, s).Items()
}
