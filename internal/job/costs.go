package job

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/project"
	"knobwright/internal/trade/costing"
)

// triesInRun is how many cheaper ways are tried while the whole job runs: each judges the panel again.
const triesInRun = 3

// costs lists what is to be bought. Cheaper ways are looked for when there is a budget and it does not suffice: see Cheaper.
func costs(r *Result, doc *project.Doc, cat *catalog.Catalog) costing.Result {
	in := costInputs(r, doc, cat)
	c := costing.Work(in)
	if c.Budget > 0 && c.Total.Middle() > c.Budget {
		in.Try, in.Most = tries(r, doc, cat), triesInRun
		c = costing.Work(in)
	}
	return c
}

// Cheaper lists what is to be bought like the costs of a job, and tries what would make it cheaper, with or without a budget: the panel is judged again
// with every change.
func Cheaper(r *Result, doc *project.Doc, cat *catalog.Catalog) costing.Result {
	in := costInputs(r, doc, cat)
	in.Try = tries(r, doc, cat)
	return costing.Work(in)
}

func costInputs(r *Result, doc *project.Doc, cat *catalog.Catalog) costing.Inputs {
	in := costing.Inputs{
		Panel: r.Panel, Box: r.Box, Wiring: r.Wiring, Harness: r.Harness, Cat: cat,
		Budget: doc.File.Budget, BudgetPos: doc.Pos("budget"),
	}
	if len(doc.StockSrc) > 0 {
		in.Stock = costing.ReadStock(doc.StockName, doc.StockSrc)
	}
	return in
}

// tries gives what a change of the file leads to. Boards are not laid out on sheets anew: the sheets of the panel as it stands are taken.
func tries(r *Result, doc *project.Doc, cat *catalog.Catalog) func([]finding.Edit) (costing.Tried, bool) {
	base := Check(doc, cat)
	s0, w0, _ := finding.Count(base.Findings)
	return func(edits []finding.Edit) (costing.Tried, bool) {
		src, err := doc.Apply(edits)
		if err != nil {
			return costing.Tried{}, false
		}
		d := project.Read(doc.Name, src)
		then := Check(d, cat)
		stops, warns, _ := finding.Count(then.Findings)
		in := costInputs(then, doc, cat)
		in.Box.Plans = r.Box.Plans
		return costing.Tried{In: in, Stops: stops, Warns: warns, Before: [2]int{s0, w0}}, true
	}
}
