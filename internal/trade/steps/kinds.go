package steps

import "knobwright/internal/trust"

// Kind is work of one kind and how long one piece of it takes.
type Kind struct {
	Name    string // under work.minutes
	Minutes float64
	Means   string
}

// Kinds are the kinds of work, in the order of the list in the guide. The minutes are common practice, confidence low: of a person who has
// done it a few times, with tools at hand. The minutes of wires come from the harness, by its own count.
var Kinds = []Kind{
	{"check-kind", 1.5, "check one kind of part against the list"},
	{"measure-part", 4, "measure one kind of part with calipers"},
	{"print-sheet", 2, "print a sheet, measure its bars"},
	{"test-hole", 5, "a hole in scrap, measured, the part tried in it"},
	{"test-cut", 10, "set the saw, cut scrap, try the joint"},
	{"cut-face", 25, "cut a face to size and square"},
	{"cut-board", 10, "cut one board of the box"},
	{"cut-batten", 4, "cut one batten to length"},
	{"joint-edge", 8, "cut the joint on one edge"},
	{"template", 12, "tape or glue a template on"},
	{"centre", 0.5, "punch or prick one centre"},
	{"drill-pilot", 1, "one pilot hole"},
	{"drill-hole", 1.5, "one hole with a twist bit"},
	{"drill-step", 2, "open one hole on the step drill"},
	{"drill-saw", 5, "one hole with a hole saw, Forstner or spade bit"},
	{"drill-chain", 0.8, "one hole of a chain"},
	{"drill-file", 10, "saw or file one opening to shape"},
	{"drill-by-hand", 0.5, "more for each of these with a hand drill"},
	{"change-bit", 2, "change the bit, set the speed"},
	{"deburr-hole", 0.7, "take the burr off one opening, both sides"},
	{"try-part", 1, "put one part into its hole"},
	{"prepare-face", 15, "take off masking film, degrease or sand a face"},
	{"cover-face", 30, "lay film, card or laminate on a face"},
	{"trim-hole", 1, "trim the covering at one opening"},
	{"trim-edge", 12, "trim or turn over the edges"},
	{"coat", 20, "one coat on one thing, tools cleaned"},
	{"print-letters", 10, "print the lettering of a face"},
	{"legend", 1.5, "place one legend"},
	{"engrave", 4, "engrave one legend"},
	{"dry-fit", 20, "put the box together without glue, measure its diagonals"},
	{"glue-joint", 4, "spread glue on one joint and clamp it"},
	{"screw", 1.5, "pilot and drive one screw"},
	{"insert", 3, "drill for one insert and set it"},
	{"sand-board", 6, "sand one board of the box"},
	{"foot", 2, "put on one foot"},
	{"mount-control", 3, "mount one control, its nut to torque"},
	{"mount-board", 8, "mount one circuit board"},
	{"cable", 10, "lead in, relief fixed"},
	{"ring", 0.5, "one line of the continuity list"},
	{"power-line", 2, "one line of the first power-up"},
	{"flash", 10, "put the image on the module"},
	{"test-line", 1, "one line of the test sheet"},
	{"close", 8, "tie, look through, put the face on"},
}

// sourceMinutes says what the minutes are.
var sourceMinutes = trust.Source{Text: "a person who has done it a few times", Provenance: trust.Practice, Confidence: trust.Low}

// per gives the minutes of one piece of work.
func (m *maker) per(kind string) float64 {
	m.used[kind] = true
	if t, ok := m.work.Minutes[kind]; ok {
		return t.Minutes
	}
	for _, k := range Kinds {
		if k.Name == kind {
			return k.Minutes
		}
	}
	panic("steps: no kind " + kind) // a slip of this package; its tests name every kind
}
