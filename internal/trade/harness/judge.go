package harness

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trade/wiring"
	"knobwright/internal/yamlfile"
)

// judge says what is wrong with the harness as it lies.
func (w *worker) judge() {
	w.judgeOpens()
	w.judgePlaces()
	w.judgeWires()
	w.judgeBundles()
	w.judgeStock()
	w.judgeChains()
}

// end is one end of a finding, at a path of the file.
func (w *worker) end(name, path string) finding.End {
	return finding.End{Name: name, Path: path, Pos: w.p.Pos(path)}
}

// ends gives the ends of a finding about some terminals.
func (w *worker) ends(of ...string) []finding.End {
	var out []finding.End
	for _, name := range of {
		if c := w.control(name); c != nil {
			out = append(out, c.Origin.End())
			continue
		}
		for _, b := range w.boards {
			switch {
			case b.name != name:
			case b.module != nil:
				out = append(out, b.module.Origin.End())
			case b.name == "module":
				out = append(out, w.end("the module", "module"))
			default:
				out = append(out, w.end(b.label, "wiring.boards."+b.name))
			}
		}
	}
	return out
}

// judgePlaces tells which boards have no place: one finding for all.
func (w *worker) judgePlaces() {
	var names []string
	var es []finding.End
	for _, b := range w.boards {
		if b.real {
			continue
		}
		names = append(names, b.label)
		path := "module"
		if b.name != "module" {
			path = "wiring.boards." + b.name
		}
		es = append(es, w.end(b.label, path))
	}
	if len(names) == 0 {
		return
	}
	has, it := "has", "it lay"
	if len(names) > 1 {
		has, it = "have", "they lay"
	}
	w.say(ruleNoPlace, finding.Finding{
		Head: finding.Capital(list(names)) + " " + has + " no place yet.",
		Body: "Wires are reckoned as if " + it + " on the base as near to the module as there is room. Give each a place before you cut wire.", Ends: es,
	})
}

// judgeWires looks at each wire: whether it gets to its lugs, and whether it is absurdly long.
func (w *worker) judgeWires() {
	longest := max(50, w.p.Limits.Value(limLay))
	blocked := map[string]bool{}
	for _, x := range w.r.Wires {
		for _, t := range []wiring.Terminal{x.From, x.To} {
			sp := w.spot[t]
			if blocked[t.Of] {
				continue
			}
			if sp.board >= 0 {
				other := w.spot[x.To]
				if t == x.To {
					other = w.spot[x.From]
				}
				s := max(0, w.sheetOf(other))
				if w.above(sp, s).at != sp.at {
					continue
				}
				blocked[t.Of] = true
				what := w.standsAt(s, sp.at)
				w.say(ruleNoWay, finding.Finding{
					Head: "No wire gets to the pins of " + w.name(t.Of) + ": " + what.Name + " leaves no room over them.", Body: "Move one of the two, or make the box deeper.",
					Ends: append(w.ends(t.Of), what),
				})
				continue
			}
			if w.grids[sp.sheet].open(sp.cell) {
				continue
			}
			blocked[t.Of] = true
			g := w.grids[sp.sheet]
			head := "No wire gets to the lugs of " + w.name(t.Of)
			if lack := g.low[sp.cell] - g.high[sp.cell]; math.IsInf(lack, 0) {
				head += ": a wall stands there."
			} else {
				head += ": it lacks " + w.mm(math.Ceil(lack*2)/2) + " of room behind it."
			}
			w.say(ruleNoWay, finding.Finding{
				Head: head,
				Body: "Make the box deeper, or move the control.", Ends: append(w.ends(w.ownerOf(t)), w.end("the box", "box")),
			})
		}
		if x.Length > longest {
			w.say(ruleLong, finding.Finding{
				Head: fmt.Sprintf("The wire %s from %s to %s is %s long.", x.ID, w.name(x.From.Of), w.name(x.To.Of), w.mm(x.Length)), Body: "Look whether a place is wrong.",
				Ends: w.ends(w.ownerOf(x.From), w.ownerOf(x.To)), Measure: &finding.Measure{Have: x.Length, Want: longest, Unit: "mm", Sense: finding.AtMost}, Source: w.p.Limits.Source(limLay),
			})
		}
	}
	for use, key := range []string{"signal", "ground", "supply"} {
		if !w.use[use].Stays {
			continue
		}
		n := 0
		for _, x := range w.r.Wires {
			if x.Moves && w.useOf(x.Net) == use {
				n++
			}
		}
		if n > 0 {
			w.say(ruleSolid, finding.Finding{
				Head: fmt.Sprintf("%s bend when the face opens, and they are of %s.", finding.Capital(plural(n, key+" wire")), w.use[use].Title), Body: "Solid wire breaks there. Take a stranded one.",
				Ends: []finding.End{w.end("the "+key+" wire", "wiring.wire."+key)},
			})
		}
	}
}

