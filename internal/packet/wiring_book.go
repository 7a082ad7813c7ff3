package packet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/view"
)

// How many wires one page follows: so many in a list as wide as the page, and never more than so many in two columns.
const (
	hopsWide = 14
	hopsMost = 42
)

// group is a page of the wiring book, or a part of one: wires that are followed together.
type group struct {
	name  string
	say   string
	class int // only groups of a class stand on one page
	hops  []view.Hop
	parts []string // where several stand on a page: the name of the group of each hop
}

// wiringBook is the wiring in drawings: all of it on one page, then one page for each group of wires, then every board with its parts up,
// then the schematic.
func wiringBook(r *job.Result, d desk, n namer, groups []groupScene) *drawing.Document {
	p := r.Panel
	doc := &drawing.Document{Title: "Wiring: " + joinTitle(d), Subject: "seen from behind, wires by group, boards, schematic"}
	bounds := p.Face.Outline.Bounds().Grow(2)
	use := "Seen from behind: your left hand is at the right of the face. Do not measure here."
	if s := partialWords(r); s != "" {
		use = s
	}
	doc.Pages = append(doc.Pages, d.fitted("Behind, wired", bounds, func(k float64) *drawing.Scene { return view.Wired(p, r.Wiring, r.Harness, nil, k) }, sheet{
		name: "Behind, wired", view: drawing.RearView, use: use, cells: []cell{d.panelCell(), {"", "letters: colours, IEC 60757"}},
	}))
	for _, g := range groups {
		doc.Pages = append(doc.Pages, groupPage(r, d, n, g))
	}
	doc.Pages = append(doc.Pages, boardPages(r, d, n)...)
	doc.Pages = append(doc.Pages, schematic(r, d, n)...)
	return doc
}

// hopsFit is how many wires a page can list in two columns under the panel drawn as wide as the page.
func (d desk) hopsFit(bounds geom.Box2) int {
	size := bounds.Size()
	room := d.paper.h - topY - footY - 24
	tall := size.Y * min((d.paper.w-2*marginX-5)/size.X, 1)
	rows := int((room - min(tall, room*0.6)) / (lineStep + 2*rowPad))
	return max(hopsWide, min(2*rows, hopsMost))
}

// paged puts groups of a class together on a page while they fit, and numbers the wires of each page.
func paged(groups []group, most int) []group {
	var out []group
	for _, g := range groups {
		for range g.hops {
			g.parts = append(g.parts, g.name)
		}
		if k := len(out) - 1; k >= 0 && out[k].class == g.class && len(out[k].hops)+len(g.hops) <= most {
			o := &out[k]
			o.hops, o.parts = append(o.hops, g.hops...), append(o.parts, g.parts...)
			o.say = "Follow each from its pin: each number is one wire, lug to lug."
			continue
		}
		out = append(out, g)
	}
	for i := range out {
		for k := range out[i].hops {
			out[i].hops[k].N = k + 1
		}
		switch names := slices.Compact(slices.Clone(out[i].parts)); {
		case len(names) > 3:
			out[i].name = fmt.Sprintf("%s and %d more", names[0], len(names)-1)
		case len(names) > 1:
			out[i].name = strings.Join(names, ", ")
		}
	}
	return out
}

