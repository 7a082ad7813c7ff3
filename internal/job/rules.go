//go:generate go run ./rulesgen ../../docs/rules.md

package job

import (
	"cmp"
	"slices"
	"sync"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/box"
	"knobwright/internal/trade/costing"
	"knobwright/internal/trade/drilling"
	"knobwright/internal/trade/face"
	"knobwright/internal/trade/firmware"
	"knobwright/internal/trade/harness"
	"knobwright/internal/trade/steps"
	"knobwright/internal/trade/stiffness"
	"knobwright/internal/trade/wiring"
)

var (
	ruleUnknownLimit = finding.Rule{
		Name: "file.unknown-limit", Severity: finding.Warn, Title: "limits that no rule asks for",
		Explain: "A number under limits: has a name that no rule knows, so it changes nothing. Usually the name is mistyped; " +
			"`knobwright explain` lists each rule with its limits.",
	}
	ruleBadLimit = finding.Rule{
		Name: "file.bad-limit", Severity: finding.Stop, Title: "limits with a wrong unit, or below zero",
		Explain: "A limit of your own stands in a unit that its rule cannot use (an angle where a length is wanted), or is below " +
			"zero. The usual number is used until it is mended.",
	}
	ruleKeepStop = finding.Rule{
		Name: "file.keep-stop", Severity: finding.Note, Title: "stops that the file wants to keep",
		Explain: "A stop says that a thing cannot be built or will do harm, so it cannot be kept out of sight: the finding stays. If " +
			"the limit behind it is wrong for you, write your own under limits:, or change the panel.",
	}
	ruleKeepUnused = finding.Rule{
		Name: "file.keep-unused", Severity: finding.Note, Title: "keeps that match nothing",
		Explain: "An entry under keep: matches no finding: what it was about is gone, or the rule or the names in it are mistyped. " +
			"Take it out, so that it does not hide something new one day.",
	}
)

// gathered is made once: the rules do not change.
var gathered = sync.OnceValue(func() []finding.Rule {
	var all []finding.Rule
	for _, list := range [][]finding.Rule{
		project.Rules, catalog.Rules, panel.Rules, face.Rules, drilling.Rules, box.Rules, wiring.Rules, harness.Rules, firmware.Rules, stiffness.Rules, steps.Rules, costing.Rules,
		{ruleAcross, ruleUnknownLimit, ruleBadLimit, ruleKeepStop, ruleKeepUnused},
	} {
		all = append(all, list...)
	}
	slices.SortStableFunc(all, func(a, b finding.Rule) int { return cmp.Compare(a.Name, b.Name) })
	return all
})

// Rules are all rules of all packages, by name.
func Rules() []finding.Rule { return slices.Clone(gathered()) }

// Limits are all numbers that the file may override under limits:, by name.
func Limits() []finding.Limit {
	var all []finding.Limit
	for _, r := range gathered() {
		all = append(all, r.Limits...)
	}
	all = append(all, panel.Usual...)
	slices.SortStableFunc(all, func(a, b finding.Limit) int { return cmp.Compare(a.Name, b.Name) })
	return slices.CompactFunc(all, func(a, b finding.Limit) bool { return a.Name == b.Name })
}
