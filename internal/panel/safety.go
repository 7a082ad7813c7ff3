package panel

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"

	unicodenorm "golang.org/x/text/unicode/norm"

	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/trust"
)

// emergencyWords are ways to say emergency stop, as they stand after plainWords: whole words in this order. Stop alone is
// no emergency stop: a tape has one.
var emergencyWords = [][]string{
	{"emergency", "stop"}, {"emergency", "stops"}, {"emergency", "off"}, {"emergency", "shutdown"}, {"emergency", "switch"}, {"emergency", "button"},
	{"e", "stop"}, {"e", "stops"}, {"estop"}, {"estops"}, {"panic", "stop"}, {"safety", "stop"},
	{"not", "halt"}, {"nothalt"}, {"not", "aus"}, {"notaus"}, {"notstopp"}, {"not", "stopp"}, {"notausschalter"}, {"notstop"},
	{"arret", "d", "urgence"}, {"arret", "urgence"}, {"arretdurgence"}, {"coup", "d", "urgence"},
	{"parada", "de", "emergencia"}, {"paro", "de", "emergencia"}, {"parada", "emergencia"},
	{"arresto", "di", "emergenza"}, {"arresto", "emergenza"}, {"stop", "di", "emergenza"}, {"fungo", "di", "emergenza"},
	{"paragem", "de", "emergencia"}, {"noodstop"}, {"nodstopp"}, {"nodstop"}, {"nodstopknap"}, {"hata", "seis"}, {"hataseis"},
	{"wylacznik", "bezpieczenstwa"}, {"nouzove", "zastaveni"},
}

// emergencyBy and mainsBy have the ways by their first word.
var emergencyBy, mainsBy = byFirst(emergencyWords), byFirst(mainsWords)

func byFirst(ways [][]string) map[string][][]string {
	m := map[string][][]string{}
	for _, w := range ways {
		m[w[0]] = append(m[w[0]], w)
	}
	return m
}

// denials before such words say that it is not one: "this is no emergency stop".
var denials = map[string]bool{
	"no": true, "not": true, "never": true, "without": true, "isn": true, "kein": true, "keine": true, "keinen": true, "pas": true, "sans": true,
	"non": true, "geen": true, "ingen": true, "replaces": true, "replace": true,
}

// unaccented writes letters that Unicode does not take apart.
var unaccented = strings.NewReplacer("ł", "l", "ø", "o", "æ", "ae", "ß", "ss")

func ascii(s string) bool {
	for i := range len(s) {
		if s[i] >= 0x80 {
			return false
		}
	}
	return true
}

// plainWords parts a text into words of small letters without accents.
func plainWords(s string) []string {
	s = strings.ToLower(s)
	if ascii(s) {
		return strings.FieldsFunc(s, func(r rune) bool { return (r < 'a' || r > 'z') && (r < '0' || r > '9') })
	}
	s = unicodenorm.NFD.String(unaccented.Replace(s))
	s = strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Mn, r) {
			return -1
		}
		return r
	}, s)
	return strings.FieldsFunc(s, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
}

// looksLikeEmergencyStop gives the words of a text that name an emergency stop, "" when there are none or the text says
// that it is not one.
func looksLikeEmergencyStop(text string) string {
	w := plainWords(text)
	for i := range w {
		for _, e := range emergencyBy[w[i]] {
			if i+len(e) <= len(w) && equal(w[i:i+len(e)], e) && !denied(w[:i], 4) {
				return strings.Join(e, " ")
			}
		}
	}
	return ""
}

func equal(a, b []string) bool {
	for i := range b {
		if a[i] != b[i] {
			return false
		}
	}
	return true
}

// denied reports whether one of the last n words is a denial.
func denied(before []string, n int) bool {
	for _, w := range before[max(0, len(before)-n):] {
		if denials[w] {
			return true
		}
	}
	return false
}

