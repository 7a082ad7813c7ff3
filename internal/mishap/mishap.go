// Package mishap is for when something went wrong at the bench: a hole off its mark, too large, or in the wrong place, a cracked corner, a
// board cut short, a wire too short, a part that came in another size. What happened becomes an as-built fact, everything is checked
// again with it, and the ways out are listed with what each costs, every one checked by all trades, best first.
package mishap

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/record"
	"knobwright/internal/trade/costing"
)

// Kind says what went wrong.
type Kind string

// The kinds.
const (
	Off    Kind = "off"    // the hole of a control is off its mark by By
	Large  Kind = "large"  // the hole of a control has Size across
	Stray  Kind = "stray"  // there is a hole of Size at At where none should be
	Corner Kind = "corner" // the corner Of of the face is broken away over Size
	Board  Kind = "board"  // the board Of is Short mm too short
	Wire   Kind = "wire"   // the wire Of is Short mm too short
	Part   Kind = "part"   // the part of the control Of came otherwise: Adjust
)

// Mishap is what went wrong.
type Mishap struct {
	Kind    Kind
	Of      string
	By      geom.Vec2 // mm on the face
	At      geom.Vec2
	Size    float64
	Short   float64
	Adjust  string // flow mapping of part fields: "{hole: {round: 24 mm}}"
	Drilled bool   // the other holes are drilled already
}

// Bench is the panel that it happened to, with the facts that are known already laid over its file.
type Bench struct {
	Doc    *project.Doc
	Cat    *catalog.Catalog
	Result *job.Result
	Run    func(src []byte) *job.Result // judges a text with all trades
}

// Case is what follows from a mishap.
type Case struct {
	Fact    record.Fact       // to be kept in the record
	New     []finding.Finding // what the panel has now that it had not before
	Stops   int               // of these
	Warns   int
	Rescues []Rescue
	Say     string // the case in a sentence
}

// Rescue is a way out.
type Rescue struct {
	Say      string // imperative
	How      []string
	Edits    []finding.Edit // of the file as built, fact laid over; empty when nothing of the design changes
	Only     string         // when it holds: "only while the other holes are not drilled"
	Cost     costing.Range  // more than the design costs
	Currency string
	Minutes  float64 // at the bench, common practice
	New      []finding.Finding
	Stops    int // findings that the panel as designed had not
	Warns    int
	Checked  bool // judged by all trades; else it is a matter of the hand alone
	Seen     bool // the mishap stays to be seen

	filed string // path of a control whose hole is filed: what a bit cannot make of it does not count
}

// ErrUnknown says that what it happened to is not in the panel.
var ErrUnknown = errors.New("is not in this panel")

// Look works a mishap out.
func Look(b Bench, m Mishap) (Case, error) {
	w := &work{b: b, m: m, mm: func(v float64) string { return length.Format(length.Length(v), length.Unit(b.Result.Panel.Units)) }}
	var err error
	switch m.Kind {
	case Off, Large, Part:
		err = w.control()
	case Stray:
		err = w.stray()
	case Corner:
		err = w.corner()
	case Board:
		err = w.board()
	case Wire:
		err = w.wire()
	default:
		err = fmt.Errorf("%q is no mishap that is known", m.Kind)
	}
	if err != nil {
		return Case{}, err
	}
	w.fixes()
	w.rank()
	return w.c, nil
}

type work struct {
	b     Bench
	m     Mishap
	c     Case
	now   *project.Doc // with the fact
	after *job.Result  // of it
	mm    func(float64) string
}

// fact lays the fact over the file and judges what follows.
func (w *work) fact(kind, what string, of []string, edits ...finding.Edit) error {
	w.c.Fact = record.Fact{Kind: kind, What: what, Of: of, Edits: edits}
	w.now, w.after = w.b.Doc, w.b.Result
	if len(edits) > 0 {
		src, err := w.b.Doc.Apply(edits)
		if err != nil {
			return fmt.Errorf("it cannot be written down as built: %w", err)
		}
		w.now, w.after = project.Read(w.b.Doc.Name, src), w.b.Run(src)
	}
	w.c.New = fresh(w.b.Result.Findings, w.after.Findings)
	w.c.Stops, w.c.Warns = count(w.c.New)
	return nil
}

