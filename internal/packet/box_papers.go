package packet

import (
	"fmt"
	"math"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/trade/box"
	"knobwright/internal/view"
)

// boxPapers adds the papers of the box, when there is one: the book of boards, true-size patterns, the cut list, and the solids.
func boxPapers(r *job.Result, d desk, model func() (*solid.Model, error), whole func() *drawing.Scene, pdf func(name, about string, doc *drawing.Document), add func(name, about string, data []byte, err error)) {
	if r.Panel.Carcass == nil || len(r.Box.Boards) == 0 {
		return
	}
	m, err := model()
	if err != nil {
		add("box.step", "the box as solids", nil, err)
		return
	}
	pdf("box.pdf", "the box: every board, the screws, the order of cuts, the cutting plans", boxBook(r, d, whole()))
	pdf("patterns.pdf", "true-size patterns of the boards that are cut on the slant", boxPatterns(r, d))
	data, err := cutlistCSV(r)
	add("cutlist.csv", "the cut list for a spreadsheet", data, err)
	data = m.STEP(solid.STEPOptions{Title: joinTitle(d)})
	add("box.step", "the box as solids, for a drawing program", data, nil)
	data, err = m.STL(joinTitle(d), 0)
	add("box.stl", "the box as triangles", data, err)
	data, err = m.ThreeMF(joinTitle(d), 0)
	add("box.3mf", "the same, with names and colours", data, err)
	laserPapers(r, add)
	printPapers(r, d, add)
}

// boxBook is the box on paper.
func boxBook(r *job.Result, d desk, whole *drawing.Scene) *drawing.Document {
	doc := &drawing.Document{Title: "Box: " + joinTitle(d), Subject: "boards, screws, cuts"}
	doc.Pages = append(doc.Pages, boxPicture(r, d, whole))
	doc.Pages = append(doc.Pages, boxLists(r, d)...)
	for _, l := range r.Box.Boards {
		if l.Board.Role.Shell() || len(l.Bevels) > 0 {
			doc.Pages = append(doc.Pages, boardPage(r, d, l)...)
		}
	}
	for _, p := range r.Box.Plans {
		for i := range p.Sheets {
			doc.Pages = append(doc.Pages, planPage(r, d, p, i)...)
		}
	}
	return doc
}

// boxPicture is the whole box in isometric view.
func boxPicture(r *job.Result, d desk, whole *drawing.Scene) drawing.Page {
	w, h := d.paper.w, d.paper.h
	c := r.Panel.Carcass
	size := c.Bounds.Max.Sub(c.Bounds.Min)
	page := drawing.Page{Width: w, Height: h, Name: "Box"}
	st := r.Box.Stand
	page.Items = d.frame(w, h, sheet{
		name: "Box", use: "As it will stand. Do not measure here: the numbers count.",
		cells: []cell{d.panelCell(), {c.Spec.Form.String(), d.size(math.Round(size.X*10)/10) + " wide"}, {fmt.Sprintf("%.1f kg", st.Grams/1000), "with its parts"}},
	})
	if whole != nil {
		mid := wholeArea(d).Centre().Sub(whole.Bounds.Centre())
		page.Items = append(page.Items, &drawing.Group{Place: geom.Place{At: mid}, Items: whole.Items})
	}
	l := d.list(sheet{})
	l.y = footY + 96
	l.head("What it is")
	l.para(fmt.Sprintf("Outside %s wide, %s deep, %s high. %s", d.size(round1(size.X)), d.size(round1(size.Y)), d.size(round1(size.Z)), slopeWords(c)), false)
	if len(r.Box.Feet) > 0 {
		f := r.Box.Feet[0]
		l.para(fmt.Sprintf("%s of %s under the base. %s", count(len(r.Box.Feet), "rubber foot", "rubber feet"), d.size(f.Diameter), tipWords(st)), false)
	}
	l.head("How it opens")
	for _, o := range r.Box.Opening {
		l.bulletLines(o.Say, false)
	}
	if len(r.Box.Opening) == 0 {
		l.bulletLines("It does not: see the findings.", false)
	}
	if x := r.Box.Exit; x != nil {
		l.head("Where the lead leaves")
		l.bulletLines(x.Say, false)
	}
	page.Items = append(page.Items, l.items...)
	return page
}

