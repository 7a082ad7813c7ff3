package harness

import (
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/wiring"
)

func BenchmarkWork(b *testing.B) {
	cat := catalog.Builtin()
	for _, name := range examples.Names() {
		p, _ := panel.Place(project.Read(name, examples.File(name)), cat)
		w := wiring.Work(p, cat)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Work(p, w, cat)
			}
		})
	}
}
