package packet

import (
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

const wiredDesk = `knobwright: 1
title: Bench
face: {width: 300, height: 200, sheet: aluminium-2mm}
box: {form: flat, depth: 70, walls: birch-ply-9mm}
module: {part: rp2040-24pin, at: [250, 30]}
wiring: {by: matrix, matrix: {rows: 2, columns: 3}}
controls:
  mood: {part: rotary-6way, at: [260, 150], via: ladder}
  house: {part: pot-16mm, at: [210, 150]}
  ready: {part: lamp-5mm-holder, at: [260, 100]}
groups:
  keys: {part: push-12mm, grid: {from: [30, 160], step: [35, 35], columns: 3, rows: 2}, names: "key-{row}-{column}"}
`

// wired runs a file and gives what the drawings need.
func wired(t testing.TB, src string) (*job.Result, desk, namer) {
	t.Helper()
	r := job.Run(project.Read("bench.yaml", []byte(src)), catalog.Builtin())
	if len(r.Harness.Wires) == 0 {
		t.Fatal("nothing is wired")
	}
	return r, newDesk(r, []byte(src)), newNamer(r)
}

// Every line of the continuity list is printed once, with the voltage that the diode test is to show; pins side by side are tried when the
// leads are on the boards, all else before.
func TestContinuityList(t *testing.T) {
	r, _, n := wired(t, wiredDesk)
	for i, x := range r.Harness.Rings {
		in := 0
		for _, p := range ringParts {
			if p.keep(x) {
				in++
				if last := p.head == ringParts[len(ringParts)-1].head; last != (x.Kind == "neighbour") {
					t.Errorf("%s stands under %q", x.Kind, p.head)
				}
				if strings.HasSuffix(p.head, "nothing touched") && x.Do != "" {
					t.Errorf("%q stands under %q", x.Do, p.head)
				}
			}
		}
		if in != 1 {
			t.Errorf("line %d stands in %d parts: %+v", i, in, x)
		}
		if x.Volts[1] > 0 && !strings.HasSuffix(ringWords(x), " V") {
			t.Errorf("%q for %v V", ringWords(x), x.Volts)
		}
	}
	rows := ringRows(r, n)
	if len(rows) != len(r.Harness.Rings)+1 {
		t.Errorf("%d rows for %d lines", len(rows), len(r.Harness.Rings))
	}
	diodes := 0
	for _, x := range rows[1:] {
		if x[9] != "" {
			diodes++
		}
	}
	if diodes < 7 { // six keys and a lamp
		t.Errorf("%d rows with what the diode test shows", diodes)
	}
}

// The schematic shows every lead, every small part and every line once, and a crossing with its diode on the lug where the list of small
// parts puts it: the stripe to the row, so the common lug lies on the column.
func TestSchematic(t *testing.T) {
	for _, stripes := range []string{"to-row", "to-column"} {
		r, d, n := wired(t, strings.Replace(wiredDesk, "columns: 3}}", "columns: 3, diodes: "+stripes+"}}", 1))
		var all []string
		for _, p := range schematic(r, d, n) {
			all = append(all, texts(p.Items)...)
		}
		text := "\n" + strings.Join(all, "\n") + "\n"
		for _, s := range r.Wiring.Signals {
			if s.Kind == "ladder" || s.Kind == "contact" && strings.HasPrefix(s.Name, "mood/") {
				continue // drawn whole, its lugs named
			}
			if !strings.Contains(text, "\n"+s.Label+"\n") && !(s.Kind == "row" && strings.Contains(text, "\n"+s.Label+", pin ")) {
				t.Errorf("%s is not in the schematic", s.Label)
			}
		}
		for _, f := range r.Wiring.Fittings {
			if got := strings.Count(text+" ", f.Name+"\n") + strings.Count(text, "\n"+f.Name+" "); got != 1 {
				t.Errorf("%s stands %d times", f.Name, got)
			}
			if f.Kind != "diode" {
				continue
			}
			want := "c no  " + f.Name
			if stripes == "to-column" {
				want = f.Name + "  no c"
			}
			if f.At.Lug != "no" || !slices.Contains(all, want) {
				t.Errorf("%s at %v is not drawn as %q", f.Name, f.At, want)
			}
		}
		if strings.Contains(text, "waits") || strings.Contains(text, "nothing") {
			t.Error("something is joined to nothing")
		}
	}
}

// The book follows every wire on one page, with a number of its own there, and needs no more than 25 pages for 150 controls.
func TestWiringBookPages(t *testing.T) {
	r := result(t, thorough.Of("signal-desk", "cue-desk"))
	d := newDesk(r, nil)
	bounds := r.Panel.Face.Outline.Bounds().Grow(2)
	most := d.hopsFit(bounds)
	seen := map[int]int{}
	for _, g := range paged(wireGroups(r, most), most) {
		if len(g.hops) > most || len(g.hops) != len(g.parts) {
			t.Errorf("%s follows %d wires, %d fit", g.name, len(g.hops), most)
		}
		for i, h := range g.hops {
			seen[h.Wire]++
			if h.N != i+1 {
				t.Errorf("%s: number %d at place %d", g.name, h.N, i+1)
			}
		}
	}
	for i := range r.Harness.Wires {
		if seen[i] != 1 {
			t.Errorf("%s is followed %d times", r.Harness.Wires[i].ID, seen[i])
		}
	}
	if n := len(wiringBook(r, d, newNamer(r), groupScenes(r, d)).Pages); n > 25 {
		t.Errorf("%d pages", n)
	}
}

// Nothing in the lists of the wiring book is cut short where names are no longer than those of the examples.
func TestWiringBookNothingCut(t *testing.T) {
	for _, name := range []string{"cue-desk", "first-panel"} {
		r := result(t, name)
		d := newDesk(r, nil)
		n := newNamer(r)
		for _, p := range boardPages(r, d, n) {
			for _, s := range texts(p.Items) {
				if strings.HasSuffix(s, "…") {
					t.Errorf("%s: %q is cut short", name, s)
				}
			}
		}
		for _, g := range groupScenes(r, d) {
			all := texts(groupPage(r, d, n, g).Items)
			for _, s := range all {
				if strings.HasSuffix(s, "…") || strings.HasSuffix(s, "...") {
					t.Errorf("%s, %s: %q is cut short", name, g.name, s)
				}
			}
			for _, h := range g.hops {
				if x := r.Harness.Wires[h.Wire]; !slices.Contains(all, x.ID) {
					t.Errorf("%s, %s: %s is not listed", name, g.name, x.ID)
				}
			}
		}
	}
}
