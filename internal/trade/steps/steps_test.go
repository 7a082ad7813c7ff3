package steps_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/job"
	"knobwright/internal/project"
	"knobwright/internal/thorough"
	"knobwright/internal/trade/steps"
	"knobwright/internal/words"
)

// inputs gathers what the other trades decided.
func inputs(r *job.Result) steps.Inputs {
	in := steps.Inputs{Panel: r.Panel, Drilling: r.Drilling, Box: r.Box, Wiring: r.Wiring, Harness: r.Harness, Firmware: r.Firmware}
	for i, x := range r.Sides {
		in.Sides = append(in.Sides, steps.Side{On: r.Panel.Sides[i].On, Panel: x.Panel, Drilling: x.Drilling})
	}
	return in
}

// run makes the order of work of a panel file; presses and cutting plans, which take long, are left out.
func run(src string) *job.Result {
	r := job.Check(project.Read("x.yaml", []byte(src)), catalog.Builtin())
	r.Steps = steps.Work(inputs(r))
	return r
}

// A job holds the order of work, and its findings with all others.
func TestJob(t *testing.T) {
	src := face("box: {form: flat, depth: 60, walls: birch-ply-9mm}\nwork: {room: 5 °C}\n")
	r := job.Run(project.Read("x.yaml", []byte(src)), catalog.Builtin())
	hold(t, &r.Steps, 120, 300)
	if !slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.Rule == "steps.cold" }) {
		t.Error("the job does not say that it is cold")
	}
	if len(job.Check(project.Read("x.yaml", []byte(src)), catalog.Builtin()).Steps.Steps) != 0 {
		t.Error("a check orders the work")
	}
}

// hold holds an order of work against the constraints, with nothing of the solver: every step once, what comes before it done and dried, one
// thing at a time, only in the sessions that the file gives, and what must be done in one go in one go.
func hold(t *testing.T, r *steps.Result, evenings, weekend float64) {
	t.Helper()
	if len(r.Steps) == 0 {
		t.Fatal("no steps")
	}
	place := map[string]int{}
	for i, s := range r.Steps {
		if _, ok := place[s.ID]; ok {
			t.Errorf("%s stands twice", s.ID)
		}
		place[s.ID] = i
	}
	start, end, hands := map[string]float64{}, map[string]float64{}, map[string]float64{}
	parts := map[string]int{}
	last := 0.0
	worked := map[int]bool{}
	for _, b := range r.Bars {
		if b.To < b.From {
			t.Errorf("%s from %v to %v", b.Step, b.From, b.To)
		}
		if b.Waiting {
			continue
		}
		if b.From < last {
			t.Errorf("%s begins at %v, and the hands are busy until %v", b.Step, b.From, last)
		}
		last = b.To
		if _, ok := start[b.Step]; !ok {
			start[b.Step] = b.From
		}
		end[b.Step] = b.To
		hands[b.Step] += b.To - b.From
		parts[b.Step]++
		worked[b.Session] = true
		// The session, worked out from the week alone.
		_, day, clock := r.When(b.From)
		long := evenings
		if day >= 5 {
			long = weekend
		}
		if s := r.Sits[b.Session]; b.From < s.From || b.To > s.To || s.To-s.From > long+1e-9 {
			t.Errorf("%s at %v to %v lies outside its session %v of %v minutes", b.Step, b.From, b.To, s, long)
		}
		if day < 5 && (clock < 19*60-int(max(0, evenings-300))) || day >= 5 && clock < 10*60-int(max(0, weekend-14*60)) {
			t.Errorf("%s at %d:%02d on day %d of the week", b.Step, clock/60, clock%60, day)
		}
	}
	if len(worked) != r.Sessions || len(r.Sits) != r.Sessions {
		t.Errorf("%d sessions are worked in, %d said", len(worked), r.Sessions)
	}
	span, total := 0.0, 0.0
	for i, s := range r.Steps {
		if hands[s.ID] != s.Minutes {
			t.Errorf("%s: %v minutes of %v", s.ID, hands[s.ID], s.Minutes)
		}
		total += s.Minutes
		if s.OneGo && parts[s.ID] > 1 {
			t.Errorf("%s is left half done", s.ID)
		}
		for _, a := range s.After {
			k, ok := place[a.Step]
			if !ok {
				t.Errorf("%s comes after %s, which is not there", s.ID, a.Step)
				continue
			}
			wait := 0.0
			if a.Dry {
				w := r.Steps[k].Wait
				if w == nil {
					t.Errorf("%s waits for %s, which does not dry", s.ID, a.Step)
					continue
				}
				wait = w.Minutes
				if a.Least > 0 {
					wait = min(wait, a.Least)
				}
			}
			if k >= i || start[s.ID] < end[a.Step]+wait {
				t.Errorf("%s begins at %v; %s is over at %v and %v more (%s)", s.ID, start[s.ID], a.Step, end[a.Step], wait, words.English.Say(a.Why))
			}
		}
		span = max(span, end[s.ID])
	}
	if total != r.Hands || r.Span < span || r.Bound > r.Span || r.Exact != (r.Bound == r.Span) {
		t.Errorf("hands %v of %v, span %v of %v, bound %v", r.Hands, total, r.Span, span, r.Bound)
	}
	texts(t, r)
}

