package panel

import (
	"math"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// floor is a board that bounds the depth behind the sheet: at the point x, y of the face it lies at + bx x + by y behind the back of
// the sheet, square to it.
type floor struct {
	at, bx, by float64
	base       bool
}

func (f floor) under(p geom.Vec2) float64 { return f.at + f.bx*p.X + f.by*p.Y }

// room gathers the boards that bound the depth behind the sheet which is in one board of the box.
func (p *Panel) room(c *carcass.Carcass, board int) {
	back := p.ToBox.Inverse()
	p.floors = nil
	for i := range c.Boards {
		b := &c.Boards[i]
		base := b.Role == carcass.RoleBase
		if i == board || !base && b.Role != carcass.RoleFront && b.Role != carcass.RoleBack && b.Role != carcass.RoleSide {
			continue
		}
		n := back.Turn(b.Frame.N)
		if n.Z > -0.05 || !base && n.Z > -facing {
			continue
		}
		d := n.Dot(back.Apply(b.Frame.O)) - b.Thickness // its inner side: all points with n·p = d
		p.floors = append(p.floors, floor{at: grid((n.Z*-p.Stack.Total - d) / n.Z), bx: grid(n.X / n.Z), by: grid(n.Y / n.Z), base: base})
	}
}

// DepthAt gives the clear depth behind a point of the sheet, square to the sheet: from its back to the base, or to a wall that faces
// it, mm. Where the base leans to the sheet it differs from point to point. ok is false when the depth is not known.
func (p *Panel) DepthAt(at Pt) (depth float64, ok bool) {
	depth = math.Inf(1)
	for _, f := range p.floors {
		depth = min(depth, f.under(at.Vec2))
	}
	if len(p.floors) == 0 {
		return p.BoxDepth, p.BoxDepth > 0
	}
	return depth, true
}

// Leaning reports whether the depth behind the sheet differs from point to point.
func (p *Panel) Leaning() bool {
	for _, f := range p.floors {
		if f.bx != 0 || f.by != 0 {
			return true
		}
	}
	return false
}

// DepthUnder gives the least clear depth under an outline on the sheet, as DepthAt does for a point.
func (p *Panel) DepthUnder(o geom.Outline) (depth float64, ok bool) {
	if len(p.floors) == 0 || o.Empty() {
		return p.BoxDepth, p.BoxDepth > 0
	}
	depth = math.Inf(1)
	for _, f := range p.floors {
		depth = min(depth, f.under(o.Support(geom.Vec2{X: -f.bx, Y: -f.by})))
	}
	return depth, true
}

// Deeper is the fix that gives the box so much more depth everywhere behind the face, and whether there is one: it changes the size
// of the file that decides, and only when all else of the box stays as it is.
func (p *Panel) Deeper(by float64) (finding.Fix, bool) {
	if p.Board != "" || by <= 0 {
		return finding.Fix{}, false
	}
	if p.Carcass == nil {
		to := ceilHalf(p.BoxDepth + by)
		return setTo("Make the box "+p.mm(to)+" deep", "box.depth", p.num(to)), true
	}
	z := p.Carcass.Spec.Sizes
	try := func(fix finding.Fix, change func(*carcass.Sizes)) (finding.Fix, bool) {
		s := p.asked
		change(&s.Sizes)
		got, ps := carcass.Resolve(s)
		return fix, len(ps) == 0 && math.Abs(got.Slope-z.Slope) < 1e-6 && got.Clear > z.Clear+by-1e-6
	}
	switch g := p.asked.Sizes; {
	case p.asked.Form == carcass.Rack:
		return finding.Fix{}, false
	case g.Clear > 0:
		to := ceilHalf(g.Clear + by)
		return try(setTo("Make the box "+p.mm(to)+" deep", "box.depth", p.num(to)), func(z *carcass.Sizes) { z.Clear = to })
	case g.FrontHeight > 0:
		up := ceilHalf(g.FrontHeight+by/math.Cos(z.Slope*math.Pi/180)) - g.FrontHeight
		fix := setTo("Make the box "+p.mm(up)+" higher", "box.front", p.num(g.FrontHeight+up))
		if g.BackHeight > 0 {
			fix.Edits = append(fix.Edits, finding.Edit{Op: finding.Set, Path: "box.back", Value: p.num(g.BackHeight + up)})
		}
		return try(fix, func(z *carcass.Sizes) {
			z.FrontHeight += up
			if z.BackHeight > 0 {
				z.BackHeight += up
			}
		})
	}
	return finding.Fix{}, false
}

// ceilHalf rounds up to the next half millimetre.
func ceilHalf(v float64) float64 { return math.Ceil(v*2-1e-6) / 2 }
