package face

import (
	"knobwright/internal/finding"
	"knobwright/internal/geom"
	"knobwright/internal/panel"
)

// reach checks the finger room between two controls.
func (k *checker) reach(out []hit, a *item, d geom.Vec2, b *item) []hit {
	if a.kind == "" || b.kind == "" {
		return out
	}
	g := 0
	if a.ctl.Group != "" && a.ctl.Group == b.ctl.Group {
		g = 1
	}
	r := &k.rooms[a.kindN][2*b.kindN+g]
	if !near(a.frontBox, d, b.frontBox, r.want) {
		return out
	}
	if !r.used {
		r.used = true
		if k.p.Hand != "tight" {
			k.limit(r.entry.lim) // ask for it: it decides here
		}
	}
	fa, fb := a.finger, b.finger
	if k.p.Hand == "tight" {
		fa, fb = a.tips, b.tips
	}
	h := hit{rule: &ruleNeighbours, sev: finding.Warn, code: cNeighbours, a: a.n, b: b.n, have: r.want, want: r.want, room: r}
	found := false
	for i := range fa {
		for j := range fb {
			s := gap2(&fa[i], d, &fb[j])
			if r.basis == middles {
				w := fa[i].middle().Add(d).Sub(fb[j].middle())
				s.gap = w.Len()
				if s.gap > 0 {
					s.dir = w.Mul(1 / s.gap)
				}
			}
			if s.gap < h.have-slack {
				h.have, h.dir, h.at, h.ra, h.rb = s.gap, s.dir, s.at, fa[i].role, fb[j].role
				found = true
			}
		}
	}
	if !found {
		return out
	}
	h.need = h.lack()
	return append(out, h)
}

// touch checks the solids in front of two controls.
func (k *checker) touch(out []hit, a *item, d geom.Vec2, b *item) []hit {
	want := k.v.touch
	if !near(a.frontBox, d, b.frontBox, want) {
		return out
	}
	h := hit{rule: &ruleTouch, sev: finding.Warn, code: cTouch, a: a.n, b: b.n, have: want, want: want}
	if worst(&h, a.front, d, b.front) {
		if h.have < -slack {
			h.sev = finding.Stop
		}
		return append(out, h)
	}
	return out
}

// worst measures every solid of one layer against every one of another and puts the least gap below h.have into h.
func worst(h *hit, as []shape, d geom.Vec2, bs []shape) (found bool) {
	for i := range as {
		found = worstOf(h, &as[i], d, bs) || found
	}
	return found
}

// worstOf is worst for one solid.
func worstOf(h *hit, a *shape, d geom.Vec2, bs []shape) (found bool) {
	for j := range bs {
		b := &bs[j]
		if !near(a.box, d, b.box, h.have) || apart(a, d, b, h.have) {
			continue
		}
		if dz := max(b.z0-a.z1, a.z0-b.z1); dz >= max(h.have, 0) && a.solid == nil && b.solid == nil {
			continue
		}
		s := gap3(a, d, b, h.want)
		if h.rule == &ruleBodyModule && s.gap < 0 {
			s.gap = max(s.gap, s.over) // what comes down on the module may also be too long
		}
		if s.gap < h.have-slack {
			h.have, h.dir, h.at, h.need, h.ra, h.rb = s.gap, s.dir, s.at, s.need, a.role, b.role
			found = true
		}
	}
	return found
}

