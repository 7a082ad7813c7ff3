package plate

import (
	"math"
	"slices"
)

// ribRun is a rib in the frame of the grid.
type ribRun struct {
	a, b         vec     // ends of the part that stiffens the sheet
	dir, n       vec     // along and across
	length       float64 // between a and b
	width        float64 // stiffening width
	e            float64 // from the middle of the sheet to the middle of the rib
	ei, gj, dn   float64 // of its own, along; twist; across, per length
	shear        float64
	ea           float64
	slip         float64   // of the joint, mm for each N per mm of length
	stops        []float64 // where along it segments of even pull begin and end
	pieces, left []stretch // along the axis; along the two lines at its sides
	right        []stretch
}

// inset is how far from its edges a bonded bar leaves the sheet as limp as without it, in thicknesses. Of plane elasticity, for an
// even sheet: 0.46 to 0.60 for a bar 1 to 7 times as high as the sheet is thick and of the same stuff, 0.43 to 0.46 for a bar
// four times as stiff (own study). The larger part lies in the sheet; both parts grow with the root of modulus by shear modulus, as
// shear lag does. e and g are those of the sheet, in the direction and through the thickness; a bar's shear modulus of 0 is that of an
// even one.
func inset(ribYoung, ribShear, e, g float64) float64 {
	const even = 1.655 // root of e/g of an even sheet with a Poisson's ratio of 0.37
	bar := 1.0
	if ribShear > 0 {
		bar = max(1, math.Sqrt(ribYoung/ribShear)/even)
	}
	in := 0.40*math.Sqrt(e/g)/even + 0.15*bar
	if ribYoung > 2*e {
		in -= 0.10
	}
	return in
}

// newRib works out a rib. Formulas: bonded two-layer section and Saint-Venant torsion of rectangles (any text on strength
// of materials); effective width b = 4L/(π(3+2ν-ν²)) (von Kármán 1924, in Timoshenko & Goodier, Theory of Elasticity); slip of the
// joint γ = 1/(1+π²·EA/(K·L²)) (EN 1995-1-1, annex B).
func (p *Plate) newRib(r Rib) ribRun {
	st, t := &p.st, p.st.t
	var o ribRun
	a, b := p.frame.in(r.A), p.frame.in(r.B)
	d := b.Sub(a)
	o.dir = d.Unit()
	if math.Abs(o.dir.X) < 1e-9 {
		o.dir = vec{X: 0, Y: sign(o.dir.Y)}
	} else if math.Abs(o.dir.Y) < 1e-9 {
		o.dir = vec{X: sign(o.dir.X), Y: 0}
	}
	o.n = o.dir.Left()
	along, across := st.young(o.dir), st.young(o.n)
	in := inset(r.Young, r.Shear, along, st.shearAlong(o.dir)) * t
	in = min(in, d.Len()/4)
	inw := inset(r.Young, 0, across, st.shearAlong(o.n)) * t
	o.a, o.b = a.Add(o.dir.Mul(in)), b.Sub(o.dir.Mul(in))
	o.length = o.b.Sub(o.a).Len()
	o.width = max(r.Width-2*min(inw, r.Width/2), r.Width/10)
	o.e = (t + r.Height) / 2
	if r.Glue > 0 {
		o.slip = 1 / r.Glue
	}
	o.ea = r.Young * r.Width * r.Height
	o.ei = r.Young * r.Width * math.Pow(r.Height, 3) / 12
	gRib := r.Young / (2 * (1 + r.Poisson))
	o.shear = 5.0 / 6 * gRib * r.Width * r.Height
	if r.Shear > 0 {
		gRib = r.Shear
	}
	gMin := min(gRib, st.shearIn(o.dir))
	own := gRib * torsion(r.Width, r.Height)
	joint := gMin*torsion(r.Width, t+r.Height) - st.shearIn(o.dir)*t*t*t*r.Width/3
	p.softer(&o, r)
	// across: two layers of plane stiffness e1, e2
	nuS := st.a12 / math.Sqrt(st.a11*st.a22)
	square := r.Young
	if r.Shear > 0 && r.Shear < r.Young/4 { // wood, not an even material by name
		square = min(square, woodAcross*r.Shear)
	}
	e1, e2 := across/(1-nuS*nuS)*t, square/(1-r.Poisson*r.Poisson)*r.Height
	o.dn = e2*r.Height*r.Height/12 + e1*e2/(e1+e2)*o.e*o.e
	o.gj = max(own, joint)
	if r.Glue > 0 { // a joint that slips carries little across and in twist
		gamma := 1 / (1 + math.Pi*math.Pi*e2*r.Width/(r.Glue*r.Width*r.Width))
		o.dn = e2*r.Height*r.Height/12 + gamma*(o.dn-e2*r.Height*r.Height/12)
		o.gj = max(own, gamma*joint)
	}
	return o
}

