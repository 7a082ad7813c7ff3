package yamlfile

import (
	"strings"

	"go.yaml.in/yaml/v4"

	"knobwright/internal/finding"
)

// batchOut takes as many entries as the front of the list asks for out of block mappings, with one reading. It gives how many it made;
// 0 when the first must go its own way. What would be left empty goes its own way too.
func (e *editor) batchOut(edits []finding.Edit) int {
	var cuts []splice
	want := expand(e.root)
	lists := map[*yaml.Node][]entry{}
	left := map[*yaml.Node]int{}
	n := 0
	err := guard(func() error {
		p := newPage(e.src, e.root)
		for _, ed := range edits {
			if ed.Op != finding.Delete || ed.Path == "" {
				break
			}
			path := strings.Split(ed.Path, ".")
			s, w := e.find(e.root, path), e.find(want, path)
			if !s.found() || !w.found() || s.shared || s.short || s.up == nil || w.up == nil {
				break
			}
			up := s.up.n
			if up.Kind != yaml.MappingNode || up.Style&yaml.FlowStyle != 0 {
				break
			}
			if lists[up] == nil {
				lists[up], left[up] = p.entries(up), len(up.Content)/2
			}
			if left[up] < 2 {
				break
			}
			left[up]--
			cuts = append(cuts, p.cutBlock(lists[up], s.idx/2)[0]...)
			w.up.n.Content = append(w.up.n.Content[:w.idx-1], w.up.n.Content[w.idx+1:]...)
			n++
		}
		return nil
	})
	if err != nil || n < 2 || e.commit([]attempt{{cuts, want}}) != nil {
		return 0
	}
	return n
}
