package edit

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

const desk = `knobwright: 1
title: Lantern house   # a remark
face: {width: 300, height: 160, sheet: acrylic-3mm}
controls:
  # the big one
  go: {part: push-22mm, at: [40, 50], legend: GO, sends: button 1}   # red cap
  bell: {part: push-16mm, at: [110, 60]}
  moon: {part: push-16mm, at: [200, 52.5]}
  glow: {part: lamp-5mm-holder, at: [110, 90], sends: follows bell}
  stay: {part: push-12mm, at: [20, 140], pinned: true}
groups:
  row:
    part: push-12mm
    row: {from: [60, 120], step: 25}
    controls:
      a:
      b: {shift: [0, 3]}
      c:
  east:
    mirror: {of: [go, row], at: 150}
numbers: {go: 1, bell: 2}
keep:
  - {rule: reach.neighbours, of: [bell, moon], why: it is fine}
`

func placed(t testing.TB, src string) (*project.Doc, *panel.Panel) {
	t.Helper()
	d := project.Read("desk.yaml", []byte(src))
	p, _ := panel.Place(d, catalog.Builtin())
	return d, p
}

// do makes an act and gives the new text and panel.
func do(t testing.TB, src string, a Act) (string, *panel.Panel, Done) {
	t.Helper()
	d, p := placed(t, src)
	done, err := Make(d, p, catalog.Builtin(), a)
	if err != nil {
		t.Fatalf("%+v: %v", a, err)
	}
	out, err := d.Apply(done.Edits)
	if err != nil {
		t.Fatalf("%+v: %v of %v", a, err, done.Edits)
	}
	d2, p2 := placed(t, string(out))
	for _, f := range d2.Findings {
		if f.Severity == finding.Stop {
			t.Fatalf("%+v: %s\n%s", a, f.Head, out)
		}
	}
	return string(out), p2, done
}

func at(t testing.TB, p *panel.Panel, name string) geom.Vec2 {
	t.Helper()
	return control(t, p, name).At.Vec2
}

func control(t testing.TB, p *panel.Panel, name string) *panel.Control {
	t.Helper()
	for _, c := range p.Controls {
		if c.Name == name {
			return c
		}
	}
	t.Fatalf("no %s", name)
	return nil
}

// changed lists the lines that differ, new ones.
func changed(a, b string) (out []string) {
	old := strings.Split(a, "\n")
	for _, l := range strings.Split(b, "\n") {
		if !slices.Contains(old, l) {
			out = append(out, l)
		}
	}
	return out
}

func near(t *testing.T, what string, got geom.Vec2, x, y float64) {
	t.Helper()
	if got.Sub(geom.Vec2{X: x, Y: y}).Len() > 0.011 {
		t.Errorf("%s stands at %v, want %v %v", what, got, x, y)
	}
}

