package stiffness

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/solve/plate"
)

// Way is something other than ribs alone that makes a face stiffer, with what it leaves.
type Way struct {
	Say   string         // "acrylic, 4 mm", "the face glued to the walls"
	Ribs  []Rib          // that go with it
	Worst float64        // mm under the thumb of the press that then gives most
	Edits []finding.Edit // of the file; none = more than an edit is needed
}

// Ways works out by the full model what else makes a face stiffer: thicker sheets, ribs under a thicker sheet, glue, a ledge, walls, more
// screws, sheets of another kind. Nothing is listed for a face that is stiff enough or that could not be reckoned.
func (f *Face) Ways(cat *catalog.Catalog, target float64) (out []Way) {
	if f.Failed != "" || len(f.Loose) > 0 || f.Springiest() <= target {
		return nil
	}
	alone := false
	for _, s := range f.thickers(cat) {
		if w, ok := f.sheetWay(s); ok {
			out = append(out, w)
			if alone = w.Worst <= target; alone || len(out) == mostThicker {
				break
			}
		}
	}
	if w, ok := f.joined(cat, target); ok {
		out = append(out, w)
	}
	for _, way := range []func() (Way, bool){f.glueWay, f.ledgeWay, f.wallsWay} {
		if w, ok := way(); ok {
			out = append(out, w)
		}
	}
	out = append(out, f.screwWays(target)...)
	if !alone {
		out = append(out, f.otherSheets(cat, target)...)
	}
	return out
}

// mostThicker is how many thicker sheets are listed, mostOthers how many of other kinds.
const (
	mostThicker = 3
	mostOthers  = 2
)

// worstOf is the give of the worst press of a changed model, mm.
func (f *Face) worstOf(change func(m *plate.Model)) (worst float64, ok bool) {
	m := f.model
	m.Lines, m.Points, m.Cases = slices.Clone(m.Lines), slices.Clone(m.Points), nil
	change(&m)
	p, err := plate.New(m)
	if err != nil {
		return 0, false
	}
	c := p.Compliance()
	for i, q := range f.Presses {
		if q.Judged && !q.OnWood {
			worst = max(worst, c[i][i]*f.Thumb)
		}
	}
	return worst, true
}

// sheetPath is where the sheet of this face stands in the file; "" when it has none of its own.
func (f *Face) sheetPath() string {
	switch {
	case f.Panel.Board == "":
		return "face.sheet"
	case f.Panel.Stack.SheetOrigin.Path == "box.upper.sheet":
		return "box.upper.sheet"
	}
	return ""
}

// thickers lists thicker sheets of the same kind that every part can hold, thinnest first.
func (f *Face) thickers(cat *catalog.Catalog) (out []catalog.Sheet) {
	kind, birch := f.Panel.Stack.Sheet.Kind, strings.Contains(f.Panel.Stack.Sheet.ID, "birch")
	return f.sheets(cat, func(s catalog.Sheet) bool {
		return s.Kind == kind && strings.Contains(s.ID, "birch") == birch && s.Thickness() > f.Thickness+0.2
	})
}

// SayGrip says which part keeps a thicker sheet of the same kind out, when all there are are too thick for it; "" otherwise.
func (f *Face) SayGrip(cat *catalog.Catalog) string {
	if cat == nil || f.sheetPath() == "" || len(f.thickers(cat)) > 0 {
		return ""
	}
	there := false
	for _, id := range cat.SheetIDs() {
		s, ok := cat.Sheet(id)
		there = there || ok && s.Kind == f.Panel.Stack.Sheet.Kind && s.Thickness() > f.Thickness+0.2
	}
	var least *panel.Control
	for _, c := range f.Panel.Controls {
		if g := c.Part.Grip[1].MM(); g > 0 && (least == nil || g < least.Part.Grip[1].MM()) {
			least = c
		}
	}
	if !there || least == nil {
		return ""
	}
	return "A thicker sheet does not go: " + least.Label + " grips " + size(least.Part.Grip[1].MM(), f.inches()) + " at most."
}

