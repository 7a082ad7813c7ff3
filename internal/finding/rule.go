package finding

import "knobwright/internal/trust"

// Rule is one entry of the rule catalogue. Rules are declared as package variables beside the check that uses them;
// the job package gathers them, `knobwright explain` and the rule reference are made from them.
type Rule struct {
	Name     string   `json:"name"`             // stable, dotted, trade words: "fit.body-rib"
	Severity Severity `json:"severity"`         // the usual severity
	Title    string   `json:"title"`            // what it looks at, a phrase: "bodies against ribs"
	Explain  string   `json:"explain"`          // what goes wrong at the bench, what to do; a paragraph or two
	Limits   []Limit  `json:"limits,omitempty"` // the numbers that decide, each of which the file may override under limits:
}

// Limit is a number that decides a rule.
type Limit struct {
	Name    string       `json:"name"`           // "fit.body-gap"; the key under limits: in the project file
	Default float64      `json:"default"`        // in Unit
	Unit    string       `json:"unit,omitempty"` // "mm", "deg", "min of arc", "x" for a factor, "" for a count
	Means   string       `json:"means"`          // "air between two bodies behind the face"
	Source  trust.Source `json:"source,omitzero"`
}

// Limits are the limits in force: the defaults with the person's own numbers laid over them.
type Limits struct {
	Own  map[string]float64 // from the file, in the limit's own unit
	Used map[string]bool    // when not nil, every limit that was asked for is noted here by name
}

// Value gives the number in force for a limit.
func (l Limits) Value(lim Limit) float64 {
	if l.Used != nil {
		l.Used[lim.Name] = true
	}
	if v, ok := l.Own[lim.Name]; ok {
		return v
	}
	return lim.Default
}

// Source gives where the number in force comes from.
func (l Limits) Source(lim Limit) trust.Source {
	if _, ok := l.Own[lim.Name]; ok {
		return trust.Source{Text: "limits in your file", Provenance: trust.Yours, Confidence: trust.High}
	}
	return lim.Source
}
