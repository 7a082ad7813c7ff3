package panel

import (
	"math"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/project"
)

// usualLift is the stand-off under a board, mm. Common practice.
const usualLift = 5

// boards places the microcontroller board and the further ones. Their records have x and y as seen on the side with the parts, and
// z = 0 on the side of the stand-offs with the parts at negative z: as it hangs under the face. On the base a board lies with its parts
// up.
func (pl *placer) boards() {
	m := pl.f.Module
	pl.p.Module = pl.board("module", "module", "the module", m)
	pl.p.Wiring = pl.f.Wiring
	pl.p.USB, pl.p.Numbers, pl.p.Work = pl.f.USB, pl.f.Numbers, pl.f.Work
	for _, name := range pl.f.Wiring.Boards.Keys {
		x := pl.f.Wiring.Boards.Get(name)
		mod := pl.board(name, "wiring.boards."+name, "board "+strings.ToUpper(name), project.Module{Part: x.Part, At: x.At, Turn: x.Turn, On: x.On})
		if mod != nil {
			mod.Address = x.Address
			pl.p.Extras = append(pl.p.Extras, mod)
		}
	}
}

// board places one circuit board; nil when the file names none, or one that the catalogue does not have.
func (pl *placer) board(name, path, label string, m project.Module) *Module {
	if m.Part == "" {
		return nil
	}
	o := Origin{Name: label, Path: path, Pos: pl.pos(path)}
	p, ok := pl.cat.Part(m.Part)
	if !ok {
		pl.unknown(ruleUnknownPart, "part", m.Part, pl.firstPath(path+".part", path), label, pl.modules())
		return nil
	}
	mod := &Module{Name: name, Part: p, Turn: norm(float64(m.Turn)), On: or(m.On, "base"), Lift: usualLift, Origin: o}
	pl.lines.module(p)
	if m.At == nil {
		return mod // it takes no room yet
	}
	mod.At = Pt{vec(*m.At)}
	mod.Origin.MovePath, mod.Origin.MoveBase = path+".at", mod.At.Vec2
	if pl.sizeOr0(path+".lift", m.Lift, 0, 200, "The stand-off under "+label) {
		mod.Lift = m.Lift.MM()
	}
	if mod.Frame, ok = pl.moduleFrame(mod); !ok {
		pl.say(ruleUnfinished, finding.Finding{
			Head: finding.Capital(label) + " lies on the base, but the box has no depth yet.", Body: "Until it has, it takes no room.",
			Ends: []finding.End{o.End()},
		})
		return mod
	}
	mod.Placed = true
	pl.p.Behind = append(pl.p.Behind, mod.bodies(pl.p.ToBox)...)
	for _, s := range pl.p.Sides {
		s.Panel.Behind = append(s.Panel.Behind, mod.bodies(s.Panel.ToBox)...)
	}
	return mod
}

// Pin gives the place of a lug of the board in the box frame, where a wire meets it on the side with the parts; ok is false when there
// is no such lug or the board is not placed.
func (m *Module) Pin(lug string) (at geom.Vec3, ok bool) {
	if !m.Placed {
		return geom.Vec3{}, false
	}
	for _, l := range m.Part.Lugs {
		if l.Name == lug {
			v := pair(l.At)
			return m.Frame.ToWorld(geom.Vec3{X: v.X, Y: v.Y, Z: m.Lift}), true
		}
	}
	return geom.Vec3{}, false
}

// bodies gives the module and its plug in the frame of a sheet.
func (m *Module) bodies(toBox geom.Pose) []Body {
	to := m.Frame.Pose().Then(toBox.Inverse())
	var out []Body
	for _, s := range m.Part.Rear {
		role := RoleModule
		if s.Role == string(RolePlug) {
			role = RolePlug
		}
		if b, ok := posed(role, m.Origin.Name, s.Outline(), m.Lift-s.Z[0].MM(), m.Lift-s.Z[1].MM(), to, m.Origin); ok {
			out = append(out, b)
		}
	}
	return out
}

// moduleFrame gives the frame of the module in the box: origin at its middle on what carries it, U and V as its record has them seen
// on the side with the parts, N from what carries it to the parts. ok is false when there is no base to lie on.
func (pl *placer) moduleFrame(m *Module) (f carcass.Frame, ok bool) {
	p := pl.p
	down := p.ToBox.Z.Mul(-1)
	at := p.ToBox.Apply(m.At.At(-p.Stack.Total))
	turned := geom.Place{Turn: m.Turn}
	if m.On == "face" { // seen from behind: left and right change places
		x, y := turned.Apply(geom.Vec2{X: -1}), turned.Apply(geom.Vec2{Y: 1})
		return carcass.Frame{O: at, U: p.ToBox.Turn(x.At(0)), V: p.ToBox.Turn(y.At(0)), N: down}, true
	}
	up := p.ToBox.Z
	depth := p.BoxDepth
	if b := p.base(); b != nil {
		up = b.Frame.N.Mul(-1)
		inner := b.Frame.O.Add(up.Mul(b.Thickness))
		depth = inner.Sub(at).Dot(up) / down.Dot(up)
	}
	if !(depth > 0) || math.IsInf(depth, 0) {
		return f, false
	}
	v := up.Cross(geom.Vec3{X: 1})
	f = carcass.Frame{O: at.Add(down.Mul(depth)), N: up}
	x := turned.Apply(geom.Vec2{X: 1})
	f.U = geom.Vec3{X: 1}.Mul(x.X).Add(v.Mul(x.Y))
	f.V = up.Cross(f.U)
	return f, true
}

// base gives the base of the box, nil when there is none.
func (p *Panel) base() *carcass.Board {
	if p.Carcass == nil {
		return nil
	}
	for i := range p.Carcass.Boards {
		if b := &p.Carcass.Boards[i]; b.Role == carcass.RoleBase {
			return b
		}
	}
	return nil
}

// modules lists the boards of the catalogue.
func (pl *placer) modules() []string {
	var ids []string
	for _, id := range pl.cat.PartIDs() {
		if p, ok := pl.cat.Part(id); ok && p.Class == catalog.ModuleBrd {
			ids = append(ids, id)
		}
	}
	return ids
}
