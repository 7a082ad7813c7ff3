package plate

import (
	"math"

	"knobwright/internal/geom"
)

// frame is where the grid lies: its own x axis stands at angle turn in the model's frame. Everything is worked out in the
// frame of the grid, so that a model turned as a whole gives the same numbers.
type frame struct {
	at   vec // the grid's origin in the model's frame
	c, s float64
}

// in takes a point of the model into the grid's frame.
func (f frame) in(p vec) vec { return f.inDir(p.Sub(f.at)) }

// inDir takes a direction of the model into the grid's frame.
func (f frame) inDir(d vec) vec { return vec{X: f.c*d.X + f.s*d.Y, Y: -f.s*d.X + f.c*d.Y} }

// out takes a point of the grid's frame into the model's.
func (f frame) out(p vec) vec { return f.outDir(p).Add(f.at) }

func (f frame) outDir(d vec) vec { return vec{X: f.c*d.X - f.s*d.Y, Y: f.s*d.X + f.c*d.Y} }

// newFrame lays the grid along the straight edges of the outline: of the directions that edges have, quarter turns aside, the one
// with the greatest length of edge along it; x runs along the longest of those edges, so that a turned model gets a turned
// grid. extra degrees are added.
func newFrame(o geom.Outline, extra float64) frame {
	n := len(o)
	const near = 1e-6 // radians
	type edge struct{ dir, length float64 }
	var es []edge
	for i, v := range o {
		d := o[(i+1)%n].P.Sub(v.P)
		if v.Bulge != 0 || !(d.Len() > 0) {
			continue
		}
		es = append(es, edge{math.Atan2(d.Y, d.X), d.Len()})
	}
	best, most, longest := 0.0, 0.0, 0.0
	for _, e := range es {
		var sum float64
		for _, q := range es {
			if math.Abs(quarter(q.dir-e.dir)) < near {
				sum += q.length
			}
		}
		more := sum > most*(1+1e-9)
		if more || sum > most*(1-1e-9) && e.length > longest*(1+1e-9) {
			best, most, longest = e.dir, sum, e.length
		}
	}
	best += extra * deg
	f := frame{c: math.Cos(best), s: math.Sin(best)}
	if math.Abs(quarter(best)) < 1e-12 {
		f.c, f.s = math.Round(f.c), math.Round(f.s)
	}
	// the origin at the lower left of the box, so that a far-off model loses no digits
	lo := vec{X: math.Inf(1), Y: math.Inf(1)}
	for _, v := range o {
		q := f.inDir(v.P)
		lo = vec{X: min(lo.X, q.X), Y: min(lo.Y, q.Y)}
	}
	f.at = f.outDir(lo)
	return f
}

// quarter gives the angle less whole quarter turns, within ±45 degrees.
func quarter(a float64) float64 {
	a = math.Mod(a, math.Pi/2)
	switch {
	case a > math.Pi/4:
		a -= math.Pi / 2
	case a <= -math.Pi/4:
		a += math.Pi / 2
	}
	return a
}
