package job

import (
	"fmt"
	"math/rand/v2"
	"strconv"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/project"
)

// Boxes of every form with likely and unlikely sizes, controls in any board: nothing of it stops the program, and whatever is said has
// numbers and a place.
func TestRandomFiles(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 7))
	boxes, sides := 0, 0
	for i := range 120 {
		pick := func(s ...string) string { return s[rng.IntN(len(s))] }
		v := func(lo, hi float64) string {
			x := lo + (hi-lo)*rng.Float64()
			if rng.IntN(12) == 0 {
				x = []float64{0, -5, 1e4, 0.01, 90, 3000, 1e-9}[rng.IntN(7)]
			}
			return fmt.Sprintf("%.2f", x)
		}
		var s strings.Builder
		form := pick("flat", "wedge", "desk", "two-slope", "rack", "none")
		s.WriteString("knobwright: 1\nface:\n  sheet: " + pick("acrylic-3mm", "aluminium-2mm", "birch-ply-4mm") + "\n")
		if form == "rack" {
			s.WriteString("  rack: " + strconv.Itoa(1+rng.IntN(6)) + "\n")
		} else {
			s.WriteString("  width: " + v(100, 500) + "\n  height: " + v(80, 300) + "\n")
		}
		s.WriteString("  fixings: {screw: M3, inset: " + v(6, 20) + "}\n")
		s.WriteString("box:\n  form: " + form + "\n  walls: " + pick("birch-ply-6.5mm", "birch-ply-9mm", "birch-ply-12mm") + "\n")
		for _, k := range []string{"depth", "front", "back", "slope"} {
			if rng.IntN(2) == 0 {
				if k == "slope" {
					s.WriteString("  slope: " + v(2, 50) + " deg\n")
				} else {
					s.WriteString("  " + k + ": " + v(40, 120) + "\n")
				}
			}
		}
		if rng.IntN(2) == 0 {
			s.WriteString("  upper: {slope: " + v(30, 60) + " deg, height: " + v(50, 120) + "}\n")
		}
		opt := func(line string) {
			if rng.IntN(2) == 0 {
				s.WriteString("  " + line + "\n")
			}
		}
		opt("rest: " + v(30, 90))
		opt("corners: " + pick("butt", "rebate", "mitre", "finger"))
		opt("face: " + pick("laid-on", "let-in"))
		opt("base-fit: " + pick("under", "let-in"))
		opt("held: " + pick("screwed", "inserts", "glued", "hinged"))
		opt("ledge: {width: " + v(8, 20) + ", height: " + v(8, 20) + "}")
		opt("cleat: {width: " + v(8, 20) + ", height: " + v(8, 20) + "}")
		opt("blocks: " + v(8, 30))
		opt("inset: " + v(0, 10))
		opt("play: " + v(0, 2))
		opt("cable: {on: " + pick("back", "left", "base", "front") + ", round: " + v(4, 20) + "}")
		opt("ribs: {m: {from: [" + v(0, 100) + ", " + v(0, 100) + "], to: [" + v(0, 300) + ", " + v(0, 200) + "], width: " + v(4, 12) + ", height: " + v(10, 40) + "}}")
		opt("saw: {kind: " + pick("table", "hand", "laser") + ", kerf: " + v(0, 4) + "}")
		s.WriteString("module: {part: rp2040-40pin, at: [" + v(30, 200) + ", " + v(30, 150) + "], turn: " + v(0, 360) + ", on: " + pick("base", "face") + "}\ncontrols:\n")
		for k := range 6 {
			s.WriteString(fmt.Sprintf("  c%d: {part: %s, at: [%s, %s], on: %s}\n", k, pick("push-16mm", "pot-16mm", "key-19mm", "usb-c-16mm", "toggle-mini-2", "encoder-m7-push"), v(20, 250), v(15, 120), pick("face", "face", "back", "left", "right", "front", "base", "upper", "rest", "top")))
		}
		text := s.String()
		r := Check(project.Read("random.yaml", []byte(text)), catalog.Builtin())
		if r.Panel.Carcass != nil {
			boxes++
		}
		sides += len(r.Sides)
		for _, f := range r.Findings {
			if f.Head == "" || len(f.Ends) == 0 || strings.Contains(f.Head+f.Body, "NaN") || strings.Contains(f.Head+f.Body, "Inf") {
				t.Errorf("%d: %+v\n%s", i, f, text)
			}
			if m := f.Measure; m != nil && (m.Have != m.Have || m.Want != m.Want) {
				t.Errorf("%d: %+v", i, f)
			}
		}
	}
	if boxes < 25 || sides < 25 {
		t.Errorf("only %d boxes and %d other boards with controls", boxes, sides)
	}
}