// woodAcross is how many times its shear modulus the modulus of wood or plywood square to a bar is: of most woods both are a fifteenth to a
// twelfth of that along the grain (Wood Handbook, table of elastic ratios; from memory).
const woodAcross = 1.3

// softer lets a rib of wood or plywood give by shear. Bar and sheet together have the bending stiffness EI of the bonded section; pushed in the
// middle, a beam of length L gives F·L³/48·EI from bending and F·L/4·GA from shear (Timoshenko; A five sixths of the bar): as much as
// one of EI/(1 + 12·EI/(GA·L²)). Both parts of EI, the bar's own and its pull, are made softer alike. For an even push over its length
// the number is 9.6, for one at a quarter 16. What a bar of an even material gives by shear is in the movement from shear and in the
// inset, which were held against solids: here is what it gives beyond that.
func (p *Plate) softer(r *ribRun, bar Rib) {
	beyond := 0.0 // of 1/G
	if bar.Shear > 0 && bar.Young > 0 {
		beyond = 1/bar.Shear - 2*(1+bar.Poisson)/bar.Young
	}
	if !(beyond > 0) || r.length <= 0 {
		return
	}
	st := &p.st
	flange := st.young(r.dir) * st.t * flangeWidth(st, r.length)
	pull := r.ea * flange / (r.ea + flange)
	ei := r.ei + pull*r.e*r.e
	// the bar is the web of a T: its shear flows on into the flange, and falls off to the bar's lower edge like a parabola
	web := 1 + 0.75*st.t/bar.Height
	k := 1 / (1 + 12*ei*beyond/(5.0/6*bar.Width*bar.Height*web*web*r.length*r.length))
	r.ei *= k
	r.ea = k * pull * flange / (flange - k*pull)
}

// flangeWidth is the width of sheet that works with a rib of some length (von Kármán).
func flangeWidth(st *stiffness, length float64) float64 {
	nu := st.a12 / math.Sqrt(st.a11*st.a22)
	return 4 * length / (math.Pi * (3 + 2*nu - nu*nu))
}

// flanges gives the ribs the bending that they have together with a part of the sheet as their flange, when that is asked for in
// place of stretching: von Kármán's width, but no more than half way to the next rib and all the way to the sheet's edge.
func (p *Plate) flanges(outline *shape) {
	if p.model.Options.Ribs != EffectiveWidth {
		return
	}
	st := &p.st
	for i := range p.ribs {
		r := &p.ribs[i]
		wide := flangeWidth(st, r.length)
		room := 0.0
		for _, side := range [2]vec{r.n, r.n.Mul(-1)} {
			room += p.flangeRoom(outline, i, side, wide/2)
		}
		flange := st.young(r.dir) * st.t * room
		ea := r.ea / (1 + math.Pi*math.Pi*r.ea*r.slip/(r.length*r.length))
		r.ei += ea * flange / (ea + flange) * r.e * r.e
	}
}

