package face

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

// practice is a number of the trade without a citable text.
func practice(text string, c trust.Confidence) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: c}
}

func mm(name string, v float64, means string, src trust.Source) finding.Limit {
	return finding.Limit{Name: name, Default: v, Unit: "mm", Means: means, Source: src}
}

func factor(name string, v float64, means string, src trust.Source) finding.Limit {
	return finding.Limit{Name: name, Default: v, Unit: "x", Means: means, Source: src}
}

// The limits of what fingers meet.
var (
	limGlove = mm("reach.glove", 8, "added to every finger room when the hand wears a glove",
		trust.Source{Text: "working rule for gloves, 5 to 10 mm; MIL-STD-1472E asks for more room but names no number", Provenance: trust.Memory, Confidence: trust.Low})
	limTight = mm("reach.tight", 3, "between the rims of neighbours when fingertips go between them",
		practice("round buttons at the closest pitch their ring nuts allow leave 1 to 3 mm", trust.Medium))
	limTouch = mm("reach.touch", 0.5, "air between front parts, so that one part can be mounted beside the other",
		practice("what parts of one class differ by", trust.Low))
	limKnobLift = mm("reach.knob-lift", 0.5, "air between the underside of a knob and the face",
		practice("so that a knob does not scratch", trust.Low))
	limEdge = mm("reach.edge", 2, "from a front part to the edge of the face",
		practice("so that a bezel is not knocked", trust.Low))
	limFrame = mm("reach.frame", 1, "from the head of a fixing screw to a front part",
		practice("so that the screw can sit off centre", trust.Low))
)

// The limits of lettering.
var (
	limArc = finding.Limit{Name: "legend.arc", Default: 16, Unit: "min of arc", Means: "height of a capital letter as the eye sees it",
		Source: trust.Source{Text: "MIL-STD-1472E, 16 minutes of arc", Provenance: trust.Seen, Confidence: trust.Medium}}
	limLeastCap = mm("legend.least", 1.8, "height of the smallest capital that can be printed or cut cleanly",
		trust.Source{Text: "ISO 3098, smallest lettering height", Provenance: trust.Memory, Confidence: trust.High})
	limLetterGap = mm("legend.gap", 0.5, "between letters and other letters or a hole",
		practice("a print lands within half a millimetre of its mark", trust.Low))
	limLetterEdge = mm("legend.edge", 1, "from letters to the edge of the face",
		practice("for trimming and rounding the edge", trust.Low))
)

// The limits of what stands behind the face.
var (
	limBodyGap = mm("fit.body-gap", 2, "air between two bodies behind the face",
		practice("2 to 3 mm is usual", trust.Medium))
	limRibGap = mm("fit.rib-gap", 2, "air between a body and a rib, wall, ledge or block",
		practice("2 to 3 mm is usual", trust.Medium))
	limModuleGap = mm("fit.module-gap", 2, "air between a body and the module",
		practice("2 to 3 mm is usual", trust.Medium))
	limDepthGap = mm("fit.depth-gap", 2, "air between the deepest lug and the base",
		practice("so that nothing bare touches the base", trust.Low))
	limNutGap = mm("fit.nut-gap", 0.5, "air round a nut and its washer",
		practice("what a washer sits off centre", trust.Low))
	limScrewWood = mm("fit.screw-wood", 2, "wood beside a fixing screw",
		practice("so that it does not split", trust.Low))
	limShank = mm("fit.screw-gap", 1, "air between a fixing screw behind the face and a body",
		practice("what a screw leans", trust.Low))
	limShankLength = mm("fit.screw-length", 16, "how far a fixing screw goes behind the sheet",
		practice("four screw diameters of wood and more", trust.Low))
	limOpening = mm("fit.opening-room", 10, "free way behind an opening, for a cable to turn or for air",
		practice("a cable of 5 mm turns within twice its thickness", trust.Low))
	limThreads = finding.Limit{Name: "fit.threads", Default: 1.5, Unit: "", Means: "threads that show behind the nut",
		Source: practice("one and a half threads beyond a tight nut", trust.Medium)}
	limProud = mm("fit.proud", 4, "thread that stands proud of a nut in front",
		practice("so that a knob comes down over the nut", trust.Low))
	limHide = mm("fit.bezel-cover", 0.3, "how far a bezel lies over the edge of its hole, beside what the drill wanders",
		practice("a bezel hides a hole that is up to a millimetre too large", trust.Medium))
	limCorner = mm("sheet.corner-radius", 1, "radius in the corners of a square opening in brittle sheet",
		practice("a drilled corner hole of 2 mm or more stops a crack", trust.Medium))
	limTabWeb = mm("sheet.anti-turn-web", 0.8, "sheet between a hole and its own anti-turn hole",
		practice("so that it does not break out", trust.Low))
	limBlind = mm("sheet.blind-left", 0.8, "sheet left in front of a blind hole",
		practice("so that the point of the bit does not come through", trust.Low))
)

