package studio

import (
	"net/http"
	"strconv"
	"strings"
	"sync"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trade/stiffness"
	"knobwright/internal/view"
)

// PressData is how far the faces give. Lengths are mm in each face's own frame.
type PressData struct {
	Rev      int               `json:"rev"`      // of the text it belongs to, or that edits were tried on
	Whole    bool              `json:"whole"`    // lines, stress and frequency are in it
	Faces    []PressFace       `json:"faces"`    //
	Findings []finding.Finding `json:"findings"` // of presses; while trying, what meets what too
}

// PressFace is one face under its presses.
type PressFace struct {
	Name     string         `json:"name"`
	Board    string         `json:"board"` // "" = the first face
	Width    float64        `json:"width"`
	Height   float64        `json:"height"`
	Outline  [][2]float64   `json:"outline"`
	Cannot   string         `json:"cannot"` // why nothing is known, a sentence; "" = it is
	Thumb    float64        `json:"thumb"`  // N
	Slip     float64        `json:"slip"`   // N
	Springy  float64        `json:"springy"`
	Solid    float64        `json:"solid"`
	Made     string         `json:"made"`  // of what it is, in words
	Hertz    float64        `json:"hertz"` // 0 = not known
	Notices  []string       `json:"notices"`
	Supports []SupportData  `json:"supports"`
	Ribs     []RibData      `json:"ribs"`
	Presses  []GiveData     `json:"presses"`
	Holes    []ShapeData    `json:"holes"`
	Lines    []LineData     `json:"lines"`     // along which the face gives alike
	Over     [][][2]float64 `json:"over"`      // closed lines within which it gives more than the limit, even-odd
	Free     [][4]float64   `json:"free"`      // rectangles without ribs: least x, y, most x, y
	RibPath  string         `json:"rib_path"`  // under which ribs stand in the file
	RibStock [2]float64     `json:"rib_stock"` // width and height of what is at hand
	FreePath string         `json:"free_path"` // "" = no such rectangles here
	Blanks   []BlankData    `json:"blanks"`    // what may be filled in otherwise
}

// SupportData is what holds a face.
type SupportData struct {
	Name string     `json:"name"`
	Kind string     `json:"kind"`
	A    [2]float64 `json:"a"`
	B    [2]float64 `json:"b"`
}

// RibData is a rib: the ends of its middle line.
type RibData struct {
	Name   string     `json:"name"`
	Path   string     `json:"path"` // "" = it is proposed
	A      [2]float64 `json:"a"`
	B      [2]float64 `json:"b"`
	Width  float64    `json:"width"`
	Height float64    `json:"height"`
	Pinned bool       `json:"pinned"`
}

// GiveData is a control under its presses, mm.
type GiveData struct {
	Name      string  `json:"name"`
	Label     string  `json:"label"`
	X         float64 `json:"x"`
	Y         float64 `json:"y"`
	Judged    bool    `json:"judged"`
	OnWood    bool    `json:"on_wood"`
	Own       float64 `json:"own"`
	Force     float64 `json:"force"` // N, its own
	Thumb     float64 `json:"thumb"`
	Slip      float64 `json:"slip"`
	Neighbour string  `json:"neighbour"`
	Along     float64 `json:"along"`
	Factor    float64 `json:"factor"` // how many times the sheet bears a slip; 0 = not known
	Beside    string  `json:"beside"`
}

// LineData is a line along which a face gives alike, with the places of its number.
type LineData struct {
	Level float64        `json:"level"`
	Limit bool           `json:"limit"`
	Runs  [][][2]float64 `json:"runs"`
	Names []SpotData     `json:"names"`
}

// SpotData is a place with the height of its figures.
type SpotData struct {
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Wide float64 `json:"wide"`
	Cap  float64 `json:"cap"`
}

// BlankData is a blank of a sentence: choices that are edits, or a number that goes into the file between two pieces of text.
type BlankData struct {
	Name    string       `json:"name"`
	Value   string       `json:"value"`
	Choices []ChoiceData `json:"choices"` // none = a number
	Path    string       `json:"path"`
	Before  string       `json:"before"`
	After   string       `json:"after"`
}

