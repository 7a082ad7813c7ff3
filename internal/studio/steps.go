package studio

import (
	"net/http"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"knobwright/internal/drawing"
	"knobwright/internal/drawing/solid"
	"knobwright/internal/edit"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	notes "knobwright/internal/record"
	"knobwright/internal/record/shelf"
	"knobwright/internal/trade/drilling"
	"knobwright/internal/trade/steps"
	"knobwright/internal/words"
)

// StepsData is the order of work as the page shows it, with what is ticked off.
type StepsData struct {
	Rev     int                 `json:"rev"`     // of the text that it belongs to
	Stops   int                 `json:"stops"`   // stops of the panel: nothing should be cut yet
	Halt    string              `json:"halt"`    // the same as a sentence; "" = it may be cut
	Order   steps.Said          `json:"order"`   //
	Boards  []StepBoard         `json:"boards"`  // that something is drilled in
	Places  map[string]StepSpot `json:"places"`  // of lines to tick, by step/item
	Units   string              `json:"units"`   // mm or in
	Langs   []string            `json:"langs"`   //
	Trouble string              `json:"trouble"` // why ticks cannot be read; "" = they are
}

// StepBoard is a board that is drilled: its outline, seen from the front or from outside, mm.
type StepBoard struct {
	Slug    string       `json:"slug"` // "" = the face
	Width   float64      `json:"width"`
	Height  float64      `json:"height"`
	Outline [][2]float64 `json:"outline"`
	Holes   []StepHole   `json:"holes"`
}

// StepHole is an opening of a board.
type StepHole struct {
	N      int          `json:"n"`
	Name   string       `json:"name"`
	Points [][2]float64 `json:"points"`
}

// StepSpot is where a line to tick belongs on a board.
type StepSpot struct {
	Board  string  `json:"board"`
	Hole   int     `json:"hole"`   // 0 = none: a control
	Last   bool    `json:"last"`   // the hole has its size after it
	X      float64 `json:"x"`      //
	Y      float64 `json:"y"`      //
	Name   string  `json:"name"`   // as people call it
	Big    string  `json:"big"`    // the one number for the hand; "" = none
	Unit   string  `json:"unit"`   // of it
	Under  string  `json:"under"`  // one sentence
	Across string  `json:"across"` // from the left edge, as text
	Up     string  `json:"up"`     // from the lower edge
	RPM    string  `json:"rpm"`    // turns a minute, "400 to 600"; "" = by hand
}

// TickRequest ticks a step or a line of one off, or takes the tick back.
type TickRequest struct {
	ID   string `json:"id"`
	Done bool   `json:"done"`
	Note string `json:"note"`
	Lang string `json:"lang"`
}

// ordered is the order of work of one revision.
type ordered struct {
	mu    sync.Mutex
	rev   int
	look  *Look
	order steps.Result
	data  StepsData // without what is said
}

func (v *Server) orders() {
	o := &ordered{}
	v.mux.HandleFunc("GET /api/steps", func(w http.ResponseWriter, r *http.Request) { v.steps(w, o, r.URL.Query().Get("lang")) })
	v.mux.HandleFunc("POST /api/tick", func(w http.ResponseWriter, r *http.Request) { v.tick(w, r, o) })
	v.mux.HandleFunc("GET /api/steps/box.svg", v.boxPicture)
}

// of gives the order of work of the last good text; it is made when it is asked for, and kept until the text changes.
func (o *ordered) of(s *Session) (steps.Result, StepsData) {
	_, good, _ := s.Now()
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.look == good {
		return o.order, o.data
	}
	p := good.Result.Panel
	o.look, o.rev = good, good.Rev
	o.order = job.Order(good.Result)
	o.data = StepsData{Rev: good.Rev, Boards: []StepBoard{}, Places: map[string]StepSpot{}, Units: p.Units, Langs: []string{}}
	for _, f := range good.Result.Findings {
		if f.Kept == "" && f.Severity.String() == "stop" {
			o.data.Stops++
		}
	}
	for _, l := range words.Langs() {
		o.data.Langs = append(o.data.Langs, string(l))
	}
	if !p.Face.HasSize() {
		return o.order, o.data
	}
	o.data.board("", "face", p)
	for i, x := range good.Result.Sides {
		o.data.board(p.Sides[i].On, p.Sides[i].On, x.Panel)
	}
	return o.order, o.data
}

