package plate

import (
	"bufio"
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"

	"knobwright/internal/geom"
)

// brickMesh is a sheet with holes and a rib as a solid of 20-node bricks: squares in plan, a ring of quadrilaterals round every
// hole, two layers through the sheet, the rib below.
type brickMesh struct {
	nodes  map[[3]int64]int
	at     [][3]float64
	bricks [][20]int
	bars   []int // bricks of ribs
}

func (b *brickMesh) node(x, y, z float64) int {
	k := [3]int64{int64(math.Round(x * 1e5)), int64(math.Round(y * 1e5)), int64(math.Round(z * 1e5))}
	if n, ok := b.nodes[k]; ok {
		return n
	}
	b.at = append(b.at, [3]float64{x, y, z})
	b.nodes[k] = len(b.at)
	return len(b.at)
}

// add adds the bricks of a plan element with eight nodes (corners, then middles of sides) between two heights.
func (b *brickMesh) add(q [8]geom.Vec2, z0, z1 float64) int {
	var e [20]int
	zm := (z0 + z1) / 2
	for i := range 4 {
		e[i], e[4+i] = b.node(q[i].X, q[i].Y, z0), b.node(q[i].X, q[i].Y, z1)
		e[8+i], e[12+i] = b.node(q[4+i].X, q[4+i].Y, z0), b.node(q[4+i].X, q[4+i].Y, z1)
		e[16+i] = b.node(q[i].X, q[i].Y, zm)
	}
	b.bricks = append(b.bricks, e)
	return len(b.bricks)
}

// straight gives a plan element with straight sides.
func straight(c [4]geom.Vec2) (q [8]geom.Vec2) {
	for i := range 4 {
		q[i], q[4+i] = c[i], c[i].Add(c[(i+1)%4]).Mul(0.5)
	}
	return
}

// peerCase is a random sheet both programs can build: lines of a grid, holes in the middle of squares of 3 x 3 cells, a rib along a row.
type peerCase struct {
	m        Model
	xs, ys   []float64
	holes    map[[2]int]hole // by the lower left cell of their square
	taken    map[[2]int]bool
	loads    [][2]int // cells
	rib      [2]int   // rows of the rib
	ribX     [2]int   // columns between which it runs
	clamped  [4]bool  // left, right, bottom, top
	free     [4]bool
	grain    bool     // the sheet has a grain along x
	rod      Rib      // the rib
	rodGrain bool     // it is plywood on edge
	screws   [][2]int // cells whose mean movement is nought
	limit    float64  // share by which movements may differ
}

type hole struct {
	c geom.Vec2
	d float64
}

