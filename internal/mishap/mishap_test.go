package mishap

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/record"
	"knobwright/internal/thorough"
)

// judged are the files judged so far, by their text. Nobody changes them.
var judged = map[string]*job.Result{}

// bench is a bench with this file. What comes of a rescue is judged without the presses in an everyday run.
func bench(src string) Bench {
	whole := func(src []byte) *job.Result { return job.Run(project.Read("x.yaml", src), catalog.Builtin()) }
	quick := func(src []byte) *job.Result { return job.Check(project.Read("x.yaml", src), catalog.Builtin()) }
	run := func(of string, judge func([]byte) *job.Result) func([]byte) *job.Result {
		return func(src []byte) *job.Result {
			k := of + string(src)
			if judged[k] == nil {
				judged[k] = judge(src)
			}
			return judged[k]
		}
	}
	full := run("whole ", whole)
	return Bench{Doc: project.Read("x.yaml", []byte(src)), Cat: catalog.Builtin(), Result: full([]byte(src)), Run: thorough.Of(full, run("quick ", quick))}
}

const small = `knobwright: 1
title: Lantern box
units: mm
face: {width: 240, height: 120, sheet: acrylic-3mm}
box: {form: flat, depth: 60, walls: birch-ply-9mm}
module: {part: rp2040-40pin, at: [180, 60], on: base}
controls:
  go: {part: push-22mm, at: [60, 60], legend: GO}
  dim: {part: pot-16mm, at: [120, 60], legend: DIM}
  on: {part: toggle-mini-2, at: [180, 90], legend: ON-AIR}
`

// What a rescue claims is so: the fact and its edits laid over the file give just the findings that it names, and the places it speaks of.
func claims(t *testing.T, b Bench, c Case) {
	t.Helper()
	for i, r := range c.Rescues {
		if !r.Checked || len(r.Edits) == 0 {
			continue
		}
		rec := record.Record{Facts: []record.Fact{c.Fact, {Edits: r.Edits}}}
		src := []byte(b.Doc.Src)
		for _, f := range rec.Facts { // one after the other, as they will be laid over
			next, err := project.Read("x.yaml", src).Apply(f.Edits)
			if err != nil {
				t.Errorf("rescue %d (%s) cannot be laid over: %v", i+1, r.Say, err)
			}
			src = next
		}
		stops, warns := 0, 0
		for _, f := range fresh(b.Result.Findings, b.Run(src).Findings) { // what is fresh has a test of its own
			switch {
			case r.filed != "" && strings.HasPrefix(f.Rule, "drill."):
			case f.Severity == finding.Stop:
				stops++
			default:
				warns++
			}
		}
		if stops != r.Stops || warns != r.Warns {
			t.Errorf("rescue %d (%s) says %d stops and %d warnings; it has %d and %d", i+1, r.Say, r.Stops, r.Warns, stops, warns)
		}
	}
	for i := 1; i < len(c.Rescues); i++ {
		if a, b := c.Rescues[i-1], c.Rescues[i]; b.Stops < a.Stops || b.Stops == a.Stops && b.Warns < a.Warns {
			t.Errorf("rescue %d is better than the one before it", i+1)
		}
	}
}

func says(c Case) string {
	var s []string
	for _, r := range c.Rescues {
		s = append(s, r.Say)
	}
	return strings.Join(s, "\n")
}

