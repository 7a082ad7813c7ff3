package geom

import "math"

// Rect is an upright rectangle about c, w wide and h high, its corners rounded with radius corner (held to what fits).
// It is nil when w or h is not positive.
func Rect(c Vec2, w, h, corner float64) Outline {
	if !(w > 0) || !(h > 0) {
		return nil
	}
	x, y := w/2, h/2
	r := min(max(corner, 0), x, y)
	if !(r > 0) {
		return Outline{
			{Vec2{c.X - x, c.Y - y}, 0}, {Vec2{c.X + x, c.Y - y}, 0},
			{Vec2{c.X + x, c.Y + y}, 0}, {Vec2{c.X - x, c.Y + y}, 0},
		}
	}
	if r == x && r == y {
		return Circle(c, w)
	}
	k := math.Tan(math.Pi / 8)
	o := make(Outline, 0, 8)
	add := func(px, py, bulge float64) {
		p := Vec2{c.X + px, c.Y + py}
		if n := len(o); n > 0 && o[n-1].P == p {
			n--
			o[n].Bulge = bulge // the straight part between two corners has no length
			return
		}
		o = append(o, Vertex{p, bulge})
	}
	switch {
	case r == y: // round ends left and right
		add(-x+r, -y, 0)
		add(x-r, -y, 1)
		add(x-r, y, 0)
		add(-x+r, y, 1)
	case r == x: // round ends above and below
		add(x, -y+r, 0)
		add(x, y-r, 1)
		add(-x, y-r, 0)
		add(-x, -y+r, 1)
	default:
		add(-x+r, -y, 0)
		add(x-r, -y, k)
		add(x, -y+r, 0)
		add(x, y-r, k)
		add(x-r, y, 0)
		add(-x+r, y, k)
		add(-x, y-r, 0)
		add(-x, -y+r, k)
	}
	return o
}

// Slot is a slot along x about c: length overall, width across, its ends round. When length is less than width the slot
// stands upright.
func Slot(c Vec2, length, width float64) Outline {
	return Rect(c, length, width, min(length, width)/2)
}

// DoubleD is a circle of diameter d about c with two flats parallel to x, flats apart. Without room for flats it is the circle.
func DoubleD(c Vec2, d, flats float64) Outline {
	if !(d > 0) || !(flats > 0) {
		return nil
	}
	if flats >= d {
		return Circle(c, d)
	}
	r, f := d/2, flats/2
	x := math.Sqrt((r - f) * (r + f))
	k := math.Tan(math.Asin(f/r) / 2)
	return Outline{
		{Vec2{c.X + x, c.Y - f}, k}, {Vec2{c.X + x, c.Y + f}, 0},
		{Vec2{c.X - x, c.Y + f}, k}, {Vec2{c.X - x, c.Y - f}, 0},
	}
}

// SingleD is a circle of diameter d about c with one flat at the top; height is measured from the flat to the opposite
// side. When height is not less than d it is the circle.
func SingleD(c Vec2, d, height float64) Outline {
	if !(d > 0) || !(height > 0) {
		return nil
	}
	if height >= d {
		return Circle(c, d)
	}
	r := d / 2
	y := height - r
	x := math.Sqrt(max(0, (r-y)*(r+y)))
	k := math.Tan((math.Pi - math.Atan2(x, y)) / 4) // each half of the round part turns through π minus half the flat's angle
	return Outline{{Vec2{c.X - x, c.Y + y}, k}, {Vec2{c.X, c.Y - r}, k}, {Vec2{c.X + x, c.Y + y}, 0}}
}

// NotchedCircle is a round hole of diameter d about c with a key notch upwards: notchWidth wide, and overall high from
// the bottom of the circle to the end of the notch. When overall is less than d the key stands inwards instead. Without
// a notch it is the circle. The outline is not convex.
func NotchedCircle(c Vec2, d, notchWidth, overall float64) Outline {
	if !(d > 0) {
		return nil
	}
	if !(notchWidth > 0) || notchWidth >= d || !(overall > 0) || overall == d {
		return Circle(c, d)
	}
	r, w := d/2, notchWidth/2
	foot := math.Sqrt((r - w) * (r + w))
	end := overall - r
	if math.Abs(end-foot) < tiny {
		end = foot
	}
	k := math.Tan((math.Pi - math.Asin(w/r)) / 4)
	o := Outline{{Vec2{c.X - w, c.Y + foot}, k}, {Vec2{c.X, c.Y - r}, k}, {Vec2{c.X + w, c.Y + foot}, 0}}
	if end != foot {
		o = append(o, Vertex{Vec2{c.X + w, c.Y + end}, 0}, Vertex{Vec2{c.X - w, c.Y + end}, 0})
	}
	return o
}

// Hexagon is a regular hexagon about c with two flats parallel to x, acrossFlats apart.
func Hexagon(c Vec2, acrossFlats float64) Outline {
	if !(acrossFlats > 0) {
		return nil
	}
	y := acrossFlats / 2
	x := acrossFlats / math.Sqrt(3)
	return Outline{
		{Vec2{c.X + x, c.Y}, 0}, {Vec2{c.X + x/2, c.Y + y}, 0}, {Vec2{c.X - x/2, c.Y + y}, 0},
		{Vec2{c.X - x, c.Y}, 0}, {Vec2{c.X - x/2, c.Y - y}, 0}, {Vec2{c.X + x/2, c.Y - y}, 0},
	}
}

// Polygon is the outline through the points in order, turned counter-clockwise where needed. Repeated points are left
// out; fewer than three, or points on one line, give nil. The points must not make a line that crosses itself.
func Polygon(pts ...Vec2) Outline {
	var o Outline
	for _, p := range pts {
		if n := len(o); n > 0 && o[n-1].P == p {
			continue
		}
		o = append(o, Vertex{P: p})
	}
	for len(o) > 1 && o[0].P == o[len(o)-1].P {
		o = o[:len(o)-1]
	}
	if len(o) < 3 {
		return nil
	}
	switch a := o.signedArea(); {
	case a < 0:
		for i, j := 1, len(o)-1; i < j; i, j = i+1, j-1 {
			o[i], o[j] = o[j], o[i]
		}
	case !(a > 0):
		return nil
	}
	return o
}
