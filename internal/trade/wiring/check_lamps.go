package wiring

import (
	"fmt"
	"math"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/electric"
	"knobwright/internal/finding"
)

// solvedLamp is the working point of a lamp.
type solvedLamp struct {
	least, nominal, most float64 // mA
	watt                 float64 // in its resistor, most
	err                  error
}

// litLamp is a lamp as it is fed.
type litLamp struct {
	el     int // element
	pin    int // element of the pin that feeds it; -1 = a supply does
	supply int // node of the supply, or of the pins of that board
	series int // element of its resistor; -1 = none
	state  State
}

// lampsLit works out what each lamp gets, and says which get too little or too much.
func (c *checker) lampsLit() {
	var groups lampGroups
	lo, hi, loAll, hiAll := math.Inf(1), 0.0, math.Inf(1), 0.0
	for i := range c.p.list {
		e := &c.p.list[i]
		if e.kind != elLamp {
			continue
		}
		l := c.litLamp(i)
		if l.supply < 0 {
			continue
		}
		got := c.solveLamp(l)
		if got.err != nil {
			continue
		}
		d := e.control.Part.Lamp
		v := c.p.volts[l.supply]
		work := LampWork{Device: e.device, Supply: c.supplyName(l.supply), Volts: v, Least: got.least, Nominal: got.nominal, Most: got.most, Headroom: v - d.Drop}
		if l.pin >= 0 {
			p := &c.p.list[l.pin]
			work.Supply = c.w.sayPin(Terminal{c.r.Boards[p.board].Name, p.lug})
		}
		if l.series >= 0 {
			work.Fitting = c.p.list[l.series].name
		}
		c.r.Power.Lamps = append(c.r.Power.Lamps, work)
		lo, hi, loAll, hiAll = min(lo, got.nominal), max(hi, got.nominal), min(loAll, got.least), max(hiAll, got.most)
		groups.add(c, l, got)
	}
	groups.say(c)
	if n := len(c.r.Power.Lamps); n > 0 {
		if loAll < 0.05 {
			loAll = 0 // dark: more digits would only look exact
		}
		each, them := " each", "them"
		if n == 1 {
			each, them = "", "it"
		}
		c.tell("%s: %s mA%s; with every tolerance against %s or for %s %s mA.", plural(n, "lamp"), span(lo, hi), each, them, them, span(loAll, hiAll))
	}
}

// litLamp finds what feeds a lamp and puts it in the state in which it is lit.
func (c *checker) litLamp(i int) litLamp {
	e := &c.p.list[i]
	l := litLamp{el: i, pin: -1, supply: -1, series: -1, state: State{At: map[string]string{}, High: map[int]bool{}}}
	// source looks for what feeds a node.
	source := func(n int) bool {
		if c.p.fixed[n] {
			if c.p.volts[n] > 0 {
				l.supply = n
			}
			return c.p.volts[n] > 0
		}
		for _, k := range c.p.near[n] {
			if p := &c.p.list[k]; p.kind == elPin && p.signal >= 0 && c.r.Signals[p.signal].Kind == SigLamp {
				l.pin, l.supply = k, c.p.logic[p.board]
				l.state.High[p.signal] = true
				return true
			}
		}
		return false
	}
	// beyond gives the resistors at a node.
	beyond := func(n int) (out []int) {
		if !c.p.fixed[n] {
			for _, k := range c.p.near[n] {
				if c.p.list[k].kind == elResistor {
					out = append(out, k)
				}
			}
		}
		return out
	}
	if source(e.a) {
		for _, k := range beyond(e.b) {
			l.series = k
		}
	} else {
		for _, k := range beyond(e.a) {
			if s := &c.p.list[k]; source(s.a + s.b - e.a) {
				l.series = k
				break
			}
		}
	}
	if !c.p.fixed[e.b] { // its own contact joins it to ground
		k := &e.control.Part.Circuit
		for _, x := range k.Contacts {
			if x.Phase == "" && len(x.Closed) > 0 && (c.p.at[Terminal{e.control.Name, x.Lugs[0]}] == e.b || c.p.at[Terminal{e.control.Name, x.Lugs[1]}] == e.b) {
				l.state.At[e.control.Name] = x.Closed[0]
				break
			}
		}
	}
	return l
}

