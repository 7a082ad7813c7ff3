package carcass

import (
	"fmt"
	"math"

	"knobwright/internal/geom"
)

// checkNumbers judges every number of the order by itself.
func (s Spec) checkNumbers() (ps problems) {
	z, b := s.Sizes, s.Build
	if s.Form < Flat || s.Form > Rack {
		ps.add(Problem{Kind: NotASize, Text: "There is no such form of box."})
		return ps
	}
	size := func(name Field, v float64, unit string) bool {
		switch {
		case math.IsNaN(v) || math.IsInf(v, 0):
			ps.add(Problem{Kind: NotASize, Text: fmt.Sprintf("The %s is no number.", name), Ends: []End{{name, 0, unit}}})
		case v < 0:
			ps.add(Problem{Kind: NotASize, Text: fmt.Sprintf("The %s is below nothing: %s.", name, End{name, v, unit}.number()), Ends: []End{{name, v, unit}}, Have: v})
		case v > maxSize:
			ps.add(Problem{Kind: NotASize, Text: fmt.Sprintf("The %s is %s; no box for a table is longer than %s.", name, mm(v), mm(maxSize)), Ends: []End{{name, v, unit}}, Have: v, Want: maxSize, AtMost: true})
		default:
			return true
		}
		return false
	}
	for _, f := range []struct {
		name Field
		v    float64
	}{
		{FWidth, z.Width}, {FDepth, z.Depth}, {FFrontHeight, z.FrontHeight}, {FBackHeight, z.BackHeight}, {FFaceWidth, z.FaceWidth},
		{FFaceHeight, z.FaceHeight}, {FClear, z.Clear}, {FHandRest, z.HandRest}, {FUpperHeight, z.UpperHeight}, {FMiddleHeight, z.MiddleHeight},
		{"overhang", b.Overhang}, {"play of the face", b.Play}, {"lift of the base", b.BaseUp}, {"play of the base", b.BasePlay},
		{"thickness of the hand rest", b.HandRest}, {"thickness of the upper face", b.Upper}, {"thickness of the top", b.Top}, {"depth of the rebate", b.RebateDepth}, {"width of the rebate", b.RebateWidth},
		{"ledge's width", b.Ledge.Width}, {"ledge's height", b.Ledge.Height}, {"cleat's width", b.Cleat.Width}, {"cleat's height", b.Cleat.Height},
		{"size of the glue blocks", b.Blocks.Size}, {"height of the glue blocks", b.Blocks.Height}, {"width of a finger", b.Fingers.Width}, {"kerf", b.Fingers.Kerf},
	} {
		size(f.name, f.v, "mm")
	}
	for _, f := range []struct {
		name Field
		v    float64
		most float64
	}{{FSlope, z.Slope, MaxSlope}, {FUpperSlope, z.UpperSlope, MaxSlope}} {
		if s.Form == Rack {
			f.most = 90
		}
		if size(f.name, f.v, "deg") && f.v > f.most {
			wall := "a face steeper than %s is a wall"
			if s.Form == Rack {
				wall = "a panel beyond %s hangs over"
			}
			ps.add(Problem{Kind: NoBox, Text: fmt.Sprintf("The %s is %s; "+wall+".", f.name, deg(f.v), deg(f.most)), Ends: []End{{f.name, f.v, "deg"}}, Have: f.v, Want: f.most, AtMost: true})
		}
	}
	if z.Units < 0 || z.Units > 60 {
		ps.add(Problem{Kind: NotASize, Text: fmt.Sprintf("A rack panel of %d units is none.", z.Units), Ends: []End{{FUnits, float64(z.Units), ""}}, Have: float64(z.Units), Want: 1})
	}
	thick := func(name Field, v float64) {
		if size(name, v, "mm") && v < 0.1 {
			ps.add(Problem{Kind: Missing, Text: fmt.Sprintf("The %s is missing. Measure the board.", name), Ends: []End{{name, v, "mm"}}, Have: v, Want: 0.1})
		}
	}
	thick("thickness of the walls", b.Wall)
	thick("thickness of the face", b.Face)
	if b.BaseFit != NoBase {
		thick("thickness of the base", b.Base)
	}
	if len(ps) == 0 {
		s.checkBuild(&ps)
	}
	return ps
}

