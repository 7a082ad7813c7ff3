package studio

import (
	"math"
	"path/filepath"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/terminal"
)

// LookData is what the page shows of a panel. Lengths are mm in the face frame: from the lower left corner, up is positive.
type LookData struct {
	Rev      int               `json:"rev"`      // of the text
	Drawn    int               `json:"drawn"`    // revision that the drawing is of; earlier than Rev while the text is broken
	Broken   bool              `json:"broken"`   // the text cannot be read
	Trouble  string            `json:"trouble"`  // the file cannot be read or written; "" = it can
	File     string            `json:"file"`     //
	Text     string            `json:"text"`     //
	Title    string            `json:"title"`    //
	Units    string            `json:"units"`    // mm or in
	Verdict  string            `json:"verdict"`  // in a sentence
	Counts   [3]int            `json:"counts"`   // stops, warnings, notes
	Undo     string            `json:"undo"`     // what undo would take back; "" = nothing
	Redo     string            `json:"redo"`     //
	Width    float64           `json:"width"`    // of the face; 0 = not known yet
	Height   float64           `json:"height"`   //
	Controls []ControlData     `json:"controls"` //
	Findings []finding.Finding `json:"findings"` //
	Outline  [][2]float64      `json:"outline"`  // of the face
	Behind   []ShapeData       `json:"behind"`   // walls, ribs, blocks, boards behind the face
	Texts    []TextData        `json:"texts"`    // lettering that belongs to no control
	Holes    []ShapeData       `json:"holes"`    // screws and openings of the face
	HasBox   bool              `json:"has_box"`  //
	Wired    bool              `json:"wired"`    //
}

// ControlData is a control on the face.
type ControlData struct {
	Name   string      `json:"name"`
	Label  string      `json:"label"`
	Part   string      `json:"part"`
	Title  string      `json:"title"` // of its part
	Class  string      `json:"class"`
	X      float64     `json:"x"`
	Y      float64     `json:"y"`
	Turn   float64     `json:"turn"`
	Path   string      `json:"path"`   // in the file
	Line   int         `json:"line"`   // in the file, 0 = none
	Move   string      `json:"move"`   // path to set to move it; "" = it cannot be moved on its own
	Base   [2]float64  `json:"base"`   // its value there is base + shift
	Pinned bool        `json:"pinned"` //
	Board  string      `json:"board"`  // "" = the face
	Front  [4]float64  `json:"front"`  // box round what a finger meets: least x, y, most x, y
	Rear   [4]float64  `json:"rear"`   // box round what lies behind
	Group  string      `json:"group"`
	Shapes []ShapeData `json:"shapes"` // what a finger meets, lowest first
	Bodies []ShapeData `json:"bodies"` // what lies behind, with lugs
	Legend TextData    `json:"legend"`
}

// ShapeData is an outline on the face.
type ShapeData struct {
	Role   string       `json:"role"`
	Name   string       `json:"name"`
	Points [][2]float64 `json:"points"`
}

// TextData is lettering, its middle and the height of its capitals.
type TextData struct {
	Lines []string `json:"lines"`
	X     float64  `json:"x"`
	Y     float64  `json:"y"`
	Cap   float64  `json:"cap"`
}

// TryData is what a drag needs: the findings and where the controls would be.
type TryData struct {
	Verdict  string            `json:"verdict"`
	Counts   [3]int            `json:"counts"`
	Controls []ControlData     `json:"controls"`
	Findings []finding.Finding `json:"findings"`
}

// ClashData is both sides of a clash.
type ClashData struct {
	Say    string `json:"say"`
	Yours  string `json:"yours"`
	Theirs string `json:"theirs"`
	Rev    int    `json:"rev"`
}

func lookData(s *Session, now, good *Look, trouble error) LookData {
	p := good.Result.Panel
	d := LookData{
		Rev: now.Rev, Drawn: good.Rev, Broken: now.Broken, File: filepath.Base(s.path), Text: string(now.Text), Title: p.Title, Units: p.Units,
		Verdict: terminal.Verdict(now.Result.Findings), Width: p.Face.Width, Height: p.Face.Height, Controls: controls(p), Findings: now.Result.Findings,
		Outline: points(p.Face.Outline), Behind: behind(p), Texts: texts(p), Holes: holes(p), HasBox: p.Carcass != nil, Wired: len(good.Result.Harness.Wires) > 0,
	}
	d.Undo, d.Redo = s.Steps()
	d.Counts[0], d.Counts[1], d.Counts[2] = finding.Count(now.Result.Findings)
	if trouble != nil {
		d.Trouble = finding.Capital(trouble.Error()) + "."
	}
	if d.Findings == nil {
		d.Findings = []finding.Finding{}
	}
	return d
}