// texts holds that every text has a sentence in every language, without holes.
func texts(t *testing.T, r *steps.Result) {
	t.Helper()
	for _, l := range words.Langs() {
		say := func(x words.Text) {
			if s := l.Say(x); s == "" || strings.ContainsAny(s, "<{}@") || strings.Contains(s, "  ") {
				t.Errorf("%s of %s: %q", l, x.Key, s)
			}
		}
		for _, s := range r.Steps {
			say(s.Title)
			for _, d := range s.Do {
				say(d)
			}
			seen := map[string]bool{}
			for _, x := range s.Items {
				say(x.Text)
				if seen[x.ID] || x.ID == "" {
					t.Errorf("%s has two items %q", s.ID, x.ID)
				}
				seen[x.ID] = true
			}
			for _, a := range s.After {
				say(a.Why)
			}
			for _, c := range s.Cautions {
				say(c.Text)
			}
			if s.Wait != nil {
				say(s.Wait.What)
			}
			if !s.Check.Zero() {
				say(s.Check)
			}
			if s.NoReturn && s.Check.Zero() {
				t.Errorf("%s cannot be undone and has no check before it", s.ID)
			}
			say(words.T("steps.part." + s.Part))
			if len(s.Do) == 0 {
				t.Errorf("%s does not say what to do", s.ID)
			}
		}
	}
}

// before holds that one step comes before another, through others too.
func before(t *testing.T, r *steps.Result, first, then string) {
	t.Helper()
	a, b := r.Step(first), r.Step(then)
	if a == nil || b == nil {
		return
	}
	seen := map[string]bool{}
	var up func(id string) bool
	up = func(id string) bool {
		if id == first {
			return true
		}
		if seen[id] {
			return false
		}
		seen[id] = true
		for _, x := range r.Step(id).After {
			if up(x.Step) {
				return true
			}
		}
		return false
	}
	if !up(then) {
		t.Errorf("nothing says that %s comes before %s", first, then)
	}
}

