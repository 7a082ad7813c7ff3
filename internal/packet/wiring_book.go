package packet

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/view"
)

// hopsMost is how many wires one page follows: more cannot be told apart.
const hopsMost = 14

// group is a page of the wiring book: wires that are followed together.
type group struct {
	name string
	say  string
	hops []view.Hop
}

// wiringBook is the wiring in drawings: all of it on one page, then one page for each group of wires, then every board with its parts up,
// then the schematic.
func wiringBook(r *job.Result, d desk, n namer) *drawing.Document {
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
	for i, g := range wireGroups(r) {
		doc.Pages = append(doc.Pages, groupPage(r, d, n, g, i+1))
	}
	for _, b := range r.Wiring.Boards {
		doc.Pages = append(doc.Pages, boardDrawing(r, d, n, b))
	}
	doc.Pages = append(doc.Pages, schematic(r, d, n)...)
	return doc
}

// wireGroups sorts the wires into pages: each chain, then lines and buses, then leads in file order.
func wireGroups(r *job.Result) []group {
	h := r.Harness
	var out []group
	taken := map[int]bool{}
	add := func(name, say string, wires []int) {
		for from := 0; from < len(wires); from += hopsMost {
			part := wires[from:min(from+hopsMost, len(wires))]
			g := group{name: name, say: say}
			if len(wires) > hopsMost {
				g.name = fmt.Sprintf("%s, %d to %d", name, from+1, from+len(part))
			}
			for i, w := range part {
				g.hops = append(g.hops, view.Hop{Wire: w, N: from + i + 1})
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
		add(finding.Capital(c.Name), say, c.Wires)
	}
	add("Short runs", "Two lugs or three that are joined.", short)
	for _, kind := range []wiring.NetKind{wiring.NetBus, wiring.NetLine} {
		var ws []int
		for i, x := range h.Wires {
			if !taken[i] && r.Wiring.Nets[x.Net].Kind == kind {
				taken[i] = true
				ws = append(ws, i)
			}
		}
		add(map[wiring.NetKind]string{wiring.NetBus: "Buses", wiring.NetLine: "Rows and columns"}[kind], "", ws)
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
	add("Leads", "Each lead goes from its lug to one pin.", rest)
	add("Leads of lamps", "Each lead feeds one lamp, through its resistor where one is named.", lamps)
	return out
}

// groupPage shows one group: the panel from behind with its wires heavy, and the list of hops beside or below.
func groupPage(r *job.Result, d desk, n namer, g group, nr int) drawing.Page {
	p := r.Panel
	bounds := p.Face.Outline.Bounds().Grow(2)
	size := bounds.Size()
	w, h := d.paper.w, d.paper.h
	rows := float64(len(g.hops))*(lineStep+2*rowPad) + 8
	area := geom.Box2{Min: v(marginX+3, footY+8+rows), Max: v(w-marginX-2, h-topY-2)}
	k := min(area.Size().X/size.X, area.Size().Y/size.Y, 1)
	say := g.say
	if s := partialWords(r); s != "" {
		say = s
	}
	page := drawing.Page{Width: w, Height: h, Name: g.name, Items: d.frame(w, h, sheet{
		name: g.name, view: drawing.RearView, use: say, cells: []cell{d.panelCell(), {scaleWords(k), "do not measure here"}},
	})}
	mid := v(area.Centre().X, area.Max.Y-size.Y*k/2)
	page.Items = append(page.Items, &drawing.Group{Scale: k, Place: geom.Place{At: mid.Sub(bounds.Centre().Mul(k))}, Items: view.Wired(p, r.Wiring, r.Harness, g.hops, k).Items})
	l := d.list(sheet{})
	l.y = mid.Y - size.Y*k/2 - 2
	var list []row
	for _, hop := range g.hops {
		x := r.Harness.Wires[hop.Wire]
		list = append(list, row{"x", fmt.Sprint(hop.N), x.ID, n.colourShort(x), n.terminal(x.From), n.terminal(x.To), d.size(x.Length)})
	}
	l.table([]column{{w: 7, tick: true}, {head: "no.", w: 11, bold: true}, {head: "wire", w: 14}, {head: "colour", w: 17}, {head: "from", w: 48}, {head: "to"}, {head: "cut to", w: 22, right: true}}, list)
	page.Items = append(page.Items, l.items...)
	return page
}

// boardDrawing shows a board as it lies in the box with its parts up, twice its size, and at each pin where its wire goes.
func boardDrawing(r *job.Result, d desk, n namer, b wiring.Board) drawing.Page {
	w, h := d.paper.w, d.paper.h
	page := drawing.Page{Width: w, Height: h, Name: finding.Capital(b.Label), Items: d.frame(w, h, sheet{
		name: finding.Capital(b.Label), use: "As you see it with its parts up, the USB connector at the top. Not mirrored.", cells: []cell{d.panelCell(), {"Scale 2.5 : 1", "do not measure here"}},
	})}
	box := geom.EmptyBox2()
	for _, l := range b.Part.Lugs {
		box = box.Extend(v(l.At[0].MM(), l.At[1].MM()))
	}
	if !(box.Max.X >= box.Min.X) {
		return page
	}
	box = box.Grow(1.5)
	k := min(2.5, (h-topY-footY-14)/box.Size().Y, (w-2*marginX-130)/max(box.Size().X, 1))
	mid := v(w/2, (h-topY+footY)/2)
	place := func(q geom.Vec2) geom.Vec2 { return mid.Add(q.Sub(box.Centre()).Mul(k)) }
	page.Items = append(page.Items, drawing.Box(drawing.Style{Line: drawing.Edge, Fill: drawing.CapWash}, place(box.Min), place(box.Max)))
	if top := place(v(box.Centre().X, box.Max.Y)); b.Part.Board != nil && b.Part.Board.Role == "module" {
		page.Items = append(page.Items, drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.MetalWash}, top.Add(v(-9, -8)), top.Add(v(9, 5))),
			&drawing.Text{At: top.Add(v(0, -1.5)), S: "USB", Face: drawing.Lettering, Size: drawing.CapSize(drawing.Lettering, 2.5), Anchor: drawing.Centre, Middle: true})
	}
	page.Items = append(page.Items, &drawing.Text{At: mid, S: b.Part.Title, Face: drawing.Lettering, Size: drawing.CapSize(drawing.Lettering, 2.5), Anchor: drawing.Centre, Middle: true, Ink: drawing.Pencil, Turn: 90})
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
				text += "   " + e.to + "  " + e.colour
			} else {
				text += ", " + e.to
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
			if low := footY + 8; ns[len(ns)-1].y < low { // too many below: all move up
				up := low - ns[len(ns)-1].y
				for i := range ns {
					ns[i].y += up
				}
			}
		}
		edge, anchor, wide := place(box.Min).X-9, drawing.Right, place(box.Min).X-9-marginX
		if s == 1 {
			edge, anchor, wide = place(box.Max).X+9, drawing.Left, w-marginX-place(box.Max).X-9
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
	return page
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