// ChoiceData is one way to fill a blank.
type ChoiceData struct {
	Say   string         `json:"say"`
	Edits []finding.Edit `json:"edits"`
}

// PressRequest asks how far faces give, with edits that are tried and not saved.
type PressRequest struct {
	Edits []finding.Edit `json:"edits"`
	Whole bool           `json:"whole"` // lines, stress and frequency too
}

func (v *Server) presses() {
	v.mux.HandleFunc("POST /api/press", v.press)
	v.mux.HandleFunc("POST /api/press/ribs", v.pressRibs)
	v.mux.HandleFunc("GET /api/press/bent", v.bent)
}

// live is the plates of the panel, kept from one question to the next.
type live struct {
	mu   sync.Mutex
	live stiffness.Live
}

func (l *live) see(p *panel.Panel) []*stiffness.Face {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.live.See(p)
}

// press answers how far the faces give. Of the text in force, or of one with edits; a hand that moves something asks for the gives alone.
func (v *Server) press(w http.ResponseWriter, r *http.Request) {
	q, ok := body[PressRequest](w, r)
	if !ok {
		return
	}
	l, ok := v.pressLook(w, q.Edits)
	if !ok {
		return
	}
	d := PressData{Rev: l.Rev, Whole: q.Whole, Faces: []PressFace{}, Findings: []finding.Finding{}}
	if len(q.Edits) > 0 {
		d.Findings = append(d.Findings, l.Result.Findings...)
	}
	p := l.Result.Panel
	var faces []*stiffness.Face
	if q.Whole {
		faces = stiffness.See(p)
	} else {
		faces = v.live.see(p)
	}
	for _, f := range faces {
		x := pressFace(f)
		if q.Whole {
			x.Lines, x.Over = pressLines(f, nil)
			x.Blanks = blanks(l, f)
			d.Findings = append(d.Findings, f.Judge()...)
		}
		d.Faces = append(d.Faces, x)
	}
	answer(w, d)
}

// pressLook is the last good look, or one with edits tried.
func (v *Server) pressLook(w http.ResponseWriter, edits []finding.Edit) (*Look, bool) {
	if len(edits) == 0 {
		_, good, _ := v.session.Now()
		return good, true
	}
	l, err := v.session.Try(edits)
	if err != nil {
		say(w, http.StatusUnprocessableEntity, finding.Capital(err.Error()))
		return nil, false
	}
	return l, true
}

// RibsRequest asks for ribs that bring every press of a face under so many mm.
type RibsRequest struct {
	Face  int     `json:"face"`
	Reach float64 `json:"reach"` // mm; 0 = the limit
	Fresh bool    `json:"fresh"` // ribs that are not pinned may go
}

// RibsData is a proposal of ribs.
type RibsData struct {
	Rev     int              `json:"rev"`
	Say     string           `json:"say"`     // what it does, a sentence
	Bound   string           `json:"bound"`   // what no plan reaches; "" = nothing to say
	Before  float64          `json:"before"`  // mm, the worst press
	After   float64          `json:"after"`   //
	Reached bool             `json:"reached"` //
	Ribs    []RibData        `json:"ribs"`    // to be glued on
	Without []RibData        `json:"without"` // to be taken out
	Gives   []float64        `json:"gives"`   // of every press, in the order of the face's, mm
	Edits   []finding.Edit   `json:"edits"`
	Each    [][]finding.Edit `json:"each"` // that put one of the ribs alone into the file
	Lines   []LineData       `json:"lines"`
	Over    [][][2]float64   `json:"over"`
}

