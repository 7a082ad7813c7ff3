package catalog

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// What the card allows, mm: common practice at the bench, low confidence.
const (
	mostSpread = 0.3 // how far three readings of one thing may lie apart
	mostPlay   = 1.0 // how much wider than the thread a hole may be said to be
)

var (
	bench = trust.Source{Text: "readings of one thing agree this far at the bench", Provenance: trust.Practice, Confidence: trust.Low}
	play  = trust.Source{Text: "a hole is seldom a millimetre wider than its thread", Provenance: trust.Practice, Confidence: trust.Low}
)

// measureRules are the rules of the caliper card.
var measureRules = []finding.Rule{
	{Name: "catalog.reading-missing", Severity: finding.Note, Title: "a reading not taken yet", Explain: "The card is not full. A record made now leaves out what was not measured; what is left out cannot be checked."},
	{Name: "catalog.reading-unreadable", Severity: finding.Stop, Title: "a reading that is no reading", Explain: "What is written is not a length, a number or one of the words that the question takes."},
	{
		Name: "catalog.readings-apart", Severity: finding.Warn, Title: "readings of one thing against each other",
		Explain: "Three readings of one thing should agree. A tenth of an inch between them means a dial read one turn off; a whole millimetre means a vernier read one line off.",
	},
	{
		Name: "catalog.readings-disagree", Severity: finding.Stop, Title: "readings against each other",
		Explain: "Two readings cannot both be right: a body wider than the hole it goes through, lugs shorter than the body, a nut narrower than its thread, a grip longer than the thread leaves.",
	},
}

// value reads what counts of an answer, mm or a plain number; ok is false when it was not given or cannot be read.
func (a Answers) value(q Question) (v float64, ok bool) {
	for _, text := range a.Readings[q.Key] {
		if strings.TrimSpace(text) == "" || q.Judge(text, a.unit()) != nil {
			continue
		}
		var x float64
		switch q.Kind {
		case AskLength:
			l, _ := length.Parse(text, a.unit())
			x = l.MM()
		case AskWhole, AskNumber:
			x, _ = strconv.ParseFloat(strings.TrimSpace(text), 64)
		default:
			return 0, false
		}
		switch {
		case !ok:
			v, ok = x, true
		case q.Take == TakeSmallest:
			v = min(v, x)
		case q.Take == TakeLargest:
			v = max(v, x)
		}
	}
	return v, ok
}

func (a Answers) unit() length.Unit {
	if a.Unit == "" {
		return length.MM
	}
	return a.Unit
}

// get reads what counts of an asked question by its key; 0 when not given.
func (a Answers) get(key string) float64 {
	for _, q := range card(a.Class) {
		if q.Key == key && q.Asked(a) {
			v, _ := a.value(q)
			return v
		}
	}
	return 0
}

