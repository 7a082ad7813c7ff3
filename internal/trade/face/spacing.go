package face

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

// kind is a kind of control as the published finger-room tables know it; a part's Reach names one.
type kind string

// The kinds that the tables list and that one-off panels have.
const (
	pushButton kind = "push_button"
	toggle     kind = "toggle"
	knob       kind = "continuous_rotary"
	selector   kind = "rotary_selector"
	keySwitch  kind = "key_operated"
	rocker     kind = "slide_or_rocker"
	thumbwheel kind = "thumbwheel"
	litLegend  kind = "legend_switch"
)

// word gives the kind in a maker's words, for sentences and for the names of limits.
func (k kind) word() string {
	switch k {
	case pushButton:
		return "push button"
	case toggle:
		return "toggle"
	case knob:
		return "knob"
	case selector:
		return "selector"
	case keySwitch:
		return "key"
	case rocker:
		return "slide or rocker"
	case thumbwheel:
		return "thumbwheel"
	case litLegend:
		return "lit legend switch"
	}
	return string(k)
}

// short gives the kind as one word, for the names of limits.
func (k kind) short() string {
	switch k {
	case pushButton:
		return "push"
	case rocker:
		return "rocker"
	case litLegend:
		return "lit-legend"
	}
	return k.word()
}

// basis says between what a distance of the tables is measured.
type basis int

const (
	edges   basis = iota // edge of the one control to edge of the other
	middles              // middle of the one lever to middle of the other
)

// room is one line of the finger-room tables: the least room between two kinds of control for one bare hand.
type room struct {
	a, b    kind
	least   float64 // mm
	basis   basis
	inGroup bool // worked one after the other, or by different fingers: members of one group
	source  trust.Source
}

var (
	nureg = trust.Source{Text: "NUREG-0700 Rev 3, table 11.5", Provenance: trust.Seen, Confidence: trust.High}
	mil7  = trust.Source{Text: "MIL-STD-1472E, table VII", Provenance: trust.Seen, Confidence: trust.High}
	milSl = trust.Source{Text: "MIL-STD-1472E, figure 4", Provenance: trust.Seen, Confidence: trust.High}
	milPb = trust.Source{Text: "MIL-STD-1472F, push button figure", Provenance: trust.Memory, Confidence: trust.High}
	milTg = trust.Source{Text: "MIL-STD-1472F, toggle figure", Provenance: trust.Memory, Confidence: trust.High}
	milKn = trust.Source{Text: "MIL-STD-1472F, knob figure", Provenance: trust.Memory, Confidence: trust.High}
)

// rooms is the finger-room table. Where both tables give a pair they agree on the number; the one that was read goes
// before the one that is recalled. Each pair stands once.
var rooms = []room{
	{a: pushButton, b: pushButton, least: 13, source: nureg},
	{a: pushButton, b: pushButton, least: 6, inGroup: true, source: milPb},
	{a: pushButton, b: toggle, least: 13, source: nureg},
	{a: pushButton, b: knob, least: 13, source: nureg},
	{a: pushButton, b: selector, least: 13, source: nureg},
	{a: pushButton, b: keySwitch, least: 13, source: nureg},
	{a: pushButton, b: rocker, least: 13, source: nureg},
	{a: pushButton, b: thumbwheel, least: 13, source: nureg},
	{a: pushButton, b: litLegend, least: 50, source: nureg},
	{a: toggle, b: toggle, least: 19, source: nureg},
	{a: toggle, b: toggle, least: 13, basis: middles, inGroup: true, source: milTg},
	{a: toggle, b: knob, least: 19, source: nureg},
	{a: toggle, b: selector, least: 19, source: nureg},
	{a: toggle, b: keySwitch, least: 19, source: nureg},
	{a: toggle, b: rocker, least: 19, source: nureg},
	{a: toggle, b: thumbwheel, least: 13, source: nureg},
	{a: toggle, b: litLegend, least: 38, source: nureg},
	{a: knob, b: knob, least: 25, source: milKn},
	{a: knob, b: selector, least: 25, source: mil7},
	{a: knob, b: keySwitch, least: 19, source: nureg},
	{a: knob, b: rocker, least: 13, source: nureg},
	{a: knob, b: thumbwheel, least: 19, source: nureg},
	{a: knob, b: litLegend, least: 50, source: nureg},
	{a: selector, b: selector, least: 25, source: milSl},
	{a: selector, b: keySwitch, least: 19, source: nureg},
	{a: selector, b: rocker, least: 13, source: nureg},
	{a: selector, b: thumbwheel, least: 19, source: nureg},
	{a: selector, b: litLegend, least: 50, source: nureg},
	{a: keySwitch, b: keySwitch, least: 25, source: nureg},
	{a: keySwitch, b: rocker, least: 19, source: nureg},
	{a: keySwitch, b: thumbwheel, least: 13, source: nureg},
	{a: keySwitch, b: litLegend, least: 25, source: nureg},
	{a: rocker, b: rocker, least: 13, source: nureg},
	{a: rocker, b: thumbwheel, least: 13, source: nureg},
	{a: rocker, b: litLegend, least: 38, source: nureg},
	{a: thumbwheel, b: thumbwheel, least: 13, source: nureg},
	{a: thumbwheel, b: litLegend, least: 38, source: nureg},
	{a: litLegend, b: litLegend, least: 50, source: nureg},
}

// limit gives the line as a limit that the file may override: "reach.push-toggle", "reach.push-push-in-group".
func (r room) limit() finding.Limit {
	name, means := "reach."+r.a.short()+"-"+r.b.short(), "from "+r.a.word()+" to "+r.b.word()
	if r.inGroup {
		name += "-in-group"
		means += " in one group, worked in turn or by different fingers"
	}
	if r.basis == middles {
		means += ", lever middle to lever middle"
	} else {
		means += ", edge to edge"
	}
	return finding.Limit{Name: name, Default: r.least, Unit: "mm", Means: means + ", bare hand", Source: r.source}
}

// pairKey is a pair of kinds in the order of the table.
type pairKey struct {
	a, b    kind
	inGroup bool
}

// roomEntry is a line of the table with its limit made.
type roomEntry struct {
	room
	lim finding.Limit
}

var roomIndex = func() map[pairKey]*roomEntry {
	m := make(map[pairKey]*roomEntry, 2*len(rooms))
	for _, r := range rooms {
		e := &roomEntry{r, r.limit()}
		m[pairKey{r.a, r.b, r.inGroup}] = e
		m[pairKey{r.b, r.a, r.inGroup}] = e
	}
	return m
}()

// otherRoom is for pairs that the tables do not list.
var otherRoom = &roomEntry{room{least: 13}, finding.Limit{
	Name: "reach.other", Default: 13, Unit: "mm", Means: "between kinds of control that the tables do not list, edge to edge, bare hand",
	Source: trust.Source{Text: "as for most pairs of the tables", Provenance: trust.Practice, Confidence: trust.Low},
}}

// fingerRoom finds the line of the table for two kinds; inGroup asks for the closer spacing of one group, where the
// tables have one. The second result says whether the tables list the pair.
func fingerRoom(a, b kind, inGroup bool) (*roomEntry, bool) {
	if inGroup {
		if e, ok := roomIndex[pairKey{a, b, true}]; ok {
			return e, true
		}
	}
	if e, ok := roomIndex[pairKey{a, b, false}]; ok {
		return e, true
	}
	return otherRoom, false
}