func newPeerCase(seed uint64, t, young, nu float64, clamped, free [4]bool, screws ...[2]int) *peerCase {
	r := rand.New(rand.NewPCG(seed, 77))
	const g, nx, rib = 8.0, 36, 6.0
	c := &peerCase{holes: map[[2]int]hole{}, taken: map[[2]int]bool{}, clamped: clamped, free: free, screws: screws}
	for _, q := range screws {
		c.taken[q] = true
	}
	for i := range nx + 1 {
		c.xs = append(c.xs, g*float64(i))
	}
	row := 8 + r.IntN(5) // rows of the rib: two of 3 mm
	y := 0.0
	for j := range 21 {
		c.ys = append(c.ys, y)
		if j == row || j == row+1 {
			y += rib / 2
		} else {
			y += g
		}
	}
	c.rib, c.ribX = [2]int{row, row + 1}, [2]int{3 + r.IntN(3), nx - 3 - r.IntN(3)}
	w, h := c.xs[nx], c.ys[20]
	for i := range nx {
		c.taken[[2]int{i, row}], c.taken[[2]int{i, row + 1}] = true, true
	}
	for tries := 0; len(c.holes) < 7 && tries < 500; tries++ {
		i, j := 1+r.IntN(nx-4), 1+r.IntN(16)
		clear := true
		for a := i - 1; a < i+4; a++ {
			for b := j; b < j+3; b++ {
				clear = clear && !c.taken[[2]int{a, b}]
			}
		}
		if !clear {
			continue
		}
		for a := i; a < i+3; a++ {
			for b := j; b < j+3; b++ {
				c.taken[[2]int{a, b}] = true
			}
		}
		c.holes[[2]int{i, j}] = hole{at(c.xs[i]+1.5*g+r.Float64()*2-1, c.ys[j]+1.5*g+r.Float64()*2-1), 9 + 8*r.Float64()}
	}
	for len(c.loads) < 3 {
		q := [2]int{4 + r.IntN(nx-8), 3 + r.IntN(14)}
		if !c.taken[q] {
			c.taken[q] = true
			c.loads = append(c.loads, q)
		}
	}
	m := Model{Outline: box(w, h), Thickness: t, Material: Even(young, nu, 0)}
	spring := func(k int) float64 {
		switch {
		case free[k]:
			return -1
		case clamped[k]:
			return Clamped
		}
		return 0
	}
	m.Lines = sides(w, h, spring(0), spring(1), spring(2), spring(3))
	for i := range nx { // in the order of cells, so that the model is the same every time
		for j := range 20 {
			if q, ok := c.holes[[2]int{i, j}]; ok {
				m.Openings = append(m.Openings, Opening{"", geom.Circle(q.c, q.d)})
			}
		}
	}
	c.rod = Rib{A: at(c.xs[c.ribX[0]], c.ys[row+1]), B: at(c.xs[c.ribX[1]], c.ys[row+1]), Width: rib, Height: 10, Young: young, Poisson: nu}
	m.Ribs = []Rib{c.rod}
	for _, q := range screws { // a disc as large as the square
		m.Points = append(m.Points, Point{"", at((c.xs[q[0]]+c.xs[q[0]+1])/2, (c.ys[q[1]]+c.ys[q[1]+1])/2), 2 * g / math.Sqrt(math.Pi), 0})
	}
	for k, q := range c.loads {
		o := geom.Rect(at((c.xs[q[0]]+c.xs[q[0]+1])/2, (c.ys[q[1]]+c.ys[q[1]+1])/2), c.xs[q[0]+1]-c.xs[q[0]], c.ys[q[1]+1]-c.ys[q[1]], 0)
		m.Spots = append(m.Spots, Spot{Outline: o})
		m.Cases = append(m.Cases, Case{Forces: []Force{{k, 10}}})
	}
	c.m, c.limit = m, 0.03
	return c
}

// newPlyCase is a sheet of birch plywood on simple edges with a rib of pine; the shear moduli through it are those of rolling
// shear.
func newPlyCase(seed uint64, t float64) *peerCase {
	c := newPeerCase(seed, t, 9000, 0.08, [4]bool{}, [4]bool{})
	c.m.Material = Material{Along: 9000, Across: 5500, Poisson: 0.08, InPlane: 650, Through: 160, Rolling: 80}
	c.grain = true
	return c
}

// withPlywoodRib makes the rib one of birch plywood that stands on edge: soft in shear in its own plane, softer across its plies.
func (c *peerCase) withPlywoodRib() *peerCase {
	r := &c.m.Ribs[0]
	r.Young, r.Poisson, r.Shear, r.Height = 8750, 0.3, 620, 15
	c.rod, c.rodGrain = *r, true
	return c
}

// mesh builds the solid.
func (c *peerCase) mesh() (b *brickMesh, upper map[[2]int]int) {
	b = &brickMesh{nodes: map[[3]int64]int{}}
	upper = map[[2]int]int{}
	t := c.m.Thickness
	inHole := map[[2]int]bool{}
	for k := range c.holes {
		for a := range 3 {
			for d := range 3 {
				inHole[[2]int{k[0] + a, k[1] + d}] = true
			}
		}
	}
	sheet := func(q [8]geom.Vec2) int {
		b.add(q, -t/2, 0)
		return b.add(q, 0, t/2)
	}
	for j := 0; j+1 < len(c.ys); j++ {
		for i := 0; i+1 < len(c.xs); i++ {
			if inHole[[2]int{i, j}] {
				continue
			}
			q := straight([4]geom.Vec2{at(c.xs[i], c.ys[j]), at(c.xs[i+1], c.ys[j]), at(c.xs[i+1], c.ys[j+1]), at(c.xs[i], c.ys[j+1])})
			upper[[2]int{i, j}] = sheet(q)
			if (j == c.rib[0] || j == c.rib[1]) && i >= c.ribX[0] && i < c.ribX[1] {
				h := c.rod.Height / 3
				for k := range 3 {
					b.bars = append(b.bars, b.add(q, -t/2-h*float64(k+1), -t/2-h*float64(k)))
				}
			}
		}
	}
	for i := range len(c.xs) {
		for j := range len(c.ys) {
			h, ok := c.holes[[2]int{i, j}]
			if !ok {
				continue
			}
			var rim []geom.Vec2 // round the square, counter-clockwise
			for k := range 3 {
				rim = append(rim, at(c.xs[i+k], c.ys[j]))
			}
			for k := range 3 {
				rim = append(rim, at(c.xs[i+3], c.ys[j+k]))
			}
			for k := range 3 {
				rim = append(rim, at(c.xs[i+3-k], c.ys[j+3]))
			}
			for k := range 3 {
				rim = append(rim, at(c.xs[i], c.ys[j+3-k]))
			}
			const layers = 3
			place := func(p geom.Vec2, s float64) geom.Vec2 { // s = 0 on the hole, 1 on the square
				d := p.Sub(h.c)
				in := h.c.Add(d.Unit().Mul(h.d / 2))
				return in.Add(p.Sub(in).Mul(s))
			}
			for k := range rim {
				p, q := rim[k], rim[(k+1)%len(rim)]
				mid := p.Add(q).Mul(0.5)
				for l := range layers {
					s0, s1 := float64(l)/layers, float64(l+1)/layers
					s0, s1 = s0*(0.6+0.4*s0), s1*(0.6+0.4*s1) // finer towards the hole
					sm := (s0 + s1) / 2
					sheet([8]geom.Vec2{place(p, s0), place(p, s1), place(q, s1), place(q, s0), place(p, sm), place(mid, s1), place(q, sm), place(mid, s0)})
				}
			}
		}
	}
	return b, upper
}

