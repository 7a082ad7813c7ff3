package catalog

import (
	"slices"
	"testing"
)

func TestBoardIDs(t *testing.T) {
	own, problems := Builtin().With("own.yaml", []byte("parts:\n  mine: {like: rp2040-40pin}\n  button: {like: push-16mm}\n"))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	for _, c := range []*Catalog{Builtin(), own} {
		var want []string
		for _, id := range c.PartIDs() {
			if p, _ := c.Part(id); p.Class == ModuleBrd {
				want = append(want, id)
			}
		}
		if got := c.BoardIDs(); !slices.Equal(got, want) || len(got) < 8 {
			t.Errorf("%v, want %v", got, want)
		}
	}
}