// try judges a rescue with all trades and keeps it. Edits are of the file with the fact.
func (w *work) try(r Rescue) {
	base := w.after
	if len(r.Edits) > 0 {
		src, err := w.now.Apply(r.Edits)
		if err != nil {
			return
		}
		base = w.b.Run(src)
	}
	r.Checked = true
	r.New = slices.DeleteFunc(fresh(w.b.Result.Findings, base.Findings), func(f finding.Finding) bool {
		return r.filed != "" && strings.HasPrefix(f.Rule, "drill.") && len(f.Ends) > 0 && f.Ends[0].Path == r.filed
	})
	r.Stops, r.Warns = count(r.New)
	d := costing.Range{From: base.Costs.Whole.From - w.b.Result.Costs.Whole.From, To: base.Costs.Whole.To - w.b.Result.Costs.Whole.To}
	r.Cost.From += d.From
	r.Cost.To += d.To
	r.Currency = base.Costs.Currency
	w.c.Rescues = append(w.c.Rescues, r)
}

// hand keeps a rescue that is a matter of the hand: nothing of the design changes, so that it stands as well as the design.
func (w *work) hand(r Rescue) {
	r.Currency = w.b.Result.Costs.Currency
	w.c.Rescues = append(w.c.Rescues, r)
}

// fixes tries what the findings themselves propose, one after the other, until nothing is left that the design had not.
func (w *work) fixes() {
	if w.c.Stops+w.c.Warns == 0 || w.after == nil {
		return
	}
	doc, res := w.now, w.after
	var edits []finding.Edit
	var said []string
	for range 4 {
		news := fresh(w.b.Result.Findings, res.Findings)
		stops, warns := count(news)
		if stops+warns == 0 {
			break
		}
		best := struct {
			stops, warns int
			fix          finding.Fix
			src          []byte
			res          *job.Result
		}{stops: stops, warns: warns}
		tried := 0
		for _, f := range news {
			for _, x := range f.Fixes {
				if len(x.Edits) == 0 || tried >= 6 || w.m.Drilled && moves(x) {
					continue
				}
				src, err := doc.Apply(x.Edits)
				if err != nil {
					continue
				}
				tried++
				r := w.b.Run(src)
				if !w.stands(r) {
					continue
				}
				s, n := count(fresh(w.b.Result.Findings, r.Findings))
				if s < best.stops || s == best.stops && n < best.warns {
					best.stops, best.warns, best.fix, best.src, best.res = s, n, x, src, r
				}
			}
		}
		if best.res == nil {
			break
		}
		edits = append(edits, best.fix.Edits...)
		said = append(said, lower(w.named(best.fix)))
		doc, res = project.Read(doc.Name, best.src), best.res
	}
	if len(edits) == 0 {
		return
	}
	r := Rescue{Say: finding.Capital(strings.Join(said, "; then ")) + ".", Edits: edits, Minutes: 5}
	if w.m.Kind == Stray {
		r.Seen, r.How = true, []string{"The stray hole itself stays open."}
	}
	if slices.ContainsFunc(edits, func(e finding.Edit) bool { return isPlace(e.Path) }) {
		r.Only = notDrilled
	}
	w.try(r)
}

// stands reports whether the spoilt hole is where it was made: no proposal can move a hole that exists.
func (w *work) stands(r *job.Result) bool {
	at := func(r *job.Result) (geom.Vec2, bool) {
		for _, s := range r.Panel.Sheets() {
			for _, c := range s.Controls {
				if len(w.c.Fact.Of) > 0 && c.Name == w.c.Fact.Of[0] {
					return c.At.Vec2, true
				}
			}
		}
		return geom.Vec2{}, false
	}
	const still = 0.02
	switch w.m.Kind {
	case Off, Large:
		a, ok := at(w.after)
		b, same := at(r)
		return !ok || same && a.Sub(b).Len() < still
	case Stray:
		return slices.ContainsFunc(r.Panel.Openings, func(o *panel.Cut) bool { return o.At.Vec2.Sub(w.m.At).Len() < still })
	}
	return true
}

// named says a fix with the name of the control in place of "it": here no finding stands before it.
func (w *work) named(x finding.Fix) string {
	rest, ok := strings.CutPrefix(x.Say, "Move it ")
	if !ok {
		return x.Say
	}
	for _, s := range w.b.Result.Panel.Sheets() {
		for _, c := range s.Controls {
			if slices.ContainsFunc(x.Edits, func(e finding.Edit) bool {
				return c.Origin.MovePath != "" && e.Path == c.Origin.MovePath || strings.HasPrefix(e.Path, c.Origin.Path+".")
			}) {
				return "Move " + c.Label + " " + rest
			}
		}
	}
	return x.Say
}