// trade holds the rules of the trade on a graph, whatever the panel is.
func trade(t *testing.T, r *steps.Result) {
	t.Helper()
	for _, s := range r.Steps {
		kind, slug, _ := strings.Cut(s.ID, "-")
		switch kind {
		case "drill":
			for _, x := range []string{"template", "deburr", "fit", "mount"} {
				if x == "template" {
					before(t, r, x+"-"+slug, s.ID)
				} else {
					before(t, r, s.ID, x+"-"+slug)
				}
			}
			before(t, r, "trial", s.ID)
			before(t, r, "measure", s.ID)
		case "cover":
			before(t, r, "drill-"+slug, s.ID)
			before(t, r, "fit-"+slug, s.ID)
			before(t, r, s.ID, "trim-"+slug)
			before(t, r, "trim-"+slug, "mount-"+slug)
		case "paint":
			board := slug[:strings.LastIndexByte(slug, '-')]
			before(t, r, "drill-"+board, s.ID)
			before(t, r, "fit-"+board, s.ID)
			before(t, r, s.ID, "mount-"+board)
			before(t, r, s.ID, "letter-"+board)
		case "finish":
			before(t, r, "sand-box", s.ID)
			before(t, r, s.ID, "feet")
			before(t, r, s.ID, "mount-boards")
			before(t, r, s.ID, "inserts")
		case "mount":
			if slug != "boards" {
				for _, w := range []string{"fittings", "wire-ground", "wire-supply", "wire-signal"} {
					before(t, r, s.ID, w)
				}
			}
		case "template":
			if r.Step("glue-box") != nil && slug != "face" && slug != "upper" {
				before(t, r, "drill-"+slug, "glue-box")
			}
		}
		if s.ID != "close" {
			before(t, r, s.ID, "close")
		}
	}
	for _, p := range [][2]string{
		{"wire-ground", "wire-supply"}, {"wire-supply", "wire-signal"}, {"wire-signal", "ring"}, {"ring", "power-alone"}, {"ring", "power"},
		{"power-alone", "flash"}, {"flash", "power"}, {"power", "test"}, {"glue-box", "sand-box"}, {"mount-boards", "wire-signal"}, {"dry-fit", "glue-box"},
		{"seat-face", "prepare-face"}, {"mount-boards", "close"},
	} {
		before(t, r, p[0], p[1])
	}
}

func TestExamples(t *testing.T) {
	for _, n := range examples.Names() {
		t.Run(n, func(t *testing.T) {
			if !thorough.Is() && n == "signal-desk" {
				t.Skip("four seconds")
			}
			r := run(string(examples.File(n)))
			hold(t, &r.Steps, 120, 300)
			trade(t, &r.Steps)
			t.Logf("%d steps, %s at the bench, done after %s, bound %s, %d sessions, proven %v", len(r.Steps.Steps), steps.Hours(r.Steps.Hands), steps.Span(r.Steps.Span), steps.Span(r.Steps.Bound), r.Steps.Sessions, r.Steps.Exact)
			if !r.Steps.Exact {
				t.Errorf("the order is not proven to be the soonest")
			}
			harnessTime(t, r)
			in := inputs(r)
			began := time.Now()
			again, _ := json.Marshal(steps.Work(in).Steps)
			t.Logf("the order takes %v", time.Since(began))
			if first, _ := json.Marshal(r.Steps.Steps); string(first) != string(again) {
				t.Error("another order the second time")
			}
		})
	}
}

// harnessTime holds that the minutes of the harness are all in the steps: at the lugs in theirs, at the boards and of ties in others.
func harnessTime(t *testing.T, r *job.Result) {
	t.Helper()
	want, pins, ties := 0.0, 0.0, 0.0
	for _, x := range r.Harness.Tasks {
		switch {
		case strings.HasPrefix(x.What, "solder a pin"):
			pins += x.Minutes
		case strings.HasPrefix(x.What, "set a tie"):
			ties += x.Minutes
		default:
			want += x.Minutes
		}
	}
	if len(r.Harness.Tasks) == 0 {
		return
	}
	if pins == 0 || ties == 0 || r.Steps.Step("power").Minutes < pins || r.Steps.Step("close").Minutes < ties {
		t.Errorf("%v minutes at the boards, %v of ties; %v", pins, ties, r.Harness.Tasks)
	}
	got := 0.0
	for _, id := range []string{"wires", "fittings", "wire-ground", "wire-supply", "wire-signal"} {
		if s := r.Steps.Step(id); s != nil {
			got += s.Minutes
		}
	}
	if math.Abs(got-want) > 3 { // five steps of whole minutes
		t.Errorf("%v minutes of wiring in the steps, %v in the harness", got, want)
	}
}

