package packet

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/geom"
	"knobwright/internal/job"
)

// printPapers adds the printable box: a sheet that says how it is printed and put together, the parts as a drawing program takes them, and the
// parts as a printer takes them.
func printPapers(r *job.Result, d desk, add func(name, about string, data []byte, err error)) {
	p, err := printParts(r)
	if p == nil && err == nil {
		return
	}
	page := func(doc *drawing.Document) {
		data, err := drawing.PDF(doc)
		add("print.pdf", "the box for a printer: its parts, how they lie on the bed, how they are put together", data, err)
	}
	doc := &drawing.Document{Title: "Printed box: " + joinTitle(d), Subject: "parts, inserts, seams"}
	if err != nil {
		l := d.list(sheet{name: "Printed box", cells: []cell{d.panelCell()}})
		l.para("There is no printed box: "+err.Error()+".", false)
		doc.Pages = l.done()
		page(doc)
		return
	}
	doc.Pages = p.book(d)
	page(doc)
	var all, whole []solid.Body
	x := 0.0
	for _, part := range p.parts { // side by side, each flat on the bed
		all = append(all, posed(part.body, geom.NoPose().Shift(geom.Vec3{X: x})))
		whole = append(whole, posed(part.body, part.bed.Inverse()))
		x += part.of.Bounds().Max.X + 10
	}
	m, err := solid.Build(all)
	if err != nil {
		add("print.3mf", "the box for a printer", nil, err)
		return
	}
	data, err := m.ThreeMF(joinTitle(d), 0)
	add("print.3mf", "all parts for the printer, each flat on the bed", data, err)
	if m, err := solid.Build(whole); err == nil {
		add("print.step", "the printed box put together, for a drawing program", m.STEP(solid.STEPOptions{Title: joinTitle(d)}), nil)
	}
	for i, part := range p.parts {
		one, err := solid.Build([]solid.Body{part.body})
		if err != nil {
			add("print.stl", part.name, nil, err)
			return
		}
		name := "print.stl"
		if len(p.parts) > 1 {
			name = fmt.Sprintf("print-%d.stl", i+1)
		}
		data, err := one.STL(part.name, 0)
		add(name, part.name, data, err)
	}
}

// posed is a body of one fused piece, moved.
func posed(b solid.Body, by geom.Pose) solid.Body {
	f, ok := b.Pieces[0].(solid.Fused)
	if !ok {
		return b
	}
	hs := slices.Clone(f.Holes)
	for i := range hs {
		hs[i].Pose = hs[i].Pose.Then(by)
	}
	b.Pieces = []solid.Piece{solid.Fused{Of: f.Of.Posed(by), Holes: hs}}
	return b
}

// book is the printed box on paper.
func (p *printer) book(d desk) []drawing.Page {
	size := p.bounds().Max.Sub(p.bounds().Min)
	l := d.list(sheet{
		name: "Printed box", use: "Print every part as it lies in its file, with its flat side on the bed. Do not measure here.",
		cells: []cell{d.panelCell(), {count(len(p.parts), "part", "parts"), "walls of " + d.size(printWall)}},
	})
	bottom := l.left()
	wide := l.right() - bottom
	if len(p.parts) > 1 {
		l.picture(p.apart(), geom.Box2{Min: v(bottom, 0), Max: v(bottom+wide, 92)}, true)
	}
	faces, each := "face", "that is"
	if len(p.c.Faces) > 1 {
		faces, each = "faces", "each is"
	}
	l.para(fmt.Sprintf("Outside %s wide, %s deep, %s high, without the %s: %s a sheet of its own.", d.size(round1(size.X)), d.size(round1(size.Y)), d.size(round1(size.Z)),
		faces, each), false)
	p.say(l, d)
	const rows = 58.0
	l.room(rows + 12)
	l.head("Parts as they lie on the bed")
	across := 2
	if len(p.parts) > 8 {
		across = 3
	}
	cellWide := wide / float64(across)
	for i := 0; i < len(p.parts); i += across {
		l.room(rows)
		top := l.y
		for k := i; k < min(i+across, len(p.parts)); k++ {
			l.y = top
			q := &p.parts[k]
			x := bottom + cellWide*float64(k-i)
			if m, err := solid.Build([]solid.Body{q.body}); err == nil {
				l.picture([]labelled{{m, ""}}, geom.Box2{Min: v(x+2, 0), Max: v(x+cellWide-8, rows-14)}, false)
			}
			b := q.of.Bounds().Max
			name := "the box"
			if len(p.parts) > 1 {
				name = fmt.Sprint("part ", k+1)
			}
			l.items = append(l.items,
				drawing.Lettered(v(x, l.y-5), 3, drawing.Left, name),
				drawing.Txt(v(x, l.y-9.5), drawing.Read, pt(9), drawing.Left, fmt.Sprintf("%s x %s x %s", d.num(round1(b.X)), d.num(round1(b.Y)), d.size(round1(b.Z)))),
			)
		}
		l.y = top - rows
	}
	return l.done()
}

