package panel

import (
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/project"
)

// BenchmarkBox is the placing of a small panel in boxes of every form and joint.
func BenchmarkBox(b *testing.B) {
	for _, form := range []string{"flat, depth: 60", "wedge, front: 60, slope: 12 deg", "desk, front: 60, slope: 20 deg, rest: 50", "two-slope, front: 50, slope: 8 deg, upper: {slope: 40 deg, height: 60}"} {
		for _, joint := range []string{"butt", "mitre", "rebate", "finger"} {
			doc := project.Read("box.yaml", []byte("knobwright: 1\nface: {width: 300, height: 150, sheet: acrylic-3mm}\nbox: {form: "+form+", walls: birch-ply-9mm, corners: "+joint+"}\ncontrols: {a: {part: push-16mm, at: [60, 60]}}\n"))
			b.Run(form[:4]+"/"+joint, func(b *testing.B) {
				for range b.N {
					if p, _ := Place(doc, catalog.Builtin()); p.Carcass == nil {
						b.Fatal("no box")
					}
				}
			})
		}
	}
}
