package studio

import (
	"math"
	"net/http"
	"reflect"
	"slices"
	"strings"

	"knobwright/internal/edit"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/face"
)

// Act does what a hand did on the drawing: the edits that it comes to are one step of the history.
func (s *Session) Act(a edit.Act) (edit.Done, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.refresh(); err != nil {
		return edit.Done{}, err
	}
	d, next, err := acted(s.look, a)
	if err != nil {
		return d, err
	}
	return d, s.change(next, d.Say, false)
}

// TryAct gives what is seen at once after an act, without saving anything, and the look that it was tried on.
func (s *Session) TryAct(a edit.Act) (base, after *Look, err error) {
	s.mu.Lock()
	base = s.look
	s.mu.Unlock()
	_, next, err := acted(base, a)
	if err != nil {
		return base, nil, err
	}
	doc, cat, r := s.touch(s.path, next)
	return base, &Look{Rev: base.Rev, Text: next, Doc: doc, Result: r, Catalog: cat}, nil
}

func acted(l *Look, a edit.Act) (edit.Done, []byte, error) {
	if l.Broken {
		_, err := l.Doc.Apply([]finding.Edit{})
		return edit.Done{}, nil, err
	}
	d, err := edit.Make(l.Doc, l.Result.Panel, l.Catalog, a)
	if err != nil {
		return d, nil, err
	}
	next, err := l.Doc.Apply(d.Edits)
	return d, next, err
}

// ActData is what an act led to.
type ActData struct {
	Look LookData `json:"look"`
	Note string   `json:"note"` // what was left out, and why
	Keep bool     `json:"keep"` // what is in hand stays in hand
	Hand []string `json:"hand"` // else: what is in hand now
}

// TryRequest asks what would be found after edits, or after an act.
type TryRequest struct {
	Say   string         `json:"say"`
	Edits []finding.Edit `json:"edits"`
	Act   *edit.Act      `json:"act,omitempty"`
	Cut   *string        `json:"cut,omitempty"` // draw the cut through this control too
	Had   int            `json:"had,omitempty"` // revision of the cut through it that the page has; 0 = none
}

// MovedData is a control that stands elsewhere than in the look, mm.
type MovedData struct {
	Name string  `json:"name"`
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
}

// moved lists the controls of the face that stand elsewhere after a trial.
func moved(before, after *panel.Panel) []MovedData {
	was := map[string]panel.Pt{}
	for _, c := range before.Controls {
		was[c.Name] = c.At
	}
	out := []MovedData{}
	for _, c := range after.Controls {
		if w, ok := was[c.Name]; !ok || math.Abs(w.X-c.At.X) > 1e-6 || math.Abs(w.Y-c.At.Y) > 1e-6 {
			out = append(out, MovedData{c.Name, round(c.At.X), round(c.At.Y)})
		}
	}
	return out
}

// acts are the ways to do what hands do.
func (v *Server) acts() {
	v.mux.HandleFunc("POST /api/act", v.act)
	v.mux.HandleFunc("POST /api/share", v.share)
	v.mux.HandleFunc("GET /api/rooms", v.rooms)
	v.mux.HandleFunc("GET /api/cut", v.cut)
	v.mux.HandleFunc("GET /api/parts/{id}", v.part)
	v.mux.HandleFunc("GET /api/names", v.names)
	v.mux.HandleFunc("POST /api/card", v.card)
	v.mux.HandleFunc("POST /api/card/save", v.saveCard)
}

func (v *Server) act(w http.ResponseWriter, r *http.Request) {
	a, ok := body[edit.Act](w, r)
	if !ok {
		return
	}
	d, err := v.session.Act(a)
	if err != nil {
		v.done(w, r, err)
		return
	}
	if n := v.session.noted(a); n != "" {
		d.Note = strings.TrimSpace(d.Note + " " + n)
	}
	now, good, trouble := v.session.Now()
	answer(w, ActData{Look: lookData(v.session, now, good, trouble), Note: d.Note, Keep: d.Hand == nil, Hand: lines(d.Hand)})
}

