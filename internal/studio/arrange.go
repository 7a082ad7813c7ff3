package studio

import (
	"context"
	"encoding/json"
	"net/http"
	"sync"
	"time"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/arrange"
)

// ArrangeRequest asks for arrangements of a board.
type ArrangeRequest struct {
	On   string   `json:"on"`   // the board, as the file says it; "" = the face
	Keep []string `json:"keep"` // names of controls and groups that stay, besides the pinned ones
	Seed int      `json:"seed"` // another number, other proposals
}

// ArrangeLine is one line of the answer: how far it is, and in the last one what came of it.
type ArrangeLine struct {
	Part   float64         `json:"part"` // 0 to 1
	Say    string          `json:"say"`
	Rev    int             `json:"rev"`    // of the text that is arranged
	Result *arrange.Result `json:"result"` // in the last line only
}

// BoardData is a board that carries controls, or is to carry some. Points are mm from its lower left corner, seen from outside.
type BoardData struct {
	On       string       `json:"on"`       // as the file says it; "" = the face
	Name     string       `json:"name"`     // in sentences: "the back"
	Board    string       `json:"board"`    // as controls say it; "" = the face
	Controls int          `json:"controls"` // on it, or for it
	Width    float64      `json:"width"`    // 0 = not known yet
	Height   float64      `json:"height"`   //
	Outline  [][2]float64 `json:"outline"`  //
	Behind   []ShapeData  `json:"behind"`   // walls, ribs and other boards behind it
	Holes    []ShapeData  `json:"holes"`    // screws and openings of it
}

// boards lists the face and the other boards that carry controls.
func boards(doc *project.Doc, p *panel.Panel) []BoardData {
	out := []BoardData{}
	for _, b := range arrange.Boards(doc, p) {
		d := BoardData{On: b.On, Name: b.Name, Board: b.Board, Controls: b.Controls, Outline: [][2]float64{}, Behind: []ShapeData{}, Holes: []ShapeData{}}
		for _, s := range p.Sheets() {
			if s.Board == b.Board && (b.Board != "" || b.On == "") {
				d.Width, d.Height, d.Outline, d.Behind, d.Holes = s.Face.Width, s.Face.Height, points(s.Face.Outline), behind(s), holes(s)
			}
		}
		out = append(out, d)
	}
	return out
}

// arranges adds the answers about arranging.
func (v *Server) arranges() {
	a := &arranging{}
	v.mux.HandleFunc("POST /api/arrange", func(w http.ResponseWriter, r *http.Request) { v.arrange(a, w, r) })
}

// arranging lets one search run at a time: a new one calls the one before off.
type arranging struct {
	mu   sync.Mutex
	stop context.CancelFunc
	busy sync.Mutex
}

// begin calls the search before off, waits for its end, and gives the context of a new one.
func (a *arranging) begin(ctx context.Context) (context.Context, func()) {
	ctx, stop := context.WithCancel(ctx)
	a.mu.Lock()
	if a.stop != nil {
		a.stop()
	}
	a.stop = stop
	a.mu.Unlock()
	a.busy.Lock()
	return ctx, func() {
		stop()
		a.busy.Unlock()
	}
}

// every is how often the page hears how far it is.
const every = 60 * time.Millisecond

// arrange answers line by line while it looks; whoever closes the connection calls it off.
func (v *Server) arrange(a *arranging, w http.ResponseWriter, r *http.Request) {
	q, ok := body[ArrangeRequest](w, r)
	if !ok {
		return
	}
	ctx, end := a.begin(r.Context())
	defer end()
	now, _, _ := v.session.Now()
	if now.Broken {
		say(w, http.StatusUnprocessableEntity, "The text cannot be read as it stands. Mend it on the File sheet, then arrange.")
		return
	}
	if no := arrange.Unknown(now.Result.Panel, q.Keep); len(no) > 0 {
		say(w, http.StatusUnprocessableEntity, "No control and no group is called "+no[0]+".")
		return
	}
	if no := arrange.NoBoard(now.Doc, now.Result.Panel, q.On); no != "" {
		say(w, http.StatusUnprocessableEntity, no)
		return
	}
	_, cat, _ := v.session.touch(v.session.path, now.Text)
	by := func(j Judge) arrange.Check {
		return func(d *project.Doc) (*panel.Panel, []finding.Finding) {
			_, _, r := j(v.session.path, d.Src)
			return r.Panel, r.Findings
		}
	}
	w.Header().Set("Content-Type", "application/x-ndjson; charset=utf-8")
	rc, enc := http.NewResponseController(w), json.NewEncoder(w)
	line := func(l ArrangeLine) {
		l.Rev = now.Rev
		_ = enc.Encode(l)
		_ = rc.Flush()
	}
	last := time.Now()
	line(ArrangeLine{Say: "Looking at the panel."})
	res := arrange.Work(ctx, arrange.Order{
		Doc: now.Doc, Cat: cat, Quick: by(v.session.touch), Full: by(v.session.judge), On: q.On, Keep: q.Keep, Seed: uint64(q.Seed),
		Progress: func(part float64, say string) {
			if t := time.Now(); t.Sub(last) >= every {
				last = t
				line(ArrangeLine{Part: part, Say: say})
			}
		},
	})
	if ctx.Err() == nil || r.Context().Err() == nil {
		line(ArrangeLine{Part: 1, Say: res.Say, Result: res})
	}
}
