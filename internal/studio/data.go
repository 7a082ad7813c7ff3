package studio

import (
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"knobwright/internal/edit"
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
	Forms    []MouldData       `json:"forms"`    // what controls look like; those that are alike share one
	Groups   []edit.Group      `json:"groups"`   // rows, grids, arcs and images of the face
	Waiting  []edit.Lying      `json:"waiting"`  // controls that lie beside the face: without a place, a part or a board
	Boards   []BoardData       `json:"boards"`   // that carry controls; the first one is the face
	Guest    bool              `json:"guest"`    // may look and tick, not change
}

// MouldData is what a control looks like round its own middle: points are mm from there, turned as it is.
type MouldData struct {
	Front []ShapeData `json:"front"` // what a finger meets, lowest first
	Rear  []ShapeData `json:"rear"`  // what lies behind, with lugs
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
	Form   int         `json:"form"`   // its place in Forms
	Shapes []ShapeData `json:"shapes"` // what a finger meets, lowest first; the page makes it of the form
	Bodies []ShapeData `json:"bodies"` // what lies behind, with lugs; likewise
	Legend TextData    `json:"legend"`
	Image  string      `json:"image"` // the control that a mirror or copy made it of; it goes where that one goes
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

// TryData is what a drag needs: the findings, and which controls would stand elsewhere.
type TryData struct {
	Rev      int               `json:"rev"` // that it was tried on
	Moved    []MovedData       `json:"moved"`
	Cut      *CutData          `json:"cut,omitempty"`
	Findings []finding.Finding `json:"findings"` // those that the look of the revision does not have
	Order    []int             `json:"order"`    // all of them in order: n = number n of the look, -n = the n-th of Findings
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
		Verdict: terminal.Verdict(now.Result.Findings), Width: p.Face.Width, Height: p.Face.Height, Findings: now.Result.Findings,
		Outline: points(p.Face.Outline), Behind: behind(p), Texts: texts(p), Holes: holes(p), HasBox: p.Carcass != nil, Wired: len(good.Result.Harness.Wires) > 0,
	}
	d.Controls, d.Forms = controls(p)
	d.Groups = groups(good.Doc, p)
	d.Waiting = edit.Tray(good.Doc, p)
	d.Boards = boards(good.Doc, p)
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

// controls lists the controls of the face and of the other boards.
func controls(p *panel.Panel) ([]ControlData, []MouldData) {
	out, fs := []ControlData{}, forms{at: map[string]int{}, list: []MouldData{}}
	for _, s := range p.Sheets() {
		for _, c := range s.Controls {
			out = append(out, ControlData{
				Name: c.Name, Label: c.Label, Part: c.Part.ID, Title: c.Part.Title, Class: string(c.Part.Class), X: c.At.X, Y: c.At.Y, Turn: c.Turn, Path: c.Origin.Path,
				Line: c.Origin.Pos.Line, Move: c.Origin.MovePath, Base: [2]float64{c.Origin.MoveBase.X, c.Origin.MoveBase.Y}, Pinned: c.Pinned, Board: s.Board,
				Front: around(c, c.Front), Rear: around(c, c.Rear), Group: c.Group, Form: fs.of(c), Image: c.From,
				Legend: TextData{Lines: lines(c.Legend.Lines), X: c.Legend.Middle.X, Y: c.Legend.Middle.Y, Cap: c.Legend.Cap},
			})
		}
	}
	return out, fs.list
}

// forms gathers what controls look like.
type forms struct {
	at   map[string]int
	list []MouldData
}

// of gives the form of a control: controls of one part, turn and size share it.
func (f *forms) of(c *panel.Control) int {
	var k strings.Builder
	fmt.Fprintf(&k, "%s %.3f", c.Part.ID, c.Turn)
	for _, bs := range [][]panel.Body{c.Front, c.Rear} {
		for _, b := range bs {
			if !b.Outline.Empty() {
				x := b.Outline.Bounds()
				fmt.Fprintf(&k, "|%s %d %.3f %.3f %.3f %.3f", b.Role, len(b.Outline), x.Min.X-c.At.X, x.Min.Y-c.At.Y, x.Max.X-c.At.X, x.Max.Y-c.At.Y)
			}
		}
		k.WriteByte('/')
	}
	for _, l := range c.Lugs {
		fmt.Fprintf(&k, "|%s %.2f %.2f", l.Name, l.At.X-c.At.X, l.At.Y-c.At.Y)
	}
	i, ok := f.at[k.String()]
	if !ok {
		i = len(f.list)
		f.at[k.String()] = i
		f.list = append(f.list, MouldData{round0(shapes(c.Front), c.At.Vec2), round0(lugs(c, shapes(c.Rear)), c.At.Vec2)})
	}
	return i
}

// round0 gives shapes by their distance from a middle; whose they are is left out.
func round0(ss []ShapeData, mid geom.Vec2) []ShapeData {
	for i := range ss {
		if ss[i].Role != "lug" {
			ss[i].Name = ""
		}
		for j, q := range ss[i].Points {
			ss[i].Points[j] = [2]float64{round(q[0] - mid.X), round(q[1] - mid.Y)}
		}
	}
	return ss
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
