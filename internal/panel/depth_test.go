package panel

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"knobwright/internal/carcass"
	"knobwright/internal/geom"
)

// The depth square to the face at y up from its lower edge, in a wedge h high in front: h / cos slope + y tan slope, less base and
// sheet. A trade fact (common practice): the depth depends on where on the face one measures.
func TestDepthOfAWedge(t *testing.T) {
	for _, slope := range []float64{5, 14, 30, 55} {
		p, fs := placeText(t, fmt.Sprintf("box: {form: wedge, walls: test-9mm, front: 60, slope: %v deg}", slope))
		wantClean(t, fs)
		if !p.Leaning() {
			t.Fatal("a wedge does not lean")
		}
		s, c := math.Sincos(slope * math.Pi / 180)
		for _, y := range []float64{0, 10, 50, 100} {
			want := (60-9)/c + y*s/c - 3.1
			if d, ok := p.DepthAt(P(77, y)); !ok || math.Abs(d-want) > 1e-6 {
				t.Errorf("slope %v, %v up: %v, %v is wanted", slope, y, d, want)
			}
		}
		// under a round body the lower edge decides, under a square one its lower corners
		want := (60-9)/c + 40*s/c - 3.1
		for _, o := range []geom.Outline{geom.Circle(geom.Vec2{X: 60, Y: 50}, 20), geom.Rect(geom.Vec2{X: 60, Y: 55}, 20, 30, 0)} {
			if d, ok := p.DepthUnder(o); !ok || math.Abs(d-want) > 1e-6 {
				t.Errorf("slope %v: %v under the body, %v is wanted", slope, d, want)
			}
		}
		if want := (60-9)/c + 9*s/c - 3.1; math.Abs(p.BoxDepth-want) > 1e-6 {
			t.Errorf("slope %v: the least depth is %v, %v is wanted behind the front wall", slope, p.BoxDepth, want)
		}
	}
}

// The depth is the same as that of the ray which package carcass sends into the box, wherever the ray meets the base.
func TestDepthAgainstRays(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 5))
	n := 0
	for range 60 {
		form := []string{"flat", "wedge", "desk"}[rng.IntN(3)]
		text := fmt.Sprintf("box: {form: %s, walls: test-9mm, base-fit: %s, face: %s, corners: %s, ", form, []string{"under", "let-in"}[rng.IntN(2)],
			[]string{"laid-on", "let-in"}[rng.IntN(2)], []string{"butt", "mitre", "rebate", "finger"}[rng.IntN(4)])
		if form == "flat" {
			text += fmt.Sprintf("depth: %.1f}", 30+60*rng.Float64())
		} else {
			text += fmt.Sprintf("front: %.1f, slope: %.1f deg}", 60+40*rng.Float64(), 3+30*rng.Float64())
		}
		p, fs := placeText(t, text)
		wantClean(t, fs)
		for range 20 {
			at := P(p.Face.Width*rng.Float64(), p.Face.Height*rng.Float64())
			ray, board := p.Carcass.Depth(0, at.Vec2)
			d, ok := p.DepthAt(at)
			switch {
			case board == "base" && (!ok || math.Abs(d-ray) > 1e-6):
				t.Errorf("%s at %v: %v, the ray meets the base at %v", text, at, d, ray)
			case board == "base":
				n++
			case d < ray-1e-6 && !math.IsInf(ray, 1) && ray > 1e-6:
				t.Errorf("%s at %v: %v, but the ray goes %v to the %s", text, at, d, ray, board)
			}
		}
	}
	if n < 500 {
		t.Errorf("only %d rays met the base", n)
	}
}

// What stands behind a sheet is the box itself, seen from there: each board's pieces fill at least the board, and each corner of the
// board lies in one of them.
func TestBehindIsTheBox(t *testing.T) {
	forms := map[string]string{
		"flat": "depth: 50, ledge: {width: 8, height: 10}, blocks: 15", "wedge": "front: 50, slope: 12 deg, base-fit: let-in", "desk": "front: 50, slope: 20 deg, rest: 50, ledge: {width: 8, height: 10}",
		"two-slope": "front: 50, slope: 8 deg, upper: {slope: 40 deg, height: 60}",
	}
	for form, sizes := range forms {
		for _, joint := range []string{"butt", "mitre", "rebate", "finger"} {
			name := form + ", " + joint
			on := "back"
			if form == "two-slope" {
				on = "upper"
			}
			p, fs := placeText(t, "box: {form: "+form+", walls: test-9mm, corners: "+joint+", "+sizes+"}\ncontrols: {a: {part: button, at: [60, 25], on: "+on+"}}")
			wantClean(t, fs)
			if len(p.Sides) != 1 {
				t.Fatalf("%s: %d sides", name, len(p.Sides))
			}
			for _, s := range p.Sheets() {
				seen := map[string][]Body{}
				for _, b := range s.Behind {
					seen[b.Board] = append(seen[b.Board], b)
				}
				own := s.Board
				if own == "" {
					own = p.Carcass.Boards[p.Carcass.Faces[0].Board].Name
				}
				for i := range p.Carcass.Boards {
					b := &p.Carcass.Boards[i]
					if b.Name == own {
						if len(seen[b.Name]) != 0 {
							t.Errorf("%s: %s stands behind itself", name, b.Name)
						}
						continue
					}
					if len(seen[b.Name]) == 0 {
						t.Errorf("%s: no %s behind %q", name, b.Name, s.Board)
					}
					for _, h := range b.Parts {
						for _, q := range h.Points {
							q = s.ToBox.Inverse().Apply(q)
							if !inOne(seen[b.Name], q) && joint != "rebate" && joint != "finger" {
								t.Errorf("%s: corner %v of %s is not behind %q", name, q, b.Name, s.Board)
							}
						}
					}
				}
			}
		}
	}
}

