// Package terminal prints findings for people at a terminal: plain words first, then the have/want ruler, then what to do
// and why. Without colour the same bytes come out as plain ASCII layout; nothing hangs on hue.
package terminal

import (
	"fmt"
	"io"
	"strings"
	"unicode"

	"github.com/mattn/go-runewidth"

	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

// Style says how to print.
type Style struct {
	Colour bool
	Width  int // columns; 0 = 72
}

const (
	indent = 7
	left   = "       "
)

func (s Style) width() int {
	if s.Width <= 0 {
		return 72
	}
	return min(max(s.Width, 50), 100)
}

func (s Style) paint(code, text string) string {
	if !s.Colour || text == "" {
		return text
	}
	return "\x1b[" + code + "m" + text + "\x1b[0m"
}

// Bold makes text bold on a colour terminal.
func (s Style) Bold(t string) string { return s.paint("1", t) }

// Quiet makes text faint on a colour terminal.
func (s Style) Quiet(t string) string { return s.paint("2", t) }
func (s Style) bad(t string) string   { return s.paint("31", t) }
func (s Style) you(t string) string   { return s.paint("35", t) }

// Clean makes text from a file safe to show: control characters, among them escape sequences, and marks that turn the
// direction of writing are taken out; line breaks become spaces.
func Clean(t string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r == '\n' || r == '\t':
			return ' '
		case unicode.IsControl(r), r >= 0x202A && r <= 0x202E, r >= 0x2066 && r <= 0x2069, r == 0x200E, r == 0x200F:
			return -1
		}
		return r
	}, t)
}

// Finding prints one finding.
func (s Style) Finding(w io.Writer, f finding.Finding) {
	f.Head, f.Body, f.Why, f.Kept = Clean(f.Head), Clean(f.Body), Clean(f.Why), Clean(f.Kept)
	tag, word := " NOTE ", s.Quiet(" NOTE ")
	switch f.Severity {
	case finding.Stop:
		tag, word = " STOP ", s.paint("1;7;31", " STOP ")
	case finding.Warn:
		tag, word = " WARN ", s.paint("1;31", "[WARN]")
	}
	if !s.Colour {
		word = tag
	}
	where := place(f.Pos())
	room := s.width() - indent
	heads := Wrap(f.Head, room)
	last := heads[len(heads)-1]
	gap := room - runewidth.StringWidth(last) - len(where)
	for i, h := range heads {
		pre := left
		if i == 0 {
			pre = word + " "
		}
		line := s.Bold(h)
		if i == len(heads)-1 && where != "" && gap >= 2 {
			line += strings.Repeat(" ", gap) + s.Quiet(where)
		}
		fmt.Fprintln(w, pre+line)
	}
	if where != "" && gap < 2 {
		fmt.Fprintln(w, left+s.Quiet(where))
	}
	s.para(w, "", f.Body)
	s.ends(w, f)
	if f.Measure != nil {
		fmt.Fprintln(w)
		s.ruler(w, *f.Measure)
		fmt.Fprintln(w)
	}
	if f.Kept != "" {
		s.para(w, "Kept", f.Kept)
	} else if len(f.Fixes) > 0 {
		s.fix(w, f)
	}
	why := f.Why
	if src := because(f.Source); src != "" {
		why = strings.TrimSpace(why + " " + src)
	}
	s.para(w, "Why", why)
	s.columns(w, "Rule", f.Rule, "knobwright explain "+f.Rule)
	fmt.Fprintln(w)
}

// ends tells where the other ends of a finding stand, at most three of them.
func (s Style) ends(w io.Writer, f finding.Finding) {
	var others []finding.End
	for _, e := range f.Ends[min(1, len(f.Ends)):] {
		if e.Pos.Line > 0 && e.Pos.Line != f.Pos().Line {
			others = append(others, e)
		}
	}
	const most = 3
	for i, e := range others {
		word := "the other end: "
		if len(others) > 1 {
			word = "also: "
		}
		if i == most-1 && len(others) > most {
			fmt.Fprintln(w, left+s.Quiet(fmt.Sprintf("also: %d more, to line %d", len(others)-i, others[len(others)-1].Pos.Line)))
			return
		}
		fmt.Fprintln(w, left+s.Quiet(word+Clean(e.Name)+", "+place(e.Pos)))
	}
}

// because makes the source a short sentence.
func because(src trust.Source) string {
	switch {
	case src == (trust.Source{}):
		return ""
	case src.Text == "" && src.Provenance == trust.Practice:
		return "Common practice, no source."
	case src.Text == "" && src.Provenance == trust.Memory:
		return "From memory, no source."
	case src.Text == "":
		return ""
	}
	t := []rune(Clean(src.String()))
	t[0] = unicode.ToUpper(t[0])
	return strings.TrimSuffix(string(t), ".") + "."
}

