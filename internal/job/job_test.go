package job

import (
	"fmt"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
)

func run(t testing.TB, text string) *Result {
	t.Helper()
	return Run(project.Read("test.yaml", []byte(text)), catalog.Builtin())
}

// ran is the result of an example, made once for all tests that only read it.
func ran(name string) *Result {
	exampleRuns.Lock()
	defer exampleRuns.Unlock()
	if exampleRuns.of[name] == nil {
		exampleRuns.of[name] = Run(project.Read(name, examples.File(name)), catalog.Builtin())
	}
	return exampleRuns.of[name]
}

var exampleRuns = struct {
	sync.Mutex
	of map[string]*Result
}{of: map[string]*Result{}}

func withRule(fs []finding.Finding, rule string) []finding.Finding {
	var out []finding.Finding
	for _, f := range fs {
		if f.Rule == rule {
			out = append(out, f)
		}
	}
	return out
}

func list(fs []finding.Finding) string {
	var s []string
	for _, f := range fs {
		s = append(s, f.Severity.String()+" "+f.Rule+": "+f.Head)
	}
	return strings.Join(s, "\n")
}

// judged looks at a file without what takes long.
func judged(src string) *Result {
	return Check(project.Read("test.yaml", []byte(src)), catalog.Builtin())
}

// fully looks at a file with what takes long too, where this run is to look at everything or the file is one of the smaller examples.
func fully(t testing.TB, name, src string) *Result {
	t.Helper()
	switch whole := slices.Contains(examples.Names(), name); {
	case whole && (thorough.Is() || name != "signal-desk"):
		return ran(name)
	case whole || !thorough.Is():
		return judged(src)
	}
	return run(t, src)
}

func TestRulesAreOneCatalogue(t *testing.T) {
	rules := Rules()
	if len(rules) < 40 {
		t.Errorf("only %d rules", len(rules))
	}
	for i, r := range rules {
		if i > 0 && r.Name <= rules[i-1].Name {
			t.Errorf("%s and %s: twice, or not sorted", rules[i-1].Name, r.Name)
		}
		head, tail, ok := strings.Cut(r.Name, ".")
		if !ok || tail == "" || !slices.Contains([]string{"file", "catalog", "place", "fit", "reach", "sheet", "legend", "drill", "box", "wire", "harness", "safety", "volt", "amp", "lamp", "bus", "analog", "encoder", "send", "usb", "press", "steps", "cost"}, head) {
			t.Errorf("%q is not a name of a rule", r.Name)
		}
		if r.Title == "" || len(r.Explain) < 40 {
			t.Errorf("%s is not explained", r.Name)
		}
	}
	byName := map[string]finding.Limit{}
	for _, r := range rules {
		for _, l := range r.Limits {
			if was, ok := byName[l.Name]; ok && was != l {
				t.Errorf("limit %s has two meanings: %+v, %+v", l.Name, was, l)
			}
			byName[l.Name] = l
		}
	}
	limits := Limits()
	for i, l := range limits {
		if i > 0 && l.Name <= limits[i-1].Name {
			t.Errorf("%s and %s: twice, or not sorted", limits[i-1].Name, l.Name)
		}
		if l.Means == "" || l.Source.Provenance == "" || l.Source.Text == "" || !slices.Contains([]string{"mm", "deg", "min of arc", "x", "N", "rpm", ""}, l.Unit) {
			t.Errorf("%+v", l)
		}
		if was, ok := byName[l.Name]; ok && was != l {
			t.Errorf("limit %s has two meanings", l.Name)
		}
	}
	for name := range byName {
		if !slices.ContainsFunc(limits, func(l finding.Limit) bool { return l.Name == name }) {
			t.Errorf("limit %s is not listed", name)
		}
	}
}

var step = regexp.MustCompile(`step: [0-9]+`)

