package packet

import (
	"fmt"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/trade/wiring"
)

// The schematic is set in strips: two columns of single leads, then what shares lines: ladders, the matrix, further boards and whatever has
// a supply. Symbols follow IEC 60617; where things lie does not matter in it.
const (
	leadStep = 13.0 // mm from lead to lead
	potStep  = 17.0 // where tracks hang under their wipers
	leadWide = 88.0 // mm, a column of leads
)

// plot sets the strips of the schematic on pages.
type plot struct {
	r     *job.Result
	d     desk
	n     namer
	nets  map[wiring.Terminal]int
	drawn map[string]bool // fittings that stand in the drawing
	pages []drawing.Page
	items []drawing.Item
	y     float64
}

// schematicStrips are the drawings of the schematic, a page of each, without heads and strips.
func schematicStrips(r *job.Result, d desk, n namer) [][]drawing.Item {
	var out [][]drawing.Item
	for _, p := range plotted(r, d, n) {
		out = append(out, p.Items)
	}
	return out
}

// schematic draws what is joined to what.
func schematic(r *job.Result, d desk, n namer) []drawing.Page {
	pages := plotted(r, d, n)
	for i := range pages {
		s := sheet{name: "Schematic", use: "What is joined to what, not where it lies. Symbols as in IEC 60617.", cells: []cell{d.panelCell()}}
		if len(pages) > 1 {
			s.n, s.of = i+1, len(pages)
		}
		pages[i].Items = append(d.frame(d.paper.w, d.paper.h, s), pages[i].Items...)
	}
	return pages
}

// plotted sets the strips on pages.
func plotted(r *job.Result, d desk, n namer) []drawing.Page {
	p := &plot{r: r, d: d, n: n, nets: map[wiring.Terminal]int{}, drawn: map[string]bool{}}
	for i, net := range r.Wiring.Nets {
		for _, t := range net.Terms {
			if _, ok := p.nets[t]; !ok {
				p.nets[t] = i
			}
		}
	}
	p.open()
	p.leads()
	p.ladders()
	p.matrix()
	p.boxes()
	p.others()
	p.close()
	return p.pages
}

func (p *plot) open()       { p.items, p.y = nil, p.d.paper.h-topY-4 }
func (p *plot) empty() bool { return len(p.items) == 0 }

func (p *plot) close() {
	if p.empty() && len(p.pages) > 0 {
		return
	}
	p.pages = append(p.pages, drawing.Page{Width: p.d.paper.w, Height: p.d.paper.h, Name: "Schematic", Items: p.items})
}

// room starts a new page when less than h is left.
func (p *plot) room(h float64) {
	if p.y-h >= footY+6 || p.empty() {
		return
	}
	p.close()
	p.open()
}

func (p *plot) left() float64 { return marginX + 5 }

func (p *plot) add(items ...drawing.Item) { p.items = append(p.items, items...) }

// heading letters a heading over a strip of which h mm must stand under it.
func (p *plot) heading(s string, h float64) {
	p.room(h + 9)
	p.y -= 6
	p.add(drawing.Lettered(v(p.left(), p.y), 3.5, drawing.Left, s))
	p.y -= 3
}

// write sets a few words in a width.
func (p *plot) write(at geom.Vec2, a drawing.Anchor, s string, size, width float64, ink drawing.Ink, bold bool) {
	f := drawing.Read
	if bold {
		f = drawing.ReadHalf
	}
	t, z := drawing.Fit(f, pt(size), s, width)
	p.add(&drawing.Text{At: at, S: t, Face: f, Size: z, Anchor: a, Middle: true, Ink: ink})
}

// where says in words what a lug is joined to: the pin of its net, or the net itself.
func (p *plot) where(t wiring.Terminal) string {
	i, ok := p.nets[t]
	if !ok {
		return "nothing"
	}
	net := p.r.Wiring.Nets[i]
	switch net.Kind {
	case wiring.NetGround, wiring.NetAGround, wiring.NetSupply:
		return net.Name
	}
	for _, x := range net.Terms {
		if _, pin := p.n.pin[x]; pin && x != t && x.Of != t.Of {
			return p.n.terminal(x)
		}
	}
	for _, x := range net.Terms {
		if x != t {
			return p.n.terminal(x)
		}
	}
	return "nothing"
}

