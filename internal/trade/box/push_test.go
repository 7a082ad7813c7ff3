package box

import (
	"math"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/geom"
)

// TestSlidesByHand: 10 N on feet that hold 0.6 of their load. A level pull slides it at 6 N. A push at 45 degrees downwards loads the
// feet too: t·30·cos 45 = 0.6·(10 + t·30·sin 45) gives t = 6/(0.4·21.213). One that is steeper than the friction angle, atan 0.6 = 31
// degrees from straight down, never slides it.
func TestSlidesByHand(t *testing.T) {
	if got := Slides(0.6, 10, geom.Vec3{X: 20}); math.Abs(got-0.3) > 1e-12 {
		t.Errorf("level: %g", got)
	}
	h := 30 / math.Sqrt2
	if got := Slides(0.6, 10, geom.Vec3{Y: h, Z: -h}); math.Abs(got-6/(0.4*h)) > 1e-12 {
		t.Errorf("slant: %g", got)
	}
	if got := Slides(0.6, 10, geom.Vec3{Y: 15, Z: -26}); !math.IsInf(got, 1) {
		t.Errorf("steep: %g", got)
	}
}

// TestSlideBeforeTip: a low box that is pushed at its side slides away before it tips; a tall narrow one tips first. Both by hand: low,
// weight W over half the width against the push at its height.
func TestSlideBeforeTip(t *testing.T) {
	for _, tc := range []struct {
		name        string
		depth, high float64
		tips        bool
	}{{"low", 200, 80, false}, {"tall", 60, 220, true}} {
		o := order(made(t, flat(300, tc.depth, tc.high, 10)))
		o.Presses = []Press{{Name: "KEY", At: geom.Vec3{X: 150, Y: tc.depth, Z: tc.high - 15}, Dir: geom.Vec3{Y: -1}}}
		r := Judge(o)
		fs := of(r.Findings, "box.tips")
		if (len(fs) > 0) != tc.tips || (len(of(r.Findings, "box.slides")) == 0) != (r.Stand.Slide.Times >= 1) {
			t.Errorf("%s: %v", tc.name, fs)
		}
		if !tc.tips {
			if w := r.Stand.Grams * gravity; w*0.6 > 30 || Tips(r.Stand.Polygon, r.Stand.Centre, w, geom.Vec3{X: 150, Y: tc.depth, Z: tc.high - 10}, geom.Vec3{Y: -30}) > 1 {
				t.Errorf("%s: nothing to show: %g N", tc.name, w)
			}
		}
	}
}

// TestTipWords: the finding gives the push, the force asked for and the factor; below the push it is a stop, below the factor a warning,
// and above it there is none; the factor is a limit of the file.
func TestTipWords(t *testing.T) {
	o := order(made(t, flat(300, 200, 80, 10)))
	o.Feet = Feet{Inset: 70, Diameter: 12, Height: 5}
	push := func(y float64) []finding.Finding {
		o.Presses = []Press{{Name: "GO", At: geom.Vec3{X: 150, Y: y, Z: 90}, Dir: geom.Vec3{Z: -1}}}
		return of(Judge(o).Findings, "box.tips")
	}
	if fs := push(5); len(fs) != 1 || fs[0].Severity != finding.Stop || !strings.Contains(fs[0].Body, "pushes 30 N; to be safe the box is to stand 45 N: factor 1.5") {
		t.Errorf("far out: %v", fs)
	}
	at := 0.0 // where the push tips it at 1.2 times
	for y := 5.0; y < 67; y += 0.5 {
		push(y)
		if x := Judge(o).Stand.Tip.Times; x > 1.1 && x < 1.3 {
			at = y
		}
	}
	if fs := push(at); len(fs) != 1 || fs[0].Severity != finding.Warn || fs[0].Measure.Want != 45 {
		t.Errorf("between: %v", fs)
	}
	o.Limits.Own = map[string]float64{"box.tip": 1}
	if fs := push(at); len(fs) != 0 {
		t.Errorf("with a factor of 1: %v", fs)
	}
}

// TestCablePull: 20 N at the exit in the back of a low box drags it over the table, of a tall one tips it; both against the sums by hand.
func TestCablePull(t *testing.T) {
	low := order(made(t, flat(300, 200, 80, 10)))
	low.Cable = &Cable{Board: "back", Relief: "clip"}
	r := Judge(low)
	holds := 0.6 * r.Stand.Grams * gravity
	fs := of(r.Findings, "box.cable-pull")
	if len(fs) != 1 || fs[0].Severity != finding.Note || math.Abs(fs[0].Measure.Have-holds) > 0.06 || fs[0].Measure.Want != 20 {
		t.Errorf("low: %v, holds %g", fs, holds)
	}
	tall := order(made(t, flat(300, 60, 220, 10)))
	tall.Cable = &Cable{Board: "back", Relief: "clip", At: &geom.Vec2{X: 150, Y: 180}}
	r = Judge(tall)
	x := r.Exit.At.Y + 10 + 5 // the back stands on the base of 10, on feet of 5
	arm := r.Stand.Polygon[0].Y
	for _, p := range r.Stand.Polygon {
		arm = max(arm, p.Y)
	}
	want := r.Stand.Grams * gravity * (arm - r.Stand.Centre.Y) / x
	fs = of(r.Findings, "box.cable-pull")
	if len(fs) != 1 || fs[0].Severity != finding.Warn || math.Abs(fs[0].Measure.Have-want) > 0.06 {
		t.Errorf("tall: %v, by hand %g N", fs, want)
	}
	plug := order(made(t, flat(300, 60, 220, 10)))
	plug.Leads = []Lead{{Name: "LEAD", At: geom.Vec3{X: 150, Y: 0, Z: 190}, Dir: geom.Vec3{Y: -1}}}
	if fs := of(Judge(plug).Findings, "box.cable-pull"); len(fs) != 1 || !strings.Contains(fs[0].Head, "the lead in") {
		t.Errorf("a plug high up in front: %v", fs)
	}
	top := order(made(t, flat(300, 200, 80, 10)))
	top.Leads = []Lead{{Name: "PHONES", At: geom.Vec3{X: 150, Y: 100, Z: 80}, Dir: geom.Vec3{Z: 1}}}
	if fs := of(Judge(top).Findings, "box.cable-pull"); len(fs) != 1 || fs[0].Severity != finding.Note {
		t.Errorf("a plug in the face of a low box: %v", fs)
	}
	if fs := of(Judge(order(made(t, flat(300, 200, 80, 10)))).Findings, "box.cable-pull"); len(fs) != 0 {
		t.Errorf("no lead at all: %v", fs)
	}
}
