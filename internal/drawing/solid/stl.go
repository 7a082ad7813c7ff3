package solid

import (
	"encoding/binary"
	"fmt"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/geom"
)

// STL gives all bodies as one binary STL file, in millimetres (the format itself names no unit). tol is as in Mesh. Corners are rounded
// to the 32-bit numbers of the format first, and the facets made to fit, so that the file is as watertight as the mesh.
func (m *Model) STL(title string, tol float64) ([]byte, error) {
	all, err := m.single(tol)
	if err != nil {
		return nil, err
	}
	// "solid" at the start would make readers take it for text
	head := fmt.Appendf(nil, "Knobwright, millimetres: %s", plain(title))
	out := make([]byte, 84, 84+50*len(all.Triangles))
	copy(out[:80], head)
	binary.LittleEndian.PutUint32(out[80:], uint32(len(all.Triangles)))
	put := func(v geom.Vec3) {
		for _, x := range [3]float64{v.X, v.Y, v.Z} {
			out = binary.LittleEndian.AppendUint32(out, math.Float32bits(float32(tidy(x, 1e9))))
		}
	}
	for i, t := range all.Triangles {
		put(all.Normal(i))
		for _, k := range t {
			put(all.Vertices[k])
		}
		out = append(out, 0, 0)
	}
	return out, nil
}

// STLText is STL as text.
func (m *Model) STLText(title string, tol float64) ([]byte, error) {
	all, err := m.single(tol)
	if err != nil {
		return nil, err
	}
	name := plain(title)
	var out []byte
	put := func(word string, v geom.Vec3) {
		out = append(out, word...)
		for _, x := range [3]float64{v.X, v.Y, v.Z} {
			out = append(out, ' ')
			out = strconv.AppendFloat(out, float64(float32(tidy(x, 1e9))), 'g', -1, 32)
		}
		out = append(out, '\n')
	}
	out = fmt.Appendf(out, "solid %s\n", name)
	for i, t := range all.Triangles {
		put("facet normal", all.Normal(i))
		out = append(out, "outer loop\n"...)
		for _, k := range t {
			put("vertex", all.Vertices[k])
		}
		out = append(out, "endloop\nendfacet\n"...)
	}
	return fmt.Appendf(out, "endsolid %s\n", name), nil
}

// single gives all bodies in one mesh with corners that 32-bit numbers can hold.
func (m *Model) single(tol float64) (*Mesh, error) {
	all := &Mesh{}
	for i := range m.bodies {
		b, err := m.Mesh(i, tol)
		if err != nil {
			return nil, err
		}
		all.add(b)
	}
	single := func(x float64) float64 { return float64(float32(tidy(x, 1e9))) }
	return all.weld(func(p geom.Vec3) geom.Vec3 { return geom.Vec3{X: single(p.X), Y: single(p.Y), Z: single(p.Z)} }), nil
}

// plain keeps the printable ASCII of a text.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
}
