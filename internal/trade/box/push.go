package box

import (
	"fmt"
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// Lead is a lead that leaves the box: where it does so and which way that is.
type Lead struct {
	Name string
	At   geom.Vec3
	Dir  geom.Vec3 // out of the board, unit
}

// Pull is a pull at a lead.
type Pull struct {
	Name   string
	Force  float64 // N
	Tips   float64 // the box tips at so many times the pull; +Inf = it does not
	Slides float64 // and slides at so many times
	Holds  float64 // what the feet hold along the table then, N
}

// friction gives how much of the load the box holds along a table: as it is reckoned with, and at the most that is to be expected.
func (w *worker) friction(r *Result) (usual, most float64) {
	a, b := limRubber, limRubberMost
	if len(r.Feet) == 0 {
		a, b = limBare, limBareMost
	}
	usual = clamp(w.Limits.Value(a), 0.01, 3)
	return usual, max(usual, clamp(w.Limits.Value(b), 0.01, 3))
}

// Slides gives how many times as hard a push may be before a box slides on a level table: +Inf when the push presses it down more
// than it moves it. mu is how much of its load the box holds along the table; weight and force in newtons.
//
// t times the force moves it with t·level and loads the table with weight - t·fz.
func Slides(mu, weight float64, force geom.Vec3) float64 {
	if moves := force.XY().Len() + mu*force.Z; moves > 1e-12 {
		return mu * weight / moves
	}
	return math.Inf(1)
}

// push tries every press.
func (w *worker) push(r *Result) {
	st := &r.Stand
	limF, safe := clamp(w.Limits.Value(limPress), 0, 1000), clamp(w.Limits.Value(limTip), 1, 20)
	mu, most := w.friction(r)
	st.Tip.Times, st.Slide.Times = math.Inf(1), math.Inf(1)
	weight := st.Grams * gravity
	for _, p := range w.Presses {
		f := max(p.Force, limF)
		force := p.Dir.Mul(f)
		at := p.At.Sub(geom.Vec3{Z: st.Table})
		level := force.XY().Len()
		holds := mu * max(weight-force.Z, 0)
		if t := Tips(st.Polygon, st.Centre, weight, at, force); t < st.Tip.Times && t < Slides(most, weight, force) {
			st.Tip = Tip{Name: p.Name, Force: f, Times: t, Level: level, Holds: holds}
		}
		if level > 1e-9 && holds/level < st.Slide.Times {
			st.Slide = Tip{Name: p.Name, Force: f, Times: holds / level, Level: level, Holds: holds}
		}
	}
	if t := st.Tip; t.Times < safe {
		x := finding.Finding{
			Head: fmt.Sprintf("A push of %s at %s tips the box.", newton(t.Force*t.Times), t.Name), Severity: finding.Warn,
			Body: fmt.Sprintf("A hand in a hurry pushes %s; to be safe the box is to stand %s: factor %s. It weighs %s g. Set the feet further out, or put weight into the base.", newton(t.Force), newton(t.Force*safe), plain(safe), plain(math.Round(st.Grams))),
			Ends: []finding.End{w.end(t.Name), w.end("feet")}, Source: w.Limits.Source(limTip),
			Measure: &finding.Measure{Have: math.Round(t.Force * t.Times), Want: math.Round(t.Force * safe), Unit: "N", Sense: finding.AtLeast},
			Why:     "The factor is for feet that give, a table that is not level and a lead that pulls.",
		}
		if t.Times < 1 { // it goes over in use
			x.Severity = finding.Stop
		}
		w.say(ruleTips, x)
	}
	if s := st.Slide; s.Times < 1 {
		body := "Take softer or larger feet, more weight, or stand it against something."
		if len(r.Feet) == 0 {
			body = "Put rubber feet under it."
		}
		w.say(ruleSlides, finding.Finding{
			Head: fmt.Sprintf("A push of %s at %s slides the box over the table.", newton(s.Force), s.Name), Body: body,
			Ends: []finding.End{w.end(s.Name), w.end("feet")}, Source: w.Limits.Source(limRubber),
			Measure: &finding.Measure{Have: math.Round(s.Level*10) / 10, Want: math.Round(s.Holds*10) / 10, Unit: "N", Sense: finding.AtMost},
		})
	}
}

// ways gives how a lead is pulled: level, as one that lies on the table or hangs over its edge; out of a wall away from it, out of a
// board that lies to any side.
func (l Lead) ways() []geom.Vec3 {
	out := geom.Vec3{X: l.Dir.X, Y: l.Dir.Y}
	if out.Len() > 0.7 {
		return []geom.Vec3{out.Unit()}
	}
	return []geom.Vec3{{Y: -1}, {X: -1}, {X: 1}, {Y: 1}}
}

// pull pulls at every lead.
func (w *worker) pull(r *Result) {
	st := &r.Stand
	st.Pull = Pull{Tips: math.Inf(1), Slides: math.Inf(1)}
	leads := w.Leads
	if x := w.exit(); x != nil {
		if b := w.c.Board(x.Board); b != nil {
			leads = append([]Lead{{"cable", b.Frame.ToWorld(x.At.At(0)), b.Frame.N}}, leads...)
		}
	}
	force := clamp(w.Limits.Value(limPull), 0, 1000)
	mu, most := w.friction(r)
	weight := st.Grams * gravity
	try := func(l Lead, f geom.Vec3) {
		p := Pull{Name: l.Name, Force: force, Slides: Slides(mu, weight, f), Tips: Tips(st.Polygon, st.Centre, weight, l.At.Sub(geom.Vec3{Z: st.Table}), f), Holds: mu * max(weight-f.Z, 0)}
		if p.Tips >= Slides(most, weight, f) {
			p.Tips = math.Inf(1) // it comes along before it tips
		}
		if st.Pull.Name == "" || min(p.Tips, p.Slides) < min(st.Pull.Tips, st.Pull.Slides) {
			st.Pull = p
		}
	}
	for _, l := range leads {
		for _, way := range l.ways() {
			try(l, way.Mul(force))
		}
	}
	p := st.Pull
	if p.Name == "" || min(p.Tips, p.Slides) >= 1 {
		return
	}
	end := w.end(p.Name)
	what := "the lead"
	if p.Name != "cable" {
		what = "the lead in " + end.Name
	}
	x := finding.Finding{
		Head: fmt.Sprintf("A pull of %s at %s drags the box over the table.", newton(p.Force), what), Body: "A foot in the lead takes the box along, and over the edge of the table. Leave the lead slack, hold it at the leg of the table, or take softer feet.",
		Ends: []finding.End{end, w.end("feet")}, Source: w.Limits.Source(limPull),
		Measure: &finding.Measure{Have: math.Round(p.Holds*10) / 10, Want: math.Round(p.Force*10) / 10, Unit: "N", Sense: finding.AtLeast},
	}
	if p.Tips < 1 {
		x.Severity = finding.Warn
		x.Head = fmt.Sprintf("A pull of %s at %s tips the box.", newton(p.Force*p.Tips), what)
		x.Body = fmt.Sprintf("A foot in the lead pulls %s. Let the lead out lower, set the feet further out, or put weight into the base.", newton(p.Force))
		x.Measure.Have, x.Measure.Want = math.Round(p.Force*p.Tips*10)/10, math.Round(p.Force*10)/10
	}
	w.say(rulePull, x)
}