// Check holds the readings of a card against each other and says what is missing. Findings come in the order of the card,
// gravest first.
func Check(a Answers) []finding.Finding {
	var fs []finding.Finding
	say := func(rule string, sev finding.Severity, head, body string, m *finding.Measure, keys ...string) {
		f := finding.Finding{Rule: rule, Severity: sev, Head: head, Body: body, Measure: m}
		switch { // what cannot be at all needs no source
		case rule == "catalog.readings-apart":
			f.Source = bench
		case m != nil && m.Want == mostPlay && m.Sense == finding.AtMost:
			f.Source = play
		}
		for _, k := range keys {
			f.Ends = append(f.Ends, finding.End{Name: k, Path: k})
		}
		fs = append(fs, f)
	}
	missing := []string{}
	for _, q := range card(a.Class) {
		if !q.Asked(a) {
			continue
		}
		given, lo, hi := 0, 0.0, 0.0
		for _, text := range a.Readings[q.Key] {
			if strings.TrimSpace(text) == "" {
				continue
			}
			if err := q.Judge(text, a.unit()); err != nil {
				say("catalog.reading-unreadable", finding.Stop, fmt.Sprintf("%q cannot be read: %s.", text, strings.TrimSuffix(err.Error(), ".")), q.Ask, nil, q.Key)
				continue
			}
			if given++; q.Kind == AskLength {
				l, _ := length.Parse(text, a.unit())
				if given == 1 {
					lo = l.MM()
				}
				lo, hi = min(lo, l.MM()), max(hi, l.MM())
			}
		}
		switch {
		case given == 0 && !q.Optional:
			missing = append(missing, q.Key)
		case given > 0 && given < q.Times:
			say("catalog.reading-missing", finding.Note, fmt.Sprintf("%s is measured %s; take it %d times.", sentenceName(q.Key), times(given), q.Times), q.How, nil, q.Key)
		}
		if spread := hi - lo; given > 1 && spread > mostSpread+1e-9 {
			say("catalog.readings-apart", finding.Warn, fmt.Sprintf("The readings of %s lie %s apart. Measure again.", q.Key, mm(spread)), misread(spread),
				&finding.Measure{Have: spread, Want: mostSpread, Unit: "mm", Sense: finding.AtMost}, q.Key)
		}
	}
	if len(missing) > 0 {
		say("catalog.reading-missing", finding.Note, "Not measured yet: "+strings.Join(missing, ", ")+".", "", nil, missing...)
	}
	a.contradictions(func(head, body string, m *finding.Measure, keys ...string) {
		say("catalog.readings-disagree", finding.Stop, head, body, m, keys...)
	})
	if len(missing) == 0 && !slices.ContainsFunc(fs, func(f finding.Finding) bool { return f.Severity == finding.Stop }) {
		// The record that would be written is held against itself too.
		_, ps := Builtin().With("", []byte(Record(a)))
		for _, p := range ps {
			say("catalog.readings-disagree", finding.Stop, unnamed(a.recordID(), p.Say), "", nil)
		}
	}
	slices.SortStableFunc(fs, func(x, y finding.Finding) int { return int(y.Severity) - int(x.Severity) })
	return fs
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return strconv.Itoa(n) + " times"
}

func sentenceName(key string) string { return strings.ToUpper(key[:1]) + key[1:] }

// misread says what a spread looks like when it is a slip of reading.
func misread(spread float64) string {
	near := func(x float64) bool { return spread > x-0.12 && spread < x+0.12 }
	switch {
	case near(2.54):
		return "That is a tenth of an inch: one turn of the dial was read wrong."
	case near(1), near(2):
		return "That is a whole line of the vernier: one reading may be a line off."
	}
	return ""
}