// write gives the input of the solid program, and for each load the nodes of the middle of the sheet under it.
func (c *peerCase) write(name string, shells bool) (under [][8]int, size int, err error) {
	b, upper := c.mesh()
	var w bytes.Buffer
	fmt.Fprintln(&w, "*NODE, NSET=ALL")
	for i, p := range b.at {
		fmt.Fprintf(&w, "%d,%.9g,%.9g,%.9g\n", i+1, p[0], p[1], p[2])
	}
	kind := "C3D20R"
	if shells {
		kind = "S8R"
	}
	fmt.Fprintf(&w, "*ELEMENT, TYPE=%s, ELSET=BODY\n", kind)
	used := map[int]bool{}
	for i, e := range b.bricks {
		nodes := e[:]
		if shells { // the middle of the sheet: the lower faces of its upper layer
			if b.at[e[0]-1][2] != 0 {
				continue
			}
			nodes = []int{e[0], e[1], e[2], e[3], e[8], e[9], e[10], e[11]}
		}
		fmt.Fprintf(&w, "%d", i+1)
		for k, n := range nodes {
			used[n] = true
			if k == 10 {
				fmt.Fprint(&w, ",\n")
			} else {
				fmt.Fprint(&w, ",")
			}
			fmt.Fprint(&w, n)
		}
		fmt.Fprintln(&w)
	}
	if shells {
		m := c.m.Material
		fmt.Fprintf(&w, "*MATERIAL, NAME=M\n*ELASTIC\n%g,%g\n*SHELL SECTION, ELSET=BODY, MATERIAL=M\n%g\n*BOUNDARY\n", m.Along, m.Poisson, c.m.Thickness)
	} else {
		c.sections(&w, b)
	}
	c.supports(&w, b, upper, used)
	fmt.Fprintln(&w, "*NSET, NSET=UNDER")
	for _, q := range c.loads {
		e := b.bricks[upper[q]-1]
		u := [8]int{e[0], e[1], e[2], e[3], e[8], e[9], e[10], e[11]}
		under = append(under, u)
		for _, n := range u {
			fmt.Fprintf(&w, "%d,\n", n)
		}
	}
	face := "P2"
	if shells {
		face = "P"
	}
	for _, q := range c.loads {
		area := (c.xs[q[0]+1] - c.xs[q[0]]) * (c.ys[q[1]+1] - c.ys[q[1]])
		fmt.Fprintf(&w, "*STEP\n*STATIC\n*DLOAD, OP=NEW\n%d,%s,%.12g\n*NODE PRINT, NSET=UNDER\nU\n*END STEP\n", upper[q], face, 10/area)
	}
	return under, 3 * len(b.at), os.WriteFile(name, w.Bytes(), 0o644)
}

