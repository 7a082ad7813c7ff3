package finding

import "strings"

// Target is the name of the thing that a fix edits, as a person would name it on the command line: a control, a group, a rib,
// or a head of the file such as "face" or "tools". It is "" for a fix without edits.
func (f Fix) Target() string {
	if len(f.Edits) == 0 {
		return ""
	}
	p := strings.Split(f.Edits[0].Path, ".")
	for i := len(p) - 2; i >= 0; i-- {
		switch p[i] {
		case "controls", "ribs", "holes", "texts":
			return p[i+1]
		}
	}
	switch {
	case p[0] == "groups" && len(p) > 1:
		return p[1]
	case p[0] == "face" && len(p) > 1 && p[1] == "fixings":
		return "fixings"
	}
	return p[0]
}
