package costing_test

import (
	"testing"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
	"knobwright/internal/project"
)

// base is the small panel, placed.
func base(t *testing.T) *panel.Panel {
	t.Helper()
	p, _ := panel.Place(project.Read("p", []byte(small)), catalog.Builtin())
	return p
}
