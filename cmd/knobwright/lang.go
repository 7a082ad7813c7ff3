package main

import (
	"fmt"
	"strings"

	"knobwright/internal/terminal"
	"knobwright/internal/words"
)

// language reads --lang; what says what there is not in another language: "There is no book".
func language(name, what string) (words.Lang, error) {
	var all []string
	for _, l := range words.Langs() {
		if string(l) == name {
			return l, nil
		}
		all = append(all, string(l))
	}
	return "", usage{fmt.Sprintf("%s in %q.", what, terminal.Clean(name)), "Languages: " + strings.Join(all, ", ") + "."}
}

// bookUnits reads --units of a book; "" is what the file says.
func bookUnits(units string) error {
	switch units {
	case "", "mm", "in", "both":
		return nil
	}
	return usage{fmt.Sprintf("%q is no unit of a book.", terminal.Clean(units)), "--units mm, --units in or --units both"}
}
