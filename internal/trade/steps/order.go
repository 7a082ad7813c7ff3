package steps

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/solve/schedule"
	"knobwright/internal/trust"
	"knobwright/internal/yamlfile"
)

// days of the week as the file says them; the week of a calendar begins on Monday.
var days = []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"}

// Evenings begin at 19:00 and days of the weekend at 10:00. Common practice; only how they are spread over the week matters.
const (
	eveningFrom = 19 * 60
	weekendFrom = 10 * 60
	dayLong     = 24 * 60
)

// calendar gives the sessions, the first one beginning at minute 0, and the minute of the week, from Monday, at which that is.
func (m *maker) calendar() (c schedule.Calendar, begins int) {
	evening, weekend := usualEvenings, usualWeekend
	if m.work.Evenings.Text != "" {
		evening = m.work.Evenings.Minutes
	}
	if m.work.Weekend.Text != "" {
		weekend = m.work.Weekend.Minutes
	}
	evening, weekend = math.Min(math.Floor(evening), dayLong), math.Min(math.Floor(weekend), dayLong)
	if evening < 1 && weekend < 1 {
		m.say(ruleNoTime, finding.Finding{
			Head: "The week has no time at the bench.", Body: "Evenings of 2 h and weekends of 5 h are taken for the order of work.",
			Ends: []finding.End{m.end("the work", "work.evenings"), m.end("the work", "work.weekend")},
		})
		evening, weekend = usualEvenings, usualWeekend
	}
	first := max(0, slices.Index(days, or(m.work.Begins, "saturday")))
	var list []schedule.Window
	for i := range 7 {
		long, from := evening, eveningFrom
		if d := (first + i) % 7; d >= 5 {
			long, from = weekend, weekendFrom
		}
		from = min(from, dayLong-int(long)) // a long session begins earlier
		if long >= 1 {
			list = append(list, schedule.Window{From: i*dayLong + from, To: i*dayLong + from + int(long)})
		}
	}
	zero := list[0].From
	for i := range list {
		list[i].From -= zero
		list[i].To -= zero
	}
	c.Period = 7 * dayLong
	for _, w := range list { // sessions that touch, round the clock, are one
		if n := len(c.Windows); n > 0 && c.Windows[n-1].To >= w.From {
			c.Windows[n-1].To = w.To
		} else {
			c.Windows = append(c.Windows, w)
		}
	}
	return c, first*dayLong + zero
}

// Least time worth beginning a step for in a session, minutes, and how long the search for an order may go on.
const (
	worth = 10
	nodes = 2500
	tries = 8
)

// order puts the steps into an order, and writes the timeline.
func (m *maker) order() Result {
	cal, begins := m.calendar()
	index := map[string]int{}
	for i, s := range m.steps {
		index[s.ID] = i
	}
	longest := 0
	for _, w := range cal.Windows {
		longest = max(longest, w.To-w.From)
	}
	p := schedule.Problem{Calendar: cal, Jobs: make([]schedule.Job, len(m.steps))}
	dried := map[string]bool{}
	for i, s := range m.steps {
		j := schedule.Job{Work: int(s.Minutes), Split: !s.OneGo, Least: min(worth, longest)}
		if s.OneGo && j.Work > longest {
			j.Split = true
			m.tooLong(s, longest)
		}
		for _, a := range s.After {
			l := schedule.Lag{Job: index[a.Step]}
			if w := m.by[a.Step].Wait; a.Dry && w != nil {
				l.Min = int(math.Ceil(w.Minutes))
				if a.Least > 0 {
					l.Min = min(l.Min, int(math.Ceil(a.Least)))
				} else {
					dried[a.Step] = true
				}
			}
			j.After = append(j.After, l)
		}
		p.Jobs[i] = j
	}
	for i, s := range m.steps {
		if s.Wait != nil && !dried[s.ID] {
			p.Jobs[i].Tail = int(math.Ceil(s.Wait.Minutes))
		}
	}
	plan, err := schedule.Solve(context.Background(), p, schedule.Options{Nodes: nodes, Tries: tries})
	r := Result{Begins: begins}
	for _, s := range m.steps {
		r.Hands += s.Minutes
	}
	if err != nil {
		var cycle *schedule.CycleError
		if errors.As(err, &cycle) { // a slip of this package: its tests hold every graph against it
			panic("steps: " + err.Error())
		}
		r.Steps = m.inTurn() // times beyond all measure: an order, but no timeline
		return r
	}
	r.Span, r.Bound, r.Sessions, r.Exact, r.Fewest = float64(plan.Span), float64(plan.Bound), plan.Sessions, plan.Exact, plan.Fewest
	m.timeline(&r, p, plan)
	return r
}

