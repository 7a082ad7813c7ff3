package compare

import (
	"cmp"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/record"
)

func side(src string) Side {
	doc := project.Read("x.yaml", []byte(src))
	return Side{Doc: doc, Cat: catalog.Builtin(), Result: job.Check(doc, catalog.Builtin())}
}

func check(src []byte) *job.Result {
	return job.Check(project.Read("x.yaml", src), catalog.Builtin())
}

// A panel compared with itself is the same.
func TestSame(t *testing.T) {
	for _, name := range examples.Names() {
		a, b := side(string(examples.File(name))), side(string(examples.File(name)))
		if r := Work(a, b, check); !r.Same {
			t.Errorf("%s differs from itself: %+v", name, r)
		}
	}
}

const head = "knobwright: 1\ntitle: t\nunits: mm\nface: {width: 200, height: 100, sheet: acrylic-3mm%s}\nmodule: rp2040-40pin\ncontrols:\n"

func panelOf(face string, controls ...string) Side {
	return side(fmt.Sprintf(head, face) + "  " + strings.Join(controls, "\n  ") + "\n")
}

func what(r Result) string {
	var out []string
	for _, p := range r.Parts {
		out = append(out, p.What+" "+p.Label)
	}
	for _, h := range r.Holes {
		if h.What != "used" {
			out = append(out, h.What+" hole of "+h.Of)
		}
	}
	for _, d := range r.Drill {
		out = append(out, fmt.Sprintf("drill %.4g for %s", d.Size, d.Of))
	}
	for _, c := range r.Buy {
		if c.Long == 0 {
			out = append(out, fmt.Sprintf("buy %d %s", c.N, cmp.Or(c.ID, c.Title)))
		}
	}
	for _, c := range r.Keep {
		out = append(out, fmt.Sprintf("keep %d %s", c.N, c.ID))
	}
	return strings.Join(out, "; ")
}

// Small rebuilds, judged by hand.
func TestByHand(t *testing.T) {
	go22 := "go: {part: push-22mm, at: [50, 50], legend: GO}"
	for name, c := range map[string]struct {
		old, new Side
		want     string
	}{
		"renamed in its hole": {panelOf("", go22), panelOf("", "run: {part: push-22mm, at: [50, 50], legend: RUN}"), "stays RUN"},
		"moved away, a plug closes the hole": {panelOf("", go22), panelOf("", "go: {part: push-22mm, at: [120, 50], legend: GO}"),
			"moves GO; plugged hole of GO; drill 22.3 for GO; buy 1 plug-22mm"},
		"a larger button in the same hole": {panelOf("", go22), panelOf("", "go: {part: push-30mm, at: [50, 50], legend: GO}"),
			"comes GO; goes GO; opened hole of GO; drill 30.5 for GO; buy 1 push-30mm; keep 1 push-22mm"},
		"moved by half its hole": {panelOf("", go22), panelOf("", "go: {part: push-22mm, at: [61, 50], legend: GO}"),
			"moves GO; spoiled hole of GO; drill 22.3 for GO; buy 1 Acrylic, 3 mm, 200 mm by 100 mm: the face"},
		"its lamp hole is under the new front": {panelOf("", "lit: {part: lamp-3mm, at: [50, 66], legend: LIT}"), panelOf("", "go: {part: toggle-std-guarded, at: [50, 50], legend: GO}"), ""},
		"two change places": {panelOf("", "a: {part: push-16mm, at: [40, 50], legend: A}", "b: {part: push-16mm, at: [90, 50], legend: B}"),
			panelOf("", "x: {part: push-16mm, at: [90, 50], legend: X}", "y: {part: push-16mm, at: [40, 50], legend: Y}"), "stays X; stays Y"},
		"another sheet": {panelOf("", go22), side(strings.Replace(fmt.Sprintf(head, ""), "200", "210", 1) + "  " + go22 + "\n"), "stays GO; drill 22.3 for GO; buy 1 Acrylic, 3 mm, 210 mm by 100 mm: the face"},
	} {
		r := Work(c.old, c.new, check)
		if c.want == "" {
			continue
		}
		if got := what(r); got != c.want {
			t.Errorf("%s:\n got %s\nwant %s", name, got, c.want)
		}
	}
}

