package wiring

import "knobwright/internal/finding"

var (
	ruleVoltHigh = finding.Rule{
		Name: "volt.too-high", Severity: finding.Stop, Title: "more volts than a pin bears",
		Explain: "Pins of chips that run on 3.3 V bear little more than that. A display or an encoder that runs on 5 V drives its outputs, or pulls its lines " +
			"up, to 5 V. Every way by which a supply can come to a pin is looked at, through contacts, resistors, diodes, tracks and lamps, whatever is pressed.",
	}
	ruleVoltSupply = finding.Rule{
		Name: "volt.supply", Severity: finding.Stop, Title: "parts on the wrong supply",
		Explain: "A part for 5 V on 3.3 V does not work or works now and then; a part for 3.3 V on 5 V dies. The range is that of the part's record.",
	}
	ruleVoltShort = finding.Rule{
		Name: "volt.short", Severity: finding.Stop, Title: "supplies that are joined",
		Explain: "One terminal lies in two nets that have voltages of their own: two supplies, or a supply and ground. Power would be shorted.",
	}
	ruleVoltFloating = finding.Rule{
		Name: "volt.floating", Severity: finding.Stop, Title: "inputs that nothing holds",
		Explain: "A contact joins its pin to ground, or leaves it alone. Left alone, a resistor must hold it high: that in the chip, or one of your own. And the " +
			"other lug of the contact must lead to ground, or to the line of the matrix that is pulled low.",
	}
	ruleVoltLow = finding.Rule{
		Name: "volt.level", Severity: finding.Stop, Title: "levels that are not sure",
		Explain: "A chip promises to read low up to a voltage and high from a voltage on. The voltage at the pin is worked out with the contact closed and open, " +
			"with the diode of a matrix by its curve, with the pull-up at its strongest and weakest, and with all that leaks.",
	}
	ruleAmpContact = finding.Rule{
		Name: "amp.contact", Severity: finding.Note, Title: "contacts that get less or more current than they are made for",
		Explain: "Contacts of silver are made for power: a skin grows on them, and a thousandth of a watt must break it. Gold and rubber need next to nothing. The " +
			"pull-up inside a chip gives some hundredths of a milliampere. A resistor of your own to the supply gives more.",
	}
	ruleAmpPin = finding.Rule{
		Name: "amp.pin", Severity: finding.Warn, Title: "pins that give more than they are made for",
		Explain: "A pin gives a few milliampere at its full voltage, more at less, and above its limit it dies. Lamps with a resistor stay below; buzzers often do not.",
	}
	ruleAmpPins = finding.Rule{
		Name: "amp.pins", Severity: finding.Stop, Title: "pins that together give more than they may",
		Explain: "What all pins give comes through the few supply pins of the chip, and these have a limit of their own, some chips for groups of pins too. It is " +
			"added up with everything lit at once.",
	}
	ruleAmpRail = finding.Rule{
		Name: "amp.rail", Severity: finding.Stop, Title: "supplies that give less than is taken",
		Explain: "The small regulator of a board grows hot and lets its voltage sink when too much is taken. Added up are displays, lamps, tracks, pull-ups with " +
			"everything pressed, and what pins of that supply give.",
	}
	ruleAmpPort = finding.Rule{
		Name: "amp.port", Severity: finding.Note, Title: "what the USB port gives",
		Explain: "A port gives 100 mA until the computer has accepted the panel, then 500 mA. Behind a hub without a supply of its own it stays 100 mA. Ports of " +
			"computers are mostly more generous, hubs are not.",
	}
	ruleLampBare = finding.Rule{
		Name: "lamp.no-resistor", Severity: finding.Stop, Title: "lamps without a resistor",
		Explain: "A lamp takes whatever current comes. Only a resistor limits it, built in or before it.",
	}
	ruleLampRoom = finding.Rule{
		Name: "lamp.headroom", Severity: finding.Warn, Title: "lamps whose supply is hardly above their drop",
		Explain: "What the supply has more than the lamp drops falls on the resistor and sets the current. Blue and white lamps drop about 3.2 V: on 3.3 V almost " +
			"nothing is left, and small differences between lamps decide whether they are dark or bright. Red, yellow and green ones have room.",
	}
	ruleLampDim = finding.Rule{
		Name: "lamp.dim", Severity: finding.Warn, Title: "lamps that stay dim",
		Explain: "A lamp with a built-in resistor is made for one voltage. On less it gets less current; below half of it people call it dim, below a twentieth dark. " +
			"A bare lamp stays dim when the only resistor on hand is too large.",
	}
	ruleLampBright = finding.Rule{
		Name: "lamp.bright", Severity: finding.Warn, Title: "lamps that get too much",
		Explain: "A lamp lives long at the current of its record and below. Above, it ages quickly.",
	}
	ruleLampHeat = finding.Rule{
		Name: "lamp.heat", Severity: finding.Warn, Title: "resistors of lamps that grow hot",
		Explain: "A resistor turns what the lamp does not need into heat. Behind a face the air stands still; half of its rating is what it should get.",
	}
	ruleBusPullUp = finding.Rule{
		Name: "bus.pull-ups", Severity: finding.Warn, Title: "pull-ups of the bus",
		Explain: "Whatever hangs on an I2C bus only pulls its two lines low; resistors pull them up. Too large ones are too slow for the wires, too small ones, many " +
			"boards with their own, cannot be pulled low. Bounds are those of UM10204.",
	}
	ruleBusLong = finding.Rule{
		Name: "bus.long", Severity: finding.Warn, Title: "buses with too much wire",
		Explain: "Wires and chips have capacitance, about 100 pF a metre, and 400 pF is what the bus allows. Length is reckoned as the crow flies and a third more, " +
			"30 cm for a board that has no place yet.",
	}
	ruleBusSlow = finding.Rule{
		Name: "bus.slow", Severity: finding.Note, Title: "buses that are good for the slow clock only",
		Explain: "At 400 kHz the lines must rise in 300 ns, at 100 kHz in 1000 ns. For buttons and lamps the slow clock is fast enough.",
	}
	ruleAnalogEnds = finding.Rule{
		Name: "analog.ends", Severity: finding.Stop, Title: "tracks with a loose end",
		Explain: "A pot divides the voltage between its two ends. With one of them loose, the wiper has the voltage of the other end everywhere.",
	}
	ruleAnalogRange = finding.Rule{
		Name: "analog.range", Severity: finding.Warn, Title: "tracks that do not use the whole range",
		Explain: "The reading is a share of the reference. A track that is fed with less never reads its upper part.", Limits: []finding.Limit{limReading},
	}
	ruleAnalogSource = finding.Rule{
		Name: "analog.track", Severity: finding.Warn, Title: "tracks with too much resistance",
		Explain: "An input takes or gives a little current, up to a microampere by the data sheets. In the middle of a large track that moves the voltage. Tracks of " +
			"10 kΩ are what inputs are made for; 100 kΩ and more are not.", Limits: []finding.Limit{limReading},
	}
	ruleAnalogLadder = finding.Rule{
		Name: "analog.ladder", Severity: finding.Warn, Title: "voltage ladders whose steps lie too close",
		Explain: "Each contact of a voltage ladder gives a voltage of its own. Resistors differ, by 5 % or 1 %, and the program compares with fixed numbers: every state is " +
			"solved with the resistors anywhere within their tolerance, and the readings must stay apart by four times the error of the input.",
	}
	ruleAnalogTaper = finding.Rule{
		Name: "analog.taper", Severity: finding.Note, Title: "tracks that are not straight",
		Explain: "Pots for loudness have a logarithmic track, so that the ear hears even steps. As an axis it crowds half of the readings into a fifth of the turn.",
	}
	ruleAnalogDrop = finding.Rule{
		Name: "analog.drop", Severity: finding.Warn, Title: "readings that move with the lamps",
		Explain: "Ground and supply run from lug to lug. What flows in them makes them differ a little from end to end, and a pot at the far end reads that too: its " +
			"reading moves when lamps are lit. Give pots a chain of their own, to the analog ground where the board has one.", Limits: []finding.Limit{limReading},
	}
	ruleEncoderFast = finding.Rule{
		Name: "encoder.fast", Severity: finding.Warn, Title: "encoders that turn faster than they are looked at",
		Explain: "Each pulse of an encoder is four changes of its two contacts, and each of them must be seen. Phases of cheap ones are uneven: the shortest is taken as " +
			"half of the even one. Wheels with a hundred pulses want pins of the module itself.", Limits: []finding.Limit{limTurns, limLook, limLookFar},
	}
)

// checkRules are the rules of what flows.
var checkRules = []finding.Rule{
	ruleVoltHigh, ruleVoltSupply, ruleVoltShort, ruleVoltFloating, ruleVoltLow, ruleAmpContact, ruleAmpPin, ruleAmpPins, ruleAmpRail, ruleAmpPort,
	ruleLampBare, ruleLampRoom, ruleLampDim, ruleLampBright, ruleLampHeat, ruleBusPullUp, ruleBusLong, ruleBusSlow,
	ruleAnalogEnds, ruleAnalogRange, ruleAnalogSource, ruleAnalogLadder, ruleAnalogTaper, ruleAnalogDrop, ruleEncoderFast,
}