// say tells how it is printed and put together.
func (p *printer) say(l *lister, d desk) {
	l.head("Printing")
	if p.up == 1 {
		l.bullet("It lies on its back, the opening for the panel upwards.", false)
	}
	var hang []string
	for i, q := range p.parts {
		if q.hang < 100 {
			continue
		}
		cm := fmt.Sprintf("%.0f cm²", math.Ceil(q.hang/100))
		if len(p.parts) > 1 {
			cm += fmt.Sprintf(" of part %d", i+1)
		}
		hang = append(hang, cm)
	}
	if len(hang) > 0 {
		l.bullet(strings.Join(hang, ", ")+" hang over nothing: let the slicing program put supports under them. All else is no flatter than 45 degrees and needs none.", false)
	} else {
		l.bullet("Nothing is flatter than 45 degrees: it needs no supports.", false)
	}
	l.bullet("Near a lamp or behind a window take a plastic that stands warmth: PETG, ABS or ASA. PLA gives way at 55 to 60 degrees.", false)
	if up := p.lift(); up > 0.05 {
		l.bullet(fmt.Sprintf("The floor is thinner than the wooden base. Set what stands on it %s higher, so that it is where it was checked.", d.size(round1(up))), false)
	}
	for _, s := range p.clashes() {
		l.bullet(s, true)
	}
	inserts := map[string]int{}
	var threads []string
	for _, q := range p.posts {
		if !q.lost && q.thread != "" {
			if inserts[q.thread] == 0 {
				threads = append(threads, q.thread)
			}
			inserts[q.thread]++
		}
	}
	if len(threads) > 0 || len(p.skipped) > 0 {
		l.head("The screws of the face")
	}
	for _, t := range threads {
		for _, q := range p.posts {
			if q.thread == t {
				l.bullet(fmt.Sprintf("%s for %s, %s long, into the posts: holes of %s. Push each in with a hot iron until it is flush, straight; let it cool before it is loaded.", count(inserts[t], "heat-set insert", "heat-set inserts"), t, d.size(round1(q.deep-1)), d.size(q.hole)), true)
				break
			}
		}
		l.bullet("The iron, the insert and the plastic round it burn skin, and melting plastic smokes: let air into the room.", false)
	}
	for _, s := range p.skipped {
		l.bullet(fmt.Sprintf("No room for a post under %s: take a screw with washer and nut there.", s), false)
	}
	screws, pegs := 0, 0
	for _, b := range p.bolts {
		switch {
		case b.lost:
		case b.d == seamPeg:
			pegs++
		default:
			screws++
		}
	}
	if len(p.parts) == 1 {
		return
	}
	l.head("Putting the parts together")
	l.bullet("Try all parts dry. Rub the seams flat on abrasive paper on a pane of glass where they rock.", true)
	l.bullet(fmt.Sprintf("Pegs of 4 mm, 10 long, go through the wider holes of the flanges: %d. They hold the parts in line.", pegs), true)
	l.bullet(fmt.Sprintf("Screws M3 x 16 with washers and nuts go through the narrower ones: %d. Where the box is never to come apart, cement the flanges as well.", screws), true)
	if len(p.parts) > 2 {
		l.bullet("Join the parts that stand side by side first, then the rows. The face goes on last.", false)
	}
}

// lift is how much higher the base of boards is than the floor of the printed box; 0 when nothing stands on it.
func (p *printer) lift() float64 {
	b := p.c.Spec.Build
	stands := p.r.Panel.Module != nil && p.r.Panel.Module.On == "base"
	for _, m := range p.r.Panel.Extras {
		stands = stands || m.On == "base"
	}
	switch {
	case !stands || b.BaseFit == carcass.NoBase:
		return 0
	case b.BaseFit == carcass.Between:
		return max(0, b.BaseUp+b.Base-printWall)
	}
	return max(0, b.Base-printWall)
}

// labelled is something to be drawn with a name on it.
type labelled struct {
	m    *solid.Model
	name string
}

// apart gives the parts in their places, drawn apart.
func (p *printer) apart() (out []labelled) {
	mid := p.bounds().Centre()
	for i, q := range p.parts {
		at := q.cell.Min.Add(q.cell.Max).Mul(0.5)
		m, err := solid.Build([]solid.Body{posed(q.body, q.bed.Inverse().Shift(at.Sub(mid).Mul(0.35)))})
		if err == nil {
			out = append(out, labelled{m, fmt.Sprint(i + 1)})
		}
	}
	return out
}

// picture draws bodies, the farthest first, into a room of the page whose upper edge is here; with move what follows goes below it.
func (l *lister) picture(ms []labelled, room geom.Box2, move bool) {
	view := solid.View{Turn: 35, Tilt: 35}
	ext := geom.EmptyBox2()
	for _, m := range ms {
		ext = ext.Union(m.m.Extent(view))
	}
	size := room.Size()
	view.Scale = min(size.X/ext.Size().X, size.Y/ext.Size().Y)
	slices.SortStableFunc(ms, func(a, b labelled) int { // the viewer is in front, to the right and above
		near := func(m labelled) float64 {
			c := m.m.Bounds(0).Centre()
			return c.X*math.Sin(view.Turn*math.Pi/180)*math.Cos(view.Tilt*math.Pi/180) - c.Y*math.Cos(view.Turn*math.Pi/180)*math.Cos(view.Tilt*math.Pi/180) + c.Z*math.Sin(view.Tilt*math.Pi/180)
		}
		return cmp.Compare(near(a), near(b))
	})
	mid := room.Centre().Sub(ext.Centre().Mul(view.Scale))
	mid.Y = l.y - size.Y/2 - ext.Centre().Y*view.Scale
	for _, m := range ms {
		items, err := m.m.Drawing(view)
		if err != nil {
			continue
		}
		l.items = append(l.items, &drawing.Group{Place: geom.Place{At: mid}, Items: items})
	}
	for _, m := range ms {
		if m.name == "" {
			continue
		}
		b := m.m.Bounds(0)
		at := mid.Add(view.Project(geom.Vec3{X: b.Centre().X, Y: b.Min.Y, Z: b.Min.Z})).Add(v(0, 2.5))
		l.items = append(l.items,
			&drawing.Path{Style: drawing.Style{Fill: drawing.Paper}, Outlines: []geom.Outline{geom.Circle(at.Add(v(0, 2)), 7)}},
			drawing.Lettered(at, 4, drawing.Centre, m.name),
		)
	}
	if l.y -= size.Y; move {
		l.y -= 3
	}
}
