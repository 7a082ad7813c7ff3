package arrange_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
	"knobwright/internal/trade/arrange"
)

// randomPanel writes a panel of all kinds of groups, some of it too near, some pinned, some without a place.
func randomPanel(rng *rand.Rand) string {
	var s strings.Builder
	w, h := 200+rng.IntN(300), 120+rng.IntN(160)
	inch := rng.IntN(5) == 0
	n := func(v int) string {
		if inch {
			return fmt.Sprintf("%.3f", float64(v)/25.4)
		}
		return fmt.Sprint(v)
	}
	s.WriteString("knobwright: 1\ntitle: R   # a name\n")
	if inch {
		s.WriteString("units: in\n")
	}
	sheet := []string{"aluminium-2mm", "acrylic-3mm", "birch-ply-6mm"}[rng.IntN(3)]
	fmt.Fprintf(&s, "face: {width: %s, height: %s, sheet: %s}\n", n(w), n(h), sheet)
	if rng.IntN(2) == 0 {
		fmt.Fprintf(&s, "box: {form: wedge, walls: birch-ply-9mm, front: %s, slope: %d deg}\n", n(60+rng.IntN(30)), 5+rng.IntN(15))
	}
	fmt.Fprintf(&s, "hand: %s\n", []string{"bare", "glove", "tight"}[rng.IntN(3)])
	parts := []string{"push-12mm", "push-16mm", "push-22mm", "toggle-mini-2", "pot-16mm", "encoder-m7", "lamp-5mm-holder", "rotary-6way", "key-16mm", "slide-pot-45mm"}
	part := func() string { return parts[rng.IntN(len(parts))] }
	at := func() string { return fmt.Sprintf("[%s, %s]", n(20+rng.IntN(w-40)), n(20+rng.IntN(h-40))) }
	s.WriteString("controls:\n")
	for i := range 2 + rng.IntN(8) {
		extra := ""
		switch rng.IntN(8) {
		case 0:
			extra = ", pinned: true"
		case 1:
			extra = fmt.Sprintf(", turn: %d deg", rng.IntN(4)*90)
		}
		place := ", at: " + at()
		if rng.IntN(8) == 0 {
			place, extra = "", ""
		}
		fmt.Fprintf(&s, "  c%d: {part: %s%s%s}   # of %d\n", i, part(), place, extra, i)
	}
	s.WriteString("groups:\n  none: {part: push-12mm, controls: {x1: {at: " + at() + "}, x2: {at: " + at() + "}}}\n")
	if rng.IntN(2) == 0 {
		fmt.Fprintf(&s, "  row: {part: %s, row: {from: %s, step: %s}, controls: {r1: {}, r2: {}, r3: {}}}\n", part(), at(), n(14+rng.IntN(30)))
	}
	if rng.IntN(2) == 0 {
		fmt.Fprintf(&s, "  grid: {part: %s, grid: {from: %s, step: [%s, %s], columns: 2, rows: 2}, names: \"g{n}\"}\n", part(), at(), n(16+rng.IntN(24)), n(16+rng.IntN(24)))
	}
	switch rng.IntN(4) {
	case 0:
		fmt.Fprintf(&s, "  image: {mirror: {of: [none]}}\n")
	case 1:
		fmt.Fprintf(&s, "  image: {mirror: {of: [c0], line: level}}\n")
	case 2:
		fmt.Fprintf(&s, "  image: {copy: {of: [none], by: [%s, 0], turn: 90 deg, about: [%s, %s]}}\n", n(10), n(w/2), n(h/2))
	}
	return s.String()
}

// Whatever the file: a proposal has no more stops than the file, its controls are the same ones, and what is pinned stays.
func TestRandomPanels(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 3))
	panels, proposals, refused, cured := 30, 0, 0, 0
	if !thorough.Is() {
		panels = 8
	}
	for k := range panels {
		text := randomPanel(rng)
		o := order(fmt.Sprint("r", k), text)
		o.Work = 1_500_000
		r := arrange.Work(context.Background(), o)
		before := job.Check(project.Read("r", []byte(text)), catalog.Builtin())
		stops, _ := stopsAndRoom(before.Findings)
		refused += r.Refused
		for _, p := range r.Proposals {
			proposals++
			after := job.Check(project.Read("r", p.Text), catalog.Builtin())
			s, _ := stopsAndRoom(after.Findings)
			if s > stops {
				t.Errorf("%d %s: %d stops, before %d\n%s", k, p.Name, s, stops, text)
			}
			if s < stops {
				cured++
			}
			if strings.Count(string(p.Text), "#") != strings.Count(text, "#") {
				t.Errorf("%d: comments are lost", k)
			}
			for _, c := range before.Panel.Controls {
				i := slices.IndexFunc(after.Panel.Controls, func(d *panel.Control) bool { return d.Name == c.Name })
				if i < 0 {
					t.Errorf("%d: %s is gone", k, c.Name)
				} else if c.Pinned && after.Panel.Controls[i].At != c.At {
					t.Errorf("%d: %s is pinned and moves", k, c.Name)
				}
			}
		}
		if r.Say == "" || len(r.Proposals) == 0 && !r.Hopeless && r.Refused == 0 && !strings.Contains(r.Say, "found") && !strings.Contains(r.Say, "nothing to arrange") {
			t.Errorf("%d: %q", k, r.Say)
		}
	}
	t.Logf("%d panels, %d proposals, %d with fewer stops than the file, %d refused by the whole check", panels, proposals, cured, refused)
	if proposals < panels {
		t.Errorf("only %d proposals for %d panels", proposals, panels)
	}
}
