package mishap

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Minutes at the bench, common practice.
const (
	fileHole  = 10
	drillHole = 5
	fitPlug   = 2
	makePlate = 40
	gluePatch = 45
	cutBoard  = 20
)

// control is about the hole of a control, or its part.
func (w *work) control() error {
	c, s, err := w.find(w.m.Of)
	if err != nil {
		return err
	}
	if len(c.Cuts) == 0 {
		return fmt.Errorf("%s has no hole", c.Label)
	}
	path := c.Origin.Path
	switch w.m.Kind {
	case Off:
		if w.m.By.Len() < 0.01 {
			return fmt.Errorf("a hole that is on its mark is no mishap; say by how much it is off")
		}
		fix, ok := s.Move(c.Origin, w.m.By)
		if !ok {
			return fmt.Errorf("%s follows another control; say it of that one", c.Label)
		}
		say := fmt.Sprintf("The hole of %s is %s.", c.Label, towards(w.m.By, w.mm))
		if err := w.fact("hole", say, []string{c.Name}, fix.Edits...); err != nil {
			return err
		}
		w.c.Say = say
		w.off(c, s, path)
	case Large:
		d := c.Part.Hole.Nominal()
		_, _, round := c.Cuts[0].Outline.AsCircle()
		switch {
		case w.m.Size <= 0:
			return fmt.Errorf("say how large the hole has become")
		case !round:
			return fmt.Errorf("the hole of %s is not round; say what happened as a hole that is off, or as a part of another size", c.Label)
		case w.m.Size < d:
			return fmt.Errorf("the hole of %s should have %s; one of %s is too small, not too large: open it with the next bit, or file it", c.Label, w.mm(d), w.mm(w.m.Size))
		}
		say := fmt.Sprintf("The hole of %s has %s, not %s.", c.Label, w.mm(w.m.Size), w.mm(d))
		if err := w.fact("hole", say, []string{c.Name}, finding.Edit{Op: finding.Set, Path: path + ".adjust", Value: holeOf(c.Part, w.m.Size)}); err != nil {
			return err
		}
		w.c.Say = say
		w.large(c, s, path)
	case Part:
		say := fmt.Sprintf("The part of %s came otherwise: %s.", c.Label, strings.TrimSuffix(strings.TrimPrefix(w.m.Adjust, "{"), "}"))
		if err := w.fact("part", say, []string{c.Name}, finding.Edit{Op: finding.Set, Path: path + ".adjust", Value: w.m.Adjust}); err != nil {
			return err
		}
		w.c.Say = say
		w.other(c, path)
	}
	return nil
}

// holeOf adjusts the hole of a part to a size as cut.
func holeOf(p catalog.Part, d float64) string {
	return fmt.Sprintf("{hole: {round: %.3f mm, tol: [%.3f mm, %.3f mm]}}", d, p.Hole.Tol[0].MM(), p.Hole.Tol[1].MM())
}

// towards says where a hole is beside its mark: "1.5 mm right of its mark and 2 mm above it".
func towards(by geom.Vec2, mm func(float64) string) string {
	var s []string
	if math.Abs(by.X) >= 0.005 {
		s = append(s, mm(math.Abs(by.X))+" "+pick(by.X > 0, "right of", "left of"))
	}
	if math.Abs(by.Y) >= 0.005 {
		s = append(s, mm(math.Abs(by.Y))+" "+pick(by.Y > 0, "above", "below"))
	}
	for i := range s {
		s[i] += pick(i == 0, " its mark", " it")
	}
	return strings.Join(s, " and ")
}

func pick(yes bool, a, b string) string {
	if yes {
		return a
	}
	return b
}

