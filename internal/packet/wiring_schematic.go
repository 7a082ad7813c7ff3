package packet

import (
	"fmt"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/trade/wiring"
)

// schematic draws what is joined to what by symbols of IEC 60617, without regard to where things are: a line for every signal, its pin at
// the left, what it comes back to at the right.
func schematic(r *job.Result, d desk, n namer) []drawing.Page {
	const perPage, step = 17, 13.0
	w, h := d.paper.w, d.paper.h
	var pages []drawing.Page
	var lines []int
	for i, s := range r.Wiring.Signals {
		if i < len(r.Wiring.Plan.Seats) && s.Device >= 0 {
			lines = append(lines, i)
		}
	}
	for from := 0; from < len(lines); from += perPage {
		part := lines[from:min(from+perPage, len(lines))]
		s := sheet{name: "Schematic", use: "What is joined to what, not where it lies. Symbols as in IEC 60617.", cells: []cell{d.panelCell()}}
		if len(lines) > perPage {
			s.n, s.of = from/perPage+1, (len(lines)+perPage-1)/perPage
		}
		page := drawing.Page{Width: w, Height: h, Name: "Schematic", Items: d.frame(w, h, s)}
		y := h - topY - 12
		for _, i := range part {
			page.Items = append(page.Items, d.signalLine(r, n, i, y)...)
			y -= step
		}
		pages = append(pages, page)
	}
	return pages
}

// signalLine draws one signal at a height.
func (d desk) signalLine(r *job.Result, n namer, i int, y float64) []drawing.Item {
	s, seat := r.Wiring.Signals[i], r.Wiring.Plan.Seats[i]
	left, sym, right := marginX+46.0, marginX+88.0, d.paper.w-marginX-34
	var items []drawing.Item
	small := func(at geom.Vec2, a drawing.Anchor, t string, ink drawing.Ink) {
		items = append(items, &drawing.Text{At: at, S: t, Face: drawing.Read, Size: pt(9.5), Anchor: a, Middle: true, Ink: ink})
	}
	pin := "waits"
	far := r.Wiring.Signals
	switch {
	case !seat.Pin.Zero():
		pin = n.terminal(seat.Pin)
	case seat.Way == wiring.Matrix && seat.Column >= 0 && seat.Column < len(far):
		pin = far[seat.Column].Label
	}
	t, size := drawing.Fit(drawing.Read, pt(9.5), pin, left-marginX-8)
	items = append(items, &drawing.Text{At: v(left-3, y), S: t, Face: drawing.Read, Size: size, Anchor: drawing.Right, Middle: true})
	items = append(items, drawing.Outl(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, geom.Circle(v(left-1, y), 2)))
	items = append(items, drawing.Ln(v(left, y), v(sym, y), drawing.Thin))
	x := sym
	for _, f := range r.Wiring.Fittings {
		if f.For != s.Device || s.Kind == wiring.SigPhase {
			continue
		}
		if f.At.Lug != s.Lug && f.At.Lug != s.Return {
			continue
		}
		switch f.Kind {
		case "resistor":
			items = append(items, drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(x-22, y-1.4), v(x-12, y+1.4)))
			small(v(x-17, y+3.6), drawing.Centre, f.Name+"  "+f.Value, drawing.Ink0)
		case "diode":
			items = append(items, diodeSymbol(v(x+32, y), false)...)
			small(v(x+32, y+4), drawing.Centre, f.Name, drawing.Ink0)
		}
	}
	label, back := s.Label, returnWords(r, n, s, seat)
	dev := r.Wiring.Devices[s.Device]
	switch s.Kind {
	case wiring.SigContact, wiring.SigPhase, wiring.SigLadder:
		closed := false
		for _, ci := range dev.Contact {
			c := dev.Control.Part.Circuit.Contacts[ci]
			if (c.Lugs[0] == s.Lug || c.Lugs[1] == s.Lug) && len(dev.Control.Part.Circuit.Positions) > 0 {
				for _, pos := range c.Closed {
					closed = closed || pos == dev.Control.Part.Circuit.Positions[0]
				}
			}
		}
		items = append(items, switchSymbol(v(x, y), closed, dev.Control.Part.Class == catalog.Push)...)
		items = append(items, drawing.Ln(v(x+14, y), v(right, y), drawing.Thin))
	case wiring.SigLamp:
		items = append(items, diodeSymbol(v(x+7, y), true)...)
		items = append(items, drawing.Ln(v(x, y), v(right, y), drawing.Thin))
	case wiring.SigWiper:
		items = append(items, drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(x+2, y-4.6), v(x+12, y-2)))
		items = append(items, drawing.Ln(v(x, y), v(x+7, y), drawing.Thin), drawing.Ln(v(x+7, y), v(x+7, y-2), drawing.Thin),
			drawing.Area(drawing.Style{Fill: drawing.Ink0}, v(x+7, y-2), v(x+6.2, y-0.2), v(x+7.8, y-0.2)))
		items = append(items, drawing.Ln(v(x+12, y-3.3), v(right, y-3.3), drawing.Thin), drawing.Ln(v(x+2, y-3.3), v(x-4, y-3.3), drawing.Thin))
		back = "supply, ground"
	default:
		items = append(items, drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(x, y-3), v(x+14, y+3)))
		items = append(items, drawing.Ln(v(x+14, y), v(right, y), drawing.Thin))
	}
	tl, ts := drawing.Fit(drawing.ReadHalf, pt(10), label, right-x-26)
	items = append(items, &drawing.Text{At: v(x+24, y+3.2), S: tl, Face: drawing.ReadHalf, Size: ts, Anchor: drawing.Left, Middle: true})
	small(v(x-1, y+2.6), drawing.Right, s.Lug, drawing.Pencil)
	small(v(x+15.5, y+2.6), drawing.Left, s.Return, drawing.Pencil)
	if back == "ground" {
		items = append(items, groundSymbol(v(right, y))...)
	} else {
		tb, tz := drawing.Fit(drawing.Read, pt(9.5), back, 30)
		items = append(items, &drawing.Text{At: v(right+2, y), S: tb, Face: drawing.Read, Size: tz, Anchor: drawing.Left, Middle: true})
	}
	return items
}

// returnWords says what a signal comes back to.
func returnWords(r *job.Result, n namer, s wiring.Signal, seat wiring.Seat) string {
	if seat.Way == wiring.Matrix && seat.Row >= 0 && seat.Row < len(r.Wiring.Signals) {
		return r.Wiring.Signals[seat.Row].Label
	}
	if s.Device < 0 {
		return ""
	}
	t := wiring.Terminal{Of: r.Wiring.Devices[s.Device].Control.Name, Lug: s.Return}
	for _, net := range r.Wiring.Nets {
		for _, x := range net.Terms {
			if x == t {
				return net.Name
			}
		}
	}
	return fmt.Sprint(s.Return)
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

// diodeSymbol is a diode that conducts to the right; a lamp has its two arrows.
func diodeSymbol(at geom.Vec2, lamp bool) []drawing.Item {
	items := []drawing.Item{
		drawing.Area(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(at.X-2, at.Y-2.2), v(at.X-2, at.Y+2.2), v(at.X+2, at.Y)),
		drawing.Ln(v(at.X+2, at.Y-2.2), v(at.X+2, at.Y+2.2), drawing.Visible),
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
