package diagnosis

import (
	"math"
	"slices"

	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
)

// rest is the panel left alone: everything in its first position, lamps that burn of themselves lit, tracks anywhere.
func (c *circuit) rest() *state {
	n := len(c.controls)
	s := &state{make([]int8, n), make([]int32, n), make([]int32, n), make([]float64, len(c.in.Wiring.Devices)), make([]bool, len(c.in.Wiring.Devices)), make([]bool, n), 0}
	for i := range s.part {
		s.part[i] = math.NaN()
	}
	return s
}

// step is one state that an act passes through.
type step struct {
	s *state
	// passing: it lasts only as long as a hand is on its way.
	passing bool
}

// pressed gives the position that a press of a device puts its control in: the first in which a contact of the device is closed.
func (c *circuit) pressed(d *wiring.Device) int {
	k := &d.Control.Part.Circuit
	for i, name := range k.Positions {
		if i == 0 {
			continue
		}
		for _, n := range d.Contact {
			if n < len(k.Contacts) && slices.Contains(k.Contacts[n].Closed, name) {
				return i
			}
		}
	}
	if len(k.Positions) > 1 {
		return 1
	}
	return 0
}

func position(x *panel.Control, name string) int {
	return slices.Index(x.Part.Circuit.Positions, name)
}

// springs reports whether a control comes back from a position of itself.
func springs(x *panel.Control, pos int) bool {
	k := &x.Part.Circuit
	return pos >= 0 && pos < len(k.Positions) && slices.Contains(k.Springs, k.Positions[pos])
}

// steps lists the states of an act, the one before it first. n gives how many states of its contacts an encoder makes in a click.
func (c *circuit) stepsOfAct(a Act, from *state, n func(ctrl int32) int) []step {
	out := []step{{s: from}}
	cur := from
	next := func() *state { cur = cur.clone(); out = append(out, step{s: cur}); return cur }
	dev := c.deviceNamed(a.Device)
	if dev < 0 {
		return out
	}
	d := &c.in.Wiring.Devices[dev]
	ctrl := c.ctrlOf[d.Control.Name]
	down := func(x Act) {
		k := c.deviceNamed(x.Device)
		if k < 0 {
			return
		}
		y := &c.in.Wiring.Devices[k]
		p := c.pressed(y)
		if x.Position != "" {
			if q := position(y.Control, x.Position); q >= 0 {
				p = q
			}
		}
		c.walkTo(&out, next, c.ctrlOf[y.Control.Name], p)
	}
	switch a.Do {
	case Press:
		p := c.pressed(d)
		if a.Position != "" {
			if q := position(d.Control, a.Position); q >= 0 {
				p = q
			}
		}
		was := from.pos[ctrl]
		if int(was) == p {
			was = 0
		}
		if d.Holds && len(d.Control.Part.Circuit.Springs) == 0 && int(from.pos[ctrl]) == p { // a latching button comes up again
			next().pos[ctrl] = 0
			break
		}
		c.walkTo(&out, next, ctrl, p)
		if !d.Holds || springs(d.Control, p) {
			c.walkTo(&out, next, ctrl, int(was))
		}
	case Hold:
		down(Act{Device: a.Device, Position: a.Position})
		for _, x := range a.With {
			down(x)
		}
	case Put:
		if p := position(d.Control, a.Position); p >= 0 {
			c.walkTo(&out, next, ctrl, p)
			if springs(d.Control, p) {
				c.walkTo(&out, next, ctrl, int(from.pos[ctrl]))
			}
		}
	case Turn:
		k := a.Clicks
		if k > 100 || k < -100 {
			k = 0
		}
		sign := int32(1)
		if k < 0 {
			sign, k = -1, -k
		}
		per := n(ctrl)
		for i := 0; i < k; i++ {
			for q := 1; q < per; q++ {
				next().sub[ctrl] = sign * int32(q)
			}
			s := next()
			s.sub[ctrl] = 0
			s.clicks[ctrl] += sign
		}
	case Slide:
		p := min(1, max(0, a.Part))
		if math.IsNaN(a.Part) {
			p = 0
		}
		next().part[dev] = p
	case Light:
		next().lit[dev] = true
	case Dark:
		next().lit[dev] = false
	}
	return out
}

// walkTo moves a control to a position through those between, each contact left before the next is met.
func (c *circuit) walkTo(out *[]step, next func() *state, ctrl int32, to int) {
	x := c.controls[ctrl]
	order := travel(x)
	last := (*out)[len(*out)-1].s
	from := int(last.pos[ctrl])
	if from == to {
		return
	}
	// A contact is left before the next one is met.
	between := func() {
		if len(x.Part.Circuit.Contacts) > 1 {
			next().pos[ctrl] = -1
			(*out)[len(*out)-1].passing = true
		}
	}
	a, b := slices.Index(order, from), slices.Index(order, to)
	if a < 0 || b < 0 || x.Part.Circuit.Springs != nil {
		between()
		next().pos[ctrl] = int8(to)
		return
	}
	dir := 1
	if b < a {
		dir = -1
	}
	for k := a; k != b; {
		k += dir
		between()
		next().pos[ctrl] = int8(order[k])
		if k != b {
			(*out)[len(*out)-1].passing = true
		}
	}
}

// travel gives the positions of a control in the order in which its lever or shaft passes them.
func travel(x *panel.Control) []int {
	n := len(x.Part.Circuit.Positions)
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	if m := position(x, "middle"); n == 3 && m == 0 { // what springs back rests in the middle
		out = []int{1, 0, 2}
	}
	return out
}

// settle is the state in which an act leaves the panel.
func (c *circuit) settle(a Act, steps []step) *state {
	s := steps[len(steps)-1].s.clone()
	s.acts++
	switch a.Do {
	case Put, Press:
		if k := c.deviceNamed(a.Device); k >= 0 {
			s.sure[c.ctrlOf[c.in.Wiring.Devices[k].Control.Name]] = true
		}
	case Hold: // let go, or put back
		for _, x := range append([]Act{a}, a.With...) {
			if k := c.deviceNamed(x.Device); k >= 0 {
				ctrl := c.ctrlOf[c.in.Wiring.Devices[k].Control.Name]
				s.pos[ctrl] = steps[0].s.pos[ctrl]
			}
		}
	case Light: // the bench lets it go dark again
		n := s.acts
		s = steps[0].s.clone()
		s.acts = n
	}
	return s
}
