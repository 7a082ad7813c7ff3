package face

import "knobwright/internal/finding"

// The rules of what fingers meet in front.
var (
	ruleNeighbours = finding.Rule{
		Name: "reach.neighbours", Severity: finding.Warn, Title: "finger room between controls",
		Explain: "A finger that works one control must not work its neighbour. The published tables give the least room for a bare " +
			"hand, by kind of control, from the edge of what the finger takes to the edge of the next: cap to cap, knob to knob, " +
			"lever to lever. Push buttons of one group are worked in turn or by different fingers and may sit closer, and so may " +
			"toggles. With hand: glove every room grows. With hand: tight only the rims are kept apart, for panels that are felt " +
			"for with fingertips; the tables do not promise anything then. Move one of the two, take a smaller knob, or say " +
			"which hand it is for.",
		Limits: neighbourLimits(),
	}
	ruleTouch = finding.Rule{
		Name: "reach.touch", Severity: finding.Stop, Title: "front parts that meet",
		Explain: "Two bezels want the same spot, a knob comes down on its neighbour's bezel, a lever swings into a knob: one of the two " +
			"cannot be mounted or cannot move. Heights count, so a large knob may reach over a low bezel when there is air between. " +
			"A knob that stands on the face scratches it and does not turn freely: lift it on its shaft. Nearly touching is a " +
			"warning, because parts of one class differ.",
		Limits: []finding.Limit{limTouch, limKnobLift},
	}
	ruleEdge = finding.Rule{
		Name: "reach.edge", Severity: finding.Warn, Title: "front parts at the edge of the face",
		Explain: "A bezel needs sheet under all of its rim: over the edge it does not seat, and the covering that is turned over the " +
			"edge gets pinched. A knob or a lever may hang over, but it is caught by sleeves and by the box it stands in.",
		Limits: []finding.Limit{limEdge},
	}
	ruleFrame = finding.Rule{
		Name: "reach.frame", Severity: finding.Stop, Title: "fixing screws against front parts",
		Explain: "The head of a fixing screw and a bezel cannot share a place, and a screw under a knob or behind a lever cannot be " +
			"reached with the driver. Think of the day when the face has to come off again.",
		Limits: []finding.Limit{limFrame},
	}
)

// neighbourLimits are the whole finger-room table as limits, then the hands.
func neighbourLimits() []finding.Limit {
	ls := make([]finding.Limit, 0, len(rooms)+3)
	for _, r := range rooms {
		ls = append(ls, r.limit())
	}
	return append(ls, otherRoom.lim, limGlove, limTight)
}

// The rules of lettering.
var (
	ruleLegendSize = finding.Rule{
		Name: "legend.size", Severity: finding.Warn, Title: "letters large enough to read",
		Explain: "A capital letter is read without effort when it fills 16 minutes of arc or more: 2.3 mm at half a metre, 3.3 mm at 70 " +
			"cm. The rule was written for labels on screens and serves here as a floor; in dim light take half as much again. " +
			"Below 1.8 mm neither a home printer nor a cutter makes clean letters, however close the eye.",
		Limits: []finding.Limit{limArc, limLeastCap},
	}
	ruleLegendHidden = finding.Rule{
		Name: "legend.hidden", Severity: finding.Warn, Title: "letters under a knob, a bezel or a lever",
		Explain: "A legend is lost when a bezel sits on it, and hard to read under the rim of a large knob or under a lever that is " +
			"thrown over it. Put it on another side of the control, farther away, or move the neighbour.",
	}
	ruleLegendOverlap = finding.Rule{
		Name: "legend.overlap", Severity: finding.Warn, Title: "letters that meet other letters or a hole",
		Explain: "Two legends run into each other, or a hole cuts through the letters. Shorten the text, use smaller letters, or put one " +
			"of them on another side. A print never lands exactly where it is drawn, so leave half a millimetre.",
		Limits: []finding.Limit{limLetterGap},
	}
	ruleLegendOff = finding.Rule{
		Name: "legend.off-sheet", Severity: finding.Stop, Title: "letters that leave the face",
		Explain: "Letters beyond the edge of the face are cut off, and letters close to it suffer when the edge is trimmed or rounded. " +
			"Put them on another side of the control, or make them shorter.",
		Limits: []finding.Limit{limLetterEdge},
	}
	ruleLegendGlyph = finding.Rule{
		Name: "legend.glyph", Severity: finding.Stop, Title: "characters that no typeface has",
		Explain: "The built-in typefaces have no shape for a character, so it cannot be printed or cut. Use a word or another sign. Letters of " +
			"scripts that only a stand-in has are drawn in coarse dots, and a note says so; right-to-left and joined scripts are set as they " +
			"are written.",
	}
)

