package costing

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trust"
)

// counter gathers what the design takes, line by line.
type counter struct {
	in    Inputs
	p     *panel.Panel
	rate  float64 // of the currency for one EUR
	cur   string
	lines []*Line
	by    map[string]*Line
}

// line finds a line of a section, or begins it.
func (c *counter) line(section, id, title string) *Line {
	if l := c.by[section+"\x00"+id]; l != nil {
		return l
	}
	l := &Line{Section: section, ID: id, Title: title, Pack: 1}
	c.by[section+"\x00"+id] = l
	c.lines = append(c.lines, l)
	return l
}

// take adds to a line.
func (c *counter) take(l *Line, n float64, of ...string) {
	l.Use += n
	for _, o := range of {
		if o != "" && !slices.Contains(l.For, o) {
			l.For = append(l.For, o)
		}
	}
}

// price gives a line a price of the catalogue.
func (c *counter) price(l *Line, p catalog.Price, src trust.Source) {
	if p.Pack > 1 {
		l.Pack = float64(p.Pack)
	}
	if p.To <= 0 || p.Currency != "" && p.Currency != "EUR" && p.Currency != c.cur {
		return
	}
	k := c.rate
	if p.Currency == c.cur {
		k = 1
	}
	l.one, l.Priced, l.Source = Range{p.From, p.To}.Times(k), true, src
}

// sundry begins a line of hardware.
func (c *counter) sundry(section, kind, id, more string) *Line {
	s := sundries[kind]
	title := s.title
	if more != "" {
		title += ", " + more
	}
	l := c.line(section, id, title)
	if l.Use == 0 && !l.Priced {
		l.Unit, l.Pack, l.one, l.Priced, l.Source = s.unit, s.pack, s.price.Times(c.rate), true, sundryPrice
	}
	return l
}

// count gathers everything.
func (c *counter) count() {
	c.controls()
	c.boards()
	c.sheets()
	c.covering()
	c.wires()
	c.smalls()
	c.fasteners()
	c.glue()
	c.finish()
}

func (c *counter) controls() {
	for _, s := range c.p.Sheets() {
		for _, x := range s.Controls {
			l := c.line(Controls, x.Part.ID, x.Part.Title)
			l.class = string(x.Part.Class)
			c.price(l, x.Part.Price, x.Part.Source("price"))
			c.take(l, 1, x.Label)
		}
	}
	for _, s := range c.p.Sheets() {
		for _, x := range s.Controls {
			for _, b := range x.Front {
				if b.Role == panel.RoleKnob && !b.Outline.Empty() && x.Part.Shaft.Diameter > 0 {
					d := length.Plain(round(b.Outline.Bounds().Size().X, 10))
					c.take(c.sundry(Controls, "knob", "knob "+d+" mm", d+" mm"), 1, x.Label)
				}
			}
		}
	}
}

func (c *counter) boards() {
	for _, b := range c.in.Wiring.Boards {
		if b.Part.ID == "" {
			continue
		}
		l := c.line(Boards, b.Part.ID, b.Part.Title)
		c.price(l, b.Part.Price, b.Part.Source("price"))
		c.take(l, 1, b.Label)
	}
	if len(c.in.Wiring.Boards) == 0 && c.p.Module != nil && c.p.Module.Part.ID != "" {
		l := c.line(Boards, c.p.Module.Part.ID, c.p.Module.Part.Title)
		c.price(l, c.p.Module.Part.Price, c.p.Module.Part.Source("price"))
		c.take(l, 1, "the module")
	}
}

