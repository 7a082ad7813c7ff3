package packet

import (
	"errors"
	"fmt"
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/job"
)

// Printed boxes, mm. Common practice for printers that melt plastic.
const (
	printWall = 3.0 // walls, base, hand rest, top
	printEdge = 2.0 // left free round a part on the bed
	printTop  = 0.5 // left free above it
	mostParts = 48
)

// printer is the printable box: a shell with posts for the screws of its faces, cut into parts that the bed takes.
type printer struct {
	r     *job.Result
	c     *carcass.Carcass
	shell carcass.Shell
	rim   carcass.Shell // what the flanges of seams leave open
	mid   carcass.Shell // along the middle of the flanges
	up    int           // the axis of the box frame that points up on the bed, 0 to 2
	bed   [3]float64    // of the axes of the box frame: what a part may measure
	ends  [3][]float64  // of the axes: where parts begin and end
	heads []head
	posts []post
	bolts []bolt
	parts []printPart
	// skipped are posts that found no room, by the names of their screws.
	skipped []string
}

// printPart is one part as it is printed: lying on the bed, in the corner of the coordinates.
type printPart struct {
	name string
	n    int         // of its cell
	cell geom.Box3   // in the box frame
	of   *geom.Solid // on the bed, without its round holes
	body solid.Body
	bed  geom.Pose // from the box frame to the bed
	hang float64   // mm² of surface that hangs over nothing, flatter than 45 degrees
}

// printParts gives the parts of the printable box; none without a bed in the file.
func printParts(r *job.Result) (*printer, error) {
	c := r.Panel.Carcass
	if c == nil || r.Panel.Box == nil || r.Panel.Box.Written.Bed == nil {
		return nil, nil
	}
	p := &printer{r: r, c: c}
	for _, s := range [...]struct {
		to   *carcass.Shell
		wall float64
	}{{&p.shell, printWall}, {&p.rim, printWall + seamHigh}, {&p.mid, printWall + seamHigh/2}} {
		*s.to, _ = c.Shell(s.wall)
	}
	if len(p.shell.Outer) == 0 || len(p.shell.Inner) == 0 {
		return nil, errors.New("no room is left inside walls of 3 mm")
	}
	p.up = 2
	if math.Abs(p.shell.Up.Y) > 0.5 {
		p.up = 1
	}
	bed := r.Panel.Box.Written.Bed
	if min(bed[0].MM(), bed[1].MM(), bed[2].MM()) < 60 {
		return nil, errors.New("the bed is smaller than 60 mm")
	}
	if err := p.plan([3]float64{bed[0].MM(), bed[1].MM(), bed[2].MM()}); err != nil {
		return nil, err
	}
	p.findHeads()
	for a := range 3 {
		p.divide(a)
	}
	for _, x := range p.heads {
		p.post(x)
	}
	p.makeBolts()
	return p, p.build()
}

// cutBy gives what is left of a solid, which may be nothing already, within half-spaces; nil when nothing is.
func cutBy(h *geom.Hull, hs ...geom.HalfSpace) *geom.Hull {
	for _, s := range hs {
		if h == nil {
			return nil
		}
		var ok bool
		if h, ok = geom.CutHull(h, s); !ok {
			return nil
		}
	}
	return h
}

// commonHull gives the room that two solids share; nil when they share none.
func commonHull(a, b *geom.Hull) *geom.Hull {
	if a == nil || b == nil || !a.Bounds().Overlaps(b.Bounds()) {
		return nil
	}
	for i := range b.Faces {
		if a = cutBy(a, b.Plane(i)); a == nil {
			return nil
		}
	}
	return a
}

// along gives the coordinate along axis a of the box frame, 0 to 2.
func along(v geom.Vec3, a int) float64 { return [3]float64{v.X, v.Y, v.Z}[a] }

// axis gives the direction of axis a.
func axis(a int) geom.Vec3 { return [3]geom.Vec3{{X: 1}, {Y: 1}, {Z: 1}}[a] }

