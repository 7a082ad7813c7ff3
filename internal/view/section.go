package view

import (
	"math"
	"slices"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Section is the panel cut level across at a height of the face, seen along the cut towards the upper edge: across is the same
// as in the front view, so that the two stand one above the other, and up is towards the person. The sheet, walls, ribs,
// blocks and base are cut (hatched); controls are not cut but shown whole, as ISO 128 has it for what is bought ready-made.
type Section struct {
	Up     float64          // height of the cut on the face, mm
	Deep   *panel.Control   // the control in the cut that reaches deepest; nil when none reaches behind the sheet
	Bottom geom.Vec2        // its deepest point: across, and z (negative)
	Floor  float64          // z of the base's upper side in the cut, or of the depth given without a box; NaN when there is neither
	Under  float64          // z of what lies under the deepest point; NaN when it is not known
	Scene  *drawing.Scene   // x across, y = z of the face frame, true size
	Across []*panel.Control // the controls in the cut, in file order
}

// DeepestRow gives the height of the face at which a cut shows most: through the middle of the control that reaches
// deepest; of equal ones through the row with most controls, then the lowest. It is false for a face without controls.
func DeepestRow(p *panel.Panel) (up float64, ok bool) {
	best, bestN := math.Inf(1), 0
	rows := map[float64]int{} // controls across, by height: whole rows share one
	for _, c := range p.Controls {
		z := deepest(c)
		n, counted := rows[c.At.Y]
		if !counted {
			n = len(inRow(p, c.At.Y))
			rows[c.At.Y] = n
		}
		switch {
		case !ok, z < best-0.05, z < best+0.05 && n > bestN, z < best+0.05 && n == bestN && c.At.Y < up:
			up, best, bestN, ok = c.At.Y, min(z, best), n, true
		}
	}
	return up, ok
}

// deepest is the z of a control's farthest point behind, wires included; 0 when nothing is behind.
func deepest(c *panel.Control) float64 {
	z := 0.0
	for _, b := range c.Rear {
		if b.Role != panel.RoleTool {
			z = min(z, b.Z0)
		}
	}
	return z
}

// inRow lists the controls whose hole or body the cut at a height goes through.
func inRow(p *panel.Panel, up float64) []*panel.Control {
	var out []*panel.Control
	for _, c := range p.Controls {
		in := false
		for _, x := range c.Cuts {
			in = in || spans(x.Outline, up)
		}
		for _, b := range c.Rear {
			in = in || b.Role == panel.RoleBody && spans(b.Outline, up)
		}
		if in {
			out = append(out, c)
		}
	}
	return out
}

// NewSection cuts the panel at a height of the face.
func NewSection(p *panel.Panel, up float64) *Section {
	s := &Section{Up: up, Floor: math.NaN(), Under: math.NaN(), Across: inRow(p, up), Scene: &drawing.Scene{Title: p.Title}}
	box := geom.Box2{Min: geom.Vec2{X: 0, Y: -p.Stack.Total}, Max: geom.Vec2{X: p.Face.Width, Y: 0}}
	low := math.Inf(-1)
	for _, b := range p.Behind {
		if b.Role == panel.RoleBase {
			for _, o := range acrossAt(b, up) {
				s.Floor = o.Bounds().Max.Y
			}
		}
	}
	if math.IsNaN(s.Floor) && !p.HasBox && p.BoxDepth > 0 && !p.Leaning() {
		s.Floor = -p.Stack.Total - p.BoxDepth
	}
	if math.IsNaN(s.Floor) { // what has no bottom is broken off
		low = min(deepestOf(p)-10, -p.Stack.Total-30)
	}
	var behind []drawing.Item
	for _, b := range p.Behind {
		st := drawing.Style{Line: drawing.Visible, Fill: drawing.PlyWash, Hatch: drawing.HatchPly}
		switch b.Role {
		case panel.RoleWall, panel.RoleBase, panel.RoleLedge, panel.RoleBlock, panel.RoleRib:
		case panel.RoleModule:
			st = drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}
		default:
			continue
		}
		for _, o := range acrossAt(b, up) {
			if ob := clipped(o.Bounds(), low); ob.Min.Y < ob.Max.Y {
				behind = append(behind, drawing.Outl(st, o))
				box = box.Union(ob)
			}
		}
	}
	add := func(items ...drawing.Item) { s.Scene.Items = append(s.Scene.Items, items...) }
	if len(behind) > 0 {
		g := &drawing.Group{Items: behind}
		if !math.IsInf(low, -1) {
			g.Clip = span(box.Min.X-1, box.Max.X+1, low, box.Max.Y+1)
		}
		add(g)
	}
	grow := func(x0, x1, z0, z1 float64) {
		box = box.Union(geom.Box2{Min: geom.Vec2{X: x0, Y: z0}, Max: geom.Vec2{X: x1, Y: z1}})
	}
	for _, c := range s.Across {
		add(standing(c, grow)...)
		if z := deepest(c); z < s.Bottom.Y-1e-9 {
			s.Deep, s.Bottom = c, lowPoint(c, z)
		}
	}
	add(cutSheet(p, up)...)
	if s.Deep != nil {
		if d, ok := p.DepthAt(panel.P(s.Bottom.X, up)); ok {
			s.Under = -p.Stack.Total - d
		}
	}
	s.Scene.Bounds = box
	return s
}

