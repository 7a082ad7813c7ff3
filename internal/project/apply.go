package project

import (
	"fmt"

	"knobwright/internal/finding"
	"knobwright/internal/yamlfile"
)

// Apply gives the text with edits made in their order, all of them or none. Only the bytes that have to change do:
// comments, order, blank lines, quotes and line ends stay. The error is a sentence for the person: why it is not done.
// Values are YAML flow text; a missing key is made, with what lies above it, where its type may hold it.
func (d *Doc) Apply(edits []finding.Edit) ([]byte, error) {
	for _, f := range d.Findings {
		if f.Rule == "file.syntax" {
			return nil, &yamlfile.Refusal{Say: fmt.Sprintf("The text cannot be edited from here before this is mended, line %d: %s", f.Pos().Line, f.Head)}
		}
	}
	return yamlfile.Edit(d.Src, &File{}, edits)
}
