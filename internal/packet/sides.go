package packet

import (
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/job"
)

// sheetOf is one sheet that is drilled: the face, or another board of the box that carries controls, as if it were the face.
type sheetOf struct {
	r    *job.Result
	d    desk
	file string // start of its files' names: "face", "right-side"
}

// sheetsOf gives the face and then the other boards that carry controls.
func sheetsOf(r *job.Result, d desk) []sheetOf {
	out := []sheetOf{{r, d, "face"}}
	for _, s := range r.Sides {
		q := *r
		q.Panel, q.Face, q.Drilling, q.Sides = s.Panel, s.Face, s.Drilling, nil
		e := d
		e.board = s.Panel.Board
		out = append(out, sheetOf{&q, e, strings.ReplaceAll(s.Panel.Board, " ", "-")})
	}
	return out
}

// onEverySheet makes one document of a paper of each sheet; nil when there is none of any.
func onEverySheet(sheets []sheetOf, make func(*job.Result, desk) *drawing.Document) *drawing.Document {
	var all *drawing.Document
	for _, s := range sheets {
		doc := make(s.r, s.d)
		if doc == nil {
			continue
		}
		if s.d.board != "" {
			for i := range doc.Pages {
				doc.Pages[i].Name += ", " + s.d.board
			}
		}
		if all == nil {
			all = doc
			continue
		}
		all.Pages = append(all.Pages, doc.Pages...)
	}
	return all
}
