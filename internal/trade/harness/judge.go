package harness

import (
	"fmt"
	"math"
	"slices"

	"knobwright/internal/finding"
	"knobwright/internal/trade/wiring"
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
				if w.above(sp, s).at != sp.at || !w.grids[s].holds(w.back[s].Apply(sp.at).XY()) { // what lies beside a sheet is reached from the side
					continue
				}
				blocked[t.Of] = true
				what := w.standsAt(s, sp.at, w.ends(t.Of))
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

// breaks counts what a broken joint cuts off at every place of every chain. What hangs on the far end of a chain, as a chain of its own,
// goes with it.
func (w *worker) breaks() {
	for i := range w.r.Chains {
		c := &w.r.Chains[i]
		c.Behind = make([]int, len(c.Lugs))
		for k := range c.Lugs {
			if !c.Closed {
				c.Behind[k] = len(w.behind(*c, k))
			}
		}
	}
}

// behind lists the controls that a break before a lug of a chain cuts off.
func (w *worker) behind(c Chain, from int) []string {
	var of []string
	for _, t := range c.Lugs[from:] {
		if name := w.ownerOf(t); !slices.Contains(of, name) {
			of = append(of, name)
		}
		for _, d := range w.r.Chains {
			if d.Root == t && d.Net == c.Net && !d.Closed && len(d.Lugs) > 0 {
				for _, name := range w.behind(d, 0) {
					if !slices.Contains(of, name) {
						of = append(of, name)
					}
				}
			}
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
