package panel

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/internal/geom"
)

// layout says where everything stands: "a 10,20 b 30,20@90".
func layoutOf(p *Panel) string {
	var s []string
	for _, c := range p.Controls {
		at := fmt.Sprintf("%s %s,%s", c.Name, short(c.At.X), short(c.At.Y))
		if c.Turn != 0 {
			at += "@" + short(c.Turn)
		}
		s = append(s, at)
	}
	return strings.Join(s, " ")
}

func short(v float64) string {
	s := fmt.Sprintf("%.3f", v)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" {
		return "0"
	}
	return s
}

func TestExpand(t *testing.T) {
	// Every place is worked out by hand.
	for _, c := range []struct{ name, file, want string }{
		{"plain", `
controls:
  b: {part: button, at: [50, 40], turn: 15}
  a: {part: button, at: [20, 30], shift: [1, 2]}`,
			"b 50,40@15 a 21,32"},
		{"row by step", `
groups:
  r: {part: button, row: {from: [20, 50], step: 30}, controls: {a: {}, b: {shift: [0, 2]}, c: {turn: 10}}}`,
			"a 20,50 b 50,52 c 80,50@10"},
		{"row to an end", `
groups:
  r: {part: button, row: {from: [20, 50], to: 140}, controls: {a: {}, b: {}, c: {}, d: {}}}`,
			"a 20,50 b 60,50 c 100,50 d 140,50"},
		{"row of one with an end", `
groups:
  r: {part: button, row: {from: [20, 50], to: 140}, controls: {a: {}}}`,
			"a 20,50"},
		{"column goes down", `
groups:
  r: {part: button, column: {from: [20, 80], step: 25}, controls: {a: {}, b: {}, c: {}}}`,
			"a 20,80 b 20,55 c 20,30"},
		{"column to an end", `
groups:
  r: {part: button, column: {from: [20, 80], to: 20}, controls: {a: {}, b: {}, c: {}}}`,
			"a 20,80 b 20,50 c 20,20"},
		{"grid in reading order", `
groups:
  r: {part: button, grid: {from: [20, 80], step: [30, 25], columns: 2}, controls: {a: {}, b: {}, c: {}}}`,
			"a 20,80 b 50,80 c 20,55"},
		{"counted row", `
groups:
  r: {part: button, row: {from: [20, 50], step: 30, count: 3}, names: "cue-{n}", controls: {cue-2: {shift: [0, 5], turn: 90}}}`,
			"cue-1 20,50 cue-2 50,55@90 cue-3 80,50"},
		{"counted column", `
groups:
  r: {part: button, column: {from: [20, 80], step: 25, count: 2}, names: "k{row}{column}"}`,
			"k11 20,80 k21 20,55"},
		{"counted grid", `
groups:
  r: {part: button, grid: {from: [20, 80], step: [30, 25], columns: 2, rows: 2}, names: "k{row}-{column}"}`,
			"k1-1 20,80 k1-2 50,80 k2-1 20,55 k2-2 50,55"},
		{"arc", `
groups:
  r: {part: button, arc: {centre: [100, 50], radius: 20, from: 0, to: 180}, controls: {a: {}, b: {}, c: {}}}`,
			"a 120,50 b 100,70 c 80,50"},
		{"arc facing outwards", `
groups:
  r: {part: button, arc: {centre: [100, 50], radius: 20, from: 180, to: 0, facing: true}, controls: {a: {}, b: {}, c: {turn: 5}}}`,
			"a 80,50@90 b 100,70 c 120,50@-85"},
		{"full circle does not meet itself", `
groups:
  r: {part: button, arc: {centre: [100, 50], radius: 20, from: 90, to: 450, count: 4}, names: "h{n}"}`,
			"h1 100,70 h2 80,50 h3 100,30 h4 120,50"},
		{"turned about its first place", `
groups:
  r: {part: button, row: {from: [100, 30], step: 20}, turn: 90, controls: {a: {}, b: {}, c: {}}}`,
			"a 100,30@90 b 100,50@90 c 100,70@90"},
		{"turned about a point, shift stays level", `
groups:
  r: {part: button, row: {from: [100, 30], step: 20}, turn: 180, about: [100, 50], controls: {a: {}, b: {shift: [3, 0]}}}`,
			"a 100,70@180 b 83,70@180"},
		{"a member with its own place", `
groups:
  r: {part: button, row: {from: [20, 50], step: 30}, turn: 90, controls: {a: {}, b: {at: [150, 40], turn: 7}, c: {}}}`,
			"a 20,50@90 b 150,40@7 c 20,110@90"},
		{"mirror about the middle", `
controls: {a: {part: button, at: [20, 30], turn: 30}}
groups:
  m: {mirror: {of: [a]}}`,
			"a 20,30@30 a-m 180,30@-30"},
		{"mirror in a level line", `
controls: {a: {part: button, at: [20, 30], turn: 30}, b: {part: button, at: [60, 30], turn: 80}}
groups:
  m: {mirror: {of: [a, b], line: level, at: 40, suffix: -up}}`,
			"a 20,30@30 b 60,30@80 a-up 20,50@-30 b-up 60,50@100"},
		{"mirror of a group that comes later", `
groups:
  m: {mirror: {of: [r], at: 100}}
  r: {part: button, row: {from: [20, 50], step: 30}, controls: {a: {}, b: {}}}`,
			"a-m 180,50 b-m 150,50 a 20,50 b 50,50"},
		{"mirror of a mirror is back", `
controls: {a: {part: button, at: [20, 30], turn: 30}}
groups:
  m: {mirror: {of: [a], at: 70}}
  n: {mirror: {of: [m], at: 70, suffix: -n}}`,
			"a 20,30@30 a-m 120,30@-30 a-m-n 20,30@30"},
		{"one member of a mirror, asked for before it is laid out", `
groups:
  z: {copy: {of: [b-m], by: [0, 30]}}
  m: {mirror: {of: [r], at: 100}}
  r: {part: button, row: {from: [20, 50], step: 30}, controls: {a: {}, b: {}}}`,
			"b-m-2 150,80 a-m 180,50 b-m 150,50 a 20,50 b 50,50"},
		{"copy turned and shifted", `
controls: {a: {part: button, at: [20, 30]}, b: {part: button, at: [40, 30]}}
groups:
  c: {copy: {of: [a, b], by: [50, 10], turn: 90}}`,
			"a 20,30 b 40,30 a-2 70,40@90 b-2 70,60@90"},
		{"copy turned about a point", `
controls: {a: {part: button, at: [20, 30]}}
groups:
  c: {copy: {of: [a], by: [0, 0], turn: 180, about: [50, 50]}}`,
			"a 20,30 a-2 80,70@180"},
		{"changes to members of a mirror", `
groups:
  r: {part: button, row: {from: [20, 50], step: 30}, controls: {a: {turn: 20}, b: {}, c: {}}}
  m: {mirror: {of: [r], at: 100}, controls: {a-m: {part: knob, turn: 5}, b-m: {at: [160, 20]}, c-m: {shift: [1, -1]}}}`,
			"a 20,50@20 b 50,50 c 80,50 a-m 180,50@5 b-m 160,20 c-m 121,49"},
	} {
		t.Run(c.name, func(t *testing.T) {
			p, _ := placeText(t, c.file)
			if got := layoutOf(p); got != c.want {
				t.Errorf("got  %s\nwant %s", got, c.want)
			}
		})
	}
}

