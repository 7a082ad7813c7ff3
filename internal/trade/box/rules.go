package box

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

func practice(text string, c trust.Confidence) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: c}
}

var sourcePilot = trust.Source{Text: "USDA Wood Handbook, withdrawal: pilot of 70 % of the root in softwood, 90 % in hardwood", Provenance: trust.Seen, Confidence: trust.High}

// The numbers that decide. Lengths in mm, forces in N.
var (
	limThin = finding.Limit{
		Name: "box.screw-share", Default: 4, Unit: "x", Means: "how many times thicker than its screw a board must be that is screwed in its edge",
		Source: practice("screw at most a quarter of the plywood", trust.Low),
	}
	limLeastEdge = finding.Limit{
		Name: "box.screw-edge-least", Default: 10, Unit: "mm", Means: "thinnest board that takes screws in its edge at all",
		Source: practice("below 9 to 10 mm a batten in the corner, or glue only", trust.Low),
	}
	limBite = finding.Limit{
		Name: "box.screw-bite", Default: 19, Unit: "mm", Means: "how deep a screw goes into the edge of a board",
		Source: practice("19 mm in the edge of plywood; more adds nothing and may split", trust.High),
	}
	limBiteBatten = finding.Limit{
		Name: "box.screw-bite-batten", Default: 6, Unit: "mm", Means: "how deep a screw goes into a ledge, cleat or block",
		Source: practice("light lids and bases on battens", trust.Low),
	}
	limCover = finding.Limit{
		Name: "box.screw-cover", Default: 1.5, Unit: "mm", Means: "least wood between a screw and any surface of the board it is in",
		Source: practice("a hand drill wanders half a millimetre and more", trust.Low),
	}
	limEdge = finding.Limit{
		Name: "box.screw-edge", Default: 2, Unit: "x", Means: "distance of a screw from the edge of a board, in screw diameters",
		Source: trust.Source{Text: "twice the diameter across", Provenance: trust.Memory, Confidence: trust.Low},
	}
	limEnd = finding.Limit{
		Name: "box.screw-end", Default: 5, Unit: "x", Means: "distance of the first screw from the end of a joint, in screw diameters, piloted",
		Source: trust.Source{Text: "five diameters with a pilot, ten without", Provenance: trust.Memory, Confidence: trust.Low},
	}
	limEvery = finding.Limit{
		Name: "box.screw-every", Default: 130, Unit: "mm", Means: "most between two screws along an edge",
		Source: practice("80 to 150 mm in small boxes", trust.Low),
	}
	limBetween = finding.Limit{
		Name: "box.screw-between", Default: 2, Unit: "mm", Means: "wood between two screws that cross in a corner",
		Source: practice("so that one does not run into the other", trust.Low),
	}
	limDriver = finding.Limit{
		Name: "box.driver", Default: 150, Unit: "mm", Means: "length of the screwdriver that stands square to the head",
		Source: practice("a usual screwdriver, or a drill with a bit", trust.Medium),
	}
	limFootGap = finding.Limit{
		Name: "box.foot-gap", Default: 1, Unit: "mm", Means: "between a foot and the head of a screw",
		Source: practice("the foot must lie flat", trust.Medium),
	}
	limPress = finding.Limit{
		Name: "box.press", Default: 30, Unit: "N", Means: "how hard a control is pushed in a hurry",
		Source: practice("three times a firm button", trust.Low),
	}
	limTip = finding.Limit{
		Name: "box.tip", Default: 1.5, Unit: "x", Means: "how many times that push the box must stand",
		Source: practice("for feet that give and a lead that pulls", trust.Low),
	}
	limRubber = finding.Limit{
		Name: "box.friction", Default: 0.6, Unit: "x", Means: "how much of the load on rubber feet they hold along a table",
		Source: practice("rubber on clean wood or laminate, 0.5 to 0.9", trust.Low),
	}
	limBare = finding.Limit{
		Name: "box.friction-bare", Default: 0.25, Unit: "x", Means: "how much of its weight a wooden box without feet holds along a table",
		Source: practice("wood on wood, 0.2 to 0.4", trust.Low),
	}
	limRubberMost = finding.Limit{
		Name: "box.friction-most", Default: 0.9, Unit: "x", Means: "the most that rubber feet are expected to hold along a table; what they hold then may tip the box instead",
		Source: practice("rubber on clean wood or laminate, 0.5 to 0.9", trust.Low),
	}
	limBareMost = finding.Limit{
		Name: "box.friction-bare-most", Default: 0.4, Unit: "x", Means: "the most that a wooden box without feet is expected to hold along a table",
		Source: practice("wood on wood, 0.2 to 0.4", trust.Low),
	}
	limPull = finding.Limit{
		Name: "box.pull", Default: 20, Unit: "N", Means: "how hard somebody pulls at the lead by mistake",
		Source: practice("a foot in a lead, before the plug or the hand gives", trust.Low),
	}
	limBend = finding.Limit{
		Name: "box.cable-bend", Default: 6, Unit: "x", Means: "least bend of a cable, in its diameters",
		Source: trust.Source{Text: "NASA workmanship, six diameters at least, ten lasting", Provenance: trust.Seen, Confidence: trust.High},
	}
	limPlugAir = finding.Limit{
		Name: "box.plug-air", Default: 1, Unit: "mm", Means: "room of a plug in the hole that it goes through",
		Source: practice("across the corners of its body", trust.Medium),
	}
	limStroke = finding.Limit{
		Name: "box.plug-stroke", Default: 12, Unit: "mm", Means: "how far a plug is pulled before it is free",
		Source: practice("a USB plug and a finger's grip", trust.Low),
	}
	limPlay = finding.Limit{
		Name: "box.lid-play", Default: 0, Unit: "mm", Means: "air that everything on a lid must keep on its way out",
		Source: practice("it may touch, it may not catch", trust.Medium),
	}
	limOffcut = finding.Limit{
		Name: "box.offcut", Default: 100, Unit: "mm", Means: "shorter side of a rest that is worth keeping",
		Source: practice("what still makes a rib or a test piece", trust.Low),
	}
)

