package wiring

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"knobwright/internal/catalog"
	"knobwright/internal/finding"
	"knobwright/internal/length"
	"knobwright/internal/panel"
)

// check works out what flows and what comes to which pin, and says what is wrong with it. Without a module there is nothing to check.
func (w *worker) check() {
	if w.moduleBoard() == nil || len(w.r.Devices) == 0 {
		return
	}
	c := &checker{w: w, r: &w.r, p: partsOf(&w.r, w.cat), inputs: map[string]solvedInput{}, lamps: map[string]solvedLamp{}, tooLowSaid: map[int]bool{}}
	c.shorts()
	c.levels()
	c.supplies()
	c.readInputs()
	c.lampsLit()
	c.currents()
	c.buses()
	c.tracks()
	c.ladders()
	c.encoders()
	c.ghosts()
}

// checker holds what the checks share.
type checker struct {
	w      *worker
	r      *Result
	p      *parts
	inputs map[string]solvedInput // by what they look like
	lamps  map[string]solvedLamp

	tooLowSaid map[int]bool // boards
}

// tell adds a sentence to what was computed.
func (c *checker) tell(format string, args ...any) {
	c.r.Power.Checked = append(c.r.Power.Checked, fmt.Sprintf(format, args...))
}

// endOf is a control as one end of a finding; none for lines that serve many.
func (c *checker) endOf(device int) []finding.End {
	if device < 0 || device >= len(c.r.Devices) || c.r.Devices[device].Control == nil {
		return nil
	}
	return []finding.End{c.r.Devices[device].Control.Origin.End()}
}

// boardEnd is a board as one end of a finding.
func (c *checker) boardEnd(i int) finding.End {
	if i == c.w.module {
		return c.w.moduleEnd()
	}
	if b := &c.r.Boards[i]; b.Module != nil {
		return b.Module.Origin.End()
	}
	return finding.End{Name: c.r.Boards[i].Label, Path: "wiring.boards"}
}

// ends lists the controls of several devices, each once, then more.
func (c *checker) ends(devices []int, more ...finding.End) []finding.End {
	var out []finding.End
	seen := map[string]bool{}
	for _, d := range devices {
		for _, e := range c.endOf(d) {
			if !seen[e.Path+e.Name] {
				seen[e.Path+e.Name] = true
				out = append(out, e)
			}
		}
	}
	return append(out, more...)
}

// nodeVolts is the supply of the pins of a board, V.
func (c *checker) nodeVolts(board int) float64 { return c.p.volts[c.p.logic[board]] }

// receiver gives the levels of a board's pins at the supply that it has.
func (c *checker) receiver(board int) (low, high, bears float64) {
	d := c.r.Boards[board].Part.Board
	v := c.nodeVolts(board)
	if d.Role == roleModule || d.Volts <= 0 || v <= 0 {
		return d.Low, d.High, d.Bears
	}
	return d.Low * v / d.Volts, d.High * v / d.Volts, d.Bears - d.Volts + v
}

// boardNamed gives the index of a board; -1 without.
func (c *checker) boardNamed(name string) int {
	return slices.IndexFunc(c.r.Boards, func(b Board) bool { return b.Name == name })
}

// supplyName names what feeds a node: "5 V", "3.3 V".
func (c *checker) supplyName(node int) string { return c.p.nodes[node] }

// fixPath is where a value of a control stands in the file, or could; "" when it has no record of its own there.
func fixPath(k *panel.Control, key string) string {
	switch path := k.Origin.Path; {
	case k.From != "":
		return ""
	case strings.HasSuffix(path, "."+k.Name):
		return path + "." + key
	case strings.HasPrefix(path, "groups.") && strings.Count(path, ".") == 1:
		return path + ".controls." + k.Name + "." + key
	}
	return ""
}

// fixAll is a fix that sets a value in the records of several controls; copies follow what they are copies of. None when one of them has
// no record.
func (c *checker) fixAll(devices []int, key, value, say string) []finding.Fix {
	f := finding.Fix{Say: say, Short: key + ": " + value}
	seen := map[string]bool{}
	for _, d := range devices {
		k := c.r.Devices[d].Control
		for k.From != "" && c.w.named[k.From] != nil && c.w.named[k.From] != k {
			k = c.w.named[k.From]
		}
		path := fixPath(k, key)
		if path == "" {
			return nil
		}
		if !seen[path] {
			seen[path] = true
			f.Edits = append(f.Edits, finding.Edit{Op: finding.Set, Path: path, Value: value})
		}
	}
	if len(f.Edits) == 0 {
		return nil
	}
	return []finding.Fix{f}
}

// labels names devices, as people call them.
func (c *checker) labels(devices []int) []string {
	var out []string
	for _, d := range devices {
		out = append(out, c.r.Devices[d].Label)
	}
	return out
}

// amount writes a number with about two digits that count: 0.066, 3.9, 47, 152.
func amount(v float64) string {
	digits := 1
	switch a := math.Abs(v); {
	case a == 0:
		return "0"
	case a >= 10:
		digits = 0
	case a >= 1:
	default:
		digits = 1 - int(math.Floor(math.Log10(a)))
	}
	pow := math.Pow(10, float64(min(digits, 9)))
	return strconv.FormatFloat(math.Round(v*pow)/pow, 'f', -1, 64)
}

// volt writes a voltage with two decimals at most.
func volt(v float64) string { return length.Plain(math.Round(v*100)/100) + " V" }

// span writes a range: "3.1 to 4.7", or one number when both are alike.
func span(a, b float64) string {
	if amount(a) == amount(b) {
		return amount(a)
	}
	return amount(a) + " to " + amount(b)
}

// isAnalog reports whether a board looks at voltages in turn.
func isAnalog(b *catalog.Board) bool { return b.Role == roleAnalogIn }