var (
	// A voltage: a number, perhaps with a decimal comma, then V with or without AC or DC before or after; "2 x 115 V" is one too.
	voltage = regexp.MustCompile(`(?i)(?:\b(ac|dc)\s*|^|[^\p{L}\p{N}.,]|\d[\s\p{Zs}]*[x×*][\s\p{Zs}]*)(\d{1,6}(?:[.,]\d+)?)[\s\p{Zs}]*(kV|V|volts?)(?:[\s\p{Zs}]*(~|AC|DC|a\.c\.|d\.c\.|≈|⎓|rms|eff))?(?:$|[^\p{L}\p{N}])`)
)

// The limits of extra-low voltage that this program keeps to: 60 V DC, 25 V AC (the lower bounds for dry places in
// IEC 60364-4-41, without further protection).
const (
	maxDC = 60
	maxAC = 25
)

// highVoltage gives the first voltage of a text that is too high, as written, and what it is in volts.
func highVoltage(text string) (written string, volts, most float64) {
	if !strings.ContainsAny(text, "vV") || !strings.ContainsAny(text, "0123456789") {
		return "", 0, 0 // the usual name or note
	}
	for at := 0; at < len(text); {
		m := voltage.FindStringSubmatchIndex(text[at:])
		if m == nil {
			return "", 0, 0
		}
		sub := func(i int) string {
			if m[2*i] < 0 {
				return ""
			}
			return text[at+m[2*i] : at+m[2*i+1]]
		}
		v, err := strconv.ParseFloat(strings.ReplaceAll(sub(2), ",", "."), 64)
		if strings.EqualFold(sub(3), "kV") {
			v *= 1000
		}
		kind := strings.ToLower(strings.ReplaceAll(sub(1)+sub(4), ".", ""))
		most := float64(maxDC)
		if strings.Contains(kind, "ac") || strings.Contains(kind, "~") || strings.Contains(kind, "≈") || kind == "rms" || kind == "eff" {
			most = maxAC
		}
		if err == nil && v > most {
			end := m[7]
			if m[8] >= 0 {
				end = m[9]
			}
			return strings.TrimSpace(text[at+m[4] : at+end]), v, most
		}
		at += m[5] // go on behind this number
	}
	return "", 0, 0
}

// mainsWords name the wall socket's voltage.
var mainsWords = [][]string{
	{"mains"}, {"line", "voltage"}, {"wall", "socket", "voltage"}, {"wall", "outlet", "voltage"}, {"household", "current"}, {"netzspannung"}, {"netzstrom"},
	{"tension", "secteur"}, {"courant", "secteur"}, {"tension", "de", "red"}, {"tensione", "di", "rete"}, {"netspanning"}, {"natspanning"}, {"netspaending"},
}

func namesMains(text string) string {
	w := plainWords(text)
	for i := range w {
		for _, e := range mainsBy[w[i]] {
			if i+len(e) <= len(w) && equal(w[i:i+len(e)], e) && !denied(w[:i], 3) {
				return strings.Join(e, " ")
			}
		}
	}
	return ""
}

// safety looks for what this tool must not help with: controls that look like an emergency stop, mains, and voltages
// above extra-low voltage.
func (pl *placer) safety() {
	p := pl.p
	pl.emergency(p.Title, finding.End{Name: "the title", Path: "title", Pos: pl.pos("title")}, nil)
	pl.emergency(p.Notes, finding.End{Name: "the notes", Path: "notes", Pos: pl.pos("notes")}, nil)
	for _, t := range p.Texts {
		pl.emergency(t.Text, t.Origin.End(), spot(t.Middle.Vec2))
		pl.speaksOfMains(t.Origin.End(), spot(t.Middle.Vec2), t.Text)
	}
	pl.speaksOfMains(finding.End{Name: "the title", Path: "title", Pos: pl.pos("title")}, nil, p.Title)
	pl.mains(p.Notes, finding.End{Name: "the notes", Path: "notes", Pos: pl.pos("notes")}, true)
	for _, q := range p.Sheets() {
		for _, c := range q.Controls {
			at := spot(c.At.Vec2)
			if q != p {
				at = nil // Place is on the face
			}
			pl.controlSafety(c, at)
		}
	}
	for _, c := range p.Waiting {
		pl.controlSafety(c, nil)
	}
}

