// Package arrange is the trade of arranging: better places for the controls of a face. It turns a placed panel into a problem of package
// place, and what that finds into edits of the file that keep the person's way of writing places. Every proposal is checked as a whole
// by a function that it is given, before it is shown.
package arrange

import (
	"context"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/solve/place"
	"knobwright/internal/trade/face"
)

// Check reads a text and says what is found in it.
type Check func(doc *project.Doc) (*panel.Panel, []finding.Finding)

// Order is what is asked for.
type Order struct {
	Doc      *project.Doc
	Cat      *catalog.Catalog
	Quick    Check    // what is met at once: a sieve before Full
	Full     Check    // all that counts for a proposal
	On       string   // the board, as the file says it: back, left, upper; "" or face = the face
	Keep     []string // controls and groups that stay where they are, besides the pinned ones
	Seed     uint64   // another seed, other proposals
	Most     int      // proposals; 0 = 3
	Work     int64    // how much is reckoned, 0 = as much as takes about a second
	Progress func(part float64, say string)
}

// Result is what came of it.
type Result struct {
	Say       string     `json:"say"`       // in a sentence or two
	On        string     `json:"on"`        // the board that is arranged, as the file says it; "" = the face
	Proposals []Proposal `json:"proposals"` // best first of each kind; fewer than asked for when no more were found
	Now       *Score     `json:"now"`       // of the panel as it is; nil while controls have no place
	Stays     []Stay     `json:"stays"`     // what is not moved
	Moves     []string   `json:"moves"`     // what may be moved, by the names that sentences use
	Crowd     *Crowd     `json:"crowd"`     // when there is too little area
	Refused   int        `json:"refused"`   // arrangements that were found and then not shown, because the whole check had something against them
	Stopped   bool       `json:"stopped"`   // it was called off before the end
	Hopeless  bool       `json:"hopeless"`  // it is proven that nothing can be valid
}

// Proposal is one arrangement that holds: no stop and nothing about room, edges and bodies that was not there before.
type Proposal struct {
	Name     string         `json:"name"` // what it looks for: "Near to what you have"
	Say      string         `json:"say"`  // what moves, in a sentence
	Score    float64        `json:"score"`
	Terms    []Term         `json:"terms"`
	Spots    []Spot         `json:"spots"` // where each control of the board would stand
	Moved    int            `json:"moved"` // controls that stand elsewhere
	Farthest float64        `json:"farthest"`
	Counts   [3]int         `json:"counts"` // stops, warnings, notes after it
	Was      [3]int         `json:"was"`    // and now
	Edits    []finding.Edit `json:"edits"`
	Text     []byte         `json:"-"` // the file after it
	Panel    *panel.Panel   `json:"-"` // the board placed after it
}

// Score is a sum of terms, lower is better.
type Score struct {
	Total float64 `json:"total"`
	Terms []Term  `json:"terms"`
}

// Term is one summand of a score.
type Term struct {
	Name   string   `json:"name"`
	Say    string   `json:"say"` // "off line by 1.2 mm in the mean"
	Have   float64  `json:"have"`
	Was    *float64 `json:"was"` // now; nil while controls have no place
	Want   float64  `json:"want"`
	Unit   string   `json:"unit"` // mm, or "" for a count
	Points float64  `json:"points"`
	Why    string   `json:"why"`
}

// Spot is where a control would stand.
type Spot struct {
	Control string  `json:"control"`
	X       float64 `json:"x"`
	Y       float64 `json:"y"`
	DX      float64 `json:"dx"` // from where it stands now; 0 for one that had no place
	DY      float64 `json:"dy"`
	New     bool    `json:"new"`    // it had no place
	Wide    float64 `json:"wide"`   // what it shows in front, at rest
	High    float64 `json:"high"`   //
	Across  float64 `json:"across"` // from its place to the middle of that
	Up      float64 `json:"up"`     //
}

// Stay is something that is not moved.
type Stay struct {
	Name string `json:"name"`
	Why  string `json:"why"`
}

// Crowd says that there is too little area.
type Crowd struct {
	What string  `json:"what"` // whose area: "fronts"
	Need float64 `json:"need_cm2"`
	Have float64 `json:"have_cm2"`
	Room bool    `json:"room"` // it is about finger room and air: without them they may fit
}

// Work looks for arrangements. It never gives nil. The same order gives the same result, unless the context ends.
func Work(ctx context.Context, o Order) *Result {
	o.On = plainBoard(o.On)
	r := &Result{Proposals: []Proposal{}, Stays: []Stay{}, Moves: []string{}, On: o.On}
	if o.Most <= 0 {
		o.Most = 3
	}
	told, tell := 0.0, o.Progress
	o.Progress = func(part float64, say string) { // it only grows
		told = min(max(told, part), 1)
		if tell != nil {
			tell(told, say)
		}
	}
	o.Progress(0, "Looking at the panel.")
	j := &job{Order: o, r: r}
	if !j.read() {
		return r
	}
	j.gather()
	j.say()
	if len(j.units) == 0 {
		r.Say = "There is nothing to arrange: no control may be moved."
		if len(j.p.Controls)+len(j.whole.Waiting) == 0 {
			r.Say = "There is nothing to arrange yet: " + j.name() + " has no control."
		}
		return r
	}
	if len(j.units) > mostUnits {
		r.Say = "There are " + count(len(j.units)) + " things to move, more than " + count(mostUnits) + ": too many to arrange at once. Keep some where they are."
		return r
	}
	j.problem()
	if ctx.Err() != nil {
		r.Stopped = true
		r.Say = stoppedSay
		return r
	}
	j.propose(ctx)
	return r
}

// mostUnits is how many things are arranged at once.
const mostUnits = 400

// job is an order under work.
type job struct {
	Order
	r       *Result
	before  []finding.Finding // of the file as it is
	doc     *project.Doc      // the file, with a place for each control that had none
	whole   *panel.Panel      // of doc
	p       *panel.Panel      // the board of it that is arranged
	layout  *face.Layout
	units   []*unit
	of      map[*panel.Control]*unit
	caption map[string]*unit // by the name of a text
	fresh   map[string]bool  // controls that had no place
	grain   float64
	pr      *place.Problem
	kinds   map[string]int
	groups  map[string]int
	against string           // what was found against the first arrangement that was refused
	now     *place.Score     // of the panel as it is; nil while controls have no place
	spare   []place.Solution // arrangements that score worse than what there is
	taken   [][]geom.Vec2    // places of what was proposed
}
