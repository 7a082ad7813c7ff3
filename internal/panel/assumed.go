package panel

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// assumptions gathers what is taken on trust while the panel is placed.
type assumptions struct {
	order []string // part names and changed parts, in order of first use
	uses  map[string]*partUse
	rest  []Assumed
	seen  map[string]bool
}

// partUse is one part record and who uses it.
type partUse struct {
	part  catalog.Part
	users []string
}

// part notes that a control uses its part; a part that was adjusted stands for itself.
func (a *assumptions) part(c *Control, adjusted bool) {
	key := c.Part.ID
	if adjusted {
		key += " of " + c.Name
	}
	if a.uses == nil {
		a.uses = map[string]*partUse{}
	}
	u := a.uses[key]
	if u == nil {
		u = &partUse{part: c.Part}
		a.uses[key] = u
		a.order = append(a.order, key)
	}
	u.users = append(u.users, c.Label)
}

// add notes one more number, once, when a careful person should check it.
func (a *assumptions) add(what, used string, src trust.Source, do string) {
	if !src.OnTrust() || a.seen[what] {
		return
	}
	if a.seen == nil {
		a.seen = map[string]bool{}
	}
	a.seen[what] = true
	a.rest = append(a.rest, Assumed{What: what, Used: used, Source: src, Do: do})
}

func (a *assumptions) module(p catalog.Part) {
	a.add(p.ID+": "+extent(p), "the module", p.Source("rear"), "measure yours: knobwright parts measure "+p.ID)
}

func (a *assumptions) sheet(of, path string, s catalog.Sheet, measured float64) {
	if s.ID == "" || measured > 0 {
		return
	}
	field := "nominal"
	if s.Actual > 0 {
		field = "actual"
	}
	t := length.Length(s.Thickness()).String()
	key := path[strings.LastIndexByte(path, '.')+1:]
	a.add(s.ID+": thickness "+t, of, s.Source(field), "measure it and write "+key+": {use: "+s.ID+", actual: "+t+"}")
}

func (a *assumptions) covering(c catalog.Covering) {
	if c.ID == "" {
		return
	}
	t := c.Thickness.String()
	a.add(c.ID+": thickness "+t, "the stack, the holes", c.Source("thickness"), "measure a scrap of it and write covering: {use: "+c.ID+", thickness: "+t+"}")
}

func (a *assumptions) bits(sets []string) {
	if len(sets) > 0 {
		a.add("bits: "+strings.Join(sets, ", "), "the drilling plan", practice("a home workshop"), "name what you own under tools: bits:")
	}
}

func (a *assumptions) limit(l finding.Limit, own finding.Limits) {
	if as, ok := AssumeLimit(l, own); ok {
		a.add(as.What, as.Used, as.Source, as.Do)
	}
}

// AssumeLimit says of a limit in force that it is taken on trust; false when it is the person's own, or read in a text
// that can be relied on.
func AssumeLimit(l finding.Limit, own finding.Limits) (Assumed, bool) {
	src := own.Source(l)
	if !src.OnTrust() {
		return Assumed{}, false
	}
	unit := l.Unit
	if unit != "" {
		unit = " " + unit
	}
	return Assumed{
		What: "limit " + l.Name + ": " + length.Plain(own.Value(l)) + unit, Used: l.Means, Source: src,
		Do: "write your own under limits: " + l.Name + ":",
	}, true
}

// assumed lists what is taken on trust: parts in the order in which they are first used, then the rest.
func (pl *placer) assumed() []Assumed {
	a := &pl.lines
	var out []Assumed
	who := map[string][]string{}
	at := map[string]int{}
	for _, key := range a.order {
		u := a.uses[key]
		for _, line := range trusted(pl.p, u.part) {
			k := line.What + "|" + line.Source.String()
			if _, ok := at[k]; !ok {
				at[k] = len(out)
				out = append(out, line)
			}
			who[k] = append(who[k], u.users...)
		}
	}
	for k, i := range at {
		out[i].Used = several(who[k])
	}
	if !pl.written("reading") {
		a.add("reading distance: "+pl.p.mm(pl.p.Reading), "the legends", practice("arm's length at a desk"), "measure it and write reading:")
	}
	return append(out, a.rest...)
}

