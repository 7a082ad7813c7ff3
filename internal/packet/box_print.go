package packet

import (
	"fmt"
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/trade/box"
)

// Printed boxes, mm. Common practice for melted-plastic printers.
const (
	printWall = 3.0 // walls and base
	printPost = 2.5 // plastic round the hole of an insert, at least
	printLap  = 1.0 // how far pieces of one part reach into each other, so that a slicer makes one of them
)

// printer is the printable box: walls and base in one, posts for the inserts under the face, cut into parts that the bed takes.
type printer struct {
	c       *carcass.Carcass
	r       *job.Result
	w, d    float64        // outside
	top     geom.HalfSpace // under the face
	parts   []solid.Body
	skipped []string // posts that found no room
}

// printParts gives the parts of the printable box. There are none without a bed in the file, and none for forms whose walls are not
// upright under one plane face that lies on them: their boards are printed one by one.
func printParts(r *job.Result) (*printer, bool) {
	c := r.Panel.Carcass
	if c == nil || r.Panel.Box == nil || r.Panel.Box.Written.Bed == nil || len(c.Faces) != 1 {
		return nil, false
	}
	s := c.Spec
	if s.Form != carcass.Flat && s.Form != carcass.Desk || s.Sizes.HandRest > 0 || s.Build.FaceFit != carcass.On {
		return nil, false
	}
	bed := r.Panel.Box.Written.Bed
	f := c.Faces[0]
	n := f.Frame.N
	p := &printer{c: c, r: r, w: s.Sizes.Width, d: s.Sizes.Depth, top: geom.HalfSpace{N: n, D: n.Dot(f.Frame.O) - f.Thickness}}
	if min(bed[0].MM(), bed[1].MM()) < 60 || p.w < 20 || p.d < 20 || p.w > 3000 || p.d > 3000 {
		return nil, false
	}
	var across, up []float64 // of the screws: a seam keeps clear of them
	for _, x := range r.Panel.Fixings {
		at := f.Frame.ToWorld(x.At.Vec2.At(-f.Thickness))
		across, up = append(across, at.X), append(up, at.Y)
	}
	xs, ys := partEnds(p.w, bed[0].MM(), across), partEnds(p.d, bed[1].MM(), up)
	nx, ny := len(xs)-1, len(ys)-1
	for j := range ny {
		for i := range nx {
			name := "printed box"
			if nx*ny > 1 {
				name = fmt.Sprintf("printed box, part %d", j*nx+i+1)
			}
			p.part(name, xs[i], xs[i+1], ys[j], ys[j+1], i == 0, i == nx-1, j == 0, j == ny-1)
		}
	}
	return p, len(p.parts) > 0
}

// partEnds parts a length into the fewest pieces that a bed takes, about alike, with ends that keep 12 mm from the places given when they
// can.
func partEnds(long, bed float64, avoid []float64) []float64 {
	n := max(1, int(math.Ceil(long/bed-1e-9)))
	ends := []float64{0}
	for i := 1; i < n; i++ {
		even, best, most := long*float64(i)/float64(n), long*float64(i)/float64(n), -1.0
		for k := range 41 {
			x := even + float64((k+1)/2)*float64(1-2*(k%2))*2
			if x-ends[i-1] > bed || long-x > bed*float64(n-i) || x-ends[i-1] < 20 || long-x < 20 {
				continue
			}
			clear := 12.0
			for _, a := range avoid {
				clear = min(clear, math.Abs(x-a))
			}
			if clear > most {
				best, most = x, clear
			}
		}
		ends = append(ends, best)
	}
	return append(ends, long)
}

