package catalog

import "testing"

// The parts, sheets and bits that the example panel uses.
func TestExampleRecords(t *testing.T) {
	c := Builtin()
	for _, id := range []string{"key-16mm", "lamp-5mm-holder", "encoder-m7-push", "pot-16mm", "rotary-6way", "jack-6.35mm", "push-22mm-latching",
		"push-22mm-lit", "push-30mm", "toggle-mini-3-momentary", "push-16mm", "toggle-mini-2", "slide-pot-60mm", "lamp-3mm-holder", "rp2040-40pin"} {
		p, ok := c.Part(id)
		if !ok || p.ID != id || p.Title == "" || len(p.Rear) == 0 || p.Class == "" {
			t.Errorf("%s: %v %+v", id, ok, p)
		}
	}
	if s, ok := c.Sheet("acrylic-3mm"); !ok || s.Thickness() != 3 {
		t.Errorf("acrylic-3mm: %+v", s)
	}
	if s, ok := c.Sheet("birch-ply-9mm"); !ok || s.Thickness() != 9.2 {
		t.Errorf("birch-ply-9mm: %+v", s)
	}
	if s, ok := c.Covering("vinyl-film"); !ok || s.Thickness != 0.1 {
		t.Errorf("vinyl-film: %+v", s)
	}
	for _, id := range []string{"twist-metric-0.5", "step-4-20", "step-6-30", "hole-saws-plastic"} {
		if b, ok := c.BitSet(id); !ok || len(b.Bits()) < 9 {
			t.Errorf("%s: %+v", id, b.Bits())
		}
	}
}

// Every record is read without a complaint.
func TestRecordsRead(t *testing.T) {
	c := Builtin()
	readAll(t, &c.parts)
	readAll(t, &c.sheets)
	readAll(t, &c.coverings)
	readAll(t, &c.bits)
}

func readAll[T any](t *testing.T, s *shelf[T]) {
	if len(s.ids) != len(s.text) {
		t.Errorf("%d names, %d records: a name stands twice", len(s.ids), len(s.text))
	}
	for _, id := range s.ids {
		if _, p := s.parse(id, s.text[id], nil); len(p) > 0 {
			t.Errorf("%s: %+v", id, p)
		}
	}
}
