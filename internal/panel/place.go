package panel

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/project"
)

// maxControls is the most controls that one panel places; copies of copies could otherwise grow without bound.
const maxControls = 5000

// placer carries what is constant while one file is placed.
type placer struct {
	doc   *project.Doc
	f     *project.File
	cat   *catalog.Catalog
	p     *Panel
	found []finding.Finding

	wall       float64                 // thickness of the walls, mm; 0 = not known
	spec       carcass.Spec            // the box, when p.Box says that there is one
	upper      *Stack                  // of the upper face, when the file gives it one of its own
	sides      map[string]*Side        // boards looked up so far, by their word in the file; nil when the box has none
	parts      map[string]catalog.Part // parts in use as the catalogue has them
	taken      map[string]*Control     // controls placed or waiting, by name
	known      []string                // all part names, read when one is missing
	told       map[string]bool         // paths of values already complained of
	sameLegend map[string]int          // how many controls have this legend
	lines      assumptions             // what is taken on trust
}

// Place lays the panel out: groups expanded, parts looked up, cut-outs, bodies and legends put in the face frame. It judges
// only what keeps a thing from being placed. The panel is never nil, also from a file that is half finished or wrong: what
// could be placed is there, and the findings say what could not.
func Place(doc *project.Doc, cat *catalog.Catalog) (*Panel, []finding.Finding) {
	pl := &placer{doc: doc, f: &doc.File, cat: cat, p: &Panel{doc: doc, ToBox: geom.NoPose()}, parts: map[string]catalog.Part{}, taken: map[string]*Control{}, sameLegend: map[string]int{}}
	pl.general()
	pl.stack()
	pl.order()
	pl.face()
	pl.tools()
	pl.style()
	pl.makeBox()
	pl.controls()
	pl.openings()
	pl.fixings()
	pl.box()
	pl.rails()
	pl.sidesBehind()
	pl.boards()
	pl.texts()
	pl.cutBoards()
	pl.safety()
	pl.p.Assumed = pl.assumed()
	return pl.p, pl.found
}

// general copies what needs no thought.
func (pl *placer) general() {
	f, p := pl.f, pl.p
	p.Title, p.Notes = f.Title, f.Notes
	p.Units = string(f.Units)
	if p.Units == "" {
		p.Units = string(length.MM)
	}
	p.Hand = or(f.Hand, "bare")
	p.Paper = or(f.Paper, "a4")
	p.Reading = 500
	if pl.size("reading", f.Reading, 50, 5000, "The reading distance") {
		p.Reading = f.Reading.MM()
	}
	p.Limits = ownLimits(f.Limits)
	for i, k := range f.Keep {
		path := pl.firstPath("keep."+itoa(i), "keep")
		p.Keeps = append(p.Keeps, Keep{Rule: k.Rule, Of: k.Of, Why: k.Why, Origin: Origin{Name: "keep " + k.Rule, Path: path, Pos: pl.pos(path)}})
	}
}

// Pos is where a path stands in the file: its value when it has one, else its key; zero when it is not written.
func (p *Panel) Pos(path string) finding.Pos {
	if p.doc == nil {
		return finding.Pos{}
	}
	if at := p.doc.Pos(path); at.Line > 0 {
		return at
	}
	return p.doc.KeyPos(path)
}

// say files a finding under a rule.
func (pl *placer) say(r finding.Rule, f finding.Finding) {
	f.Rule, f.Severity = r.Name, r.Severity
	pl.found = append(pl.found, f)
}

// pos is where a path stands in the file: its key when it has one, else its value.
func (pl *placer) pos(path string) finding.Pos {
	if at := pl.doc.KeyPos(path); at.Line > 0 {
		return at
	}
	return pl.doc.Pos(path)
}

// written reports whether the file has something at a path.
func (pl *placer) written(path string) bool {
	return pl.doc.Pos(path).Line > 0 || pl.doc.KeyPos(path).Line > 0
}

// firstPath gives the first of the paths that stands in the file, else the last one.
func (pl *placer) firstPath(paths ...string) string {
	for _, p := range paths {
		if pl.written(p) {
			return p
		}
	}
	return paths[len(paths)-1]
}

// use is the path of a catalogue name: its own key where it has one, else the value that is the name.
func (pl *placer) use(path string) string {
	if at := pl.doc.Pos(path + ".use"); at.Line > 0 && at != pl.doc.Pos(path) {
		return path + ".use"
	}
	return path
}

