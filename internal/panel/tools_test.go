package panel

import (
	"slices"
	"strings"
	"testing"

	"knobwright/internal/catalog"
)

func TestTools(t *testing.T) {
	p, fs := placeText(t, `
tools: {drill: press, file: no, bits: [step-4-20, {kind: twist, sizes: [7, 3.2, 3.2, 1/4 in]}]}
limits: {drill.wander-press: 0.35}
`)
	wantClean(t, fs)
	if !p.Press || p.Files || p.BitsAssumed || p.Wander != 0.35 {
		t.Errorf("press %v, files %v, assumed %v, wander %v", p.Press, p.Files, p.BitsAssumed, p.Wander)
	}
	var own []string
	for i, b := range p.Bits {
		if i > 0 && b.Diameter < p.Bits[i-1].Diameter {
			t.Error("the bits are not sorted")
		}
		if b.Set == "yours" {
			own = append(own, b.Name)
		}
	}
	if got := strings.Join(own, ", "); got != "3.2 mm, 6.35 mm, 7 mm" {
		t.Errorf("own bits: %s", got)
	}
	if !slices.ContainsFunc(p.Bits, func(b catalog.Bit) bool { return b.Kind == catalog.Step && b.Diameter == 12 }) {
		t.Error("the step drill has no 12 mm step")
	}

	p, _ = placeText(t, "tools: {}")
	if p.Press || !p.Files || !p.BitsAssumed || len(p.Bits) < 10 || p.Wander != WanderHand.Default {
		t.Errorf("without tools: press %v, files %v, assumed %v, %d bits, wander %v", p.Press, p.Files, p.BitsAssumed, len(p.Bits), p.Wander)
	}
	p, _ = placeText(t, "tools: {wander: 1}")
	if p.Wander != 1 {
		t.Errorf("wander %v", p.Wander)
	}
}

func TestUsualBitsAreInTheCatalogue(t *testing.T) {
	for _, kind := range []string{"acrylic", "plywood", "aluminium"} {
		for _, id := range usualBits(kind) {
			if _, ok := catalog.Builtin().BitSet(id); !ok {
				t.Errorf("%s: no bit set %s", kind, id)
			}
		}
	}
	for _, s := range screwNames {
		if _, _, ok := catalog.ClearanceHole(s, "normal"); !ok {
			t.Errorf("no clearance hole for %s", s)
		}
	}
}

func TestAssumed(t *testing.T) {
	p, fs := placeText(t, `
controls:
  a: {part: button, at: [50, 50], legend: ONE}
  b: {part: button, at: [80, 50], legend: TWO}
  c: {part: button, at: [110, 50], legend: THREE}
  d: {part: button, at: [150, 50], legend: FOUR, adjust: {grip: [1, 4], trust: {grip: {text: calipers, provenance: measured, confidence: high}}}}
  e: {part: push-16mm, at: [30, 50], legend: FIVE}
  f: {part: push-16mm, at: [30, 20], legend: SIX}
  g: {part: push-16mm, at: [60, 20], legend: SEVEN}
reading: 600
`)
	wantClean(t, fs)
	var got []string
	for _, a := range p.Assumed {
		if a.What == "" || a.Used == "" || a.Do == "" || !a.Source.OnTrust() {
			t.Errorf("%+v", a)
		}
		got = append(got, a.What+" | "+a.Used)
	}
	all := strings.Join(got, "\n")
	for _, want := range []string{"push-16mm: hole 16.2 mm, +0.2 | FIVE, SIX and SEVEN", "limit drill.wander-hand: 0.5 mm | ", "limit fit.hole-slack: 0.3 mm | ", "bits: "} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is missing in\n%s", want, all)
		}
	}
	// records written by the person, the reading distance and the measured grip are not on trust
	for _, not := range []string{"button:", "test-3mm", "test-film", "reading", "drill.wander-press"} {
		if strings.Contains(all, not) {
			t.Errorf("%q is listed in\n%s", not, all)
		}
	}
	q, _ := placeText(t, "limits: {drill.wander-hand: 0.4}\ncontrols: {e: {part: push-16mm, at: [30, 50]}}\ntools: {bits: [step-4-20]}")
	for _, a := range q.Assumed {
		if strings.HasPrefix(a.What, "limit drill.wander") || strings.HasPrefix(a.What, "bits") {
			t.Errorf("%+v", a)
		}
	}
	if !slices.ContainsFunc(q.Assumed, func(a Assumed) bool { return strings.HasPrefix(a.What, "reading distance: 500 mm") }) {
		t.Error("the usual reading distance is not listed")
	}
}