func TestEveryKind(t *testing.T) {
	b := bench(small)
	for name, x := range map[string]struct {
		m    Mishap
		want []string
	}{
		"off":     {Mishap{Kind: Off, Of: "go", By: geom.Vec2{X: 1.5}}, []string{"Leave GO where the hole is.", "File the hole of GO over", "Make the sheet anew."}},
		"off far": {Mishap{Kind: Off, Of: "DIM", By: geom.Vec2{Y: -9}}, []string{"Leave DIM", "Make the sheet anew."}},
		"large":   {Mishap{Kind: Large, Of: "dim", Size: 9.7}, []string{"Leave it", "pot-24mm)", "washer plate"}},
		"stray":   {Mishap{Kind: Stray, At: geom.Vec2{X: 90, Y: 100}, Size: 12.1}, []string{"blank plug (plug-12mm)", "Leave it open."}},
		// half round the stray hole falls into that of GO: 240-60, 120-60
		"stray that vanishes": {Mishap{Kind: Stray, At: geom.Vec2{X: 180, Y: 60}, Size: 10}, []string{"half round: the hole then falls into that of GO"}},
		"corner":              {Mishap{Kind: Corner, Of: "upper-left", Size: 8}, []string{"Round all four corners to 8 mm."}},
		"board":               {Mishap{Kind: Board, Of: "left side", Short: 3}, []string{"shorter from front to back", "Cut the board anew."}},
		"wire":                {Mishap{Kind: Wire, Of: "W3", Short: 15}, []string{"Lengthen it", "Cut a new one."}},
		"part":                {Mishap{Kind: Part, Of: "go", Adjust: "{deeper: 45 mm}"}, []string{"Send it back"}},
	} {
		c, err := Look(b, x.m)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, want := range x.want {
			if !strings.Contains(says(c), want) {
				t.Errorf("%s: no rescue says %q:\n%s", name, want, says(c))
			}
		}
		if c.Fact.What == "" || c.Say == "" {
			t.Errorf("%s: nothing is written down", name)
		}
		claims(t, b, c)
	}
}

// The fact moves the control to where the hole is.
func TestFactIsAsBuilt(t *testing.T) {
	b := bench(small)
	c, err := Look(b, Mishap{Kind: Off, Of: "go", By: geom.Vec2{X: 1.5, Y: -0.5}})
	if err != nil {
		t.Fatal(err)
	}
	src, err := b.Doc.Apply(c.Fact.Edits)
	if err != nil {
		t.Fatal(err)
	}
	p, _ := panel.Place(project.Read("x.yaml", src), b.Cat)
	if at := p.Controls[0].At; at.Sub(geom.Vec2{X: 61.5, Y: 59.5}).Len() > 1e-9 {
		t.Errorf("GO is at %v", at)
	}
}

// With the other holes drilled nothing is proposed that moves them.
func TestDrilled(t *testing.T) {
	b := bench(small + "groups:\n  weather:\n    part: toggle-mini-2\n    row: {from: [30, 95], step: 30}\n    controls:\n      gauze: {legend: GAUZE}\n      fog: {legend: FOG}\n")
	loose, err := Look(b, Mishap{Kind: Off, Of: "gauze", By: geom.Vec2{X: 1.5}})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(says(loose), "Shift the whole of weather") {
		t.Errorf("the row is not shifted:\n%s", says(loose))
	}
	fixed, err := Look(b, Mishap{Kind: Off, Of: "gauze", By: geom.Vec2{X: 1.5}, Drilled: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range fixed.Rescues {
		if r.Only == notDrilled {
			t.Errorf("%s is proposed although all is drilled", r.Say)
		}
	}
}

func TestSentences(t *testing.T) {
	b := bench(small)
	for _, m := range []Mishap{
		{Kind: Off, Of: "nobody", By: geom.Vec2{X: 1}}, {Kind: Off, Of: "go"}, {Kind: Large, Of: "go"}, {Kind: Large, Of: "go", Size: 20}, {Kind: Stray, Size: 10, At: geom.Vec2{X: 900}},
		{Kind: Stray, At: geom.Vec2{X: 90, Y: 90}}, {Kind: Corner, Of: "middle", Size: 3}, {Kind: Corner, Of: "upper left", Size: 300}, {Kind: Board, Of: "lid", Short: 3}, {Kind: Board, Of: "left side"},
		{Kind: Wire, Of: "W999", Short: 3}, {Kind: Wire, Of: "W1", Short: 9999}, {Kind: Part, Of: "go", Adjust: "{nonsense"}, {Kind: "fire"},
	} {
		_, err := Look(b, m)
		if err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%+v: %v", m, err)
		}
	}
	if _, err := Look(b, Mishap{Kind: Off, Of: "nobody", By: geom.Vec2{X: 1}}); !errors.Is(err, ErrUnknown) {
		t.Error(err)
	}
}

// Mishaps drawn by lot over the examples: what is claimed holds.
func TestByLot(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 8))
	names := []string{"first-panel"}
	if os.Getenv("KNOBWRIGHT_PEERS") != "" { // the long form of ./test
		names = examples.Names()
	}
	for _, name := range names {
		b := bench(string(examples.File(name)))
		cs := b.Result.Panel.Controls
		for i := range 3 {
			c := cs[rnd.IntN(len(cs))]
			var m Mishap
			switch i {
			case 0:
				m = Mishap{Kind: Off, Of: c.Name, By: geom.Vec2{X: rnd.Float64()*6 - 3, Y: rnd.Float64()*6 - 3}}
			case 1:
				m = Mishap{Kind: Large, Of: c.Name, Size: c.Part.Hole.Nominal() + rnd.Float64()*3}
			case 2:
				m = Mishap{Kind: Stray, At: geom.Vec2{X: rnd.Float64() * b.Result.Panel.Face.Width, Y: rnd.Float64() * b.Result.Panel.Face.Height}, Size: 3 + rnd.Float64()*20}
			}
			x, err := Look(b, m)
			if err != nil {
				t.Logf("%s %+v: %v", name, m, err)
				continue
			}
			if len(x.Rescues) == 0 {
				t.Errorf("%s %+v: no way out at all", name, m)
			}
			claims(t, b, x)
			_ = fmt.Sprint(x)
		}
	}
}