// face is a panel with a few controls; more is put beside it.
func face(more string) string {
	return "knobwright: 1\ntitle: Puppet lights\nface: {width: 220, height: 140, sheet: birch-ply-6.5mm, fixings: {screw: M3, inset: 12}}\nmodule: {part: rp2040-40pin, at: [150, 90]}\n" +
		"tools: {bits: [twist-metric-0.5, step-4-20, hole-saws-control]}\ncontrols:\n  go: {part: push-16mm, at: [40, 45], legend: GO}\n  dim: {part: pot-16mm, at: [100, 45], legend: DIM}\n  fog: {part: toggle-mini-2, at: [160, 45], legend: FOG}\n" +
		"  lit: {part: lamp-5mm-holder, at: [185, 45], legend: LIT}\n" + more
}

// Panels of all kinds, and what is special about the steps of each.
func TestKinds(t *testing.T) {
	for _, c := range []struct {
		name, src string
		has       string // steps that must be there
		not       string // and must not
	}{
		{"flat without box", face(""), "drill-face mount-face wire-ground ring power-alone flash power test close", "glue-box feet cover-face paint-face-1 cable"},
		{"flat", face("box: {form: flat, depth: 60, walls: birch-ply-9mm}\n"), "glue-box sand-box finish-box-1 finish-box-2 feet seat-face", "trial-cut"},
		{"wedge", face("box: {form: wedge, front: 60, slope: 12 deg, walls: birch-ply-9mm}\n"), "trial-cut glue-box", ""},
		{"desk with inserts", face("box: {form: desk, front: 60, slope: 15 deg, rest: 50, walls: birch-ply-9mm, held: inserts, screws: {insert: M3}, ledge: {width: 16, height: 16}}\n"), "inserts glue-battens cut-battens", ""},
		{"rack in cheeks", "knobwright: 1\nface: {rack: 3, sheet: aluminium-2mm, covering: paint-two-coats}\nbox: {form: rack, depth: 120, walls: birch-ply-12mm}\ncontrols: {a: {part: push-16mm, at: [100, 60]}, b: {part: push-16mm, at: [200, 60]}}\n", "paint-face-1 paint-face-2 glue-box", "cover-face"},
		{"two slopes", "knobwright: 1\nface: {width: 260, height: 120, sheet: acrylic-3mm, covering: vinyl-film}\nbox: {form: two-slope, front: 60, slope: 15 deg, upper: {slope: 50 deg, height: 90}, walls: birch-ply-9mm}\ncontrols: {a: {part: push-16mm, at: [60, 60]}, b: {part: lamp-5mm-holder, at: [100, 45], on: upper}}\n",
			"drill-face drill-upper cover-face cover-upper mount-upper cut-upper", ""},
		{"control in the back", face("  usb: {part: usb-c-16mm, at: [60, 30], on: back}\nbox: {form: flat, depth: 60, walls: birch-ply-6.5mm, blocks: 15}\n"), "template-back drill-back fit-back mount-back glue-battens", "cover-back"},
		{"glued face", face("box: {form: flat, depth: 60, walls: birch-ply-12mm, held: glued}\n"), "close", ""},
		{"hinged", face("box: {form: flat, depth: 70, walls: birch-ply-12mm, held: hinged}\n"), "glue-box hang-face", ""},
		{"matrix", face("  a: {part: push-16mm, at: [40, 100]}\n  b: {part: push-16mm, at: [80, 100]}\n  c: {part: push-16mm, at: [120, 100]}\nwiring: {by: matrix}\n"), "fittings wire-signal ring", ""},
		{"expander", face("wiring: {by: expander, boards: {more: {part: io-expander-16, at: [60, 100]}}}\n"), "mount-boards wire-signal", ""},
		{"laser and fingers", face("box: {form: flat, depth: 60, walls: birch-ply-6.5mm, corners: {joint: finger, finger: 10}, saw: laser}\n"), "cut-boards glue-box", "trial-cut cut-joints"},
		{"fingers by saw", face("box: {form: flat, depth: 60, walls: birch-ply-6.5mm, corners: {joint: finger, finger: 10}, saw: table}\n"), "trial-cut cut-joints", ""},
		{"bare box", face("box: {form: flat, depth: 60, walls: birch-ply-9mm}\nwork: {finish: none}\n"), "feet", "finish-box-1"},
		{"varnish in three coats", face("box: {form: flat, depth: 60, walls: birch-ply-9mm}\nwork: {finish: varnish, coats: 3}\n"), "finish-box-3", "finish-box-4"},
		{"no module", "knobwright: 1\nface: {width: 100, height: 80, sheet: acrylic-3mm}\ncontrols: {a: {part: push-16mm, at: [40, 40]}}\n", "drill-face mount-face close prepare-face", "ring power flash test"},
		{"no controls", "knobwright: 1\nface: {width: 100, height: 80, sheet: acrylic-3mm}\n", "cut-face close", "drill-face mount-face"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := run(c.src)
			hold(t, &r.Steps, 120, 300)
			trade(t, &r.Steps)
			for _, id := range strings.Fields(c.has) {
				if r.Steps.Step(id) == nil {
					t.Errorf("no step %s", id)
				}
			}
			for _, id := range strings.Fields(c.not) {
				if r.Steps.Step(id) != nil {
					t.Errorf("a step %s", id)
				}
			}
			if !r.Steps.Exact {
				t.Errorf("not proven: %v, bound %v", r.Steps.Span, r.Steps.Bound)
			}
		})
	}
}

