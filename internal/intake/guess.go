package intake

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/geom"
)

// Guess is a part that may go into a hole.
type Guess struct {
	Part   catalog.Part
	Turn   float64 // degrees
	Off    float64 // how far the hole is from what the part wants, mm
	At     geom.Vec2
	Others []string // other parts that the hole takes
}

// order is which class is taken first where a hole takes several: what panels have most of.
var order = []catalog.Class{
	catalog.Push, catalog.Toggle, catalog.Pot, catalog.Encoder, catalog.Rotary, catalog.Rocker, catalog.SlidePot, catalog.Display, catalog.Lamp, catalog.Key, catalog.Socket,
	catalog.Slide, catalog.Joystick, catalog.Buzzer, catalog.Plug,
}

// usual are the parts that panels have most of; of several that fit alike, one of these is taken.
var usual = []string{
	"toggle-mini-2", "pot-16mm", "encoder-m7", "lamp-5mm-holder", "lamp-3mm-holder", "lamp-8mm", "toggle-std-2", "push-12mm", "push-16mm", "push-19mm", "push-22mm", "push-24mm",
	"push-28mm", "push-30mm", "rotary-6way", "encoder-m9", "jack-6.35mm", "jack-3.5mm", "rocker-19x13", "key-16mm", "slide-pot-60mm", "slide-pot-45mm", "slide-pot-100mm",
}

// hints are words that tell a class.
var hints = map[catalog.Class][]string{
	catalog.Push: {"push", "button", "btn"}, catalog.Toggle: {"toggle", "switch"}, catalog.Pot: {"pot", "potentiometer", "volume", "dimmer"},
	catalog.Encoder: {"encoder", "dial"}, catalog.Rotary: {"rotary", "selector"}, catalog.Rocker: {"rocker"}, catalog.SlidePot: {"fader", "slider", "slide"},
	catalog.Display: {"display", "screen", "oled", "lcd"}, catalog.Lamp: {"lamp", "led", "light"}, catalog.Key: {"key"}, catalog.Socket: {"socket", "jack", "usb"},
}

// Guesses finds a part for each hole; nil where none fits. Holes that belong to another hole's part (for its screws) are dropped from
// the plan.
func (p *Plan) Guesses(cat *catalog.Catalog) []*Guess {
	var parts []catalog.Part
	for _, id := range cat.PartIDs() {
		if q, ok := cat.Part(id); ok && q.Class != catalog.ModuleBrd {
			parts = append(parts, q)
		}
	}
	// large openings first: their screws are taken before anything else claims them
	by := make([]int, len(p.Holes))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(a, b int) int {
		return -cmp.Compare(p.Holes[a].W*p.Holes[a].H, p.Holes[b].W*p.Holes[b].H)
	})
	out := make([]*Guess, len(p.Holes))
	for _, i := range by {
		if p.Holes[i].taken {
			continue
		}
		out[i] = p.guess(cat, parts, i)
	}
	var holes []Hole
	var gs []*Guess
	for i, h := range p.Holes {
		if h.taken {
			continue
		}
		holes, gs = append(holes, h), append(gs, out[i])
	}
	p.Holes = holes
	return gs
}

type candidate struct {
	g     Guess
	class int
	side  []int // holes that are its further cuts
	lacks int   // further cuts that the drawing lacks
	ring  float64
	named bool
}

