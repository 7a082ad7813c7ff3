package job

import (
	"maps"
	"slices"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// ownLimits checks the person's own limits against all limits that exist. A number that cannot be used is taken out of
// force.
func ownLimits(doc *project.Doc, p *panel.Panel) []finding.Finding {
	if len(doc.File.Limits) == 0 {
		return nil
	}
	known := map[string]finding.Limit{}
	var names []string
	for _, l := range Limits() {
		known[l.Name] = l
		names = append(names, l.Name)
	}
	var out []finding.Finding
	for _, name := range slices.Sorted(maps.Keys(doc.File.Limits)) {
		n := doc.File.Limits[name]
		path := "limits." + name
		end := finding.End{Name: name, Path: path, Pos: doc.KeyPos(path)}
		l, ok := known[name]
		switch {
		case !ok:
			f := finding.Finding{
				Rule: ruleUnknownLimit.Name, Severity: ruleUnknownLimit.Severity,
				Head: "No rule has a limit " + name + ".", Body: "The number changes nothing.", Ends: []finding.End{end},
			}
			if near := yamlfile.Nearest(name, names); near != "" {
				f.Body = "It changes nothing. Did you mean " + near + "?"
				f.Fixes = []finding.Fix{{Say: "Write " + near, Short: near + ": " + n.Text, Edits: []finding.Edit{{Op: finding.Rename, Path: path, Value: near}}}}
			}
			out = append(out, f)
		case n.Unit != "" && n.Unit != l.Unit:
			delete(p.Limits.Own, name)
			want := l.Unit
			if want == "" {
				want = "a plain number"
			}
			out = append(out, finding.Finding{
				Rule: ruleBadLimit.Name, Severity: ruleBadLimit.Severity,
				Head: "The limit " + name + " cannot be " + n.Text + ".", Body: "It is given in " + want + ": " + l.Means + ".", Ends: []finding.End{end},
			})
		case n.Value < 0:
			delete(p.Limits.Own, name)
			out = append(out, finding.Finding{
				Rule: ruleBadLimit.Name, Severity: ruleBadLimit.Severity,
				Head: "The limit " + name + " cannot be below zero.", Body: "The usual number is used. To leave a finding as it is, use keep:.", Ends: []finding.End{end},
				Measure: &finding.Measure{Have: n.Value, Want: 0, Unit: l.Unit, Sense: finding.AtLeast},
			})
		}
	}
	return out
}
