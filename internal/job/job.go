// Package job runs the trades in order and holds all that they found. From file to findings it is one pure function: no
// clock, no disk, no environment.
package job

import (
	"slices"

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

// Result is everything known about one panel file.
type Result struct {
	File     project.File
	Panel    *panel.Panel
	Face     face.Result
	Drilling drilling.Result
	Sides    []Side            // the other boards that carry controls, in the order of Panel.Sides
	Box      box.Result        // empty without a box
	Wiring   wiring.Result     // what is joined to what; empty without controls
	Harness  harness.Result    // where wires run and how long they are; empty without a pin plan
	Firmware firmware.Result   // what the panel sends, and the image for the module
	Press    stiffness.Result  // how far the faces give under presses; empty after Check
	Steps    steps.Result      // the order of work; empty after Check
	Costs    costing.Result    // what is to be bought; empty after Check
	Findings []finding.Finding // all of them, sorted
	Version  string            // of the tool
}

// Run places the panel, lets the trades judge it, and gathers what all of them have to say: gravest first, then in file
// order, what the person keeps on purpose last. It never gives nil, also for a file that could not be read at all: then
// the panel is empty and the findings say why. The same document gives the same result.
func Run(doc *project.Doc, cat *catalog.Catalog) *Result {
	return with(doc, cat, drilling.Plan, box.Work, stiffness.Work)
}

// Check finds what Run finds, faster: the drilling jobs are left in reading order, and boards are not laid out on sheets, so that it
// cannot say whether the sheets on hand suffice; and how far the faces give under presses is not reckoned, which takes a tenth of
// a second and more (stiffness.Work says it of a placed panel). It serves what only asks whether the panel fits.
func Check(doc *project.Doc, cat *catalog.Catalog) *Result {
	return with(doc, cat, drilling.Judge, box.Judge, nil)
}

func with(doc *project.Doc, cat *catalog.Catalog, plan func(*panel.Panel) drilling.Result, build func(box.Order) box.Result, press func(*panel.Panel, *catalog.Catalog) stiffness.Result) *Result {
	r := &Result{File: doc.File}
	var placed []finding.Finding
	r.Panel, placed = panel.Place(doc, cat)
	all := append([]finding.Finding{}, doc.Findings...)
	all = append(all, placed...)
	all = append(all, ownLimits(doc, r.Panel)...)
	r.Panel.Limits.Used = map[string]bool{}
	r.Face = face.Check(r.Panel)
	all = append(all, r.Face.Findings...)
	if r.Panel.Face.HasSize() { // without a sheet there is nothing to drill
		r.Drilling = plan(r.Panel)
		all = append(all, r.Drilling.Findings...)
	}
	var more []finding.Finding
	r.Sides, more = sides(r.Panel, plan)
	all = append(all, more...)
	all = append(all, across(r.Panel)...)
	r.Wiring = wiring.Work(r.Panel, cat)
	all = append(all, r.Wiring.Findings...)
	r.Harness = harness.Work(r.Panel, r.Wiring, cat)
	all = append(all, r.Harness.Findings...)
	r.Firmware = firmware.Work(r.Panel, r.Wiring)
	all = append(all, r.Firmware.Findings...)
	order := box.FromPanel(r.Panel)
	order.Bundles = bundles(r)
	r.Box = build(order)
	all = append(all, r.Box.Findings...)
	if press != nil {
		r.Press = press(r.Panel, cat)
		all = append(all, r.Press.Findings...)
		r.Steps = steps.Work(toSteps(r))
		all = append(all, r.Steps.Findings...)
		r.Costs = costs(r, doc, cat)
		all = append(all, r.Costs.Findings...)
	}
	r.Findings = keepWith(doc, r.Panel, all, press != nil)
	if r.Panel.Units == "in" {
		inInches(r.Findings)
	}
	finding.Sort(r.Findings)
	r.Panel.Assumed = slices.Concat(r.Panel.Assumed, r.Press.Assumed, r.Steps.Assumed, assumedLimits(r.Panel))
	return r
}

// toSteps hands the order of work what the other trades decided.
func toSteps(r *Result) steps.Inputs {
	in := steps.Inputs{Panel: r.Panel, Drilling: r.Drilling, Box: r.Box, Wiring: r.Wiring, Harness: r.Harness, Firmware: r.Firmware}
	for i, s := range r.Sides {
		in.Sides = append(in.Sides, steps.Side{On: r.Panel.Sides[i].On, Panel: s.Panel, Drilling: s.Drilling})
	}
	return in
}

// bundles gives the box the free wire of each face as the harness lays it, so that both speak of the same length.
func bundles(r *Result) (out []box.Bundle) {
	c := r.Panel.Carcass
	if c == nil {
		return nil
	}
	for _, l := range r.Harness.Opening.Loops {
		for i, f := range c.Faces {
			if c.Boards[f.Board].Name == l.Board || i == 0 && l.Board == "face" {
				out = append(out, box.Bundle{Name: "the wires to " + l.To, Face: i, Path: l.Path, Diameter: l.Diameter, Long: l.Long})
				break
			}
		}
	}
	return out
}

// assumedLimits lists the limits that the trades asked for and that are taken on trust.
func assumedLimits(p *panel.Panel) []panel.Assumed {
	placed := map[string]bool{}
	for _, l := range panel.Usual {
		placed[l.Name] = true // listed when it is used
	}
	var out []panel.Assumed
	for _, l := range Limits() {
		if placed[l.Name] || !p.Limits.Used[l.Name] {
			continue
		}
		if a, ok := panel.AssumeLimit(l, p.Limits); ok {
			out = append(out, a)
		}
	}
	return out
}

// Order gives the order of work of a result. After Run it is there; after Check the drilling is put into its order first, which Check
// leaves out.
func Order(r *Result) steps.Result {
	if len(r.Steps.Steps) > 0 || r.Panel == nil || !r.Panel.Face.HasSize() {
		return r.Steps
	}
	in := toSteps(r)
	in.Drilling = drilling.Plan(r.Panel)
	for i := range in.Sides {
		in.Sides[i].Drilling = drilling.Plan(in.Sides[i].Panel)
	}
	return steps.Work(in)
}
