package sim

import (
	"testing"
	"time"

	"knobwright/internal/trade/diagnosis"
)

// Every fault that is listed can be wired, and the panel answers whatever is done to it.
func TestEveryFaultCanBeWired(t *testing.T) {
	for _, name := range withTables {
		r := jobOf(t, name)
		all := Faults(r)
		kinds := map[diagnosis.Kind]int{}
		start := time.Now()
		dead, n := 0, 0
		for i, f := range all {
			kinds[f.Kind]++
			if name == "signal-desk" && i%40 != 0 {
				continue
			}
			n++
			p, err := New(r, f)
			if err != nil {
				t.Errorf("%s: %+v: %v", name, f, err)
				continue
			}
			if p.Dead() {
				dead++
			}
			if _, err := p.Do(diagnosis.Act{Do: diagnosis.Rest}); err != nil {
				t.Errorf("%s: %+v: %v", name, f, err)
			}
		}
		t.Logf("%s: %d faults, %d wired in %v, %d dead: %v", name, len(all), n, time.Since(start), dead, kinds)
	}
}
