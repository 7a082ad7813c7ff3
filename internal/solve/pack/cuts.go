package pack

import "math"

// Edge is the edge of a panel that lies against the fence.
type Edge uint8

const (
	Left Edge = iota
	Right
	Bottom
	Top
)

func (e Edge) String() string { return [...]string{"left", "right", "bottom", "top"}[e&3] }

// Cut is one pass of the saw, from edge to edge of one panel.
type Cut struct {
	Panel    int     // number of the panel that is cut; 1 is the sheet, every cut makes up to two new numbers
	Width    float64 // of that panel, mm
	Height   float64 // of that panel, mm
	Rip      bool    // along the longer side of the sheet, where the grain runs as a rule; otherwise across
	Upright  bool    // the cut runs upwards in the layout; otherwise level
	From     Edge    // the edge that the distance is measured from
	Distance float64 // from that edge to the near side of the kerf, mm; 0 if the blade only skims the edge
	Kerf     float64 // what the blade takes beyond the distance, mm; less than the kerf at the very edge
	Keeps    int     // number of the panel between edge and kerf; 0 if nothing is left there
	Leaves   int     // number of the panel beyond the kerf; 0 if nothing is left there
	Trim     bool    // takes off a trim margin
	KeepsIs  int     // index of the piece that Keeps is now, or [None]
	LeavesIs int     // index of the piece that Leaves is now, or [None]
	KeepsOff bool    // Keeps is left over
	LeaveOff bool    // Leaves is left over
}

// Cuts lists the passes of the saw in an order that can be carried out: trims first, then every panel after the cut
// that made it, finishing one strip before the next is begun. It is empty for layouts without a tree.
func (l Layout) Cuts() []Cut {
	if l.Root == nil {
		return nil
	}
	s := &sawing{layout: l, last: 1}
	number := s.trims()
	s.cut(l.Root, number)
	return s.cuts
}

// Settings is the number of times that the fence is set: cuts, less those that repeat the distance and direction of
// the one before.
func (l Layout) Settings() int {
	n := 0
	var last Cut
	for i, c := range l.Cuts() {
		if i == 0 || c.Upright != last.Upright || math.Abs(c.Distance-last.Distance) > tolerance {
			n++
		}
		last = c
	}
	return n
}

// sawing numbers panels and collects cuts.
type sawing struct {
	layout Layout
	last   int // highest number given
	cuts   []Cut
}

func (s *sawing) rip(upright bool) bool { return upright == (s.layout.Height > s.layout.Width) }

func (s *sawing) next() int { s.last++; return s.last }

// trims takes the margins off and returns the number of the panel that is left.
func (s *sawing) trims() int {
	w, h, number := s.layout.Width, s.layout.Height, 1
	t := s.layout.Trim
	for _, m := range []struct {
		from Edge
		band float64
	}{{Left, t.Left}, {Right, t.Right}, {Bottom, t.Bottom}, {Top, t.Top}} {
		if m.band <= 0 {
			continue
		}
		upright := m.from <= Right
		c := Cut{Panel: number, Width: w, Height: h, From: m.from, Upright: upright, Rip: s.rip(upright), Trim: true,
			KeepsIs: None, LeavesIs: None}
		c.Kerf = min(s.layout.Kerf, m.band)
		if c.Distance = m.band - c.Kerf; c.Distance > tolerance {
			c.Keeps, c.KeepsOff = s.next(), true
		}
		if upright {
			w -= m.band
		} else {
			h -= m.band
		}
		number = s.next()
		c.Leaves = number
		s.cuts = append(s.cuts, c)
	}
	return number
}

func (s *sawing) cut(n *Node, number int) {
	if n.Leaf() {
		return
	}
	c := Cut{Panel: number, Width: n.Width, Height: n.Height, Upright: n.Upright, Rip: s.rip(n.Upright),
		From: Bottom, Distance: n.First.Height, KeepsIs: n.First.Piece, KeepsOff: n.First.Waste(), LeavesIs: None}
	room := n.Height - c.Distance
	if n.Upright {
		c.From, c.Distance = Left, n.First.Width
		room = n.Width - c.Distance
	}
	c.Kerf = min(s.layout.Kerf, room)
	c.Keeps = s.next()
	if n.Second != nil {
		c.Leaves, c.LeavesIs, c.LeaveOff = s.next(), n.Second.Piece, n.Second.Waste()
	}
	s.cuts = append(s.cuts, c)
	s.cut(n.First, c.Keeps)
	if n.Second != nil {
		s.cut(n.Second, c.Leaves)
	}
}