func (v *Server) pressRibs(w http.ResponseWriter, r *http.Request) {
	q, ok := body[RibsRequest](w, r)
	if !ok {
		return
	}
	_, good, _ := v.session.Now()
	faces := stiffness.See(good.Result.Panel)
	switch {
	case q.Face < 0 || q.Face >= len(faces):
		say(w, http.StatusBadRequest, "There is no such face.")
		return
	case q.Reach < 0 || q.Reach > 100:
		say(w, http.StatusUnprocessableEntity, "Write how many mm a press may give, above 0 to 100.")
		return
	}
	f := faces[q.Face]
	target := f.Springy
	if q.Reach > 0 {
		target = q.Reach
	}
	if q.Fresh {
		f.ProposeAfresh(target)
	} else {
		f.Propose(target)
	}
	pr := f.Proposal
	if pr == nil {
		say(w, http.StatusUnprocessableEntity, "No ribs can be proposed: "+f.Name+" has no press that could be reckoned.")
		return
	}
	d := RibsData{
		Rev: good.Rev, Say: pr.Say(), Bound: pr.SayBound(), Before: pr.Before, After: pr.After, Reached: pr.Reached, Ribs: ribData(pr.Ribs), Without: ribData(pr.Without),
		Gives: pr.Gives, Edits: pr.Edits, Each: [][]finding.Edit{},
	}
	if d.Edits == nil {
		d.Edits = []finding.Edit{}
	}
	for _, e := range pr.Edits {
		if e.Op == finding.Set {
			d.Each = append(d.Each, []finding.Edit{e})
		}
	}
	d.Lines, d.Over = pressLines(f, pr)
	answer(w, d)
}

// BentData is how a face bends under a thumb on one control, for the box that can be turned. Places are of the face; the pose says where it is
// in the box.
type BentData struct {
	Rev     int           `json:"rev"`
	Control string        `json:"control"`
	Label   string        `json:"label"`
	Board   string        `json:"board"`
	Thumb   float64       `json:"thumb"` // N
	Most    float64       `json:"most"`  // mm
	Xs      []float64     `json:"xs"`
	Ys      []float64     `json:"ys"`
	Move    [][]float64   `json:"move"`    // mm away from the person, by row and column
	Carried []CarryData   `json:"carried"` // how far each control is carried along
	Ribs    []RibData     `json:"ribs"`    // which bend along
	Back    float64       `json:"back"`    // where they begin behind the front, mm
	Pose    [4][3]float64 `json:"pose"`    // x, y, z of the face's frame and its origin, in the box
}

// CarryData is how far a control is carried along by the face.
type CarryData struct {
	Name string  `json:"name"`
	Move float64 `json:"move"`
}

// bentPlaces is how many places along its longer side a bent face is shown by.
const bentPlaces = 64

func (v *Server) bent(w http.ResponseWriter, r *http.Request) {
	_, good, _ := v.session.Now()
	name := r.URL.Query().Get("control")
	for _, f := range stiffness.Laid(good.Result.Panel) {
		for i, p := range f.Presses {
			if name != "" && p.Control.Name != name || name == "" && !p.Judged || p.OnWood {
				continue
			}
			s, ok := f.Bent(i, f.Thumb, bentPlaces)
			if !ok {
				say(w, http.StatusUnprocessableEntity, "How "+f.Name+" bends cannot be reckoned: the Press sheet says why.")
				return
			}
			d := BentData{Rev: good.Rev, Control: p.Control.Name, Label: p.Control.Label, Board: f.Panel.Board, Thumb: f.Thumb, Most: s.Most, Xs: s.Xs, Ys: s.Ys, Move: s.Move, Ribs: ribData(f.Ribs), Back: f.Panel.Stack.Total}
			to := f.Panel.ToBox
			d.Pose = [4][3]float64{v3(to.X), v3(to.Y), v3(to.Z), v3(to.At)}
			for _, c := range f.Panel.Controls {
				d.Carried = append(d.Carried, CarryData{c.Name, s.At(c.At.Vec2)})
			}
			answer(w, d)
			return
		}
	}
	say(w, http.StatusNotFound, "That control does not stand over a face that bends.")
}

func v3(p geom.Vec3) [3]float64 { return [3]float64{p.X, p.Y, p.Z} }

