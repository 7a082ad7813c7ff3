package drilling

import (
	"cmp"
	"strconv"
	"strings"

	"knobwright/internal/panel"
)

func itoa(n int) string { return strconv.Itoa(n) }

// list joins names as people do: "DOOR, BIRDS and RAIN"; more than three become "DOOR, BIRDS and 3 more".
func list(names []string) string {
	switch n := len(names); {
	case n == 0:
		return ""
	case n == 1:
		return names[0]
	case n <= 3:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	default:
		return names[0] + ", " + names[1] + " and " + itoa(n-2) + " more"
	}
}

// verb chooses by number: verb(1, "wants", "want").
func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

// nameOf is what a person calls an opening: "STANDBY", "STANDBY's anti-turn hole", "screw hole 1".
func nameOf(c *panel.Cut) string {
	if o := c.Owner; o != nil {
		name := cmp.Or(o.Label, o.Origin.Name, strings.ToUpper(o.Name))
		if len(o.Cuts) > 0 && o.Cuts[0] != c {
			return name + "'s " + what(c.What) + countOf(c)
		}
		return name
	}
	return cmp.Or(c.Origin.Name, c.ID, what(c.What))
}

// countOf numbers openings of one kind on one control: " 1", " 2"; nothing when there is one only.
func countOf(c *panel.Cut) string {
	n, mine := 0, 0
	for _, k := range c.Owner.Cuts[1:] {
		if k == nil || k.What != c.What {
			continue
		}
		if n++; k == c {
			mine = n
		}
	}
	if n < 2 {
		return ""
	}
	return " " + itoa(mine)
}

func what(w string) string {
	switch w {
	case "anti-turn":
		return "anti-turn hole"
	case "screw", "fixing":
		return "screw hole"
	case "", "hole":
		return "hole"
	}
	return w
}