func TestActs(t *testing.T) {
	for _, x := range []struct {
		what string
		act  Act
		is   map[string][2]float64
		line string // a line that is new
	}{
		{"move one", Act{Do: "move", Names: []string{"go"}, By: [2]float64{5, 0}}, map[string][2]float64{"go": {45, 50}, "go-m": {255, 50}}, "  go: {part: push-22mm, at: [45, 50], legend: GO, sends: button 1}   # red cap"},
		{"move two", Act{Do: "move", Names: []string{"go", "bell"}, By: [2]float64{-1, 2}}, map[string][2]float64{"go": {39, 52}, "bell": {109, 62}}, ""},
		{"a whole row goes by its beginning", Act{Do: "move", Names: []string{"a", "b", "c"}, By: [2]float64{3, -4}}, map[string][2]float64{"a": {63, 116}, "b": {88, 119}, "c": {113, 116}}, "    row: {from: [63, 116], step: 25}"},
		{"a member goes by its shift", Act{Do: "move", Names: []string{"b"}, By: [2]float64{3, -4}}, map[string][2]float64{"a": {60, 120}, "b": {88, 119}}, "      b: {shift: [3, -1]}"},
		{"a member gets a shift", Act{Do: "move", Names: []string{"c"}, By: [2]float64{0, -4}}, map[string][2]float64{"c": {110, 116}}, "      c: {shift: [0, -4]}"},
		{"an image goes along", Act{Do: "move", Names: []string{"go", "go-m", "stay"}, By: [2]float64{1, 1}}, map[string][2]float64{"go": {41, 51}, "go-m": {259, 51}, "stay": {20, 140}}, ""},
		{"typed", Act{Do: "place", Names: []string{"bell"}, Across: "111,5"}, map[string][2]float64{"bell": {111.5, 60}}, "  bell: {part: push-16mm, at: [111.5, 60]}"},
		{"typed in inches", Act{Do: "place", Names: []string{"bell"}, Across: "2 3/8 in"}, map[string][2]float64{"bell": {60.325, 60}}, "  bell: {part: push-16mm, at: [2 3/8 in, 60]}"},
		{"typed up", Act{Do: "place", Names: []string{"bell"}, Up: "1/2 in"}, map[string][2]float64{"bell": {110, 12.7}}, "  bell: {part: push-16mm, at: [110, 1/2 in]}"},
		{"typed of a shifted one", Act{Do: "place", Names: []string{"b"}, Up: "5 in"}, map[string][2]float64{"b": {85, 127}}, "      b: {shift: [0, 7]}"},
		{"align middles", Act{Do: "align", Names: []string{"go", "bell", "moon"}, How: "middle"}, map[string][2]float64{"bell": {110, 50}, "moon": {200, 50}}, ""},
		{"align centres", Act{Do: "align", Names: []string{"bell", "moon"}, How: "centre"}, map[string][2]float64{"bell": {110, 60}, "moon": {110, 52.5}}, ""},
		{"spread steps", Act{Do: "spread", Names: []string{"moon", "go", "bell"}, How: "across", Whole: true}, map[string][2]float64{"go": {40, 50}, "bell": {120, 60}, "moon": {200, 52.5}}, ""},
		{"flip about the face", Act{Do: "mirror", Names: []string{"bell"}, How: "upright", Whole: true}, map[string][2]float64{"bell": {190, 60}}, ""},
		{"flip about their middle", Act{Do: "mirror", Names: []string{"bell", "moon"}, How: "upright"}, map[string][2]float64{"bell": {200, 60}, "moon": {110, 52.5}}, ""},
		{"flip level", Act{Do: "mirror", Names: []string{"bell"}, How: "level", Whole: true}, map[string][2]float64{"bell": {110, 100}}, ""},
		{"images", Act{Do: "mirror", Names: []string{"bell", "moon"}, How: "level", Whole: true, Keep: true}, map[string][2]float64{"bell": {110, 60}, "bell-m": {110, 100}, "moon-m": {200, 107.5}}, ""},
		{"turn", Act{Do: "turn", Names: []string{"bell"}, Across: "90"}, map[string][2]float64{"bell": {110, 60}}, "  bell: {part: push-16mm, at: [110, 60], turn: 90}"},
		{"turn together", Act{Do: "turn", Names: []string{"bell", "glow"}, Across: "180 deg", Whole: true}, map[string][2]float64{"bell": {110, 90}, "glow": {110, 60}}, ""},
		{"copy", Act{Do: "copy", Names: []string{"go"}, By: [2]float64{0, 40}}, map[string][2]float64{"go": {40, 50}, "go-2": {40, 90}}, "  go-2: {part: push-22mm, at: [40, 90], legend: GO 2}"},
		{"pin", Act{Do: "pin", Names: []string{"c"}, Keep: true}, map[string][2]float64{"c": {110, 120}}, "      c: {pinned: true}"},
		{"rename", Act{Do: "rename", Names: []string{"bell"}, Name: "gong"}, map[string][2]float64{"gong": {110, 60}}, "  glow: {part: lamp-5mm-holder, at: [110, 90], sends: follows gong}"},
		{"rename with an image", Act{Do: "rename", Names: []string{"go"}, Name: "start"}, map[string][2]float64{"start": {40, 50}, "start-m": {260, 50}}, "numbers: {start: 1, bell: 2}"},
		{"remove", Act{Do: "remove", Names: []string{"moon"}}, map[string][2]float64{"bell": {110, 60}}, "  - {rule: reach.neighbours, of: [bell], why: it is fine}"},
		{"remove of a row", Act{Do: "remove", Names: []string{"a"}}, map[string][2]float64{"b": {60, 123}, "c": {85, 120}}, ""},
		{"remove a whole row", Act{Do: "remove", Names: []string{"a", "b", "c"}}, map[string][2]float64{"go": {40, 50}, "go-m": {260, 50}}, "    mirror: {of: [go], at: 150}"},
		{"pull a row", Act{Do: "group", Name: "row", How: "pitch", By: [2]float64{9.8, 1}}, map[string][2]float64{"a": {60, 120}, "b": {90, 123}, "c": {120, 120}}, "    row: {from: [60, 120], step: 30}"},
		{"type a step", Act{Do: "group", Name: "row", How: "pitch", Across: "1 1/4 in"}, map[string][2]float64{"c": {123.5, 120}}, "    row: {from: [60, 120], step: 1 1/4 in}"},
		{"pull the mirror", Act{Do: "group", Name: "east", How: "line", By: [2]float64{-2, 0}}, map[string][2]float64{"go-m": {256, 50}}, "    mirror: {of: [go, row], at: 148}"},
		{"add", Act{Do: "add", Name: "push-16mm", By: [2]float64{250, 30}}, map[string][2]float64{"push-1": {250, 30}}, "  push-1: {part: push-16mm, at: [250, 30]}"},
		{"add a row", Act{Do: "add", Name: "push-16mm", By: [2]float64{20, 20}, Count: 3}, map[string][2]float64{"push-1": {20, 20}}, ""},
	} {
		t.Run(x.what, func(t *testing.T) {
			text, p, _ := do(t, desk, x.act)
			for n, w := range x.is {
				near(t, n, at(t, p, n), w[0], w[1])
			}
			if x.line != "" && !slices.Contains(strings.Split(text, "\n"), x.line) {
				t.Errorf("new lines are\n%s", strings.Join(changed(desk, text), "\n"))
			}
			if !strings.Contains(text, "# a remark") || x.act.Do != "remove" && !strings.Contains(text, "# the big one") {
				t.Errorf("a comment is lost:\n%s", text)
			}
		})
	}
}

