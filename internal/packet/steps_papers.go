package packet

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/job"
	"knobwright/internal/trade/steps"
	lang "knobwright/internal/words"
)

// stepsPapers adds the order of work: on paper to tick off, and for a spreadsheet.
func stepsPapers(r *job.Result, d desk, l lang.Lang, t *tray) {
	if len(r.Steps.Steps) == 0 {
		return
	}
	if l == "" {
		l = lang.English
	}
	t.pdf("steps.pdf", "the order of work to tick off, and when there is time for it", stepsBook(&r.Steps, d, l))
	data, err := table(stepsRows(&r.Steps, l))
	t.add("steps.csv", "the order of work for a spreadsheet", data, err)
}

// say is a text of the order of work, in a language.
func stepWord(l lang.Lang, key string, args ...any) string {
	return l.Say(lang.T("steps."+key, args...))
}

// clockTime writes minutes of a day: "19:05".
func clockTime(m int) string { return fmt.Sprintf("%02d:%02d", m/60, m%60) }

// whenOf says when something begins: "Saturday 10:00".
func whenOf(r *steps.Result, l lang.Lang, minute float64) (day, clock string) {
	_, week, at := r.When(minute)
	return stepWord(l, "day."+strconv.Itoa(week)), clockTime(at)
}

// firstBar gives the first stretch of work at a step, and its number in the order.
func firstBars(r *steps.Result) (first map[string]steps.Bar, number map[string]int) {
	first, number = map[string]steps.Bar{}, map[string]int{}
	for i, s := range r.Steps {
		number[s.ID] = i + 1
	}
	for _, b := range r.Bars {
		if _, ok := first[b.Step]; !ok && !b.Waiting {
			first[b.Step] = b
		}
	}
	return first, number
}

// stepsRows is the order of work as a list.
func stepsRows(r *steps.Result, l lang.Lang) [][]string {
	rows := [][]string{{"n", "step", "part", "title", "minutes", "wait_minutes", "wait_until", "room_from_c", "room_to_c", "session", "day", "begins", "from_minute", "to_minute", "after", "no_return", "check_before", "cautions", "papers", "lines"}}
	first, number := firstBars(r)
	for i, s := range r.Steps {
		var after, cautions []string
		for _, a := range s.After {
			x := strconv.Itoa(number[a.Step])
			if a.Dry {
				x += " dry"
			}
			after = append(after, x)
		}
		for _, c := range s.Cautions {
			cautions = append(cautions, l.Say(c.Text))
		}
		wait, until, from, to := "", "", "", ""
		if s.Wait != nil {
			wait, until = strconv.Itoa(int(s.Wait.Minutes)), l.Say(s.Wait.What)
			if s.Wait.To > 0 {
				from, to = decimals(s.Wait.From, 0), decimals(s.Wait.To, 0)
			}
		}
		session, day, begins, begin, end := "", "", "", "", ""
		if b, ok := first[s.ID]; ok {
			n, _, at := r.When(b.From)
			session, day, begins, begin = strconv.Itoa(b.Session+1), strconv.Itoa(n), clockTime(at), strconv.Itoa(int(b.From))
			for _, x := range r.Bars {
				if x.Step == s.ID && !x.Waiting {
					end = strconv.Itoa(int(x.To))
				}
			}
		}
		check, no := "", ""
		if !s.Check.Zero() {
			check = l.Say(s.Check)
		}
		if s.NoReturn {
			no = "yes"
		}
		rows = append(rows, []string{
			strconv.Itoa(i + 1), s.ID, s.Part, l.Say(s.Title), strconv.Itoa(int(s.Minutes)), wait, until, from, to, session, day, begins, begin, end,
			strings.Join(after, " "), no, check, strings.Join(cautions, " "), strings.Join(s.Papers, " "), strconv.Itoa(len(s.Items)),
		})
	}
	return rows
}