// Coverings and letterings.
func TestCovers(t *testing.T) {
	cat := catalog.Builtin()
	for _, cover := range cat.CoveringIDs() {
		for _, by := range []string{"print", "engrave", "transfer", "label"} {
			src := strings.Replace(face(""), "birch-ply-6.5mm,", "aluminium-2mm, covering: "+cover+", legend: {by: "+by+"},", 1)
			r := run(src)
			hold(t, &r.Steps, 120, 300)
			trade(t, &r.Steps)
			if r.Steps.Step("letter-face") == nil {
				t.Errorf("%s, %s: no lettering", cover, by)
			}
			long := slices.ContainsFunc(r.Steps.Findings, func(f finding.Finding) bool { return f.Rule == "steps.film-on-paint" })
			if want := by == "label" && (cover == "paint-two-coats" || cover == "lacquer-clear"); long != want {
				t.Errorf("%s, %s: labels on fresh paint said %v, want %v", cover, by, long, want)
			}
			if long && r.Steps.Span < 30*24*60 {
				t.Errorf("%s, %s: labels on fresh paint after %s", cover, by, steps.Span(r.Steps.Span))
			}
		}
	}
}

func TestRoomAndTimes(t *testing.T) {
	boxed := "box: {form: flat, depth: 60, walls: birch-ply-9mm}\n"
	rules := func(src string) (out []string) {
		for _, f := range run(src).Steps.Findings {
			out = append(out, f.Rule)
		}
		return out
	}
	if got := rules(face(boxed)); len(got) != 0 {
		t.Errorf("a warm room: %v", got)
	}
	r := run(face(boxed + "work: {room: 8 °C}\n"))
	cold := 0
	for _, f := range r.Steps.Findings {
		if f.Rule != "steps.cold" || f.Measure == nil || f.Measure.Have != 8 || f.Measure.Want != 10 || f.Pos().Line == 0 {
			t.Errorf("%+v", f)
		}
		cold++
	}
	if cold != 2 { // wood glue and water paint
		t.Errorf("%d findings about the cold", cold)
	}
	// Below 15 °C wood glue takes twice as long, and is still good.
	cool := run(face(boxed + "work: {room: 12 °C}\n")).Steps
	if w := cool.Step("glue-box").Wait; w.Minutes != 48*60 || len(cool.Findings) != 0 {
		t.Errorf("at 12 °C: %v, %v", w, cool.Findings)
	}
	if got := rules(strings.Replace(face(""), "birch-ply-6.5mm,", "acrylic-3mm, covering: vinyl-film,", 1) + "work: {room: 28 °C}\n"); fmt.Sprint(got) != "[steps.hot]" {
		t.Errorf("film at 28 °C: %v", got)
	}
	if got := rules(face(boxed + "work: {evenings: 10 min, weekend: none}\n")); !slices.Contains(got, "steps.one-go") {
		t.Errorf("ten minutes an evening: %v", got)
	}
	if got := rules(face(boxed + "work: {evenings: none, weekend: none}\n")); fmt.Sprint(got) != "[steps.no-time]" {
		t.Errorf("no time at all: %v", got)
	}
	if got := rules(face(boxed + "work: {minutes: {drill-hol: 4}, waits: {soak: 2 h, glu: 1 h}}\n")); fmt.Sprint(got) != "[steps.unknown-kind steps.unknown-kind]" {
		t.Errorf("kinds that are none: %v", got)
	}
	usual, own := run(face(boxed)).Steps, run(face(boxed+"work: {minutes: {mount-control: 30}, waits: {glue-full: 30 h}}\n")).Steps
	if a, b := usual.Step("mount-face").Minutes, own.Step("mount-face").Minutes; a != 12 || b != 120 {
		t.Errorf("mounting four controls: %v, with 30 minutes each %v", a, b)
	}
	if w := own.Step("glue-box").Wait; w.Minutes != 30*60 || w.Source.OnTrust() {
		t.Errorf("glue of one's own: %+v", w)
	}
	// One long day of work: all that need not dry is done in it.
	day := run(face(boxed + "work: {evenings: 10 h, weekend: 10 h, begins: monday}\n")).Steps
	hold(t, &day, 600, 600)
	if _, weekday, _ := day.When(0); weekday != 0 {
		t.Errorf("begins on day %d of the week", weekday)
	}
	if day.Span >= usual.Span {
		t.Errorf("ten hours a day take %v, two hours %v", day.Span, usual.Span)
	}
	round := run(face(boxed + "work: {evenings: 24 h, weekend: 24 h}\n")).Steps
	hold(t, &round, 24*60*7, 24*60*7)
}

