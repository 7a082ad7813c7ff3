package words

import (
	"embed"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strings"
	"sync"

	"go.yaml.in/yaml/v4"
)

// Sentences of the trades are made in English, where what they speak of is known: their other languages stand beside them, in said/de.yaml, a
// sentence with its gaps for a sentence with its gaps. What stands in a gap is taken over as it is, names above all; a gap whose name begins
// with _ is told too, when the catalogue has it.
//
//go:embed said/*.yaml
var saidFiles embed.FS

// form is one English sentence with gaps, and how another language says it.
type form struct {
	lits  []string // literal text round the gaps, one more than there are gaps
	gaps  []string
	other string
	size  int // of the literal text
}

// tongue is what a language knows to tell: plain sentences, and forms with gaps, those with most literal text first.
type tongue struct {
	plain map[string]string
	forms []form
}

var tongues = sync.OnceValue(func() map[Lang]*tongue {
	out := map[Lang]*tongue{}
	entries, err := saidFiles.ReadDir("said")
	if err != nil {
		panic(err) // the files are part of the program
	}
	for _, e := range entries {
		src, err := saidFiles.ReadFile("said/" + e.Name())
		if err != nil {
			panic(err)
		}
		var n yaml.Node
		if err := yaml.Unmarshal(src, &n); err != nil {
			panic(fmt.Sprintf("said/%s: %v", e.Name(), err))
		}
		t := &tongue{plain: map[string]string{}}
		if len(n.Content) > 0 {
			for i := 0; i+1 < len(n.Content[0].Content); i += 2 {
				t.learn(n.Content[0].Content[i].Value, n.Content[0].Content[i+1].Value)
			}
		}
		slices.SortStableFunc(t.forms, func(a, b form) int { return b.size - a.size })
		out[Lang(strings.TrimSuffix(e.Name(), path.Ext(e.Name())))] = t
	}
	return out
})

// slot is a gap in a sentence; other braces are text.
var slot = regexp.MustCompile(`\{[a-z_]+\}`)

func (t *tongue) learn(english, other string) {
	at := slot.FindAllStringIndex(english, -1)
	if at == nil {
		t.plain[english] = other
		return
	}
	f := form{other: other}
	from := 0
	for _, x := range at {
		f.lits, f.gaps = append(f.lits, english[from:x[0]]), append(f.gaps, english[x[0]+1:x[1]-1])
		from = x[1]
	}
	f.lits = append(f.lits, english[from:])
	for _, s := range f.lits {
		f.size += len(s)
	}
	t.forms = append(t.forms, f)
}

// match finds what stands in the gaps; every gap holds something. The literal text is looked for from the left, the last from the right.
func (f *form) match(s string) (map[string]string, bool) {
	last := len(f.lits) - 1
	if !strings.HasPrefix(s, f.lits[0]) || !strings.HasSuffix(s, f.lits[last]) || len(s) < f.size+last {
		return nil, false
	}
	s = s[len(f.lits[0]) : len(s)-len(f.lits[last])]
	got := map[string]string{}
	for i := range f.gaps {
		v := s
		if i+1 < last {
			if len(s) == 0 {
				return nil, false
			}
			k := strings.Index(s[1:], f.lits[i+1])
			if k < 0 {
				return nil, false
			}
			v, s = s[:k+1], s[k+1+len(f.lits[i+1]):]
		}
		if v == "" || strings.Contains(v, ". ") { // a gap is no sentence
			return nil, false
		}
		if old, ok := got[f.gaps[i]]; ok && old != v {
			return nil, false
		}
		got[f.gaps[i]] = v
	}
	return got, true
}

// looseSize is the literal text, in bytes, up to which a form that begins and ends with a gap says too little to be believed of a whole sentence: "{_a} and {_b}". It holds
// within a gap, and of a text whose parts are all known.
const looseSize = 6

// Tell says what the trades say in English in another language: the whole text, or sentence by sentence when all of them are known. ok is
// false when the language lacks it; then the text is given as it is.
func (l Lang) Tell(s string) (told string, ok bool) {
	t := tongues()[l]
	if t == nil || s == "" {
		return s, l == English || s == ""
	}
	return t.tell(s, 0)
}

func (t *tongue) tell(s string, deep int) (string, bool) {
	if x, ok := t.plain[s]; ok {
		return x, true
	}
	if deep > 3 {
		return s, false
	}
	if told, ok := t.pieces(s, deep); ok {
		return told, true
	}
next:
	for i := range t.forms {
		f := &t.forms[i]
		got, ok := f.match(s)
		loose := f.size <= looseSize && f.lits[0]+f.lits[len(f.lits)-1] == ""
		if !ok || loose && (strings.HasSuffix(s, ".") || strings.Contains(s, ". ")) {
			continue
		}
		for k, v := range got {
			if k[0] != '_' {
				if loose && deep == 0 && !number(v) {
					continue next
				}
				got[k] = t.measure(v)
				continue
			}
			said, ok := t.tell(v, deep+1)
			if ok {
				got[k] = said
			} else if loose {
				continue next
			}
		}
		return slot.ReplaceAllStringFunc(f.other, func(g string) string { return got[g[1:len(g)-1]] }), true
	}
	// sentence by sentence
	for i := 0; i+2 < len(s); i++ {
		if (s[i] == '.' || s[i] == ';') && s[i+1] == ' ' {
			a, ok := t.tell(s[:i+1], deep+1)
			if !ok {
				continue
			}
			if b, ok := t.tell(s[i+2:], 0); ok {
				return a + " " + b, true
			}
		}
	}
	return s, false
}

// number reports whether a text begins with a number.
func number(v string) bool { return v[0] == '~' || v[0] >= '0' && v[0] <= '9' }

// measure says the small words between numbers: "16.2 to 16.4 mm", "24 mm by 13.5 mm". What does not begin with a number is a name, and stays.
func (t *tongue) measure(v string) string {
	if !number(v) {
		return v
	}
	ws := strings.Split(v, " ")
	for i, w := range ws {
		if x, ok := t.plain[w]; ok && i > 0 && (w == "to" || w == "by" || w == "each" || w == "and") {
			ws[i] = x
		}
	}
	return strings.Join(ws, " ")
}

// pieces tells a name made of pieces: "Push button, 16 mm ring nut, lit". Sizes and codes are taken over.
func (t *tongue) pieces(s string, deep int) (string, bool) {
	if !strings.Contains(s, ", ") || strings.ContainsAny(s, ".;:") && strings.ContainsAny(s[len(s)-1:], ".;:") {
		return s, false
	}
	ps := strings.Split(s, ", ")
	some := false
	for i, p := range ps {
		if asItIs(p) {
			continue
		}
		if strings.HasPrefix(p, "and ") { // a sentence, no name
			return s, false
		}
		x, ok := t.plain[p]
		if !ok {
			if strings.Contains(p, ", ") {
				return s, false
			}
			if x, ok = t.tell(p, deep+1); !ok {
				return s, false
			}
		}
		ps[i], some = x, true
	}
	return strings.Join(ps, ", "), some
}

// units are words that every language has.
var units = map[string]bool{"(in)": true, "mm": true, "m": true, "ml": true, "in": true, "x": true, "g": true, "to": true}

// asItIs reports whether a piece is a size or a code: "16 mm", "AWG 24", "E12", "270 Ω", "1220 x 610 mm".
func asItIs(p string) bool {
	for _, w := range strings.Fields(p) {
		if !units[w] && strings.ToUpper(w) != w {
			return strings.HasSuffix(w, "Ω") && strings.Trim(w, "0123456789.kMΩ") == ""
		}
	}
	return true
}