func (w *worker) judgeStock() {
	for i, s := range w.p.Wiring.Stock {
		path := "wiring.stock." + itoa(i)
		if _, ok := w.cat.Wire(s.Wire); !ok {
			w.unknownWire(s.Wire, path+".wire")
		}
		if len(letters(s.Colour)) == 0 {
			w.badColour(s.Colour, path+".colour")
		}
		if s.Length <= 0 {
			w.say(ruleStock, finding.Finding{Head: "The wire on hand has no length.", Ends: []finding.End{w.end(s.Wire, path)}})
		}
	}
	var none []lacking
	for _, u := range w.r.Use {
		if !u.Known || u.Lacks <= 0 {
			continue
		}
		name := w.wireWords(u)
		if u.Have == 0 {
			k := u
			k.Colour = ""
			if of := w.wireWords(k); len(none) == 0 || none[len(none)-1].of != of {
				none = append(none, lacking{of: of})
			}
			l := &none[len(none)-1]
			l.what = append(l.what, strings.TrimSpace(ColourNames[u.Colour]+" "+w.metres(u.Need)))
			continue
		}
		f := finding.Finding{
			Head:    fmt.Sprintf("%s of %s on hand, %s needed.", finding.Capital(w.metres(u.Have)), name, w.metres(u.Need)),
			Body:    "Buy the rest, or choose another colour for that use.",
			Ends:    []finding.End{w.end(name, "wiring.stock")},
			Measure: &finding.Measure{Have: u.Have, Want: u.Need, Unit: "mm", Sense: finding.AtLeast},
		}
		if u.Have >= u.Need {
			f.Head = fmt.Sprintf("The pieces of %s on hand are too short: %s of the wires cannot be cut from them.", name, w.metres(u.Lacks))
			f.Measure = nil
		}
		for i, s := range w.p.Wiring.Stock {
			if s.Wire == u.Wire && slices.Contains(letters(s.Colour), u.Colour) {
				f.Ends = []finding.End{w.end(name, "wiring.stock."+itoa(i))}
			}
		}
		if use := w.useOfColour(u); use != "" {
			f.Ends = append(f.Ends, w.end("the colour of "+use, "wiring.wire.colours"))
		}
		w.say(ruleStock, f)
	}
	for _, l := range none {
		w.say(ruleStock, finding.Finding{
			Head: "On hand is none of these colours of " + l.of + ": " + list(l.what) + ".", Body: "Buy it, or choose colours that are on hand.",
			Ends: []finding.End{w.end("the wire on hand", "wiring.stock"), w.end("the colours", "wiring.wire.colours")},
		})
	}
	for _, k := range w.p.Wiring.Wire.Colours.Keys {
		if c := w.p.Wiring.Wire.Colours.Get(k).Use; len(letters(c)) != len(strings.FieldsFunc(c, separator)) || c == "" {
			w.badColour(c, "wiring.wire.colours."+k)
		}
	}
}

// lacking is a kind of wire of which some colours are not on hand at all.
type lacking struct {
	of   string
	what []string
}

// wireWords names wire: "red hookup-24".
func (w *worker) wireWords(u Use) string {
	name := u.Wire
	if x, ok := w.cat.Wire(u.Wire); ok {
		name = x.Title
	}
	if name != "" {
		name = strings.ToLower(name[:1]) + name[1:]
	}
	if c := ColourNames[u.Colour]; c != "" {
		return c + " " + name
	}
	return name
}

// useOfColour says what the wires of a colour are for, when they are for one thing.
func (w *worker) useOfColour(u Use) string {
	use := ""
	for _, x := range w.r.Wires {
		if x.Wire != u.Wire || x.Colour != u.Colour {
			continue
		}
		p := w.purpose(w.w.Nets[x.Net])
		if use != "" && use != p {
			return ""
		}
		use = p
	}
	return use
}

func separator(r rune) bool { return r == ' ' || r == ',' || r == '/' }

func (w *worker) badColour(c, path string) {
	w.say(ruleColour, finding.Finding{
		Head: "“" + c + "” is no colour of wire.", Body: "Write letters of IEC 60757: " + strings.Join(sortedKeys(ColourNames), ", ") + ".", Ends: []finding.End{w.end("colour", path)},
	})
}

// unknownWire complains of a wire that the catalogue does not have.
func (w *worker) unknownWire(id, path string) {
	f := finding.Finding{Head: "The catalogue has no wire “" + id + "”.", Body: "The usual hook-up wire is taken.", Ends: []finding.End{w.end("wire", path)}}
	if near := yamlfile.Nearest(id, w.cat.WireIDs()); near != "" {
		f.Body = "Did you mean " + near + "?"
		f.Fixes = []finding.Fix{{Say: "Write " + near, Short: near, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: near}}}}
	}
	w.say(ruleUnknown, f)
}