// Panels at random: sizes, boxes, coverings, letterings, sessions.
func TestRandom(t *testing.T) {
	n := thorough.Of(60, 15)
	r := rand.New(rand.NewPCG(1, 9))
	pick := func(s ...string) string { return s[r.IntN(len(s))] }
	exact := 0
	for i := range n {
		var b strings.Builder
		evenings, weekend := 30+r.IntN(180), r.IntN(500)
		if weekend < 60 {
			weekend = 0
		}
		fmt.Fprintf(&b, "knobwright: 1\nface: {width: 300, height: 160, sheet: %s, covering: %s, legend: {by: %s}}\n", pick("acrylic-3mm", "aluminium-2mm", "birch-ply-6.5mm"),
			pick("none", "vinyl-film", "paint-two-coats", "printed-card", "laminate-0.8mm"), pick("print", "engrave", "transfer", "label"))
		if f := pick("none", "flat", "wedge", "desk", "two-slope"); f != "none" {
			fmt.Fprintf(&b, "box: {form: %s, %s, walls: %s, held: %s%s}\n", f, map[string]string{"flat": "depth: 60", "wedge": "front: 60, slope: 12 deg", "desk": "front: 60, slope: 12 deg, rest: 40", "two-slope": "front: 60, slope: 12 deg, upper: {slope: 45 deg, height: 80}"}[f],
				pick("birch-ply-9mm", "birch-ply-12mm", "birch-ply-6.5mm"), pick("screwed", "inserts", "glued", "hinged"), pick("", ", blocks: 15", ", ledge: {width: 16, height: 16}", ", saw: table", ", saw: laser"))
		}
		fmt.Fprintf(&b, "work: {evenings: %d min, weekend: %d min, begins: %s, finish: %s, glue: %s, coats: %d}\n", evenings, weekend, pick("monday", "friday", "sunday"), pick("paint", "varnish", "none"), pick("pva", "polyurethane", "epoxy"), 1+r.IntN(3))
		if r.IntN(3) > 0 {
			fmt.Fprintf(&b, "module: {part: rp2040-40pin, at: [200, 120], on: %s}\n", pick("base", "face"))
		}
		b.WriteString("controls:\n")
		for k := range 1 + r.IntN(9) {
			fmt.Fprintf(&b, "  c%d: {part: %s, at: [%d, %d]}\n", k, pick("push-16mm", "toggle-mini-2", "pot-16mm", "encoder-m7-push", "lamp-5mm-holder", "slide-pot-60mm"), 30+k%5*55, 40+k/5*60)
		}
		res := run(b.String())
		hold(t, &res.Steps, float64(evenings), float64(weekend))
		trade(t, &res.Steps)
		if res.Steps.Exact {
			exact++
		} else {
			t.Logf("panel %d: %s, bound %s", i, steps.Span(res.Steps.Span), steps.Span(res.Steps.Bound))
		}
		if t.Failed() {
			t.Fatalf("panel %d:\n%s", i, b.String())
		}
	}
	t.Logf("%d of %d orders are proven to be the soonest", exact, n)
	if exact < n*9/10 {
		t.Errorf("only %d of %d orders are proven", exact, n)
	}
}