// stepsBook is the order of work on paper.
func stepsBook(r *steps.Result, d desk, l lang.Lang) *drawing.Document {
	title := stepWord(l, "page.title")
	doc := &drawing.Document{Title: title + ": " + joinTitle(d), Subject: stepWord(l, "page.use")}
	page := func(name, say string, set func(l *lister)) {
		x := d.list(sheet{name: name, use: say, cells: []cell{d.panelCell()}})
		set(x)
		doc.Pages = append(doc.Pages, x.done()...)
	}
	page(title, stepWord(l, "page.use"), func(x *lister) { stepsList(x, r, l) })
	if len(r.Sits) > 0 {
		page(stepWord(l, "page.timeline"), stepsSum(r, l), func(x *lister) { stepsTimeline(x, r, l) })
	}
	page(stepWord(l, "page.one-by-one"), stepWord(l, "page.sheet-first"), func(x *lister) { stepsDetail(x, r, l) })
	return doc
}

// stepsSum says how long all takes.
func stepsSum(r *steps.Result, l lang.Lang) string {
	return stepWord(l, "page.hands", "n", r.Sessions, "hands", steps.Hours(r.Hands), "span", steps.Span(r.Span))
}

// stepsBound says what is proven.
func stepsBound(r *steps.Result, l lang.Lang) string {
	if r.Exact {
		return stepWord(l, "page.exact")
	}
	return stepWord(l, "page.bound", "bound", steps.Span(r.Bound))
}

// stepsList sets the steps as one list to tick.
func stepsList(x *lister, r *steps.Result, l lang.Lang) {
	first, _ := firstBars(r)
	if r.Span > 0 {
		x.para(stepsSum(r, l)+" "+stepsBound(r, l), false)
	}
	var rows []row
	for i, s := range r.Steps {
		wait, when, stop := "", "", ""
		if s.Wait != nil {
			wait = steps.Span(s.Wait.Minutes)
		}
		if b, ok := first[s.ID]; ok {
			n, week, at := r.When(b.From)
			when = fmt.Sprintf("%d  %s %s", n, shortDay(l, week), clockTime(at))
		}
		if s.NoReturn {
			stop = stepWord(l, "page.mark")
		}
		rows = append(rows, row{"x", strconv.Itoa(i + 1), l.Say(s.Title), steps.Hours(s.Minutes), wait, "", when, stop})
	}
	x.table([]column{
		{w: 7, tick: true}, {w: 9, bold: true}, {head: stepWord(l, "page.step")}, {head: stepWord(l, "page.at-bench"), w: 26, right: true}, {head: stepWord(l, "page.then"), w: 21, right: true, bold: true}, {w: 2},
		{head: stepWord(l, "page.day"), w: 25, small: true}, {w: 5, bold: true},
	}, rows)
	x.para(stepWord(l, "page.mark")+"  "+stepWord(l, "page.mark-means"), true)
}

// shortDay is the day of the week in two letters.
func shortDay(l lang.Lang, week int) string {
	return string([]rune(stepWord(l, "day."+strconv.Itoa(week)))[:2])
}

// stepsTimeline draws the sessions one under the other, and below them the whole time with what dries in it.
func stepsTimeline(x *lister, r *steps.Result, l lang.Lang) {
	x.para(stepsBound(r, l), true)
	for k := range r.Sits {
		sessionBar(x, r, l, k)
	}
	x.y -= 4
	stepsDrying(x, r, l)
}

// sessionBar draws one session: when it is, and a bar for each step with its number.
func sessionBar(x *lister, r *steps.Result, l lang.Lang, k int) {
	_, number := firstBars(r)
	long := 0.0
	for _, s := range r.Sits {
		long = max(long, s.To-s.From)
	}
	const label, high = 34.0, 6.2
	scale := (x.right() - x.left() - label) / long
	s := r.Sits[k]
	x.room(high + 3)
	x.y -= high + 2.4
	day, at := whenOf(r, l, s.From)
	x.items = append(x.items, drawing.Txt(v(x.left(), x.y+1.7), drawing.ReadBold, pt(9.5), drawing.Left, strconv.Itoa(k+1)))
	s1, size := drawing.Fit(drawing.Read, pt(9.5), day+" "+at, label-8)
	x.items = append(x.items, drawing.Txt(v(x.left()+6, x.y+1.7), drawing.Read, size, drawing.Left, s1))
	x0 := x.left() + label
	x.items = append(x.items, drawing.Box(drawing.Style{Line: drawing.Dim}, v(x0, x.y), v(x0+(s.To-s.From)*scale, x.y+high)))
	for _, b := range r.Bars {
		if b.Waiting || b.Session != k {
			continue
		}
		lo, hi := x0+(b.From-s.From)*scale, x0+(b.To-s.From)*scale
		x.items = append(x.items, drawing.Box(drawing.Style{Line: drawing.Thin, Fill: drawing.PlyWash}, v(lo, x.y), v(hi, x.y+high)))
		n := strconv.Itoa(number[b.Step])
		if drawing.TextWidth(drawing.ReadBold, pt(9), n) < hi-lo-0.6 {
			x.items = append(x.items, drawing.Txt(v((lo+hi)/2, x.y+1.8), drawing.ReadBold, pt(9), drawing.Centre, n))
		}
	}
}

