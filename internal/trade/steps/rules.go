package steps

import (
	"knobwright/internal/finding"
)

var (
	ruleCold = finding.Rule{
		Name: "steps.cold", Severity: finding.Warn, Title: "the room where glue and paint dry",
		Explain: "Below the temperature that its label gives, wood glue turns to chalk and holds nothing, paint stays soft, and film does not grip; " +
			"it looks well until it is loaded. Warm the room for the whole of the drying time, not for the work alone, or take a glue that bears the cold. " +
			"Write the temperature of the room under work: room.",
	}
	ruleHot = finding.Rule{
		Name: "steps.hot", Severity: finding.Warn, Title: "a room too warm for film or glue",
		Explain: "Warm film stretches and grips at once, so that it cannot be lifted and laid again; glue and paint skin over before they are where they " +
			"should be. Work in the morning, or in another room.",
	}
	ruleOneGo = finding.Rule{
		Name: "steps.one-go", Severity: finding.Warn, Title: "work that cannot be left half done",
		Explain: "Glue sets and paint runs whether the evening is over or not: a glue-up or a coat once begun must be finished. When it is longer than the longest " +
			"session, find a longer one, a second pair of hands, or do it in two glue-ups.",
	}
	ruleNoTime = finding.Rule{
		Name: "steps.no-time", Severity: finding.Warn, Title: "a week without time at the bench",
		Explain: "The file says none for the evenings and for the weekend, so nothing can be put into an order by day. The usual sessions are taken instead: two " +
			"hours on every evening, five hours on Saturday and Sunday.",
	}
	ruleKind = finding.Rule{
		Name: "steps.unknown-kind", Severity: finding.Warn, Title: "minutes for work of no known kind",
		Explain: "A name under work: minutes or work: waits is none that the order of work uses, so it changes nothing. docs/steps.md lists all of them.",
	}
	ruleFilmOnPaint = finding.Rule{
		Name: "steps.film-on-paint", Severity: finding.Warn, Title: "labels and film on fresh paint",
		Explain: "Paint gives off solvent and water for weeks after it is hard to the touch. Film or labels stuck on it too soon blister and peel. The trade waits " +
			"30 days, and up to 90. Rub-on letters, engraving, or printing under clear film on bare sheet need no such wait.",
	}
)

// Rules are what this trade may find.
var Rules = []finding.Rule{ruleCold, ruleHot, ruleOneGo, ruleNoTime, ruleKind, ruleFilmOnPaint}
