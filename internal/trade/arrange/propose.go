package arrange

import (
	"cmp"
	"context"
	"math"
	"slices"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/solve/place"
)

// styles are the ways of looking.
var styles = []place.Style{
	{Name: "near", Start: place.FromStart, Scale: place.Weights{Trouble: 1, Order: 3, Together: 1, Line: 1, Rows: 1, Gaps: 1, Twins: 0.3, Balance: 0.5, Spread: 1, Moved: 3}},
	{Name: "lines", Start: place.FromRows, Scale: place.Weights{Trouble: 1, Order: 1, Together: 1, Line: 4, Rows: 2.5, Gaps: 4, Twins: 0.3, Balance: 1, Spread: 1, Moved: 0.3}},
	{Name: "sides", Start: place.FromAxis, Scale: place.Weights{Trouble: 1, Order: 1, Together: 1, Line: 4, Rows: 1.5, Gaps: 1.5, Twins: 2.5, Balance: 4, Spread: 1, Moved: 0.2}},
}

// How much is reckoned, and how different proposals are.
const (
	usualWork = 60_000_000
	apartMost = 12.0 // mm: a control stands so far from where it does in another proposal, or
	apartMean = 3.0  // mm: all of them in the mean
	worse20   = 20   // points above what there is: such an arrangement is shown only when nothing else is left to show
	looks     = 12   // arrangements that are checked as a whole, at most
)

// propose solves the problem and checks what comes of it.
func (j *job) propose(ctx context.Context) {
	work := j.Work
	if work <= 0 {
		work = int64(usualWork * min(1, 0.25+float64(len(j.units))/20)) // few things are soon laid out
	}
	start := make([]geom.Vec2, len(j.units))
	anyFresh := false
	for i, u := range j.units {
		start[i] = j.pr.Items[i].Start
		anyFresh = anyFresh || u.fresh
	}
	o := place.Options{
		Seed: j.Seed, Styles: styles, Most: looks, Apart: apartMost, Mean: apartMean, Work: work,
		Progress: func(part float64, found int) {
			j.Progress(0.05+0.8*part, "Trying places: "+countOf(found, "arrangement", "arrangements")+" so far.")
		},
	}
	if !anyFresh {
		o.Unlike = start
	}
	res, err := place.Solve(ctx, j.pr, o)
	if err != nil {
		j.r.Say = "This panel cannot be arranged: " + err.Error() + "."
		return
	}
	j.now = res.Start
	if res.Start != nil {
		j.r.Now = j.scoreOf(res.Start, nil)
	}
	if res.Proof != nil {
		j.hopeless(res.Proof)
		return
	}
	before := j.baseline()
	j.choose(ctx, res, before, 0.85)
	if n := len(j.r.Proposals); n < j.Most && !res.Stopped && ctx.Err() == nil { // once more, with less that must differ
		o.Seed, o.Work, o.Apart, o.Mean = o.Seed+7919, work/2, apartMost/2, apartMean/2
		o.Progress = func(part float64, _ int) { j.Progress(0.88+0.06*part, "Looking once more.") }
		if more, err := place.Solve(ctx, j.pr, o); err == nil {
			j.choose(ctx, more, before, 0.94)
		}
		// what scores worse than what there is, is still something to choose from
		slices.SortStableFunc(j.spare, func(a, b place.Solution) int { return cmp.Compare(a.Score.Total, b.Score.Total) })
		rest := place.Result{Solutions: j.spare}
		j.choose(ctx, &rest, before, 0.97)
	}
	j.r.Stopped = res.Stopped || ctx.Err() != nil
	j.sum(res)
}