// sheets lists sheets that every part can hold, thinnest first.
func (f *Face) sheets(cat *catalog.Catalog, take func(s catalog.Sheet) bool) (out []catalog.Sheet) {
	if cat == nil || f.sheetPath() == "" {
		return nil
	}
	for _, id := range cat.SheetIDs() {
		if s, ok := cat.Sheet(id); ok && take(s) && f.grips(s.Thickness()) {
			if _, known := MaterialOf(s, s.Thickness()); known {
				out = append(out, s)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b catalog.Sheet) int { return sign(a.Thickness() - b.Thickness()) })
	return out
}

// sheetWay tries a sheet.
func (f *Face) sheetWay(s catalog.Sheet) (w Way, ok bool) {
	m, ok := f.materialOf(s, s.Thickness())
	if !ok {
		return w, false
	}
	w.Say = m.Word + ", " + size(s.Thickness(), f.inches())
	w.Edits = []finding.Edit{{Op: finding.Set, Path: f.sheetPath(), Value: s.ID}}
	w.Worst, ok = f.worstOf(func(p *plate.Model) { p.Thickness, p.Material = s.Thickness(), m.Elastic })
	return w, ok
}

// together is how far from the limit the ribs of the thin sheet may leave a thicker one, for others to be looked for under it.
const together = 1.4

// joined looks for ribs under a thicker sheet, when neither ribs nor the next thicker sheet alone are enough.
func (f *Face) joined(cat *catalog.Catalog, target float64) (Way, bool) {
	pr := f.Proposal
	if pr == nil || pr.Reached || len(pr.Ribs) == 0 {
		return Way{}, false
	}
	for _, s := range f.thickers(cat) {
		m, ok := f.materialOf(s, s.Thickness())
		if !ok {
			continue
		}
		_, worst, ok := f.with(pr.Ribs, s.Thickness(), m)
		if !ok || worst > together*target {
			continue
		}
		g := f.copied()
		g.Material, g.Thickness, g.raised = m, s.Thickness(), s.Thickness()-f.Thickness
		g.model.Material, g.model.Thickness = m.Elastic, s.Thickness()
		p, err := g.bend()
		if err != nil {
			continue
		}
		g.gives(p)
		g.Propose(target)
		if q := g.Proposal; q != nil && q.Reached {
			w := Way{Say: m.Word + ", " + size(s.Thickness(), f.inches()), Ribs: q.Ribs, Worst: q.After}
			w.Edits = append(w.Edits, finding.Edit{Op: finding.Set, Path: f.sheetPath(), Value: s.ID})
			w.Edits = append(w.Edits, q.Edits...)
			return w, true
		}
	}
	return Way{}, false
}

// glueWay tries the face glued down in place of its screws.
func (f *Face) glueWay() (w Way, ok bool) {
	if len(f.model.Lines) < 3 || f.glued() || f.Panel.Box == nil || f.Panel.Box.Written.Held == "hinged" || f.Panel.Board != "" {
		return w, false
	}
	w.Worst, ok = f.worstOf(func(m *plate.Model) {
		m.Points = nil
		for i := range m.Lines {
			l := &m.Lines[i]
			l.Spring = f.wallSpring(l.A.Add(l.B).Mul(0.5), sideOf(l.Name))
		}
	})
	w.Say = "the face glued down in place of its screws, the base to come off"
	w.Edits = []finding.Edit{{Op: finding.Set, Path: "box.held", Value: "glued"}}
	return w, ok
}

// triedLedge is the ledge that is tried, and triedWall how far walls stand in, mm.
const (
	triedLedge = 12.0
	triedWall  = 9.0
)

// ledgeWay tries a ledge along all walls, where there is none.
func (f *Face) ledgeWay() (w Way, ok bool) {
	if len(f.model.Lines) < 2 || f.Panel.Board != "" || f.Panel.Box == nil {
		return w, false
	}
	var by [4]bool
	for _, s := range f.Supports {
		switch s.Kind {
		case "ledge":
			return w, false
		case "rests", "glued":
			by[sideOf(s.Name)] = true
		}
	}
	in := geom.Box2{Min: geom.Vec2{X: math.Inf(-1), Y: math.Inf(-1)}, Max: geom.Vec2{X: math.Inf(1), Y: math.Inf(1)}}
	for _, l := range f.model.Lines {
		switch sideOf(l.Name) {
		case 0:
			in.Min.X = l.A.X + triedLedge
		case 1:
			in.Max.X = l.A.X - triedLedge
		case 2:
			in.Min.Y = l.A.Y + triedLedge
		case 3:
			in.Max.Y = l.A.Y - triedLedge
		}
	}
	for _, c := range f.Panel.Controls { // it must not come to stand under one
		for _, b := range c.Rear {
			box := b.Outline.Bounds()
			if box.Min.X < in.Min.X || box.Min.Y < in.Min.Y || box.Max.X > in.Max.X || box.Max.Y > in.Max.Y {
				return w, false
			}
		}
	}
	w.Worst, ok = f.worstOf(func(m *plate.Model) {
		clip := func(q geom.Vec2) geom.Vec2 {
			return geom.Vec2{X: min(max(q.X, in.Min.X), in.Max.X), Y: min(max(q.Y, in.Min.Y), in.Max.Y)}
		}
		for i := range m.Lines {
			l := &m.Lines[i]
			l.A, l.B = clip(l.A), clip(l.B)
		}
	})
	w.Say = "a ledge " + size(triedLedge, f.inches()) + " wide along the walls"
	num := f.Panel.Num
	w.Edits = []finding.Edit{{Op: finding.Set, Path: "box.ledge", Value: "{width: " + num(triedLedge) + ", height: " + num(triedLedge) + "}"}}
	return w, ok
}

// wallsWay tries a box under a face that hangs on screws alone.
func (f *Face) wallsWay() (w Way, ok bool) {
	p := f.Panel
	if len(f.model.Lines) > 0 || p.HasBox || p.Face.Rack > 0 || p.Board != "" || min(p.Face.Width, p.Face.Height) < 6*triedWall {
		return w, false
	}
	x0, y0, x1, y1 := triedWall, triedWall, p.Face.Width-triedWall, p.Face.Height-triedWall
	w.Worst, ok = f.worstOf(func(m *plate.Model) {
		at := func(x, y float64) geom.Vec2 { return geom.Vec2{X: x, Y: y} }
		m.Lines = []plate.Line{
			{Name: "left", A: at(x0, y0), B: at(x0, y1)}, {Name: "right", A: at(x1, y0), B: at(x1, y1)},
			{Name: "lower", A: at(x0, y0), B: at(x1, y0)}, {Name: "upper", A: at(x0, y1), B: at(x1, y1)},
		}
	})
	w.Say = "a box with walls of " + size(triedWall, f.inches()) + " under all four sides"
	return w, ok
}

// screwWays tries more screws along the edges of a face that hangs on screws alone: up to the first number that is enough.
func (f *Face) screwWays(target float64) (out []Way) {
	p := f.Panel
	if len(f.model.Lines) > 0 || len(p.Fixings) == 0 || p.Face.Rack > 0 || f.fixingsPath() == "" {
		return nil
	}
	inset := math.Inf(1)
	for _, x := range p.Fixings {
		inset = min(inset, x.At.X, x.At.Y, p.Face.Width-x.At.X, p.Face.Height-x.At.Y)
	}
	screw, head := p.Fixings[0].Screw, max(p.Fixings[0].Head, 4)
	inset = max(inset, head/2+1)
	for n := 3; n <= 5; n++ {
		up := max(2, int(math.Round(float64(n)*min(p.Face.Height/p.Face.Width, 1))))
		across := n
		if p.Face.Height > p.Face.Width {
			across, up = max(2, int(math.Round(float64(n)*p.Face.Width/p.Face.Height))), n
		}
		places := panel.Rim(p.Face.Width, p.Face.Height, inset, across, up)
		if len(places) <= len(p.Fixings) || slices.ContainsFunc(places, func(q geom.Vec2) bool { return !f.roomForScrew(q, head) }) {
			continue
		}
		worst, ok := f.worstOf(func(m *plate.Model) {
			m.Points = nil
			for _, q := range places {
				m.Points = append(m.Points, plate.Point{At: q, Diameter: head, Give: screwGive})
			}
		})
		if !ok || worst >= f.Springiest() {
			continue
		}
		out = append(out, Way{
			Say: strconv.Itoa(len(places)) + " screws along its edges", Worst: worst,
			Edits: []finding.Edit{{Op: finding.Set, Path: f.fixingsPath(), Value: "{screw: " + strconv.Quote(screw) + ", inset: " + p.Num(inset) + ", across: " + strconv.Itoa(across) + ", up: " + strconv.Itoa(up) + "}"}},
		})
		if worst <= target {
			break
		}
	}
	return out
}

// fixingsPath is where the screws of this face stand in the file; "" when it is neither the first face nor the upper one.
func (f *Face) fixingsPath() string {
	if f.Panel.Board == "" {
		return "face.fixings"
	}
	if f.path == "box.upper.ribs" {
		return "box.upper.fixings"
	}
	return ""
}

// otherSheets lists the thinnest sheets of other kinds that are enough alone.
func (f *Face) otherSheets(cat *catalog.Catalog, target float64) (out []Way) {
	mine := f.Material.Word
	var words []string
	for _, s := range f.sheets(cat, func(s catalog.Sheet) bool { return true }) {
		if len(out) == mostOthers {
			break
		}
		m, _ := f.materialOf(s, s.Thickness())
		if m.Word == mine || slices.Contains(words, m.Word) {
			continue
		}
		if w, ok := f.sheetWay(s); ok && w.Worst <= target {
			out, words = append(out, w), append(words, m.Word)
		}
	}
	return out
}