func TestRefusals(t *testing.T) {
	for _, x := range []struct {
		act Act
		say string
	}{
		{Act{Do: "move", Names: []string{"nobody"}}, "no control called nobody"},
		{Act{Do: "move"}, "Nothing is in hand"},
		{Act{Do: "move", Names: []string{"stay"}, By: [2]float64{1, 1}}, "it is pinned"},
		{Act{Do: "move", Names: []string{"go-m"}, By: [2]float64{1, 1}}, "where its pattern goes"},
		{Act{Do: "move", Names: []string{"go"}, By: [2]float64{math.NaN(), 1}}, "farther than any panel"},
		{Act{Do: "place", Names: []string{"go"}, Across: "wide"}, "wide"},
		{Act{Do: "place", Names: []string{"go"}}, "Write a length"},
		{Act{Do: "align", Names: []string{"go"}, How: "left"}, "two or more"},
		{Act{Do: "align", Names: []string{"go", "bell"}, How: "askew"}, "Align left"},
		{Act{Do: "spread", Names: []string{"go", "bell"}, How: "up"}, "three or more"},
		{Act{Do: "rename", Names: []string{"go"}, Name: "bell"}, "called bell already"},
		{Act{Do: "rename", Names: []string{"go"}, Name: "a b"}, "cannot be a name"},
		{Act{Do: "rename", Names: []string{"go-m"}, Name: "x"}, "rename that one"},
		{Act{Do: "remove", Names: []string{"go-m"}}, "take that one out"},
		{Act{Do: "dance", Names: []string{"go"}}, "nothing that can be done"},
		{Act{Do: "group", Name: "row", How: "radius"}, "no such handle"},
		{Act{Do: "group", Name: "none"}, "no group called none"},
		{Act{Do: "add", Name: "no-such-part"}, "no part called"},
		{Act{Do: "copy", Names: []string{strings.Repeat("x", 500)}}, "no control called"},
	} {
		d, p := placed(t, desk)
		_, err := Make(d, p, catalog.Builtin(), x.act)
		if err == nil || !strings.Contains(err.Error(), x.say) {
			t.Errorf("%+v: %v", x.act, err)
		}
	}
}

