package wiring

import (
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
)

func BenchmarkWork(b *testing.B) {
	cat := catalog.Builtin()
	for _, name := range examples.Names() {
		_, p := place(b, name, examples.File(name))
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Work(p, cat)
			}
		})
	}
}
