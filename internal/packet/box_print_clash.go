package packet

import (
	"fmt"
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/trade/box"
)

// clashes says where a flange or a ledge of the printed box, which the box of boards does not have, meets something behind the faces.
func (p *printer) clashes() (out []string) {
	type piece struct {
		what string
		hull *geom.Hull
	}
	var pieces []piece
	for _, h := range p.shell.Ledges {
		pieces = append(pieces, piece{"ledge", h})
	}
	for a := range 3 {
		for _, x := range p.ends[a][1 : len(p.ends[a])-1] {
			for _, h := range p.flanges(a, x) {
				pieces = append(pieces, piece{"flange", h})
			}
		}
	}
	told := map[string]bool{}
	for _, b := range box.FromPanel(p.r.Panel).Bodies {
		if !b.Inside {
			continue
		}
		for _, q := range pieces {
			s := fmt.Sprintf("A %s meets %s: cut it away there before anything is joined.", q.what, b.Name)
			if !told[s] && q.hull.Bounds().Overlaps(b.Solid.Bounds()) && geom.Gap(q.hull, b.Solid).Gap < -0.01 {
				told[s] = true
				out = append(out, s)
			}
		}
	}
	return out
}

// flanges gives the flanges on both sides of a seam, one for each wall that it crosses.
func (p *printer) flanges(a int, x float64) (out []*geom.Hull) {
	way := axis(a)
	for _, o := range p.shell.Outer {
		slab := cutBy(o, geom.HalfSpace{N: way, D: x + seamThick}, geom.HalfSpace{N: way.Mul(-1), D: seamThick - x})
		if slab == nil {
			continue
		}
		for i := range o.Faces {
			w := o.Plane(i)
			if math.Abs(w.N.Dot(way)) > 0.9 || p.isFace(w.N) || p.isJoint(w) {
				continue
			}
			if h := cutBy(slab, geom.HalfSpace{N: w.N.Mul(-1), D: printWall + seamHigh - w.D}); h != nil {
				out = append(out, h)
			}
		}
	}
	return out
}
