package drilling

import (
	"math"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// form is the kind of an opening.
type form int

const (
	unknown form = iota
	round
	rect
	slot
	doubleD
	singleD
	notched
)

// shape is an opening as it is cut in the bare sheet, in its own frame: origin at the middle of the opening, x along its
// length, turned onto the face by at. Sizes are the ones to aim for; lo and hi are what may be added to every
// one of them (lo is 0 or negative).
type shape struct {
	form   form
	at     geom.Place
	d      float64 // diameter of round forms
	w, h   float64 // rect: width and height; slot: overall length and width
	across float64 // double-D: across the flats; single-D: flat to the opposite side; notched: bottom of the notch to the opposite side
	notch  float64 // width of the notch
	corner float64 // rect: largest corner radius that still fits; 0 = sharp
	lo, hi float64
	blind  float64
}

const (
	smallest = 0.3  // mm: below that nothing is drilled by hand
	largest  = 2000 // mm: above that it is no opening of a panel
)

func sane(vs ...float64) bool {
	for _, v := range vs {
		if !(v >= smallest && v <= largest) {
			return false
		}
	}
	return true
}

// shapeOf reads the opening of a cut. ok is false when it has no usable size or place.
func shapeOf(c *panel.Cut) (s shape, ok bool) {
	s.at = geom.Place{At: c.At.Vec2, Turn: c.Turn}
	if math.IsNaN(c.At.X+c.At.Y+c.Turn) || math.IsInf(c.At.X+c.At.Y+c.Turn, 0) || math.Abs(c.At.X)+math.Abs(c.At.Y) > 1e6 {
		return s, false
	}
	if c.Blind > 0 && c.Blind <= largest {
		s.blind = c.Blind
	}
	// Aim for the nominal size, shifted by what the covering takes at the hole.
	cover := c.CutMin - c.FinishedMin
	aim := c.Nominal + cover
	if c.FinishedMin == 0 && c.FinishedMax == 0 {
		cover, aim = 0, c.Nominal
	}
	lo, hi := c.CutMin, c.CutMax
	if lo == 0 && hi == 0 {
		lo, hi = aim, aim
	}
	if !sane(aim, lo, hi) {
		return s, false
	}
	if lo > hi {
		lo, hi = hi, lo
	}
	aim = min(max(aim, lo), hi)
	s.lo, s.hi = lo-aim, hi-aim
	grow := aim - c.Nominal // what every size of the record grows by

	sp := c.Spec
	switch {
	case sp.Rect != nil:
		s.form, s.w, s.h = rect, sp.Rect[0].MM()+grow, sp.Rect[1].MM()+grow
		s.corner = min(max(sp.Corner.MM(), 0), min(s.w, s.h)/2)
		return s, sane(s.w, s.h) && !math.IsNaN(s.corner)
	case sp.Slot != nil:
		s.form, s.w, s.h = slot, sp.Slot[0].MM()+grow, sp.Slot[1].MM()+grow
		if !sane(s.w, s.h) {
			return s, false
		}
		if s.w < s.h { // a slot wider than long is the same slot, turned
			s.w, s.h = s.h, s.w
			s.at.Turn += 90
		}
		if s.w-s.h < 0.02 {
			s.form, s.d = round, s.h
		}
		return s, true
	case sp.DoubleD != nil:
		s.form, s.d, s.across = doubleD, sp.DoubleD[0].MM()+grow, sp.DoubleD[1].MM()+grow
	case sp.SingleD != nil:
		s.form, s.d, s.across = singleD, sp.SingleD[0].MM()+grow, sp.SingleD[1].MM()+grow
	case sp.Notch != nil:
		s.form, s.d, s.across, s.notch = notched, aim, sp.Notch.Height.MM()+grow, sp.Notch.Width.MM()+grow
		if !sane(s.across, s.notch) || s.across <= s.d || s.notch >= s.d {
			s.form = round // a notch that cannot be is no notch
		}
		return s, sane(s.d)
	case sp.Round > 0:
		s.form, s.d = round, aim
		return s, sane(s.d)
	default:
		_, d, isCircle := c.Outline.AsCircle()
		s.form, s.d = round, aim
		return s, isCircle && sane(s.d, d)
	}
	if !sane(s.d, s.across) {
		return s, false
	}
	if s.across >= s.d {
		s.form = round
	}
	return s, true
}

// spot puts a point of the opening's own frame onto the face.
func (s shape) spot(x, y float64) geom.Vec2 { return s.at.Apply(geom.Vec2{X: x, Y: y}) }

// inscribed gives the largest circle inside a flatted hole: its middle and diameter.
func (s shape) inscribed() (mid geom.Vec2, d float64) {
	switch s.form {
	case doubleD:
		return geom.Vec2{}, s.across
	case singleD:
		return geom.Vec2{Y: -(s.d - s.across) / 2}, s.across
	}
	return geom.Vec2{}, s.d
}

// left is the most sheet, measured outwards, between a circle of diameter d round the middle of the inscribed circle and
// the line of a flatted hole.
func (s shape) left(d float64) float64 {
	switch s.form {
	case doubleD: // the round sides are all at d/2
		return max(s.d-d, 0) / 2
	case singleD: // farthest: where the flat meets the round
		r, k := s.d/2, (s.d-s.across)/2
		y := s.across - r
		return max(math.Sqrt(max(r*r+2*k*y+k*k, 0))-d/2, 0)
	}
	return max(s.d-d, 0) / 2
}

// side names a direction of the opening's own frame as it lies on the face: "at the top".
func (s shape) side(deg float64) string {
	t := math.Mod(math.Mod(s.at.Turn+deg, 360)+360, 360)
	names := [8]string{
		"at the right", "at the upper right", "at the top", "at the upper left", "at the left", "at the lower left", "at the bottom",
		"at the lower right",
	}
	return names[int(math.Round(t/45))%8]
}
