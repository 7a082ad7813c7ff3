package job

import (
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// keep marks the findings that the person leaves as they are, and says which entries of keep: do nothing.
func keep(doc *project.Doc, p *panel.Panel, all []finding.Finding) []finding.Finding {
	var out []finding.Finding
	for i, k := range p.Keeps {
		if k.Rule == "" {
			continue // the reader says that it is missing
		}
		used, stop := 0, -1
		for j := range all {
			f := &all[j]
			if f.Rule != k.Rule || !about(*f, k.Of) {
				continue
			}
			used++
			switch {
			case f.Severity == finding.Stop:
				stop = j
			case f.Kept == "":
				f.Kept = reason(k.Why)
			}
		}
		end := k.Origin.End()
		if stop >= 0 {
			f := finding.Finding{
				Rule: ruleKeepStop.Name, Severity: ruleKeepStop.Severity,
				Head: "A stop cannot be kept: " + all[stop].Head, Body: "Change the panel, or the limit behind it under limits:.", Ends: []finding.End{end},
			}
			f.Ends = append(f.Ends, all[stop].Ends...)
			out = append(out, f)
		}
		if used == 0 {
			out = append(out, unused(doc, k, "keep."+strconv.Itoa(i)))
		}
	}
	return append(all, out...)
}

// reason is never empty: an empty one would mean that the finding is not kept.
func reason(why string) string {
	if w := strings.TrimSpace(why); w != "" {
		return w
	}
	return "no reason given"
}

func unused(doc *project.Doc, k panel.Keep, path string) finding.Finding {
	f := finding.Finding{
		Rule: ruleKeepUnused.Name, Severity: ruleKeepUnused.Severity,
		Head: "Keeping " + k.Rule + " does nothing: there is no such finding" + ofWhom(k.Of) + ".",
		Body: "Take the entry out when it is no longer needed.", Ends: []finding.End{k.Origin.End()},
	}
	var names []string
	for _, r := range gathered() {
		names = append(names, r.Name)
	}
	if slices.Contains(names, k.Rule) {
		f.Fixes = []finding.Fix{{Say: "Take it out", Short: "no keep of " + k.Rule, Edits: []finding.Edit{{Op: finding.Delete, Path: path}}}}
		return f
	}
	f.Head = "Keeping " + k.Rule + " does nothing: there is no rule of that name."
	if near := yamlfile.Nearest(k.Rule, names); near != "" {
		f.Body = "Did you mean " + near + "?"
		f.Fixes = []finding.Fix{{Say: "Write " + near, Short: "rule: " + near, Edits: []finding.Edit{{Op: finding.Set, Path: path + ".rule", Value: near}}}}
	}
	return f
}

func ofWhom(of []string) string {
	if len(of) == 0 {
		return ""
	}
	return " of " + strings.Join(of, ", ")
}

// about reports whether a finding is about all of the names: as people call the thing, or as it is named in the file.
func about(f finding.Finding, of []string) bool {
	for _, name := range of {
		if !slices.ContainsFunc(f.Ends, func(e finding.End) bool {
			return plain(e.Name) == plain(name) || e.Path[strings.LastIndexByte(e.Path, '.')+1:] == name || e.Path == name
		}) {
			return false
		}
	}
	return true
}

// plain makes names comparable: small letters, - and _ as spaces, no article.
func plain(s string) string {
	s = strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(strings.TrimSpace(s)))
	return strings.TrimPrefix(s, "the ")
}