// checkBuild judges the way of building by itself.
func (s Spec) checkBuild(ps *problems) {
	b := s.Build
	known := b.Corner >= Butt && b.Corner <= Fingered && (b.Through == FrontBack || b.Through == Sides) && b.FaceFit >= On && b.FaceFit <= In &&
		b.RestFit >= On && b.RestFit <= In && b.BaseFit >= Under && b.BaseFit <= NoBase && b.FaceEdges >= Usual && b.FaceEdges <= FrontBevelled &&
		b.BaseEdges >= Usual && b.BaseEdges <= FrontBevelled && b.WallEdges >= Usual && b.WallEdges <= Bevelled && b.Meeting >= HalfEach && b.Meeting <= SecondSquare
	if !known {
		ps.add(Problem{Kind: NotASize, Text: "There is no such joint or fit."})
		return
	}
	switch b.Corner {
	case Rebated:
		d, w := s.rebate()
		if d > b.Wall-0.1 {
			ps.add(Problem{Kind: NoRoom, Text: fmt.Sprintf("The rebate is %s deep, the board %s thick: nothing is left of its end.", mm(d), mm(b.Wall)), Ends: []End{{"depth of the rebate", d, "mm"}, {"thickness of the walls", b.Wall, "mm"}}, Have: d, Want: b.Wall - 0.1, AtMost: true})
		}
		if w > b.Wall+1e-9 {
			ps.add(Problem{Kind: NoRoom, Text: fmt.Sprintf("The rebate is %s wide, the board that sits in it %s thick: the rest would stay open.", mm(w), mm(b.Wall)), Ends: []End{{"width of the rebate", w, "mm"}, {"thickness of the walls", b.Wall, "mm"}}, Have: w, Want: b.Wall, AtMost: true})
		}
	case Fingered:
		f := b.Fingers
		if math.IsNaN(f.Clearance) || math.Abs(f.Clearance) > 5 {
			ps.add(Problem{Kind: NotASize, Text: "The play of the fingers is no play.", Ends: []End{{"play of the fingers", f.Clearance, "mm"}}})
		}
		if least := max(0.5, 4*math.Abs(f.Clearance)); f.Width < least {
			ps.add(Problem{Kind: Missing, Text: fmt.Sprintf("Fingers need a width: %s at least.", mm(least)), Ends: []End{{"width of a finger", f.Width, "mm"}}, Have: f.Width, Want: least})
		}
	}
	if s.Form == Rack {
		return
	}
	if b.FaceFit == On && b.Play > 0 {
		ps.add(Problem{Kind: NoUse, Text: "A face laid on has no play round it.", Ends: []End{{"play of the face", b.Play, "mm"}}, Have: b.Play, AtMost: true})
	}
	if b.FaceFit == In && b.Overhang > 0 {
		ps.add(Problem{Kind: NoUse, Text: "A face let in has no overhang.", Ends: []End{{"overhang", b.Overhang, "mm"}}, Have: b.Overhang, AtMost: true})
	}
}

// rebate gives depth and width of the corner rebates.
func (s Spec) rebate() (depth, width float64) {
	depth, width = s.Build.RebateDepth, s.Build.RebateWidth
	if depth == 0 {
		depth = s.Build.Wall / 2
	}
	if width == 0 {
		width = s.Build.Wall
	}
	return depth, width
}