// A finding about many things is the same one when a hole moves a little: its worst is another control then, and its list has one more.
func TestFresh(t *testing.T) {
	many := func(have float64, sev finding.Severity, names ...string) finding.Finding {
		f := finding.Finding{Rule: "press.springy", Severity: sev, Head: names[0], Measure: &finding.Measure{Have: have, Want: 0.5, Sense: finding.AtMost}}
		for _, n := range names {
			f.Ends = append(f.Ends, finding.End{Name: n, Path: "controls." + n})
		}
		return f
	}
	before := []finding.Finding{many(2.32, finding.Warn, "thunder", "go", "bell", "rain")}
	for name, x := range map[string]struct {
		after finding.Finding
		fresh bool
	}{
		"another head, one more": {many(2.34, finding.Warn, "rain", "go", "bell", "thunder", "fog"), false},
		"much worse":             {many(2.9, finding.Warn, "rain", "go", "bell", "thunder"), true},
		"graver":                 {many(2.32, finding.Stop, "rain", "go", "bell", "thunder"), true},
		"about others":           {many(2.32, finding.Warn, "rain", "a", "b", "c", "d"), true},
		"the same":               {many(9, finding.Warn, "thunder", "go", "bell", "rain"), false},
		"fewer of them":          {many(2.3, finding.Warn, "go", "bell"), false},
		"one of them, worse":     {many(3, finding.Warn, "go"), true},
		"a pair with another":    {many(0.6, finding.Warn, "thunder", "fog"), true},
	} {
		if got := len(fresh(before, []finding.Finding{x.after})) > 0; got != x.fresh {
			t.Errorf("%s: fresh is %v", name, got)
		}
	}
}

// No proposal moves a hole that exists: not the one that is off, not a stray one.
func TestHolesThatExistStay(t *testing.T) {
	b := bench(strings.Replace(small, "dim: {part: pot-16mm, at: [120, 60]", "dim: {part: pot-16mm, at: [96, 60]", 1))
	for _, m := range []Mishap{
		{Kind: Off, Of: "go", By: geom.Vec2{X: 16}},
		{Kind: Off, Of: "dim", By: geom.Vec2{X: -14}},
		{Kind: Stray, At: geom.Vec2{X: 104, Y: 60}, Size: 6},
		{Kind: Stray, At: geom.Vec2{X: 74, Y: 60}, Size: 9},
	} {
		c, err := Look(b, m)
		if err != nil || c.Stops == 0 {
			t.Fatalf("%v: no stop follows, the case shows nothing: %v", m, err)
		}
		for _, r := range c.Rescues {
			if strings.HasPrefix(r.Say, "Move it") || strings.HasPrefix(r.Say, "Move GO") && m.Of == "go" || strings.HasPrefix(r.Say, "Move DIM") && m.Of == "dim" {
				t.Errorf("%v: %s", m, r.Say)
			}
			for _, e := range r.Edits {
				if e.Op == finding.Set && strings.HasPrefix(e.Path, "face.holes.") {
					t.Errorf("%v: %s moves the stray hole", m, r.Say)
				}
			}
		}
		claims(t, b, c)
	}
}

