package wiring

import (
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
)

// What the checks alone take, beside the plan.
func BenchmarkCheck(b *testing.B) {
	cat := catalog.Builtin()
	for _, name := range examples.Names() {
		_, p := place(b, name, examples.File(name))
		w := newWorker(p, cat)
		w.boards()
		w.devices()
		w.asked()
		w.scheme()
		w.say()
		findings := w.r.Findings
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				w.r.Findings, w.r.Power = findings[:len(findings):len(findings)], Power{}
				w.check()
			}
		})
	}
}
