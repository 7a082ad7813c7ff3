package harness

import (
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

var (
	began = time.Now()
	spent = func() time.Duration { return time.Since(began) }
)

// The harness of every example, its pin plan given. "cpu-ms/op" is time on the processor, the collector's included.
func BenchmarkWork(b *testing.B) {
	cat := catalog.Builtin()
	for _, name := range examples.Names() {
		p, _ := panel.Place(project.Read(name, examples.File(name)), cat)
		w := wiring.Work(p, cat)
		b.Run(name, func(b *testing.B) {
			from := spent()
			for b.Loop() {
				Work(p, w, cat)
			}
			b.ReportMetric(float64((spent()-from).Microseconds())/1000/float64(b.N), "cpu-ms/op")
		})
	}
}
