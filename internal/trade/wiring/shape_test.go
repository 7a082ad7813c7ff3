package wiring

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// weighing gives a worker that has read the file and is about to weigh shapes.
func weighing(t testing.TB, src string) *worker {
	t.Helper()
	p, _ := panel.Place(project.Read("panel.yaml", []byte(src)), catalog.Builtin())
	w := newWorker(p, catalog.Builtin())
	w.boards()
	w.devices()
	w.asked()
	w.settle(nil, false)
	w.stock()
	w.joint, w.fit, w.kind = w.p.Limits.Value(limJoint), w.p.Limits.Value(limFit), w.p.Limits.Value(limKind)
	return w.variant("auto")
}

// No shape that the counts allow is cheaper than the one taken: every one of small panels is worked out whole. The shapes that are looked
// at first by their counts are the cheapest by what they really take.
func TestEveryShape(t *testing.T) {
	for _, c := range []struct{ module, controls string }{
		{"rp2040-14pin", row("b", "push-12mm", 14, 200)},
		{"rp2040-14pin", row("b", "push-12mm", 9, 200) + row("p", "pot-16mm", 6, 160)},
		{"rp2040-14pin", row("s", "toggle-mini-3", 6, 200) + row("l", "lamp-5mm", 4, 160)},
		{"rp2040-14pin", row("r", "rotary-6way", 2, 200) + row("e", "encoder-m7-push", 2, 160)},
		{"atmega32u4-24pin", row("l", "lamp-5mm", 17, 200) + row("p", "pot-16mm", 4, 160)},
	} {
		src := strings.Replace(desk, "rp2040-40pin", c.module, 1) + "groups:\n" + c.controls
		w := weighing(t, src)
		tally := w.count()
		best, by := math.Inf(1), ""
		tried, failed := 0, 0
		for e := range 3 {
			for s := range 4 {
				for m := range 2 {
					for _, lines := range [][2]int{{0, 0}, {1, 2}, {2, 2}, {2, 3}, {3, 3}, {3, 2}, {3, 4}, {4, 4}, {6, 3}} {
						if e > 0 && s > 0 {
							continue
						}
						for n := 0; n <= len(w.turners); n++ {
							x := shape{expanders: e, shifts: s, muxes: m, rows: lines[0], columns: lines[1], ladders: w.turners[:n]}
							allowed := w.fits(&tally, &x)
							if !allowed {
								continue
							}
							tried++
							v := w.try(x)
							if waiting(&v.r.Plan) > 0 {
								failed++
								continue
							}
							if paid := v.paid(); paid < best {
								best, by = paid, fmt.Sprint(x)
							}
						}
					}
				}
			}
		}
		_, _, r := work(t, src)
		if tried == 0 || r.Plan.Partial {
			t.Errorf("%s: %d shapes tried, partial %v", c.controls, tried, r.Plan.Partial)
			continue
		}
		o := r.Plan.Options[0]
		got := price(o)
		t.Logf("%s: %d shapes, %d of them failed; taken %q at %.2f, cheapest %.2f", strings.TrimSpace(c.controls), tried, failed, o.Title, got, best)
		if got > best+1e-6 && o.Title != "direct" {
			t.Errorf("%s: %q at %.2f was taken, %s costs %.2f", c.controls, o.Title, got, by, best)
		}
	}
}