// board adds a board and the places of its lines.
func (d *StepsData) board(slug, id string, p *panel.Panel) {
	plan := drilling.Plan(p)
	b := StepBoard{Slug: slug, Width: p.Face.Width, Height: p.Face.Height, Outline: points(p.Face.Outline), Holes: []StepHole{}}
	for _, h := range plan.Holes {
		b.Holes = append(b.Holes, StepHole{N: h.N, Name: h.Name, Points: points(h.Cut.Outline)})
	}
	d.Boards = append(d.Boards, b)
	size := func(v float64) (string, string) {
		if p.Units == "in" {
			return strings.TrimSuffix(length.Inches(length.Length(v)), " in"), "in"
		}
		return length.Plain(float64(int(v*10+0.5)) / 10), "mm"
	}
	for _, j := range plan.Jobs {
		s := StepSpot{Board: slug, Hole: j.Hole, Last: j.Last, X: j.At.X, Y: j.At.Y, Under: j.Say}
		v := j.Bit.Diameter
		for _, h := range plan.Holes {
			if h.N == j.Hole {
				s.Name = h.Name
				if j.Do == "step" {
					v = h.Size
				}
			}
		}
		if v > 0 {
			s.Big, s.Unit = size(v)
		}
		s.Across, _ = size(j.At.X)
		s.Up, _ = size(j.At.Y)
		if j.RPMHigh > 0 {
			s.RPM = strconv.Itoa(j.RPMHigh)
			if j.RPMLow > 0 && j.RPMLow < j.RPMHigh {
				s.RPM = strconv.Itoa(j.RPMLow) + "–" + s.RPM
			}
		}
		d.Places["drill-"+id+"/"+strconv.Itoa(j.N)] = s
	}
	for _, c := range p.Controls {
		s := StepSpot{Board: slug, X: c.At.X, Y: c.At.Y, Name: c.Label}
		for _, step := range []string{"fit-", "mount-"} {
			d.Places[step+id+"/"+c.Name] = s
		}
	}
}

// said puts ticks and words to an order of work.
func (v *Server) said(o *ordered, lang string) StepsData {
	order, d := o.of(v.session)
	l := words.English
	for _, x := range words.Langs() {
		if string(x) == lang {
			l = x
		}
	}
	rec, err := shelf.Load(v.session.path)
	if err != nil {
		d.Trouble = err.Error()
		rec = &notes.Record{}
	}
	d.Halt = ""
	if d.Stops > 0 {
		d.Halt = l.Say(words.T("steps.page.stops", "n", d.Stops))
	}
	d.Order = order.Say(l, func(id string) (string, string, bool) {
		t, ok := rec.Ticks[id]
		return t.On, t.Note, ok
	})
	return d
}

func (v *Server) steps(w http.ResponseWriter, o *ordered, lang string) { answer(w, v.said(o, lang)) }

// noteMost is the longest note that goes with a tick.
const noteMost = 2000

func (v *Server) tick(w http.ResponseWriter, r *http.Request, o *ordered) {
	q, ok := body[TickRequest](w, r)
	if !ok {
		return
	}
	order, _ := o.of(v.session)
	switch {
	case !order.Knows(q.ID) && q.Done:
		say(w, http.StatusUnprocessableEntity, "That step is not in the order of work any more; the list has been made anew.")
		return
	case len(q.Note) > noteMost:
		say(w, http.StatusUnprocessableEntity, "The note is too long.")
		return
	}
	err := shelf.Change(v.session.path, func(rec *notes.Record) error {
		if !q.Done {
			rec.SetTick(q.ID, nil)
			return nil
		}
		rec.SetTick(q.ID, &notes.Tick{On: time.Now().Format("2006-01-02"), Note: q.Note})
		return nil
	})
	if err != nil {
		say(w, http.StatusUnprocessableEntity, "The tick was not written: "+err.Error()+".")
		return
	}
	v.session.nudge()
	v.steps(w, o, q.Lang)
}

// noted says that the record at the bench still has old names, after controls were renamed or taken out; "" = it has none of them.
func (s *Session) noted(a edit.Act) string {
	if a.Do != "rename" && a.Do != "remove" {
		return ""
	}
	rec, err := shelf.Load(s.path)
	if err != nil {
		return ""
	}
	about := func(id string) bool {
		return slices.ContainsFunc(strings.Split(id, "/"), func(s string) bool { return slices.Contains(a.Names, s) })
	}
	n := 0
	for id := range rec.Ticks {
		if about(id) {
			n++
		}
	}
	for _, t := range rec.Tests {
		if about(t.Line) {
			n++
		}
	}
	for _, f := range rec.Facts {
		if slices.ContainsFunc(f.Of, func(s string) bool { return slices.Contains(a.Names, s) }) {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return "What was ticked, tested or built of it stays in " + notes.Beside(filepath.Base(s.path)) + " under the old name; it is not lost, and undo brings both together again."
}

// nudge tells all pages to look again, although the text is as it was.
func (s *Session) nudge() {
	s.mu.Lock()
	defer s.mu.Unlock()
	for c := range s.subs {
		select {
		case c <- s.rev:
		default: // it has one waiting already
		}
	}
}

// boxPicture draws the box from the front corner.
func (v *Server) boxPicture(w http.ResponseWriter, _ *http.Request) {
	_, good, _ := v.session.Now()
	var m *solid.Model
	var err error
	if v.rim.Solids != nil {
		m, err = v.rim.Solids(good)
	}
	if err != nil || m == nil {
		say(w, http.StatusNotFound, "There is no box yet, or its boards cannot be made.")
		return
	}
	view := solid.Isometric()
	items, err := m.Drawing(view)
	if err != nil {
		say(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	data, err := drawing.SVG(&drawing.Scene{Bounds: m.Extent(view).Grow(2), Items: items})
	if err != nil {
		say(w, http.StatusUnprocessableEntity, err.Error())
		return
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, _ = w.Write(data)
}
