package face

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
	"knobwright/internal/trust"
)

// remark is something about a thing by itself: its part, its holes, its letters. Remarks with one key are one finding about
// all of them, because twenty buttons of one part do not need twenty sentences.
type remark struct {
	rule    *finding.Rule
	sev     finding.Severity
	key     string
	who     []*item
	measure *finding.Measure
	say     func(n names) (head, body string)
	why     string
	source  trust.Source
	at      *geom.Vec2
	fixes   []finding.Fix
}

// lack is how much is missing, whichever way the measure goes.
func (r *remark) lack() float64 {
	m := r.measure
	switch {
	case m == nil:
		return 0
	case m.Sense == finding.AtMost:
		return m.Have - m.Want
	case m.Sense == finding.Between:
		return max(m.Want-m.Have, m.Have-m.WantMax)
	}
	return m.Want - m.Have
}

// remarks gathers them; the first of a key gives the place in the list, the worst one the numbers.
type remarks struct {
	k    *checker
	list []remark
	by   map[string]int
}

func (rs *remarks) add(r remark) {
	if r.sev == finding.Warn && r.measure != nil && r.measure.Unit == "mm" && r.lack() < petty {
		return
	}
	if rs.by == nil {
		rs.by = map[string]int{}
	}
	key := r.rule.Name + "\x00" + r.sev.String() + "\x00" + r.key + "\x00" + rs.k.keptKey(r.rule.Name, r.who...)
	i, ok := rs.by[key]
	if !ok {
		rs.by[key] = len(rs.list)
		rs.list = append(rs.list, r)
		return
	}
	old := &rs.list[i]
	who := append(old.who, r.who...)
	if r.lack() > old.lack()+slack {
		*old = r
	}
	old.who = who
}

func atLeast(have, want float64) *finding.Measure {
	return &finding.Measure{Have: have, Want: want, Unit: "mm", Sense: finding.AtLeast}
}

// own checks what is a thing's own affair, wherever it stands.
func (k *checker) own() []remark {
	rs := remarks{k: k}
	for i := range k.items {
		x := &k.items[i]
		k.glyphs(&rs, x)
		k.corners(&rs, x)
		switch x.sort {
		case control:
			grips := k.grip(&rs, x)
			k.thread(&rs, x, grips)
			k.depth(&rs, x)
			k.antiTurn(&rs, x)
			k.hides(&rs, x)
			k.covers(&rs, x)
			k.rubs(&rs, x)
			k.ownLetters(&rs, x)
		case fixing:
			k.lands(&rs, x)
		}
	}
	k.letterSizes(&rs)
	return rs.list
}

// antiTurn checks a control's smaller holes against its main hole, and blind ones against the front of the sheet.
func (k *checker) antiTurn(rs *remarks, x *item) {
	for i := 1; i < len(x.cuts); i++ {
		c := &x.cuts[i]
		if c.cut.What == "anti-turn" {
			main := &x.cuts[0]
			s := gap2(&c.shape, geom.Vec2{}, &main.shape)
			web := s.gap - c.grow - main.grow
			want := k.limit(limTabWeb)
			if web < want-slack {
				over := s.gap < 0
				rs.add(remark{
					rule: &ruleAntiTurn, sev: finding.Warn, key: x.ctl.Part.ID, who: []*item{x}, measure: atLeast(web, want), at: &s.at,
					say: func(n names) (string, string) {
						if over {
							return "The anti-turn " + n.or("hole", "holes") + " of " + n.text + n.or(" breaks", " break") + " into the main hole.",
								"They overlap by " + k.mm(-s.gap) + ". Break the tab off, or file a notch instead."
						}
						return "Little sheet is left beside the anti-turn " + n.or("hole", "holes") + " of " + n.text + ".",
							k.mm(max(web, 0)) + " may be left to the main hole. Break the tab off, or file a notch instead."
					},
					why: "A thin wall breaks out while drilling.", source: k.p.Limits.Source(limTabWeb),
				})
			}
		}
		if c.cut.Blind > 0 && k.p.Stack.SheetThickness > 0 {
			left, want := k.p.Stack.SheetThickness-c.cut.Blind, k.limit(limBlind)
			if left < want-slack {
				rs.add(remark{
					rule: &ruleAntiTurn, sev: finding.Warn, key: x.ctl.Part.ID + "/blind", who: []*item{x}, measure: atLeast(left, want), at: &c.cut.At.Vec2,
					say: func(n names) (string, string) {
						return "The anti-turn " + n.or("hole", "holes") + " of " + n.text + n.or(" nearly comes", " nearly come") + " through the front.",
							k.mm(left) + " of sheet is left in front of " + n.or("it", "them") + ". Set the depth stop on scrap first."
					},
					why: "Less sheet shows as a bump in front.", source: k.p.Limits.Source(limBlind),
				})
			}
		}
	}
}

