package catalog

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"knobwright/internal/finding"
	"knobwright/internal/length"
)

// What a record adds to the readings, mm. Common practice: 0.2 to 0.5 mm over the thread for a hole drilled by hand, 0.3 mm
// over a body that snaps in, 15 to 20 mm for the bend of a wire, and a socket's wall round a nut.
const (
	overThread = 0.2
	overBody   = 0.3
	wireBend   = 17
	socketWall = 2
)

// holeIsRound reports whether the part goes through a round hole.
func (a Answers) holeIsRound() bool {
	return a.get("hole-height") == 0 && (a.word("hold") == byNut || a.word("body-form") == formRound || a.get("hole") > 0)
}

// holeFor is the hole that the readings ask for when the seller names none: its diameter, or the width of a rectangle, mm.
func (a Answers) holeFor() float64 {
	switch {
	case a.get("thread") > 0:
		_, nominal, _ := threadName(a.get("thread"), a.get("pitch"))
		return up(max(a.get("thread"), nominal, a.get("shoulder")) + overThread)
	case a.get("body-across") > 0 && a.word("seat") == restsFront:
		return up(a.get("body-across") + overBody)
	}
	return 0
}

// up rounds up to a tenth of a millimetre.
func up(v float64) float64 { return math.Ceil(v*10-1e-6) / 10 }

// Record writes the part as a record for the person's own file, under parts:. What was not measured is left out. Every field
// says how its numbers were found.
func Record(a Answers) string {
	w := &recordText{doubt: a.doubtful()}
	w.line(0, "parts:")
	w.line(1, "%s:", a.recordID())
	title := a.word("title")
	if title == "" {
		title = "Measured part"
	}
	w.line(2, "title: %s", quote(title))
	w.line(2, "class: %s", a.Class)
	if a.Class == ModuleBrd {
		w.line(2, "seat: rear")
	} else {
		a.writeSeat(w)
	}
	a.writeFront(w)
	a.writeRear(w)
	a.writeWork(w)
	if len(w.trust) > 0 {
		w.line(2, "trust:")
		for _, t := range w.trust {
			w.line(3, "%s", t)
		}
	}
	return w.b.String()
}

// recordID is the name that the record gets.
func (a Answers) recordID() string {
	if !goodID(a.ID) {
		return "measured-" + string(a.Class)
	}
	return a.ID
}

// doubtful reports whether readings contradict each other, or those of one thing lie apart.
func (a Answers) doubtful() (bad bool) {
	a.contradictions(func(string, string, *finding.Measure, ...string) { bad = true })
	for _, q := range card(a.Class) {
		bad = bad || q.Asked(a) && a.spread(q) > mostSpread+1e-9
	}
	return bad
}