// choose checks solutions as a whole and takes those that hold, until there are enough.
func (j *job) choose(ctx context.Context, res *place.Result, before map[string][2]int, from float64) {
	j.Progress(from, "Checking "+countOf(len(res.Solutions), "arrangement", "arrangements")+" as a whole.")
	for i := range res.Solutions {
		s := &res.Solutions[i]
		if len(j.r.Proposals) == j.Most || ctx.Err() != nil && len(j.r.Proposals) > 0 {
			break
		}
		if slices.ContainsFunc(j.taken, func(at []geom.Vec2) bool { return alike(at, s.At) }) {
			continue
		}
		if res.Start != nil && res.Start.Soft == 0 && s.Score.Total > res.Start.Total+worse20 {
			j.spare = append(j.spare, *s)
			continue
		}
		if p, ok := j.proposal(s, j.now, before); ok {
			j.r.Proposals = append(j.r.Proposals, p)
			j.taken = append(j.taken, s.At)
		} else {
			j.r.Refused++
		}
	}
}

// alike reports whether two arrangements are too near to each other to be worth showing both.
func alike(a, b []geom.Vec2) bool {
	sum, most := 0.0, 0.0
	for i := range a {
		d := a[i].Sub(b[i]).Len()
		sum += d
		most = max(most, d)
	}
	return most < apartMost/2 && sum/float64(len(a)) < apartMean/2
}

// edits gives the edits of the file that put everything where a solution says.
func (j *job) edits(s *place.Solution) (out []finding.Edit) {
	for i, u := range j.units {
		out = append(out, j.shift(u, s.At[i].Sub(j.pr.Items[i].Start))...)
		if s.Form[i] == 0 {
			continue
		}
		var pair *panel.Step
		to := geom.Vec2{}
		for k, step := range u.steps {
			size := step.Size + u.stretch[k]
			if step.Pair == nil {
				out = append(out, finding.Edit{Op: finding.Set, Path: step.Path, Value: j.p.Num(size)})
				continue
			}
			pair = step
			if step.Second {
				to.Y = size
			} else {
				to.X = size
			}
		}
		if pair != nil {
			from := geom.Vec2{X: pair.Pair[0], Y: pair.Pair[1]}
			if to.X == 0 {
				to.X = from.X
			}
			if to.Y == 0 {
				to.Y = from.Y
			}
			out = append(out, j.p.PairEdits(pair.Path, from, to)...)
		}
	}
	return out
}

// proposal writes a solution into the file and checks it there; ok is false when the file cannot be written so, or when the check has
// something against it that it has not against the file as it is.
func (j *job) proposal(s *place.Solution, now *place.Score, before map[string][2]int) (p Proposal, ok bool) {
	p.Edits = j.edits(s)
	if len(p.Edits) == 0 {
		return p, false
	}
	src, err := j.Doc.Apply(p.Edits)
	if err != nil {
		return p, false
	}
	doc := project.Read(j.Doc.Name, src)
	quick, found := j.Quick(doc)
	if j.worse(before, found) || !j.stands(quick, s) {
		return p, false
	}
	placed, found := j.Full(doc)
	if placed = j.sheet(placed); placed == nil || j.worse(before, found) {
		return p, false
	}
	p.Text, p.Panel = src, placed
	p.Counts[0], p.Counts[1], p.Counts[2] = finding.Count(found)
	p.Was[0], p.Was[1], p.Was[2] = finding.Count(j.before)
	sc := j.scoreOf(&s.Score, now)
	p.Score, p.Terms = sc.Total, sc.Terms
	old := map[string]geom.Vec2{}
	for _, c := range j.p.Controls {
		if !j.fresh[c.Name] {
			old[c.Name] = c.At.Vec2
		}
	}
	var far *panel.Control
	for _, c := range placed.Controls {
		b := frontBox(c)
		z, m := b.Size(), b.Centre().Sub(c.At.Vec2)
		spot := Spot{Control: c.Name, X: tidy(c.At.X), Y: tidy(c.At.Y), Wide: tidy(z.X), High: tidy(z.Y), Across: tidy(m.X), Up: tidy(m.Y)}
		if was, stood := old[c.Name]; stood {
			d := c.At.Sub(was)
			spot.DX, spot.DY = tidy(d.X), tidy(d.Y)
			if d.Len() > 0.005 {
				p.Moved++
				if d.Len() > p.Farthest {
					p.Farthest, far = tidy(d.Len()), c
				}
			}
		} else {
			spot.New = true
			p.Moved++
		}
		p.Spots = append(p.Spots, spot)
	}
	p.Name = nameOf(s.Style, len(j.fresh) == len(j.p.Controls))
	p.Say = j.sayMoves(&p, far)
	return p, true
}