func deepestOf(p *panel.Panel) float64 {
	z := 0.0
	for _, c := range p.Controls {
		z = min(z, deepest(c))
	}
	return z
}

// lowPoint is the middle of the body that ends at z.
func lowPoint(c *panel.Control, z float64) geom.Vec2 {
	for _, b := range c.Rear {
		if b.Z0 <= z+1e-9 && b.Role != panel.RoleTool && !b.Outline.Empty() {
			return geom.Vec2{X: b.Outline.Bounds().Centre().X, Y: z}
		}
	}
	return geom.Vec2{X: c.At.X, Y: z}
}

// standing draws a control whole from the side: bodies by their width, the wire's bend in dashed line.
func standing(c *panel.Control, grow func(x0, x1, z0, z1 float64)) []drawing.Item {
	bodies := slices.Concat(c.Rear, c.Front)
	var quiet, solid []drawing.Item
	for _, b := range bodies {
		if b.Outline.Empty() || b.Role == panel.RoleTool {
			continue
		}
		x := b.Outline.Bounds()
		o := span(x.Min.X, x.Max.X, b.Z0, b.Z1)
		grow(x.Min.X, x.Max.X, b.Z0, b.Z1)
		switch b.Role {
		case panel.RoleSweep, panel.RoleBend, panel.RolePlug:
			quiet = append(quiet, inked(drawing.Hidden, drawing.Pencil, drawing.NoInk, o))
		case panel.RoleLugs:
			solid = append(solid, outl(drawing.Thin, drawing.MetalWash, o))
		default:
			solid = append(solid, outl(drawing.Thin, drawing.CapWash, o))
		}
	}
	return append(quiet, solid...)
}

// cutSheet draws the sheet cut through, open where the cut meets a hole; a hole that does not go through is a pocket.
func cutSheet(p *panel.Panel, up float64) []drawing.Item {
	st := drawing.Style{Line: drawing.Visible, Fill: drawing.AcrylicWash, Hatch: drawing.HatchAcrylic}
	switch p.Stack.Sheet.Kind {
	case "plywood", "mdf", "hardboard", "solid-wood":
		st.Fill, st.Hatch = drawing.PlyWash, drawing.HatchPly
	case "aluminium", "steel", "brass":
		st.Fill, st.Hatch = drawing.MetalWash, drawing.HatchMetal
	}
	var gaps [][2]float64
	var items []drawing.Item
	for _, c := range AllCuts(p) {
		for _, r := range runs(c.Outline, up) {
			if c.Blind > 0 {
				items = append(items, drawing.Outl(drawing.Style{Line: drawing.Thin, Fill: drawing.Paper}, span(r[0], r[1], -p.Stack.Total, -p.Stack.Total+c.Blind)))
				continue
			}
			gaps = append(gaps, r)
		}
	}
	slices.SortFunc(gaps, func(a, b [2]float64) int {
		switch {
		case a[0] < b[0]:
			return -1
		case a[0] > b[0]:
			return 1
		}
		return 0
	})
	var sheet []drawing.Item
	for _, r := range runs(p.Face.Outline, up) {
		x := r[0]
		for _, g := range append(gaps, [2]float64{r[1], r[1]}) {
			if g[0] > x+0.01 {
				sheet = append(sheet, drawing.Outl(st, span(x, min(g[0], r[1]), -p.Stack.Total, 0)))
			}
			x = max(x, g[1])
		}
	}
	return append(sheet, items...)
}