// spread is how far the readings of one length lie apart, mm.
func (a Answers) spread(q Question) float64 {
	if q.Kind != AskLength {
		return 0
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, text := range a.Readings[q.Key] {
		if l, err := length.Parse(text, a.unit()); err == nil && strings.TrimSpace(text) != "" {
			lo, hi = min(lo, l.MM()), max(hi, l.MM())
		}
	}
	return max(hi-lo, 0)
}

type recordText struct {
	b     strings.Builder
	trust []string
	doubt bool // the readings contradict each other
}

func (w *recordText) line(depth int, format string, a ...any) {
	w.b.WriteString(strings.Repeat("  ", depth))
	fmt.Fprintf(&w.b, format, a...)
	w.b.WriteByte('\n')
}

func (w *recordText) measured(field string) {
	src := `{text: "calipers, on the part in hand", provenance: measured, confidence: high}`
	if w.doubt {
		src = `{text: "calipers, on the part in hand; the readings contradict each other", provenance: measured, confidence: low}`
	}
	w.trust = append(w.trust, field+": "+src)
}

func (w *recordText) derived(field, from string) {
	w.trust = append(w.trust, fmt.Sprintf("%s: {text: %s, provenance: derived, confidence: %s}", field, quote(from), w.confidence()))
}

func (w *recordText) yours(field, from string) {
	w.trust = append(w.trust, fmt.Sprintf("%s: {text: %s, provenance: yours, confidence: %s}", field, quote(from), w.confidence()))
}

// confidence is what numbers made from the readings deserve.
func (w *recordText) confidence() string {
	if w.doubt {
		return "low"
	}
	return "medium"
}

// quote writes words as a YAML text.
func quote(s string) string { return strconv.Quote(s) }

func n(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }

func (a Answers) writeSeat(w *recordText) {
	rear := a.word("seat") == restsRear
	if rear {
		w.line(2, "seat: rear")
	}
	a.writeHole(w)
	a.writeCuts(w)
	nut, washers := a.get("nut-thickness"), a.get("washers")
	switch a.word("hold") {
	case byNut:
		if most := a.get("thread-length") - nut - washers; most > 0 && nut > 0 {
			w.line(2, "grip: [0.5, %s]", n(math.Floor(most*10+1e-6)/10))
			w.derived("grip", "thread less nut and washers, measured")
		}
	case byLegs:
		if most := a.get("grip-most"); most > 0 {
			w.line(2, "grip: [%s, %s]", n(a.get("grip-least")), n(most))
			w.measured("grip")
		}
	default:
		if most := a.get("sheet-most"); most > 0 {
			w.line(2, "grip: [0.5, %s]", n(most))
			w.measured("grip")
		}
	}
	if t := a.get("thread"); t > 0 {
		size, major, pitch := threadName(t, a.get("pitch"))
		if size == "" {
			major, pitch = t, a.get("pitch")
		}
		s := fmt.Sprintf("major: %s", n(major))
		if size != "" {
			s = fmt.Sprintf("size: %s, %s", size, s)
		}
		if pitch > 0 {
			s += ", pitch: " + n(pitch)
		}
		if l := a.get("thread-length"); l > 0 {
			s += ", length: " + n(l)
		}
		w.line(2, "thread: {%s}", s)
		w.measured("thread")
	}
	if f := a.get("nut-flats"); f > 0 {
		side, shape := "rear", a.word("nut-shape")
		if rear {
			side = "front"
		}
		room, tool := f+2*socketWall, "ring spanner"
		if shape == "hex" {
			room, tool = f/cos30+2*socketWall, n(f)+map[bool]string{true: " mm nut driver", false: " mm box spanner"}[rear]
		}
		s := fmt.Sprintf("side: %s, flats: %s", side, n(f))
		if shape != "" {
			s += ", shape: " + shape
		}
		for _, x := range [][2]string{{"thickness", "nut-thickness"}, {"washers", "washers"}, {"washer", "washer"}} {
			if v := a.get(x[1]); v > 0 {
				s += fmt.Sprintf(", %s: %s", x[0], n(v))
			}
		}
		w.line(2, "nut: {%s, tool: %s, tool-room: %s}", s, quote(tool), n(up(room)))
		w.measured("nut")
	}
}

func (a Answers) writeHole(w *recordText) {
	hole, high := a.get("hole"), a.get("hole-height")
	said := hole > 0
	if !said {
		hole = a.holeFor()
	}
	if hole <= 0 {
		return
	}
	switch {
	case high > 0:
		w.line(2, "hole: {what: hole, rect: [%s, %s], tol: [0, 0.3]}", n(hole), n(high))
	case !said && a.word("hold") != byNut && a.word("body-form") == formSquare:
		w.line(2, "hole: {what: hole, rect: [%s, %s], tol: [0, 0.3]}", n(hole), n(up(a.get("body-up")+overBody)))
	default:
		w.line(2, "hole: {what: hole, round: %s, tol: [%s, 0.3]}", n(hole), map[bool]string{true: "0", false: "-0.1"}[said])
	}
	if said {
		w.yours("hole", "the seller's sheet")
	} else {
		w.derived("hole", "thread or body as measured, and 0.2 to 0.3 mm of room")
	}
}

func (a Answers) writeCuts(w *recordText) {
	var cuts []string
	if d, t := a.get("tab-distance"), a.get("tab"); d > 0 && t > 0 {
		cuts = append(cuts, fmt.Sprintf("{what: anti-turn, round: %s, at: [%s, 0], tol: [0, 0.4]}", n(up(t+overThread)), n(-d)))
	}
	ux, uy := a.get("screw-across")/2, a.get("screw-up")/2
	if d, _, ok := ClearanceHole(a.word("screw"), ""); ok && (ux > 0 || uy > 0) {
		for _, at := range [][2]float64{{-ux, uy}, {ux, uy}, {-ux, -uy}, {ux, -uy}} {
			if s := fmt.Sprintf("{what: screw, round: %s, at: [%s, %s], tol: [-0.2, 0.2], screw: %q}", n(d), n(at[0]), n(at[1]), ScrewName(a.word("screw"))); !contains(cuts, s) {
				cuts = append(cuts, s)
			}
		}
	}
	if len(cuts) == 0 {
		return
	}
	w.line(2, "cuts:")
	for _, c := range cuts {
		w.line(3, "- %s", c)
	}
	w.measured("cuts")
}

func contains(list []string, s string) bool {
	for _, x := range list {
		// -0 and 0 are one place
		if strings.ReplaceAll(x, "[-0,", "[0,") == strings.ReplaceAll(s, "[-0,", "[0,") {
			return true
		}
	}
	return false
}

func (a Answers) writeFront(w *recordText) {
	var fs []string
	add := func(role, form string, z0, z1 float64) {
		if z1 > z0 {
			fs = append(fs, fmt.Sprintf("{role: %s, %s, z: [%s, %s]}", role, form, n(z0), n(z1)))
		}
	}
	round := func(d float64) string { return "round: " + n(d) }
	rim, thick := a.get("rim-across"), a.get("rim-thickness")
	if rim > 0 {
		form := round(rim)
		if high := a.get("rim-up"); high > 0 {
			form = fmt.Sprintf("rect: [%s, %s]", n(rim), n(high))
		}
		add("bezel", form, 0, max(thick, 0.5))
	}
	if d := a.get("cap"); d > 0 {
		add("cap", round(d), min(thick, a.get("cap-height")-0.1), a.get("cap-height"))
	}
	if d, high := a.get("lever"), a.get("lever-height"); d > 0 && high > 0 {
		low := max(a.get("thread-length"), thick)
		if low >= high {
			low = 0
		}
		role := "lever"
		if a.Class != Toggle && a.Class != Joystick {
			role = "handle"
		}
		add(role, round(d), low, high)
		if t := a.get("throw"); t > d {
			form := fmt.Sprintf("rect: [%s, %s]", n(d), n(t))
			if a.Class == Key || a.Class == Joystick {
				form = round(t)
			}
			add("sweep", form, low, high)
		}
	}
	if d, high := a.get("knob"), a.get("knob-height"); d > 0 && high > 0 {
		low := a.get("thread-length") + 0.5
		add("knob", round(d), low, low+high)
	}
	if d, high := a.get("plug"), a.get("plug-height"); d > 0 {
		add("plug", round(d), thick, high)
	}
	if len(fs) == 0 {
		return
	}
	w.line(2, "front:")
	for _, f := range fs {
		w.line(3, "- %s", f)
	}
	w.measured("front")
}

func (a Answers) writeRear(w *recordText) {
	across, high, body, tips := a.get("body-across"), a.get("body-up"), a.get("body-depth"), a.get("lug-depth")
	if across <= 0 || body <= 0 {
		return
	}
	form := "round: " + n(across)
	if a.word("body-form") == formSquare && high > 0 {
		form = fmt.Sprintf("rect: [%s, %s]", n(across), n(high))
	}
	w.line(2, "rear:")
	w.line(3, "- {role: body, %s, z: [%s, 0]}", form, n(-body))
	lugs := a.lugPlaces()
	if tips > body {
		w.line(3, "- {role: lugs, %s, z: [%s, %s]}", form, n(-tips), n(-body))
	}
	if tips > 0 {
		end := max(tips, body)
		w.line(3, "- {role: bend, %s, z: [%s, %s]}", form, n(-end-wireBend), n(-end))
	}
	w.measured("rear")
	if len(lugs) == 0 {
		return
	}
	w.line(2, "lugs:")
	for _, l := range lugs {
		w.line(3, "- {name: %s, at: [%s, %s]}", quote(l.Name), n(l.At[0].MM()), n(l.At[1].MM()))
	}
	w.measured("lugs")
}

// lugPlaces turns the rows of lugs, as seen from behind, into places as seen from the front.
func (a Answers) lugPlaces() []Lug {
	text := a.word("lugs")
	dx, dy := a.get("lug-across"), a.get("lug-up")
	if text == "" {
		return nil
	}
	rows := strings.Split(text, "/")
	var ls []Lug
	for r, row := range rows {
		names := strings.Fields(row)
		if len(names) > 1 && dx == 0 || len(rows) > 1 && dy == 0 {
			return nil // no place can be given
		}
		for c, name := range names {
			x := (float64(c) - float64(len(names)-1)/2) * dx
			y := (float64(len(rows)-1)/2 - float64(r)) * dy
			ls = append(ls, Lug{Name: name, At: [2]length.Length{length.Length(0 - x), length.Length(y)}})
		}
	}
	return ls
}

func (a Answers) writeWork(w *recordText) {
	reach := map[Class]string{
		Push: "push_button", Toggle: "toggle", Rocker: "slide_or_rocker", Slide: "slide_or_rocker", SlidePot: "slide_or_rocker",
		Key: "key_operated", Rotary: "rotary_selector", Encoder: "continuous_rotary", Pot: "continuous_rotary", Joystick: "thumbwheel",
	}[a.Class]
	if reach != "" {
		w.line(2, "reach: %s", reach)
	}
	number := func(field, key string) {
		if v := a.get(key); v > 0 {
			w.line(2, "%s: %s", field, n(v))
		}
	}
	number("force", "force")
	if s := a.word("action"); s == actMomentary || s == actLatching || s == actMaintained {
		w.line(2, "action: %s", s)
	}
	for _, k := range []string{"contacts", "track"} {
		if s := a.word(k); s != "" {
			w.line(2, "%s: %s", k, quote(s))
		}
	}
	number("positions", "positions")
	number("pulses", "pulses")
	number("detents", "detents")
	if a.word("push") == "yes" {
		w.line(2, "push: true")
	}
	if d := a.get("shaft"); d > 0 {
		s := "diameter: " + n(d)
		if f := a.word("shaft-form"); f != "" {
			s += ", form: " + quote(f)
		}
		if l := a.get("shaft-length"); l > 0 {
			s += ", length: " + n(l)
		}
		w.line(2, "shaft: {%s}", s)
		w.measured("shaft")
	}
	if v := a.get("lamp-drop"); v > 0 {
		s := "drop: " + n(v)
		if c := a.word("lamp-colour"); c != "" {
			s = "colour: " + quote(c) + ", " + s
		}
		if c := a.get("lamp-current"); c > 0 {
			s += ", current: " + n(c)
		}
		if r := a.get("lamp-rated"); r > 0 {
			s += ", rated: " + n(r)
		}
		w.line(2, "lamp: {%s}", s)
	}
	number("mass", "mass")
}
