package harness

import (
	"knobwright/internal/finding"
	"knobwright/internal/trust"
)

func practice(text string, c trust.Confidence) trust.Source {
	return trust.Source{Text: text, Provenance: trust.Practice, Confidence: c}
}
