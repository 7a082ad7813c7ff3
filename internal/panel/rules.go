package panel

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

// HoleSlack is how much larger than its nominal size a hole may be when the part's record names no tolerance: a hole
// drilled by hand comes out large, never small.
var HoleSlack = finding.Limit{
	Name: "fit.hole-slack", Default: 0.3, Unit: "mm",
	Means:  "how much larger a hole may turn out when the part names no tolerance",
	Source: trust.Source{Text: "hand-drilled clearance to a nominal thread, 0.2 to 0.5 mm", Provenance: trust.Practice, Confidence: trust.Medium},
}

// ToolReach is how tall the tool stands round a nut.
var ToolReach = finding.Limit{
	Name: "fit.tool-reach", Default: 10, Unit: "mm",
	Means:  "how far the wall of a socket or spanner stands up from the sheet round a nut",
	Source: trust.Source{Text: "small socket or flat spanner", Provenance: trust.Practice, Confidence: trust.Low},
}

// WanderPress and WanderHand are how far a hole may land off its mark.
var (
	WanderPress = finding.Limit{
		Name: "drill.wander-press", Default: 0.2, Unit: "mm",
		Means:  "how far a hole may land off its mark with a drill press",
		Source: trust.Source{Text: "drill press, punched or piloted", Provenance: trust.Memory, Confidence: trust.Low},
	}
	WanderHand = finding.Limit{
		Name: "drill.wander-hand", Default: 0.5, Unit: "mm",
		Means:  "how far a hole may land off its mark with a hand drill, punched and piloted",
		Source: trust.Source{Text: "hand drill, punched and piloted, 0.3 to 0.5 mm", Provenance: trust.Memory, Confidence: trust.Low},
	}
)

// Usual are the limits that belong to no single rule: several trades reckon with them.
var Usual = []finding.Limit{HoleSlack, ToolReach, WanderPress, WanderHand}

