package studio

import (
	"math"
	"net/http"

	"knobwright/internal/drawing"
	"knobwright/internal/panel"
	"knobwright/internal/view"
)

// CutData is the cut level across the face through a control: it stands under the face, across at the same places.
type CutData struct {
	Of     string  `json:"of"`   // the control; "" = the deepest row
	Up     float64 `json:"up"`   // height of the cut on the face, mm
	Left   float64 `json:"left"` // across at the drawing's left edge, mm
	Top    float64 `json:"top"`  // how far its upper edge stands before the front of the face, mm
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
	Say    string  `json:"say"` // what is left under the deepest part: "15.9 mm to the floor under GO"
	SVG    string  `json:"svg"` // in the page's colours
}

// cutThrough draws the cut through a control of the face, or through the deepest row when there is none; nil when there is nothing to cut.
func cutThrough(p *panel.Panel, of string) *CutData {
	if !p.Face.HasSize() {
		return nil
	}
	var up float64
	ok, d := false, &CutData{}
	for _, c := range p.Controls {
		if c.Name == of {
			up, ok, d.Of = c.At.Y, true, of
		}
	}
	if !ok {
		up, ok = view.DeepestRow(p)
	}
	if !ok || up <= 0 || up >= p.Face.Height {
		return nil
	}
	s := view.NewSection(p, up)
	svg, err := drawing.SVGWith(s.Scene, drawing.SVGOptions{Vars: true, Prefix: "cut-"})
	if err != nil {
		return nil
	}
	b := s.Scene.Bounds
	d.Up, d.Left, d.Top, d.Width, d.Height, d.SVG = round(up), b.Min.X, b.Max.Y, b.Size().X, b.Size().Y, string(svg)
	if s.Deep != nil && !math.IsNaN(s.Under) {
		if room := s.Bottom.Y - s.Under; room >= 0 {
			d.Say = mm(p, room) + " left under " + s.Deep.Label
		} else {
			d.Say = s.Deep.Label + " reaches " + mm(p, -room) + " too deep"
		}
	}
	return d
}

func (v *Server) cut(w http.ResponseWriter, r *http.Request) {
	_, good, _ := v.session.Now()
	d := cutThrough(good.Result.Panel, r.URL.Query().Get("of"))
	if d == nil {
		say(w, http.StatusNotFound, "There is nothing to cut through yet.")
		return
	}
	answer(w, d)
}
