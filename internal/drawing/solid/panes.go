package solid

import (
	"math"

	"knobwright/internal/drawing"
	"knobwright/internal/geom"
)

// pane is a visible surface on paper: points are in the camera's frame, z towards the viewer.
type pane struct {
	look  Look
	wash  drawing.Ink
	rims  [][]geom.Vec3 // closed loops that fill even-odd
	lines []polyline
	tris  [][3]geom.Vec3
	boxes []geom.Box2 // of the triangles on paper; none before they are asked for
	flat  bool
	n     geom.Vec3 // of a flat pane, in the camera's frame
	// of a strip: its two long sides, corner by corner, to cut it across
	a, b  []geom.Vec3
	head  polyline // its start, from a to b, where that is a line
	tail  polyline
	aCut  bool // its first side was made by a cut and is no line
	bCut  bool
	seams []polyline // cuts, beyond which another pane goes on
	edge  [2]int     // the edges of the piece at its start and its end; -1 where it turns away
}

// polyline is an open run, or a closed one whose last point is the first.
type polyline []geom.Vec3

// panesOf finds the surfaces of a piece that look at the viewer.
func panesOf(b *brep, t *tessellation, c *camera, look Look) []*pane {
	g := &glance{b: b, t: t, c: c, seen: make([]geom.Vec3, len(t.mesh.Vertices))}
	for i, p := range t.mesh.Vertices {
		g.seen[i] = c.see(p)
	}
	// which way faces look along their edges decides which edges are lines
	g.sides = make([][2]side, len(b.edges))
	for i := range b.faces {
		for _, l := range b.faces[i].loops {
			for k, u := range l {
				s := side{face: i, n: g.normal(&b.faces[i], k)}
				s.faces = s.n.Dot(c.near) > grazing
				if u.rev {
					g.sides[u.e][1] = s
				} else {
					g.sides[u.e][0] = s
				}
			}
		}
	}
	var out []*pane
	for i := range b.faces {
		f := &b.faces[i]
		if f.strip() {
			out = append(out, g.strips(f)...)
		} else if f.n.Dot(c.near) > grazing {
			out = append(out, g.plane(i))
		}
	}
	out = joinStrips(g, out)
	for _, p := range out {
		p.finish(g, look)
	}
	return out
}

// grazing is the cosine below which a surface counts as seen edge-on.
const grazing = 1e-6

type glance struct {
	b     *brep
	t     *tessellation
	c     *camera
	seen  []geom.Vec3
	sides [][2]side // of each edge: the face that runs it forwards, and the one that runs it backwards
}

// side is a face along one of its edges.
type side struct {
	face  int
	n     geom.Vec3
	faces bool
}

// normal gives the outward normal of a face at the middle of side k of its first loop; of flat faces anywhere.
func (g *glance) normal(f *face, k int) geom.Vec3 {
	if f.kind == planar {
		return f.n
	}
	p, q := g.t.strip(f)
	i := (len(p) - 1) / 2
	switch k {
	case 1:
		i = len(p) - 2
	case 3:
		i = 0
	}
	return g.quad(p, q, i)
}

// quad gives the outward normal of a chord's quadrangle.
func (g *glance) quad(p, q []int, i int) geom.Vec3 {
	v := g.t.mesh.Vertices
	return v[p[i+1]].Sub(v[q[i]]).Cross(v[q[i+1]].Sub(v[p[i]])).Unit()
}

// smooth reports whether the faces at an edge go over into each other: they turn by less than two chords would. What lies
// nearer to square than that to the chords of both counts as a corner.
func (g *glance) smooth(e int) bool {
	s := g.sides[e]
	turn := 0.02
	for _, k := range s {
		if f := &g.b.faces[k.face]; f.kind == round {
			p, _ := g.t.strip(f)
			turn += math.Pi / float64(len(p)) // half a chord of a half turn at most
		}
	}
	return s[0].n.Dot(s[1].n) > math.Cos(min(turn, 0.6))
}

