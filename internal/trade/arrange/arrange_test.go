package arrange_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
	"knobwright/internal/trade/arrange"
)

func quick(doc *project.Doc) (*panel.Panel, []finding.Finding) {
	r := job.Touch(doc, catalog.Builtin())
	return r.Panel, r.Findings
}

func full(doc *project.Doc) (*panel.Panel, []finding.Finding) {
	r := job.Check(doc, catalog.Builtin())
	return r.Panel, r.Findings
}

// little is as much reckoning as a test can wait for.
const little = 4_000_000

func order(name, text string) arrange.Order {
	return arrange.Order{Doc: project.Read(name, []byte(text)), Cat: catalog.Builtin(), Quick: quick, Full: full, Seed: 1, Work: little}
}

func work(t *testing.T, text string) *arrange.Result {
	t.Helper()
	return arrange.Work(context.Background(), order("test.yaml", text))
}

// stopsAndRoom counts by the words of the findings themselves: stops, and what is said of fit and reach.
func stopsAndRoom(fs []finding.Finding) (stops, room int) {
	for _, f := range fs {
		if f.Kept != "" || f.Severity == finding.Note {
			continue
		}
		if f.Severity == finding.Stop {
			stops++
		}
		if strings.HasPrefix(f.Rule, "fit.") || strings.HasPrefix(f.Rule, "reach.") {
			room++
		}
	}
	return
}

// Every example gets proposals; each is read, placed and checked anew here, with the whole job.
func TestExamples(t *testing.T) {
	for _, n := range thorough.Of(examples.Names(), []string{"cue-desk", "lantern-desk", "star-lamp"}) {
		t.Run(n, func(t *testing.T) {
			src := examples.File(n)
			o := order(n, string(src))
			r := arrange.Work(context.Background(), o)
			if len(r.Proposals) == 0 {
				t.Fatal(r.Say)
			}
			stops, room := stopsAndRoom(job.Check(project.Read(n, src), catalog.Builtin()).Findings)
			for i, p := range r.Proposals {
				after := job.Check(project.Read(n, p.Text), catalog.Builtin())
				if s, m := stopsAndRoom(after.Findings); s > stops || m > room {
					t.Errorf("%s: %d stops and %d about room, before %d and %d", p.Name, s, m, stops, room)
				}
				sum := 0.0
				for _, x := range p.Terms {
					sum += x.Points
					if x.Say == "" || x.Why == "" {
						t.Errorf("%s: the term %s is not explained", p.Name, x.Name)
					}
				}
				if math.Abs(sum-p.Score) > 0.01 {
					t.Errorf("%s: the terms add up to %.3f, the score is %.3f", p.Name, sum, p.Score)
				}
				// the spots are where the file puts the controls
				at := map[string]panel.Pt{}
				for _, c := range after.Panel.Controls {
					at[c.Name] = c.At
				}
				for _, s := range p.Spots {
					if q := at[s.Control]; math.Hypot(q.X-s.X, q.Y-s.Y) > 0.01 {
						t.Errorf("%s: %s is said to stand at %v, %v, and stands at %v", p.Name, s.Control, s.X, s.Y, q)
					}
				}
				// comments and all lines that say nothing of places stay
				if a, b := comments(src), comments(p.Text); !slices.Equal(a, b) {
					t.Errorf("%s: the comments changed:\n%q\n%q", p.Name, a, b)
				}
				if bytes.Count(src, []byte("\n")) != bytes.Count(p.Text, []byte("\n")) {
					t.Errorf("%s: lines came or went", p.Name)
				}
				for j := range i {
					if far(p, r.Proposals[j]) < 2 {
						t.Errorf("%s and %s put everything at the same place", p.Name, r.Proposals[j].Name)
					}
				}
			}
		})
	}
}

func far(a, b arrange.Proposal) (most float64) {
	for i := range a.Spots {
		most = max(most, math.Hypot(a.Spots[i].X-b.Spots[i].X, a.Spots[i].Y-b.Spots[i].Y))
	}
	return
}

func comments(src []byte) (out []string) {
	for _, l := range strings.Split(string(src), "\n") {
		if _, c, ok := strings.Cut(l, "# "); ok {
			out = append(out, c)
		}
	}
	return
}

