package face

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// Just outside the ring nothing is said of the finger room; just inside it is.
func TestRoomsAreWhereTheRuleBegins(t *testing.T) {
	src := func(x float64) string {
		return strings.Replace("knobwright: 1\nface: {width: 400, height: 200, sheet: acrylic-3mm}\ncontrols:\n  a: {part: push-22mm, at: [100, 100]}\n  b: {part: push-16mm, at: [X, 100]}\n  c: {part: toggle-mini-2, at: [350, 40]}\n", "X", digits(x), 1)
	}
	at := func(x float64) *panel.Panel {
		d := project.Read("x", []byte(src(x)))
		p, _ := panel.Place(d, catalog.Builtin())
		return p
	}
	rings := Rooms(at(200), "a")
	i := slices.IndexFunc(rings, func(r Ring) bool { return r.What == "fingers" && slices.Contains(r.To, "push button") })
	if i < 0 {
		t.Fatalf("%+v", rings)
	}
	edge := rings[i].Outline.Bounds().Max.X
	half := widest(newChecker(at(200)).items[1].finger).Bounds().Size().X / 2
	says := func(x float64) bool {
		for _, f := range Check(at(x)).Findings {
			if f.Rule == "reach.neighbours" {
				return true
			}
		}
		return false
	}
	if says(edge+half+0.1) || !says(edge+half-0.1) {
		t.Errorf("the ring ends at %v; said outside: %v, inside: %v", edge, says(edge+half+0.1), says(edge+half-0.1))
	}
	if s := rings[i].Say(func(v float64) string { return digits(v) + " mm" }); !strings.Contains(s, "mm of finger room to a push button") {
		t.Error(s)
	}
	if !slices.ContainsFunc(rings, func(r Ring) bool { return r.What == "tool" && r.Behind && r.Want > 20 }) {
		t.Errorf("no tool: %+v", rings)
	}
	if Rooms(at(200), "nobody") != nil {
		t.Error("rings round nobody")
	}
}

func digits(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64) }
