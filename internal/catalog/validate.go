package catalog

import (
	"fmt"
	"slices"

	"knobwright/internal/geom"
	"knobwright/internal/length"
)

// faults gathers sentences.
type faults []string

func (f *faults) when(bad bool, format string, a ...any) {
	if bad {
		*f = append(*f, fmt.Sprintf(format, a...))
	}
}

const hair = 0.005 // mm: less is rounding, not a contradiction

// mm writes a length for a sentence.
func mm[T ~float64](v T) string { return length.Plain(float64(v)) + " mm" }

// Validate lists, in sentences, what a record says that cannot be true of one part: numbers of one part against each
// other. A record that says little is not faulted for it. Empty means nothing contradicts.
func (p Part) Validate() []string {
	var f faults
	p.checkCuts(&f)
	p.checkGrip(&f)
	p.checkShapes(&f)
	p.checkSeat(&f)
	p.checkWork(&f)
	p.checkCircuit(&f)
	p.checkBoard(&f)
	checkPrice(&f, p.Price)
	return f
}

// noHole are the classes that sit in no hole.
func (p Part) noHole() bool { return p.Class == ModuleBrd }

func (p Part) checkCuts(f *faults) {
	f.when(!p.noHole() && p.Hole.Nominal() <= 0, "It has no hole; say round, rect, slot, double-d or single-d.")
	for i, c := range p.AllCuts() {
		name := "The hole"
		if i > 0 {
			name = fmt.Sprintf("Cut-out %d (%s)", i, c.What)
		}
		c.check(f, name)
		f.when(i > 0 && c.Nominal() <= 0, "%s has no size.", name)
	}
	cuts := p.AllCuts()
	for i, a := range cuts {
		for j := i + 1; j < len(cuts); j++ {
			oa, ob := a.Outline(), cuts[j].Outline()
			if len(oa) == 0 || len(ob) == 0 {
				continue
			}
			gap, _, _ := oa.Gap(ob)
			f.when(gap < hair, "Two of its cut-outs run into each other (%d and %d).", i, j)
		}
	}
}

func (c Cut) check(f *faults, name string) {
	forms := 0
	for _, has := range []bool{c.Round != 0, c.Rect != nil, c.Slot != nil, c.DoubleD != nil, c.SingleD != nil} {
		if has {
			forms++
		}
	}
	f.when(forms > 1, "%s has two forms at once; say only one.", name)
	f.when(forms == 1 && c.Nominal() <= 0, "%s is smaller than nothing.", name)
	f.when(c.Rect != nil && c.Rect[1] <= 0, "%s has no height.", name)
	f.when(c.Slot != nil && c.Slot[0] < c.Slot[1], "%s is a slot shorter than it is wide.", name)
	f.when(c.DoubleD != nil && (c.DoubleD[1] <= 0 || c.DoubleD[1] >= c.DoubleD[0]), "%s has flats that lie outside its circle.", name)
	f.when(c.SingleD != nil && (c.SingleD[1] <= 0 || c.SingleD[1] >= c.SingleD[0]), "%s has a flat that lies outside its circle.", name)
	if n := c.Notch; n != nil {
		f.when(c.Round == 0, "%s has a key notch, but is not round.", name)
		f.when(n.Width <= 0 || n.Width >= c.Round, "The key notch is wider than the hole.")
		f.when(n.Height <= c.Round, "The key notch does not reach beyond the hole: its height is measured over the whole hole.")
	}
	f.when(c.Tol[0] > 0 || c.Tol[1] < 0, "%s has a tolerance that leaves out its own size; write the smaller side first, negative or 0.", name)
	f.when(forms == 1 && c.Nominal()+c.Tol[0].MM() <= 0, "%s may shrink to nothing.", name)
	f.when(c.Corner < 0 || c.Rect != nil && c.Corner > min(c.Rect[0], c.Rect[1])/2, "%s has corners rounder than itself.", name)
	f.when(c.Depth < 0, "%s has a negative depth.", name)
}