// flangeRoom gives how much of a flange of the given width finds room on one side of rib i: the mean over three places along it.
func (p *Plate) flangeRoom(outline *shape, i int, side vec, wide float64) float64 {
	r := &p.ribs[i]
	sum := 0.0
	for _, t := range [3]float64{1. / 6, 0.5, 5. / 6} {
		from := r.a.Add(r.b.Sub(r.a).Mul(t))
		room := wide
		for k := range outline.runs {
			if d, ok := meets(from, side, outline.runs[k].a, outline.runs[k].b); ok {
				room = min(room, d)
			}
		}
		for k := range p.ribs {
			if d, ok := meets(from, side, p.ribs[k].a, p.ribs[k].b); ok && k != i {
				room = min(room, d/2)
			}
		}
		sum += room / 3
	}
	return sum
}

// meets gives how far from a point, in a direction of length 1, the straight line from a to b is met.
func meets(from, dir, a, b vec) (float64, bool) {
	d := b.Sub(a)
	k := dir.Cross(d)
	if k == 0 {
		return 0, false
	}
	w := a.Sub(from)
	t, s := w.Cross(d)/k, w.Cross(dir)/k
	return t, t > 0 && s >= 0 && s <= 1
}

// torsion gives Saint-Venant's constant of a rectangle, within a thousandth: J = a·b³·(1/3 - 0.21·b/a·(1 - b⁴/(12·a⁴))), a ≥ b.
func torsion(a, b float64) float64 {
	if a < b {
		a, b = b, a
	}
	q := b / a
	return a * b * b * b * (1.0/3 - 0.21*q*(1-q*q*q*q/12))
}

// ribWants asks for grid lines at the ends and sides of ribs that lie along the grid.
func (p *Plate) ribWants(w *wants) {
	for i := range p.ribs {
		r := &p.ribs[i]
		if r.dir.X != 0 && r.dir.Y != 0 {
			continue
		}
		side := r.n.Mul(r.width / 2)
		w.segment(r.a.Add(side), r.b.Add(side), 3, true)
		w.segment(r.a.Sub(side), r.b.Sub(side), 3, false)
	}
}

// placeRibs adds the ribs' own stiffness, and finds where the bonds of their pull go.
func (p *Plate) placeRibs() {
	for k := range p.ribs {
		r := &p.ribs[k]
		side := r.n.Mul(r.width / 2 / math.Sqrt(3))
		r.pieces = p.split(r.a, r.b)
		r.left, r.right = p.split(r.a.Add(side), r.b.Add(side)), p.split(r.a.Sub(side), r.b.Sub(side))
		covered := 0.0
		for _, s := range r.pieces {
			covered += s.b.Sub(s.a).Len()
		}
		for _, s := range r.pieces {
			p.ribPiece(r, s, r.ei, 0, 0)
			p.ribShear(r, s)
		}
		if !p.ribLined(r) {
			for _, s := range r.pieces {
				p.ribPiece(r, s, 0, r.gj, p.ribAcross(r, s.cell))
			}
		} else {
			for _, line := range [2][]stretch{r.left, r.right} {
				for _, s := range line {
					p.ribPiece(r, s, 0, r.gj/2, r.width/2*max(0, r.dn-p.st.bend(r.n)))
				}
			}
		}
		if p.model.Options.Ribs == Membrane {
			p.ribStops(r)
		}
	}
}

// ribLined reports whether both sides of a rib have grid lines of their own.
func (p *Plate) ribLined(r *ribRun) bool {
	g := &p.grid
	side := r.n.Mul(r.width / 2)
	a, b := r.a.Add(side), r.a.Sub(side)
	hair := 1e-6 * g.h
	switch {
	case r.dir.Y == 0:
		return onLines(g.ys, a.Y, hair) && onLines(g.ys, b.Y, hair)
	case r.dir.X == 0:
		return onLines(g.xs, a.X, hair) && onLines(g.xs, b.X, hair)
	}
	return false
}

func onLines(xs []float64, x, hair float64) bool { return math.Abs(xs[nearest(xs, x)]-x) <= hair }

