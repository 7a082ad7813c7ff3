package wiring

import (
	"strings"

	"knobwright/internal/electric"
	"knobwright/internal/finding"
)

// mostLampEnds is how many lamps are named as ends of one finding.
const mostLampEnds = 4

func (g *lampGroups) say(c *checker) {
	for i := range g.all {
		g.all[i].say(c)
	}
}

func (g *lampGroup) say(c *checker) {
	e := &c.p.list[g.l.el]
	d := e.control.Part.Lamp
	v := c.p.volts[g.l.supply]
	names := c.lampNames(g.devices)
	many := len(g.devices) > 1
	gets, is := " gets ", " is "
	if many {
		gets, is = " get ", " are "
	}
	from := "from " + c.supplyName(g.l.supply)
	if g.l.pin >= 0 {
		from = "from a pin of " + plain(v) + " V"
	}
	ends := c.ends(g.devices)
	ends = append(ends[:min(len(ends), mostLampEnds)], c.w.moduleEnd())
	f := finding.Finding{Ends: ends, Source: e.control.Part.Source("lamp")}
	switch g.rule.Name {
	case ruleLampBare.Name:
		f.Head = names + is + "fed " + from + " without a resistor."
		f.Body = "Nothing limits its current but the pin or the lamp itself: one of them will not live long. Put a resistor before it."
		f.Measure = &finding.Measure{Have: g.got.most, Want: c.wanted(g.l), Unit: "mA", Sense: finding.AtMost}
	case ruleLampBright.Name:
		f.Head = names + gets + amount(g.got.most) + " mA " + from + " and" + map[bool]string{false: " bears ", true: " bear "}[many] + amount(mostOf(d)) + " mA."
		f.Body = "A larger resistor makes it live longer."
		if g.hi > 2*mostOf(d) {
			f.Severity = finding.Stop
			f.Body = "It dies as soon as it is lit. Put a larger resistor before it."
		}
		f.Measure = &finding.Measure{Have: g.got.most, Want: mostOf(d), Unit: "mA", Sense: finding.AtMost}
	case ruleLampHeat.Name:
		f.Head = "The resistor of " + names + " turns " + amount(g.got.watt*1000) + " mW into heat and is made for " + amount(1000*c.ratingOf(g.l.series)) + " mW."
		f.Body = "Behind a face the air stands still: half of it is enough. Take one for " + amount(electric.Rating(g.got.watt)) + " W."
		f.Measure = &finding.Measure{Have: g.got.watt * 1000, Want: electric.Derating * 1000 * c.ratingOf(g.l.series), Unit: "mW", Sense: finding.AtMost}
	case ruleLampDim.Name:
		g.dim(c, &f, names, gets, from)
	case ruleLampRoom.Name:
		f.Head = names + is + d.Colour + " and" + map[bool]string{false: " drops ", true: " drop "}[many] + volt(d.Drop) + "; " + from + " that leaves " + volt(max(0, v-d.Drop)) + " for its resistor."
		if many {
			f.Head = strings.Replace(f.Head, "its resistor", "the resistor", 1)
		}
		f.Body = map[bool]string{true: "Each", false: "It"}[many] + " gets anything between " + amount(g.got.least) + " and " + amount(g.got.most) + " mA: one lamp of the bag is dark, the next is bright."
		f.Measure = &finding.Measure{Have: v - d.Drop, Want: electric.Headroom, Unit: "V", Sense: finding.AtLeast}
		f.Source = electric.HeadroomSource
		f.Fixes = append(g.otherColour(c), g.otherFeed(c)...)
	}
	c.w.found(g.rule, f)
}

