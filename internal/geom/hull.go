package geom

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// ErrFlat says that points do not span a solid.
var ErrFlat = errors.New("the points do not span a solid: they lie in one plane, or there are fewer than four")

// ErrNumber says that a point has a coordinate that is no number, or endless.
var ErrNumber = errors.New("a point has a coordinate that is not a number")

// Hull is a convex solid with flat faces. Points are its corners; each face lists its corners, counter-clockwise as seen
// from outside. A Hull must not be changed once made.
type Hull struct {
	Points []Vec3
	Faces  [][]int
	planes []HalfSpace // of each face; kept through cuts, so that a face cut down to a speck still has its direction
	box    Box3
	centre Vec3
}

// NewHull gives the convex hull of the points as a solid (a *Hull). The error is ErrFlat or ErrNumber.
func NewHull(pts []Vec3) (Convex, error) {
	h, err := HullOf(pts)
	if err != nil {
		return nil, err
	}
	return h, nil
}

// HullOf is NewHull for those who want the faces. Points closer together than a thousand-millionth of the whole count as
// one, and faces that bend less than that are one face.
func HullOf(pts []Vec3) (*Hull, error) {
	b := EmptyBox3()
	for _, p := range pts {
		if math.IsNaN(p.X+p.Y+p.Z) || math.IsInf(p.X+p.Y+p.Z, 0) {
			return nil, ErrNumber
		}
		b = b.Extend(p)
	}
	if len(pts) < 4 {
		return nil, ErrFlat
	}
	w := wrapping{pts: pts, tol: 1e-9 * b.Max.Sub(b.Min).Len(), mid: b.Centre()}
	if !w.start() {
		return nil, ErrFlat
	}
	for i := range pts {
		w.add(i)
	}
	h, err := newHull(pts, w.merge())
	if err != nil {
		return nil, err
	}
	for i := range h.Faces {
		h.planes = append(h.planes, h.facePlane(i))
	}
	return h, nil
}

// BoxHull gives the upright block b as a Hull; the error is ErrFlat when a side has no length.
func BoxHull(b Box3) (*Hull, error) {
	pts := make([]Vec3, 0, 8)
	for i := range 8 {
		p := b.Min
		if i&1 != 0 {
			p.X = b.Max.X
		}
		if i&2 != 0 {
			p.Y = b.Max.Y
		}
		if i&4 != 0 {
			p.Z = b.Max.Z
		}
		pts = append(pts, p)
	}
	return HullOf(pts)
}

// newHull keeps only the points that faces use, and numbers them anew in order of first use.
func newHull(pts []Vec3, faces [][]int) (*Hull, error) {
	if len(faces) < 4 {
		return nil, ErrFlat
	}
	h := &Hull{box: EmptyBox3()}
	id := make([]int, len(pts))
	for _, f := range faces {
		g := make([]int, len(f))
		for k, i := range f {
			if id[i] == 0 {
				h.Points = append(h.Points, pts[i])
				h.box = h.box.Extend(pts[i])
				h.centre = h.centre.Add(pts[i])
				id[i] = len(h.Points)
			}
			g[k] = id[i] - 1
		}
		h.Faces = append(h.Faces, g)
	}
	h.centre = h.centre.Mul(1 / float64(len(h.Points)))
	return h, nil
}

// Support gives the farthest corner in direction d.
func (h *Hull) Support(d Vec3) Vec3 {
	best, far := h.Points[0], math.Inf(-1)
	for _, p := range h.Points {
		if s := p.Dot(d); s > far {
			best, far = p, s
		}
	}
	return best
}

// Centre gives the mean of the corners.
func (h *Hull) Centre() Vec3 { return h.centre }

// Bounds gives the block round the solid.
func (h *Hull) Bounds() Box3 { return h.box }

// Volume gives the volume in cubic millimetres: the sum of the pyramids from the centre to each face.
func (h *Hull) Volume() float64 {
	var v float64
	for _, f := range h.Faces {
		a := h.Points[f[0]].Sub(h.centre)
		for k := 2; k < len(f); k++ {
			v += a.Dot(h.Points[f[k-1]].Sub(h.centre).Cross(h.Points[f[k]].Sub(h.centre))) / 6
		}
	}
	return v
}

// Plane gives the half-space that face i bounds, N of unit length outwards.
func (h *Hull) Plane(i int) HalfSpace { return h.planes[i] }

func (h *Hull) facePlane(i int) HalfSpace {
	f := h.Faces[i]
	var n, m Vec3
	for k, p := range f { // Newell's sum is steady also for slim faces
		a, b := h.Points[p].Sub(h.centre), h.Points[f[(k+1)%len(f)]].Sub(h.centre)
		n = n.Add(a.Cross(b))
		m = m.Add(a)
	}
	n = n.Unit()
	return HalfSpace{n, m.Mul(1/float64(len(f))).Dot(n) + h.centre.Dot(n)}
}

// FaceArea gives the area of face i in square millimetres.
func (h *Hull) FaceArea(i int) float64 {
	f := h.Faces[i]
	var n Vec3
	a := h.Points[f[0]]
	for k := 2; k < len(f); k++ {
		n = n.Add(h.Points[f[k-1]].Sub(a).Cross(h.Points[f[k]].Sub(a)))
	}
	return n.Len() / 2
}

// wrapping grows a hull of triangles point by point.
type wrapping struct {
	pts  []Vec3
	tol  float64
	mid  Vec3
	tris []tri
}

