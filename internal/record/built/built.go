// Package built makes the text of a panel as it was built: the panel file with the as-built facts of its record laid over it. It is pure.
package built

import (
	"fmt"

	"knobwright/internal/project"
	"knobwright/internal/record"
)

// Lay lays the facts in force over a file, one after the other. A fact that does not fit any more is left out, and lost says which and
// why, a sentence each. laid counts those that changed something.
func Lay(name string, src []byte, r *record.Record) (text []byte, laid int, lost []string) {
	text = src
	for _, f := range r.Facts {
		if f.Past || len(f.Edits) == 0 {
			continue
		}
		next, err := project.Read(name, text).Apply(f.Edits)
		if err != nil {
			lost = append(lost, fmt.Sprintf("%s (%s): %s", f.ID, f.What, err))
			continue
		}
		text = next
		laid++
	}
	return text, laid, lost
}
