package wiring

import (
	"testing"
	"time"

	"knobwright/examples"
	"knobwright/internal/catalog"
)

var (
	began = time.Now()
	spent = func() time.Duration { return time.Since(began) }
)

// The pin plan of every example, nets and all that is weighed. "cpu-ms/op" is time on the processor, the collector's included.
func BenchmarkWork(b *testing.B) {
	cat := catalog.Builtin()
	for _, name := range examples.Names() {
		_, p := place(b, name, examples.File(name))
		b.Run(name, func(b *testing.B) {
			from := spent()
			for b.Loop() {
				Work(p, cat)
			}
			b.ReportMetric(float64((spent()-from).Microseconds())/1000/float64(b.N), "cpu-ms/op")
		})
	}
}