// sheets are the sheets of the cutting plans that are to be bought, and those on hand that they use; without a box the face alone.
func (c *counter) sheets() {
	face := false
	for _, plan := range c.in.Box.Plans {
		for _, q := range plan.Pieces {
			face = face || strings.Contains(q.Name, "face")
		}
		sheet, known := c.in.Cat.Sheet(plan.Material.ID)
		for _, s := range plan.Sheets {
			var of []string
			for _, q := range s.Layout.Placed {
				of = append(of, "the "+plan.Pieces[q.Piece].Name)
			}
			size := length.Plain(round(s.Layout.Width, 1)) + " x " + length.Plain(round(s.Layout.Height, 1))
			id := plan.Material.ID + " " + size
			l := c.line(Sheets, id, plan.Material.Title)
			l.Size = size
			if known {
				c.price(l, sheet.Price, sheet.Source("price"))
			}
			l.Pack = 1
			c.take(l, 1, of...)
			if l.Use == 1 { // a price a square metre becomes one a sheet
				l.one = l.one.Times(s.Layout.Width * s.Layout.Height / 1e6)
			}
			if !s.Buy {
				l.Have++
			}
		}
	}
	st := c.p.Stack
	if !face && st.Sheet.ID != "" && c.p.Face.HasSize() {
		// a cutting service or a hand saw wants a little all round
		w, h := math.Ceil((c.p.Face.Width+10)/10)*10, math.Ceil((c.p.Face.Height+10)/10)*10
		size := length.Plain(w) + " x " + length.Plain(h)
		l := c.line(Sheets, st.Sheet.ID+" "+size, st.Sheet.Title)
		l.Size = size
		c.price(l, st.Sheet.Price, st.Sheet.Source("price"))
		l.one, l.Pack = l.one.Times(w*h/1e6), 1
		c.take(l, 1, "the face")
	}
	for _, s := range c.in.Box.Strips {
		size := length.Plain(round(s.Width, 10)) + " x " + length.Plain(round(s.Height, 10))
		l := c.sundry(Timber, "strip", "strip "+size, size+" mm")
		l.Size = size
		c.take(l, s.Total/1000, s.Pieces...)
		l.Spare, l.Why = 0, ""
	}
}

func (c *counter) covering() {
	for _, s := range c.p.Sheets() {
		st := s.Stack
		if st.CoverThickness <= 0 || st.Covering.ID == "" {
			continue
		}
		a := 0.0
		if st.Wrap > 0 {
			a = st.SheetThickness + st.Wrap
		}
		w, h := s.Face.Width+2*a, s.Face.Height+2*a
		area := w * h / 1e6
		board := "the face"
		if s.Board != "" {
			board = "the " + s.Board
		}
		switch {
		case strings.HasPrefix(st.Covering.ID, "powder"): // a shop does it, at a price for the job
			l := c.line(Paint, st.Covering.ID, st.Covering.Title+", at a coating shop")
			c.price(l, st.Covering.Price, st.Covering.Source("price"))
			c.take(l, 1, board)
			continue
		case strings.HasPrefix(st.Covering.ID, "lacquer"):
			c.take(c.sundry(Paint, "lacquer", "lacquer", ""), round(area*paintMLPerM2*c.coats(), 1), board)
			continue
		case st.Covering.Kind == "paint":
			c.take(c.sundry(Paint, "primer", "primer", ""), round(area*paintMLPerM2, 1), board)
			c.take(c.sundry(Paint, "paint", "paint "+st.Covering.ID, ""), round(area*paintMLPerM2*c.coats(), 1), board)
			continue
		case st.Covering.Kind == "laminate", strings.HasPrefix(st.Covering.ID, "leathercloth"):
			c.take(c.sundry(Glue, "contact-glue", "contact-glue", ""), round(2*area*contactMLPerM2, 1), board)
		}
		l := c.line(Finishing, st.Covering.ID, st.Covering.Title)
		if !l.Priced {
			c.price(l, st.Covering.Price, st.Covering.Source("price"))
			l.Unit, l.Pack = "m2", 0.1
		}
		l.Size = length.Plain(math.Ceil(w)) + " x " + length.Plain(math.Ceil(h))
		c.take(l, area, board)
	}
}

func (c *counter) wires() {
	for _, u := range c.in.Harness.Use {
		w, ok := c.in.Cat.Wire(u.Wire)
		title := u.Wire
		if ok {
			title = w.Title
		}
		id := u.Wire
		if u.Colour != "" {
			id += " " + u.Colour
			title += ", " + u.Colour
		}
		l := c.line(Wire, id, title)
		l.Unit, l.Pack = "m", 5
		if ok {
			c.price(l, w.Price, w.Source("price"))
			if w.Cores > 1 {
				l.Pack = 1
			}
		}
		c.take(l, u.Need/1000)
		if u.Known {
			l.Have = max(0, u.Have-u.Lacks) / 1000
		}
	}
}