// timelineScenes are the sessions, some on a scene, and what dries meanwhile, as scenes for the build book.
func timelineScenes(r *steps.Result, l lang.Lang) (sessions []*drawing.Scene, drying *drawing.Scene) {
	const some, wide, tall = 24, 178, 2000
	sheet := func(set func(x *lister)) *drawing.Scene {
		x := &lister{d: desk{paper: paper{w: wide + 2*marginX + 5, h: tall}}}
		x.open()
		set(x)
		return &drawing.Scene{Bounds: tight(x.items), Items: x.items}
	}
	for from := 0; from < len(r.Sits); from += some {
		sessions = append(sessions, sheet(func(x *lister) {
			for k := from; k < min(from+some, len(r.Sits)); k++ {
				sessionBar(x, r, l, k)
			}
		}))
	}
	for _, b := range r.Bars {
		if b.Waiting {
			return sessions, sheet(func(x *lister) { dryingBars(x, r, l) })
		}
	}
	return sessions, nil
}

// stepsDrying draws the whole time on one line, a mark for each session, and a bar for each thing that dries.
func stepsDrying(x *lister, r *steps.Result, l lang.Lang) {
	waits := 0
	for _, b := range r.Bars {
		if b.Waiting {
			waits++
		}
	}
	x.room(float64(waits)*dryingHigh + 26)
	x.head(stepWord(l, "page.drying"))
	dryingBars(x, r, l)
}

// dryingHigh is how high the bar of one thing that dries is, mm.
const dryingHigh = 5.0

func dryingBars(x *lister, r *steps.Result, l lang.Lang) {
	_, number := firstBars(r)
	var waits []steps.Bar
	for _, b := range r.Bars {
		if b.Waiting {
			waits = append(waits, b)
		}
	}
	const high = dryingHigh
	end := r.Span
	for _, s := range r.Sits {
		end = max(end, s.To)
	}
	const label = 12.0
	x0 := x.left() + label
	scale := (x.right() - x0) / max(end, 1)
	top := x.y
	x.y -= 5
	// Midnights, a number for each day.
	days := int(math.Ceil((end + float64(r.Begins%1440)) / 1440))
	every := 1 + days/16
	for i := range days + 1 {
		at := float64(i*1440 - r.Begins%1440)
		if at < 0 || at > end {
			if i == 0 {
				x.items = append(x.items, drawing.Txt(v(x0, top-3.6), drawing.Read, pt(9), drawing.Left, "1"))
			}
			continue
		}
		px := x0 + at*scale
		x.items = append(x.items, drawing.Ln(v(px, top-4.6), v(px, top-8), drawing.Rule))
		if i%every == 0 && px < x.right()-6 {
			x.items = append(x.items, drawing.Txt(v(px+0.8, top-3.6), drawing.Read, pt(9), drawing.Left, strconv.Itoa(i+1)))
		}
	}
	for _, s := range r.Sits {
		x.items = append(x.items, drawing.Box(drawing.Style{Fill: drawing.Ink0}, v(x0+s.From*scale, x.y-2.4), v(max(x0+s.To*scale, x0+s.From*scale+0.5), x.y)))
	}
	x.y -= 3.2
	for _, b := range waits {
		x.y -= high
		lo, hi := x0+b.From*scale, min(x0+b.To*scale, x.right())
		x.items = append(x.items, drawing.Box(drawing.Style{Line: drawing.Thin, Hatch: drawing.HatchCovered}, v(lo, x.y+0.6), v(max(hi, lo+0.6), x.y+high-0.8)))
		x.items = append(x.items, drawing.Txt(v(x.left(), x.y+1.4), drawing.ReadBold, pt(9), drawing.Left, strconv.Itoa(number[b.Step])))
		say := steps.Span(b.To - b.From)
		if s := r.Step(b.Step); s != nil && s.Wait != nil {
			say += ", " + l.Say(s.Wait.What)
		}
		if w := drawing.TextWidth(drawing.Read, pt(9), say); hi+2+w < x.right() {
			x.items = append(x.items, drawing.Txt(v(hi+2, x.y+1.4), drawing.Read, pt(9), drawing.Left, say))
		} else if lo-2-w > x0 {
			x.items = append(x.items, drawing.Txt(v(lo-2, x.y+1.4), drawing.Read, pt(9), drawing.Right, say))
		}
	}
	x.y -= 4
}

