package steps

import (
	"strconv"
	"strings"

	"knobwright/internal/words"
)

// Said is the order of work in one language, with what is ticked off: for pages and for other programs.
type Said struct {
	Lang     string            `json:"lang"`
	Sum      string            `json:"sum"`   // how long all takes, a sentence
	Bound    string            `json:"bound"` // what is proven, a sentence
	Hands    float64           `json:"hands_minutes"`
	Span     float64           `json:"span_minutes"`
	Least    float64           `json:"bound_minutes"`
	Exact    bool              `json:"exact"`
	Done     int               `json:"done"` // steps that are ticked off
	Next     string            `json:"next"` // the first step that is not; "" = all are
	Steps    []SaidStep        `json:"steps"`
	Sessions []SaidSit         `json:"sessions"`
	Waits    []SaidWait        `json:"waits"`
	Words    map[string]string `json:"words"` // small words of the page
}

// SaidStep is one step in words.
type SaidStep struct {
	N        int           `json:"n"`
	ID       string        `json:"id"`
	Part     string        `json:"part"`
	PartSaid string        `json:"part_said"`
	Title    string        `json:"title"`
	Do       []string      `json:"do"`
	Items    []SaidItem    `json:"items"`
	After    []SaidAfter   `json:"after"`
	Minutes  float64       `json:"minutes"`
	Time     string        `json:"time"`
	Wait     string        `json:"wait"` // what then dries and for how long, a sentence; "" = nothing
	WaitMin  float64       `json:"wait_minutes"`
	Warm     string        `json:"warm"` // how warm the room must be; "" = no matter
	Cautions []SaidCaution `json:"cautions"`
	NoReturn bool          `json:"no_return"`
	Check    string        `json:"check"` // to make just before; "" = none
	Papers   []string      `json:"papers"`
	Controls []string      `json:"controls"`
	Board    string        `json:"board"` // that it is done on; "" = the face, or none
	When     string        `json:"when"`  // "Saturday 10:00"
	Day      int           `json:"day"`   // of the work, from 1; 0 = no timeline
	Done     bool          `json:"done"`
	On       string        `json:"on,omitempty"`   // date of the tick
	Note     string        `json:"note,omitempty"` // with it
	Ready    bool          `json:"ready"`          // all that must come before is ticked off
}

// SaidItem is one line to tick within a step.
type SaidItem struct {
	ID   string `json:"id"`
	Text string `json:"text"`
	Done bool   `json:"done"`
}

// SaidAfter is a step that must come before.
type SaidAfter struct {
	N    int    `json:"n"`
	ID   string `json:"id"`
	Why  string `json:"why"`
	Dry  bool   `json:"dry"`
	Done bool   `json:"done"`
}

// SaidCaution is a caution with its sign.
type SaidCaution struct {
	Sign string `json:"sign"`
	Text string `json:"text"`
}

// SaidSit is a session and what is done in it.
type SaidSit struct {
	When   string      `json:"when"`
	Day    int         `json:"day"`
	From   float64     `json:"from"`
	To     float64     `json:"to"`
	Pieces []SaidPiece `json:"pieces"`
}