func (c *counter) smalls() {
	for _, f := range c.in.Wiring.Fittings {
		id, title := f.Part, f.Value
		s, ok := c.in.Cat.Small(f.Part)
		if ok {
			title = s.Title
		}
		if f.Kind == "resistor" || f.Kind == "capacitor" {
			id += " " + value(f.Value)
			title += ", " + f.Value
		}
		l := c.line(SmallParts, id, title)
		if ok {
			c.price(l, s.Price, s.Source("price"))
		}
		if f.Kind != "diode" && l.Pack > 10 {
			l.Pack = 10 // of one value; assortments hold more
		}
		c.take(l, 1, f.Name)
	}
	for _, x := range c.in.Harness.Smalls {
		s, ok := c.in.Cat.Small(x.Part)
		title := x.Part
		if ok {
			title = s.Title
		}
		l := c.line(SmallParts, x.Part, title)
		if ok {
			c.price(l, s.Price, s.Source("price"))
		}
		if x.Long > 0 {
			l.Unit, l.Pack = "m", 1
			c.take(l, x.Long/1000)
			continue
		}
		c.take(l, float64(x.Count))
	}
	joints := 0
	for _, j := range c.in.Harness.Joints {
		if !j.Crimped {
			joints++
		}
	}
	if s, ok := c.in.Cat.Small("solder-0.7"); ok && joints > 0 {
		l := c.line(SmallParts, s.ID, s.Title)
		c.price(l, s.Price, s.Source("price"))
		c.take(l, round(float64(joints)*gramsPerJoint/100, 100), "") // reels of 100 g
		l.Why = ""
	}
}

// value is a resistance or a capacity in a form to type: "330 Ω" is 330, "5.6 kΩ" is 5.6k.
func value(s string) string {
	s = strings.NewReplacer("Ω", "", "µ", "u", " ", "").Replace(s)
	return s
}

func (c *counter) fasteners() {
	stack := c.p.Stack.Total
	for _, f := range c.p.Fixings {
		id := "screw"
		if f.Screw != "" {
			id += " " + f.Screw
		}
		long := ""
		if strings.HasPrefix(catalog.ScrewName(f.Screw), "M") {
			// the stack, and what holds it: an insert or a nut with washer want about two diameters and a half
			d, _ := strconv.ParseFloat(catalog.ScrewName(f.Screw)[1:], 64)
			long = " x " + length.Plain(stockLength(stack+2.5*d))
			id += long
		}
		l := c.sundry(Screws, "machine-screw", id, strings.TrimPrefix(id, "screw "))
		c.take(l, 1, "the face")
	}
	for _, s := range c.p.Sheets() {
		for _, x := range s.Controls {
			for _, k := range x.Cuts {
				if k.Spec.Screw == "" {
					continue
				}
				id := "screw " + k.Spec.Screw
				if n := catalog.ScrewName(k.Spec.Screw); strings.HasPrefix(n, "M") {
					d, _ := strconv.ParseFloat(n[1:], 64)
					id += " x " + length.Plain(stockLength(s.Stack.Total+2.5*d))
				}
				c.take(c.sundry(Screws, "machine-screw", id, strings.TrimPrefix(id, "screw ")), 1, x.Label)
			}
		}
	}
	for _, s := range c.in.Box.Screws {
		id := "wood-screw " + s.Size.Sold(s.Length, false)
		c.take(c.sundry(Screws, "wood-screw", id, strings.TrimPrefix(id, "wood-screw ")), 1, "the "+s.Through)
	}
	for _, x := range c.in.Box.Inserts {
		c.take(c.sundry(Screws, "insert", "insert "+x.Size.Thread, x.Size.Thread), 1, x.Fixing)
	}
	for _, f := range c.in.Box.Feet {
		d := length.Plain(round(f.Diameter, 10))
		c.take(c.sundry(Screws, "foot", "foot "+d+" mm", d+" mm"), 1, "the "+f.Board)
	}
}

// stockLength is the next length that machine screws are sold in, mm (ISO 888).
func stockLength(need float64) float64 {
	for _, l := range []float64{4, 5, 6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80} {
		if l >= need-0.5 {
			return l
		}
	}
	return math.Ceil(need/10) * 10
}

func round(v, per float64) float64 { return math.Round(v*per) / per }

func plural(n int, one, many string) string {
	if n == 1 {
		return "one " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