// A panel that is not there, or not finished, has no steps or few, and no fault.
func TestUnfinished(t *testing.T) {
	if r := steps.Work(steps.Inputs{}); len(r.Steps) != 0 {
		t.Error("steps from nothing")
	}
	long := run(face("work: {minutes: {drill-hole: 60 d, ring: 60 d, test-line: 60 d, mount-control: 60 d, centre: 60 d, deburr-hole: 60 d, change-bit: 60 d, try-part: 60 d}}\n")).Steps
	at := map[string]int{}
	for i, s := range long.Steps {
		at[s.ID] = i
		for _, a := range s.After {
			if k, ok := at[a.Step]; !ok || k >= i {
				t.Errorf("beyond all measure: %s stands before %s", s.ID, a.Step)
			}
		}
	}
	if len(long.Steps) < 15 {
		t.Errorf("beyond all measure: %d steps, done after %v", len(long.Steps), long.Span)
	}
	for _, src := range []string{"", "title: x\n", "knobwright: 1\nface: {width: 100, height: 60}\n", "knobwright: 1\nface: {width: 100, height: 60}\nbox: {form: wedge}\ncontrols: {a: , b: {part: push-16mm}}\n"} {
		texts(t, &run(src).Steps)
	}
}

func TestSpan(t *testing.T) {
	for in, want := range map[float64]string{0: "0 min", 45: "45 min", 90: "1 h 30 min", 1440: "24 h", 30 * 1440: "30 d", 11533: "8 d", 4898: "3 d 9 h", 2880: "48 h", 4320: "72 h"} {
		if got := steps.Span(in); got != want {
			t.Errorf("%v is %q, want %q", in, got, want)
		}
	}
	if got := steps.Hours(4143); got != "69 h 3 min" {
		t.Error(got)
	}
}

// Drilling in scrap belongs to the drilling, not to the sawing of boards.
func TestTrialBelongsToDrilling(t *testing.T) {
	r := &run(string(examples.File("cue-desk"))).Steps
	if s := r.Step("trial"); s == nil || s.Part != r.Step("drill-face").Part {
		t.Errorf("%+v", s)
	}
}