type tri struct {
	v [3]int
	n Vec3
	d float64
}

func (w *wrapping) tri(i, j, k int) tri {
	a, b, c := w.pts[i].Sub(w.mid), w.pts[j].Sub(w.mid), w.pts[k].Sub(w.mid)
	n := b.Sub(a).Cross(c.Sub(a)).Unit()
	return tri{[3]int{i, j, k}, n, (a.Dot(n) + b.Dot(n) + c.Dot(n)) / 3}
}

func (w *wrapping) over(t *tri, i int) float64 { return w.pts[i].Sub(w.mid).Dot(t.n) - t.d }

// start takes four points far from each other.
func (w *wrapping) start() bool {
	most := func(f func(p Vec3) float64) (best int, far float64) {
		for i, p := range w.pts {
			if d := f(p); d > far {
				best, far = i, d
			}
		}
		return
	}
	a, _ := most(func(p Vec3) float64 { return p.Sub(w.mid).Len() })
	b, ab := most(func(p Vec3) float64 { return p.Sub(w.pts[a]).Len() })
	if !(ab > w.tol) {
		return false
	}
	u := w.pts[b].Sub(w.pts[a]).Unit()
	c, wide := most(func(p Vec3) float64 { return p.Sub(w.pts[a]).Cross(u).Len() })
	if !(wide > w.tol) {
		return false
	}
	t := w.tri(a, b, c)
	d, high := most(func(p Vec3) float64 { return math.Abs(p.Sub(w.pts[a]).Dot(t.n)) })
	if !(high > w.tol) {
		return false
	}
	if w.over(&t, d) > 0 {
		b, c = c, b
	}
	w.tris = []tri{w.tri(a, b, c), w.tri(a, d, b), w.tri(b, d, c), w.tri(c, d, a)}
	return true
}

func (w *wrapping) add(i int) {
	type side struct{ i, j int }
	var rim []side
	keep := make([]tri, 0, len(w.tris)+4)
	for k := range w.tris {
		t := &w.tris[k]
		if w.over(t, i) <= w.tol {
			keep = append(keep, *t)
			continue
		}
		for k := range 3 {
			e := side{t.v[k], t.v[(k+1)%3]}
			if r := slices.Index(rim, side{e.j, e.i}); r >= 0 {
				rim = slices.Delete(rim, r, r+1)
			} else {
				rim = append(rim, e)
			}
		}
	}
	if len(rim) < 3 {
		return
	}
	for _, e := range rim {
		keep = append(keep, w.tri(e.i, e.j, i))
	}
	w.tris = keep
}

// merge joins triangles of one plane into faces and drops corners in the middle of straight edges.
func (w *wrapping) merge() [][]int {
	type side struct{ i, j int }
	owner := map[side]int{}
	for k, t := range w.tris {
		for e := range 3 {
			owner[side{t.v[e], t.v[(e+1)%3]}] = k
		}
	}
	area := func(k int) float64 {
		t := w.tris[k].v
		return w.pts[t[1]].Sub(w.pts[t[0]]).Cross(w.pts[t[2]].Sub(w.pts[t[0]])).Len()
	}
	seeds := make([]int, len(w.tris))
	for k := range seeds {
		seeds[k] = k
	}
	slices.SortStableFunc(seeds, func(i, j int) int { return cmp.Compare(area(j), area(i)) })
	group := make([]int, len(w.tris))
	var loops [][]int
	for _, s := range seeds {
		if group[s] != 0 {
			continue
		}
		id := len(loops) + 1
		group[s] = id
		plane := w.tris[s]
		queue := []int{s}
		next := map[int]int{} // rim: from corner to corner
		for len(queue) > 0 {
			k := queue[0]
			queue = queue[1:]
			t := w.tris[k]
			for e := range 3 {
				a, b := t.v[e], t.v[(e+1)%3]
				o, ok := owner[side{b, a}]
				if ok && group[o] == id {
					continue
				}
				if ok && group[o] == 0 && w.flush(&plane, o) {
					group[o] = id
					queue = append(queue, o)
				}
			}
		}
		first := -1
		for k, t := range w.tris {
			if group[k] != id {
				continue
			}
			for e := range 3 {
				a, b := t.v[e], t.v[(e+1)%3]
				if o, ok := owner[side{b, a}]; !ok || group[o] != id {
					next[a] = b
					first = a
				}
			}
		}
		var loop []int
		for i := first; ; {
			loop = append(loop, i)
			j, ok := next[i]
			if !ok || j == first || len(loop) > len(next) {
				break
			}
			i = j
		}
		loops = append(loops, loop)
	}
	return dropStraight(loops)
}

// flush reports whether triangle k lies in the plane of t.
func (w *wrapping) flush(t *tri, k int) bool {
	o := &w.tris[k]
	if o.n.Dot(t.n) < 0 {
		return false
	}
	for _, v := range o.v {
		if math.Abs(w.over(t, v)) > 4*w.tol {
			return false
		}
	}
	return true
}

// dropStraight leaves out corners where only two faces meet: they lie in the middle of an edge.
func dropStraight(loops [][]int) [][]int {
	uses := map[int]int{}
	for _, l := range loops {
		for _, i := range l {
			uses[i]++
		}
	}
	var out [][]int
	for _, l := range loops {
		l = slices.DeleteFunc(l, func(i int) bool { return uses[i] < 3 })
		if len(l) >= 3 {
			out = append(out, l)
		}
	}
	return out
}