func TestEdgesAreAligned(t *testing.T) {
	for _, how := range []string{"left", "right", "top", "bottom"} {
		_, p, _ := do(t, desk, Act{Do: "align", Names: []string{"go", "bell", "moon", "c"}, How: how})
		edge := func(n string) float64 {
			b := front(control(t, p, n))
			return map[string]float64{"left": b.Min.X, "right": b.Max.X, "top": b.Max.Y, "bottom": b.Min.Y}[how]
		}
		for _, n := range []string{"bell", "moon", "c"} {
			if d := edge(n) - edge("go"); math.Abs(d) > 0.011 {
				t.Errorf("%s: %s is off by %v", how, n, d)
			}
		}
	}
}

func TestSpreadGapsAreEven(t *testing.T) {
	_, p, _ := do(t, desk, Act{Do: "spread", Names: []string{"go", "bell", "glow", "moon"}, How: "across"})
	var cs []*panel.Control
	for _, n := range []string{"go", "bell", "glow", "moon"} {
		cs = append(cs, control(t, p, n))
	}
	slices.SortFunc(cs, func(a, b *panel.Control) int { return int(a.At.X - b.At.X) })
	first := front(cs[1]).Min.X - front(cs[0]).Max.X
	for i := 2; i < len(cs); i++ {
		if g := front(cs[i]).Min.X - front(cs[i-1]).Max.X; math.Abs(g-first) > 0.021 {
			t.Errorf("gap %v, the first is %v", g, first)
		}
	}
	near(t, "go", at(t, p, "go"), 40, 50)
	near(t, "moon", at(t, p, "moon"), 200, 52.5)
}

func TestInchFilesStayInInches(t *testing.T) {
	src := "knobwright: 1\nunits: in\nface: {width: 12, height: 6, sheet: acrylic-3mm}\ncontrols:\n  go: {part: push-16mm, at: [2 3/8, 3]}\n"
	text, _, _ := do(t, src, Act{Do: "move", Names: []string{"go"}, By: [2]float64{25.4 / 16, 0}})
	if !strings.Contains(text, "at: [2 7/16, 3]") {
		t.Error(text)
	}
	text, _, _ = do(t, src, Act{Do: "place", Names: []string{"go"}, Up: "70 mm"})
	if !strings.Contains(text, "at: [2 3/8, 70 mm]") {
		t.Error(text)
	}
}

// Whatever hands do, the file stays readable, other controls stay where they are, and what moves goes where it should.
func TestRandomActsOnExamples(t *testing.T) {
	files, _ := filepath.Glob("../../examples/*.yaml")
	if len(files) < 3 {
		t.Fatal("no examples")
	}
	rng := rand.New(rand.NewPCG(7, 3))
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		text := string(b)
		for range 12 {
			_, p := placed(t, text)
			var names []string
			for range 1 + rng.IntN(4) {
				names = append(names, p.Controls[rng.IntN(len(p.Controls))].Name)
			}
			a := Act{Do: "move", Names: names, By: [2]float64{float64(rng.IntN(41)-20) / 2, float64(rng.IntN(21)-10) / 2}}
			d, _ := placed(t, text)
			done, err := Make(d, p, catalog.Builtin(), a)
			if err != nil {
				continue // pinned ones and images
			}
			out, err := d.Apply(done.Edits)
			if err != nil {
				t.Fatalf("%s: %+v: %v", f, a, err)
			}
			_, q := placed(t, string(out))
			for i, c := range p.Controls {
				want := c.At.Vec2
				if slices.Contains(names, c.Name) && c.Origin.MovePath != "" {
					want = want.Add(geom.Vec2{X: a.By[0], Y: a.By[1]})
				} else if c.From != "" {
					continue
				}
				if got := q.Controls[i].At.Vec2; got.Sub(want).Len() > 0.03 {
					t.Fatalf("%s: %+v: %s stands at %v, want %v", f, a, c.Name, got, want)
				}
			}
			text = string(out)
		}
	}
}

