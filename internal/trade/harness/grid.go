package harness

import (
	"math"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// grid is the room behind one sheet, laid out in square cells, in the face frame of the sheet. Over every cell the room is free from
// what sits on the sheet (low) to what bounds the depth (high), both counted from the back of the sheet: a wire that stays between the
// two in every cell that it comes through meets nothing.
type grid struct {
	sheet *panel.Panel
	lo    geom.Vec2 // lower left corner of the first cell
	step  float64
	w, h  int
	low   []float64    // mm behind the back of the sheet
	high  []float64    // below low: no way through
	level [2][]float64 // where wires lie, by layer
	pay   []float64    // what a millimetre costs in the cell
	flow  []float64    // leads in the cell, as counted last
	flat  float64      // the depth behind the sheet where it is nowhere known
}

// Layers: wires of the sheet run where its lugs are, wires between boards on the base.
const (
	onSheet = 0
	onBase  = 1
)

// Numbers of the lay, mm. Common practice.
const (
	cellsMost  = 4200.0
	cellLeast  = 5.0
	clearance  = 1.5 // from the middle of a wire to what it passes
	overBody   = 2.0 // a millimetre over a body costs so much: it is in the way when the part is changed
	alongTrunk = 0.75
	flatBehind = 60.0 // depth that is taken where none is known
)

// thing is an upright solid in a frame of its own.
type thing struct {
	outline geom.Outline
	z0, z1  float64
	toBox   geom.Pose
	of      string
}

// newGrid lays the grid out. The things are what is behind the sheet beyond what the panel knows: controls of other sheets, boards
// without a place.
func newGrid(p *panel.Panel, things []thing) *grid {
	box := p.Interior
	if s := box.Size(); !(s.X > 0 && s.Y > 0) {
		box = geom.Box2{Max: geom.Vec2{X: p.Face.Width, Y: p.Face.Height}}
	}
	deepest := 0.0
	for _, c := range p.Controls { // a control beside the sheet must still be reached
		for _, l := range c.Lugs {
			box = box.Extend(l.At.Vec2)
			deepest = max(deepest, -p.Stack.Total-l.Z)
		}
		box = box.Extend(c.At.Vec2)
	}
	size := box.Size()
	g := &grid{sheet: p, lo: box.Min, step: max(cellLeast, math.Sqrt(size.X*size.Y/cellsMost), max(size.X, size.Y)/400), flat: max(flatBehind, deepest+20)}
	g.w, g.h = max(1, int(math.Ceil(size.X/g.step-1e-9))), max(1, int(math.Ceil(size.Y/g.step-1e-9)))
	n := g.w * g.h
	room := make([]float64, 6*n)
	for i, s := range []*[]float64{&g.low, &g.high, &g.level[0], &g.level[1], &g.pay, &g.flow} {
		*s = room[i*n : (i+1)*n : (i+1)*n]
	}
	g.floor()
	for _, c := range p.Controls {
		for _, b := range c.Rear {
			switch b.Role {
			case panel.RoleBody, panel.RoleNut, panel.RoleLugs, panel.RolePlug:
				g.put(b.Outline, b.Z0, b.Z1, nil, hangs)
			}
		}
	}
	for _, b := range p.Behind {
		if b.Role == panel.RoleBase {
			continue // the floor
		}
		h, _ := b.Solid.(*geom.Hull)
		if !b.Leans {
			h = nil
		}
		how := stands
		switch {
		case b.Role == panel.RoleWall:
			how = bounds
		case onSheetItself(p, b):
			how = hangs
		}
		g.put(b.Outline, b.Z0, b.Z1, h, how)
	}
	back := p.ToBox.Inverse()
	for _, t := range things {
		g.add(t, back)
	}
	g.levels()
	return g
}

// onSheetItself reports whether a body is a board that hangs on this sheet, or the plug in it: between board and sheet no wire runs.
func onSheetItself(p *panel.Panel, b panel.Body) bool {
	if b.Role != panel.RoleModule && b.Role != panel.RolePlug {
		return false
	}
	is := func(m *panel.Module) bool { return m != nil && m.On == "face" && m.Origin.Name == b.Owner }
	return is(p.Module) || slices.ContainsFunc(p.Extras, is)
}

// floor sets what bounds the depth in every cell.
func (g *grid) floor() {
	d, ok := g.sheet.DepthAt(panel.P(g.lo.X, g.lo.Y))
	leans := g.sheet.Leaning()
	if !ok || math.IsInf(d, 0) {
		d, leans = g.flat, false
	}
	for i := range g.high {
		g.low[i], g.pay[i] = 1, 1
		if leans {
			d = math.Inf(1)
			for k := range 4 {
				x, y := float64(i%g.w+k%2), float64(i/g.w+k/2)
				v, _ := g.sheet.DepthAt(panel.Pt{Vec2: g.lo.Add(geom.Vec2{X: x, Y: y}.Mul(g.step))})
				d = min(d, v)
			}
			if math.IsInf(d, 0) {
				d = g.flat
			}
		}
		g.high[i] = d - clearance
	}
}

// add puts a thing of another frame into the room.
func (g *grid) add(t thing, back geom.Pose) {
	to := t.toBox.Then(back)
	pts := t.outline.Flatten(0.2)
	if len(pts) < 3 {
		return
	}
	all := make([]geom.Vec3, 0, 2*len(pts))
	z0, z1 := math.Inf(1), math.Inf(-1)
	for _, z := range [2]float64{t.z0, t.z1} {
		for _, q := range pts {
			v := to.Apply(q.At(z))
			z0, z1 = min(z0, v.Z), max(z1, v.Z)
			all = append(all, v)
		}
	}
	shadow := hull2(all)
	if shadow == nil {
		return
	}
	if math.Abs(to.Z.Z) > 1-1e-9 {
		g.put(shadow, z0, z1, nil, stands)
		return
	}
	if s, err := geom.NewHull(all); err == nil {
		h, _ := s.(*geom.Hull)
		g.put(shadow, z0, z1, h, stands)
	}
}

// How a solid takes room.
const (
	stands = iota // where it is
	hangs         // as part of something at the sheet, though it may begin further behind
	bounds        // a wall: beyond it is nothing of the box
)

// put takes room away: of what stands at the sheet the part below it, of all else the part beyond it. A hull gives the true shape
// of what leans.
func (g *grid) put(o geom.Outline, z0, z1 float64, h *geom.Hull, how int) {
	s := newShadow(o)
	back := -g.sheet.Stack.Total
	if s == nil || z0 >= back {
		return
	}
	x0, y0 := g.index(s.box.Min)
	x1, y1 := g.index(s.box.Max)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			c := geom.Box2{Min: g.lo.Add(geom.Vec2{X: float64(x), Y: float64(y)}.Mul(g.step))}
			c.Max = c.Min.Add(geom.Vec2{X: g.step, Y: g.step})
			if !s.meets(c) {
				continue
			}
			a, b := z0, z1
			if h != nil {
				a, b = column(h, c, z0, z1)
			}
			i := y*g.w + x
			switch near, far := back-b, back-a; {
			case how == bounds && near <= 1:
				g.low[i] = math.Inf(1)
			case how == hangs || near <= 1:
				g.low[i] = max(g.low[i], far+clearance)
				g.pay[i] = overBody
			default:
				g.high[i] = min(g.high[i], near-clearance)
			}
		}
	}
}