// off lists the ways out when a hole is off its mark: the fact moves the control there.
func (w *work) off(c *panel.Control, s *panel.Panel, path string) {
	far := w.m.By.Len()
	d := c.Part.Hole.Nominal()
	back, _ := s.Move(c.Origin, geom.Vec2{}) // to where it should be
	w.try(Rescue{Say: fmt.Sprintf("Leave %s where the hole is.", c.Label), How: []string{"Its lettering is not made yet? Then it goes along; else it stands beside its mark."}})
	elsewhere := far > d*0.75 // too far to be filed over: the right hole is drilled, the wrong one is closed
	if _, _, round := c.Cuts[0].Outline.AsCircle(); round && !elsewhere {
		// filed over to its place: the hole becomes as long as the shift more
		edits := append(slices.Clone(back.Edits), finding.Edit{Op: finding.Set, Path: path + ".adjust", Value: holeOf(c.Part, d+2*far)})
		w.try(Rescue{
			Say: fmt.Sprintf("File the hole of %s over to its place; the front of the part must hide the rest.", c.Label), Edits: edits, Minutes: fileHole, filed: path,
			How: []string{fmt.Sprintf("It is checked as a round hole of %s in its right place, which is more than what is filed.", w.mm(d+2*far)), "Put a washer under the nut: it bridges the slot."},
		})
		w.larger(c, path, d+2*far, back.Edits)
	} else if slices.ContainsFunc(c.Front, func(b panel.Body) bool {
		if b.Role != panel.RoleBezel || b.Z0 > 0.3 {
			return false
		}
		m, _ := b.Outline.Margin(c.Cuts[0].Outline.Move(geom.Place{At: w.m.By}))
		return m >= 0.5
	}) {
		w.try(Rescue{Say: fmt.Sprintf("File the hole of %s over to its place; the front of the part hides what is left of the wrong one.", c.Label), Edits: back.Edits, Minutes: fileHole, How: []string{"Put a washer under the nut: it bridges the gap."}})
	}
	if c.Group != "" && !w.m.Drilled {
		w.shiftGroup(c, s)
	}
	w.turnOver(c.At.Vec2.Add(w.m.By), d, c)
	if elsewhere {
		w.plugAt(c.At.Add(w.m.By), d, back.Edits, fmt.Sprintf("Drill the hole of %s where it should be, and close the wrong one", c.Label))
		w.patch(s, fmt.Sprintf("Drill the hole of %s where it should be; glue a disc of the same sheet into the wrong one, fill, sand flush, and cover it with the rest.", c.Label), back.Edits)
	}
	w.newSheet(s)
}

// large lists the ways out when a hole is too large: the fact has it so.
func (w *work) large(c *panel.Control, s *panel.Panel, path string) {
	w.try(Rescue{Say: fmt.Sprintf("Leave it: the front of %s hides it, and a wide washer under the nut carries it.", c.Label), Minutes: 5,
		How: []string{"Turn the part to the middle of the hole by hand while the nut is tightened; three strips of tape round the barrel keep it there."}})
	w.larger(c, path, w.m.Size, nil)
	w.plate(c, path)
	w.turnOver(c.At.Vec2, w.m.Size, c)
	w.newSheet(s)
}

// larger looks for a part of the same kind with a hole that takes the spoilt one in.
func (w *work) larger(c *panel.Control, path string, least float64, more []finding.Edit) {
	cat, tried := w.b.Cat, 0
	type choice struct {
		p catalog.Part
		d float64
	}
	var cs []choice
	for _, id := range cat.PartIDs() {
		p, ok := cat.Part(id)
		d := p.Hole.Nominal()
		if !ok || p.ID == c.Part.ID || !sameJob(p, c.Part) || p.Hole.Round <= 0 || d+p.Hole.Tol[1].MM() < least-0.05 || d > least+14 {
			continue
		}
		cs = append(cs, choice{p, d})
	}
	slices.SortStableFunc(cs, func(a, b choice) int {
		return int(math.Copysign(1, a.d-b.d)) * pickInt(math.Abs(a.d-b.d) > 1e-9)
	})
	for _, x := range cs {
		if tried++; tried > 3 {
			return
		}
		edits := append(slices.Clone(more), finding.Edit{Op: finding.Set, Path: path + ".part", Value: x.p.ID}, finding.Edit{Op: finding.Delete, Path: path + ".adjust"})
		if w.m.Kind == Off { // there is no adjust: in the file yet
			edits = edits[:len(edits)-1]
		}
		w.try(Rescue{Say: fmt.Sprintf("Open it to %s and take %s (%s).", w.mm(x.d), strings.ToLower(x.p.Title[:1])+x.p.Title[1:], x.p.ID), Edits: edits, Minutes: drillHole})
	}
}

func pickInt(b bool) int {
	if b {
		return 1
	}
	return 0
}

