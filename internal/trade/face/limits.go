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
		practice("parts of one class differ by about half a millimetre", trust.Low))
	limKnobLift = mm("reach.knob-lift", 0.5, "air between the underside of a knob and the face",
		practice("a knob that touches the face scratches it", trust.Low))
	limEdge = mm("reach.edge", 2, "from a front part to the edge of the face",
		practice("a bezel at the very edge gets knocked", trust.Low))
	limFrame = mm("reach.frame", 1, "from the head of a fixing screw to a front part",
		practice("a screw sits up to a millimetre off centre", trust.Low))
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
		practice("an edge is trimmed and rounded by about a millimetre", trust.Low))
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
		practice("nothing bare may touch the base", trust.Low))
	limNutGap = mm("fit.nut-gap", 0.5, "air round a nut and its washer",
		practice("a washer sits half a millimetre off centre", trust.Low))
	limScrewWood = mm("fit.screw-wood", 2, "wood beside a fixing screw",
		practice("thin wood splits beside a screw", trust.Low))
	limShank = mm("fit.screw-gap", 1, "air between a fixing screw behind the face and a body",
		practice("a screw leans by about a millimetre", trust.Low))
	limShankLength = mm("fit.screw-length", 16, "how far a fixing screw goes behind the sheet",
		practice("a screw holds in four of its diameters of wood and more", trust.Low))
	limOpening = mm("fit.opening-room", 10, "free way behind an opening, for a cable to turn or for air",
		practice("a cable of 5 mm turns within twice its thickness", trust.Low))
	limThreads = finding.Limit{Name: "fit.threads", Default: 1.5, Unit: "", Means: "threads that show behind the nut",
		Source: practice("one and a half threads show beyond a tight nut", trust.Medium)}
	limProud = mm("fit.proud", 4, "thread that stands proud of a nut in front",
		practice("much thread in front lifts a knob, and looks unfinished", trust.Low))
	limHide = mm("fit.bezel-cover", 0.3, "how far a bezel lies over the edge of its hole, beside what the drill wanders",
		practice("a bezel hides a hole that is up to a millimetre too large", trust.Medium))
	limCorner = mm("sheet.corner-radius", 1, "radius in the corners of a square opening in brittle sheet",
		practice("a drilled corner hole of 2 mm or more stops a crack", trust.Medium))
	limTabWeb = mm("sheet.anti-turn-web", 0.8, "sheet between a hole and its own anti-turn hole",
		practice("a thinner wall breaks out", trust.Low))
	limBlind = mm("sheet.blind-left", 0.8, "sheet left in front of a blind hole",
		practice("the point of the bit comes through less", trust.Low))
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

// sources say where each number of a kind of sheet comes from.
type sources struct {
	web                  trust.Source // all three numbers between holes
	least, good          trust.Source // rim of a hole to the edge
	diameters, fixingDia trust.Source // middle of a hole to the edge, in diameters
}

// newStock makes the limits of one kind of sheet: sheet.web-acrylic and so on. Zero factors are out of use.
func newStock(kind, say string, brittle bool, webLeast, webGood, webThick, edgeLeast, edgeGood, edgeDia, fixingDia float64, src sources, why string) stock {
	return stock{
		kind: kind, say: say, brittle: brittle, why: why,
		webLeast:  mm("sheet.web-"+kind, webLeast, "sheet between two holes in "+say+", at the very least", src.web),
		webGood:   mm("sheet.web-"+kind+"-good", webGood, "sheet between two holes in "+say, src.web),
		webThick:  factor("sheet.web-"+kind+"-thick", webThick, "sheet between two holes in "+say+", in thicknesses", src.web),
		edgeLeast: mm("sheet.edge-"+kind, edgeLeast, "sheet from a hole to the edge in "+say+", at the very least", src.least),
		edgeGood:  mm("sheet.edge-"+kind+"-good", edgeGood, "sheet from a hole to the edge in "+say, src.good),
		edgeDia:   factor("sheet.edge-"+kind+"-dia", edgeDia, "from the middle of a hole to the edge in "+say+", in diameters", src.diameters),
		fixingDia: factor("sheet.edge-"+kind+"-fixing", fixingDia, "from the middle of a fixing hole to the edge in "+say+", in diameters", src.fixingDia),
	}
}

