package firmware

import (
	"slices"

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
			good := placesOf(c)
			for _, p := range append(slices.Clone(a.Places), a.Second...) {
				if p.Name == "" || slices.Contains(good, p.Name) {
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
