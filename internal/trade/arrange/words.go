package arrange

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/solve/place"
)

const stoppedSay = "Called off. The file is as it was."

// nameOf names a way of looking.
func nameOf(style string, fresh bool) string {
	switch style {
	case "near":
		if fresh { // nothing has a place yet
			return "In the order of your file"
		}
		return "Near to what you have"
	case "lines":
		return "In straight rows"
	}
	return "Alike left and right"
}

func count(n int) string { return strconv.Itoa(n) }

func countOf(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return count(n) + " " + many
}

// mm prints a length as the person reads it, to a tenth of a millimetre.
func (j *job) mm(v float64) string {
	if j.p.Units == string(length.Inch) {
		return strconv.FormatFloat(v/length.PerInch, 'f', 2, 64) + " in"
	}
	return length.Plain(math.Round(v*10)/10) + " mm"
}

// scoreOf puts a score into words; now is that of the panel as it is.
func (j *job) scoreOf(s, now *place.Score) *Score {
	out := &Score{Total: tidy(s.Total)}
	for i, t := range s.Terms {
		x := Term{Name: t.Name, Have: tidy(t.Have), Points: tidy(t.Points), Unit: "mm"}
		if t.Name == "trouble" || t.Name == "order" || t.Name == "rows" {
			x.Unit = ""
		}
		if now != nil && i < len(now.Terms) {
			w := tidy(now.Terms[i].Have)
			x.Was = &w
		}
		x.Say, x.Why = j.term(t)
		out.Terms = append(out.Terms, x)
	}
	return out
}

// term says one summand of the score, and why it counts.
func (j *job) term(t place.Term) (say, why string) {
	n := int(math.Round(t.Have))
	switch t.Name {
	case "trouble":
		return countOf(n, "pair stands", "pairs stand") + " nearer than they should", "Finger room, air behind, sheet between holes and letters: each pair below it costs 100 points, more when more is missing."
	case "order":
		return countOf(n, "pair has", "pairs have") + " changed places", "What stands in a row keeps its order, and rows stay above each other: 20 points a pair."
	case "together":
		return "groups are spread or mixed by " + j.mm(t.Have), "Controls of one group stay together, and nothing else stands in their midst: 0.4 points a mm."
	case "line":
		return "off line by " + j.mm(t.Have) + " in the mean", "The eye sees a control that is a little out of line: 4 points a mm."
	case "rows":
		return "stand at " + countOf(n, "height", "different heights"), "Fewer lines are quicker to mark out, to drill and to read: 1.5 points a line."
	case "gaps":
		return "gaps in a row differ by " + j.mm(t.Have) + " in the mean", "Even gaps look made on purpose: 1.5 points a mm."
	case "twins":
		return "off their counterparts by " + j.mm(t.Have) + " in the mean", "What is alike stands alike on the left and on the right, or in the middle."
	case "balance":
		return "the middle of all fronts is " + j.mm(t.Have) + " off the middle of " + j.name(), "A face that is heavier on one side looks unfinished."
	case "spread":
		return j.mm(t.Have) + " of " + j.name() + " taken, across and up", "Of two arrangements that are else alike, the smaller one is easier to reach over."
	case "moved":
		return "moved by " + j.mm(t.Have) + " in the mean", "You had your reasons: each mm away from where it stands costs a little."
	}
	return t.Name, ""
}

// say says what stays beyond what is asked for.
func (j *job) say() {
	for _, s := range j.whole.Sheets() {
		if n := len(s.Controls); n > 0 && s != j.p {
			j.r.Stays = append(j.r.Stays, Stay{finding.Capital(countOf(n, "control", "controls")) + " on " + j.nameOf(s), "one board is arranged at a time, and this is " + j.name()})
		}
	}
	for _, c := range j.whole.Waiting {
		if on := boardFor(j.Doc, c); on != j.On {
			j.r.Stays = append(j.r.Stays, Stay{c.Label, "it is for " + spokenOr(on) + ", and this is " + j.name()})
			continue
		}
		why := "it has no part yet, so that nobody knows its size"
		if c.Part.ID != "" {
			why = "it has no place, and none can be written for it alone"
		}
		j.r.Stays = append(j.r.Stays, Stay{c.Label, why})
	}
}

// sayMoves says what moves.
func (j *job) sayMoves(p *Proposal, far *panel.Control) string {
	fresh, moved := 0, 0
	for _, s := range p.Spots {
		switch {
		case s.New:
			fresh++
		case math.Hypot(s.DX, s.DY) > 0.005:
			moved++
		}
	}
	var parts []string
	if moved > 0 {
		t := countOf(moved, "control moves", "controls move")
		if far != nil {
			t += ", " + far.Label + " farthest, by " + j.mm(p.Farthest)
		}
		parts = append(parts, t)
	}
	if fresh > 0 {
		parts = append(parts, countOf(fresh, "control gets its first place", "controls get their first place"))
	}
	return finding.Capital(strings.Join(parts, "; ")) + "."
}

