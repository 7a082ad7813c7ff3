package job

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trade/face"
)

var ruleAcross = finding.Rule{
	Name: "fit.across-boards", Severity: finding.Warn, Title: "parts in different boards against each other",
	Explain: "A socket in the back and a button in the face share the room inside the box, and nobody sees it on the drawing of either " +
		"board. Where two bodies overlap, the second part does not go in; where there is little air, lugs touch. In front, a knob on one " +
		"face may meet the hand rest or a knob on the other face. Move one of the two along its board.",
	Limits: []finding.Limit{bodyGap()},
}

// bodyGap is the air that two bodies want inside the box, in whichever boards they sit.
func bodyGap() finding.Limit {
	for _, r := range face.Rules {
		for _, l := range r.Limits {
			if l.Name == "fit.body-gap" {
				return l
			}
		}
	}
	panic("no rule of the face has a limit fit.body-gap")
}

// piece is a solid of a control in the box frame.
type piece struct {
	role panel.Role
	c    geom.Convex
}

// thing is a control, or a board, that something in another board may meet.
type thing struct {
	sheet       int // index into Panel.Sheets; -1 for a board
	on          string
	p           *panel.Panel
	ctl         *panel.Control
	name        string
	end         finding.End
	front, rear []piece
	bend        []piece
	box         geom.Box3
}

// slack is what no ruler shows, mm.
const slack = 1e-3

// across checks the controls of different boards against each other, and what stands out in front of one board against the others.
func across(p *panel.Panel) []finding.Finding {
	if p.Carcass == nil || len(p.Sides) == 0 && len(p.Carcass.Faces) == 1 && p.Carcass.Board("hand rest") == nil {
		return nil
	}
	things := gather(p)
	boxes := make([]geom.Box2, len(things))
	for i := range things {
		boxes[i] = things[i].box.XY()
	}
	want := p.Limits.Value(ruleAcross.Limits[0])
	var out []finding.Finding
	for i, j := range geom.Pairs(boxes, want) {
		a, b := &things[i], &things[j]
		if a.sheet == b.sheet || a.box.Min.Z > b.box.Max.Z+want || b.box.Min.Z > a.box.Max.Z+want {
			continue
		}
		if m, ok := meet(a, b, want); ok {
			out = append(out, m.say(p, things, want))
		}
	}
	return out
}

// gather lists the controls of all sheets, and the boards that a front part may meet.
func gather(p *panel.Panel) []thing {
	var out []thing
	for n, s := range p.Sheets() {
		name := "the face"
		if n > 0 {
			name = p.Sides[n-1].Name
		}
		for _, c := range s.Controls {
			t := thing{sheet: n, on: name, p: s, ctl: c, name: c.Label, end: c.Origin.End(), box: geom.EmptyBox3()}
			for _, b := range c.Front {
				if b.Role != panel.RoleTool {
					t.front = t.add(t.front, b, s.ToBox)
				}
			}
			for _, b := range c.Rear {
				switch b.Role {
				case panel.RoleTool:
				case panel.RoleBend:
					t.bend = t.add(t.bend, b, s.ToBox)
				default:
					t.rear = t.add(t.rear, b, s.ToBox)
				}
			}
			out = append(out, t)
		}
	}
	for i := range p.Carcass.Boards {
		b := &p.Carcass.Boards[i]
		switch b.Role {
		case carcass.RoleFace, carcass.RoleRest, carcass.RoleTop:
		default:
			continue
		}
		t := thing{sheet: -1 - i, on: b.Name, name: "the " + b.Name, end: p.Box.Of(b.Role).Origin.End(), box: geom.EmptyBox3()}
		t.end.Name = t.name
		for _, h := range b.Parts {
			t.front = append(t.front, piece{panel.RoleWall, h})
			t.box = t.box.Union(h.Bounds())
		}
		for n, s := range p.Sheets() {
			if s.Board == b.Name || n == 0 && i == p.Carcass.Faces[0].Board {
				t.sheet = n // its own controls stand on it
			}
		}
		out = append(out, t)
	}
	return out
}

func (t *thing) add(to []piece, b panel.Body, toBox geom.Pose) []piece {
	c := geom.Posed(b.Solid, toBox)
	if c == nil {
		return to
	}
	t.box = t.box.Union(c.Bounds())
	return append(to, piece{b.Role, c})
}

// meeting is the worst that two things do to each other.
type meeting struct {
	a, b   *thing
	pa, pb piece
	sep    geom.Sep
	wires  bool // only the bend of a wire is in the way
	front  bool
}

// meet finds the worst between two things.
func meet(a, b *thing, want float64) (m meeting, found bool) {
	m = meeting{a: a, b: b}
	worst := want - slack
	try := func(as, bs []piece, wires, front bool) {
		for _, x := range as {
			for _, y := range bs {
				if !within(x.c.Bounds(), y.c.Bounds(), worst) {
					continue
				}
				if s := geom.Gap(x.c, y.c); s.Gap < worst {
					worst, found = s.Gap, true
					m.pa, m.pb, m.sep, m.wires, m.front = x, y, s, wires, front
				}
			}
		}
	}
	try(a.rear, b.rear, false, false)
	worst = min(worst, -slack)
	try(a.front, b.front, false, true)
	if !found {
		try(a.bend, b.rear, true, false)
		try(a.rear, b.bend, true, false)
	}
	return m, found
}

func within(a, b geom.Box3, m float64) bool {
	return a.Min.X <= b.Max.X+m && b.Min.X <= a.Max.X+m && a.Min.Y <= b.Max.Y+m && b.Min.Y <= a.Max.Y+m && a.Min.Z <= b.Max.Z+m && b.Min.Z <= a.Max.Z+m
}