// seams gives the inner sides of a cell, at which it meets another: below and above on each axis.
func (p *printer) seams(cell geom.Box3) (out []seam) {
	for a := range 3 {
		n := len(p.ends[a])
		if lo := along(cell.Min, a); lo > p.ends[a][0] {
			out = append(out, seam{a, lo, false})
		}
		if hi := along(cell.Max, a); hi < p.ends[a][n-1] {
			out = append(out, seam{a, hi, true})
		}
	}
	return out
}

// seam is a side of a cell across an axis; above tells that it bounds the cell at its greater end.
type seam struct {
	axis  int
	at    float64
	above bool
}

// within bounds what lies on the cell's side of a plane, in by so much.
func (s seam) within(in float64) geom.HalfSpace {
	if s.above {
		return geom.HalfSpace{N: axis(s.axis), D: s.at - in}
	}
	return geom.HalfSpace{N: axis(s.axis).Mul(-1), D: -s.at - in}
}

// layers are what a part is made of, in the box frame.
func (p *printer) layers(cell geom.Box3) (out []geom.Layer) {
	sides := p.seams(cell)
	add := func(cut bool, h *geom.Hull, hs ...geom.HalfSpace) {
		if !cut {
			for _, s := range sides {
				h = cutBy(h, s.within(0))
			}
		}
		if h = cutBy(h, hs...); h != nil {
			out = append(out, geom.Layer{Hull: h, Cut: cut})
		}
	}
	each := func(cut bool, in []*geom.Hull, hs ...geom.HalfSpace) {
		for _, h := range in {
			add(cut, h, hs...)
		}
	}
	each(false, p.shell.Outer)
	each(true, p.shell.Inner)
	for _, s := range sides {
		slab := s.within(seamThick)
		slab = geom.HalfSpace{N: slab.N.Mul(-1), D: -slab.D}
		each(false, p.shell.Outer, slab)
		each(true, p.rim.Inner, slab)
	}
	each(false, p.shell.Ledges)
	for _, x := range p.posts {
		each(false, x.hulls)
	}
	each(true, p.shell.Pockets)
	if x := p.r.Box.Exit; x != nil {
		if b := p.c.Board(x.Board); b != nil {
			each(true, []*geom.Hull{notchOf(x, b)})
		}
	}
	return out
}

// holes are the round and other openings of a part, in the box frame, and the numbers of the bolts and posts that they belong to, -1 for
// none.
func (p *printer) holes(part *printPart) (out []solid.Hole, bolts []int, posts []int) {
	add := func(h solid.Hole, bolt, post int) {
		out, bolts, posts = append(out, h), append(bolts, bolt), append(posts, post)
	}
	holds := func(v geom.Vec3) bool {
		for i := range part.of.Faces {
			if part.of.Touches(i, v) {
				return true
			}
		}
		return false
	}
	for i, x := range p.posts {
		if !x.lost && holds(x.mouth) {
			add(x.bore, -1, i)
		}
	}
	for i, b := range p.bolts {
		if b.lost {
			continue
		}
		for k, cell := range b.cells {
			if cell == part.n && holds(b.at) {
				dir := axis(b.axis)
				if k == 0 {
					dir = dir.Mul(-1)
				}
				add(solid.Drill(b.at, dir, b.d, 0), i, -1)
			}
		}
	}
	for i := range p.c.Boards {
		b := &p.c.Boards[i]
		if b.Role == carcass.RoleFace {
			continue
		}
		open := b.Cutouts
		if x := p.r.Box.Exit; x != nil && x.Board == b.Name && !x.Notch {
			open = append(append([]carcass.Cutout{}, open...), carcass.Cutout{Outline: x.Outline})
		}
		for _, o := range open {
			if b.Role.Shell() && holds(b.Frame.ToWorld(o.Outline.Bounds().Centre().At(0))) {
				add(solid.Hole{Pose: b.Frame.Pose(), Outline: o.Outline}, -1, -1)
			}
		}
	}
	return out, bolts, posts
}

