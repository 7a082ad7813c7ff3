package packet

import (
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/trade/wiring"
)

// ladders draws every switch that lies along a ladder: resistors in a row from the supply to ground, the lugs at the steps, the common lug
// on the pin.
func (p *plot) ladders() {
	w := p.r.Wiring
	for li, l := range w.Signals {
		if l.Kind != wiring.SigLadder || l.Device < 0 || li >= len(w.Plan.Seats) {
			continue
		}
		var steps []int
		for i, s := range w.Signals {
			if s.Device == l.Device && i < len(w.Plan.Seats) && w.Plan.Seats[i].Way == wiring.Ladder {
				steps = append(steps, i)
			}
		}
		if len(steps) == 0 {
			continue
		}
		d := w.Devices[l.Device]
		of := d.Control.Name
		p.heading(finding.Capital(l.Label), 42)
		step := min(24, 150/float64(len(steps)))
		y, common := p.y-10, p.y-31
		x := p.left() + 14
		low := wiring.Terminal{Of: of, Lug: w.Signals[steps[0]].Lug}
		at := x
		for k, i := range steps { // ground lies at the left, the supply at the right
			lug := wiring.Terminal{Of: of, Lug: w.Signals[i].Lug}
			for _, f := range w.Fittings {
				if f.Kind == "resistor" && f.At == lug && !p.drawn[f.Name] {
					p.drawn[f.Name] = true
					p.add(drawing.Ln(v(at, y), v(at+step, y), drawing.Thin))
					half := min(4, step/2-2)
					p.add(drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(at+step/2-half, y-1.3), v(at+step/2+half, y+1.3)))
					p.write(v(at+step/2, y+6.4), drawing.Centre, f.Name, 8.5, step-1, drawing.Ink0, false)
					p.write(v(at+step/2, y+3.2), drawing.Centre, f.Value, 8.5, step-1, drawing.Ink0, false)
					if k == 0 {
						p.ladderEnd(v(at, y), p.where(p.far(f, low)), true)
					}
				}
			}
			at += step
			p.add(drawing.Area(drawing.Style{Fill: drawing.Ink0}, v(at-0.6, y-0.6), v(at+0.6, y-0.6), v(at+0.6, y+0.6), v(at-0.6, y+0.6)))
			p.contactDown(v(at, y), y-common, p.rests(d, lug.Lug))
			p.write(v(at+1, y-3), drawing.Left, lug.Lug, 8.5, step-2, drawing.Pencil, false)
			if k == len(steps)-1 {
				p.add(drawing.Ln(v(at, y), v(at+6, y), drawing.Thin))
				p.ladderEnd(v(at+6, y), p.where(lug), false)
			}
		}
		p.add(drawing.Ln(v(x, common), v(at, common), drawing.Thin), drawing.Outl(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, geom.Circle(v(x, common), 2)))
		pin := "waits"
		if t := w.Plan.Seats[li].Pin; !t.Zero() {
			pin = p.n.terminal(t)
		}
		p.write(v(x-2, common), drawing.Right, pin, 9.5, 19, drawing.Ink0, false)
		p.write(v(x+3, common+2.4), drawing.Left, l.Lug, 8.5, 8, drawing.Pencil, false)
		if f, far, ok := p.fitting("resistor", wiring.Terminal{Of: of, Lug: l.Lug}); ok {
			p.add(drawing.Ln(v(at, common), v(at+22, common), drawing.Thin))
			p.resistor(f, v(at+11, common))
			p.end(v(at+20, common), p.where(far), 20)
		}
		p.y = common - 7
	}
}

// far is the end of a fitting that is not on the net of a lug.
func (p *plot) far(f wiring.Fitting, lug wiring.Terminal) wiring.Terminal {
	one := wiring.Terminal{Of: f.Name, Lug: "1"}
	if p.nets[one] == p.nets[lug] {
		return wiring.Terminal{Of: f.Name, Lug: "2"}
	}
	return one
}

func (p *plot) ladderEnd(at geom.Vec2, name string, left bool) {
	switch {
	case name == "ground":
		p.add(groundSymbol(at.Sub(v(6, 0)))...)
		p.add(drawing.Ln(at.Sub(v(3, 0)), at, drawing.Thin))
	case left:
		p.write(at.Sub(v(1, 0)), drawing.Right, name, 9.5, 18, drawing.Ink0, false)
	default:
		p.write(at.Add(v(1, 0)), drawing.Left, name, 9.5, 22, drawing.Ink0, false)
	}
}