// files are the examples, and what is left of them when lines are taken away: files as they are while they are written.
func files() map[string]string {
	m := map[string]string{"empty": "", "not yaml": "face: {width: [", "a list": "- 1\n- 2\n", "only a control": "knobwright: 1\ncontrols: {a: {part: push-16mm, at: [30, 30]}}\n"}
	for _, name := range examples.Names() {
		text := string(examples.File(name))
		m[name] = text
		if name != "cue-desk" && name != "lantern-desk" && !thorough.Is() {
			continue
		}
		lines := strings.Split(text, "\n")
		for _, n := range []int{len(lines) / 3, len(lines) / 2, len(lines) * 3 / 4} {
			m[name+" cut short at "+lines[n]] = strings.Join(lines[:n], "\n")
		}
		for _, word := range []string{"sheet: ", "depth: ", "width: ", "part: ", "at: ", "walls: "} {
			var kept []string
			for _, l := range lines {
				if !strings.HasPrefix(strings.TrimSpace(l), word) {
					kept = append(kept, l)
				}
			}
			m[name+" without "+word] = strings.Join(kept, "\n")
		}
		m[name+" drawn together"] = step.ReplaceAllString(text, "step: 17") // rows in which everything meets its neighbour
	}
	return m
}

func TestEveryFindingHasItsRule(t *testing.T) {
	known := map[string]bool{}
	for _, r := range Rules() {
		known[r.Name] = true
	}
	all := files()
	names := make([]string, 0, len(all))
	for n := range all {
		names = append(names, n)
	}
	slices.Sort(names)
	total := 0
	for _, name := range names {
		r := fully(t, name, all[name])
		if r.Panel == nil {
			t.Fatalf("%s: no panel", name)
		}
		total += len(r.Findings)
		for i, f := range r.Findings {
			if !known[f.Rule] {
				t.Errorf("%s: no rule %q for %q", name, f.Rule, f.Head)
			}
			if f.Head == "" || len(f.Ends) == 0 {
				t.Errorf("%s: %s says nothing, or of nothing: %+v", name, f.Rule, f)
			}
			if i > 0 && f.Kept == "" && f.Severity > r.Findings[i-1].Severity {
				t.Errorf("%s: %s stands behind a milder one", name, f.Rule)
			}
			if m := f.Measure; m != nil && (m.Have != m.Have || m.Want != m.Want) {
				t.Errorf("%s: %s measures %+v", name, f.Rule, m)
			}
		}
		one, two := judged(all[name]), judged(all[name]) // presses are told twice in their own trade's tests
		if !reflect.DeepEqual(one.Findings, two.Findings) || !reflect.DeepEqual(one.Panel.Assumed, two.Panel.Assumed) {
			t.Errorf("%s: looked at twice, two results", name)
		}
	}
	if total < 50 {
		t.Errorf("only %d findings over all files", total)
	}
}

// Whatever fix is offered can be written into the file, and the file can still be read.
func TestFixesCanBeApplied(t *testing.T) {
	n := 0
	for name, text := range files() {
		doc := project.Read("test.yaml", []byte(text))
		r := Check(doc, catalog.Builtin())
		for _, f := range r.Findings {
			for _, fix := range f.Fixes {
				n++
				if fix.Say == "" || fix.Short == "" || len(fix.Edits) == 0 {
					t.Errorf("%s: %s: %+v", name, f.Rule, fix)
				}
				src, err := doc.Apply(fix.Edits)
				if err != nil {
					t.Errorf("%s: %s: %s: %v", name, f.Head, fix.Say, err)
					continue
				}
				if after := project.Read("test.yaml", src); len(after.Findings) > len(doc.Findings) {
					t.Errorf("%s: %s: after %q the reader says %s", name, f.Head, fix.Say, list(after.Findings))
				}
			}
		}
	}
	if n < 10 {
		t.Errorf("only %d fixes", n)
	}
}

func TestExamplesHaveNoStops(t *testing.T) {
	for _, name := range examples.Names() {
		r := fully(t, name, string(examples.File(name)))
		if stops, _, _ := finding.Count(r.Findings); stops > 0 {
			t.Errorf("%s:\n%s", name, list(r.Findings[:stops]))
		}
		if len(r.Face.Fits) != len(r.Panel.Controls) || len(r.Drilling.Holes) == 0 {
			t.Errorf("%s: %d fits, %d controls, %d holes", name, len(r.Face.Fits), len(r.Panel.Controls), len(r.Drilling.Holes))
		}
	}
}

const small = `knobwright: 1
face: {width: 200, height: 100, sheet: acrylic-3mm}
controls:
  a: {part: push-16mm, at: [50, 50], legend: {text: TINY, cap: 1.9}}
  b: {part: push-16mm, at: [150, 50], legend: {text: SMALL, cap: 1.9}}
`

