// Package job runs the trades in order and holds all that they found. From file to findings it is one pure function: no
// clock, no disk, no environment.
package job

import (
	"knobwright/internal/finding"
	"knobwright/internal/panel"
	"knobwright/internal/project"
	"knobwright/internal/trade/drilling"
	"knobwright/internal/trade/face"
)

// Result is everything known about one panel file.
type Result struct {
	File     project.File
	Panel    *panel.Panel
	Face     face.Result
	Drilling drilling.Result
	Findings []finding.Finding // all of them, sorted
	Version  string            // of the tool
}