// sameJob reports whether a part can stand in for another one: same class, action, contacts, positions, lamp.
func sameJob(a, b catalog.Part) bool {
	return a.Class == b.Class && a.Action == b.Action && a.Contacts == b.Contacts && a.Positions == b.Positions && (a.Lamp.Drop > 0) == (b.Lamp.Drop > 0) &&
		a.Push == b.Push && a.Detents == b.Detents && a.Track == b.Track
}

// plate puts a washer plate in front: thin sheet with the right hole, larger than the spoilt one, under the front of the part.
func (w *work) plate(c *panel.Control, path string) {
	const thick = 1.0
	wide := math.Ceil(w.m.Size + 8)
	p := c.Part
	var front []string
	front = append(front, fmt.Sprintf("{role: bezel, round: %.3f mm, z: [0 mm, %.3f mm]}", wide, thick))
	for _, s := range p.Front {
		f := fmt.Sprintf("{role: %s", s.Role)
		switch {
		case s.Round > 0:
			f += fmt.Sprintf(", round: %.3f mm", s.Round.MM())
		case s.Rect != nil:
			f += fmt.Sprintf(", rect: [%.3f mm, %.3f mm]", s.Rect[0].MM(), s.Rect[1].MM())
		case s.Hex > 0:
			f += fmt.Sprintf(", hex: %.3f mm", s.Hex.MM())
		}
		if s.At[0] != 0 || s.At[1] != 0 {
			f += fmt.Sprintf(", at: [%.3f mm, %.3f mm]", s.At[0].MM(), s.At[1].MM())
		}
		if s.Turn != 0 {
			f += fmt.Sprintf(", turn: %.3f deg", float64(s.Turn))
		}
		front = append(front, f+fmt.Sprintf(", z: [%.3f mm, %.3f mm]}", s.Z[0].MM()+thick, s.Z[1].MM()+thick))
	}
	grip := fmt.Sprintf("[%.3f mm, %.3f mm]", max(0, p.Grip[0].MM()-thick), max(0, p.Grip[1].MM()-thick))
	val := fmt.Sprintf("{hole: {round: %.3f mm, tol: [%.3f mm, %.3f mm]}, grip: %s, front: [%s]}", w.m.Size, p.Hole.Tol[0].MM(), p.Hole.Tol[1].MM(), grip, strings.Join(front, ", "))
	w.try(Rescue{
		Say: fmt.Sprintf("Make a washer plate: a disc of %s from 1 mm sheet with the right hole, under the front of %s.", w.mm(wide), c.Label), Edits: []finding.Edit{{Op: finding.Set, Path: path + ".adjust", Value: val}}, Minutes: makePlate,
		How: []string{"Cut it with a hole saw or a fretsaw, and break the edge. One round each of its neighbours makes it look meant."},
	})
}

// shiftGroup moves the whole row along: only while its holes are not drilled.
func (w *work) shiftGroup(c *panel.Control, s *panel.Panel) {
	var edits []finding.Edit
	g, ok := w.b.Doc.File.Groups.Map[c.Group]
	if !ok {
		return
	}
	for _, run := range []struct {
		key string
		on  bool
	}{{"row.from", g.Row != nil}, {"column.from", g.Column != nil}, {"grid.from", g.Grid != nil}, {"arc.centre", g.Arc != nil}} {
		if !run.on {
			continue
		}
		path := "groups." + c.Group + "." + run.key
		var at geom.Vec2
		switch {
		case g.Row != nil:
			at = geom.Vec2{X: g.Row.From[0].MM(), Y: g.Row.From[1].MM()}
		case g.Column != nil:
			at = geom.Vec2{X: g.Column.From[0].MM(), Y: g.Column.From[1].MM()}
		case g.Grid != nil:
			at = geom.Vec2{X: g.Grid.From[0].MM(), Y: g.Grid.From[1].MM()}
		case g.Arc != nil:
			at = geom.Vec2{X: g.Arc.Centre[0].MM(), Y: g.Arc.Centre[1].MM()}
		}
		edits = append(edits, s.PairEdits(path, at, at.Add(w.m.By))...)
	}
	if len(edits) == 0 || g.Turn != 0 {
		return
	}
	back, ok := s.Move(c.Origin, geom.Vec2{})
	if !ok {
		return
	}
	w.try(Rescue{Say: fmt.Sprintf("Shift the whole of %s as far.", c.Group), Edits: append(back.Edits, edits...), Only: notDrilled, Minutes: 5})
}

