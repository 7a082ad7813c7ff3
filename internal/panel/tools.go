package panel

import (
	"cmp"
	"slices"

	"knobwright/internal/catalog"
	"knobwright/internal/length"
	"knobwright/internal/project"
)

// usualBits are the sets that a home workshop has, by the kind of sheet; taken when the file names none.
func usualBits(kind string) []string {
	switch kind {
	case "plywood", "mdf", "hardboard":
		return []string{"twist-metric-0.5", "brad-point-3-13", "hole-saws-wood"}
	}
	return []string{"twist-metric-0.5", "step-4-20", "hole-saws-plastic"}
}

// tools works out what the person drills with.
func (pl *placer) tools() {
	t, p := pl.f.Tools, pl.p
	p.Press = t.Drill == "press"
	p.Files = t.File == nil || *t.File
	wander := WanderHand
	if p.Press {
		wander = WanderPress
	}
	p.Wander = p.Limits.Value(wander)
	if pl.sizeOr0("tools.wander", t.Wander, 0, 5, "How far a hole lands off its mark") {
		p.Wander = t.Wander.MM()
	} else {
		pl.lines.limit(wander, p.Limits)
	}
	if pl.sizeOr0("face.kerf", pl.f.Face.Kerf, 0, 5, "The kerf") {
		p.Kerf = pl.f.Face.Kerf.MM()
	}
	for i, ref := range t.Bits {
		at := itoa(i)
		p.Bits = append(p.Bits, pl.bits(ref, pl.firstPath("tools.bits."+at, "tools."+at, "tools.bits"))...)
	}
	p.Bits = sorted(p.Bits)
	if len(t.Bits) == 0 {
		p.BitsAssumed = true
		p.Bits = pl.assumedBits(p.Stack.Sheet.Kind)
	}
}

// assumedBits gives the bits that a home workshop has for a kind of sheet.
func (pl *placer) assumedBits(kind string) []catalog.Bit {
	var bits []catalog.Bit
	var sets []string
	for _, id := range usualBits(kind) {
		if s, ok := pl.cat.BitSet(id); ok {
			bits = append(bits, s.Bits()...)
			sets = append(sets, id)
		}
	}
	pl.lines.bits(sets)
	return sorted(bits)
}

// sorted puts bits in order of size and drops those that are there twice.
func sorted(bits []catalog.Bit) []catalog.Bit {
	slices.SortStableFunc(bits, func(a, b catalog.Bit) int {
		return cmp.Or(cmp.Compare(a.Diameter, b.Diameter), cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Name, b.Name))
	})
	return slices.CompactFunc(bits, func(a, b catalog.Bit) bool { return a.Kind == b.Kind && a.Diameter == b.Diameter && a.Name == b.Name })
}

// bits gives the bits of one set, or of one list of sizes.
func (pl *placer) bits(ref project.BitsRef, path string) []catalog.Bit {
	var out []catalog.Bit
	if ref.Set != "" {
		s, ok := pl.cat.BitSet(ref.Set)
		if !ok {
			pl.unknown(ruleUnknownBits, "bit set", ref.Set, pl.firstPath(path+".set", path), "the bits", pl.cat.BitSetIDs())
		}
		out = s.Bits()
	}
	if len(ref.Sizes) == 0 {
		return out
	}
	own := catalog.BitSet{ID: "yours", Kind: ref.Kind, StepHeight: ref.StepHeight}
	if own.Kind == "" {
		own.Kind = catalog.Twist
	}
	for i, d := range ref.Sizes {
		if pl.size(pl.firstPath(path+".sizes."+itoa(i), path+".sizes"), d, 0, 200, "The size of a bit") {
			own.Sizes = append(own.Sizes, d)
			own.Names = append(own.Names, length.Format(d, length.Unit(pl.p.Units)))
		}
	}
	return append(out, own.Bits()...)
}