// end is one end of a finding, at the value of a path.
func (pl *placer) end(name, path string) finding.End {
	at := pl.doc.Pos(path)
	if at.Line == 0 {
		at = pl.doc.KeyPos(path)
	}
	return finding.End{Name: name, Path: path, Pos: at}
}

// mm prints a length in the person's own unit: of an inch in thousandths, as a caliper shows them, where no line of a rule is near.
func (p *Panel) mm(v float64) string {
	s := length.Format(length.Length(v), length.Unit(p.Units))
	if strings.HasPrefix(s, "~") {
		s = strconv.FormatFloat(v/length.PerInch, 'f', 3, 64) + " in"
	}
	return s
}

// num prints a length as it would stand in the person's file: without a unit, in inches up to the next thousandth.
func (p *Panel) num(v float64) string {
	if p.Units == string(length.Inch) {
		in := math.Ceil(v/length.PerInch*1000-1e-6) / 1000
		return strconv.FormatFloat(in+0, 'f', -1, 64) // +0: never -0
	}
	return length.Plain(v)
}

// Num prints a length as it would stand in the person's file, without a unit. Inches are rounded up to the next thousandth.
func (p *Panel) Num(v float64) string { return p.num(v) }

// PairEdits are the edits that put to in place of from, the two values of a list in the file. Where the list is written out,
// only the value that changes is touched.
func (p *Panel) PairEdits(path string, from, to geom.Vec2) []finding.Edit {
	const least = 0.005 // what two decimals do not show
	var out []finding.Edit
	for i, v := range [2][2]float64{{from.X, to.X}, {from.Y, to.Y}} {
		one := path + "." + itoa(i)
		if p.doc == nil || p.doc.Pos(one).Line == 0 || p.doc.Pos(one) == p.doc.Pos(path) {
			out = nil
			break
		}
		if math.Abs(v[1]-v[0]) >= least {
			out = append(out, finding.Edit{Op: finding.Set, Path: one, Value: p.num(v[1])})
		}
	}
	if len(out) == 0 {
		out = []finding.Edit{{Op: finding.Set, Path: path, Value: p.pair(to)}}
	}
	return out
}

func (p *Panel) pair(v geom.Vec2) string { return "[" + p.num(v.X) + ", " + p.num(v.Y) + "]" }

// Move is the fix that shifts a thing by a vector on the face, and whether it can be moved at all. Only the coordinate that
// changes is written, as num does.
func (p *Panel) Move(o Origin, by geom.Vec2) (finding.Fix, bool) {
	if o.MovePath == "" {
		return finding.Fix{}, false
	}
	to := o.MoveBase.Add(by)
	key := o.MovePath[strings.LastIndexByte(o.MovePath, '.')+1:]
	return finding.Fix{
		Say: "Move it " + p.toward(by), Short: key + ": " + p.pair(to),
		Edits: p.PairEdits(o.MovePath, o.MoveBase, to),
	}, true
}

// toward says a shift on the face in words: "3.5 mm right", "2 mm left and 4 mm up".
func (p *Panel) toward(by geom.Vec2) string {
	const least = 0.005
	var s []string
	switch {
	case by.X >= least:
		s = append(s, p.mm(by.X)+" right")
	case by.X <= -least:
		s = append(s, p.mm(-by.X)+" left")
	}
	switch {
	case by.Y >= least:
		s = append(s, p.mm(by.Y)+" up")
	case by.Y <= -least:
		s = append(s, p.mm(-by.Y)+" down")
	}
	if len(s) == 0 {
		return "not at all"
	}
	return strings.Join(s, " and ")
}

// setTo is the fix that writes a value at a path.
func setTo(say, path, value string) finding.Fix {
	key := path
	for {
		dot := strings.LastIndexByte(key, '.')
		last := key[dot+1:]
		if _, err := strconv.Atoi(last); err != nil || dot < 0 {
			key = last
			break
		}
		key = key[:dot] // a place in a list: the list's own name says more
	}
	return finding.Fix{Say: say, Short: key + ": " + value, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: value}}}
}

func or(s, usual string) string {
	if s == "" {
		return usual
	}
	return s
}

func spot(v geom.Vec2) *finding.Place { return &finding.Place{X: v.X, Y: v.Y} }

func vec(p project.Point) geom.Vec2 { return geom.Vec2{X: p[0].MM(), Y: p[1].MM()} }
