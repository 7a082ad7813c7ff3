package intake

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"knobwright/internal/geom"
)

// File writes a plan as a panel file, with guesses by hole as Guesses gives them. title may be empty. What was guessed stands in comments.
func (p *Plan) File(title, from string, gs []*Guess) []byte {
	var b strings.Builder
	u := unit(1)
	if p.Inch {
		u = inch
	}
	line := func(f string, a ...any) { fmt.Fprintf(&b, f+"\n", a...) }
	line("# yaml-language-server: $schema=knobwright.schema.json")
	line("# Started from %s. What the drawing does not say was guessed: look at every line.", comment(from))
	for _, n := range p.Notes {
		line("# %s", comment(n))
	}
	line("knobwright: 1")
	line("title: %s", quoted(title))
	line("units: %s", map[bool]string{false: "mm", true: "in"}[p.Inch])
	line("")
	line("face:")
	if p.Rack > 0 {
		line("  rack: %d", p.Rack)
	} else {
		line("  width: %s", u.len(p.Width))
		line("  height: %s", u.len(p.Height))
		if p.Corner > 0 {
			line("  corner: %s", u.len(p.Corner))
		}
	}
	line("  sheet: acrylic-3mm   # the drawing does not say: name what you have")
	if len(p.Screws) > 0 && p.Rack == 0 {
		var at []string
		for _, s := range p.Screws {
			at = append(at, fmt.Sprintf("[%s, %s]", u.len(s.At.X), u.len(s.At.Y)))
		}
		line("  fixings: {screw: %s, at: [%s]}", p.Screws[0].Size, strings.Join(at, ", "))
	}
	names := map[string]bool{}
	var controls, holes []string
	n := 0
	for i, h := range p.Holes {
		n++
		if g := gs[i]; g != nil {
			controls = append(controls, u.control(h, g, name(h, n, names)))
		} else {
			holes = append(holes, u.opening(h, name(h, n, names)))
		}
	}
	if len(holes) > 0 {
		line("  holes:   # no part of the catalogue goes in here")
		for _, s := range holes {
			line("    %s", s)
		}
	}
	if len(p.Texts) > 0 {
		line("  texts:")
		for i, t := range p.Texts {
			line("    text-%d: {text: %s, at: [%s, %s]}", i+1, quoted(t.Text), u.len(t.At.X), u.len(t.At.Y))
		}
	}
	line("")
	if len(controls) == 0 {
		line("controls: {}   # no hole takes a part of the catalogue")
		return []byte(b.String())
	}
	line("controls:")
	for _, s := range controls {
		line("  %s", s)
	}
	return []byte(b.String())
}

// unit writes lengths of the file: mm in one of them.
type unit float64

func (u unit) len(mm float64) string {
	if u == inch {
		v := math.Round(mm/inch*1e4) / 1e4 // a ten-thousandth is 2.5 micrometres
		if v == 0 {
			v = 0 // no minus before a zero
		}
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	return num(mm)
}

func (u unit) size(h Hole) string {
	if u != inch {
		return size(h)
	}
	if h.Form == Round {
		return u.len(h.W) + " in"
	}
	return u.len(h.W) + " x " + u.len(h.H) + " in"
}

func (u unit) control(h Hole, g *Guess, name string) string {
	s := fmt.Sprintf("%s: {part: %s, at: [%s, %s]", name, g.Part.ID, u.len(g.At.X), u.len(g.At.Y))
	if g.Turn != 0 {
		s += fmt.Sprintf(", turn: %s deg", num(g.Turn))
	}
	if h.Legend != "" {
		s += ", legend: " + quoted(h.Legend)
	}
	s += "}"
	var why []string
	if g.Off > 0.02 {
		why = append(why, fmt.Sprintf("the drawing has %s", u.size(h)))
	}
	if len(g.Others) > 0 {
		o := g.Others
		if len(o) > 3 {
			o = o[:3]
		}
		why = append(why, fmt.Sprintf("%s also takes %s", u.size(h), strings.Join(o, ", ")))
	}
	if len(why) > 0 {
		s += "   # " + strings.Join(why, "; ")
	}
	return s
}

func size(h Hole) string {
	if h.Form == Round {
		return num(h.W) + " mm"
	}
	return num(h.W) + " x " + num(h.H) + " mm"
}

func (u unit) opening(h Hole, name string) string {
	at := fmt.Sprintf("at: [%s, %s]", u.len(h.At.X), u.len(h.At.Y))
	turn := ""
	if h.Turn != 0 && h.Form != Round {
		turn = fmt.Sprintf(", turn: %s deg", num(h.Turn))
	}
	switch h.Form {
	case Round:
		return fmt.Sprintf("%s: {round: %s, %s}", name, u.len(h.W), at)
	case Slot:
		return fmt.Sprintf("%s: {slot: [%s, %s], %s%s}", name, u.len(h.W), u.len(h.H), at, turn)
	case Rect:
		c := ""
		if h.Corner > 0 {
			c = ", corner: " + u.len(h.Corner)
		}
		return fmt.Sprintf("%s: {rect: [%s, %s]%s, %s%s}", name, u.len(h.W), u.len(h.H), c, at, turn)
	case Notched:
		return fmt.Sprintf("%s: {round: %s, %s}   # the drawing has a key notch in it, %s over all", name, u.len(h.W), at, u.len(h.H))
	case DoubleD, SingleD:
		return fmt.Sprintf("%s: {round: %s, %s}   # the drawing has a hole with a flat, %s across it", name, u.len(h.W), at, u.len(h.H))
	}
	return fmt.Sprintf("%s: {rect: [%s, %s], %s}   # the drawing has another shape; this is the rectangle round it", name, u.len(h.W), u.len(h.H), at)
}

// name makes a name for the file: of the list, of the legend, or by counting.
func name(h Hole, n int, used map[string]bool) string {
	s := slug(h.Name)
	if s == "" {
		s = slug(h.Legend)
	}
	if s == "" {
		s = "hole-" + strconv.Itoa(n)
	}
	for base, k := s, 2; used[s]; k++ {
		s = base + "-" + strconv.Itoa(k)
	}
	used[s] = true
	return s
}

// slug keeps letters and digits, and puts a dash between words.
func slug(s string) string {
	var b strings.Builder
	dash := false
	for _, r := range strings.ToLower(s) {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			if dash && b.Len() > 0 {
				b.WriteByte('-')
			}
			dash = false
			b.WriteRune(r)
		} else {
			dash = true
		}
		if b.Len() > 30 {
			break
		}
	}
	s = b.String()
	if s == "" || s[0] >= '0' && s[0] <= '9' {
		if s != "" {
			return "c" + s
		}
		return ""
	}
	if slices.Contains([]string{"null", "true", "false", "yes", "no", "on", "off", "y", "n"}, s) {
		return s + "-1"
	}
	return s
}

// quoted writes a text so that YAML reads it back as it is.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(plain(s)) + `"`
}

// plain puts a blank in place of what a text file may not hold, or what would break a line.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) && r != '\u00ad' {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, " "))
}

func comment(s string) string { return strings.Join(strings.Fields(plain(s)), " ") }

func num(v float64) string {
	v = math.Round(v*1000) / 1000
	if v == 0 {
		v = 0 // no minus before a zero
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// Spread is the box round the holes, for a list without a face.
func (p *Plan) Spread() geom.Box2 {
	b := geom.EmptyBox2()
	for _, h := range p.Holes {
		b = b.Extend(h.At)
	}
	return b
}