// other lists the ways out when a part came in another size.
func (w *work) other(c *panel.Control, path string) {
	w.try(Rescue{Say: fmt.Sprintf("Take %s as it came.", c.Label)})
	tried := 0
	for _, id := range w.b.Cat.PartIDs() {
		p, ok := w.b.Cat.Part(id)
		if !ok || p.ID == c.Part.ID || !sameJob(p, c.Part) || math.Abs(p.Hole.Nominal()-c.Part.Hole.Nominal()) > 0.3 {
			continue
		}
		if tried++; tried > 3 {
			break
		}
		w.try(Rescue{Say: fmt.Sprintf("Send it back and take %s.", id), Edits: []finding.Edit{{Op: finding.Set, Path: path + ".part", Value: id}, {Op: finding.Delete, Path: path + ".adjust"}}, Minutes: 10})
	}
	w.hand(Rescue{Say: "Send it back and wait for the right one.", Minutes: 10, Checked: true})
}

// stray is a hole where none should be.
func (w *work) stray() error {
	p, d, at := w.b.Result.Panel, w.m.Size, w.m.At
	if d <= 0 || !p.Face.HasSize() {
		return fmt.Errorf("say how large the hole is, and have a face with a size")
	}
	if !p.Face.Outline.Contains(at) {
		return fmt.Errorf("%s across and %s up is not on the face", w.mm(at.X), w.mm(at.Y))
	}
	name := "stray"
	for n := 2; slices.ContainsFunc(p.Openings, func(o *panel.Cut) bool { return o.Origin.Path == "face.holes."+name }); n++ {
		name = fmt.Sprintf("stray-%d", n)
	}
	say := fmt.Sprintf("There is a hole of %s at %s across and %s up.", w.mm(d), w.mm(at.X), w.mm(at.Y))
	hole := finding.Edit{Op: finding.Set, Path: "face.holes." + name, Value: fmt.Sprintf("{round: %.3f mm, at: [%.3f mm, %.3f mm]}", d, at.X, at.Y)}
	if err := w.fact("hole", say, nil, hole); err != nil {
		return err
	}
	w.c.Say = say
	gone := []finding.Edit{{Op: finding.Delete, Path: "face.holes." + name}}
	w.plugAt(at, d, gone, "Close it")
	w.under(at, d, gone)
	w.turnOver(at, d, nil)
	w.patch(p, "Glue a disc of the same sheet into it, fill, sand flush, and cover it with the rest.", gone)
	if d <= 6 {
		w.hand(Rescue{Say: fmt.Sprintf("Put a pan-head screw with a nut through it (M%d).", int(math.Floor(d))), Minutes: 5, Checked: true})
	}
	w.try(Rescue{Say: "Leave it open.", Seen: true})
	w.newSheet(p)
	return nil
}

// under looks for a control that can be moved so that its front, or its hole, takes the stray hole in.
func (w *work) under(at geom.Vec2, d float64, more []finding.Edit) {
	p := w.b.Result.Panel
	type near struct {
		c   *panel.Control
		far float64
	}
	var ns []near
	for _, c := range p.Controls {
		if c.Origin.MovePath == "" || c.Pinned || c.Part.Hole.Round.MM() < d-0.05 {
			continue
		}
		ns = append(ns, near{c, c.At.Sub(at).Len()})
	}
	slices.SortStableFunc(ns, func(a, b near) int { return int(math.Copysign(1, a.far-b.far)) * pickInt(a.far != b.far) })
	for i, n := range ns {
		if i == 3 || n.far > 60 {
			return
		}
		// as little as puts the stray hole within its own hole
		reach := (n.c.Part.Hole.Nominal() - d) / 2
		by := at.Sub(n.c.At.Vec2)
		if n.far <= reach {
			continue
		}
		by = by.Mul((n.far - max(0, reach)) / n.far)
		fix, ok := p.Move(n.c.Origin, by)
		if !ok {
			continue
		}
		w.try(Rescue{Say: fmt.Sprintf("Move %s there: its own hole takes it in.", n.c.Label), Edits: append(slices.Clone(more), fix.Edits...), Only: "only while that hole is not drilled", Minutes: 5})
	}
}