// stands reports whether the controls stand where the solution put them; what rounding in the file does is let pass.
func (j *job) stands(p *panel.Panel, s *place.Solution) bool {
	at := map[string]geom.Vec2{}
	if p = j.sheet(p); p == nil {
		return false
	}
	for _, c := range p.Controls {
		at[c.Name] = c.At.Vec2
	}
	const off = 0.1
	for i, u := range j.units {
		bodies := j.pr.Items[i].Forms[s.Form[i]]
		k := 0
		for t := range j.layout.Things {
			c := j.layout.Things[t].Control
			if c == nil || j.of[c] != u {
				continue
			}
			want := bodies[k].At.Add(bodies[k].Follow.Apply(s.At[i]))
			k++
			if got, ok := at[c.Name]; !ok || got.Sub(want).Len() > off {
				return false
			}
		}
	}
	return true
}

// tally counts stops and warnings by rule; what is kept on purpose does not count.
func tally(fs []finding.Finding) map[string][2]int {
	out := map[string][2]int{}
	for _, f := range fs {
		if f.Kept != "" {
			continue
		}
		n := out[f.Rule]
		switch f.Severity {
		case finding.Stop:
			n[0]++
		case finding.Warn:
			n[1]++
		}
		out[f.Rule] = n
	}
	return out
}

// room are the rules of what an arrangement is about; strict those of them of which no finding may come that was not there, unless a
// stop goes for it.
var (
	room   = []string{"fit.", "reach.", "sheet.", "legend.", "place.", "safety."}
	strict = []string{"fit.", "reach.", "place.", "safety."}
)

// where are the rules that only tell of where things stand: what they say of a control in the middle of the face says nothing of it
// elsewhere.
var where = []string{"reach.neighbours", "reach.edge", "reach.frame", "sheet.web", "sheet.edge", "legend.off-sheet", "fit.body-", "fit.nut", "fit.tool", "fit.fixing", "fit.opening", "place."}

func hasPrefix(rule string, list []string) bool {
	return slices.ContainsFunc(list, func(p string) bool { return strings.HasPrefix(rule, p) })
}

// baseline is what is found now. What a control without a place would bring wherever it is put, a thread too short or a hole without a
// bit, is not the arrangement's fault.
func (j *job) baseline() map[string][2]int {
	out := tally(j.before)
	if len(j.fresh) == 0 {
		return out
	}
	_, found := j.Full(j.doc)
	for rule, n := range tally(found) {
		if was := out[rule]; !hasPrefix(rule, where) {
			out[rule] = [2]int{max(was[0], n[0]), max(was[1], n[1])}
		}
	}
	return out
}

// worse reports whether findings are worse than a baseline: a stop more under some rule; more stops and warnings about room in all; or,
// when no stop has gone, more about fit or reach under some rule. It keeps the first such finding as the reason.
func (j *job) worse(before map[string][2]int, found []finding.Finding) bool {
	after := tally(found)
	var stops, all [2]int
	for k, t := range []map[string][2]int{before, after} {
		for rule, n := range t {
			stops[k] += n[0]
			if hasPrefix(rule, room) {
				all[k] += n[0] + n[1]
			}
		}
	}
	for _, f := range found {
		n, was := after[f.Rule], before[f.Rule]
		if f.Kept != "" || f.Severity == finding.Note {
			continue
		}
		more := n[0]+n[1] > was[0]+was[1]
		if n[0] > was[0] && f.Severity == finding.Stop || more && all[1] > all[0] && hasPrefix(f.Rule, room) || more && stops[1] >= stops[0] && hasPrefix(f.Rule, strict) {
			if j.against == "" {
				j.against = f.Head
			}
			return true
		}
	}
	return false
}

// tidy rounds to a thousandth of a millimetre.
func tidy(v float64) float64 { return math.Round(v*1000)/1000 + 0 }