var (
	ruleThin = finding.Rule{
		Name: "box.thin-wall", Severity: finding.Note, Title: "boards too thin for screws in their edge",
		Explain: "A screw in the edge of a thin board forces the plies apart: it splits when it is driven, or a week later. The screw should be " +
			"no thicker than a quarter of the board: 3 mm wants 12 mm. Thinner walls are glued, and glue blocks in the corners give the joint " +
			"its strength and take screws of their own.",
		Limits: []finding.Limit{limThin, limLeastEdge},
	}
	ruleOut = finding.Rule{
		Name: "box.screw-out", Severity: finding.Warn, Title: "screws that come out through a side",
		Explain: "A screw goes in square to the board under its head. If the board behind leans, the screw leaves it through its side before it " +
			"holds. Drilling on the slant by eye seldom ends well. Glue the joint and screw into a block or cleat that stands square to " +
			"the screw, or let the base in between the walls on cleats.",
		Limits: []finding.Limit{limCover},
	}
	ruleBite = finding.Rule{
		Name: "box.screw-bite", Severity: finding.Note, Title: "screws that bite too little",
		Explain: "In the edge of plywood a screw wants 19 mm of thread to hold; in a cleat or block, where it goes across the grain, less will do " +
			"for a base or a lid. A longer screw would come through the far side. Take thicker cleats, or glue too.",
		Limits: []finding.Limit{limBite, limBiteBatten},
	}
	ruleMeet = finding.Rule{
		Name: "box.screws-meet", Severity: finding.Warn, Title: "screws that run into each other",
		Explain: "In a corner screws come from two sides. Where two would meet, one of them is moved along its joint. If there is no room to move " +
			"it, the joint has one screw less.",
		Limits: []finding.Limit{limBetween, limEvery, limEnd},
	}
	ruleEdge = finding.Rule{
		Name: "box.screw-edge", Severity: finding.Warn, Title: "screws too near an edge",
		Explain: "A screw splits a board that leaves it less than twice its own diameter beside it. At a bevelled edge the narrower side counts. " +
			"The joint is then glued, or takes a thinner screw.",
		Limits: []finding.Limit{limEdge},
	}
	ruleDriver = finding.Rule{
		Name: "box.driver", Severity: finding.Warn, Title: "heads that no screwdriver reaches",
		Explain: "The driver must stand square on the head over its whole length. A face that overhangs, a wall that stands out below a base, or a " +
			"knob can be in its way. Then the screw is left out.",
		Limits: []finding.Limit{limDriver},
	}
	ruleNotWood = finding.Rule{
		Name: "box.not-wood", Severity: finding.Note, Title: "joints in boards that are no wood",
		Explain: "Wood screws hold in wood. Acrylic cracks round them, thin metal strips. Use the cement of that plastic, or angles and machine " +
			"screws with nuts.",
	}
	rulePilot = finding.Rule{
		Name: "box.pilot", Severity: finding.Note, Title: "pilot and clearance holes without a bit",
		Explain: "The board under the head gets a hole that the shank passes freely, or the screw holds the joint open. The other gets a pilot: 70 % " +
			"of the root of the thread in softwood, 90 % in hardwood and plywood. None of the bits under tools: is near enough. Charts for " +
			"best holding give pilots some tenths smaller.",
	}
	ruleFixing = finding.Rule{
		Name: "box.fixing", Severity: finding.Warn, Title: "screws of the face that find nothing to hold in",
		Explain: "The screws of the face go through it into what lies below: a ledge, a block, or the edge of a wall. A machine screw wants an insert " +
			"there, with wood round it, or a nut that a finger reaches. A wood screw in the edge of a thin wall splits it. Move the screw over " +
			"the ledge, or make the ledge wider.",
	}
	ruleReopen = finding.Rule{
		Name: "box.reopen", Severity: finding.Note, Title: "faces that come off again and again",
		Explain: "Wood screws cut their thread anew each time and hold less. A face that is taken off for every wire is better held by machine " +
			"screws in threaded inserts, or by nuts behind a ledge. Heat-set inserts are for printed parts, not for wood.",
	}
	ruleFeet = finding.Rule{
		Name: "box.feet", Severity: finding.Note, Title: "feet without a place",
		Explain: "Rubber feet go on the flat base, inside its edges, off the heads of the screws: a foot on a head rocks and comes off.",
		Limits:  []finding.Limit{limFootGap},
	}
	ruleCentre = finding.Rule{
		Name: "box.centre", Severity: finding.Stop, Title: "boxes that fall over by themselves",
		Explain: "The centre of mass of boards, controls and module lies outside the feet.",
	}
	ruleTips = finding.Rule{
		Name: "box.tips", Severity: finding.Warn, Title: "pushes that tip the box",
		Explain: "Somebody in a hurry pushes at a button with 30 N (box.press), square to the face. Near the front edge, or high on a steep face, that " +
			"can lift the far feet. The sum is done for every control and every edge between the feet, with the weights of boards (volume times " +
			"density), of controls and module as the catalogue has them. A box that tips at less than the push is a stop; one that tips at less " +
			"than the push times the factor box.tip, 45 N, is a warning. A push that slides the box before it can tip it, even on feet that hold " +
			"as well as they ever do, does not count here. Feet further out help most, then weight in the base.",
		Limits: []finding.Limit{limPress, limTip, limRubberMost, limBareMost},
	}
	ruleSlides = finding.Rule{
		Name: "box.slides", Severity: finding.Warn, Title: "pushes that slide the box over the table",
		Explain: "On a sloping face part of a push goes along the table. Rubber feet hold a share of the load on them; a light box on bare wood slides.",
		Limits:  []finding.Limit{limRubber, limBare},
	}
	rulePull = finding.Rule{
		Name: "box.cable-pull", Severity: finding.Note, Title: "pulls at the lead that move the box",
		Explain: "A foot catches in the lead and pulls it level: out of a wall away from it, out of a board that lies to any side. A low box comes " +
			"along over the table: worth knowing, because tables end. A tall one tips, and that is a warning. The pull is tried at the exit of " +
			"the cable and at every socket.",
		Limits: []finding.Limit{limPull, limRubber, limRubberMost},
	}
	ruleCable = finding.Rule{
		Name: "box.cable", Severity: finding.Stop, Title: "cable exits that cannot be cut",
		Explain: "The hole or notch for the lead lies off its board, or over an edge, a batten or a screw. Move it.",
	}
	ruleNoExit = finding.Rule{
		Name: "box.no-exit", Severity: finding.Note, Title: "boxes without a way out for the lead",
		Explain: "The box is closed all round and the module is inside. Its lead needs a hole or a notch, best in the back in line with the " +
			"module, or a socket in a wall. Drill it before the walls are glued: afterwards the drill hardly gets at it.",
	}
	rulePlug = finding.Rule{
		Name: "box.cable-plug", Severity: finding.Warn, Title: "plugs that do not go through the hole",
		Explain: "A lead with a moulded plug goes through a hole only if the body of the plug does, across its corners. Otherwise the lead must be " +
			"threaded through before the plug is fitted, or the hole becomes a notch in the upper edge, closed by the face.",
		Limits: []finding.Limit{limPlugAir},
	}
	ruleRelief = finding.Rule{
		Name: "box.cable-relief", Severity: finding.Note, Title: "leads without strain relief",
		Explain: "Somebody will pull at the lead. The pull must end in the box, at a clip, a gland or a knot before the hole, not at the connector of " +
			"the module: that comes off with its tracks.",
	}
	ruleBend = finding.Rule{
		Name: "box.cable-bend", Severity: finding.Warn, Title: "leads bent too sharply",
		Explain: "A lead bent tighter than six times its diameter breaks inside after some months. Behind its hole it wants that much room before it " +
			"turns.",
		Limits: []finding.Limit{limBend},
	}
	ruleModule = finding.Rule{
		Name: "box.module-plug", Severity: finding.Warn, Title: "plugs that cannot be pulled",
		Explain: "The plug of the module must go in and come out with the box open: its body and as much again as it moves. A wall or a block in its " +
			"way means taking the module out for every plugging.",
		Limits: []finding.Limit{limStroke},
	}
	ruleStuck = finding.Rule{
		Name: "box.lid-stuck", Severity: finding.Warn, Title: "lids that catch on their way out",
		Explain: "With the face come its controls. On the way out straight, or round the hinge, one of them meets a ledge, a block or a rib. Then " +
			"the box opens once, with force. Move the control, or shorten the batten.",
		Limits: []finding.Limit{limPlay},
	}
	ruleOpen = finding.Rule{
		Name: "box.cannot-open", Severity: finding.Stop, Title: "boxes that cannot be opened again",
		Explain: "Every board is glued, or the only one that is not cannot come out. A loose wire or a dead button then means a saw. Hold the face or " +
			"the base by screws.",
	}
	ruleStock = finding.Rule{
		Name: "box.stock-short", Severity: finding.Warn, Title: "sheets on hand that do not suffice",
		Explain: "The boards do not all come out of the sheets that stock: lists, with the kerf of the saw, the trimmed edges and the grain as asked. The " +
			"finding names the boards that are left over and the sheet to buy for them: the least of the sizes sold that the layout found fits. " +
			"Without stock: every sheet is taken to be bought, and nothing is said.",
		Limits: []finding.Limit{limOffcut},
	}
	ruleTooBig = finding.Rule{
		Name: "box.board-too-big", Severity: finding.Stop, Title: "boards larger than any sheet",
		Explain: "A board is longer or wider than every sheet of its kind that is on hand or sold. Make the box smaller, or join the board from two.",
	}
	ruleSmall = finding.Rule{
		Name: "box.small-piece", Severity: finding.Note, Title: "pieces that are dangerous at a machine saw",
		Explain: "Pieces shorter than 150 mm or narrower than 50 mm bring the hand to the blade and are thrown back. They come last, are cut from " +
			"the end of a longer piece, by hand saw or in a jig.",
	}
	ruleNumbers = finding.Rule{
		Name: "box.saw", Severity: finding.Stop, Title: "sawing numbers that cannot be",
		Explain: "A kerf or a trim below nothing, or wider than a board, makes no cutting plan.",
	}
)

// Rules are the rules of the box.
var Rules = []finding.Rule{
	ruleThin, ruleOut, ruleBite, ruleMeet, ruleEdge, ruleDriver, ruleNotWood, rulePilot, ruleFixing, ruleNoFaceScrews, ruleReopen, ruleFeet, ruleCentre, ruleTips,
	ruleSlides, rulePull, ruleCable, ruleNoExit, rulePlug, ruleRelief, ruleBend, ruleModule, ruleModuleRoom, ruleStuck, ruleHarness, ruleOpen, ruleStock, ruleTooBig, ruleBevel, ruleSmall, ruleNumbers,
}
