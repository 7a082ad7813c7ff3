package harness

import (
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// grid is the room behind one sheet, laid out in square cells, in the face frame of the sheet. A wire in a cell lies at a level: so far
// behind the back of the sheet that it clears what sits there, and no nearer than the level at which the lugs are.
type grid struct {
	sheet *panel.Panel
	lo    geom.Vec2 // lower left corner of the first cell
	step  float64
	w, h  int
	level []float64 // behind the back of the sheet, mm
	pay   []float64 // what a millimetre costs in the cell; Inf = no way through
	flow  []float64 // leads in the cell, as counted last
}

// Numbers of the lay, mm. Common practice.
const (
	cellsMost  = 4200.0
	cellLeast  = 5.0
	bundleRoom = 6.0 // what a bundle wants between what sits on the sheet and what bounds the depth
	overBody   = 2.0 // a millimetre over a body costs so much: it is in the way when the part is changed
	alongTrunk = 0.75
)

// newGrid lays the grid out.
func newGrid(p *panel.Panel) *grid {
	box := p.Interior
	if s := box.Size(); !(s.X > 0 && s.Y > 0) {
		box = geom.Box2{Max: geom.Vec2{X: p.Face.Width, Y: p.Face.Height}}
	}
	for _, c := range p.Controls { // a control beside the sheet must still be reached
		for _, l := range c.Lugs {
			box = box.Extend(l.At.Vec2)
		}
		box = box.Extend(c.At.Vec2)
	}
	size := box.Size()
	g := &grid{sheet: p, lo: box.Min, step: max(cellLeast, math.Sqrt(size.X*size.Y/cellsMost), max(size.X, size.Y)/400)}
	g.w, g.h = max(1, int(math.Ceil(size.X/g.step))), max(1, int(math.Ceil(size.Y/g.step)))
	n := g.w * g.h
	g.level, g.pay, g.flow = make([]float64, n), make([]float64, n), make([]float64, n)
	usual := g.usualLevel()
	for i := range g.level {
		g.level[i], g.pay[i] = usual, 1
	}
	back := -p.Stack.Total
	for _, c := range p.Controls {
		for _, b := range c.Rear {
			if b.Role == panel.RoleBody {
				g.stand(b.Outline, back-b.Z0, overBody)
			}
		}
	}
	for _, b := range p.Behind {
		switch b.Role {
		case panel.RoleRib, panel.RoleLedge, panel.RoleBlock, panel.RoleWall:
			if !b.Leans && b.Z1 > back-1 { // it begins at the sheet
				g.stand(b.Outline, back-b.Z0, overBody)
			}
		}
	}
	g.roof()
	return g
}

// usualLevel is the middle one of the depths of the lugs.
func (g *grid) usualLevel() float64 {
	var zs []float64
	for _, c := range g.sheet.Controls {
		for _, l := range c.Lugs {
			zs = append(zs, -g.sheet.Stack.Total-l.Z)
		}
	}
	return max(3, median(zs))
}

// stand raises the level over a thing of that depth.
func (g *grid) stand(o geom.Outline, depth, pay float64) {
	b := o.Bounds()
	x0, y0 := g.index(b.Min)
	x1, y1 := g.index(b.Max)
	for y := y0; y <= y1; y++ {
		for x := x0; x <= x1; x++ {
			c := g.middle(x, y)
			if o.Contains(c) {
				i := y*g.w + x
				g.level[i] = max(g.level[i], depth+3)
				g.pay[i] = max(g.pay[i], pay)
			}
		}
	}
}

// roof closes the cells where no room is left for a bundle under what bounds the depth, and keeps all wires above it.
func (g *grid) roof() {
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			d, ok := g.sheet.DepthAt(panel.Pt{Vec2: g.middle(x, y)})
			if !ok || math.IsInf(d, 0) {
				continue
			}
			if g.level[i] > d-bundleRoom/2 {
				if g.pay[i] > 1 && g.level[i]-3 > d-bundleRoom {
					g.pay[i] = math.Inf(1)
				}
				g.level[i] = max(1, d-bundleRoom/2)
			}
		}
	}
}

func (g *grid) index(p geom.Vec2) (x, y int) {
	return clampInt(int(math.Floor((p.X-g.lo.X)/g.step)), g.w), clampInt(int(math.Floor((p.Y-g.lo.Y)/g.step)), g.h)
}

func (g *grid) cell(p geom.Vec2) int {
	x, y := g.index(p)
	return y*g.w + x
}

func (g *grid) middle(x, y int) geom.Vec2 {
	return geom.Vec2{X: g.lo.X + (float64(x)+0.5)*g.step, Y: g.lo.Y + (float64(y)+0.5)*g.step}
}

// at gives the point of a cell in the face frame.
func (g *grid) at(i int) geom.Vec3 {
	return g.middle(i%g.w, i/g.w).At(-g.sheet.Stack.Total - g.level[i])
}

// edge gives the way from a cell to its neighbour: its length and what it costs, which is more over bodies, and less where a bundle
// runs already.
func (g *grid) edge(i, j int) (length, cost float64) {
	flat := g.step
	if i%g.w != j%g.w && i/g.w != j/g.w {
		flat *= math.Sqrt2
	}
	length = math.Hypot(flat, g.level[i]-g.level[j])
	pay := (g.pay[i] + g.pay[j]) / 2
	share := min(1, min(g.flow[i], g.flow[j])/6)
	return length, length * pay * (1 - (1-alongTrunk)*share)
}

// around lists the neighbours of a cell.
func (g *grid) around(i int, out []int) []int {
	x, y := i%g.w, i/g.w
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if nx, ny := x+dx, y+dy; (dx != 0 || dy != 0) && nx >= 0 && ny >= 0 && nx < g.w && ny < g.h {
				out = append(out, ny*g.w+nx)
			}
		}
	}
	return out
}