// wholeArea is the room for the picture of the whole box.
func wholeArea(d desk) geom.Box2 {
	return geom.Box2{Min: v(marginX+10, footY+96), Max: v(d.paper.w-marginX-6, d.paper.h-topY-6)}
}

// wholeBox draws the whole box in isometric view, as large as that room allows; nil when it cannot be drawn.
func wholeBox(m *solid.Model, d desk) *drawing.Scene {
	v0, area := solid.Isometric(), wholeArea(d)
	ext := m.Extent(v0)
	v0.Scale = min(area.Size().X/ext.Size().X, area.Size().Y/ext.Size().Y, 1)
	items, err := m.Drawing(v0)
	if err != nil {
		return nil
	}
	return &drawing.Scene{Bounds: m.Extent(v0), Items: items}
}

func round1(v float64) float64 { return math.Round(v*10) / 10 }

func slopeWords(c *carcass.Carcass) string {
	var s []string
	for _, f := range c.Faces {
		if f.Slope > 0.01 {
			s = append(s, fmt.Sprintf("The %s slopes %s degrees.", f.Name, length.Plain(round1(f.Slope))))
		}
	}
	return strings.Join(s, " ")
}

func tipWords(st box.Stand) string {
	switch {
	case st.Tip.Name == "" || math.IsInf(st.Tip.Times, 1):
		return "No push at a control tips it." + pullWords(st)
	case st.Tip.Times > 20:
		return "A push at a control hardly tips it." + pullWords(st)
	}
	return fmt.Sprintf("It tips when %s is pushed with %.0f N.", st.Tip.Name, st.Tip.Force*st.Tip.Times) + pullWords(st)
}

// pullWords says what a pull at the lead does.
func pullWords(st box.Stand) string {
	p := st.Pull
	switch {
	case p.Name == "":
		return ""
	case p.Tips < 1:
		return fmt.Sprintf(" A pull of %.0f N at the lead tips it.", p.Force*p.Tips)
	case p.Slides < 1:
		return fmt.Sprintf(" A pull of %.0f N at the lead drags it along.", p.Force*p.Slides)
	}
	return fmt.Sprintf(" It stays put when the lead is pulled with %.0f N.", p.Force)
}

// boxLists are the cut list, joints and screws, and the order of cuts.
func boxLists(r *job.Result, d desk) []drawing.Page {
	l := d.list(sheet{name: "Boards and screws", use: "Sizes are of the blank: the smallest rectangle that holds the board, before bevels.", cells: []cell{d.panelCell(), {count(len(r.Box.Boards), "board", "boards"), "battens among them"}}})
	cols := []column{{head: "", w: 6, tick: true}, {head: "board", w: 0, bold: true}, {head: "of", w: 48, small: true}, {head: "along grain", w: 21, right: true}, {head: "across", w: 19, right: true}, {head: "thick", w: 14, right: true}, {head: "bevels", w: 40, small: true}}
	var rows []row
	for _, b := range r.Box.Boards {
		var bev []string
		for _, x := range b.Bevels {
			bev = append(bev, fmt.Sprintf("%s %s°", x.Edge, length.Plain(round1(x.Tilt))))
		}
		rows = append(rows, row{"x", b.Name, b.Material.Title, d.coord(round1(b.Blank.X)), d.coord(round1(b.Blank.Y)), d.coord(round1(b.Thickness)), strings.Join(bev, ", ")})
	}
	l.heading("Cut list, " + d.unit())
	l.table(cols, rows)
	if len(r.Box.Strips) > 0 {
		l.heading("Strip to buy")
		for _, s := range r.Box.Strips {
			l.bullet(fmt.Sprintf("%s x %s: %s together, for %s.", d.num(s.Width), d.size(s.Height), d.far(s.Total), strings.Join(s.Pieces, "; ")), true)
		}
	}
	l.heading("How the boards are held")
	for _, j := range jointsInWords(r.Box.Joints) {
		l.bullet(j, false)
	}
	screwTable(l, r, d)
	insertTable(l, r, d)
	orderTable(l, r, d)
	for _, c := range r.Box.Cautions {
		l.para(c, false)
	}
	return l.done()
}