const notDrilled = "only while the other holes are not drilled"

func moves(x finding.Fix) bool {
	return slices.ContainsFunc(x.Edits, func(e finding.Edit) bool { return isPlace(e.Path) })
}

// isPlace reports whether a path of the file says where something is on the face.
func isPlace(path string) bool {
	return strings.Contains(path, ".at") || strings.Contains(path, ".shift") || strings.Contains(path, ".row") || strings.Contains(path, ".grid") || strings.Contains(path, ".column")
}

func lower(s string) string {
	if len(s) > 1 && s[0] >= 'A' && s[0] <= 'Z' && s[1] >= 'a' && s[1] <= 'z' {
		return string(s[0]+32) + s[1:]
	}
	return s
}

// rank puts the rescues in order: those that leave least to mend, then those that cost least in money and time (a quarter of an hour is
// weighed as one unit of money), and drops those that say the same.
func (w *work) rank() {
	weigh := func(r Rescue) float64 { return max(0, (r.Cost.From+r.Cost.To)/2) + r.Minutes/15 }
	slices.SortStableFunc(w.c.Rescues, func(a, b Rescue) int {
		return cmp.Or(cmp.Compare(a.Stops, b.Stops), cmp.Compare(a.Warns, b.Warns), seenLast(a.Seen, b.Seen), cmp.Compare(weigh(a), weigh(b)))
	})
	seen := map[string]bool{}
	w.c.Rescues = slices.DeleteFunc(w.c.Rescues, func(r Rescue) bool {
		k := strings.TrimSuffix(r.Say, ".")
		if seen[k] {
			return true
		}
		seen[k] = true
		return w.m.Drilled && r.Only == notDrilled
	})
	// at most two that leave a stop: they are there to show that they were thought of
	bad := 0
	w.c.Rescues = slices.DeleteFunc(w.c.Rescues, func(r Rescue) bool {
		if r.Stops > w.c.Stops {
			bad++
		}
		return r.Stops > w.c.Stops && bad > 2
	})
}

// seenLast puts what stays to be seen behind what does not.
func seenLast(a, b bool) int { return pickInt(a) - pickInt(b) }

// find looks for a control by name or by what people call it.
func (w *work) find(of string) (*panel.Control, *panel.Panel, error) {
	for _, s := range w.b.Result.Panel.Sheets() {
		for _, c := range s.Controls {
			if c.Name == of || strings.EqualFold(c.Label, of) {
				return c, s, nil
			}
		}
	}
	return nil, nil, fmt.Errorf("%q %w", of, ErrUnknown)
}

// newSheet is the rescue that is always there: the sheet made anew, or the board of the box that carries the hole.
func (w *work) newSheet(p *panel.Panel) {
	on, name := "", "face"
	r := Rescue{Say: "Make the sheet anew.", How: []string{"Keep the spoilt one: it is good for test holes, blank plates and washers."}, Checked: true}
	for _, x := range w.b.Result.Panel.Sides {
		if x.Panel == p {
			on, name = x.On, p.Board
			r.Say = fmt.Sprintf("Make the %s anew.", p.Board)
		}
	}
	for _, l := range w.b.Result.Costs.Lines {
		if l.Section == costing.Sheets && l.Packs > 0 && slices.Contains(l.For, "the "+name) {
			r.Cost = costing.Range{From: l.Each.From, To: l.Each.To}
			if on != "" {
				r.Cost.From = 0
				r.How = []string{"Look through the offcuts first: the sheet may yield it once more."}
			}
		}
	}
	for _, s := range w.b.Result.Steps.Steps {
		switch s.Part {
		case "drill", "cover", "letter":
			if s.Board == on && s.ID != "trial" {
				r.Minutes += s.Minutes
			}
		}
	}
	if on != "" {
		r.Minutes += cutBoard
	}
	if r.Minutes == 0 {
		r.Minutes = 90
	}
	r.Currency = w.b.Result.Costs.Currency
	w.c.Rescues = append(w.c.Rescues, r)
}
