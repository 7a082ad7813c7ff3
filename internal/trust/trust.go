// Package trust says where a number comes from and how far to believe it. Every limit, material property and part
// dimension of Knobwright carries a Source, so that `knobwright assumed` can list what was taken on trust.
package trust

// Provenance tells how a number reached us.
type Provenance string

// The kinds of provenance, best first.
const (
	Measured Provenance = "measured"        // by the person, with calipers, on the part in hand
	Yours    Provenance = "yours"           // written by the person in their file
	Seen     Provenance = "seen"            // read in a published text that is named
	Derived  Provenance = "derived"         // computed here from other numbers that are named
	Practice Provenance = "common practice" // a fact of the trade without a citable text
	Memory   Provenance = "from memory"     // recalled, not checked against a text: provisional
)

// Confidence is how much a number deserves to be believed.
type Confidence string

// The three degrees of confidence.
const (
	High   Confidence = "high"
	Medium Confidence = "medium"
	Low    Confidence = "low"
)

// Source is the origin of a number. The zero value means that nothing is known of it.
type Source struct {
	Text       string     `yaml:"text" json:"text,omitempty"`             // standard, handbook, or a sentence
	Provenance Provenance `yaml:"provenance" json:"provenance,omitempty"` // how it reached us
	Confidence Confidence `yaml:"confidence" json:"confidence,omitempty"` // how far to believe it
}

// OnTrust reports whether a careful person should check the number before cutting: it was not measured, not written by
// the person, and not read in a published text with high confidence.
func (s Source) OnTrust() bool {
	switch s.Provenance {
	case Measured, Yours, Derived:
		return false
	case Seen:
		return s.Confidence != High
	}
	return true
}

// String gives the source as a phrase for people: "NUREG-0700 Rev 3, table 11.5", "common practice", or
// "IEC 60947-5-1 D16 (from memory)".
func (s Source) String() string {
	switch {
	case s.Text == "" && s.Provenance == "":
		return "source unknown"
	case s.Text == "":
		return string(s.Provenance)
	case s.Provenance == Memory:
		return s.Text + " (from memory)"
	case s.Provenance == Practice:
		return s.Text + " (common practice)"
	}
	return s.Text
}
