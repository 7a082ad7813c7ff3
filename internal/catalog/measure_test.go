package catalog

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// answers reads "key: a, b, c; key: d" into a card.
func answers(class Class, text string) Answers {
	a := Answers{ID: "mine", Class: class, Readings: map[string][]string{}}
	for _, part := range strings.Split(text, ";") {
		k, v, ok := strings.Cut(part, ":")
		if !ok {
			continue
		}
		for _, x := range strings.Split(v, ",") {
			a.Readings[strings.TrimSpace(k)] = append(a.Readings[strings.TrimSpace(k)], strings.TrimSpace(x))
		}
	}
	return a
}

const button = `title: Green push; seat: front; hold: nut; thread: 15.9, 15.88, 15.92; pitch: 1; thread-length: 11.2, 11, 11.1; nut-flats: 18;
	nut-shape: hex; nut-thickness: 2.5; washers: 1; washer: 20; body-form: round; body-across: 15.8, 15.9, 15.85; body-depth: 23, 23.1, 23;
	lug-depth: 29, 29.2, 29.1; lugs: no c; lug-across: 6; rim-across: 18; rim-thickness: 2; cap: 12.6; cap-height: 5; action: momentary; contacts: 1 NO; force: 4`

const toggle = `title: Small toggle; seat: rear; hold: nut; thread: 6.3, 6.28, 6.31; pitch: 0.63; thread-length: 9, 8.9, 9; nut-flats: 8; nut-shape: hex;
	nut-thickness: 2; washers: 1; washer: 11.5; tab-distance: 6.3; tab: 2.2; body-form: square; body-across: 7.9, 7.8, 7.9; body-up: 13.1, 13.2, 13.2;
	body-depth: 12, 12, 12; lug-depth: 20, 20, 20; lugs: 3 / 2 / 1; lug-up: 4.7; lever: 3; lever-height: 19.4; throw: 12; action: maintained;
	contacts: SPDT on-on; positions: 2`

const rocker = `title: Rocker; seat: front; hold: legs; grip-least: 0.75; grip-most: 3; body-form: square; body-across: 12.6, 12.6, 12.6; body-up: 18.8, 18.9, 18.8;
	body-depth: 15, 15, 15; lug-depth: 22, 22, 22; rim-across: 15; rim-up: 21; rim-thickness: 2; lever: 10; lever-height: 6; action: maintained;
	contacts: SPST; positions: 2`

const encoder = `title: Encoder; seat: rear; hold: nut; thread: 6.9, 6.92, 6.88; thread-length: 7, 7, 6.9; nut-flats: 10; nut-shape: hex; nut-thickness: 2;
	washers: 0.5; body-form: square; body-across: 12.4, 12.4, 12.4; body-up: 13.4, 13.4, 13.4; body-depth: 7, 7, 7; lug-depth: 11, 11, 11; shaft: 6;
	shaft-form: D; shaft-length: 20; knob: 20; knob-height: 15; detents: 24; pulses: 12; push: yes`

const module = `title: Board; body-form: square; body-across: 21, 21, 21; body-up: 51, 51, 51; body-depth: 4, 4, 4; lug-depth: 4, 4, 4`

