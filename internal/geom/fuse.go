package geom

import (
	"errors"
	"math"
)

// Layer is one step in the making of a solid out of convex ones: the room of Hull is filled, or emptied when Cut.
type Layer struct {
	Hull *Hull
	Cut  bool
}

// Solid is a solid with flat faces, of any shape: it may have corners that point inwards, holes and hollows.
type Solid struct {
	Points []Vec3
	Faces  []SolidFace
	shells int
}

// SolidFace is a flat face. The first loop runs round it counter-clockwise as seen from outside, the others clockwise round its holes.
type SolidFace struct {
	Plane HalfSpace // N of unit length, out of the solid
	Loops [][]int   // numbers of Points
}

// What can keep layers from being a solid.
var (
	ErrNothing = errors.New("nothing is left of the solid")
	ErrTouch   = errors.New("the solid touches itself along an edge only")
	ErrUnclear = errors.New("the sides of the solid do not close: something is thinner than a thousandth of a millimetre")
)

// same is how near points, lines and planes are taken for one, mm.
const same = 1e-6

// Fuse gives the solid that layers make, one after the other: a later one fills or empties what earlier ones left. Faces that lie in one
// plane and touch become one; what lies between parts that touch is gone. The error is one of ErrNothing, ErrTouch and ErrUnclear.
//
// Every plane of a face is looked at by itself: the solid just below it and just above it are sets of convex areas; where
// there is solid below and none above, the solid has a face.
func Fuse(layers []Layer) (*Solid, error) {
	var hulls []Layer
	box := EmptyBox3()
	for _, l := range layers {
		if l.Hull != nil && len(l.Hull.Faces) >= 4 {
			hulls = append(hulls, l)
			box = box.Union(l.Hull.Bounds())
		}
	}
	if len(hulls) == 0 {
		return nil, ErrNothing
	}
	f := &fusing{layers: hulls, pts: points{grid: map[[3]int64][]int{}}}
	for _, p := range f.planes() {
		f.look(p)
	}
	return f.close()
}

// Volume gives the volume in cubic millimetres: the sum of the cones from one point to all faces.
func (s *Solid) Volume() float64 {
	var v float64
	if len(s.Points) == 0 {
		return 0
	}
	o := s.Bounds().Centre()
	for i := range s.Faces {
		f := &s.Faces[i]
		for _, l := range f.Loops {
			a := s.Points[l[0]].Sub(o)
			for k := 2; k < len(l); k++ {
				v += a.Dot(s.Points[l[k-1]].Sub(o).Cross(s.Points[l[k]].Sub(o))) / 6
			}
		}
	}
	return v
}

// Bounds gives the block round the solid.
func (s *Solid) Bounds() Box3 {
	b := EmptyBox3()
	for _, p := range s.Points {
		b = b.Extend(p)
	}
	return b
}

// Shells gives the number of closed surfaces that do not touch each other: 1 for a solid in one piece without a closed hollow.
func (s *Solid) Shells() int { return s.shells }

// points are corners, each known once.
type points struct {
	at   []Vec3
	grid map[[3]int64][]int
}

// id gives the number of a point, that of an earlier one when it is the same.
func (p *points) id(v Vec3) int {
	const cell = 64 * same
	var lo, hi [3]int64
	for k, x := range [3]float64{v.X, v.Y, v.Z} {
		lo[k], hi[k] = int64(math.Floor((x-same)/cell)), int64(math.Floor((x+same)/cell))
	}
	for x := lo[0]; x <= hi[0]; x++ {
		for y := lo[1]; y <= hi[1]; y++ {
			for z := lo[2]; z <= hi[2]; z++ {
				for _, i := range p.grid[[3]int64{x, y, z}] {
					if p.at[i].Sub(v).Len() <= same {
						return i
					}
				}
			}
		}
	}
	var c [3]int64
	for k, x := range [3]float64{v.X, v.Y, v.Z} {
		c[k] = int64(math.Floor(x / cell))
	}
	p.at = append(p.at, v)
	p.grid[c] = append(p.grid[c], len(p.at)-1)
	return len(p.at) - 1
}

// fusing is a solid being made.
type fusing struct {
	layers []Layer
	pts    points
	sides  []sided // of planes that have faces
}

// sided are the edges of the faces that lie in one plane and look one way; they run with the face on their left, as seen from outside.
type sided struct {
	plane HalfSpace
	edges [][2]int
}

// planes gives the planes of all faces, each once, whichever way it looks.
func (f *fusing) planes() (out []HalfSpace) {
	for _, l := range f.layers {
	faces:
		for i := range l.Hull.Faces {
			h := l.Hull.Plane(i)
			for _, p := range out {
				if c := p.N.Dot(h.N); c < 1-1e-9 && c > -1+1e-9 {
					continue
				}
				off := 0.0
				for _, k := range l.Hull.Faces[i] {
					off = max(off, math.Abs(l.Hull.Points[k].Dot(p.N)-p.D))
				}
				if off <= same {
					continue faces
				}
			}
			out = append(out, h)
		}
	}
	return out
}

// close joins the faces of all planes to a closed surface.
func (f *fusing) close() (*Solid, error) {
	if len(f.sides) == 0 {
		return nil, ErrNothing
	}
	if err := f.match(); err != nil {
		return nil, err
	}
	ends := f.ends()
	s := &Solid{Points: f.pts.at}
	for i := range f.sides {
		faces, err := f.faces(&f.sides[i])
		if err != nil {
			return nil, err
		}
		for _, g := range faces {
			for k, l := range g.Loops {
				g.Loops[k] = f.bare(l, ends)
				if len(g.Loops[k]) < 3 {
					return nil, ErrUnclear
				}
			}
			s.Faces = append(s.Faces, g)
		}
	}
	s.tidy()
	if s.leans() {
		return nil, ErrTouch
	}
	return s, nil
}

