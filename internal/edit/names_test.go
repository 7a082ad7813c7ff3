package edit

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

// A file in which controls are named in every way that there is.
const named = `knobwright: 1
title: All that names
face: {width: 300, height: 180, sheet: acrylic-3mm}
box: {form: flat, depth: 60, walls: birch-ply-9mm}
module: {part: rp2040-40pin, at: [150, 90]}
controls:
  only: {part: push-22mm-lit, at: [40, 50], sends: {press: button 1, lamp: follows b}}
  b: {part: toggle-mini-2, at: [90, 50]}
  l1: {part: lamp-5mm-holder, at: [120, 50], sends: {lamp: flips only}}
  l2: {part: lamp-5mm-holder, at: [140, 50], sends: "follows   b"}
  l3: {part: lamp-5mm-holder, at: [160, 50], sends: follows b}   # of b
  img: {part: push-16mm, at: [40, 130]}
groups:
  row:
    part: push-12mm
    row: {from: [80, 120], step: 25}
    controls:
      a:
      c: {shift: [0, 3]}
  block:
    part: lamp-5mm-holder
    row: {from: [80, 150], step: 25}
    controls:
      la: {sends: follows a}
      lc: {sends: follows c}
  loose:
    part: lamp-3mm-holder
    controls:
      q1: {at: [20, 20]}
      q2: {at: [30, 20], sends: follows img}
  east:
    mirror: {of: [row, img], at: 150}
    controls:
      img-m: {legend: IMG2}
  again:
    copy: {of: [img-m], by: [0, -30]}
wiring:
  boards:
    more: {part: io-expander-16}
  pins: {only: GP3, b: GP4}
  matrix:
    of: [a, c]
    not:
      - only
numbers:
  only: 3
keep:
  - {rule: reach.neighbours, of: [a], why: it is fine}
`

// broken gives what a check finds in a text about words and names that it did not find before.
func broken(before *job.Result, src []byte) (out []string) {
	was := map[string]bool{}
	for _, f := range before.Findings {
		was[f.Rule+f.Head] = true
	}
	for _, f := range job.Check(project.Read("x.yaml", src), catalog.Builtin()).Findings {
		for _, p := range []string{"file.", "place.", "send.", "wire.same-name"} {
			if f.Severity != finding.Note && strings.HasPrefix(f.Rule, p) && !was[f.Rule+f.Head] {
				out = append(out, f.Rule+": "+f.Head)
			}
		}
	}
	return out
}

// Whatever control is taken out or renamed, no name of one that is not there stays behind.
func TestNoNameStaysBehind(t *testing.T) {
	texts := map[string]string{"named": named}
	paths, _ := filepath.Glob("../../examples/*.yaml")
	for _, p := range paths {
		if !thorough.Is() && !strings.Contains(p, "cue-desk") { // the others take some seconds
			continue
		}
		src, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		texts[filepath.Base(p)] = string(src)
	}
	for file, src := range texts {
		d := project.Read(file, []byte(src))
		r := job.Check(d, catalog.Builtin())
		did := map[string]int{}
		for _, s := range r.Panel.Sheets() {
			for _, c := range s.Controls {
				for _, a := range []Act{{Do: "remove", Names: []string{c.Name}}, {Do: "rename", Names: []string{c.Name}, Name: "zz-" + c.Name}} {
					done, err := Make(d, r.Panel, catalog.Builtin(), a)
					if err != nil {
						if s := err.Error(); !strings.Contains(s, "is made by the group") && !strings.Contains(s, "counts its") {
							t.Errorf("%s: %s %s: %v", file, a.Do, c.Name, err)
						}
						continue
					}
					did[a.Do]++
					out, err := d.Apply(done.Edits)
					if err != nil {
						t.Errorf("%s: %s %s: %v", file, a.Do, c.Name, err)
						continue
					}
					for _, s := range broken(r, out) {
						t.Errorf("%s: %s %s leaves %s", file, a.Do, c.Name, s)
					}
				}
			}
		}
		if did["remove"] < 2 || did["rename"] < 2 {
			t.Errorf("%s: only %v was done", file, did)
		}
	}
}

// What a lamp went by is taken out with its control, and told.
func TestLampsOfWhatIsGone(t *testing.T) {
	out, _, d := do(t, named, Act{Do: "remove", Names: []string{"b"}})
	if strings.Contains(out, "follows b") || strings.Contains(out, "follows   b") || !strings.Contains(out, "sends: {press: button 1}}") || !strings.Contains(out, "l3: {part: lamp-5mm-holder, at: [160, 50]}   # of b") {
		t.Error(out)
	}
	if d.Note != "ONLY, L2 and L3 went by what is gone: write what they show now." {
		t.Error(d.Note)
	}
	out, _, d = do(t, named, Act{Do: "remove", Names: []string{"a", "la"}})
	if strings.Contains(out, "follows a\n") || strings.Contains(d.Note, "went by") { // the lamp is taken out too
		t.Error(d.Note, out)
	}
	// images go with their pattern, and what was made of them too
	out, _, _ = do(t, named, Act{Do: "remove", Names: []string{"img"}})
	if strings.Contains(out, "img") || strings.Contains(out, "again:") || !strings.Contains(out, "mirror: {of: [row], at: 150}") {
		t.Error(out)
	}
}

// Names that mean something else in the file, or that a circuit board bears, are refused.
func TestNamesThatMeanSomethingElse(t *testing.T) {
	d, p := placed(t, named)
	r := job.Check(d, catalog.Builtin())
	for _, name := range []string{"-", "null", "Null", "true", "itself", "none", "module", "MORE", "-x", "row", "a b", "a.b", "<script>", "=cmd()", ""} {
		if _, err := Make(d, p, catalog.Builtin(), Act{Do: "rename", Names: []string{"b"}, Name: name}); err == nil {
			t.Errorf("%q was taken", name)
		}
	}
	for _, name := range []string{"y", "on", "12", "1e3", "0x1F", "_", "x-", "été"} {
		for _, who := range []string{"b", "img", "only", "a"} {
			done, err := Make(d, p, catalog.Builtin(), Act{Do: "rename", Names: []string{who}, Name: name})
			if err != nil {
				t.Errorf("%s to %q: %v", who, name, err)
				continue
			}
			out, err := d.Apply(done.Edits)
			if err != nil {
				t.Errorf("%s to %q: %v", who, name, err)
				continue
			}
			for _, s := range broken(r, out) {
				t.Errorf("%s to %q: %s", who, name, s)
			}
		}
	}
}