// pressFace is what the page shows of a face, without lines.
func pressFace(f *stiffness.Face) PressFace {
	p := f.Panel
	d := PressFace{
		Name: f.Name, Board: p.Board, Width: p.Face.Width, Height: p.Face.Height, Outline: points(p.Face.Outline), Thumb: f.Thumb, Slip: f.Slip, Springy: f.Springy, Solid: f.Solid,
		Made: f.Material.Word, Hertz: f.Hertz, Notices: lines(f.Notices), Supports: []SupportData{}, Ribs: ribData(f.AsWritten()), Presses: []GiveData{}, Holes: []ShapeData{}, Lines: []LineData{},
		Over: [][][2]float64{}, Free: [][4]float64{}, RibPath: f.RibPath(), FreePath: f.FreePath(), Blanks: []BlankData{},
	}
	d.RibStock[0], d.RibStock[1] = f.Stock()
	switch {
	case f.Failed != "":
		d.Cannot = finding.Capital(f.Failed) + "."
	case len(f.Loose) > 0 && len(f.Supports) == 0:
		d.Cannot = "Nothing holds " + f.Name + " yet: give the panel a box, or the face its screws."
	case len(f.Loose) > 0:
		d.Cannot = finding.Capital(strings.ReplaceAll(strings.Join(f.Loose, "; "), "the sheet", f.Name)) + ". Hold it against that, and its give can be reckoned."
	}
	for _, s := range f.Supports {
		d.Supports = append(d.Supports, SupportData{s.Name, s.Kind, v2(s.A), v2(s.B)})
	}
	for _, x := range f.Presses {
		g := GiveData{
			Name: x.Control.Name, Label: x.Control.Label, X: x.Control.At.X, Y: x.Control.At.Y, Judged: x.Judged, OnWood: x.OnWood, Own: x.Own, Force: x.Control.Part.Force,
			Thumb: x.Thumb, Slip: x.Slip, Neighbour: x.Neighbour, Along: x.Along, Factor: x.Factor(), Beside: x.Beside,
		}
		d.Presses = append(d.Presses, g)
	}
	for _, c := range p.Controls {
		for _, k := range c.Cuts {
			if !k.Outline.Empty() {
				d.Holes = append(d.Holes, ShapeData{"hole", c.Name, points(k.Outline)})
			}
		}
	}
	for _, o := range p.Openings {
		d.Holes = append(d.Holes, ShapeData{"opening", o.Origin.Name, points(o.Outline)})
	}
	if d.FreePath != "" {
		for _, r := range p.Box.Written.RibFree {
			x0, y0, x1, y1 := r[0][0].MM(), r[0][1].MM(), r[1][0].MM(), r[1][1].MM()
			d.Free = append(d.Free, [4]float64{min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)})
		}
	}
	return d
}

func v2(p geom.Vec2) [2]float64 { return [2]float64{round(p.X), round(p.Y)} }

func ribData(rs []stiffness.Rib) []RibData {
	out := []RibData{}
	for _, r := range rs {
		out = append(out, RibData{r.Name, r.Path, v2(r.A), v2(r.B), round(r.Width), round(r.Height), r.Pinned})
	}
	return out
}

// How the map is shown on the page: places along the longer side, and about so many mm of the page for one of the face.
const (
	pagePlaces = 44
	pageScale  = 0.45
)

// pressLines gives the lines of the map of a face, with a proposal carried out.
func pressLines(f *stiffness.Face, pr *stiffness.Proposal) (lines []LineData, over [][][2]float64) {
	lines, over = []LineData{}, [][][2]float64{}
	m, ok := stiffness.Map{}, false
	if pr != nil {
		m, ok = f.MapOf(pr, pagePlaces)
	} else {
		m, ok = f.Map(nil, pagePlaces)
	}
	if !ok {
		return lines, over
	}
	runs := func(c stiffness.Contour) [][][2]float64 {
		out := [][][2]float64{}
		for _, r := range c.Runs {
			var line [][2]float64
			for _, q := range r {
				line = append(line, v2(q))
			}
			out = append(out, line)
		}
		return out
	}
	for _, c := range m.Fenced().Contours(f.Springy) {
		over = append(over, runs(c)...)
	}
	cs := m.Contours(m.Levels(f.Springy)...)
	names := view.ContourNames(f, cs, pageScale)
	for _, c := range cs {
		d := LineData{Level: c.Level, Limit: c.Level == f.Springy, Runs: runs(c), Names: []SpotData{}}
		for _, n := range names {
			if n.S == strconv.FormatFloat(c.Level, 'f', -1, 64) {
				d.Names = append(d.Names, SpotData{round(n.At.X), round(n.At.Y), round(n.Wide), round(n.Cap)})
			}
		}
		lines = append(lines, d)
	}
	return lines, over
}