func inOne(bs []Body, q geom.Vec3) bool {
	c, err := geom.BoxHull(geom.Box3{Min: q.Sub(geom.Vec3{X: 1e-4, Y: 1e-4, Z: 1e-4}), Max: q.Add(geom.Vec3{X: 1e-4, Y: 1e-4, Z: 1e-4})})
	if err != nil {
		return false
	}
	for _, b := range bs {
		if geom.Gap(b.Solid, c).Gap < 1e-6 {
			return true
		}
	}
	return false
}

// Where the face sits in the box, by hand: a desk 50 high in front under 20 degrees with 40 of hand rest. The face begins where it
// meets the rest, 40 in and 50 up.
func TestToBox(t *testing.T) {
	p, fs := placeText(t, "box: {form: desk, walls: test-9mm, front: 50, slope: 20 deg, rest: 40}")
	wantClean(t, fs)
	s, c := math.Sincos(20 * math.Pi / 180)
	for _, w := range []struct{ face, box geom.Vec3 }{
		{geom.Vec3{}, geom.Vec3{Y: 40, Z: 50}},
		{geom.Vec3{X: 10, Y: 30}, geom.Vec3{X: 10, Y: 40 + 30*c, Z: 50 + 30*s}},
		{geom.Vec3{X: 10, Y: 30, Z: -5}, geom.Vec3{X: 10, Y: 40 + 30*c + 5*s, Z: 50 + 30*s - 5*c}},
	} {
		if got := p.ToBox.Apply(w.face); got.Sub(w.box).Len() > 1e-6 {
			t.Errorf("%v of the face is %v of the box, not %v", w.face, got, w.box)
		}
	}
	if b := p.Carcass.Board("hand rest"); b == nil || b.Role != carcass.RoleRest {
		t.Error("no hand rest")
	}
}

// The module lies on the base of a desk, square to it, where the line square to the face through its place comes down.
func TestModuleOnALeaningBase(t *testing.T) {
	p, fs := placeText(t, "box: {form: desk, walls: test-9mm, front: 60, slope: 20 deg}\nmodule: {part: rp2040-40pin, at: [100, 40], turn: 90}")
	wantClean(t, fs)
	f := p.Module.Frame
	if f.N.Sub(geom.Vec3{Z: 1}).Len() > 1e-9 || f.U.Sub(geom.Vec3{Y: 1}).Len() > 1e-9 {
		t.Errorf("%+v", f)
	}
	if math.Abs(f.O.Z-9) > 1e-9 || math.Abs(f.O.X-100) > 1e-9 {
		t.Errorf("it lies at %v", f.O)
	}
	if d, _ := p.DepthAt(P(100, 40)); math.Abs(p.ToBox.Apply(geom.Vec3{X: 100, Y: 40, Z: -3.1 - d}).Sub(f.O).Len()) > 1e-6 {
		t.Errorf("the line square to the face comes down at %v", p.ToBox.Apply(geom.Vec3{X: 100, Y: 40, Z: -3.1 - d}))
	}
	lowest := math.Inf(1)
	for _, b := range p.Behind {
		if b.Role != RoleModule && b.Role != RolePlug {
			continue
		}
		x := geom.Posed(b.Solid, p.ToBox).Bounds()
		if !b.Leans || x.Min.Z < 9 {
			t.Errorf("%s from %v", b.Role, x)
		}
		if b.Role == RoleModule && x.Max.Z-x.Min.Z < 1.5 { // the board itself
			lowest = min(lowest, x.Min.Z)
		}
	}
	if math.Abs(lowest-14) > 1e-6 { // 9 of base and 5 of stand-off
		t.Errorf("the board lies %v over the table", lowest)
	}
}
