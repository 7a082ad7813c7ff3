package solid

import (
	"errors"
	"fmt"

	"knobwright/internal/geom"
)

// Mesh is a surface of triangles that share corners. Triangles list their corners counter-clockwise as seen from outside.
type Mesh struct {
	Vertices  []geom.Vec3
	Triangles [][3]int
	// Shells[i] is the number of triangles of the closed surfaces up to and with i, one for each piece.
	Shells []int
}

// Normal gives the unit normal of triangle i, outwards; zero for a triangle without area.
func (m *Mesh) Normal(i int) geom.Vec3 {
	t := m.Triangles[i]
	a := m.Vertices[t[0]]
	return m.Vertices[t[1]].Sub(a).Cross(m.Vertices[t[2]].Sub(a)).Unit()
}

// Volume gives the enclosed volume in cubic millimetres, by the divergence theorem.
func (m *Mesh) Volume() float64 {
	if len(m.Triangles) == 0 {
		return 0
	}
	o := m.Bounds().Centre()
	var v float64
	for _, t := range m.Triangles {
		a, b, c := m.Vertices[t[0]].Sub(o), m.Vertices[t[1]].Sub(o), m.Vertices[t[2]].Sub(o)
		v += a.Dot(b.Cross(c)) / 6
	}
	return v
}

// Area gives the surface in square millimetres.
func (m *Mesh) Area() float64 {
	var s float64
	for _, t := range m.Triangles {
		a := m.Vertices[t[0]]
		s += m.Vertices[t[1]].Sub(a).Cross(m.Vertices[t[2]].Sub(a)).Len() / 2
	}
	return s
}

// Bounds gives the block round the mesh.
func (m *Mesh) Bounds() geom.Box3 {
	b := geom.EmptyBox3()
	for _, p := range m.Vertices {
		b = b.Extend(p)
	}
	return b
}

// IsWatertight reports whether Check finds nothing.
func (m *Mesh) IsWatertight() bool { return m.Check() == nil }

// Check says what keeps the mesh from being the closed surface of a solid: a corner that does not exist, a triangle
// with one corner twice, or a side that has not exactly one triangle on its left and one on its right.
func (m *Mesh) Check() error {
	type side struct{ i, j int }
	if len(m.Triangles) == 0 {
		return errors.New("there are no triangles")
	}
	seen := make(map[side]int, 3*len(m.Triangles))
	for n, t := range m.Triangles {
		for k := range 3 {
			i, j := t[k], t[(k+1)%3]
			if i < 0 || i >= len(m.Vertices) {
				return fmt.Errorf("triangle %d has a corner that does not exist", n)
			}
			if i == j {
				return fmt.Errorf("triangle %d has one corner twice", n)
			}
			seen[side{i, j}]++
		}
	}
	for n, t := range m.Triangles {
		for k := range 3 {
			s := side{t[k], t[(k+1)%3]}
			if seen[s] != 1 || seen[side{s.j, s.i}] != 1 {
				return fmt.Errorf("a side of triangle %d has %d triangles on its left and %d on its right", n, seen[s], seen[side{s.j, s.i}])
			}
		}
	}
	return nil
}

// Euler gives corners - sides + triangles, counting only corners in use: 2 for each closed surface, less 2 for each hole
// through it.
func (m *Mesh) Euler() int {
	used := make([]bool, len(m.Vertices))
	v := 0
	for _, t := range m.Triangles {
		for _, i := range t {
			if !used[i] {
				used[i] = true
				v++
			}
		}
	}
	return v - 3*len(m.Triangles)/2 + len(m.Triangles)
}

// add appends another mesh, its shells apart from those there.
func (m *Mesh) add(n *Mesh) {
	at, first := len(m.Vertices), len(m.Triangles)
	m.Vertices = append(m.Vertices, n.Vertices...)
	for _, t := range n.Triangles {
		m.Triangles = append(m.Triangles, [3]int{t[0] + at, t[1] + at, t[2] + at})
	}
	for _, s := range n.Shells {
		m.Shells = append(m.Shells, first+s)
	}
}

// weld gives the mesh as it is after its corners were rounded: in each shell corners that became one are one, and triangles that
// thereby lost a side are left out.
func (m *Mesh) weld(round func(geom.Vec3) geom.Vec3) *Mesh {
	out := &Mesh{}
	from := 0
	for _, to := range m.Shells {
		id := map[geom.Vec3]int{}
		for _, t := range m.Triangles[from:to] {
			var u [3]int
			for k, i := range t {
				p := round(m.Vertices[i])
				j, ok := id[p]
				if !ok {
					j = len(out.Vertices)
					id[p] = j
					out.Vertices = append(out.Vertices, p)
				}
				u[k] = j
			}
			if u[0] != u[1] && u[1] != u[2] && u[2] != u[0] {
				out.Triangles = append(out.Triangles, u)
			}
		}
		out.Shells = append(out.Shells, len(out.Triangles))
		from = to
	}
	return out
}
