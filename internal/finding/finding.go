// Package finding is what a check says: which rule, how grave, where in the file and on the face, what was measured
// and what is wanted, why, and what to do about it. A finding is data; printing it is somebody else's business.
package finding

import (
	"cmp"
	"fmt"
	"slices"

	"knobwright/internal/trust"
)

// Severity orders findings by what they mean for the person at the bench.
type Severity int

// The three severities.
const (
	Note Severity = iota // worth knowing
	Warn                 // will probably annoy or break
	Stop                 // cannot be built, or will do harm
)

// String gives the word used in lists: note, warn, stop.
func (s Severity) String() string { return [...]string{"note", "warn", "stop"}[s] }

// MarshalText writes the severity as its word.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads a severity from its word.
func (s *Severity) UnmarshalText(b []byte) error {
	for _, x := range []Severity{Note, Warn, Stop} {
		if x.String() == string(b) {
			*s = x
			return nil
		}
	}
	return fmt.Errorf("%q is no severity", b)
}

// Pos is a place in a text file, 1-based; columns count characters. The zero value means "no place known".
type Pos struct {
	File   string `json:"file,omitempty"`
	Line   int    `json:"line,omitempty"`
	Column int    `json:"column,omitempty"`
	Length int    `json:"length,omitempty"` // characters to underline; 0 means 1
}

// End is one of the two (or more) things that a finding is about.
type End struct {
	Name string `json:"name"`           // as the person calls it: "STANDBY", "the rib", "left edge"
	Path string `json:"path,omitempty"` // path in the project file, "controls.standby"
	Pos  Pos    `json:"pos,omitzero"`   // where it stands in the file
}

// Sense says on which side of the limit it is good to be.
type Sense int

// The senses of a limit.
const (
	AtLeast Sense = iota // have must be Want or more
	AtMost               // have must be Want or less
	Between              // have must lie in Want..WantMax
)

// MarshalText writes the sense as words.
func (s Sense) MarshalText() ([]byte, error) {
	return []byte([...]string{"at least", "at most", "between"}[s]), nil
}

// UnmarshalText reads a sense from its words.
func (s *Sense) UnmarshalText(b []byte) error {
	for _, x := range []Sense{AtLeast, AtMost, Between} {
		if w, _ := x.MarshalText(); string(w) == string(b) {
			*s = x
			return nil
		}
	}
	return fmt.Errorf("%q is no sense of a limit", b)
}

// Measure is the have/want pair behind a finding; every measured finding shows it as one small ruler.
type Measure struct {
	Have    float64 `json:"have"`
	Want    float64 `json:"want"`
	WantMax float64 `json:"want_max,omitempty"` // only with Between
	Unit    string  `json:"unit"`               // "mm", "deg", "min of arc", "N", or "" for a count
	Sense   Sense   `json:"sense"`
}

// Op is the kind of an edit.
type Op string

// The edits that a fix may ask for. Set replaces or creates the value at a path; Rename puts Value in place of the last
// key of a path.
const (
	Set    Op = "set"
	Delete Op = "delete"
	Rename Op = "rename"
)

// Edit is one change to the project file. Value is YAML flow text: "[247.5, 42]", "bare", "{part: x}".
type Edit struct {
	Op    Op     `json:"op"`
	Path  string `json:"path"`
	Value string `json:"value,omitempty"`
}

// Fix is a proposal that the command line or the page can apply.
type Fix struct {
	Say   string `json:"say"`   // imperative, short: "Move it 3.5 mm right"
	Short string `json:"short"` // what would stand in the file: "at: [247.5, 42]"
	Edits []Edit `json:"edits"`
}

// Place is a spot on the face, in the face frame: mm from the lower left corner as seen from the front.
type Place struct {
	X float64 `json:"across"`
	Y float64 `json:"up"`
}

// Finding is one thing that a check has to say.
type Finding struct {
	Rule     string       `json:"rule"` // name in the rule catalogue, "fit.body-rib"
	Severity Severity     `json:"severity"`
	Head     string       `json:"head"`            // one plain sentence: "STANDBY meets the rib."
	Body     string       `json:"body,omitempty"`  // what follows from it, one or two sentences
	Ends     []End        `json:"ends,omitempty"`  // what it is about; the first one is where it is fixed
	Place    *Place       `json:"place,omitempty"` // where on the face, if anywhere
	On       string       `json:"on,omitempty"`    // the board that it is about, "the back"; "" = the face
	Measure  *Measure     `json:"measure,omitempty"`
	Why      string       `json:"why,omitempty"`   // reason for the limit, a sentence
	Source   trust.Source `json:"source,omitzero"` // where the limit comes from
	Fixes    []Fix        `json:"fixes,omitempty"` // best first
	Kept     string       `json:"kept,omitempty"`  // the person's own reason for leaving it, from keep: in the file
}

// Pos is the main position of the finding: that of its first end that has one.
func (f Finding) Pos() Pos {
	for _, e := range f.Ends {
		if e.Pos.Line > 0 {
			return e.Pos
		}
	}
	return Pos{}
}

// Sort orders findings gravest first, then by file position, rule and head, so that output never depends on the order
// in which checks ran. Findings that the person keeps on purpose go last.
func Sort(fs []Finding) {
	slices.SortStableFunc(fs, func(a, b Finding) int {
		if (a.Kept == "") != (b.Kept == "") {
			if a.Kept == "" {
				return -1
			}
			return 1
		}
		pa, pb := a.Pos(), b.Pos()
		return cmp.Or(-cmp.Compare(a.Severity, b.Severity), cmp.Compare(pa.Line, pb.Line), cmp.Compare(pa.Column, pb.Column),
			cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Head, b.Head))
	})
}

// Count gives the number of findings of each severity that are not kept on purpose.
func Count(fs []Finding) (stops, warns, notes int) {
	for _, f := range fs {
		if f.Kept != "" {
			continue
		}
		switch f.Severity {
		case Stop:
			stops++
		case Warn:
			warns++
		default:
			notes++
		}
	}
	return
}