// stock says how much of a sheet of one kind must stay between holes and beside them.
type stock struct {
	kind               string
	say                string // the kind in a sentence
	webLeast, webGood  finding.Limit
	webThick           finding.Limit // good web as a multiple of the thickness
	edgeLeast          finding.Limit // rim of the hole to the edge
	edgeGood           finding.Limit // rim of the hole to the edge
	edgeDia, fixingDia finding.Limit // middle of the hole to the edge as a multiple of its diameter
	brittle            bool
	why                string
}

// newStock makes the limits of one kind of sheet: sheet.web-acrylic and so on. Zero factors are out of use.
func newStock(kind, say string, brittle bool, webLeast, webGood, webThick, edgeLeast, edgeGood, edgeDia, fixingDia float64, web, edge trust.Source, why string) stock {
	return stock{
		kind: kind, say: say, brittle: brittle, why: why,
		webLeast:  mm("sheet.web-"+kind, webLeast, "sheet between two holes in "+say+", at the very least", web),
		webGood:   mm("sheet.web-"+kind+"-good", webGood, "sheet between two holes in "+say, web),
		webThick:  factor("sheet.web-"+kind+"-thick", webThick, "sheet between two holes in "+say+", in thicknesses", web),
		edgeLeast: mm("sheet.edge-"+kind, edgeLeast, "sheet from a hole to the edge in "+say+", at the very least", edge),
		edgeGood:  mm("sheet.edge-"+kind+"-good", edgeGood, "sheet from a hole to the edge in "+say, edge),
		edgeDia:   factor("sheet.edge-"+kind+"-dia", edgeDia, "from the middle of a hole to the edge in "+say+", in diameters", edge),
		fixingDia: factor("sheet.edge-"+kind+"-fixing", fixingDia, "from the middle of a fixing hole to the edge in "+say+", in diameters", edge),
	}
}

var (
	acrylicEdge = practice("1.5 diameters for loaded holes in acrylic, judged down for control holes", trust.Low)
	polyEdge    = trust.Source{Text: "polycarbonate fabrication guides, 1.5 to 2 diameters", Provenance: trust.Seen, Confidence: trust.Medium}
	aluEdge     = trust.Source{Text: "structural repair rule, 2 diameters for fastened holes", Provenance: trust.Seen, Confidence: trust.Medium}
	woodEdge    = practice("10 mm from a hole to the edge of plywood or MDF", trust.Low)
)

// stocks are the kinds of sheet. The first serves for kinds that are not listed: it asks for most.
var stocks = []stock{
	newStock("acrylic", "acrylic", true, 3, 4, 1, 3, 3, 1.5, 1.5,
		trust.Source{Text: "3 to 4 mm between control holes in acrylic", Provenance: trust.Memory, Confidence: trust.Low}, acrylicEdge,
		"Acrylic cracks from hole to hole when the bit grabs or a nut is pulled tight."),
	newStock("polycarbonate", "polycarbonate", true, 2, 3, 1, 2, 2, 1.5, 2,
		practice("as acrylic, but tougher", trust.Low), polyEdge,
		"Polycarbonate is tough, but a chipped edge starts a crack."),
	newStock("abs", "ABS", false, 2, 3, 1, 2, 2, 1, 1.5,
		practice("as polycarbonate", trust.Low), practice("one diameter", trust.Low),
		"A thin web in ABS softens and tears while drilling."),
	newStock("plywood", "plywood", false, 3, 5, 1, 3, 10, 0, 2,
		practice("one thickness, and 5 mm at least", trust.Low), woodEdge,
		"Short grain between two holes breaks out."),
	newStock("mdf", "MDF", false, 4, 5, 1, 4, 10, 0, 2,
		practice("one thickness, and 5 mm at least", trust.Low), woodEdge,
		"MDF has no grain to hold a thin web together."),
	newStock("hardboard", "hardboard", false, 3, 5, 1, 3, 8, 0, 2,
		practice("as plywood", trust.Low), practice("as plywood, a little less", trust.Low),
		"Hardboard frays, and a thin web crumbles."),
	newStock("aluminium", "aluminium", false, 1, 2, 1, 1, 2, 0, 2,
		practice("2 mm or one thickness", trust.Low), aluEdge,
		"A thin web of aluminium bends under the step drill, and the holes run into each other."),
	newStock("steel", "steel", false, 1, 2, 1, 1, 2, 0, 2,
		practice("as aluminium", trust.Low), aluEdge,
		"A thin web of steel bends under the step drill, and the holes run into each other."),
}

// stockOf finds the kind of a sheet.
func stockOf(kind string) *stock {
	for i := range stocks {
		if stocks[i].kind == kind {
			return &stocks[i]
		}
	}
	return &stocks[0]
}