// check judges the profile: whether every board and the room inside have something left.
func (s Spec) check(p *profile) (ps problems) {
	b, z := s.Build, s.Sizes
	for _, a := range []End{{FSlope, z.Slope, "deg"}, {FUpperSlope, z.UpperSlope, "deg"}} {
		most, least := float64(MaxSlope), 0.0
		if s.Form == Rack {
			most, least = 90, MinRack
		}
		switch {
		case s.Form != TwoSlope && a.Name == FUpperSlope || s.Form == Flat:
		case (s.Form == Wedge || s.Form == Desk) && math.Abs(a.Value) < 0.05:
			ps.add(Problem{Kind: NoBox, Text: fmt.Sprintf("The %s comes out at %s: front and back are equally high, and the face is level. Take the form flat, or make the back higher.", a.Name, deg(math.Abs(math.Round(a.Value*100)/100))), Ends: []End{a, {FBackHeight, z.BackHeight, "mm"}}, Have: a.Value, Want: 0.05})
		case a.Value > most+1e-9:
			ps.add(Problem{Kind: NoBox, Text: fmt.Sprintf("The %s comes out at %s; a face steeper than %s is a wall. Give the box more depth or less height behind.", a.Name, deg(a.Value), deg(most)), Ends: []End{a}, Have: a.Value, Want: most, AtMost: true})
		case a.Value < least-1e-9:
			ps.add(Problem{Kind: NoBox, Text: fmt.Sprintf("The %s comes out at %s; it must not be less than %s. Give the box more height behind.", a.Name, deg(a.Value), deg(least)), Ends: []End{a}, Have: a.Value, Want: least})
		}
	}
	if len(ps) > 0 {
		return ps
	}
	left := func(v float64, kind Kind, text string, ends ...End) {
		if !(v >= minLeft) {
			ps.add(Problem{Kind: kind, Text: fmt.Sprintf("%s %s too little.", text, mm(minLeft-math.Max(v, -maxSize))), Ends: ends, Have: v, Want: minLeft})
		}
	}
	wall := End{"thickness of the walls", b.Wall, "mm"}
	left(p.width-2*b.Wall, NoRoom, "The sides leave no room between them:", wall, End{FWidth, z.Width, "mm"})
	if s.Form == Rack {
		s.checkRack(p, left, &ps)
	} else {
		left(p.d-2*b.Wall, NoRoom, "Front and back leave no room between them:", wall, End{FDepth, z.Depth, "mm"})
	}
	if len(ps) > 0 {
		return ps
	}
	gap := func(top, bottom line, v float64) float64 { return top.at(v) - bottom.at(v) }
	last := p.tops[len(p.tops)-1]
	if p.hasFront {
		front := End{FFrontHeight, z.FrontHeight, "mm"}
		left(min(gap(p.tops[0].wallTop(), p.foot(), 0), gap(p.tops[0].wallTop(), p.foot(), b.Wall)), NoBox, "Nothing is left of the front:", front)
		left(gap(p.tops[0].under(), p.floor(), b.Wall), NoRoom, "Face and base leave no room at the front:", front, End{"thickness of the base", b.Base, "mm"}, End{"thickness of the face", b.Face, "mm"})
	}
	back := End{FBackHeight, z.BackHeight, "mm"}
	if last.outer.n.Y > 1e-9 {
		left(min(gap(s.backTop(p), p.foot(), p.d), gap(s.backTop(p), p.foot(), p.d-b.Wall)), NoBox, "Nothing is left of the back:", back)
		left(gap(last.under(), p.floor(), p.d-b.Wall), NoRoom, "Face and base leave no room at the back:", back)
	}
	for _, k := range p.tops {
		inner := k.under().meet(k.back).Sub(k.under().meet(k.front)).Dot(k.u)
		left(min(k.length(), inner), NoBox, fmt.Sprintf("Nothing is left of the %s:", k.name), End{FFaceHeight, k.length(), "mm"})
		left(k.x1-k.x0, NoRoom, fmt.Sprintf("Nothing is left of the %s across:", k.name), End{FFaceWidth, k.x1 - k.x0, "mm"})
	}
	if p.split {
		s.checkMeeting(p, left)
	}
	if b.BaseFit != NoBase {
		k := p.base
		inner := k.under().meet(k.back).Sub(k.under().meet(k.front)).Dot(k.u)
		if l := min(k.length(), inner, k.x1-k.x0); !(l >= minLeft) {
			ps.add(Problem{Kind: NoEntry, Text: fmt.Sprintf("The base cannot enter: it would be %s long.", mm(math.Max(l, -maxSize))), Ends: []End{{"thickness of the base", b.Base, "mm"}, {FSlope, z.Slope, "deg"}}, Have: l, Want: minLeft})
		}
	}
	return ps
}

