package view

import (
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/drawing"
)

// Every part of the catalogue has a picture, as large as what it shows.
func TestEveryPartHasAPicture(t *testing.T) {
	cat := catalog.Builtin()
	for _, id := range cat.PartIDs() {
		p, _ := cat.Part(id)
		s := PartFront(p)
		if _, err := drawing.SVG(s); err != nil {
			t.Errorf("%s: %v", id, err)
		}
		if b, ok := p.Footprint("bezel", "cap", "knob", "lever"); ok && (s.Bounds.Size().X < b.Size().X || s.Bounds.Size().Y < b.Size().Y) {
			t.Errorf("%s is cut off: %v of %v", id, s.Bounds, b)
		}
	}
}