// wireGroups sorts the wires: each chain, then lines and buses, then leads in file order, in parts of what a page can list.
func wireGroups(r *job.Result, most int) []group {
	h := r.Harness
	var out []group
	taken := map[int]bool{}
	add := func(class int, name, say string, wires []int) {
		pages := max(1, (len(wires)+most-1)/most)
		each := (len(wires) + pages - 1) / pages
		for from := 0; from < len(wires); from += each {
			part := wires[from:min(from+each, len(wires))]
			g := group{name: name, say: say, class: class}
			if pages > 1 {
				g.name = fmt.Sprintf("%s, %d to %d", name, from+1, from+len(part))
			}
			for _, w := range part {
				g.hops = append(g.hops, view.Hop{Wire: w})
			}
			out = append(out, g)
		}
	}
	var short []int
	for _, c := range h.Chains {
		for _, w := range c.Wires {
			taken[w] = true
		}
		if len(c.Wires) <= 2 { // too small for a page of its own
			short = append(short, c.Wires...)
			continue
		}
		say := "Follow it from the pin: each number is one wire, lug to lug."
		if c.Closed {
			say = "A ring: it comes back to a pin, so that one broken joint kills nothing."
		}
		class := 0
		if k := r.Wiring.Nets[c.Net].Kind; k == wiring.NetBus || k == wiring.NetLine {
			class = 1
		}
		add(class, finding.Capital(c.Name), say, c.Wires)
	}
	add(1, "Short runs", "Two lugs or three that are joined.", short)
	for _, kind := range []wiring.NetKind{wiring.NetBus, wiring.NetLine} {
		var ws []int
		for i, x := range h.Wires {
			if !taken[i] && r.Wiring.Nets[x.Net].Kind == kind {
				taken[i] = true
				ws = append(ws, i)
			}
		}
		add(1, map[wiring.NetKind]string{wiring.NetBus: "Buses", wiring.NetLine: "Rows and columns"}[kind], "", ws)
	}
	var lamps, rest []int
	for i, x := range h.Wires {
		if taken[i] {
			continue
		}
		if s := r.Wiring.Nets[x.Net].Signal; s >= 0 && r.Wiring.Signals[s].Kind == wiring.SigLamp {
			lamps = append(lamps, i)
		} else {
			rest = append(rest, i)
		}
	}
	add(2, "Leads", "Each lead goes from its lug to one pin.", rest)
	add(3, "Leads of lamps", "Each lead feeds one lamp, through its resistor where one is named.", lamps)
	return out
}

// groupArea is the room for the drawing of a group over its list.
func (d desk) groupArea(g group) geom.Box2 {
	lines := len(g.hops)
	if lines > hopsWide {
		lines = (lines + 1) / 2
	}
	rows := float64(lines)*(lineStep+2*rowPad) + 8
	return geom.Box2{Min: v(marginX+3, footY+8+rows), Max: v(d.paper.w-marginX-2, d.paper.h-topY-2)}
}

// groupScale is the scale at which the panel fits into that room.
func (d desk) groupScale(g group, bounds geom.Box2) float64 {
	room, size := d.groupArea(g).Size(), bounds.Size()
	return min(room.X/size.X, room.Y/size.Y, 1)
}

// groupPage shows one group: the panel from behind with its wires heavy, and the list of hops beside or below.
func groupPage(r *job.Result, d desk, n namer, g groupScene) drawing.Page {
	p := r.Panel
	bounds := p.Face.Outline.Bounds().Grow(2)
	size := bounds.Size()
	w, h := d.paper.w, d.paper.h
	two, k, area := len(g.hops) > hopsWide, g.k, d.groupArea(g.group)
	say := g.say
	if s := partialWords(r); s != "" {
		say = s
	}
	page := drawing.Page{Width: w, Height: h, Name: g.name, Items: d.frame(w, h, sheet{
		name: g.name, view: drawing.RearView, use: say, cells: []cell{d.panelCell(), {scaleWords(k), "do not measure here"}},
	})}
	mid := v(area.Centre().X, area.Max.Y-size.Y*k/2)
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: mid.Sub(bounds.Centre().Mul(k))}, Items: g.scene.Items})
	l := d.list(sheet{})
	l.y = mid.Y - size.Y*k/2 - 2
	var list []row
	for i, hop := range g.hops {
		x := r.Harness.Wires[hop.Wire]
		from := n.terminal(x.From)
		if i > 0 && g.parts[i] != g.parts[i-1] && !two {
			from += " (" + g.parts[i] + ")"
		}
		list = append(list, row{"x", fmt.Sprint(hop.N), x.ID, n.colourShort(x), from, n.terminal(x.To), d.size(x.Length)})
	}
	if two {
		cols := []column{{w: 5.5, tick: true}, {w: 6.5, bold: true}, {w: 9.5, small: true}, {w: 6, small: true}, {w: 23.5, small: true}, {small: true}, {w: 13, right: true, small: true}}
		for i, hop := range g.hops {
			x := r.Harness.Wires[hop.Wire]
			list[i][3], list[i][4], list[i][5] = x.Colour, n.brief(x.From), n.brief(x.To)
		}
		l.y -= 3
		l.grid(cols, list)
		page.Items = append(page.Items, l.items...)
		return page
	}
	l.table([]column{{w: 7, tick: true}, {head: "no.", w: 11, bold: true}, {head: "wire", w: 14}, {head: "colour", w: 17}, {head: "from", w: 48}, {head: "to"}, {head: "cut to", w: 22, right: true}}, list)
	page.Items = append(page.Items, l.items...)
	return page
}