func tryData(l *Look) TryData {
	d := TryData{Verdict: terminal.Verdict(l.Result.Findings), Controls: controls(l.Result.Panel), Findings: l.Result.Findings}
	d.Counts[0], d.Counts[1], d.Counts[2] = finding.Count(l.Result.Findings)
	if d.Findings == nil {
		d.Findings = []finding.Finding{}
	}
	return d
}

// controls lists the controls of the face and of the other boards.
func controls(p *panel.Panel) []ControlData {
	out := []ControlData{}
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			out = append(out, ControlData{
				Name: c.Name, Label: c.Label, Part: c.Part.ID, Title: c.Part.Title, Class: string(c.Part.Class), X: c.At.X, Y: c.At.Y, Turn: c.Turn, Path: c.Origin.Path,
				Line: c.Origin.Pos.Line, Move: c.Origin.MovePath, Base: [2]float64{c.Origin.MoveBase.X, c.Origin.MoveBase.Y}, Pinned: c.Pinned, Board: s.Board,
				Front: around(c, c.Front), Rear: around(c, c.Rear), Group: c.Group, Shapes: shapes(c.Front), Bodies: lugs(c, shapes(c.Rear)),
				Legend: TextData{Lines: lines(c.Legend.Lines), X: c.Legend.Middle.X, Y: c.Legend.Middle.Y, Cap: c.Legend.Cap},
			})
		}
	}
	return out
}

// around is the box round some bodies of a control; a hair round its middle when it has none.
func around(c *panel.Control, bodies []panel.Body) [4]float64 {
	b := geom.EmptyBox2().Extend(c.At.Vec2)
	for _, x := range bodies {
		if x.Role == panel.RoleTool || x.Role == panel.RoleBend || x.Role == panel.RoleSweep || x.Outline.Empty() {
			continue
		}
		b = b.Union(x.Outline.Bounds())
	}
	return [4]float64{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y}
}

func points(o geom.Outline) [][2]float64 {
	out := [][2]float64{}
	for _, q := range o.Flatten(0.05) {
		out = append(out, [2]float64{round(q.X), round(q.Y)})
	}
	return out
}

// round keeps a hundredth of a millimetre: more is not seen.
func round(v float64) float64 { return math.Round(v*100) / 100 }

func lines(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func shapes(bodies []panel.Body) []ShapeData {
	out := []ShapeData{}
	for _, b := range bodies {
		if b.Role == panel.RoleTool || b.Role == panel.RoleBend || b.Role == panel.RoleLugs || b.Outline.Empty() {
			continue
		}
		out = append(out, ShapeData{string(b.Role), b.Owner, points(b.Outline)})
	}
	return out
}

func lugs(c *panel.Control, out []ShapeData) []ShapeData {
	for _, l := range c.Lugs {
		w, h := max(l.W, 1.2), max(l.H, 1.2)
		out = append(out, ShapeData{"lug", l.Name, points(geom.Rect(geom.Vec2{}, w, h, 0).Move(geom.Place{At: l.At.Vec2, Turn: c.Turn}))})
	}
	return out
}

func behind(p *panel.Panel) []ShapeData {
	out := []ShapeData{}
	for _, b := range p.Behind {
		switch b.Role {
		case panel.RoleWall, panel.RoleRib, panel.RoleBlock, panel.RoleLedge, panel.RoleModule:
			if !b.Outline.Empty() {
				out = append(out, ShapeData{string(b.Role), b.Owner, points(b.Outline)})
			}
		}
	}
	return out
}

func texts(p *panel.Panel) []TextData {
	out := []TextData{}
	for _, t := range p.Texts {
		out = append(out, TextData{lines(t.Lines), t.Middle.X, t.Middle.Y, t.Cap})
	}
	return out
}

func holes(p *panel.Panel) []ShapeData {
	out := []ShapeData{}
	for _, f := range p.Fixings {
		out = append(out, ShapeData{"screw", f.Origin.Name, points(f.Cut.Outline)})
	}
	for _, o := range p.Openings {
		out = append(out, ShapeData{"opening", o.Origin.Name, points(o.Outline)})
	}
	return out
}
