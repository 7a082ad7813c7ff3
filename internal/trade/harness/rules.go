package harness

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

func practice(text string, c trust.Confidence) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: c}
}

// The numbers that decide.
var (
	limChain = finding.Limit{
		Name: "harness.chain-most", Default: 8, Means: "how many lugs hang on one ground chain while the module has pins for another",
		Source: practice("one broken joint takes along all that hang behind it", trust.Low),
	}
	limService = finding.Limit{
		Name: "harness.service", Default: 40, Unit: "mm", Means: "free wire beyond what the opening itself wants, so that nothing pulls",
		Source: practice("40 to 60 mm beyond the law of cosines of hinge, lug and board", trust.Medium),
	}
	limLay = finding.Limit{
		Name: "harness.longest", Default: 1500, Unit: "mm", Means: "longest wire that a panel should want",
		Source: practice("longer leads pick up noise and say that something is far from where it belongs", trust.Low),
	}
)

// Rules of this trade.
var (
	ruleNoPlace = finding.Rule{
		Name: "harness.no-place", Severity: finding.Note, Title: "boards without a place",
		Explain: "Wires are cut to length for a board that stands somewhere. A board without a place is taken to lie beside the module, and a module " +
			"without one in the middle of the box. Give it a place (at: [across, up], seen from the front) before you cut wire.",
	}
	ruleNoWay = finding.Rule{
		Name: "harness.no-way", Severity: finding.Warn, Title: "lugs that no wire reaches",
		Explain: "Behind the face wires want some room between what sits on the sheet and the base. Where bodies, ribs and walls leave none, the lead has " +
			"to go another way than the plan knows, or the box must be deeper.",
	}
	ruleSolid = finding.Rule{
		Name: "harness.solid-moves", Severity: finding.Warn, Title: "solid wire that has to bend",
		Explain: "Solid wire keeps its shape and breaks at the joint after some bendings. Wherever the face opens away from the module, take stranded wire.",
	}
	ruleUnknown = finding.Rule{
		Name: "harness.unknown-wire", Severity: finding.Stop, Title: "wire that the catalogue does not know",
		Explain: "The name of a wire is mistyped, or the wire is not in the catalogue. The usual hook-up wire is taken until it is mended; `knobwright parts " +
			"list wires` shows the names.",
	}
	ruleColour = finding.Rule{
		Name: "harness.unknown-colour", Severity: finding.Warn, Title: "colours that are no letters of IEC 60757",
		Explain: "Colours of wire are written by the two letters of IEC 60757: BK black, BN brown, RD red, OG orange, YE yellow, GN green, BU blue, VT violet, " +
			"GY grey, WH white, PK pink, TQ turquoise. Others are not understood and the usual colours are taken.",
	}
	ruleStock = finding.Rule{
		Name: "harness.stock-short", Severity: finding.Note, Title: "wire on hand that does not suffice",
		Explain: "The wire cut list wants more of a colour than the file says is on hand. Buy some, or give that use another colour under " +
			"wiring.wire.colours.",
	}
	ruleLong = finding.Rule{
		Name: "harness.long", Severity: finding.Warn, Title: "wires that are very long",
		Explain: "A wire of more than a metre and a half inside a panel says that the module, or a control, has a wrong place. Long leads also pick up " +
			"noise, which contacts on weak pull-ups and pots show first.",
		Limits: []finding.Limit{limLay},
	}
	ruleChain = finding.Rule{
		Name: "harness.chain", Severity: finding.Note, Title: "chains that one broken joint cuts off",
		Explain: "On a chain from lug to lug, one dry joint takes along every control behind it. Chains that come back to a second pin (chains: closed) stand " +
			"one break; shorter chains from more pins lose less.",
		Limits: []finding.Limit{limChain},
	}
	ruleCrimp = finding.Rule{
		Name: "harness.crimp", Severity: finding.Warn, Title: "wire that does not fit the crimp terminals",
		Explain: "Crimp terminals hold stranded wire of a few gauges, one wire each, never solid wire and never tinned ends: those work loose. Take " +
			"another wire, or let the ends be soldered. Where two wires come to one pin, join them before it and crimp one.",
	}
	ruleThin = finding.Rule{
		Name: "harness.thin", Severity: finding.Warn, Title: "wire that is too thin for its current",
		Explain: "Every wire of a chain carries what all controls behind it take. Wire in a bundle gets warm beyond the current that tables give for wire " +
			"inside equipment; and a drop on the way dims lamps and shifts readings. Take a thicker wire, or split the chain.",
	}
	ruleRibbon = finding.Rule{
		Name: "harness.ribbon", Severity: finding.Note, Title: "ribbon that serves nothing",
		Explain: "A ribbon is laid where four leads or more run side by side between neighbouring pins and one board, one control or one row of controls, " +
			"in the same order at both ends. Where nothing is so, single wires are taken.",
	}
	ruleTight = finding.Rule{
		Name: "harness.tight", Severity: finding.Note, Title: "bundles thicker than the gap they run through",
		Explain: "Between what sits on the face and the base a bundle must pass. Where the gap is less than the bundle is thick, the face presses on the wires " +
			"when it is closed. Spread them flat there, lead part of them another way, cut a notch into the rib, or make the box deeper.",
	}
	ruleEye = finding.Rule{
		Name: "harness.eye", Severity: finding.Note, Title: "more wires on a lug than its eye takes",
		Explain: "All that ends on a lug is soldered in one go. When it does not go through the eye together, twist it first and lay it flat along the lug: a " +
			"joint that hangs on solder alone breaks when the wire is moved.",
	}
	ruleOpens = finding.Rule{
		Name: "harness.opens", Severity: finding.Warn, Title: "ways of opening that do not fit the box",
		Explain: "wiring.opens says how the face comes off, box.held how it is held. A face that is glued does not open; an angle beyond 270 degrees, or less " +
			"than nothing, is none. What the box allows is taken.",
		Limits: []finding.Limit{limService},
	}
)

// Rules are all rules of this trade.
var Rules = []finding.Rule{ruleNoPlace, ruleNoWay, ruleSolid, ruleUnknown, ruleColour, ruleStock, ruleLong, ruleChain, ruleOpens, ruleCrimp, ruleThin, ruleRibbon, ruleTight, ruleEye}