// The rules of the sheet.
var (
	ruleWeb = finding.Rule{
		Name: "sheet.web", Severity: finding.Warn, Title: "sheet left between holes",
		Explain: "What is left between two holes has to stand the drilling and the pull of two nuts. What is measured takes both " +
			"holes at their largest and both off their marks towards each other; what a machine cuts is on its mark. Below the good " +
			"measure the web needs a fresh bit, a backing board and slow feed. Where even the drawing leaves less than the least, " +
			"the web will not survive: that is a stop. These numbers are practice, not standard: if your " +
			"stock does better, write your own under limits:.",
		Limits: webLimits(),
	}
	ruleSheetEdge = finding.Rule{
		Name: "sheet.edge", Severity: finding.Warn, Title: "sheet left beside a hole",
		Explain: "A hole too near the edge breaks out, at once under the bit or later under the nut. The old rule for acrylic asks for one " +
			"and a half diameters from the middle to the edge; it was made for loaded fixing holes, and makers go closer with large " +
			"control holes, so it warns here and stops only where the drawing leaves hardly any sheet. Every hole of a control " +
			"counts, those for its screws and its tab too.",
		Limits: edgeLimits(),
	}
	ruleAntiTurn = finding.Rule{
		Name: "sheet.anti-turn", Severity: finding.Warn, Title: "anti-turn holes",
		Explain: "The small hole for the locating tab must not break into the main hole, and when it is blind it must not come through " +
			"the front. Where it does not work out, break the tab off and let the toothed washer hold the part, or file a slot.",
		Limits: []finding.Limit{limTabWeb, limBlind},
	}
	ruleCorner = finding.Rule{
		Name: "sheet.corner", Severity: finding.Warn, Title: "sharp corners in brittle sheet",
		Explain: "A crack starts in a sharp inner corner. Drill a hole in each corner first and saw from hole to hole; a part that " +
			"needs a square corner gets it with a file, lightly, at the end.",
		Limits: []finding.Limit{limCorner},
	}
)

func webLimits() []finding.Limit {
	var ls []finding.Limit
	for _, s := range stocks {
		ls = append(ls, s.webLeast, s.webGood, s.webThick)
	}
	return ls
}

func edgeLimits() []finding.Limit {
	var ls []finding.Limit
	for _, s := range stocks {
		ls = append(ls, s.edgeLeast, s.edgeGood, s.edgeDia, s.fixingDia)
	}
	return ls
}

// The rules of what stands behind the face.
var (
	ruleBodyBody = finding.Rule{
		Name: "fit.body-body", Severity: finding.Warn, Title: "bodies against each other",
		Explain: "Behind the face parts are wider than in front, and lugs stick out sideways. Where two bodies overlap, the second part " +
			"does not go in. Where there is air but little of it, lugs touch and no finger or iron gets between. Room for bending " +
			"the wire may be shared only with care, so a body in it is a warning.",
		Limits: []finding.Limit{limBodyGap},
	}
	ruleBodyRib = finding.Rule{
		Name: "fit.body-rib", Severity: finding.Warn, Title: "bodies against ribs",
		Explain: "A rib under the face is where you stop thinking of it once the drawing is of the front. A body that runs into it keeps " +
			"the part from seating. Move the part or the rib, or notch the rib.",
		Limits: []finding.Limit{limRibGap},
	}
	ruleBodyWall = finding.Rule{
		Name: "fit.body-wall", Severity: finding.Warn, Title: "bodies against walls",
		Explain: "The walls take their thickness from the inside of the box. A part close to the edge of the face meets them from behind, " +
			"and the face does not go down.",
		Limits: []finding.Limit{limRibGap},
	}
	ruleBodyBlock = finding.Rule{
		Name: "fit.body-block", Severity: finding.Warn, Title: "bodies against corner blocks",
		Explain: "Glue blocks fill the corners of the box. A part near a corner meets the block from behind; move it, or shorten the block.",
		Limits:  []finding.Limit{limRibGap},
	}
	ruleBodyLedge = finding.Rule{
		Name: "fit.body-ledge", Severity: finding.Warn, Title: "bodies against the ledge",
		Explain: "The ledge that carries the face runs along the walls right under the sheet, just where a nut or a body wants to be. " +
			"Move the part inwards, or cut the ledge away beside it.",
		Limits: []finding.Limit{limRibGap},
	}
	ruleBodyModule = finding.Rule{
		Name: "fit.body-module", Severity: finding.Warn, Title: "bodies against the module",
		Explain: "The module lies on the base or hangs under the face, and the deepest parts come down on it. Leave air for its plug as " +
			"well, and remember that the face has to come off with everything wired.",
		Limits: []finding.Limit{limModuleGap},
	}
	ruleDepth = finding.Rule{
		Name: "fit.depth", Severity: finding.Stop, Title: "depth behind the face",
		Explain: "Body, lugs and the bend of the wire have to find room between the back of the sheet and the base. When the body or the " +
			"lugs do not fit, the box does not close; when only the wire's bend does not, the wire is kinked at the lug and breaks " +
			"there later. Take a deeper box, solder the wires sideways, or choose a shorter part.",
		Limits: []finding.Limit{limDepthGap},
	}
	ruleNut = finding.Rule{
		Name: "fit.nut", Severity: finding.Stop, Title: "seats of nuts and washers",
		Explain: "A nut and its washer need flat sheet under all of them. A neighbour's nut or body, a rib or a ledge under a nut keeps it " +
			"from pulling the part tight. A nut turns while it is driven, so what counts is the circle round its corners. A smaller " +
			"washer may do when little is missing.",
		Limits: []finding.Limit{limNutGap},
	}
	ruleTool = finding.Rule{
		Name: "fit.tool", Severity: finding.Warn, Title: "room for the tool on the nut",
		Explain: "A nut driver, a spanner or fingertips need more room than the nut, and meet bodies as well as other nuts. Often the order of mounting solves it: the part whose " +
			"nut would be blocked goes in first. When each blocks the other, no order helps. Beside a rib or a wall the part has to be " +
			"mounted before the face goes on, and cannot be tightened later.",
	}
	ruleOpening = finding.Rule{
		Name: "fit.opening", Severity: finding.Warn, Title: "openings that are blocked",
		Explain: "An opening without a part is there for something to go through: a cable, air, light. A rib, a wall, a board or a body " +
			"close behind it stands in the way, and so does a knob or a bezel over it. Move the opening, or what blocks it.",
		Limits: []finding.Limit{limOpening},
	}
	ruleFixing = finding.Rule{
		Name: "fit.fixing", Severity: finding.Warn, Title: "fixing screws behind the face",
		Explain: "A fixing screw has to land in wood, with wood on all sides, and nothing else may stand in its way. In the end of a board " +
			"drill a pilot hole always; in plywood keep the screw thinner than a quarter of the board.",
		Limits: []finding.Limit{limScrewWood, limShank, limShankLength},
	}
)

