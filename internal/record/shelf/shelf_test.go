package shelf

import (
	"fmt"
	"path/filepath"
	"sync"
	"testing"

	"knobwright/internal/record"
)

// Many that write at once lose nothing.
func TestChangeTogether(t *testing.T) {
	panel := filepath.Join(t.TempDir(), "desk.yaml")
	var wg sync.WaitGroup
	const n = 8
	for i := range n {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for k := range 5 {
				err := Change(panel, func(r *record.Record) error {
					if r.Ticks == nil {
						r.Ticks = map[string]record.Tick{}
					}
					r.Ticks[fmt.Sprintf("s%d-%d", i, k)] = record.Tick{On: "2026-05-02"}
					return nil
				})
				if err != nil {
					t.Error(err)
				}
			}
		}()
	}
	wg.Wait()
	r, err := Load(panel)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Ticks) != n*5 {
		t.Errorf("%d ticks are left of %d", len(r.Ticks), n*5)
	}
	left, _ := filepath.Glob(filepath.Join(filepath.Dir(panel), ".*"))
	if len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