// leans reports whether an edge lies in the middle of a face that it does not bound.
func (s *Solid) leans() bool {
	of := map[[2]int][2]int{} // the two faces of an edge
	var edges [][2]int
	for i := range s.Faces {
		for _, l := range s.Faces[i].Loops {
			for k, v := range l {
				w := l[(k+1)%len(l)]
				e := [2]int{min(v, w), max(v, w)}
				if two, ok := of[e]; ok {
					of[e] = [2]int{two[0], i}
				} else {
					of[e] = [2]int{i, -1}
					edges = append(edges, e)
				}
			}
		}
	}
	faces := make([][2]int, len(edges))
	for k, e := range edges {
		faces[k] = of[e]
	}
	for i := range s.Faces {
		p := s.Faces[i].Plane
		for k, e := range edges {
			a, b := s.Points[e[0]], s.Points[e[1]]
			if math.Abs(a.Dot(p.N)-p.D) <= same && math.Abs(b.Dot(p.N)-p.D) <= same && faces[k][0] != i && faces[k][1] != i && s.inside(i, a.Add(b).Mul(0.5)) {
				return true
			}
		}
	}
	return false
}

// inside reports whether a point of the plane of face i lies on the face, off its rims.
func (s *Solid) inside(i int, v Vec3) bool {
	f := &s.Faces[i]
	fr := frameOf(f.Plane)
	p := fr.flat(v)
	in := false
	for _, l := range f.Loops {
		for k, j := range l {
			a, b := fr.flat(s.Points[j]).Sub(p), fr.flat(s.Points[l[(k+1)%len(l)]]).Sub(p)
			d := b.Sub(a)
			if t := min(1, max(0, -a.Dot(d)/d.Dot(d))); a.Add(d.Mul(t)).Len() <= 2*same {
				return false
			}
			if (a.Y > 0) != (b.Y > 0) && a.X-a.Y/(b.Y-a.Y)*(b.X-a.X) > 0 {
				in = !in
			}
		}
	}
	return in
}

// tidy leaves out points that no face uses, and counts shells.
func (s *Solid) tidy() {
	id := make([]int, len(s.Points))
	var pts []Vec3
	for i := range s.Faces {
		for _, l := range s.Faces[i].Loops {
			for k, v := range l {
				if id[v] == 0 {
					pts = append(pts, s.Points[v])
					id[v] = len(pts)
				}
				l[k] = id[v] - 1
			}
		}
	}
	s.Points = pts
	for i, up := range s.forest() {
		if i == up {
			s.shells++
		}
	}
}

// Area gives the area of face i in square millimetres, without its holes.
func (s *Solid) Area(i int) (a float64) {
	f := &s.Faces[i]
	for _, l := range f.Loops {
		o := s.Points[l[0]]
		for k := range l {
			a += s.Points[l[k]].Sub(o).Cross(s.Points[l[(k+1)%len(l)]].Sub(o)).Dot(f.Plane.N) / 2
		}
	}
	return a
}

// Parts gives the pieces of a solid that do not hang together, each by itself; a closed hollow is a piece with a volume below zero.
func (s *Solid) Parts() []*Solid {
	if s.shells == 1 {
		return []*Solid{s}
	}
	up := s.forest()
	var out []*Solid
	at := map[int]int{}
	for i := range s.Faces {
		r := root(up, s.Faces[i].Loops[0][0])
		k, ok := at[r]
		if !ok {
			k = len(out)
			at[r] = k
			out = append(out, &Solid{Points: s.Points})
		}
		f := SolidFace{Plane: s.Faces[i].Plane}
		for _, l := range s.Faces[i].Loops {
			f.Loops = append(f.Loops, append([]int(nil), l...))
		}
		out[k].Faces = append(out[k].Faces, f)
	}
	for _, p := range out {
		p.tidy()
	}
	return out
}

// Posed gives the solid moved.
func (s *Solid) Posed(by Pose) *Solid {
	out := &Solid{shells: s.shells}
	for _, p := range s.Points {
		out.Points = append(out.Points, by.Apply(p))
	}
	for _, f := range s.Faces {
		n := by.Turn(f.Plane.N)
		out.Faces = append(out.Faces, SolidFace{Plane: HalfSpace{n, f.Plane.D + n.Dot(by.At)}, Loops: f.Loops})
	}
	return out
}

// Touches reports whether a point lies on face i, to within a millionth of a millimetre off its plane.
func (s *Solid) Touches(i int, v Vec3) bool {
	f := &s.Faces[i]
	if math.Abs(v.Dot(f.Plane.N)-f.Plane.D) > same {
		return false
	}
	fr := frameOf(f.Plane)
	p := fr.flat(v)
	in := false
	for _, l := range f.Loops {
		for k, i := range l {
			a, b := fr.flat(s.Points[i]).Sub(p), fr.flat(s.Points[l[(k+1)%len(l)]]).Sub(p)
			if (a.Y > 0) != (b.Y > 0) && a.X-a.Y/(b.Y-a.Y)*(b.X-a.X) > 0 {
				in = !in
			}
		}
	}
	return in
}

// forest joins points that hang together by faces.
func (s *Solid) forest() []int {
	up := make([]int, len(s.Points))
	for i := range up {
		up[i] = i
	}
	for i := range s.Faces {
		first := s.Faces[i].Loops[0][0]
		for _, l := range s.Faces[i].Loops {
			for _, v := range l {
				up[root(up, v)] = root(up, first)
			}
		}
	}
	return up
}

func root(up []int, i int) int {
	for up[i] != i {
		up[i] = up[up[i]]
		i = up[i]
	}
	return i
}
