package plate

import (
	"math"

	"knobwright/internal/geom"
)

// edgeRow gives the stress along an edge at one place from the unknowns of a cell.
type edgeRow struct {
	cell    int
	at, dir vec
	bend    [16]float64 // far face, from bending
	stretch [8]float64  // both faces, from stretching
	ok      bool
	twin    *edgeRow // where two cells meet at the edge: the other one's row, to take the mean with
}

// places along the edge of a round opening; other openings get as many as fit a quarter of a cell.
const roundPlaces = 48

// EdgePlaces gives the places at which the stress along opening i is given.
func (p *Plate) EdgePlaces(i int) []geom.Vec2 {
	var out []geom.Vec2
	p.alongEdge(p.openings[i], func(q, _ vec) { out = append(out, p.frame.out(q)) })
	return out
}

func (p *Plate) alongEdge(s *shape, f func(q, dir vec)) {
	for k := range s.runs {
		r := &s.runs[k]
		n := max(2, int(math.Ceil(r.length()/(p.grid.h/4))))
		if s.circle {
			n = roundPlaces / len(s.runs)
		}
		for i := range n {
			t := (float64(i) + 0.5) / float64(n)
			if s.circle {
				t = float64(i) / float64(n)
			}
			q, dir := r.at(t)
			f(q, dir)
		}
	}
}

// keepRows takes over the rows of openings about which nothing has changed.
func (p *Plate) keepRows(old *Plate) {
	p.rows = make([][]edgeRow, len(p.openings))
	g := &p.grid
	for i, s := range p.openings {
		if i >= len(old.rows) || old.openings[i] != s {
			continue
		}
		i0, j0 := g.find(s.lo)
		i1, j1 := g.find(s.hi)
		same := true
		for y := max(j0-1, 0); y <= min(j1+1, g.ny()-1); y++ {
			for x := max(i0-1, 0); x <= min(i1+1, g.nx()-1); x++ {
				same = same && p.same[y*g.nx()+x]
			}
		}
		if same {
			p.rows[i] = old.rows[i]
		}
	}
}

// edgeRows makes the rows for all openings that have none yet.
func (p *Plate) edgeRows() [][]edgeRow {
	if p.rows == nil {
		p.rows = make([][]edgeRow, len(p.openings))
	}
	out := p.rows
	for i, s := range p.openings {
		if out[i] != nil {
			continue
		}
		p.alongEdge(s, func(q, dir vec) {
			var r edgeRow
			hair := 1e-4 * p.grid.h
			in := q.Sub(dir.Left().Mul(hair))
			for _, side := range [2]float64{-hair, hair} {
				c, ok := p.cellAt(in.Add(dir.Mul(side)))
				if !ok || !p.solidAt(in.Add(dir.Mul(side))) || r.ok && c == r.cell {
					continue
				}
				s := edgeRow{at: q, dir: dir, cell: c, ok: true}
				p.fillRow(&s)
				if r.ok {
					r.twin = &s
				} else {
					r = s
				}
			}
			out[i] = append(out[i], r)
		})
	}
	return out
}

// fillRow works out one row. On a free edge nothing pulls across it, so that the stress along it is E·(strain along it), with
// the strain -z·w_ss of the far face z = t/2.
func (p *Plate) fillRow(r *edgeRow) {
	f := p.fieldAt(r.cell, r.at)
	e := p.st.young(r.dir)
	row := f.curve(r.dir, r.dir)
	for k, v := range row {
		r.bend[k] = -e * p.st.t / 2 * v
	}
	dx, dy := f.grad()
	for k := range 4 {
		d := e * (r.dir.X*dx[k] + r.dir.Y*dy[k])
		r.stretch[2*k], r.stretch[2*k+1] = d*r.dir.X, d*r.dir.Y
	}
}

// local gathers the unknowns of a cell.
func (s *system) local(g *grid, c int, x []float64, out []float64) {
	for k, n := range g.nodes(c) {
		for d := range s.per {
			out[k*s.per+d] = 0
			if u := s.place[n*s.per+d]; u >= 0 {
				out[k*s.per+d] = x[u]
			}
		}
	}
}

// edgeStress works out the stress along all openings for all cases, one opening after the other, so that its rows stay near.
func (p *Plate) edgeStress(cases []CaseResult, rows [][]edgeRow) {
	all, most := 0, 0
	for _, rs := range rows {
		all, most = all+len(rs), max(most, len(rs))
	}
	flat, pull := make([]float64, all*len(cases)), make([]float64, most)
	for i := range cases {
		cases[i].Edges = make([]EdgeStress, len(rows))
	}
	for i, rs := range rows {
		n := 0
		for k := range rs {
			if rs[k].ok {
				n++
			}
		}
		var ring *ring
		if s := p.openings[i]; s.circle && n == len(rs) && fieldShare(s.hi.X-s.lo.X, p.grid.h) < 1 {
			ring = p.ring(s)
		}
		for k := range cases {
			e := &cases[k].Edges[i]
			e.Along, flat = flat[:len(rs):len(rs)], flat[len(rs):]
			if n > 0 {
				cases[k].edge(e, p.openings[i], rs, ring, n, pull[:len(rs)])
			}
		}
	}
}