// try answers what would be found after edits or an act, and changes nothing.
func (v *Server) try(w http.ResponseWriter, r *http.Request) {
	q, ok := body[TryRequest](w, r)
	if !ok {
		return
	}
	d, cut, err := v.tried(q)
	if err != nil {
		say(w, http.StatusUnprocessableEntity, finding.Capital(err.Error()))
		return
	}
	d.Cut = cut()
	answer(w, d)
}

// tried tries something out; the cut through it is drawn when it is asked for.
func (v *Server) tried(q TryRequest) (d TryData, cut func() *CutData, err error) {
	var base, l *Look
	if q.Act != nil {
		base, l, err = v.session.TryAct(*q.Act)
	} else {
		base, _, _ = v.session.Now()
		l, err = v.session.Try(q.Edits)
	}
	if err != nil {
		return TryData{}, nil, err
	}
	return tryData(base, l), func() *CutData {
		if q.Cut == nil {
			return nil
		}
		d := cutThrough(l.Result.Panel, *q.Cut)
		if d != nil {
			d.Rev = base.Rev
			if q.Had == base.Rev {
				v.lastCut.spare(d, base)
			}
		}
		return d
	}, nil
}

func tryData(base, l *Look) TryData {
	d := TryData{Rev: base.Rev, Moved: moved(base.Result.Panel, l.Result.Panel), Findings: []finding.Finding{}, Order: []int{}}
	had := map[string][]int{}
	for i := range base.Result.Findings {
		f := &base.Result.Findings[i]
		had[f.Head] = append(had[f.Head], i)
	}
	for i := range l.Result.Findings {
		f := &l.Result.Findings[i]
		n := slices.IndexFunc(had[f.Head], func(j int) bool { return alike(f, &base.Result.Findings[j]) })
		if n >= 0 {
			d.Order = append(d.Order, had[f.Head][n])
			continue
		}
		d.Findings = append(d.Findings, *f)
		d.Order = append(d.Order, -len(d.Findings))
	}
	return d
}

// alike tells whether two findings say the same of the same things, wherever those stand in the text.
func alike(a, b *finding.Finding) bool {
	x, y := *a, *b
	x.Ends, y.Ends, x.Fixes, y.Fixes = nil, nil, nil, nil // fixes are of the text as it is, and not offered while a hand moves
	return slices.EqualFunc(a.Ends, b.Ends, func(p, q finding.End) bool { return p.Name == q.Name && p.Path == q.Path }) && reflect.DeepEqual(x, y)
}

// groups lists the rows, grids, arcs and images of the file as things to be taken in hand.
func groups(doc *project.Doc, p *panel.Panel) []edit.Group { return edit.Groups(doc, p) }

// RoomsData are the rings round a control that others have to stay out of.
type RoomsData struct {
	Of    string     `json:"of"`
	Rev   int        `json:"rev"`
	Rings []RingData `json:"rings"`
}

// RingData is one ring.
type RingData struct {
	What   string       `json:"what"`  // fingers, tool
	Short  string       `json:"short"` // fits beside the ring
	Say    string       `json:"say"`
	Points [][2]float64 `json:"points"` // mm, face frame
}

func (v *Server) rooms(w http.ResponseWriter, r *http.Request) {
	_, good, _ := v.session.Now()
	p, of := good.Result.Panel, r.URL.Query().Get("of")
	d := RoomsData{Of: of, Rev: good.Rev, Rings: []RingData{}}
	for _, x := range face.Rooms(p, of) {
		short := mm(p, x.Want) + " for fingers"
		if x.What == "tool" {
			short = mm(p, x.Want) + " for the tool"
		}
		d.Rings = append(d.Rings, RingData{x.What, short, x.Say(func(v float64) string { return mm(p, v) }), points(x.Outline)})
	}
	answer(w, d)
}

// mm prints a length in the person's unit.
func mm(p *panel.Panel, v float64) string {
	return length.Format(length.Length(v), length.Unit(p.Units))
}
