package box

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// BoardLine is one board of the cut list.
type BoardLine struct {
	N            int
	Name         string
	Board        *carcass.Board
	Material     Material
	Thickness    float64
	Blank        geom.Vec2 // along the grain, across
	GrainUp      bool      // the grain runs up the board as it is drawn, not across
	Outer, Inner geom.Vec2 // finished size of both sides
	Pair         string    // its mirrored fellow
	Bevels       []Bevel
	Small        bool
	Say          string // what to mind
}

// Bevel is one edge that is not square.
type Bevel struct {
	Edge   string
	Tilt   float64 // of the saw from square, degrees
	Over   float64 // over the thickness, mm
	Rise   float64 // of 100 mm: run over rise for a hand plane and a sliding bevel, mm
	Longer carcass.Side
	When   carcass.When
}

// StripLine is batten to be cut from strip.
type StripLine struct {
	Width, Height float64
	Pieces        []string
	Total         float64 // length with a kerf for each cut, mm
}

// cutlist lists boards and battens, and the order of the cuts on their edges.
func (w *worker) cutlist(r *Result) {
	for i := range w.c.Boards {
		b := &w.c.Boards[i]
		m := w.material(b)
		thick := b.Thickness
		if m.Bare > 0 { // the covering comes later
			thick = m.Bare
		}
		l := BoardLine{
			N: i + 1, Name: b.Name, Board: b, Material: m, Thickness: thick, Blank: b.Blank,
			Outer: b.OuterSize, Inner: b.InnerSize, Pair: b.Pair, Small: b.Small(),
		}
		if m.Up && m.Grain() && b.Role == carcass.RoleFace {
			l.GrainUp, l.Blank = true, geom.Vec2{X: b.Blank.Y, Y: b.Blank.X}
			l.Say = "The grain of its outer plies runs up the face."
		}
		for _, e := range b.Edges {
			if e.Bevel > 0.01 {
				l.Bevels = append(l.Bevels, Bevel{Edge: e.Name, Tilt: e.Bevel, Over: e.Over, Rise: 100 * math.Tan(e.Bevel*math.Pi/180), Longer: e.Longer, When: e.When})
			}
		}
		if b.Pair != "" {
			l.Say = fmt.Sprintf("A pair with the %s: lay both with their outer sides together and mark them as one.", b.Pair)
		}
		r.Boards = append(r.Boards, l)
		if !b.Role.Shell() {
			w.strip(r, b)
		}
	}
	slices.SortStableFunc(r.Strips, func(a, b StripLine) int {
		return cmp.Or(cmp.Compare(b.Width*b.Height, a.Width*a.Height), cmp.Compare(b.Width, a.Width))
	})
	r.Order = w.c.Order()
	if w.laser() {
		r.Order = w.planed(r.Order)
		w.bevels()
		r.Cautions = append(r.Cautions, "Laser: stay with it while it cuts, lid shut, extraction on, a fire blanket within reach. Never cut PVC or vinyl: the smoke is poison and eats the machine.")
	}
	w.tooBig(r)
	var small []string
	for _, l := range r.Boards {
		if l.Small && l.Board.Role.Shell() {
			small = append(small, l.Name)
		}
	}
	if len(small) > 0 && w.Saw.Kind != "laser" {
		f := finding.Finding{
			Head: fmt.Sprintf("Small pieces at the saw: %s.", list(small)), Body: "They come last in the order of cuts; take the hand saw, or a jig that holds them.",
		}
		for _, n := range small {
			f.Ends = append(f.Ends, w.end(n))
		}
		w.say(ruleSmall, f)
	}
	if w.Saw.Kind == "table" {
		r.Cautions = append(r.Cautions, "Table saw: guard on, blade a finger's breadth above the board, push stick for the last 300 mm. A tilted blade wants the fence on the side away from the tilt.")
	}
	r.Cautions = append(r.Cautions, "Dust of plywood and MDF is bad for the lungs: mask on, extraction on.")
}

// strip adds a batten to the strips of its section.
func (w *worker) strip(r *Result, b *carcass.Board) {
	round := func(v float64) float64 { return math.Round(v*10) / 10 }
	a, c := round(min(b.Thickness, b.Blank.Y)), round(max(b.Thickness, b.Blank.Y))
	kerf := w.kerf()
	for i := range r.Strips {
		if s := &r.Strips[i]; s.Width == a && s.Height == c {
			s.Pieces, s.Total = append(s.Pieces, b.Name), s.Total+b.Blank.X+kerf
			return
		}
	}
	r.Strips = append(r.Strips, StripLine{Width: a, Height: c, Pieces: []string{b.Name}, Total: b.Blank.X + kerf})
}

// apart is what lies between two boards on a sheet: the kerf of a saw; of a laser something more.
func (w *worker) apart() float64 {
	if w.laser() {
		return max(w.kerf(), clamp(w.Limits.Value(limApart), 0, 50))
	}
	return w.kerf()
}

// kerf is the width of the cut, by kind of saw when none is given. Common practice; lasers: averages of a laser shop.
func (w *worker) kerf() float64 {
	if w.Saw.Kerf > 0 {
		return w.Saw.Kerf
	}
	switch w.Saw.Kind {
	case "laser":
		return 0.2
	case "table":
		return 3
	}
	return 1
}