// The same order gives the same result, byte for byte.
func TestSameAgain(t *testing.T) {
	src := string(examples.File("first-panel"))
	a, _ := json.Marshal(arrange.Work(context.Background(), order("a", src)))
	b, _ := json.Marshal(arrange.Work(context.Background(), order("a", src)))
	if !bytes.Equal(a, b) {
		t.Error("two runs differ")
	}
}

const head = "knobwright: 1\ntitle: T\nface: {width: 300, height: 160, sheet: aluminium-2mm}\ntools: {drill: press, bits: [twist-metric-0.1, step-4-20]}\n"

// What is pinned, what is kept, and what hangs on either stays where it is, and the reason is given.
func TestStays(t *testing.T) {
	text := head + `controls:
  a: {part: push-16mm, at: [40, 40], pinned: true}
  b: {part: push-16mm, at: [90, 43]}
  c: {part: push-16mm, at: [140, 38]}
groups:
  run:
    part: push-12mm
    row: {from: [40, 120], step: 30}
    controls: {d: {}, e: {pinned: true}, f: {}}
  twin: {mirror: {of: [a], line: level}}
`
	o := order("t", text)
	o.Keep = []string{"C"}
	r := arrange.Work(context.Background(), o)
	why := map[string]string{}
	for _, s := range r.Stays {
		why[s.Name] = s.Why
	}
	for name, part := range map[string]string{"A": "pinned", "C": "you keep it", "The group run": "E in it is pinned"} {
		if !strings.Contains(why[name], part) {
			t.Errorf("%s: %q, want %q; all: %v", name, why[name], part, r.Stays)
		}
	}
	if !slices.Equal(r.Moves, []string{"B"}) {
		t.Errorf("moves: %v", r.Moves)
	}
	for _, p := range r.Proposals {
		for _, s := range p.Spots {
			if s.Control != "b" && (s.DX != 0 || s.DY != 0) {
				t.Errorf("%s moves by %v, %v", s.Control, s.DX, s.DY)
			}
		}
	}
	if got := arrange.Unknown(quickPanel(text), []string{"a", "run", "nobody"}); !slices.Equal(got, []string{"nobody"}) {
		t.Errorf("unknown: %v", got)
	}
}

func quickPanel(text string) *panel.Panel {
	p, _ := quick(project.Read("t", []byte(text)))
	return p
}

// Each way of writing places is kept: what moves a row with an end is its from and its to, an arc its centre, a turned group its pivot.
func TestWaysOfWriting(t *testing.T) {
	text := head + `controls:
  z: {part: push-16mm, at: [250, 30]}
groups:
  run:
    part: push-12mm
    row: {from: [30, 133], to: 100}
    controls: {a: {}, b: {shift: [0, 2]}, c: {}}
  down:
    part: push-12mm
    column: {from: [200, 131], to: 71}
    controls: {d: {}, e: {}, f: {}}
  ring:
    part: lamp-5mm-holder
    arc: {centre: [80, 60], radius: 30, from: 0 deg, to: 360 deg, count: 6}
    names: "ring-{n}"
  slant:
    part: lamp-5mm-holder
    row: {from: [140, 40], step: 20}
    turn: 30 deg
    about: [150, 40]
    controls: {g: {}, h: {}}
`
	r := work(t, text)
	if len(r.Proposals) == 0 {
		t.Fatal(r.Say, r.Refused)
	}
	before := quickPanel(text)
	for _, p := range r.Proposals {
		after := quickPanel(string(p.Text))
		shift := map[string][2]float64{}
		for i, c := range before.Controls {
			d := after.Controls[i].At.Sub(c.At.Vec2)
			if c.Group == "" {
				continue
			}
			if was, ok := shift[c.Group]; ok && math.Hypot(was[0]-d.X, was[1]-d.Y) > 0.02 {
				t.Errorf("%s: %s is torn: %s moves by %v, another one by %v", p.Name, c.Group, c.Name, d, was)
			}
			shift[c.Group] = [2]float64{d.X, d.Y}
		}
		for _, e := range p.Edits {
			if strings.Contains(e.Path, "controls.a") || strings.Contains(e.Path, "shift") {
				t.Errorf("%s: a member of a row is moved alone: %v", p.Name, e)
			}
		}
	}
}

