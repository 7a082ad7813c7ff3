package harness

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/yamlfile"
)

// judge says what is wrong with the harness as it lies.
func (w *worker) judge() {
	w.judgePlaces()
	w.judgeWires()
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
			if b.name == name && b.module != nil {
				out = append(out, b.module.Origin.End())
			}
		}
	}
	return out
}

func (w *worker) judgePlaces() {
	for _, b := range w.boards {
		if b.real {
			continue
		}
		name := "The module"
		path := "module"
		if b.name != "module" {
			name, path = finding.Capital(strings.ReplaceAll(b.name, "-", " ")), "wiring.boards."+b.name
		}
		w.say(ruleNoPlace, finding.Finding{
			Head: name + " has no place yet.", Body: "Wires are reckoned as if it lay in the middle of the box, or beside the board before it. Give it one before you cut wire.",
			Ends: []finding.End{w.end(name, path)},
		})
	}
}

func (w *worker) judgeWires() {
	longest := w.p.Limits.Value(limLay)
	blocked := map[string]bool{}
	for _, x := range w.r.Wires {
		for _, s := range []string{x.From.Of, x.To.Of} {
			if blocked[s] {
				continue
			}
			if sp := w.spot[x.From]; x.From.Of == s && sp.board < 0 && math.IsInf(w.grids[sp.sheet].pay[sp.cell], 1) {
				blocked[s] = true
			}
			if sp := w.spot[x.To]; x.To.Of == s && sp.board < 0 && math.IsInf(w.grids[sp.sheet].pay[sp.cell], 1) {
				blocked[s] = true
			}
			if blocked[s] {
				w.say(ruleNoWay, finding.Finding{
					Head: "No wire gets to the lugs of " + w.name(s) + ": behind it is less than " + w.mm(bundleRoom) + " of room.",
					Body: "Make the box deeper, or move the control.", Ends: w.ends(s),
				})
			}
		}
		if x.Length > longest {
			w.say(ruleLong, finding.Finding{
				Head: fmt.Sprintf("The wire %s from %s to %s is %s long.", x.ID, w.name(x.From.Of), w.name(x.To.Of), w.mm(x.Length)), Body: "Look whether a place is wrong.",
				Ends: w.ends(x.From.Of, x.To.Of), Measure: &finding.Measure{Have: x.Length, Want: longest, Unit: "mm", Sense: finding.AtMost}, Source: w.p.Limits.Source(limLay),
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
	for _, u := range w.r.Use {
		if !u.Known || u.Have >= u.Need {
			continue
		}
		f := finding.Finding{
			Head:    fmt.Sprintf("%s of %s wire are on hand, %s are needed.", w.metres(u.Have), ColourNames[u.Colour], w.metres(u.Need)),
			Body:    "Buy the rest, or choose another colour for that use.",
			Ends:    []finding.End{w.end(ColourNames[u.Colour]+" wire", "wiring.stock")},
			Measure: &finding.Measure{Have: u.Have, Want: u.Need, Unit: "mm", Sense: finding.AtLeast},
		}
		for i, s := range w.p.Wiring.Stock {
			if s.Wire == u.Wire && s.Colour == u.Colour {
				f.Ends = []finding.End{w.end(ColourNames[u.Colour]+" wire", "wiring.stock."+itoa(i))}
			}
		}
		w.say(ruleStock, f)
	}
	for _, k := range w.p.Wiring.Wire.Colours.Keys {
		if c := w.p.Wiring.Wire.Colours.Get(k).Use; len(letters(c)) != len(strings.FieldsFunc(c, separator)) || c == "" {
			w.badColour(c, "wiring.wire.colours."+k)
		}
	}
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

// judgeChains tells how many controls one broken joint takes along, where that is many.
func (w *worker) judgeChains() {
	most := int(w.p.Limits.Value(limChain))
	for _, c := range w.r.Chains {
		var of []string
		for _, t := range c.Lugs {
			if !slices.Contains(of, t.Of) {
				of = append(of, t.Of)
			}
		}
		if c.Closed || len(of) <= most {
			continue
		}
		w.say(ruleChain, finding.Finding{
			Head: fmt.Sprintf("One broken joint at the pin of %s cuts off %s.", c.Name, plural(len(of), "control")),
			Body: "Bring the end of the chain back to a second pin.", Ends: []finding.End{w.end("the chains", "wiring.chains")},
			Measure: &finding.Measure{Have: float64(len(of)), Want: float64(most), Sense: finding.AtMost}, Source: w.p.Limits.Source(limChain),
			Fixes: []finding.Fix{{Say: "Close the chains", Short: "chains: closed", Edits: []finding.Edit{{Op: finding.Set, Path: "wiring.chains", Value: "closed"}}}},
		})
	}
}

// name is how people call what a terminal is of.
func (w *worker) name(of string) string {
	if c := w.control(of); c != nil {
		return c.Label
	}
	if of == "module" {
		return "the module"
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
