package face

import (
	"math"

	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/trust"
)

// sayRear puts into words what meets what behind the face. b is never nil here.
func (k *checker) sayRear(h *hit, a, b *item, all string) spoken {
	lim := func(l finding.Limit) trust.Source { return k.p.Limits.Source(l) }
	na, nb, over := k.name(a), k.name(b), k.short(math.Abs(h.have), h.want)
	stop := h.sev == finding.Stop
	switch h.code {
	case cWires:
		s := spoken{why: "A wire wants room to bend where it leaves the lug.", source: practice("", trust.Medium)}
		wired, other, or := na, nb, k.whose(h.rb, b)
		if h.rb == panel.RoleBend {
			wired, other, or = nb, na, k.whose(h.ra, a)
		}
		s.head = "The wires of " + wired + " have little room beside " + other + "."
		s.body = "Where they bend they meet " + or + " by " + over + "; lead them out sideways."
		return s
	case cNut:
		return k.sayNut(h, a, b, all, stop)
	case cShank:
		s := spoken{head: na + " sits close to the screw of " + nb + " behind the face.", source: lim(limShank), why: "A screw leans a little; it wants " + k.mm(h.want) + " of air."}
		s.body = over + " between its " + part(h.ra, a) + " and the screw."
		if stop {
			s.head = na + " and " + nb + " meet behind the face."
			s.body = "The screw runs " + over + " into its " + part(h.ra, a) + "."
		}
		return s
	case cToolOrder:
		first, then, blocks := a, b, h.rb
		if h.rb == panel.RoleTool {
			first, then, blocks = b, a, h.ra
		}
		return spoken{
			head:   "Mount " + k.name(first) + " before " + k.name(then) + ".",
			body:   finding.Capital(k.toolMeets(first)) + k.whose(blocks, then) + " by " + over + " once that is in.",
			why:    "The tool wants " + k.mm(toolRoom(first)) + " across to turn.",
			source: first.ctl.Part.Source("nut"),
		}
	case cToolBoth:
		one, other, blocks := a, b, h.rb
		if h.rb == panel.RoleTool {
			one, other, blocks = b, a, h.ra
		}
		s := spoken{
			head:   "The nuts of " + all + " block each other.",
			body:   finding.Capital(k.toolMeets(one)) + k.whose(blocks, other) + " by " + over + ", and the other way round: whichever is in first, the second cannot be tightened.",
			why:    "The tool wants " + k.mm(toolRoom(one)) + " across to turn.",
			source: one.ctl.Part.Source("nut"),
		}
		if !stop {
			s.head = "There is little room to turn the nuts of " + all + "."
		}
		return s
	case cOpenBehind, cOpenBefore:
		open, other, blocks := a, b, h.rb
		if a.sort != opening {
			open, other, blocks = b, a, h.ra
		}
		s := spoken{
			head: "The opening " + k.name(open) + " is blocked by " + k.whose(blocks, other) + ".", body: "It is free " + over + " farther off.",
			why: "What is to go through wants " + k.mm(k.v.openRoom) + " of free way behind.", source: lim(limOpening),
		}
		if h.code == cOpenBefore {
			s.head = "The opening " + k.name(open) + " is under " + k.whose(blocks, other) + "."
			s.why, s.source = "What is to go through wants a free way in front.", practice("", trust.High)
		}
		return s
	case cToolInside:
		return spoken{
			head:   "The nut of " + na + " cannot be turned beside " + nb + ".",
			body:   finding.Capital(k.toolMeets(a)) + "it by " + over + ". " + later(b.role),
			why:    "The tool wants " + k.mm(toolRoom(a)) + " across to turn.",
			source: a.ctl.Part.Source("nut"),
		}
	}
	if b.sort == control {
		s := spoken{head: all + " sit close behind the face.", source: lim(limBodyGap), why: "Bodies want " + k.mm(h.want) + " of air."}
		s.body = over + " of air between " + k.whose(h.ra, a) + " and " + k.whose(h.rb, b) + "."
		if stop {
			s.head = all + " meet behind the face."
			s.body = finding.Capital(k.whose(h.ra, a)) + " and " + k.whose(h.rb, b) + " overlap by " + over + "; the second one does not go in."
		}
		return s
	}
	s := spoken{head: na + " sits close to " + nb + ".", source: lim(limRibGap), why: "A " + part(h.ra, a) + " wants " + k.mm(h.want) + " of air."}
	if h.rule == &ruleBodyModule {
		s.source = lim(limModuleGap)
	}
	if h.ra == panel.RoleLugs {
		s.why = "Lugs want " + k.mm(h.want) + " of air."
	}
	s.body = over + " of air beside its " + part(h.ra, a) + "."
	if stop {
		s.head = na + " meets " + nb + "."
		s.body = "Its " + part(h.ra, a) + " " + plural(h.ra, "runs", "run") + " " + over + " into it; " + seatEnd(b.role)
	}
	return s
}

