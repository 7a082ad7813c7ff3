package firmware

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

// Limits of what is sent.
var (
	limitButtons = finding.Limit{
		Name: "send.buttons", Default: 32, Means: "buttons that older programs show",
		Source: trust.Source{Text: "older joystick interfaces carry 32 buttons, newer ones 128", Provenance: trust.Practice, Confidence: trust.Medium},
	}
	limitAxes = finding.Limit{
		Name: "send.axes", Default: 8, Means: "axes that most programs show",
		Source: trust.Source{Text: "common joystick interfaces carry X, Y, Z, three turns and two sliders", Provenance: trust.Practice, Confidence: trust.Medium},
	}
	limitName = finding.Limit{
		Name: "usb.name", Default: 31, Means: "characters of the panel's name that older programs show",
		Source: trust.Source{Text: "an older joystick interface keeps names in 32 characters, the last one a zero", Provenance: trust.Memory, Confidence: trust.Medium},
	}
)

var (
	ruleUnknownWord = finding.Rule{
		Name: "send.unknown-word", Severity: finding.Stop, Title: "words under sends:",
		Explain: "What a control sends is said in a few words: button 5, key ctrl+s, consumer volume-up, axis x, hat up, note C4, control 7, program 5, shift, none; a lamp is steady, follows or " +
			"flips a control, or is lit by the host, also by a note or a control of MIDI. Beside them the names of the part's positions may stand: {up: button 1, down: button 2}. A word that " +
			"means nothing here would be a control that sends nothing, so it stops the work; the likely word is shown.",
	}
	ruleBadValue = finding.Rule{
		Name: "send.bad-value", Severity: finding.Stop, Title: "numbers and times under sends:",
		Explain: "A number or a time is outside of what can be: buttons go from 1 to 128, notes, controls and programs of MIDI from 0 to 127, its channels from 1 to 16, times from 1 ms to 10 s, readings of a pot from 0 % to " +
			"100 %, sequences to 16 steps. The usual value is taken until it is mended.",
	}
	ruleCannot = finding.Rule{
		Name: "send.cannot", Severity: finding.Stop, Title: "what a part cannot send",
		Explain: "A pot gives a voltage and wants an axis; a contact is on or off and wants a button or a key; a click of an encoder is a moment and wants a pulse; a lamp " +
			"sends nothing. What is asked here does not go with the part, or two things that are asked exclude each other.",
	}
	ruleCore = finding.Rule{
		Name: "send.core", Severity: finding.Stop, Title: "what the firmware cannot do",
		Explain: "The file asks for something that makes sense, and that the firmware core has no way to do: a direction of a hat or a sequence on the second layer, an axis of a " +
			"switch whose positions are not one contact each, a button for positions that the contacts do not tell apart. Nothing is sent in its place, and so it is said before " +
			"anything is soldered. Each finding names a way round.",
	}
	ruleTooMany = finding.Rule{
		Name: "send.too-many", Severity: finding.Stop, Title: "more controls than a report holds",
		Explain: "A report has room for 128 buttons, nine axes and four hats. A control that finds no place in it would be dead. Let some of them send keys instead (f13 to f24 are on no " +
			"keyboard), or nothing.",
	}
	ruleDuplicate = finding.Rule{
		Name: "send.duplicate", Severity: finding.Warn, Title: "controls that send the same",
		Explain: "Two controls send the same button, axis or direction. The computer sees one thing that is on while either is on, and an axis jumps between the two. Now and then that is " +
			"wanted, a second button beside the door; then keep it. For keys it is only a note.",
	}
	ruleGap = finding.Rule{
		Name: "send.gap", Severity: finding.Note, Title: "numbers that nothing sends",
		Explain: "A report has room for all buttons up to the highest number. Numbers between that no control sends are shown by the computer as buttons that are never pressed. They do no " +
			"harm, and they are what keeps the others' numbers when a control is taken out.",
	}
	ruleUnwritten = finding.Rule{
		Name: "send.unwritten", Severity: finding.Note, Title: "numbers that the file does not hold",
		Explain: "A control whose sends: names no number gets, in the order of the file, the lowest that is free. What is added behind it in the file never changes that; what is added " +
			"before it, does. `knobwright fix numbers` writes the numbers down under numbers:, and from then on nothing that is added, moved or taken out changes them.",
	}
	ruleKept = finding.Rule{
		Name: "send.kept", Severity: finding.Note, Title: "kept numbers that change nothing",
		Explain: "Under numbers: a number is kept for a control whose sends: names one itself, or that sends another kind of thing. What stands in sends: is in force. Take one of the two " +
			"out, so that the file does not say two things.",
	}
	ruleManyButtons = finding.Rule{
		Name: "send.many-buttons", Severity: finding.Note, Title: "buttons that older programs do not show",
		Explain: "All buttons are sent, 128 at most. How many a program shows is up to it: older ones know 32. Try yours; give numbers beyond to what matters least, or let some controls send " +
			"keys (f13 to f24 are on no keyboard, so nothing else uses them).",
		Limits: []finding.Limit{limitButtons},
	}
	ruleManyAxes = finding.Rule{
		Name: "send.many-axes", Severity: finding.Warn, Title: "axes that many programs do not show",
		Explain: "Common interfaces for joysticks carry eight axes. A ninth is sent and is seen by few programs.",
		Limits:  []finding.Limit{limitAxes},
	}
	ruleRelative = finding.Rule{
		Name: "send.relative", Severity: finding.Note, Title: "relative axes",
		Explain: "A relative axis sends by how much it was turned, not where it stands. That is right for endless knobs, and common for mice; of joysticks many programs know absolute axes " +
			"only, and show a relative one as a short twitch.",
	}
	ruleShift = finding.Rule{
		Name: "send.shift", Severity: finding.Warn, Title: "second layers and shift controls",
		Explain: "A control with sends: shift brings the second layer while it is held: each control that has shifted: sends that instead. One without the other does nothing.",
	}
	ruleSteady = finding.Rule{
		Name: "send.steady", Severity: finding.Note, Title: "lamps that nothing is said of",
		Explain: "A lamp in a button follows its button, unless the file says otherwise. A lamp by itself is lit as long as the panel is awake: that tells that it works, and no more. Say what it " +
			"goes by: follows go (lit while GO is on), flips go (on and off at each press), host (lit by a program on the computer), note C4 (lit while a MIDI program plays it), steady.",
	}
	ruleNotDriven = finding.Rule{
		Name: "send.not-driven", Severity: finding.Note, Title: "parts that the firmware does not drive",
		Explain: "Displays and the like are placed, drilled for and wired. The firmware core reads contacts and voltages, sends reports and lights lamps; it draws nothing.",
	}
	ruleNoChip = finding.Rule{
		Name: "usb.no-chip", Severity: finding.Warn, Title: "modules without firmware",
		Explain: "Firmware is there for the RP2040 and the ATmega32U4. With another chip everything but the image is made; what goes on the module is your own.",
	}
	ruleCapacity = finding.Rule{
		Name: "usb.capacity", Severity: finding.Stop, Title: "more than the firmware has room for",
		Explain: "The firmware keeps everything in fixed places: so many contacts, encoders, lamps, expanders, sequences, by the chip. Of a panel that has more no image is made, because some of " +
			"its controls would be dead. Drilling and wiring are as they are; wire it another way (a matrix in place of expanders), let some controls send nothing, or take another module.",
	}
	ruleRoom = finding.Rule{
		Name: "usb.room", Severity: finding.Stop, Title: "size of the table",
		Explain: "The table that tells the firmware what this panel does has a place of its own in the module's flash, 4096 bytes. Names of controls are left out first when it is short of room.",
	}
	ruleID = finding.Rule{
		Name: "usb.id", Severity: finding.Stop, Title: "vendor and product numbers",
		Explain: "Every USB device names a vendor and a product by two numbers of 16 bits, by which the computer knows it again. They are written like 0x1209 and 0x0001, both or neither.",
	}
	ruleTestID = finding.Rule{
		Name: "usb.test-id", Severity: finding.Note, Title: "numbers kept for trials",
		Explain: "Without usb: the panel takes vendor 0x1209 and product 0x0001, which are kept for trials: they are for a bench, not for anything that leaves it. Numbers of your own come from an " +
			"open register of products under a shared vendor, or from the USB-IF. The serial number is made from the table, so that two panels on one computer can be told apart.",
	}
	ruleName = finding.Rule{
		Name: "usb.name", Severity: finding.Note, Title: "length of the name",
		Explain: "The computer shows the panel by its name: usb: {name: ...}, or else as many words of the title as fit. Older programs cut a long name short, so that two panels may look alike.",
		Limits:  []finding.Limit{limitName},
	}
)

// Rules are the rules of what is sent.
var Rules = []finding.Rule{
	ruleUnknownWord, ruleBadValue, ruleCannot, ruleCore, ruleTooMany, ruleDuplicate, ruleGap, ruleUnwritten, ruleKept, ruleManyButtons, ruleManyAxes, ruleRelative,
	ruleShift, ruleSteady, ruleNotDriven, ruleNoChip, ruleCapacity, ruleRoom, ruleID, ruleTestID, ruleName,
}
