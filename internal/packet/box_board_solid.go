package packet

import (
	"knobwright/internal/carcass"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/trade/box"
)

// boardPieces are a board as one solid: its parts put together, the notch for the lead taken out, then drilled. Of a board whose parts leave a
// step thinner than any saw makes they are the parts, each by itself.
func boardPieces(x *box.Exit, b *carcass.Board, holes []solid.Hole) (out []solid.Piece) {
	notch := notchOf(x, b)
	if len(b.Parts) == 1 && notch == nil {
		return []solid.Piece{solid.Block{Hull: b.Parts[0], Holes: holes}}
	}
	var layers []geom.Layer
	for _, h := range b.Parts {
		layers = append(layers, geom.Layer{Hull: h})
		out = append(out, solid.Block{Hull: h, Holes: holes})
	}
	if notch != nil {
		layers = append(layers, geom.Layer{Hull: notch, Cut: true})
	}
	if s, err := geom.Fuse(layers); err == nil && s.Shells() == 1 {
		return []solid.Piece{solid.Fused{Of: s, Holes: holes}}
	}
	return out
}

// notchOf is the room that a notch for the lead takes out of a board; nil when it has none. Above it goes on past the edge.
func notchOf(x *box.Exit, b *carcass.Board) *geom.Hull {
	if x == nil || !x.Notch || x.Board != b.Name || x.Outline.Empty() {
		return nil
	}
	n := x.Outline.Bounds()
	var pts []geom.Vec3
	for _, p := range [4]geom.Vec2{n.Min, {X: n.Max.X, Y: n.Min.Y}, {X: n.Max.X, Y: b.Blank.Y + 10}, {X: n.Min.X, Y: b.Blank.Y + 10}} {
		pts = append(pts, b.Frame.ToWorld(p.At(1)), b.Frame.ToWorld(p.At(-b.Thickness-1)))
	}
	h, err := geom.HullOf(pts)
	if err != nil {
		return nil
	}
	return h
}
