package job

import (
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/face"
)

// Touch finds what a hand that moves a control must know at once: what is placed where, and what meets what before and behind the face.
// Drilling, box, wiring and firmware are left out; Check tells them when the hand lets go. Its findings are a part of those of Check.
func Touch(doc *project.Doc, cat *catalog.Catalog) *Result {
	r := &Result{File: doc.File}
	var placed []finding.Finding
	r.Panel, placed = panel.Place(doc, cat)
	all := append([]finding.Finding{}, doc.Findings...)
	all = append(all, placed...)
	ownLimits(doc, r.Panel) // takes numbers that cannot be used out of force; Check tells of them
	r.Face = face.Touch(r.Panel)
	all = append(all, r.Face.Findings...)
	all = append(all, across(r.Panel)...)
	r.Findings = keep(doc, r.Panel, all)
	if r.Panel.Units == "in" {
		inInches(r.Findings)
	}
	finding.Sort(r.Findings)
	return r
}
