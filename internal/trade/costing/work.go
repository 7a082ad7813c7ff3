package costing

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/trust"
	"knobwright/internal/yamlfile"
)

// Work lists what is to be bought and what it costs. It never panics on an unfinished panel: what is not decided yet is not on the list.
func Work(in Inputs) Result {
	r := price(in)
	if in.Panel == nil {
		return r
	}
	if in.Try != nil {
		r.Cheaper = cheaper(in, r)
	}
	r.judge(in)
	return r
}

// price is Work without judgement.
func price(in Inputs) Result {
	r := Result{Currency: "EUR"}
	if in.Stock.Currency != "" {
		r.Currency = in.Stock.Currency
	}
	budget, cur, ok := readBudget(in.Budget)
	if ok {
		r.Budget = budget
		if in.Stock.Currency == "" {
			r.Currency = cur
		}
	}
	if in.Panel == nil {
		return r
	}
	rate := 1.0
	if in.Stock.Rate > 0 {
		rate = in.Stock.Rate
	}
	c := &counter{in: in, p: in.Panel, rate: rate, cur: r.Currency, by: map[string]*Line{}}
	c.count()
	slices.SortStableFunc(c.lines, func(a, b *Line) int {
		return cmp.Compare(slices.Index(SectionNames, a.Section), slices.Index(SectionNames, b.Section))
	})
	for _, l := range c.lines {
		if r.Currency != "EUR" && rate == 1 && l.Priced && in.Stock.Rate <= 1 && !ownRate(in) {
			l.Priced, l.one = false, Range{} // euros cannot be told in another currency without its rate
		}
		r.Lines = append(r.Lines, settle(*l, in))
	}
	r.sum()
	r.shops(in.Stock)
	return r
}

// ownRate reports whether the person gave a rate.
func ownRate(in Inputs) bool { _, ok := in.Stock.pos["rate"]; return ok }

// settle adds spares, takes off what is on hand, and makes packs.
func settle(l Line, in Inputs) Line {
	lim := in.Panel.Limits
	l.Use = round(l.Use, 1000)
	own, ownTo := math.Inf(1), 0.0
	for _, s := range in.Stock.Shops {
		if p := s.Price[priceName(l)]; p > 0 {
			own, ownTo = min(own, p), max(ownTo, p)
		}
	}
	if ownTo > 0 {
		l.one, l.Priced = Range{own, ownTo}, true
		l.Source = trust.Source{Text: "prices in your stock file", Provenance: trust.Yours, Confidence: trust.High}
		if l.Unit == "" && l.Section != SmallParts && l.Section != Screws {
			l.Pack = 1
		}
		if l.Section == Sheets { // the price of a square metre
			l.one = l.one.Times(areaOf(l.Size))
		}
	}
	percent := func(limit finding.Limit, why string) {
		v := lim.Value(limit)
		if v <= 0 {
			return
		}
		l.Spare, l.Why = l.Use*v/100, why
		if l.Unit == "" {
			l.Spare = max(1, math.Ceil(l.Use*v/100-1e-9))
		}
	}
	switch {
	case l.Use <= 0:
	case l.Section == Controls && (l.class != "" || strings.HasPrefix(l.ID, "knob ")):
		if below := lim.Value(limSpareBelow); l.Priced && l.one.Middle() < below {
			l.Spare, l.Why = 1, fmt.Sprintf("one of each kind below %s", money(below))
		}
	case l.Section == Wire || l.Section == Timber:
		percent(limSpareWire, "ends too short to use")
	case l.Section == SmallParts && l.Unit == "" && !strings.HasPrefix(l.ID, "solder"), l.Section == Screws && !strings.HasPrefix(l.ID, "foot"):
		percent(limSpareSmall, "small parts get lost")
	case l.Section == SmallParts && l.Unit == "m":
		percent(limSpareWire, "ends too short to use")
	}
	l.Spare = round(l.Spare, 100)
	want := l.Use + l.Spare
	l.Have = min(want, l.Have+in.Stock.Have[l.ID])
	l.Buy = max(0, round(want-l.Have, 1000))
	if l.Pack <= 0 {
		l.Pack = 1
	}
	l.Packs = int(math.Ceil(l.Buy/l.Pack - 1e-9))
	l.Each = l.one.Times(l.Pack)
	l.Sum = l.Each.Times(float64(l.Packs))
	return l
}

// priceName is the name under which a shop lists a line: of sheets that of the material.
func priceName(l Line) string {
	if l.Section == Sheets {
		return strings.TrimSuffix(l.ID, " "+l.Size)
	}
	return l.ID
}

func areaOf(size string) float64 {
	var w, h float64
	if _, err := fmt.Sscanf(size, "%f x %f", &w, &h); err != nil {
		return 0
	}
	return w * h / 1e6
}

// sum adds up sections and all.
func (r *Result) sum() {
	for _, name := range SectionNames {
		s, some := Section{Name: name}, false
		for _, l := range r.Lines {
			if l.Section == name {
				s.Sum, some = s.Sum.Add(l.Sum), true
			}
		}
		if some {
			r.Sections = append(r.Sections, s)
			r.Total = r.Total.Add(s.Sum)
		}
	}
	for _, l := range r.Lines {
		r.Whole = r.Whole.Add(l.one.Times(l.Use))
		if !l.Priced && l.Packs > 0 {
			r.Unpriced++
		}
	}
}