// inTurn gives the steps so that each comes after what must come before it, else as they were made.
func (m *maker) inTurn() (out []Step) {
	done := map[string]bool{}
	for len(out) < len(m.steps) {
	next:
		for _, s := range m.steps {
			if done[s.ID] {
				continue
			}
			for _, a := range s.After {
				if !done[a.Step] {
					continue next
				}
			}
			done[s.ID] = true
			out = append(out, *s)
		}
	}
	return out
}

// timeline writes steps in their order, bars and sessions.
func (m *maker) timeline(r *Result, p schedule.Problem, plan schedule.Plan) {
	for _, j := range plan.Order {
		r.Steps = append(r.Steps, *m.steps[j])
	}
	n := len(p.Calendar.Windows)
	seen := map[int]int{}
	for _, x := range plan.Pieces {
		k, ok := seen[x.Session]
		if !ok {
			k = len(r.Sits)
			seen[x.Session] = k
			w := p.Calendar.Windows[x.Session%n]
			at := x.Session / n * p.Calendar.Period
			r.Sits = append(r.Sits, Sit{From: float64(w.From + at), To: float64(w.To + at)})
		}
		r.Sits[k].Work += float64(x.To - x.From)
		r.Bars = append(r.Bars, Bar{Step: m.steps[x.Job].ID, Session: k, From: float64(x.From), To: float64(x.To)})
	}
	for _, j := range plan.Order {
		if w := m.steps[j].Wait; w != nil {
			r.Bars = append(r.Bars, Bar{Step: m.steps[j].ID, Session: -1, From: float64(plan.End[j]), To: float64(plan.End[j]) + w.Minutes, Waiting: true})
		}
	}
	slices.SortStableFunc(r.Bars, func(a, b Bar) int { return cmp.Compare(a.From, b.From) })
}

// say adds a finding of a rule.
func (m *maker) say(r finding.Rule, f finding.Finding) {
	f.Rule, f.Severity = r.Name, r.Severity
	m.found = append(m.found, f)
}

// end is a place in the file as one end of a finding.
func (m *maker) end(name, path string) finding.End {
	return finding.End{Name: name, Path: path, Pos: m.Panel.Pos(path)}
}

func (m *maker) tooLong(s *Step, longest int) {
	m.say(ruleOneGo, finding.Finding{
		Head:    fmt.Sprintf("%s takes %s in one go, and the longest session has %s.", english(s.Title), Span(s.Minutes), Span(float64(longest))),
		Body:    "Find a longer session for it, a second pair of hands, or do it in two parts.",
		Ends:    []finding.End{m.end("the work", "work.evenings"), m.end("the work", "work.weekend")},
		Measure: &finding.Measure{Have: float64(longest), Want: s.Minutes, Unit: "min", Sense: finding.AtLeast},
	})
}

func (m *maker) sayFilmOnPaint(s sheet, wait float64) {
	m.say(ruleFilmOnPaint, finding.Finding{
		Head:   fmt.Sprintf("Labels on fresh paint wait %s.", Span(wait)),
		Body:   "Rub-on letters, engraving or printing need a day only; or cover with film in place of paint.",
		Ends:   []finding.End{m.end("the lettering", "face.legend.by"), s.p.Stack.CoverOrigin.End()},
		Source: cures()["vinyl_film over_fresh_paint"].Source,
	})
}