// end draws what a line comes back to, from a point to the right: the ground symbol, or its name.
func (p *plot) end(at geom.Vec2, name string, width float64) {
	if name == "ground" {
		p.add(groundSymbol(at)...)
		return
	}
	p.write(at.Add(v(2, 0)), drawing.Left, name, 9.5, width, drawing.Ink0, false)
}

// fitting finds a small part of a kind whose one end lies on the net of a lug; ends gives the other end.
func (p *plot) fitting(kind string, t wiring.Terminal) (f wiring.Fitting, other wiring.Terminal, ok bool) {
	net, has := p.nets[t]
	if !has {
		return f, other, false
	}
	for _, f := range p.r.Wiring.Fittings {
		if f.Kind != kind || f.At != t || p.drawn[f.Name] {
			continue
		}
		ends := [2]wiring.Terminal{{Of: f.Name, Lug: "1"}, {Of: f.Name, Lug: "2"}}
		if kind == "diode" {
			ends = [2]wiring.Terminal{{Of: f.Name, Lug: "a"}, {Of: f.Name, Lug: "k"}}
		}
		for k, e := range ends {
			if i, in := p.nets[e]; in && i == net {
				return f, ends[1-k], true
			}
		}
	}
	return f, other, false
}

// lead is one line of the schematic: from a pin or a supply through what it does to what it comes back to.
type lead struct {
	from   string
	signal int // -1 = a lamp that no pin feeds
	device int
	lug    string
	back   string // lug
}

// leads draws every lead that has a pin of its own, and the lamps that none feeds, in two columns.
func (p *plot) leads() {
	w := p.r.Wiring
	var all []lead
	lamps := map[int]bool{}
	for i, s := range w.Signals {
		if i >= len(w.Plan.Seats) || s.Device < 0 {
			continue
		}
		if s.Kind == wiring.SigLamp {
			lamps[s.Device] = true
		}
		seat := w.Plan.Seats[i]
		ladder := seat.Way == wiring.Ladder && p.turning(s.Device)
		if seat.Way == wiring.Matrix || ladder || s.Kind == wiring.SigLadder || s.Kind == wiring.SigData {
			continue
		}
		l := lead{from: "waits", signal: i, device: s.Device, lug: s.Lug, back: s.Return}
		if !seat.Pin.Zero() {
			l.from = p.n.terminal(seat.Pin)
		}
		all = append(all, l)
	}
	for i, d := range w.Devices {
		if d.Kind != wiring.DevLamp || lamps[i] || d.Index >= len(d.Control.Part.Circuit.Lamps) {
			continue
		}
		x := d.Control.Part.Circuit.Lamps[d.Index]
		l := lead{signal: -1, device: i, lug: x.Plus, back: x.Minus, from: p.where(wiring.Terminal{Of: d.Control.Name, Lug: x.Plus})}
		if _, far, ok := p.fitting("resistor", wiring.Terminal{Of: d.Control.Name, Lug: x.Plus}); ok {
			l.from = p.where(far)
		}
		all = append(all, l)
	}
	var pots, rest []lead
	for _, l := range all {
		if l.signal >= 0 && w.Signals[l.signal].Kind == wiring.SigWiper {
			pots = append(pots, l)
		} else {
			rest = append(rest, l)
		}
	}
	p.columns(rest, leadStep)
	p.columns(pots, potStep)
}

// columns sets leads in two columns, so many mm apart.
func (p *plot) columns(all []lead, step float64) {
	for len(all) > 0 {
		p.room(step)
		deep := min((len(all)+1)/2, max(1, int((p.y-footY-8)/step)))
		top := p.y
		for i := range min(2*deep, len(all)) {
			x := p.left()
			if i >= deep {
				x += leadWide
			}
			p.lead(all[i], x, top-8-float64(i%deep)*step)
		}
		p.y = top - float64(deep)*step
		all = all[min(2*deep, len(all)):]
		if len(all) > 0 {
			p.close()
			p.open()
		}
	}
}

// turning reports whether a device lies along a ladder of its own, which is drawn whole.
func (p *plot) turning(device int) bool {
	for _, s := range p.r.Wiring.Signals {
		if s.Kind == wiring.SigLadder && s.Device == device {
			return true
		}
	}
	return false
}