// corners looks for sharp corners in brittle sheet.
func (k *checker) corners(rs *remarks, x *item) {
	if !k.stock.brittle {
		return
	}
	want := k.limit(limCorner)
	for i := range x.cuts {
		c := x.cuts[i].cut
		r := c.Spec.Corner.MM()
		if c.Spec.Rect == nil || r >= want-slack {
			continue
		}
		m := remark{
			rule: &ruleCorner, sev: finding.Note, who: []*item{x}, measure: atLeast(r, want), at: &c.At.Vec2,
			say: func(n names) (string, string) {
				return "The square " + n.or("hole", "holes") + " of " + n.text + n.or(" has", " have") + " sharp corners.",
					"Drill a hole in each corner first, saw between them, and file the corners last."
			},
			why: "A crack starts in a sharp corner of " + k.stock.say + ".", source: k.p.Limits.Source(limCorner),
		}
		if x.sort == control {
			m.key = x.ctl.Part.ID
		} else {
			m.sev = finding.Warn
			if p := x.origin.Path; p != "" {
				v := k.num(want)
				m.fixes = []finding.Fix{{Say: "Round the corners to " + k.mm(want), Short: "corner: " + v, Edits: []finding.Edit{{Op: finding.Set, Path: p + ".corner", Value: v}}}}
			}
		}
		rs.add(m)
	}
}

// hides checks that bezel, nut or washer in front cover the hole, also when it is at its largest and off its mark.
func (k *checker) hides(rs *remarks, x *item) {
	if len(x.cuts) == 0 {
		return
	}
	main := &x.cuts[0]
	best, seen := math.Inf(-1), false
	for i := range x.rims {
		s := &x.rims[i]
		switch s.role {
		case panel.RoleBezel, panel.RoleNut, panel.RoleGuard:
			if m := margin(s, &main.shape); m > best {
				best, seen = m, true
			}
		}
	}
	if !seen {
		return
	}
	have, want := best-main.grow-k.v.wander, k.limit(limHide)
	if have < want-slack {
		sev := finding.Note
		if have < -slack {
			sev = finding.Warn
		}
		rs.add(remark{
			rule: &ruleHides, sev: sev, key: x.ctl.Part.ID, who: []*item{x}, measure: atLeast(have, want), at: &x.ctl.At.Vec2,
			say: func(n names) (string, string) {
				body := "At its largest and off its mark, the hole is covered by " + k.mm(max(have, 0)) + " only."
				if have < 0 {
					body = "At its largest and off its mark, the hole shows by " + k.mm(-have) + "."
				}
				return n.text + " barely " + n.or("hides its hole.", "hide their holes."), body
			},
			why: "The rim lies " + k.mm(best) + " over the edge of the hole on paper.", source: k.p.Limits.Source(limHide),
		})
	}
	if kind := k.p.Stack.Covering.Kind; kind == "film" || kind == "card" {
		return // laid over the drilled sheet, it hides the small holes
	}
	for i := 1; i < len(x.cuts); i++ {
		c := &x.cuts[i]
		if c.cut.What != "anti-turn" || c.cut.Blind > 0 || covered(c, x) {
			continue
		}
		rs.add(remark{
			rule: &ruleHides, sev: finding.Note, key: "anti-turn", who: []*item{x}, at: &c.cut.At.Vec2,
			say: func(n names) (string, string) {
				return "The anti-turn " + n.or("hole", "holes") + " of " + n.text + n.or(" shows", " show") + " in front.",
					"Drill " + n.or("it", "them") + " from behind and not through, or break the " + n.or("tab", "tabs") + " off."
			},
			why: "Nothing in front lies over it.", source: practice("", trust.Medium),
		})
	}
}

// covers notes the holes that the covering makes smaller, once for the panel.
func (k *checker) covers(rs *remarks, x *item) {
	by := 2 * k.p.Stack.CoverThickness
	if k.p.Stack.CoverHoles == "trimmed" || k.p.Stack.CoverHoles == "" || by < 0.02 || len(x.cuts) == 0 {
		return
	}
	how := "folded into the holes"
	if k.p.Stack.CoverHoles == "coated" {
		how = "on the edges of the holes"
	}
	rs.add(remark{
		rule: &ruleHoleCover, sev: finding.Note, who: []*item{x},
		say: func(n names) (string, string) {
			return "The covering makes the " + n.or("hole", "holes") + " of " + n.text + " smaller by " + k.mm(by) + ".",
				"It lies " + how + ", so the plan drills them larger by as much. Try one in scrap with the covering on."
		},
		why: "Twice " + k.mm(k.p.Stack.CoverThickness) + " of covering.", source: k.p.Stack.Covering.Trust["thickness"],
	})
}

// rubs looks for knobs that stand on the face.
func (k *checker) rubs(rs *remarks, x *item) {
	want := k.limit(limKnobLift)
	for i := range x.rims {
		s := &x.rims[i]
		if s.role != panel.RoleKnob || s.z0 >= want-slack {
			continue
		}
		sev, have := finding.Warn, s.z0
		if have <= slack {
			sev = finding.Stop
		}
		rs.add(remark{
			rule: &ruleTouch, sev: sev, key: "rubs/" + x.ctl.Part.ID, who: []*item{x}, measure: atLeast(have, want), at: &x.ctl.At.Vec2,
			say: func(n names) (string, string) {
				if have <= slack {
					return "The " + n.or("knob", "knobs") + " of " + n.text + n.or(" rubs", " rub") + " on the face.",
						"The shaft stands out too little for this stack. Thin the sheet from behind, or take a longer shaft."
				}
				return "The " + n.or("knob", "knobs") + " of " + n.text + n.or(" runs", " run") + " close over the face.",
					k.mm(have) + " of air is left under it."
			},
			why: "A knob wants " + k.mm(want) + " of air under it.", source: k.p.Limits.Source(limKnobLift),
		})
	}
}