// jointsInWords gathers joints that are held alike.
func jointsInWords(js []box.Joint) []string {
	var order []string
	pairs := map[string][]string{}
	for _, j := range js {
		how := j.How
		if len(j.Screws) == 0 && strings.HasPrefix(how, "touches") {
			continue
		}
		if len(pairs[how]) == 0 {
			order = append(order, how)
		}
		pairs[how] = append(pairs[how], j.A+" to "+j.B)
	}
	var out []string
	for _, how := range order {
		out = append(out, strings.Join(pairs[how], "; ")+": "+how+".")
	}
	return out
}

func screwTable(l *lister, r *job.Result, d desk) {
	if len(r.Box.Screws) == 0 {
		return
	}
	l.heading("Screws, " + d.unit())
	l.para("Places are from the heavy corner of the board that the screw goes through, seen from its outer side: up or down from it, to the right or (r) to the left. Drill that board with the clearance bit and sink the head; clamp the boards; drill the pilot through that hole.", true)
	cols := []column{{head: "no.", w: 10, right: true}, {head: "through", w: 0, bold: true}, {head: "into", w: 34}, {head: "screw", w: 20}, {head: "across", w: 18, right: true}, {head: "up, down", w: 23, right: true}, {head: "clearance", w: 22}, {head: "pilot", w: 20}}
	var rows []row
	for _, s := range r.Box.Screws {
		pilot, shank := s.Names()
		b := r.Panel.Carcass.Board(s.Through)
		if b == nil {
			continue
		}
		at, c := fromCorner(b, s.Seen), cornerOf(b)
		across, up := d.coord(round1(at.X)), d.coord(round1(at.Y))
		if c.right {
			across += " (r)"
		}
		if c.top {
			up += " down"
		}
		rows = append(rows, row{fmt.Sprint(s.N), s.Through, s.Into, s.Size.Sold(s.Length, d.inches), across, up, shank, pilot})
	}
	l.table(cols, rows)
}

func insertTable(l *lister, r *job.Result, d desk) {
	if len(r.Box.Inserts) == 0 {
		return
	}
	l.heading("Threaded inserts for the face")
	for _, in := range r.Box.Inserts {
		name := d.size(in.Hole.Want)
		if in.Hole.OK {
			name = in.Hole.Bit.Name
		}
		l.bullet(fmt.Sprintf("%s: insert %s, %s long, into the %s; hole %s, drilled through the face as a guide.", in.Fixing, in.Size.Thread, d.size(in.Size.Length), in.Board, name), true)
	}
}