// part makes the part of the box over one cell of the bed: which of its sides are outsides says what has a wall.
func (p *printer) part(name string, x0, x1, y0, y1 float64, left, right, front, back bool) {
	body := solid.Body{Name: name, Colour: solid.Colour{R: 120, G: 130, B: 135}, Look: solid.Look{Wash: drawing.CapWash}}
	cell := geom.Box2{Min: v(x0, y0), Max: v(x1, y1)}
	bar := func(o geom.Outline, from float64) solid.Prism {
		b := solid.Prism{Pose: geom.NoPose(), Outline: o, From: from, To: p.c.Bounds.Max.Z + 1}
		b.Ends[1] = p.top
		return b
	}
	walls := [4]bool{front, right, back, left} // counter-clockwise
	for _, o := range wallChains(cell, walls, printWall) {
		b := bar(o, 0)
		b.Holes = p.exit(o)
		body.Pieces = append(body.Pieces, b)
	}
	in := cell
	lap := func(has bool) float64 { return map[bool]float64{true: printWall - printLap}[has] }
	in.Min, in.Max = in.Min.Add(v(lap(left), lap(front))), in.Max.Sub(v(lap(right), lap(back)))
	if front && right && back && left { // the strip that closes the ring stands on the plate
		in.Min.Y = cell.Min.Y
		in.Min.X, in.Max.X = cell.Min.X+printWall-printLap, cell.Max.X-printWall+printLap
	}
	body.Pieces = append(body.Pieces, solid.Plate(geom.Pose{X: geom.Vec3{X: 1}, Y: geom.Vec3{Y: 1}, Z: geom.Vec3{Z: 1}, At: geom.Vec3{Z: printWall}}, clipRect(in), printWall))
	if front && right && back && left {
		strip := geom.Box2{Min: v(in.Min.X, cell.Min.Y), Max: v(in.Max.X, cell.Min.Y+printWall)}
		body.Pieces = append(body.Pieces, bar(clipRect(strip), printWall))
	}
	body.Pieces = append(body.Pieces, p.posts(cell)...)
	if _, err := solid.Build([]solid.Body{body}); err == nil {
		p.parts = append(p.parts, body)
	}
}

// wallChains gives the outlines of the walls of a cell: neighbouring walls in one; a whole ring without its front, which is added by
// itself.
func wallChains(cell geom.Box2, has [4]bool, t float64) (out []geom.Outline) {
	if has == [4]bool{true, true, true, true} {
		has[0] = false
		c := cell // the walls beside the front reach to its outside
		return []geom.Outline{chain(c, has, 1, 3, t)}
	}
	for s := range 4 {
		if !has[s] || has[(s+3)%4] {
			continue
		}
		n := 1
		for has[(s+n)%4] && n < 4 {
			n++
		}
		out = append(out, chain(cell, has, s, n, t))
	}
	return out
}

// chain is the outline of n walls from side s on, counter-clockwise from the front.
func chain(cell geom.Box2, has [4]bool, s, n int, t float64) geom.Outline {
	in := cell
	inset := func(k int) float64 { return map[bool]float64{true: t}[has[k]] }
	in.Min, in.Max = in.Min.Add(v(inset(3), inset(0))), in.Max.Sub(v(inset(1), inset(2)))
	corner := func(b geom.Box2, k int) geom.Vec2 {
		return [4]geom.Vec2{b.Min, v(b.Max.X, b.Min.Y), b.Max, v(b.Min.X, b.Max.Y)}[k%4]
	}
	var pts []geom.Vec2
	for k := range n + 1 {
		pts = append(pts, corner(cell, s+k))
	}
	for k := n; k >= 0; k-- {
		pts = append(pts, corner(in, s+k))
	}
	return geom.Polygon(pts...)
}

// exit is the hole of the lead in the back, when it lies in this outline of walls.
func (p *printer) exit(o geom.Outline) []solid.Hole {
	x := p.r.Box.Exit
	if x == nil || x.Notch || x.Board != "back" {
		return nil
	}
	b := p.c.Board("back")
	at := b.Frame.ToWorld(x.At.At(0))
	if b0 := o.Bounds(); at.X-x.Round/2 < b0.Min.X+1 || at.X+x.Round/2 > b0.Max.X-1 || b0.Max.Y < p.d-1e-6 {
		return nil
	}
	return []solid.Hole{solid.Drill(at, geom.Vec3{Y: -1}, x.Round, 0)}
}