// A caption moves with its row, the title of the panel does not.
func TestCaptionsFollow(t *testing.T) {
	text := strings.Replace(head, "aluminium-2mm}", "aluminium-2mm, texts: {title: {text: DESK, at: [150, 150]}, over: {text: LIGHTS, at: [70, 85]}}}", 1) + `controls:
  m: {part: push-16mm, at: [157, 31]}
groups:
  lights:
    part: push-12mm
    row: {from: [41, 67], step: 30}
    controls: {a: {}, b: {}, c: {}}
`
	r := work(t, text)
	if len(r.Proposals) == 0 {
		t.Fatal(r.Say)
	}
	some := false
	for _, p := range r.Proposals {
		after, before := quickPanel(string(p.Text)), quickPanel(text)
		row := after.Controls[1].At.Sub(before.Controls[1].At.Vec2)
		if d := after.Texts[1].Middle.Sub(before.Texts[1].Middle.Vec2); d.Sub(row).Len() > 1e-6 {
			t.Errorf("%s: the row moves by %v, its caption by %v", p.Name, row, d)
		}
		some = some || row.Len() > 0
		if after.Texts[0].Middle != before.Texts[0].Middle {
			t.Errorf("%s: the title moves", p.Name)
		}
	}
	if !some {
		t.Error("the row moves in no proposal")
	}
}

// Mirror images and copies follow, and a row is moved once for all of them.
func TestImagesFollow(t *testing.T) {
	text := head + `controls:
  m: {part: push-16mm, at: [155, 30]}
groups:
  run:
    part: push-12mm
    column: {from: [40, 130], step: 32}
    controls: {a: {}, b: {}, c: {}}
  other: {mirror: {of: [run]}}
`
	r := work(t, text)
	if len(r.Proposals) == 0 {
		t.Fatal(r.Say)
	}
	for _, p := range r.Proposals {
		after := quickPanel(string(p.Text))
		at := map[string]panel.Pt{}
		for _, c := range after.Controls {
			at[c.Name] = c.At
		}
		for _, n := range []string{"a", "b", "c"} {
			if q, m := at[n], at[n+"-m"]; math.Abs(q.X+m.X-300) > 1e-6 || q.Y != m.Y {
				t.Errorf("%s: %s at %v, its image at %v", p.Name, n, q, m)
			}
		}
	}
}

// A row that is too close is spread by its step when there is room, and then nothing is said of it any more.
func TestSpread(t *testing.T) {
	text := head + `controls:
  z: {part: push-16mm, at: [250, 30]}
groups:
  run:
    part: toggle-mini-2
    row: {from: [40, 130], step: 11}
    controls: {a: {}, b: {}, c: {}, d: {}}
`
	r := work(t, text)
	if len(r.Proposals) == 0 {
		t.Fatal(r.Say)
	}
	p := r.Proposals[0]
	if p.Counts[0]+p.Counts[1] >= p.Was[0]+p.Was[1] || !strings.Contains(fmt.Sprint(p.Edits), "row.step") {
		t.Errorf("%v then, %v before: %v", p.Counts, p.Was, p.Edits)
	}
}

// Controls without a place get one; those without a part are said to wait.
func TestFirstPlaces(t *testing.T) {
	text := head + `controls:
  a: {part: push-16mm}   # no place yet
  b: {part: push-16mm}
  c: {part: toggle-mini-2}
  d: {}
groups:
  loose:
    part: push-12mm
    controls: {e: {}, f: {}}
`
	r := work(t, text)
	if len(r.Proposals) == 0 {
		t.Fatal(r.Say)
	}
	p := r.Proposals[0]
	after, found := full(project.Read("t", p.Text))
	if len(after.Controls) != 5 || len(after.Waiting) != 1 {
		t.Errorf("%d placed, %d waiting", len(after.Controls), len(after.Waiting))
	}
	if s, m := stopsAndRoom(found); s > 0 || m > 0 {
		t.Errorf("%d stops, %d about room", s, m)
	}
	if r.Now != nil || !strings.Contains(string(p.Text), "# no place yet") || !strings.Contains(fmt.Sprint(r.Stays), "no part") {
		t.Errorf("now %v, stays %v\n%s", r.Now, r.Stays, p.Text)
	}
}

// A clash is cured; nothing that stops is left.
func TestCures(t *testing.T) {
	text := head + "controls:\n"
	for i := range 8 {
		text += fmt.Sprintf("  b%d: {part: push-16mm, at: [%d, %d]}\n", i, 100+5*i, 80+i%3)
	}
	r := work(t, text)
	if len(r.Proposals) == 0 {
		t.Fatal(r.Say)
	}
	for _, p := range r.Proposals {
		if _, found := full(project.Read("t", p.Text)); p.Was[0] == 0 || p.Counts[0] != 0 {
			t.Errorf("%s: %d stops, before %d: %v", p.Name, p.Counts[0], p.Was[0], found)
		}
	}
}

