package packet

import (
	"fmt"
	"math"
	"slices"
	"strconv"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/length"
	"knobwright/internal/trade/stiffness"
	"knobwright/internal/view"
)

// mapPlaces is how many places along the longer side a press map has.
const mapPlaces = 44

// pressPapers adds the papers about how far the faces give, when that was reckoned.
func pressPapers(r *job.Result, d desk, pdf func(name, about string, doc *drawing.Document), add func(name, about string, data []byte, err error)) {
	if !slices.ContainsFunc(r.Press.Faces, reckoned) {
		return
	}
	pdf("press.pdf", "how far the face gives under a thumb, and ribs that cure it", pressBook(r, d))
	csv, err := table(pressRows(r))
	add("press.csv", "the same for a spreadsheet", csv, err)
}

func reckoned(f *stiffness.Face) bool {
	return f.Failed == "" && len(f.Loose) == 0 && len(f.Presses) > 0
}

// pressBook is a map of every face, with the proposed ribs once more, and the list of controls.
func pressBook(r *job.Result, d desk) *drawing.Document {
	doc := &drawing.Document{Title: "Presses: " + joinTitle(d), Subject: "how far the face gives under a firm thumb"}
	for _, f := range r.Press.Faces {
		if !reckoned(f) {
			continue
		}
		on := d
		on.board = f.Panel.Board
		p := f.Panel
		mapPage := func(name, use string, ribs []stiffness.Rib) {
			m, ok := f.Map(ribs, mapPlaces)
			if !ok {
				return
			}
			doc.Pages = append(doc.Pages, on.fitted(name, p.Face.Outline.Bounds().Grow(2), func(k float64) *drawing.Scene { return view.PressMap(f, m, k) }, sheet{
				name: name, view: drawing.FrontView, use: use, cells: []cell{on.panelCell(), {"", "do not measure here"}},
			}))
		}
		use := "On each line the face gives as many mm to a thumb of " + num0(f.Thumb) + " N that presses there; heavy: the limit, " + length.Plain(f.Springy) + "."
		mapPage("Under the thumb", use, nil)
		if pr := f.Proposal; pr != nil && len(pr.Ribs) > 0 {
			say := "With " + count(len(pr.Ribs), "rib", "ribs") + " glued on (hatched): " + hundredths(pr.Before) + " becomes " + hundredths(pr.After) + " mm. Lines as on the page before."
			mapPage("With ribs", say, pr.Ribs)
		}
		l := on.list(sheet{name: "Every press", use: "Bars to one scale; the upright line is the limit.", cells: []cell{on.panelCell()}})
		pressList(l, f)
		doc.Pages = append(doc.Pages, l.done()...)
	}
	return doc
}

func num0(v float64) string       { return strconv.FormatFloat(v, 'f', 0, 64) }
func hundredths(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }

// pressList sets a bar for every control, the proposal, and how it was reckoned.
func pressList(l *lister, f *stiffness.Face) {
	if f.Worst >= 0 {
		w := f.Presses[f.Worst]
		l.room(20)
		l.y -= drawing.HaveWantAbove + 3
		wide := l.right() - l.left() - 72
		l.items = append(l.items, fitted(v(l.left(), l.y), drawing.ReadBold, pt(listSize), 56, w.Control.Label+" gives most", drawing.Ink0))
		l.items = append(l.items, drawing.HaveWant(v(l.left()+58, l.y), wide, finding.Measure{Have: math.Round(w.Thumb*100) / 100, Want: f.Springy, Unit: "mm", Sense: finding.AtMost})...)
		l.y -= drawing.HaveWantBelow + 2
	}
	pressBars(l, f)
	if pr := f.Proposal; pr != nil {
		pressProposal(l, f, pr)
	}
	l.heading("How it was reckoned")
	for _, s := range pressWords(f) {
		l.para(s, false)
	}
}

