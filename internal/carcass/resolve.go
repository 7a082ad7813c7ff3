package carcass

import (
	"fmt"
	"math"
	"slices"
)

// agree is how far two sizes may differ and still be the same: mm, degrees.
const agree = 0.05

// Resolve fills the sizes that follow from those given. Problems say what is missing, what contradicts what, and what makes no
// box; the sizes are as complete as they could be made.
func Resolve(s Spec) (Sizes, []Problem) {
	p, z, ps := s.resolve()
	s.Sizes = z
	if len(ps) == 0 {
		ps = s.check(p)
	}
	return z, ps
}

// resolve gives the profile and all sizes, not yet judged.
func (s Spec) resolve() (*profile, Sizes, problems) {
	ps := s.checkNumbers()
	if len(ps) > 0 {
		return nil, s.Sizes, ps
	}
	if s.Form == Rack {
		s.rackSizes(&ps)
	}
	s.noUse(&ps)
	width := s.settleWidth(&ps)
	p := s.settleProfile(width, &ps)
	return p, s.Sizes, ps
}

// rackSizes fills what the 19-inch grid settles.
func (s *Spec) rackSizes(ps *problems) {
	z := &s.Sizes
	if z.Units == 0 && z.FaceHeight > 0 {
		n := math.Round((z.FaceHeight + rackShort) / rackUnit)
		if n >= 1 && math.Abs(PanelHeight(int(n))-z.FaceHeight) < 0.5 {
			z.Units, z.FaceHeight = int(n), 0
		}
	}
	if z.Units == 0 {
		ps.add(Problem{Kind: Missing, Text: "How high is the panel? Give its height units.", Ends: []End{{FUnits, 0, ""}}, Want: 1})
		z.Units = 1
	}
	same := func(f Field, v *float64, must float64) {
		if *v > 0 && math.Abs(*v-must) > agree {
			ps.add(Problem{
				Kind: Disagree, Text: fmt.Sprintf("A 19-inch panel of %d units is %s x %s; its %s is given as %s.", z.Units, mm(rackWide), mm(PanelHeight(z.Units)), f, mm(*v)),
				Ends: []End{{f, *v, "mm"}, {FUnits, float64(z.Units), ""}}, Have: *v, Want: must,
			})
		}
		*v = must
	}
	same(FFaceWidth, &z.FaceWidth, rackWide)
	same(FFaceHeight, &z.FaceHeight, PanelHeight(z.Units))
	if z.Slope == 0 && z.BackHeight == 0 {
		z.Slope = 90
	}
}

// noUse reports sizes that the form does not have.
func (s *Spec) noUse(ps *problems) {
	z := &s.Sizes
	used := map[Field]bool{FWidth: true, FFaceWidth: true, FHandRest: s.Form == Desk, FUnits: s.Form == Rack, FFaceHeight: true}
	for _, m := range s.measures() {
		used[m.field] = true
	}
	for _, f := range []struct {
		name Field
		v    *float64
		unit string
	}{
		{FFrontHeight, &z.FrontHeight, "mm"}, {FSlope, &z.Slope, "deg"}, {FHandRest, &z.HandRest, "mm"}, {FUpperSlope, &z.UpperSlope, "deg"},
		{FUpperHeight, &z.UpperHeight, "mm"}, {FMiddleHeight, &z.MiddleHeight, "mm"},
	} {
		if *f.v != 0 && !used[f.name] {
			ps.add(Problem{Kind: NoUse, Text: fmt.Sprintf("A box of the form %s has no %s. Take it out.", s.Form, f.name), Ends: []End{{f.name, *f.v, f.unit}}, Have: *f.v, AtMost: true})
		}
	}
	if z.Units != 0 && !used[FUnits] {
		ps.add(Problem{Kind: NoUse, Text: fmt.Sprintf("A box of the form %s has no rack units. Take them out.", s.Form), Ends: []End{{FUnits, float64(z.Units), ""}}, Have: float64(z.Units), AtMost: true})
	}
}

// beyond is how much wider the walls are than the face; negative when the face overhangs.
func (s *Spec) beyond() float64 {
	if s.Build.FaceFit == In {
		return 2 * (s.Build.Wall + s.Build.Play)
	}
	return -2 * s.Build.Overhang
}