func plural(r panel.Role, one, many string) string {
	if r == panel.RoleLugs || r == panel.RoleBend {
		return many
	}
	return one
}

// seatEnd says what follows when a body meets something of the box.
func seatEnd(r panel.Role) string {
	switch r {
	case panel.RoleRib:
		return "it will not seat."
	case panel.RoleModule:
		return "the box does not close."
	}
	return "the face does not go down."
}

// later says what to do when something of the box is in the tool's way.
func later(r panel.Role) string {
	if r == panel.RoleRib {
		return "Tighten it before the rib goes in; afterwards only with the rib out."
	}
	return "Tighten it before the face goes on; later the face has to come off."
}

// toolMeets begins a sentence about the tool of a control's nut: "the 14 mm nut driver on the nut of GO meets".
func (k *checker) toolMeets(x *item) string {
	on := " on the nut of " + k.name(x)
	switch t := x.ctl.Part.Nut.Tool; t {
	case "":
		return "the tool" + on + " meets "
	case "fingers":
		return "fingers" + on + " meet "
	default:
		return "the " + t + on + " meets "
	}
}

func toolRoom(x *item) float64 {
	z := x.tool.box.Size()
	return min(z.X, z.Y)
}

// isNut reports whether a solid is a nut, a ring nut or a washer behind the face.
func isNut(r panel.Role) bool { return r == panel.RoleNut || r == roleRing || r == roleWasher }

func (k *checker) sayNut(h *hit, a, b *item, all string, stop bool) spoken {
	s := spoken{source: k.p.Limits.Source(limNutGap), why: "A nut wants flat sheet under all of it, and " + k.mm(h.want) + " beside it."}
	over := k.short(math.Abs(h.have), h.want)
	nutted, it, other, or := a, h.ra, b, h.rb
	if !isNut(h.ra) {
		nutted, it, other, or = b, h.rb, a, h.ra
	}
	if isNut(h.ra) && isNut(h.rb) {
		two := "their " + string(it) + "s"
		if it != or {
			two = k.whose(it, nutted) + " and " + k.whose(or, other)
		}
		s.head = "The nuts of " + all + " all but touch."
		s.body = over + " between " + two + "."
		if stop {
			s.head = "The nuts of " + all + " meet."
			s.body = finding.Capital(two) + " overlap by " + over + "; only one of them can be tightened."
		}
		return s
	}
	its := "its " + string(it)
	if it == panel.RoleNut {
		its = "it"
	}
	s.head = "The nut of " + k.name(nutted) + " sits close to " + k.whose(or, other) + "."
	s.body = over + " beside " + its + "."
	if stop {
		s.head = "The nut of " + k.name(nutted) + " does not seat."
		s.body = finding.Capital(its) + " runs " + over + " into " + k.whose(or, other) + "."
	}
	return s
}

// sayLetters puts into words what is wrong with lettering.
func (k *checker) sayLetters(h *hit, a, b *item, all string) spoken {
	lim := func(l finding.Limit) trust.Source { return k.p.Limits.Source(l) }
	na, over := k.name(a), k.short(math.Abs(h.have), h.want)
	if h.code == cOffSheet {
		s := spoken{head: "The letters of " + na + " are close to " + edgeName(h.dir) + ".", body: over + " to the edge.", source: lim(limLetterEdge), why: "Letters want " + k.mm(h.want) + " of face beside them."}
		if h.sev == finding.Stop {
			s.head = "The letters of " + na + " leave the face."
			s.body = "They are out by " + over + " at " + edgeName(h.dir) + "."
		}
		return s
	}
	lettered, other, cover := a, b, h.rb
	if h.ra != roleLetters {
		lettered, other, cover = b, a, h.ra
	}
	switch h.code {
	case cHidden:
		return spoken{
			head:   "The letters of " + k.name(lettered) + " are under " + k.whose(cover, other) + ".",
			body:   over + " of them are covered.",
			why:    "What is under a control is not read.",
			source: practice("", trust.High),
		}
	case cHoleWords:
		return spoken{
			head:   "The letters of " + k.name(lettered) + " meet the hole of " + k.name(other) + ".",
			body:   overlapOr(k, h, "between letters and hole."),
			why:    "Letters want " + k.mm(h.want) + " of face beside them.",
			source: lim(limLetterGap),
		}
	}
	return spoken{
		head:   "The letters of " + all + " meet.",
		body:   overlapOr(k, h, "between them."),
		why:    "Letters want " + k.mm(h.want) + " between them.",
		source: lim(limLetterGap),
	}
}

func overlapOr(k *checker, h *hit, between string) string {
	if h.have < 0 {
		return "They overlap by " + k.mm(-h.have) + "."
	}
	return k.mm(h.have) + " " + between
}