// The rules of what goes through the sheet.
var (
	ruleGrip = finding.Rule{
		Name: "fit.grip", Severity: finding.Stop, Title: "stacks that a part can hold",
		Explain: "Sheet and covering together must be within what the part grips. Too thick, and the nut finds no thread or the clip does " +
			"not open behind the sheet: thin the sheet from behind round the hole, or take a part with a longer thread. Too thin, " +
			"and a clip rattles; a part with a nut takes a washer behind the sheet. What is screwed on or glued in from behind can be " +
			"mounted in any sheet, but in a thick one it sits deep: a bare lamp is not seen from the side, a plug does not reach in. Sheet is sold a little thicker or thinner " +
			"than it is called: measure yours and write it as actual:.",
	}
	ruleThread = finding.Rule{
		Name: "fit.thread", Severity: finding.Stop, Title: "thread left for the nut",
		Explain: "The thread has to reach through sheet, covering and washers, then through the nut, and a little more: a nut that is not " +
			"full strips. Leave out a washer, thin the sheet from behind, or take a longer neck. Much thread to spare in front " +
			"lifts the knob: put a second nut or a spacer behind the sheet.",
		Limits: []finding.Limit{limThreads, limProud},
	}
	ruleHoleCover = finding.Rule{
		Name: "fit.hole-cover", Severity: finding.Note, Title: "holes that the covering makes smaller",
		Explain: "Film that is folded into a hole, or paint that coats its edge, makes the hole smaller by twice its thickness. That is as " +
			"much as the whole tolerance of many a button. The drilling plan makes such holes larger by that much; try one in " +
			"scrap with the covering on.",
	}
	ruleHides = finding.Rule{
		Name: "fit.bezel-hides", Severity: finding.Warn, Title: "bezels that hide their holes",
		Explain: "The bezel lies over the edge of the hole. When the hole is at its largest and off its mark, the edge must still be " +
			"covered, or a dark crescent shows. Use a drill press, the closest bit, or a part with a wider bezel.",
		Limits: []finding.Limit{limHide},
	}
)

// Rules are the rules of this trade, in the order of the guide.
var Rules = []finding.Rule{
	ruleNeighbours, ruleTouch, ruleEdge, ruleFrame,
	ruleLegendSize, ruleLegendHidden, ruleLegendOverlap, ruleLegendOff, ruleLegendGlyph,
	ruleWeb, ruleSheetEdge, ruleAntiTurn, ruleCorner,
	ruleBodyBody, ruleBodyRib, ruleBodyWall, ruleBodyBlock, ruleBodyLedge, ruleBodyModule, ruleDepth,
	ruleNut, ruleTool, ruleFixing, ruleOpening,
	ruleGrip, ruleThread, ruleHoleCover, ruleHides,
}
