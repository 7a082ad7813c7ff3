package firmware

import (
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// names says which words under sends: are neither known nor positions of the part.
func (w *worker) names() {
	for _, s := range w.p.Sheets() {
		for _, c := range s.Controls {
			a := w.asked[c]
			if a == nil || w.copied[c] || c.Part.ID == "" {
				continue
			}
			w.idleWords(c, a)
			good := placesOf(c)
			for _, p := range append(slices.Clone(a.Places), a.Second...) {
				if p.Name == "" || slices.Contains(good, p.Name) {
					continue
				}
				if project.PressWord(p.Name) && !p.Deed.Zero() {
					f := finding.Finding{Head: "Under sends: of " + c.Label + " " + p.Name + ": is no word of its own.", Body: "Write press: " + p.Deed.String() + ", or that alone: sends: " + p.Deed.String() + ".", Ends: []finding.End{w.end(c, p.Pos)}}
					if path := c.Origin.Path + ".sends"; w.p.Pos(path).Line > 0 && a.Main.Zero() && strings.HasPrefix(p.Path, path) {
						f.Fixes = []finding.Fix{{Say: "Write press: " + p.Deed.String(), Short: "press: " + p.Deed.String(), Edits: []finding.Edit{{Op: finding.Set, Path: path + ".press", Value: p.Deed.String()}, {Op: finding.Delete, Path: p.Path}}}}
					}
					w.found(ruleUnknownWord, f)
					continue
				}
				f := finding.Finding{Head: c.Label + " has no position " + short(p.Name) + ", and the word means nothing under sends:.", Ends: []finding.End{w.end(c, p.Pos)}}
				if len(good) > 0 {
					f.Body = "Its positions are " + list(good) + "."
				}
				if near := yamlfile.Nearest(p.Name, append(slices.Clone(good), project.SendsWords()...)); near != "" {
					f.Body = "Did you mean " + near + "?"
					if w.p.Pos(c.Origin.Path+".sends").Line > 0 {
						f.Fixes = []finding.Fix{{Say: "Write " + near, Short: near + ":", Edits: []finding.Edit{{Op: finding.Rename, Path: p.Path, Value: near}}}}
					}
				}
				w.found(ruleUnknownWord, f)
			}
		}
	}
}

// placesOf lists the words by which the positions of a part are called.
func placesOf(c *panel.Control) []string {
	k := &c.Part.Circuit
	out := slices.Clone(k.Positions)
	put := func(s string) {
		if s != "" && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for _, x := range k.Contacts {
		put(x.Sends)
		if x.Weight > 0 {
			put(itoa(x.Weight))
		}
	}
	for _, t := range k.Tracks {
		put(t.Sends)
	}
	return out
}

// idleWords says which words under sends: are for another kind of part, and so change nothing.
func (w *worker) idleWords(c *panel.Control, a *project.Asked) {
	k := &c.Part.Circuit
	turns := slices.ContainsFunc(k.Contacts, func(x catalog.Contact) bool { return x.Phase != "" })
	closes := slices.ContainsFunc(k.Contacts, func(x catalog.Contact) bool { return x.Phase == "" })
	chooses := len(k.Contacts) > 1 && (a.As == "axis" || a.Main.Kind == project.AxisDeed || a.Main.Kind == project.MIDIControl)
	for _, group := range []struct {
		fits  bool
		says  string
		words []string
	}{
		{turns, "is no encoder", []string{"turn", "step", "wrap", "mode", "start"}},
		{turns || chooses || a.Main.Kind == project.MIDIControl && len(k.Tracks) > 0, "is no encoder, no switch that is an axis, and no pot that sends a control of MIDI", []string{"range"}},
		{len(k.Tracks) > 0, "gives no voltage", []string{"low", "high", "dead", "filter", "still"}},
		{turns || chooses || len(k.Tracks) > 0, "neither turns nor slides", []string{"reverse"}},
		{closes, "has no contact that could", []string{"as", "shifted", "long", "double", "after", "within", "debounce", "bounce"}},
		{len(k.Lamps) > 0, "has no lamp", []string{"lamp"}},
	} {
		if group.fits {
			continue
		}
		for _, word := range group.words {
			pos := a.Pos(word)
			if pos.Line == 0 {
				continue
			}
			f := finding.Finding{Head: c.Label + " " + group.says + ", so " + word + ": under its sends: changes nothing.", Ends: []finding.End{w.end(c, pos)}}
			if group.says == "has no contact that could" {
				f.Head = c.Label + " has no contact that is pressed, so " + word + ": under its sends: changes nothing."
			}
			if path := c.Origin.Path + ".sends"; w.p.Pos(path).Line > 0 {
				f.Fixes = []finding.Fix{{Say: "Take " + word + " out", Short: "-" + word, Edits: []finding.Edit{{Op: finding.Delete, Path: path + "." + word}}}}
			}
			w.found(ruleCannot, f)
		}
	}
}
