package face

import (
	"fmt"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// Ring is a line round a control that something else has to stay out of.
type Ring struct {
	What    string       // "fingers" or "tool"
	To      []string     // kinds of control that have to stay out, in words; of a tool: who stands in its way, "" for nobody
	Want    float64      // how far the line lies from the control, mm; of a tool: its diameter
	Middles bool         // the middle of the other one's lever has to stay out, not its edge
	Behind  bool         // the tool works behind the face
	Outline geom.Outline // face frame
}

// Rooms gives the rings round one control of the face: the finger room that the tables want to each kind of control that is there, and
// what the tool for its nut sweeps. They are the numbers that reach.neighbours and fit.tool judge by.
func Rooms(p *panel.Panel, name string) []Ring {
	k := newChecker(p)
	var me *item
	for i := range k.items {
		if c := k.items[i].ctl; c != nil && c.Name == name {
			me = &k.items[i]
		}
	}
	if me == nil {
		return nil
	}
	var out []Ring
	add := func(r Ring, who string) {
		for i := range out {
			if out[i].What == r.What && out[i].Want == r.Want && out[i].Middles == r.Middles {
				if !slices.Contains(out[i].To, who) {
					out[i].To = append(out[i].To, who)
				}
				return
			}
		}
		r.To = []string{who}
		out = append(out, r)
	}
	shapes := me.finger
	if p.Hand == "tight" {
		shapes = me.tips
	}
	if me.kind != "" && len(shapes) > 0 {
		for i := range k.items {
			x := &k.items[i]
			if x == me || x.kind == "" {
				continue
			}
			g := 0
			if me.ctl.Group != "" && me.ctl.Group == x.ctl.Group {
				g = 1
			}
			room := k.rooms[me.kindN][2*x.kindN+g]
			r := Ring{What: "fingers", Want: room.want, Middles: room.basis == middles}
			if r.Want <= 0 {
				continue
			}
			if r.Middles {
				r.Outline = geom.Circle(me.ctl.At.Vec2, 2*r.Want)
			} else if r.Outline = widest(shapes).Grow(r.Want); r.Outline.Empty() {
				continue
			}
			add(r, x.kind.word())
		}
	}
	slices.SortStableFunc(out, func(a, b Ring) int { return int(1000 * (a.Want - b.Want)) })
	if t := me.tool; t != nil && !t.out.Empty() {
		out = append(out, Ring{What: "tool", Want: t.box.Size().X, Behind: !me.toolIn, Outline: t.out})
	}
	return out
}

// widest is the footprint that takes the most room.
func widest(ss []shape) geom.Outline {
	var best geom.Outline
	area := -1.0
	for i := range ss {
		if a := ss[i].out.Area(); !ss[i].out.Empty() && a > area {
			best, area = ss[i].out, a
		}
	}
	return best
}

// Say tells what a ring is for, in words: "19 mm to a toggle".
func (r Ring) Say(mm func(float64) string) string {
	if r.What == "tool" {
		side := "in front"
		if r.Behind {
			side = "behind"
		}
		return fmt.Sprintf("the tool for its nut sweeps %s %s", mm(r.Want), side)
	}
	to := ""
	for i, w := range r.To {
		switch {
		case i == 0:
		case i == len(r.To)-1:
			to += " or "
		default:
			to += ", "
		}
		to += "a " + w
	}
	if r.Middles {
		return mm(r.Want) + " from its middle to the middle of " + to
	}
	return mm(r.Want) + " of finger room to " + to
}