// A filed hole is not judged by what bits can make; a keyed one may be filed over too, where the front hides the rest.
func TestFiledOver(t *testing.T) {
	b := bench(strings.Replace(small, "controls:\n", "tools: {bits: [twist-metric-0.5]}\ncontrols:\n  lock: {part: key-19mm, at: [60, 25], legend: \"\"}\n", 1))
	for of, most := range map[string]int{"dim": 0, "lock": 0} {
		c, err := Look(b, Mishap{Kind: Off, Of: of, By: geom.Vec2{Y: 0.8}})
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, r := range c.Rescues {
			if strings.HasPrefix(r.Say, "File the hole") {
				found = true
				if r.Stops+r.Warns > most {
					t.Errorf("%s: %s leaves %v", of, r.Say, r.New)
				}
			}
		}
		if !found {
			t.Errorf("%s: filing is not thought of:\n%s", of, says(c))
		}
		claims(t, b, c)
	}
}

// A plug of the next size closes a hole that no plug fits, once it is opened.
func TestNextPlug(t *testing.T) {
	b := bench(small)
	c, err := Look(b, Mishap{Kind: Stray, At: geom.Vec2{X: 150, Y: 30}, Size: 13.5})
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(says(c), "with a blank plug (plug-16mm): open it to ") {
		t.Error(says(c))
	}
	claims(t, b, c)
	c, err = Look(b, Mishap{Kind: Off, Of: "go", By: geom.Vec2{X: -31, Y: -20}})
	if err != nil || !strings.Contains(says(c), "Drill the hole of GO where it should be, and close the wrong one with a blank plug (plug-22mm).") || !strings.HasPrefix(c.Say, "The hole of GO is 31 mm left of its mark and 20 mm below it.") {
		t.Error(err, c.Say, says(c))
	}
	claims(t, b, c)
}

// What carries the spoilt hole is made anew, not the face for a hole in the back.
func TestMadeAnew(t *testing.T) {
	b := bench(string(examples.File("lantern-desk")))
	c, err := Look(b, Mishap{Kind: Off, Of: "lead", By: geom.Vec2{X: 2}})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range c.Rescues {
		if strings.HasSuffix(r.Say, "anew.") && (r.Say != "Make the back anew." || r.Minutes > 120 || r.Cost.From != 0 || r.Cost.To <= 0) {
			t.Errorf("%+v", r)
		}
	}
	c, err = Look(b, Mishap{Kind: Off, Of: "moon", By: geom.Vec2{X: 2}})
	if err != nil || !strings.Contains(says(c), "Make the sheet anew.") {
		t.Error(err, says(c))
	}
}

// A hole far off is not filed to its place; a disc in it vanishes under a covering.
func TestFarOff(t *testing.T) {
	b := bench(strings.Replace(small, "sheet: acrylic-3mm", "sheet: acrylic-3mm, covering: vinyl-film", 1))
	c, err := Look(b, Mishap{Kind: Off, Of: "go", By: geom.Vec2{X: -30, Y: -20}})
	if err != nil {
		t.Fatal(err)
	}
	if s := says(c); strings.Contains(s, "File the hole") || !strings.Contains(s, "glue a disc of the same sheet into the wrong one") {
		t.Error(s)
	}
	claims(t, b, c)
	near, err := Look(b, Mishap{Kind: Off, Of: "go", By: geom.Vec2{X: 1}})
	if err != nil || !strings.Contains(says(near), "File the hole of GO") {
		t.Error(err, says(near))
	}
}