// sections writes the materials of a solid.
func (c *peerCase) sections(w *bytes.Buffer, b *brickMesh) {
	bar := map[int]bool{}
	for _, e := range b.bars {
		bar[e] = true
	}
	for _, set := range []string{"SHEET", "BARS"} {
		fmt.Fprintf(w, "*ELSET, ELSET=%s\n", set)
		for e := range b.bricks {
			if bar[e+1] == (set == "BARS") {
				fmt.Fprintf(w, "%d,\n", e+1)
			}
		}
	}
	m := c.m.Material.filled()
	if c.grain {
		// square to the sheet a tenth of the modulus across: it hardly matters to bending
		fmt.Fprintf(w, "*MATERIAL, NAME=M\n*ELASTIC, TYPE=ENGINEERING CONSTANTS\n%g,%g,%g,%g,0.3,0.3,%g,%g\n%g\n", m.Along, m.Across, m.Across/10, m.Poisson, m.InPlane, m.Through, m.Rolling)
	} else {
		fmt.Fprintf(w, "*MATERIAL, NAME=M\n*ELASTIC\n%g,%g\n", m.Along, m.Poisson)
	}
	r := c.rod
	if c.rodGrain { // along, through the plies, upright
		fmt.Fprintf(w, "*MATERIAL, NAME=R\n*ELASTIC, TYPE=ENGINEERING CONSTANTS\n%g,800,6000,0.3,0.05,0.04,160,%g\n160\n", r.Young, r.Shear)
	} else {
		fmt.Fprintf(w, "*MATERIAL, NAME=R\n*ELASTIC\n%g,%g\n", r.Young, r.Poisson)
	}
	fmt.Fprint(w, "*ORIENTATION, NAME=O\n1,0,0,0,1,0\n")
	fmt.Fprint(w, "*SOLID SECTION, ELSET=SHEET, MATERIAL=M, ORIENTATION=O\n*SOLID SECTION, ELSET=BARS, MATERIAL=R, ORIENTATION=O\n*BOUNDARY\n")
}

// supports writes what holds the sheet.
func (c *peerCase) supports(w *bytes.Buffer, b *brickMesh, upper map[[2]int]int, used map[int]bool) {
	lim := [4]float64{0, c.xs[len(c.xs)-1], 0, c.ys[len(c.ys)-1]}
	first, second := 0, 0
	for i, p := range b.at {
		if !used[i+1] {
			continue
		}
		mid := math.Abs(p[2]) < 1e-9
		for k := range 4 {
			if c.free[k] || math.Abs(p[k/2]-lim[k]) > 1e-6 {
				continue
			}
			if c.clamped[k] && p[2] > -c.m.Thickness/2-1e-6 {
				fmt.Fprintf(w, "%d,1,3\n", i+1)
			} else if mid {
				fmt.Fprintf(w, "%d,3,3\n", i+1)
			}
		}
		if mid && p[0] == 0 && p[1] == 0 {
			first = i + 1
		}
		if mid && p[0] == lim[1] && p[1] == 0 {
			second = i + 1
		}
	}
	fmt.Fprintf(w, "%d,1,2\n%d,2,2\n", first, second)
	for _, q := range c.screws { // the mean over the square: corners -1/12, middles of sides 1/3
		e := b.bricks[upper[q]-1]
		fmt.Fprint(w, "*EQUATION\n8\n")
		for k, n := range [8]int{e[8], e[9], e[10], e[11], e[0], e[1], e[2], e[3]} {
			v := 1. / 3
			if k > 3 {
				v = -1. / 12
			}
			fmt.Fprintf(w, "%d,3,%.15g", n, v)
			if k%4 == 3 {
				fmt.Fprintln(w)
			} else {
				fmt.Fprint(w, ",")
			}
		}
	}
}

// readMovements gives the downward movement of each printed node for each step.
func readMovements(name string) ([]map[int]float64, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	var out []map[int]float64
	s := bufio.NewScanner(f)
	for s.Scan() {
		if strings.Contains(s.Text(), "displacements") {
			out = append(out, map[int]float64{})
			continue
		}
		var n int
		var x, y, z float64
		if k, _ := fmt.Sscan(s.Text(), &n, &x, &y, &z); k == 4 && len(out) > 0 {
			out[len(out)-1][n] = -z
		}
	}
	return out, s.Err()
}

// withGrain gives a case of plywood the moduli of few plies: birch as the Handbook of Finnish Plywood has it.
func (c *peerCase) withGrain(along, across float64) *peerCase {
	c.m.Material = Material{Along: along, Across: across, Poisson: 0.05, InPlane: 620, Through: 160, Rolling: 60}
	return c
}
