package main

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"knobwright/internal/length"
)

// The lists of what a panel is made of besides parts: sheets, coverings, sets of bits, wire and what goes with it.
type (
	sheetsCmd    struct{}
	coveringsCmd struct{}
	bitsCmd      struct{}
	wiresCmd     struct{}
	smallsCmd    struct{}
)

func (sheetsCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	var rows [][3]string
	for _, id := range cat.SheetIDs() {
		if s, ok := cat.Sheet(id); ok {
			rows = append(rows, [3]string{id, length.Plain(s.Thickness()) + " mm", s.Title})
		}
	}
	return w.rows(a, rows, "Second column: the thickness to reckon with. In the file: sheet: NAME, or walls: NAME.")
}

func (coveringsCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	var rows [][3]string
	for _, id := range cat.CoveringIDs() {
		if c, ok := cat.Covering(id); ok {
			rows = append(rows, [3]string{id, length.Plain(c.Thickness.MM()) + " mm", c.Title})
		}
	}
	return w.rows(a, rows, "Second column: the thickness. In the file: covering: NAME.")
}

func (bitsCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	var rows [][3]string
	for _, id := range cat.BitSetIDs() {
		set, ok := cat.BitSet(id)
		if !ok {
			continue
		}
		bits := set.Bits()
		span := ""
		if n := len(bits); n > 0 {
			span = length.Plain(bits[0].Diameter) + " to " + length.Plain(bits[n-1].Diameter)
		}
		rows = append(rows, [3]string{id, span, set.Title})
	}
	return w.rows(a, rows, "Second column: sizes in mm. In the file, under tools:  bits: [NAME, ...]")
}

func (wiresCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	var rows [][3]string
	for _, id := range cat.WireIDs() {
		if x, ok := cat.Wire(id); ok {
			rows = append(rows, [3]string{id, length.Plain(math.Round(x.Copper()*1000)/1000) + " mm2", x.Title})
		}
	}
	return w.rows(a, rows, "Second column: section of the copper.")
}

func (smallsCmd) Run(w *world, a *app) error {
	cat, err := a.Parts.catalogue(w)
	if err != nil {
		return err
	}
	var rows [][3]string
	for _, id := range cat.SmallIDs() {
		if x, ok := cat.Small(id); ok {
			rows = append(rows, [3]string{id, x.Kind, x.Title})
		}
	}
	return w.rows(a, rows, "Second column: what it is.")
}

// rows prints a list of three columns, or the same as data.
func (w *world) rows(a *app, rows [][3]string, foot string) error {
	if a.JSON {
		enc := json.NewEncoder(w.out)
		enc.SetIndent("", "  ")
		var out []map[string]string
		for _, r := range rows {
			out = append(out, map[string]string{"name": r[0], "size": r[1], "title": r[2]})
		}
		return enc.Encode(out)
	}
	s := w.style()
	wide := 0
	for _, r := range rows {
		wide = max(wide, len(r[0]))
	}
	for _, r := range rows {
		fmt.Fprintf(w.out, "  %-*s  %-13s %s\n", wide, r[0], strings.TrimSpace(r[1]), s.Quiet(r[2]))
	}
	fmt.Fprintln(w.out, s.Quiet(foot))
	return nil
}
