package panel

import (
	"strconv"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/project"
	"knobwright/internal/trust"
	"knobwright/internal/yamlfile"
)

func itoa(i int) string { return strconv.Itoa(i) }

// maxFace is the longest side of a face, mm; beyond it a unit is wrong rather than a panel large.
const maxFace = 3000

// size reports whether a length stands in the file at path and lies above lo and not above hi; what is written and lies
// elsewhere is a finding.
func (pl *placer) size(path string, v length.Length, lo, hi float64, what string) bool {
	return pl.inRange(path, v.MM(), lo, hi, what, false)
}

// sizeOr0 is size where lo itself is good as well.
func (pl *placer) sizeOr0(path string, v length.Length, lo, hi float64, what string) bool {
	return pl.inRange(path, v.MM(), lo, hi, what, true)
}

func (pl *placer) inRange(path string, v, lo, hi float64, what string, closed bool) bool {
	if v == 0 && !pl.written(path) || v == 0 && pl.unread(path) {
		return false
	}
	if (v > lo || closed && v == lo) && v <= hi {
		return true
	}
	if pl.once(path) {
		return false // said of the control that this one is a copy of
	}
	body := "It can be from " + pl.p.mm(lo) + " to " + pl.p.mm(hi) + "."
	measure := &finding.Measure{Have: v, Want: lo, WantMax: hi, Unit: "mm", Sense: finding.Between}
	if !closed {
		body = "It must be more than " + pl.p.mm(lo) + ", and " + pl.p.mm(hi) + " at most."
		if measure = nil; v > hi { // more than lo is no line of a ruler
			measure = &finding.Measure{Have: v, Want: hi, Unit: "mm", Sense: finding.AtMost}
		}
	}
	pl.say(ruleBadSize, finding.Finding{
		Head: what + " cannot be " + pl.p.mm(v) + ".", Body: body, Ends: []finding.End{pl.end(what, path)}, Measure: measure,
	})
	return false
}

func (pl *placer) outOfRange(path string, v, lo, hi float64, unit, head, body, what string) {
	pl.say(ruleBadSize, finding.Finding{
		Head: head, Body: body, Ends: []finding.End{pl.end(what, path)},
		Measure: &finding.Measure{Have: v, Want: lo, WantMax: hi, Unit: unit, Sense: finding.Between},
	})
}

// once reports whether a value has been complained of before, and keeps in mind that it now is.
func (pl *placer) once(path string) bool {
	if pl.told[path] {
		return true
	}
	if pl.told == nil {
		pl.told = map[string]bool{}
	}
	pl.told[path] = true
	return false
}

// unread reports whether the reader already refused the value at path, so that a zero there says nothing.
func (pl *placer) unread(path string) bool {
	at := pl.doc.Pos(path)
	if at.Line == 0 {
		return true // a key without a value
	}
	for _, f := range pl.doc.Findings {
		for _, e := range f.Ends {
			if e.Path == path || e.Pos == at {
				return true
			}
		}
	}
	return false
}

func (pl *placer) missing(name, path, head, body string) {
	pl.say(ruleUnfinished, finding.Finding{Head: head, Body: body, Ends: []finding.End{pl.end(name, path)}})
}

