package intake

import (
	"math"

	"knobwright/internal/geom"
)

// Form names a shape that a drill, a saw or a file makes.
type Form string

// The forms.
const (
	Round   Form = "round"
	Rect    Form = "rect"
	Slot    Form = "slot"
	DoubleD Form = "double-d"
	SingleD Form = "single-d"
	Notched Form = "notched" // round, with a key notch
	Other   Form = "other"
)

// Shape is what a closed curve is. W and H are along its own axes, before Turn: of a round hole both are the diameter; of a D hole and of a notched
// one W is the diameter and H goes from the flat, or from the bottom of the notch, to the other side.
type Shape struct {
	Form   Form
	At     geom.Vec2
	W, H   float64
	Corner float64
	Turn   float64 // degrees, in (-90, 90]
}

// near is how far a curve may lie off the form that it is taken for, as a part of its size: drawing programs make circles of curves that
// are off by a few ten-thousandths.
const near = 3e-3

// recognise says what a curve is.
func recognise(o geom.Outline) Shape {
	if c, d, ok := o.AsCircle(); ok {
		return Shape{Form: Round, At: c, W: d, H: d}
	}
	b := o.Bounds()
	size := max(b.Max.X-b.Min.X, b.Max.Y-b.Min.Y)
	tol := max(near*size, 1e-9)
	ps := dense(o, tol/8)
	mid := geom.Vec2{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}
	if len(ps) >= 12 {
		if r := math.Sqrt(o.Area() / math.Pi); ring(ps, mid, r, tol) {
			// chords lie inside the circle: the corners are on it
			most := 0.0
			for _, v := range o {
				most = max(most, v.P.Sub(mid).Len())
			}
			return Shape{Form: Round, At: mid, W: 2 * most, H: 2 * most}
		}
	}
	for _, turn := range directions(o) {
		if s, ok := boxed(o, ps, turn, tol); ok {
			return s
		}
	}
	for _, turn := range directions(o) {
		if s, ok := flatted(o, ps, turn, tol); ok {
			return s
		}
		if s, ok := keyed(o, ps, turn, tol); ok {
			return s
		}
	}
	return Shape{Form: Other, At: mid, W: b.Max.X - b.Min.X, H: b.Max.Y - b.Min.Y}
}

// dense gives points on a curve: its corners and points between, also on straight edges.
func dense(o geom.Outline, tol float64) []geom.Vec2 {
	flat := o.Flatten(tol)
	long := 0.0
	for i, p := range flat {
		long += flat[(i+1)%len(flat)].Sub(p).Len()
	}
	step := long / 48
	var out []geom.Vec2
	for i, p := range flat {
		q := flat[(i+1)%len(flat)]
		n := max(1, int(q.Sub(p).Len()/step))
		for k := range n {
			out = append(out, p.Add(q.Sub(p).Mul(float64(k)/float64(n))))
		}
	}
	return out
}

func ring(ps []geom.Vec2, mid geom.Vec2, r, tol float64) bool {
	for _, p := range ps {
		if math.Abs(p.Sub(mid).Len()-r) > 2*tol {
			return false
		}
	}
	return true
}

// directions gives the turns to try, in radians, at most an eighth of a turn: along or across the longest straight edge, and upright.
func directions(o geom.Outline) []float64 {
	long, turn := 0.0, 0.0
	for i, v := range o {
		if v.Bulge != 0 {
			continue
		}
		if d := o[(i+1)%len(o)].P.Sub(v.P); d.Len() > long {
			long, turn = d.Len(), math.Atan2(d.Y, d.X)
		}
	}
	turn = math.Mod(turn+2*math.Pi, math.Pi/2)
	if turn > math.Pi/4+1e-9 {
		turn -= math.Pi / 2
	}
	if math.Abs(turn) < 1e-7 {
		return []float64{0}
	}
	return []float64{turn, 0}
}

// boxed tries the curve as a rectangle with round corners; with half-round ends it is a slot.
func boxed(o geom.Outline, ps []geom.Vec2, turn, tol float64) (Shape, bool) {
	s, c := math.Sincos(-turn)
	rot := func(p geom.Vec2) geom.Vec2 { return geom.Vec2{X: p.X*c - p.Y*s, Y: p.X*s + p.Y*c} }
	b := o.Move(geom.Place{Turn: -turn * 180 / math.Pi}).Bounds()
	w, h := b.Max.X-b.Min.X, b.Max.Y-b.Min.Y
	if w < tol || h < tol {
		return Shape{}, false
	}
	lack := w*h - o.Area()
	r := 0.0
	if lack > 0 {
		r = math.Sqrt(lack / (4 - math.Pi))
	}
	half := min(w, h) / 2
	if r > half*1.02+tol {
		return Shape{}, false
	}
	r = min(r, half)
	if r < tol {
		r = 0
	}
	m := geom.Vec2{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}
	on := func(r float64) bool {
		for _, p := range ps {
			q := rot(p).Sub(m)
			dx, dy := math.Abs(q.X)-(w/2-r), math.Abs(q.Y)-(h/2-r)
			if d := math.Hypot(max(dx, 0), max(dy, 0)) + min(max(dx, dy), 0) - r; math.Abs(d) > tol {
				return false
			}
		}
		return true
	}
	if !on(r) {
		if r = 0; !on(r) {
			return Shape{}, false
		}
	}
	at := geom.Vec2{X: m.X*c + m.Y*s, Y: -m.X*s + m.Y*c}
	sh := Shape{Form: Rect, At: at, W: w, H: h, Corner: r, Turn: turn * 180 / math.Pi}
	if r > half*0.97 {
		sh.Form, sh.Corner = Slot, 0
		if sh.H > sh.W {
			sh.W, sh.H, sh.Turn = sh.H, sh.W, sh.Turn+90
		}
		if sh.Turn > 90 {
			sh.Turn -= 180
		}
	}
	return sh, true
}