func TestMirrorCarriesTheControl(t *testing.T) {
	p, fs := placeText(t, `
controls:
  go: {part: knob, at: [50, 50], legend: {text: GO, place: left}, knob: 22, note: start, pinned: true, sends: button 1}
groups:
  m: {mirror: {of: [go]}}
`)
	wantClean(t, fs)
	c := named(t, p, "go-m")
	if c.Part.ID != "knob" || c.Legend.Text != "GO" || c.Note != "start" || c.Sends != "button 1" || !c.Pinned || c.Group != "m" {
		t.Errorf("got %+v", c)
	}
	if c.Legend.Place != "right" {
		t.Errorf("the legend is %s of its control; left and right change places", c.Legend.Place)
	}
	a, b := named(t, p, "go").Legend.Middle, c.Legend.Middle
	if !near(a.X+b.X, 200) || !near(a.Y, b.Y) {
		t.Errorf("the legend stands at %v, its mirror image at %v", a, b)
	}
	if w := c.Front[0].Outline.Bounds().Size().X; !near(w, 22) {
		t.Errorf("the knob is %v mm wide", w)
	}
	if c.Origin.MovePath != "" || c.Origin.Path != "groups.m" || c.Origin.Pos.Line != 8 {
		t.Errorf("origin %+v", c.Origin)
	}
}