// face lays the outline of the sheet.
func (pl *placer) face() {
	f, p := pl.f.Face, pl.p
	p.Face.Origin = Origin{Name: "the face", Path: "face", Pos: pl.pos("face")}
	switch {
	case f.Rack != 0:
		if f.Rack < 1 || f.Rack > 60 {
			pl.say(ruleBadSize, finding.Finding{
				Head: "A rack panel cannot be " + itoa(f.Rack) + " units high.", Body: "It can be from 1 to 60 units.",
				Ends:    []finding.End{pl.end("the rack units", "face.rack")},
				Measure: &finding.Measure{Have: float64(f.Rack), Want: 1, WantMax: 60, Sense: finding.Between},
			})
			return
		}
		p.Face.Rack = f.Rack
		p.Face.Width, p.Face.Height = catalog.RackWidth, catalog.RackHeight(f.Rack)
		for _, k := range []string{"width", "height"} {
			if pl.written("face." + k) {
				pl.noEffect("the "+k, "face."+k, "The "+k+" of the face has no effect beside rack: the standard fixes it.")
			}
		}
	default:
		if pl.size("face.width", f.Width, 0, maxFace, "The width of the face") {
			p.Face.Width = f.Width.MM()
		}
		if pl.size("face.height", f.Height, 0, maxFace, "The height of the face") {
			p.Face.Height = f.Height.MM()
		}
	}
	pl.faceOfBox()
	if p.Face.Width == 0 || p.Face.Height == 0 {
		if !pl.written("face.width") || !pl.written("face.height") {
			pl.missing("the face", "face", "The face has no size yet.", "Give width and height, or rack units. Until then nothing is checked against its edges.")
		}
		p.Face.Width, p.Face.Height = 0, 0
		return
	}
	if pl.sizeOr0("face.corner", f.Corner, 0, min(p.Face.Width, p.Face.Height)/2, "The corner radius of the face") {
		p.Face.Corner = f.Corner.MM()
	}
	p.Face.Outline = geom.Rect(geom.Vec2{X: p.Face.Width / 2, Y: p.Face.Height / 2}, p.Face.Width, p.Face.Height, p.Face.Corner)
}

// HasSize reports whether the face has an outline; without one nothing can be checked against its edges.
func (f Face) HasSize() bool { return len(f.Outline) > 0 }

func (pl *placer) noEffect(name, path, head string) {
	if pl.once(path) {
		return
	}
	pl.say(ruleNoEffect, finding.Finding{
		Head: head, Ends: []finding.End{pl.end(name, path)},
		Fixes: []finding.Fix{{Say: "Take it out", Short: "no " + path[len(parent(path)):], Edits: []finding.Edit{{Op: finding.Delete, Path: path}}}},
	})
}

// parent gives the path up to and with its last dot.
func parent(path string) string {
	for i := len(path) - 1; i >= 0; i-- {
		if path[i] == '.' {
			return path[:i+1]
		}
	}
	return ""
}

// stack works out the sheet and what lies on it.
func (pl *placer) stack() {
	pl.stackFrom(&pl.p.Stack, "the face", "face.sheet", pl.f.Face.Sheet, "face.covering", pl.f.Face.Covering)
	pl.p.Stack.GrainUp = pl.f.Face.Grain == "up"
	if s := pl.p.Stack.Sheet; pl.f.Face.Grain != "" && s.ID != "" && s.Kind != "plywood" {
		pl.noEffect("the grain of the face", "face.grain", "The grain of the face has no effect: "+s.Kind+" has none.")
	}
}

// stackFrom reads sheet and covering of a face from where they stand in the file.
func (pl *placer) stackFrom(s *Stack, of, sheetPath string, ref project.SheetRef, coverPath string, c project.CoveringRef) {
	s.SheetOrigin = Origin{Name: "the sheet", Path: sheetPath, Pos: pl.pos(sheetPath)}
	s.CoverOrigin = Origin{Name: "the covering", Path: coverPath, Pos: pl.pos(coverPath)}
	sheet, measured := pl.sheet(of, sheetPath, ref)
	s.Sheet = sheet
	s.SheetThickness = sheet.Thickness()
	if measured > 0 {
		s.SheetThickness = measured
	}
	pl.lines.sheet(of, sheetPath, sheet, measured)

	s.Covering.Kind = "none"
	s.CoverHoles = "trimmed"
	if c.Use != "" && c.Use != "none" {
		if cov, ok := pl.cat.Covering(c.Use); ok {
			s.Covering = cov
		} else {
			pl.unknown(ruleUnknownCovering, "covering", c.Use, pl.use(coverPath), "the covering", pl.cat.CoveringIDs())
		}
	}
	s.CoverThickness = s.Covering.Thickness.MM()
	s.Wrap = s.Covering.Wrap.MM()
	if s.Covering.Holes != "" {
		s.CoverHoles = s.Covering.Holes
	}
	own := pl.sizeOr0(coverPath+".thickness", c.Thickness, 0, 10, "The thickness of the covering")
	if own {
		s.CoverThickness = c.Thickness.MM()
		if s.Covering.Kind == "none" && s.CoverThickness > 0 {
			s.Covering.Kind = "film"
			s.Covering.Title = "a covering of your own"
		}
	}
	if c.Holes != "" {
		s.CoverHoles = c.Holes
	}
	switch {
	case c.Edge == "flush":
		s.Wrap = 0
	case pl.sizeOr0(coverPath+".wrap", c.Wrap, 0, 500, "The turned-over edge of the covering"):
		s.Wrap = c.Wrap.MM()
	case c.Edge == "wrapped" && s.Wrap == 0:
		s.Wrap = 15 // common practice: 15 to 25 mm on a small plate
	}
	if s.CoverThickness > 0 && !own {
		pl.lines.covering(s.Covering)
	}
	s.Total = s.SheetThickness + s.CoverThickness
}