// flatted tries the curve as a circle with one flat or two.
func flatted(o geom.Outline, ps []geom.Vec2, turn, tol float64) (Shape, bool) {
	for _, extra := range []float64{0, math.Pi / 2} {
		t := turn + extra
		s, c := math.Sincos(-t)
		b := o.Move(geom.Place{Turn: -t * 180 / math.Pi}).Bounds()
		qs := make([]geom.Vec2, len(ps))
		for i, p := range ps {
			qs[i] = geom.Vec2{X: p.X*c - p.Y*s, Y: p.X*s + p.Y*c}
		}
		d, h := b.Max.X-b.Min.X, b.Max.Y-b.Min.Y
		if h >= d-2*tol || h < d/2 {
			continue // the flats are across y; less than half a circle is no D
		}
		for _, kind := range []Form{DoubleD, SingleD} {
			for _, up := range []float64{1, -1} { // where the flat of a single D is
				m := geom.Vec2{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}
				lo, hi := -h/2, h/2
				if kind == SingleD {
					if up > 0 {
						m.Y, lo, hi = b.Min.Y+d/2, -d/2, h-d/2
					} else {
						m.Y, lo, hi = b.Max.Y-d/2, d/2-h, d/2
					}
				}
				good := true
				for _, q := range qs {
					v := q.Sub(m)
					onRing := math.Abs(v.Len()-d/2) <= tol
					onFlat := v.Len() <= d/2+tol && (math.Abs(v.Y-lo) <= tol || math.Abs(v.Y-hi) <= tol)
					if !onRing && !onFlat {
						good = false
						break
					}
				}
				if !good {
					continue
				}
				deg := t * 180 / math.Pi
				if kind == SingleD && up < 0 {
					deg += 180
				}
				return Shape{Form: kind, At: geom.Vec2{X: m.X*c + m.Y*s, Y: -m.X*s + m.Y*c}, W: d, H: h, Turn: tidyTurn(deg, kind)}, true
			}
		}
	}
	return Shape{}, false
}

// keyed tries the curve as a circle with a square notch that points along the turn, or across it.
func keyed(o geom.Outline, ps []geom.Vec2, turn, tol float64) (Shape, bool) {
	for quarter := range 4 {
		t := turn + float64(quarter)*math.Pi/2
		s, c := math.Sincos(-t)
		b := o.Move(geom.Place{Turn: -t * 180 / math.Pi}).Bounds()
		qs := make([]geom.Vec2, len(ps))
		for i, p := range ps {
			qs[i] = geom.Vec2{X: p.X*c - p.Y*s, Y: p.X*s + p.Y*c}
		}
		d, h := b.Max.X-b.Min.X, b.Max.Y-b.Min.Y
		deep := h - d
		if deep < 4*tol || deep > d/2 {
			continue
		}
		m := geom.Vec2{X: (b.Min.X + b.Max.X) / 2, Y: b.Min.Y + d/2}
		wide := 0.0
		for _, q := range qs {
			if q.Sub(m).Len() > d/2+2*tol {
				wide = max(wide, 2*math.Abs(q.X-m.X))
			}
		}
		if wide <= 0 || wide > d/2 {
			continue
		}
		good := true
		for _, q := range qs {
			v := q.Sub(m)
			onRing := math.Abs(v.Len()-d/2) <= 2*tol
			onSide := v.Y > 0 && v.Len() >= d/2-2*tol && math.Abs(math.Abs(v.X)-wide/2) <= 2*tol
			onTop := math.Abs(v.Y-(h-d/2)) <= 2*tol && math.Abs(v.X) <= wide/2+2*tol
			if !onRing && !onSide && !onTop {
				good = false
				break
			}
		}
		if good {
			return Shape{Form: Notched, At: geom.Vec2{X: m.X*c + m.Y*s, Y: -m.X*s + m.Y*c}, W: d, H: h, Turn: tidyTurn(t*180/math.Pi, SingleD)}, true
		}
	}
	return Shape{}, false
}

func tidyTurn(deg float64, f Form) float64 {
	whole := 180.0
	if f == SingleD || f == Notched {
		whole = 360
	}
	deg = math.Mod(deg, whole)
	if deg > whole/2 {
		deg -= whole
	}
	if deg <= -whole/2 {
		deg += whole
	}
	return deg
}