// Where nothing can fit, the sentence says by how much; the area is what the parts' bezels take by hand.
func TestHopeless(t *testing.T) {
	text := "knobwright: 1\nface: {width: 120, height: 80, sheet: aluminium-2mm}\ncontrols:\n"
	for i := range 20 {
		text += fmt.Sprintf("  b%d: {part: push-30mm, at: [60, 40]}\n", i)
	}
	r := work(t, text)
	c, _ := catalog.Builtin().Part("push-30mm")
	bezel := 0.0
	for _, s := range c.Front {
		bezel = max(bezel, s.Round.MM())
	}
	want := 20 * math.Pi * bezel * bezel / 4 / 100
	if !r.Hopeless || r.Crowd == nil || math.Abs(r.Crowd.Need-want) > 0.01*want || math.Abs(r.Crowd.Have-96) > 0.5 || !strings.Contains(r.Say, "cm²") {
		t.Errorf("by hand %.1f of 96 cm²: %+v %s", want, r.Crowd, r.Say)
	}
	r = work(t, "knobwright: 1\nface: {width: 200, height: 180, sheet: acrylic-3mm}\ngroups:\n  keys: {part: push-16mm, row: {from: [10, 40], step: 30, count: 9}, names: \"k{n}\"}\n")
	if !r.Hopeless || !strings.Contains(r.Say, "58 mm wider") { // 8 steps of 30 and a bezel of 18 are 258
		t.Error(r.Say)
	}
}

// Files that give nothing to arrange are answered in a sentence.
func TestNothingToDo(t *testing.T) {
	for text, want := range map[string]string{
		"knobwright: 1\ncontrols: {a: {part: push-16mm, at: [1, 1]}}\n":                                                                     "no size",
		"knobwright: 1\nface: {width: 100, height: 80}\n":                                                                                   "no control",
		"knobwright: 1\nface: {width: 100, height: 80, sheet: acrylic-3mm}\ncontrols: {a: {part: push-16mm, at: [50, 40], pinned: true}}\n": "no control may be moved",
		"knobwright: [1\n": "cannot be read",
		"":                 "no size",
	} {
		r := work(t, text)
		if len(r.Proposals) != 0 || !strings.Contains(r.Say, want) {
			t.Errorf("%q: %s", text, r.Say)
		}
	}
}

// Called off, it gives back soon, with what there is.
func TestCalledOff(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	o := order("t", string(examples.File("cue-desk")))
	o.Work = 2_000_000_000
	n := 0
	o.Progress = func(float64, string) {
		if n++; n == 40 {
			cancel()
		}
	}
	r := arrange.Work(ctx, o)
	if !r.Stopped || n > 60 {
		t.Errorf("stopped %v after %d looks: %s", r.Stopped, n, r.Say)
	}
}

// Progress only grows and ends near 1.
func TestProgress(t *testing.T) {
	o := order("t", string(examples.File("first-panel")))
	last := -1.0
	o.Progress = func(p float64, say string) {
		if p < last || p > 1 || say == "" {
			t.Fatalf("%v after %v: %q", p, last, say)
		}
		last = p
	}
	arrange.Work(context.Background(), o)
	if last < 0.85 {
		t.Errorf("it ended at %v", last)
	}
}

func BenchmarkArrange(b *testing.B) {
	for _, n := range []string{"cue-desk", "signal-desk"} {
		b.Run(n, func(b *testing.B) {
			for b.Loop() {
				o := order(n, string(examples.File(n)))
				o.Work = 0
				if r := arrange.Work(context.Background(), o); len(r.Proposals) != 3 {
					b.Fatalf("%d proposals: %s", len(r.Proposals), r.Say)
				}
			}
		})
	}
}