func TestOwnLimits(t *testing.T) {
	if fs := withRule(run(t, small).Findings, "legend.size"); len(fs) == 0 {
		t.Fatal("letters of 1.9 mm at 500 mm pass: this test tests nothing")
	}
	if fs := withRule(run(t, small+"limits: {legend.arc: 8}\n").Findings, "legend.size"); len(fs) != 0 {
		t.Errorf("a limit of one's own is not in force: %s", list(fs))
	}
	// a unit that cannot be: the usual number stays in force
	r := run(t, small+"limits: {legend.arc: 8 mm}\n")
	if fs := withRule(r.Findings, "file.bad-limit"); len(fs) != 1 || fs[0].Severity != finding.Stop || fs[0].Pos().Line != 6 {
		t.Errorf("%s", list(r.Findings))
	}
	if len(withRule(r.Findings, "legend.size")) == 0 {
		t.Error("the refused limit is in force")
	}
	r = run(t, small+"limits: {legend.arc: -8}\n")
	if len(withRule(r.Findings, "file.bad-limit")) != 1 || len(withRule(r.Findings, "legend.size")) == 0 {
		t.Errorf("%s", list(r.Findings))
	}
	// a name that no rule knows, and the fix that mends it
	src := small + "limits: {legend.arch: 8}\n"
	r = run(t, src)
	fs := withRule(r.Findings, "file.unknown-limit")
	if len(fs) != 1 || fs[0].Pos().Line != 6 || len(fs[0].Fixes) != 1 {
		t.Fatalf("%s", list(r.Findings))
	}
	mended, err := project.Read("test.yaml", []byte(src)).Apply(fs[0].Fixes[0].Edits)
	if err != nil {
		t.Fatal(err)
	}
	if r = run(t, string(mended)); len(withRule(r.Findings, "file.unknown-limit"))+len(withRule(r.Findings, "legend.size")) != 0 {
		t.Errorf("%s\n%s", mended, list(r.Findings))
	}
	// own limits are not on trust, the others are
	for _, a := range run(t, small+"limits: {legend.arc: 8}\n").Panel.Assumed {
		if strings.HasPrefix(a.What, "limit legend.arc:") {
			t.Errorf("%+v", a)
		}
	}
	if as := run(t, small).Panel.Assumed; !slices.ContainsFunc(as, func(a panel.Assumed) bool { return strings.HasPrefix(a.What, "limit fit.body-gap: 2 mm") }) {
		t.Error("limits taken on trust are not listed")
	}
}

func TestKeep(t *testing.T) {
	r := run(t, small+"keep: [{rule: legend.size, why: engraved by hand}]\n")
	fs := withRule(r.Findings, "legend.size")
	if len(fs) == 0 || len(withRule(r.Findings, "file.keep-unused")) != 0 {
		t.Fatalf("%s", list(r.Findings))
	}
	for i, f := range fs {
		if f.Kept != "engraved by hand" {
			t.Errorf("%d: kept for %q", i, f.Kept)
		}
	}
	if last := r.Findings[len(r.Findings)-1]; last.Kept == "" {
		t.Errorf("kept findings do not come last: %s", list(r.Findings))
	}
	// one of two by name; matching is by legend, by name in the file and by path
	for _, name := range []string{"TINY", "a", "controls.a.legend", "tiny"} {
		r = run(t, small+"keep: [{rule: legend.size, of: ["+name+"], why: w}]\n")
		kept, left := "", ""
		for _, f := range withRule(r.Findings, "legend.size") {
			if f.Kept != "" {
				kept += f.Head
			} else {
				left += f.Head
			}
		}
		if !strings.Contains(kept, "TINY") || strings.Contains(kept, "SMALL") || !strings.Contains(left, "SMALL") {
			t.Errorf("%s: kept %q, left %q", name, kept, left)
		}
	}
	// a keep of nothing
	r = run(t, small+"keep: [{rule: reach.neighbours, of: [TINY], why: w}]\n")
	if fs := withRule(r.Findings, "file.keep-unused"); len(fs) != 1 || fs[0].Severity != finding.Note || fs[0].Pos().Line != 6 || len(fs[0].Fixes) != 1 {
		t.Errorf("%s", list(r.Findings))
	}
	// a rule that is none
	r = run(t, small+"keep: [{rule: legend.siz, why: w}]\n")
	if fs := withRule(r.Findings, "file.keep-unused"); len(fs) != 1 || !strings.Contains(fs[0].Body, "legend.size") {
		t.Errorf("%s", list(r.Findings))
	}
}