// lined reports whether an edge is a line on the drawing of a face that looks at the viewer there.
func (g *glance) lined(e int) bool {
	s := g.sides[e]
	return !g.smooth(e) || s[0].faces != s[1].faces
}

// plane gives a flat face.
func (g *glance) plane(i int) *pane {
	f := &g.b.faces[i]
	p := &pane{flat: true, n: f.n, edge: [2]int{-1, -1}}
	for _, l := range f.loops {
		var rim []geom.Vec3
		var runs []polyline
		open := false
		for _, u := range l {
			var run polyline
			for _, v := range g.t.along(u) {
				run = append(run, g.seen[v])
			}
			rim = append(rim, run[1:]...)
			switch {
			case !g.lined(u.e):
				open = false
			case open:
				runs[len(runs)-1] = append(runs[len(runs)-1], run[1:]...)
			default:
				runs = append(runs, run)
				open = true
			}
		}
		if n := len(runs); n > 1 && g.lined(l[0].e) && open { // the last run goes on into the first
			runs[0] = append(runs[n-1], runs[0][1:]...)
			runs = runs[:n-1]
		}
		p.rims = append(p.rims, rim)
		p.lines = append(p.lines, runs...)
	}
	for k, tri := range g.t.mesh.Triangles {
		if g.t.of[k] == i {
			p.tris = append(p.tris, [3]geom.Vec3{g.seen[tri[0]], g.seen[tri[1]], g.seen[tri[2]]})
		}
	}
	return p
}

// strips gives the stretches of a wall that look at the viewer.
func (g *glance) strips(f *face) (out []*pane) {
	p, q := g.t.strip(f)
	n := len(p) - 1
	for i := 0; i < n; i++ {
		if g.quad(p, q, i).Dot(g.c.near) <= grazing {
			continue
		}
		j := i + 1
		for j < n && g.quad(p, q, j).Dot(g.c.near) > grazing {
			j++
		}
		s := &pane{flat: f.kind == planar, n: f.n, edge: [2]int{-1, -1}}
		for k := i; k <= j; k++ {
			s.a, s.b = append(s.a, g.seen[p[k]]), append(s.b, g.seen[q[k]])
		}
		if i == 0 {
			s.edge[0] = f.loops[0][3].e
		}
		if j == n {
			s.edge[1] = f.loops[0][1].e
		}
		out = append(out, s)
		i = j
	}
	return out
}

// joinStrips makes one pane of strips that go over into each other.
func joinStrips(g *glance, in []*pane) []*pane {
	starts := map[int]*pane{}
	for _, p := range in {
		if p.a != nil && p.edge[0] >= 0 && !g.lined(p.edge[0]) {
			starts[p.edge[0]] = p
		}
	}
	gone := map[*pane]bool{}
	for _, p := range in {
		for p.a != nil && !gone[p] && p.edge[1] >= 0 && !g.lined(p.edge[1]) {
			q := starts[p.edge[1]]
			if q == nil || q == p || gone[q] {
				break
			}
			delete(starts, p.edge[1])
			p.a, p.b = append(p.a, q.a[1:]...), append(p.b, q.b[1:]...)
			p.edge[1] = q.edge[1]
			p.flat = p.flat && q.flat && p.n.Sub(q.n).Len() < 1e-9
			gone[q] = true
		}
	}
	var out []*pane
	for _, p := range in {
		if !gone[p] {
			out = append(out, p)
		}
	}
	return out
}

