package chain

import (
	"math"
	"slices"
)

// question is a problem made ready. Beside terminals and roots there is a last node, the open end of all paths, that
// costs nothing to reach.
type question struct {
	shape    Shape
	n        int // terminals
	size     int // nodes
	d        []float64
	most     float64 // largest permitted cost
	noise    float64 // differences of cost that count as none
	barred   float64 // stands for an infinite cost: more than all permitted wires of any answer
	load     []int
	capacity int
	longest  int   // terminals that a branch takes
	degree   int   // wires that a terminal of a tree takes
	branches []int // of each root
	anyRoot  []float64
	prices   []float64 // of terminals at the best of the bound without capacity, if it has any
}

func newQuestion(p Problem) (*question, error) {
	n, roots := p.Terminals, len(p.Roots)
	switch {
	case n < 0 || p.Load != nil && len(p.Load) != n:
		return nil, ErrTerminals
	case p.Capacity < 0 || p.Degree < 0 || p.Shape == Ring && p.Degree == 1 || p.Shape > Tree:
		return nil, ErrLimit
	case n > 0 && roots == 0:
		return nil, ErrRoots
	}
	q := &question{shape: p.Shape, n: n, size: n + roots + 1, longest: n, degree: p.Degree, capacity: p.Capacity}
	if err := q.measure(p); err != nil {
		return nil, err
	}
	switch {
	case q.degree == 1:
		q.longest = min(n, 1)
		q.shape = Path
	case q.degree == 2 && q.shape == Tree:
		q.shape = Path // a tree in which nothing forks
	case q.degree == 0 || q.degree > n:
		q.degree = max(n, 2)
	}
	q.load = slices.Clone(p.Load)
	if p.Load == nil {
		q.load = slices.Repeat([]int{1}, n)
	}
	total := 0
	for v, l := range q.load {
		if l < 0 || p.Capacity > 0 && l > p.Capacity {
			return nil, &LoadError{v, l, p.Capacity}
		}
		total += l
	}
	if q.capacity == 0 {
		q.capacity = max(1, total)
	}
	room, most := 0, 0
	for _, r := range p.Roots {
		b := r.Branches
		if b < 0 {
			return nil, ErrRoots
		}
		if b == 0 || b > n {
			b = n
		}
		q.branches = append(q.branches, b)
		most += b
		room += min(b, n) * q.capacity
	}
	if total > room {
		return nil, &RoomError{total, room}
	}
	if q.longest == 1 && most < n {
		return nil, &RoomError{n, most}
	}
	return q, q.reach()
}

// measure asks for all costs.
func (q *question) measure(p Problem) error {
	q.d = make([]float64, q.size*q.size)
	end := q.size - 1
	for j := range end {
		for i := range min(j, q.n) {
			c := p.Cost(i, j)
			if !(c >= 0 && (c <= MaxCost || math.IsInf(c, 1))) {
				return &CostError{i, j, c}
			}
			if !math.IsInf(c, 1) {
				q.most = max(q.most, c)
			}
			q.d[i*q.size+j], q.d[j*q.size+i] = c, c
		}
	}
	q.noise = 1e-12 * q.most
	q.barred = float64(float64(q.size+q.n)*q.most) * 2
	if q.most == 0 {
		q.barred = 1
	}
	for k, c := range q.d {
		if math.IsInf(c, 1) {
			q.d[k] = q.barred
		}
	}
	q.anyRoot = make([]float64, q.n)
	for v := range q.anyRoot {
		q.anyRoot[v] = slices.Min(append([]float64{q.barred}, q.row(int32(v))[q.n:end]...))
	}
	return nil
}

// reach reports terminals that hang on nothing.
func (q *question) reach() error {
	reached := make([]bool, q.n)
	var queue []int32
	for v, c := range q.anyRoot {
		if c < q.barred {
			reached[v] = true
			queue = append(queue, int32(v))
		}
	}
	for k := 0; k < len(queue); k++ {
		for u, c := range q.row(queue[k])[:q.n] {
			if !reached[u] && c < q.barred {
				reached[u] = true
				queue = append(queue, int32(u))
			}
		}
	}
	var beyond []int
	for v, ok := range reached {
		if !ok {
			beyond = append(beyond, v)
		}
	}
	if beyond != nil {
		return &ReachError{beyond}
	}
	return nil
}

func (q *question) row(v int32) []float64    { return q.d[int(v)*q.size:][:q.size] }
func (q *question) at(v, u int32) float64    { return q.d[int(v)*q.size+int(u)] }
func (q *question) rootNode(index int) int32 { return int32(q.n + index) }
func (q *question) room(g *group, v int32) bool {
	return g.load+q.load[v] <= q.capacity && len(g.seq) < q.longest
}

// end is the node after the last terminal of a path or ring.
func (q *question) end(root int32) int32 {
	if q.shape == Ring {
		return root
	}
	return int32(q.size - 1)
}

// price adds up a path or ring.
func (q *question) price(g *group) float64 {
	if len(g.seq) == 0 {
		return 0
	}
	sum, from := 0.0, g.root
	for _, v := range g.seq {
		sum += q.at(from, v)
		from = v
	}
	return sum + q.at(from, q.end(g.root))
}

// random is a source of numbers of its own, so that results do not depend on a library's.
// Source: the splitmix64 generator of Steele, Lea & Flood (2014), from memory.
type random uint64

func (r *random) next() uint64 {
	*r += 0x9e3779b97f4a7c15
	z := uint64(*r)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// below returns a number from 0 to n-1.
func (r *random) below(n int) int { return int((r.next() >> 33) % uint64(n)) }

// exponential returns a positive number x with chance exp(-x) of being exceeded, which is -ln of a uniform one. The
// logarithm is summed here, for that of the library differs from machine to machine.
func (r *random) exponential() float64 {
	const ln2 = 0.6931471805599453
	z := r.next()
	x := 0.0
	for ; z&1 == 1 && x < 30; z >>= 1 {
		x += ln2
	}
	m := 0.5 + float64(float64(r.next()>>12)/(1<<53)) // 0.5 up to 1
	y := (1 - m) / (1 + m)
	yy := float64(y * y)
	return x + float64(2*y*(1+float64(yy*(1.0/3+float64(yy*(1.0/5+float64(yy*(1.0/7+float64(yy/9)))))))))
}
