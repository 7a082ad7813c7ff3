package panel

import (
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/project"
	"knobwright/internal/yamlfile"
)

// memberNames gives the names of a group's members in the order of their places. Counted reports whether they are made by
// counting, in which case members named in the file are changes to single ones.
func (x *expander) memberNames(name string, g project.Group, rule string) (names []string, counted bool) {
	path := "groups." + name
	if g.Names == "" {
		if n, where := countOf(g, rule); n != 0 && rule != "grid" {
			x.noEffect("the count", path+"."+where, "The count of "+name+" has no effect without names: the members are the count.")
		}
		if rule == "grid" && g.Grid.Rows > 0 && g.Grid.Columns > 0 && g.Controls.Len() > g.Grid.Rows*g.Grid.Columns {
			x.trouble(path+".grid", "The grid "+name+" has "+itoa(g.Grid.Rows*g.Grid.Columns)+" places for "+itoa(g.Controls.Len())+" controls.", "The rest goes on below; add rows, or take some out.")
		}
		if rule == "grid" {
			x.gridColumns(name, g)
		}
		return g.Controls.Keys, false
	}
	if rule == "" {
		x.missing("the group "+name, path, "The group "+name+" counts names but has no row, column, grid or arc yet.", "It makes as many controls as it has places.")
		return nil, true
	}
	n, where := countOf(g, rule)
	cols := 1
	switch rule {
	case "row":
		cols = max(n, 1)
	case "grid":
		if !x.gridColumns(name, g) {
			return nil, true
		}
		cols = g.Grid.Columns
	case "arc":
		cols = max(n, 1)
	}
	switch {
	case n < 0 || n > maxControls:
		x.say(ruleBadSize, finding.Finding{
			Head: "The group " + name + " cannot have " + itoa(n) + " places.", Ends: []finding.End{x.end("the group "+name, path+"."+where)},
			Measure: &finding.Measure{Have: float64(n), Want: 1, WantMax: maxControls, Sense: finding.Between},
		})
		return nil, true
	case n == 0:
		x.trouble(x.firstPath(path+"."+where, path+"."+rule), "The group "+name+" counts names but does not say how many.", "Give "+where[strings.IndexByte(where, '.')+1:]+".")
		return nil, true
	}
	names = make([]string, n)
	for i := range names {
		names[i] = fill(g.Names, i+1, i/cols+1, i%cols+1)
	}
	if say := badPattern(g.Names, names); say != "" {
		x.trouble(path+".names", "The names of "+name+" cannot be made from "+quoted(g.Names)+".", say)
		return nil, true
	}
	x.strangers(name, g, names)
	return names, true
}

func (x *expander) gridColumns(name string, g project.Group) bool {
	path := "groups." + name + ".grid.columns"
	if c := g.Grid.Columns; c < 1 || c > maxControls {
		if c != 0 || x.written(path) && !x.unread(path) {
			x.say(ruleBadSize, finding.Finding{
				Head: "The grid " + name + " cannot have " + itoa(c) + " columns.", Ends: []finding.End{x.end("the group "+name, path)},
				Measure: &finding.Measure{Have: float64(c), Want: 1, WantMax: maxControls, Sense: finding.Between},
			})
		}
		return false
	}
	return true
}

// countOf gives how many places a counted group has, and where in the group that stands.
func countOf(g project.Group, rule string) (int, string) {
	switch rule {
	case "row":
		return g.Row.Count, "row.count"
	case "column":
		return g.Column.Count, "column.count"
	case "arc":
		return g.Arc.Count, "arc.count"
	case "grid":
		r, c := g.Grid.Rows, g.Grid.Columns
		if r > maxControls || c > maxControls {
			return maxControls + 1, "grid.rows"
		}
		return r * c, "grid.rows"
	}
	return 0, rule
}

// fill puts the counts into a pattern.
func fill(pattern string, n, row, column int) string {
	for _, x := range [...]struct {
		word string
		n    int
	}{{"{n}", n}, {"{row}", row}, {"{column}", column}} {
		pattern = strings.ReplaceAll(pattern, x.word, itoa(x.n))
	}
	return pattern
}

// badPattern says why a pattern makes no good names; "" when it does.
func badPattern(pattern string, names []string) string {
	rest := fill(pattern, 1, 1, 1)
	if i := strings.IndexAny(rest, "{}"); i >= 0 {
		return "Only {n}, {row} and {column} are counted; " + quoted(rest) + " is left over."
	}
	if !yamlfile.GoodName(names[len(names)-1]) {
		return quoted(names[len(names)-1]) + " cannot be a name; use letters, digits, - and _."
	}
	seen := map[string]bool{}
	for _, n := range names {
		if seen[n] {
			return quoted(n) + " would come twice; count with {n}, or with {row} and {column}."
		}
		seen[n] = true
	}
	return ""
}

func quoted(s string) string { return "\"" + s + "\"" }

// strangers says which changes to single members name none.
func (x *expander) strangers(group string, g project.Group, names []string) {
	is := map[string]bool{}
	for _, n := range names {
		is[n] = true
	}
	for _, k := range g.Controls.Keys {
		if is[k] {
			continue
		}
		path := "groups." + group + ".controls." + k
		f := finding.Finding{Head: "The group " + group + " has no member " + k + ".", Ends: []finding.End{x.end(k, path)}}
		switch near := yamlfile.Nearest(k, names); {
		case near != "":
			f.Body = "Did you mean " + near + "?"
		case len(names) > 0:
			f.Body = "Its members are " + several(names) + "."
		default:
			f.Body = "It has no members."
		}
		x.say(ruleUnknownName, f)
	}
}

// several lists a few names, and says how many more there are.
func several(names []string) string {
	switch n := len(names); {
	case n == 1:
		return names[0]
	case n == 2:
		return names[0] + " and " + names[1]
	case n == 3:
		return names[0] + ", " + names[1] + " and " + names[2]
	default:
		return names[0] + ", " + names[1] + " and " + itoa(n-2) + " more"
	}
}

// kindred gives the words that begin with the same kind of thing as a word that is not among them, in their order: for "potentiometer" all that begin
// with "pot-", for "push" all that begin with "push-".
func kindred(word string, words []string) []string {
	head := func(s string) string {
		s, _, _ = strings.Cut(strings.ToLower(s), "-")
		return strings.TrimRight(s, "0123456789.")
	}
	w := head(word)
	var out []string
	for _, s := range words {
		h := head(s)
		if len(w) >= 3 && len(h) >= 3 && (strings.HasPrefix(w, h) || strings.HasPrefix(h, w)) {
			out = append(out, s)
		}
	}
	return out
}