// contactDown draws a make contact on a line down from a point.
func (p *plot) contactDown(at geom.Vec2, long float64, closed bool) {
	y := at.Y - long/2
	tip := v(at.X-3, y+3)
	if closed {
		tip = v(at.X-0.4, y+4)
	}
	p.add(drawing.Ln(at, v(at.X, y+3.5), drawing.Thin), drawing.Ln(v(at.X, y-3.5), v(at.X, at.Y-long), drawing.Thin), drawing.Ln(v(at.X, y-3.5), tip, drawing.Visible))
	if closed {
		p.add(drawing.Ln(v(at.X-1.4, y+3.5), v(at.X, y+3.5), drawing.Visible))
	}
}

// The matrix: at most so many columns beside each other, and the size of a crossing, mm.
const (
	crossMost = 7
	crossHigh = 19.0
)

// matrix draws the rows across, the columns down, and each contact with its diode from its column to its row.
func (p *plot) matrix() {
	w := p.r.Wiring
	m := w.Plan.Matrix
	if m == nil || len(m.Rows) == 0 || len(m.Columns) == 0 {
		return
	}
	cross := map[[2]int]int{}
	for i, s := range w.Plan.Seats {
		if s.Way == wiring.Matrix {
			cross[[2]int{s.Row, s.Column}] = i
		}
	}
	line := func(i int) string {
		s := w.Signals[i].Label
		if i < len(w.Plan.Seats) && !w.Plan.Seats[i].Pin.Zero() {
			return s + ", " + p.n.terminal(w.Plan.Seats[i].Pin)
		}
		return s + ", waits"
	}
	for from := 0; from < len(m.Columns); from += crossMost {
		columns := m.Columns[from:min(from+crossMost, len(m.Columns))]
		rows := m.Rows
		for len(rows) > 0 {
			p.heading("The matrix", 2*crossHigh+20)
			if m.Say != "" {
				p.write(v(p.left(), p.y-2), drawing.Left, m.Say, 9.5, 170, drawing.Pencil, false)
			}
			top := p.y - 14
			fit := min(len(rows), max(1, int((top-footY-6)/crossHigh)))
			wide := (p.d.paper.w - marginX - p.left() - 6) / float64(len(columns))
			wide = min(wide, 30)
			bottom := top - float64(fit)*crossHigh
			for c, ci := range columns {
				x := p.left() + 3 + float64(c)*wide
				p.write(v(x-1, top+6.5), drawing.Left, w.Signals[ci].Label, 8.5, wide-2, drawing.Ink0, true)
				p.write(v(x-1, top+3), drawing.Left, strings.TrimPrefix(line(ci), w.Signals[ci].Label+", "), 8.5, wide-2, drawing.Ink0, false)
				p.add(drawing.Ln(v(x, top+1), v(x, bottom+crossHigh*0.55), drawing.Visible))
			}
			for k, ri := range rows[:fit] {
				y := top - float64(k+1)*crossHigh + 3
				end := p.left() + 3 + float64(len(columns))*wide
				p.add(drawing.Ln(v(p.left()-2, y), v(end-1, y), drawing.Visible))
				p.write(v(end-1, y-2.2), drawing.Right, line(ri), 8.5, wide-3, drawing.Ink0, true)
				for c, ci := range columns {
					if i, ok := cross[[2]int{ri, ci}]; ok {
						p.crossing(i, v(p.left()+3+float64(c)*wide, y), wide, m)
					}
				}
			}
			p.y = bottom - 3
			rows = rows[fit:]
		}
	}
}

