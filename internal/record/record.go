// Package record is what happened at the bench: ticks, what the test of the finished panel showed, and as-built facts, kept in a file
// of their own beside the panel file (cue-desk.yaml has cue-desk.record.yaml). It is plain YAML that a person can read and mend.
//
// An as-built fact is a sentence with edits of the panel file: the panel as it was built is the panel file with all facts laid over it.
// The panel file itself stays as designed. Everything here is pure; reading and writing the disk is the caller's business.
package record

import (
	"strings"

	"knobwright/internal/finding"
)

// Record is the content of a record file. The zero value is an empty record.
type Record struct {
	Version int             `yaml:"knobwright-record"` // 1
	Ticks   map[string]Tick `yaml:"ticks,omitempty"`   // by step: "drill-face", or step/item: "drill-face/go"
	Tests   []Test          `yaml:"tests,omitempty"`   // in order of time
	Facts   []Fact          `yaml:"facts,omitempty"`   // in order of time
}

// Tick says that something is done.
type Tick struct {
	On   string `yaml:"on"`             // date, 2026-05-02
	Note string `yaml:"note,omitempty"` // what the person wrote
}

// Test is what one line of the test sheet showed.
type Test struct {
	Line string `yaml:"line"`           // of the test sheet: "go/press", "mood/3"
	Said string `yaml:"said"`           // right, wrong, skipped
	On   string `yaml:"on"`             // date and time, RFC 3339
	Note string `yaml:"note,omitempty"` // what was seen, in words
	Unit string `yaml:"unit,omitempty"` // serial of the panel that was tested
}

// Fact is something that is otherwise than the panel file says.
type Fact struct {
	ID    string         `yaml:"id"`             // "f1", "f2"; never used twice
	On    string         `yaml:"on"`             // date
	Kind  string         `yaml:"kind"`           // "wiring", "hole", "board", "wire", "part", "sheet"
	What  string         `yaml:"what"`           // "GO sits 1.5 mm right of its mark."
	Of    []string       `yaml:"of,omitempty"`   // controls and boards that it is about
	Edits []finding.Edit `yaml:"edits"`          // of the panel file; may be empty
	Past  bool           `yaml:"past,omitempty"` // mended since: kept to be read, not laid over
}

// Beside gives the name of the record file of a panel file.
func Beside(panel string) string {
	for _, e := range []string{".yaml", ".yml"} {
		if s, ok := strings.CutSuffix(panel, e); ok {
			return s + ".record.yaml"
		}
	}
	return panel + ".record.yaml"
}

// Edits gives the edits of all facts in force, in order.
func (r *Record) Edits() []finding.Edit {
	var out []finding.Edit
	for _, f := range r.Facts {
		if !f.Past {
			out = append(out, f.Edits...)
		}
	}
	return out
}