func (s Style) fix(w io.Writer, f finding.Finding) {
	fx := f.Fixes[0]
	do := fx.Short
	if do == "" {
		do = fx.Say
	}
	run := "knobwright fix " + f.Rule
	if name := fx.Target(); name != "" {
		run = "knobwright fix " + Clean(name)
	}
	s.columns(w, "Do", Clean(do), "or run "+run)
	if fx.Say != "" && fx.Say != do {
		s.para(w, "", Clean(fx.Say)+".")
	}
}

// columns prints "Key  a          b", b in a second column when both fit, else below.
func (s Style) columns(w io.Writer, key, a, b string) {
	head := left + s.Quiet(fmt.Sprintf("%-5s", key))
	room := s.width() - indent - 5
	if first := max(runewidth.StringWidth(a)+1, 28); first+runewidth.StringWidth(b) <= room {
		fmt.Fprintf(w, "%s%s%s%s\n", head, s.you(a), pad(a, 28), s.Quiet(b))
		return
	}
	for i, l := range Wrap(a, room) {
		if i > 0 {
			head = left + "     "
		}
		fmt.Fprintln(w, head+s.you(l))
	}
	fmt.Fprintln(w, left+"     "+s.Quiet(b))
}

func pad(t string, n int) string {
	return strings.Repeat(" ", max(n-runewidth.StringWidth(t), 1))
}

// para prints wrapped text under an optional key.
func (s Style) para(w io.Writer, key, text string) {
	if text == "" {
		return
	}
	in := 0
	if key != "" {
		in = 5
	}
	for i, l := range Wrap(text, s.width()-indent-in) {
		k := strings.Repeat(" ", in)
		if i == 0 && key != "" {
			k = s.Quiet(fmt.Sprintf("%-5s", key))
		}
		fmt.Fprintln(w, left+k+l)
	}
}

func (s Style) ruler(w io.Writer, m finding.Measure) {
	r := newRuler(m)
	pre := left + " "
	fmt.Fprintln(w, pre+s.Quiet(r.labels))
	fmt.Fprintln(w, pre+r.bar[:r.mark]+s.bad("#")+s.Bold(r.bar[r.mark+1:]))
	line := r.words
	if s.Colour {
		a, b := line[r.haveAt:r.haveTo], ""
		if r.haveAt < r.wantAt {
			b = line[r.wantAt:]
			line = line[:r.haveAt] + s.bad(a) + line[r.haveTo:r.wantAt] + s.Bold(b)
		} else {
			b = line[r.wantAt:r.haveAt]
			line = line[:r.wantAt] + s.Bold(b) + s.bad(a)
		}
	}
	fmt.Fprintln(w, pre+line)
}

func place(p finding.Pos) string {
	if p.Line == 0 {
		return ""
	}
	name := p.File
	if i := strings.LastIndexAny(name, `/\`); i >= 0 {
		name = name[i+1:]
	}
	return fmt.Sprintf("%s, line %d", Clean(name), p.Line)
}

// Wrap breaks text into lines of at most width columns, at spaces; a longer word stands alone.
func Wrap(text string, width int) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(text) {
		if line != "" && runewidth.StringWidth(line)+1+runewidth.StringWidth(word) > width {
			lines = append(lines, line)
			line = ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}

// Verdict is the last word on a set of findings: "1 stop, 1 warning. Do not cut yet."
func Verdict(fs []finding.Finding) string {
	stops, warns, notes := finding.Count(fs)
	kept := 0
	for _, f := range fs {
		if f.Kept != "" {
			kept++
		}
	}
	var parts []string
	for _, c := range []struct {
		n         int
		one, many string
	}{{stops, "stop", "stops"}, {warns, "warning", "warnings"}, {notes, "note", "notes"}} {
		if c.n == 1 {
			parts = append(parts, "1 "+c.one)
		} else if c.n > 1 {
			parts = append(parts, fmt.Sprintf("%d %s", c.n, c.many))
		}
	}
	unfinished := false
	for _, f := range fs {
		unfinished = unfinished || f.Rule == "place.unfinished"
	}
	text := "Nothing found"
	if len(parts) > 0 {
		text = strings.Join(parts, ", ")
	}
	if kept > 0 {
		text += fmt.Sprintf(", %d kept on purpose", kept)
	}
	switch {
	case stops > 0:
		return text + ". Do not cut yet."
	case warns > 0:
		if unfinished {
			return text + ". Not finished yet; read the warnings."
		}
		return text + ". It can be built; read the warnings first."
	case unfinished:
		return text + ". Not finished yet; what is there fits."
	}
	return text + ". This fits."
}