// contradictions finds what cannot be true together.
func (a Answers) contradictions(say func(head, body string, m *finding.Measure, keys ...string)) {
	atMost := func(have, want float64) *finding.Measure {
		return &finding.Measure{Have: have, Want: want, Unit: "mm", Sense: finding.AtMost}
	}
	atLeast := func(have, want float64) *finding.Measure {
		return &finding.Measure{Have: have, Want: want, Unit: "mm", Sense: finding.AtLeast}
	}
	thread, hole := a.get("thread"), a.get("hole")
	across, up := a.get("body-across"), a.get("body-up")
	if up == 0 {
		up = across
	}
	goesIn := hole
	if goesIn == 0 {
		goesIn = a.holeFor()
	}
	front := a.word("seat") == restsFront
	switch {
	case hole > 0 && thread > hole:
		say(fmt.Sprintf("The thread, %s, does not go through a hole of %s.", mm(thread), mm(hole)), "", atMost(thread, hole), "thread", "hole")
	case hole > 0 && thread > 0 && a.get("shoulder") <= thread && hole-thread > mostPlay:
		say(fmt.Sprintf("A hole of %s is %s wider than the thread.", mm(hole), mm(hole-thread)), "One of the two is read wrong, or a shoulder sinks into the hole: measure the shoulder too.",
			atMost(hole-thread, mostPlay), "hole", "thread")
	}
	if s := a.get("shoulder"); s > 0 && thread > s {
		say(fmt.Sprintf("The shoulder, %s, is narrower than the thread, %s.", mm(s), mm(thread)), "", atLeast(s, thread), "shoulder", "thread")
	}
	if front && goesIn > 0 && across > 0 && a.get("hole-height") == 0 && a.holeIsRound() && max(across, up) > goesIn+hair {
		say(fmt.Sprintf("The body is %s wide, the hole %s: it cannot go in from the front.", mm(max(across, up)), mm(goesIn)),
			"If it comes apart, measure what goes through and add the rest by hand. If a shoulder is pulled against the back, its seat is rear.", atMost(max(across, up), goesIn), "body-across", "hole")
	}
	if !front && a.word("seat") == restsRear && goesIn > 0 && across > 0 && min(across, up) < goesIn && a.get("hole-height") == 0 {
		say(fmt.Sprintf("The body, %s, slips through the hole, %s: nothing rests on the back.", mm(min(across, up)), mm(goesIn)), "", atLeast(min(across, up), goesIn), "body-across", "hole")
	}
	rim, rimUp := a.get("rim-across"), a.get("rim-up")
	if rimUp == 0 {
		rimUp = rim
	}
	if holeUp := max(a.get("hole-height"), goesIn); rim > 0 && (goesIn >= rim || holeUp >= rimUp) {
		say(fmt.Sprintf("The rim, %s, does not cover the hole, %s.", mm(min(rim, rimUp)), mm(max(goesIn, holeUp))), "", atLeast(min(rim, rimUp), max(goesIn, holeUp)), "rim-across", "hole")
	}
	flats, washer := a.get("nut-flats"), a.get("washer")
	if flats > 0 && thread >= flats {
		say(fmt.Sprintf("The nut, %s, is not wider than its thread, %s.", mm(flats), mm(thread)), "", atLeast(flats, thread), "nut-flats", "thread")
	}
	if flats > 0 && goesIn > 0 && thread < flats && max(flats, washer) <= goesIn {
		say(fmt.Sprintf("Nut and washer, %s, fall through the hole, %s.", mm(max(flats, washer)), mm(goesIn)), "", atLeast(max(flats, washer), goesIn), "nut-flats", "washer", "hole")
	}
	if tl, nt := a.get("thread-length"), a.get("nut-thickness")+a.get("washers"); tl > 0 && nt > 0 && nt >= tl {
		say(fmt.Sprintf("Nut and washers take %s, the thread is %s: no sheet fits between.", mm(nt), mm(tl)), "", atMost(nt, tl), "nut-thickness", "washers", "thread-length")
	}
	if p := a.get("pitch"); p > 0 && thread > 0 && (p < 0.2 || p > thread/3) {
		say(fmt.Sprintf("A pitch of %s does not belong to a thread of %s.", mm(p), mm(thread)), "Over ten crests, divided by ten?", nil, "pitch", "thread")
	}
	if lo, hi := a.get("grip-least"), a.get("grip-most"); hi > 0 && lo > hi {
		say(fmt.Sprintf("The thinnest sheet, %s, is thicker than the thickest, %s.", mm(lo), mm(hi)), "", atMost(lo, hi), "grip-least", "grip-most")
	}
	if b, l := a.get("body-depth"), a.get("lug-depth"); b > 0 && l > 0 && l < b {
		say(fmt.Sprintf("The lugs end at %s, in front of the body's back at %s.", mm(l), mm(b)), "Measure both from the seat.", atLeast(l, b), "lug-depth", "body-depth")
	}
	if d, w := a.get("tab-distance"), a.get("tab"); d > 0 && goesIn > 0 && d-w/2 < goesIn/2 {
		say(fmt.Sprintf("The tab, %s from the middle, lies inside the hole.", mm(d)), "", atLeast(d-w/2, goesIn/2), "tab-distance", "tab", "hole")
	}
	if pulses, detents := int(a.get("pulses")), int(a.get("detents")); pulses > 0 && detents > 0 && (4*pulses%detents != 0 || 4*pulses/detents > 8) {
		say(fmt.Sprintf("%d pulses do not share out over %d clicks.", pulses, detents), "Count both again over one whole turn.", nil, "pulses", "detents")
	}
	if r := a.get("lamp-rated"); r > 60 {
		say(fmt.Sprintf("%s V does not belong in such a panel; 60 V is the most.", length.Plain(r)), "Mains is refused here. Ask a licensed electrician.", nil, "lamp-rated")
	}
	if h, c := a.get("cap-height"), a.get("rim-thickness"); h > 0 && c > 0 && a.get("cap") > rim && rim > 0 && h < c {
		say("What the finger presses is wider than the rim and lies below it.", "", nil, "cap", "rim-across")
	}
}