// boardsAPage is how many further boards stand on a page; the module has its own.
const boardsAPage = 4

// boardPages shows the module on a page of its own, and further boards some to a page.
func boardPages(r *job.Result, d desk, n namer) []drawing.Page {
	w, h := d.paper.w, d.paper.h
	var pages []drawing.Page
	add := func(name, use string, bs []wiring.Board) {
		page := drawing.Page{Width: w, Height: h, Name: name, Items: d.frame(w, h, sheet{name: name, view: drawing.FrontView, use: use, cells: []cell{d.panelCell(), {"Scale 2.5 : 1 at most", "do not measure here"}}})}
		top, low := h-topY-2, footY+6.0
		each := (top - low) / float64(len(bs))
		for i, b := range bs {
			area := geom.Box2{Min: v(marginX, top-float64(i+1)*each), Max: v(w-marginX, top-float64(i)*each)}
			if len(bs) > 1 || name != finding.Capital(b.Label) {
				page.Items = append(page.Items, drawing.Lettered(v(marginX+5, area.Max.Y-8), 3.5, drawing.Left, finding.Capital(b.Label)))
				area.Max.Y -= 8
			}
			page.Items = append(page.Items, boardDrawing(r, n, b, area)...)
		}
		pages = append(pages, page)
	}
	var more []wiring.Board
	for _, b := range r.Wiring.Boards {
		if b.Part.Board == nil || b.Part.Board.Role == "module" {
			add(finding.Capital(b.Label), "The front of the board: as you see it with its parts up, the USB connector at the top.", []wiring.Board{b})
			continue
		}
		more = append(more, b)
	}
	for from := 0; from < len(more); from += boardsAPage {
		add("Further boards", "The fronts of the boards: as you see them with their parts up.", more[from:min(from+boardsAPage, len(more))])
	}
	return pages
}

