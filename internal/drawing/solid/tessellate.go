package solid

import (
	"math"

	"knobwright/internal/geom"
)

// tessellation is the surface of a piece in triangles, and how they belong to its faces and edges.
type tessellation struct {
	mesh   Mesh
	of     []int   // the face of each triangle
	points [][]int // of each edge, from its first corner to its last
}

// mesh divides the surface into triangles whose chords keep within tol of its arcs; of tells the face of each triangle.
func (b *brep) mesh(tol float64) (m *Mesh, of []int, err error) {
	t, err := b.tessellate(tol)
	if err != nil {
		return nil, nil, err
	}
	return &t.mesh, t.of, nil
}

func (b *brep) tessellate(tol float64) (*tessellation, error) {
	if !(tol > 0) {
		tol = DefaultTolerance
	}
	tol = min(tol, max(b.web/5, fine))
	t := &tessellation{points: make([][]int, len(b.edges))}
	m := &t.mesh
	m.Vertices = append([]geom.Vec3(nil), b.verts...)
	for i := range b.edges {
		e := &b.edges[i]
		ps := []int{e.v[0]}
		if e.sweep > 0 {
			n := steps(e.r, e.sweep, tol)
			for k := 1; k < n; k++ {
				ps = append(ps, len(m.Vertices))
				m.Vertices = append(m.Vertices, e.at(e.sweep*float64(k)/float64(n)))
			}
		}
		t.points[i] = append(ps, e.v[1])
	}
	for i := range b.faces {
		var err error
		if f := &b.faces[i]; f.strip() {
			p, q := t.strip(f)
			for k := range len(p) - 1 {
				m.Triangles = append(m.Triangles, [3]int{p[k], p[k+1], q[k+1]}, [3]int{p[k], q[k+1], q[k]})
			}
		} else {
			err = t.flat(f)
		}
		if err != nil {
			return nil, err
		}
		for len(t.of) < len(m.Triangles) {
			t.of = append(t.of, i)
		}
	}
	m.Shells = []int{len(m.Triangles)}
	for _, p := range m.Vertices {
		if math.IsNaN(p.X + p.Y + p.Z) {
			return nil, ErrNumber
		}
	}
	return t, nil
}

// along gives the points of a side from its start to its end.
func (t *tessellation) along(u use) []int {
	ps := t.points[u.e]
	if !u.rev {
		return ps
	}
	back := make([]int, len(ps))
	for i, p := range ps {
		back[len(ps)-1-i] = p
	}
	return back
}

// strip gives the points along the first side of a wall, and those opposite.
func (t *tessellation) strip(f *face) (p, q []int) {
	l := f.loops[0]
	return t.along(l[0]), t.along(use{l[2].e, !l[2].rev})
}

// flat divides a flat face.
func (t *tessellation) flat(f *face) error {
	y := f.n.Cross(f.x)
	var ids, ends []int
	var ps []geom.Vec2
	for _, l := range f.loops {
		for _, u := range l {
			for _, v := range t.along(u)[1:] {
				d := t.mesh.Vertices[v].Sub(f.o)
				ids, ps = append(ids, v), append(ps, geom.Vec2{X: d.Dot(f.x), Y: d.Dot(y)})
			}
		}
		ends = append(ends, len(ps))
	}
	ts, err := triangulate(ps, ends)
	for _, tri := range ts {
		t.mesh.Triangles = append(t.mesh.Triangles, [3]int{ids[tri[0]], ids[tri[1]], ids[tri[2]]})
	}
	return err
}