func TestAStopCannotBeKept(t *testing.T) {
	src := strings.Replace(small, "text: TINY", "text: EMERGENCY STOP", 1)
	r := run(t, src+"keep: [{rule: safety.emergency-stop, why: I know}]\n")
	fs := withRule(r.Findings, "safety.emergency-stop")
	if len(fs) != 1 || fs[0].Kept != "" {
		t.Errorf("%s", list(r.Findings))
	}
	if fs := withRule(r.Findings, "file.keep-stop"); len(fs) != 1 || fs[0].Severity != finding.Note || fs[0].Pos().Line != 6 || len(fs[0].Ends) < 2 {
		t.Errorf("%s", list(r.Findings))
	}
	if stops, _, _ := finding.Count(r.Findings); stops == 0 {
		t.Error("no stop is counted")
	}
}

func FuzzRun(f *testing.F) {
	for _, text := range files() {
		f.Add(text)
	}
	f.Add(small + "limits: {legend.arc: 8, fit.body-gap: 1e6}\nkeep: [{rule: legend.size, of: [TINY], why: w}]\n")
	f.Fuzz(func(t *testing.T, src string) {
		r := judged(src) // sheets under presses are shaken by their own trade's tests
		for _, x := range r.Findings {
			if x.Rule == "" || x.Head == "" {
				t.Errorf("%+v", x)
			}
		}
	})
}

// The plan gathers holes of one size into one finding: a keep for one of them must not hide the others.
func TestAKeepHidesNobodyElse(t *testing.T) {
	src := small + "tools: {bits: [{kind: twist, sizes: [3, 5, 10]}]}\n"
	r := run(t, src)
	rule := ""
	for _, f := range r.Findings {
		if strings.HasPrefix(f.Rule, "drill.") && f.Severity != finding.Stop && len(f.Ends) > 1 {
			rule = f.Rule
		}
	}
	if rule == "" {
		t.Fatalf("nothing is gathered: this test tests nothing\n%s", list(r.Findings))
	}
	src += "keep: [{rule: " + rule + ", of: [TINY], why: w}]\n"
	r = run(t, src)
	for _, f := range withRule(r.Findings, rule) {
		if f.Kept != "" && len(f.Ends) > 1 {
			t.Errorf("%s hides %s", f.Rule, f.Head)
		}
	}
	fs := withRule(r.Findings, "file.keep-unused")
	if len(fs) != 1 || len(fs[0].Fixes) != 1 {
		t.Fatalf("%s", list(r.Findings))
	}
	mended, err := project.Read("test.yaml", []byte(src)).Apply(fs[0].Fixes[0].Edits)
	if err != nil {
		t.Fatal(err)
	}
	r = run(t, string(mended))
	if len(withRule(r.Findings, "file.keep-unused")) != 0 || withRule(r.Findings, rule)[0].Kept != "w" {
		t.Errorf("%s\n%s", mended, list(r.Findings))
	}
}

// BenchmarkRun measures the whole way from a file that is read to its findings, over panels of well-spaced controls.
func BenchmarkRun(b *testing.B) {
	for _, n := range []int{100, 500, 2000} {
		var s strings.Builder
		s.WriteString("knobwright: 1\nface: {width: 2900, height: 2900, sheet: acrylic-3mm, covering: vinyl-film}\nbox: {depth: 80, walls: birch-ply-9mm}\ncontrols:\n")
		for i := range n {
			fmt.Fprintf(&s, "  c%d: {part: %s, at: [%d, %d]}\n", i, [...]string{"push-16mm", "toggle-mini-2", "pot-16mm", "lamp-5mm-holder"}[i%4], 40+60*(i%46), 40+60*(i/46))
		}
		doc := project.Read("many.yaml", []byte(s.String()))
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for range b.N {
				if r := Run(doc, catalog.Builtin()); len(r.Panel.Controls) != n {
					b.Fatalf("%d controls", len(r.Panel.Controls))
				}
			}
		})
	}
}