func TestOrigins(t *testing.T) {
	p, _ := placeText(t, `
controls:
  a: {part: button, at: [20, 20]}
  b: {part: button, at: [60, 20], pinned: true}
groups:
  r: {part: button, row: {from: [20, 50], step: 30}, controls: {c: {}, d: {shift: [1, 2]}, e: {at: [150, 50]}, f: {pinned: true}}}
  n: {part: button, row: {from: [20, 80], step: 30, count: 2}, names: "g{n}", controls: {g2: {shift: [0, 1]}}}
  m: {mirror: {of: [a, g1]}, controls: {g1-m: {at: [100, 20]}}}
`)
	for _, c := range []struct {
		name, path, move string
		base             geom.Vec2
		line             int
	}{
		{"a", "controls.a", "controls.a.at", geom.Vec2{X: 20, Y: 20}, 6},
		{"b", "controls.b", "", geom.Vec2{X: 60, Y: 20}, 7},
		{"c", "groups.r.controls.c", "groups.r.controls.c.shift", geom.Vec2{}, 9},
		{"d", "groups.r.controls.d", "groups.r.controls.d.shift", geom.Vec2{X: 1, Y: 2}, 9},
		{"e", "groups.r.controls.e", "groups.r.controls.e.at", geom.Vec2{X: 150, Y: 50}, 9},
		{"f", "groups.r.controls.f", "", geom.Vec2{}, 9},
		{"g1", "groups.n", "groups.n.controls.g1.shift", geom.Vec2{}, 10},
		{"g2", "groups.n.controls.g2", "groups.n.controls.g2.shift", geom.Vec2{Y: 1}, 10},
		{"a-m", "groups.m", "", geom.Vec2{}, 11},
		{"g1-m", "groups.m.controls.g1-m", "groups.m.controls.g1-m.at", geom.Vec2{X: 100, Y: 20}, 11},
	} {
		o := named(t, p, c.name).Origin
		if o.Path != c.path || o.MovePath != c.move || o.Pos.Line != c.line || o.MovePath != "" && o.MoveBase != c.base {
			t.Errorf("%s: %+v", c.name, o)
		}
	}
}

func TestReflectTwiceIsNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := geom.Vec2{X: rapid.Float64Range(-500, 500).Draw(t, "x"), Y: rapid.Float64Range(-500, 500).Draw(t, "y")}
		turn := norm(rapid.OneOf(rapid.Float64Range(-720, 720), rapid.Map(rapid.IntRange(-24, 24), func(i int) float64 { return 15 * float64(i) })).Draw(t, "turn"))
		upright, line := rapid.Bool().Draw(t, "upright"), rapid.Float64Range(-500, 500).Draw(t, "line")
		a, u := Reflect(at, turn, upright, line)
		b, v := Reflect(a, u, upright, line)
		if b.Sub(at).Len() > 1e-9 || !sameTurn(v, turn) {
			t.Fatalf("%v at %v became %v at %v, then %v at %v", turn, at, u, a, v, b)
		}
		// A footprint that is the same left and right and the same above and below is mirrored exactly.
		w, h := 8.0, 3.0
		corner := geom.Place{At: at, Turn: turn}.Apply(geom.Vec2{X: w, Y: h})
		image, _ := Reflect(corner, 0, upright, line)
		best := 1e9
		for _, q := range []geom.Vec2{{X: w, Y: h}, {X: -w, Y: h}, {X: w, Y: -h}, {X: -w, Y: -h}} {
			best = min(best, geom.Place{At: a, Turn: u}.Apply(q).Sub(image).Len())
		}
		if best > 1e-6 {
			t.Fatalf("the image of a corner lies %v mm beside the footprint", best)
		}
	})
}