// SaidPiece is a stretch of work.
type SaidPiece struct {
	N    int     `json:"n"`
	Step string  `json:"step"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
}

// SaidWait is a stretch of waiting.
type SaidWait struct {
	N    int     `json:"n"`
	Step string  `json:"step"`
	From float64 `json:"from"`
	To   float64 `json:"to"`
	What string  `json:"what"`
}

// Tick is what is known of a step or an item, "drill-face" or "drill-face/12".
type Tick func(id string) (on, note string, done bool)

// Say puts the order of work into words.
func (r *Result) Say(l words.Lang, tick Tick) Said {
	text := func(t words.Text) string {
		if t.Zero() {
			return ""
		}
		return l.Say(t)
	}
	word := func(key string, args ...any) string { return l.Say(words.T("steps."+key, args...)) }
	out := Said{Lang: string(l), Hands: r.Hands, Span: r.Span, Least: r.Bound, Exact: r.Exact, Steps: []SaidStep{}, Sessions: []SaidSit{}, Waits: []SaidWait{}, Words: map[string]string{}}
	if len(r.Sits) > 0 {
		out.Sum = word("page.hands", "n", r.Sessions, "hands", Hours(r.Hands), "span", Span(r.Span))
		out.Bound = word("page.exact")
		if !r.Exact {
			out.Bound = word("page.bound", "bound", Span(r.Bound))
		}
	}
	for _, k := range pageWords {
		out.Words[k] = word("page." + k)
	}
	number := map[string]int{}
	for i, s := range r.Steps {
		number[s.ID] = i + 1
	}
	when := map[string]Bar{}
	for _, b := range r.Bars {
		if _, ok := when[b.Step]; !ok && !b.Waiting {
			when[b.Step] = b
		}
	}
	at := func(minute float64) (string, int) {
		day, week, clock := r.When(minute)
		return word("day."+strconv.Itoa(week)) + " " + pad(clock/60) + ":" + pad(clock%60), day
	}
	for i, s := range r.Steps {
		x := SaidStep{
			N: i + 1, ID: s.ID, Part: s.Part, PartSaid: word("part." + s.Part), Title: text(s.Title), Do: []string{}, Items: []SaidItem{}, After: []SaidAfter{}, Minutes: s.Minutes, Time: Hours(s.Minutes),
			Cautions: []SaidCaution{}, NoReturn: s.NoReturn, Check: text(s.Check), Papers: append([]string{}, s.Papers...), Controls: append([]string{}, s.Controls...), Board: s.Board, Ready: true,
		}
		for _, t := range s.Do {
			x.Do = append(x.Do, text(t))
		}
		for _, t := range s.Items {
			_, _, done := tick(s.ID + "/" + t.ID)
			x.Items = append(x.Items, SaidItem{t.ID, text(t.Text), done})
		}
		for _, a := range s.After {
			_, _, done := tick(a.Step)
			x.After = append(x.After, SaidAfter{number[a.Step], a.Step, text(a.Why), a.Dry, done})
			x.Ready = x.Ready && done
		}
		if w := s.Wait; w != nil {
			x.Wait, x.WaitMin = word("page.wait", "time", Span(w.Minutes), "what", text(w.What)), w.Minutes
			if w.To > 0 {
				x.Warm = word("page.warm", "from", plain(w.From), "to", plain(w.To))
			}
		}
		for _, c := range s.Cautions {
			x.Cautions = append(x.Cautions, SaidCaution{c.Sign, text(c.Text)})
		}
		if b, ok := when[s.ID]; ok {
			x.When, x.Day = at(b.From)
		}
		x.On, x.Note, x.Done = tick(s.ID)
		if x.Done {
			out.Done++
			for k := range x.Items {
				x.Items[k].Done = true
			}
		} else if out.Next == "" {
			out.Next = s.ID
		}
		out.Steps = append(out.Steps, x)
	}
	for k, s := range r.Sits {
		x := SaidSit{From: s.From, To: s.To, Pieces: []SaidPiece{}}
		x.When, x.Day = at(s.From)
		for _, b := range r.Bars {
			if !b.Waiting && b.Session == k {
				x.Pieces = append(x.Pieces, SaidPiece{number[b.Step], b.Step, b.From, b.To})
			}
		}
		out.Sessions = append(out.Sessions, x)
	}
	for _, b := range r.Bars {
		if s := r.Step(b.Step); b.Waiting && s != nil && s.Wait != nil {
			out.Waits = append(out.Waits, SaidWait{number[b.Step], b.Step, b.From, b.To, Span(b.To-b.From) + ", " + text(s.Wait.What)})
		}
	}
	return out
}

// pageWords are the small words that a page needs beside the steps.
var pageWords = []string{"title", "use", "timeline", "noreturn", "sheet-first", "drying", "done", "later", "back", "all-done", "wrong", "not-yet", "list", "of", "just-before", "papers-of", "after-of", "take-back", "mind", "from-left", "from-lower", "mishap"}

// Knows reports whether an id is that of a step, or of an item of one.
func (r *Result) Knows(id string) bool {
	step, item, ok := strings.Cut(id, "/")
	s := r.Step(step)
	if s == nil || !ok {
		return s != nil
	}
	for _, x := range s.Items {
		if x.ID == item {
			return true
		}
	}
	return false
}

func pad(n int) string {
	if n < 10 {
		return "0" + strconv.Itoa(n)
	}
	return strconv.Itoa(n)
}