// judgeChains tells how many controls one broken joint takes along, where that is many: one finding for the panel.
func (w *worker) judgeChains() {
	most := int(w.p.Limits.Value(limChain))
	worst, count := -1, 0
	var names []string
	for i, c := range w.r.Chains {
		n := len(w.behind(c, 0))
		if c.Closed || n <= most {
			continue
		}
		names = append(names, c.Name)
		if n > count {
			worst, count = i, n
		}
	}
	if worst < 0 {
		return
	}
	c := w.r.Chains[worst]
	of := w.behind(c, 0)
	f := finding.Finding{
		Head:    fmt.Sprintf("One broken joint where %s begins cuts off %s.", c.Name, plural(count, "control")),
		Body:    fmt.Sprintf("In its middle it still cuts off %d. Bring the end of the chain back to a pin: then no single break cuts off anything.", len(w.behind(c, len(c.Lugs)/2))),
		Ends:    append([]finding.End{w.end("the chains", "wiring.chains")}, w.ends(of[0], of[len(of)-1])...),
		Measure: &finding.Measure{Have: float64(count), Want: float64(most), Sense: finding.AtMost}, Source: w.p.Limits.Source(limChain),
		Fixes: []finding.Fix{{Say: "Close the chains to rings", Short: "chains: closed", Edits: []finding.Edit{{Op: finding.Set, Path: "wiring.chains", Value: "closed"}}}},
	}
	if n := len(names) - 1; n > 0 {
		f.Body += fmt.Sprintf(" The same goes for %s.", plural(n, "more chain"))
	}
	w.say(ruleChain, f)
}

// behind lists the controls that a break before a lug of a chain cuts off.
func (w *worker) behind(c Chain, from int) []string {
	var of []string
	for _, t := range c.Lugs[from:] {
		if name := w.ownerOf(t); !slices.Contains(of, name) {
			of = append(of, name)
		}
	}
	return of
}

// name is how people call what a terminal is of.
func (w *worker) name(of string) string {
	if c := w.control(of); c != nil {
		return c.Label
	}
	for _, b := range w.boards {
		if b.name == of && b.label != "" {
			return b.label
		}
	}
	for _, f := range w.w.Fittings {
		if c := w.control(f.At.Of); f.Name == of && c != nil {
			return f.Name + " at " + c.Label
		}
	}
	return of
}

// metres writes a length of wire.
func (w *worker) metres(mm float64) string {
	if w.p.Units == "in" {
		return fmt.Sprintf("%.1f ft", mm/304.8)
	}
	return fmt.Sprintf("%.1f m", mm/1000)
}

// judgeBundles looks for the place where a bundle wants most more than the gap that it runs through.
func (w *worker) judgeBundles() {
	worst, lack, room := -1, 0.5, 0.0
	var at geom.Vec3
	var sheet int
	for i, b := range w.r.Bundles {
		s := 0
		for _, t := range []wiring.Terminal{w.r.Wires[b.Wires[0]].From, w.r.Wires[b.Wires[0]].To} {
			if v := w.sheetOf(w.spot[t]); v >= 0 {
				s = v
			}
		}
		g := w.grids[s]
		for k, p := range b.Path {
			next := p
			if k+1 < len(b.Path) {
				next = b.Path[k+1]
			}
			n := max(1, int(next.Sub(p).Len()/g.step))
			for j := range n {
				q := p.Add(next.Sub(p).Mul(float64(j) / float64(n)))
				c := g.cell(w.back[s].Apply(q).XY())
				if !g.open(c) {
					continue
				}
				if r := g.high[c] - g.low[c] + 2*clearance; b.Diameter-r > lack {
					worst, lack, room, at, sheet = i, b.Diameter-r, r, q, s
				}
			}
		}
	}
	if worst < 0 {
		return
	}
	b := w.r.Bundles[worst]
	what := w.standsAt(sheet, at)
	w.say(ruleTight, finding.Finding{
		Head: fmt.Sprintf("A bundle of %d wires, about %s thick, has %s to get past %s.", len(b.Wires), w.mm(math.Ceil(b.Diameter*2)/2), w.mm(math.Floor(room*2)/2), what.Name),
		Body: "Spread it flat there, lead some of its wires another way, or make the box deeper.", Ends: []finding.End{what, w.end("the box", "box")},
		Measure: &finding.Measure{Have: room, Want: b.Diameter, Unit: "mm", Sense: finding.AtLeast},
	})
}

// standsAt names what stands at a sheet, or on the base, at a place.
func (w *worker) standsAt(sheet int, at geom.Vec3) finding.End {
	g := w.grids[sheet]
	p := w.back[sheet].Apply(at).XY()
	best, least := finding.End{Name: "the base", Path: "box", Pos: w.p.Pos("box")}, 2*g.step
	look := func(o geom.Outline, e finding.End) {
		b := o.Bounds()
		d := math.Hypot(max(b.Min.X-p.X, p.X-b.Max.X, 0), max(b.Min.Y-p.Y, p.Y-b.Max.Y, 0))
		if d < least-1e-9 {
			best, least = e, d
		}
	}
	for _, b := range g.sheet.Behind {
		if b.Role != panel.RoleBase && b.Role != panel.RoleWall {
			look(b.Outline, b.Origin.End())
		}
	}
	for _, c := range g.sheet.Controls {
		for _, b := range c.Rear {
			if b.Role == panel.RoleBody || b.Role == panel.RoleLugs {
				look(b.Outline, c.Origin.End())
			}
		}
	}
	return best
}
