package firmware

import (
	"testing"

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

// BenchmarkWork maps an example, as is done while a file is edited; 20 ms are allowed for the largest.
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