// edge works out the stress along one opening with n places that have sheet beside them. pull is room for what comes from
// stretching.
func (c *CaseResult) edge(e *EdgeStress, s *shape, rs []edgeRow, ring *ring, n int, pull []float64) {
	p := c.p
	var u [16]float64
	var v [8]float64
	last := -1
	for k := range rs {
		r := &rs[k]
		pull[k] = 0
		if !r.ok {
			continue
		}
		if r.cell != last {
			last = r.cell
			p.bend.local(&p.grid, r.cell, c.bend, u[:])
			if p.stretch != nil {
				p.stretch.local(&p.grid, r.cell, c.stretch, v[:])
			}
		}
		sum := dot16(&u, &r.bend)
		e.Along[k] = sum
		if p.stretch != nil {
			sum = 0
			for j, x := range v {
				sum += x * r.stretch[j]
			}
			pull[k] = sum
		}
		if t := r.twin; t != nil {
			last = -1
			p.bend.local(&p.grid, t.cell, c.bend, u[:])
			sum = dot16(&u, &t.bend)
			e.Along[k] = (e.Along[k] + sum) / 2
			if p.stretch != nil {
				p.stretch.local(&p.grid, t.cell, c.stretch, v[:])
				sum = 0
				for j, x := range v {
					sum += x * t.stretch[j]
				}
				pull[k] = (pull[k] + sum) / 2
			}
		}
	}
	if s.circle && n == len(rs) {
		smooth(e.Along)
	}
	if ring != nil {
		a, c2, s2 := c.around(ring)
		share := fieldShare(s.hi.X-s.lo.X, p.grid.h)
		for k := range rs {
			q := rs[k].dir // along the edge: at right angles to the direction from the middle
			x, y := q.Y, -q.X
			e.Along[k] = share*e.Along[k] + (1-share)*(a+c2*(x*x-y*y)+s2*2*x*y)
		}
	}
	mean := 0.0
	for _, x := range e.Along {
		mean += x
	}
	mean /= float64(n)
	g := holeLayer(2 * math.Sqrt(s.area/math.Pi) / p.st.t)
	if p.model.Options.Thin {
		g = 1
	}
	at, most := 0, 0.0
	for k := range rs {
		if !rs[k].ok {
			continue
		}
		b := mean + g*(e.Along[k]-mean)
		e.Along[k] = b + pull[k]
		e.Mean += e.Along[k]
		// on one face or the other they add up
		size := math.Abs(b) + math.Abs(pull[k])
		bears := p.bears(rs[k].dir)
		use := size
		if bears > 0 {
			use = size / bears
		}
		if use > most {
			most, e.Peak, e.Bears, at = use, size, bears, k
		}
	}
	e.Mean /= float64(n)
	e.At = p.frame.out(rs[at].at)
}

// dot16 is the product of two rows, in four sums that do not wait for each other.
func dot16(a, b *[16]float64) float64 {
	var s0, s1, s2, s3 float64
	for i := 0; i < 16; i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	return s0 + s1 + (s2 + s3)
}

// bears is what the sheet bears along a direction of the grid's frame, MPa: between along and across the grain by Hankinson's rule (1921).
func (p *Plate) bears(dir vec) float64 {
	m := &p.model.Material
	a, b := m.Strength, m.StrengthAcross
	if b == 0 || a == b {
		return a
	}
	sin, cos := math.Sincos(m.Grain*deg - math.Atan2(p.frame.s, p.frame.c))
	c := dir.X*cos + dir.Y*sin
	return a * b / (a*(1-c*c) + b*c*c)
}

// holeLayer gives how much more the stress varies round a hole than a thin plate says, x being diameter by thickness: a fit to
// Reissner's theory of the second harmonic (1945) from one to twenty; with the edge layer it comes within a tenth of the
// handbook's formula (Roark, table 17.1) from a half up.
func holeLayer(x float64) float64 { return 1 + 0.8/(x+0.25) }

// turns holds sine and cosine of all whole shares of a turn.
var turns [roundPlaces][2]float64

func init() {
	for k := range turns {
		turns[k][0], turns[k][1] = math.Sincos(2 * math.Pi * float64(k) / roundPlaces)
	}
}

// smooth keeps the mean and the first four harmonics of values evenly spaced round a circle: what lies above is the grid's.
func smooth(x []float64) {
	const n, half = roundPlaces, roundPlaces / 2
	// even harmonics see the sums of opposite places, odd ones the differences
	var in, out [2][half]float64
	x = x[:n]
	for k := range half {
		in[0][k], in[1][k] = x[k]+x[k+half], x[k]-x[k+half]
	}
	for h := 0; h <= 4; h++ {
		var a, b float64
		v, o := &in[h&1], &out[h&1]
		for k := range half {
			t := &turns[h*k%n]
			a += v[k] * t[1]
			b += v[k] * t[0]
		}
		f := 2.0 / n
		if h == 0 {
			f = 1.0 / n
		}
		a, b = a*f, b*f
		for k := range half {
			t := &turns[h*k%n]
			o[k] += a*t[1] + b*t[0]
		}
	}
	for k := range half {
		x[k], x[k+half] = out[0][k]+out[1][k], out[0][k]-out[1][k]
	}
}