// pressBars sets the table: name, bar, numbers.
func pressBars(l *lister, f *stiffness.Face) {
	order := make([]int, 0, len(f.Presses))
	most := f.Springy * 1.2
	for i, p := range f.Presses {
		order = append(order, i)
		most = max(most, p.Thumb)
	}
	slices.SortStableFunc(order, func(a, b int) int {
		pa, pb := f.Presses[a], f.Presses[b]
		switch {
		case pa.Judged != pb.Judged && pa.Judged:
			return -1
		case pa.Judged != pb.Judged:
			return 1
		case pa.Thumb > pb.Thumb:
			return -1
		case pa.Thumb < pb.Thumb:
			return 1
		}
		return 0
	})
	after := f.Proposal != nil && len(f.Proposal.Ribs) > 0
	cols := []column{{head: "control", w: 34, bold: true}, {head: ""}, {head: "thumb mm", w: 19, right: true}}
	if after {
		cols = append(cols, column{head: "with ribs", w: 18, right: true})
	}
	cols = append(cols, column{head: "own force mm", w: 24, right: true}, column{head: "slip bears", w: 19, right: true})
	var rows []row
	for _, i := range order {
		p := f.Presses[i]
		x := row{p.Control.Label, "", hundredths(p.Thumb)}
		if p.OnWood {
			x[2] = "on wood"
		}
		if after {
			x = append(x, hundredths(f.Proposal.Gives[i]))
		}
		own, bears := "", ""
		if p.Own > 0 {
			own = hundredths(p.Own)
		}
		if p.Factor() > 0 {
			bears = strconv.FormatFloat(p.Factor(), 'f', 1, 64) + " x"
		}
		rows = append(rows, append(x, own, bears))
	}
	cols = widths(cols, l.right()-l.left())
	head := func() { l.heads(cols, l.left()) }
	l.room(18)
	head()
	l.again = head
	const high = lineStep + 2*rowPad
	x0, wide := l.left()+cols[0].w+1, cols[1].w-4
	for k, i := range order {
		p := f.Presses[i]
		l.room(high)
		l.setRow(cols, rows[k], l.left(), 1)
		mid := l.y - high/2
		at := func(mm float64) float64 { return x0 + wide*mm/most }
		style := drawing.Style{Fill: drawing.CapWash, Line: drawing.Thin}
		if p.Judged && p.Thumb > f.Springy {
			style = drawing.Style{Hatch: drawing.HatchBad, Line: drawing.Thin}
		}
		if p.Thumb > 0 {
			l.items = append(l.items, drawing.Box(style, v(x0, mid-1.3), v(at(p.Thumb), mid+1.3)))
		}
		if after && !p.OnWood {
			l.items = append(l.items, drawing.Box(drawing.Style{Fill: drawing.Ink0}, v(x0, mid-0.35), v(at(f.Proposal.Gives[i]), mid+0.35)))
		}
		if p.Judged {
			l.items = append(l.items, drawing.Ln(v(at(f.Springy), mid-high/2), v(at(f.Springy), mid+high/2), drawing.Visible))
		}
		l.y -= high
		l.items = append(l.items, drawing.Ln(v(l.left(), l.y), v(l.right(), l.y), drawing.Rule))
	}
	l.again = nil
	l.y -= 2
	say := "Hatched bar: more than " + length.Plain(f.Springy) + " mm."
	if after {
		say += " Black line in a bar: with the proposed ribs."
	}
	say += " Slip bears: how many times the sheet stands a slip of " + num0(f.Slip) + " N beside the worst opening; good to a fifth."
	l.para(say, true)
}

// pressProposal tells the proposed ribs.
func pressProposal(l *lister, f *stiffness.Face, pr *stiffness.Proposal) {
	l.heading("Ribs that would help")
	d := l.d
	switch {
	case pr.Places == 0 && !pr.Reached:
		l.para("There is no room behind the face for a rib of this stock.", false)
	case len(pr.Ribs) == 0:
		l.para("None of the "+strconv.Itoa(pr.Places)+" places brings it nearer to "+length.Plain(pr.Target)+" mm.", false)
	default:
		var rows []row
		for _, r := range pr.Ribs {
			rows = append(rows, row{r.Name, d.coord(r.A.X) + ", " + d.coord(r.A.Y), d.coord(r.B.X) + ", " + d.coord(r.B.Y), d.num(r.Length()), d.num(r.Width) + " x " + d.num(r.Height)})
		}
		l.table([]column{{head: "rib", w: 24, bold: true}, {head: "from (" + d.unit() + ")", w: 36}, {head: "to", w: 36}, {head: "length", w: 22, right: true}, {head: "thick x high"}}, rows)
		l.para("Places are from the datum corner, as seen from the front, of the middle line. Glue with epoxy or construction adhesive over the whole width; foam tape does not count. Write them into the file with knobwright press --write.", false)
	}
	if s := pr.SayBound(); s != "" {
		l.para(s, false)
	}
}