// settleWidth settles width and face width; 0 when it cannot.
func (s *Spec) settleWidth(ps *problems) float64 {
	z := &s.Sizes
	switch {
	case z.Width == 0 && z.FaceWidth == 0:
		ps.add(Problem{Kind: Missing, Text: "How wide is the box? Give the width outside, or the width of the face.", Ends: []End{{FWidth, 0, "mm"}, {FFaceWidth, 0, "mm"}}})
	case z.Width == 0:
		z.Width = z.FaceWidth + s.beyond()
	case z.FaceWidth == 0:
		z.FaceWidth = z.Width - s.beyond()
	case math.Abs(z.FaceWidth+s.beyond()-z.Width) > agree:
		w := z.FaceWidth + s.beyond()
		ps.add(Problem{
			Kind: Disagree, Text: fmt.Sprintf("The width is given as %s, but a face %s wide makes the box %s wide. Take one of the two out.", mm(z.Width), mm(z.FaceWidth), mm(w)),
			Ends: []End{{FWidth, z.Width, "mm"}, {FFaceWidth, z.FaceWidth, "mm"}}, Have: z.Width, Want: w,
		})
	}
	return z.Width
}

// settleProfile chooses as many of the given sizes as settle the profile, solves it, and holds the others against it.
func (s *Spec) settleProfile(width float64, ps *problems) *profile {
	u, ms := s.unknowns(), s.measures()
	rows := s.slopes(width, ms, u.middling)
	var chosen, spare []int
	sp := span{}
	for i, m := range ms {
		if *m.given(&s.Sizes) == 0 {
			continue
		}
		if len(chosen) < len(u.middling) && sp.add(rows[i], u) {
			chosen = append(chosen, i)
		} else {
			spare = append(spare, i)
		}
	}
	if n := len(u.middling) - len(chosen); n > 0 {
		ps.add(s.missing(n, ms, rows, sp, u))
		return nil
	}
	var basis []measured
	var want []float64
	var ends []End
	for _, i := range chosen {
		basis = append(basis, ms[i])
		want = append(want, *ms[i].given(&s.Sizes))
		ends = append(ends, s.end(ms[i]))
	}
	if len(*ps) > 0 {
		return nil
	}
	q, ok := s.solve(width, basis, want)
	if !ok {
		ps.add(s.noBox(width, ms, basis, want, ends))
		return nil
	}
	for i, m := range basis { // what was given as an unknown stays to the last digit
		for k := range q {
			if u.angle[k] == m.angle && math.Abs(q[k]-want[i]) < 1e-9 {
				q[k] = want[i]
			}
		}
	}
	p := newProfile(*s, width, q)
	for _, i := range spare {
		m := ms[i]
		have, is := *m.given(&s.Sizes), m.of(p, q)
		if math.Abs(have-is) > agree {
			ps.add(s.disagree(m, have, is, rows[i], rows, chosen, ms))
		}
	}
	for _, m := range ms {
		*m.given(&s.Sizes) = m.of(p, q)
	}
	return p
}

// noBox says that sizes do not go together, and how far the last of them that could make up for it may go. Heights come first: they are easier
// changed than a face that is full of controls.
func (s *Spec) noBox(width float64, ms, basis []measured, want []float64, ends []End) Problem {
	no := Problem{Kind: NoBox, Text: "No box has " + say(ends) + " together.", Ends: ends}
	fits := func(k int, v float64) bool {
		w := slices.Clone(want)
		w[k] = v
		q, ok := s.solve(width, basis, w)
		if !ok {
			return false
		}
		t := *s
		p := newProfile(t, width, q)
		for _, m := range ms {
			*m.given(&t.Sizes) = m.of(p, q)
		}
		return len(t.check(p)) == 0
	}
	var order []int
	for _, heights := range []bool{true, false} {
		for k := len(ends) - 1; k >= 0; k-- {
			if f := ends[k].Name; heights == (f == FBackHeight || f == FFrontHeight) {
				order = append(order, k)
			}
		}
	}
	for _, k := range order {
		bad, good := want[k], math.NaN()
		for f := 1.0; f <= 16 && math.IsNaN(good); f++ {
			for _, v := range []float64{bad * (1 - f/18), bad * (1 + f/6)} {
				if fits(k, v) {
					good = v
					break
				}
			}
		}
		if math.IsNaN(good) {
			continue
		}
		for range 24 {
			if m := (bad + good) / 2; fits(k, m) {
				good = m
			} else {
				bad = m
			}
		}
		e := ends[k]
		round, most := math.Ceil, good < want[k]
		limit := "at least"
		if most {
			round, limit = math.Floor, "at most"
		}
		no.Want = round(good*10) / 10
		no.Text += fmt.Sprintf(" With the others as they are, the %s is %s %s.", e.Name, End{"", no.Want, e.Unit}.number(), limit)
		no.Have, no.AtMost = e.Value, most
		no.Ends = append([]End{e}, slices.Delete(slices.Clone(ends), k, k+1)...)
		return no
	}
	no.Text += " Look at the greatest and the least of them."
	return no
}