func TestGroupsOfExamples(t *testing.T) {
	b, err := os.ReadFile("../../examples/signal-desk.yaml")
	if err != nil {
		t.Fatal(err)
	}
	d, p := placed(t, string(b))
	gs := Groups(d, p)
	if len(gs) != 7 {
		t.Fatalf("%d groups", len(gs))
	}
	if g := gs[0]; g.Kind != "grid" || len(g.Members) != 24 || len(g.Handles) != 3 || g.Say != "a grid of 6 by 4, 62 mm across and 64 mm down from middle to middle" {
		t.Errorf("%+v", g)
	}
	text, q, _ := do(t, string(b), Act{Do: "group", Name: "west-routes", How: "down", By: [2]float64{0, -6}})
	if !strings.Contains(text, "grid: {from: [50, 306], step: [62, 66], columns: 6, rows: 4}") {
		t.Error(changed(string(b), text))
	}
	near(t, "w41", at(t, q, "w41"), 50, 306-3*66)
}

// Every handle of every group stands on its place: pulling it by nothing changes nothing, by something changes one value.
func TestHandlesArePulled(t *testing.T) {
	src := `knobwright: 1
face: {width: 400, height: 300, sheet: acrylic-3mm}
controls: {x: {part: push-12mm, at: [30, 30]}}
groups:
  r: {part: push-12mm, row: {from: [50, 280], to: 170}, controls: {r1: , r2: , r3: }}
  c: {part: push-12mm, column: {from: [300, 280], to: 100}, controls: {c1: , c2: , c3: }}
  k: {part: push-12mm, column: {from: [350, 280], step: 30}, turn: 10, controls: {k1: , k2: , k3: }}
  g: {part: push-12mm, grid: {from: [50, 220], step: [30, 25], columns: 3}, names: "g{n}", turn: 20, controls: {}}
  a: {part: push-12mm, arc: {centre: [180, 100], radius: 60, from: 180, to: 0}, controls: {a1: , a2: , a3: }}
  y: {copy: {of: [x], by: [0, 30]}}
  z: {mirror: {of: [x], line: level}}
`
	src = strings.Replace(src, "columns: 3}", "columns: 3, rows: 2}", 1)
	src = strings.Replace(src, ", controls: {}", "", 1)
	d, p := placed(t, src)
	gs := Groups(d, p)
	if len(gs) != 7 {
		t.Fatalf("%d groups of 7", len(gs))
	}
	for _, g := range gs {
		for _, h := range g.Handles {
			if _, err := Make(d, p, catalog.Builtin(), Act{Do: "group", Name: g.Name, How: h.Kind}); err == nil {
				t.Errorf("%s %s: nothing pulled changes something", g.Name, h.Kind)
			}
			by := [2]float64{7, -8}
			text, q, _ := do(t, src, Act{Do: "group", Name: g.Name, How: h.Kind, By: by, Fine: true})
			d2, _ := placed(t, text)
			moved := false
			for _, g2 := range Groups(d2, q) {
				for _, h2 := range g2.Handles {
					if g2.Name == g.Name && h2.Kind == h.Kind && math.Hypot(h2.X-h.X, h2.Y-h.Y) > 2 {
						moved = true
					}
				}
			}
			if !moved {
				t.Errorf("%s %s did not move\n%s", g.Name, h.Kind, strings.Join(changed(src, text), "\n"))
			}
		}
	}
}

func TestRemovingWhatAnImageIsMadeOf(t *testing.T) {
	text, p, d := do(t, desk, Act{Do: "remove", Names: []string{"go", "a", "b", "c"}})
	if strings.Contains(text, "east") || strings.Contains(text, "go:") || len(p.Controls) != 4 {
		t.Errorf("%d controls in\n%s", len(p.Controls), text)
	}
	if d.Hand == nil {
		t.Error("what is gone is still in hand")
	}
}

func TestCopyFindsItsPlace(t *testing.T) {
	_, p, d := do(t, desk, Act{Do: "copy", Names: []string{"bell", "glow"}})
	if !slices.Equal(d.Hand, []string{"bell-2", "glow-2"}) {
		t.Errorf("in hand: %v", d.Hand)
	}
	for _, n := range d.Hand {
		for _, c := range p.Controls {
			if c.Name != n && front(c).Overlaps(front(control(t, p, n))) {
				t.Errorf("%s lies on %s", n, c.Name)
			}
		}
	}
}