// build makes the parts. A hole that cannot be drilled is left out, on both sides of a seam.
func (p *printer) build() error {
	for n, cell := range p.cells() {
		of, err := geom.Fuse(p.layers(cell))
		if errors.Is(err, geom.ErrNothing) {
			continue
		}
		if err != nil {
			return err
		}
		for _, part := range of.Parts() { // a cell without base and side walls holds strips of front and back
			p.parts = append(p.parts, printPart{n: n, cell: cell, of: part})
		}
	}
	for n := range p.parts {
		p.parts[n].name = "printed box"
		if len(p.parts) > 1 {
			p.parts[n].name = fmt.Sprintf("printed box, part %d", n+1)
		}
	}
	for lost := true; lost; {
		lost = false
		for n := range p.parts {
			more, err := p.drill(n)
			if err != nil {
				return err
			}
			lost = lost || more
		}
	}
	for _, x := range p.posts {
		if x.lost {
			p.skipped = append(p.skipped, x.name)
		}
	}
	for n := range p.parts {
		p.lay(n)
	}
	return nil
}

// drill makes the body of a part in the box frame; lost tells that it had to leave out a hole that another part has too.
func (p *printer) drill(n int) (lost bool, err error) {
	part := &p.parts[n]
	drop := map[int]bool{}
	for range 400 {
		all, bolts, posts := p.holes(part)
		var hs []solid.Hole
		var of []int
		for i, h := range all {
			if !drop[i] {
				hs, of = append(hs, h), append(of, i)
			}
		}
		part.body = solid.Body{Name: part.name, Colour: solid.Colour{R: 120, G: 130, B: 135}, Look: solid.Look{Wash: drawing.CapWash}, Pieces: []solid.Piece{solid.Fused{Of: part.of, Holes: hs}}}
		_, err := solid.Build([]solid.Body{part.body})
		var e *solid.Error
		switch {
		case err == nil:
			return lost, nil
		case !errors.As(err, &e) || e.Hole < 0:
			return lost, err
		}
		switch i := of[e.Hole]; {
		case bolts[i] >= 0:
			p.bolts[bolts[i]].lost, lost = true, true
		case posts[i] >= 0:
			p.posts[posts[i]].lost, lost = true, true
		default:
			drop[i] = true
		}
		if lost { // the list has changed
			return true, nil
		}
	}
	return lost, errors.New("too many holes do not go")
}

// lay turns a part as it lies on the bed, into the corner of the coordinates, and measures what hangs over.
func (p *printer) lay(n int) {
	part := &p.parts[n]
	turn := geom.NoPose()
	if p.up == 1 { // on its back: y leads down
		turn.Y, turn.Z = geom.Vec3{Z: -1}, geom.Vec3{Y: 1}
	}
	size := p.boundsOf(part.of, turn)
	bed := p.r.Panel.Box.Written.Bed
	if s := size.Max.Sub(size.Min); s.X > bed[0].MM()-2*printEdge+1e-6 || s.Y > bed[1].MM()-2*printEdge+1e-6 {
		turn = turn.Then(geom.TurnAbout(geom.Vec3{Z: 1}, 90))
		size = p.boundsOf(part.of, turn)
	}
	turn = turn.Shift(size.Min.Mul(-1))
	part.bed = turn
	part.hang = 0
	part.of = part.of.Posed(turn)
	for i, f := range part.of.Faces {
		if lean := f.Plane.N.Z; lean < -0.72 && !(lean < -1+1e-9 && math.Abs(f.Plane.D) < 0.01) {
			part.hang += part.of.Area(i)
		}
	}
	part.body = posed(part.body, turn)
}

func (p *printer) boundsOf(s *geom.Solid, turn geom.Pose) geom.Box3 {
	b := geom.EmptyBox3()
	for _, v := range s.Points {
		b = b.Extend(turn.Apply(v))
	}
	return b
}