// A card that is filled in gives a record that reads back without complaint and says what was measured.
func TestRecordReadsBack(t *testing.T) {
	read := func(class Class, text string) Part {
		t.Helper()
		a := answers(class, text)
		for _, f := range Check(a) {
			t.Errorf("%s: %s %s %s", class, f.Rule, f.Head, f.Body)
		}
		c, ps := Builtin().With("own.yaml", []byte(Record(a)))
		if len(ps) > 0 {
			t.Fatalf("%+v\n%s", ps, Record(a))
		}
		p, ok := c.Part("mine")
		if !ok {
			t.Fatal(Record(a))
		}
		return p
	}
	p := read(Push, button)
	// The largest thread is 15.92: an M16x1. Least length 11, less nut and washer 3.5: grip up to 7.5. Hole 16.2.
	if p.Thread.Size != "M16x1" || p.Thread.Major != 16 || p.Grip[1] != 7.5 || p.Hole.Round != 16.2 || p.Thread.Length != 11 {
		t.Errorf("%+v %+v %+v", p.Thread, p.Grip, p.Hole)
	}
	if b := p.Rear[0]; b.Round != 15.9 || b.Z[0] != -23.1 || p.LugDepth() != 29.2 || p.TotalDepth() != 29.2+wireBend {
		t.Errorf("%+v", p.Rear)
	}
	// "no c" from behind: no is left behind, so right in front.
	if len(p.Lugs) != 2 || p.Lugs[0].Name != "no" || p.Lugs[0].At != [2]length.Length{3, 0} || p.Lugs[1].At != [2]length.Length{-3, 0} {
		t.Errorf("%+v", p.Lugs)
	}
	if s := p.Source("rear"); s.Provenance != trust.Measured || s.OnTrust() {
		t.Error(s)
	}
	if s := p.Source("hole"); s.Provenance != trust.Derived {
		t.Error(s)
	}
	p = read(Toggle, toggle)
	if p.Thread.Size != "1/4-40 UNS" || p.Hole.Round != 6.6 || len(p.Cuts) != 1 || p.Cuts[0].Round != 2.4 || !p.SeatsRear() || p.Nut.Side != "front" {
		t.Errorf("%+v", p)
	}
	if p.Lugs[0].Name != "3" || p.Lugs[0].At != [2]length.Length{0, 4.7} || p.Lugs[2].At[1] != -4.7 {
		t.Errorf("%+v", p.Lugs)
	}
	p = read(Rocker, rocker)
	if p.Hole.Rect == nil || *p.Hole.Rect != [2]length.Length{12.9, 19.2} || p.Grip != [2]length.Length{0.75, 3} {
		t.Errorf("%+v", p.Hole)
	}
	p = read(Encoder, encoder)
	if p.Thread.Size != "M7x0.75" || p.Hole.Round != 7.2 || p.Pulses != 12 || p.Detents != 24 || !p.Push || p.Shaft.Diameter != 6 {
		t.Errorf("%+v", p)
	}
	p = read(ModuleBrd, module)
	if len(p.Rear) == 0 || p.Rear[0].Rect[1] != 51 {
		t.Errorf("%+v", p)
	}
	// In inches the same part comes out.
	a := answers(Push, button)
	a.Unit = length.Inch
	for k, r := range a.Readings {
		for i, s := range r {
			if l, err := length.Parse(s, length.MM); err == nil && k != "force" {
				r[i] = length.Plain(math.Round(l.MM()*100)/100) + " mm"
			}
		}
	}
	a.Readings["rim-across"] = []string{"0.71"}
	c, ps := Builtin().With("own.yaml", []byte(Record(a)))
	if p, _ := c.Part("mine"); len(ps) > 0 || math.Abs(p.Front[0].Round.MM()-18.034) > 1e-3 || p.Hole.Round != 16.2 {
		t.Errorf("%+v %+v", ps, p)
	}
}

