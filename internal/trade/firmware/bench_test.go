package firmware

import (
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

func placed(name string) (*panel.Panel, wiring.Result) {
	p, _ := panel.Place(project.Read(name, examples.File(name)), catalog.Builtin())
	return p, wiring.Work(p, catalog.Builtin())
}

func BenchmarkWork(b *testing.B) {
	for _, name := range []string{"cue-desk", "signal-desk"} {
		p, w := placed(name)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Work(p, w)
			}
		})
	}
}

// The mapping of the largest example must not be felt while a file is edited: 20 ms. The best of some runs is held against that, since
// other work on the machine only makes a run slower.
func TestSpeed(t *testing.T) {
	p, w := placed("signal-desk")
	best := time.Hour
	for range 8 {
		start := time.Now()
		Work(p, w)
		best = min(best, time.Since(start))
	}
	t.Logf("signal-desk: %v", best)
	if best > 20*time.Millisecond {
		t.Errorf("mapping the signal desk takes %v; 20 ms are allowed", best)
	}
}