// sum says what came of it.
func (j *job) sum(res *place.Result) {
	r := j.r
	crowded := ""
	if pr, err := place.Crowded(j.pr); err == nil && pr != nil {
		r.Crowd = j.crowd(pr)
		crowded = " With the room that fingers want they take " + j.area(pr.Need) + ", and " + j.name() + " has " + j.area(pr.Have) + " for it: some will stand too near whatever is done. " + j.larger() + " larger, or take smaller parts."
	}
	switch n := len(r.Proposals); {
	case n == 0 && r.Stopped:
		r.Say = stoppedSay
	case n == 0 && len(res.Solutions) == 0 && res.Tightest > 0:
		r.Say = "No arrangement was found in which nothing meets; the nearest one lacks " + j.mm(res.Tightest) + " in all. That is no proof that there is none: try another seed, let more of it move, or make room." + crowded
	case n == 0 && len(res.Solutions) == 0:
		r.Say = "Nothing better was found: what may be moved stands as well as it can where it is." + crowded
	case n == 0:
		why := ""
		if j.against != "" {
			why = " The first one: " + j.against
		}
		r.Say = "Each arrangement that was found brings something that the file does not have now, so none is shown." + why + " Try another seed, or let more of it move." + crowded
	default:
		r.Say = countOf(n, "arrangement", "arrangements") + " to choose from; each was checked as a whole." + crowded
		if n < j.Most {
			r.Say = "Only " + countOf(n, "arrangement differs", "arrangements differ") + " enough from what there is and from each other to be worth showing." + crowded
		}
		if r.Now != nil && !slices.ContainsFunc(r.Proposals, func(p Proposal) bool { return p.Score < r.Now.Total }) {
			r.Say += " As it stands now it scores better than any of these."
		}
		if r.Stopped {
			r.Say = "Called off early. " + r.Say
		}
	}
}

// this is the board at the end of a sentence, larger the beginning of one about its size.
func (j *job) this() string {
	if j.On == "" {
		return "this face"
	}
	return j.name()
}

func (j *job) larger() string {
	if j.On == "" {
		return "Make the face"
	}
	return "Make the box"
}

func spokenOr(on string) string {
	if on == "" {
		return "the face"
	}
	return spoken(on)
}

func (j *job) crowd(p *place.Proof) *Crowd {
	return &Crowd{What: j.what(p.Layer), Need: tidy(p.Need / 100), Have: tidy(p.Have / 100), Room: p.Good}
}

func (j *job) what(layer string) string {
	if layer == "in front" {
		return "fronts"
	}
	return "parts " + strings.Replace(layer, "the face", j.name(), 1)
}

// area prints an area in cm², or in square inches for who writes in inches.
func (j *job) area(mm2 float64) string {
	v, unit := mm2/100, " cm²"
	if j.p.Units == string(length.Inch) {
		v, unit = mm2/(length.PerInch*length.PerInch), " sq in"
	}
	if v >= 100 {
		return strconv.FormatFloat(v, 'f', 0, 64) + unit
	}
	return strconv.FormatFloat(v, 'f', 1, 64) + unit
}

// hopeless says why nothing can be valid, by how much, and what to do.
func (j *job) hopeless(p *place.Proof) {
	r := j.r
	r.Hopeless = true
	switch p.Why {
	case "area":
		r.Crowd = j.crowd(p)
		r.Say = "These controls do not fit on " + j.this() + ", however they are put: their " + j.what(p.Layer) + " alone take " + j.area(p.Need) + ", and " + j.name() + " has " + j.area(p.Have) +
			". That is " + j.area(p.Need-p.Have) + " too much. " + j.larger() + " larger, take some out, or put some on another board."
	case "alone":
		u := j.units[p.Items[0]]
		r.Say = finding.Capital(u.name) + " does not fit on " + j.this() + " wherever it is put" + j.tooWide(u) + ". " + j.larger() + " larger, or take a smaller part."
	case "pair":
		a, b := j.units[p.Items[0]], j.units[p.Items[1]]
		r.Say = finding.Capital(a.name) + " and " + b.name + " do not fit on " + j.this() + " together, wherever they are put. " + j.larger() + " larger, or take one of them out."
	}
}

// depths gives how much a unit takes behind the sheet, without its wires, and the least and the most that there is anywhere. Where the
// depth is the same everywhere it has no say in where things are put: then there is as much as can be.
func (j *job) depths(u *unit) (need, least, most float64) {
	if !j.p.Leaning() {
		return 0, math.Inf(1), math.Inf(1)
	}
	for _, m := range u.members {
		for _, b := range m.c.Rear {
			if m.follow == place.Same && (b.Role == panel.RoleBody || b.Role == panel.RoleNut || b.Role == panel.RoleLugs) {
				need = max(need, -j.p.Stack.Total-b.Z0)
			}
		}
	}
	const n = 24
	least, most = math.Inf(1), math.Inf(-1)
	for i := range n + 1 {
		for k := range n + 1 {
			if d, ok := j.p.DepthAt(panel.P(j.p.Face.Width*float64(i)/n, j.p.Face.Height*float64(k)/n)); ok {
				least, most = min(least, d), max(most, d)
			}
		}
	}
	return need, least, most
}

// tooWide says by how much a unit is larger than the face, if that is why.
func (j *job) tooWide(u *unit) string {
	b := geom.EmptyBox2()
	for _, m := range u.members {
		if m.follow == place.Same {
			b = b.Union(frontBox(m.c))
		}
	}
	z := b.Size()
	var parts []string
	if d := z.X - j.p.Face.Width; d > 0 {
		parts = append(parts, j.mm(d)+" wider")
	}
	if d := z.Y - j.p.Face.Height; d > 0 {
		parts = append(parts, j.mm(d)+" higher")
	}
	switch need, least, most := j.depths(u); {
	case len(parts) > 0:
	case need > most:
		return ": it takes " + j.mm(need) + " behind the sheet, and there are " + j.mm(most) + " at most"
	case need > least:
		return ": it takes " + j.mm(need) + " behind the sheet, and where there is so much it comes too near to the edge"
	default:
		return ": its holes and fronts would come too near to the edge"
	}
	return ": it is " + strings.Join(parts, " and ") + " than " + j.name()
}
