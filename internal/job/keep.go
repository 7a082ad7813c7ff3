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

// keep marks the findings that the person leaves as they are, and says which entries of keep: do nothing. Presses have not been
// reckoned, so nothing is said of entries about them.
func keep(doc *project.Doc, p *panel.Panel, all []finding.Finding) []finding.Finding {
	return keepWith(doc, p, all, false)
}

// keepWith is keep when presses may have been reckoned.
func keepWith(doc *project.Doc, p *panel.Panel, all []finding.Finding, pressed bool) []finding.Finding {
	var out []finding.Finding
	n := namer{p: p}
	for i, k := range p.Keeps {
		if k.Rule == "" {
			continue // the reader says that it is missing
		}
		path := "keep." + strconv.Itoa(i)
		used, stop := 0, -1
		var unnamed []finding.Finding // findings that are about others too
		for j := range all {
			f := &all[j]
			if f.Rule != k.Rule || !n.about(*f, k.Of) {
				continue
			}
			switch {
			case f.Severity == finding.Stop:
				stop = j
			case len(k.Of) > 0 && manyInOne(f.Rule) && !n.nothingElse(*f, k.Of):
				unnamed = append(unnamed, *f)
				continue
			case f.Kept == "":
				f.Kept = reason(k.Why)
			}
			used++
		}
		if stop >= 0 {
			f := finding.Finding{
				Rule: ruleKeepStop.Name, Severity: ruleKeepStop.Severity,
				Head: "A stop cannot be kept: " + all[stop].Head, Body: "Change the panel, or the limit behind it under limits:.", Ends: []finding.End{k.Origin.End()},
			}
			f.Ends = append(f.Ends, all[stop].Ends...)
			out = append(out, f)
		}
		switch {
		case used > 0:
		case !pressed && strings.HasPrefix(k.Rule, "press."):
		case len(unnamed) > 0:
			out = append(out, notAll(k, unnamed[0], path))
		default:
			out = append(out, unused(doc, k, path))
		}
	}
	return append(all, out...)
}

// manyInOne reports whether findings of a rule gather several things that have the same trouble each by itself, so that
// keeping one of them must not hide the others. Findings of other rules are about what two things do to each other; where
// the face gathers several of those, it does so within what one entry of keep: names.
func manyInOne(rule string) bool { return strings.HasPrefix(rule, "drill.") }

// notAll says that a finding is about more things than an entry names.
func notAll(k panel.Keep, f finding.Finding, path string) finding.Finding {
	var names []string
	for _, e := range f.Ends {
		if !slices.Contains(names, quote(e.Name)) {
			names = append(names, quote(e.Name))
		}
	}
	of := "[" + strings.Join(names, ", ") + "]"
	return finding.Finding{
		Rule: ruleKeepUnused.Name, Severity: ruleKeepUnused.Severity,
		Head: "Keeping " + k.Rule + ofWhom(k.Of) + " does nothing: the finding is about others too.",
		Body: "Name all of them, or leave of: out.", Ends: append([]finding.End{k.Origin.End()}, f.Ends...),
		Fixes: []finding.Fix{{Say: "Name all of them", Short: "of: " + of, Edits: []finding.Edit{{Op: finding.Set, Path: path + ".of", Value: of}}}},
	}
}

// quote writes a name as YAML flow text.
func quote(s string) string { return strconv.Quote(s) }

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

// namer knows under which names the things of a panel go.
type namer struct {
	p    *panel.Panel
	ctls map[string]*panel.Control // by name in the file
}

// about reports whether a finding is about all of the names: as people call the thing, or as it is named in the file.
func (n *namer) about(f finding.Finding, of []string) bool {
	for _, name := range of {
		if !slices.ContainsFunc(f.Ends, func(e finding.End) bool { return n.is(e, name) }) {
			return false
		}
	}
	return true
}

// nothingElse reports whether each thing that a finding is about is named.
func (n *namer) nothingElse(f finding.Finding, of []string) bool {
	for _, e := range f.Ends {
		if !slices.ContainsFunc(of, func(name string) bool { return n.is(e, name) }) {
			return false
		}
	}
	return true
}

// is reports whether an end of a finding goes by a name. Members of a mirror or a counted group have no path of their own,
// so they are known by what they are called.
func (n *namer) is(e finding.End, name string) bool {
	if plain(e.Name) == plain(name) || e.Path == name || e.Path[strings.LastIndexByte(e.Path, '.')+1:] == name {
		return true
	}
	if n.ctls == nil {
		n.ctls = map[string]*panel.Control{}
		for _, s := range n.p.Sheets() {
			for _, c := range s.Controls {
				n.ctls[c.Name] = c
			}
		}
	}
	c := n.ctls[name]
	return c != nil && strings.HasPrefix(e.Path, c.Origin.Path) && plain(e.Name) == plain(c.Label)
}

// plain makes names comparable: small letters, - and _ as spaces, no article.
func plain(s string) string {
	s = strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(strings.TrimSpace(s)))
	return strings.TrimPrefix(s, "the ")
}
