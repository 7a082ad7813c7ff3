package costing

import (
	"math"
	"strings"

	"knobwright/internal/carcass"
	"knobwright/internal/panel"
)

// glue is by the area of the joints: the edges of the shell boards, and the sides of strips and ribs.
func (c *counter) glue() {
	area := 0.0 // m2
	if c.p.Carcass != nil {
		for i := range c.p.Carcass.Boards {
			b := &c.p.Carcass.Boards[i]
			switch b.Role {
			case carcass.RoleFace, carcass.RoleTop:
				continue
			}
			long := 0.0
			for _, e := range b.Edges {
				if e.Neighbour != "" && e.Neighbour != "face" {
					long += e.Length
				}
			}
			area += long * b.Thickness / 2 / 1e6 // an edge stands on its neighbour, and both name it
		}
	}
	for _, s := range c.in.Box.Strips {
		area += s.Total * math.Max(s.Width, s.Height) / 1e6
	}
	wood := len(c.in.Box.Boards) == 0
	for _, b := range c.in.Box.Boards {
		wood = wood || b.Material.Wood()
	}
	if area <= 0 {
		return
	}
	kind := "wood-glue"
	switch g := c.p.Work.Glue; {
	case !wood:
		kind = "plastic-cement"
	case g == "polyurethane", g == "epoxy":
		kind = g
	}
	c.take(c.sundry(Glue, kind, kind, ""), round(area*glueMLPerM2, 1), "the box")
}

// finish is what makes wood smooth and closed, and the paper of templates.
func (c *counter) finish() {
	area := 0.0
	for _, b := range c.in.Box.Boards {
		if b.Board.Role.Shell() && b.Material.Wood() && b.Board.Role != carcass.RoleFace {
			area += b.Outer.X * b.Outer.Y / 1e6
		}
	}
	if area > 0 {
		switch c.p.Work.Finish {
		case "none":
		case "varnish":
			c.take(c.sundry(Paint, "finish", "finish", ""), round(area*finishMLPerM2*c.coats(), 1), "the box")
		default: // as the order of work has it
			c.take(c.sundry(Paint, "wood-paint", "wood-paint", ""), round(area*finishMLPerM2*c.coats(), 1), "the box")
		}
		n := math.Ceil(area / 0.25)
		c.take(c.sundry(Finishing, "abrasive-120", "abrasive-120", ""), n, "the box")
		c.take(c.sundry(Finishing, "abrasive-240", "abrasive-240", ""), n, "the box")
	}
	c.letters()
	if !c.p.Face.HasSize() || !c.printed() {
		return
	}
	kind, w, h := "template-paper", 178.0, 235.0 // what a sheet shows of a drawing, margins off
	if c.p.Paper == "letter" {
		kind, w, h = "template-letter", 184.0, 217.0
	}
	n := 0.0
	for _, s := range c.p.Sheets() {
		a := math.Ceil(s.Face.Width/w) * math.Ceil(s.Face.Height/h)
		b := math.Ceil(s.Face.Width/h) * math.Ceil(s.Face.Height/w)
		n += 2 * math.Min(a, b) // a template and the legends
	}
	c.take(c.sundry(Finishing, kind, kind, ""), n, "the templates")
	c.take(c.sundry(Finishing, "masking-tape", "masking-tape", ""), 1, "the face")
	c.take(c.sundry(Finishing, "glue-stick", "glue-stick", ""), 1, "the templates")
}

// coats is how many coats of paint and finish the order of work has.
func (c *counter) coats() float64 {
	if n := c.p.Work.Coats; n > 0 {
		return float64(n)
	}
	return usualCoats
}

// printed reports whether there is anything to print: a hole to stick a template on for, or a legend.
func (c *counter) printed() bool {
	for _, s := range c.p.Sheets() {
		holes := len(s.Fixings) + len(s.Openings)
		for _, x := range s.Controls {
			holes += len(x.Cuts)
		}
		if holes > 0 || legends(s) > 0 || strings.HasPrefix(s.Stack.Covering.ID, "printed") {
			return true
		}
	}
	return false
}

// legends counts the lines of lettering on a sheet.
func legends(s *panel.Panel) int {
	n := len(s.Texts)
	for _, x := range s.Controls {
		if x.Legend.Text != "" {
			n++
		}
	}
	return n
}

// letters is what the lettering takes beyond paper: labels, rub-on letters and the lacquer over them, paint in engraved ones.
func (c *counter) letters() {
	for _, s := range c.p.Sheets() {
		n, board := legends(s), "the face"
		if s.Board != "" {
			board = "the " + s.Board
		}
		if n == 0 || strings.HasPrefix(s.Stack.Covering.ID, "printed") {
			continue
		}
		area := s.Face.Width * s.Face.Height / 1e6
		switch s.Legend.By {
		case "label":
			c.take(c.sundry(Finishing, "label-film", "label-film", ""), math.Ceil(float64(n)/40), board) // some forty go on a sheet
		case "transfer":
			c.take(c.sundry(Finishing, "rub-on", "rub-on", ""), math.Ceil(float64(n)/25), board)
			c.take(c.sundry(Paint, "lacquer", "lacquer", ""), round(area*finishMLPerM2, 1), board)
		case "engrave":
			if !strings.HasPrefix(s.Stack.Covering.ID, "engraving") {
				c.take(c.sundry(Paint, "fill-paint", "fill-paint", ""), round(float64(n)*fillMLEach, 10), board)
			}
		}
	}
}