// readBudget reads "80 EUR", "EUR 80" or "80".
func readBudget(s string) (v float64, cur string, ok bool) {
	s = strings.TrimSpace(s)
	cur = "EUR"
	if f := strings.Fields(s); len(f) == 2 && currencyWord(strings.ToUpper(f[0])) {
		s = f[1] + " " + f[0]
	}
	v, unit, ok := Amount{s}.number()
	if !ok || v <= 0 {
		return 0, cur, false
	}
	if unit != "" {
		cur = strings.ToUpper(unit)
		if !currencyWord(cur) {
			return 0, "EUR", false
		}
	}
	return v, cur, true
}

// judge says what is to be said.
func (r *Result) judge(in Inputs) {
	r.Findings = append(r.Findings, in.Stock.Findings...)
	end := finding.End{Name: "the budget", Path: "budget", Pos: in.BudgetPos}
	if in.Budget != "" {
		if _, cur, ok := readBudget(in.Budget); !ok {
			r.Findings = append(r.Findings, finding.Finding{
				Rule: ruleBadBudget.Name, Severity: ruleBadBudget.Severity, Head: fmt.Sprintf("The budget %q is no amount of money.", in.Budget),
				Body: "Write a number above zero and the currency: 80 EUR.", Ends: []finding.End{end},
			})
		} else if in.Stock.Currency != "" && cur != in.Stock.Currency {
			r.Findings = append(r.Findings, finding.Finding{
				Rule: ruleBadBudget.Name, Severity: ruleBadBudget.Severity, Head: fmt.Sprintf("The budget is in %s, the stock file in %s.", cur, in.Stock.Currency),
				Body: "It is read as " + in.Stock.Currency + ". Write both in one currency.", Ends: []finding.End{end},
			})
		}
	}
	r.unpriced(end)
	r.mistyped(in)
	r.overBudget(end)
}

func (r *Result) unpriced(end finding.End) {
	if r.Unpriced == 0 {
		return
	}
	var names []string
	for _, l := range r.Lines {
		if !l.Priced && l.Packs > 0 {
			names = append(names, l.ID)
		}
	}
	body := "The sums leave them out. Give prices under shops: in the stock file."
	if r.Currency != "EUR" {
		body = "Prices of the catalogue are in EUR: write rate: in the stock file, how much " + r.Currency + " one EUR is, or prices of your shops."
	}
	end.Name = "the list"
	r.Findings = append(r.Findings, finding.Finding{
		Rule: ruleUnpriced.Name, Severity: ruleUnpriced.Severity, Head: finding.Capital(plural(len(names), "thing", "things")) + " on the shopping list " + verb(len(names), "has", "have") + " no price: " + few(names) + ".",
		Body: body, Ends: []finding.End{end},
	})
}

func verb(n int, one, many string) string {
	if n == 1 {
		return one
	}
	return many
}

func few(names []string) string {
	if len(names) > 3 {
		return strings.Join(names[:2], ", ") + fmt.Sprintf(" and %d more", len(names)-2)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// mistyped looks for names in the stock file that are close to one on the list, but are none.
func (r *Result) mistyped(in Inputs) {
	var names []string
	for _, l := range r.Lines {
		names = append(names, l.ID)
	}
	for _, k := range slices.Sorted(maps.Keys(in.Stock.Have)) {
		if slices.Contains(names, k) || known(in, k) {
			continue
		}
		if n := yamlfile.Nearest(k, names); n != "" {
			r.Findings = append(r.Findings, finding.Finding{
				Rule: ruleUnknown.Name, Severity: ruleUnknown.Severity, Head: fmt.Sprintf("The stock file has %s, which is no thing on this list.", k),
				Body: fmt.Sprintf("Did you mean %s?", n), Ends: []finding.End{{Name: "the stock file", Pos: in.Stock.pos["have."+k]}},
			})
		}
	}
}

// known reports whether a name on the shelf is a thing of the catalogue that this panel does not use.
func known(in Inputs, k string) bool {
	head, _, _ := strings.Cut(k, " ")
	if in.Cat == nil {
		return false
	}
	_, a := in.Cat.Part(head)
	_, b := in.Cat.Sheet(head)
	_, c := in.Cat.Wire(head)
	_, d := in.Cat.Small(head)
	_, e := in.Cat.Covering(head)
	_, f := sundries[head]
	return a || b || c || d || e || f || head == "screw"
}

func (r *Result) overBudget(end finding.End) {
	if r.Budget <= 0 || r.Total.Middle() <= r.Budget+0.005 {
		return
	}
	sev := finding.Note
	if r.Total.From > r.Budget {
		sev = finding.Warn
	}
	f := finding.Finding{
		Rule: ruleBudget.Name, Severity: sev, Head: fmt.Sprintf("What is to be bought comes to %s to %s %s; the budget is %s.", money(r.Total.From), money(r.Total.To), r.Currency, money(r.Budget)),
		Body:    fmt.Sprintf("In the middle %s too much. What goes into the panel itself, packs split, is worth %s to %s.", money(r.Total.Middle()-r.Budget), money(r.Whole.From), money(r.Whole.To)),
		Ends:    []finding.End{end},
		Measure: &finding.Measure{Have: round(r.Total.Middle(), 100), Want: r.Budget, Unit: r.Currency, Sense: finding.AtMost},
		Why:     "Prices are ranges of the trade.", Source: practice("prices of the catalogue", trust.Low),
	}
	for _, c := range r.Cheaper {
		if len(c.Fix.Edits) > 0 && c.After == 0 {
			f.Fixes = append(f.Fixes, c.Fix)
		}
	}
	if len(r.Cheaper) > 0 {
		f.Body += " " + r.Cheaper[0].Say
	}
	r.Findings = append(r.Findings, f)
}

func money(v float64) string { return fmt.Sprintf("%.2f", v) }