// say puts a meeting into words. The thing that can be moved comes first, of two the one in the smaller board.
func (m meeting) say(p *panel.Panel, things []thing, want float64) finding.Finding {
	if m.b.ctl != nil && (m.a.ctl == nil || m.b.sheet > m.a.sheet) {
		m.a, m.b, m.pa, m.pb = m.b, m.a, m.pb, m.pa
		m.sep.A, m.sep.B, m.sep.Dir = m.sep.B, m.sep.A, m.sep.Dir.Mul(-1)
	}
	mm := func(v float64) string { return length.Format(length.Length(v), length.Unit(p.Units)) }
	a, b, gap := m.a, m.b, m.sep.Gap
	f := finding.Finding{Rule: ruleAcross.Name, Severity: finding.Warn, Ends: []finding.End{a.end, b.end}, Source: p.Limits.Source(ruleAcross.Limits[0])}
	f.Ends[0].Name = a.name
	of := func(t *thing, q piece) string {
		if t.ctl == nil {
			return t.name
		}
		return "the " + partWord(q.role) + " of " + t.name
	}
	who := fmt.Sprintf("%s in %s", a.name, a.on)
	if a.sheet == 0 {
		who = a.name
	}
	if m.front || m.wires {
		want = 0
	}
	f.Measure = &finding.Measure{Have: gap, Want: want, Unit: "mm", Sense: finding.AtLeast}
	switch {
	case m.wires:
		f.Head = "The wires of " + who + " and " + b.name + " have little room."
		f.Body = "Where they bend, " + of(a, m.pa) + " and " + of(b, m.pb) + " share " + mm(-gap) + "; lead them out sideways."
		f.Why = "A wire wants room to bend where it leaves the lug."
	case gap < -slack:
		f.Severity = finding.Stop
		f.Head = who + " meets " + b.name + "."
		f.Body = finding.Capital(of(a, m.pa)) + " and " + of(b, m.pb) + " overlap by " + mm(-gap) + "; both cannot be there."
		f.Why = "The room inside is shared by all boards."
		if m.front {
			f.Why = "In front nothing may share a place either."
		}
	default:
		f.Head = who + " comes close to " + b.name + " inside the box."
		f.Body = mm(gap) + " of air between " + of(a, m.pa) + " and " + of(b, m.pb) + "."
		f.Why = "Bodies want " + mm(want) + " of air."
	}
	if a.sheet == 0 {
		f.Place = &finding.Place{X: a.ctl.At.X, Y: a.ctl.At.Y}
	} else {
		f.On, f.Place = a.on, &finding.Place{X: a.ctl.At.X, Y: a.ctl.At.Y}
	}
	f.Fixes = m.fixes(things, want)
	return f
}

func partWord(r panel.Role) string {
	if r == panel.RoleBend {
		return "wires"
	}
	return string(r)
}

// farthest is how far a fix moves a control, mm.
const farthest = 60

// fixes are the least moves of either thing along its board, straight up, down, left or right, that leave the wanted gap and meet
// nothing else.
func (m meeting) fixes(things []thing, want float64) []finding.Fix {
	var best finding.Fix
	least := math.Inf(1)
	for n, t := range []*thing{m.a, m.b} {
		o := m.b
		if n == 1 {
			o = m.a
		}
		if t.ctl == nil || t.ctl.Origin.MovePath == "" {
			continue
		}
		for _, dir := range []geom.Vec2{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}} {
			for by := 0.5; by <= farthest && by < least; by += 0.5 {
				moved := t.moved(dir.Mul(by))
				if _, bad := meet(&moved, o, want); bad {
					continue
				}
				if fix, ok := t.p.Move(t.ctl.Origin, dir.Mul(by)); ok && moved.fits(t, dir.Mul(by), things, want) {
					if n == 1 {
						fix.Say = strings.Replace(fix.Say, "it", t.name, 1)
					}
					best, least = fix, by
				}
				break
			}
		}
	}
	if math.IsInf(least, 1) {
		return nil
	}
	return []finding.Fix{best}
}

// fits reports whether a moved control stays on its board and meets nothing there.
func (t *thing) fits(was *thing, by geom.Vec2, things []thing, want float64) bool {
	for _, c := range t.ctl.Cuts {
		if in, _ := t.p.Face.Outline.Margin(c.Outline.Move(geom.Place{At: by})); in < 0 {
			return false
		}
	}
	for i := range things {
		o := &things[i]
		if o.ctl == was.ctl && o.ctl != nil || o.ctl == nil && o.sheet == t.sheet {
			continue
		}
		if _, bad := meet(t, o, want); bad {
			return false
		}
	}
	return !slices.ContainsFunc(t.p.Behind, func(b panel.Body) bool {
		if b.Role == panel.RolePlug {
			return false
		}
		c := geom.Posed(b.Solid, t.p.ToBox)
		return slices.ContainsFunc(t.rear, func(q piece) bool {
			return within(c.Bounds(), q.c.Bounds(), want) && geom.Gap(c, q.c).Gap < want-slack
		})
	})
}

// moved gives the thing shifted along its board.
func (t *thing) moved(by geom.Vec2) thing {
	pose := geom.NoPose().Shift(t.p.ToBox.Turn(by.At(0)))
	move := func(ps []piece) []piece {
		out := make([]piece, len(ps))
		for i, q := range ps {
			out[i] = piece{q.role, geom.Posed(q.c, pose)}
		}
		return out
	}
	m := *t
	m.front, m.rear, m.bend = move(t.front), move(t.rear), move(t.bend)
	return m
}