// stepsDetail sets the steps one by one: what to do, what to mind, what to look at before what cannot be undone.
func stepsDetail(x *lister, r *steps.Result, l lang.Lang) {
	for i, s := range r.Steps {
		lines := 2
		for _, t := range s.Do {
			lines += len(x.wrapped(l.Say(t)))
		}
		x.room(float64(lines)*lineStep + 14)
		x.y -= 7.4
		x.items = append(x.items, drawing.TickBox(v(x.left(), x.y-0.6), 4.4, false)...)
		x.items = append(x.items, drawing.Txt(v(x.left()+7, x.y), drawing.ReadBold, pt(12), drawing.Left, fmt.Sprintf("%d  %s", i+1, l.Say(s.Title))))
		x.y -= 1.2
		x.indented(timesOf(&s, l), drawing.Pencil)
		if s.NoReturn {
			x.indented(stepWord(l, "page.noreturn")+" "+stepWord(l, "page.before", "check", l.Say(s.Check)), drawing.Ink0)
		} else if !s.Check.Zero() {
			x.indented(stepWord(l, "page.before", "check", l.Say(s.Check)), drawing.Ink0)
		}
		for _, t := range s.Do {
			x.bulletLines(l.Say(t), false)
		}
		if len(s.Cautions) > 0 {
			var c []string
			for _, k := range s.Cautions {
				c = append(c, l.Say(k.Text))
			}
			x.caution(strings.Join(c, " "), signOf(s.Cautions[0].Sign))
		}
	}
}

// timesOf says how long a step takes, what waits afterwards, and which papers belong to it.
func timesOf(s *steps.Step, l lang.Lang) string {
	out := []string{stepWord(l, "page.takes", "time", steps.Hours(s.Minutes))}
	if s.Wait != nil {
		out = append(out, stepWord(l, "page.wait", "time", steps.Span(s.Wait.Minutes), "what", l.Say(s.Wait.What)))
		if s.Wait.To > 0 {
			out = append(out, stepWord(l, "page.warm", "from", decimals(s.Wait.From, 0), "to", decimals(s.Wait.To, 0)))
		}
	}
	if len(s.Papers) > 0 {
		out = append(out, stepWord(l, "page.papers", "list", strings.Join(s.Papers, ", ")))
	}
	return strings.Join(out, " ")
}

// signOf is the safety sign for a caution.
func signOf(sign string) drawing.Sign {
	switch sign {
	case "eyes":
		return drawing.SignGoggles
	case "dust":
		return drawing.SignMask
	}
	return drawing.SignCaution
}

// indented sets a paragraph under the head of a step.
func (l *lister) indented(s string, ink drawing.Ink) {
	for _, t := range l.wrapped(s) {
		l.room(lineStep)
		l.y -= lineStep
		l.items = append(l.items, &drawing.Text{At: v(l.left()+7, l.y), S: t, Face: drawing.Read, Size: pt(listSize), Ink: ink})
	}
	l.y -= 0.6
}

// caution sets a paragraph behind a safety sign.
func (l *lister) caution(s string, sign drawing.Sign) {
	const size = 8.0
	ts := drawing.Wrap(drawing.ReadBold, pt(listSize), s, l.right()-l.left()-19)
	high := max(size, float64(len(ts))*lineStep) + 2
	l.room(high)
	top := l.y - 1
	l.items = append(l.items, drawing.SafetySign(v(l.left()+11, top-size/2), size, sign)...)
	for i, t := range ts {
		l.items = append(l.items, drawing.Txt(v(l.left()+19, top-lineStep*float64(i)-3.8), drawing.ReadBold, pt(listSize), drawing.Left, t))
	}
	l.y -= high
}
