package packet

import (
	"fmt"

	"knobwright/internal/carcass"
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/trade/box"
	"knobwright/internal/view"
)

// boxPatterns are the boards that are cut on the slant, at true size over as many sheets as they need.
func boxPatterns(r *job.Result, d desk) *drawing.Document {
	doc := &drawing.Document{Title: "Patterns: " + joinTitle(d), Subject: "true size; print at 100 %"}
	done := map[string]bool{}
	for _, b := range r.Box.Boards {
		o := b.Board.OuterOutline
		slant := false
		for _, e := range b.Board.Edges {
			slant = slant || e.When == carcass.Taper
		}
		if !slant || o.Empty() || !b.Board.Role.Shell() {
			continue
		}
		if b.Pair != "" && done[b.Pair] && mirrored(r, b.Board, r.Panel.Carcass.Board(b.Pair)) {
			continue // the pattern of its fellow, turned over
		}
		done[b.Name] = true
		doc.Pages = append(doc.Pages, patternPages(r, d, b)...)
	}
	if len(doc.Pages) == 0 {
		return nil
	}
	return doc
}

func patternPages(r *job.Result, d desk, b box.BoardLine) []drawing.Page {
	s := view.BoardScene(b, r.Box)
	var thin []drawing.Item
	for _, it := range s.Items {
		if p, ok := it.(*drawing.Path); ok {
			q := *p
			q.Style.Fill = ""
			thin = append(thin, &q)
			continue
		}
		thin = append(thin, it)
	}
	t := newTiling(d, s.Bounds.Grow(1), nil)
	dia := t.diamonds(nil)
	heavy := cornerOf(b.Board)
	where := s.Bounds.Min.Add(v(10, 9))
	if heavy.top { // the lower edge is cut on the slant
		where.Y = s.Bounds.Max.Y - 13
	}
	name := drawing.Lettered(where, 4, drawing.Left, finding.Capital(b.Name)+", outer side")
	ps := pieces(append(append(thin, heavyCorner(b.Board.Datum, heavy)...), name))
	tiles := t.tiles()
	flat := &panel.Panel{Face: panel.Face{Width: s.Bounds.Max.X, Height: s.Bounds.Max.Y}}
	use := "True size. Stick it on the outer side; saw outside the line."
	if r.Box.Laser {
		use = "True size, to hold against what the laser has cut: outer side up."
	}
	sh := sheet{name: "Pattern: " + b.Name, use: use, cells: append(d.printCells(), d.panelCell())}
	if len(tiles) > 1 {
		sh.of = len(tiles)
	}
	var pages []drawing.Page
	for _, x := range tiles {
		sh.n, sh.where = x.n, t.where(x)
		if b.Pair != "" {
			way := "for this board only: the " + b.Pair + " has other holes"
			if mirrored(r, b.Board, r.Panel.Carcass.Board(b.Pair)) {
				way = "turn it over for the " + b.Pair
			}
			if sh.where != "" {
				way = sh.where + "; " + way
			}
			sh.where = way
		}
		page := drawing.Page{Width: t.w, Height: t.h, Name: fmt.Sprintf("Pattern %s %d", b.Name, x.n), Items: d.frame(t.w, t.h, sh)}
		page.Items = append(page.Items, &drawing.Group{Place: geom.Place{At: x.shift}, Items: t.draw(x, ps)})
		if heavy == (corner{}) { // its numbers begin at the lower left
			page.Items = append(page.Items, t.edgeRuler(x, flat)...)
		}
		page.Items = append(page.Items, t.seams(x, dia, nil)...)
		page.Items = append(page.Items, t.bars()...)
		pages = append(pages, page)
	}
	return pages
}