// lead draws one line.
func (p *plot) lead(l lead, x, y float64) {
	d := p.r.Wiring.Devices[l.device]
	of := d.Control.Name
	pin, sym, right := x+29, x+45, x+66
	label, kind := d.Label, wiring.SigLamp
	if l.signal >= 0 {
		label, kind = p.r.Wiring.Signals[l.signal].Label, p.r.Wiring.Signals[l.signal].Kind
	}
	p.write(v(pin-2, y), drawing.Right, l.from, 9.5, 26, drawing.Ink0, false)
	p.add(drawing.Outl(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, geom.Circle(v(pin, y), 2)), drawing.Ln(v(pin+1, y), v(sym, y), drawing.Thin))
	if f, _, ok := p.fitting("resistor", wiring.Terminal{Of: of, Lug: l.lug}); ok {
		p.resistor(f, v(pin+8, y))
	}
	p.write(v(sym+16.5, y+3.2), drawing.Left, label, 10, leadWide-63, drawing.Ink0, true)
	lugs := y - 2.4
	switch kind {
	case wiring.SigContact, wiring.SigPhase:
		p.add(switchSymbol(v(sym, y), p.rests(d, l.lug), d.Control.Part.Class == catalog.Push)...)
		p.add(drawing.Ln(v(sym+14, y), v(right, y), drawing.Thin))
	case wiring.SigLamp:
		p.add(diodeSymbol(v(sym+7, y), true, false)...)
		p.add(drawing.Ln(v(sym, y), v(sym+5, y), drawing.Thin), drawing.Ln(v(sym+9, y), v(right, y), drawing.Thin))
	case wiring.SigWiper:
		p.track(d, l, sym, right, y)
		return
	default:
		p.add(drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(sym, y-3), v(sym+14, y+3)), drawing.Ln(v(sym+14, y), v(right, y), drawing.Thin))
		lugs = y
		p.write(v(sym+1, lugs), drawing.Left, l.lug, 8, 6, drawing.Pencil, false)
		p.write(v(sym+13, lugs), drawing.Right, l.back, 8, 6, drawing.Pencil, false)
		p.end(v(right, y), p.where(wiring.Terminal{Of: of, Lug: l.back}), leadWide-68)
		return
	}
	p.write(v(sym-0.5, lugs), drawing.Right, l.lug, 8.5, 9, drawing.Pencil, false)
	p.write(v(sym+14.5, lugs), drawing.Left, l.back, 8.5, 9, drawing.Pencil, false)
	p.end(v(right, y), p.where(wiring.Terminal{Of: of, Lug: l.back}), leadWide-68)
}

// track draws a resistance track under its wiper, its high end to the left and its low end to the right.
func (p *plot) track(d wiring.Device, l lead, sym, right, y float64) {
	t := d.Control.Part.Circuit.Tracks[d.Index]
	low := y - 5
	p.add(drawing.Ln(v(sym, y), v(sym+7, y), drawing.Thin), drawing.Ln(v(sym+7, y), v(sym+7, low+3), drawing.Thin),
		drawing.Area(drawing.Style{Fill: drawing.Ink0}, v(sym+7, low+1.4), v(sym+6.2, low+3.2), v(sym+7.8, low+3.2)),
		drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(sym+2, low-1.4), v(sym+12, low+1.4)),
		drawing.Ln(v(sym-6, low), v(sym+2, low), drawing.Thin), drawing.Ln(v(sym+12, low), v(right, low), drawing.Thin))
	p.write(v(sym-7, low), drawing.Right, p.where(wiring.Terminal{Of: d.Control.Name, Lug: t.Ends[1]}), 9.5, 36, drawing.Ink0, false)
	p.write(v(sym+6, y+2.2), drawing.Right, t.Wiper, 8.5, 6, drawing.Pencil, false)
	p.write(v(sym+1, low+2.2), drawing.Right, t.Ends[1], 8.5, 6, drawing.Pencil, false)
	p.write(v(sym+13, low+2.2), drawing.Left, t.Ends[0], 8.5, 6, drawing.Pencil, false)
	p.end(v(right, low), p.where(wiring.Terminal{Of: d.Control.Name, Lug: t.Ends[0]}), leadWide-68)
}