// backTop is where the back wall ends above. A rack panel without a top covers it even when it is let in between the cheeks.
func (s Spec) backTop(p *profile) line {
	k := p.tops[len(p.tops)-1]
	if s.Form == Rack && len(p.tops) == 1 {
		return k.under()
	}
	return k.wallTop()
}

// checkMeeting holds the line where two tops meet to the room between front and back, above and below it.
func (s Spec) checkMeeting(p *profile, left func(float64, Kind, string, ...End)) {
	a, c := p.tops[0], p.tops[1]
	at := End{FHandRest, s.Sizes.HandRest, "mm"}
	if s.Form == TwoSlope {
		at = End{FFaceHeight, s.Sizes.FaceHeight, "mm"}
	}
	first, last := math.Inf(1), math.Inf(-1)
	for _, q := range []geom.Vec2{a.outer.meet(p.joint), a.under().meet(p.joint), c.under().meet(p.joint), c.outer.meet(p.joint)} {
		first, last = min(first, q.X), max(last, q.X)
		left(p.floor().d-p.floor().n.Dot(q), NoRoom, "The base leaves no room where "+a.name+" and "+c.name+" meet:", at)
	}
	left(first-p.wall, NoRoom, "The "+a.name+" meets the "+c.name+" over the front:", at)
	left(p.d-p.wall-last, NoRoom, "The "+a.name+" meets the "+c.name+" over the back:", at, End{FDepth, s.Sizes.Depth, "mm"})
}

// checkRack judges what only a rack has.
func (s Spec) checkRack(p *profile, left func(float64, Kind, string, ...End), ps *problems) {
	b, k := s.Build, p.tops[0]
	depth := End{FDepth, s.Sizes.Depth, "mm"}
	high := k.under().meet(k.back)
	if len(p.tops) > 1 {
		left(p.d-p.wall-max(high.X, k.under().meet(p.tops[1].under()).X), NoBox, "The panel leaves no depth for a top:", depth)
	} else {
		left(p.backIn().meet(p.floor()).X-k.under().meet(p.floor()).X, NoRoom, "The panel leaves no room before the back:", End{FSlope, s.Sizes.Slope, "deg"})
	}
	clear, what := p.width-2*b.Wall, "cheeks"
	if b.FaceFit == In {
		rail := b.Ledge.Width
		if b.Ledge.none() {
			rail = usualBatten.Width
		}
		clear, what = clear-2*rail, "ledges on the cheeks"
	}
	if clear < rackClear {
		must, ends := "Take thinner ones.", []End{{"thickness of the walls", b.Wall, "mm"}}
		if b.FaceFit == In && !b.Ledge.none() {
			ends = append(ends, End{"ledge's width", b.Ledge.Width, "mm"})
		}
		if b.Overhang > 0 {
			must, ends = "Take thinner ones or less overhang.", append(ends, End{"overhang", b.Overhang, "mm"})
		}
		ends = append(ends, End{FWidth, p.width, "mm"})
		ps.add(Problem{
			Kind: NoRoom, Text: fmt.Sprintf("The %s leave %s between them; what is built on a 19-inch panel may be %s wide. %s", what, mm(clear), mm(rackClear), must),
			Ends: ends, Have: clear, Want: rackClear,
		})
	}
}
