package studio

import (
	"math"
	"net/http"
	"sync"

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

	Rev   int      `json:"rev"`   // what it is a cut through: a revision, or that one changed by a trial
	Parts []string `json:"parts"` // SVG elements in the page's colours, mm from the upper left corner
	Same  []int    `json:"same"`  // of a trial: for each part, 1 + its number in the cut of the revision, where it is the same; its text is left out there
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
	parts, err := drawing.SVGParts(s.Scene, drawing.SVGOptions{Vars: true, Prefix: "cut-"})
	if err != nil {
		return nil
	}
	b := s.Scene.Bounds
	d.Up, d.Left, d.Top, d.Width, d.Height, d.Parts, d.Same = round(up), b.Min.X, b.Max.Y, b.Size().X, b.Size().Y, parts, []int{}
	if s.Deep != nil && !math.IsNaN(s.Under) {
		if room := s.Bottom.Y - s.Under; room >= 0 {
			d.Say = mm(p, room) + " left under " + s.Deep.Label
		} else {
			d.Say = s.Deep.Label + " reaches " + mm(p, -room) + " too deep"
		}
	}
	return d
}

// lastCut is the cut through a control of a revision, as the page has it while the control is dragged.
type lastCut struct {
	sync.Mutex
	rev int
	of  string
	at  map[string]int // 1 + its number, of each part
}

// spare leaves out of a trial's cut what the page has already, which is most of it: the boards stand still.
func (k *lastCut) spare(d *CutData, base *Look) {
	k.Lock()
	defer k.Unlock()
	if k.at == nil || k.rev != base.Rev || k.of != d.Of {
		k.rev, k.of, k.at = base.Rev, d.Of, map[string]int{}
		if was := cutThrough(base.Result.Panel, d.Of); was != nil {
			for i, s := range was.Parts {
				k.at[s] = i + 1
			}
		}
	}
	d.Same = make([]int, len(d.Parts))
	for i, s := range d.Parts {
		if n := k.at[s]; n > 0 {
			d.Same[i], d.Parts[i] = n, ""
		}
	}
}

func (v *Server) cut(w http.ResponseWriter, r *http.Request) {
	_, good, _ := v.session.Now()
	d := cutThrough(good.Result.Panel, r.URL.Query().Get("of"))
	if d != nil {
		d.Rev = good.Rev
	}
	if d == nil {
		say(w, http.StatusNotFound, "There is nothing to cut through yet.")
		return
	}
	answer(w, d)
}