// resistor draws a resistor from a point to the right, and its name and value over it.
func (p *plot) resistor(f wiring.Fitting, at geom.Vec2) {
	p.drawn[f.Name] = true
	p.add(drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, at.Add(v(-5, -1.4)), at.Add(v(5, 1.4))))
	p.write(at.Add(v(0, 3.4)), drawing.Centre, f.Name+"  "+f.Value, 8.5, 17, drawing.Ink0, false)
}

// rests reports whether a contact at a lug is closed while nothing is touched.
func (p *plot) rests(d wiring.Device, lug string) bool {
	c := d.Control.Part.Circuit
	for _, i := range d.Contact {
		if x := c.Contacts[i]; (x.Lugs[0] == lug || x.Lugs[1] == lug) && len(c.Positions) > 0 {
			for _, pos := range x.Closed {
				if pos == c.Positions[0] && x.Lugs[1] == lug {
					return true
				}
			}
		}
	}
	return false
}

// switchSymbol is a make contact, or a break contact; a push button has its stem.
func switchSymbol(at geom.Vec2, closed, push bool) []drawing.Item {
	tip := v(at.X+12.4, at.Y+3.4)
	if closed {
		tip = v(at.X+13.4, at.Y+0.8)
	}
	items := []drawing.Item{
		drawing.Ln(at, v(at.X+4, at.Y), drawing.Thin), drawing.Ln(v(at.X+11, at.Y), v(at.X+14, at.Y), drawing.Thin),
		drawing.Ln(v(at.X+4, at.Y), tip, drawing.Visible),
	}
	if closed {
		items = append(items, drawing.Ln(v(at.X+11, at.Y), v(at.X+11, at.Y+1.6), drawing.Visible))
	}
	if push {
		m := v(at.X+8.2, at.Y+1.8)
		items = append(items, drawing.Ln(m, v(m.X, m.Y+4), drawing.Dim), drawing.Ln(v(m.X-2, m.Y+4), v(m.X+2, m.Y+4), drawing.Visible))
	}
	return items
}

// diodeSymbol is a diode that conducts to the right, or back to the left; a lamp has its two arrows.
func diodeSymbol(at geom.Vec2, lamp, back bool) []drawing.Item {
	s := 2.0
	if back {
		s = -2
	}
	items := []drawing.Item{
		drawing.Area(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(at.X-s, at.Y-2.2), v(at.X-s, at.Y+2.2), v(at.X+s, at.Y)),
		drawing.Ln(v(at.X+s, at.Y-2.2), v(at.X+s, at.Y+2.2), drawing.Visible),
	}
	if lamp {
		for _, dx := range []float64{-0.6, 1.4} {
			a, b := v(at.X+dx, at.Y+2.4), v(at.X+dx+2, at.Y+4.6)
			items = append(items, drawing.Ln(a, b, drawing.Dim), drawing.Area(drawing.Style{Fill: drawing.Ink0}, b, v(b.X-1.3, b.Y-0.5), v(b.X-0.5, b.Y-1.3)))
		}
	}
	return items
}

// groundSymbol is the common return.
func groundSymbol(at geom.Vec2) []drawing.Item {
	return []drawing.Item{
		drawing.Ln(at, v(at.X+3, at.Y), drawing.Thin), drawing.Ln(v(at.X+3, at.Y), v(at.X+3, at.Y-2), drawing.Thin),
		drawing.Ln(v(at.X, at.Y-2), v(at.X+6, at.Y-2), drawing.Visible), drawing.Ln(v(at.X+1.2, at.Y-3), v(at.X+4.8, at.Y-3), drawing.Visible), drawing.Ln(v(at.X+2.3, at.Y-4), v(at.X+3.7, at.Y-4), drawing.Visible),
	}
}

// others lists small parts that no strip shows.
func (p *plot) others() {
	first := true
	for _, f := range p.r.Wiring.Fittings {
		if p.drawn[f.Name] {
			continue
		}
		if first {
			p.heading("Further small parts", 6)
			first = false
		}
		p.room(5)
		p.y -= 5
		a, b := "1", "2"
		if f.Kind == "diode" {
			a, b = "a", "k"
		}
		p.write(v(p.left(), p.y), drawing.Left, fmt.Sprintf("%s  %s: from %s to %s. %s", f.Name, f.Value, p.where(wiring.Terminal{Of: f.Name, Lug: a}), p.where(wiring.Terminal{Of: f.Name, Lug: b}), f.Why), 9.5, 170, drawing.Ink0, false)
	}
}