func (pl *placer) controlSafety(c *Control, at *finding.Place) {
	end := c.Origin.End()
	words := ": " + strings.TrimSuffix(c.Label, " ("+c.Name+")") + "|" + c.Note + "|" + c.Sends + "|" + c.adjusted
	pl.once("safety of " + c.Name + words)
	if c.From != "" && pl.told["safety of "+c.From+words] {
		return // said of the control that this one is a copy of
	}
	said := false
	for _, text := range []string{strings.Join(c.Legend.Lines, " "), c.Label, c.Name, c.Note, c.Sends} {
		if !said {
			said = pl.emergency(text, end, at)
		}
	}
	said = false
	for _, text := range []string{c.Note, c.Sends, c.adjusted} {
		if !said {
			said = pl.mains(text, end, true)
		}
	}
	if !said {
		said = pl.speaksOfMains(end, at, strings.Join(c.Legend.Lines, " "), c.Label, c.Name)
	}
	if v := c.Part.Lamp.Rated; v > maxDC && !said {
		pl.refuse(length.Plain(v)+" V", v, maxDC, end)
	}
}

func (pl *placer) emergency(text string, end finding.End, at *finding.Place) bool {
	words := looksLikeEmergencyStop(text)
	if words == "" {
		return false
	}
	pl.say(ruleEmergency, finding.Finding{
		Head: finding.Capital(end.Name) + verb(end, " reads", " read") + " like an emergency stop (" + words + ").",
		Body: "This panel sends messages to a computer: an input device is not a safety function. Name it by what it does, and leave emergency stops to a circuit made for it.",
		Ends: []finding.End{end}, Place: at,
		Why:    "An emergency stop must work by itself, without a program in between.",
		Source: trust.Source{Text: "ISO 13850, IEC 60204-1", Provenance: trust.Memory, Confidence: trust.High},
	})
	return true
}

// mains reports voltages that are too high and, with words, the words for mains.
func (pl *placer) mains(text string, end finding.End, words bool) bool {
	if w, v, most := highVoltage(text); w != "" {
		pl.refuse(w, v, most, end)
		return true
	}
	if w := namesMains(text); words && w != "" {
		pl.refuse(w, 0, 0, end)
		return true
	}
	return false
}

// speaksOfMains looks at what a thing is called: a voltage that is too high is refused; the word mains alone may mean a curtain,
// so it is warned about.
func (pl *placer) speaksOfMains(end finding.End, at *finding.Place, texts ...string) bool {
	for _, text := range texts {
		if pl.mains(text, end, false) {
			return true
		}
	}
	for _, text := range texts {
		w := namesMains(text)
		if w == "" {
			continue
		}
		pl.found = append(pl.found, finding.Finding{
			Rule: ruleMains.Name, Severity: finding.Warn,
			Head: finding.Capital(end.Name) + " speaks of " + w + ".",
			Body: "If this switches mains it is refused here: ask a licensed electrician. If it does not, a name without that word keeps people from asking.",
			Ends: []finding.End{end}, Place: at,
			Why:    "Above extra-low voltage a wrong distance or a loose wire can kill.",
			Source: trust.Source{Text: "IEC 60364-4-41, extra-low voltage", Provenance: trust.Memory, Confidence: trust.Medium},
		})
		return true
	}
	return false
}

func (pl *placer) refuse(written string, v, most float64, end finding.End) {
	f := finding.Finding{
		Head: "Mains is refused here. Ask a licensed electrician.",
		Body: finding.Capital(end.Name) + verb(end, " speaks", " speak") + " of " + written + ". Panels of this tool run from USB; the limit is " + itoa(maxDC) + " V DC or " + itoa(maxAC) + " V AC.",
		Ends: []finding.End{end}, Why: "Above extra-low voltage a wrong distance or a loose wire can kill.",
		Source: trust.Source{Text: "IEC 60364-4-41, extra-low voltage", Provenance: trust.Memory, Confidence: trust.Medium},
	}
	if v > 0 {
		f.Measure = &finding.Measure{Have: v, Want: most, Unit: "V", Sense: finding.AtMost}
	}
	pl.say(ruleMains, f)
}

// verb picks the form of a verb for an end: the notes are several.
func verb(end finding.End, one, many string) string {
	if end.Path == "notes" {
		return many
	}
	return one
}