// finish works out what is filled, lined and sorted.
func (p *pane) finish(g *glance, look Look) {
	p.look = look
	if p.flat {
		n := p.n
		p.n = geom.Vec3{X: n.Dot(g.c.right), Y: n.Dot(g.c.up), Z: n.Dot(g.c.near)}
	}
	p.wash = look.Wash
	if p.flat && look.Side != drawing.NoInk && p.n.X > 0.6 {
		p.wash = look.Side
	}
	if p.wash == drawing.NoInk {
		p.wash = drawing.Paper
	}
	if p.a == nil {
		return
	}
	// an end is a line unless the strip goes on there, or meets itself
	if ring := p.edge[0] >= 0 && p.edge[0] == p.edge[1]; !ring {
		n := len(p.a) - 1
		if p.edge[0] < 0 || g.lined(p.edge[0]) {
			p.head = polyline{p.b[0], p.a[0]}
		}
		if p.edge[1] < 0 || g.lined(p.edge[1]) {
			p.tail = polyline{p.a[n], p.b[n]}
		}
	}
	p.lay()
}

// lay makes a strip's rims, lines and triangles out of its sides.
func (p *pane) lay() {
	aLine, bLine := !p.aCut, !p.bCut
	n := len(p.a) - 1
	back := reversed(p.b)
	p.rims, p.lines, p.tris, p.boxes = nil, nil, nil, nil
	if p.edge[0] >= 0 && p.edge[0] == p.edge[1] {
		p.rims = [][]geom.Vec3{p.a[:n], back[:n]}
		if aLine {
			p.lines = append(p.lines, append(polyline(nil), p.a...))
		}
		if bLine {
			p.lines = append(p.lines, back)
		}
	} else {
		p.rims = [][]geom.Vec3{append(append([]geom.Vec3(nil), p.a...), back...)}
		// head, a, tail, b make one round
		var run polyline
		flush := func() {
			if len(run) > 1 {
				p.lines = append(p.lines, run)
			}
			run = nil
		}
		add := func(part []geom.Vec3) {
			if len(run) > 0 {
				part = part[1:]
			}
			run = append(run, part...)
		}
		for _, s := range []struct {
			on   bool
			part []geom.Vec3
		}{{p.head != nil, p.head}, {aLine, p.a}, {p.tail != nil, p.tail}, {bLine, back}} {
			if s.on {
				add(s.part)
			} else {
				flush()
			}
		}
		flush()
		if k := len(p.lines); k > 1 && p.head != nil && bLine {
			p.lines[0] = append(p.lines[k-1], p.lines[0][1:]...)
			p.lines = p.lines[:k-1]
		}
	}
	for i := range n {
		p.tris = append(p.tris, [3]geom.Vec3{p.a[i], p.a[i+1], p.b[i+1]}, [3]geom.Vec3{p.a[i], p.b[i+1], p.b[i]})
	}
}

// items draws the pane: the wash, then the lines.
func (p *pane) items() (out []drawing.Item) {
	fill := &drawing.Path{Style: drawing.Style{Fill: p.wash}}
	for _, r := range p.rims {
		fill.Outlines = append(fill.Outlines, paper(r))
	}
	out = append(out, fill)
	for _, l := range p.seams { // a hair of wash, so that the two sides of a cut leave no gap
		out = append(out, &drawing.Path{Style: drawing.Style{Line: drawing.Thin, Ink: p.wash, Width: 0.1}, Open: true, Outlines: []geom.Outline{paper(l)}})
	}
	style := drawing.Style{Line: p.look.Line, Round: true}
	if style.Line == drawing.NoLine {
		style.Line = drawing.Visible
	}
	for _, l := range p.lines {
		line := &drawing.Path{Style: style, Open: true}
		if n := len(l) - 1; n > 2 && l[0].Sub(l[n]).Len() < 1e-9 {
			l, line.Open = l[:n], false
		}
		line.Outlines = []geom.Outline{paper(l)}
		out = append(out, line)
	}
	return out
}

func paper(ps []geom.Vec3) geom.Outline {
	o := make(geom.Outline, len(ps))
	for i, p := range ps {
		o[i].P = geom.Vec2{X: tidy(p.X, 1e6), Y: tidy(p.Y, 1e6)}
	}
	return o
}
