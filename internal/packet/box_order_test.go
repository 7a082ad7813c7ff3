package packet

import (
	"strings"
	"testing"

	"knobwright/examples"
	"knobwright/internal/catalog"
	"knobwright/internal/job"
	"knobwright/internal/project"
)

// TestOrderIsShort: lists and order of cuts of the larger examples stay on a few pages, and every board is in the order.
func TestOrderIsShort(t *testing.T) {
	for name, most := range map[string]int{"cue-desk": 2, "signal-desk": 3} {
		src := examples.File(name)
		r := job.Run(project.Read(name+".yaml", src), catalog.Builtin())
		pages := boxLists(r, newDesk(r, src))
		if len(pages) > most {
			t.Errorf("%s: %d pages, at most %d", name, len(pages), most)
		}
		var all []string
		for _, p := range pages {
			all = append(all, texts(p.Items)...)
		}
		text := strings.Join(all, " ")
		at := strings.Index(text, "Order of cuts")
		for _, l := range r.Box.Boards {
			if at < 0 || !strings.Contains(text[at:], strings.Split(l.Name, ", ")[0]) {
				t.Errorf("%s: the %s is not in the order of cuts", name, l.Name)
			}
		}
	}
}