// trusted lists the numbers of a part that are taken on trust: one line for all that have the same source.
func trusted(p *Panel, c catalog.Part) []Assumed {
	var out []Assumed
next:
	for _, f := range partFields {
		src := c.Source(f.name)
		text := f.text(p, c)
		if text == "" || !src.OnTrust() {
			continue
		}
		for i := range out {
			if out[i].Source == src {
				out[i].What += "; " + text
				continue next
			}
		}
		out = append(out, Assumed{What: c.ID + ": " + text, Source: src, Do: "measure yours: knobwright parts measure " + c.ID})
	}
	return out
}

// partFields are the fields of a part that something is reckoned from, and how their numbers are said.
var partFields = []struct {
	name string
	text func(*Panel, catalog.Part) string
}{
	{"hole", func(p *Panel, c catalog.Part) string { return cutText(p, c.Hole) }},
	{"cuts", func(p *Panel, c catalog.Part) string {
		var s []string
		for _, k := range c.Cuts {
			if t := cutText(p, k); t != "" && !slices.Contains(s, t) {
				s = append(s, t)
			}
		}
		return strings.Join(s, ", ")
	}},
	{"grip", func(p *Panel, c catalog.Part) string {
		if c.Grip[1] == 0 {
			return ""
		}
		return "grip " + length.Plain(c.Grip[0].MM()) + " to " + length.Plain(c.Grip[1].MM()) + " mm"
	}},
	{"thread", func(p *Panel, c catalog.Part) string {
		if c.Thread.Length == 0 {
			return ""
		}
		return strings.TrimSpace("thread "+c.Thread.Size) + ", " + c.Thread.Length.String() + " long"
	}},
	{"nut", func(p *Panel, c catalog.Part) string {
		n := c.Nut
		if n.Flats == 0 {
			return ""
		}
		s := "nut " + n.Flats.String() + " across, " + n.Thickness.String() + " thick"
		if n.Washers > 0 {
			s += ", washers " + n.Washers.String()
		}
		if n.ToolRoom > 0 {
			s += ", tool sweeps " + n.ToolRoom.String()
		}
		return s
	}},
	{"front", func(p *Panel, c catalog.Part) string {
		if len(c.Front) == 0 {
			return ""
		}
		w, top := 0.0, 0.0
		for _, s := range c.Front {
			w, top = max(w, widest(s)), max(top, s.Z[0].MM(), s.Z[1].MM())
		}
		return "in front " + length.Plain(w) + " mm across, " + length.Plain(top) + " mm high"
	}},
	{"rear", func(p *Panel, c catalog.Part) string {
		if len(c.Rear) == 0 {
			return ""
		}
		return extent(c)
	}},
	{"force", func(p *Panel, c catalog.Part) string {
		if c.Force == 0 {
			return ""
		}
		return "force " + length.Plain(c.Force) + " N"
	}},
	{"lamp", func(p *Panel, c catalog.Part) string {
		if c.Lamp.Drop == 0 && c.Lamp.Current == 0 {
			return ""
		}
		return "lamp " + length.Plain(c.Lamp.Drop) + " V, " + length.Plain(c.Lamp.Current) + " mA"
	}},
}

// extent says how wide and deep a part is behind its seat.
func extent(p catalog.Part) string {
	w, lo := 0.0, 0.0
	for _, s := range p.Rear {
		w, lo = max(w, widest(s)), min(lo, s.Z[0].MM(), s.Z[1].MM())
	}
	return "behind " + length.Plain(w) + " mm across, " + length.Plain(-lo) + " mm deep"
}

func widest(s catalog.Shape) float64 {
	o := s.Outline()
	if o.Empty() {
		return 0
	}
	b := o.Bounds().Size()
	return max(b.X, b.Y)
}

// cutText says a cut-out in words: "hole 16.2 mm, +0.2", "slot 63 x 3 mm".
func cutText(p *Panel, c catalog.Cut) string {
	if c.Nominal() == 0 {
		return ""
	}
	s := or(c.What, "hole") + " "
	two := func(v *[2]length.Length) string {
		return length.Plain(v[0].MM()) + " x " + length.Plain(v[1].MM()) + " mm"
	}
	switch {
	case c.Rect != nil:
		s += two(c.Rect)
	case c.Slot != nil:
		s += two(c.Slot)
	case c.DoubleD != nil:
		s += two(c.DoubleD)
	case c.SingleD != nil:
		s += two(c.SingleD)
	default:
		s += c.Round.String()
	}
	if c.Tol[1] != 0 {
		s += ", +" + length.Plain(c.Tol[1].MM())
	}
	if c.Tol[0] != 0 {
		s += ", -" + length.Plain(max(c.Tol[0].MM(), -c.Tol[0].MM()))
	}
	return s
}
