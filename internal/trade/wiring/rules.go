package wiring

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

// limJoint is what a joint is worth when ways are weighed.
var limJoint = finding.Limit{
	Name: "wire.joint-worth", Default: 0.1, Unit: "", Means: "what one soldered joint is worth, in the money of the price lists",
	Source: trust.Source{Text: "about a minute of an evening", Provenance: trust.Practice, Confidence: trust.Low},
}

// limFit is what a diode or resistor is worth when ways are weighed.
var limFit = finding.Limit{
	Name: "wire.fitting-worth", Default: 0.2, Unit: "", Means: "what it is worth not to bend, turn the right way and sleeve one diode or resistor, in the money of the price lists",
	Source: trust.Source{Text: "about two minutes of an evening", Provenance: trust.Practice, Confidence: trust.Low},
}

// limKind is what it is worth to do with one kind of way less.
var limKind = finding.Limit{
	Name: "wire.kind-worth", Default: 3, Unit: "", Means: "what it is worth that one kind of sharing less is in the box: matrix, expanders, shift-in boards, ladders, in the money of the price lists",
	Source: trust.Source{Text: "each kind is learnt, wired and tested on its own", Provenance: trust.Practice, Confidence: trust.Low},
}

var (
	ruleNoModule = finding.Rule{
		Name: "wire.no-module", Severity: finding.Note, Title: "panels without a module",
		Explain: "Leads go to the pins of a microcontroller board. Until the file names one under module:, what is joined to ground and what each " +
			"control wants can be said, but no pin can be given. The module is chosen by the number of leads, by how many of them read a voltage, and " +
			"by what lies in the drawer.",
	}
	ruleNoPins = finding.Rule{
		Name: "wire.no-pins", Severity: finding.Warn, Title: "boards of which no pins are known",
		Explain: "The record of the board has a shape but no list of pins, so no lead can be given one. Write the pins of yours into a record of your own.",
	}
	ruleUnknownCircuit = finding.Rule{
		Name: "wire.unknown-circuit", Severity: finding.Note, Title: "controls of which it is not known what they do to their lugs",
		Explain: "A part has lugs, but its record does not say which of them it joins. It is left out of the wiring. Measure yours with a meter and lay " +
			"a circuit: over the part, or mark the control via: none.",
	}
	ruleNoSupply = finding.Rule{
		Name: "wire.no-supply", Severity: finding.Warn, Title: "parts that want a voltage that is not there",
		Explain: "A display, a buzzer or a driven encoder wants a supply within a range. The module gives the voltage of the USB port and that of its own " +
			"regulator, and a pin can feed only a little. A part for 12 or 24 V needs a supply of its own, and a transistor between it and the pin.",
	}
	rulePinsShort = finding.Rule{
		Name: "wire.pins-short", Severity: finding.Stop, Title: "more leads than pins",
		Explain: "Some leads compete for fewer pins than they are, and nothing that is in the file helps. The smallest such set is named. Contacts can share: " +
			"in a matrix with a diode to each, over an expander or a shift-in board, or a rotary switch over a voltage ladder. Encoders, wipers and " +
			"lamps want pins of their own; wipers want pins that can read a voltage, of which there are few.",
		Limits: []finding.Limit{limJoint, limFit, limKind},
	}
	rulePinTaken = finding.Rule{
		Name: "wire.pin-taken", Severity: finding.Stop, Title: "two leads on one pin",
		Explain: "The file puts two leads on the same pin. The first keeps it; the other is given a free one until the file is mended.",
	}
	ruleUnknownPin = finding.Rule{
		Name: "wire.unknown-pin", Severity: finding.Stop, Title: "pins that the board does not have",
		Explain: "A pin is named as it is printed on the board, or by its number. The board has none of that name.",
	}
	ruleUnknownLead = finding.Rule{
		Name: "wire.unknown-lead", Severity: finding.Stop, Title: "pins for leads that do not exist",
		Explain: "Under wiring.pins a lead is called after its control: go. A control with several leads has parts: scene/a, scene/b, scene/push, curtain/up, " +
			"mood/3, standby/lamp. Lines that serve many are called i2c/data, i2c/clock, matrix/row-1, matrix/column-1.",
	}
	ruleUnknownLug = finding.Rule{
		Name: "wire.unknown-lug", Severity: finding.Stop, Title: "lugs that the part does not have",
		Explain: "use: names lugs of contacts that would be left idle otherwise, as the part's record calls them. It has none of that name.",
	}
	ruleCannot = finding.Rule{
		Name: "wire.cannot", Severity: finding.Stop, Title: "leads on pins that cannot serve them",
		Explain: "A wiper wants a pin that can read a voltage. A bus wants the pins of that bus. An encoder wants a pin that is looked at all the time, so no " +
			"line of a further board. The lead is given a pin that can serve it until the file is mended.",
	}
	ruleShorted = finding.Rule{
		Name: "wire.shorted", Severity: finding.Stop, Title: "leads that would be shorted",
		Explain: "A lead is put on a ground or supply pin. A contact there would do nothing or short the supply; a lamp could not be switched. Or one lug would " +
			"be joined to two things that must stay apart, because the record of the part says so.",
	}
	ruleMatrixEncoder = finding.Rule{
		Name: "wire.matrix-encoder", Severity: finding.Warn, Title: "encoders in a matrix",
		Explain: "An encoder turned quickly gives an edge every few milliseconds, and all of them count. A matrix looks at each crossing once a round and " +
			"pulls its lines up and down between: steps are lost, or counted backwards. The two leads of its turning keep pins of their own; its " +
			"push switch is a contact like any other and may cross.",
	}
	ruleMatrixHeld = finding.Rule{
		Name: "wire.matrix-held", Severity: finding.Warn, Title: "held contacts in a matrix without diodes",
		Explain: "In a matrix without diodes three closed contacts at the corners of a rectangle show the fourth. With push buttons that takes three " +
			"fingers. A toggle, a key or a latching button stays closed, so one press can be enough. A diode to each contact cures it for good.",
	}
	ruleAdded = finding.Rule{
		Name: "wire.added", Severity: finding.Note, Title: "boards and lines that the plan adds",
		Explain: "The leads are more than the pins, and the file leaves the way open. The plan takes the one that costs least, parts and joints together, " +
			"and says which. What it adds is not in the file yet, so it has no place in the box: write it in, and give the boards a place.",
		Limits: []finding.Limit{limJoint, limFit, limKind},
	}
	ruleSameAddress = finding.Rule{
		Name: "wire.same-address", Severity: finding.Stop, Title: "two boards with one address",
		Explain: "Whatever speaks over I2C is called by its address. Two with the same one answer together, and nothing that they say can be understood. Most " +
			"boards have pads or pins to choose among a few.",
	}
	ruleLampShares = finding.Rule{
		Name: "wire.lamp-shares", Severity: finding.Warn, Title: "lamps that share lugs or lines with contacts",
		Explain: "A lamp can be lit by the contact in its own body: the contact pulls its minus down together with the pin. In a matrix or a voltage ladder " +
			"the contact shares its lines with others, so the lamp would glow with them, and spoil what is read. " +
			"Where lamp and contact have one lug in common, as in most lit rockers, only one of the two can be wired: the contact is.",
	}
	ruleSameName = finding.Rule{
		Name: "wire.same-name", Severity: finding.Stop, Title: "boards and controls of one name",
		Explain: "In the lists a lug is called after its control, a pin after its board. Where both have one name nobody can tell which is meant, so the board is " +
			"left out until one of them is renamed.",
	}
	ruleResistor = finding.Rule{
		Name: "wire.unknown-resistor", Severity: finding.Warn, Title: "resistors on hand that are none",
		Explain: "Under resistors: stand the values in your drawer, 220 or 4.7k, or the series that you buy from, E12. What is neither is passed over.",
	}
	ruleLitNothing = finding.Rule{
		Name: "wire.lit-nothing", Severity: finding.Note, Title: "lit: where it says nothing",
		Explain: "With lit: a lamp is fed by a pin, by the supply all the time, or by its own contact. A part without a lamp cannot be lit, and a lamp without a " +
			"contact in its own body cannot be lit by one: it follows another switch through the module, by sends: follows.",
	}
	ruleBootPin = finding.Rule{
		Name: "wire.boot-pin", Severity: finding.Note, Title: "pins that have another duty",
		Explain: "Some pins light the board's own lamp, carry the serial port, or are looked at when the board is switched on: held low then, the board waits " +
			"for a new program. The plan takes them last. Settled by hand they may do, if their other duty does not disturb.",
	}
)

// Rules are the rules of the wiring.
var Rules = append([]finding.Rule{
	ruleNoModule, ruleNoPins, ruleUnknownCircuit, ruleNoSupply, rulePinsShort, rulePinTaken, ruleUnknownPin, ruleUnknownLead, ruleUnknownLug, ruleCannot,
	ruleShorted, ruleBootPin, ruleMatrixEncoder, ruleMatrixHeld, ruleAdded, ruleSameAddress, ruleLampShares, ruleSameName, ruleResistor, ruleLitNothing,
}, checkRules...)