// ribAcross gives what a rib without grid lines of its own adds to the stiffness across it, summed over its width. A cell wider
// than the rib cannot bend beside it and stay straight under it: the cell as a whole gets as much stiffer as if that part of
// its width did not bend. Where the rib is wider than the cells, the sheet under it is as stiff as both together.
func (p *Plate) ribAcross(r *ribRun, cell int) float64 {
	d := p.st.bend(r.n)
	if r.dn <= d {
		return 0
	}
	g := &p.grid
	i, j := cell%g.nx(), cell/g.nx()
	wide := 1 / max(math.Abs(r.n.X)/(g.xs[i+1]-g.xs[i]), math.Abs(r.n.Y)/(g.ys[j+1]-g.ys[j]))
	part := min(r.width*(1-d/r.dn), 0.9*wide)
	return min(d*wide*part/(wide-part), r.width*(r.dn-d))
}

// ribPiece adds bending, twist and cross bending along a stretch.
func (p *Plate) ribPiece(r *ribRun, s stretch, ei, gj, dn float64) {
	e := extra{cell: s.cell, bend: new(bending)}
	d := s.b.Sub(s.a)
	l := d.Len()
	for _, q := range gauss4 {
		f := p.fieldAt(s.cell, s.a.Add(d.Mul(q[0])))
		w := q[1] * l
		if ei > 0 {
			row := f.curve(r.dir, r.dir)
			e.bend.addRow(&row, w*ei)
		}
		if gj > 0 {
			row := f.curve(r.dir, r.n)
			e.bend.addRow(&row, w*gj)
		}
		if dn > 0 {
			row := f.curve(r.n, r.n)
			e.bend.addRow(&row, w*dn)
		}
	}
	p.extras = append(p.extras, e)
}

// ribShear adds the rib's share of the shear.
func (p *Plate) ribShear(r *ribRun, s stretch) {
	for _, s := range p.splitFine(s) {
		e := shearExtra{s.cell, new(shearing)}
		i, j := s.cell%p.fine.nx(), s.cell/p.fine.nx()
		d := s.b.Sub(s.a)
		var bx, by basis
		for _, q := range gauss2 {
			at := s.a.Add(d.Mul(q[0]))
			a, b := p.fine.xs[i+1]-p.fine.xs[i], p.fine.ys[j+1]-p.fine.ys[j]
			bx.setLinear((at.X-p.fine.xs[i])/a, a)
			by.setLinear((at.Y-p.fine.ys[j])/b, b)
			var row [4]float64
			for k := range 4 {
				row[k] = r.dir.X*bx.g[k&1]*by.l[k>>1] + r.dir.Y*bx.l[k&1]*by.g[k>>1]
			}
			e.shear.addRow(&row, q[1]*d.Len()*r.shear)
		}
		p.shearExtras = append(p.shearExtras, e)
	}
}

// ribStops divides a rib into segments of even pull: at the grid lines it crosses, short ones joined. A segment may pass over an
// opening, but begins and ends on the sheet.
func (p *Plate) ribStops(r *ribRun) {
	least := p.grid.h / 2
	side := r.n.Mul(r.width / 2 / math.Sqrt(3))
	lies := func(t float64) bool {
		q := r.a.Add(r.dir.Mul(t))
		for _, s := range [3]vec{{}, side, side.Mul(-1)} {
			if _, ok := p.cellAt(q.Add(s)); !ok {
				return false
			}
		}
		return true
	}
	ts := []float64{0}
	for _, s := range r.pieces {
		ts = append(ts, s.a.Sub(r.a).Dot(r.dir), s.b.Sub(r.a).Dot(r.dir))
	}
	ts = append(ts, r.length)
	ts = slices.DeleteFunc(ts, func(t float64) bool { return !lies(t) })
	if len(ts) < 2 {
		return
	}
	slices.Sort(ts)
	last := ts[len(ts)-1]
	r.stops = append(r.stops[:0], ts[0])
	for _, t := range ts[1 : len(ts)-1] {
		if t-r.stops[len(r.stops)-1] > least && last-t > least {
			r.stops = append(r.stops, t)
		}
	}
	if last-r.stops[len(r.stops)-1] > 1e-6*r.length {
		r.stops = append(r.stops, last)
	}
}