// boardPage is one board: its drawing with dimensions, its edges, its holes.
func boardPage(r *job.Result, d desk, b box.BoardLine) []drawing.Page {
	s := view.BoardScene(b, r.Box)
	pair := cell{b.Material.Title, d.size(b.Thickness) + " thick"}
	sh := sheet{name: finding.Capital(b.Name), use: "Seen from its outer side. Measure from the heavy corner; do not measure the paper.", cells: []cell{d.panelCell(), pair}}
	if b.Pair != "" {
		sh.where = "PAIR with the " + b.Pair
		if b.Board.Hand != "" {
			sh.where = strings.ToUpper(b.Board.Hand) + " of a " + sh.where
		}
	}
	l := d.list(sh)
	size := s.Bounds.Size()
	area := geom.Box2{Min: v(marginX+28, 0), Max: v(d.paper.w-marginX-24, d.paper.h-topY-16)}
	k := min(area.Size().X/size.X, 110/size.Y, 1)
	org := v(area.Centre().X-k*s.Bounds.Centre().X, area.Max.Y-k*s.Bounds.Max.Y)
	at := func(p geom.Vec2) geom.Vec2 { return org.Add(p.Mul(k)) }
	l.items = append(l.items, &drawing.Group{Scale: k, Place: geom.Place{At: org}, Items: s.Items})
	l.items = append(l.items, boardDims(b, d, at)...)
	l.items = append(l.items, heavyCorner(at(b.Board.Datum), cornerOf(b.Board))...)
	mid := at(s.Bounds.Centre())
	if x := r.Box.Exit; x != nil && x.Board == b.Name { // clear of the hole for the lead
		aside := size.X / 4
		if x.At.X < s.Bounds.Centre().X {
			aside = size.X * 3 / 4
		}
		mid = at(s.Bounds.Min.Add(v(aside, size.Y/2)))
	}
	if b.Material.Grain() && (k*size.X > 80 && k*size.Y > 14 && !b.GrainUp || b.GrainUp && k*size.Y > 40) && len(b.Board.Cutouts) == 0 {
		u, beside := v(1, 0), v(0, 1.5)
		if b.GrainUp {
			u, beside = v(0, 1), v(6, 0)
		}
		l.items = append(l.items, drawing.Ln(mid.Sub(u.Mul(14)), mid.Add(u.Mul(14)), drawing.Dim), drawing.Arrow(mid.Sub(u.Mul(14)), u.Mul(-1), drawing.Ink0), drawing.Arrow(mid.Add(u.Mul(14)), u, drawing.Ink0),
			drawing.Lettered(mid.Add(beside), 2.5, drawing.Centre, "grain"))
	}
	l.y = at(s.Bounds.Min).Y - 20
	l.para(fmt.Sprintf("%s. Blank %s. Finished: outer side %s, inner side %s.", scaleWords(k), d.by(round1(b.Blank.X), round1(b.Blank.Y)), d.by(round1(b.Outer.X), round1(b.Outer.Y)), d.by(round1(b.Inner.X), round1(b.Inner.Y))), false)
	if b.Say != "" {
		l.para(b.Say, false)
	}
	if b.Small && !(r.Box.Laser && b.Board.Role.Shell()) {
		l.para("A small piece: cut it last, from a longer piece, by hand saw or in a jig.", false)
	}
	edgeTable(l, b, d, r.Box.Laser)
	holeTable(l, r, b, d)
	return l.done()
}

// boardDims measures every straight edge of a board's outer side, and its whole width and height.
func boardDims(b box.BoardLine, d desk, at func(geom.Vec2) geom.Vec2) []drawing.Item {
	o := b.Board.OuterOutline
	if o.Empty() {
		o = b.Board.InnerOutline
	}
	var items []drawing.Item
	straight := len(o) <= 10
	for i, a := range o {
		c := o[(i+1)%len(o)].P
		run := c.Sub(a.P)
		if !straight || run.Len() < 4 || a.Bulge != 0 {
			continue
		}
		items = append(items, drawing.Dimension{A: at(a.P), B: at(c), Off: -7, S: d.coord(round1(run.Len()))}.Items()...)
	}
	bb := o.Bounds()
	wide, high := false, false // an edge that says it already
	for i, a := range o {
		run := o[(i+1)%len(o)].P.Sub(a.P)
		wide = wide || straight && math.Abs(run.Y) < 1e-6 && math.Abs(math.Abs(run.X)-bb.Size().X) < 1e-6
		high = high || straight && math.Abs(run.X) < 1e-6 && math.Abs(math.Abs(run.Y)-bb.Size().Y) < 1e-6
	}
	if !wide {
		items = append(items, drawing.DimX(at(bb.Min), at(v(bb.Max.X, bb.Min.Y)), at(bb.Min).Y-14.5, d.coord(round1(bb.Size().X))).Items()...)
	}
	if !high {
		items = append(items, drawing.DimY(at(bb.Min), at(v(bb.Min.X, bb.Max.Y)), at(bb.Min).X-16, d.coord(round1(bb.Size().Y))).Items()...)
	}
	return items
}

