package plate

import (
	"knobwright/internal/solve/sparse"
)

// system is one set of equations on the grid: bending (4 unknowns a node), movement from shear (1), stretching (2). The
// three touch each other only through bonds.
type system struct {
	per     int
	place   []int32 // unknown of each (node, kind), or -1 where it is held or does not exist
	pattern *sparse.Pattern
	plan    *sparse.Plan
	matrix  *sparse.Matrix
	factor  *sparse.Factor
	at      [][10]int32 // for each cell, where its ten blocks of nodes begin; nil pattern cells have -1
	before  []float64   // the numbers of the matrix as they were
	lost    bool        // the factor failed
	top     float64     // largest number on the diagonal
}

// pairs lists the ten pairs of nodes of a cell, higher one first.
var pairs = [10][2]int{{0, 0}, {1, 0}, {1, 1}, {2, 0}, {2, 1}, {2, 2}, {3, 0}, {3, 1}, {3, 2}, {3, 3}}

// newSystem lays out the equations. held has a bit for every unknown of a node that is held at zero; used says which
// cells may ever hold sheet.
func newSystem(g *grid, per int, held []uint8, used []bool) (*system, error) {
	nn := len(g.xs) * len(g.ys)
	s := &system{per: per, place: make([]int32, nn*per), at: make([][10]int32, len(used))}
	touched := make([]bool, nn)
	var groups [][]int32
	flat := make([]int32, 0, 4*len(used))
	for c, u := range used {
		if !u {
			continue
		}
		ns := g.nodes(c)
		for _, n := range ns {
			touched[n] = true
			flat = append(flat, int32(n))
		}
		groups = append(groups, flat[len(flat)-4:])
	}
	sizes := make([]int, nn)
	points := make([]sparse.Point, nn)
	next := int32(0)
	for n := range nn {
		points[n] = sparse.Point{X: g.xs[n%len(g.xs)], Y: g.ys[n/len(g.xs)]}
		for d := range per {
			if !touched[n] || held[n]&(1<<d) != 0 {
				s.place[n*per+d] = -1
				continue
			}
			s.place[n*per+d] = next
			next++
			sizes[n]++
		}
	}
	var err error
	if s.pattern, err = sparse.NewPattern(sizes, groups); err != nil {
		return nil, err
	}
	tree, err := sparse.Dissect(s.pattern, points, 0)
	if err != nil {
		return nil, err
	}
	if s.plan, err = sparse.NewPlan(s.pattern, tree); err != nil {
		return nil, err
	}
	for c, u := range used {
		if !u {
			s.at[c][0] = -1
			continue
		}
		ns := g.nodes(c)
		for k, pq := range pairs {
			s.at[c][k] = int32(s.pattern.Find(ns[pq[0]], ns[pq[1]]))
		}
	}
	s.matrix = sparse.NewMatrix(s.pattern)
	return s, nil
}

// nodes gives the four nodes of cell c.
func (g *grid) nodes(c int) [4]int {
	nx := g.nx()
	n := c/nx*(nx+1) + c%nx
	return [4]int{n, n + 1, n + nx + 1, n + nx + 2}
}

// point gives where node n lies.
func (g *grid) point(n int) vec { return vec{X: g.xs[n%len(g.xs)], Y: g.ys[n/len(g.xs)]} }

// clear sets the matrix to zero.
func (s *system) clear() {
	clear(s.matrix.Values)
	s.top = 0
}

// add adds a cell's matrix, of which the lower triangle counts.
func (s *system) add(g *grid, c int, k []float64) {
	ns := g.nodes(c)
	per, wide := s.per, 4*s.per
	for q, pq := range pairs {
		at := s.at[c][q]
		hi, lo := ns[pq[0]]*per, ns[pq[1]]*per
		width := s.pattern.Size(ns[pq[1]])
		v := s.matrix.Values[at : int(at)+width*s.pattern.Size(ns[pq[0]])]
		row := 0
		for d := range per {
			if s.place[hi+d] < 0 {
				continue
			}
			col := 0
			src := k[(pq[0]*per+d)*wide+pq[1]*per : (pq[0]*per+d)*wide+pq[1]*per+per]
			if width == per && hi != lo {
				dst := v[row*width : row*width+per]
				for e, x := range src {
					dst[e] += x
				}
			} else {
				for e, x := range src {
					if hi == lo && e > d {
						break
					}
					if s.place[lo+e] >= 0 {
						v[row*width+col] += x
						col++
					}
				}
			}
			row++
		}
	}
}

// ground holds the unknowns of nodes with no sheet about them, and gives every unknown a spring to ground.
func (s *system) ground(live []bool, hold, spring float64) {
	for n := range live {
		v := spring
		if !live[n] {
			v = hold
		}
		if v == 0 {
			continue
		}
		size := s.pattern.Size(n)
		if size == 0 {
			continue
		}
		at := s.pattern.Find(n, n)
		for d := range size {
			s.matrix.Values[at+d*size+d] += v
		}
	}
}

// adder gathers a sum over unknowns of nodes.
type adder struct {
	per     int
	sum     []float64
	mark    []bool
	touched []int
}

func newAdder(g *grid, per int) *adder {
	n := len(g.xs) * len(g.ys)
	return &adder{per: per, sum: make([]float64, n*per), mark: make([]bool, n)}
}

func (a *adder) node(n int) []float64 {
	if !a.mark[n] {
		a.mark[n] = true
		a.touched = append(a.touched, n)
	}
	return a.sum[n*a.per : (n+1)*a.per]
}

// take gives what was gathered on the free unknowns of a system, and forgets it.
func (a *adder) take(s *system) sparse.Vector {
	var v sparse.Vector
	n := len(a.touched) * a.per
	v.Index, v.Value = make([]int32, 0, n), make([]float64, 0, n)
	for _, n := range a.touched {
		for d := range a.per {
			k := n*a.per + d
			if x := a.sum[k]; x != 0 && s.place[k] >= 0 {
				v.Index = append(v.Index, s.place[k])
				v.Value = append(v.Value, x)
			}
			a.sum[k] = 0
		}
		a.mark[n] = false
	}
	a.touched = a.touched[:0]
	return v
}
