package bench

import (
	"slices"
	"strings"

	"knobwright/internal/job"
)

// Pins reads which pins of a board a person names: by their numbers or their printed names, "20", "20, 21", "gp15"; "o" or "none" for no
// pin. It gives their lugs; false for what no pin of the board is called.
func Pins(r *job.Result, board, text string) ([]string, bool) {
	words := strings.FieldsFunc(strings.ToLower(text), func(c rune) bool { return c == ' ' || c == ',' || c == ';' })
	if len(words) == 0 {
		return nil, false
	}
	if len(words) == 1 && slices.Contains([]string{"o", "0", "none", "open", "-"}, words[0]) {
		return nil, true
	}
	var out []string
	for i := range r.Wiring.Boards {
		b := &r.Wiring.Boards[i]
		if b.Name != board || b.Part.Board == nil {
			continue
		}
		for _, w := range words {
			n := len(out)
			for _, p := range b.Part.Board.Pins {
				if (strings.EqualFold(p.Lug, w) || strings.EqualFold(p.Name, w)) && !slices.Contains(out, p.Lug) {
					out = append(out, p.Lug)
				}
			}
			if len(out) == n && w != "and" {
				return nil, false
			}
		}
	}
	return out, len(out) > 0
}
