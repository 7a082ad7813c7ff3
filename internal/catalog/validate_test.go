package catalog

import (
	"strings"
	"testing"

	"knobwright/internal/length"
)

// No built-in record contradicts itself.
func TestBuiltinRecordsHold(t *testing.T) {
	c := Builtin()
	for _, id := range c.PartIDs() {
		p, _ := c.Part(id)
		for _, say := range p.Validate() {
			t.Errorf("%s: %s", id, say)
		}
	}
	for _, id := range c.SheetIDs() {
		s, _ := c.Sheet(id)
		for _, say := range s.Validate() {
			t.Errorf("%s: %s", id, say)
		}
	}
	for _, id := range c.CoveringIDs() {
		s, _ := c.Covering(id)
		for _, say := range s.Validate() {
			t.Errorf("%s: %s", id, say)
		}
	}
	for _, id := range c.BitSetIDs() {
		s, _ := c.BitSet(id)
		for _, say := range s.Validate() {
			t.Errorf("%s: %s", id, say)
		}
	}
}

// Each rule finds its own slip, put into a record that is sound otherwise.
func TestValidateFindsSlips(t *testing.T) {
	for _, x := range []struct {
		part string
		slip func(p *Part)
		want string
	}{
		{"push-16mm", func(p *Part) { p.Hole = Cut{} }, "has no hole"},
		{"push-16mm", func(p *Part) { p.Hole.Rect = &[2]length.Length{3, 4} }, "two forms"},
		{"push-16mm", func(p *Part) { p.Hole.Round = -3 }, "has no hole"},
		{"push-16mm", func(p *Part) { p.Hole.Tol = [2]length.Length{0.1, 0.2} }, "leaves out its own size"},
		{"key-16mm", func(p *Part) { p.Hole.Notch.Height = 16 }, "does not reach beyond"},
		{"key-16mm", func(p *Part) { p.Hole.Notch.Width = 18 }, "wider than the hole"},
		{"key-19mm", func(p *Part) { p.Hole.DoubleD = &[2]length.Length{19.2, 20} }, "flats"},
		{"slide-pot-60mm", func(p *Part) { p.Hole.Slot = &[2]length.Length{3, 66} }, "shorter than it is wide"},
		{"slide-pot-60mm", func(p *Part) {
			p.Cuts = append([]Cut{{What: "screw", Round: 3.4, At: [2]length.Length{0, 30}}}, p.Cuts...)
		}, "run into each other"},
		{"push-16mm", func(p *Part) { p.Grip = [2]length.Length{4, 3} }, "more than the most"},
		{"push-16mm", func(p *Part) { p.Grip[1] = 8 }, "The thread is 9 mm long"},
		{"push-16mm", func(p *Part) { p.Thread.Major = 16.5 }, "does not go through the smallest hole"},
		{"push-16mm", func(p *Part) { p.Nut.Flats = 15 }, "not wider than its thread"},
		{"push-16mm", func(p *Part) { p.Nut.Flats, p.Nut.Washer = 16.3, 16.3 }, "fall through"},
		{"push-16mm", func(p *Part) { p.Nut.ToolRoom = 19 }, "less than the nut it turns"},
		{"push-16mm", func(p *Part) { p.Nut.Side = "front" }, "same side"},
		{"push-16mm", func(p *Part) { p.Front = []Shape{{Role: "bezel", Round: 16.3, Z: [2]length.Length{0, 2}}} }, "bezel does not cover"},
		{"push-16mm", func(p *Part) { p.Rear = []Shape{{Role: "body", Round: 17, Z: [2]length.Length{-20, 0}}} }, "does not go through the smallest hole allowed: it is 0.4 mm"},
		{"toggle-mini-2", func(p *Part) {
			p.Rear = []Shape{{Role: "body", Rect: &[2]length.Length{6, 13}, Z: [2]length.Length{-20, 0}}}
		}, "cover the hole from behind"},
		{"push-16mm", func(p *Part) { p.Front = []Shape{{Role: "hat", Round: 20, Z: [2]length.Length{0, 2}}} }, "none of those"},
		{"push-16mm", func(p *Part) { p.Rear = []Shape{{Role: "body", Round: 15, Z: [2]length.Length{0, -20}}} }, "has no height"},
		{"push-16mm", func(p *Part) { p.Rear = []Shape{{Role: "body", Z: [2]length.Length{-20, 0}}} }, "wants one of round"},
		{"push-16mm", func(p *Part) { p.Lugs = []Lug{{Name: "x", At: [2]length.Length{30, 0}}} }, "outside body"},
		{"push-16mm", func(p *Part) { p.Lugs = []Lug{{Name: "x"}, {Name: "x"}} }, "Two lugs"},
		{"push-16mm", func(p *Part) { p.Force = 40 }, "more than a thumb gives"},
		{"encoder-m7", func(p *Part) { p.Detents = 0 }, "both its pulses and its clicks"},
		{"encoder-m7", func(p *Part) { p.Pulses, p.Detents = 24, 18 }, "do not share out"},
		{"toggle-mini-2", func(p *Part) { p.Positions = 1 }, "at least two positions"},
		{"push-16mm-lit", func(p *Part) { p.Lamp.Rated = 230 }, "Nothing above 60 V"},
		{"push-16mm", func(p *Part) { p.Price = Price{From: 3, To: 2} }, "price"},
	} {
		p, ok := Builtin().Part(x.part)
		if !ok || len(p.Validate()) > 0 {
			t.Fatalf("%s is not sound to begin with", x.part)
		}
		p.Hole = p.Hole.own()
		x.slip(&p)
		if got := strings.Join(p.Validate(), " "); !strings.Contains(got, x.want) {
			t.Errorf("%s: wanted %q, got %q", x.part, x.want, got)
		}
	}
}