func (s *Spec) end(m measured) End {
	e := End{m.field, *m.given(&s.Sizes), "mm"}
	if m.angle {
		e.Unit = "deg"
	}
	return e
}

// missing says what would settle the rest.
func (s *Spec) missing(n int, ms []measured, rows [][]float64, sp span, u unknowns) Problem {
	p := Problem{Kind: Missing, Want: float64(n)}
	var names []string
	for i, m := range ms {
		if *m.given(&s.Sizes) != 0 {
			continue
		}
		if t := sp.copy(); t.add(rows[i], u) {
			names = append(names, string(m.field))
			p.Ends = append(p.Ends, End{m.field, 0, s.end(m).Unit})
		}
	}
	if n == 1 {
		p.Text = "The box is not settled yet. Give the " + list(names, "or") + "."
	} else {
		p.Text = fmt.Sprintf("The box is not settled yet: %d sizes are wanted. Give some of these: %s.", n, list(names, "and"))
	}
	return p
}

// disagree says which chosen sizes a spare one contradicts: those that it follows from.
func (s *Spec) disagree(m measured, have, is float64, row []float64, rows [][]float64, chosen []int, ms []measured) Problem {
	n := len(chosen)
	a := make([][]float64, n) // row = sum of parts times the chosen rows
	for i := range a {
		a[i] = make([]float64, n)
		for k, c := range chosen {
			a[i][k] = rows[c][i]
		}
	}
	e := s.end(m)
	p := Problem{Kind: Disagree, Ends: []End{e}, Have: have, Want: is}
	var others []End
	if part, ok := linear(a, row); ok {
		for k, c := range chosen {
			if math.Abs(part[k]) > 1e-6 {
				others = append(others, s.end(ms[c]))
			}
		}
	}
	p.Ends = append(p.Ends, others...)
	verb := "makes"
	if len(others) != 1 {
		verb = "make"
	}
	p.Text = fmt.Sprintf("The %s is given as %s, but %s %s it %s. Take one of them out.", m.field, End{"", have, e.Unit}.number(), say(others), verb, End{"", is, e.Unit}.number())
	return p
}

func (e End) number() string {
	if e.Unit == "deg" {
		return deg(e.Value)
	}
	return mm(e.Value)
}

// span is a set of directions square to each other.
type span [][]float64

func (sp span) copy() span { return append(span(nil), sp...) }

// add takes a row in when it does not follow from those already in, and reports whether it did. A degree counts as much as
// the millimetres it moves.
func (sp *span) add(row []float64, u unknowns) bool {
	r := append([]float64(nil), row...)
	for i := range r {
		if u.angle[i] {
			r[i] *= 10
		}
	}
	full := norm(r)
	for _, q := range *sp {
		var d float64
		for i := range r {
			d += r[i] * q[i]
		}
		for i := range r {
			r[i] -= d * q[i]
		}
	}
	left := norm(r)
	if !(left > 1e-5*full) {
		return false
	}
	for i := range r {
		r[i] /= left
	}
	*sp = append(*sp, r)
	return true
}

func norm(r []float64) float64 {
	var s float64
	for _, v := range r {
		s += v * v
	}
	return math.Sqrt(s)
}
