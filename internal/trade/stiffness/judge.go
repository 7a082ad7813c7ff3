package stiffness

import (
	"math"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// Inches tells whether the person writes in inches.
func (f *Face) Inches() bool { return f.inches() }

// inches tells whether the person writes in inches.
func (f *Face) inches() bool { return f.Panel.Units == string(length.Inch) }

func (f *Face) give(v float64) string { return give(v, f.inches()) }

// board is what a finding about the face says it is on.
func (f *Face) board() string {
	if f.Panel.Board == "" {
		return ""
	}
	return f.Name
}

// ends are the controls and, last, what holds them.
func (f *Face) ends(ps ...Press) (out []finding.End) {
	for _, p := range ps {
		out = append(out, p.Control.Origin.End())
	}
	e := f.Panel.Stack.SheetOrigin.End()
	if e.Name == "" {
		e.Name = "the sheet"
	}
	return append(out, e)
}

// judge says what is wrong with a face.
func (f *Face) judge(cat *catalog.Catalog) (out []finding.Finding) {
	add := func(r finding.Rule, x finding.Finding) {
		x.Rule, x.On = r.Name, f.board()
		if x.Severity == 0 && r.Severity != finding.Note {
			x.Severity = r.Severity
		}
		out = append(out, x)
	}
	switch {
	case f.Failed != "":
		add(ruleUnknown, finding.Finding{Head: "How far " + f.Name + " gives cannot be reckoned.", Body: sentence(f.Failed), Ends: f.ends()})
		return out
	case len(f.Loose) > 0 && len(f.Supports) == 0 && !f.Panel.HasBox:
		add(ruleUnknown, finding.Finding{
			Head: "How far " + f.Name + " gives is not known: nothing in the file holds it yet.",
			Body: "Give the panel a box, or the face its screws.", Ends: f.ends(),
		})
		return out
	case len(f.Loose) > 0:
		add(ruleLoose, f.loose())
		return out
	}
	if f.Worst >= 0 && f.Springiest() > f.Springy {
		add(ruleSpringy, f.springy(cat))
	}
	if x, ok := f.stressed(cat); ok {
		add(ruleStress, x)
	}
	for _, d := range f.Doubts {
		x := finding.Finding{Head: sentence(d.Say), Ends: f.ends(), Place: &finding.Place{X: d.At.X, Y: d.At.Y}}
		if d.Apart {
			x.Severity = finding.Warn
			x.Body = "The parts move by themselves, and what joins them beyond the face must be thought of by hand. Leave a bridge of sheet between the openings."
		}
		add(ruleUnsure, x)
	}
	return out
}

// loose says how the face can move, and what would hold it.
func (f *Face) loose() finding.Finding {
	say := strings.ReplaceAll(strings.Join(f.Loose, "; "), "the sheet", f.Name)
	x := finding.Finding{
		Head:    sentence(say),
		Body:    "Nothing holds it against that, so it cannot be said how far it gives under a press.",
		Ends:    f.ends(),
		Measure: &finding.Measure{Have: float64(f.carried()), Want: 2, Sense: finding.AtLeast},
		Why:     "A face wants to be carried along two sides at least, or by three screws that do not stand in a line.",
		Source:  practice("statics of a plate on supports", trust.High),
	}
	for _, s := range f.Supports {
		if e := s.origin.End(); e.Name != "" {
			e.Name = s.Name
			x.Ends = append(x.Ends, e)
		}
	}
	if len(f.Supports) == 0 {
		x.Head = finding.Capital(f.Name) + " is held by nothing."
		x.Measure.Have = 0
	}
	if fix, ok := f.corners(); ok {
		x.Fixes = []finding.Fix{fix}
	}
	return x
}

// carried counts the sides that carry a face.
func (f *Face) carried() int { return len(f.model.Lines) }

// springy tells of the worst press, and of the others by name.
func (f *Face) springy(cat *catalog.Catalog) finding.Finding {
	w := f.Presses[f.Worst]
	soft := []Press{w}
	var names []string
	for i, p := range f.Presses {
		if i != f.Worst && p.Judged && p.Thumb > f.Springy {
			soft = append(soft, p)
			names = append(names, p.Control.Label)
		}
	}
	x := finding.Finding{
		Head: w.Control.Label + " feels springy: under a firm thumb (" + plain(f.Thumb, 0) + " N) " + f.Name + " gives " + f.give(w.Thumb) + ".",
		Ends: f.ends(soft...), Place: &finding.Place{X: w.Control.At.X, Y: w.Control.At.Y},
		Measure: &finding.Measure{Have: round(w.Thumb, 3), Want: f.Springy, Unit: "mm", Sense: finding.AtMost},
		Why:     "A face that gives more feels soft, moves its neighbours and may rattle.",
		Source:  f.Panel.Limits.Source(limSpringy),
	}
	var body []string
	switch {
	case len(names) > 6:
		body = append(body, "So do "+list(names[:4])+" and "+strconv.Itoa(len(names)-4)+" more.")
	case len(names) > 1:
		body = append(body, "So do "+list(names)+".")
	case len(names) == 1:
		body = append(body, "So does "+names[0]+".")
	}
	if w.Own > 0 {
		body = append(body, "Its own "+plain(w.Control.Part.Force, 1)+" N move it "+f.give(w.Own)+".")
	}
	if w.Thumb > f.Thickness/2 {
		body = append(body, "That is more than half the thickness, where a real sheet is stiffer than reckoned: take it as a sign, not as a measure.")
	}
	body = append(body, f.ladder()...)
	if pr := f.Proposal; pr != nil && !pr.Reached {
		if s := f.sheetsSay(cat); s != "" {
			body = append(body, s)
		}
		for _, w := range f.otherSheets(cat, f.Springy) {
			stuff, thick, _ := strings.Cut(w.Say, ", ")
			body = append(body, "Of "+stuff+", "+thick+", it would give "+f.give(w.Worst)+".")
		}
	}
	x.Body = strings.Join(body, " ")
	x.Fixes = f.fixes(cat)
	return x
}

// ladder says what numbers of ribs reach.
func (f *Face) ladder() (out []string) {
	pr := f.Proposal
	switch {
	case pr == nil || f.Panel.Limits.Value(limRibs) < 1:
		return nil
	case pr.Places == 0:
		return []string{"There is no room behind it for a rib of " + size(f.stockOf().width, f.inches()) + " by " + size(f.stockOf().height, f.inches()) + "."}
	case pr.Reached:
		return nil
	}
	return []string{pr.SayBound()}
}

// sheetsSay tells what thicker sheets leave, when none of them is enough alone, and which part keeps them out.
func (f *Face) sheetsSay(cat *catalog.Catalog) string {
	var said []string
	list := f.thickers(cat)
	if len(list) == 0 {
		return f.SayGrip(cat)
	}
	for _, s := range list {
		w, ok := f.sheetWay(s)
		switch {
		case !ok:
			continue
		case w.Worst <= f.Springy:
			return ""
		}
		said = append(said, size(s.Thickness(), f.inches()), f.give(w.Worst))
	}
	switch n := len(said); {
	case n == 0:
		return ""
	case n == 2:
		return "A sheet of " + said[0] + " leaves " + said[1] + "."
	default:
		return "A sheet of " + said[0] + " leaves " + said[1] + ", one of " + said[n-2] + " leaves " + said[n-1] + "."
	}
}

// soft is how much more the quick reckoning may give than the full model: it leaves out that a rib resists being twisted, which
// tells where one runs along a wall (at most 1.33 was measured), and far more on a face that hangs on screws (2.5): there the sheet
// twists between them.
func (f *Face) soft() float64 {
	if len(f.model.Lines) < 3 {
		return 3
	}
	return 1.4
}

// SayBound says what no plan of so many ribs reaches, in a sentence or two; "" when there is nothing to say. It says so for certain only
// where the quick reckoning of every place leaves room for its error.
func (pr *Proposal) SayBound() string {
	k := len(pr.Best) - 1
	if pr.Reached {
		k = min(k, len(pr.Ribs)-1)
	}
	if k < 1 {
		return ""
	}
	last := pr.Best[k]
	if !pr.Reached && len(pr.Ribs) == k { // the plan itself, by the full model, may be a little better than the quick reckoning
		last.Worst = min(last.Worst, pr.After)
	}
	found := " was found that reaches "
	if last.All && (k == 1 || pr.Whole) && last.Worst > pr.Soft*pr.Target {
		found = " reaches "
	}
	of := plural(pr.Places, "place") + " on lines " + size(pr.Apart, pr.Inches) + " apart"
	if k > 1 && !pr.Whole {
		of = "the " + plain(float64(pr.Kept), 0) + " most useful places"
	}
	about := func(v float64) string {
		if v > 100 {
			return give(v, pr.Inches)
		}
		return "about " + give(v, pr.Inches)
	}
	s := "No plan with " + plural(k, "rib") + found + give(pr.Target, pr.Inches) + ": the best of " + of + " leaves " + about(last.Worst) + "."
	if !pr.Reached && pr.Bound > pr.Soft*pr.Target && pr.Bound < last.Worst {
		s += " Even with all of those places filled at once it would be " + about(pr.Bound) + "."
	}
	return s
}

// stressed tells of the place where a slip comes nearest to the strength of the sheet.
func (f *Face) stressed(cat *catalog.Catalog) (x finding.Finding, ok bool) {
	want := f.Wanted
	var bad []Press
	worst := -1
	for i, p := range f.Presses {
		if p.Stress <= 0 || p.Factor() >= want {
			continue
		}
		bad = append(bad, p)
		if worst < 0 || p.Factor() < f.Presses[worst].Factor() {
			worst = i
		}
	}
	if worst < 0 {
		return x, false
	}
	w := f.Presses[worst]
	verb := " may crack beside "
	if k := f.Panel.Stack.Sheet.Kind; k == "aluminium" || k == "steel" {
		verb = " may stay bent beside "
	}
	x = finding.Finding{
		Head: "The sheet" + verb + w.Beside + " when a hand slips onto " + w.Control.Label + ".",
		Body: "Its edge is pulled with " + plain(w.Stress, 0) + " MPa (good to a fifth) of the " + plain(w.Strength, 0) + " MPa that it bears.",
		Ends: f.ends(w), Place: &finding.Place{X: w.At.X, Y: w.At.Y},
		Measure: &finding.Measure{Have: round(w.Factor(), 2), Want: want, Unit: "x", Sense: finding.AtLeast},
		Why:     "Strength of sheets scatters, and a drilled or sawn edge has nicks from which a crack starts.",
		Source:  f.Panel.Limits.Source(limFactor),
	}
	if len(bad) > 1 {
		x.Body += " A slip onto " + plural(len(bad)-1, "other control") + " comes too close as well."
	}
	if w.Sharp {
		x.Body += " That opening has sharp corners: round them, 3 mm or more."
	}
	if w.Factor() < 1 {
		x.Severity = finding.Stop
	}
	pr := f.Proposal
	ribbed := 0.0
	if pr != nil && len(pr.Ribs) > 0 {
		ribbed = f.bearsWith(pr.Ribs)
	}
	if ribbed >= want {
		x.Fixes = append(x.Fixes, finding.Fix{Say: "Glue " + plural(len(pr.Ribs), "rib") + " under it", Short: "ribs: " + f.flow(pr.Ribs[0]), Edits: pr.Edits})
	}
	if fix, ok := f.thicker(cat, func(float64) bool { return true }); ok && f.bears(fix, cat) >= want {
		x.Fixes = append(x.Fixes, fix)
	}
	if len(x.Fixes) == 0 && cat != nil {
		if ribbed > w.Factor() {
			x.Body += " With " + plural(len(pr.Ribs), "proposed rib") + " it bears " + plain(ribbed, 1) + " times the pull."
		}
		if s := f.SayGrip(cat); s != "" {
			x.Body += " " + s
		}
	}
	return x, true
}

func round(v float64, decimals int) float64 {
	k := math.Pow(10, float64(decimals))
	return math.Round(v*k) / k
}

// sentence makes a sentence of a phrase.
func sentence(s string) string {
	s = finding.Capital(strings.TrimSpace(s))
	if s != "" && !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}
