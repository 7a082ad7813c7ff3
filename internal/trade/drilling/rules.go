package drilling

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

func practice(text string, c trust.Confidence) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: c}
}

// The numbers that decide how an opening is made. Diameters and lengths in mm.
var (
	limTwistPlastic = finding.Limit{
		Name: "drill.twist-plastic", Default: 10, Unit: "mm", Means: "largest twist bit that is preferred in plastics",
		Source: practice("larger twist bits grab and crack plastic sheet", trust.Medium),
	}
	limTwistMetal = finding.Limit{
		Name: "drill.twist-metal", Default: 13, Unit: "mm", Means: "largest twist bit that is preferred in metal",
		Source: practice("the usual chuck of a home drill", trust.Medium),
	}
	limBradLeast = finding.Limit{
		Name: "drill.brad-least", Default: 3, Unit: "mm", Means: "smallest brad-point bit that is preferred in wood",
		Source: practice("twist below 3 mm, brad-point 3 to 13 mm, Forstner above", trust.High),
	}
	limBradMost = finding.Limit{
		Name: "drill.brad-most", Default: 13, Unit: "mm", Means: "largest brad-point bit that is preferred in wood",
		Source: practice("twist below 3 mm, brad-point 3 to 13 mm, Forstner above", trust.High),
	}
	limSawLeast = finding.Limit{
		Name: "drill.saw-least", Default: 20, Unit: "mm", Means: "smallest hole for which a hole saw is preferred",
		Source: practice("smaller hole saws wander and clog", trust.Medium),
	}
	limWoodBits = finding.Limit{
		Name: "drill.wood-bits-in-plastic", Default: 0, Unit: "", Means: "1 lets the plan use Forstner and spade bits in plastics",
		Source: practice("flat-edged wood bits grab plastics", trust.Medium),
	}
	limFileMost = finding.Limit{
		Name: "drill.file-most", Default: 0.5, Unit: "mm", Means: "most that is sensible to file off a round hole, on the radius",
		Source: practice("more than that is seldom still round", trust.Low),
	}
	limClearOver = finding.Limit{
		Name: "drill.clearance-over", Default: 0.4, Unit: "mm", Means: "how much larger than its window the hole of a screw or an anti-turn tab may be when no bit is inside",
		Source: practice("the head or the bezel hides it, and the screw still holds", trust.Low),
	}
	limFileShape = finding.Limit{
		Name: "drill.file-shape", Default: 3, Unit: "mm", Means: "most that is filed out beside a drilled hole to make a flatted one",
		Source: practice("an evening with a half-round file", trust.Low),
	}
	limFileLeave = finding.Limit{
		Name: "drill.file-leave", Default: 0.5, Unit: "mm", Means: "what chain-drilling and sawing leave inside the line for the file",
		Source: practice("half a millimetre for the file", trust.Medium),
	}
	limChainWeb = finding.Limit{
		Name: "drill.chain-web", Default: 1, Unit: "mm", Means: "sheet left between the holes of a chain",
		Source: practice("so that the bit does not run into the last hole", trust.Medium),
	}
	limChainLongest = finding.Limit{
		Name: "drill.chain-longest", Default: 120, Unit: "mm", Means: "longest edge that is chain-drilled; longer ones are sawn from corner holes",
		Source: practice("beyond some twenty holes a coping saw is quicker", trust.Low),
	}
	limPilot = finding.Limit{
		Name: "drill.pilot", Default: 3, Unit: "mm", Means: "pilot hole",
		Source: practice("2 to 3 mm pilot, 1/8 in", trust.Medium),
	}
	limPilotAbove = finding.Limit{
		Name: "drill.pilot-above", Default: 6, Unit: "mm", Means: "holes larger than this are piloted",
		Source: practice("a pilot halves the wander", trust.Medium),
	}
	limStepUp = finding.Limit{
		Name: "drill.step-up-above", Default: 8, Unit: "mm", Means: "twist holes in metal larger than this get a bit in between",
		Source: practice("a large bit on a small pilot chatters and grabs", trust.Medium),
	}
	limStepHeight = finding.Limit{
		Name: "drill.step-height", Default: 4, Unit: "mm", Means: "height of one step of a step drill when its record names none",
		Source: practice("step drills for sheet, 3 to 6 mm a step", trust.Low),
	}
	limHoldHand = finding.Limit{
		Name: "drill.hold-hand", Default: 0.2, Unit: "mm", Means: "how closely a hand drill holds the size of a hole",
		Source: practice("a hand-held bit cuts 0.1 to 0.2 mm over its name", trust.Low),
	}
	limHoldPress = finding.Limit{
		Name: "drill.hold-press", Default: 0.1, Unit: "mm", Means: "how closely a drill press holds the size of a hole",
		Source: practice("a bit in a drill press cuts up to 0.1 mm over its name", trust.Low),
	}
	limTight = finding.Limit{
		Name: "drill.tight", Default: 0.3, Unit: "mm", Means: "room in size below which a hole is first tried in scrap",
		Source: practice("one trial hole costs a minute, a face costs a day", trust.Medium),
	}
	limBlindLeft = finding.Limit{
		Name: "drill.blind-left", Default: 0.5, Unit: "mm", Means: "sheet left under the tip of the bit at a blind hole",
		Source: practice("thinner shows through the front", trust.Low),
	}
	limRPMMost = finding.Limit{
		Name: "drill.rpm-most", Default: 3000, Unit: "rpm", Means: "fastest that your drill turns",
		Source: practice("a usual home drill or bench drill press", trust.Medium),
	}
	limRPMLeast = finding.Limit{
		Name: "drill.rpm-least", Default: 200, Unit: "rpm", Means: "slowest that your drill turns with force",
		Source: practice("a usual home drill or bench drill press", trust.Low),
	}
	limRow = finding.Limit{
		Name: "drill.row", Default: 5, Unit: "mm", Means: "how far holes may lie above one another and still count as one row in numbering",
		Source: practice("reading order on a template", trust.Low),
	}
)

