package costing

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

func practice(text string, c trust.Confidence) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: c}
}

// The numbers that decide.
var (
	limSpareBelow = finding.Limit{
		Name: "cost.spare-below", Default: 5, Means: "one spare of each kind of control that costs less than so much money, in the middle of its range",
		Source: practice("one extra of what is cheap saves waiting for the post", trust.Medium),
	}
	limSpareSmall = finding.Limit{
		Name: "cost.spare-small", Default: 10, Means: "per cent of spares of resistors, diodes, terminals, ties and screws, one at least",
		Source: practice("small parts fall, break and vanish", trust.Medium),
	}
	limSpareWire = finding.Limit{
		Name: "cost.spare-wire", Default: 15, Means: "per cent of wire and strip beyond what is cut",
		Source: practice("ends that are too short to be of use", trust.Medium),
	}
)

// Rules of this trade.
var (
	ruleBudget = finding.Rule{
		Name: "cost.over-budget", Severity: finding.Warn, Title: "the price against the budget",
		Explain: "The list of what is to be bought comes to more than budget: says. Prices are ranges of the trade: when even the least is above the " +
			"budget it is a warning, when only the middle is, a note. The changes offered have been tried: the panel was judged again with each. Write " +
			"what you have, and the prices of your shops, into the stock file, and the range becomes narrow.",
		Limits: []finding.Limit{limSpareBelow, limSpareSmall, limSpareWire},
	}
	ruleUnpriced = finding.Rule{
		Name: "cost.unpriced", Severity: finding.Note, Title: "things without a price",
		Explain: "A thing on the list has no price in the catalogue, or one in a currency that is not reckoned in. It is missing in the sums. Give it a " +
			"price in the stock file.",
	}
	ruleStockFile = finding.Rule{
		Name: "cost.stock-file", Severity: finding.Warn, Title: "the stock file",
		Explain: "The file with what is on hand and the prices of your shops cannot be read, or holds an amount or a price that is no number above zero. " +
			"What can be read counts, the rest is left out.",
	}
	ruleUnknown = finding.Rule{
		Name: "cost.unknown-thing", Severity: finding.Note, Title: "things on hand under a name like another one",
		Explain: "The stock file has a name that nothing on this list bears, but that is close to one that does: mistyped, it would not be counted.",
	}
	ruleBadBudget = finding.Rule{
		Name: "cost.bad-budget", Severity: finding.Warn, Title: "budgets that are no amount of money",
		Explain: "A budget is a number with three letters for the currency, as in 80 EUR. A price of the catalogue is in EUR; in another currency the " +
			"stock file gives the rate: how much of it one EUR is.",
	}
)

// Rules lists the rules of this trade.
var Rules = []finding.Rule{ruleBudget, ruleUnpriced, ruleStockFile, ruleUnknown, ruleBadBudget}