func (p Part) checkGrip(f *faults) {
	f.when(p.Grip[0] < 0, "The least grip is negative.")
	f.when(p.Grip[1] < p.Grip[0], "The least grip, %s, is more than the most, %s.", mm(p.Grip[0]), mm(p.Grip[1]))
	t, n := p.Thread, p.Nut
	if t.Length > 0 && p.Grip[1] > 0 {
		need := p.Grip[1].MM() + p.HoldsBy()
		f.when(need > t.Length.MM()+hair, "The thread is %s long, but the most grip, nut and washers together take %s.", mm(t.Length), mm(need))
	}
	least := p.Hole.Nominal() + p.Hole.Tol[0].MM()
	f.when(t.Major > 0 && p.Hole.Round > 0 && t.Major.MM() > least+hair, "The thread, %s over its crests, does not go through the smallest hole, %s.", mm(t.Major), mm(least))
	f.when(n.Flats > 0 && t.Major > 0 && n.Flats <= t.Major, "The nut, %s, is not wider than its thread, %s.", mm(n.Flats), mm(t.Major))
	most := p.Hole.Nominal() + p.Hole.Tol[1].MM()
	f.when(n.Flats > 0 && p.Hole.Round > 0 && max(n.Flats, n.Washer).MM() <= most, "Nut and washer fall through the hole: they are %s, the hole may be %s.", mm(max(n.Flats, n.Washer)), mm(most))
	room := n.Flats.MM()
	if n.Shape == "hex" {
		room /= cos30
	}
	f.when(n.ToolRoom > 0 && n.ToolRoom.MM() < room, "The tool sweeps %s, less than the nut it turns, %s over the corners.", mm(n.ToolRoom), mm(room))
	side := "rear"
	if p.SeatsRear() {
		side = "front"
	}
	f.when(n.Side != "" && n.Side != side, "Seat and nut are on the same side; one of them holds the other.")
}

const cos30 = 0.8660254037844386 // across flats over across corners of a hexagon

var frontRoles = []string{"bezel", "cap", "knob", "lever", "sweep", "guard", "handle", "plug"}

var rearRoles = []string{"body", "lugs", "bend", "plug"}

func (p Part) checkShapes(f *faults) {
	check := func(side string, roles []string, ss []Shape) {
		for i, s := range ss {
			name := fmt.Sprintf("%s shape %d", side, i+1)
			f.when(!slices.Contains(roles, s.Role), "%s has the role %q, which is none of those at this side.", name, s.Role)
			forms := 0
			for _, has := range []bool{s.Round != 0, s.Rect != nil, s.Hex != 0} {
				if has {
					forms++
				}
			}
			f.when(forms != 1, "%s wants one of round, rect or hex.", name)
			f.when(s.Round < 0 || s.Hex < 0 || s.Rect != nil && (s.Rect[0] <= 0 || s.Rect[1] <= 0), "%s is smaller than nothing.", name)
			f.when(s.Z[1] <= s.Z[0], "%s (%s) has no height: z goes from the lower to the upper end.", name, s.Role)
			f.when(side == "Front" && s.Z[0] < 0, "%s (%s) begins behind the seat.", name, s.Role)
			f.when(side == "Rear" && s.Z[1] > 0 && !p.noHole(), "%s (%s) comes out in front of the seat.", name, s.Role)
		}
	}
	check("Front", frontRoles, p.Front)
	check("Rear", rearRoles, p.Rear)
	box := geom.EmptyBox2()
	for _, s := range p.Rear {
		if o := s.Outline(); len(o) > 0 && s.Role != "plug" {
			box = box.Union(o.Bounds())
		}
	}
	for _, l := range p.Lugs {
		at := geom.Vec2{X: l.At[0].MM(), Y: l.At[1].MM()}
		f.when(!box.Grow(hair).Overlaps(geom.Box2{Min: at, Max: at}), "Lug %s lies outside body and lugs.", l.Name)
	}
	for i, a := range p.Lugs {
		for _, b := range p.Lugs[i+1:] {
			f.when(a.Name == b.Name, "Two lugs are called %s.", a.Name)
		}
	}
}

// checkSeat holds the part against its hole: what passes through, what must not fall through.
func (p Part) checkSeat(f *faults) {
	if p.noHole() || p.Hole.Nominal() <= 0 {
		return
	}
	largest, smallest := p.Hole.Outline(), p.Hole.Outline()
	if t := p.Hole.Tol[1].MM() / 2; t > 0 {
		largest = largest.Grow(t)
	}
	switch { // bodies have the flats and round corners too
	case p.Hole.Rect != nil:
		smallest = geom.Rect(geom.Vec2{}, p.Hole.Rect[0].MM(), p.Hole.Rect[1].MM(), 0)
	case p.Hole.DoubleD != nil:
		smallest = geom.Circle(geom.Vec2{}, p.Hole.DoubleD[0].MM())
	case p.Hole.SingleD != nil:
		smallest = geom.Circle(geom.Vec2{}, p.Hole.SingleD[0].MM())
	}
	if t := p.Hole.Tol[0].MM() / 2; t < 0 {
		smallest = smallest.Grow(t)
	}
	if p.SeatsRear() {
		// The hole must not be larger than what is pulled against it. A joystick's stick swings in the open hole.
		if body := p.boxOf("body"); p.Class != Joystick && body.Min.X <= body.Max.X {
			hole := largest.Bounds()
			f.when(hole.Min.X < body.Min.X-hair || hole.Max.X > body.Max.X+hair || hole.Min.Y < body.Min.Y-hair || hole.Max.Y > body.Max.Y+hair,
				"The body does not cover the hole from behind.")
		}
		return
	}
	covered, bezels := false, 0
	for _, s := range p.Front {
		if s.Role != "bezel" {
			continue
		}
		bezels++
		m, _ := s.Outline().Margin(largest)
		covered = covered || m > -hair
	}
	f.when(bezels > 0 && !covered, "The bezel does not cover the largest hole allowed.")
	for _, s := range p.Rear {
		// What is wider behind is put on afterwards, so it must begin behind the thickest sheet.
		if s.Role != "body" || s.Z[1].MM() <= -p.Grip[1].MM()+hair && s.Z[1] < 0 {
			continue
		}
		m, _ := smallest.Margin(s.Outline())
		f.when(m < -hair, "The body does not go through the smallest hole allowed: it is %s too wide on one side.", mm(-m))
	}
}