// A desk with controls on three boards; those of the upper face stand too near to each other, two have no place yet.
const boards = `knobwright: 1
title: Two slopes
face: {width: 320, height: 140, sheet: {use: acrylic-3mm, actual: 2.9}}
box: {form: two-slope, front: 60, slope: 12 deg, upper: {height: 110, slope: 40 deg}, walls: birch-ply-9mm}
controls:
  go: {part: push-22mm, at: [100, 60]}
  halt: {part: push-22mm, at: [180, 64]}
  d: {part: pot-16mm, at: [150, 62], on: upper}
  e: {part: pot-16mm, on: upper}
  f: {part: push-12mm, on: left}
groups:
  keys:
    part: push-16mm
    on: upper
    row: {from: [40, 50], step: 17}
    controls: {a: , b: , c: }
`

// Each board is arranged by itself: only its own controls move, and all that is found is found again in the file.
func TestOtherBoards(t *testing.T) {
	for _, b := range []struct {
		on, name string
		moves    []string
	}{{"", "the face", []string{"go", "halt"}}, {"upper", "the upper face", []string{"a", "b", "c", "d", "e"}}, {"left", "the left side", []string{"f"}}} {
		o := order("test.yaml", boards)
		o.On = b.on
		r := arrange.Work(context.Background(), o)
		if len(r.Proposals) == 0 || r.On != b.on {
			t.Fatalf("%s: %s", b.name, r.Say)
		}
		was, _ := full(o.Doc)
		for _, p := range r.Proposals {
			now, _ := full(project.Read("test.yaml", p.Text))
			for i, s := range was.Sheets() {
				for _, c := range s.Controls {
					own := slices.Contains(b.moves, c.Name)
					d := find(now.Sheets()[i], c.Name)
					if d == nil || !own && d.At.Sub(c.At.Vec2).Len() > 1e-9 {
						t.Errorf("%s: %s was moved too", b.name, c.Name)
					}
				}
			}
			var names []string
			for _, s := range p.Spots {
				names = append(names, s.Control)
				found := false
				for _, sheet := range now.Sheets() {
					if c := find(sheet, s.Control); c != nil {
						found = math.Abs(c.At.X-s.X)+math.Abs(c.At.Y-s.Y) < 0.01
					}
				}
				if !found {
					t.Errorf("%s: %s does not stand where the proposal says", b.name, s.Control)
				}
			}
			slices.Sort(names)
			if !slices.Equal(names, b.moves) {
				t.Errorf("%s: spots of %v", b.name, names)
			}
		}
	}
	d := order("test.yaml", boards).Doc
	p, _ := full(d)
	if s := arrange.NoBoard(d, p, "rest"); !strings.Contains(s, "There are some on: face, upper, left.") {
		t.Error(s)
	}
	for _, on := range []string{"face", "", "upper", "left"} {
		if s := arrange.NoBoard(d, p, on); s != "" {
			t.Error(s)
		}
	}
	// a board that the box does not have
	o := order("test.yaml", strings.ReplaceAll(boards, "on: left", "on: rest"))
	o.On = "rest"
	if r := arrange.Work(context.Background(), o); len(r.Proposals) > 0 || !strings.Contains(r.Say, "the box has no such board") {
		t.Error(r.Say)
	}
}

func find(p *panel.Panel, name string) *panel.Control {
	for _, c := range p.Controls {
		if c.Name == name {
			return c
		}
	}
	return nil
}

// What is too deep everywhere behind a board that leans to its base is said to be so, not to be too wide.
func TestTooDeepEverywhere(t *testing.T) {
	o := order("test.yaml", `knobwright: 1
face: {width: 320, height: 110, sheet: {use: acrylic-3mm, actual: 2.9}}
box: {form: two-slope, front: 60, slope: 10 deg, upper: {height: 70, slope: 60 deg}, walls: birch-ply-9mm}
controls:
  a: {part: slide-pot-60mm, at: [60, 60]}
  d: {part: lamp-3mm-holder, at: [60, 30], on: upper}
  e: {part: push-22mm, at: [121, 24], on: upper}
`)
	o.On = "upper"
	r := arrange.Work(context.Background(), o)
	if !r.Hopeless || !strings.Contains(r.Say, "E does not fit on the upper face wherever it is put: it takes 31.1 mm behind the sheet, and there are") || !strings.Contains(r.Say, "at most. Make the box larger") {
		t.Error(r.Say)
	}
	o.Doc = project.Read("test.yaml", []byte(strings.Replace(string(o.Doc.Src), "push-22mm", "push-12mm", 1)))
	if r = arrange.Work(context.Background(), o); !r.Hopeless || !strings.Contains(r.Say, "and where there is so much it comes too near to the edge") {
		t.Error(r.Say)
	}
}