// Nothing is lost or made: every part of both panels is told once; every old hole has a fate; what is bought and kept balances; and no
// other way of giving the parts out moves them less (tried by hand on all permutations).
func TestBalance(t *testing.T) {
	ids := []string{"push-16mm", "push-22mm", "toggle-mini-2", "pot-16mm"}
	rapid.Check(t, func(t *rapid.T) {
		draw := func(what string) (Side, [][3]float64) {
			n := rapid.IntRange(0, 6).Draw(t, what)
			var cs []string
			var at [][3]float64
			for i := range n {
				k := rapid.IntRange(0, len(ids)-1).Draw(t, "part")
				x, y := float64(rapid.IntRange(1, 6).Draw(t, "x"))*30, float64(rapid.IntRange(1, 2).Draw(t, "y"))*33
				cs = append(cs, fmt.Sprintf("%s%d: {part: %s, at: [%g, %g]}", what, i, ids[k], x, y))
				at = append(at, [3]float64{float64(k), x, y})
			}
			if n == 0 {
				return side(strings.TrimSuffix(fmt.Sprintf(head, ""), "controls:\n")), nil
			}
			return panelOf("", cs...), at
		}
		a, aAt := draw("a")
		b, bAt := draw("b")
		r := Work(a, b, nil)
		n := map[string]int{}
		far := 0.0
		for _, p := range r.Parts {
			n[p.What]++
			if p.What == "moves" {
				far += p.Far
			}
		}
		if n["stays"]+n["moves"]+n["comes"] != len(bAt) || n["stays"]+n["moves"]+n["goes"] != len(aAt) {
			t.Fatalf("%v of %d old and %d new", n, len(aAt), len(bAt))
		}
		bought := map[string]int{}
		for _, c := range r.Buy {
			bought[c.ID] += c.N
		}
		for _, c := range r.Keep {
			bought[c.ID] -= c.N
		}
		for k, id := range ids {
			want := 0
			for _, x := range bAt {
				if int(x[0]) == k {
					want++
				}
			}
			for _, x := range aAt {
				if int(x[0]) == k {
					want--
				}
			}
			if bought[id] != want {
				t.Fatalf("%s: bought less kept %d, want %d", id, bought[id], want)
			}
		}
		if best := leastMoves(aAt, bAt); far > best+1e-6+5*float64(len(bAt)) {
			t.Fatalf("parts are moved %.1f mm, %.1f would do", far, best)
		}
	})
}

// leastMoves tries all ways to give old parts to new places of the same kind, as many as possible.
func leastMoves(a, b [][3]float64) float64 {
	used := make([]bool, len(a))
	bestN, best := -1, math.Inf(1)
	var rec func(i, n int, far float64)
	rec = func(i, n int, far float64) {
		if i == len(b) {
			if n > bestN || n == bestN && far < best {
				bestN, best = n, far
			}
			return
		}
		for j := range a {
			if !used[j] && a[j][0] == b[i][0] {
				used[j] = true
				rec(i+1, n+1, far+math.Hypot(a[j][1]-b[i][1], a[j][2]-b[i][2]))
				used[j] = false
			}
		}
		rec(i+1, n, far)
	}
	rec(0, 0, 0)
	return best
}

// An old hole close to a new one is told, with the check that the panel itself is judged by.
func TestLeftOverHoleDoesHarm(t *testing.T) {
	r := Work(panelOf("", "a: {part: push-16mm, at: [60, 50], legend: A}"), panelOf("", "a: {part: push-16mm, at: [77.5, 50], legend: A}"), check)
	if len(r.Findings) == 0 || !strings.Contains(r.Findings[0].Head, "the old hole of A") {
		t.Errorf("%+v", r.Findings)
	}
	r = Work(panelOf("", "a: {part: push-16mm, at: [60, 50], legend: A}"), panelOf("", "a: {part: push-16mm, at: [120, 50], legend: A}"), check)
	if len(r.Findings) != 0 {
		t.Errorf("%+v", r.Findings)
	}
}