// solveLamp finds the current of a lamp. Lamps that look alike are solved once.
func (c *checker) solveLamp(l litLamp) solvedLamp {
	e := &c.p.list[l.el]
	var b strings.Builder
	fmt.Fprintf(&b, "%+v %g", e.control.Part.Lamp, c.p.volts[l.supply])
	if l.pin >= 0 {
		p := &c.p.list[l.pin]
		fmt.Fprintf(&b, " %s", c.r.Boards[p.board].Part.ID)
	}
	if l.series >= 0 {
		fmt.Fprintf(&b, " %g %g", c.p.list[l.series].ohm, c.p.list[l.series].tol)
	}
	key := b.String()
	if len(l.state.At) > 0 { // its contact's lead goes to a pin too
		key += " " + e.control.Name
	}
	if got, ok := c.lamps[key]; ok {
		return got
	}
	got := solvedLamp{}
	keep := c.p.around(e.a)
	keep[l.el] = true
	for k, in := range c.p.around(e.b) {
		keep[k] = keep[k] || in
	}
	for _, x := range []struct {
		corner Corner
		to     *float64
	}{{Weak, &got.least}, {Nominal, &got.nominal}, {Strong, &got.most}} {
		s := l.state
		s.Corner = x.corner
		a, err := c.p.network(keep, s, nil).Solve()
		if err != nil {
			got.err = err
			break
		}
		*x.to = max(0, a.I(e.name)*1000)
		if l.series >= 0 {
			got.watt = max(got.watt, a.P(c.p.list[l.series].name))
		}
	}
	c.lamps[key] = got
	return got
}

// lampGroups gathers lamps that have the same to say.
type lampGroups struct{ all []lampGroup }

type lampGroup struct {
	rule    finding.Rule
	key     string
	devices []int
	l       litLamp
	got     solvedLamp
	lo, hi  float64 // nominal currents of all of them, mA
}

func (g *lampGroups) add(c *checker, l litLamp, got solvedLamp) {
	e := &c.p.list[l.el]
	r, ok := c.judgeLamp(l, got)
	if !ok {
		return
	}
	series := 0.0
	if l.series >= 0 {
		series = c.p.list[l.series].ohm
	}
	key := fmt.Sprintf("%s %s %g %g %v", r.Name, e.control.Part.ID, c.p.volts[l.supply], series, l.pin >= 0)
	for i := range g.all {
		if x := &g.all[i]; x.key == key {
			x.devices = append(x.devices, e.device)
			x.lo, x.hi = min(x.lo, got.nominal), max(x.hi, got.nominal)
			x.got.least, x.got.most, x.got.watt = min(x.got.least, got.least), max(x.got.most, got.most), max(x.got.watt, got.watt)
			return
		}
	}
	g.all = append(g.all, lampGroup{r, key, []int{e.device}, l, got, got.nominal, got.nominal})
}

// wanted is the current that a lamp is to have, mA.
func (c *checker) wanted(l litLamp) float64 {
	d := c.p.list[l.el].control.Part.Lamp
	want := min(d.Current, usualLamp)
	if d.Rated > 0 {
		return d.Current
	}
	if l.pin >= 0 {
		if u := c.r.Boards[c.p.list[l.pin].board].Part.Board.PinUsual; u > 0 {
			want = min(want, u)
		}
	}
	if own := c.w.p.Wiring.Lamps.Current; own > 0 {
		want = wished(own, d)
	}
	return want
}

// judgeLamp gives the rule that a lamp breaks; ok is false when it breaks none.
func (c *checker) judgeLamp(l litLamp, got solvedLamp) (finding.Rule, bool) {
	e := &c.p.list[l.el]
	d := e.control.Part.Lamp
	v := c.p.volts[l.supply]
	want := c.wanted(l)
	switch {
	case e.ohm <= 0 && l.series < 0:
		return ruleLampBare, true
	case d.Rated > 0 && got.nominal > electric.OverShare*d.Current, got.most > mostOf(d):
		return ruleLampBright, true
	case d.Rated > 0:
		return ruleLampDim, got.nominal < electric.DimShare*d.Current
	case v-d.Drop < electric.Headroom || got.least < electric.DarkShare*got.nominal:
		return ruleLampRoom, true
	case got.nominal < electric.DimShare*want:
		return ruleLampDim, true
	case l.series >= 0 && got.watt > electric.Derating*c.ratingOf(l.series):
		return ruleLampHeat, true
	}
	return finding.Rule{}, false
}

// mostOf is the current that a lamp bears for long, mA.
func mostOf(d catalog.LampData) float64 {
	if x, ok := electric.DropOf(d.Colour); ok {
		return max(x.Most*1000, d.Current*electric.OverShare)
	}
	return max(20, d.Current*2)
}

// ratingOf is what a resistor bears, W.
func (c *checker) ratingOf(el int) float64 {
	for i := range c.r.Fittings {
		f := &c.r.Fittings[i]
		if f.Name != c.p.list[el].name {
			continue
		}
		if s, ok := c.w.cat.Small(f.Part); ok && s.Power > 0 {
			return s.Power
		}
		return max(f.Power, 0.125)
	}
	return 0.25
}