// sheet looks a sheet up. Measured is the thickness that the file gives for it, 0 if none.
func (pl *placer) sheet(of, path string, ref project.SheetRef) (s catalog.Sheet, measured float64) {
	if pl.size(path+".actual", ref.Actual, 0, 60, "The thickness of the sheet of "+of) {
		measured = ref.Actual.MM()
	}
	if ref.Use == "" {
		if measured == 0 && (of == "the face" || pl.written(path)) {
			pl.missing("the sheet of "+of, pl.firstPath(path, above(path)), finding.Capital(of)+" has no sheet yet.",
				"Name one, as in sheet: acrylic-3mm. Until then its thickness counts as nothing.")
		}
		return s, measured
	}
	s, ok := pl.cat.Sheet(ref.Use)
	if !ok {
		pl.unknown(ruleUnknownSheet, "sheet", ref.Use, pl.use(path), "the sheet of "+of, pl.cat.SheetIDs())
		return catalog.Sheet{}, measured
	}
	if s.Thickness() <= 0 && measured == 0 {
		pl.say(ruleBadSize, finding.Finding{Head: "The sheet " + ref.Use + " has no thickness.",
			Ends: []finding.End{pl.end("the sheet of "+of, path)}, Measure: &finding.Measure{Have: s.Thickness(), Want: 0.1, Unit: "mm"}})
	}
	return s, measured
}

// above gives the parent path without its dot, where a missing key would stand.
func above(path string) string {
	p := parent(path)
	if p == "" {
		return path
	}
	return p[:len(p)-1]
}

// unknown says that a word is in no catalogue, with the likely word.
func (pl *placer) unknown(r finding.Rule, kind, word, path, name string, words []string) {
	fd := finding.Finding{
		Head: "There is no " + kind + " " + word + ".",
		Body: "It is neither in the built-in catalogue nor in one of your own.",
		Ends: []finding.End{pl.end(name, path)},
	}
	list := map[string]string{"part": "list", "sheet": "sheets", "covering": "coverings", "bit set": "bits"}[kind]
	switch near, kin := yamlfile.Nearest(word, words), kindred(word, words); {
	case near != "":
		fd.Body = "Did you mean " + near + "?"
		fd.Fixes = []finding.Fix{setTo("Write "+near, path, near)}
	case len(kin) > 0:
		fd.Body = "There are " + several(kin) + "."
		if len(kin) == 1 {
			fd.Body = "There is " + kin[0] + "."
		}
		fallthrough
	case list != "":
		fd.Body += " knobwright parts " + list + " shows all."
	}
	pl.say(r, fd)
}

// ownLimits takes the person's own limits as they are: whether their names and units make sense is for those who know all
// rules.
func ownLimits(m map[string]project.Number) finding.Limits {
	l := finding.Limits{}
	for name, n := range m {
		if l.Own == nil {
			l.Own = map[string]float64{}
		}
		l.Own[name] = n.Value
	}
	return l
}

// practice is the source of a number of this package that the trade uses without a text to cite.
func practice(text string) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: trust.Low}
}
