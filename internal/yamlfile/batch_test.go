package yamlfile_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"knobwright/internal/finding"
	"knobwright/internal/project"
)

// Taking several entries out at once leaves the same controls as taking them out one after another, and the remarks of those that stay.
func TestSeveralOutAtOnce(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for range 60 {
		var b strings.Builder
		b.WriteString("knobwright: 1\n# the controls\ncontrols:\n")
		n := 4 + rng.IntN(12)
		for i := range n {
			switch rng.IntN(5) {
			case 0:
				fmt.Fprintf(&b, "  # about k%d\n", i)
			case 1:
				b.WriteString("\n")
			}
			if rng.IntN(4) == 0 {
				fmt.Fprintf(&b, "  k%d:\n    part: push-12mm\n    at: [%d, 1]\n", i, i)
			} else {
				fmt.Fprintf(&b, "  k%d: {part: push-12mm, at: [%d, 1]}   # %d\n", i, i, i)
			}
		}
		b.WriteString("title: x\n")
		var edits []finding.Edit
		for _, i := range rng.Perm(n)[:2+rng.IntN(n-2)] {
			edits = append(edits, finding.Edit{Op: finding.Delete, Path: fmt.Sprint("controls.k", i)})
		}
		src := []byte(b.String())
		once, err := project.Read("x", src).Apply(edits)
		if err != nil {
			t.Fatalf("%v\n%s", err, src)
		}
		apart := src
		for _, e := range edits {
			if apart, err = project.Read("x", apart).Apply([]finding.Edit{e}); err != nil {
				t.Fatal(err)
			}
		}
		d, e := project.Read("x", once), project.Read("x", apart)
		if d.File.Controls.Len() != n-len(edits) || e.File.Controls.Len() != d.File.Controls.Len() || strings.Count(string(once), "# the controls") != 1 {
			t.Fatalf("of\n%s\n%v leave\n%s", src, edits, once)
		}
		for _, k := range d.File.Controls.Keys { // no remark on a line that stays is lost
			if i := strings.TrimPrefix(k, "k"); strings.Contains(string(src), "# "+i+"\n") && !strings.Contains(string(once), "# "+i+"\n") {
				t.Fatalf("the remark of %s is lost:\n%s", k, once)
			}
		}
	}
}
