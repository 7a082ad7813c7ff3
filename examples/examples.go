// Package examples holds complete panels, embedded in the binary so that `knobwright new --from` works anywhere.
package examples

import (
	"embed"
	"strings"
)

//go:embed *.yaml
var files embed.FS

// Names lists the examples, in alphabetical order.
func Names() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		panic(err) // embedded: cannot happen
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ".yaml"))
	}
	return names
}

// File gives an example's text, nil when there is none of that name.
func File(name string) []byte {
	b, err := files.ReadFile(name + ".yaml")
	if err != nil {
		return nil
	}
	return b
}