// The rules of placing.
var (
	ruleUnfinished = finding.Rule{
		Name: "place.unfinished", Severity: finding.Note, Title: "what is still missing",
		Explain: "A control without a part or without a place, a face without a size, a rib without a height: the file is welcome " +
			"as it is, and all else is checked. What is missing takes no room yet, so nothing can meet it.",
	}
	ruleNoEffect = finding.Rule{
		Name: "place.no-effect", Severity: finding.Note, Title: "values that do nothing where they stand",
		Explain: "A value stands in the file where nothing reads it: a width beside rack units, a count without names, a knob on a " +
			"button. Take it out, or put it where it was meant to be.",
	}
	ruleUnknownPart = finding.Rule{
		Name: "place.unknown-part", Severity: finding.Stop, Title: "parts that are in no catalogue",
		Explain: "The part is neither in the built-in catalogue nor in your own. Choose one by `knobwright parts`, or write a record " +
			"of your own and name its file under catalogue:.",
	}
	ruleUnknownSheet = finding.Rule{
		Name: "place.unknown-sheet", Severity: finding.Stop, Title: "sheets that are in no catalogue",
		Explain: "The sheet decides thickness, drilling and the least web. Choose one of the catalogue, or write a record of your own.",
	}
	ruleUnknownCovering = finding.Rule{
		Name: "place.unknown-covering", Severity: finding.Stop, Title: "coverings that are in no catalogue",
		Explain: "The covering adds to the stack and may narrow the holes. Choose one of the catalogue, or write a record of your own.",
	}
	ruleUnknownBits = finding.Rule{
		Name: "place.unknown-bits", Severity: finding.Stop, Title: "bit sets that are in no catalogue",
		Explain: "The drilling plan uses only bits that you own. Name a set of the catalogue, or list sizes: {kind: twist, sizes: [3, 5, 7]}.",
	}
	ruleUnknownScrew = finding.Rule{
		Name: "place.unknown-screw", Severity: finding.Stop, Title: "screws without a known clearance hole",
		Explain: "Clearance holes are taken from ISO 273 for metric screws and from US practice for numbered ones. Name the screw as " +
			"M3, M4 or #6, or make the hole an opening of its own under holes:.",
	}
	ruleUnknownName = finding.Rule{
		Name: "place.unknown-name", Severity: finding.Stop, Title: "names that nothing bears",
		Explain: "A mirror or a copy, or a change to one member of a group, names a control that is not there.",
	}
	ruleDuplicate = finding.Rule{
		Name: "place.duplicate", Severity: finding.Stop, Title: "two controls of one name",
		Explain: "After rows, grids, mirrors and copies are laid out, two controls bear one name. Lists, templates and wiring go by " +
			"name, so only the first one is placed. Rename one of them, or give the mirror or copy another suffix.",
	}
	ruleGroup = finding.Rule{
		Name: "place.group", Severity: finding.Stop, Title: "groups that cannot be laid out",
		Explain: "A group is one row, column, grid, arc, mirror or copy. It needs a step or an end, and a count when names: counts its " +
			"members. At most 5000 controls are placed.",
	}
	ruleCycle = finding.Rule{
		Name: "place.cycle", Severity: finding.Stop, Title: "mirrors and copies of themselves",
		Explain: "A mirror or copy may be made of other mirrors and copies, but not, by any way round, of itself.",
	}
	ruleOffSheet = finding.Rule{
		Name: "place.off-sheet", Severity: finding.Stop, Title: "holes that leave the sheet",
		Explain: "A hole lies wholly or partly off the face, so it cannot be drilled. Move it in, or enlarge the face.",
	}
	ruleBadSize = finding.Rule{
		Name: "place.bad-size", Severity: finding.Stop, Title: "sizes that cannot be",
		Explain: "A size is zero, negative, or far beyond a panel: a face over 3 m, a sheet of no thickness, a rib outside the face. " +
			"Often a unit is missing or a digit too many. What has such a size is left out of the checks.",
	}
	ruleSizesMissing = finding.Rule{
		Name: "box.sizes-missing", Severity: finding.Note, Title: "sizes that would settle the box",
		Explain: "A box is settled by a few sizes: heights, slope, depth behind the face, size outside. Give as many as the finding asks " +
			"for, whichever you know; the others follow. Until then nothing behind the face is checked.",
	}
	ruleSizesDisagree = finding.Rule{
		Name: "box.sizes-disagree", Severity: finding.Stop, Title: "sizes of the box that contradict each other",
		Explain: "More sizes are given than settle the box, and they do not agree: with this face and this slope, the box cannot be as high " +
			"behind as the file says. Change one of them or take it out. The rest is checked without the one that does not fit.",
	}
	ruleImpossible = finding.Rule{
		Name: "box.impossible", Severity: finding.Stop, Title: "boxes that cannot be",
		Explain: "The sizes make no box: a face as steep as a wall, nothing left of the front, walls that leave no room between them, a rib " +
			"that runs into a ledge. What cannot be is left out, and the rest is checked as far as it goes.",
	}
	ruleNoEntry = finding.Rule{
		Name: "box.no-entry", Severity: finding.Stop, Title: "boards that cannot be put in",
		Explain: "A base that is let in between walls has to go in: where the walls lean over it, or the base leans too much for its " +
			"thickness, there is no way. Lay it under the walls, or make it thinner.",
	}
	ruleNoBoard = finding.Rule{
		Name: "box.no-board", Severity: finding.Stop, Title: "controls on boards that the box does not have",
		Explain: "A control or an opening names a board under on: that this form of box has not: an upper face without two slopes, a front " +
			"on a rack, a hand rest on a flat box. It takes no room until it has a board.",
	}
	ruleEmergency = finding.Rule{
		Name: "safety.emergency-stop", Severity: finding.Stop, Title: "controls that look like an emergency stop",
		Explain: "A button that sends a message to a computer is an input device, not a safety function. An emergency stop acts by " +
			"itself, by contacts that are forced open, in the power of the machine (ISO 13850, IEC 60204-1). Somebody will " +
			"trust the label in an emergency. Name it by what it does: HALT CUES, PAUSE. This cannot be kept or switched off.",
	}
	ruleMains = finding.Rule{
		Name: "safety.mains", Severity: finding.Stop, Title: "mains, or more than 60 V DC or 25 V AC",
		Explain: "Knobwright plans USB-powered extra-low-voltage panels. Above 60 V DC or 25 V AC other distances, parts, earthing and " +
			"tests are needed, and a licensed electrician. Keep mains outside the panel, behind a relay box made for it. This " +
			"cannot be kept or switched off. Where only a name or a legend has the word, it may be a curtain: that is a warning.",
	}
)

// Rules are the rules of this package.
var Rules = []finding.Rule{
	ruleUnfinished, ruleNoEffect, ruleUnknownPart, ruleUnknownSheet, ruleUnknownCovering, ruleUnknownBits, ruleUnknownScrew,
	ruleUnknownName, ruleDuplicate, ruleGroup, ruleCycle, ruleOffSheet, ruleBadSize,
	ruleSizesMissing, ruleSizesDisagree, ruleImpossible, ruleNoEntry, ruleNoBoard, ruleEmergency, ruleMains,
}
