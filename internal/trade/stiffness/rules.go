package stiffness

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

func practice(text string, c trust.Confidence) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: c}
}

// The limits of this package.
var (
	limSpringy = finding.Limit{
		Name: "press.springy", Default: 0.5, Unit: "mm", Means: "most that the face gives under a firm thumb",
		Source: practice("a judgement: half a millimetre is seen and felt as soft", trust.Low),
	}
	limSolid = finding.Limit{
		Name: "press.solid", Default: 0.2, Unit: "mm", Means: "give under a firm thumb below which a face feels solid",
		Source: practice("a judgement: two tenths are hardly felt", trust.Low),
	}
	limThumb = finding.Limit{
		Name: "press.thumb", Default: 30, Unit: "N", Means: "push of a firm thumb",
		Source: practice("three to ten times what buttons need; a thumb can give more than 70 N", trust.Low),
	}
	limSlip = finding.Limit{
		Name: "press.slip", Default: 80, Unit: "N", Means: "push of a hand that slips onto a control",
		Source: practice("part of the weight of an arm that leans", trust.Low),
	}
	limFactor = finding.Limit{
		Name: "press.factor", Default: 2, Unit: "x", Means: "how many times the sheet must bear what a slip does to it beside an opening",
		Source: practice("stress is reckoned to a fifth, strength of sheets scatters, edges from a drill have nicks", trust.Low),
	}
	limRibWidth = finding.Limit{
		Name: "press.rib-width", Default: 0, Unit: "mm", Means: "thickness of the rib stock; 0 = as thick as the walls, or 9 mm",
		Source: practice("offcuts of the walls", trust.Low),
	}
	limRibHeight = finding.Limit{
		Name: "press.rib-height", Default: 20, Unit: "mm", Means: "height of the rib stock behind the sheet",
		Source: practice("a strip that is still easily sawn and clamped", trust.Low),
	}
	limRibAir = finding.Limit{
		Name: "press.rib-air", Default: 2, Unit: "mm", Means: "air between a proposed rib and openings, bodies, tool room, boards",
		Source: practice("a strip is glued by eye to a millimetre", trust.Low),
	}
	limRibEnds = finding.Limit{
		Name: "press.rib-ends", Default: 3, Unit: "mm", Means: "air between the ends of a proposed rib and walls or ledges, so that the face drops in",
		Source: practice("glued by eye, and the face must still go on and come off", trust.Low),
	}
	limRibs = finding.Limit{
		Name: "press.ribs", Default: 3, Means: "most ribs that are proposed for one face; 0 = propose none",
		Source: practice("more than three want another sheet", trust.Low),
	}
)

var (
	ruleSpringy = finding.Rule{
		Name: "press.springy", Severity: finding.Warn, Title: "controls under which the face gives",
		Explain: "A large or thin face bends when a control is pressed hard: the press feels soft, neighbours move along, the sheet may rattle. How far it " +
			"gives is reckoned from the sheet, its openings, what holds it and its ribs, for a firm thumb on the rim of each control. A thicker sheet " +
			"helps most (twice as thick is eight times as stiff), a glued rib beside the controls nearly as much, glue instead of screws a little. " +
			"`knobwright press` lists every control and proposes ribs.",
		Limits: []finding.Limit{limSpringy, limSolid, limThumb, limRibWidth, limRibHeight, limRibAir, limRibEnds, limRibs},
	}
	ruleStress = finding.Rule{
		Name: "press.stress", Severity: finding.Warn, Title: "sheets that may crack beside an opening",
		Explain: "When a hand slips and leans on a control, the sheet is pulled hardest along the edge of an opening. The pull there is held against the " +
			"strength of the material. It is good to a fifth, and not at all at a sharp inner corner, where any sheet cracks sooner: round such " +
			"corners. Sand the edges of acrylic; cracks start from nicks.",
		Limits: []finding.Limit{limSlip, limFactor},
	}
	ruleLoose = finding.Rule{
		Name: "press.loose", Severity: finding.Warn, Title: "faces that can tip or move",
		Explain: "What holds the face leaves it free to move without bending: a single wall, two screws in a line, nothing at all. Until something more holds " +
			"it, nothing can be said of how far it gives. Give it walls under more sides, a ledge, or a screw away from the others.",
	}
	ruleUnknown = finding.Rule{
		Name: "press.unknown", Severity: finding.Note, Title: "faces whose give cannot be reckoned",
		Explain: "The give of the face cannot be worked out: openings leave nothing of the sheet, numbers lie too far apart, the material is not in the table, or " +
			"the file does not say yet what holds the face. Everything else is checked.",
	}
)

var ruleUnsure = finding.Rule{
	Name: "press.unsure", Severity: finding.Note, Title: "places where the give is less sure",
	Explain: "Openings that cut the face into parts leave each part to be held by itself. A slit that is thinner than the cells of the sum, and lies " +
		"aslant, is taken a little too stiff or too soft. A rib that passes over an opening is left out there.",
}

// Rules are the rules of this package.
var Rules = []finding.Rule{ruleSpringy, ruleStress, ruleLoose, ruleUnknown, ruleUnsure}
