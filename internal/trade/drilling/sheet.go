package drilling

import (
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
)

// stuff is the family of a sheet.
type stuff int

const (
	plastic stuff = iota
	metal
	wood
)

func stuffOf(kind string) stuff {
	switch kind {
	case "aluminium", "steel":
		return metal
	case "plywood", "mdf", "hardboard":
		return wood
	}
	return plastic
}

// order gives the kinds of bit that may make a hole of diameter d in this sheet, best first.
func (w *work) order(d float64) []catalog.BitKind {
	const (
		twist, brad, step, saw, forstner, spade = catalog.Twist, catalog.BradPoint, catalog.Step, catalog.HoleSaw, catalog.Forstner, catalog.Spade
	)
	big := d >= w.lim(limSawLeast, 1, 500)-near
	var ks []catalog.BitKind
	switch w.stuff {
	case metal:
		switch {
		case d <= w.lim(limTwistMetal, 1, 100)+near:
			ks = []catalog.BitKind{twist, step, saw}
		case big:
			ks = []catalog.BitKind{step, saw, twist}
		default:
			ks = []catalog.BitKind{step, twist, saw}
		}
	case wood:
		switch {
		case d < w.lim(limBradLeast, 0, 100)-near:
			ks = []catalog.BitKind{twist, brad}
		case d <= w.lim(limBradMost, 1, 100)+near:
			ks = []catalog.BitKind{brad, twist, forstner, step, spade, saw}
		case big:
			ks = []catalog.BitKind{forstner, saw, brad, twist, step, spade}
		default:
			ks = []catalog.BitKind{forstner, brad, twist, step, saw, spade}
		}
	default:
		switch {
		case d <= w.lim(limTwistPlastic, 1, 100)+near:
			ks = []catalog.BitKind{twist, brad, step, saw}
		case big:
			ks = []catalog.BitKind{step, saw, brad, twist}
		default:
			ks = []catalog.BitKind{step, brad, twist, saw}
		}
		if w.lim(limWoodBits, 0, 1) >= 1 {
			ks = append(ks, forstner, spade)
		}
	}
	return ks
}

// usable reports whether a bit may touch this sheet at all, whatever the hole.
func (w *work) usable(b catalog.Bit) bool {
	switch b.Kind {
	case catalog.Twist, catalog.Step:
		return true
	case catalog.BradPoint:
		return w.stuff != metal
	case catalog.HoleSaw: // toothed for wood only: no metal
		return w.stuff != metal || !strings.Contains(b.Set, "wood")
	case catalog.Forstner, catalog.Spade:
		return w.stuff == wood || w.stuff == plastic && w.lim(limWoodBits, 0, 1) >= 1
	}
	return false
}

// thickness is what the bit goes through: the sheet, and a laminate that is glued on before drilling.
func thickness(p *panel.Panel) float64 {
	t := p.Stack.SheetThickness
	if p.Stack.Covering.Kind == "laminate" {
		t += p.Stack.CoverThickness
	}
	return t
}

// backing is the advice on what lies behind the sheet, which side is up, and how to come through.
func backing(p *panel.Panel) string {
	var s []string
	switch p.Stack.Sheet.Kind {
	case "acrylic":
		s = append(s, "Leave the masking film on both faces. Clamp the sheet flat on a scrap board, face up, so that nothing under the hole can bend.",
			"Take the keen edge off the bit with a stone, or it grabs and cracks the sheet. Feed slowly, lift often, ease off before the bit comes through.",
			"Deburr both faces by hand with a larger bit or a scraper: a rough edge is where a crack begins.")
	case "polycarbonate":
		s = append(s, "Leave the masking film on both faces. Clamp the sheet flat on a scrap board, face up.",
			"Cool with air or water, never with cutting oil. Ease off before the bit comes through. Deburr both faces: a notch becomes a crack.")
	case "abs":
		s = append(s, "Clamp the sheet flat on a scrap board, face up. Lift the bit often: the plastic melts and closes behind it. Deburr both faces.")
	case "plywood":
		s = append(s, "Put tape over the marks and drill from the face side, the sheet clamped hard on a scrap board: the exit splinters, the entry does not.",
			"With a hole saw or a Forstner bit, stop when the point shows behind and finish from the other face.")
	case "mdf", "hardboard":
		s = append(s, "Drill from the face side, the sheet clamped hard on a scrap board. Ease off before the bit comes through, or the back swells up.")
	case "steel":
		s = append(s, "Clamp the sheet on a scrap board, face up; a drop of cutting oil in each punch mark. Ease off before the bit comes through: that is where it grabs.",
			"Deburr both faces.")
	case "aluminium":
		s = append(s, "Clamp the sheet on a scrap board, face up; a drop of spirit or cutting oil keeps chips from sticking to the bit. Ease off before the bit comes through.",
			"Deburr both faces.")
	default:
		s = append(s, "Clamp the sheet flat on a scrap board, face up. Ease off before the bit comes through. Deburr both faces.")
	}
	switch c := p.Stack.Covering; {
	case c.Kind == "film" && p.Stack.CoverHoles == "folded":
		s = append(s, "Drill before the film goes on; then cut an X in the film at each hole and fold it in.")
	case c.Kind == "film":
		s = append(s, "Drill before the film goes on; then trim the film flush at each hole from the front.")
	case c.Kind == "paint":
		s = append(s, "Drill and deburr before painting; paint narrows a hole by its thickness on both sides, which the sizes here allow for.")
	case c.Kind == "laminate":
		s = append(s, "Glue the laminate on first and drill through both, laminate side up, so that its edge is cut and not torn.")
	case c.Kind == "card":
		s = append(s, "Drill the bare sheet; the card is cut on its own.")
	}
	return strings.Join(s, " ")
}

// marking is the advice on centre marks.
func marking(st stuff) string {
	switch st {
	case metal:
		return "Stick the template down, check its bars, and punch every centre firmly through the paper with a centre punch."
	case wood:
		return "Stick the template down, check its bars, and press every centre through the paper with an awl."
	}
	return "Stick the template down, check its bars, and turn a light dimple at every centre with a spike or the tip of a small bit by hand. No blow: a punch cracks plastic."
}