// judge looks at what was used: warmth, names of the file that mean nothing; and lists what was taken on trust.
func (m *maker) judge(r *Result) {
	for _, stuff := range []string{"PVA_wood_glue", "polyurethane_glue", "epoxy", "contact_adhesive", "latex_paint", "oil_paint", "water_varnish", "vinyl_film"} {
		used := m.stuffs[stuff]
		from, to, src := warmth(stuff)
		if len(used) == 0 || from == 0 && to == 0 {
			continue
		}
		var names []string
		for _, s := range used {
			names = append(names, lower(english(s.Title)))
		}
		word := stuffWords[stuff]
		f := finding.Finding{
			Ends:    []finding.End{m.end("the room", "work.room")},
			Measure: &finding.Measure{Have: m.room, Want: from, WantMax: to, Unit: "°C", Sense: finding.Between},
			Source:  src,
		}
		switch {
		case m.room < from:
			f.Head = fmt.Sprintf("The room has %s °C; %s wants %s °C or more.", plain(m.room), word, plain(from))
			f.Body = fmt.Sprintf("Warm it until the drying is over, for these steps: %s. The label of what you use goes first.", strings.Join(firsts(names, 4), "; "))
			m.say(ruleCold, f)
		case m.room > to:
			f.Head = fmt.Sprintf("The room has %s °C; %s wants %s °C at most.", plain(m.room), word, plain(to))
			f.Body = fmt.Sprintf("Wait for a cooler hour, for these steps: %s.", strings.Join(firsts(names, 4), "; "))
			m.say(ruleHot, f)
		}
	}
	m.unknown("minutes", keysOf(m.work.Minutes), func(n string) bool { return slices.ContainsFunc(Kinds, func(k Kind) bool { return k.Name == n }) }, func() (out []string) {
		for _, k := range Kinds {
			out = append(out, k.Name)
		}
		return out
	})
	m.unknown("waits", keysOf(m.work.Waits), func(n string) bool { return slices.ContainsFunc(Waits, func(k drying) bool { return k.Name == n }) }, func() (out []string) {
		for _, k := range Waits {
			out = append(out, k.Name)
		}
		return out
	})
	m.assume(r)
}

// stuffWords are the stuffs in sentences.
var stuffWords = map[string]string{
	"PVA_wood_glue": "wood glue", "polyurethane_glue": "polyurethane glue", "epoxy": "epoxy", "contact_adhesive": "contact adhesive",
	"latex_paint": "water paint", "oil_paint": "oil paint", "water_varnish": "varnish", "vinyl_film": "film",
}

func (m *maker) unknown(list string, names []string, known func(string) bool, all func() []string) {
	for _, n := range names {
		if known(n) {
			continue
		}
		f := finding.Finding{
			Head: fmt.Sprintf("The order of work knows no %s under work: %s.", n, list), Body: "It changes nothing.",
			Ends: []finding.End{m.end(n, "work."+list+"."+n)},
		}
		if w := yamlfile.Nearest(n, all()); w != "" {
			f.Body = "It changes nothing. Did you mean " + w + "?"
			f.Fixes = []finding.Fix{{Say: "Write " + w, Short: w + ":", Edits: []finding.Edit{{Op: finding.Rename, Path: "work." + list + "." + n, Value: w}}}}
		}
		m.say(ruleKind, f)
	}
}

// assume lists what was taken on trust.
func (m *maker) assume(r *Result) {
	add := func(what, used string, src trust.Source, do string) {
		if src.OnTrust() {
			r.Assumed = append(r.Assumed, panel.Assumed{What: what, Used: used, Source: src, Do: do})
		}
	}
	practice := trust.Source{Text: "usual", Provenance: trust.Practice, Confidence: trust.Low}
	if m.work.Room.Text == "" && len(m.stuffs) > 0 {
		add(fmt.Sprintf("the room: %s °C", plain(m.room)), "drying of glue and paint", practice, "write yours: work: {room: 18 °C}")
	}
	for _, w := range Waits {
		if _, own := m.work.Waits[w.Name]; own || !m.waited[w.Name] || !m.waits(w.Name) {
			continue
		}
		v, src := m.wait(w.Name)
		add(fmt.Sprintf("%s: %s", w.Name, Span(v)), w.Means, src, "read the label, and write it under work: waits")
	}
	if len(r.Steps) > 0 && len(m.used) > len(m.work.Minutes) {
		add(fmt.Sprintf("minutes of %d kinds of work", len(m.used)), "the order of work", sourceMinutes, "write yours under work: minutes")
	}
}

// waits reports whether a step of this panel really waits for a kind of drying.
func (m *maker) waits(name string) bool {
	v, src := m.wait(name)
	if name == "glue-clamp" {
		return m.by["glue-box"] != nil
	}
	for _, s := range m.steps {
		if s.Wait != nil && s.Wait.Minutes == v && s.Wait.Source == src {
			return true
		}
	}
	return false
}