func (g *lampGroup) dim(c *checker, f *finding.Finding, names, gets, from string) {
	e := &c.p.list[g.l.el]
	d := e.control.Part.Lamp
	want := c.wanted(g.l)
	how := "dim"
	if g.hi < electric.DarkShare*want {
		how = "all but dark"
	}
	f.Head = names + gets + span(g.lo, g.hi) + " mA " + from + ", of " + amount(want) + " mA: " + map[bool]string{true: "they stay ", false: "it stays "}[len(g.devices) > 1] + how + "."
	f.Measure = &finding.Measure{Have: g.lo, Want: electric.DimShare * want, Unit: "mA", Sense: finding.AtLeast}
	if d.Rated <= 0 {
		f.Body = "The resistor on hand is too large for it. Get " + electric.FormatOhms(electric.E12.Up(max(1, (c.p.volts[g.l.supply]-d.Drop)/want*1000))) + "."
		f.Source = electric.BuiltInSource
		return
	}
	it := map[bool]string{true: "them", false: "it"}[len(g.devices) > 1]
	f.Body = "The resistor built into " + it + " is made for " + plain(d.Rated) + " V"
	if g.l.pin >= 0 {
		f.Body += ", and a pin gives " + plain(c.p.volts[g.l.supply]) + " V. A small transistor between the pin and a supply of " + plain(d.Rated) + " V makes " + it + " bright; without one, let the supply feed " + it + "."
		f.Fixes = g.otherFeed(c)
	} else {
		f.Body += ". Ask for the kind for " + plain(c.p.volts[g.l.supply]) + " V, or feed " + it + " from a higher supply."
	}
}

// lampNames names lamps: "the lamps of A, B and C", "READY and GAUZE LAMP".
func (c *checker) lampNames(devices []int) string {
	names := c.labels(devices)
	const one = "the lamp of "
	if len(names) < 2 {
		return finding.Capital(several(names))
	}
	for i, n := range names {
		cut, ok := strings.CutPrefix(n, one)
		if !ok {
			return finding.Capital(several(c.labels(devices)))
		}
		names[i] = cut
	}
	return "The lamps of " + several(names)
}

// otherFeed lets the supply feed lamps that pins cannot, where the module has a supply that can.
func (g *lampGroup) otherFeed(c *checker) []finding.Fix {
	d := c.p.list[g.l.el].control.Part.Lamp
	v := c.w.railVolts(c.w.lampRail(d.Drop, d.Rated))
	if g.l.pin < 0 || v <= c.p.volts[g.l.supply]+0.1 || v-d.Drop < electric.Headroom {
		return nil
	}
	rail := plain(v) + " V"
	fixes := c.fixAll(g.devices, "lit", "always", "Let it be lit all the time, from "+rail)
	if len(fixes) > 0 && c.canLightThemselves(g, v) {
		x := c.fixAll(g.devices, "lit", "contact", "Let its own contact light it, from "+rail)
		x[0].Edits = append(x[0].Edits, finding.Edit{Op: finding.Set, Path: "wiring.lamps.supply", Value: rail})
		fixes = append(fixes, x...)
	}
	return fixes
}

// canLightThemselves reports whether lamps can be lit by the contacts in their bodies from a supply of so many volts: the contact has a pin
// of its own, what gets through the lamp to that pin is not too much, and no other lamp hangs on a supply yet.
func (c *checker) canLightThemselves(g *lampGroup, volts float64) bool {
	if c.w.p.Wiring.Lamps.Supply != "" {
		return false
	}
	for i := range c.w.lit {
		if !c.w.lit[i].pin {
			return false
		}
	}
	d := c.p.list[g.l.el].control.Part.Lamp
	for _, dev := range g.devices {
		s := c.w.contactOf(c.r.Devices[dev].Control)
		if s < 0 || c.r.Plan.Seats[s].Way != Direct && c.r.Plan.Seats[s].Way != Expander {
			return false
		}
		board := c.boardNamed(c.r.Plan.Seats[s].Pin.Of)
		if board < 0 {
			return false
		}
		if _, _, bears := c.receiver(board); volts-knee*d.Drop > bears {
			return false
		}
	}
	return true
}

// otherColour takes a lamp of the same make whose colour drops less.
func (g *lampGroup) otherColour(c *checker) []finding.Fix {
	part := c.p.list[g.l.el].control.Part
	v := c.p.volts[g.l.supply]
	stem := strings.TrimSuffix(part.ID, "-"+part.Lamp.Colour)
	for _, id := range []string{stem + "-green", stem + "-yellow", stem + "-red", stem} {
		x, ok := c.w.cat.Part(id)
		if ok && id != part.ID && x.Class == part.Class && x.Lamp.Rated == part.Lamp.Rated && v-x.Lamp.Drop >= 2*electric.Headroom {
			return c.fixAll(g.devices, "part", id, "Take it in "+x.Lamp.Colour+", which drops "+volt(x.Lamp.Drop))
		}
	}
	return nil
}
