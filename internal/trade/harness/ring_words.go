package harness

import (
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/panel"
)

// restState says how a control stands while nothing is touched: of what stays where it is put, in its first position.
func restState(c *panel.Control, rest string) string {
	circuit := c.Part.Circuit
	switch {
	case rest == "", rest == "rest", len(circuit.Springs) > 0 && len(circuit.Springs) >= len(circuit.Positions)-1:
		return "at rest"
	case c.Part.Class == catalog.Key:
		return "key out"
	case c.Part.Class == catalog.Toggle:
		return "lever " + rest
	}
	return "in position " + rest
}

// doWords says how a control is put in a position.
func doWords(c *panel.Control, pos string) string {
	switch c.Part.Class {
	case catalog.Key:
		return "Turn the key of " + c.Label
	case catalog.Rotary:
		return "Turn " + c.Label + " to " + pos
	}
	switch pos {
	case "pressed":
		if c.Part.Action == "latching" {
			return "Press " + c.Label + " in"
		}
		return "Hold " + c.Label + " down"
	case "on", "off":
		return "Switch " + c.Label + " " + pos
	case "up", "down", "left", "right":
		if c.Part.Class == catalog.Joystick {
			return "Push " + c.Label + " " + pos
		}
		if len(c.Part.Circuit.Springs) > 0 && contains(c.Part.Circuit.Springs, pos) {
			return "Hold " + c.Label + " " + pos
		}
		return "Put " + c.Label + " " + pos
	case "middle":
		return "Put " + c.Label + " in the middle"
	}
	return "Put " + c.Label + " to " + pos
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if strings.EqualFold(x, s) {
			return true
		}
	}
	return false
}