// Each slip at the bench is found, and named with its numbers.
func TestCheckFindsSlips(t *testing.T) {
	for _, x := range []struct {
		class      Class
		card       string
		key, value string
		rule       string
		sev        finding.Severity
		want       string
	}{
		{Push, button, "thread", "15.9, 15.9, 13.36", "catalog.readings-apart", finding.Warn, "2.54 mm apart"},
		{Push, button, "body-depth", "23, 24, 23", "catalog.readings-apart", finding.Warn, "1 mm apart"},
		{Push, button, "body-depth", "23", "catalog.reading-missing", finding.Note, "measured once; take it 3 times"},
		{Push, button, "rim-thickness", "", "catalog.reading-missing", finding.Note, "Not measured yet: rim-thickness"},
		{Push, button, "rim-thickness", "thick", "catalog.reading-unreadable", finding.Stop, "\"thick\" cannot be read"},
		{Push, button, "rim-thickness", "-2", "catalog.reading-unreadable", finding.Stop, "cannot be read"},
		{Push, button, "body-form", "oval", "catalog.reading-unreadable", finding.Stop, "none of: round, square"},
		{Push, button, "hole", "15", "catalog.readings-disagree", finding.Stop, "does not go through a hole of 15 mm"},
		{Push, button, "hole", "19", "catalog.readings-disagree", finding.Stop, "3.08 mm wider than the thread"},
		{Push, button, "shoulder", "12", "catalog.readings-disagree", finding.Stop, "The shoulder, 12 mm, is narrower"},
		{Push, button, "body-across", "18, 18, 18", "catalog.readings-disagree", finding.Stop, "The body is 18 mm wide, the hole 16.2 mm"},
		{Push, button, "rim-across", "16", "catalog.readings-disagree", finding.Stop, "does not cover the hole"},
		{Push, button, "nut-flats", "15", "catalog.readings-disagree", finding.Stop, "not wider than its thread"},
		{Push, button, "nut-thickness", "12", "catalog.readings-disagree", finding.Stop, "no sheet fits between"},
		{Push, button, "pitch", "10", "catalog.readings-disagree", finding.Stop, "A pitch of 10 mm"},
		{Push, button, "lug-depth", "9, 9, 9", "catalog.readings-disagree", finding.Stop, "The lugs end at 9 mm"},
		{Push, button, "tab-distance", "5", "catalog.readings-disagree", finding.Stop, "lies inside the hole"},
		{Push, button, "lamp-rated", "230", "catalog.readings-disagree", finding.Stop, "230 V does not belong"},
		{Toggle, toggle, "body-across", "6, 6, 6", "catalog.readings-disagree", finding.Stop, "slips through the hole"},
		{Rocker, rocker, "grip-least", "4", "catalog.readings-disagree", finding.Stop, "thinnest sheet, 4 mm"},
		{Encoder, encoder, "pulses", "15", "catalog.readings-disagree", finding.Stop, "15 pulses do not share out over 24"},
		{Push, button, "lugs", "a a", "catalog.readings-disagree", finding.Stop, "Two lugs are called a"},
	} {
		a := answers(x.class, x.card)
		a.Readings[x.key] = strings.Split(x.value, ", ")
		fs := Check(a)
		i := slices.IndexFunc(fs, func(f finding.Finding) bool {
			return f.Rule == x.rule && f.Severity == x.sev && strings.Contains(f.Head, x.want)
		})
		if i < 0 {
			t.Errorf("%s = %s: wanted %s %q, got %+v", x.key, x.value, x.rule, x.want, fs)
		}
	}
	// The slips of reading are named.
	a := answers(Push, button)
	a.Readings["thread"] = []string{"15.9", "15.9", "13.36"}
	if f := Check(a)[0]; !strings.Contains(f.Body, "tenth of an inch") || f.Measure == nil || math.Abs(f.Measure.Have-2.54) > 1e-9 {
		t.Errorf("%+v", f)
	}
	// A limit of the bench says where it comes from; what cannot be at all needs none.
	for value, want := range map[string]bool{"19": true, "15": false} {
		a := answers(Push, button)
		a.Readings["hole"] = []string{value}
		if f := Check(a)[0]; (f.Source.Text != "") != want {
			t.Errorf("hole %s: %s from %q", value, f.Head, f.Source.Text)
		}
	}
	// An empty card misses everything and contradicts nothing.
	for _, f := range Check(Answers{Class: Push}) {
		if f.Severity != finding.Note {
			t.Errorf("%+v", f)
		}
	}
}