// As-built facts go over where their part stays.
func TestFacts(t *testing.T) {
	old := panelOf("", "a: {part: push-16mm, at: [60, 50], legend: A}", "b: {part: push-16mm, at: [100, 50], legend: B}")
	fact := func(id, of string) record.Fact {
		return record.Fact{ID: id, Kind: "hole", What: of + " sits low.", Of: []string{of}, Edits: []finding.Edit{{Op: finding.Set, Path: "controls." + of + ".note", Value: "low"}}}
	}
	old.Record = &record.Record{Facts: []record.Fact{fact("f1", "a"), fact("f2", "b"), {ID: "f3", What: "was", Past: true}}}
	now := panelOf("", "a: {part: push-16mm, at: [60, 50], legend: A}", "b: {part: push-16mm, at: [140, 50], legend: B}")
	r := Work(old, now, nil)
	if len(r.Carried) != 3 || !r.Carried[0].Kept || r.Carried[1].Kept || r.Carried[2].Kept {
		t.Fatalf("%+v", r.Carried)
	}
	m := r.Merged(record.Record{Facts: []record.Fact{{ID: "f1", What: "its own"}}})
	if len(m.Facts) != 2 || m.Facts[1].ID != "f2" || m.Facts[1].What != "a sits low." {
		t.Errorf("%+v", m.Facts)
	}
	if again := r.Merged(m); len(again.Facts) != 2 {
		t.Errorf("merged twice: %+v", again.Facts)
	}
}

// What happened to the old panel holds for the new one too where it was not redesigned: a hole beside its mark is used where it is, and a panel that was
// built otherwise than drawn is the same as itself.
func TestFactsAreLaidOver(t *testing.T) {
	go22, bell := "go: {part: push-22mm, at: [50, 50], legend: GO}", "bell: {part: push-16mm, at: [150, 50], legend: BELL}"
	built := func(design Side, off string) Side {
		f := record.Fact{ID: "f1", Kind: "hole", What: "The hole of GO is off.", Of: []string{"go"}, Edits: []finding.Edit{{Op: finding.Set, Path: "controls.go.at", Value: off}}}
		src, err := design.Doc.Apply(f.Edits)
		if err != nil {
			t.Fatal(err)
		}
		s := side(string(src))
		s.Record, s.Design = &record.Record{Facts: []record.Fact{f, {ID: "f2", Kind: "rescue", What: "Left.", Of: []string{"go"}}}}, design.Result.Panel
		return s
	}
	run := func(s Side) Side { s.Run = check; return s }
	old := built(panelOf("", go22, bell), "[51.5, 50]")
	if r := Work(old, run(panelOf("", go22, bell)), check); !r.Same || !r.Carried[0].Kept || !r.Carried[1].Kept || r.Becomes.Panel.Controls[0].At.X != 51.5 {
		t.Errorf("with itself: %s, %+v", what(r), r.Carried)
	}
	r := Work(old, run(panelOf("", go22, bell, "dim: {part: pot-16mm, at: [100, 50], legend: DIM}")), check)
	if !r.Sheet.Again || !strings.HasPrefix(what(r), "stays GO; stays BELL; comes DIM; drill") {
		t.Errorf("with one more: %s %s", r.Sheet.Say, what(r))
	}
	// where another new hole spoils the sheet, the holes of the new one are where they should be
	r = Work(old, run(panelOf("", go22, "bell: {part: push-16mm, at: [158, 50], legend: BELL}")), check)
	if r.Sheet.Again || r.Carried[0].Kept || r.Carried[1].Kept || r.Becomes.Panel.Controls[0].At.X != 50 {
		t.Errorf("a new sheet: %s, %+v", what(r), r.Carried)
	}
	// a part that is designed to be elsewhere takes no facts along
	if r = Work(old, run(panelOf("", "go: {part: push-22mm, at: [50, 30], legend: GO}", bell)), check); r.Carried[0].Kept {
		t.Errorf("redesigned: %+v", r.Carried)
	}
}