// pressWords says in a few sentences how the numbers came about.
func pressWords(f *stiffness.Face) []string {
	m := f.Material
	held := map[string]int{}
	for _, s := range f.Supports {
		held[s.Kind]++
	}
	how := "nothing"
	var parts []string
	for _, k := range [][3]string{{"glued", "glued side", "glued sides"}, {"ledge", "ledge", "ledges"}, {"rests", "wall", "walls"}, {"screw", "screw", "screws"}} {
		if n := held[k[0]]; n > 0 {
			parts = append(parts, count(n, k[1], k[2]))
		}
	}
	if len(parts) > 0 {
		how = joinWords(parts)
	}
	grain := ""
	if m.Elastic.Across > 0 {
		grain = fmt.Sprintf(" along and %.1f across the grain, which runs %s", m.Elastic.Across/1000, map[bool]string{true: "up the face", false: "along the width"}[f.Panel.Stack.GrainUp])
	}
	out := []string{
		fmt.Sprintf("The sheet is a plate of %s mm (%s, Young's modulus %.1f GPa%s) with its openings, held by %s. Each press is spread over the rim of its control.", length.Plain(f.Thickness), m.Word, m.Elastic.Along/1000, grain, how),
		"Walls and ledges carry it along their inner edge and let it turn there, unless it is glued; corners that would lift are held down in the sum, which makes it a few per cent stiffer than it is. Nuts and bezels stiffen their holes; that is left out, on the safe side.",
		"The numbers hold for small movements: beyond half the thickness a real sheet is stiffer. They hold for presses of seconds: plastics creep under what leans on them for hours. Give is good to about a tenth when the sheet is as thick as said: a tenth less thickness gives a third more.",
	}
	if f.Hertz > 0 {
		s := fmt.Sprintf("With all on it the face rings at about %.0f Hz.", f.Hertz)
		if f.Hertz < 60 {
			s += " That is low: it may rattle beside a loudspeaker or on a moving stage."
		}
		out = append(out, s)
	}
	for _, n := range f.Notices {
		out = append(out, finding.Capital(n)+".")
	}
	return out
}

func joinWords(s []string) string {
	switch len(s) {
	case 0:
		return ""
	case 1:
		return s[0]
	}
	out := s[0]
	for _, x := range s[1 : len(s)-1] {
		out += ", " + x
	}
	return out + " and " + s[len(s)-1]
}

// pressRows is press.csv: a line for every control.
func pressRows(r *job.Result) [][]string {
	rows := [][]string{{"board", "control", "across_mm", "up_mm", "judged", "over_wood", "mm_per_n", "own_n", "own_mm", "thumb_n", "thumb_mm", "limit_mm", "slip_n", "slip_mm", "with_ribs_mm", "moves_most", "moves_mm", "stress_mpa", "strength_mpa", "beside"}}
	yes := func(b bool) string {
		if b {
			return "yes"
		}
		return "no"
	}
	for _, f := range r.Press.Faces {
		if !reckoned(f) {
			continue
		}
		board := f.Panel.Board
		if board == "" {
			board = "face"
		}
		for i, p := range f.Presses {
			ribs := ""
			if pr := f.Proposal; pr != nil && len(pr.Ribs) > 0 {
				ribs = decimals(pr.Gives[i], 3)
			}
			at := p.Control.At
			rows = append(rows, []string{
				board, p.Control.Name, decimals(at.X, 2), decimals(at.Y, 2), yes(p.Judged), yes(p.OnWood), decimals(p.Each, 5), decimals(p.Control.Part.Force, 1), decimals(p.Own, 3),
				decimals(f.Thumb, 1), decimals(p.Thumb, 3), decimals(f.Springy, 3), decimals(f.Slip, 1), decimals(p.Slip, 3), ribs,
				p.Neighbour, decimals(p.Along, 3), decimals(p.Stress, 1), decimals(p.Strength, 1), p.Beside,
			})
		}
	}
	return rows
}