// edgeTable lists the edges that are not square, or meet something.
func edgeTable(l *lister, b box.BoardLine, d desk, laser bool) {
	cols := []column{{head: "edge", w: 40, bold: true}, {head: "length", w: 20, right: true}, {head: "cut", w: 0}, {head: "meets", w: 52, small: true}}
	var rows []row
	for _, e := range b.Board.Edges {
		how := "square"
		if e.Bevel > 0.01 {
			tilted := "saw tilted %s°: %s over on %s thick (%s in 100), %s side longer"
			if laser {
				tilted = "square, then planed to %s°: %s over on %s thick (%s in 100), %s side longer"
			}
			how = fmt.Sprintf(tilted, length.Plain(round1(e.Bevel)), d.num(round1(e.Over)), d.num(round1(b.Thickness)), length.Plain(round1(100*math.Tan(e.Bevel*math.Pi/180))), e.Longer)
		}
		if e.Rebate != nil {
			how += fmt.Sprintf("; rebate %s wide, %s deep on the %s side", d.num(round1(e.Rebate.Width)), d.num(round1(e.Rebate.Depth)), e.Rebate.Side)
		}
		if e.Comb != nil {
			how += fmt.Sprintf("; fingers %s wide, slots %s", d.num(round1(e.Comb.Finger())), d.num(round1(e.Comb.Slot())))
		}
		if !laser || !b.Board.Role.Shell() {
			how += "; " + string(e.When)
		}
		meets := ""
		if e.Neighbour != "" {
			meets = e.Neighbour + ", " + e.Joint.String()
		}
		rows = append(rows, row{e.Name, d.coord(round1(e.Length)), how, meets})
	}
	if len(rows) > 0 {
		l.heading("Edges, " + d.unit())
		l.table(cols, rows)
	}
}

// holeTable lists the holes of a board for screws and feet.
func holeTable(l *lister, r *job.Result, b box.BoardLine, d desk) {
	c := cornerOf(b.Board)
	x, y := c.heads()
	cols := []column{{head: "", w: 6, tick: true}, {head: x, w: 20, right: true}, {head: y, w: 20, right: true}, {head: "what", w: 0}, {head: "bit", w: 30, bold: true}}
	var rows []row
	for _, s := range r.Box.Screws {
		if s.Through == b.Name {
			at := fromCorner(b.Board, s.Seen)
			_, shank := s.Names()
			rows = append(rows, row{"x", d.coord(round1(at.X)), d.coord(round1(at.Y)), fmt.Sprintf("screw %d, %s, into the %s; sink the head", s.N, s.Size.Sold(s.Length, d.inches), s.Into), shank})
		}
	}
	for _, f := range r.Box.Feet {
		if f.Board == b.Name {
			at := fromCorner(b.Board, f.Seen)
			rows = append(rows, row{"x", d.coord(round1(at.X)), d.coord(round1(at.Y)), "rubber foot of " + d.size(f.Diameter), ""})
		}
	}
	if x := r.Box.Exit; x != nil && x.Board == b.Name {
		at := fromCorner(b.Board, x.At)
		what := "hole for the lead"
		if x.Notch {
			what = "notch for the lead, in the edge"
		}
		rows = append(rows, row{"x", d.coord(round1(at.X)), d.coord(round1(at.Y)), what, d.size(x.Round)})
	}
	if len(rows) > 0 {
		l.heading("Holes, from the heavy corner, " + c.name() + ", " + d.unit())
		l.table(cols, rows)
	}
}