func (p Part) boxOf(role string) geom.Box2 {
	b := geom.EmptyBox2()
	for _, s := range p.Rear {
		if o := s.Outline(); s.Role == role && len(o) > 0 {
			b = b.Union(o.Bounds())
		}
	}
	return b
}

// most that a hand is asked for by any control, N. Source: push buttons for thumb or palm, 2.8 to 23 N (MIL-STD-1472, push
// button figure, from memory).
const mostForce = 23

func (p Part) checkWork(f *faults) {
	f.when(p.Force < 0 || p.Force > mostForce, "It takes %s N to work; more than %d N is more than a thumb gives.", length.Plain(p.Force), mostForce)
	f.when(p.Class == Encoder && (p.Pulses > 0) != (p.Detents > 0), "An encoder wants both its pulses and its clicks a turn.")
	if p.Class == Encoder && p.Pulses > 0 && p.Detents > 0 {
		edges := 4 * p.Pulses
		f.when(edges%p.Detents != 0 || edges/p.Detents > 8, "%d pulses do not share out over %d clicks: count both again over one turn.", p.Pulses, p.Detents)
	}
	f.when(p.Positions < 0 || p.Positions == 1, "A switch has at least two positions.")
	f.when(p.Mass < 0, "It weighs less than nothing.")
	l := p.Lamp
	f.when(l.Drop < 0 || l.Drop > 12, "A lamp drops between 1 and 12 V.")
	f.when(l.Current < 0 || l.Current > 1000, "A lamp takes up to 1000 mA here.")
	f.when(l.Rated < 0 || l.Rated > 60, "Nothing above 60 V belongs in such a panel.")
	f.when(l.Rated > 0 && l.Drop > l.Rated, "The lamp drops %s V, more than the %s V it is made for.", length.Plain(l.Drop), length.Plain(l.Rated))
}

func checkPrice(f *faults, p Price) {
	f.when(p.From < 0 || p.To < p.From, "The price goes from %s to %s.", length.Plain(p.From), length.Plain(p.To))
	f.when(p.Pack < 0, "A pack holds at least one.")
}

// Validate lists, in sentences, what a sheet's record says that cannot be true.
func (s Sheet) Validate() []string {
	var f faults
	f.when(s.Thickness() <= 0, "The sheet has no thickness.")
	f.when(s.Tol[0] > 0 || s.Tol[1] < 0, "The tolerance leaves out the thickness itself; write the smaller side first, negative or 0.")
	f.when(s.Density != 0 && (s.Density < 50 || s.Density > 20000), "A density of %s kg/m3 is no sheet's.", length.Plain(s.Density))
	checkPrice(&f, s.Price)
	return f
}

// Validate lists, in sentences, what a covering's record says that cannot be true.
func (c Covering) Validate() []string {
	var f faults
	f.when(c.Thickness < 0 || c.Thickness > 10, "A covering is between 0 and 10 mm thick.")
	f.when(c.Wrap < 0, "It cannot be turned over by less than nothing.")
	checkPrice(&f, c.Price)
	return f
}

// Validate lists, in sentences, what a bit set's record says that cannot be true.
func (s BitSet) Validate() []string {
	var f faults
	bits := s.Bits()
	f.when(len(bits) == 0, "The set has no bits.")
	f.when(len(s.Names) > 0 && len(s.Names) != len(s.Sizes), "%d names stand beside %d sizes.", len(s.Names), len(s.Sizes))
	for i, b := range bits {
		f.when(b.Diameter <= 0, "A bit is smaller than nothing.")
		f.when(i > 0 && b.Diameter-bits[i-1].Diameter < 1e-6, "The size %s stands twice.", b.Name)
	}
	f.when(s.Kind == Step && s.StepHeight <= 0, "A step drill wants the height of its steps.")
	return f
}
