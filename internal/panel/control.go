package panel

import (
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// controls places every control of the file: those that can be go into Controls, the others into Waiting.
func (pl *placer) controls() {
	seats := pl.expand()
	for _, s := range seats {
		if l := legendWords(s); l != "" {
			pl.sameLegend[l]++
		}
	}
	for _, s := range seats {
		c := pl.control(s)
		if first := pl.taken[s.name]; first != nil {
			pl.duplicate(first, c)
			continue
		}
		pl.taken[s.name] = c
		if !s.placed || c.Part.ID == "" {
			pl.p.Waiting = append(pl.p.Waiting, c)
			continue
		}
		board, ok := pl.boardFor(c.Label, s.rec.On, s.on, c.Origin)
		if !ok {
			pl.p.Waiting = append(pl.p.Waiting, c)
			continue
		}
		pl.at(board, func() {
			pl.p.Controls = append(pl.p.Controls, c)
			pl.cuts(c)
			pl.bodies(c, s)
			pl.legend(c, s)
			pl.offSheet(c)
		})
		pl.lines.part(c, s.rec.Adjust.Node != nil)
	}
}

// duplicate reports two controls of one name, unless the reader has: it compares the names that stand in the file.
func (pl *placer) duplicate(first, second *Control) {
	read := func(c *Control) bool { return strings.HasSuffix(c.Origin.Path, "."+c.Name) }
	if read(first) && read(second) {
		return
	}
	pl.say(ruleDuplicate, finding.Finding{
		Head: "Two controls are called " + first.Name + ".",
		Body: "Only the one of line " + itoa(first.Origin.Pos.Line) + " is placed. Rename one, or give the mirror or copy another suffix.",
		Ends: []finding.End{second.Origin.End(), first.Origin.End()},
	})
}

// control makes a control without cut-outs and bodies.
func (pl *placer) control(s seat) *Control {
	c := &Control{
		Name: s.name, Label: plainName(s.name), At: P(s.at.X, s.at.Y), Turn: norm(s.turn), Sends: s.rec.Sends.Text(), Sent: s.rec.Sends, Note: s.rec.Note,
		Via: s.rec.Via, Lit: s.rec.Lit, Use: s.rec.Use, Pinned: s.rec.Pinned, Group: s.group, From: s.source, Origin: s.origin, adjusted: s.rec.Adjust.Text(),
	}
	if l := legendWords(s); l != "" {
		c.Label = l
		if pl.sameLegend[l] > 1 { // sentences must tell the two apart
			c.Label += " (" + s.name + ")"
		}
	}
	c.Origin.Name = c.Label
	if c.Pinned {
		c.Origin.MovePath = ""
	}
	lacks, then := "", ""
	switch {
	case s.derived: // its source says it
	case s.rec.Part == "" && !s.placed && s.group == "":
		lacks, then = "neither a part nor a place yet", "Write part: and at: [across, up]."
	case s.rec.Part == "":
		lacks, then = "no part yet", "It takes no room until it has one."
	case !s.placed && s.group == "":
		lacks, then = "no place yet", "Write at: [across, up], or put it into a row or grid."
	}
	if lacks != "" {
		f := finding.Finding{Head: c.Label + " has " + lacks + ".", Body: then, Ends: []finding.End{c.Origin.End()}}
		if s.placed {
			f.Place = spot(s.at)
		}
		pl.say(ruleUnfinished, f)
	}
	if s.rec.Part != "" {
		c.Part = pl.part(c, s)
	}
	return c
}

// legendWords is the legend that the file gives a control, on one line.
func legendWords(s seat) string {
	if s.rec.Legend == nil {
		return ""
	}
	return strings.Join(strings.Fields(s.rec.Legend.Text), " ")
}

// part looks a control's part up and lays the control's own changes over it.
func (pl *placer) part(c *Control, s seat) catalog.Part {
	id := s.rec.Part
	p, ok := pl.parts[id]
	if !ok {
		if p, ok = pl.cat.Part(id); ok {
			pl.parts[id] = p
		}
	}
	if !ok {
		path := pl.firstPath(s.part, s.origin.Path)
		if pl.once(path) {
			return catalog.Part{}
		}
		if pl.known == nil {
			pl.known = pl.cat.PartIDs()
		}
		name := c.Label
		if s.part == "groups."+s.group+".part" {
			name = "the group " + s.group
		}
		pl.unknown(ruleUnknownPart, "part", id, path, name, pl.known)
		return catalog.Part{}
	}
	if s.rec.Adjust.Node == nil {
		return p
	}
	d := &yamlfile.Decoder{File: pl.doc.Name, Bare: length.Unit(pl.p.Units), Pos: map[string]finding.Pos{}}
	p = catalog.Adjust(p, s.rec.Adjust.Node, d, s.adjust)
	if !pl.once(s.adjust) {
		for _, pr := range d.Problems {
			pl.found = append(pl.found, pr.Finding(c.Label))
		}
	}
	return p
}

// plainName is how a control is called when it has no legend: its name in capitals, - and _ as spaces.
func plainName(name string) string {
	return strings.ToUpper(strings.Map(func(r rune) rune {
		if r == '-' || r == '_' {
			return ' '
		}
		return r
	}, name))
}

// offSheet reports a control of which a hole leaves the sheet, with the shift that brings all of its holes in.
func (pl *placer) offSheet(c *Control) {
	if len(c.Cuts) == 0 {
		return
	}
	pl.hole(c.Label, c.Origin, c.Cuts...)
}

// hole says of one thing that a hole of it leaves the sheet: of several holes the one that does so most.
func (pl *placer) hole(label string, o Origin, cuts ...*Cut) {
	f := pl.p.Face
	if !f.HasSize() {
		return
	}
	var worst *Cut
	var at geom.Vec2
	out, all := 0.0, geom.EmptyBox2()
	for _, cut := range cuts {
		if cut.Outline.Empty() {
			continue
		}
		b := cut.Outline.Bounds()
		all = all.Union(b)
		if c := f.Corner; b.Min.X >= c && b.Min.Y >= c && b.Max.X <= f.Width-c && b.Max.Y <= f.Height-c {
			continue // clear of the edges and of the rounded corners
		}
		m, where := f.Outline.Margin(cut.Outline)
		if m >= 0 {
			continue
		}
		// Off by how much: the longest way over an edge; Margin says so only near the sheet.
		by := max(-b.Min.X, -b.Min.Y, b.Max.X-f.Width, b.Max.Y-f.Height)
		if by <= 0 {
			by = -m // over a rounded corner
		}
		if by > out {
			worst, at, out = cut, where, by
		}
	}
	if worst == nil {
		return
	}
	what := "The hole"
	switch {
	case worst == cuts[0]:
	case worst.What == "anti-turn":
		what = "The anti-turn hole"
	case worst.What == "screw":
		what = "A screw hole"
	default:
		what = "A hole"
	}
	fd := finding.Finding{
		Head:    what + " of " + label + " leaves the sheet by " + pl.p.mm(out) + ".",
		Ends:    []finding.End{o.End(), f.Origin.End()},
		Place:   spot(within(at, f)),
		Measure: &finding.Measure{Have: -out, Want: 0, Unit: "mm", Sense: finding.AtLeast},
		Why:     "There is no sheet to cut there.",
	}
	if by, ok := pl.inward(all, out); ok {
		if fix, ok := pl.p.Move(o, by); ok {
			fd.Fixes = []finding.Fix{fix}
		}
	} else {
		fd.Body = "The hole is larger than the sheet."
		if len(cuts) > 1 {
			fd.Body = "Its holes together are larger than the sheet."
		}
	}
	pl.say(ruleOffSheet, fd)
}

// inward gives the shift that puts a box on the sheet with a rim round it: the thickness of the sheet, 3 mm at least.
func (pl *placer) inward(b geom.Box2, out float64) (geom.Vec2, bool) {
	f := pl.p.Face
	rim := max(3, pl.p.Stack.SheetThickness)
	if c := f.Corner; c > 0 {
		rim = max(rim, c*(1-0.70711)) // a corner of the box stays clear of the rounded corner
	}
	size := b.Size()
	if size.X > f.Width || size.Y > f.Height {
		return geom.Vec2{}, false
	}
	axis := func(lo, hi, end float64) float64 {
		r := min(rim, (end-(hi-lo))/2)
		switch {
		case lo < r:
			return half(r - lo)
		case hi > end-r:
			return -half(hi - end + r)
		}
		return 0
	}
	return geom.Vec2{X: axis(b.Min.X, b.Max.X, f.Width), Y: axis(b.Min.Y, b.Max.Y, f.Height)}, true
}

// within brings a point onto the sheet, so that a mark can be drawn there.
func within(p geom.Vec2, f Face) geom.Vec2 {
	return geom.Vec2{X: min(max(p.X, 0), f.Width), Y: min(max(p.Y, 0), f.Height)}
}

// half rounds up to the next half millimetre.
func half(v float64) float64 {
	n := float64(int64(v * 2))
	if n < v*2-1e-9 {
		n++
	}
	return n / 2
}

// legendOf gives the text of a control's legend; a legend that only says where or how large keeps the usual text.
func (pl *placer) legendOf(s seat) string {
	l := s.rec.Legend
	if l == nil || l.Text == "" && pl.styleOnly(l, s.legend) {
		return plainName(s.name)
	}
	return l.Text
}

func (pl *placer) styleOnly(l *project.Legend, path string) bool {
	return (l.Place != "" || l.Cap != 0 || l.Gap != 0) && !pl.written(path+".text")
}