var (
	asWeb     = practice("as much is kept as between two holes at the very least", trust.Low)
	screwDia  = practice("two diameters are kept from a screw to an edge", trust.Low)
	metalRim  = practice("half of what is good between two holes is the least", trust.Low)
	metalSide = practice("as much is kept as between two holes", trust.Low)
	aluRule   = trust.Source{Text: "structural repair rule, 2 diameters for fastened holes", Provenance: trust.Seen, Confidence: trust.Medium}
	polyRule  = trust.Source{Text: "polycarbonate fabrication guides, 1.5 to 2 diameters", Provenance: trust.Seen, Confidence: trust.Medium}
	ten       = practice("10 mm are kept from a hole to the edge of plywood or MDF", trust.Low)
)

// stocks are the kinds of sheet. The first serves for kinds that are not listed: it asks for most.
var stocks = []stock{
	newStock("acrylic", "acrylic", true, 3, 4, 1, 3, 3, 1.5, 1.5,
		sources{
			web:   trust.Source{Text: "3 to 4 mm are left between control holes in acrylic", Provenance: trust.Memory, Confidence: trust.Low},
			least: practice("makers keep half a diameter and 3 mm from the middle of a hole to the edge", trust.Low), good: practice("makers keep half a diameter and 3 mm from the middle of a hole to the edge", trust.Low),
			diameters: practice("1.5 diameters are asked for loaded holes in acrylic; control holes carry less", trust.Low), fixingDia: practice("1.5 diameters are asked for loaded holes in acrylic", trust.Medium),
		}, "Acrylic cracks from hole to hole when the bit grabs or a nut is pulled tight."),
	newStock("polycarbonate", "polycarbonate", true, 2, 3, 1, 2, 2, 1.5, 2,
		sources{web: practice("it is kept as in acrylic, or a little less: it is tougher", trust.Low), least: asWeb, good: asWeb, diameters: polyRule, fixingDia: polyRule},
		"Polycarbonate is tough, but a chipped edge starts a crack."),
	newStock("abs", "ABS", false, 2, 3, 1, 2, 2, 1, 1.5,
		sources{web: practice("it is kept as in polycarbonate", trust.Low), least: asWeb, good: asWeb, diameters: practice("one diameter is kept", trust.Low), fixingDia: practice("it is kept as in acrylic", trust.Low)},
		"A thin web in ABS softens and tears while drilling."),
	newStock("plywood", "plywood", false, 3, 5, 1, 3, 10, 0, 2,
		sources{web: practice("one thickness, and 5 mm at least, is kept; with a backing board 3 mm hold", trust.Low), least: asWeb, good: ten, diameters: ten, fixingDia: screwDia},
		"Short grain between two holes breaks out."),
	newStock("mdf", "MDF", false, 4, 5, 1, 4, 10, 0, 2,
		sources{web: practice("one thickness, and 5 mm at least, is kept; with a backing board 4 mm hold", trust.Low), least: asWeb, good: ten, diameters: ten, fixingDia: screwDia},
		"MDF has no grain to hold a thin web together."),
	newStock("hardboard", "hardboard", false, 3, 5, 1, 3, 8, 0, 2,
		sources{web: practice("it is kept as in plywood", trust.Low), least: asWeb, good: practice("it is kept as in plywood, or a little less", trust.Low), diameters: ten, fixingDia: screwDia},
		"Hardboard frays, and a thin web crumbles."),
	newStock("aluminium", "aluminium", false, 1, 2, 1, 1, 2, 0, 2,
		sources{web: practice("2 mm or one thickness is kept; with sharp bits half of it holds", trust.Low), least: metalRim, good: metalSide, diameters: aluRule, fixingDia: aluRule},
		"A thin web of aluminium bends under the step drill, and the holes run into each other."),
	newStock("steel", "steel", false, 1, 2, 1, 1, 2, 0, 2,
		sources{web: practice("it is kept as in aluminium", trust.Low), least: metalRim, good: metalSide, diameters: aluRule, fixingDia: aluRule},
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
