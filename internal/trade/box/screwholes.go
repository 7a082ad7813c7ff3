package box

import (
	"fmt"

	"knobwright/internal/carcass"
	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// throughOpening looks whether a screw runs through, or close by, an opening of the board it goes through or of the one it goes
// into: along its way, every millimetre, a disc of the screw and the least wood round it is held against the openings.
func (w *worker) throughOpening(sc *Screw, boards ...*carcass.Board) (finding.Finding, bool) {
	keep := clamp(w.Limits.Value(limCover), 0, 50)
	for _, b := range boards {
		for _, c := range b.Cutouts {
			if c.Outline.Empty() {
				continue
			}
			near := c.Outline.Bounds().Grow(sc.Size.Major/2 + keep)
			for d := 0.0; d <= sc.Length; d++ {
				p := b.Frame.ToLocal(sc.At.Add(sc.Dir.Mul(d)))
				if p.Z > 0.1 || p.Z < -b.Thickness-0.1 || !near.Overlaps(geom.Box2{Min: p.XY(), Max: p.XY()}) {
					continue
				}
				gap, _, _ := c.Outline.Gap(geom.Circle(p.XY(), sc.Size.Major))
				if gap >= keep-1e-6 {
					continue
				}
				return finding.Finding{
					Rule: ruleMeet.Name, Severity: finding.Note,
					Head: fmt.Sprintf("A screw of the %s would meet the opening %s.", b.Name, c.Name), Ends: []finding.End{w.end(b.Name), w.end(c.Name)},
					Measure: &finding.Measure{Have: gap, Want: keep, Unit: "mm", Sense: finding.AtLeast}, Source: w.Limits.Source(limCover),
				}, true
			}
		}
	}
	return finding.Finding{}, false
}