func sameTurn(a, b float64) bool { d := norm(a - b); return d < 1e-9 && d > -1e-9 }

func TestCopyByNothingIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y, turn := rapid.IntRange(30, 170).Draw(t, "x"), rapid.IntRange(30, 70).Draw(t, "y"), rapid.IntRange(-180, 180).Draw(t, "turn")
		p, _ := placeText(t, fmt.Sprintf(`
controls: {a: {part: knob, at: [%d, %d], turn: %d}}
groups: {c: {copy: {of: [a], by: [0, 0]}}}
`, x, y, turn))
		a, b := p.Controls[0], p.Controls[1]
		if a.At != b.At || a.Turn != b.Turn || fmt.Sprint(a.Cuts[1].Outline) != fmt.Sprint(b.Cuts[1].Outline) || fmt.Sprint(a.Rear[0].Outline) != fmt.Sprint(b.Rear[0].Outline) {
			t.Fatalf("%+v\n%+v", a, b)
		}
	})
}

// Turning a whole group keeps every distance within it, and turns what stands behind with it.
func TestTurningKeepsDistances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		turn := rapid.IntRange(-360, 360).Draw(t, "turn")
		ax, ay := rapid.IntRange(0, 200).Draw(t, "ax"), rapid.IntRange(0, 100).Draw(t, "ay")
		file := `
groups: {g: {part: knob, grid: {from: [60, 80], step: [31, 17], columns: 3}, %s controls: {a: {}, b: {turn: 20}, c: {}, d: {}, e: {}}}}
`
		p, _ := placeText(t, fmt.Sprintf(file, ""))
		q, _ := placeText(t, fmt.Sprintf(file, fmt.Sprintf("turn: %d, about: [%d, %d],", turn, ax, ay)))
		place := geom.Place{At: geom.Vec2{X: float64(ax), Y: float64(ay)}, Turn: float64(turn)}
		for i := range p.Controls {
			a, b := p.Controls[i], q.Controls[i]
			if !sameTurn(b.Turn-a.Turn, float64(turn)) {
				t.Fatalf("%s is turned by %v", a.Name, b.Turn-a.Turn)
			}
			for k := range a.Rear {
				want := place.Apply(a.Rear[k].Outline[0].P.Sub(place.At))
				if got := b.Rear[k].Outline[0].P; got.Sub(want).Len() > 1e-6 {
					t.Fatalf("%s: the body of %s stands at %v, not %v", a.Name, a.Rear[k].Role, got, want)
				}
			}
			for j := range p.Controls {
				d := a.At.Sub(p.Controls[j].At.Vec2).Len() - b.At.Sub(q.Controls[j].At.Vec2).Len()
				if d > 1e-6 || d < -1e-6 {
					t.Fatalf("%s and %s come %v mm nearer", a.Name, p.Controls[j].Name, d)
				}
			}
		}
	})
}

func TestManyControlsEnd(t *testing.T) {
	var b strings.Builder
	b.WriteString(head + "controls: {a: {part: button, at: [20, 30]}}\ngroups:\n")
	of := "a"
	for i := range 20 { // doubles each time: a million without a bound
		fmt.Fprintf(&b, "  g%d: {copy: {of: [%s], by: [1, 0], suffix: -%d}}\n", i, of, i)
		of += fmt.Sprintf(", g%d", i)
	}
	p, fs := placeWhole(t, b.String())
	if n := len(p.Controls); n > maxControls+1 {
		t.Errorf("%d controls", n)
	}
	if !strings.Contains(rules(fs), "place.group") {
		t.Error("nothing says that there are too many")
	}
}