// posts are upright posts under the screws of the face, each with a hole for a heat-set insert square to the face. One that has no room beside
// the wall, or meets a control, is left out.
func (p *printer) posts(cell geom.Box2) []solid.Piece {
	f := p.c.Faces[0]
	dir := f.Frame.N.Mul(-1)
	var out []solid.Piece
	for _, x := range p.r.Panel.Fixings {
		ins, ok := box.HeatSetFor(x.Screw)
		if !ok {
			continue
		}
		mouth := f.Frame.ToWorld(x.At.Vec2.At(-f.Thickness))
		deep := ins.Length + 1
		mid := mouth.Add(dir.Mul(deep / 2))
		lean := math.Hypot(dir.X, dir.Y) * deep
		d := ins.Hole + 2*max(printPost, ins.Wall) + lean
		if !contains(cell, mid.XY()) {
			continue
		}
		own := geom.Box2{Min: mid.XY(), Max: mid.XY()}.Grow(ins.Hole/2 + lean/2 + 0.5)
		if !inside(own, cell) || !inside(own, geom.Box2{Min: v(printWall, printWall), Max: v(p.w-printWall, p.d-printWall)}) {
			p.skipped = append(p.skipped, x.Origin.Name)
			continue
		}
		post := solid.Prism{Pose: geom.NoPose(), Outline: geom.Circle(mid.XY(), d), From: printWall, To: p.c.Bounds.Max.Z + 1}
		post.Ends[1] = p.top
		// The post's own outline is held to the cell: a seam may pass beside it.
		if !inside(geom.Box2{Min: mid.XY(), Max: mid.XY()}.Grow(d/2), cell.Grow(1e-9)) {
			s := 2 * min(mid.X-cell.Min.X, cell.Max.X-mid.X, mid.Y-cell.Min.Y, cell.Max.Y-mid.Y)
			if s < ins.Hole+lean+2 {
				p.skipped = append(p.skipped, x.Origin.Name)
				continue
			}
			post.Outline = geom.Circle(mid.XY(), s-0.05)
		}
		if p.meets(mid.XY(), d) {
			p.skipped = append(p.skipped, x.Origin.Name)
			continue
		}
		post.Holes = []solid.Hole{solid.Drill(mouth, dir, ins.Hole, deep)}
		if b, ok := sound(solid.Body{Name: "post", Pieces: []solid.Piece{post}}); ok {
			out = append(out, b.Pieces...)
		}
	}
	return out
}

// meets reports whether a post stands in a body behind the face.
func (p *printer) meets(at geom.Vec2, d float64) bool {
	bar := geom.NewCylinder(at.At(printWall+0.1), geom.Vec3{Z: 1}, d/2, p.c.Bounds.Max.Z)
	for _, b := range box.FromPanel(p.r.Panel).Bodies {
		if b.Inside && geom.Gap(bar, b.Solid).Gap < 0 {
			return true
		}
	}
	return false
}

// printPapers adds the printable box.
func printPapers(r *job.Result, d desk, add func(name, about string, data []byte, err error)) {
	p, ok := printParts(r)
	if !ok {
		return
	}
	m, err := solid.Build(p.parts)
	if err != nil {
		add("print.3mf", "the box for a printer", nil, err)
		return
	}
	about := "the box for a printer, walls of " + d.size(printWall)
	if len(p.parts) > 1 {
		about += fmt.Sprintf(", in %d parts to be cemented with a strap behind each seam", len(p.parts))
	}
	if len(p.skipped) > 0 {
		about += fmt.Sprintf("; no room for %s", count(len(p.skipped), "post", "posts"))
	}
	data, err := m.ThreeMF(joinTitle(d), 0)
	add("print.3mf", about, data, err)
	for i, b := range p.parts {
		one, err := solid.Build([]solid.Body{b})
		if err != nil {
			add("print.stl", about, nil, err)
			return
		}
		name := "print.stl"
		if len(p.parts) > 1 {
			name = fmt.Sprintf("print-%d.stl", i+1)
		}
		data, err := one.STL(b.Name, 0)
		add(name, b.Name, data, err)
	}
}