// levels sets where wires lie: those of the sheet at the usual depth of its lugs, those of the base a little above it.
func (g *grid) levels() {
	var zs []float64
	for _, c := range g.sheet.Controls {
		for _, l := range c.Lugs {
			zs = append(zs, -g.sheet.Stack.Total-l.Z)
		}
	}
	usual := max(3, median(zs))
	for i := range g.low {
		if !g.open(i) { // no way, but lugs may be there
			d := min(usual, max(1, g.high[i]))
			if !math.IsInf(g.low[i], 0) {
				d = max(d, g.low[i])
			}
			g.level[onSheet][i], g.level[onBase][i] = d, d
			continue
		}
		g.level[onSheet][i] = max(g.low[i], min(usual, g.high[i]))
		g.level[onBase][i] = max(g.low[i], g.high[i]-2)
	}
}

// open reports whether a wire can lie in a cell.
func (g *grid) open(i int) bool { return g.low[i] <= g.high[i] }

func (g *grid) index(p geom.Vec2) (x, y int) {
	return clampInt(int(math.Floor((p.X-g.lo.X)/g.step)), g.w), clampInt(int(math.Floor((p.Y-g.lo.Y)/g.step)), g.h)
}

func (g *grid) cell(p geom.Vec2) int {
	x, y := g.index(p)
	return y*g.w + x
}

func (g *grid) middle(i int) geom.Vec2 {
	return geom.Vec2{X: g.lo.X + (float64(i%g.w)+0.5)*g.step, Y: g.lo.Y + (float64(i/g.w)+0.5)*g.step}
}

// point gives a place over a cell in the box frame.
func (g *grid) point(p geom.Vec2, depth float64) geom.Vec3 {
	return g.sheet.ToBox.Apply(p.At(-g.sheet.Stack.Total - depth))
}

// at gives the place of a cell in the box frame, where wires of a layer lie.
func (g *grid) at(i, layer int) geom.Vec3 { return g.point(g.middle(i), g.level[layer][i]) }

// hop gives the depth at which a wire of a layer goes from a cell to its neighbour, and its way up and down; ok is false where it
// cannot. When both its ends lie in the room that the cells share it goes straight.
func (g *grid) hop(i, j, layer int) (depth, rise float64, straight, ok bool) {
	lo, hi := max(g.low[i], g.low[j]), min(g.high[i], g.high[j])
	if lo > hi {
		return 0, 0, false, false
	}
	a, b := g.level[layer][i], g.level[layer][j]
	if a >= lo && a <= hi && b >= lo && b <= hi {
		return a, math.Abs(a - b), true, true
	}
	depth = max(lo, min(a, hi))
	return depth, math.Abs(a-depth) + math.Abs(depth-b), false, true
}

// free gives the open cell nearest to a point.
func (g *grid) free(at geom.Vec2) int {
	c := g.cell(at)
	if g.open(c) {
		return c
	}
	best, least := c, math.Inf(1)
	for i := range g.low {
		if d := g.middle(i).Sub(at).Len(); d < least && g.open(i) {
			best, least = i, d
		}
	}
	return best
}

// holds reports whether a point lies over the grid.
func (g *grid) holds(p geom.Vec2) bool {
	q := p.Sub(g.lo)
	return q.X >= 0 && q.Y >= 0 && q.X <= float64(g.w)*g.step && q.Y <= float64(g.h)*g.step
}

// clear reports whether nothing stands in a cell and round it, two cells far.
func (g *grid) clear(c int) bool {
	x, y := c%g.w, c/g.w
	for dy := -2; dy <= 2; dy++ {
		for dx := -2; dx <= 2; dx++ {
			if u, v := x+dx, y+dy; u < 0 || v < 0 || u >= g.w || v >= g.h || g.pay[v*g.w+u] > 1 || !g.open(v*g.w+u) {
				return false
			}
		}
	}
	return true
}