// Every question can be understood by itself, and asked in the order of the answers it hangs on.
func TestQuestions(t *testing.T) {
	for _, class := range Classes {
		seen := map[string]bool{}
		for _, q := range Questions(class) {
			if seen[q.Key] {
				t.Errorf("%s asks %s twice", class, q.Key)
			}
			for _, w := range q.When {
				if !seen[w.Key] || len(w.Is) == 0 {
					t.Errorf("%s: %s hangs on %s, which was not asked before", class, q.Key, w.Key)
				}
			}
			seen[q.Key] = true
			if !strings.HasSuffix(q.Ask, "?") || q.Times < 1 || q.Kind == "" {
				t.Errorf("%s: %+v", class, q)
			}
			if (q.Kind == AskChoice) != (len(q.Choices) > 1) || (q.Times == 3) != (q.Take != "") {
				t.Errorf("%s: %+v", class, q)
			}
			if q.Kind == AskLength && q.Spot == SpotNone {
				t.Errorf("%s: %s measures nowhere", class, q.Key)
			}
		}
		for _, key := range []string{"title", "body-across", "body-depth"} {
			if !seen[key] {
				t.Errorf("%s does not ask for %s", class, key)
			}
		}
	}
	if q := Questions(Push); q[3].Key != "thread" || q[3].Asked(answers(Push, "hold: legs")) || !q[3].Asked(answers(Push, "hold: nut")) {
		t.Error("the thread is asked at the wrong time")
	}
}

func TestThreadName(t *testing.T) {
	for _, x := range []struct {
		major, pitch float64
		want         string
	}{
		{6.9, 0, "M7x0.75"}, {6.3, 0.63, "1/4-40 UNS"}, {6.3, 0.79, "1/4-32 UNEF"}, {6.3, 0, ""}, {11.85, 0.79, "15/32-32 UNS"}, {11.95, 1, "M12x1"},
		{9.5, 0, "3/8-32 UNEF"}, {15.9, 0, "M16x1"}, {22, 1.5, "M22x1.5"}, {22, 0, ""}, {13, 0, ""},
	} {
		if got, _, _ := threadName(x.major, x.pitch); got != x.want {
			t.Errorf("%v by %v is called %q, want %q", x.major, x.pitch, got, x.want)
		}
	}
}

// Whatever is typed, the record can be read: nothing in it is misspelt or mis-shaped.
func TestRecordAlwaysReads(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	pool := []string{"", "0", "1", "3.2", "7", "16", "25.4", "1/4 in", "-1", "nut", "legs", "screws", "front", "rear", "round", "square", "hex", "ring", "yes", "D", "M3", "#6", "a b / c", "1 2 3", "momentary", "x: [\"", "#", "null", "~", "\n", "é"}
	for range 600 {
		a := Answers{ID: []string{"mine", "a b", "", "ok-1.5"}[r.IntN(4)], Class: Classes[r.IntN(len(Classes))], Readings: map[string][]string{}}
		for _, q := range Questions(a.Class) {
			for range r.IntN(4) {
				a.Readings[q.Key] = append(a.Readings[q.Key], pool[r.IntN(len(pool))])
			}
			if len(q.Choices) > 0 && r.IntN(3) > 0 {
				a.Readings[q.Key] = []string{q.Choices[r.IntN(len(q.Choices))]}
			}
		}
		Check(a)
		_, ps := Builtin().With("own.yaml", []byte(Record(a)))
		for _, p := range ps {
			if p.Rule != "catalog.impossible" {
				t.Fatalf("%+v\n%s\n%v", p, Record(a), a)
			}
		}
	}
}

// Readings that contradict each other, or lie apart, are not to be trusted: the record says so of every number.
func TestDoubtfulReadings(t *testing.T) {
	for _, x := range []struct {
		key, value string
		doubt      bool
	}{
		{"hole", "15", true},
		{"thread", "15.9, 15.9, 13.36", true},
		{"body-depth", "23, 23.3, 23", false},
		{"rim-thickness", "2", false},
	} {
		a := answers(Push, button)
		a.Readings[x.key] = strings.Split(x.value, ", ")
		text := Record(a)
		low, other := strings.Count(text, "confidence: low"), strings.Count(text, "confidence: high")+strings.Count(text, "confidence: medium")
		if x.doubt && (low < 3 || other > 0) || !x.doubt && (low > 0 || other < 3) {
			t.Errorf("%s = %s: %d of low confidence, %d others\n%s", x.key, x.value, low, other, text)
		}
	}
}
