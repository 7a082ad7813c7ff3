package face

import (
	"math"
	"slices"
	"strings"

	"knobwright/internal/drawing"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/length"
	"knobwright/internal/panel"
	"knobwright/internal/trust"
)

// ownLetters checks a control's letters against its own front parts and open holes.
func (k *checker) ownLetters(rs *remarks, x *item) {
	if len(x.words) == 0 {
		return
	}
	h := hit{}
	if worstFlat(&h, x.words, geom.Vec2{}, x.front) {
		role, have := h.rb, h.have
		sev := finding.Warn
		if role == panel.RoleSweep {
			sev = finding.Note
		}
		rs.add(remark{
			rule: &ruleLegendHidden, sev: sev, key: x.ctl.Part.ID + "/" + string(role), who: []*item{x}, measure: atLeast(have, 0), at: &h.at,
			say: func(n names) (string, string) {
				return "The letters of " + n.text + " are under " + n.or("its ", "their ") + part(role, x) + ".", k.mm(-have) + " of them are covered. Put them farther away."
			},
			why: "What is under a control is not read.", source: practice("", trust.High),
		})
		return
	}
	want := k.v.letterGap
	h = hit{have: want, want: want}
	found := false
	for i := range x.cuts {
		if c := &x.cuts[i]; c.cut.Blind == 0 && near(x.wordBox, geom.Vec2{}, c.box, want) && !covered(c, x) {
			found = flat(&h, &x.words[0], geom.Vec2{}, &c.shape) || found
		}
	}
	if found {
		have := h.have
		rs.add(remark{
			rule: &ruleLegendOverlap, sev: finding.Warn, key: x.ctl.Part.ID, who: []*item{x}, measure: atLeast(have, want), at: &h.at,
			say: func(n names) (string, string) {
				return "The letters of " + n.text + " meet " + n.or("its own hole.", "their own holes."), "Put them on another side, or farther away."
			},
			why: "Letters want " + k.mm(want) + " of face beside them.", source: k.p.Limits.Source(limLetterGap),
		})
	}
}

// glyphs looks for characters that cannot be lettered.
func (k *checker) glyphs(rs *remarks, x *item) {
	text, o := "", x.origin
	switch x.sort {
	case control:
		text = x.ctl.Legend.Text
		if x.ctl.Legend.Origin.Path != "" {
			o = x.ctl.Legend.Origin
		}
	case lettering:
		text = k.text(x).Text
	}
	if plain(text) {
		return
	}
	var bad []rune
	for _, r := range drawing.Missing(text) {
		if r != '\n' && !slices.Contains(bad, r) {
			bad = append(bad, r)
		}
	}
	y := *x
	y.origin = o
	if len(bad) == 0 {
		if coarse := drawing.Coarse(text); len(coarse) > 0 {
			rs.add(remark{
				rule: &ruleLegendGlyph, sev: finding.Note, key: o.Path, who: []*item{&y}, at: middleOf(x),
				say: func(n names) (string, string) {
					return "Some letters of " + n.text + " are drawn in coarse dots.", "Only a stand-in has " + runes(coarse) + ". It can be read; for fine lettering have it printed from a font of your own."
				},
				why: "The typefaces here are made for Latin, Greek, Cyrillic, Hebrew and Arabic letters.",
			})
		}
		return
	}
	rs.add(remark{
		rule: &ruleLegendGlyph, sev: finding.Stop, key: o.Path, who: []*item{&y}, at: middleOf(x),
		say: func(n names) (string, string) {
			return "The letters of " + n.text + " cannot all be drawn.", "No typeface here has " + runes(bad) + ". Write a word instead."
		},
		why: "What has no shape cannot be printed.",
	})
}

// plain reports whether a text is of ASCII alone, which the lettering face has in full.
func plain(s string) bool {
	for i := range len(s) {
		if (s[i] < ' ' || s[i] > '~') && s[i] != '\n' {
			return false
		}
	}
	return true
}

func runes(rs []rune) string {
	var s []string
	for _, r := range rs {
		s = append(s, "\""+string(r)+"\"")
	}
	return list(s).text
}

// text gives the panel's text behind a lettering item.
func (k *checker) text(x *item) *panel.Text {
	return &k.p.Texts[x.n-len(k.p.Controls)-len(k.p.Fixings)-len(k.p.Openings)]
}

func middleOf(x *item) *geom.Vec2 {
	if x.all.Min.X > x.all.Max.X {
		return nil
	}
	c := x.all.Centre()
	return &c
}

// letterSizes checks the height of all lettering, one finding for each height that is too small.
func (k *checker) letterSizes(rs *remarks) {
	arc := k.limit(limArc)
	far := 2 * k.p.Reading * math.Tan(arc/60/2*math.Pi/180)
	least := k.limit(limLeastCap)
	want, src, why := far, k.p.Limits.Source(limArc), "From "+k.mm(k.p.Reading)+" away, "+length.Plain(arc)+" minutes of arc are "+k.mm(far)+"."
	if least > far {
		want, src, why = least, k.p.Limits.Source(limLeastCap), "Smaller letters do not print cleanly."
	}
	for i := range k.items {
		x := &k.items[i]
		var height float64
		o, key, path := x.origin, "", ""
		var text string
		switch {
		case x.sort == control && len(x.words) > 0:
			l := &x.ctl.Legend
			height, text = l.Cap, l.Text
			if l.Origin.Path != "" {
				o = l.Origin
			}
			if math.Abs(height-k.p.Legend.Cap) < slack {
				key, path = "style", "face.legend.cap"
			} else {
				key, path = o.Path, o.Path+".cap"
			}
		case x.sort == lettering && len(x.words) > 0:
			t := k.text(x)
			height, text = t.Cap, t.Text
			key, path = o.Path, o.Path+".cap"
		default:
			continue
		}
		if height >= want-slack || strings.TrimSpace(text) == "" {
			continue
		}
		y := *x
		y.origin = o
		up := math.Ceil(want*10-1e-6) / 10
		v := k.num(up)
		h := height
		r := remark{
			rule: &ruleLegendSize, sev: finding.Warn, key: key, who: []*item{&y}, at: middleOf(x), measure: atLeast(height, want), why: why, source: src,
			say: func(n names) (string, string) {
				return "The letters of " + n.text + " are small.", k.mm(h) + " high; " + k.mm(up) + " can be read."
			},
		}
		if path != ".cap" {
			r.fixes = []finding.Fix{{Say: "Make the letters " + k.mm(up) + " high", Short: "cap: " + v, Edits: []finding.Edit{{Op: finding.Set, Path: path, Value: v}}}}
		}
		rs.add(r)
	}
}