// frame checks a control's front parts against a fixing screw's head, and the driver's way to it.
func (k *checker) frame(out []hit, a *item, d geom.Vec2, b *item, flip bool) []hit {
	if len(b.front) > 0 && near(a.frontBox, d, b.frontBox, k.v.frame) {
		h := hit{rule: &ruleFrame, sev: finding.Warn, code: cFrame, a: a.n, b: b.n, have: k.v.frame, want: k.v.frame}
		if worst(&h, a.front, d, b.front) {
			if h.have < -slack {
				h.sev = finding.Stop
			}
			out = add(out, h, flip)
		} else {
			h.have, h.want, h.code = 0, 0, cDriver
			for i := range a.rims {
				if s := gap3(&a.rims[i], d, b.driver, 0); s.gap < h.have-slack {
					h.have, h.dir, h.at, h.need, h.ra, h.rb = s.gap, s.dir, s.at, s.need, a.rims[i].role, panel.RoleHead
				}
			}
			if h.have < 0 {
				out = add(out, h, flip)
			}
		}
	}
	if len(b.hard) > 0 && near(a.rearBox, d, b.rearBox, k.v.screwGap) {
		h := hit{rule: &ruleFixing, sev: finding.Warn, code: cShank, a: a.n, b: b.n, have: k.v.screwGap, want: k.v.screwGap}
		if worst(&h, a.hard, d, b.hard) {
			if h.have < -slack {
				h.sev = finding.Stop
			}
			out = add(out, h, flip)
		}
	}
	return out
}

// letters checks lettering of two items against each other, against front parts and against holes.
func (k *checker) letters(out []hit, a *item, d geom.Vec2, b *item) []hit {
	if len(a.words) == 0 && len(b.words) == 0 {
		return out
	}
	out = k.hidden(out, a, d, b, false)
	out = k.hidden(out, b, d.Mul(-1), a, true)
	want := k.v.letterGap
	if len(a.words) > 0 && len(b.words) > 0 && near(a.wordBox, d, b.wordBox, want) {
		h := hit{rule: &ruleLegendOverlap, sev: finding.Warn, code: cLetters, a: a.n, b: b.n, have: want, want: want}
		if worstFlat(&h, a.words, d, b.words) {
			out = append(out, h)
		}
	}
	return out
}

// hidden checks the letters of a against what stands in front of b, and against its holes.
func (k *checker) hidden(out []hit, a *item, d geom.Vec2, b *item, flip bool) []hit {
	if len(a.words) == 0 {
		return out
	}
	if len(b.front) > 0 && near(a.wordBox, d, b.frontBox, 0) {
		h := hit{rule: &ruleLegendHidden, sev: finding.Warn, code: cHidden, a: a.n, b: b.n}
		if worstFlat(&h, a.words, d, b.front) {
			return add(out, h, flip)
		}
	}
	if want := k.v.letterGap; len(b.cuts) > 0 && near(a.wordBox, d, b.cutBox, want) {
		h := hit{rule: &ruleLegendOverlap, sev: finding.Warn, code: cHoleWords, a: a.n, b: b.n, have: want, want: want}
		found := false
		for i := range b.cuts {
			if c := &b.cuts[i]; c.cut.Blind == 0 && !covered(c, b) {
				found = flat(&h, &a.words[0], d, &c.shape) || found
			}
		}
		if found {
			return add(out, h, flip)
		}
	}
	return out
}

// covered reports whether a front part at rest lies over a hole all round.
func covered(c *cut, x *item) bool {
	for i := range x.rims {
		if margin(&x.rims[i], &c.shape) >= 0 {
			return true
		}
	}
	return false
}

// worstFlat is worst for footprints only.
func worstFlat(h *hit, as []shape, d geom.Vec2, bs []shape) (found bool) {
	for i := range as {
		for j := range bs {
			if near(as[i].box, d, bs[j].box, h.have) && flat(h, &as[i], d, &bs[j]) {
				found = true
			}
		}
	}
	return found
}

// flat puts the gap of two footprints into h when it is less than what h has.
func flat(h *hit, a *shape, d geom.Vec2, b *shape) bool {
	s := gap2(a, d, b)
	if s.gap >= h.have-slack {
		return false
	}
	h.have, h.dir, h.at, h.need, h.ra, h.rb = s.gap, s.dir, s.at, h.want-s.gap, a.role, b.role
	return true
}