var (
	ruleNoWay = finding.Rule{
		Name: "drill.no-way", Severity: finding.Stop, Title: "openings that nothing in the drawer makes",
		Explain: "No bit you own ends inside the allowed size, none is near enough below it to file the rest, and the opening is no " +
			"candidate for chain-drilling. A hole that is too small does not take the part; one that is too large lets it turn, " +
			"or lets a snap-in part fall through. Buy or borrow the size named, or raise the limit if your own way of working " +
			"allows more. The plan leaves such a hole out.",
		Limits: []finding.Limit{limTwistPlastic, limTwistMetal, limBradLeast, limBradMost, limSawLeast, limWoodBits},
	}
	ruleNoBit = finding.Rule{
		Name: "drill.no-bit", Severity: finding.Warn, Title: "openings whose size is in none of your bit sets",
		Explain: "The allowed size lies between two of your bits. The plan then takes the next smaller bit and files the rest, or " +
			"chain-drills round the line and files to it. Both work and both take time: a few tenths all round with a half-round " +
			"file, trying the part again and again. If the same size comes many times, the right bit is soon worth its price.",
		Limits: []finding.Limit{limFileMost, limClearOver},
	}
	ruleFile = finding.Rule{
		Name: "drill.file", Severity: finding.Note, Title: "openings that are filed to shape",
		Explain: "A drill makes round holes only. Flats, notches, slots and rectangles are drilled so that the drilled holes stay " +
			"inside the line everywhere, and the rest is sawn or filed out. A flatted hole is never drilled to its diameter: that " +
			"would take the flats away. Clamp the sheet low in the vice between two boards, file across the edge, never let the " +
			"file lift the masking film, and try the part early.",
		Limits: []finding.Limit{limFileLeave, limFileShape, limChainWeb, limChainLongest},
	}
	ruleStepThick = finding.Rule{
		Name: "drill.step-too-thick", Severity: finding.Warn, Title: "step drills in sheet thicker than one step",
		Explain: "Each step of a step drill cuts with its edge and then runs smooth for the height of the step. If the sheet is thicker " +
			"than that height, the next step begins to cut at the front before the wanted one is through at the back, and the hole " +
			"gets a shoulder. Up to twice the height the hole can be finished from the other face: drill as deep as one step, turn the sheet " +
			"over, and let the same step meet it. Thicker sheet wants a hole saw, a twist bit or a Forstner bit.",
		Limits: []finding.Limit{limStepHeight},
	}
	ruleTooTight = finding.Rule{
		Name: "drill.too-tight", Severity: finding.Warn, Title: "size windows closer than the drill holds",
		Explain: "Bits cut a little over their name, more so by hand than in a press. If the allowed size is closer than that, the hole may " +
			"come out too large however good the mark is. Drill one in scrap of the same sheet, measure it or try the part, and only " +
			"then drill the face; or take the next smaller bit and ease the hole with a file.",
		Limits: []finding.Limit{limHoldHand, limHoldPress, limTight},
	}
	rulePattern = finding.Rule{
		Name: "drill.pattern", Severity: finding.Note, Title: "screw holes that must meet a part",
		Explain: "Two screw holes of one part, or a screw hole and its main hole, must lie as far apart as on the part. If the drill wanders " +
			"more than the screw has room, the part will not go on. Drill one hole, hang the part in it and mark the others " +
			"through the part itself, or drill the screw holes a size larger under a washer.",
	}
	rulePilot = finding.Rule{
		Name: "drill.pilot", Severity: finding.Note, Title: "pilot holes",
		Explain: "A pilot of 2 to 3 mm goes where the mark is, and the larger bit follows it. In metal a large twist bit gets a bit in " +
			"between. Bits with a point of their own (brad-point, Forstner, spade) want no pilot: the point needs wood to stand in.",
		Limits: []finding.Limit{limPilot, limPilotAbove, limStepUp},
	}
	ruleBlind = finding.Rule{
		Name: "drill.blind", Severity: finding.Warn, Title: "holes that must not come through",
		Explain: "A hole for an anti-turn tab is drilled from the back and stops inside the sheet, so that nothing shows in front. The tip " +
			"of the bit goes deeper than the hole: about a third of the diameter with the usual point. If it leaves less than half a " +
			"millimetre, it shows or breaks through. Grind the tab shorter, or break it off and trust the nut.",
		Limits: []finding.Limit{limBlindLeft},
	}
	ruleSpeed = finding.Rule{
		Name: "drill.speed", Severity: finding.Note, Title: "speeds a home drill does not reach",
		Explain: "Large bits must turn slowly, or the rim runs too fast: plastic melts, steel turns blue, teeth burn. Metals are reckoned " +
			"from published surface speeds, n = 12 V / (pi D) with V in feet a minute and D in inches; plastics and wood from " +
			"published speeds. Step drills and hole saws run at half of that. If your drill does not go so slow, work in short " +
			"touches and let the bit cool.",
		Limits: []finding.Limit{limRPMMost, limRPMLeast},
	}
	ruleAssumed = finding.Rule{
		Name: "drill.bits-assumed", Severity: finding.Note, Title: "bits taken for granted",
		Explain: "The file does not say which bits are in the drawer, so the plan reckons with usual sets. Write yours under tools: bits: " +
			"and the plan uses only those.",
	}
	ruleSize = finding.Rule{
		Name: "drill.size", Severity: finding.Stop, Title: "openings whose size is no size",
		Explain: "The opening has no size, a size of zero or less, or one so far from a panel's that it must be a slip. It is left out of the " +
			"plan. The numbers of the other holes run row by row from the upper left, as one reads.",
		Limits: []finding.Limit{limRow},
	}
)

// Rules are the rules of drilling.
var Rules = []finding.Rule{
	ruleNoWay, ruleNoBit, ruleFile, ruleStepThick, ruleTooTight, rulePattern, rulePilot, ruleBlind, ruleSpeed, ruleAssumed, ruleSize,
}

// limit gives the number in force, kept inside lo..hi so that a slip in the file cannot make the plan endless.
func limit(l finding.Limits, lim finding.Limit, lo, hi float64) float64 {
	v := l.Value(lim)
	if math.IsNaN(v) {
		v = lim.Default
	}
	return min(max(v, lo), hi)
}