func (p *Plan) guess(cat *catalog.Catalog, parts []catalog.Part, i int) *Guess {
	h := p.Holes[i]
	if q, ok := cat.Part(h.Part); ok {
		return &Guess{Part: q, At: h.At}
	}
	hint := strings.ToLower(h.Part + " " + h.Name) // a legend says what it works, not what it is: LIGHT is a switch
	var all []candidate
	for _, q := range parts {
		for _, turn := range []float64{0, 90, 180, 270} {
			off, ok := fits(q.Hole, h, turn)
			if !ok {
				continue
			}
			c := candidate{g: Guess{Part: q, Turn: turn, Off: off}, class: slices.Index(order, q.Class)}
			if c.class < 0 {
				c.class = len(order)
			}
			for _, w := range hints[q.Class] {
				c.named = c.named || strings.Contains(hint, w)
			}
			t := turnedBy(turn * math.Pi / 180)
			hole := t.apply(geom.Vec2{X: q.Hole.At[0].MM(), Y: q.Hole.At[1].MM()})
			c.g.At = h.At.Sub(hole)
			for _, cut := range q.Cuts {
				at := c.g.At.Add(t.apply(geom.Vec2{X: cut.At[0].MM(), Y: cut.At[1].MM()}))
				n := p.holeAt(at, i, 0.8)
				if n >= 0 {
					c.side = append(c.side, n)
				} else if cut.Optional == "" {
					c.lacks++
				}
			}
			if h.Ring > 0 {
				c.ring = math.Abs(h.Ring - frontWidth(q))
			}
			all = append(all, c)
			if h.Form == Round && len(q.Cuts) == 0 {
				break // it can be turned as one likes
			}
		}
	}
	if len(all) == 0 {
		return nil
	}
	plug := func(c candidate) int { // a hole is made for something that works; a plug closes it only when nothing does
		if c.g.Part.Class == catalog.Plug {
			return 1
		}
		return 0
	}
	bucket := func(v, step float64) int { return int(v / step) }
	slices.SortStableFunc(all, func(a, b candidate) int {
		na, nb := 0, 0
		if a.named {
			na = 1
		}
		if b.named {
			nb = 1
		}
		common := func(c candidate) int {
			if n := slices.Index(usual, c.g.Part.ID); n >= 0 {
				return n
			}
			return len(usual)
		}
		return cmp.Or(
			-cmp.Compare(na, nb), cmp.Compare(plug(a), plug(b)), cmp.Compare(a.lacks, b.lacks), -cmp.Compare(len(a.side), len(b.side)), cmp.Compare(bucket(a.g.Off, 0.25), bucket(b.g.Off, 0.25)),
			cmp.Compare(bucket(a.ring, 2), bucket(b.ring, 2)), cmp.Compare(common(a), common(b)), cmp.Compare(a.class, b.class), cmp.Compare(len(a.g.Part.ID), len(b.g.Part.ID)), cmp.Compare(a.g.Part.ID, b.g.Part.ID), cmp.Compare(a.g.Turn, b.g.Turn))
	})
	best := all[0]
	if best.lacks > 0 && h.Form != Round && len(best.side) == 0 {
		return nil // a window without the screws of its part is an opening
	}
	for _, n := range best.side {
		p.Holes[n].taken = true
	}
	g := best.g
	seen := map[catalog.Class]bool{g.Part.Class: true}
	for _, c := range all {
		if !seen[c.g.Part.Class] && c.lacks <= best.lacks {
			seen[c.g.Part.Class] = true
			g.Others = append(g.Others, c.g.Part.ID)
		}
	}
	return &g
}

// holeAt finds a small hole near a place; -1 = none.
func (p *Plan) holeAt(at geom.Vec2, not int, within float64) int {
	for i, h := range p.Holes {
		if i != not && !h.taken && h.At.Sub(at).Len() <= within && h.W < 8 {
			return i
		}
	}
	return -1
}

func frontWidth(q catalog.Part) float64 {
	w := 0.0
	for _, s := range q.Front {
		if s.Role == "bezel" || s.Role == "knob" || s.Role == "cap" {
			w = max(w, s.Round.MM())
		}
	}
	return w
}

// fits says how far a hole is from a part's cut-out, when it may be meant for it: half a millimetre to either side of what the part bears.
func fits(c catalog.Cut, h Hole, turn float64) (off float64, ok bool) {
	lo, hi := c.Tol[0].MM(), c.Tol[1].MM()
	one := func(have, want float64) float64 {
		switch {
		case have < want+lo:
			return want + lo - have
		case have > want+hi:
			return have - want - hi
		}
		return 0
	}
	own := math.Mod(float64(c.Turn)+turn+720, 180)
	switch {
	case c.Notch != nil && h.Form == Notched:
		off = max(one(h.W, c.Round.MM()), one(h.H, c.Notch.Height.MM()))
		if math.Abs(math.Mod(float64(c.Turn)+turn-h.Turn+720, 360)) > 1 {
			return 0, false
		}
	case c.Round > 0 && c.Notch == nil && h.Form == Round:
		off = one(h.W, c.Round.MM())
		if off == 0 {
			off = math.Abs(h.W-c.Round.MM()) / 100
		}
	case c.DoubleD != nil && h.Form == DoubleD:
		off = max(one(h.W, c.DoubleD[0].MM()), one(h.H, c.DoubleD[1].MM()))
		if math.Abs(math.Mod(own-h.Turn+360, 180)) > 1 {
			return 0, false
		}
	case c.SingleD != nil && h.Form == SingleD:
		off = max(one(h.W, c.SingleD[0].MM()), one(h.H, c.SingleD[1].MM()))
		if math.Abs(math.Mod(float64(c.Turn)+turn-h.Turn+720, 360)) > 1 {
			return 0, false
		}
	case (c.DoubleD != nil || c.SingleD != nil) && h.Form == Round:
		return 0, false
	case c.Rect != nil && h.Form == Rect, c.Slot != nil && (h.Form == Slot || h.Form == Rect):
		size := c.Rect
		if size == nil {
			size = c.Slot
		}
		w, v := size[0].MM(), size[1].MM()
		quarter := math.Mod(own-h.Turn+720, 180)
		switch {
		case quarter < 1 || quarter > 179:
		case math.Abs(quarter-90) < 1:
			w, v = v, w
		default:
			return 0, false
		}
		off = max(one(h.W, w), one(h.H, v))
	default:
		return 0, false
	}
	return off, off <= 0.5
}
