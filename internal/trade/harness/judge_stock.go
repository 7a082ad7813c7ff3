package harness

import (
	"fmt"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/yamlfile"
)

// judgeStock holds what is needed against what is on hand, and looks at the names of wires and colours.
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