// A slot is as long as it is: a hole of 3 mm would be another.
func TestSizesInWords(t *testing.T) {
	warm := "warm: {part: slide-pot-60mm, at: [%d, 50], legend: WARM}"
	r := Work(panelOf("", fmt.Sprintf(warm, 60)), panelOf("", fmt.Sprintf(warm, 120)), check)
	if d := r.Drill[0]; d.Is != "3 mm by 66 mm" || r.Holes[0].Is != "3 mm by 66 mm" {
		t.Errorf("%+v %+v", d, r.Holes[0])
	}
}

// A wire that is a little short stays: it gives up a part of its reserve, no more.
func TestShortWires(t *testing.T) {
	var a, b Side
	for _, x := range []struct {
		to *Side
		at int
	}{{&a, 60}, {&b, 66}} {
		*x.to = panelOf("", fmt.Sprintf("go: {part: push-16mm, at: [%d, 50], legend: GO}", x.at), "bell: {part: push-16mm, at: [150, 50], legend: BELL}")
		x.to.Result = job.Run(x.to.Doc, catalog.Builtin())
	}
	r := Work(a, b, check)
	for _, x := range r.Wires {
		for _, y := range a.Result.Harness.Wires {
			if x.Was != y.ID || y.Length > x.Length-0.5 {
				continue
			}
			for _, z := range b.Result.Harness.Wires {
				if z.ID == x.ID && z.Length-y.Length > (z.Length-z.Run)*0.2 {
					t.Errorf("%s lacks %.0f mm, of a reserve of %.0f", x.ID, z.Length-y.Length, z.Length-z.Run)
				}
			}
		}
		if strings.Contains(x.From+x.To, "module") != strings.Contains(x.From+x.To, "of the module") {
			t.Errorf("%s to %s is no name of a place", x.From, x.To)
		}
	}
}

// Holes in other boards of the box have their fates too.
func TestHolesInBoards(t *testing.T) {
	box := func(lead string) Side {
		return side("knobwright: 1\ntitle: t\nunits: mm\nface: {width: 240, height: 140, sheet: acrylic-3mm}\nbox: {form: flat, depth: 60, walls: birch-ply-9mm}\ncontrols:\n  go: {part: push-22mm, at: [60, 60], legend: GO}\n" + lead)
	}
	at := func(x int) Side {
		return box(fmt.Sprintf("  lead: {part: usb-c-16mm, at: [%d, 30], on: back, legend: \"\"}\n", x))
	}
	r := Work(at(60), at(120), check)
	if !r.Sheet.Again || len(r.Drill) != 1 || r.Drill[0].On != "back" || r.Drill[0].At.X != 120 {
		t.Errorf("moved: %+v", r.Drill)
	}
	fate := ""
	for _, h := range r.Holes {
		if h.On == "back" {
			fate = h.What
		}
	}
	if fate != "plugged" {
		t.Errorf("the old hole in the back is %q", fate)
	}
	if r = Work(at(60), at(60), check); !r.Same {
		t.Errorf("with itself: %+v", r)
	}
	if r = Work(at(60), at(66), check); !strings.Contains(what(r), "spoiled hole of LEAD") || !r.Sheet.Again {
		t.Errorf("spoiled in the back: %s %s", r.Sheet.Say, what(r))
	}
	if r = Work(at(60), box(""), check); len(r.Drill) != 0 || !strings.Contains(what(r), "plugged hole of LEAD") {
		t.Errorf("gone: %s", what(r))
	}
	if r = Work(box(""), at(60), check); len(r.Drill) != 1 || r.Drill[0].On != "back" {
		t.Errorf("comes: %+v", r.Drill)
	}
}

// The overlay can be drawn of whatever is compared.
func TestOverlay(t *testing.T) {
	names := examples.Names()
	for i := range names {
		a, b := side(string(examples.File(names[i]))), side(string(examples.File(names[(i+1)%len(names)])))
		r := Work(a, b, nil)
		if _, err := drawing.SVG(r.Overlay(a.Result.Panel, b.Result.Panel)); err != nil {
			t.Errorf("%s: %v", names[i], err)
		}
	}
}