// blanks are what decides how far a face gives and may be filled in otherwise.
func blanks(l *Look, f *stiffness.Face) []BlankData {
	p := f.Panel
	out := []BlankData{}
	set := func(path, value string) []finding.Edit {
		return []finding.Edit{{Op: finding.Set, Path: path, Value: value}}
	}
	path := "face.sheet"
	if p.Board != "" {
		path = "box.upper.sheet"
	}
	if p.Stack.Sheet.ID != "" {
		b := BlankData{Name: "sheet", Value: p.Stack.Sheet.Title}
		for _, s := range bendable(l.Catalog, p.Stack.Sheet) {
			b.Choices = append(b.Choices, ChoiceData{s.Title, set(path, s.ID)})
		}
		out = append(out, b, BlankData{Name: "thickness", Value: p.Num(f.Thickness), Choices: []ChoiceData{}, Path: path, Before: "{use: " + p.Stack.Sheet.ID + ", actual: ", After: "}"})
	}
	if p.Board == "" && p.Carcass != nil && p.Box != nil {
		held := p.Box.Written.Held
		b := BlankData{Name: "held", Value: "held by screws"}
		for _, k := range [][2]string{{"screwed", "held by screws"}, {"inserts", "screwed into inserts"}, {"glued", "glued down"}, {"hinged", "hinged"}} {
			b.Choices = append(b.Choices, ChoiceData{k[1], set("box.held", k[0])})
			if held == k[0] {
				b.Value = k[1]
			}
		}
		out = append(out, b, ledgeBlank(p))
		if x := l.Result.File.Face.Fixings; x.Screw != "" && len(x.At) == 0 && held != "glued" {
			across := max(x.Across, 2)
			b := BlankData{Name: "screws", Value: screwsSay(across)}
			for n := 2; n <= 6; n++ {
				b.Choices = append(b.Choices, ChoiceData{screwsSay(n), set("face.fixings.across", strconv.Itoa(n))})
			}
			out = append(out, b)
		}
	}
	out = append(out,
		BlankData{Name: "thumb", Value: length.Plain(f.Thumb), Choices: []ChoiceData{}, Path: "limits.press.thumb"},
		BlankData{Name: "springy", Value: length.Plain(f.Springy), Choices: []ChoiceData{}, Path: "limits.press.springy", After: " mm"},
	)
	return out
}

func screwsSay(across int) string { return strconv.Itoa(across) + " along each long edge" }

// ledgeBlank is what the face lies on.
func ledgeBlank(p *panel.Panel) BlankData {
	const path = "box.ledge"
	b := BlankData{Name: "ledge", Value: "the walls alone"}
	high := "12"
	if l := p.Box.Written.Ledge; l != nil {
		b.Value = "ledges " + length.Plain(l.Width.MM()) + " mm wide"
		high = length.Plain(l.Height.MM())
		b.Choices = append(b.Choices, ChoiceData{"the walls alone", []finding.Edit{{Op: finding.Delete, Path: path}}})
	} else {
		b.Choices = append(b.Choices, ChoiceData{b.Value, []finding.Edit{}})
	}
	for _, w := range []string{"8", "12", "18", "25"} {
		b.Choices = append(b.Choices, ChoiceData{"ledges " + w + " mm wide", []finding.Edit{{Op: finding.Set, Path: path, Value: "{width: " + w + " mm, height: " + high + " mm}"}}})
	}
	return b
}

// bendable lists the sheets that a face may be made of, and the one that it is.
func bendable(cat *catalog.Catalog, now catalog.Sheet) (out []catalog.Sheet) {
	const thickest = 13 // mm
	for _, id := range cat.SheetIDs() {
		s, ok := cat.Sheet(id)
		if !ok || s.ID != now.ID && s.Thickness() > thickest {
			continue
		}
		if _, ok := stiffness.MaterialOf(s, s.Thickness()); ok {
			out = append(out, s)
		}
	}
	return out
}