// crossing draws a contact and its diode between the column to its left and the row under it.
func (p *plot) crossing(i int, at geom.Vec2, wide float64, m *wiring.MatrixPlan) {
	s := p.r.Wiring.Signals[i]
	d := p.r.Wiring.Devices[s.Device]
	y := at.Y + 7.5
	k := min(1, (wide-5)/20)
	name := ""
	for _, f := range p.r.Wiring.Fittings {
		if f.Kind == "diode" && f.At.Of == d.Control.Name && (f.At.Lug == s.Lug || f.At.Lug == s.Return) {
			name = f.Name
			p.drawn[f.Name] = true
		}
	}
	var items []drawing.Item
	end := 14.0
	contact := switchSymbol(v(0, 0), p.rests(d, s.Lug), false)
	near, far := s.Return, s.Lug // the common on the column, the diode beyond the contact
	move := func(x float64, parts []drawing.Item) {
		items = append(items, &drawing.Group{Scale: 1, Place: geom.Place{At: v(x, 0)}, Items: parts})
	}
	switch {
	case !m.Diodes || name == "":
		move(0, contact)
	case m.ToRow:
		move(0, contact)
		move(16, diodeSymbol(v(0, 0), false, false))
		end = 18
	default: // stripe to the column: the diode comes first, and the common lies on the row
		near, far = s.Lug, s.Return
		items = append(items, drawing.Ln(v(0, 0), v(2, 0), drawing.Thin))
		move(4, diodeSymbol(v(0, 0), false, true))
		move(6, contact)
		end = 20
	}
	p.add(&drawing.Group{Scale: k, Place: geom.Place{At: v(at.X, y)}, Items: items},
		drawing.Ln(v(at.X+end*k, y), v(at.X+end*k+1, y), drawing.Thin), drawing.Ln(v(at.X+end*k+1, y), v(at.X+end*k+1, at.Y), drawing.Thin))
	dot := func(q geom.Vec2) {
		p.add(drawing.Outl(drawing.Style{Fill: drawing.Ink0}, geom.Circle(q, 1)))
	}
	dot(v(at.X, y))
	dot(v(at.X+end*k+1, at.Y))
	p.write(v(at.X+1.5, y+5), drawing.Left, s.Label, 8.5, wide-3, drawing.Ink0, true)
	lugs := near + " - " + far
	if name != "" {
		lugs = near + " " + far + "  " + name
		if !m.ToRow {
			lugs = name + "  " + near + " " + far
		}
	}
	p.write(v(at.X+1.5, y-4), drawing.Left, lugs, 8, wide-6, drawing.Pencil, false)
}

// boxes draws whatever has a supply, further boards, displays, and says at each lug what it is joined to.
func (p *plot) boxes() {
	type pinned struct{ lug, to string }
	type box struct {
		title string
		pins  []pinned
	}
	var all []box
	w := p.r.Wiring
	toWhat := map[wiring.Terminal]string{}
	for i, s := range w.Signals {
		if i < len(w.Plan.Seats) && s.Device >= 0 && !w.Plan.Seats[i].Pin.Zero() {
			toWhat[w.Plan.Seats[i].Pin] = s.Label
		}
	}
	for i, b := range w.Boards {
		if i == 0 && b.Name == "module" || b.Part.Board == nil {
			continue
		}
		x := box{title: finding.Capital(b.Label)}
		for _, pin := range boardPins(b.Part) {
			t := wiring.Terminal{Of: b.Name, Lug: pin.Lug}
			to := toWhat[t]
			if to == "" {
				if _, ok := p.nets[t]; !ok {
					continue
				}
				to = p.where(t)
			}
			x.pins = append(x.pins, pinned{pin.Lug, to})
		}
		all = append(all, x)
	}
	for _, d := range w.Devices {
		pw := d.Control.Part.Circuit.Powered
		if d.Kind != wiring.DevPowered || pw == nil || pw.Switch {
			continue
		}
		x := box{title: d.Label}
		if x.title == "" {
			x.title = d.Control.Name
		}
		for _, l := range append([]string{pw.Plus, pw.Minus}, dataLugs(pw)...) {
			x.pins = append(x.pins, pinned{l, p.where(wiring.Terminal{Of: d.Control.Name, Lug: l})})
		}
		all = append(all, x)
	}
	const step, across, wide = 4.4, 3, 59.0
	for from := 0; from < len(all); from += across {
		part := all[from:min(from+across, len(all))]
		tall := 0
		for _, b := range part {
			tall = max(tall, len(b.pins))
		}
		high := float64(tall)*step + 5
		p.room(high + 9)
		top := p.y - 7
		for k, b := range part {
			x := p.left() + float64(k)*wide
			p.write(v(x, top+2.6), drawing.Left, b.title, 10, wide-4, drawing.Ink0, true)
			p.add(drawing.Box(drawing.Style{Line: drawing.Visible, Fill: drawing.Paper}, v(x, top-float64(len(b.pins))*step-1), v(x+15, top)))
			for j, q := range b.pins {
				y := top - (float64(j)+0.6)*step
				p.write(v(x+14, y), drawing.Right, q.lug, 8.5, 13, drawing.Ink0, false)
				p.add(drawing.Ln(v(x+15, y), v(x+20, y), drawing.Thin))
				if q.to == "ground" {
					p.write(v(x+21, y), drawing.Left, "ground", 9, wide-24, drawing.Ink0, false)
					continue
				}
				p.write(v(x+21, y), drawing.Left, q.to, 9, wide-24, drawing.Ink0, false)
			}
		}
		p.y = top - high
	}
}

func dataLugs(pw *catalog.Powered) []string {
	var out []string
	for _, x := range pw.Data {
		out = append(out, x.Lug)
	}
	return out
}