// boardDrawing shows a board as it lies in the box with its parts up, and at each pin where its wire goes.
func boardDrawing(r *job.Result, n namer, b wiring.Board, area geom.Box2) []drawing.Item {
	var page drawing.Page
	box := geom.EmptyBox2()
	for _, l := range b.Part.Lugs {
		box = box.Extend(v(l.At[0].MM(), l.At[1].MM()))
	}
	if !(box.Max.X >= box.Min.X) {
		return nil
	}
	box = box.Grow(1.5)
	k := min(2.5, (area.Size().Y-14)/box.Size().Y, (area.Size().X-130)/max(box.Size().X, 1))
	mid := area.Centre()
	place := func(q geom.Vec2) geom.Vec2 { return mid.Add(q.Sub(box.Centre()).Mul(k)) }
	page.Items = append(page.Items, drawing.Box(drawing.Style{Line: drawing.Edge, Fill: drawing.CapWash}, place(box.Min), place(box.Max)))
	if top := place(v(box.Centre().X, box.Max.Y)); b.Part.Board != nil && b.Part.Board.Role == "module" {
		page.Items = append(page.Items, drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.MetalWash}, top.Add(v(-9, -8)), top.Add(v(9, 5))),
			&drawing.Text{At: top.Add(v(0, -1.5)), S: "USB", Face: drawing.Lettering, Size: drawing.CapSize(drawing.Lettering, 2.5), Anchor: drawing.Centre, Middle: true})
	}
	title, size := drawing.Fit(drawing.Lettering, drawing.CapSize(drawing.Lettering, 2.5), b.Part.Title, box.Size().Y*k-22)
	if title == b.Part.Title {
		page.Items = append(page.Items, &drawing.Text{At: mid.Add(v(0, -6)), S: title, Face: drawing.Lettering, Size: size, Anchor: drawing.Centre, Middle: true, Ink: drawing.Pencil, Turn: 90})
	}
	ends := n.pins(r)
	pins := boardPins(b.Part)
	at := map[string]geom.Vec2{}
	for _, l := range b.Part.Lugs {
		at[l.Name] = v(l.At[0].MM(), l.At[1].MM())
	}
	// names stand at the left and the right, level with their pins where there is room
	type note struct {
		pin   geom.Vec2
		y     float64
		text  string
		quiet bool
	}
	sides := [2][]note{}
	for _, p := range pins {
		q, ok := at[p.Lug]
		if !ok {
			continue
		}
		text, quiet := p.Lug+"  "+p.Name, true
		for i, e := range ends[wiring.Terminal{Of: b.Name, Lug: p.Lug}] {
			if i == 0 {
				text += "   " + e.brief + "  " + e.colour
			} else {
				text += ", " + e.brief
			}
			quiet = false
		}
		s := 0
		if q.X > box.Centre().X {
			s = 1
		}
		sides[s] = append(sides[s], note{place(q), place(q).Y, text, quiet})
		fill := drawing.Paper
		if !quiet {
			fill = drawing.Ink0
		}
		page.Items = append(page.Items, drawing.Outl(drawing.Style{Line: drawing.Thin, Fill: fill}, geom.Circle(place(q), 2.4)))
	}
	for s := range sides {
		ns := sides[s]
		slices.SortStableFunc(ns, func(a, b note) int {
			if a.y != b.y {
				return sign(b.y - a.y)
			}
			return sign(math.Abs(b.pin.X-mid.X) - math.Abs(a.pin.X-mid.X))
		})
		const step = 4.6
		for i := range ns {
			if i > 0 {
				ns[i].y = min(ns[i].y, ns[i-1].y-step)
			}
		}
		if len(ns) > 0 {
			if low := area.Min.Y + 3; ns[len(ns)-1].y < low { // too many below: all move up
				up := low - ns[len(ns)-1].y
				for i := range ns {
					ns[i].y += up
				}
			}
		}
		edge, anchor, wide := place(box.Min).X-9, drawing.Right, place(box.Min).X-9-area.Min.X
		if s == 1 {
			edge, anchor, wide = place(box.Max).X+9, drawing.Left, area.Max.X-place(box.Max).X-9
		}
		for _, x := range ns {
			ink := drawing.Ink0
			if x.quiet {
				ink = drawing.Pencil
			}
			knee := edge + map[int]float64{0: 1, 1: -1}[s]*4
			page.Items = append(page.Items, drawing.Poly(drawing.Dim, x.pin, v(knee, x.y), v(edge+map[int]float64{0: 1, 1: -1}[s]*0.8, x.y)))
			t, size := drawing.Fit(drawing.Read, pt(9.5), x.text, wide)
			page.Items = append(page.Items, &drawing.Text{At: v(edge, x.y), S: t, Face: drawing.Read, Size: size, Anchor: anchor, Middle: true, Ink: ink})
		}
	}
	return page.Items
}

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}
