// Package steps is the trade of the order of work: from what all trades decided, a graph of steps with reasons, how long each takes and
// dries, and an order for one pair of hands in which nothing has to be undone.
//
// Times are in minutes of a pair of hands, waiting in minutes of the clock.
package steps

import (
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/trust"
	"knobwright/internal/words"
)

// Result is what the trade has to say.
type Result struct {
	Steps    []Step // in the order of work
	Bars     []Bar  // the timeline, by session
	Hands    float64
	Span     float64 // minutes of the clock from the first step to the end of the last, waiting and nights counted
	Bound    float64 // no order takes less
	Sessions int
	Findings []finding.Finding

	Begins  int             // minute of the week, from Monday 0:00, at which the timeline has its 0
	Sits    []Sit           // the sessions that are worked in, in order; Bar.Session counts them
	Exact   bool            // Span is the least: proven
	Fewest  bool            // and no order of that span takes fewer sessions: proven
	Assumed []panel.Assumed // times and temperatures taken on trust
}

// Sit is one session at the bench.
type Sit struct {
	From, To float64 // minutes of the clock from the start: when there is time
	Work     float64 // minutes worked in it
}

// Step is one thing to do.
type Step struct {
	ID       string       // stable: "drill-face", "wire-ground"
	Part     string       // of the work: shop, cut, drill, cover, letter, box, paint, mount, wire, firmware, power, test
	Title    words.Text   // imperative, short
	Do       []words.Text // what to do, line by line
	Items    []Item       // to tick one by one; may be empty
	After    []After      // what must be done before
	Minutes  float64      // hands-on
	Wait     *Wait        // then it must be left alone
	Cautions []Caution
	NoReturn bool       // it cannot be undone
	Check    words.Text // the check to make just before; zero = none
	Papers   []string   // documents of the packet that belong to it: "template.pdf"
	Controls []string   // that it touches
	Board    string     // that it is done on
	Tools    []words.Text
	Source   trust.Source // of the time
	OneGo    bool         // it is not left half done: glue sets, paint runs
}

// Item is one line to tick within a step.
type Item struct {
	ID   string // within the step
	Text words.Text
}

// After is a step that must come before, and why.
type After struct {
	Step  string
	Why   words.Text
	Dry   bool    // its waiting must be over too
	Least float64 // with Dry: of its waiting so many minutes are enough; 0 = all
}

// Wait is time in which the work must be left alone.
type Wait struct {
	Minutes  float64
	What     words.Text // "until the glue holds without clamps"
	From, To float64    // °C of the room within which that holds; 0, 0 = any
	Source   trust.Source
}

// Caution is a warning that belongs to a step.
type Caution struct {
	Sign string     // eyes, clamp, guard, dust, heat, vapour, blade, small-piece, current, lead
	Text words.Text // what to do
}

// Bar is one stretch of the timeline.
type Bar struct {
	Step     string
	Session  int     // from 0; -1 for waiting
	From, To float64 // minutes of the clock from the start
	Waiting  bool
}
